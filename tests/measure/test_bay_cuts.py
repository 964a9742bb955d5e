"""Runs of bays: in which order they are taken, and which of them adjoin."""

from __future__ import annotations

import pytest
import shapely

from checker.measure.cuts import BayCut

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
