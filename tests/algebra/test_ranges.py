"""Arithmetic with ranges, and how large the numbers are that a result was made from; by hand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

import pytest

from checker.algebra import nodes as n
from checker.algebra import ranges
from checker.algebra.values import Judged, Missing, Quantity, compare, paired, unknown
from checker.core.units import AREA, LENGTH, RATIO, VOLUME, Amount, Order, same

if TYPE_CHECKING:
    from collections.abc import Callable

Between = Literal["straight line", "lower point", "higher point"]

INF = math.inf


def exactly(value: float, made_of: float = 0.0) -> Quantity:
    return Quantity(value, value, made_of_si=made_of)


def line(*points: tuple[float, float], between: Between = "straight line") -> n.Points:
    return n.Points(n.Named("x"), tuple((Amount(x), Amount(y)) for x, y in points), between)


HUNDRED = exactly(100.0)
REST = exactly(2.0, 100.0)
"""What is left of a hundred."""
LESS = exactly(-2.0, 100.0)


@pytest.mark.parametrize(
    ("work", "value", "made_of"),
    [
        (lambda: ranges.difference(HUNDRED, exactly(98.0), stops_at_zero=False), 2.0, 100.0),
        (lambda: ranges.difference(exactly(98.0), HUNDRED, stops_at_zero=True), 0.0, 100.0),
        (lambda: ranges.difference(REST, exactly(1.0), stops_at_zero=False), 1.0, 100.0),
        (lambda: ranges.added([HUNDRED, exactly(-98.0)]), 2.0, 100.0),
        (lambda: ranges.added([REST, exactly(7.0)]), 9.0, 100.0),
        (lambda: ranges.scaled(REST, 0.25), 0.5, 25.0),
        (lambda: ranges.scaled(REST, -0.25), -0.5, 25.0),
        (lambda: ranges.scaled(REST, 0.0), 0.0, 0.0),
        (lambda: ranges.product([REST, exactly(3.0)]), 6.0, 300.0),
        (lambda: ranges.product([exactly(3.0), REST, exactly(2.0)]), 12.0, 600.0),
        (lambda: ranges.product([LESS, exactly(-3.0)]), 6.0, 300.0),
        (lambda: ranges.ratio(REST, exactly(4.0)), 0.5, 25.0),
        # An error of 100 e in the lower number moves 8 / 2 by 8 x 100 e / 4.
        (lambda: ranges.ratio(exactly(8.0), REST), 4.0, 200.0),
        (lambda: ranges.ratio(exactly(8.0), LESS), -4.0, 200.0),
        (lambda: ranges.ratio(exactly(0.0, 100.0), Quantity(2.0, 4.0)), 0.0, 25.0),
        (lambda: ranges.pick([REST, exactly(5.0)], min), 2.0, 100.0),
        (lambda: ranges.pick([REST, exactly(5.0)], max), 5.0, 100.0),
        (lambda: ranges.through_brackets(REST, (n.Bracket(0.5),)), 1.0, 50.0),
        # A slope of 3 makes three times as much of it.
        (lambda: ranges.pointed(line((0.0, 0.0), (5.0, 15.0)), REST), 6.0, 300.0),
        # From (1, 10) up to (5, 22): 10 + 3 (2 - 1), and three times as much.
        (lambda: ranges.pointed(line((1.0, 10.0), (5.0, 22.0)), REST), 13.0, 300.0),
        # The steepest piece, down by 8 from 1 to 3, makes four times as much.
        (lambda: ranges.pointed(line((1.0, 9.0), (3.0, 1.0), (9.0, 2.0)), REST), 5.0, 400.0),
        # A step gives the same over its whole length.
        (
            lambda: ranges.pointed(line((1.0, 9.0), (3.0, 1.0), between="lower point"), REST),
            9.0,
            0.0,
        ),
    ],
)
def test_a_result_tells_how_large_its_terms_were(
    work: Callable[[], Quantity], value: float, made_of: float
) -> None:
    found = work()
    assert (found.low_si, found.high_si) == (value, value)
    assert same(found.made_of_si, made_of)


def test_what_only_rounding_left_is_nothing() -> None:
    left = ranges.difference(exactly(0.1 + 0.2), exactly(0.3), stops_at_zero=False)
    assert (left.low_si, left.high_si) == (0.0, 0.0)
    assert ranges.added([exactly(0.1), exactly(0.2), exactly(-0.3)]).high_si == 0.0
    # A part in a million is no rounding.
    assert ranges.difference(exactly(1.000001), exactly(1.0), stops_at_zero=False).low_si > 0


@pytest.mark.parametrize(
    ("work", "low", "high"),
    [
        (lambda: ranges.difference(Quantity(5, 9), Quantity(1, 2), stops_at_zero=False), 3, 8),
        (lambda: ranges.difference(Quantity(1, 9), Quantity(2, 4), stops_at_zero=True), 0, 7),
        (lambda: ranges.difference(exactly(INF), exactly(INF), stops_at_zero=False), -INF, INF),
        (lambda: ranges.added([Quantity(1, 2), Quantity(-3, INF)]), -2, INF),
        (lambda: ranges.added([Quantity(1, 2), Quantity(-INF, 4)]), -INF, 6),
        (lambda: ranges.scaled(Quantity(1, 2), -2.0), -4, -2),
        (lambda: ranges.product([Quantity(-1, 2), Quantity(3, 4)]), -4, 8),
        (lambda: ranges.product([Quantity(0, 0), Quantity(-INF, INF, AREA)]), 0, 0),
        (lambda: ranges.ratio(Quantity(2, 4), Quantity(1, 2)), 1, 4),
        (lambda: ranges.ratio(Quantity(2, 4), Quantity(-2, -1)), -4, -1),
        (lambda: ranges.ratio(Quantity(2, 4), Quantity(0, 1)), -INF, INF),
        (lambda: ranges.ratio(Quantity(2, 4), Quantity(-1, 0)), -INF, INF),
        (lambda: ranges.ratio(Quantity(2, 4), Quantity(1, INF)), -INF, INF),
        (lambda: ranges.pick([Quantity(1, 5), Quantity(2, 3)], min), 1, 3),
        (lambda: ranges.pick([Quantity(1, 5), Quantity(2, 3)], max), 2, 5),
        (lambda: ranges.hull([Quantity(1, 2), Quantity(4, 5)], ()), 1, 5),
    ],
)
def test_ranges_are_worked_out_at_their_ends(
    work: Callable[[], Quantity], low: float, high: float
) -> None:
    found = work()
    assert (found.low_si, found.high_si) == (low, high)


def test_what_decides_alone_asks_for_nothing() -> None:
    open_one = Quantity(7, 9, missing=(Missing("x", "", "give x"),))
    assert ranges.pick([exactly(3.0), open_one], min).missing == ()
    assert ranges.pick([exactly(8.0), open_one], min).missing == open_one.missing


def test_what_is_wholly_unknown_lends_no_dimension() -> None:
    volume = Quantity(6, 6, VOLUME)
    assert ranges.ratio(volume, unknown([])).dimension == RATIO
    assert ranges.product([volume, unknown([])]).dimension == RATIO
    assert ranges.ratio(volume, unknown([], LENGTH)).dimension == AREA
    measured, limit = paired(Quantity(1, 1, AREA), unknown([]))
    assert (measured.dimension, limit.dimension) == (AREA, AREA)
    measured, limit = paired(unknown([]), Quantity(1, 1, AREA))
    assert (measured.dimension, limit.dimension) == (AREA, AREA)


@pytest.mark.parametrize(
    ("measured", "limit", "shown"),
    [
        # Both are shown in the unit of the limit; one of the measure stays where it has none.
        (Quantity(1, 1, LENGTH, unit="ft"), Quantity(1, 1, LENGTH, unit="in"), ("in", "in")),
        (Quantity(1, 1, LENGTH, unit="ft"), Quantity(1, 1, LENGTH), ("ft", "")),
        (Quantity(1, 1, RATIO, unit="%"), Quantity(1, 1, RATIO), ("%", "%")),
        (Quantity(1, 1, RATIO), Quantity(1, 1, RATIO, unit="%"), ("%", "%")),
    ],
)
def test_what_is_compared_is_shown_in_one_unit(
    measured: Quantity, limit: Quantity, shown: tuple[str, str]
) -> None:
    pair = paired(measured, limit)
    assert (pair[0].unit, pair[1].unit) == shown


TEN, TWENTY = Amount(10.0), Amount(20.0)
UP_TO_TEN = n.Tier(n.Named("x"), high=TEN, high_included=False)
FROM_TEN = n.Tier(n.Named("x"), low=TEN)
OVER_TWENTY = n.Tier(n.Named("x"), low=TWENTY, low_included=False)


@pytest.mark.parametrize(
    ("low", "high", "rows", "is_covered"),
    [
        (5.0, 15.0, (UP_TO_TEN, FROM_TEN), True),
        (5.0, INF, (UP_TO_TEN, FROM_TEN), True),
        (-INF, INF, (UP_TO_TEN, FROM_TEN), True),
        (5.0, 15.0, (UP_TO_TEN,), False),
        (5.0, 25.0, (UP_TO_TEN, OVER_TWENTY), False),
        (5.0, 10.0, (UP_TO_TEN, OVER_TWENTY), False),
        (5.0, 9.0, (UP_TO_TEN, OVER_TWENTY), True),
        (20.0, 25.0, (OVER_TWENTY,), False),
        (15.0, 25.0, (FROM_TEN, OVER_TWENTY), False),
    ],
)
def test_a_range_that_reaches_into_a_gap_or_an_overlap_has_no_value(
    low: float, high: float, rows: tuple[n.Tier, ...], is_covered: bool
) -> None:
    assert ranges.covers(Quantity(low, high), rows) is is_covered


@pytest.mark.parametrize(
    ("measured", "order", "limit", "holds"),
    [
        ((1, 2), "at most", (2, 3), True),
        ((1, 2.5), "at most", (2, 3), None),
        ((3.5, 4), "at most", (2, 3), False),
        ((1, 3), "less than", (3, 4), None),
        ((3, 4), "less than", (2, 3), False),
        ((3, 4), "at least", (2, 3), True),
        ((3, 4), "more than", (2, 3), None),
        ((4, 5), "more than", (2, 3), True),
        ((1, 2), "more than", (2, 3), False),
        ((1, 2), "equal to", (3, 4), False),
        ((5, 6), "equal to", (3, 4), False),
        ((1, 3), "equal to", (3, 4), None),
        ((3, 3), "equal to", (3, 3), True),
        # Without end: never at most, and no limit without end is met.
        ((INF, INF), "at most", (5, 5), False),
        ((INF, INF), "less than", (5, 5), False),
        ((INF, INF), "at least", (5, 5), True),
        ((INF, INF), "at most", (INF, INF), None),
        ((5, 5), "at most", (INF, INF), None),
        ((-INF, INF), "at most", (5, 5), None),
        ((5, 5), "at most", (-INF, INF), None),
        ((INF, INF), "equal to", (INF, INF), None),
    ],
)
def test_a_comparison_holds_only_over_the_whole_range(
    measured: tuple[float, float], order: Order, limit: tuple[float, float], holds: bool | None
) -> None:
    assert compare(Quantity(*measured), order, Quantity(*limit)) is holds


def test_a_wide_range_does_not_make_a_comparison_generous() -> None:
    assert compare(exactly(5.0), "at most", Quantity(4.0, 1e15)) is None
    wide = ranges.difference(Quantity(5.0, 1e15), exactly(1.0), stops_at_zero=False)
    assert compare(exactly(4.5), "at most", wide) is None


def _judged(measured: Quantity, order: Order, limit: Quantity) -> Judged:
    node = n.Compare(n.Named("a"), order, n.Named("b"))
    return Judged(measured=measured, order=order, limit=limit, holds=None, node=node)


def test_the_margin_is_at_the_unfavourable_ends() -> None:
    most = _judged(Quantity(1, 3), "at most", Quantity(4, 8))
    assert (most.margin_si, most.room) == (1.0, 0.25)
    least = _judged(Quantity(5, 7), "at least", Quantity(1, 4))
    assert (least.margin_si, least.room) == (1.0, 0.25)
    assert _judged(Quantity(5, INF), "at most", Quantity(1, 4)).margin_si is None
    assert _judged(Quantity(5, INF), "at most", Quantity(1, 4)).room == INF
    near = _judged(exactly(1e-8, 100.0), "at most", exactly(0.0))
    assert near.margin_si == 0.0
    assert near.worst[0] == near.worst[1]
    # Nothing is no measure: room is a share of what the numbers were made of.
    assert _judged(exactly(2.0, 100.0), "at most", exactly(0.0)).room == -0.02


@pytest.mark.parametrize(
    ("low", "high", "least"),
    [(-5, 1, 1), (-1, 5, 1), (-INF, 3, 3), (-4, INF, 4), (-INF, INF, 0), (2, 9, 2), (-9, -2, 2)],
)
def test_a_range_is_as_large_as_its_lesser_end(low: float, high: float, least: float) -> None:
    assert Quantity(low, high).least_si == least
    assert Quantity(low, high).size_si == least
    assert Quantity(low, high, made_of_si=7.0).size_si == max(7.0, least)
