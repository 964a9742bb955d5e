"""A curve through a town on which neighbours are near each other (Hilbert, 1891)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

LEVEL = 12
"""The curve visits 4,096 x 4,096 cells over the bounds of the town, whatever is in them."""


def along(x: Any, y: Any, bounds: tuple[float, float, float, float]) -> NDArray[np.int64]:
    """How far along the curve points lie, 0 to 4^12 - 1.

    Args:
        x: Shape (n,).
        y: Shape (n,).
        bounds: Of the whole town, so that the keys of its parts compare.
    """
    side = 1 << LEVEL
    low_x, low_y, high_x, high_y = bounds
    wide = max(high_x - low_x, high_y - low_y) or 1.0
    px = np.clip(((x - low_x) / wide * side).astype(np.int64), 0, side - 1)
    py = np.clip(((y - low_y) / wide * side).astype(np.int64), 0, side - 1)
    found = np.zeros(len(px), np.int64)
    step = side >> 1
    while step:
        right, up = (px & step) > 0, (py & step) > 0
        found += step * step * ((3 * right) ^ up)
        flips = ~up & right
        px, py = np.where(flips, side - 1 - px, px), np.where(flips, side - 1 - py, py)
        turns = ~up
        px, py = np.where(turns, py, px), np.where(turns, px, py)
        step >>= 1
    return found
