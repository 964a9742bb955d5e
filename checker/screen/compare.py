"""The one tolerance of `core.units`, for arrays: nothing else in this room compares amounts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from checker.core.units import RELATIVE_TOLERANCE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.core.units import Order

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]


def same(first: Floats, second: Floats, size: Any = 0.0) -> Mask:
    """Whether two numbers are one amount, row by row; see `core.units.same`."""
    with np.errstate(invalid="ignore", over="ignore"):
        largest = np.maximum(np.abs(first), np.abs(second))
        largest = np.maximum(largest, np.where(np.isfinite(size), size, 0.0))
        is_near = np.abs(first - second) <= RELATIVE_TOLERANCE * largest
    found: Mask = (first == second) | (is_near & np.isfinite(first) & np.isfinite(second))
    return found


def meets(measured: Floats, limit: Floats, order: Order, size: Any = 0.0) -> Mask:
    """The one comparison with a limit, row by row; see `core.units.meets`."""
    at_limit = same(measured, limit, size)
    if order == "equal to":
        return at_limit
    if order == "at most":
        return at_limit | (measured < limit)
    if order == "at least":
        return at_limit | (measured > limit)
    if order == "less than":
        return ~at_limit & (measured < limit)
    return ~at_limit & (measured > limit)


def is_less(first: Floats, second: Floats) -> Mask:
    """Whether one room is less than another, rounding apart; see `algebra.values.least_room`."""
    return (first < second) & ~same(first, second, 1.0)


def settled(value: Floats, size: Any) -> Floats:
    """Exactly zero where only rounding is left of the terms; see `core.units.settled`."""
    return np.where(same(value, np.zeros(()), size), 0.0, value)
