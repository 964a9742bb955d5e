"""Falls in words: away from a wall, toward a line of the lot, by compass."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from shapely import affinity, box

from checker import api
from checker.core.problems import BadInput
from checker.files.source import read_text
from checker.measure.drainage.planes import planes
from checker.site.read import site_of

SITE = """\
format: site/1
title: t
place: alder-ferry
units: ft
{north}
lot:
  boundary: {{points: [[0, 0], [80, 0], [80, 125], [0, 125]]}}
  sides: {{front: [1], rear: [3], side: rest}}
rest_of_lot: lawn
surfaces:
  - {{id: house, material: roof, shape: {{rectangle: {{corner: [20, 30], size: [40, 30]}}}}}}
  - {{id: deck, material: concrete-slab, shape: {{rectangle: {{corner: {corner}, size: {size}}}}}}}
panels:
  - {{on: deck, level: 100.0, at: [40, 60], pitch: 2 %, toward: {toward}}}
"""


def degrees(
    toward: str, corner: str = "[30, 60]", size: str = "[20, 12]", north: str = ""
) -> float:
    text = SITE.format(toward=toward, corner=corner, size=size, north=north)
    site = site_of(read_text(text, "site.yaml"), Path("site.yaml"))
    survey = api.check(site, api.load_ruleset_for(site)).survey
    plane = planes(survey)["deck"]
    assert not isinstance(plane, Exception), plane
    return plane.toward_degrees


# The deck lies north of the house, whose wall there runs east and west.
@pytest.mark.parametrize(
    ("toward", "wanted"),
    [
        ("away from house", 0), ("house", 180), ("line 1", 180), ("line 2", 90), ("rear line", 0),
        ("away from front line", 0), ("side line", 90), ("west", 270), ("north-east", 45), ("7", 7),
    ],
)  # fmt: skip
def test_directions_worked_by_hand(toward: str, wanted: float) -> None:
    corner = "[35, 60]" if toward == "side line" else "[30, 60]"
    assert degrees(toward, corner) == pytest.approx(wanted, abs=1e-9)


def test_a_deck_that_reaches_round_a_corner_falls_from_the_wall_most_of_it_lies_beside() -> None:
    """It touches the corner of two walls alike: 20 ft lie beside the north wall, nothing east."""
    assert degrees("away from house", "[40, 60]", "[20, 12]") == pytest.approx(0, abs=1e-9)
    assert degrees("away from house", "[60, 35]", "[10, 25]") == pytest.approx(90)


def test_the_compass_is_that_of_the_file() -> None:
    """North 30 degrees clockwise from the top of the drawing."""
    assert degrees("north", north="north: 30") == pytest.approx(30)
    assert degrees("away from house", north="north: 30") == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("turned", [0, 17, 90, 133.5, 250])
def test_it_turns_with_the_house(turned: float) -> None:
    """Beside the same shapes turned by another library's rotation: the answer turns as far."""
    house, deck = box(0, 0, 12, 9), box(3, 9, 9, 13)
    turn = [affinity.rotate(item, turned, origin=(0, 0)) for item in (house, deck)]
    rings = [[list(map(float, c)) for c in item.exterior.coords[:-1]] for item in turn]
    text = (
        "format: site/1\ntitle: t\nplace: alder-ferry\nunits: m\nrest_of_lot: lawn\n"
        "lot: {boundary: {points: [[-40, -40], [40, -40], [40, 40], [-40, 40]]}}\nsurfaces:\n"
        f"  - {{id: house, material: roof, shape: {{points: {rings[0]}}}}}\n"
        f"  - {{id: deck, material: concrete-slab, shape: {{points: {rings[1]}}}}}\n"
        "panels:\n  - {on: deck, level: 10, at: [0, 0], pitch: 2 %, toward: away from house}\n"
    )
    site = site_of(read_text(text, "site.yaml"), Path("site.yaml"))
    plane = planes(api.check(site, api.load_ruleset_for(site)).survey)["deck"]
    assert not isinstance(plane, Exception)
    # Rotation is counter-clockwise, a direction counts clockwise. Corners are kept to 1e-6 m.
    off = math.remainder(plane.toward_degrees + turned, 360)
    assert abs(off) < 1e-3


@pytest.mark.parametrize(
    ("toward", "says"),
    [
        ("away from hous", "'away from hous' names no surface; did you mean 'house'?"),
        ("uphill please", "'uphill please' is no direction"),
        ("street line", "'street line' names a side of the lot that 'sides' does not"),
        ("nroth", "did you mean 'north'?"),
    ],
)
def test_words_that_name_nothing_are_told_with_their_line(toward: str, says: str) -> None:
    with pytest.raises(BadInput) as error:
        degrees(toward)
    assert says in str(error.value)
    assert "site.yaml:14:" in str(error.value)


def test_a_line_that_is_not_there_cannot_be_told() -> None:
    with pytest.raises(AssertionError, match="in degrees"):
        degrees("line 9")
