"""Shapes placed as a tape measures them, against points worked by hand."""

from __future__ import annotations

import pytest
from shapely import Polygon

from checker.site.model import Site
from tests.site.cases import area_ft2, complaints, site

HEAD = "format: site/1\ntitle: t\nplace: nowhere\nunits: ft\n"
# Line 2 leans: it runs from (100, 0) to (140, 30), which is 50 long, a 3-4-5 triangle.
LEANING = "points: [[0, 0], [100, 0], [140, 30], [140, 100], [0, 100]]"
CLOCKWISE = "points: [[0, 100], [140, 100], [140, 30], [100, 0], [0, 0]]"
HOUSE = "  - {id: house, material: roof, shape: {rectangle: {corner: [20, 40], size: [40, 30]}}}\n"


def lot(shape: str, boundary: str = LEANING) -> str:
    return (
        f"lot: {{boundary: {{{boundary}}}}}\nsurfaces:\n"
        f"{HOUSE}  - {{id: it, material: lawn, shape: {{{shape}}}}}\n"
    )


def corners(found: Site) -> list[tuple[float, float]]:
    shape = found.surface("it").shape
    assert isinstance(shape, Polygon)
    ring = shape.exterior.coords
    return sorted({(round(x / 0.3048, 6) + 0.0, round(y / 0.3048, 6) + 0.0) for x, y in ring})


RECTANGLE = "rectangle: {corner: [10, 5], size: [20, 10]}"


def test_along_a_lot_line_and_square_to_it() -> None:
    """Along (4, 3) / 5 and across (-3, 4) / 5: corner (100 + 8 - 3, 6 + 4) = (105, 10)."""
    found = site(lot(f"{RECTANGLE}, measured_from: {{lot_line: 2}}"), HEAD)
    assert corners(found) == [(99.0, 18.0), (105.0, 10.0), (115.0, 30.0), (121.0, 22.0)]


def test_from_the_far_end_of_the_line() -> None:
    """From (140, 30) back along (-4, -3) / 5; still into the lot: (140 - 8 - 3, 30 - 6 + 4)."""
    found = site(lot(f"{RECTANGLE}, measured_from: {{lot_line: 2, end: last}}"), HEAD)
    assert (129.0, 28.0) in corners(found)
    assert area_ft2(found.surface("it").shape) == pytest.approx(200)


def test_the_lot_may_be_drawn_either_way() -> None:
    """Drawn clockwise the leaning line is number 3 and runs from (140, 30)."""
    ahead = site(lot(f"{RECTANGLE}, measured_from: {{lot_line: 2, end: last}}"), HEAD)
    back = site(lot(f"{RECTANGLE}, measured_from: {{lot_line: 3}}", CLOCKWISE), HEAD)
    assert corners(back) == corners(ahead)


def test_so_far_from_one_lot_line_and_so_far_from_another() -> None:
    """12 ft from the leaning line and 20 from the street line: at y = 20 the leaning line has
    x = 100 + 20 x 4 / 3 = 126.667; 12 ft square to it are 12 / (3 / 5) = 20 along the street line.
    """
    frame = "measured_from: {lot_line: 1, and_line: 2}"
    found = site(lot(f"points: [[12, 20], [32, 20], [12, 40]], {frame}"), HEAD)
    spots = corners(found)
    assert (round(126.666667 - 20, 4), 20.0) in [(round(x, 4), y) for x, y in spots]
    # The distance from the line through (100, 0) along (4, 3) / 5.
    away = [(4 * y - 3 * (x - 100)) / 5 for x, y in spots]
    assert sorted(away) == pytest.approx([12, 12, 32])


def test_a_rectangle_between_two_lines_stays_square_to_the_first() -> None:
    """10 by 10 with its near corner 10 ft from line 5 (x = 0) and 15 from line 1 (y = 0)."""
    shape = "rectangle: {corner: [10, 15], size: [10, 10]}"
    found = site(lot(f"{shape}, measured_from: {{lot_line: 1, and_line: 5}}"), HEAD)
    assert corners(found) == [(10.0, 15.0), (10.0, 25.0), (20.0, 15.0), (20.0, 25.0)]


def test_out_from_a_wall_of_the_house() -> None:
    """Wall 3 of the house runs from (60, 70) to (20, 70); away from it is up: 30..10 x 75..85."""
    found = site(lot(f"{RECTANGLE}, measured_from: {{wall_of: house, wall: 3}}"), HEAD)
    assert corners(found) == [(30.0, 75.0), (30.0, 85.0), (50.0, 75.0), (50.0, 85.0)]
    first = site(lot(f"{RECTANGLE}, measured_from: {{wall_of: house, wall: 1}}"), HEAD)
    assert corners(first) == [(30.0, 25.0), (30.0, 35.0), (50.0, 25.0), (50.0, 35.0)]


def test_an_arc_in_a_mirrored_frame_bends_to_the_same_side_of_the_tape() -> None:
    """A half circle bulging away from the house by 5 ft: 20 x 10 + 25 pi / 2 in either frame."""
    arc = "points: [[10, 5], [30, 5], {at: [30, 15], turn: left, middle_ordinate: 10}, [10, 15]]"
    for wall in (1, 3):
        found = site(lot(f"{arc}, measured_from: {{wall_of: house, wall: {wall}}}"), HEAD)
        assert area_ft2(found.surface("it").shape) == pytest.approx(200 + 50 * 3.14159265, abs=0.01)


@pytest.mark.parametrize(
    ("shape", "says"),
    [
        (f"{RECTANGLE}, measured_from: {{lot_line: 9}}", "the boundary has lines 1 to 5"),
        (f"{RECTANGLE}, measured_from: {{lot_line: 1, and_line: 4}}", "are parallel"),
        (f"{RECTANGLE}, measured_from: {{wall_of: house}}", "which wall of 'house' is not said"),
        (f"{RECTANGLE}, measured_from: {{wall_of: house, wall: 9}}", "has walls 1 to 4"),
        (f"{RECTANGLE}, measured_from: {{}}", "'measured_from' names no line"),
        (f"{RECTANGLE}, measured_from: {{wall_of: it, wall: 1}}", "hang on each other"),
        ("points: [[0, 0], {at: [9, 0], turn: left}, [9, 9]]", "a radius or a middle ordinate"),
        (
            "points: [[0, 0], {at: [9, 0], turn: left, radius: 4}, [9, 9]]",
            "an arc of that radius cannot reach the next point; give at least 4.5",
        ),
    ],
)
def test_what_cannot_be_measured_is_told(shape: str, says: str) -> None:
    assert says in complaints(lot(shape), HEAD)[0]


def test_the_longer_of_two_arcs() -> None:
    """A chord of 10 in a circle of radius 5 x sqrt 2: a quarter, or three quarters, of it.

    A square of 100 with the three-quarter segment R^2/2 (3 pi/2 - sin 3 pi/2) = 25 (4.712 + 1).
    """
    arc = "points: [[50, 50], {at: [60, 50], turn: left, radius: 7.0710678, more_than_half: yes}"
    found = site(lot(f"{arc}, [60, 60], [50, 60]]"), HEAD)
    assert area_ft2(found.surface("it").shape) == pytest.approx(100 + 25 * 5.712389, abs=0.01)
