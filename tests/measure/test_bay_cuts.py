"""Runs of bays: in which order they are taken, and which of them adjoin; bands of a strip."""

from __future__ import annotations

import pytest
import shapely

from checker.measure.cuts import BayCut
from checker.measure.frames import frames
from tests.measure.band_cuts import band_cut

BAY_M = 1.5


def bay(column: float, row: float, shift_m: float = 0.0) -> shapely.Polygon:
    x, y = column * BAY_M, row * BAY_M + shift_m
    return shapely.box(x, y, x + BAY_M, y + BAY_M)


def test_rows_are_taken_there_and_back() -> None:
    """Two rows of two: 1 2 and then back 4 3, so that each bay lies beside the one before it."""
    rows = [[bay(0, 0), bay(1, 0)], [bay(0, 1), bay(1, 1)]]
    cut = BayCut(rows, [shapely.box(0, 0, 2 * BAY_M, 2 * BAY_M)])
    assert cut.numbers == [1, 2, 4, 3]
    assert cut.links.tolist() == [True, True, True, True]
    assert cut.areas_m2[:, 0] == pytest.approx([0, 2.25, 4.5, 6.75, 9.0])


@pytest.mark.parametrize(("touching_m", "adjoins"), [(0.03, True), (0.01, False), (0.0, False)])
def test_bays_adjoin_along_more_than_two_centimetres(touching_m: float, adjoins: bool) -> None:
    cut = BayCut([[bay(0, 0), bay(1, 0, BAY_M - touching_m)]], [shapely.box(0, 0, 9, 9)])
    assert cut.links.tolist() == [True, adjoins]


def test_a_strip_narrower_than_a_metre_has_bands() -> None:
    """10 x 0.9 m by 0.3 m with 0.3 m left at least: bands of 0.3 and 0.6 m, then all of it."""
    land = shapely.box(0, 0, 10, 0.9)
    line = shapely.LineString([(0, 0), (10, 0)])
    cut = band_cut(land, [land], line, module_m=0.3, least_width_m=0.3, most=100)
    assert list(cut.widths_m) == pytest.approx([0.0, 0.3, 0.6])
    assert cut.areas_m2[:, 0] == pytest.approx([0, 3, 6, 9])


def test_bands_of_land_that_is_no_rectangle_are_drawn() -> None:
    """A triangle of 8 m by 4 m: w from its base the band is 8 w - w^2, by halves of a metre."""
    land = shapely.Polygon([(0, 0), (8, 0), (4, 4)])
    line = shapely.LineString([(0, 0), (8, 0)])
    cut = band_cut(land, [land], line, module_m=0.5, least_width_m=0.5, most=100)
    widths = [0.0, 0.5, 1.0, 1.5, 2.0]
    assert list(cut.widths_m[:5]) == pytest.approx(widths)
    expected = [8 * w - w**2 for w in widths]
    assert cut.areas_m2[:5, 0] == pytest.approx(expected, abs=0.02)


def test_only_a_rectangle_is_seen_as_one() -> None:
    """From its long side 10 x 0.9 m; a triangle is as deep as high; a ring has no side."""
    line = shapely.LineString([(0, 0), (10, 0)])
    lands = [shapely.box(0, 0, 10, 0.9), shapely.Polygon([(0, 0), (10, 0), (5, 4)])]
    strip, triangle = frames(lands, [line, line])
    assert strip is not None
    assert (strip.length_m, strip.depth_m, strip.is_box) == pytest.approx((10.0, 0.9, True))
    assert triangle is not None
    assert (triangle.depth_m, triangle.is_box) == (4.0, False)
    bent = shapely.LineString([(0, 0), (5, -1), (10, 0)])
    assert frames(lands[:1] * 3, [lands[0].exterior, bent, bent.boundary]) == [None] * 3
