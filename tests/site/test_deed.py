"""Boundaries of courses against published traverses."""

from __future__ import annotations

import math

import pytest
from shapely import Polygon

from checker.core.problems import Place
from checker.core.units import SURVEY_FOOT_M
from checker.site.arcs import signed_area_m2
from checker.site.clean import Notes
from checker.site.deed import Deed, read_deed, read_legs
from checker.site.model import Closure
from checker.site.traverse import closure_of, corners, latitude_and_departure_m
from tests.site.cases import FOOT_M2, closure_case, complaints, published, site

FOOT_M = 0.3048
HERE = Place("deed.yaml", 1, 1)


def legs_of(name: str):  # type: ignore[no-untyped-def]  # noqa: ANN201
    notes = Notes()
    legs = read_legs([(c, HERE) for c in closure_case(name)["courses"]], notes, "the lot", "ask")
    assert legs is not None, notes.problems.items
    return legs


def deed_of(name: str, balance: str = "none", start: tuple[float, float] = (0.0, 0.0)) -> Deed:
    courses = [(c, HERE) for c in closure_case(name)["courses"]]
    notes = Notes()
    deed = read_deed(
        courses, notes, owner="the lot", start=start, north_degrees=0.0, balance=balance
    )
    assert deed is not None, notes.problems.items
    return deed


def test_five_course_traverse_as_printed() -> None:
    """Purdue University ASM 215, traverse page: every latitude and departure to its last digit."""
    case = closure_case("five-course-traverse")
    for leg, latitude, departure in zip(
        legs_of(case["id"]), case["printed_latitudes"], case["printed_departures"], strict=True
    ):
        found = latitude_and_departure_m(leg.chord_m, leg.azimuth_degrees)
        assert found[0] / FOOT_M == pytest.approx(latitude, abs=0.0051)
        assert found[1] / FOOT_M == pytest.approx(departure, abs=0.0051)


def test_five_course_traverse_closure() -> None:
    """The page prints 1/2771 from latitudes rounded to 0.01; unrounded it is 1/2792 (by hand)."""
    case = closure_case("five-course-traverse")
    legs = legs_of(case["id"])
    east_m, north_m = corners(legs)[-1]
    assert north_m / FOOT_M == pytest.approx(case["computed"]["sum_lat"], abs=5e-5)
    assert east_m / FOOT_M == pytest.approx(case["computed"]["sum_dep"], abs=5e-5)
    assert north_m / FOOT_M == pytest.approx(case["printed"]["sum_lat"], abs=0.01)
    assert east_m / FOOT_M == pytest.approx(case["printed"]["sum_dep"], abs=0.01)
    closure = closure_of(legs)
    assert closure.perimeter_m / FOOT_M == pytest.approx(case["perimeter"])
    assert closure.error_m / FOOT_M == pytest.approx(case["computed"]["error"], abs=5e-5)
    assert closure.precision == pytest.approx(case["computed"]["precision"], abs=0.5)
    assert closure.precision == pytest.approx(case["printed"]["precision"], rel=0.01)


def test_five_course_traverse_balanced_coordinates() -> None:
    """Compass rule: the printed balanced coordinates, within the page's own rounding."""
    case = closure_case("five-course-traverse")
    start = (case["start"][0] * FOOT_M, case["start"][1] * FOOT_M)
    deed = deed_of(case["id"], "compass rule", start)
    # The page adds rounded parts, so that a corner may be a few hundredths off.
    for (x_m, y_m, _), (x, y) in zip(deed.path, case["printed_balanced_xy"], strict=True):
        assert x_m / FOOT_M == pytest.approx(x, abs=0.025)
        assert y_m / FOOT_M == pytest.approx(y, abs=0.025)
    area = abs(signed_area_m2(deed.path)) / FOOT_M2
    assert area == pytest.approx(case["computed"]["area_compass"], abs=0.01)
    assert area == pytest.approx(case["area_of_printed_xy"], abs=5)
    assert deed.closure.balance == "compass rule"


def test_five_course_traverse_unbalanced() -> None:
    case = closure_case("five-course-traverse")
    area = abs(signed_area_m2(deed_of(case["id"]).path)) / FOOT_M2
    assert area == pytest.approx(case["computed"]["area_unadjusted"], abs=0.01)


def test_area_of_printed_coordinates() -> None:
    case = closure_case("five-course-traverse")
    path = [(x, y, 0.0) for x, y in case["printed_balanced_xy"]]
    assert abs(signed_area_m2(path)) == pytest.approx(case["area_of_printed_xy"], abs=0.005)


def test_area_by_columns() -> None:
    """Open-access surveying text: half the difference of the two printed column sums."""
    case = closure_case("shoelace-columns")
    path = [(east, north, 0.0) for north, east in case["northing_easting"]]
    first, second = case["printed_sums"]
    assert abs(signed_area_m2(path)) == pytest.approx(case["computed"]["area"], abs=0.005)
    assert abs(signed_area_m2(path)) == pytest.approx((second - first) / 2, abs=0.05)


