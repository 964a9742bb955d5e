"""The lengths of the sides of new work, each beside its side, as drawn: an L has six."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.showing import show
from checker.core.units import LENGTH, Amount
from checker.drawing.labels import PaperPoint, upright
from checker.drawing.svg import text_width_mm, words
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import shapely

    from checker.core.units import System
    from checker.drawing.labels import Placer
    from checker.drawing.scale import Frame
    from checker.site.model import Shape

TEXT_MM: Final = 2.1
_AWAY_MM: Final = 1.7
"""From a side to the middle of its text."""

_BEND_M: Final = 0.02
"""Corners that lie no farther than this off a straight side are none."""

_MOST_SIDES: Final = 12
"""An outline of more sides is a curve made of chords: its size stands in the table."""

_SHARES: Final = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Where along a side its length is tried."""

Side = tuple[tuple[float, float], tuple[float, float]]


def sides_of(shape: Shape) -> list[tuple[Side, ...]]:
    """The sides worth a dimension: of a rectangle two, of an L all six, of a curve none.

    Each comes with those that are the same, of which one is enough. The outline runs
    counterclockwise, so that the outside lies to the right of each side.
    """
    import shapely

    found: list[tuple[Side, ...]] = []
    for part in shapely.get_parts(shape).tolist():
        if part.geom_type != "Polygon":
            continue
        ring = shapely.geometry.polygon.orient(part).exterior
        points = _corners([(x, y) for x, y, *_ in ring.coords[:-1]])
        sides = list(zip(points, [*points[1:], *points[:1]], strict=True))
        if len(sides) > _MOST_SIDES or len(sides) < 3:
            continue
        if _is_parallelogram(points):
            found += [(sides[0], sides[2]), (sides[1], sides[3])]
        else:
            found += [(side,) for side in sides]
    return found


def _corners(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The points at which the outline turns."""
    import shapely

    kept: list[tuple[float, float]] = []
    for index, point in enumerate(points):
        before = kept[-1] if kept else points[index - 1]
        after = points[(index + 1) % len(points)]
        if shapely.LineString([before, after]).distance(shapely.Point(point)) > _BEND_M:
            kept.append(point)
    return kept


def _is_parallelogram(points: list[tuple[float, float]]) -> bool:
    if len(points) != 4:
        return False
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = points
    return math.hypot(bx - ax - cx + dx, by - ay - cy + dy) < _BEND_M


def draw_side_lengths(
    shape: Shape, others: Sequence[Shape], frame: Frame, placer: Placer, system: System
) -> Iterator[str]:
    """Each side's length beside it: on open ground outside, else inside, else over others.

    One that finds no place clear of lines is left to the table of surfaces, which has them all.

    Args:
        shape: The surface, as drawn.
        others: The other surfaces of the drawing.
        frame: Scale and place on the paper.
        placer: What is taken already.
        system: Feet or metres.
    """
    import shapely

    tree = shapely.STRtree(others)
    for alike in sides_of(shape):
        text = show(Amount(math.dist(*alike[0]), LENGTH), system)
        width = text_width_mm(text, TEXT_MM)
        ranked = [(_rank(place, tree, frame), place) for place in _places(alike, width, frame)]
        for rank, place in sorted(ranked, key=lambda found: found[0]):
            at, degrees = place.at, place.degrees
            if place.is_across and rank > 0:
                continue
            is_clear = placer.is_off_lines(at, width, TEXT_MM, degrees)
            if is_clear and placer.has_room_for(at, width, TEXT_MM, degrees):
                placer.take_text(at, width, TEXT_MM + 0.3, degrees)
                fill = colours.PROPOSED
                yield words(text, at, TEXT_MM, degrees=degrees, edge_mm=0.7, fill=fill)
                break


class _Place(NamedTuple):
    """A place for a length: its middle and angle on paper, outside, away from its side."""

    at: PaperPoint
    degrees: float
    is_outside: bool
    is_across: bool


def _rank(place: _Place, tree: shapely.STRtree, frame: Frame) -> int:
    """0 on open ground outside, 1 inside, 2 over another surface."""
    import shapely

    if not place.is_outside:
        return 1
    x, y = place.at
    half = TEXT_MM
    corners = (frame.ground(x - half, y + half), frame.ground(x + half, y - half))
    box = shapely.box(*corners[0], *corners[1])
    return 0 if len(tree.query(box, predicate="intersects")) == 0 else 2


def _places(alike: tuple[Side, ...], width: float, frame: Frame) -> Iterator[_Place]:
    """Places at the sides, the middle first.

    Along the side, or away from it where it is too short for the text but longer than its height.
    """
    for start, end in alike:
        a, b = frame.at(*start), frame.at(*end)
        long = math.dist(a, b)
        along = math.atan2(b[1] - a[1], b[0] - a[0])
        # The ground's y runs up and the paper's down, so that the outside lies to the left.
        out = (-math.sin(along), math.cos(along))
        is_across = long < width
        if long < TEXT_MM + 1:
            continue
        away = _AWAY_MM + ((width - TEXT_MM) / 2 if is_across else 0.0)
        degrees = upright(math.degrees(along) + (90 if is_across else 0))
        for side in (away, -away):
            for share in _SHARES:
                if share != 0.5 and (is_across or width / 2 > long * min(share, 1 - share)):
                    continue
                x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
                at = (x + out[0] * side, y + out[1] * side)
                yield _Place(at, degrees, side > 0, is_across)
