"""Pieces that can be built, in steps: bands along an edge, runs of bays, or all of a surface.

A cut has positions from 0, nothing, to its last, everything. The piece between two positions has a
shape, and a share of each cell of the land below it; the shares of all positions are one array, so
that thousands of pieces cost little. Lengths and areas are in metres on the plane of the site.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.measure.bands import bands, may_leave_slivers, tidy, tidy_each, with_slivers
from checker.measure.widths import narrow_part

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.site.model import Shape

Floats = Any
"""A numpy array of floats."""

SAME_M: Final = 1e-6
"""Lengths that differ by less are the same: far below what is built, far above rounding."""

_SAME_FRACTION: Final = 1e-9
_NEARLY: Final = 0.99
_LEAST_TOUCH_M: Final = 0.02
"""Bays that share less of an edge than this do not adjoin."""


class WholeCut:
    """All of some land or nothing: the positions 0 and 1."""

    def __init__(self, land: Shape, cells: Sequence[Shape]) -> None:
        self.land = land
        self.areas_m2 = np.array([[0.0] * len(cells), [float(cell.area) for cell in cells]])

    def shape(self, first: int, last: int) -> Shape:
        """All of it."""
        assert (first, last) == (0, 1)
        return tidy(self.land)


class BandCut:
    """Bands of some land along an edge; the last position is all of it.

    Args:
        land: Where the bands lie.
        cells: The land in parts that do not overlap.
        line: The edge.
        module_m: Widths are whole multiples of this.
        least_width_m: No band is narrower, and nothing narrower is left beside one.
        most: At most about so many widths; with more, widths are multiples of a larger step.

    Attributes:
        line: The edge.
        widths_m: The width at each position but the last.
        step_m: Of widths: the module, or more of them.
        areas_m2: By position and cell: how much of the cell lies before the position.
    """

    def __init__(
        self,
        land: Shape,
        cells: Sequence[Shape],
        line: Shape,
        *,
        module_m: float,
        least_width_m: float,
        most: int,
    ) -> None:
        self.land, self.line, self.step_m = land, line, module_m
        self._frame = _frame(land, line)
        self._shapes: list[Shape] = []
        total = np.array([[float(cell.area) for cell in cells]])
        depth_m = self._frame.depth_m if self._frame else land.hausdorff_distance(line)
        is_box = self._frame is not None and self._frame.is_box
        if is_box:
            # What is left beside a band of a rectangle is a rectangle: its width is known.
            depth_m -= least_width_m
            if self._frame is not None and self._frame.length_m < least_width_m - SAME_M:
                depth_m = 0.0
        first = math.ceil((least_width_m - SAME_M) / module_m)
        last = math.floor((depth_m + SAME_M) / module_m)
        coarse = max(1, math.ceil((last - first + 1) / most))
        self.step_m = coarse * module_m
        steps = range(-(-first // coarse), last // coarse + 1)
        widths_m = [step * self.step_m for step in steps if depth_m > 0]
        if is_box and self._frame is not None:
            inner = [self._frame.below_m2(cell, widths_m) for cell in cells]
            below = np.stack(inner, axis=1) if widths_m else np.zeros((0, len(cells)))
        else:
            widths_m = self._draw(widths_m, least_width_m)
            below = _shared(self._shapes, cells)
        self.widths_m = [0.0, *widths_m]
        self.areas_m2 = np.concatenate([np.zeros((1, len(cells))), below, total])

    def _draw(self, widths_m: list[float], least_width_m: float) -> list[float]:
        """Draw each band, with the slivers beside it; gives the widths that make a band."""
        kept: list[float] = []
        reached_m2 = 0.0
        shapes = bands(self.land, self.line, widths_m)
        may_leave = may_leave_slivers(self.land, shapes, least_width_m)
        drawn = tidy_each(shapes)
        for width_m, piece, has_slivers, plain in zip(
            widths_m, shapes, may_leave, drawn, strict=True
        ):
            if _is_narrow(piece, _NEARLY * least_width_m):
                continue
            shape = plain
            if has_slivers:
                shape = tidy(with_slivers(self.land, piece, least_width_m))
            if shape.area >= self.land.area * (1 - _SAME_FRACTION):
                break
            if shape.area > reached_m2 * (1 + _SAME_FRACTION):
                kept.append(width_m)
                self._shapes.append(shape)
                reached_m2 = shape.area
        return kept

    def shape(self, first: int, last: int) -> Shape:
        """The band between two positions."""
        return cut_off(self._upto(last), self._upto(first)) if first else self._upto(last)

    def _upto(self, position: int) -> Shape:
        if position == len(self.widths_m):
            return tidy(self.land)
        if self._shapes:
            return self._shapes[position - 1]
        assert self._frame is not None
        return tidy(self.land.intersection(self._frame.box(self.widths_m[position])))


class BayCut:
    """Runs of bays that adjoin each other, row by row, each row from where the last one ended.

    Args:
        rows: The bays, row by row from the edge.
        cells: The land in parts that do not overlap.

    Attributes:
        numbers: The number of the bay after each position, counted along the rows.
        links: Whether the bay after a position adjoins the one before it.
        areas_m2: By position and cell: how much of the cell lies before the position.
    """

    def __init__(self, rows: Sequence[Sequence[Shape]], cells: Sequence[Shape]) -> None:
        first = np.cumsum([1, *(len(row) for row in rows)])
        numbered = [
            list(enumerate(row, int(start))) for row, start in zip(rows, first, strict=False)
        ]
        path = [
            item
            for index, row in enumerate(numbered)
            for item in (row if index % 2 == 0 else reversed(row))
        ]
        self.numbers = [number for number, _ in path]
        self._shapes = [shape for _, shape in path]
        near = shapely.intersection(
            shapely.buffer(self._shapes[:-1], 10 * SAME_M), self._shapes[1:]
        )
        self.links = np.array([True, *(shapely.area(near) > _LEAST_TOUCH_M * 10 * SAME_M)])
        areas = _shared(self._shapes, cells)
        self.areas_m2 = np.concatenate([np.zeros((1, len(cells))), np.cumsum(areas, axis=0)])

    def shape(self, first: int, last: int) -> Shape:
        """The bays from one position to another."""
        return tidy(shapely.union_all(self._shapes[first:last]))


class _Frame:
    """A straight edge as an axis, the land on one side of it and between its ends."""

    def __init__(self, land: Shape, line: Shape) -> None:
        (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
        self.length_m = math.hypot(x1 - x0, y1 - y0)
        along = (x1 - x0) / self.length_m, (y1 - y0) / self.length_m
        self._origin = np.array([x0, y0])
        across = np.array([-along[1], along[0]])
        middle = np.array(land.centroid.coords[0]) - self._origin
        if float(middle @ across) < 0:
            across = -across
        self._axes = np.array([along, across]).T
        at = self._turned(shapely.get_coordinates(land))
        low, high = at.min(axis=0), at.max(axis=0)
        self.fits = bool(low[1] > -SAME_M and low[0] > -SAME_M and high[0] < self.length_m + SAME_M)
        self.depth_m = float(high[1])
        box_m2 = float((high[0] - low[0]) * (high[1] - low[1]))
        self.is_box = self.fits and land.area > box_m2 * (1 - 1e-7)

    def _turned(self, points: Floats) -> Floats:
        return (points - self._origin) @ self._axes

    def below_m2(self, cell: Shape, widths_m: Sequence[float]) -> Floats:
        """How much of a cell lies within each width: the sum of x dy round its rings, cut off."""
        tops = np.array(widths_m)
        found = np.zeros(len(tops))
        for part in shapely.get_parts(cell):
            if not isinstance(part, shapely.Polygon):
                continue
            found += abs(self._ring_m2(part.exterior, tops))
            for hole in part.interiors:
                found -= abs(self._ring_m2(hole, tops))
        return found

    def _ring_m2(self, ring: Shape, tops: Floats) -> Floats:
        at = self._turned(shapely.get_coordinates(ring))
        (s1, t1), (s2, t2) = at[:-1].T[:, None], at[1:].T[:, None]
        low, high = np.minimum(t1, tops[:, None]), np.minimum(t2, tops[:, None])
        rise = np.where(t2 == t1, 1.0, t2 - t1)
        slope = (s2 - s1) / rise
        ends = 2 * s1 + slope * (low + high - 2 * t1)
        found: Floats = ((high - low) * ends / 2).sum(axis=1)
        return found

    def box(self, width_m: float) -> Shape:
        """The land within a width of the edge, with room to spare outside of it."""
        room_m = 1.0
        corners = np.array(
            [
                (-room_m, -room_m), (self.length_m + room_m, -room_m),
                (self.length_m + room_m, width_m), (-room_m, width_m),
            ]
        )  # fmt: skip
        return shapely.Polygon(corners @ self._axes.T + self._origin)


def box_of(land: Shape, line: Shape) -> tuple[float, float] | None:
    """Length and depth of a rectangle of land seen from one of its sides; None for other land."""
    frame = _frame(land, line)
    if frame is None or not frame.is_box:
        return None
    return round(frame.length_m, 7), round(frame.depth_m, 7)


@lru_cache(maxsize=64)
def _frame(land: Shape, line: Shape) -> _Frame | None:
    """The frame of an edge; None where a band along it bends, or goes round its end."""
    if line.is_ring or line.length > SAME_M + math.dist(line.coords[0], line.coords[-1]):
        return None
    found = _Frame(land, line)
    return found if found.fits else None


def _is_narrow(shape: Shape, least_width_m: float) -> bool:
    """Whether nearly all of a shape is narrower than a width."""
    # What lies half the width inside of the outline is wide enough, and quickly found.
    core = shape.buffer(-least_width_m / 2, join_style="mitre")
    if core.area > 2 * (1 - _NEARLY) * shape.area:
        return False
    return bool(narrow_part(shape, least_width_m).area >= _NEARLY * shape.area)


def _shared(shapes: Sequence[Shape], cells: Sequence[Shape]) -> Floats:
    """The area of each shape in each cell."""
    if not len(shapes):
        return np.zeros((0, len(cells)))
    if len(cells) == 1:
        return shapely.area(shapes)[:, None]
    return shapely.area(shapely.intersection(np.array(shapes)[:, None], np.array(cells)[None, :]))


def cut_off(shape: Shape, piece: Shape) -> Shape:
    """A shape without a piece of it, and without the hairlines where their corners just miss."""
    return tidy(shapely.snap(shape, piece, SAME_M).difference(piece))
