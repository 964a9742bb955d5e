"""Reads outlines as layers store them, straight into edges; compiled where Numba is there.

What is no plain area in little-endian well-known binary, or not surely sound, is marked, and the
geometry library looks at it instead. Well-known binary: OGC 06-103r4, section 8.2.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

MOST_TRIED: Final = 80
"""Rings with more edges are left to the library's own test of soundness."""

READ, DOUBTFUL, OTHER = 0, 1, 2
"""What is found of an outline: read and sound; read, but perhaps broken; not read."""


@cache
def compiled() -> tuple[Callable[..., Any], ...] | None:
    """The two passes and the join as machine code; None where Numba is not installed."""
    try:
        import numba
    except ImportError:
        return None
    make = numba.njit(cache=True, nogil=True)
    global _number, _whole, _is_apart
    _number, _whole, _is_apart = make(_number), make(_whole), make(_is_apart)
    return make(_counted), make(_filled), make(_paired)


def _whole(data: Any, at: int) -> int:
    """An unsigned whole number of four bytes."""
    found = 0
    for k in range(4):
        found |= int(data[at + k]) << (8 * k)
    return found


def _number(data: Any, at: int, spare: Any) -> float:
    """A number of eight bytes."""
    found = np.uint64(0)
    for k in range(8):
        found |= np.uint64(data[at + k]) << np.uint64(8 * k)
    spare[0] = found
    value: float = spare.view(np.float64)[0]
    return value


def _counted(data: Any, start: Any, counts: Any, marks: Any) -> None:
    """First pass: how many edges each outline has, and whether it is read at all."""
    for row in range(len(start) - 1):
        at, end = start[row], start[row + 1]
        counts[row] = 0
        marks[row] = OTHER
        if end - at < 9 or data[at] != 1:
            continue
        kind = _whole(data, at + 1)
        parts = 1
        if kind == 6:
            parts = _whole(data, at + 5)
            at += 9
        elif kind != 3:
            continue
        edges = 0
        is_right = True
        for _ in range(parts):
            if at + 9 > end or data[at] != 1 or _whole(data, at + 1) != 3:
                is_right = False
                break
            rings = _whole(data, at + 5)
            at += 9
            for _ in range(rings):
                if at + 4 > end:
                    is_right = False
                    break
                points = _whole(data, at)
                at += 4 + 16 * points
                if at > end or points < 4:
                    is_right = False
                    break
                edges += points - 1
            if not is_right:
                break
        if is_right and edges > 0:
            counts[row] = edges
            marks[row] = READ


def _filled(  # noqa: PLR0913, PLR0915 - columns that are filled
    data: Any, start: Any, edge_start: Any, marks: Any, x1: Any, y1: Any, x2: Any, y2: Any,
    boxes: Any, most_tried: int,
) -> None:  # fmt: skip
    """Second pass: the edges and the box of each outline, and whether it is surely sound.

    Rings with more than `most_tried` edges are in doubt.
    """
    spare = np.empty(1, np.uint64)
    for row in range(len(start) - 1):
        boxes[row, 0], boxes[row, 1] = math.inf, math.inf
        boxes[row, 2], boxes[row, 3] = -math.inf, -math.inf
        if marks[row] == OTHER:
            boxes[row, :] = math.nan
            continue
        at = start[row]
        parts = 1
        if _whole(data, at + 1) == 6:
            parts = _whole(data, at + 5)
            at += 9
        edge = edge_start[row]
        all_rings = 0
        for _ in range(parts):
            rings = _whole(data, at + 5)
            at += 9
            all_rings += rings
            for _ in range(rings):
                points = _whole(data, at)
                at += 4
                for point in range(points):
                    x = _number(data, at, spare)
                    y = _number(data, at + 8, spare)
                    at += 16
                    if not (math.isfinite(x) and math.isfinite(y)):
                        marks[row] = DOUBTFUL
                    boxes[row, 0], boxes[row, 1] = min(boxes[row, 0], x), min(boxes[row, 1], y)
                    boxes[row, 2], boxes[row, 3] = max(boxes[row, 2], x), max(boxes[row, 3], y)
                    if point > 0:
                        x2[edge], y2[edge] = x, y
                        edge += 1
                    if point < points - 1:
                        x1[edge], y1[edge] = x, y
        first, count = edge_start[row], edge - edge_start[row]
        if all_rings != 1 or count > most_tried:
            marks[row] = DOUBTFUL
            continue
        if x2[edge - 1] != x1[first] or y2[edge - 1] != y1[first]:
            marks[row] = DOUBTFUL
            continue
        wide = max(boxes[row, 2] - boxes[row, 0], boxes[row, 3] - boxes[row, 1])
        trace = 1e-12 * wide * wide
        for i in range(first, edge):
            ax, ay = x2[i] - x1[i], y2[i] - y1[i]
            j = i + 1 if i + 1 < edge else first
            bx, by = x2[j] - x1[j], y2[j] - y1[j]
            if (ax == 0.0 and ay == 0.0) or (
                abs(ax * by - ay * bx) <= trace and ax * bx + ay * by <= 0.0
            ):
                marks[row] = DOUBTFUL
                break
            for k in range(i + 2, edge):
                if i == first and k == edge - 1:
                    continue
                if not _is_apart(
                    x1[i], y1[i], x2[i], y2[i], x1[k], y1[k], x2[k], y2[k], trace
                ):  # fmt: skip
                    marks[row] = DOUBTFUL
                    break
            if marks[row] == DOUBTFUL:
                break


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


def _paired(  # noqa: PLR0913 - boxes, a grid, and what is filled
    lots: Any, shapes: Any, low: Any, side: float, wide: int, deep: int, cell_start: Any,
    cell_lots: Any, lot_of: Any, shape_of: Any,
) -> int:  # fmt: skip
    """Pairs of a lot and a shape whose boxes overlap; counts them where nothing is to be filled.

    Args:
        lots: Boxes, shape (n, 4).
        shapes: Boxes, shape (m, 4).
        low: The corner of the grid.
        side: The side of its cells.
        wide: How many columns.
        deep: How many rows.
        cell_start: The first lot of each cell, shape (wide * deep + 1,).
        cell_lots: The lots of the cells.
        lot_of: Filled with the lot of each pair; empty to count alone.
        shape_of: Filled with its shape.
    """
    count = 0
    for shape in range(len(shapes)):
        x1, y1, x2, y2 = shapes[shape]
        if not (x1 <= x2 and y1 <= y2):
            continue
        left = min(max(int((x1 - low[0]) / side), 0), wide - 1)
        right = min(max(int((x2 - low[0]) / side), 0), wide - 1)
        foot = min(max(int((y1 - low[1]) / side), 0), deep - 1)
        top = min(max(int((y2 - low[1]) / side), 0), deep - 1)
        for row in range(foot, top + 1):
            for column in range(left, right + 1):
                cell = row * wide + column
                for place in range(cell_start[cell], cell_start[cell + 1]):
                    lot = cell_lots[place]
                    if not (
                        lots[lot, 0] < x2
                        and x1 < lots[lot, 2]
                        and lots[lot, 1] < y2
                        and y1 < lots[lot, 3]
                    ):
                        continue
                    # Of the cells that both reach, the first one alone gives the pair.
                    own_left = min(max(int((lots[lot, 0] - low[0]) / side), 0), wide - 1)
                    own_foot = min(max(int((lots[lot, 1] - low[1]) / side), 0), deep - 1)
                    if max(left, own_left) != column or max(foot, own_foot) != row:
                        continue
                    if len(lot_of):
                        lot_of[count] = lot
                        shape_of[count] = shape
                    count += 1
    return count