def test_poor_survey_fails() -> None:
    """Open-access surveying text: closes 1 in 200; area by double meridian distance as printed."""
    case = closure_case("poor-survey-of-six-courses")
    printed = case["printed"]
    legs = legs_of(case["id"])
    east_m, north_m = corners(legs)[-1]
    assert north_m / FOOT_M == pytest.approx(printed["sum_lat"], abs=5e-5)
    assert east_m / FOOT_M == pytest.approx(printed["sum_dep"], abs=5e-5)
    closure = closure_of(legs)
    assert closure.error_m / FOOT_M == pytest.approx(printed["error"], abs=5e-5)
    assert closure.precision == pytest.approx(printed["precision"], rel=0.02)  # printed to 1/200
    assert closure.precision < case["must_fail"]
    area = abs(signed_area_m2(deed_of(case["id"], "compass rule").path)) / FOOT_M2
    assert area == pytest.approx(printed["area_compass"], abs=0.01)


def test_curved_deed() -> None:
    """Worked out from the printed courses; exact segment R^2/2 (t - sin t) on top of the chords."""
    case = closure_case("curved-deed-that-closes")
    expected = case["computed"]
    closure = closure_of(legs_of(case["id"]))
    assert closure.error_m / FOOT_M == pytest.approx(expected["error"], abs=5e-5)
    assert closure.precision == pytest.approx(expected["precision"], abs=5)
    deed = deed_of(case["id"], "compass rule")
    chord_path = [(x, y, 0.0) for x, y, _ in deed.path]
    chord_area = abs(signed_area_m2(chord_path)) / FOOT_M2
    area = abs(signed_area_m2(deed.path)) / FOOT_M2
    assert chord_area == pytest.approx(expected["chord_area_compass"], abs=0.05)
    assert area - chord_area == pytest.approx(expected["segment"], abs=0.005)
    assert area == pytest.approx(expected["area_compass"], abs=0.05)


def test_curved_deed_through_a_site_file_has_the_exact_area() -> None:
    head = """\
format: site/1
title: t
place: nowhere
units: ft
lot:
  closure: 10000
  boundary:
    balance: compass rule
    courses:
"""
    courses = closure_case("curved-deed-that-closes")["courses"]
    text = "".join(f"      - {course}\n" for course in courses) + "surfaces: []\n"
    lot = site(text, head).lot
    assert lot.boundary.area / FOOT_M2 == pytest.approx(225278.2, abs=0.05)
    assert [line.label for line in lot.lines][3] == (
        "curve left R 682.70' L 50.47' Δ 04°14'09\" chord S 23°12'59\" E 50.46'"
    )
    assert lot.lines[0].label == "N 27°46'19\" W 215.52'"
    assert lot.closure is not None
    assert lot.closure.balance == "compass rule"


def test_curves_that_are_not_tangent_keep_their_printed_chord_bearing() -> None:
    """San Marcos, Texas, council exhibit: warn, name the tangent bearing, use the printed one."""
    case = closure_case("curves-that-are-not-tangent")
    notes = Notes()
    legs = read_legs([(c, HERE) for c in case["courses"]], notes, "the lot", "ask")
    assert legs is not None
    # S51-24-09W is 180 + 51.4025; S49-20-23W is 180 + 49.339722...
    assert legs[1].azimuth_degrees == pytest.approx(231.4025)
    assert legs[3].azimuth_degrees == pytest.approx(229.3397222)
    tangent = case["tangent_chords"]
    assert [repair.says for repair in notes.repairs] == [
        (
            "course 2 of the lot: the curve is not tangent to the course before it (a tangent one "
            f"has the chord bearing {tangent['2']}); the chord bearing given, "
            "S 51°24'09\" W, was used"
        ),
        (
            "course 4 of the lot: the curve is not tangent to the course before it (a tangent one "
            f"has the chord bearing {tangent['4']}); the chord bearing given, "
            "S 49°20'23\" W, was used"
        ),
    ]


def test_precision_line() -> None:
    """Public surveying lesson: errors 0.0784 and 0.0815 in 3,739 ft, printed '1 in 33,000'."""
    case = published()["precision_line"]
    closure = Closure(error_m=math.hypot(*case["errors"]), perimeter_m=case["perimeter"])
    assert closure.error_m == pytest.approx(case["computed"]["error"], abs=5e-5)
    assert closure.precision == pytest.approx(case["computed"]["precision"], abs=5)
    assert round(closure.precision, -3) == case["printed_precision"]


def test_survey_foot_shift() -> None:
    """85 FR 62698: 1200/3937 m against 0.3048 m is 2 parts in a million."""
    case = published()["units"]
    assert pytest.approx(case["parts_per_million"], abs=5e-6) == (SURVEY_FOOT_M / FOOT_M - 1) * 1e6
    for feet, shift in case["shift_at"].items():
        assert float(feet) * (SURVEY_FOOT_M / FOOT_M - 1) == pytest.approx(shift, abs=5e-3)
    shift = 10000 * ((SURVEY_FOOT_M / FOOT_M) ** 2 - 1)
    assert shift == pytest.approx(case["area_shift_of_10000_square_feet"], abs=5e-4)


