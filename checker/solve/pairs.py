"""A good set early: up to four departures at once from the best choices, met in the middle.

The groups are parted into two halves. In each half stand no departure, every single one and every
pair of the cheapest; a departure of one half and one of the other are matched by what they gain
together, so that some billions of sets are looked through by sorting two lists.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from checker.core.records import Record

if TYPE_CHECKING:
    from checker.solve.cuttings import Array

_MOST_SINGLES: Final = 20_000
_MOST_PAIRED: Final = 400


class Shifts(Record):
    """Every departure of some groups, as arrays.

    Attributes:
        group: The group.
        choice: Which choice it takes.
        gain: What that gains beyond the best one.
        penalty: By how much it is worse at the shadow price.
    """

    group: Array
    choice: Array
    gain: Array
    penalty: Array

    def of(self, kept: Array) -> Shifts:
        """Some of them."""
        return Shifts(self.group[kept], self.choice[kept], self.gain[kept], self.penalty[kept])


class _Half(Record):
    """Sets of at most two departures, by what they gain.

    Attributes:
        first: The first departure, or none: -1.
        second: The second one, or none: -1.
        gain: What both gain.
        penalty: What both cost at the shadow price.
    """

    first: Array
    second: Array
    gain: Array
    penalty: Array


def best_pair(
    shifts: Shifts, reached: float, price: float, most: float
) -> tuple[float, list[tuple[int, int]]]:
    """The least of penalty and surplus over pairs, each of them one or two departures.

    Args:
        shifts: What may be departed to; the groups in the order of their cheapest departure.
        reached: Gain of the best choices less the need.
        price: Of a surplus of gain.
        most: Only what is less than this is looked for.

    Returns:
        The least, and its departures as pairs of group and choice; infinite where nothing is less
        than `most`.
    """
    rank = _ranks(shifts)
    near = shifts.penalty < most
    one, other = (_half(shifts, np.flatnonzero(near & (rank % 2 == side))) for side in (0, 1))
    order = np.argsort(other.gain, kind="stable")
    gain = other.gain[order]
    worth = other.penalty[order] + price * gain
    # Of all that gain at least so much, the place of the least.
    least = np.minimum.accumulate(worth[::-1])[::-1]
    where = np.flatnonzero(worth == least)
    at = np.searchsorted(gain, -(reached + one.gain), side="left")
    nearest = np.append(where, -1)[np.searchsorted(where, at)]
    total = one.penalty + price * (reached + one.gain) + np.append(worth, np.inf)[nearest]
    best = int(total.argmin())
    if not total[best] < most:
        return np.inf, []
    picked = int(order[nearest[best]])
    numbers = (one.first[best], one.second[best], other.first[picked], other.second[picked])
    own = [(int(shifts.group[n]), int(shifts.choice[n])) for n in numbers if n >= 0]
    return float(total[best]), own


def _ranks(shifts: Shifts) -> Array:
    """For each departure, the place of its group among all by their cheapest departure."""
    count = int(shifts.group.max(initial=-1)) + 1
    lowest = np.full(count, np.inf)
    np.minimum.at(lowest, shifts.group, shifts.penalty)
    places = np.empty(count, dtype=np.int64)
    places[np.argsort(lowest, kind="stable")] = np.arange(count)
    return places[shifts.group]


def _half(shifts: Shifts, own: Array) -> _Half:
    """No departure, each single one and each pair of the cheapest among some of them."""
    own = own[np.argsort(shifts.penalty[own], kind="stable")][:_MOST_SINGLES]
    low, high = np.triu_indices(min(len(own), _MOST_PAIRED), k=1)
    apart = shifts.group[own[low]] != shifts.group[own[high]]
    low, high = own[low[apart]], own[high[apart]]
    gain, penalty = shifts.gain, shifts.penalty
    return _Half(
        np.concatenate([[-1], own, low]),
        np.concatenate([[-1], np.full(len(own), -1), high]),
        np.concatenate([[0.0], gain[own], gain[low] + gain[high]]),
        np.concatenate([[0.0], penalty[own], penalty[low] + penalty[high]]),
    )
