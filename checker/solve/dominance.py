"""Which rows of a table no other row of their group beats, for many groups at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from checker.solve.cuttings import Array

_SAME: Final = 1e-9
_CHUNK: Final = 256
_MOST_COMPARED: Final = 40_000_000
_MOST_AT_ONCE: Final = 1_000_000


def unbeaten(columns: Array, group: Array) -> Array:
    """Which rows no other row of their group is at most as large as in every column.

    Of equals the first stays. Of very many rows of a group those with the smallest sums are held
    against the others, which leaves some that another one beats.

    Args:
        columns: What is compared, shape (N, K).
        group: The number of the group of each row, from 0 on, shape (N,).
    """
    alive = np.ones(len(columns), dtype=bool)
    order = np.argsort(group, kind="stable")
    sizes = np.bincount(group)
    starts = np.cumsum(sizes) - sizes
    for size in np.unique(sizes[sizes > 1]).tolist():
        alike = starts[sizes == size]
        each = max(1, _MOST_AT_ONCE // size**2)
        for first in range(0, len(alike), each):
            members = order[alike[first : first + each, None] + np.arange(size)]
            alive[members] = _unbeaten_each(columns[members])
    return alive


def _unbeaten_each(groups: Array) -> Array:
    """The same for groups of one size, shape (groups, rows, columns)."""
    scale = np.maximum(np.abs(groups).max(axis=1, keepdims=True), 1.0) * _SAME
    # What beats another row has a sum that is no larger, so it comes before it.
    sums = np.round((groups / scale).sum(axis=2))
    order = np.argsort(sums, axis=1, kind="stable")
    ranked = np.take_along_axis(groups, order[:, :, None], axis=1)
    kept = np.zeros(order.shape, dtype=bool)
    if order.shape[1] <= _CHUNK:
        kept = ~_beaten_among(ranked, scale)
    else:
        for number, rows in enumerate(ranked):
            kept[number] = _unbeaten_in_turn(rows, scale[number])
    alive = np.empty_like(kept)
    np.put_along_axis(alive, order, kept, axis=1)
    return alive


def _unbeaten_in_turn(ranked: Array, scale: Array) -> Array:
    """Of many rows, those with the smallest sums first, a part at a time."""
    best = ranked[:0]
    most = _MOST_COMPARED // len(ranked)
    kept = np.zeros(len(ranked), dtype=bool)
    for start in range(0, len(ranked), _CHUNK):
        own = np.arange(start, min(start + _CHUNK, len(ranked)))
        if len(best):
            own = own[~_at_most(best, ranked[own] + scale).any(axis=0)]
        own = own[~_beaten_among(ranked[None, own], scale)[0]]
        kept[own] = True
        if len(best) < most:
            best = np.concatenate([best, ranked[own]])
    return kept


def _beaten_among(ranked: Array, scale: Array) -> Array:
    """Which rows of each group another one beats; of two that beat each other the later one."""
    beats = _at_most(ranked, ranked + scale)
    beats &= np.tri(ranked.shape[1], k=-1, dtype=bool).T | ~beats.swapaxes(1, 2)
    found: Array = beats.any(axis=1)
    return found


def _at_most(ones: Array, others: Array) -> Array:
    """Which of some rows are at most as large in every column as which of some others."""
    found = ones[..., :, None, 0] <= others[..., None, :, 0]
    for column in range(1, ones.shape[-1]):
        found &= ones[..., :, None, column] <= others[..., None, :, column]
    return found
