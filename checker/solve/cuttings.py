"""Every way in which the open surfaces may be built, as arrays: which cut, where, and into what.

The search picks at most one cutting of a surface (where its land counts in several ways, one of
each kind of land), so that what is proven is said of what is drawn. A cutting is one piece between
two positions of a cut, or two pieces of different materials side by side.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.core.records import Record, replace
from checker.measure.bands import NoEdge, bays, edges, is_wide, lawn_edges
from checker.measure.cuts import SAME_M, BandCut, BayCut, WholeCut, box_of
from checker.solve.layout import Piece, facing, union
from checker.solve.parts import no_edge

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from checker.site.model import Shape, Surface
    from checker.solve.parts import ChangeUnit, Land, Part

Array = Any
"""A numpy array."""

MOST: Final = 60_000
"""About so many cuttings are looked through at most; with more, widths go in larger steps."""

_MOST_PAIRS: Final = 2 * MOST
"""About so many pairs of bands of one surface, and twice as many of all, are looked through."""

_FEWEST_WIDTHS: Final = 12
_FEW_STACKED: Final = 2
_MOST_KINDS: Final = 6
_FEW_BAYS: Final = 400

_PAIRS: Final = "two materials in one surface were tried only where they change all of it"

_NAMES: Final = {
    "drain": "the side of the drain", "house": "the side of the house", "pool": "the pool",
}  # fmt: skip


class CutSource(Record, kw_only=True):
    """A cut of the land of a unit.

    Attributes:
        unit: The number of the unit.
        kind: 0 for all of its land; else the kind of land that is cut by itself.
        parts: The numbers of the parts, one for each cell of the cut.
        cut: The cut.
        along: The edge of a band, as words.
        edge_m: The length of that edge; None without one.
        beside: How many cuts like it the land has.
        within: The kind of land, as words; empty for all of it and where words do not tell it.
    """

    unit: int
    kind: int
    parts: tuple[int, ...]
    cut: WholeCut | BandCut | BayCut
    along: str = ""
    edge_m: float | None = None
    beside: int = 1
    within: str = ""


class Cuttings:
    """All cuttings of all units.

    Args:
        land: The open land.
        parts: Its parts.
        titles: What regions are called, by id.

    Attributes:
        sources: The cuts.
        source: By cutting: the number of its cut.
        at: By cutting: the positions between which its pieces lie, shape (N, 3); the second piece
            is empty where the last two are equal.
        ways: By cutting: the ways of its two pieces, shape (N, 2); 0 for none.
        unit: By cutting: its unit.
        kind: By cutting: its kind of land; see `CutSource`.
        areas_m2: By cutting: the areas of its pieces, shape (N, 2).
        left_out: What was not tried for its number, in words; nothing is proven then.
        coarse_m: The largest step of widths that were tried; 0 where all of the module were.

    Raises:
        BadInput: A surface has no such edge as the goal names, or too many bays.
    """

    def __init__(self, land: Land, parts: Sequence[Part], titles: Mapping[str, str]) -> None:
        self.land = land
        self._titles = titles
        self.coarse_m = 0.0
        self.sources: list[CutSource] = []
        own: list[list[int]] = [[] for _ in land.units]
        for index, part in enumerate(parts):
            for number in part.units:
                own[number].append(index)
        # Where many lie over each other every pair of widths would be too many to choose from.
        over_others = {number for part in parts if len(part.units) > 1 for number in part.units}
        self._pairs_all = len(over_others) <= _FEW_STACKED
        self.left_out: dict[str, None] = {}
        self._templates: dict[object, Array] = {}
        drawn = [unit.ways[0].surface for unit in land.units]
        goals = [(surface, land.goal.way(surface.id)) for surface in drawn]
        beside_lawn = [s for s, way in goals if way.change != "whole" and not way.along]
        self._lawn = lawn_edges(land.site, beside_lawn)
        self._whole_m2: dict[int, float] = {}
        tables = [np.zeros((0, 5), dtype=np.int64)]
        for number, unit in enumerate(land.units):
            for source in self._sources(number, unit, [(i, parts[i]) for i in own[number]]):
                self.sources.append(source)
                tables.append(self._template(source, unit))
        stacked = np.concatenate(tables)
        self.source = np.repeat(np.arange(len(self.sources)), [len(t) for t in tables[1:]])
        self.at, self.ways = stacked[:, :3], stacked[:, 3:]
        self.unit = np.array([s.unit for s in self.sources], dtype=np.int64)[self.source]
        self.kind = np.array([s.kind for s in self.sources], dtype=np.int64)[self.source]
        self.entries = self._entries()
        piece, _, areas_m2 = self.entries[0], self.entries[1], self.entries[3]
        self.areas_m2 = np.bincount(piece, areas_m2, 2 * len(self.source)).reshape(-1, 2)

    def __len__(self) -> int:
        return len(self.source)

    def _sources(
        self, number: int, unit: ChangeUnit, own: list[tuple[int, Part]]
    ) -> Iterator[CutSource]:
        if not own:
            return
        yield from self._cuts(number, unit, 0, own)
        kinds: dict[object, list[tuple[int, Part]]] = {}
        for index, part in own:
            key = part.units, part.inside, tuple(part.counts.items())
            kinds.setdefault(key, []).append((index, part))
        if self.land.goal.way(unit.id).change != "band" or len(kinds) < 2:
            return
        if len(kinds) > _MOST_KINDS:
            self.left_out["land that counts in many ways was not cut into bands by itself"] = None
            return
        groups = list(kinds.values())
        insides = [group[0][1].inside for group in groups]
        if not self._are_wide(groups):
            return
        for kind, (group, inside) in enumerate(zip(groups, insides, strict=True), 1):
            within = self._within(inside, insides)
            for source in self._cuts(number, unit, kind, group):
                yield replace(source, within=within)

    def _are_wide(self, groups: Sequence[list[tuple[int, Part]]]) -> bool:
        """Whether each kind of a surface's land may stay or go by itself.

        Where one is narrow, a cut of another one that ends at it would leave a strip; one that
        does not is the same as a cut of all of the land.
        """
        grounds = [union(c.shape for _, part in group for c in part.cells) for group in groups]
        whole, least_m = union(grounds), self.land.goal.least_width_m
        return all(is_wide(whole, ground, least_m) for ground in grounds)

    def _within(self, inside: frozenset[str], insides: Sequence[frozenset[str]]) -> str:
        """Where a kind of land lies, told by the regions that the others do not share."""
        own = inside - frozenset.intersection(*insides)
        others = frozenset.union(*insides) - inside
        names = [f"the {self._titles.get(name, name)}" for name in sorted(own or others)]
        return f"{'in' if own else 'outside'} {' and '.join(names)}" if names else ""

    def _cuts(
        self, number: int, unit: ChangeUnit, kind: int, own: list[tuple[int, Part]]
    ) -> Iterator[CutSource]:
        cells = [union(cell.shape for cell in part.cells) for _, part in own]
        ground = cells[0] if len(cells) == 1 else union(cells)
        parts = tuple(index for index, _ in own)
        goal, surface = self.land.goal, unit.ways[0].surface
        way = goal.way(unit.id)
        whole = WholeCut(ground, cells)
        yield CutSource(unit=number, kind=kind, parts=parts, cut=whole)
        if not kind:
            self._whole_m2[number] = float(whole.areas_m2[-1].sum())
        if way.change == "whole":
            return
        lines = self._lines(surface, way.along)
        if way.bay_m is not None:
            try:
                rows = bays(ground, lines[0], way.bay_m)
            except NoEdge as lacks:
                raise no_edge(self.land.site, surface.id, lacks) from lacks
            yield CutSource(unit=number, kind=kind, parts=parts, cut=BayCut(rows, cells))
            return
        beside = list(_apart(ground, _beside(ground, surface, lines, goal.least_width_m), cells))
        ways = max(1, len(self.land.units) * (len(unit.ways) - 1) * len(beside))
        for line, edge_m in beside:
            cut = BandCut(
                ground, cells, line, module_m=goal.module_m, least_width_m=goal.least_width_m,
                most=max(MOST // ways, _FEWEST_WIDTHS),
            )  # fmt: skip
            if cut.step_m > goal.module_m * (1 + 1e-9):
                self.coarse_m = max(self.coarse_m, cut.step_m)
            along = _NAMES.get(way.along) or facing(self.land.site, ground, line)
            yield CutSource(
                unit=number, kind=kind, parts=parts, cut=cut, along=along, edge_m=edge_m,
                beside=len(beside),
            )  # fmt: skip

    def _lines(self, surface: Surface, along: str) -> list[Shape]:
        if not along:
            lawn, every = self._lawn[surface.id]
            return lawn or every
        try:
            return edges(self.land.site, surface, along)
        except NoEdge as lacks:
            raise no_edge(self.land.site, surface.id, lacks) from lacks

    def _template(self, source: CutSource, unit: ChangeUnit) -> Array:
        """The cuttings of a cut: three positions and two ways; alike cuts share one table."""
        cut, count = source.cut, len(unit.ways) - 1
        if isinstance(cut, BayCut):
            if len(cut.numbers) > _FEW_BAYS:
                self.left_out["of very many bays only runs from the edge on were tried"] = None
            return _with_ways(_runs(cut), self._pairs(source, count), count)
        last = 1 if isinstance(cut, WholeCut) else len(cut.widths_m)
        step_m = first_m = 0.0
        if isinstance(cut, BandCut) and last > 1:
            step_m, first_m = cut.step_m, cut.widths_m[1]
            is_even = abs(cut.widths_m[-1] - first_m - (last - 2) * step_m) < SAME_M
            if not is_even:
                spans = _from_edge(range(1, last))
                return _with_ways(spans, self._pairs(source, count), count)
        key = (
            isinstance(cut, WholeCut),
            last,
            round(step_m, 9),
            round(first_m, 9),
            count,
            source.kind > 0,
            source.beside,
        )
        if key not in self._templates:
            spans = _from_edge([1] if isinstance(cut, WholeCut) else range(1, last))
            pairs = self._pairs(source, count)
            self._templates[key] = _with_ways(spans, pairs, count)
        return self._templates[key]

    def _pairs(self, source: CutSource, count: int) -> Array:
        """Where two pieces side by side may end; the second may take all that the first leaves."""
        cut = source.cut
        if count < 2 or source.kind or isinstance(cut, WholeCut):
            return _from_edge([])
        last = len(cut.areas_m2) - 1
        most = min(_MOST_PAIRS, 2 * _MOST_PAIRS // len(self.land.units)) // (
            source.beside * count * (count - 1)
        )
        if last * last // 2 > most or not self._pairs_all:
            self.left_out[_PAIRS] = None
            return np.array([[0, k, last] for k in range(1, last)]).reshape(-1, 3)
        least_m = self.land.goal.least_width_m - SAME_M
        found = [
            (0, k, end)
            for k in range(1, last)
            for end in range(k + 1, last + 1)
            if isinstance(cut, BayCut)
            or end == last
            or cut.widths_m[end] - cut.widths_m[k] >= least_m
        ]
        return np.array(found, dtype=np.int64).reshape(-1, 3)

    def _entries(self) -> tuple[Array, Array, Array, Array]:
        """What each piece takes of each part: piece number, part, way and area, m2."""
        pieces: list[Array] = []
        parts: list[Array] = []
        areas: list[Array] = []
        starts = np.searchsorted(self.source, np.arange(len(self.sources) + 1))
        for number, source in enumerate(self.sources):
            own = np.arange(starts[number], starts[number + 1])
            at, below = self.at[own], source.cut.areas_m2
            for place in (0, 1):
                taken = below[at[:, place + 1]] - below[at[:, place]]
                row, column = np.nonzero(taken > 1e-9)
                pieces.append(2 * own[row] + place)
                parts.append(np.array(source.parts, dtype=np.int64)[column])
                areas.append(taken[row, column])
        if not pieces:
            none = np.zeros(0, dtype=np.int64)
            return none, none, none, np.zeros(0)
        piece, part, area_m2 = (np.concatenate(found) for found in (pieces, parts, areas))
        return piece, part, self.ways.reshape(-1)[piece], area_m2

    def pieces(self, cutting: int) -> Iterator[Piece]:
        """The pieces of a cutting, drawn."""
        source = self.sources[int(self.source[cutting])]
        unit, cut = self.land.units[source.unit], source.cut
        whole_m2 = self._whole_m2.get(source.unit, 0.0)
        for place in (0, 1):
            first, last = (int(at) for at in self.at[cutting, place : place + 2])
            if first == last:
                continue
            area_m2 = float(self.areas_m2[cutting, place])
            is_all = area_m2 >= whole_m2 * (1 - 1e-9)
            width_m: float | None = None
            numbers: tuple[int, ...] = ()
            if isinstance(cut, BandCut) and last < len(cut.widths_m):
                width_m = cut.widths_m[last] - cut.widths_m[first]
            if isinstance(cut, BayCut) and not is_all:
                numbers = tuple(sorted(cut.numbers[first:last]))
            yield Piece(
                way=unit.ways[int(self.ways[cutting, place])],
                shape=cut.shape(first, last),
                area_m2=area_m2,
                is_all=is_all,
                width_m=width_m,
                along=source.along if width_m is not None else "",
                edge_m=source.edge_m if width_m is not None else None,
                bays=numbers,
                is_beyond=first > 0 and not isinstance(cut, BayCut),
                is_rest=place == 1 and last == len(cut.areas_m2) - 1 and not numbers,
                within=source.within,
            )


def _from_edge(ends: Iterable[int]) -> Array:
    """Single pieces that begin at the edge."""
    return np.array([[0, end, end] for end in ends], dtype=np.int64).reshape(-1, 3)


def _with_ways(spans: Array, pairs: Array, count: int) -> Array:
    """Every single piece with each way, and every pair with each two ways."""
    found: list[Array] = []
    for one in range(1, count + 1):
        found += [np.insert(spans, [3, 3], [one, 0], axis=1)]
        found += [
            np.insert(pairs, [3, 3], [one, other], axis=1)
            for other in range(1, count + 1)
            if other != one and len(pairs)
        ]
    return np.concatenate(found)


def _runs(cut: BayCut) -> Array:
    """Every run of bays that adjoin one another; of very many, those that begin at the edge."""
    count = len(cut.numbers)
    ends = np.arange(1, count + 1)
    breaks = np.append(np.flatnonzero(~cut.links), count)
    starts = ends - 1 if count <= _FEW_BAYS else np.array([0])
    found: list[Array] = []
    for start in starts:
        stop = int(breaks[np.searchsorted(breaks, start, side="right")])
        own = np.arange(start + 1, stop + 1)
        if start == 0:
            own = own[own < count]
        found.append(np.column_stack([np.full(len(own), start), own, own]))
    return np.concatenate(found) if found else np.zeros((0, 3), dtype=np.int64)


def _apart(
    land: Shape, beside: Iterable[tuple[Shape, float]], cells: Sequence[Shape]
) -> Iterator[tuple[Shape, float]]:
    """Edges without those that count the same: opposite sides of a rectangle of one kind."""
    seen: set[tuple[float, float]] = set()
    for line, edge_m in beside:
        box = box_of(land, line) if len(cells) == 1 else None
        if box is None or box not in seen:
            yield line, edge_m
        if box is not None:
            seen.add(box)


def _beside(
    land: Shape, surface: Surface, lines: Iterable[Shape], least_width_m: float
) -> Iterator[tuple[Shape, float]]:
    """The edges that the land really reaches, and how much of each."""
    is_all = land.area > surface.shape.area * (1 - 1e-9)
    near = None if is_all else land.buffer(SAME_M)
    for line in lines:
        edge_m = float(line.length if near is None else line.intersection(near).length)
        if edge_m >= least_width_m - SAME_M:
            yield line, edge_m
