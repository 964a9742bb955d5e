"""Programs of nothing but choices under one limit: exact, where branching alone would not end.

Unit prices make all surfaces of one material equally good per square foot. A general solver then
branches among millions of almost equal sets. Here the limit gets its shadow price, which gives a
bound; each choice has a penalty, by how much it is worse at that price; and only the sets whose
penalties fit between the bound and the best known set are built up, smallest penalties first.
Nothing better can be left out, so the best set is proven.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np

from checker.core.records import Record
from checker.solve.departures import build_up, departing
from checker.solve.pairs import Shifts, best_pair
from checker.solve.quanta import in_quanta

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.solve.cuttings import Array
    from checker.solve.table import SolverTable, SolverTerms

MOST_STATES: Final = 20_000
"""More sets than this are not held at once: the best so far is given with its bound."""

FEW_GROUPS: Final = 12
"""So few surfaces are left to the general solver when there are too many sets."""

MOST_WORK: Final = 8_000_000
"""After so many sets in all the best so far is given with its bound."""

_MANY_GROUPS: Final = 100
"""With more surfaces than this a proof is seldom reached: a part of the work must do."""

_FEW_STATES: Final = 400
_MOST_LIMITS: Final = 6
_ROOM_FRACTION: Final = 1e-9
_SAME_PENALTY: Final = 1e-7
_CLOSE_FRACTION: Final = 1e-12
_HIGHEST_PRICE: Final = 1e18


class _Limit(Record):
    """What each switch adds to a sum, and the most that the sum may be."""

    adds: Array
    most: float

    def allows(self, keys: Iterable[int]) -> bool:
        """Whether some switches together stay within it."""
        reached = math.fsum(self.adds[list(keys)])
        return reached <= self.most + _ROOM_FRACTION * max(1.0, abs(self.most))


class _Choices(Record):
    """What the groups may choose: those of the first group, the cheapest first, then the next.

    Attributes:
        group: Of which group each is.
        key: The number of its switch; -1 for none of them.
        cost: What it costs.
        gain: What it takes off the limited sum.
        start: By group: where its choices begin.
    """

    group: Array
    key: Array
    cost: Array
    gain: Array
    start: Array


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
    table: SolverTable, objective: SolverTerms, step: float = 0.0, enough: float = 0.0
) -> Chosen | None:
    """The best set of switches.

    Args:
        table: Switches only, of which at most one of a group is on, and upper limits.
        objective: What is least.
        step: Every cost is a multiple of this, so that a bound may be rounded up; 0 for none.
        enough: A set that costs at most so much more than the best is good enough.

    Returns:
        The set; None when the program is of another shape, cannot be met, or is too large.
    """
    shaped = _shaped(table)
    if shaped is None:
        return None
    group, limits = shaped
    if not (group >= 0).any():
        is_met = all(own.allows(()) for own in limits)
        return Chosen(frozenset(), objective.constant, objective.constant) if is_met else None
    cost = objective.dense(len(group))
    # A limit by itself asks for less than all do; where its best set meets the others as well,
    # that is the best set of all. The limit that takes the largest share of what can be had comes
    # first.
    tried: list[_Limit | None] = [*sorted(limits, key=lambda own: _ease(own, group))[:_MOST_LIMITS]]
    for limit in tried or [None]:
        found = _under(limit, group, cost, step, enough)
        if found is None:
            return None
        keys, reached, bound = found
        if all(own.allows(keys) for own in limits):
            constant = objective.constant
            return Chosen(frozenset(keys), reached + constant, bound + constant)
    return None


def _ease(limit: _Limit, group: Array) -> float:
    """The most that can be gained under a limit, as a multiple of what is needed."""
    if limit.most >= 0:
        return math.inf
    most = np.zeros(int(group.max()) + 1)
    np.maximum.at(most, group[group >= 0], -limit.adds[group >= 0])
    return math.fsum(most) / -limit.most


def _under(
    limit: _Limit | None, group: Array, cost: Array, step: float, enough: float
) -> tuple[list[int], float, float] | None:
    """The best set under one limit, or under none."""
    need, gain = 0.0, np.zeros(len(group))
    if limit is not None and limit.most < 0:
        need = -limit.most - _ROOM_FRACTION * max(1.0, abs(limit.most))
        gain = -limit.adds
    own = _undominated(group, cost, gain)
    need = in_quanta(own.gain, len(own.start), max(need, 0.0))
    return _search(own, need, step, enough)


def _shaped(table: SolverTable) -> tuple[Array, list[_Limit]] | None:
    """For each switch its group, -1 where it is ruled out, and the limits.

    None where the program is of another shape.
    """
    is_switch = table.is_whole & (table.low == 0) & ((table.high == 0) | (table.high == 1))
    if not len(table) or not is_switch.all():
        return None
    group = np.full(len(table), -1, dtype=np.int64)
    limits: list[_Limit] = []
    number = 0
    for row in table.rows:
        keys, times = row.terms.variables, row.terms.times
        if math.isfinite(row.low):
            return None
        if row.high == 1 and len(times) and (times == 1.0).all() and (group[keys] < 0).all():
            group[keys] = number
            number += 1
        elif len(times):
            limits.append(_Limit(row.terms.dense(len(table)), row.high))
        elif row.high < 0:
            return None
    alone = np.flatnonzero(group < 0)
    group[alone] = number + np.arange(len(alone))
    group[table.high == 0] = -1
    # A group of which nothing is left has no number.
    _, packed = np.unique(group[group >= 0], return_inverse=True)
    group[group >= 0] = packed
    return group, limits


def _undominated(group: Array, cost: Array, gain: Array) -> _Choices:
    """What each group may choose, without what another one beats in cost and in gain."""
    keys = np.flatnonzero(group >= 0)
    groups = np.arange(int(group.max()) + 1)
    key = np.concatenate([np.full(len(groups), -1), keys])
    own = np.concatenate([groups, group[keys]])
    costs = np.concatenate([np.zeros(len(groups)), cost[keys]])
    gains = np.concatenate([np.zeros(len(groups)), gain[keys]])
    order = np.lexsort((key, -gains, costs, own))
    # The rank of a gain goes up within a group, and each group has ranks of its own.
    _, rank = np.unique(gains[order], return_inverse=True)
    rank += own[order] * (int(rank.max()) + 1)
    before = np.maximum.accumulate(np.concatenate([[-1], rank[:-1]]))
    first = np.concatenate([[True], np.diff(own[order]) > 0])
    kept = order[first | (rank > before)]
    return _Choices(
        own[kept], key[kept], costs[kept], gains[kept], np.searchsorted(own[kept], groups)
    )


def _shadow_price(own: _Choices, need: float) -> float | None:
    """The price per gain at which the relaxed program just meets the need; None when it cannot.

    The relaxed worth is the least of straight lines in the price, one for each set of choices. Two
    lines, one that falls short of the need and one that meets it, are brought together where they
    cross, until no line lies below.
    """
    if own.gain[own.start].sum() >= need:
        return 0.0
    if np.maximum.reduceat(own.gain, own.start).sum() < need:
        return None
    short = _line(own, 0.0)
    enough: tuple[float, float] | None = None
    price = 1.0
    while enough is None:
        line = _line(own, price)
        if line[1] >= need:
            enough = line
        elif price > _HIGHEST_PRICE:
            return None
        else:
            short, price = line, price * 8
    while True:
        price = (enough[0] - short[0]) / (enough[1] - short[1])
        line = _line(own, price)
        here = short[0] - price * short[1]
        is_near = line[0] - price * line[1] >= here - _CLOSE_FRACTION * max(1.0, abs(here))
        # Where rounding alone seems to lie below, the gain comes no nearer. Any price is a bound.
        if is_near or not short[1] < line[1] < enough[1]:
            return price
        if line[1] >= need:
            enough = line
        else:
            short = line


def _line(own: _Choices, price: float) -> tuple[float, float]:
    """Cost and gain of what is best at a price."""
    worth = own.cost - price * own.gain
    is_least = worth <= np.minimum.reduceat(worth, own.start)[own.group]
    at = np.flatnonzero(is_least)
    at = at[np.unique(own.group[at], return_index=True)[1]]
    return float(own.cost[at].sum()), float(own.gain[at].sum())


def _search(
    own: _Choices, need: float, step: float, enough: float
) -> tuple[list[int], float, float] | None:
    price = _shadow_price(own, need)
    if price is None:
        return None
    worth = own.cost - price * own.gain
    lowest = np.minimum.reduceat(worth, own.start)
    penalty = worth - lowest[own.group]
    relaxed = price * need + math.fsum(lowest)
    best, reached = _start(own, penalty, need)
    bound = math.ceil(relaxed / step - 1e-6) * step if step else relaxed
    is_best, least = False, max(bound - relaxed, 0.0) + enough
    others = np.delete(np.arange(len(own.key)), best)
    group = own.group[others]
    shifts = Shifts(group, others, own.gain[others] - own.gain[best[group]], penalty[others])
    # A good set first: with it little is left to be looked through.
    found = best_pair(shifts, reached, price, math.inf)
    order = departing(shifts.of(np.flatnonzero(shifts.penalty < found[0])))
    count = len(own.start)
    work = MOST_WORK if count <= _MANY_GROUPS else MOST_WORK // 16
    for states in (_FEW_STATES, MOST_STATES):
        if not is_best:
            effort = states, work
            value, departures, is_best = build_up(order, reached, price, least, effort, found)
            found = value, departures
    if math.isinf(found[0]) or (not is_best and count <= FEW_GROUPS):
        return None
    for number, choice in found[1]:
        best[number] = choice
    cost = math.fsum(own.cost[best])
    proven = cost if is_best and not enough else max(bound, cost - enough if is_best else bound)
    return [int(key) for key in own.key[best] if key >= 0], cost, min(proven, cost)


def _start(own: _Choices, penalty: Array, need: float) -> tuple[Array, float]:
    """What is best at the shadow price; among equals so that the need is just met.

    Returns:
        By group its choice, and what the choices gain less the need.
    """
    near = np.flatnonzero(penalty <= _SAME_PENALTY)
    near = near[np.lexsort((own.gain[near], own.group[near]))]
    first = np.searchsorted(own.group[near], np.arange(len(own.start)))
    best = near[first]
    reached = float(own.gain[best].sum()) - need
    ends = np.append(first[1:], len(near))
    more = own.gain[near[ends - 1]] - own.gain[best]
    for number in np.argsort(-more, kind="stable"):
        if reached >= 0 or ends[number] - first[number] < 2:
            break
        equals = near[first[number] : ends[number]]
        before = own.gain[best[number]]
        # The least that meets the need, or the most there is.
        enough = equals[own.gain[equals] >= before - reached]
        best[number] = enough[0] if len(enough) else equals[-1]
        reached += float(own.gain[best[number]] - before)
    return best, reached