SQUARE = """\
format: site/1
title: t
place: nowhere
units: ft
lot:
  boundary:
    courses: [{courses}]
{more}surfaces: []
"""


def lot_complaints(courses: str, more: str = "") -> list[str]:
    return complaints("", SQUARE.format(courses=courses, more=more))


def test_reversed_call_is_suspected() -> None:
    """The deed with a curve, one side typed as the neighbour's deed would run it."""
    courses = [*closure_case("curved-deed-that-closes")["courses"]]
    assert courses[1] == "S60-04-31W 961.15"
    courses[1] = "N60-04-31E 961.15"
    found = lot_complaints(", ".join(courses))
    assert len(found) == 1
    assert found[0].endswith(
        "; it would close if course 2 ran the other way; compare it with the deed"
    )


def test_hopeless_closure_with_two_suspects_names_both() -> None:
    """In a square either of two courses could be the reversed one."""
    found = lot_complaints("N 90 E 100, S 0 E 100, N 90 W 100, S 0 W 100")
    assert found == [
        (
            "lot.yaml:7:15: the lot boundary closes within 200.000 ft in 400.00 ft, 1 in 2; "
            "it would close if course 2 ran the other way, or if course 4 ran the other way; "
            "compare it with the deed"
        )
    ]


# A lot of five lines that closes: 0,0 120,0 150,80 60,140 -20,70 (feet), worked by hand.
FIVE = ["N 90 E 120", "N 20-33-22 E 85.44", "N 56-18-36 W 108.17", "S 48-48-51 W 106.30",
        "S 15-56-43 E 72.80"]  # fmt: skip


@pytest.mark.parametrize(
    ("number", "typed", "says"),
    [
        (2, "N 20-33-22 E 58.44", "course 2 were 85.44' long, not 58.44'"),
        (3, "N 56-18-36 W 168.17", "course 3 were 108.17' long, not 168.17'"),
        (4, "S 84-48-51 W 106.30", "course 4 ran S 48°48'51\" W, not S 84°48'51\" W"),
        (5, "S 45-56-43 E 72.80", "course 5 ran S 15°56'43\" E, not S 45°56'43\" E"),
        (2, "N 20-33-22 W 85.44", "course 2 had E for W, or W for E"),
    ],
)
def test_a_slip_of_the_pen_is_pointed_at(number: int, typed: str, says: str) -> None:
    courses = [*FIVE]
    assert lot_complaints(", ".join(courses)) == []
    courses[number - 1] = typed
    head = SQUARE.format(courses=", ".join(courses), more="")
    told = lot_complaints(", ".join(courses)) or [r.says for r in site("", head).repairs]
    assert "it would close if " in told[0]
    assert says in told[0]


def test_required_closure() -> None:
    found = lot_complaints("N 90 E 100.05, N 0 E 100, N 90 W 100, S 0 W 100", "  closure: 10000\n")
    assert found == [
        (
            "lot.yaml:8:12: the lot boundary closes within 0.050 ft in 400.05 ft, 1 in 8,001; "
            "the file asks for 1 in 10,000; compare the courses with the deed"
        )
    ]
    assert (
        lot_complaints("N 90 E 100.05, N 0 E 100, N 90 W 100, S 0 W 100", "  closure: 8000\n") == []
    )


def test_closing_error_is_told_and_not_spread() -> None:
    lot = site(
        "", SQUARE.format(courses="N 90 E 100.05, N 0 E 100, N 90 W 100, S 0 W 100", more="")
    )
    assert [repair.says for repair in lot.repairs] == [
        (
            "the lot boundary closes within 0.050 ft in 400.05 ft, 1 in 8,001; the last course was "
            "drawn to the point of beginning"
        )
    ]
    assert lot.lot.closure is not None
    assert lot.lot.closure.balance == "none"
    # Corners 0,0 100.05,0 100.05,100 0.05,100: (100.05 + 100) / 2 x 100 = 10,002.5
    assert lot.lot.boundary.area / FOOT_M2 == pytest.approx(10002.5)


def test_north_turns_the_drawing_not_the_bearings() -> None:
    head = SQUARE.format(courses="N 0 E 100, N 90 E 50, S 0 E 100, N 90 W 50", more="").replace(
        "units: ft", "units: ft\nnorth: 90"
    )
    lot = site("", head).lot
    assert lot.lines[0].label == "N 00°00'00\" E 100.00'"
    # North points to the right of the drawing: the first course runs along x.
    assert [round(c / FOOT_M, 6) for c in lot.lines[0].line.coords[1]] == [100.0, 0.0]
    assert isinstance(lot.boundary, Polygon)
