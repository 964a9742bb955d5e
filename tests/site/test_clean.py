"""Repairs are told, doubts are told or asked; in square feet, worked by hand."""

from __future__ import annotations

import math

import pytest

from tests.site.cases import HEAD, area_ft2, complaints, site


def notes(text: str, head: str = HEAD) -> list[str]:
    return [f"{r.place}: {r.says}" for r in site(text, head).repairs]


def surface(shape: str) -> str:
    return f"surfaces:\n  - {{id: deck, material: wood-deck, shape: {{{shape}}}}}\n"


def lot(more: str, points: str = "[0, 0], [100, 0], [100, 100], [0, 100]", unit: str = "ft") -> str:
    return f"""\
format: site/1
title: t
place: nowhere
units: {unit}
lot:
  boundary: {{points: [{points}]}}
{more}"""


def test_good_drawing_has_no_notes() -> None:
    assert notes(surface("points: [[10, 10], [20, 10], [20, 20], [10, 20]]")) == []


def test_first_point_repeated_is_no_repair() -> None:
    assert notes(surface("points: [[10, 10], [20, 10], [20, 20], [10, 10]]")) == []


def test_doubled_points_are_told() -> None:
    text = surface("points: [[10, 10], [20, 10], [20, 10], [20, 20], [20.0001, 20], [10, 20]]")
    assert notes(text) == ["lot.yaml:8:53: deck: 2 doubled points were left out"]
    assert area_ft2(site(text).surface("deck").shape) == pytest.approx(100, abs=0.01)


def test_sliver_is_kept_and_told() -> None:
    """30 ft by 0.005 ft: 2 x 0.15 / 60.01 = 0.005 ft, 0.06 in wide."""
    text = surface("points: [[10, 10], [40, 10], [40, 10.005], [10, 10.005]]")
    assert notes(text) == [
        (
            "lot.yaml:8:44: deck: a sliver 0.06 in wide at (25, 10.0025) ft (0.150 sq ft) was "
            "kept; "
            "delete it if it is none of yours"
        )
    ]


def test_hole_that_reaches_outside_is_told() -> None:
    """A hole of 10 x 10, half of it outside."""
    hole = "{rectangle: {corner: [25, 10], size: [10, 10]}}"
    text = surface(f"rectangle: {{corner: [10, 10], size: [20, 20]}}, holes: [{hole}]")
    assert notes(text) == [
        (
            "lot.yaml:8:100: hole 1 of deck reaches 50 sq ft outside of it; only the part inside "
            "is "
            "cut out"
        )
    ]
    assert area_ft2(site(text).surface("deck").shape) == pytest.approx(350)


def test_two_named_ways_to_mend_a_crossing_outline() -> None:
    """A five-pointed star drawn in one go: by even and odd its middle is open, by structure not.

    Points on a circle of radius 10, every second one: the pentagon in the middle has a
    circumradius of 10 / phi^2 = 3.8197 and an area of 5/2 r^2 sin 72 = 34.69; the tips have five
    times 1/2 x (2 r sin 36)^2 x tan 72 / 2 = 77.57.
    """
    angles = [math.radians(90 + 144 * index) for index in range(5)]
    star = ", ".join(f"[{50 + 10 * math.cos(a):.9f}, {50 + 10 * math.sin(a):.9f}]" for a in angles)
    pentagon, tips = 34.69, 77.57
    odd = surface(f"points: [{star}], repair: overlap-open")
    whole = surface(f"points: [{star}], repair: overlap-filled")
    assert area_ft2(site(odd).surface("deck").shape) == pytest.approx(tips, abs=0.01)
    assert area_ft2(site(whole).surface("deck").shape) == pytest.approx(tips + pentagon, abs=0.01)
    assert notes(odd) == [
        (
            "lot.yaml:8:53: deck: the outline crosses or touches itself; mended by "
            "'overlap-open' to 78 sq ft ('overlap-filled' would give 112 sq ft)"
        )
    ]


def test_parts_that_overlap_are_counted_once_and_told() -> None:
    one, two = (f"{{rectangle: {{corner: [{x}, 10], size: [10, 10]}}}}" for x in (10, 15))
    text = surface(f"parts: [{one}, {two}]")
    assert notes(text) == ["lot.yaml:8:52: deck: its areas overlap by 50 sq ft; counted once"]
    assert area_ft2(site(text).surface("deck").shape) == pytest.approx(150)


def test_surfaces_outside_the_lot_are_told() -> None:
    text = """\
surfaces:
  - {id: deck, material: wood-deck, shape: {rectangle: {corner: [95, 10], size: [10, 10]}}}
  - {id: shed, material: roof, shape: {rectangle: {corner: [120, 10], size: [10, 10]}}}
"""
    assert notes(text) == [
        "lot.yaml:8:5: deck reaches 50 sq ft outside the lot; that part is listed apart",
        "lot.yaml:9:5: shed lies outside the lot; it is listed apart",
    ]


@pytest.mark.parametrize(
    ("recorded", "says"),
    [
        ("10,000 sq ft", []),
        # Half the last digit: 0.5 sq ft, and 0.005 acre = 217.8 sq ft of 10,018.8.
        (
            "10,000.4 sq ft",
            [
                (
                    "lot.yaml:6:13: the lot is drawn with 10,000.00 sq ft, but its recorded area "
                    "is 10,000.40 sq ft (0.400 sq ft less); kept as drawn"
                )
            ],
        ),
        ("0.23 acre", []),
        (
            "10,049 sq ft",
            [
                (
                    "lot.yaml:6:13: the lot is drawn with 10,000 sq ft, but its recorded area is "
                    "10,049 sq ft (49 sq ft less); kept as drawn"
                )
            ],
        ),
        (
            "9,900 sq ft",
            [
                (
                    "lot.yaml:6:13: the lot is drawn with 10,000 sq ft, but its recorded area is "
                    "9,900 "
                    "sq ft (1.0 % more); kept as drawn"
                )
            ],
        ),
        (
            "0.25 acre",  # 10,890 sq ft; 10,000 / 10,890 = 0.918
            [
                (
                    "lot.yaml:6:13: the lot is drawn with 10,000 sq ft, but its recorded area is "
                    "10,890 "
                    "sq ft (8.2 % less); kept as drawn"
                )
            ],
        ),
    ],
)
def test_recorded_area_is_compared(recorded: str, says: list[str]) -> None:
    assert notes("surfaces: []\n", lot(f"  recorded_area: {recorded}\n")) == says


def test_recorded_area_confirms_a_strange_size() -> None:
    """A lot of 1,000 ft by 100,000 ft is refused unless the deed says the same."""
    points = "[0, 0], [100000, 0], [100000, 1000], [0, 1000]"
    (found,) = complaints("surfaces: []\n", lot("", points))
    assert "hardly the size of a lot" in found
    assert notes("surfaces: []\n", lot("  recorded_area: 100,000,000 sq ft\n", points)) == []


def test_unit_in_doubt_is_told() -> None:
    """80 x 125 in inches is 69 sq ft = 6.45 m2: no lot, though 929 m2 in feet would be."""
    points = "[0, 0], [80, 0], [80, 125], [0, 125]"
    (found,) = notes("surfaces: []\n", lot("", points, unit="in"))
    assert found == (
        "lot.yaml:6:13: the lot has 69 sq ft in 'in', hardly the size of a lot; it would have "
        "10,000 sq ft in 'ft' or 107,639 sq ft in 'm' or 90,000 sq ft in 'yd'; kept as drawn, "
        "check the unit"
    )
