"""Areas within widths of many edges at once, held to overlays of one land after another."""

from __future__ import annotations

import random
from typing import Any

import numpy as np
import pytest
import shapely
from shapely import affinity

from checker.measure.frames import EdgeFrame, frames, reached_m, within_m2


def lands(
    dice: random.Random,
) -> tuple[shapely.Polygon, shapely.LineString, list[shapely.Geometry]]:
    """A turned rectangle or a quadrilateral, one of its sides, and the land in cells."""
    wide, deep = dice.uniform(2, 30), dice.uniform(1, 20)
    lean = dice.choice([0.0, dice.uniform(0, wide / 3)])
    corners = [(0, 0), (wide, 0), (wide - lean, deep), (lean / 2, deep)]
    if dice.random() < 0.5:
        corners.reverse()
    land = shapely.Polygon(corners)
    line = shapely.LineString(dice.choice([[(0, 0), (wide, 0)], [(wide, 0), (0, 0)]]))
    cells: list[Any] = [land]
    if dice.random() < 0.6:
        hole = shapely.box(wide / 3, deep / 4, wide / 2, deep / 2)
        spots = shapely.MultiPolygon(
            [
                shapely.box(wide * 0.6, 0, wide * 0.62, deep / 3),
                shapely.box(wide * 0.4, 0, wide / 2, deep / 8),
            ]
        )
        ring = land.difference(hole).difference(spots)
        cells = [ring, hole, spots]
    turn, x, y = dice.uniform(0, 360), dice.uniform(-50, 50), dice.uniform(-50, 50)
    moved = [
        affinity.translate(affinity.rotate(shape, turn, (0, 0)), x, y)
        for shape in (land, line, *cells)
    ]
    return moved[0], moved[1], moved[2:]


def test_areas_within_widths_are_those_of_overlays() -> None:
    dice = random.Random(29)
    made = [lands(dice) for _ in range(60)]
    found = frames([land for land, _, _ in made], [line for _, line, _ in made])
    own = [frame for frame in found if frame is not None]
    assert len(own) == len(made)
    widths = [sorted(dice.uniform(0, 25) for _ in range(dice.randrange(6))) for _ in made]
    areas = within_m2(own, [cells for _, _, cells in made], widths)
    for (land, line, cells), frame, tops, area in zip(made, own, widths, areas, strict=True):
        assert area.shape == (len(tops), len(cells))
        near: list[Any] = [
            shapely.buffer(line, top, cap_style="square", join_style="mitre") for top in tops
        ]
        for row, box in zip(area, near, strict=True):
            expected = shapely.area(shapely.intersection(cells, box)).tolist()
            assert row == pytest.approx(expected, abs=1e-9 * max(1.0, land.area))
        for top in tops:
            near_box = land.intersection(frame.box(top)).area
            assert near_box == pytest.approx(
                land.intersection(shapely.buffer(line, top, cap_style="square")).area, abs=1e-6
            )


def test_depth_length_and_shape_are_measured() -> None:
    """By the distances of the corners from the line that the edge lies on."""
    dice = random.Random(30)
    made = [lands(dice) for _ in range(60)]
    kinds = set()
    for (land, line, _), frame in zip(
        made, frames([land for land, _, _ in made], [line for _, line, _ in made]), strict=True
    ):
        assert frame is not None
        corners = [shapely.Point(at) for at in land.exterior.coords]
        assert frame.depth_m == pytest.approx(max(line.distance(corner) for corner in corners))
        assert frame.length_m == pytest.approx(line.length)
        is_box = land.area == pytest.approx(land.minimum_rotated_rectangle.area)
        assert frame.is_box == is_box
        kinds.add(is_box)
    assert kinds == {True, False}


def test_land_beyond_an_end_or_on_both_sides_has_no_frame() -> None:
    line = shapely.LineString([(0, 0), (10, 0)])
    assert frames(
        [shapely.box(0, 0, 11, 5), shapely.box(-1, 0, 10, 5), shapely.box(0, -1, 10, 5)], [line] * 3
    ) == [None, None, None]


def test_nothing_has_no_areas() -> None:
    line = shapely.LineString([(0, 0), (10, 0)])
    (frame,) = frames([shapely.box(0, 0, 10, 5)], [line])
    assert isinstance(frame, EdgeFrame)
    assert within_m2([], [], []) == []
    (none,) = within_m2([frame], [[shapely.box(0, 0, 10, 5)]], [[]])
    assert np.shape(none) == (0, 1)


def test_land_reaches_a_part_of_an_edge() -> None:
    """Of an edge of 10 m, all of a surface reaches 10, its left 4 m and its far half nothing."""
    line, whole = shapely.LineString([(0, 0), (10, 0)]), shapely.box(0, 0, 10, 6)
    parts = [whole, shapely.box(0, 0, 4, 6), shapely.box(0, 3, 10, 6)]
    assert reached_m(parts, [whole] * 3, [line] * 3) == pytest.approx([10, 4, 0], abs=1e-5)
    assert reached_m([], [], []) == []
