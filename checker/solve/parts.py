"""The open land in parts: wherever the same surfaces lie and count alike, whatever they become."""

from __future__ import annotations

from collections import defaultdict
from itertools import product
from typing import TYPE_CHECKING, Final

from checker.algebra.shares import weights
from checker.core.problems import BadInput, Problem
from checker.core.records import Record
from checker.measure.bands import NoEdge, bays, edge_for
from checker.measure.cells import Cell, cells, stacked
from checker.solve.changes import Becomes, ways_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from checker.algebra.tables import CountTable, Spot
    from checker.measure.partition import LotPiece
    from checker.measure.survey import Survey
    from checker.site.model import Shape, Site, Surface
    from checker.solve.costs import Costs
    from checker.solve.goal import Goal, Way

MOST_WAYS: Final = 256
"""More combinations of what lies over one spot are not looked through."""

PartShare = tuple[int, float, float]
"""A row of a counting table, and the least and most of an area that it counts."""

Counts = dict[tuple[int, str], tuple[tuple[PartShare, ...], ...]]
"""By scenario and table: what counts without the units, then with each combination."""


class ChangeUnit(Record, kw_only=True):
    """What changes as one: a surface, or one bay of it.

    Attributes:
        ways: What it may become; staying as it is comes first.
        is_whole: All of it changes or nothing.
        bay: The number of the bay from 1; 0 for a whole surface.
    """

    ways: tuple[Becomes, ...]
    is_whole: bool
    bay: int = 0

    @property
    def id(self) -> str:
        """The surface's id."""
        return self.ways[0].surface.id


class Part(Record, kw_only=True):
    """Open land over which the same units lie and which counts alike.

    Attributes:
        units: Numbers of the units over it.
        combos: Each combination of ways, one way number per unit; all staying comes first.
        seen: For each combination, which of the units' surfaces are seen.
        cells: Its land.
        area_m2: Its area.
        counts: By scenario and table: what counts without the units, then with each combination.
    """

    units: tuple[int, ...]
    combos: tuple[tuple[int, ...], ...]
    seen: tuple[tuple[bool, ...], ...]
    cells: tuple[Cell, ...]
    area_m2: float
    counts: Mapping[tuple[int, str], tuple[tuple[PartShare, ...], ...]]

    @property
    def inside(self) -> frozenset[str]:
        """The regions it lies in."""
        return self.cells[0].inside

    def is_touched(self, combo: int, place: int) -> bool:
        """Whether a unit is seen here before or after a change, or would be if it stayed.

        What lies hidden today comes to light when the surface over it goes.
        """
        ways = self.combos[combo]
        staying = self.combos.index((*ways[:place], 0, *ways[place + 1 :]))
        return any(self.seen[which][place] for which in (combo, 0, staying))


class _Stack(Record):
    """A cell with what is seen over it, without the units and for each combination."""

    cell: Cell
    units: tuple[int, ...]
    combos: tuple[tuple[int, ...], ...]
    pieces: tuple[LotPiece, ...]


