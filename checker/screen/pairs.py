"""Which boxes overlap which: by a grid where Numba is there, else by a tree of the library."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.screen.machine_code import machine_code

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from checker.screen.compare import Floats

MOST_CELLS_EACH: Final = 16
"""So many cells of the grid lots may reach on average."""


@cache
def compiled() -> Callable[..., Any] | None:
    """The join as machine code; None where Numba is not installed."""
    made = machine_code(globals(), (), _paired)
    return made[0] if made else None


def overlapping(first: Floats, second: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of boxes that overlap, one of each, by their places; a box of nan overlaps none."""
    none = np.zeros(0, np.intp)
    known = np.flatnonzero(np.isfinite(first).all(axis=1))
    if not len(known) or not len(second):
        return none, none
    run = compiled()
    if run is not None:
        one, other = _by_grid(run, first[known], second)
        return known[one], other
    rows = np.flatnonzero(np.isfinite(second).all(axis=1))
    boxes: Any = shapely.box(*first[known].T)
    tree = shapely.STRtree(boxes)
    other, one = tree.query(shapely.box(*second[rows].T))
    a, b = first[known[one]], second[rows[other]]
    is_over = ((a[:, :2] < b[:, 2:]) & (b[:, :2] < a[:, 2:])).all(axis=1)
    return known[one[is_over]], rows[other[is_over]]


def _by_grid(paired: Any, lots: Floats, shapes: Floats) -> tuple[Any, Any]:
    """The pairs by a grid whose cells are about as large as a lot."""
    low = lots[:, :2].min(axis=0)
    span = np.maximum(lots[:, 2:].max(axis=0) - low, 1e-9)
    side = max(float(np.median(lots[:, 2:] - lots[:, :2])), float(span.max()) / 2_000)
    while True:
        wide, deep = (int(s / side) + 1 for s in span)
        most = [wide - 1, deep - 1] * 2
        ends = np.clip(((lots - np.tile(low, 2)) / side).astype(np.int64), 0, most)
        across, up = ends[:, 2] - ends[:, 0] + 1, ends[:, 3] - ends[:, 1] + 1
        if (across * up).sum() <= MOST_CELLS_EACH * len(lots):
            break
        side *= 2.0  # a few lots as large as the town would fill a fine grid
    lot = np.repeat(np.arange(len(lots)), across * up)
    place = np.arange(len(lot)) - np.repeat(np.cumsum(across * up) - across * up, across * up)
    cell = (ends[lot, 1] + place // across[lot]) * wide + ends[lot, 0] + place % across[lot]
    order = np.argsort(cell, kind="stable")
    start = np.searchsorted(cell[order], np.arange(wide * deep + 1))
    none = np.zeros(0, np.intp)
    grid = (low, side, wide, deep, start, lot[order])
    count = paired(lots, shapes, *grid, none, none)
    lot_of, shape_of = np.empty(count, np.intp), np.empty(count, np.intp)
    paired(lots, shapes, *grid, lot_of, shape_of)
    return lot_of, shape_of


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
