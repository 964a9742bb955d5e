"""Arcs as chords: the polygon has the arc's own area, and its exact area and length are right."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from checker.site.arcs import (
    chords,
    circle,
    length_m,
    line_points,
    reversed_path,
    signed_area_m2,
)
from tests.site.cases import published

BULGES = st.floats(0.01, 20).flatmap(lambda b: st.sampled_from([b, -b]))


@given(bulge=BULGES, turn_rad=st.floats(0, 6.28), chord_m=st.floats(0.1, 300))
def test_polygon_of_a_segment_has_the_segments_own_area(
    bulge: float, turn_rad: float, chord_m: float
) -> None:
    """Segment of a circle: R^2/2 (t - sin t), plane geometry."""
    end = (chord_m * math.cos(turn_rad), chord_m * math.sin(turn_rad))
    path = [(0.0, 0.0, bulge), (*end, 0.0)]
    angle_rad = 4 * math.atan(abs(bulge))
    radius_m = chord_m / 2 / math.sin(angle_rad / 2)
    segment_m2 = radius_m**2 / 2 * (angle_rad - math.sin(angle_rad))
    area_m2 = Polygon(line_points(path, is_closed=True)).area
    assert area_m2 == pytest.approx(segment_m2, rel=1e-7, abs=1e-7)
    assert abs(signed_area_m2(path)) == pytest.approx(segment_m2, rel=1e-9)
    assert (signed_area_m2(path) > 0) == (bulge > 0)
    assert length_m(path, is_closed=True) == pytest.approx(radius_m * angle_rad + chord_m)


def test_quarter_circle_by_hand() -> None:
    """A quarter of radius 10 with its two radii: pi 10^2 / 4 = 25 pi."""
    path = [(0.0, 0.0, 0.0), (10.0, 0.0, math.tan(math.pi / 8)), (0.0, 10.0, 0.0)]
    assert Polygon(line_points(path, is_closed=True)).area == pytest.approx(25 * math.pi, rel=1e-10)
    assert len(line_points(path, is_closed=True)) == 3 + 31


def test_full_circle_has_its_own_area_and_stays_near() -> None:
    points = line_points(circle((3.0, 4.0), 10.0), is_closed=True)
    assert Polygon(points).area == pytest.approx(100 * math.pi, rel=1e-11)
    for x, y in points:
        assert math.dist((x, y), (3, 4)) == pytest.approx(10.0, rel=1 / 2000)


@pytest.mark.parametrize("count", [1, 2, 4, 8, 16, 32])
def test_plain_chords_would_fall_short_as_published(count: int) -> None:
    """Why plain chords are not used: how far a 25 ft corner falls short, by number of chords."""
    short = published()["arcs"]["quarter_of_radius_25_short_by"][str(count)]
    angle_rad = math.pi / 2 / count
    fan_area = count * 25**2 / 2 * math.sin(angle_rad)
    assert math.pi * 25**2 / 4 - fan_area == pytest.approx(short, abs=5e-5)
    path = [(0.0, 0.0, 0.0), (25.0, 0.0, math.tan(math.pi / 8)), (0.0, 25.0, 0.0)]
    assert Polygon(line_points(path, is_closed=True)).area == pytest.approx(
        math.pi * 25**2 / 4, rel=1e-10
    )


def test_both_ways_round_give_the_same_points() -> None:
    there = chords((1.0, 2.0), (5.0, 7.0), 0.3)
    assert chords((5.0, 7.0), (1.0, 2.0), -0.3) == there[::-1]


def test_reversed_path_encloses_the_opposite_area() -> None:
    path = [(0.0, 0.0, 0.2), (4.0, 0.0, 0.0), (4.0, 3.0, -0.1)]
    assert signed_area_m2(reversed_path(path, is_closed=True)) == pytest.approx(
        -signed_area_m2(path)
    )


def test_bulge_of_one_is_half_a_circle() -> None:
    """Bulge = tan(included angle / 4): tan(180 / 4) = 1 (published description of the bulge)."""
    half: list[Any] = [(-2.0, 0.0, 1.0), (2.0, 0.0, 0.0)]
    assert signed_area_m2(half) == pytest.approx(math.pi * 4 / 2)
    # Counter-clockwise from (-2, 0) to (2, 0) runs below.
    assert min(y for _, y in line_points(half)) == pytest.approx(-2.0, rel=1e-3)
