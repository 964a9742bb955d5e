"""The best of a program: what is least, what chooses among equals, and what changes then."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

from checker.algebra.linear import Linear, Rows, total
from checker.core.records import Record
from checker.core.units import UNIT
from checker.solve.solver import Solution, as_mapping, least

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from checker.solve.changes import Becomes
    from checker.solve.parts import ChangeUnit, Part
    from checker.solve.program import Program

Aim = Literal["cost", "area", "lost deck"]

FEW: Final = 300
"""Up to so many switches a second objective is worked out among equals of the first."""

_SLACK_FRACTION: Final = 1e-9


class Change(Record, kw_only=True):
    """A unit, or some of it, that becomes something else.

    Attributes:
        unit: The surface or bay.
        way: What it becomes.
        area_m2: How much of it, where it is seen.
        parts: The parts of the land and how much of each, m2.
    """

    unit: ChangeUnit
    way: Becomes
    area_m2: float
    parts: tuple[tuple[Part, float], ...]

    @property
    def is_all(self) -> bool:
        """Whether all of each part it touches changes."""
        return all(area_m2 >= part.area_m2 * (1 - 1e-9) for part, area_m2 in self.parts)


def objective(program: Program, aim: Aim) -> Linear:
    """What is minimised: cents beyond the design, square metres changed or deck lost."""
    found: list[tuple[Linear, float]] = []
    for number, unit in enumerate(program.land.units):
        for index, way in enumerate(unit.ways):
            if way.is_kept:
                continue
            if (number, index) in program.switches:
                area_m2 = counted_m2(program, _area_m2(program, number, index))
                times = _price(program, aim, unit, way, area_m2, way.cents(area_m2))
                found.append((program.switches[number, index], times))
            else:
                area = changed(program, number, index)
                found.append((area, _price(program, aim, unit, way, 1.0, way.cents_per_m2)))
    return total(found)


def _price(
    program: Program, aim: Aim, unit: ChangeUnit, way: Becomes, area_m2: float, cents: float
) -> float:
    if aim == "area":
        return area_m2
    if aim == "lost deck":
        return area_m2 if unit.ways[0].is_paved and not way.is_paved else 0.0
    return cents if program.goal.counts_savings else max(cents, 0.0)


def counted_m2(program: Program, area_m2: float) -> float:
    """An area in whole steps: a tenth of a square foot, or a hundredth of a square metre."""
    return round(area_m2 / unit_of(program, "area")) * unit_of(program, "area")


def unit_of(program: Program, aim: Aim) -> float:
    """What an objective is counted in: cents, or steps of area in m2."""
    if aim == "cost":
        return 1.0
    return 0.1 * UNIT["sq ft"].size_si if program.checked.system == "us" else 0.01


def _area_m2(program: Program, number: int, way: int) -> float:
    """The land of a unit that is seen as it is or once it has changed."""
    return _changed_parts(program, number, way, {})[0]


def changed(program: Program, number: int, way: int) -> Linear:
    """How much of a unit goes one way, where it is seen as it is or once it has changed."""
    found: list[tuple[Linear, float]] = []
    for part, amounts, place in program.over(number):
        found += [
            (amount, 1.0)
            for combo, amount in amounts.items()
            if part.combos[combo][place] == way and part.is_touched(combo, place)
        ]
    return total(found)


def _changed_parts(
    program: Program, number: int, way: int, values: Mapping[int, float]
) -> tuple[float, tuple[tuple[Part, float], ...]]:
    """How much of a unit changes one way, and where; all of it when no values are given."""
    found: list[tuple[Part, float]] = []
    for part, amounts, place in program.over(number):
        area_m2 = 0.0
        for combo, ways in enumerate(part.combos):
            if ways[place] != way or not part.is_touched(combo, place):
                continue
            area_m2 += amounts[combo].value(values) if values else part.area_m2
            if not values:
                break
        if area_m2 > 1e-9:
            found.append((part, min(area_m2, part.area_m2)))
    return sum(area_m2 for _, area_m2 in found), tuple(found)


def solve(program: Program, aims: Sequence[Aim], without: frozenset[str] = frozenset()) -> Solution:
    """The best change: the first aim decides, the others choose among equals.

    Args:
        program: The variables and rows.
        aims: What is least.
        without: Rules whose rows are left out.

    Returns:
        The solution; its objective and bound are those of the first aim.

    Raises:
        NoSolver: HiGHS is not installed.
        SolverStopped: It gave up.
    """
    rows = Rows(program.rows.variables, [r for r in program.rows.rows if r.rule not in without])
    if aims:
        first = least(rows, objective(program, aims[0]), unit_of(program, aims[0]))
    else:
        first = least(rows, Linear())
    found = first
    if len(program.switches) > FEW:
        aims = aims[:1]
    for earlier, aim in pairwise(aims):
        if found.status != "optimal":
            break
        held = objective(program, earlier)
        reached = held.value(as_mapping(found.values))
        slack = _SLACK_FRACTION * max(1.0, abs(reached))
        rows.between(-float("inf"), held, reached + slack)
        following = least(rows, objective(program, aim), unit_of(program, aim))
        if following.status != "optimal":
            break
        found = following
    return Solution(found.status, found.values, first.objective, first.bound)


def changes(program: Program, solution: Solution) -> tuple[Change, ...]:
    """What changes in a solution."""
    values = as_mapping(solution.values)
    found: list[Change] = []
    for number, unit in enumerate(program.land.units):
        for index, way in enumerate(unit.ways):
            if way.is_kept:
                continue
            area_m2, parts = _changed_parts(program, number, index, values)
            if area_m2 > 1e-6:
                found.append(Change(unit=unit, way=way, area_m2=area_m2, parts=parts))
    return tuple(found)
