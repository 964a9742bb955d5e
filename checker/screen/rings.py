"""The rings of many outlines as columns of corners, as GeoArrow keeps them; all are tried at once.

What is no plain area, or not surely sound, is marked, and the geometry library looks at it instead.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.core.records import Record
from checker.screen.machine_code import machine_code

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from checker.screen.compare import Floats

MOST_TRIED: Final = 80
"""Rings with more edges are left to the library's own test of soundness."""

READ, DOUBTFUL, OTHER = 0, 1, 2
"""What is found of an outline: read and sound; read, but perhaps broken; not read."""


class Rings(Record, eq=False):
    """The rings of some outlines, each closed: its last corner is its first one again.

    Attributes:
        x: Of every corner, shape (corners,), with `y`.
        ring_start: The first corner of each ring, shape (rings + 1,).
        first: The first ring of each outline, shape (n,).
        last: One past its last ring, shape (n,).
    """

    x: Floats
    y: Floats
    ring_start: NDArray[np.int64]
    first: NDArray[np.int64]
    last: NDArray[np.int64]

    def take(self, rows: NDArray[np.intp]) -> Rings:
        """Those of the outlines that are named; corners stay where they are."""
        return Rings(self.x, self.y, self.ring_start, self.first[rows], self.last[rows])


def rings_of(shapes: NDArray[Any]) -> Rings:
    """The rings of areas, holes and parts included."""
    parts, part_of = shapely.get_parts(shapes, return_index=True)
    rings, ring_of = shapely.get_rings(parts, return_index=True)
    points = shapely.get_coordinates(rings)
    ring_start = _starts(shapely.get_num_coordinates(rings))
    ends = np.searchsorted(part_of[ring_of], np.arange(len(shapes) + 1)).astype(np.int64)
    x, y = (np.ascontiguousarray(own) for own in points.T)
    return Rings(x, y, ring_start, ends[:-1], ends[1:])


def _starts(counts: Any) -> NDArray[np.int64]:
    return np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)


def together(several: Sequence[Rings]) -> Rings:
    """The outlines of several, one after the other."""
    starts, first, last, corners, rings = [], [], [], 0, 0
    for own in several:
        starts.append(own.ring_start[:-1] + corners)
        first.append(own.first + rings)
        last.append(own.last + rings)
        corners += len(own.x)
        rings += len(own.ring_start) - 1
    return Rings(
        np.concatenate([own.x for own in several]),
        np.concatenate([own.y for own in several]),
        np.append(np.concatenate(starts), corners).astype(np.int64),
        np.concatenate(first),
        np.concatenate(last),
    )


@cache
def compiled() -> tuple[Callable[..., Any], ...] | None:
    """The looks at boxes, at soundness and at areas as machine code; None without Numba."""
    return machine_code(
        globals(), ("_is_apart", "_is_closed", "_is_round", "_is_simple"), _boxed, _tried, _sized
    )


def _boxed(x: Any, y: Any, ring_start: Any, first: Any, last: Any, boxes: Any) -> None:
    """Fill in the boxes round the corners that are numbers, shape (n, 4); nan without any."""
    for row in range(len(first)):
        low_x, low_y, high_x, high_y = math.inf, math.inf, -math.inf, -math.inf
        if first[row] < last[row]:
            for at in range(ring_start[first[row]], ring_start[last[row]]):
                if math.isfinite(x[at]) and math.isfinite(y[at]):
                    low_x, low_y = min(low_x, x[at]), min(low_y, y[at])
                    high_x, high_y = max(high_x, x[at]), max(high_y, y[at])
        if low_x > high_x:
            low_x, low_y, high_x, high_y = math.nan, math.nan, math.nan, math.nan
        boxes[row, 0], boxes[row, 1], boxes[row, 2], boxes[row, 3] = low_x, low_y, high_x, high_y


def _sized(x: Any, y: Any, ring_start: Any, first: Any, last: Any, areas: Any) -> None:
    """Fill in the areas of outlines of one ring, as the geometry library sums them; else nan."""
    for row in range(len(first)):
        areas[row] = math.nan
        if last[row] - first[row] == 1:
            begin, end = ring_start[first[row]], ring_start[first[row] + 1] - 1
            double = 0.0
            for at in range(begin + 1, end):
                double += (x[at] - x[begin]) * (y[at - 1] - y[at + 1])
            areas[row] = abs(double / 2.0)


