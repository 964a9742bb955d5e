"""From areas to pieces that can be built: bands of one width along an edge, or whole bays."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

from checker.core.records import Record, replace
from checker.measure.arrangement import joined, without
from checker.measure.bands import NoEdge, band, band_width_m, edges, tidy, with_slivers
from checker.solve.parts import no_edge

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from checker.site.model import Shape, Site
    from checker.solve.changes import Becomes
    from checker.solve.optimum import Change
    from checker.solve.parts import Part
    from checker.solve.program import Program

_SAME_WIDTH_M: Final = 1e-6
"""A width this little above a multiple of the module is that multiple."""

_ALL_FRACTION: Final = 1e-7
"""What is missing of an area by less than this share is a trace of the search."""

_NAMES: Final = {
    "drain": "the side of the drain", "house": "the side of the house", "pool": "the pool",
}  # fmt: skip

_WINDS: Final = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip


class Piece(Record, kw_only=True):
    """A piece of a surface that becomes something else, as it can be built.

    Attributes:
        way: What it becomes.
        shape: Its geometry, metres.
        area_m2: Its area.
        needed_m2: The area that the search asked for; the piece is not smaller.
        is_all: The whole surface changes.
        width_m: The width of a band; None for a whole surface or bays.
        along: The edge of a band, as words.
        edge_m: The length of that edge; None without one.
        bays: The numbers of the bays; empty for a band or a whole surface.
    """

    way: Becomes
    shape: Shape
    area_m2: float
    needed_m2: float
    is_all: bool = False
    width_m: float | None = None
    along: str = ""
    edge_m: float | None = None
    bays: tuple[int, ...] = ()

    @property
    def surface_id(self) -> str:
        """The surface that it is a piece of."""
        return self.way.surface.id

    @property
    def was_paved(self) -> bool:
        """Whether it is deck, walk or drive in the design."""
        return self.way.surface.material.nature in {"sealed", "porous"}

    @property
    def cents(self) -> int:
        """What it costs beyond the design, in whole cents; below zero when it saves."""
        return self.way.cents(self.area_m2)


def lay_out(
    program: Program, changes: Sequence[Change], wider_count: int | None = 0, *, apart: bool = False
) -> tuple[Piece, ...]:
    """The pieces of a set of changes.

    Args:
        program: What was searched.
        changes: What changes.
        wider_count: So many modules are added to the width of each band; None leaves the width
            as it comes, which is for rules that also bound a change from above.
        apart: Parts of one surface that count alike are kept apart, because some lie in a region
            of their own; otherwise one band runs through all of them.

    Raises:
        BadInput: A surface has no such edge as the goal names.
    """
    pieces: list[Piece] = []
    by_way: dict[tuple[str, int], list[Change]] = {}
    for change in changes:
        key = change.unit.id, change.unit.ways.index(change.way)
        by_way.setdefault(key, []).append(change)
    taken: dict[str, list[Shape]] = {}
    for (surface_id, _), group in by_way.items():
        used = taken.setdefault(surface_id, [])
        if group[0].unit.is_whole:
            made = [_whole(program, group)]
        else:
            made = list(_bands(program, group[0], used, wider_count, apart=apart))
        used += [piece.shape for piece in made]
        pieces += made
    return tuple(pieces)


def _land(parts: Iterable[Part]) -> Shape:
    shapes: list[Any] = [cell.shape for part in parts for cell in part.cells]
    return tidy(joined(shapes))


def _whole(program: Program, group: Sequence[Change]) -> Piece:
    change = group[0]
    shape = _land(part for item in group for part, _ in item.parts)
    bays = tuple(item.unit.bay for item in group if item.unit.bay)
    in_all = sum(unit.id == change.unit.id for unit in program.land.units)
    area_m2 = sum(item.area_m2 for item in group)
    return Piece(
        way=change.way,
        shape=shape,
        area_m2=area_m2,
        needed_m2=area_m2,
        is_all=len(group) == in_all,
        bays=bays,
    )


def _bands(
    program: Program, change: Change, used: Sequence[Shape], wider_count: int | None, *, apart: bool
) -> Iterable[Piece]:
    number = program.land.units.index(change.unit)
    own = [part for part in program.parts if number in part.units]
    whole_m2 = sum(part.area_m2 for part in own)
    wanted = list(change.parts)
    while wanted:
        part, area_m2 = wanted.pop(0)
        kin = [part]
        if not apart:
            kin = [item for item in own if item.units == part.units and item.counts == part.counts]
            area_m2 += sum(more for other, more in wanted if other in kin)
            wanted = [(other, more) for other, more in wanted if other not in kin]
        land = _land(kin)
        for shape in used:
            land = without(land, shape)
        yield _band(program, change, land, area_m2, whole_m2, wider_count)


def _band(
    program: Program,
    change: Change,
    land: Shape,
    area_m2: float,
    whole_m2: float,
    wider_count: int | None,
) -> Piece:
    """The smallest band of at least an area along one of the edges that the goal allows."""
    if area_m2 >= land.area * (1 - _ALL_FRACTION):
        return _piece(change, land, area_m2, whole_m2)
    goal, site = program.goal, program.checked.site
    surface = change.unit.ways[0].surface
    along = goal.way(surface.id).along
    try:
        lines = edges(site, surface, along)
    except NoEdge as lacks:
        raise no_edge(site, surface.id, lacks) from lacks
    best: Piece | None = None
    for line in _beside(land, lines, goal.least_width_m):
        width_m = band_width_m(land, line, area_m2)
        if wider_count is None:
            shape = band(land, line, width_m)
        else:
            width_m = _up(width_m, goal.module_m) + wider_count * goal.module_m
            width_m = max(width_m, _up(goal.least_width_m, goal.module_m))
            shape = tidy(with_slivers(land, band(land, line, width_m), goal.least_width_m))
        piece = _piece(change, shape, area_m2, whole_m2)
        if shape.area < land.area * (1 - 1e-9):
            piece = replace(
                piece,
                width_m=width_m,
                along=_NAMES.get(along) or facing(site, land, line),
                edge_m=float(line.intersection(land.buffer(_SAME_WIDTH_M)).length),
            )
        if best is None or piece.area_m2 < best.area_m2 - 1e-6:
            best = piece
    assert best is not None
    return best


def _piece(change: Change, shape: Shape, needed_m2: float, whole_m2: float) -> Piece:
    area_m2 = float(shape.area)
    is_all = area_m2 >= whole_m2 * (1 - 1e-9)
    return Piece(way=change.way, shape=shape, area_m2=area_m2, needed_m2=needed_m2, is_all=is_all)


def _beside(land: Shape, lines: Sequence[Shape], least_width_m: float) -> list[Shape]:
    """The edges that the land really reaches; all of them where it reaches none."""
    near = land.buffer(_SAME_WIDTH_M)
    found = [line for line in lines if line.intersection(near).length >= least_width_m]
    return found or list(lines)


def _up(length_m: float, module_m: float) -> float:
    return math.ceil((length_m - _SAME_WIDTH_M) / module_m) * module_m


def facing(site: Site, land: Shape, line: Shape) -> str:
    """The side of some land that an edge lies on, by the compass."""
    first, last = line.interpolate(0.0), line.interpolate(1.0, normalized=True)
    middle, centre = line.interpolate(0.5, normalized=True), land.centroid
    out = middle.x - centre.x, middle.y - centre.y
    across = first.y - last.y, last.x - first.x
    if across[0] * out[0] + across[1] * out[1] < 0:
        across = -across[0], -across[1]
    x, y = across if math.hypot(*across) > _SAME_WIDTH_M else out
    turn = round((math.degrees(math.atan2(x, y)) - site.north_degrees) / 45) % 8
    return f"its {_WINDS[turn]} side"
