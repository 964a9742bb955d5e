"""Sets of departures from what is best at the shadow price, built up from the cheapest on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.solve.cuttings import Array
    from checker.solve.pairs import Shifts

_MANY_STATES: Final = 5_000
_STEPS: Final = 4096
_CLOSE: Final = 1e-6
"""Sets that differ by less are as good as each other."""


class Departing(Record):
    """What leaving the best choice of some groups does, the group with the cheapest one first.

    Attributes:
        shifts: The departures, those of a group behind one another.
        begins: Where those of each group begin, and the end of all, shape (groups + 1,).
        lowest: The least penalty of each group, from the smallest up, shape (groups,).
    """

    shifts: Shifts
    begins: Array
    lowest: Array

    def __len__(self) -> int:
        return len(self.lowest)

    def of(self, step: int) -> tuple[int, Array, Array, Array]:
        """A group with the choices, shifts and penalties of its departures."""
        own, shifts = slice(self.begins[step], self.begins[step + 1]), self.shifts
        group = int(shifts.group[self.begins[step]])
        return group, shifts.choice[own], shifts.gain[own], shifts.penalty[own]

    def farthest(self, sign: float) -> Array:
        """How far the first groups can move the surplus at most, one more each; from none on."""
        if not len(self):
            return np.zeros(1)
        most = np.maximum.reduceat(sign * self.shifts.gain, self.begins[:-1])
        return np.cumsum(np.concatenate([[0.0], np.maximum(most, 0.0)]))


def departing(shifts: Shifts) -> Departing:
    """The departures of each group, the group with the cheapest one first."""
    _, which = np.unique(shifts.group, return_inverse=True)
    lowest = np.full(int(which.max(initial=-1)) + 1, np.inf)
    np.minimum.at(lowest, which, shifts.penalty)
    order = np.argsort(lowest, kind="stable")
    place = np.empty_like(order)
    place[order] = np.arange(len(order))
    by_group = np.argsort(place[which], kind="stable")
    sizes = np.bincount(place[which], minlength=len(order))
    return Departing(shifts.of(by_group), np.concatenate([[0], np.cumsum(sizes)]), lowest[order])


def build_up(
    order: Departing,
    reached: float,
    price: float,
    least: float,
    effort: tuple[int, int],
    early: tuple[float, list[tuple[int, int]]],
) -> tuple[float, list[tuple[int, int]], bool]:
    """The set of departures from the best choices with the least penalty and surplus.

    Args:
        order: The departures of each group, the cheapest first.
        reached: Gain of the best choices less the need.
        price: Of a surplus of gain.
        least: No set can have less penalty and surplus than this.
        effort: At most so many sets go on; after so many in all the least so far is given.
        early: The least so far, with its departures.

    Returns:
        The least, its departures as pairs of group and choice, and whether nothing better is left.
    """
    singles = _Singles(order, price)
    # How far the groups still to come can move the surplus at most, up and down.
    ups, downs = order.farthest(1.0), order.farthest(-1.0)
    surplus, penalty = np.array([reached]), np.array([0.0])
    trail: list[tuple[int, Array, Array]] = []
    best, own = early
    states, most_work = effort
    many, work, is_complete = min(_MANY_STATES, states), 0, True
    for step in range(len(order) + 1):
        # Each set is tried with one more departure: that makes good sets long before the end.
        total, index, more = singles.completed(step, surplus, penalty)
        if total < best - 1e-9:
            best, own = total, [*_departures(trail, step, index), *more]
        if best - least < _CLOSE:
            return best, own, True
        if step == len(order) or order.lowest[step] > best:
            break
        number, *moves = order.of(step)
        origin, picked, surplus, penalty = _departed(moves, surplus, penalty, best)
        work += len(surplus)
        end = int(np.searchsorted(order.lowest, best, side="right"))
        up, down = ups[max(end, step + 1)] - ups[step + 1], downs[max(end, step + 1)]
        down -= downs[step + 1]
        live = (surplus + up >= 0) & (penalty + price * np.maximum(surplus - down, 0.0) < best)
        kept = np.flatnonzero(live)
        if len(kept) and work > most_work:
            return best, own, False
        if len(kept) > many:
            kept = kept[_undefeated(surplus[kept], penalty[kept] + price * surplus[kept])]
            many = max(min(_MANY_STATES, states), 2 * len(kept))
        if len(kept) > states:
            # The sets that come nearest to the limit for the least penalty go on.
            is_complete = False
            far = penalty[kept] + price * np.abs(surplus[kept])
            kept = np.sort(kept[np.argpartition(far, states)[:states]])
        surplus, penalty = surplus[kept], penalty[kept]
        trail.append((number, origin[kept], picked[kept]))
        if not len(surplus):
            break
    return best, own, is_complete


class _Singles:
    """Every departure of one group, by what it gains.

    Args:
        order: The groups in the order in which they are decided.
        price: Of a surplus of gain.
    """

    def __init__(self, order: Departing, price: float) -> None:
        shifts = order.shifts
        step = np.repeat(np.arange(len(order)), np.diff(order.begins))
        # No departure at all comes first of those that gain nothing.
        by_gain = np.argsort(np.concatenate([[0.0], shifts.gain]), kind="stable")
        self._step = np.concatenate([[len(order)], step])[by_gain]
        self._gain = np.concatenate([[0.0], shifts.gain])[by_gain]
        self._worth = np.concatenate([[0.0], shifts.penalty])[by_gain] + price * self._gain
        self._group = np.concatenate([[-1], shifts.group])[by_gain]
        self._choice = np.concatenate([[-1], shifts.choice])[by_gain]
        self._price = price

    def completed(
        self,
        step: int,
        surplus: Array,
        penalty: Array,
    ) -> tuple[float, int, list[tuple[int, int]]]:
        """The least of some sets with at most one departure of a group that is still to come.

        Returns:
            Penalty and surplus, infinite when the need is not reached; which set; its departure.
        """
        coming = np.flatnonzero(self._step >= step)
        gain, worth = self._gain[coming], self._worth[coming]
        # Of all that gain at least so much, the place of the least.
        least = np.minimum.accumulate(worth[::-1])[::-1]
        where = np.flatnonzero(worth == least)
        at = np.searchsorted(gain, -surplus, side="left")
        nearest = np.append(where, -1)[np.searchsorted(where, at)]
        total = penalty + self._price * surplus + np.append(worth, np.inf)[nearest]
        index = int(total.argmin())
        single = int(nearest[index])
        place = int(coming[single])
        name = int(self._group[place]), int(self._choice[place])
        return float(total[index]), index, [name] if name[0] >= 0 and single >= 0 else []


def _departed(
    moves: Sequence[Array], surplus: Array, penalty: Array, best: float
) -> tuple[Array, ...]:
    """Every set with each choice of one more group, as far as penalties allow.

    Args:
        moves: The choices, shifts and penalties of the group's departures.
        surplus: Of each set so far.
        penalty: Of each set so far.
        best: Only what is less than this is gone on with.
    """
    choice, gain, more = moves
    total = penalty[None, :] + more[:, None]
    move, origin = np.nonzero(total < best)
    return (
        np.concatenate([np.arange(len(surplus)), origin]),
        np.concatenate([np.full(len(surplus), -1), choice[move]]),
        np.concatenate([surplus, surplus[origin] + gain[move]]),
        np.concatenate([penalty, total[move, origin]]),
    )


def _undefeated(surplus: Array, cost: Array) -> Array:
    """The sets that no other one beats: as much gain at no more cost."""
    near = _undefeated_roughly(surplus, cost)
    order = near[np.lexsort((cost[near], -surplus[near]))]
    before = np.minimum.accumulate(np.concatenate([[np.inf], cost[order][:-1]]))
    return np.sort(order[cost[order] < before - 1e-9])


def _undefeated_roughly(surplus: Array, cost: Array) -> Array:
    """The sets without most of those that another one beats: few are left to be sorted.

    By steps of gain: what costs as much as the cheapest of a step with more gain is beaten by it.
    """
    low, high = surplus.min(), surplus.max()
    if len(surplus) < _MANY_STATES or not high > low:
        return np.arange(len(surplus))
    step = ((surplus - low) * (_STEPS / (high - low))).astype(np.int64)
    least = np.full(_STEPS + 2, np.inf)
    np.minimum.at(least, step, cost)
    beyond = np.minimum.accumulate(least[::-1])[::-1][step + 1]
    return np.flatnonzero(cost < beyond)


def _departures(
    trail: list[tuple[int, Array, Array]], step: int, index: int
) -> Iterator[tuple[int, int]]:
    for number, origin, picked in reversed(trail[:step]):
        if picked[index] >= 0:
            yield number, int(picked[index])
        index = int(origin[index])