def _tried(  # noqa: PLR0913 - columns of rings, and what is filled
    x: Any, y: Any, ring_start: Any, first: Any, last: Any, boxes: Any, marks: Any,
    most_tried: int,
) -> None:  # fmt: skip
    """Mark which outlines that are read are surely sound; rings with many edges are in doubt."""
    for row in range(len(first)):
        if marks[row] == OTHER:
            continue
        marks[row] = DOUBTFUL
        if last[row] - first[row] != 1:
            continue
        begin, end = ring_start[first[row]], ring_start[first[row] + 1] - 1
        if end - begin > most_tried or not _is_closed(x, y, begin, end):
            continue
        wide = max(boxes[row, 2] - boxes[row, 0], boxes[row, 3] - boxes[row, 1])
        trace = 1e-12 * wide * wide
        if _is_round(x, y, begin, end, trace) or _is_simple(x, y, begin, end, trace):
            marks[row] = READ


def _is_closed(x: Any, y: Any, begin: int, end: int) -> bool:
    """Whether a ring has three corners or more, all of them numbers, and ends where it begins."""
    if end - begin < 3 or x[begin] != x[end] or y[begin] != y[end]:
        return False
    are_numbers = True
    for at in range(begin, end):
        are_numbers = are_numbers and math.isfinite(x[at]) and math.isfinite(y[at])
    return are_numbers


def _is_simple(x: Any, y: Any, begin: int, end: int, trace: float) -> bool:
    """Whether no edge of a ring is a point, goes back on the one before it or meets another."""
    for i in range(begin, end):
        ax, ay = x[i + 1] - x[i], y[i + 1] - y[i]
        j = i + 1 if i + 1 < end else begin
        bx, by = x[j + 1] - x[j], y[j + 1] - y[j]
        goes_back = abs(ax * by - ay * bx) <= trace and ax * bx + ay * by <= 0.0
        if goes_back or (ax == 0.0 and ay == 0.0):
            return False
        # The last edge ends where the first begins.
        last = end - 1 if i == begin else end
        for k in range(i + 2, last):
            if not _is_apart(x[i], y[i], x[i + 1], y[i + 1], x[k], y[k], x[k + 1], y[k + 1], trace):
                return False
    return True


def _is_round(x: Any, y: Any, begin: int, end: int, trace: float) -> bool:
    """Whether a ring turns one way at every corner, and once round."""
    way, flips, before = 0, 0, 0
    for i in range(begin, end):
        j = i + 1 if i + 1 < end else begin
        ax, ay, bx, by = x[i + 1] - x[i], y[i + 1] - y[i], x[j + 1] - x[j], y[j + 1] - y[j]
        turn = ax * by - ay * bx
        if abs(turn) <= trace:
            return False
        own = 1 if turn > 0.0 else -1
        if way == 0:
            way = own
        elif way != own:
            return False
        side = 1 if ax > 0.0 or (ax == 0.0 and ay > 0.0) else -1
        if before not in (0, side):
            flips += 1
        before = side
    return flips <= 2


def _is_apart(  # noqa: PLR0913 - two edges and what is a trace
    ax: float, ay: float, bx: float, by: float, cx: float, cy: float, dx: float, dy: float,
    trace: float,
) -> bool:  # fmt: skip
    """Whether two edges surely have no point in common."""
    if max(ax, bx) < min(cx, dx) or max(cx, dx) < min(ax, bx):
        return True
    if max(ay, by) < min(cy, dy) or max(cy, dy) < min(ay, by):
        return True
    c = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    d = (bx - ax) * (dy - ay) - (by - ay) * (dx - ax)
    if (c > trace and d > trace) or (c < -trace and d < -trace):
        return True
    a = (dx - cx) * (ay - cy) - (dy - cy) * (ax - cx)
    b = (dx - cx) * (by - cy) - (dy - cy) * (bx - cx)
    return (a > trace and b > trace) or (a < -trace and b < -trace)
