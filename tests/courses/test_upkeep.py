"""Upkeep and siting: ring tests, how many, soil tests."""

from __future__ import annotations

import pytest

from checker.core.formula import OutOfRange
from checker.courses.siting import investigation_depth_m, run_on_ratio, soil_tests_count
from checker.courses.upkeep import (
    FAST_TEST_KG,
    SLOW_TEST_KG,
    infiltration_m_per_s,
    places_count,
    pour_kg,
    surface_test,
)

SQ_FT = 0.3048**2
POUND = 0.45359237


def test_the_two_printed_constants_agree() -> None:
    # From memory of the standard: K = 126,870 for lb, in, s and 4,583,666,000 for kg, mm, s.
    rate_m_per_s = infiltration_m_per_s(40 * POUND, 12 * 0.0254, 75.0)
    assert rate_m_per_s / 0.0254 * 3600 == pytest.approx(126870 * 40 / (144 * 75), rel=1e-4)
    metric = 4_583_666_000 * 40 * POUND / ((12 * 25.4) ** 2 * 75)
    assert rate_m_per_s * 1000 * 3600 == pytest.approx(metric, rel=1e-4)


def test_water_for_the_test_from_memory() -> None:
    assert pour_kg(29.9) == FAST_TEST_KG == 40 * POUND
    assert pour_kg(30.0) == SLOW_TEST_KG == 8 * POUND


@pytest.mark.parametrize(
    ("area_sq_ft", "count"),
    # Everett: 1 to 2,500; one more per 2,500 to 15,000; then one per 10,000.
    [(100, 1), (2500, 1), (2501, 2), (5000, 2), (15000, 6), (15001, 7), (25000, 7), (25001, 8)],
)
def test_places_to_test(area_sq_ft: float, count: int) -> None:
    assert places_count(area_sq_ft * SQ_FT) == count


def test_several_tests_together() -> None:
    # By hand: (10 + 20 + 60) / 3.
    found = surface_test([10.0, 20.0, 60.0])
    assert found is not None
    assert (found.mean_m_per_s, found.lowest_m_per_s, found.done_count) == (30.0, 10.0, 3)
    assert surface_test([]) is None


@pytest.mark.parametrize(
    ("kind", "bed_sq_ft", "count"),
    [("micro", 5000, 1), ("small", 900, 1), ("small", 5000, 2), ("conventional", 5000, 5)],
)
def test_soil_tests(kind: str, bed_sq_ft: float, count: int) -> None:
    # Virginia specification 8, 6.3: one; one per 1,000 sq ft at most two; one per 1,000 sq ft.
    assert soil_tests_count(bed_sq_ft * SQ_FT, kind) == count  # type: ignore[arg-type]


def test_deep_water_asks_for_more_than_a_metre() -> None:
    # By hand: 3 x 0.5 m.
    assert investigation_depth_m(0.5) == 1.5


def test_nothing_permeable_has_no_run_on_ratio() -> None:
    with pytest.raises(OutOfRange):
        run_on_ratio(100.0, 0.0)
