"""Revision clouds: a line of arcs round what changed, with a triangle that names the revision."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.drawing.svg import number, tag, words
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from checker.drawing.scale import Frame
    from checker.site.model import Shape

ARC_MM: Final = 4.0
"""Chord of one arc."""

AROUND_MM: Final = 2.5
"""From what changed to its cloud."""

_TRIANGLE_MM: Final = 3.2


def clouds(shapes: Iterable[Shape], revision: str, frame: Frame) -> Iterator[str]:
    """A cloud round each thing that changed; clouds that meet are one.

    Args:
        shapes: What changed, on the ground.
        revision: The letter or number of the revision.
        frame: Scale and place on the paper.
    """
    import shapely

    around_m = AROUND_MM * frame.scale.ratio / 1000
    outlines = [shape.convex_hull.buffer(around_m) for shape in shapes if not shape.is_empty]
    for part in shapely.get_parts(shapely.union_all(outlines)).tolist() if outlines else ():
        ring = shapely.LineString([frame.at(x, y) for x, y in part.exterior.coords])
        yield tag("path", d=_arcs(ring), fill="none", stroke=colours.INK, stroke_width=0.35)
        _, top, right, _ = ring.bounds
        yield _triangle((min(right + 1.5, frame.x_mm + frame.width_mm - 4), top), revision)


def _arcs(ring: Shape) -> str:
    """The ring as arcs that bulge outwards, of about one length each."""
    count = max(6, round(ring.length / ARC_MM))
    points = [ring.interpolate(index / count, normalized=True) for index in range(count)]
    places = [(point.x, point.y) for point in points]
    # On paper y runs down: the sweep that bulges outwards follows the sense of the ring there.
    area = sum(
        x * places[(at + 1) % count][1] - places[(at + 1) % count][0] * y
        for at, (x, y) in enumerate(places)
    )
    sweep = 1 if area > 0 else 0
    parts = [f"M{number(places[0][0])} {number(places[0][1])}"]
    for x, y in (*places[1:], places[0]):
        radius = number(ARC_MM * 0.6)
        parts.append(f"A{radius} {radius} 0 0 {sweep} {number(x)} {number(y)}")
    return "".join(parts) + "Z"


def _triangle(at: tuple[float, float], revision: str) -> str:
    x, y = at
    high = _TRIANGLE_MM * math.sqrt(3) / 2
    points = f"{number(x)},{number(y + high)} {number(x + _TRIANGLE_MM)},{number(y + high)} "
    points += f"{number(x + _TRIANGLE_MM / 2)},{number(y)}"
    outline = tag(
        "polygon", points=points, fill=colours.PAPER, stroke=colours.INK, stroke_width=0.3
    )
    return outline + words(revision, (x + _TRIANGLE_MM / 2, y + high * 0.68), 1.9, is_bold=True)
