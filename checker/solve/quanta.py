"""The common measure of areas: which sums they can come to, and which they cannot."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from checker.solve.cuttings import Array

_SAME_GAIN: Final = 1e-6
_LEAST_QUANTUM: Final = 1e-3
"""A common measure below this is none: rounding would make one of anything."""

_ROOM_FRACTION: Final = 1e-9


def in_quanta(given: Array, count: int, need: float) -> float:
    """A need, raised to the next sum that gains can come to.

    Bands in half feet of surfaces drawn in half feet have areas in quarters of a square foot, and
    so has every sum of them: what lies between two of these is never reached.

    Args:
        given: All gains that there are.
        count: At most so many of them go into a sum.
        need: What the sum must come to.
    """
    import numpy as np

    gains = np.abs(given)
    gains = gains[gains > _SAME_GAIN]
    if not need or not len(gains):
        return need
    quantum = 0.0
    # Not rounded, and no small remainder is one: each takes the rounding many times over.
    for gain in gains[np.unique(np.round(gains, 7), return_index=True)[1]]:
        low, high = sorted((quantum, float(gain)))
        while low > _LEAST_QUANTUM / 10:
            low, high = sorted((abs(high - round(high / low) * low), low))
        if high < _LEAST_QUANTUM:
            return need
        quantum = float(gain) / round(float(gain) / high)
    quantum = float(gains.max() / round(gains.max() / quantum))
    off = float(np.abs(gains - np.round(gains / quantum) * quantum).max()) * count
    if off > _LEAST_QUANTUM / 100:
        return need
    return max(need, math.ceil((need - off) / quantum - _ROOM_FRACTION) * quantum - off)
