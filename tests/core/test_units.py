"""Amounts: reading, converting, comparing, rounding, showing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.core.rounding import rounded
from checker.core.showing import held_together, show, show_number, show_pair
from checker.core.units import (
    AREA,
    LENGTH,
    RATIO,
    UNIT,
    UNITS,
    Amount,
    System,
    UnreadableAmount,
    amount,
    meets,
    read_amount,
    same,
)

# Exact by definition: NIST Special Publication 811 (2008), appendix B.8, from memory for the
# digits; the US survey foot is 1200/3937 m by the Mendenhall order of 1893.
EXACT = [
    ("1 ft", 0.3048),
    ("1 in", 0.0254),
    ("1 yd", 0.9144),
    ("1 us survey ft", 1200 / 3937),
    ("1 chain", 66 * 1200 / 3937),
    ("1 acre", 4046.8564224),
    ("1 sq ft", 0.09290304),
    ("1 cu ft", 0.028316846592),
    ("1 gal", 0.003785411784),
    ("1 lb", 0.45359237),
    ("1 in/h", 0.0254 / 3600),
    ("1 cfs", 0.028316846592),
]


@pytest.mark.parametrize(("text", "si"), EXACT)
def test_units_have_their_defined_size(text: str, si: float) -> None:
    assert same(read_amount(text).value_si, si)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("12 in", 12),
        ("3'-6\"", 42),
        ("3 ft 6 in", 42),
        ("3 ft 6 1/2 in", 42.5),
        ("1/4 in", 0.25),
        ("1 1/2 in", 1.5),
        ("12.5 ft", 150),
        ("-2 in", -2),
        ("1e1 in", 10),
    ],
)
def test_lengths_as_people_write_them(text: str, inches: float) -> None:
    assert same(read_amount(text, LENGTH).to("in"), inches)


@pytest.mark.parametrize(
    ("text", "share"),
    [("45 %", 0.45), ("1/4 in/ft", 1 / 48), ("1:48", 1 / 48), ("0.5", 0.5), ("2 percent", 0.02)],
)
def test_shares_as_people_write_them(text: str, share: float) -> None:
    assert same(read_amount(text, RATIO).value_si, share)


def test_feet_and_decimal_feet_are_not_mixed_up() -> None:
    # 12'-6" is 12.50 ft, not 12.6: a trap of surveys.
    assert same(read_amount("12'-6\"").to("ft"), 12.5)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("12", "has no unit"),
        ("12 furlongs", "'furlongs' in '12 furlongs' is not a known unit"),
        ("12 furlongs", "not a known unit; units of a length: ft, in,"),
        ("1e400 ft", "'1e400 ft' is too large"),
        ("twelve ft", "is not an amount"),
        ("1/0 in", "divides by zero"),
        ("1:0", "divides by zero"),
        ("12 sq ft", "is an area, but a length is wanted"),
        ("", "is not an amount"),
        ("9" * 80, "too long"),
        (None, "is not an amount"),
        (True, "is not an amount"),
        ([], "is not an amount"),
    ],
)
def test_what_is_no_length_says_why(text: object, says: str) -> None:
    with pytest.raises(UnreadableAmount) as raised:
        read_amount(text, LENGTH)
    assert says in str(raised.value)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        read = read_amount(text)
    except UnreadableAmount:
        return
    assert read.value_si == read.value_si  # not NaN


@given(st.sampled_from(UNITS), st.integers(-1000, 1000))
def test_reading_what_was_written_gives_it_back(unit: object, quarters: int) -> None:
    assert hasattr(unit, "name")
    number = quarters / 4
    if unit.name in {"in/ft"} or unit.name.startswith("$"):
        return
    assert same(read_amount(f"{number} {unit.name}").to(unit.name), number) or number == 0


def test_spellings_are_unique() -> None:
    spellings = [s for unit in UNITS for s in (unit.name, *unit.spellings)]
    assert len(spellings) == len(set(spellings)) == len(UNIT)


# The share of two thirds of 600 sq ft computed with doubles: 0.4 * 1.5 * 500 is 300.00000000000006.
def test_exactly_at_the_limit_follows_the_wording() -> None:
    measured = 0.4 * 1.5 * 500
    assert measured != 300
    assert meets(measured, 300, "at most")
    assert meets(measured, 300, "at least")
    assert meets(measured, 300, "equal to")
    assert not meets(measured, 300, "less than")
    assert not meets(measured, 300, "more than")


@pytest.mark.parametrize("orders", [("at most", "more than"), ("at least", "less than")])
@given(a=st.integers(-400, 400), b=st.integers(-400, 400))
def test_each_order_is_the_opposite_of_another(orders: tuple[str, str], a: int, b: int) -> None:
    assert meets(a / 4, b / 4, orders[0]) != meets(a / 4, b / 4, orders[1])  # type: ignore[arg-type]


@given(width=st.integers(1, 4000), depth=st.integers(1, 4000), percent=st.integers(1, 100))
def test_a_lot_at_its_limit_is_met_in_any_unit(width: int, depth: int, percent: int) -> None:
    lot_m2 = (width / 4 * 0.3048) * (depth / 4 * 0.3048)
    cover_m2 = width / 4 * depth / 4 * percent / 100 * 0.3048**2
    assert meets(cover_m2, percent / 100 * lot_m2, "at most")
    assert not meets(cover_m2 * 1.000001, percent / 100 * lot_m2, "at most")


@pytest.mark.parametrize(
    ("value", "step", "way", "result"),
    [
        (47.25, 0.1, "nearest", 47.3),  # half away from zero; the plain format prints 47.2
        (47.25, 0.1, "down", 47.2),
        (47.21, 0.1, "up", 47.3),
        (0.4 * 1.5 * 500, 1.0, "up", 300.0),  # a trace of rounding is no reason to go up
        (213.34, 1.0, "up", 214.0),
        (-47.25, 0.1, "nearest", -47.3),
    ],
)
def test_rounding(value: float, step: float, way: str, result: float) -> None:
    assert same(rounded(value, step, way), result)  # type: ignore[arg-type]


def test_numbers_are_shown_half_up_with_commas() -> None:
    assert show_number(47.25, 1) == "47.3"
    assert show_number(2.675, 2) == "2.68"
    assert show_number(1234567.0, 0) == "1,234,567"
    assert show_number(-0.0001, 1) == "0.0"


def test_different_amounts_never_look_alike() -> None:
    limit, over = Amount(0.45, RATIO, "%"), Amount(0.450001, RATIO, "%")
    assert show_pair(over, limit, "us") == ("45.0001 %", "45.0000 %")
    assert show_pair(limit, limit, "us") == ("45.00 %", "45.00 %")
    # Half a square foot too much on 4,500.
    assert show_pair(amount(4500.4, "sq ft"), amount(4500, "sq ft"), "us") == (
        "4,500.4 sq ft",
        "4,500.0 sq ft",
    )


def test_amounts_are_shown_in_either_system() -> None:
    assert show(amount(1000, "sq ft"), "us") == "1,000 sq ft"
    assert show(amount(1000, "sq ft"), "metric") == "92.90 m2"
    assert show(amount(12.5, "$/sq ft"), "us") == "$12.50/sq ft"
    assert show(amount(-3, "ft"), "us", signed=True) == "-3.00 ft"
    assert show(amount(3, "ft"), "us", signed=True) == "+3.00 ft"


def test_showing_in_a_unit_of_another_kind_is_refused() -> None:
    with pytest.raises(UnreadableAmount):
        Amount(1.0, AREA).to("ft")


@pytest.mark.parametrize(
    ("value", "unit", "system", "text"),
    [
        (0.006, "L/s", "metric", "0.006 L/s"),
        (0.0063, "L/s", "metric", "0.0063 L/s"),
        (0.00634, "L/s", "metric", "0.0063 L/s"),
        (0.06, "L/s", "metric", "0.06 L/s"),
        (0.5, "L/s", "metric", "0.50 L/s"),
        (0.4, "sq ft", "us", "0.4 sq ft"),
        (0.046, "sq ft", "us", "0.046 sq ft"),
        (3.6, "sq ft", "us", "4 sq ft"),
        (1e-9, "sq ft", "us", "0 sq ft"),
        (0.004, "$", "us", "$0.00"),
        (0.006, "%", "us", "0.006 %"),
    ],
)
def test_small_numbers_keep_two_figures_that_say_something(
    value: float, unit: str, system: System, text: str
) -> None:
    assert show(amount(value, unit), system) == text


def test_no_line_ends_between_a_number_and_its_unit() -> None:
    held = held_together("at most 25 % of the lot or 5,000 sq ft, 2 in each yard, 3 inlets")
    assert held.split(" ") == [
        "at", "most", "25\xa0%", "of", "the", "lot", "or", "5,000\xa0sq\xa0ft,", "2\xa0in",
        "each", "yard,", "3", "inlets",
    ]  # fmt: skip
