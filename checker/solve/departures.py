"""Sets of departures from what is best at the shadow price, built up from the cheapest on."""

from __future__ import annotations

import bisect
from typing import TYPE_CHECKING, Any, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.solve.pairs import Shifts

_MANY_STATES: Final = 5_000
_CLOSE: Final = 1e-6
"""Sets that differ by less are as good as each other."""


class Departing(NamedTuple):
    """A group with what leaving its best choice does: the choice, the shift and the penalty."""

    lowest: float
    number: int
    shifts: tuple[tuple[int, float, float], ...]


def departing(shifts: Shifts) -> list[Departing]:
    """The departures of each group, the group with the cheapest one first."""
    found: dict[int, list[tuple[int, float, float]]] = {}
    columns = (shifts.group, shifts.choice, shifts.gain, shifts.penalty)
    for group, *shift in zip(*(column.tolist() for column in columns), strict=True):
        found.setdefault(group, []).append((shift[0], shift[1], shift[2]))
    return sorted(
        Departing(min(penalty for _, _, penalty in own), group, tuple(own))
        for group, own in found.items()
    )


def build_up(
    order: list[Departing],
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
    import numpy as np

    singles = _Singles(order, price)
    # How far the groups still to come can move the surplus at most, up and down.
    ups = np.cumsum([0.0, *(max(0.0, *(s for _, s, _ in g.shifts)) for g in order)])
    downs = np.cumsum([0.0, *(max(0.0, *(-s for _, s, _ in g.shifts)) for g in order)])
    surplus, penalty = np.array([reached]), np.array([0.0])
    trail: list[tuple[int, Any, Any]] = []
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
        if step == len(order) or order[step].lowest > best:
            break
        group = order[step]
        origin, picked, surplus, penalty = _departed(group, surplus, penalty, best)
        work += len(surplus)
        end = bisect.bisect_right(order, best, key=lambda item: item.lowest)
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
        trail.append((group.number, origin[kept], picked[kept]))
        if not len(surplus):
            break
    return best, own, is_complete


class _Singles:
    """Every departure of one group, by what it gains.

    Args:
        order: The groups in the order in which they are decided.
        price: Of a surplus of gain.
    """

    def __init__(self, order: list[Departing], price: float) -> None:
        import numpy as np

        rows = [(len(order), -1, -1, 0.0, 0.0)]
        rows += [(step, g.number, *shift) for step, g in enumerate(order) for shift in g.shifts]
        rows.sort(key=lambda row: row[3])
        step, group, choice, gain, penalty = zip(*rows, strict=True)
        self._step, self._gain = np.array(step), np.array(gain)
        self._worth = np.array(penalty) + price * self._gain
        self._names = list(zip(group, choice, strict=True))
        self._price = price

    def completed(
        self,
        step: int,
        surplus: Any,  # noqa: ANN401 - an array
        penalty: Any,  # noqa: ANN401 - an array
    ) -> tuple[float, int, list[tuple[int, int]]]:
        """The least of some sets with at most one departure of a group that is still to come.

        Returns:
            Penalty and surplus, infinite when the need is not reached; which set; its departure.
        """
        import numpy as np

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
        names = self._names[int(coming[single])]
        return float(total[index]), index, [names] if names[0] >= 0 and single >= 0 else []


def _departed(group: Departing, surplus: Any, penalty: Any, best: float) -> tuple[Any, ...]:  # noqa: ANN401 - arrays
    """Every set with each choice of one more group, as far as penalties allow."""
    import numpy as np

    froms = [np.arange(len(surplus), dtype=np.int64)]
    picks = [np.full(len(surplus), -1, dtype=np.int64)]
    surpluses, penalties = [surplus], [penalty]
    for choice, gain, more in group.shifts:
        kept = np.flatnonzero(penalty + more < best)
        froms.append(kept)
        picks.append(np.full(len(kept), choice, dtype=np.int64))
        surpluses.append(surplus[kept] + gain)
        penalties.append(penalty[kept] + more)
    return tuple(np.concatenate(part) for part in (froms, picks, surpluses, penalties))


def _undefeated(surplus: Any, cost: Any) -> Any:  # noqa: ANN401 - arrays
    """The sets that no other one beats: as much gain at no more cost."""
    import numpy as np

    order = np.lexsort((cost, -surplus))
    before = np.minimum.accumulate(np.concatenate([[np.inf], cost[order][:-1]]))
    return np.sort(order[cost[order] < before - 1e-9])


def _departures(
    trail: list[tuple[int, Any, Any]], step: int, index: int
) -> Iterator[tuple[int, int]]:
    for number, origin, picked in reversed(trail[:step]):
        if picked[index] >= 0:
            yield number, int(picked[index])
        index = int(origin[index])
