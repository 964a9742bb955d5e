"""Moving or turning a whole lot changes no area and no length, in any unit."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.core.units import UNIT
from checker.files.plain import plain_text
from checker.site.model import Site
from tests.site.cases import corners, site

POOL = [(20.0, 20.0, 0.0), (40.0, 20.0, 1.0), (40.0, 30.0, 0.0), (20.0, 30.0, 1.0)]
LOT = [(0.0, 0.0, 0.0), (80.0, 0.0, 0.0), (80.0, 100.0, math.tan(math.pi / 8)),
       (55.0, 125.0, 0.0), (0.0, 125.0, 0.0)]  # fmt: skip
HOUSE = [(16.0, 70.0, 0.0), (64.0, 70.0, 0.0), (64.0, 100.0, 0.0), (16.0, 100.0, 0.0)]


def drawn(x: float, y: float, degrees: float, unit: str = "ft") -> Site:
    """The same lot moved and turned about its corner."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def moved(points: list[tuple[float, float, float]]) -> list[Any]:
        return corners([
            (x + u * cos - v * sin, y + u * sin + v * cos, tangent) for u, v, tangent in points
        ])  # fmt: skip

    ring = {"around": "pool", "width": 1}
    data = {
        "format": "site/1",
        "title": "t",
        "place": "nowhere",
        "units": unit,
        "north": -degrees,
        "lot": {"boundary": {"points": moved(LOT)}},
        "surfaces": [
            {"id": "house", "material": "roof", "shape": {"points": moved(HOUSE)}},
            {"id": "pool", "material": "pool-water", "shape": {"points": moved(POOL)}},
            {"id": "coping", "material": "pool-coping", "shape": {"ring": ring}},
        ],
    }
    return site("", plain_text(data))


@given(
    x=st.floats(-1000, 1000), y=st.floats(-1000, 1000), degrees=st.floats(-180, 180),
    unit=st.sampled_from(["ft", "m", "us survey ft", "yd"]),
)  # fmt: skip
def test_moving_and_turning(x: float, y: float, degrees: float, unit: str) -> None:
    found = drawn(x, y, degrees, unit)
    size_m2 = UNIT[unit].size_si ** 2
    # 80 x 125 less a corner of 25: 10,000 - 625 + 625 pi / 4; a stadium 20 x 10 + 25 pi; and its
    # ring by Steiner: perimeter x 1 + pi = 40 + 10 pi + pi
    expected = {
        "house": 48 * 30,
        "pool": 200 + 25 * math.pi,
        "coping": 40 + 11 * math.pi,
    }
    for name, area in expected.items():
        shape = found.surface(name).shape
        assert shape.area / size_m2 == pytest.approx(area, rel=1e-8)
    lot_area = 10_000 - 625 + 625 * math.pi / 4
    assert found.lot.boundary.area / size_m2 == pytest.approx(lot_area, rel=1e-9)


@given(degrees=st.integers(-180, 180))
def test_labels_turn_with_the_north_arrow(degrees: int) -> None:
    """Turned by so much counter-clockwise with north turned along, bearings stay as they were."""
    bearings = [line.label for line in drawn(0, 0, degrees).lot.lines]
    assert bearings == [line.label for line in drawn(0, 0, 0).lot.lines]


def test_far_from_the_origin() -> None:
    """State plane coordinates of seven and two million feet keep areas to a part in a million."""
    found = drawn(2_189_632.24, 7_123_051.54, 12.0, "us survey ft")
    area = found.surface("house").shape.area / UNIT["us survey ft"].size_si ** 2
    assert area == pytest.approx(48 * 30, rel=1e-8)
