"""Courses as public documents print them: what is read is what a surveyor reads, or is refused."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from checker.files.source import read_document
from checker.site.bearings import UnreadableCourse
from checker.site.calls import read_course
from checker.site.deed_courses import Curve, Line

FOOT_M = 0.3048
FILE = Path(__file__).parents[1] / "published" / "deed-wordings.yaml"
COURSES: list[dict[str, Any]] = read_document(FILE).data["courses"]
REFUSED_BY_CHOICE = {"Thence N. 1/4 mile to the section corner"}
"""Read by a surveyor, refused here: a fraction alone is more often a corner than a distance."""


@pytest.mark.parametrize("case", COURSES, ids=lambda case: case["text"][:60])
def test_a_course_is_read_as_a_surveyor_reads_it(case: dict[str, Any]) -> None:
    text = case["text"]
    if case.get("refuse") or text in REFUSED_BY_CHOICE:
        with pytest.raises(UnreadableCourse, match=";"):
            read_course(text, "ft")
        return
    course = read_course(text, "ft")
    if "line" in case:
        azimuth, feet = case["line"]
        assert isinstance(course, Line)
        assert math.remainder(course.azimuth_degrees - azimuth, 360) == pytest.approx(0, abs=1e-6)
        assert course.length.length_m / FOOT_M == pytest.approx(feet, rel=1e-8)
        return
    assert isinstance(course, Curve)
    given: dict[str, Any] = {
        name: length.length_m / FOOT_M for name, length in course.lengths.items()
    }
    found = given | {
        "turn": course.turn or None,
        "delta": course.delta_degrees,
        "chord_azimuth": course.chord_azimuth_degrees,
        "concave": course.concave_degrees,
        "follows": course.follows or None,
    }
    assert {key: value for key, value in found.items() if value is not None} == pytest.approx(
        case["curve"]
    )


def test_what_a_line_announces_belongs_to_the_curve_after_it() -> None:
    """The chord of 73 degrees 44' 23'' on a radius of 60 ft: 2 x 60 sin(36.87) = 72.0 ft."""
    from checker.core.problems import Place
    from checker.site.clean import Notes
    from checker.site.deed import read_legs

    notes = Notes()
    courses = [
        (
            'South 00°21\'28" West, 360.00 feet to a 1/2" iron rod at the beginning of a curve to '
            "the right, whose radius is 60.00 feet"
        ),
        "along said curve through a central angle of 73°44'23\", a distance of 77.22 feet",
    ]
    legs = read_legs([(text, Place("x")) for text in courses], notes, "the lot", "ask")
    assert legs is not None, notes.problems.items
    assert legs[1].radius_m / FOOT_M == pytest.approx(60)
    assert legs[1].delta_rad < 0, "to the right"
    assert legs[1].chord_m / FOOT_M == pytest.approx(72.0, abs=0.01)


@pytest.mark.parametrize(
    ("concave", "turn"),
    # Running north-east, the south-east lies to the right and the north-west to the left.
    [("southeast", "right"), ("northwesterly", "left")],
)
def test_the_concave_side_says_the_turn(concave: str, turn: str) -> None:
    from checker.site.deed import turn_of

    text = f"northeasterly along a curve concave to the {concave}, radius 50', arc 20'"
    curve = read_course(text, "ft")
    assert isinstance(curve, Curve)
    assert turn_of(curve, None, None, 11.0) == turn


def test_a_concave_side_straight_ahead_says_nothing() -> None:
    from checker.site.deed import turn_of

    curve = read_course("northerly along a curve concave to the north, radius 50', arc 20'", "ft")
    assert isinstance(curve, Curve)
    with pytest.raises(UnreadableCourse, match="must say left or right"):
        turn_of(curve, None, None, 11.0)