class Land:
    """The open land of a site.

    Args:
        site: The lot as drawn.
        goal: What may change.
        costs: What changes cost.
        regions: Regions that rules measure in or tell apart by, geometry by id.

    Raises:
        BadInput: A material has no costs, or too many open surfaces lie over one spot.
    """

    def __init__(self, site: Site, goal: Goal, costs: Costs, regions: Mapping[str, Shape]) -> None:
        self.site = site
        self.goal = goal
        self.units: list[ChangeUnit] = []
        self._numbers: dict[str, list[tuple[int, Shape | None]]] = {}
        self._position = {surface.id: i for i, surface in enumerate(site.surfaces)}
        for surface in site.surfaces:
            if goal.is_open(surface):
                self._open(ways_of(surface, site, goal, costs))
        self._stacks = [
            self._stack(cell, units)
            for found in cells(site, self._numbers, regions)
            for cell, units in self._by_units(found)
        ]
        self._stacks = [stack for stack in self._stacks if any(map(any, self._seen(stack)))]

    def _open(self, ways: tuple[Becomes, ...]) -> None:
        surface = ways[0].surface
        way = self.goal.way(surface.id)
        if way.along:
            self._edge(surface, way)
        own: list[tuple[int, Shape | None]] = []
        if way.bay_m is None:
            own.append((len(self.units), None))
            self.units.append(ChangeUnit(ways=ways, is_whole=way.change == "whole"))
        else:
            for number, shape in enumerate(self._bays(surface, way), 1):
                own.append((len(self.units), shape))
                self.units.append(ChangeUnit(ways=ways, is_whole=True, bay=number))
        self._numbers[surface.id] = own

    def _edge(self, surface: Surface, way: Way) -> Shape:
        try:
            return edge_for(self.site, surface, way.along)
        except NoEdge as lacks:
            raise no_edge(self.site, surface.id, lacks) from lacks

    def _bays(self, surface: Surface, way: Way) -> list[Shape]:
        assert way.bay_m is not None
        edge = self._edge(surface, way)
        try:
            return bays(surface.shape, edge, way.bay_m)
        except NoEdge as lacks:
            raise no_edge(self.site, surface.id, lacks) from lacks

    def _by_units(self, cell: Cell) -> Iterable[tuple[Cell, tuple[int, ...]]]:
        """The cell cut by the bays of its surfaces."""
        parts: list[tuple[Cell, tuple[int, ...]]] = [(cell, ())]
        for surface_id in cell.over:
            own = self._numbers.get(surface_id)
            if own is None:
                continue
            parts = [
                (piece, (*units, number))
                for part, units in parts
                for number, shape in own
                for piece in part.within(shape)
            ]
        return parts

    def _stack(self, cell: Cell, units: tuple[int, ...]) -> _Stack:
        count = 1
        for number in units:
            count *= len(self.units[number].ways)
        if count > MOST_WAYS:
            names = ", ".join(self.units[number].id for number in units)
            place = self.units[units[-1]].ways[0].surface.place
            says = f"{names} lie over one spot and may become {count} things together"
            raise BadInput(
                f"{place.file} cannot be searched for a change",
                [Problem(place, says, "fix some of them, or let them become fewer materials")],
            )
        combos = tuple(product(*(range(len(self.units[number].ways)) for number in units)))
        none = self._piece(cell, units, None)
        return _Stack(
            cell, units, combos, (none, *(self._piece(cell, units, combo) for combo in combos))
        )

    def _piece(self, cell: Cell, units: tuple[int, ...], combo: tuple[int, ...] | None) -> LotPiece:
        chosen = {self.units[number].id: index for index, number in enumerate(units)}
        over = []
        for surface_id in cell.over:
            position = self._position[surface_id]
            surface = self.site.surfaces[position]
            if surface_id in chosen:
                if combo is None:
                    continue
                index = chosen[surface_id]
                remade = self.units[units[index]].ways[combo[index]].remade
                if remade is not None:
                    over.append((position, remade, remade.material))
            else:
                over.append((position, surface, surface.material))
        return stacked(cell, over, self.site.rest_of_lot, self.site.order)

    def parts(
        self, surveys: Sequence[Survey], tables: Sequence[Mapping[str, CountTable]]
    ) -> tuple[Part, ...]:
        """The parts, when the rules are read in one or more ways.

        Args:
            surveys: The drawing under each scenario.
            tables: The counting tables of each scenario that rules use, by name.
        """
        groups: dict[
            object, list[tuple[_Stack, dict[tuple[int, str], tuple[tuple[PartShare, ...], ...]]]]
        ]
        groups = defaultdict(list)
        for stack in self._stacks:
            counts: Counts = {}
            for number, (survey, named) in enumerate(zip(surveys, tables, strict=True)):
                spots = [survey.spot(piece, "proposed") for piece in stack.pieces]
                for name, table in named.items():
                    counts[number, name] = tuple(_shares(table, spot) for spot in spots)
            key = (stack.units, self._seen(stack), stack.cell.inside, tuple(counts.items()))
            groups[key].append((stack, counts))
        return tuple(
            Part(
                units=found[0][0].units,
                combos=found[0][0].combos,
                seen=self._seen(found[0][0]),
                cells=tuple(stack.cell for stack, _ in found),
                area_m2=sum(stack.cell.area_m2 for stack, _ in found),
                counts=found[0][1],
            )
            for found in groups.values()
        )

    def _seen(self, stack: _Stack) -> tuple[tuple[bool, ...], ...]:
        names = [self.units[number].id for number in stack.units]
        return tuple(
            tuple(any(layer.id == name for layer in piece.layers) for name in names)
            for piece in stack.pieces[1:]
        )

    def scopes(self, survey: Survey) -> dict[tuple[int, int], Spot]:
        """For each unit and way, the largest spot where it is seen; its scope stands for it."""
        best: dict[tuple[int, int], tuple[float, LotPiece]] = {}
        for stack in self._stacks:
            for combo, seen, piece in zip(
                stack.combos, self._seen(stack), stack.pieces[1:], strict=True
            ):
                for number, way, is_seen in zip(stack.units, combo, seen, strict=True):
                    if is_seen and piece.area_m2 > best.get((number, way), (0.0,))[0]:
                        best[number, way] = (piece.area_m2, piece)
        return {key: survey.spot(piece, "proposed") for key, (_, piece) in best.items()}


def no_edge(site: Site, surface_id: str, lacks: NoEdge) -> BadInput:
    """What is wrong with the edge that a goal names for a surface."""
    place = site.document.place("goal", "surfaces", surface_id, "along")
    return BadInput(
        f"{site.document.file} cannot be searched for a change", [Problem(place, str(lacks))]
    )


def _shares(table: CountTable, spot: Spot) -> tuple[PartShare, ...]:
    """What counts per square metre of a spot, by row."""
    return tuple(
        (row, area_m2 / spot.area_m2 * weight.low_si, area_m2 / spot.area_m2 * weight.high_si)
        for _, row, area_m2, weight in weights(table, spot)
    )
