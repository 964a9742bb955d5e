"""Whole descriptions in the styles of public documents: each gives the lot worked by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from checker.core.problems import BadInput
from checker.core.units import read_amount
from checker.files.plain import plain_text
from checker.files.source import read_document, read_text
from checker.site.model import Site
from checker.site.read import site_of

FILE = Path(__file__).parents[1] / "published" / "whole-deeds.yaml"
DEEDS: list[dict[str, Any]] = read_document(FILE).data["deeds"]


def lot(courses: list[str], unit: str = "ft") -> Site:
    data = {
        "format": "site/1",
        "title": "Deed",
        "place": "alder-ferry",
        "units": unit,
        "rest_of_lot": "lawn",
        "surfaces": [],
        "lot": {"boundary": {"courses": courses}},
    }
    return site_of(read_text(plain_text(data), "deed.yaml"), Path("deed.yaml"))


@pytest.mark.parametrize("deed", DEEDS, ids=lambda deed: deed["style"])
def test_a_whole_description_gives_its_lot(deed: dict[str, Any]) -> None:
    """Courses are printed to 0.01 ft, which moves these areas by 1 in 5,000 at most."""
    area = read_amount(deed["area"])
    found = lot(deed["courses"], "m" if area.unit == "m2" else "ft")
    assert found.lot.boundary.area == pytest.approx(area.value_si, rel=2e-4)


START = ["N 0-00-00 E 100.00'", "N 90-00-00 E 50.00'"]


@pytest.mark.parametrize(
    ("said", "curve"),
    [
        ("to a point on a curve, the radius point of which bears S 0-00-00 E 50.00 feet",
         "along said curve having a radius of 50.00 feet, an arc length of 78.54 feet"),
        ("along a radial line to a point on a curve",
         "along said curve having a radius of 50.00 feet, an arc length of 78.54 feet"),
    ],
)  # fmt: skip
def test_a_radius_that_leaves_two_ways_open_is_no_bearing(said: str, curve: str) -> None:
    """The centre is known, but whether the line turns left or right round it is not."""
    with pytest.raises(BadInput, match="may run more than one way; add its chord bearing"):
        lot([START[0], f"{START[1]} {said}", curve, "S 0 E 100'"])


FAR_RADIUS = (
    "along said curve, radius 50.00 feet, arc length 78.54 feet, to a point from which the radius "
    "point bears S 90-00-00 W 50.00 feet"
)


def test_the_radius_at_the_far_end_says_nothing_of_the_start() -> None:
    """A quarter circle right from a tangent: its far radius bears west, its near one south."""
    courses = [
        "N 0-00-00 E 100.00'",
        "N 90-00-00 E 50.00' to the beginning of a tangent curve to the right",
        FAR_RADIUS,
        "S 0-00-00 E 50.00'",
        "S 90-00-00 W 100.00'",
    ]
    # 100 x 100 - (2,500 - 625 pi)
    assert lot(courses).lot.boundary.area / 0.3048**2 == pytest.approx(9463.5, abs=2)
