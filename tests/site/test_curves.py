"""A curve by any two of its data gives the rest; a third one is checked."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.site.bearings import UnreadableCourse
from checker.site.course_tokens import Length
from checker.site.curves import work_out
from checker.site.deed_courses import Curve

FOOT_M = 0.3048


def lengths(**feet: float) -> dict[str, Length]:
    return {
        name: Length(length_m=value * FOOT_M, half_digit_m=0.005 * FOOT_M)
        for name, value in feet.items()
    }


@given(
    radius=st.floats(5, 2000), degrees=st.floats(1, 179), pair=st.sampled_from(
        list(combinations(["radius", "arc", "chord", "delta"], 2))
    )
)  # fmt: skip
def test_any_two_give_the_rest(radius: float, degrees: float, pair: tuple[str, str]) -> None:
    """arc = R t, chord = 2 R sin(t/2): plane geometry."""
    angle = math.radians(degrees)
    whole = {"radius": radius, "arc": radius * angle, "chord": 2 * radius * math.sin(angle / 2)}
    curve = Curve(turn="left", lengths=lengths(**{k: v for k, v in whole.items() if k in pair}))
    curve.delta_degrees = degrees if "delta" in pair else None
    worked = work_out(curve, "ft")
    # Arc and chord differ little in a flat curve, so they fix its radius less well.
    close = 1e-3 if set(pair) == {"arc", "chord"} else 1e-9
    assert worked.radius_m / FOOT_M == pytest.approx(radius, rel=close)
    assert worked.delta_rad == pytest.approx(angle, rel=close)


def test_worked_example_of_a_deed() -> None:
    """R 682.70, arc 50.47: t = 50.47/682.70 rad = 4.23571 deg, chord 50.4585 (worked by hand)."""
    worked = work_out(Curve(turn="left", lengths=lengths(radius=682.70, arc=50.47)), "ft")
    assert math.degrees(worked.delta_rad) == pytest.approx(4.23571, abs=5e-6)
    assert worked.chord_m / FOOT_M == pytest.approx(50.4585, abs=5e-5)


def test_surplus_data_of_a_printed_curve_agree() -> None:
    """San Marcos, Texas, council exhibit: R 1040, delta 8-16-17, L 150.14, chord 150.01."""
    curve = Curve(turn="left", lengths=lengths(radius=1040, arc=150.14, chord=150.01))
    curve.delta_degrees = 8 + 16 / 60 + 17 / 3600
    curve.delta_half_digit_degrees = 0.5 / 3600
    assert work_out(curve, "ft").arc_m / FOOT_M == pytest.approx(150.14, abs=0.01)


@pytest.mark.parametrize(
    ("given_ft", "says"),
    [
        (
            {"radius": 1040, "arc": 151.14, "chord": 150.01},
            (
                "a curve whose data contradict each other: its chord is 150.010 ft, but the others "
                "give 151.007 ft (delta 08°19'36\"); correct it or leave it out"
            ),
        ),
        (
            {"radius": 10, "chord": 21},
            "a curve whose chord is longer than twice its radius; check it",
        ),
        (
            {"arc": 10, "chord": 10},
            "a curve whose chord is not shorter than its arc; check them",
        ),
        ({"radius": 10}, "a curve needs two of radius, arc, delta and chord; only radius is given"),
        ({}, "a curve needs two of radius, arc, delta and chord; only none is given"),
        (
            {"radius": 10, "arc": 70},
            "a curve that goes full circle or further; check its radius and arc",
        ),
        (
            {"tangent": 10, "chord": 9},
            "a curve by a tangent length needs its radius or delta; add one",
        ),
    ],
)
def test_impossible_curves(given_ft: dict[str, float], says: str) -> None:
    """Chord of 151.14 on R 1040: t = 0.1453269, 2 x 1040 x sin(t/2) = 151.0072."""
    with pytest.raises(UnreadableCourse) as error:
        work_out(Curve(turn="left", lengths=lengths(**given_ft)), "ft")
    assert str(error.value) == says
