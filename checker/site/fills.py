"""Outlines and hatches of one layer that describe the same area, made one.

Surveyors draw an edge and fill it: a deck is a closed line, and a hatch with an island where the
pool lies, and the pool's edge may be drawn once more beside the hatch. All of that is one area.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.site.clean import areas_of

if TYPE_CHECKING:
    from shapely import MultiPolygon, Polygon

    from checker.site.arcs import VertexPath
    from checker.site.clean import Notes

SAME_FRACTION = 1e-3
"""Two areas that differ by less than this share of themselves are one drawn twice.

Common practice, no source: a hatch follows its outline to the width of a line.
"""


class Ring(Record, kw_only=True):
    """One area as it was drawn.

    Attributes:
        shape: What it covers, metres.
        outline: Its lines and arcs, when it is a single ring.
        is_fill: A hatch or a filled shape, whose inner rings are islands.
    """

    shape: Polygon | MultiPolygon
    outline: VertexPath | None = None
    is_fill: bool = False


class Merged(Record, kw_only=True):
    """The areas of a layer, each once.

    Attributes:
        rings: What is left.
        says: What was made one, in words; empty for nothing.
    """

    rings: tuple[Ring, ...]
    says: tuple[str, ...] = ()


def merged(rings: list[Ring], notes: Notes) -> Merged:
    """Areas drawn twice counted once, and each hatch joined with the outline that it fills.

    Args:
        rings: Every area of the layer as drawn.
        notes: For the unit of what is said.
    """
    kept, twins = _without_twins(rings)
    says = []
    if twins:
        noun = "area is" if twins == 1 else "areas are"
        says.append(f"{twins} {noun} drawn twice; counted once")
    outlines = [ring for ring in kept if not ring.is_fill]
    fills = [ring for ring in kept if ring.is_fill]
    left: list[Ring] = []
    for fill in _joined_fills(fills, outlines):
        islands = _islands(fill.shape)
        edge = next((ring for ring in outlines if same(ring.shape, _filled(fill.shape))), None)
        if not islands or (edge is None and not _drawn_too(islands, outlines)):
            if edge is not None and not islands:
                outlines = [ring for ring in outlines if ring is not edge]
                fill = edge  # noqa: PLW2901 - the outline has the exact arcs
            left.append(fill)
            continue
        outlines = [
            ring
            for ring in outlines
            if ring is not edge and not any(same(ring.shape, island) for island in islands)
        ]
        left.append(fill)
        says.append(_words(edge, fill, islands, notes))
    return Merged(rings=(*outlines, *left), says=tuple(says))


def _words(edge: Ring | None, fill: Ring, islands: list[Polygon], notes: Notes) -> str:
    area = notes.area(fill.shape.area)
    noun = "1 island is a hole" if len(islands) == 1 else f"{len(islands)} islands are holes"
    if edge is None:
        return f"a hatch of {area} and the outlines of its islands are one area; {noun}"
    drawn = notes.area(edge.shape.area)
    return f"the outline ({drawn}) and its hatch ({area}) are one area of {area}; {noun}"


def same(shape: Polygon | MultiPolygon, other: Polygon | MultiPolygon) -> bool:
    """Two areas are one, to the width of a drawn line."""
    if math.fabs(shape.area - other.area) > SAME_FRACTION * max(shape.area, other.area):
        return False
    return bool(shape.symmetric_difference(other).area <= 2 * SAME_FRACTION * shape.area)


def _without_twins(rings: list[Ring]) -> tuple[list[Ring], int]:
    kept: list[Ring] = []
    twins = 0
    # Outlines come first, since they keep their arcs.
    for ring in sorted(rings, key=lambda item: item.is_fill):
        if any(same(ring.shape, other.shape) for other in kept):
            twins += 1
        else:
            kept.append(ring)
    return kept, twins


def _filled(shape: Polygon | MultiPolygon) -> Polygon | MultiPolygon:
    """An area with its holes filled."""
    from shapely import Polygon, get_parts, union_all

    found = areas_of(union_all([Polygon(part.exterior) for part in get_parts(shape)]))
    assert found is not None
    return found


def _islands(shape: Polygon | MultiPolygon) -> list[Polygon]:
    from shapely import Polygon, get_parts

    return [Polygon(ring) for part in get_parts(shape) for ring in part.interiors]


def _drawn_too(islands: list[Polygon], outlines: list[Ring]) -> bool:
    return any(same(ring.shape, island) for ring in outlines for island in islands)


def _joined_fills(fills: list[Ring], outlines: list[Ring]) -> list[Ring]:
    """Several hatches that fill one outline together, as one; the others as they are."""
    from shapely import union_all

    left = list(fills)
    found: list[Ring] = []
    for outline in outlines:
        inside = [f for f in left if outline.shape.buffer(1e-3).covers(f.shape)]
        if len(inside) < 2:
            continue
        whole = areas_of(union_all([f.shape for f in inside]))
        if whole is not None and same(_filled(whole), outline.shape):
            found.append(Ring(shape=whole, is_fill=True))
            left = [f for f in left if not any(f is other for other in inside)]
    return [*found, *left]
