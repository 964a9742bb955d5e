"""The walking surface: openings in both wordings, steps and drains."""

from __future__ import annotations

import pytest

from checker.courses.surface import deck_drains_count, level_change, opening, slope_window_fraction

INCH = 0.0254


def test_exactly_half_an_inch_is_told_apart_by_wording() -> None:
    # The standard (from memory): no sphere of more than 1/2 in. Its guide (read): stop one of 1/2.
    found = opening(0.5 * INCH)
    assert (found.standard, found.guide, found.answer) == (True, False, "borderline")
    assert opening(0.49 * INCH).answer == "passes"
    assert opening(0.51 * INCH).answer == "fails"


def test_half_an_inch_in_metric_clothes() -> None:
    assert opening(12.7e-3).answer == "borderline"
    assert opening(12.5e-3).answer == "passes"


@pytest.mark.parametrize(
    ("width_in", "length_in", "lies", "answer"),
    [
        (0.375, 6.0, "across", "passes"),
        (0.375, 6.0, "along", "fails"),
        (0.375, 6.0, "any", "fails"),
        (0.375, 0.45, "along", "passes"),
        (0.375, 0.5, "any", "borderline"),
        (6.0, 0.375, "along", "fails"),
        (0.75, 6.0, "across", "fails"),
    ],
)
def test_long_openings(width_in: float, length_in: float, lies: str, answer: str) -> None:
    found = opening(width_in * INCH, length_in * INCH, lies=lies)  # type: ignore[arg-type]
    assert found.answer == answer


@pytest.mark.parametrize(
    ("height_in", "bevel", "holds"),
    # Guide to the ADA Standards, 303: 1/4 in upright, to 1/2 in bevelled 1 in 2, then a ramp.
    [
        (0.25, None, True),
        (0.26, None, False),
        (0.5, 0.5, True),
        (0.5, 0.51, False),
        (0.51, 0.1, False),
        (0.0, None, True),
    ],
)
def test_steps(height_in: float, bevel: float | None, *, holds: bool) -> None:
    assert level_change(height_in * INCH, bevel) is holds


def test_no_window_between_too_flat_and_too_steep() -> None:
    # By hand: 2 % less 2.5 %.
    assert slope_window_fraction(0.025, 0.02) == pytest.approx(-0.005)


def test_area_can_govern_the_drains() -> None:
    # By hand: 50 x 30 ft is 1,500 sq ft, 4 drains of 400; 50 ft at 25 ft are 2.
    assert deck_drains_count(50.0, 30.0, 400.0, 25.0) == 4
