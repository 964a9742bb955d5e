"""The cuts of the open surfaces: which land is cut, along which edges, and in which steps."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record, replace
from checker.measure.bands import NoEdge, bays, edges, is_wide, lawn_edges
from checker.measure.cuts import BandCut, BayCut, CutEdge, WholeCut, band_cuts
from checker.measure.frames import SAME_M, EdgeFrame, frames, reached_m
from checker.solve.layout import union
from checker.solve.parts import no_edge

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from checker.site.model import Shape, Surface
    from checker.solve.parts import ChangeUnit, Land, Part

_Beside = tuple["Shape", float, "EdgeFrame | None"]
"""An edge, how much of it the land reaches, m, and its frame."""

MOST: Final = 60_000
"""About so many cuttings are looked through at most; with more, widths go in larger steps."""

_FEWEST_WIDTHS: Final = 12
_MOST_KINDS: Final = 6

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
        along: The edge of a band, as words; empty where the compass tells it.
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


class _Ground(Record, kw_only=True):
    """Land of a unit that is cut: all of it, or one kind of it.

    Attributes:
        unit: The number of the unit.
        kind: See `CutSource`.
        parts: See `CutSource`.
        cells: The land of each part.
        land: All of it.
        lines: The edges along which bands or bays may lie.
        within: See `CutSource`.
    """

    unit: int
    kind: int
    parts: tuple[int, ...]
    cells: Sequence[Shape]
    land: Shape
    lines: Sequence[Shape]
    within: str = ""


class CutSources:
    """The cuts of all units, unit by unit: of its land all of it first, then its bays or bands.

    Args:
        land: The open land.
        parts: Its parts.
        titles: What regions are called, by id.

    Attributes:
        whole_m2: The area of all of a unit's land, by unit.
        left_out: See `Cuttings`.
        coarse_m: See `Cuttings`; complete once all cuts were given.

    Raises:
        BadInput: A surface has no such edge as the goal names, or too many bays.
    """

    def __init__(self, land: Land, parts: Sequence[Part], titles: Mapping[str, str]) -> None:
        self.land = land
        self._titles = titles
        self.whole_m2: dict[int, float] = {}
        self.left_out: dict[str, None] = {}
        self.coarse_m = 0.0
        own: list[list[int]] = [[] for _ in land.units]
        for index, part in enumerate(parts):
            for number in part.units:
                own[number].append(index)
        goals = [(unit.ways[0].surface, land.goal.way(unit.id)) for unit in land.units]
        beside_lawn = [s for s, way in goals if way.change != "whole" and not way.along]
        self._lawn = lawn_edges(land.site, beside_lawn)
        self._all = [
            ground
            for number, unit in enumerate(land.units)
            for ground in self._grounds(number, unit, [(i, parts[i]) for i in own[number]])
        ]

    def _grounds(
        self, number: int, unit: ChangeUnit, own: list[tuple[int, Part]]
    ) -> Iterator[_Ground]:
        if not own:
            return
        way, surface = self.land.goal.way(unit.id), unit.ways[0].surface
        lines = [] if way.change == "whole" else self._lines(surface, way.along)
        whole = _ground(number, 0, own, lines)
        self.whole_m2[number] = sum(float(cell.area) for cell in whole.cells)
        yield whole
        kinds: dict[object, list[tuple[int, Part]]] = {}
        for index, part in own:
            key = part.units, part.inside, tuple(part.counts.items())
            kinds.setdefault(key, []).append((index, part))
        if way.change != "band" or len(kinds) < 2:
            return
        if len(kinds) > _MOST_KINDS:
            self.left_out["land that counts in many ways was not cut into bands by itself"] = None
            return
        groups = list(kinds.values())
        insides = [group[0][1].inside for group in groups]
        over = [frozenset(group[0][1].units) - {number} for group in groups]
        if not self._are_wide(groups):
            return
        for kind, group in enumerate(groups, 1):
            within = self._within(insides[kind - 1], insides) or self._overlapping(
                over[kind - 1], over
            )
            yield _ground(number, kind, group, lines, within)

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

    def _overlapping(self, over: frozenset[int], every: Sequence[frozenset[int]]) -> str:
        """Which other surfaces that may change lie over or under a kind of land, or keep off it."""
        own = over - frozenset.intersection(*every)
        others = frozenset.union(*every) - over
        titles = [self.land.units[number].ways[0].surface.title for number in own or others]
        names = " and ".join(f"the {title[0].lower()}{title[1:]}" for title in sorted(titles))
        return f"{'where it overlaps' if own else 'clear of'} {names}" if names else ""

    def __iter__(self) -> Iterator[CutSource]:
        goal, grounds = self.land.goal, self._all
        beside = self._beside(grounds)
        banded: list[CutEdge] = []
        for ground, own in zip(grounds, beside, strict=True):
            ways = len(self.land.units) * (len(self.land.units[ground.unit].ways) - 1) * len(own)
            most = max(MOST // max(1, ways), _FEWEST_WIDTHS)
            banded += [
                CutEdge(ground.land, ground.cells, line, frame, most) for line, _, frame in own
            ]
        cuts = iter(band_cuts(banded, module_m=goal.module_m, least_width_m=goal.least_width_m))
        for ground, own in zip(grounds, beside, strict=True):
            whole = CutSource(
                unit=ground.unit, kind=ground.kind, parts=ground.parts, within=ground.within,
                cut=WholeCut(ground.land, ground.cells),
            )  # fmt: skip
            yield whole
            surface = self.land.units[ground.unit].ways[0].surface
            way = goal.way(surface.id)
            if way.change != "whole" and way.bay_m is not None:
                try:
                    rows = bays(ground.land, ground.lines[0], way.bay_m)
                except NoEdge as lacks:
                    raise no_edge(self.land.site, surface.id, lacks) from lacks
                yield replace(whole, cut=BayCut(rows, ground.cells))
            for _, edge_m, _ in own:
                cut = next(cuts)
                if cut.step_m > goal.module_m * (1 + 1e-9):
                    self.coarse_m = max(self.coarse_m, cut.step_m)
                yield replace(
                    whole, cut=cut, along=_NAMES.get(way.along, ""), edge_m=edge_m, beside=len(own)
                )

    def _beside(self, grounds: Sequence[_Ground]) -> list[list[_Beside]]:
        """The edges of each ground that bands may follow: those that it really reaches.

        Of edges that count the same, opposite sides of a rectangle of one kind, the first stays.
        """
        found: list[list[_Beside]] = [[] for _ in grounds]
        own = [
            (number, line)
            for number, ground in enumerate(grounds)
            if self.land.goal.way(self.land.units[ground.unit].id).bay_m is None
            for line in ground.lines
        ]
        reached = [
            (number, line, edge_m)
            for (number, line), edge_m in zip(own, self._reached_m(grounds, own), strict=True)
            if edge_m >= self.land.goal.least_width_m - SAME_M
        ]
        each = frames([grounds[n].land for n, _, _ in reached], [line for _, line, _ in reached])
        seen: set[tuple[int, float, float]] = set()
        for (number, line, edge_m), frame in zip(reached, each, strict=True):
            if frame is not None and frame.is_box and len(grounds[number].cells) == 1:
                box = number, round(frame.length_m, 7), round(frame.depth_m, 7)
                if box in seen:
                    continue
                seen.add(box)
            found[number].append((line, edge_m, frame))
        return found

    def _reached_m(
        self, grounds: Sequence[_Ground], own: Sequence[tuple[int, Shape]]
    ) -> list[float]:
        """How much of each edge the land of its ground reaches."""
        surfaces = [self.land.units[ground.unit].ways[0].surface.shape for ground in grounds]
        return reached_m(
            [grounds[number].land for number, _ in own],
            [surfaces[number] for number, _ in own],
            [line for _, line in own],
        )

    def _lines(self, surface: Surface, along: str) -> list[Shape]:
        if not along:
            lawn, every = self._lawn[surface.id]
            return lawn or every
        try:
            return edges(self.land.site, surface, along)
        except NoEdge as lacks:
            raise no_edge(self.land.site, surface.id, lacks) from lacks


def _ground(
    number: int,
    kind: int,
    own: Sequence[tuple[int, Part]],
    lines: Sequence[Shape],
    within: str = "",
) -> _Ground:
    cells = [union(cell.shape for cell in part.cells) for _, part in own]
    return _Ground(
        unit=number, kind=kind, parts=tuple(index for index, _ in own), cells=cells,
        land=cells[0] if len(cells) == 1 else union(cells), lines=lines, within=within,
    )  # fmt: skip
