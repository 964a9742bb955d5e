"""Programs of nothing but choices under one limit: exact, where branching alone would not end.

Unit prices make all surfaces of one material equally good per square foot. A general solver then
branches among millions of almost equal sets. Here the limit gets its shadow price, which gives a
bound; each choice has a penalty, by how much it is worse at that price; and only the sets whose
penalties fit between the bound and the best known set are built up, smallest penalties first.
Nothing better can be left out, so the best set is proven.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.records import Record, Struct
from checker.solve.departures import Departing, as_shifts, build_up, cheaper
from checker.solve.pairs import best_pair
from checker.solve.quanta import in_quanta

if TYPE_CHECKING:
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
_MOST_LIMITS: Final = 6
_ROOM_FRACTION: Final = 1e-9
_SAME_PENALTY: Final = 1e-7


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
    found = min(found, best_pair(as_shifts(order), reached, price, math.inf))
    order = [cheaper(item, found[0]) for item in order if item.lowest < found[0]]
    work = MOST_WORK if len(groups) <= _MANY_GROUPS else MOST_WORK // 16
    for states in (_FEW_STATES, MOST_STATES):
        if not is_best:
            effort = states, work
            value, departures, is_best = build_up(order, reached, price, least, effort, found)
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


def _departing(number: int, group: _Group) -> Departing:
    best = group.choices[group.best]
    shifts = tuple(
        (choice, item.gain - best.gain, group.penalties[choice])
        for choice, item in enumerate(group.choices)
        if choice != group.best
    )
    return Departing(min((p for _, _, p in shifts), default=math.inf), number, shifts)
