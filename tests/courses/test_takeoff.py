"""Take-off: every expected amount is worked by hand beside its check."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.core.formula import OutOfRange
from checker.courses.takeoff import (
    Span,
    course_volume_m3,
    fabric_area_m2,
    loose_volume_m3,
    stone_mass_kg,
    strips_count,
    to_order,
    units_count,
)
from checker.courses.voids import VoidMixUp, porosity_fraction, stated_porosity_fraction, void_ratio

FOOT = 0.3048


def test_mass_as_a_span() -> None:
    # By hand for 10 cubic metres: 0.55 x 2.60 x 1000 x 10 = 14,300; 0.60 x 2.65 x 1000 x 10 =
    # 15,900; 0.65 x 2.70 x 1000 x 10 = 17,550 kg.
    found = stone_mass_kg(10.0, Span(0.35, 0.40, 0.45), Span(2.60, 2.65, 2.70))
    assert (found.least, found.usual, found.most) == pytest.approx((14300, 15900, 17550))


def test_allowance_on_a_course() -> None:
    # By hand: 100 x 0.1 x 1.1.
    assert course_volume_m3(100.0, 0.1, 0.10) == pytest.approx(11.0)


def test_fabric_with_turned_up_sides() -> None:
    # By hand: 24 x 40 ft turned up 1 ft is 26 x 42. Along 42: 1 + (26-12.5)/10.5 = 2.29, 3 strips,
    # 3 x 12.5 x 42 = 1575. Along 26: 1 + 29.5/10.5 = 3.81, 4 strips, 4 x 12.5 x 26 = 1300 sq ft.
    found = fabric_area_m2(
        40 * FOOT, 24 * FOOT, roll_width_m=12.5 * FOOT, lap_m=2 * FOOT, turn_up_m=FOOT
    )
    assert found / FOOT**2 == pytest.approx(1300)


def test_one_strip_where_the_roll_is_wide_enough() -> None:
    assert strips_count(3.0, 3.81, 0.3) == 1
    assert strips_count(3.81, 3.81, 0.3) == 1


def test_fabric_turned_up_at_the_ends_of_its_strips() -> None:
    # By hand: 30 x 10 ft turned up 1 ft is 32 x 12, one strip 32 ft long: 12.5 x 32 = 400 sq ft;
    # the other way 1 + (32-12.5)/10.5 = 2.86, 3 strips, 3 x 12.5 x 12 = 450.
    found = fabric_area_m2(
        30 * FOOT, 10 * FOOT, roll_width_m=12.5 * FOOT, lap_m=2 * FOOT, turn_up_m=FOOT
    )
    assert found / FOOT**2 == pytest.approx(400)


def test_strips_that_just_fit() -> None:
    # By hand: 12.5 + 10.5 = 23 ft is exactly two strips.
    assert strips_count(23 * FOOT, 12.5 * FOOT, 2 * FOOT) == 2
    assert strips_count(23.01 * FOOT, 12.5 * FOOT, 2 * FOOT) == 3


def test_a_lap_as_wide_as_the_roll() -> None:
    with pytest.raises(ValueError, match="leaves nothing"):
        strips_count(10.0, 2.0, 2.0)


def test_whole_units_are_not_rounded_up_by_a_hair() -> None:
    # 300 = 0.4 x 1.5 x 500, whose double is 300.00000000000006.
    assert units_count(0.4 * 1.5 * 500, 1.0, 0.0) == 300


def test_swell_of_zero_is_the_bank_volume() -> None:
    assert loose_volume_m3(7.5, 0.0) == 7.5


def test_nothing_negative_can_be_ordered() -> None:
    with pytest.raises(OutOfRange):
        course_volume_m3(-1.0, 0.1)
    with pytest.raises(ValueError, match="cannot be ordered by"):
        to_order(3.0, 0.0)


@given(st.integers(0, 4000), st.integers(1, 400))
def test_an_order_is_enough_and_not_a_pack_too_much(quarters: int, pack_quarters: int) -> None:
    needed, pack = quarters / 4, pack_quarters / 4
    ordered = to_order(needed, pack)
    assert needed <= ordered < needed + pack


def test_porosity_and_void_ratio_are_inverse() -> None:
    assert porosity_fraction(void_ratio(0.4)) == pytest.approx(0.4)


def test_a_void_ratio_that_is_meant_as_porosity_is_refused() -> None:
    with pytest.raises(VoidMixUp, match=r"void ratio 0.4 is porosity 0.286.* write porosity: 0.4"):
        stated_porosity_fraction(None, 0.40)


def test_a_true_void_ratio_is_taken() -> None:
    # By hand: 2/3 over 5/3 = 0.40.
    assert stated_porosity_fraction(None, 2 / 3) == pytest.approx(0.40)


def test_a_contradiction_is_refused_and_agreement_is_not() -> None:
    with pytest.raises(VoidMixUp, match=r"void ratio 0.4 is porosity 0.286, not 0.4"):
        stated_porosity_fraction(0.40, 0.40)
    assert stated_porosity_fraction(0.40, 0.667) == 0.40


def test_nothing_stated_is_unknown() -> None:
    assert stated_porosity_fraction(None, None) is None


def test_a_porosity_of_one_is_out_of_range() -> None:
    with pytest.raises(OutOfRange):
        stated_porosity_fraction(1.0, None)
