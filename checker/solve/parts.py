"""The open land in parts: wherever the same surfaces lie and count alike, whatever they become."""

from __future__ import annotations

from collections import defaultdict
from itertools import product
from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.shares import weights
from checker.algebra.walk import nodes
from checker.core.problems import BadInput, Problem
from checker.core.records import Record
from checker.measure.catalogue import SURFACE_MEASURES
from checker.measure.cells import Cell, cells, stacked
from checker.site.model import REST
from checker.solve.changes import Becomes, ways_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from checker.algebra.tables import CountTable, Spot
    from checker.measure.arrangement import Arrangement
    from checker.measure.bands import NoEdge
    from checker.measure.partition import LotPiece
    from checker.measure.survey import Survey
    from checker.site.model import Site
    from checker.solve.costs import Costs
    from checker.solve.goal import Goal

MOST_WAYS: Final = 256
"""More combinations of what lies over one spot are not looked through."""

PartShare = tuple[int, float, float]
"""A row of a counting table, and the least and most of an area that it counts."""

Counts = dict[tuple[int, str], tuple[tuple[PartShare, ...], ...]]
"""By scenario and table: what counts without the units, then with each combination."""


class ChangeUnit(Record, kw_only=True):
    """A surface that may change.

    Attributes:
        ways: What it may become; staying as it is comes first.
    """

    ways: tuple[Becomes, ...]

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
        unbuilt: The units and ways by which something else comes to light here.
    """

    units: tuple[int, ...]
    combos: tuple[tuple[int, ...], ...]
    seen: tuple[tuple[bool, ...], ...]
    cells: tuple[Cell, ...]
    area_m2: float
    counts: Mapping[tuple[int, str], tuple[tuple[PartShare, ...], ...]]
    unbuilt: frozenset[tuple[int, int]] = frozenset()

    @property
    def inside(self) -> frozenset[str]:
        """The regions it lies in."""
        return self.cells[0].inside


class _Stack(Record):
    """A cell with what is seen over it, without the units and for each combination.

    `seen` says for each combination which of the units' surfaces are seen, `unbuilt` by which
    ways of a unit it is neither seen then nor the rest of the lot in its place.
    """

    cell: Cell
    units: tuple[int, ...]
    combos: tuple[tuple[int, ...], ...]
    pieces: tuple[LotPiece, ...]
    seen: tuple[tuple[bool, ...], ...]
    unbuilt: frozenset[tuple[int, int]]


class Land:
    """The open land of a site.

    Args:
        site: The lot as drawn.
        goal: What may change.
        costs: What changes cost.
        land: Its arrangement, with the regions that rules measure in or tell apart by.

    Raises:
        BadInput: A material has no costs, or too many open surfaces lie over one spot.
    """

    def __init__(self, site: Site, goal: Goal, costs: Costs, land: Arrangement) -> None:
        self.site = site
        self.goal = goal
        self.units: list[ChangeUnit] = [
            ChangeUnit(ways=ways_of(surface, site, goal, costs))
            for surface in site.surfaces
            if goal.is_open(surface)
        ]
        self.numbers = {unit.id: number for number, unit in enumerate(self.units)}
        self._position = {surface.id: i for i, surface in enumerate(site.surfaces)}
        self._stacks = [
            self._stack(cell, tuple(self.numbers[name] for name in cell.over if name in open_ids))
            for open_ids in [self.numbers.keys()]
            for cell in cells(site, open_ids, land)
        ]
        self._stacks = [stack for stack in self._stacks if any(map(any, stack.seen))]

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
        none, *with_units = (self._piece(cell, units, combo) for combo in (None, *combos))
        own = [self.units[number].id for number in units]
        over = [{layer.id for layer in piece.layers} for piece in with_units]
        seen = tuple(tuple(name in ids for name in own) for ids in over)
        open_ones = tuple(
            number
            for place, number in enumerate(units)
            if any(at[place] and not combo[place] for combo, at in zip(combos, seen, strict=True))
        )
        if open_ones != units:
            # What lies hidden whatever goes around it is no land of a surface: who makes a wood
            # deck of a patio does not build it over the pool.
            return self._stack(cell, open_ones)
        unbuilt = self._unbuilt(units, dict(zip(combos, over, strict=True)))
        return _Stack(cell, units, combos, (none, *with_units), seen, unbuilt)

    def _unbuilt(
        self, units: tuple[int, ...], over: Mapping[tuple[int, ...], set[str]]
    ) -> frozenset[tuple[int, int]]:
        """The units that are seen here, and the ways by which something else comes to light.

        Args:
            units: The units over a cell.
            over: By combination of ways, the ids of what is seen.
        """
        is_built: dict[tuple[int, int], bool] = {}
        for combo, ids in over.items():
            for at, (number, way) in enumerate(zip(units, combo, strict=True)):
                unit = self.units[number]
                if way and unit.id in over[*combo[:at], 0, *combo[at + 1 :]]:
                    there = unit.id if unit.ways[way].remade is not None else REST
                    is_built[number, way] = is_built.get((number, way), False) or there in ids
        return frozenset(key for key, is_so in is_built.items() if not is_so)

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
        groups: dict[object, list[tuple[_Stack, Counts]]] = defaultdict(list)
        weigh = [
            {name: _Weighing(survey, table) for name, table in named.items()}
            for survey, named in zip(surveys, tables, strict=True)
        ]
        for stack in self._stacks:
            looks = [_look(piece) for piece in stack.pieces]
            counts = {
                (number, name): tuple(map(weighing.shares, stack.pieces, looks))
                for number, named in enumerate(weigh)
                for name, weighing in named.items()
            }
            key = (
                stack.units, stack.seen, stack.unbuilt, stack.cell.inside, tuple(counts.items()),
            )  # fmt: skip
            groups[key].append((stack, counts))
        return tuple(
            Part(
                units=found[0][0].units,
                combos=found[0][0].combos,
                seen=found[0][0].seen,
                cells=tuple(stack.cell for stack, _ in found),
                area_m2=sum(stack.cell.area_m2 for stack, _ in found),
                counts=found[0][1],
                unbuilt=found[0][0].unbuilt,
            )
            for found in groups.values()
        )

    def scopes(self, survey: Survey) -> dict[tuple[int, int], Spot]:
        """For each unit and way, the largest spot where it is seen; its scope stands for it."""
        return {key: survey.spot(piece, "proposed") for key, piece in self._largest().items()}

    def new_looks(
        self, survey: Survey, tables: Iterable[CountTable]
    ) -> Iterator[tuple[Becomes, Spot]]:
        """What units may become, each with a spot; of such as look alike to tables one is given."""
        is_blind = not any(map(sees_shape, tables))
        known: set[object] = set()
        for (number, index), piece in self._largest().items():
            way = self.units[number].ways[index]
            if way.is_kept:
                continue
            place = [layer.id for layer in piece.layers].index(way.surface.id)
            look = (place, _look(piece)) if is_blind else (number, index)
            if look not in known:
                known.add(look)
                yield way, survey.spot(piece, "proposed")

    def _largest(self) -> dict[tuple[int, int], LotPiece]:
        best: dict[tuple[int, int], LotPiece] = {}
        for stack in self._stacks:
            for combo, seen, piece in zip(stack.combos, stack.seen, stack.pieces[1:], strict=True):
                for number, way, is_seen in zip(stack.units, combo, seen, strict=True):
                    key = number, way
                    if is_seen and (key not in best or piece.area_m2 > best[key].area_m2):
                        best[key] = piece
        return best


def no_edge(site: Site, surface_id: str, lacks: NoEdge) -> BadInput:
    """What is wrong with the edge that a goal names for a surface."""
    place = site.document.place("goal", "surfaces", surface_id, "along")
    return BadInput(
        f"{site.document.file} cannot be searched for a change", [Problem(place, str(lacks))]
    )


class _Weighing:
    """How a table weighs spots; spots that look alike are weighed once.

    A table that looks at the shape or the place of a surface weighs each spot by itself.
    """

    def __init__(self, survey: Survey, table: CountTable) -> None:
        self._survey = survey
        self._table = table
        self._known: dict[object, tuple[PartShare, ...]] = {}
        self._is_blind = not sees_shape(table)

    def shares(self, piece: LotPiece, look: object) -> tuple[PartShare, ...]:
        """What counts per square metre of a spot, by row."""
        if self._is_blind and look in self._known:
            return self._known[look]
        spot = self._survey.spot(piece, "proposed")
        found = tuple(
            (row, area_m2 / spot.area_m2 * weight.low_si, area_m2 / spot.area_m2 * weight.high_si)
            for _, row, area_m2, weight in weights(self._table, spot)
        )
        self._known[look] = found
        return found


def sees_shape(table: CountTable) -> bool:
    """Whether what a table counts of a surface depends on more than what the file says of it."""
    strips = [
        size for row in table.rows for size in (row.drop_outer, row.drop_inner, row.least_width)
    ]
    if any(size is not None for size in strips):
        return True
    return any(
        isinstance(node, n.Named | n.Is) and (node.name in SURFACE_MEASURES or node.name == "area")
        for node in nodes((table.rows, table.otherwise))
    )


def _look(piece: LotPiece) -> object:
    """What a table that is blind to shapes can see of a spot."""
    return piece.inside, tuple(
        (
            layer.material and layer.material.id,
            layer.surface
            and (
                layer.surface.stage,
                layer.surface.section,
                tuple(sorted(layer.surface.attributes.items(), key=lambda item: item[0])),
            ),
        )
        for layer in piece.layers
    )
