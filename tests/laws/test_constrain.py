"""Laws of the rows of a rule: they accept exactly the designs that `evaluate` finds to meet it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

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
from checker.core.units import Amount
from checker.solve.solver import least

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

    def number(self, named: n.Named) -> Quantity:
        if named.name == "doubt":
            missing = (Missing("doubt", "", "measure it"),) if self.doubt[0] < self.doubt[1] else ()
            return Quantity(*self.doubt, missing=missing)
        if named.name == "width":
            return Quantity(self.own["width"], self.own["width"])
        if named.name not in self.values:
            return unknown([Missing(named.name, "", "give it")])
        value = self.values[named.name]
        return Quantity(value, value)

    def fact(self, name: str) -> Any:
        return {"zone": "R-1", "kind": self.own.get("kind")}.get(name)

    def missing(self, name: str) -> Missing:
        return Missing(name, "", f"give {name}")

    def surfaces(self) -> Iterable[Any]:
        return [item for item in self.deck_surfaces if self.values[item.own["amount"]] > 0]

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


class Asked(Lot):
    """The side of the rows: its surfaces come with how much of each there may be."""

    def surfaces(self) -> Iterable[Any]:
        return [
            Presence(item, Linear(0.0, {NAMES.index(item.own["amount"]): 1.0}))
            for item in self.deck_surfaces
        ]


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
    return least(Rows(rows.variables, rows.rows + fixed_rows), Linear()).status == "optimal"


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
