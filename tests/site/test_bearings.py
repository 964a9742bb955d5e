"""Courses as people type them. One line, N 26 degrees 10 minutes E 285.10 ft, in many spellings."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.site.bearings import UnreadableCourse, bearing_text
from checker.site.calls import read_course
from checker.site.deed_courses import Curve, Line

FOOT_M = 0.3048


@pytest.mark.parametrize(
    "text",
    [
        "N 26°10'00\" E 285.10'",
        "N26-10-00E 285.10",
        "n26-10e 285.10 ft",
        "N 26d10m00s E 285.10 feet",
        "N 26 deg 10 min 00 sec E 285.10",
        "N 26 10 00 E 285.10",
        "N 26:10:00 E 285.10",
        "North 26°10'00\" East, a distance of 285.10 feet to an iron pin",
        "thence along the line of Lot 5, N 26º10\u201900\u201d E, 285.10 feet;",
        "N 26%%d10'00'' E 285.1",
        "azimuth 26°10' 285.10",
        "Az 26°10'00\" 285.10 ft",
        "N 26.1666667° E 285.10",
        "N 26°10.0' E 285' 1-1/5\"",
    ],
)
def test_spellings_of_one_course(text: str) -> None:
    course = read_course(text, "ft")
    assert isinstance(course, Line)
    assert course.azimuth_degrees == pytest.approx(26 + 10 / 60, abs=1e-6)
    assert course.length.length_m == pytest.approx(285.10 * FOOT_M)


@pytest.mark.parametrize(
    ("text", "azimuth"),
    [
        ("S75-25-00E 1", 180 - 75 - 25 / 60),
        ("S15-30-00W 1", 195.5),
        ("N53-06-00W 1", 360 - 53.1),
        ("due north 1", 0),
        ("East 1", 90),
        ("S 1", 180),
        ("W 1 m", 270),
        ("azimuth 359.5° 1", 359.5),
        ("N 90 E 1", 90),
    ],
)
def test_directions_clockwise_from_north(text: str, azimuth: float) -> None:
    course = read_course(text, "ft")
    assert isinstance(course, Line)
    assert course.azimuth_degrees == pytest.approx(azimuth)


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("N 1 E 12'-6\"", 12.5),  # twelve feet six inches are 12.50 ft, not 12.6
        ("N 1 E 12 ft 6 in", 12.5),
        ("N 1 E 12'-6 1/2\"", 12 + 6.5 / 12),
        # A Gunter's chain is 66 survey feet of 100 links; a pole, perch or rod 16.5 (from memory).
        ("N 1 E 2 chains", 132 * (1200 / 3937) / FOOT_M),
        ("N 1 E 2 chains 50 links", 165 * (1200 / 3937) / FOOT_M),
        ("N 1 E 4 poles", 66 * (1200 / 3937) / FOOT_M),
        ("N 1 E 1,285.10", 1285.10),
        ("N 1 E 30.48 m", 100.0),
        ("N 1 E 100 us survey ft", 100 * (1200 / 3937) / FOOT_M),
    ],
)
def test_distances(text: str, feet: float) -> None:
    course = read_course(text, "ft")
    assert isinstance(course, Line)
    assert course.length.length_m / FOOT_M == pytest.approx(feet, rel=1e-12)


def test_packed_angles_are_asked_for() -> None:
    """26.1000 is 26.1 degrees, or 26 degrees 10 minutes: the file must say which."""
    with pytest.raises(UnreadableCourse, match="could be degrees"):
        read_course("N 26.1000 E 285.10", "ft")
    decimal, packed = (read_course("N 26.1000 E 1", "ft", way) for way in ("decimal", "packed"))
    assert isinstance(decimal, Line)
    assert isinstance(packed, Line)
    assert decimal.azimuth_degrees == pytest.approx(26.1)
    assert packed.azimuth_degrees == pytest.approx(26 + 10 / 60)
    only_decimal = read_course("N 26.1667 E 1", "ft")  # 67 seconds do not exist
    assert isinstance(only_decimal, Line)
    assert only_decimal.azimuth_degrees == pytest.approx(26.1667)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "no bearing; write a course like N 26°10'00\" E 285.10'"),
        ("285.10", "no bearing; write a course like N 26°10'00\" E 285.10'"),
        ("N 26°10' E", "no distance; write a course like N 26°10'00\" E 285.10'"),
        ("N 26°10' E 0.00", "a distance of 0; leave the course out"),
        ("N 96°10' E 5", "'96°10'' is more than 90°; check it"),
        ("N 26°70' E 5", "'26°70'' has 60 or more minutes or seconds; they go up to 59"),
        ("N 26.5°10' E 5", "'26.5°10'' has both decimals and minutes; use one of them"),
        (
            "N 5 E 10 S 5 E 20",
            (
                "a course with two bearings, 'N 5 E' and 'S 5 E'; give one course an entry, with "
                "one bearing"
            ),
        ),
        (
            "N 5 E 100 feet, 120 feet",
            (
                "a course with two distances, '100 feet' and '120 feet'; give one course an "
                "entry, with one distance"
            ),
        ),
        (
            "N 5 E 285.10 (96.9 m)",
            (
                "the length '285.10' and the one in brackets, '96.9 m', are not the same; keep "
                "the right one"
            ),
        ),
        (
            "N 5 E 100 varas",
            "'100 varas': varas have no one length; give feet or metres",
        ),
        ("N 5 E 100 glorps", "'100 glorps': 'glorps' is no unit of length; give feet or metres"),
        (
            "N 5 E 4 chains (engineer's)",
            "an engineer's chain has another length; give the distance in feet",
        ),
        (
            "thence northerly along the wall 120 feet",
            "'northerly' is no bearing; write a course like N 26°10'00\" E 285.10'",
        ),
        (
            "N 5 E 100 feet to a pin; thence S 5 E 20 feet",
            "more than one course ('thence' again); give one course an entry",
        ),
        ("along a 4 degree curve to the left 100 feet", "a curve by its degree; give its radius"),
        (
            "104°35'00\" 610.45",
            (
                "'104°35'00\"' has no direction; write N or S before it and E or W after it, or "
                "'azimuth' before it"
            ),
        ),
        ("N 5 E 10 €", "'€' has no meaning in a course; remove it"),
        ("curve left R 25 R 30", "a curve with two values for its radius; give one"),
        ("curve left R 25 30", "'30' has no name; write radius, arc, delta or chord before it"),
        ("curve left R 0 L 30", "a curve whose radius is 0; check it"),
    ],
)
def test_doubts_are_refused(text: str, says: str) -> None:
    with pytest.raises(UnreadableCourse) as error:
        read_course(text, "ft")
    assert str(error.value) == says


@pytest.mark.parametrize(
    "text",
    [
        (
            "curve to the right with a radius of 960.00', an arc length of 71.08', central angle "
            "of 4°14'32\", the chord of which bears S 49°20'23\" W 71.06 feet"
        ),
        "curve right R 960.00 L 71.08 delta 4-14-32 chord S49-20-23W 71.06",
        "CURVE RIGHT, R=960.00', A=71.08', Δ=4°14'32\", chord bearing S49°20'23\"W, chord 71.06'",
    ],
)
def test_spellings_of_one_curve(text: str) -> None:
    """The second curve of the San Marcos, Texas, council exhibit."""
    curve = read_course(text, "ft")
    assert isinstance(curve, Curve)
    assert curve.turn == "right"
    feet = {name: round(length.length_m / FOOT_M, 2) for name, length in curve.lengths.items()}
    assert feet == {"radius": 960.0, "arc": 71.08, "chord": 71.06}
    assert curve.delta_degrees == pytest.approx(4 + 14 / 60 + 32 / 3600)
    assert curve.chord_azimuth_degrees == pytest.approx(180 + 49 + 20 / 60 + 23 / 3600)


@given(st.integers(0, 360 * 3600 - 1))
def test_every_bearing_reads_back(seconds: int) -> None:
    course = read_course(f"{bearing_text(seconds / 3600)} 10", "ft")
    assert isinstance(course, Line)
    assert course.azimuth_degrees * 3600 == pytest.approx(seconds, abs=1e-6)


@given(st.text(max_size=60) | st.text(alphabet="NSEW0123456789°'\"-. RLcurveleft", max_size=40))
def test_any_text_is_a_course_or_a_complaint(text: str) -> None:
    says = ";"
    try:
        read_course(text, "ft")
    except UnreadableCourse as error:
        says = str(error)
    assert ";" in says, "a complaint must say what to do"
