"""The best of every set of choices, where few groups leave few enough sets to try them all.

Two surfaces of thousands of cuttings each have some millions of sets. To add them up takes less
than a second; a general solver branches among them for minutes, since parts of cuttings, which it
has to rule out, come close to anything.
"""

from __future__ import annotations

import math
from itertools import chain, combinations, product
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.solve.cuttings import Array
    from checker.solve.table import SolverTable, SolverTerms

MOST_SETS: Final = 25_000_000
"""With more sets than this they are not all tried."""

_MOST_CLASSES: Final = 10
"""So many groups, and switches that stand alone, are looked through."""

_AT_ONCE: Final = 500_000


def best_of_every(
    table: SolverTable, objective: SolverTerms, tolerance: float
) -> tuple[int, ...] | None:
    """The switches of the set that is least, every set tried.

    Args:
        table: Switches only, of which at most one of a group is on, and rows of any kind.
        objective: What is least.
        tolerance: How far a row may be passed.

    Returns:
        The numbers of the switches; None when the program is of another shape, has too many sets,
        or no set meets its rows.
    """
    if not table.is_whole.all() or (table.low > 0.0).any() or (table.high > 1.0).any():
        return None
    groups = [row.terms.variables for row in table.rows if _is_choice(row.low, row.high, row.terms)]
    others = [row for row in table.rows if not _is_choice(row.low, row.high, row.terms)]
    classes = _classes(len(table), groups, table.high > 0.0)
    if (
        not 0 < len(classes) <= _MOST_CLASSES
        or sum(math.prod(map(len, sets)) for sets in _sets(classes)) > MOST_SETS
    ):
        return None
    adds = np.stack([objective.dense(len(table)), *(row.terms.dense(len(table)) for row in others)])
    low = np.array([row.low for row in others]) - tolerance
    high = np.array([row.high for row in others]) + tolerance
    least, best = math.inf, None
    for sets in _sets(classes):
        *before, rows, columns = [np.array([-1])] * (2 - len(sets)) + list(sets)
        for first in product(*before):
            found, keys = _best_pair(adds, (low, high), first, rows, columns, least)
            if found < least:
                least, best = found, keys
    return best


def _is_choice(low: float, high: float, terms: SolverTerms) -> bool:
    return low == -math.inf and high == 1.0 and bool((terms.times == 1.0).all())


def _classes(count: int, groups: list[Array], is_free: Array) -> dict[int, Array]:
    """The switches by the groups that they belong to, as bits; one without is its own group."""
    belongs = np.zeros(count, dtype=np.int64)
    for number, members in enumerate(groups):
        belongs[members] |= 1 << number
    free = np.flatnonzero(is_free)
    alone = free[belongs[free] == 0]
    if len(groups) + len(alone) > _MOST_CLASSES:
        return {}
    belongs[alone] = 1 << np.arange(len(groups), len(groups) + len(alone))
    return {bits: free[belongs[free] == bits] for bits in sorted(set(belongs[free].tolist()))}


def _sets(classes: dict[int, Array]) -> Iterator[list[Array]]:
    """The classes of which one switch each may be on together, the smallest first."""
    every = chain.from_iterable(combinations(classes, size) for size in range(len(classes) + 1))
    for together in every:
        if all(not one & other for one, other in combinations(together, 2)):
            yield sorted((classes[bits] for bits in together), key=len)


def _best_pair(
    adds: Array,
    ends: tuple[Array, Array],
    first: tuple[int, ...],
    rows: Array,
    columns: Array,
    least: float,
) -> tuple[float, tuple[int, ...] | None]:
    """The best pair beside some switches that are on, where one is below the least so far."""
    low, high = ends
    base = adds[:, list(first)].sum(axis=1)
    ones, others = _of(adds, rows) + base[:, None], _of(adds, columns)
    best: tuple[int, ...] | None = None
    each = max(1, _AT_ONCE // len(columns))
    for start in range(0, len(rows), each):
        part = ones[:, start : start + each, None]
        cost = part[0] + others[0][None]
        fits = cost < least
        for number in range(len(low)):
            if not fits.any():
                break
            reached = part[number + 1] + others[number + 1][None]
            fits &= (reached >= low[number]) & (reached <= high[number])
        if fits.any():
            place = int(np.argmin(np.where(fits, cost, math.inf)))
            row, column = divmod(place, len(columns))
            least = float(cost[row, column])
            best = tuple(k for k in (*first, rows[start + row], columns[column]) if k >= 0)
    return least, best


def _of(adds: Array, keys: Array) -> Array:
    """What switches add; -1 adds nothing."""
    return np.where(keys < 0, 0.0, adds[:, keys])
