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

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.linear import Linear, Row, Rows

MOST_STATES: Final = 20_000
"""More sets than this are not held at once: the best so far is given with its bound."""

FEW_GROUPS: Final = 12
"""So few surfaces are left to the general solver when there are too many sets."""

_MANY_STATES: Final = 5_000
_MOST_LIMITS: Final = 6
_ROOM_FRACTION: Final = 1e-9


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
    # that is the best set of all. The limit that is passed most comes first.
    tried: list[Row | None] = [*sorted(limits, key=lambda row: row.high)[:_MOST_LIMITS]]
    for limit in tried or [None]:
        found = _under(limit, sets, objective, step, enough)
        if found is None:
            return None
        keys, cost, bound = found
        if all(_holds(row, frozenset(keys)) for row in limits):
            constant = objective.constant
            return Chosen(frozenset(keys), cost + constant, bound + constant)
    return None


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
    return _search(groups, max(need, 0.0), step, enough)


def _shaped(rows: Rows) -> tuple[list[list[int]], list[Row]] | None:
    if not rows.variables or any(
        not v.is_whole or (v.low, v.high) != (0, 1) for v in rows.variables
    ):
        return None
    sets: list[list[int]] = []
    limits: list[Row] = []
    grouped: set[int] = set()
    for row in rows.rows:
        if math.isfinite(row.low):
            return None
        is_set = row.high == 1 and set(row.terms.values()) == {1.0}
        if is_set and not grouped & set(row.terms):
            sets.append(list(row.terms))
            grouped |= set(row.terms)
        elif row.terms:
            limits.append(row)
        elif row.high < 0:
            return None
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
    reached, relaxed = -need, price * need
    for group in groups:
        worth = [choice.cost - price * choice.gain for choice in group.choices]
        group.best = worth.index(min(worth))
        relaxed += worth[group.best]
        reached += group.choices[group.best].gain
        group.penalties = tuple(value - worth[group.best] for value in worth)
    bound = math.ceil(relaxed / step - 1e-6) * step if step else relaxed
    found = _build_up(groups, reached, price, max(bound - relaxed, 0.0) + enough)
    if found is None:
        return None
    departures, is_best = found
    picked = [group.choices[group.best] for group in groups]
    for number, choice in departures:
        picked[number] = groups[number].choices[choice]
    cost = math.fsum(choice.cost for choice in picked)
    proven = cost if is_best and not enough else max(bound, cost - enough if is_best else bound)
    return [choice.key for choice in picked if choice.key >= 0], cost, min(proven, cost)


def _build_up(
    groups: list[_Group], reached: float, price: float, least: float
) -> tuple[list[tuple[int, int]], bool] | None:
    """The set of departures from the best choices with the least penalty and surplus.

    Args:
        groups: With their penalties.
        reached: Gain of the best choices less the need.
        price: Of a surplus of gain.
        least: No set can have less penalty and surplus than this.

    Returns:
        The departures as pairs of group and choice, and whether nothing better is left; None when
        there are too many sets.
    """
    import numpy as np

    order = sorted(_departing(number, group) for number, group in enumerate(groups))
    order = [item for item in order if item.shifts]
    # How far the groups still to come can move the surplus at most, up and down.
    ups = np.cumsum([0.0, *(max(0.0, *(s for _, s, _ in g.shifts)) for g in order)])
    downs = np.cumsum([0.0, *(max(0.0, *(-s for _, s, _ in g.shifts)) for g in order)])
    surplus, penalty = np.array([reached]), np.array([0.0])
    trail: list[tuple[int, Any, Any]] = []
    many, is_complete = _MANY_STATES, True
    best, at = _better(surplus, penalty, price, math.inf, (0, 0), 0)
    for step, group in enumerate(order, 1):
        if best - least < 1e-6 or group.lowest > best or not len(surplus):
            break
        origin, picked, surplus, penalty = _departed(group, surplus, penalty, best)
        best, at = _better(surplus, penalty, price, best, at, step)
        trail.append((group.number, origin, picked))
        end = bisect.bisect_right(order, best, key=lambda item: item.lowest)
        up, down = ups[max(end, step)] - ups[step], downs[max(end, step)] - downs[step]
        live = (surplus + up >= 0) & (penalty + price * np.maximum(surplus - down, 0.0) < best)
        kept = np.flatnonzero(live)
        if len(kept) > many:
            kept = kept[_undefeated(surplus[kept], penalty[kept] + price * surplus[kept])]
            many = max(_MANY_STATES, 2 * len(kept))
        if len(kept) > MOST_STATES:
            if len(groups) <= FEW_GROUPS:
                return None
            # The sets that come nearest to the limit for the least penalty go on.
            is_complete = False
            far = penalty[kept] + price * np.abs(surplus[kept])
            kept = np.sort(kept[np.argpartition(far, MOST_STATES)[:MOST_STATES]])
        # What was best stays findable: its place is kept by its own trail.
        if step == at[0]:
            kept = np.union1d(kept, [at[1]])
            at = step, int(np.searchsorted(kept, at[1]))
        surplus, penalty = surplus[kept], penalty[kept]
        trail[-1] = (group.number, origin[kept], picked[kept])
    return None if math.isinf(best) else (list(_departures(trail, *at)), is_complete)


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


def _better(
    surplus: Any,  # noqa: ANN401 - an array
    penalty: Any,  # noqa: ANN401 - an array
    price: float,
    best: float,
    at: tuple[int, int],
    step: int,
) -> tuple[float, tuple[int, int]]:
    """The least penalty and surplus so far, and where it stands."""
    import numpy as np

    total = np.where(surplus >= 0, penalty + price * surplus, np.inf)
    index = int(total.argmin())
    return (float(total[index]), (step, index)) if total[index] < best - 1e-9 else (best, at)


def _departures(
    trail: list[tuple[int, Any, Any]], step: int, index: int
) -> Iterator[tuple[int, int]]:
    for number, origin, picked in reversed(trail[:step]):
        if picked[index] >= 0:
            yield number, int(picked[index])
        index = int(origin[index])
