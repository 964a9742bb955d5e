"""Every way in which the open surfaces may be built, as arrays: which cut, where, and into what.

The search picks at most one cutting of a surface (where its land counts in several ways, one of
each kind of land), so that what is proven is said of what is drawn. A cutting is one piece between
two positions of a cut, or two pieces of different materials side by side.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.measure.cuts import BandCut, BayCut, WholeCut
from checker.measure.frames import SAME_M
from checker.solve.cut_sources import MOST, CutSources
from checker.solve.layout import Piece, facing

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from checker.solve.cut_sources import CutSource
    from checker.solve.parts import ChangeUnit, Land, Part

Array = Any
"""A numpy array."""

_MOST_PAIRS: Final = 2 * MOST
"""About so many pairs of bands of one surface, and twice as many of all, are looked through."""

_FEW_STACKED: Final = 2
_TWO_WAYS: Final = 2
"""With more ways than to stay and one other, a surface may become two things side by side."""

_FEW_BAYS: Final = 400

_PAIRS: Final = "two materials in one surface were tried only where they change all of it"


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
        built_m2: By cutting: as much of these as is built anew, shape (N, 2).
        left_out: What was not tried for its number, in words; nothing is proven then.
        coarse_m: The largest step of widths that were tried; 0 where all of the module were.

    Raises:
        BadInput: A surface has no such edge as the goal names, or too many bays.
    """

    def __init__(self, land: Land, parts: Sequence[Part], titles: Mapping[str, str]) -> None:
        self.land = land
        # Where many lie over each other every pair of widths would be too many to choose from.
        over_others = {number for part in parts if len(part.units) > 1 for number in part.units}
        in_two = {number for number in over_others if len(land.units[number].ways) > _TWO_WAYS}
        is_crowded = len(over_others) > _FEW_STACKED and len(in_two) > 1
        self._crowded = in_two if is_crowded else set()
        self._templates: dict[object, Array] = {}
        self.left_out: dict[str, None] = {}
        self._cut = CutSources(land, parts, titles)
        self.sources = list(self._cut)
        tables = [np.zeros((0, 5), dtype=np.int64)]
        tables += [self._template(source, land.units[source.unit]) for source in self.sources]
        self.left_out |= self._cut.left_out
        self.coarse_m = self._cut.coarse_m
        stacked = np.concatenate(tables)
        self.source = np.repeat(np.arange(len(self.sources)), [len(t) for t in tables[1:]])
        self.at, self.ways = stacked[:, :3], stacked[:, 3:]
        self.unit = np.array([s.unit for s in self.sources], dtype=np.int64)[self.source]
        self.kind = np.array([s.kind for s in self.sources], dtype=np.int64)[self.source]
        self.entries = self._entries()
        piece, _, areas_m2 = self.entries[0], self.entries[1], self.entries[3]
        self.areas_m2 = np.bincount(piece, areas_m2, 2 * len(self.source)).reshape(-1, 2)
        built_m2 = np.where(self._unbuilt(parts), 0.0, areas_m2)
        self.built_m2 = np.bincount(piece, built_m2, 2 * len(self.source)).reshape(-1, 2)

    def __len__(self) -> int:
        return len(self.source)

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
            source.unit in self._crowded,
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
        if last * last // 2 > most or source.unit in self._crowded:
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
        if not self.sources:
            none = np.zeros(0, dtype=np.int64)
            return none, none, none, np.zeros(0)
        # The areas of all cuts behind one another, and where those of each begin.
        below_m2 = np.concatenate([source.cut.areas_m2.ravel() for source in self.sources])
        begins = np.cumsum([0, *(source.cut.areas_m2.size for source in self.sources)])[:-1]
        widths = np.array([len(source.parts) for source in self.sources])
        parts = np.concatenate([source.parts for source in self.sources])
        firsts = np.cumsum(widths) - widths
        times = widths[self.source]
        row = np.repeat(np.arange(len(self.source)), times)
        column = np.arange(len(row)) - np.repeat(np.cumsum(times) - times, times)
        own = self.source[row]
        upto_m2 = below_m2[begins[own] + self.at[row].T * widths[own] + column]
        found = np.diff(upto_m2, axis=0)
        place, entry = np.nonzero(found > 1e-9)
        order = np.lexsort((place, own[entry]))
        place, entry = place[order], entry[order]
        piece = 2 * row[entry] + place
        part = parts[firsts[own[entry]] + column[entry]].astype(np.int64)
        return piece, part, self.ways.reshape(-1)[piece], found[place, entry]

    def _unbuilt(self, parts: Sequence[Part]) -> Array:
        """Where something else comes to light by what a piece takes; see `entries`."""
        piece, part, way, _ = self.entries
        found = np.zeros(len(piece), dtype=bool)
        for index, item in enumerate(parts):
            for number, own in item.unbuilt:
                found |= (part == index) & (way == own) & (self.unit[piece // 2] == number)
        return found

    def _along(self, source: CutSource) -> str:
        """The edge of a band, as words."""
        cut = source.cut
        if source.along or not isinstance(cut, BandCut):
            return source.along
        return facing(self.land.site, cut.land, cut.line)

    def pieces(self, cutting: int) -> Iterator[Piece]:
        """The pieces of a cutting, drawn."""
        source = self.sources[int(self.source[cutting])]
        unit, cut = self.land.units[source.unit], source.cut
        whole_m2 = self._cut.whole_m2.get(source.unit, 0.0)
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
                built_m2=float(self.built_m2[cutting, place]),
                is_all=is_all,
                width_m=width_m,
                along=self._along(source) if width_m is not None else "",
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
