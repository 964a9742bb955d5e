"""Programs of nothing but choices under one limit: exact, where branching alone would not end.

Unit prices make all surfaces of one material equally good per square foot. A general solver then
branches among millions of almost equal sets. Here the limit gets its shadow price, which gives a
bound; each choice has a penalty, by how much it is worse at that price; and only the sets whose
penalties fit between the bound and the best known set are built up, smallest penalties first.
Nothing better can be left out, so the best set is proven.
"""

from __future__ import annotations

import bisect
import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from checker.core.records import Record, Struct
from checker.solve.pairs import Shifts, best_pair
from checker.solve.quanta import in_quanta

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.linear import Linear, Row, Rows

MOST_STATES: Final = 20_000
"""More sets than this are not held at once: the best so far is given with its bound."""

FEW_GROUPS: Final = 12
"""So few surfaces are left to the general solver when there are too many sets."""

MOST_WORK: Final = 8_000_000
"""After so many sets in all the best so far is given with its bound."""

_MANY_GROUPS: Final = 100
"""With more surfaces than this a proof is seldom reached: a part of the work must do."""

_FEW_STATES: Final = 400
_MANY_STATES: Final = 5_000
_MOST_LIMITS: Final = 6
_ROOM_FRACTION: Final = 1e-9
_SAME_PENALTY: Final = 1e-7
_CLOSE: Final = 1e-6
"""Sets that differ by less are as good as each other."""


class Choice(Record):
    """One thing that a group may choose.

    Attributes:
        key: The number of its switch; -1 for none of them.
        cost: What it costs.
        gain: What it takes off the limited sum.
    """

    key: int
    cost: float
    gain: float


class _Group(Struct):
    """The choices of one surface, and the one that is best at the shadow price."""

    choices: list[Choice]
    best: int = 0
    penalties: tuple[float, ...] = ()


class Chosen(Record):
    """The best set.

    Attributes:
        keys: The switches that are on.
        cost: What it costs.
        bound: Nothing less can do.
    """

    keys: frozenset[int]
    cost: float
    bound: float


def least_choice(
    rows: Rows, objective: Linear, step: float = 0.0, enough: float = 0.0
) -> Chosen | None:
    """The best set of switches.

    Args:
        rows: Switches only, of which at most one of a group is on, and upper limits.
        objective: What is least.
        step: Every cost is a multiple of this, so that a bound may be rounded up; 0 for none.
        enough: A set that costs at most so much more than the best is good enough.

    Returns:
        The set; None when the program is of another shape, cannot be met, or is too large.
    """
    shaped = _shaped(rows)
    if shaped is None:
        return None
    sets, limits = shaped
    # A limit by itself asks for less than all do; where its best set meets the others as well,
    # that is the best set of all. The limit that takes the largest share of what can be had comes
    # first.
    tried: list[Row | None] = [*sorted(limits, key=lambda row: _ease(row, sets))[:_MOST_LIMITS]]
    for limit in tried or [None]:
        found = _under(limit, sets, objective, step, enough)
        if found is None:
            return None
        keys, cost, bound = found
        if all(_holds(row, frozenset(keys)) for row in limits):
            constant = objective.constant
            return Chosen(frozenset(keys), cost + constant, bound + constant)
    return None


def _ease(limit: Row, sets: list[list[int]]) -> float:
    """The most that can be gained under a limit, as a multiple of what is needed."""
    if limit.high >= 0:
        return math.inf
    gained = (max(0.0, *(-limit.terms.get(key, 0.0) for key in keys)) for keys in sets if keys)
    return math.fsum(gained) / -limit.high


