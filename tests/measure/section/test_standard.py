"""A section beside the adopted one. Differences and numbers worked by hand."""

from __future__ import annotations

import pytest

from checker.core.problems import BadInput
from checker.core.units import Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import Bed, beds
from checker.measure.section.standard import compare, departures
from tests.measure.section.made import changed, make, measured

STANDARD = "    standard: permeable-pedestrian\n    subgrade_slope: 0\n"
GROUND = "ground: {measured_rate: 0.4 in/h, safety_factor: 2}\n"


def bed(more: str = STANDARD, **courses: str | None) -> Bed:
    return beds(make(changed(**courses), more=more, tail=GROUND))["terrace"]


def says(found: Bed) -> list[str]:
    return [f"{item.clause}: {item.says}" for item in departures(found)]


def test_as_adopted_and_a_thicker_base_is_still_the_standard() -> None:
    assert says(bed()) == []
    assert measured("standard_differences", make(more=STANDARD)) == 0


@pytest.mark.parametrize(
    ("courses", "expected"),
    [
        ({"unit": "{course: unit, thickness: 2 in}"}, ["P-1: the unit is thinner"]),
        ({"joint": None}, ["P-2: the joint is left out"]),
        (
            {"bedding": '{course: bedding, stone: "8", thickness: 1.5 in}'},
            ["P-3: the bedding is thinner"],
        ),
        (
            {"bedding": '{course: bedding, stone: "8", thickness: 3 in}'},
            ["P-3: the bedding is thicker"],
        ),
        (
            {"base": '{course: base, stone: "2", thickness: 4 in}'},
            ["P-4: the base is of another stone", "P-4: the base is thinner"],
        ),
        (
            {"subbase": '{course: subbase, stone: "2", thickness: 6 in}'},
            [": the subbase is added"],
        ),
    ],
)
def test_each_difference_is_listed(courses: dict[str, str | None], expected: list[str]) -> None:
    found = beds(make(changed(**courses), more=STANDARD, tail=GROUND))["terrace"]
    assert says(found) == expected


def test_both_sides_of_a_difference() -> None:
    found = departures(bed(base='{course: base, stone: "57", thickness: 4 in}'))[0]
    assert isinstance(found.standard, Amount)
    assert isinstance(found.drawn, Amount)
    assert (found.standard.to("in"), found.drawn.to("in")) == pytest.approx((6, 4))


def test_both_sections_by_numbers() -> None:
    # Adopted: 6 in of No. 57 at 40 % keep 2.4 in, gone in 12 h. Drawn: 12 in, 4.8 in, 24 h.
    numbers = {item.name: item for item in compare(bed())}
    water = numbers["water kept for the soil"]
    assert water.standard is not None
    assert water.drawn is not None
    assert (water.standard.to("in"), water.drawn.to("in")) == pytest.approx((2.4, 4.8))
    empty = numbers["time to empty"]
    assert empty.standard is not None
    assert empty.drawn is not None
    assert (empty.standard.to("h"), empty.drawn.to("h")) == pytest.approx((12, 24))


def test_a_number_that_lacks_something_says_what() -> None:
    found = beds(make(changed(), more=STANDARD))["terrace"]
    empty = next(item for item in compare(found) if item.name == "time to empty")
    assert (empty.standard, empty.drawn) == (None, None)
    assert empty.because == "give 'measured_rate' under 'ground'"


def test_no_standard_is_named() -> None:
    with pytest.raises(NotMeasured, match="name the adopted section that terrace follows"):
        departures(bed(more=""))


def test_a_standard_that_is_not_there() -> None:
    with pytest.raises(BadInput, match="did you mean 'permeable-pedestrian'"):
        departures(bed(more="    standard: permeable-pedestrians\n"))


@pytest.mark.parametrize(
    ("record", "authorised"),
    [
        ("{document: section-authorisation, of: terrace, by: the town, date: 2025-05-02}", True),
        ("{document: section-authorisation, by: the town, date: 2025-05-02}", True),
        ("{document: section-authorisation, of: terrace, date: 2025-05-02}", False),
        ("{document: section-authorisation, of: terrace, by: the town}", False),
        ("{document: section-authorisation, of: drive, by: the town, date: 2025-05-02}", False),
        ("{document: soil-report, of: terrace, by: a laboratory, date: 2025-05-02}", False),
    ],
)
def test_an_authorisation_has_an_author_and_a_date(record: str, *, authorised: bool) -> None:
    survey = make(more=STANDARD, tail=f"on_file:\n  - {record}\n")
    assert measured("section_authorised", survey) is authorised
