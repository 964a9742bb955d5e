"""A bound that holds for every way to build, also for those that were not tried.

Land is taken by its area alone, as if any part of a surface could become anything. Whatever can be
built is such a share of its land, so that nothing costs less or changes less than this.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra.linear import Linear
from checker.core.units import UNIT
from checker.solve.solver import SolverStopped, least
from checker.solve.table import table_of, terms_of

if TYPE_CHECKING:
    from checker.solve.changes import Becomes
    from checker.solve.optimum import Aim
    from checker.solve.program import Program

_MOST_NODES: Final = 500
_PIECES_COUNT: Final = 2
"""A surface is cut into so many pieces whose areas are rounded for their price."""


def least_of_any(program: Program, aim: Aim) -> float:
    """What nothing that can be built goes below: cents, or m2; 0 where the solver stopped."""
    table, slack = table_of(program.rows), 0.0
    terms: dict[int, float] = {}
    for part, amounts in zip(program.parts, program.amounts, strict=True):
        taken = Linear(0.0, {key: 1.0 for amount in amounts.values() for key in amount.terms})
        table.at_most(terms_of(taken), part.area_m2)
        for combo, amount in amounts.items():
            worth = sum(
                _worth(program, number, way, aim, is_built=(number, way) not in part.unbuilt)
                for number, way in zip(part.units, part.combos[combo], strict=True)
            )
            for key in amount.terms:
                terms[key] = worth
    if aim == "cost":
        tenth_m2 = 0.1 * UNIT["sq ft"].size_si
        dearest = [max(_cents_per_m2(way) for way in unit.ways) for unit in program.land.units]
        slack = _PIECES_COUNT * sum(each * tenth_m2 + 1.0 for each in dearest)
    try:
        found = least(table, terms_of(Linear(0.0, terms)), 0.0, 0.0, _MOST_NODES)
    except SolverStopped:
        return 0.0
    return max(0.0, found.bound - slack) if found.status == "optimal" else 0.0


def _worth(program: Program, number: int, way: int, aim: Aim, *, is_built: bool) -> float:
    """What a square metre of a surface that goes a way adds to an aim."""
    before, after = program.land.units[number].ways[0], program.land.units[number].ways[way]
    if after.is_kept:
        return 0.0
    if aim == "cost":
        rate = _cents_per_m2(after, is_built=is_built)
        return rate if program.goal.counts_savings else max(rate, 0.0)
    if aim == "lost deck":
        return float(before.is_paved and not after.is_paved)
    return 1.0


def _cents_per_m2(way: Becomes, *, is_built: bool = True) -> float:
    """What a square metre costs beyond the design, in cents, but for rounding."""
    prices = (*way.spent, *way.built) if is_built else way.spent
    spent = sum(_rate(str(price.unit), float(price.cents)) for price in prices)
    return spent - sum(_rate(str(price.unit), float(price.cents)) for price in way.spared)


def _rate(unit: str, cents: float) -> float:
    return cents / UNIT[unit.removeprefix("$/")].size_si