def _under(
    limit: Row | None, sets: list[list[int]], objective: Linear, step: float, enough: float
) -> tuple[list[int], float, float] | None:
    """The best set under one limit, or under none."""
    need, gains = 0.0, dict[int, float]()
    if limit is not None and limit.high < 0:
        need = -limit.high - _ROOM_FRACTION * max(1.0, abs(limit.high))
        gains = {key: -c for key, c in limit.terms.items()}
    groups: list[_Group] = []
    for keys in sets:
        choices = [Choice(-1, 0.0, 0.0)]
        choices += [Choice(k, objective.terms.get(k, 0.0), gains.get(k, 0.0)) for k in keys]
        groups.append(_Group(_undominated(choices)))
    found = [[choice.gain for choice in group.choices] for group in groups]
    return _search(groups, in_quanta(found, max(need, 0.0)), step, enough)


def _shaped(rows: Rows) -> tuple[list[list[int]], list[Row]] | None:
    if not rows.variables or any(
        not v.is_whole or v.low != 0 or v.high not in {0, 1} for v in rows.variables
    ):
        return None
    ruled_out = {key for key, v in enumerate(rows.variables) if v.high == 0}
    sets: list[list[int]] = []
    limits: list[Row] = []
    grouped: set[int] = set()
    for row in rows.rows:
        if math.isfinite(row.low):
            return None
        is_set = row.high == 1 and set(row.terms.values()) == {1.0}
        if is_set and not grouped & set(row.terms):
            sets.append([key for key in row.terms if key not in ruled_out])
            grouped |= set(row.terms)
        elif row.terms:
            limits.append(row)
        elif row.high < 0:
            return None
    grouped |= ruled_out
    sets += [[key] for key in range(len(rows.variables)) if key not in grouped]
    return sets, limits


def _holds(row: Row, keys: frozenset[int]) -> bool:
    reached = math.fsum(c for key, c in row.terms.items() if key in keys)
    return reached <= row.high + _ROOM_FRACTION * max(1.0, abs(row.high))


def _undominated(choices: list[Choice]) -> list[Choice]:
    """Without the choices that another one beats in cost and in gain."""
    kept: list[Choice] = []
    for choice in sorted(choices, key=lambda c: (c.cost, -c.gain, c.key)):
        if not kept or choice.gain > kept[-1].gain:
            kept.append(choice)
    return kept


def _shadow_price(groups: list[_Group], need: float) -> float | None:
    """The price per gain at which the relaxed program just meets the need; None when it cannot."""
    steps: list[tuple[float, float]] = []
    gained = 0.0
    for group in groups:
        hull: list[Choice] = []
        for choice in group.choices:
            while len(hull) > 1 and _slope(hull[-2], hull[-1]) >= _slope(hull[-1], choice):
                hull.pop()
            hull.append(choice)
        gained += hull[0].gain
        steps += [(_slope(low, high), high.gain - low.gain) for low, high in pairwise(hull)]
    if gained >= need:
        return 0.0
    for slope, gain in sorted(steps):
        gained += gain
        if gained >= need:
            return slope
    return None


def _slope(low: Choice, high: Choice) -> float:
    return (high.cost - low.cost) / (high.gain - low.gain)


def _search(
    groups: list[_Group], need: float, step: float, enough: float
) -> tuple[list[int], float, float] | None:
    price = _shadow_price(groups, need)
    if price is None:
        return None
    relaxed = price * need
    for group in groups:
        worth = [choice.cost - price * choice.gain for choice in group.choices]
        relaxed += min(worth)
        group.penalties = tuple(value - min(worth) for value in worth)
    reached = _start(groups, need)
    bound = math.ceil(relaxed / step - 1e-6) * step if step else relaxed
    found: tuple[float, list[tuple[int, int]]] = math.inf, []
    is_best, least = False, max(bound - relaxed, 0.0) + enough
    order = sorted(_departing(number, group) for number, group in enumerate(groups))
    order = [item for item in order if item.shifts]
    # A good set first: with it little is left to be looked through.
    found = min(found, best_pair(_shifts(order), reached, price, math.inf))
    order = [_cheaper(item, found[0]) for item in order if item.lowest < found[0]]
    work = MOST_WORK if len(groups) <= _MANY_GROUPS else MOST_WORK // 16
    for states in (_FEW_STATES, MOST_STATES):
        if not is_best:
            effort = states, work
            value, departures, is_best = _build_up(order, reached, price, least, effort, found)
            found = value, departures
    if math.isinf(found[0]) or (not is_best and len(groups) <= FEW_GROUPS):
        return None
    picked = [group.choices[group.best] for group in groups]
    for number, choice in found[1]:
        picked[number] = groups[number].choices[choice]
    cost = math.fsum(choice.cost for choice in picked)
    proven = cost if is_best and not enough else max(bound, cost - enough if is_best else bound)
    return [choice.key for choice in picked if choice.key >= 0], cost, min(proven, cost)


