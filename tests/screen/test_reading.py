"""Every node of the rule language by columns, held to `evaluate` row by row on random trees."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date
from itertools import pairwise
from random import Random
from typing import Any, Final

import numpy as np
import pytest

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.values import Missing, Quantity, Truth, unknown
from checker.core.units import AREA, RATIO, Amount, Order
from checker.screen import columns, reading
from checker.screen.columns import Codes, NumberColumn
from checker.screen.truths import Truths

ROWS: Final = 40
NAMES: Final = ("a", "b", "c")
SURFACES: Final = 3
_ORDERS: Final[tuple[Order, ...]] = ("at most", "at least", "less than", "more than", "equal to")


def near(random: Random, value: float) -> float:
    """A number, or one that is a hair beside it: within the tolerance, or just beyond."""
    nudge = random.choice([0.0, 0.0, 1e-16, -1e-16, 5e-10, -5e-10, 2e-9, -2e-9])
    return value * (1 + nudge)


def quantity(random: Random, name: str) -> Quantity:
    """A number that is known, or lies between two ends, or of which nothing is known."""
    low = near(random, random.choice([0.0, 1.0, 2.0, 3.0, 5.0, 10.0, random.uniform(-4, 12)]))
    kind = random.random()
    gap = (Missing(name, "", f"give {name}"),)
    if kind < 0.55:
        return Quantity(low, low, AREA)
    if kind < 0.8:
        return Quantity(low, low + random.choice([0.5, 1.0, 4.0]), AREA, gap)
    if kind < 0.9:
        return unknown(gap, AREA)
    return Quantity(low, low, AREA, (), "", random.choice([0.0, 1e3]))


class Row:
    """One lot for `evaluate`, or one of its surfaces."""

    def __init__(self, numbers: dict[str, Quantity], facts: dict[str, Any], of: str = "") -> None:
        self.numbers = numbers
        self.facts = facts
        self.surface_id = of
        self.own: list[Row] = []

    @property
    def day(self) -> date | None:
        return date(2024, 1, 1)

    def number(self, named: n.Named) -> Quantity:
        return self.numbers[named.name]

    def fact(self, name: str) -> Any:
        return self.facts.get(name)

    def missing(self, name: str) -> Missing:
        return Missing(name, "", f"give {name}")

    def surfaces(self) -> Iterable[Row]:
        return self.own

    def is_on_file(self, document: str) -> bool:
        return document == "deed"

    def outcome(self, rule: str) -> Truth:
        raise AssertionError(rule)

    def limit_of(self, rule: str) -> Quantity:
        raise AssertionError(rule)

    def option(self, _: str) -> str:
        return "second"


class Columns:
    """The same lots, or all their surfaces, by columns."""

    def __init__(self, rows: list[Row]) -> None:
        self.rows = rows
        self.day = date(2024, 1, 1)

    def number(self, named: n.Named) -> NumberColumn:
        own = [row.numbers[named.name] for row in self.rows]
        gap = Missing(named.name, "", f"give {named.name}")
        lacks = np.array([bool(one.missing) for one in own])
        return NumberColumn(
            np.array([one.low_si for one in own]),
            np.array([one.high_si for one in own]),
            AREA,
            {gap: lacks} if lacks.any() else {},
            np.array([one.made_of_si for one in own]),
        )

    def fact(self, name: str) -> Codes:
        return columns.codes_of(
            [row.facts.get(name) for row in self.rows], Missing(name, "", f"give {name}")
        )

    def each(self, where: n.Condition, require: n.Condition) -> Truths:
        inner = Columns([surface for row in self.rows for surface in row.own])
        of = np.array([i for i, row in enumerate(self.rows) for _ in row.own], np.intp)
        if not len(of):
            return reading.nothing_of(len(self.rows))
        selected, met = reading.condition(where, inner), reading.condition(require, inner)
        return reading.each(selected, met, of, len(self.rows))

    def is_on_file(self, document: str) -> bool:
        return document == "deed"

    def outcome(self, rule: str) -> Truths:
        raise AssertionError(rule)

    def limit_of(self, rule: str) -> NumberColumn:
        raise AssertionError(rule)

    def option(self, _: str) -> str:
        return "second"

    def part(self, *_: object) -> int:
        return 0


def area(value: float) -> Amount:
    return Amount(value, AREA)


def number(random: Random, depth: int) -> n.Number:  # noqa: C901, PLR0912 - one branch a node
    """A random area."""
    if depth == 0 or random.random() < 0.2:
        if random.random() < 0.6:
            return n.Named(random.choice(NAMES))
        return n.Fixed(area(random.choice([0.0, 1.0, 2.0, 3.0, 5.0])))

    def some(most: int = 3) -> tuple[n.Number, ...]:
        return tuple(number(random, depth - 1) for _ in range(random.randint(1, most)))

    def one() -> n.Number:
        return number(random, depth - 1)

    kind = random.randrange(13)
    if kind == 0:
        return n.Share(random.choice([0.0, 0.45, 1.0, -0.5]), one())
    if kind == 1:
        return n.Sum(some())
    if kind == 2:
        return n.Difference(one(), some(2), stops_at_zero=random.random() < 0.5)
    if kind == 3:
        return n.Product((n.Ratio(one(), one()), one()))
    if kind == 4:
        return n.Least(some())
    if kind == 5:
        return n.Greatest(some())
    if kind == 6:
        ends = [None, 1.0, 2.0, 5.0, None]
        rows = [
            n.Tier(
                one(),
                None if low is None else area(low),
                random.random() < 0.7,
                None if high is None else area(high),
                random.random() < 0.3,
            )
            for low, high in pairwise(ends)
            if random.random() < 0.9
        ]
        return n.Tiers(one(), tuple(rows) or (n.Tier(one()),))
    if kind == 7:
        tops = [area(2.0), area(5.0), random.choice([None, area(20.0)])]
        return n.Brackets(one(), tuple(n.Bracket(random.choice([0.0, 0.5, 1.0]), t) for t in tops))
    if kind == 8:
        points = tuple((area(x), area(random.uniform(0, 5))) for x in (0.0, 1.0, 3.0, 10.0))
        how: Any = random.choice(["straight line", "lower point", "higher point"])
        return n.Points(one(), points, how)
    if kind == 9:
        cases = tuple(n.Case(condition(random, depth - 1), one()) for _ in range(2))
        return n.Choose(cases, one() if random.random() < 0.5 else None)
    if kind == 10:
        return n.ByReading("clause", (("first", one()), ("second", one())))
    if kind == 11:
        return n.ByDate(((date(2020, 1, 1), one()), (date(2025, 1, 1), one())))
    way: Any = random.choice(["nearest", "up", "down"])
    return n.Rounded(one(), area(random.choice([0.5, 1.0])), way)


def condition(random: Random, depth: int, *, is_lot: bool = False) -> n.Condition:
    """A random condition."""
    kind = random.randrange(9 if is_lot else 8)
    if depth <= 0 or kind < 3:
        return n.Compare(number(random, depth), random.choice(_ORDERS), number(random, depth))
    if kind == 3:
        return random.choice([n.Is("zone", ("R-1", "R-2")), n.Is("corner", (True,)),
                              n.Is("marks", ("x",))])  # fmt: skip
    if kind == 4:
        order: Any = random.choice(["before", "on or before", "after", "on or after"])
        return n.Dated("built", order, date(2010, 6, 1))
    if kind == 5:
        return random.choice([n.OnFile("deed"), n.OnFile("plan")])
    parts = tuple(condition(random, depth - 1) for _ in range(random.randrange(4)))
    if kind == 6:
        return n.AllOf(parts) if random.random() < 0.5 else n.AnyOf(parts)
    if kind == 7:
        inner = condition(random, depth - 1)
        pair = (("first", inner), ("second", condition(random, depth - 1)))
        return n.Not(inner) if random.random() < 0.5 else n.ReadingCondition("clause", pair)
    return n.ForEach(condition(random, depth - 1), condition(random, depth - 1))


def lots(random: Random) -> list[Row]:
    def facts() -> dict[str, Any]:
        return {
            "zone": random.choice(["R-1", "R-3", None]),
            "corner": random.choice([True, False, None]),
            "built": random.choice([date(2010, 6, 1), date(2001, 1, 1), date(2011, 1, 1), None]),
            "marks": random.choice([frozenset({"x", "y"}), frozenset(), None]),
        }

    rows = []
    for _ in range(ROWS):
        row = Row({name: quantity(random, name) for name in NAMES}, facts())
        row.own = [
            Row({name: quantity(random, name) for name in NAMES}, facts(), f"s{i}")
            for i in range(random.randrange(SURFACES + 1))
        ]
        rows.append(row)
    return rows


def alike(own: float, other: float) -> bool:
    return own == other or abs(own - other) <= 1e-12 * max(abs(own), abs(other), 1.0)


@pytest.mark.parametrize("seed", range(150))
def test_numbers(seed: int) -> None:
    random = Random(seed)
    rows, tree = lots(random), number(random, 3)
    found = reading.number(tree, Columns(rows))
    for i, row in enumerate(rows):
        one = evaluate.number(tree, row)
        low, high, made_of = (
            float(np.broadcast_to(a, ROWS)[i]) for a in (found.low, found.high, found.made_of)
        )
        assert alike(low, one.low_si), (i, tree)
        assert alike(high, one.high_si), (i, tree)
        assert alike(made_of, one.made_of_si), (i, tree)
        gaps = {m.ask for m, mask in found.missing.items() if np.broadcast_to(mask, ROWS)[i]}
        assert gaps == {m.ask for m in one.missing}, (i, tree)
        if found.dimension != RATIO:
            is_kindless = bool(np.broadcast_to(found.is_kindless, ROWS)[i])
            has_none = one.dimension == RATIO and math.isinf(one.low_si) and math.isinf(one.high_si)
            assert is_kindless == has_none, (i, tree)


@pytest.mark.parametrize("seed", range(250))
def test_conditions(seed: int) -> None:
    random = Random(10_000 + seed)
    rows, tree = lots(random), condition(random, 3, is_lot=True)
    for is_wanted in (True, False):
        found = reading.condition(tree, Columns(rows), is_wanted=is_wanted)
        for i, row in enumerate(rows):
            one = evaluate.condition(tree, row, is_wanted=is_wanted)
            holds = {1: True, 0: False, -1: None}[int(np.broadcast_to(found.holds, ROWS)[i])]
            assert holds is one.holds, (i, tree)
            assert bool(np.broadcast_to(found.is_vacuous, ROWS)[i]) == one.is_vacuous, (i, tree)
            part = one.governing
            has = bool(np.broadcast_to(found.decides.has, ROWS)[i])
            assert has == (part is not None), (i, tree)
            if part is None:
                continue
            limit = part.worst[1]
            own = float(np.broadcast_to(found.decides.limit, ROWS)[i])
            assert (limit is None) == math.isnan(own), (i, tree)
            if limit is not None:
                assert alike(own, limit.value_si), (i, tree)
