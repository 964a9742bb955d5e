"""Laws of the rows of a rule: they accept exactly the designs that `evaluate` finds to meet it."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterable
from datetime import date
from random import Random
from typing import Any, Final

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.constrain import constrain
from checker.algebra.constrain_numbers import NumberRows
from checker.algebra.constrain_terms import NotLinear, Presence, Sense
from checker.algebra.linear import Linear, Row, Rows
from checker.algebra.values import Missing, Quantity, Truth, unknown
from checker.algebra.walk import nodes
from checker.core.records import Struct, field
from checker.core.units import Amount, Order
from checker.solve.solver import least
from checker.solve.table import table_of, terms_of

TIMES: Final = int(os.environ.get("LAW_TIMES", "1"))
NAMES = ("deck", "walk", "drive")
MOST = 20.0
quarters = st.integers(0, 80).map(lambda count: count / 4)
fractions = st.sampled_from([0.0, 0.25, 0.5, 0.75, 1.0, 2.0])
signed = st.sampled_from([-1.0, -0.5, 0.25, 0.5, 1.0])


class Lot(Struct):
    """Three areas that a change can move, one number in doubt, two facts and an open question."""

    values: dict[str, float]
    doubt: tuple[float, float] = (0.0, 0.0)
    reading: str = "first"
    surface_id: str = ""
    day: date | None = None
    rows: Rows = field(default_factory=Rows)
    own: dict[str, Any] = field(default_factory=dict)
    deck_surfaces: list[Any] = field(default_factory=list)
    are_there: bool = False

    def number(self, named: n.Named) -> Quantity:
        if named.name == "doubt":
            missing = (Missing("doubt", "", "measure it"),) if self.doubt[0] < self.doubt[1] else ()
            return Quantity(*self.doubt, missing=missing)
        if named.name == "width":
            return Quantity(self.own["width"], self.own["width"])
        if named.name == "both":
            return evaluate.number(self.definition("both") or named, self)
        if named.name not in self.values:
            return unknown([Missing(named.name, "", "give it")])
        value = self.values[named.name]
        return Quantity(value, value)

    def fact(self, name: str) -> Any:
        return {"zone": "R-1", "kind": self.own.get("kind")}.get(name)

    def missing(self, name: str) -> Missing:
        return Missing(name, "", f"give {name}")

    def surfaces(self) -> Iterable[Any]:
        return [
            item
            for item in self.deck_surfaces
            if self.are_there or self.values[item.own["amount"]] > 0
        ]

    def is_on_file(self, document: str) -> bool:
        return document == "survey"

    def outcome(self, _rule: str) -> Truth:
        return evaluate.condition(OTHER_RULE, self)

    def limit_of(self, _rule: str) -> Quantity:
        return evaluate.number(OTHER_RULE.limit, self)

    def option(self, _reading: str) -> str:
        return self.reading

    # The other side: what the rows look up.

    def varies(self, named: n.Named) -> bool:
        return named.name in self.values

    def measure(self, named: n.Named, _sense: Sense, _reader: NumberRows) -> Linear:
        return Linear(0.0, {NAMES.index(named.name): 1.0})

    def definition(self, name: str) -> n.Number | None:
        return n.Sum((n.Named("deck"), n.Named("walk"))) if name == "both" else None

    def requirement(self, _rule: str) -> n.Condition:
        return OTHER_RULE

    def limit(self, _rule: str) -> n.Number | None:
        return OTHER_RULE.limit

    def step(self, _part: Linear, _rows: Rows) -> float:
        return 0.0


class Asked(Lot):
    """The side of the rows: its surfaces come with how much of each there may be."""

    def surfaces(self) -> Iterable[Any]:
        return [
            Presence(item, Linear(1.0) if self.are_there else self.amount_of(item))
            for item in self.deck_surfaces
        ]

    def amount_of(self, item: Any) -> Linear:
        return Linear(0.0, {NAMES.index(item.own["amount"]): 1.0})


def fixed(value: float) -> n.Fixed:
    return n.Fixed(Amount(value))


OTHER_RULE = n.Compare(n.Named("walk"), "at most", n.Least((fixed(7.0), n.Named("drive"))))

leaves = st.one_of(
    quarters.map(fixed),
    st.sampled_from([n.Named(name) for name in NAMES]),
    st.just(n.Named("doubt")),
    st.just(n.Named("nowhere")),
    st.just(n.LimitOf("other")),
)


# What a choice hangs on is certain.
plain = st.recursive(
    st.one_of(quarters.map(fixed), st.sampled_from([n.Named(name) for name in NAMES])),
    lambda inner: st.one_of(
        st.builds(n.Share, signed, inner),
        st.builds(n.Sum, st.lists(inner, min_size=1, max_size=2).map(tuple)),
        st.builds(n.Least, st.lists(inner, min_size=1, max_size=2).map(tuple)),
        st.builds(n.Difference, inner, st.tuples(inner), stops_at_zero=st.booleans()),
    ),
    max_leaves=3,
)


def _tier_rows(values: Any) -> st.SearchStrategy[Any]:
    ends = st.one_of(st.none(), st.integers(0, 20).map(lambda end: Amount(float(end))))
    row = st.builds(
        n.Tier, values, low=ends, low_included=st.booleans(), high=ends, high_included=st.booleans()
    )
    return st.lists(row, min_size=1, max_size=3).map(tuple)


def _bracket_rows() -> st.SearchStrategy[Any]:
    def made(items: list[tuple[float, int]], is_open: bool) -> tuple[n.Bracket, ...]:
        top, rows = 0.0, []
        for fraction, width in items:
            top += width
            rows.append(n.Bracket(fraction, Amount(top)))
        if is_open:
            rows[-1] = n.Bracket(rows[-1].fraction, None)
        return tuple(rows)

    item = st.tuples(fractions, st.integers(1, 9))
    return st.builds(made, st.lists(item, min_size=1, max_size=3), st.booleans())


def _point_rows() -> st.SearchStrategy[Any]:
    pair = st.tuples(st.integers(0, 20), st.integers(0, 20))
    return st.lists(pair, min_size=1, max_size=4, unique_by=lambda item: item[0]).map(
        lambda items: tuple((Amount(float(x)), Amount(float(y))) for x, y in sorted(items))
    )


def _numbers(inner: Any) -> st.SearchStrategy[Any]:
    several = st.lists(inner, min_size=1, max_size=3).map(tuple)
    orders = st.sampled_from(["at most", "at least", "less than", "more than"])
    when = st.builds(n.Compare, plain, orders, plain)
    between = st.sampled_from(["straight line", "lower point", "higher point"])
    return st.one_of(
        st.builds(n.Share, signed, inner),
        st.builds(n.Sum, several),
        st.builds(n.Difference, inner, several, stops_at_zero=st.booleans()),
        st.builds(lambda times, part: n.Product((fixed(times), part)), fractions, inner),
        st.builds(
            lambda part, by: n.Ratio(part, fixed(by)), inner, st.sampled_from([0.0, 2.0, 4.0])
        ),
        st.builds(n.Least, several),
        st.builds(n.Greatest, several),
        st.builds(n.Tiers, inner, _tier_rows(inner)),
        st.builds(n.Brackets, inner, _bracket_rows()),
        st.builds(n.Points, inner, _point_rows(), between),
        st.builds(
            n.Choose,
            st.lists(st.builds(n.Case, when, inner), max_size=2).map(tuple),
            st.one_of(st.none(), inner),
        ),
        st.builds(lambda a, b: n.ByReading("q", (("first", a), ("second", b))), inner, inner),
        st.builds(
            lambda a, b: n.ByDate(((date(2000, 1, 1), a), (date(2010, 1, 1), b))), inner, inner
        ),
        st.builds(
            n.Rounded, inner, st.just(Amount(1.0)), st.sampled_from(["nearest", "up", "down"])
        ),
    )


numbers = st.recursive(leaves, _numbers, max_leaves=6)
compares = st.one_of(
    st.builds(
        n.Compare,
        numbers,
        st.sampled_from(["at most", "at least", "less than", "more than", "equal to"]),
        numbers,
    ),
    st.builds(
        lambda top, bottom, order, limit: n.Compare(n.Ratio(top, bottom), order, fixed(limit)),
        st.sampled_from([n.Named("deck"), n.Named("walk")]),
        st.sampled_from([n.Named("drive"), n.Sum((n.Named("drive"), fixed(1.0)))]),
        st.sampled_from(["at most", "at least", "less than", "more than"]),
        fractions,
    ),
)
each = st.builds(
    lambda kind, width, inner: n.ForEach(
        n.Is("kind", (kind,)),
        n.AllOf((n.Compare(n.Named("width"), "at least", fixed(width)), *inner)),
    ),
    st.sampled_from(["stone", "wood"]),
    st.sampled_from([0.0, 3.0, 5.0]),
    st.lists(compares, max_size=1).map(tuple),
)
truths = st.one_of(
    compares,
    compares,
    each,
    st.sampled_from(
        [n.OnFile("survey"), n.OnFile("letter"), n.Is("zone", ("R-1",)), n.Is("kind", ("x",))]
    ),
    st.just(n.Passes("other")),
)


def _conditions(inner: Any) -> st.SearchStrategy[Any]:
    several = st.lists(inner, min_size=1, max_size=3).map(tuple)
    return st.one_of(
        st.builds(n.AllOf, several),
        st.builds(n.AnyOf, several),
        st.builds(n.Not, inner),
        st.builds(
            lambda a, b: n.ReadingCondition("q", (("first", a), ("second", b))), inner, inner
        ),
    )


conditions = st.recursive(truths, _conditions, max_leaves=4)
designs = st.fixed_dictionaries(dict.fromkeys(NAMES, quarters))
doubts = st.tuples(quarters, st.integers(0, 8)).map(lambda pair: (pair[0], pair[0] + pair[1]))


def lot_of(kind: type[Lot], values: dict[str, float], **given_: Any) -> Lot:
    lot = kind(values, **given_)
    for index, own in enumerate(
        (
            {"kind": "stone", "width": 4.0, "amount": "deck"},
            {"kind": "wood", "width": 2.0, "amount": "walk"},
        )
    ):
        item = kind(values, surface_id=f"s{index}", own=own, **given_)
        lot.deck_surfaces.append(item)
    for item in lot.deck_surfaces:
        item.deck_surfaces = lot.deck_surfaces
    return lot


def all_defined(node: n.Condition, lot: Lot) -> bool:
    numbers_in = [part for part in nodes(node) if isinstance(part, n.Number)]
    at = [lot, *lot.deck_surfaces]
    return all(
        evaluate.number(part, at[1] if part == n.Named("width") else lot).is_bounded
        for part in numbers_in
    )


def accepts(rows: Rows, values: dict[str, float]) -> bool:
    fixed_rows = [Row({index: 1.0}, values[name], values[name]) for index, name in enumerate(NAMES)]
    table = table_of(Rows(rows.variables, rows.rows + fixed_rows))
    return least(table, terms_of(Linear())).status == "optimal"


@given(
    conditions,
    st.lists(designs, min_size=4, max_size=4),
    doubts,
    st.sampled_from(["first", "second"]),
)
def test_rows_accept_what_evaluate_accepts(
    node: n.Condition, tried: list[dict[str, float]], doubt: tuple[float, float], reading: str
) -> None:
    asked = lot_of(Asked, tried[0], doubt=doubt, reading=reading)
    rows = Rows()
    for name in NAMES:
        rows.variable(name, 0.0, MOST)
    named = ""
    try:
        constrain(rows, node, asked, asked)
    except NotLinear as why:
        named = why.name
    if named:
        assert len(rows.variables) == len(NAMES)
        assert not rows.rows
        return
    for values in tried:
        lot = lot_of(Lot, values, doubt=doubt, reading=reading)
        truth = evaluate.condition(node, lot)
        if accepts(rows, values):
            assert truth.holds is True, (node, values)
        elif truth.holds:
            # A design may pass although a number that does not matter is undefined: there, and
            # only there, the rows are stricter.
            assert not all_defined(node, lot), (node, values)


# Every kind of number by itself, with a limit at or beside what it comes to on the first design.

Make = Callable[["Trees"], n.Number]
ORDERS: Final[tuple[Order, ...]] = ("at most", "at least", "less than", "more than", "equal to")


ENDS: Final = (0, 2, 5, 10, 13, 20)
"""Ends of tiers, brackets and tables; designs lie at them, between and beyond them."""


class Trees:
    """Random trees of which a change moves something; the same ones for the same seed."""

    def __init__(self, seed: str) -> None:
        self.random = Random(seed)

    def of(self, *options: Any) -> Any:
        return self.random.choice(options)

    def fixed(self) -> n.Number:
        return fixed(self.random.randint(0, 40) / 4)

    def leaf(self) -> n.Number:
        return self.of(*map(n.Named, NAMES), n.Named("deck"), n.Named("both"))  # type: ignore[no-any-return]

    def inner(self) -> n.Number:
        """Something that moves, of one sign or of both."""
        plain: tuple[Make, ...] = (
            Trees.leaf,
            Trees.leaf,
            lambda t: n.Sum((t.leaf(), t.fixed())),
            lambda t: n.Difference(t.leaf(), (t.leaf(),)),
            lambda t: n.Share(t.of(-1.0, 0.5), t.leaf()),
            lambda t: n.Sum((t.leaf(), n.Named("doubt"))),
        )
        return self.of(*plain)(self)  # type: ignore[no-any-return]

    def other(self) -> n.Number:
        return self.of(self.fixed(), self.fixed(), self.inner())  # type: ignore[no-any-return]

    def facts(self) -> n.Condition:
        return self.of(  # type: ignore[no-any-return]
            n.Is("zone", ("R-1",)), n.Is("zone", ("R-2",)), n.Is("kind", ("x",))
        )

    def when(self) -> n.Condition:
        """What a choice hangs on: numbers without doubt."""
        return n.Compare(
            self.of(*map(n.Named, NAMES)), self.of(*ORDERS[:4]), fixed(self.of(2, 5, 10))
        )

    def tiers(self) -> n.Number:
        ends = sorted(self.random.sample(ENDS, 2))
        ends = [ends[0], ends[0] if self.random.random() < 0.7 else ends[1]]
        inclusive = self.random.random() < 0.5
        low = n.Tier(self.other(), high=Amount(float(ends[0])), high_included=inclusive)
        high = n.Tier(self.other(), low=Amount(float(ends[1])), low_included=not inclusive)
        return n.Tiers(self.of(self.leaf(), self.leaf(), self.fixed()), (low, high))

    def brackets(self) -> n.Number:
        shares = [self.of(0.0, 0.25, 0.5, 1.0, 2.0) for _ in range(3)]
        shares = self.of(sorted(shares), sorted(shares, reverse=True), shares)
        tops = sorted(self.random.sample(ENDS[1:], 3))
        rows = [n.Bracket(f, Amount(float(top))) for f, top in zip(shares, tops, strict=True)]
        if self.random.random() < 0.5:
            rows[-1] = n.Bracket(shares[-1], None)
        return n.Brackets(self.inner(), tuple(rows))

    def points(self) -> n.Number:
        xs = sorted(self.random.sample(ENDS, self.of(1, 2, 3)))
        pairs = tuple((Amount(float(x)), Amount(float(self.random.randint(0, 20)))) for x in xs)
        return n.Points(
            self.of(self.leaf(), self.inner()),
            pairs,
            self.of("straight line", "lower point", "higher point"),
        )

    def choose(self) -> n.Number:
        cases = [
            n.Case(self.of(self.when(), self.when(), self.facts()), self.other())
            for _ in range(self.of(1, 2))
        ]
        return n.Choose((*cases, n.Case(self.when(), self.leaf())), self.of(None, self.other()))


def _pair(kind: Any) -> Make:
    return lambda t: kind(tuple(t.random.sample([t.inner(), t.other()], 2)))


KINDS: Final[dict[str, Make]] = {
    "named": Trees.leaf,
    "share": lambda t: n.Share(t.of(-1.0, -0.5, 0.25, 2.0), t.inner()),
    "sum": _pair(n.Sum),
    "difference": lambda t: n.Difference(t.other(), (t.inner(),)),
    "difference of several": lambda t: n.Difference(t.inner(), (t.leaf(), t.fixed())),
    "allowance": lambda t: n.Difference(t.other(), (t.inner(),), stops_at_zero=True),
    "product": lambda t: n.Product((fixed(t.of(0.0, 0.5, 3.0)), t.inner())),
    "product in doubt": lambda t: n.Product((n.Named("doubt"), t.leaf())),
    "ratio": lambda t: n.Ratio(t.inner(), fixed(t.of(2.0, 4.0, 0.0))),
    "ratio in doubt": lambda t: n.Ratio(t.leaf(), n.Sum((n.Named("doubt"), fixed(1.0)))),
    "least": _pair(n.Least),
    "greatest": _pair(n.Greatest),
    "three of them": lambda t: t.of(n.Least, n.Greatest)((t.leaf(), t.inner(), t.fixed())),
    "tiers": Trees.tiers,
    "brackets": Trees.brackets,
    "points": Trees.points,
    "choose": Trees.choose,
    "limit of": lambda t: n.Sum((n.LimitOf("other"), t.leaf())),
    "by reading": lambda t: n.ByReading("q", (("first", t.inner()), ("second", t.inner()))),
    "by date": lambda t: n.ByDate(((date(2000, 1, 1), t.inner()), (date(2010, 1, 1), t.inner()))),
    "rounded": lambda t: n.Rounded(
        t.inner(), Amount(t.of(1.0, 2.0)), t.of("nearest", "nearest", "up", "down")
    ),
}
NESTED: Final = ("least", "tiers", "brackets", "points", "choose", "allowance", "rounded")
KINDS.update(
    (f"{outer} in {how}", lambda t, outer=outer, make=make: make(t, KINDS[outer](t)))  # type: ignore[misc]
    for outer in NESTED
    for how, make in (
        ("a difference", lambda t, part: n.Difference(t.other(), (part,))),
        ("a greatest", lambda t, part: n.Greatest((part, t.inner()))),
        ("a choice", lambda t, part: n.Choose((n.Case(t.when(), part),), t.other())),
    )
)


def _near(trees: Trees, measured: n.Number, lot: Lot) -> n.Number:
    """At, or a quarter beside, what is measured; what nothing is known of is held against 5."""
    found = evaluate.number(measured, lot)
    at = trees.of(found.low_si, found.high_si)
    return fixed((at if math.isfinite(at) else 5.0) + trees.of(0.0, 0.0, 0.25, -0.25))


def _whole_tree(trees: Trees, part: n.Compare) -> n.Condition:
    """A comparison by itself, turned round, or beside others."""
    beside = n.Compare(trees.leaf(), trees.of(*ORDERS), trees.fixed())
    ways: tuple[n.Condition, ...] = (
        part,
        part,
        n.Not(part),
        n.AllOf((part, beside)),
        n.AnyOf((part, beside)),
        n.Not(n.AllOf((part, beside, trees.facts()))),
        n.AnyOf((n.AllOf((part, trees.facts())), n.Not(beside))),
        n.ReadingCondition("q", (("first", part), ("second", n.Not(part)))),
        n.AllOf((part, n.Passes("other"))),
        n.Not(n.AnyOf((part, n.Passes("other")))),
        n.ForEach(n.Is("kind", (trees.of("stone", "wood"),)), part),
        n.AnyOf((n.ForEach(n.Is("kind", ("stone",)), part), beside)),
    )
    return trees.of(*ways)  # type: ignore[no-any-return]


def _compare_rows(node: n.Condition, tried: list[dict[str, float]], given_: Any) -> list[bool]:
    """Whether the rows accept each design, held against `evaluate`; empty when not linear."""
    asked = lot_of(Asked, tried[0], **given_)
    rows = Rows()
    for name in NAMES:
        rows.variable(name, 0.0, MOST)
    try:
        constrain(rows, node, asked, asked)
    except NotLinear:
        assert len(rows.variables) == len(NAMES)
        assert not rows.rows
        return []
    found = []
    for values in tried:
        lot = lot_of(Lot, values, **given_)
        truth, is_accepted = evaluate.condition(node, lot), accepts(rows, values)
        if is_accepted:
            assert truth.holds is True, (node, values, given_)
        elif truth.holds:
            assert not all_defined(node, lot), (node, values, given_)
        found.append(is_accepted)
    return found


def _designs(trees: Trees, count: int) -> list[dict[str, float]]:
    return [{name: trees.of(*ENDS, 0.25, 7.75) for name in NAMES} for _ in range(count)]


@pytest.mark.parametrize("kind", KINDS)
def test_rows_of_every_kind_of_number(kind: str) -> None:
    trees, answers, linear = Trees(kind), [], 0
    for _ in range(30 * TIMES):
        measured = KINDS[kind](trees)
        tried = _designs(trees, 3)
        low = trees.of(0.0, 2.0)
        given_ = {
            "doubt": (low, low + trees.of(0.0, 0.0, 1.5)), "reading": trees.of("first", "second"),
            "day": trees.of(None, date(2005, 1, 1), date(2010, 1, 1)),
        }  # fmt: skip
        lot = lot_of(Lot, tried[0], **given_)
        limit = trees.of(_near(trees, measured, lot), _near(trees, measured, lot), trees.leaf())
        sides = trees.of((measured, limit), (measured, limit), (limit, measured))
        node = _whole_tree(trees, n.Compare(sides[0], trees.of(*ORDERS), sides[1]))
        found = _compare_rows(node, tried, given_)
        answers += found
        linear += bool(found)
    # A test that refuses everything, or compares nothing, would find nothing.
    assert linear >= 10
    assert answers.count(True) >= 5
    assert answers.count(False) >= 5


def test_rows_of_a_quotient_of_which_both_numbers_move() -> None:
    trees, answers = Trees("quotient"), []
    for _ in range(60 * TIMES):
        bottom = trees.of(n.Named("drive"), n.Sum((n.Named("drive"), fixed(1.0))))
        ratio = n.Ratio(trees.of(n.Named("deck"), n.Named("walk"), trees.inner()), bottom)
        limit = fixed(trees.of(0.25, 0.5, 1.0, 2.0, -0.5))
        node = _whole_tree(trees, n.Compare(ratio, trees.of(*ORDERS[:4]), limit))
        answers += _compare_rows(node, _designs(trees, 4), {})
    assert min(answers.count(True), answers.count(False)) >= 20


@pytest.mark.parametrize(
    ("less", "is_met"), [((0.0, 0.0), False), ((10.0, 0.0), True), ((9.75, 0.0), False)]
)
def test_a_difference_takes_off_what_it_says(less: tuple[float, float], is_met: bool) -> None:
    """15 less 10 is 5, at most 5; less 9.75 it is 5.25."""
    node = n.Compare(n.Difference(n.Named("deck"), (n.Named("walk"),)), "at most", fixed(5.0))
    tried = [{"deck": 15.0, "walk": less[0], "drive": less[1]}]
    assert _compare_rows(node, tried, {}) == [is_met]


@pytest.mark.parametrize(("walk", "is_met"), [(0.25, False), (0.0, True), (1.0, False)])
def test_a_least_below_a_limit_is_below_it(walk: float, is_met: bool) -> None:
    """The lesser of the walk and 1.5 is less than 0.25: a walk of 0.25 is not, though by a hair."""
    measured = n.Least((n.Named("walk"), fixed(1.5)))
    node = n.Compare(measured, "less than", fixed(0.25))
    tried = [{"deck": 20.0, "walk": walk, "drive": 0.25}]
    assert _compare_rows(node, tried, {}) == [is_met]


def test_rows_of_surfaces_that_are_there_in_any_case() -> None:
    trees, answers = Trees("surfaces"), []
    for _ in range(60 * TIMES):
        wide = n.Compare(n.Named("width"), "at least", fixed(trees.of(0.0, 3.0, 5.0)))
        moving = n.Compare(trees.inner(), trees.of(*ORDERS), trees.fixed())
        where = trees.of(
            n.Is("kind", ("stone", "wood")), n.Is("kind", ("wood",)), n.Is("kind", ("brick",))
        )
        each = n.ForEach(where, trees.of(n.AllOf((wide, moving)), n.AnyOf((wide, moving)), moving))
        beside = n.Compare(trees.leaf(), "at most", trees.fixed())
        node = trees.of(each, n.Not(each), n.AnyOf((n.Not(each), beside)))
        answers += _compare_rows(node, _designs(trees, 3), {"are_there": True})
    assert min(answers.count(True), answers.count(False)) >= 20


def test_a_surface_that_may_go_need_not_meet_what_it_cannot() -> None:
    """The deck is of stone and 4 wide, the walk of wood and 2 wide: at least 3 wide, or gone."""
    wide = n.ForEach(n.AllOf(()), n.Compare(n.Named("width"), "at least", fixed(3.0)))
    tried = [{"deck": 5.0, "walk": walk, "drive": 0.0} for walk in (0.0, 5.0)]
    assert _compare_rows(wide, tried, {}) == [True, False]


@pytest.mark.parametrize(
    ("order", "cover", "is_met"),
    [
        # One kept in reserve: 10 - 1 = 9 and 10 + 1 = 11.
        ("at most", 9.0, True), ("at most", 9.25, False), ("less than", 9.25, False),
        ("at least", 11.0, True), ("at least", 10.75, False), ("more than", 10.75, False),
    ],
)  # fmt: skip
@pytest.mark.parametrize("is_turned", [False, True])
def test_a_reserve_is_kept_at_the_limits_of_the_lot(
    order: Order, cover: float, is_met: bool, is_turned: bool
) -> None:
    seen: list[tuple[n.Number, Order]] = []

    def reserve(measured: n.Number, order: Order, _limit: Linear) -> float:
        seen.append((measured, order))
        return 1.0

    values = {"deck": cover, "walk": 0.0, "drive": 0.0}
    lot = lot_of(Asked, values)
    rows = Rows()
    for name in NAMES:
        rows.variable(name, 0.0, MOST)
    plain = n.Compare(n.Named("deck"), order, fixed(10.0))
    node = n.Not(n.Not(plain)) if is_turned else plain
    constrain(rows, node, lot, lot, reserve=reserve)
    assert seen == [(n.Named("deck"), order)]
    assert accepts(rows, values) is is_met


@pytest.mark.parametrize(("cover", "is_met"), [(14.0, True), (14.25, False)])
def test_a_reserve_of_a_quotient_is_asked_of_its_upper_number(cover: float, is_met: bool) -> None:
    """14 of 20 at most 75 %, which is 15: one more in reserve fits, and of 14.25 it does not."""
    seen: list[n.Number] = []

    def reserve(measured: n.Number, _order: Order, _limit: Linear) -> float:
        seen.append(measured)
        return 1.0

    values = {"deck": cover, "walk": 0.0, "drive": 20.0}
    lot = lot_of(Asked, values)
    rows = Rows()
    for name in NAMES:
        rows.variable(name, 0.0, MOST)
    node = n.Compare(n.Ratio(n.Named("deck"), n.Named("drive")), "at most", fixed(0.75))
    constrain(rows, node, lot, lot, reserve=reserve)
    assert seen == [n.Named("deck")]
    assert accepts(rows, values) is is_met


DECK, DRIVE = n.Named("deck"), n.Named("drive")
MOVING: Final = n.Compare(DECK, "at most", fixed(3.0))


@pytest.mark.parametrize(
    ("node", "why"),
    [
        (n.Compare(n.Product((DECK, DRIVE)), "at most", fixed(1.0)), "are multiplied"),
        (
            n.Compare(n.Product((n.Named("doubt"), n.Difference(DECK, (DRIVE,)))), "at most", DECK),
            "may be negative times one not known",
        ),
        (
            n.Compare(n.Product((n.Named("doubt"), DECK)), "equal to", fixed(1.0)),
            "one of its factors is not known",
        ),
        (
            n.Compare(n.Sum((n.Ratio(DECK, DRIVE), DECK)), "at most", fixed(1.0)),
            "a change can move the number that it is divided by",
        ),
        (
            n.Compare(n.Ratio(DECK, DRIVE), "at most", n.Named("walk")),
            "a change can move its lower number and its limit",
        ),
        (
            n.Compare(n.Ratio(DECK, n.Difference(DRIVE, (DECK,))), "at most", fixed(1.0)),
            "the number that it is divided by may be negative",
        ),
        (
            n.Compare(n.Ratio(DECK, n.Sum((n.Named("doubt"), fixed(1.0)))), "equal to", fixed(1.0)),
            "the number that it is divided by is not known",
        ),
        (
            n.Compare(
                n.Tiers(n.Named("doubt"), (n.Tier(DECK, high=Amount(9.0)),)), "at most", fixed(1.0)
            ),
            "the number that picks the tier is not known",
        ),
        (
            n.Compare(
                n.Choose((n.Case(n.Is("kind", ("x",)), DECK),), DRIVE), "equal to", fixed(1.0)
            ),
            "what decides it is not known",
        ),
        (n.Compare(n.Named("doubt"), "equal to", DECK), "it is not known: measure it"),
        (n.Not(n.ForEach(n.AllOf(()), MOVING)), "one surface must fail"),
        (n.ForEach(MOVING, MOVING), "a change can move what selects the surfaces"),
    ],
)
def test_what_no_row_can_say_is_named_and_leaves_nothing_behind(node: Any, why: str) -> None:
    lot = lot_of(Asked, {"deck": 1.0, "walk": 1.0, "drive": 1.0}, doubt=(1.0, 2.0))
    rows = Rows(rule="before")
    for name in NAMES:
        rows.variable(name, 0.0, MOST)
    with pytest.raises(NotLinear, match=why):
        constrain(rows, n.AllOf((MOVING, node)), lot, lot, rule="a rule")
    assert (len(rows.variables), rows.rows, rows.rule) == (len(NAMES), [], "before")


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize(
    "node",
    [
        n.Tiers(n.Sum((DECK, fixed(30.0))), (n.Tier(DECK, high=Amount(9.0)),)),
        n.Tiers(fixed(30.0), (n.Tier(DECK, high=Amount(9.0)),)),
        n.Brackets(n.Sum((DECK, fixed(30.0))), (n.Bracket(0.5, Amount(9.0)),)),
        n.Brackets(n.Sum((DECK, n.Ratio(DECK, fixed(0.0)))), (n.Bracket(0.5, Amount(9.0)),)),
        n.Points(n.Sum((DECK, fixed(30.0))), ((Amount(0.0), Amount(1.0)),), "straight line"),
        n.Points(n.Ratio(DECK, fixed(0.0)), ((Amount(0.0), Amount(1.0)),), "straight line"),
        n.Choose((n.Case(n.Is("zone", ("R-2",)), DECK),), None),
        n.Choose((n.Case(MOVING, n.Choose(())), n.Case(n.Not(MOVING), n.Choose(()))), None),
        n.Sum((n.Ratio(DECK, fixed(0.0)), DECK)),
        n.Rounded(n.Ratio(DECK, fixed(0.0)), Amount(1.0), "up"),
    ],
)
def test_a_number_that_there_is_not_meets_no_limit(node: Any, order: Order) -> None:
    for whole in (
        n.Compare(node, order, fixed(5.0)),
        n.Not(n.Compare(node, order, fixed(5.0))),
    ):
        tried = [{"deck": deck, "walk": 0.0, "drive": 0.0} for deck in (0.0, 5.0, 20.0)]
        assert not any(_compare_rows(whole, tried, {}))


# By hand: at the very end of a stretch the side that owns the end decides, and only that one.

WALK = n.Named("walk")


def _tiers_at_ten(*, is_upper: bool) -> n.Number:
    """3 below 10 and 8 above it; 10 itself belongs to one of them."""
    ten = Amount(10.0)
    return n.Tiers(
        DECK,
        (
            n.Tier(fixed(3.0), high=ten, high_included=not is_upper),
            n.Tier(fixed(8.0), low=ten, low_included=is_upper),
        ),
    )


def _points(between: Any) -> n.Number:
    """4 at 5, 9 at 10."""
    pairs = ((Amount(5.0), Amount(4.0)), (Amount(10.0), Amount(9.0)))
    return n.Points(DECK, pairs, between)


TWO = Amount(2.0)
AT_THE_ENDS: Final[tuple[tuple[n.Number, dict[float, float | None]], ...]] = (
    (_tiers_at_ten(is_upper=True), {9.75: 3, 10: 8, 10.25: 8}),
    (_tiers_at_ten(is_upper=False), {9.75: 3, 10: 3, 10.25: 8}),
    (_points("straight line"), {4: None, 5: 4, 7: 6, 10: 9, 11: None}),
    (_points("lower point"), {4: None, 5: 4, 7: 4, 10: 9, 11: None}),
    (_points("higher point"), {4: None, 5: 4, 7: 9, 10: 9, 11: None}),
    # 20 % of the first 5 and 60 % of the next 5; beyond 10 the text says nothing.
    (
        n.Brackets(DECK, (n.Bracket(0.2, Amount(5.0)), n.Bracket(0.6, Amount(10.0)))),
        {0: 0, 5: 1, 7.5: 2.5, 10: 4, 10.25: None},
    ),
    (n.Rounded(DECK, TWO, "up"), {4: 4, 4.25: 6, 6: 6}),
    (n.Rounded(DECK, TWO, "down"), {4: 4, 5.75: 4, 6: 6}),
    (n.Rounded(DECK, TWO, "nearest"), {4.75: 4, 5: 6, 5.25: 6}),
    # Halves go away from zero: -5 is -6 in steps of two, and 5 is 6.
    (
        n.Rounded(n.Difference(DECK, (fixed(10.0),)), TWO, "nearest"),
        {5: -6, 5.25: -4, 4.75: -6, 15: 6, 14.75: 4},
    ),
    (n.Greatest((DECK, fixed(5.0), fixed(2.0))), {4: 5, 5: 5, 6: 6}),
    (n.Least((DECK, fixed(5.0), fixed(9.0))), {4: 4, 5: 5, 6: 5}),
)


@pytest.mark.parametrize(
    ("node", "deck", "value"),
    [(node, deck, value) for node, values in AT_THE_ENDS for deck, value in values.items()],
)
def test_at_the_end_of_a_stretch_its_owner_decides(
    node: Any, deck: float, value: float | None
) -> None:
    """The walk less the number is held against nothing, a quarter below, at and above it."""
    left = n.Difference(n.Sum((WALK, fixed(0.0))), (node,))
    for order in ORDERS:
        for off in (-0.25, 0.0, 0.25):
            walk = 8.0 + (value or 0.0) + off
            tried = [{"deck": deck, "walk": walk, "drive": 0.0}]
            holds = {
                "at most": off <= 0,
                "at least": off >= 0,
                "less than": off < 0,
                "more than": off > 0,
                "equal to": off == 0,
            }[order]
            plain = n.Compare(left, order, fixed(8.0))
            turned = n.Not(plain)
            wanted = (False, False) if value is None else (holds, not holds)
            found = _compare_rows(plain, tried, {}), _compare_rows(turned, tried, {})
            assert found == ([wanted[0]], [wanted[1]]), (order, off)


@pytest.mark.parametrize(
    ("node", "deck", "holds"),
    [
        # 1 to 2 times a deck is 5 to 10 of 5: at most 10, and no more can be said than that.
        (n.Compare(n.Product((n.Named("doubt"), DECK)), "at most", fixed(10.0)), 5.0, True),
        (n.Compare(n.Product((n.Named("doubt"), DECK)), "at most", fixed(9.75)), 5.0, False),
        (n.Compare(n.Product((n.Named("doubt"), DECK)), "at least", fixed(5.0)), 5.0, True),
        (n.Compare(n.Product((n.Named("doubt"), DECK)), "at least", fixed(5.25)), 5.0, False),
        # 12 by 1 to 2 is 6 to 12.
        (n.Compare(n.Ratio(DECK, n.Named("doubt")), "at most", fixed(12.0)), 12.0, True),
        (n.Compare(n.Ratio(DECK, n.Named("doubt")), "at most", fixed(11.75)), 12.0, False),
        (n.Compare(n.Ratio(DECK, n.Named("doubt")), "at least", fixed(6.0)), 12.0, True),
        (n.Compare(n.Ratio(DECK, n.Named("doubt")), "at least", fixed(6.25)), 12.0, False),
    ],
)
def test_a_number_in_doubt_is_taken_at_its_unfavourable_end(
    node: n.Condition, deck: float, holds: bool
) -> None:
    tried = [{"deck": deck, "walk": 0.0, "drive": 0.0}]
    assert _compare_rows(node, tried, {"doubt": (1.0, 2.0)}) == [holds]


@pytest.mark.parametrize(
    ("row", "inside", "outside"),
    [
        # The table ends just below the largest area of all, or begins just above the smallest.
        (n.Tier(fixed(1.0), high=Amount(MOST), high_included=False), 19.75, MOST),
        (n.Tier(fixed(1.0), low=Amount(0.0), low_included=False), 0.25, 0.0),
    ],
)
def test_an_end_that_a_tier_leaves_out_is_left_out_of_the_rows(
    row: n.Tier, inside: float, outside: float
) -> None:
    node = n.Compare(n.Tiers(n.Named("deck"), (row,)), "at most", fixed(5.0))
    asked = lot_of(Asked, dict.fromkeys(NAMES, 1.0))
    rows = Rows()
    for name in NAMES:
        rows.variable(name, 0.0, MOST)
    constrain(rows, node, asked, asked)
    for deck, holds in ((inside, True), (outside, False)):
        values = {"deck": deck, "walk": 1.0, "drive": 1.0}
        assert (evaluate.condition(node, lot_of(Lot, values)).holds is True) is holds
        assert accepts(rows, values) is holds
