"""Rounding and wording: texts differ whenever amounts do, and a fail never prints like a pass."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from checker.algebra.values import Quantity
from checker.core.problems import Place
from checker.core.showing import show
from checker.core.units import AREA, LENGTH, RATIO, Amount, Order, System, amount, meets, same
from checker.measure.catalogue import NONE_NEAR_M
from checker.words.amounts import (
    clean,
    decimals_that_add_up,
    fixed_text,
    limit_that_adds_up,
    margin_text,
    pair_text,
    place_text,
    range_text,
    shown,
    sum_that_adds_up,
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
    texts = trio_text(sq_ft(3410), sq_ft(3250), sq_ft(3250 - 3410), "us", None, "at most")
    assert texts == ("3,410 sq ft", "3,250 sq ft", "−160 sq ft")


def test_measured_limit_and_margin_add_up_as_printed() -> None:
    # To whole numbers 3,583 and 4,821 leave 1,238, and the room of 1,238.8 is printed so.
    texts = trio_text(sq_ft(3582.6), sq_ft(4821.4), sq_ft(1238.8), "us", None, "at most")
    assert texts == ("3,583 sq ft", "4,821 sq ft", "+1,238 sq ft")
    # 3,582 and 4,821 would leave 1,239, but there is room for 1,238.6 only.
    texts = trio_text(sq_ft(3582.4), sq_ft(4821.0), sq_ft(1238.6), "us", None, "at most")
    assert texts == ("3,582.4 sq ft", "4,821.0 sq ft", "+1,238.6 sq ft")


@given(st.integers(0, 10_000_000), st.integers(0, 10_000_000))
def test_hundredths_always_add_up_as_printed(measured: int, limit: int) -> None:
    left, right, room = trio_text(
        sq_ft(measured / 100),
        sq_ft(limit / 100),
        sq_ft((limit - measured) / 100),
        "us",
        None,
        "at most",
    )
    hundredths = [
        round(float(text.split()[0].replace(",", "").replace("−", "-")) * 100)
        for text in (left, right, room)
    ]
    assert hundredths[1] - hundredths[0] == hundredths[2]


def test_what_must_be_reached_is_rounded_up() -> None:
    assert shown(sq_ft(142.01), "us", 0, "up") == "143 sq ft"
    assert shown(sq_ft(142), "us", 0, "up") == "142 sq ft"
    assert shown(Amount(1.0001, LENGTH), "metric", 0, "up") == "1.001 m"
    assert margin_text(sq_ft(-142.01), "us", 0) == "−143 sq ft"


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
    tenths = sum_that_adds_up([0.4, 0.4], 0.8)
    assert decimals_that_add_up([[tenths]], 0) == 1
    assert decimals_that_add_up([[sum_that_adds_up([1.0, 2.0], 3.0)]], 0) == 0
    # Thirds never add up; then the usual decimals stay, or those of what does by itself.
    thirds = sum_that_adds_up([1 / 3, 1 / 3, 1 / 3], 1.0)
    assert decimals_that_add_up([[thirds]], 0) == 0
    assert decimals_that_add_up([[tenths], [thirds]], 0) == 1


def test_cells() -> None:
    assert fixed_text(1234.5, 1234.5, 0) == "1,235"
    assert fixed_text(-168, -84, 0) == "−168 to −84"


AREAS = st.one_of(
    st.integers(0, 4_000_000).map(lambda n: n / 200),  # halves of hundredths: every tie there is
    st.floats(0.01, 20_000, allow_nan=False),
)
ORDERS: list[Order] = ["at most", "less than", "at least", "more than"]
SYSTEMS: list[System] = ["us", "metric"]


def in_m2(text: str) -> float:
    """The number of a printed area, back in square metres."""
    number, _, unit = text.removeprefix("less than ").partition(" ")
    return amount(float(number.replace(",", "").replace("−", "-")), unit).value_si


@given(
    AREAS, AREAS, st.sampled_from(ORDERS), st.sampled_from(SYSTEMS), st.sampled_from([None, 0, 1])
)
@example(500.0, 900.5, "at most", "us", 0)
@example(400.0, 562.5, "at most", "us", 0)
@example(900.6, 900.7, "at most", "us", 0)
@example(899.6, 900.5, "less than", "us", 0)
def test_whoever_keeps_to_the_printed_room_keeps_to_the_rule(
    used: float, limit: float, order: Order, system: System, decimals: int | None
) -> None:
    """Printed numbers are read back, not reckoned: what they promise must be there."""
    wants_less = order in {"at most", "less than"}
    room = (limit - used if wants_less else used - limit) if not same(used, limit) else 0.0
    texts = trio_text(sq_ft(used), sq_ft(limit), sq_ft(room), system, decimals, order)
    shown_used, shown_limit, shown_room = map(in_m2, texts)
    used_m2, limit_m2, room_m2 = used * SQ_FT, limit * SQ_FT, room * SQ_FT
    slack_m2 = 1e-9 * max(used_m2, limit_m2)  # the one tolerance of every comparison
    # A limit is never printed wider than it is, room never larger, a lack never smaller.
    assert (
        (shown_limit <= limit_m2 + slack_m2) if wants_less else (shown_limit >= limit_m2 - slack_m2)
    )
    assert shown_room <= room_m2 + slack_m2
    # What is met prints as met, what fails as failing.
    met = meets(used_m2, limit_m2, order)
    assert meets(shown_used, shown_limit, order) == met
    # What is printed as room does not take the printed number past the printed limit.
    if room > 0:
        after = shown_used + shown_room if wants_less else shown_used - shown_room
        assert meets(after, shown_limit, "at most" if wants_less else "at least", used_m2)
    # Whoever acts on it passes: uses all of the room, or makes up for all that is lacking.
    done = used_m2 + shown_room if wants_less else used_m2 - shown_room
    if room and order in {"at most", "at least"}:
        assert meets(done, limit_m2, order, max(used_m2, limit_m2))


@given(AREAS, AREAS)
def test_the_decimals_of_a_page_are_those_at_which_limits_add_up(used: float, limit: float) -> None:
    amounts = sq_ft(used), sq_ft(limit), sq_ft(limit - used)
    tried = limit_that_adds_up(*amounts, "at most", "us")
    decimals = decimals_that_add_up([[tried]], 0)
    texts = trio_text(*amounts, "us", decimals, "at most")
    numbers = [Decimal(t.split()[0].replace(",", "").replace("−", "-").lstrip("+")) for t in texts]
    assert not tried(decimals) or numbers[1] - numbers[0] == numbers[2]