def _start(groups: list[_Group], need: float) -> float:
    """Choose what is best at the shadow price; among equals so that the need is just met.

    Returns:
        What the choices gain less the need.
    """
    reached = -need
    equals: list[tuple[float, int, list[int]]] = []
    for number, group in enumerate(groups):
        best = [i for i, penalty in enumerate(group.penalties) if penalty <= _SAME_PENALTY]
        best.sort(key=lambda i: group.choices[i].gain)
        group.best = best[0]
        reached += group.choices[best[0]].gain
        if len(best) > 1:
            more = group.choices[best[-1]].gain - group.choices[best[0]].gain
            equals.append((-more, number, best))
    for _, number, best in sorted(equals):
        if reached >= 0:
            break
        group = groups[number]
        before = group.choices[group.best].gain
        short = before - reached
        # The least that meets the need, or the most there is.
        group.best = next((i for i in best if group.choices[i].gain >= short), best[-1])
        reached += group.choices[group.best].gain - before
    return reached


def _shifts(order: list[_Departing]) -> Shifts:
    """Every departure as arrays."""
    import numpy as np

    rows = [(item.number, *shift) for item in order for shift in item.shifts]
    table = np.array(rows, dtype=float).reshape(-1, 4)
    group, choice = table[:, 0].astype(np.int64), table[:, 1].astype(np.int64)
    return Shifts(group, choice, table[:, 2], table[:, 3])


def _build_up(
    order: list[_Departing],
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
        if work > most_work:
            return best, own, False
    return best, own, is_complete


class _Singles:
    """Every departure of one group, by what it gains.

    Args:
        order: The groups in the order in which they are decided.
        price: Of a surplus of gain.
    """

    def __init__(self, order: list[_Departing], price: float) -> None:
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


class _Departing(NamedTuple):
    """A group with what leaving its best choice does: the choice, the shift and the penalty."""

    lowest: float
    number: int
    shifts: tuple[tuple[int, float, float], ...]


def _departing(number: int, group: _Group) -> _Departing:
    best = group.choices[group.best]
    shifts = tuple(
        (choice, item.gain - best.gain, group.penalties[choice])
        for choice, item in enumerate(group.choices)
        if choice != group.best
    )
    return _Departing(min((p for _, _, p in shifts), default=math.inf), number, shifts)


def _cheaper(group: _Departing, most: float) -> _Departing:
    """A group with the departures that cost less than so much."""
    return group._replace(shifts=tuple(shift for shift in group.shifts if shift[2] < most))


def _departed(group: _Departing, surplus: Any, penalty: Any, best: float) -> tuple[Any, ...]:  # noqa: ANN401 - arrays
    """Every set with each choice of one more group, as far as penalties allow."""
    import numpy as np

    froms = [np.arange(len(surplus), dtype=np.int64)]
    picks = [np.full(len(surplus), -1, dtype=np.int16)]
    surpluses, penalties = [surplus], [penalty]
    for choice, gain, more in group.shifts:
        kept = np.flatnonzero(penalty + more < best)
        froms.append(kept)
        picks.append(np.full(len(kept), choice, dtype=np.int16))
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
