"""Rounding and wording: texts differ whenever amounts do, and a fail never prints like a pass."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.algebra.values import Quantity
from checker.core.problems import Place
from checker.core.showing import show
from checker.core.units import AREA, LENGTH, RATIO, Amount, amount
from checker.measure.catalogue import NONE_NEAR_M
from checker.words.amounts import (
    at_least_text,
    clean,
    decimals_that_add_up,
    fixed_text,
    margin_text,
    pair_text,
    place_text,
    range_text,
    trio_text,
)

SQ_FT = amount(1, "sq ft").value_si


def sq_ft(number: float) -> Amount:
    return Amount(number * SQ_FT, AREA)


def test_a_margin_that_is_not_met_never_prints_as_zero() -> None:
    assert margin_text(sq_ft(-0.004), "us") == "−0.004 sq ft"
    assert margin_text(sq_ft(0.3), "us") == "+0.3 sq ft"
    assert margin_text(sq_ft(0), "us") == "0 sq ft"


@given(st.floats(0.001, 1e6), st.floats(1e-3, 1e3))
def test_two_amounts_that_differ_print_apart(limit: float, over: float) -> None:
    texts = pair_text(sq_ft(limit + over), sq_ft(limit), "us")
    assert texts[0] != texts[1]


def test_equal_amounts_print_alike_even_when_they_came_about_otherwise() -> None:
    # 0.1 + 0.2 is 0.30000000000000004 in doubles; both are three tenths of a square foot.
    texts = pair_text(sq_ft(0.1 + 0.2), sq_ft(0.3), "us")
    assert texts[0] == texts[1]


def test_a_city_sheet_over_its_limit() -> None:
    # A Minnesota city's 2019 sheet (permit cases): 35 % allows 3,250 sq ft, 3,410 are drawn,
    # so it is over by 160.
    texts = trio_text(sq_ft(3410), sq_ft(3250), sq_ft(3250 - 3410), "us")
    assert texts == ("3,410 sq ft", "3,250 sq ft", "−160 sq ft")


def test_measured_limit_and_margin_add_up_as_printed() -> None:
    # To whole numbers 3,583 and 4,821 would leave 1,238, but the margin rounds to 1,239.
    texts = trio_text(sq_ft(3582.6), sq_ft(4821.4), sq_ft(1238.8), "us")
    assert texts == ("3,582.6 sq ft", "4,821.4 sq ft", "+1,238.8 sq ft")


@given(st.integers(0, 10_000_000), st.integers(0, 10_000_000))
def test_hundredths_always_add_up_as_printed(measured: int, limit: int) -> None:
    left, right, room = trio_text(
        sq_ft(measured / 100), sq_ft(limit / 100), sq_ft((limit - measured) / 100), "us"
    )
    hundredths = [
        round(float(text.split()[0].replace(",", "").replace("−", "-")) * 100)
        for text in (left, right, room)
    ]
    assert hundredths[1] - hundredths[0] == hundredths[2]


def test_what_must_be_reached_is_rounded_up() -> None:
    assert at_least_text(sq_ft(142.01), "us") == "143 sq ft"
    assert at_least_text(sq_ft(142), "us") == "142 sq ft"
    assert at_least_text(Amount(1.0001, LENGTH), "metric") == "1.001 m"


def test_ranges() -> None:
    assert range_text(Quantity(SQ_FT, 2 * SQ_FT, AREA), "us") == "1 to 2 sq ft"
    assert range_text(Quantity(SQ_FT, 1.001 * SQ_FT, AREA), "us") == "1.000 to 1.001 sq ft"
    assert range_text(Quantity(-float("inf"), float("inf"), AREA), "us") == "not known"
    assert range_text(Quantity(SQ_FT, float("inf"), AREA), "us") == "1 sq ft or more"
    assert range_text(Quantity(-float("inf"), SQ_FT, AREA), "us") == "1 sq ft or less"
    assert range_text(Quantity(0.25, 0.5, RATIO, (), "%"), "us") == "25.00 to 50.00 %"


def test_something_that_is_not_there_has_no_distance() -> None:
    assert show(Amount(NONE_NEAR_M, LENGTH), "us") == "none found"
    assert pair_text(Amount(NONE_NEAR_M, LENGTH), amount(50, "ft"), "us")[0] == "none found"


def test_limits_in_small_units_are_compared_in_them() -> None:
    # Half a foot is 6 in.
    assert pair_text(Amount(0.1524, LENGTH), amount(8, "in"), "us") == ("6 in", "8 in")


@pytest.mark.parametrize(
    ("given_text", "shown"),
    [
        ("a\x1b[31mred", "a [31mred"),
        ("left\u202eright", "left right"),
        ("two\nlines\t here", "two lines here"),
        ("zero\u200bwidth", "zero width"),
        ("lone \ud800 half", "lone half"),
        ("Straße 5", "Straße 5"),
    ],
)
def test_texts_of_files_are_made_harmless(given_text: str, shown: str) -> None:
    assert clean(given_text) == shown


def test_places_never_name_a_folder_of_the_machine() -> None:
    assert place_text(Place("/home/somebody/lots/site.yaml", 12, 3)) == "site.yaml:12"
    assert place_text(Place("C:\\lots\\site.yaml", 2)) == "site.yaml:2"
    assert place_text(Place("jurisdictions/town.yaml", 5)) == "jurisdictions/town.yaml:5"


def test_tables_get_the_decimals_at_which_they_add_up() -> None:
    # 0.4 + 0.4 = 0.8: to whole numbers 0 + 0 is not 1.
    assert decimals_that_add_up([([0.4, 0.4], 0.8)], 0) == 1
    assert decimals_that_add_up([([1.0, 2.0], 3.0)], 0) == 0
    # Thirds never add up; then the usual decimals stay.
    assert decimals_that_add_up([([1 / 3, 1 / 3, 1 / 3], 1.0)], 0) == 0


def test_cells() -> None:
    assert fixed_text(1234.5, 1234.5, 0) == "1,235"
    assert fixed_text(-168, -84, 0) == "−168 to −84"
