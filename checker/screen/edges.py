"""Which lots the edges of overlays run over, and which lie wholly in one; compiled by Numba.

A lot is taken for its box here: an edge over the box alone costs the lot a closer look and nothing
else. Where no edge of an overlay runs over the box, all of it lies on one side.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.screen.machine_code import machine_code
from checker.screen.pairs import overlapping

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.screen.compare import Floats
    from checker.screen.rings import Rings

TRACE: Final = 1e-9
"""An edge nearer to a corner of a box than this share of the sizes counts as running over it."""

MOST_COLUMNS: Final = 4_096
"""So many columns are laid over an overlay, so that few edges lie below a point."""


@cache
def compiled() -> tuple[Callable[..., Any], ...] | None:
    """Edges, their crossings, their columns and sides as machine code; None without Numba."""
    return machine_code(
        globals(),
        ("_columns", "_first_column", "_last_column", "_is_odd"),
        _listed,
        _crossed,
        _within,
    )


def overlays_over(lots: Floats, overlays: Rings, boxes: Floats) -> tuple[Any, Any, Any, Any]:
    """Pairs of a lot and an overlay.

    Args:
        lots: The boxes of the lots, shape (n, 4).
        overlays: The rings of the overlays.
        boxes: Their boxes, shape (m, 4).

    Returns:
        The lots that edges run over, with the overlay of each; then the lots that lie wholly in an
        overlay, with it.
    """
    run = compiled()
    assert run is not None, "Numba is there"
    count = len(boxes)
    sizes = overlays.ring_start[overlays.last] - overlays.ring_start[overlays.first]
    start = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    edges = np.empty((start[-1], 4))
    ends = np.empty(count + 1, np.int64)
    run[0](
        overlays.x, overlays.y, overlays.ring_start, overlays.first, overlays.last, edges, ends
    )  # fmt: skip
    edges = edges[: ends[-1]]
    around = np.concatenate(
        [np.minimum(edges[:, :2], edges[:, 2:]), np.maximum(edges[:, :2], edges[:, 2:])], axis=1
    )
    lot, edge = overlapping(lots, around)
    runs_over = np.empty(len(lot), np.bool_)
    run[1](lots, edges, lot, edge, runs_over)
    of = np.searchsorted(ends, edge[runs_over], side="right") - 1
    crossed = np.unique(lot[runs_over] * count + of)
    one, other = overlapping(lots, boxes)
    key = one * count + other
    apart = np.sort(key[~np.isin(key, crossed)])
    one, other = np.divmod(apart, count) if count else (apart, apart)
    order = np.argsort(other, kind="stable")
    one, other = one[order], other[order]
    is_inside = np.zeros(len(one), np.bool_)
    run[2](lots, edges, ends, np.searchsorted(other, np.arange(count + 1)), one, is_inside,
           MOST_COLUMNS)  # fmt: skip
    lot, of = np.divmod(crossed, count) if count else (crossed, crossed)
    return lot, of, one[is_inside], other[is_inside]


def _listed(  # noqa: PLR0913 - columns of rings, and what is filled
    x: Any, y: Any, ring_start: Any, first: Any, last: Any, edges: Any, ends: Any
) -> None:
    """Fill in the edges of all outlines, one after the other, and where those of each begin."""
    count = 0
    for row in range(len(first)):
        ends[row] = count
        for ring in range(first[row], last[row]):
            for at in range(ring_start[ring], ring_start[ring + 1] - 1):
                edges[count, 0], edges[count, 1] = x[at], y[at]
                edges[count, 2], edges[count, 3] = x[at + 1], y[at + 1]
                count += 1
    ends[len(first)] = count


def _crossed(lots: Any, edges: Any, lot: Any, edge: Any, runs_over: Any) -> None:
    """Whether edges whose boxes overlap that of a lot run over it, or all but do."""
    for pair in range(len(lot)):
        x1, y1, x2, y2 = lots[lot[pair]]
        ax, ay, bx, by = edges[edge[pair]]
        ux, uy = bx - ax, by - ay
        near = TRACE * (abs(ux) + abs(uy)) * (x2 - x1 + y2 - y1)
        are_left, are_right = True, True
        for px, py in ((x1, y1), (x2, y1), (x2, y2), (x1, y2)):
            side = ux * (py - ay) - uy * (px - ax)
            are_left = are_left and side > near
            are_right = are_right and side < -near
        runs_over[pair] = not (are_left or are_right)


def _within(  # noqa: PLR0913 - boxes, edges, pairs, and what is filled
    lots: Any, edges: Any, ends: Any, begin: Any, lot: Any, is_inside: Any, most: int
) -> None:
    """Whether the middle of a lot's box lies in an overlay, none of whose edges runs over it.

    Args:
        lots: Boxes, shape (n, 4).
        edges: Of all overlays, shape (e, 4).
        ends: The first edge of each overlay, shape (m + 1,).
        begin: The first pair of each overlay, shape (m + 1,).
        lot: The lot of each pair.
        is_inside: Filled.
        most: So many columns at most.
    """
    for own in range(len(ends) - 1):
        if begin[own] == begin[own + 1] or ends[own] == ends[own + 1]:
            continue
        low, wide, start, listed = _columns(edges, ends[own], ends[own + 1], most)
        for pair in range(begin[own], begin[own + 1]):
            x1, y1, x2, y2 = lots[lot[pair]]
            x = (x1 + x2) / 2
            column = _first_column(x, x, low, wide, len(start) - 2)
            is_inside[pair] = _is_odd(
                edges, listed, start[column], start[column + 1], x, (y1 + y2) / 2
            )


def _columns(edges: Any, first: int, last: int, most: int) -> tuple[float, float, Any, Any]:
    """Columns over an overlay: the left end, the width, the first place of each, the edges there.

    So many that each edge reaches a few of them.
    """
    low, high, reach = edges[first, 0], edges[first, 0], 0.0
    for e in range(first, last):
        low, high = min(low, edges[e, 0]), max(high, edges[e, 0])
        reach += abs(edges[e, 2] - edges[e, 0])
    count = int(min(most, max(1.0, (last - first) * (high - low) / max(reach, 1e-300))))
    wide = max((high - low) / count, 1e-300)
    start = np.zeros(count + 2, np.int64)
    for e in range(first, last):
        a, b = edges[e, 0], edges[e, 2]
        for column in range(
            _first_column(a, b, low, wide, count), _last_column(a, b, low, wide, count) + 1
        ):
            start[column + 2] += 1
    for column in range(count):
        start[column + 2] += start[column + 1]
    listed = np.empty(start[count + 1], np.int64)
    for e in range(first, last):
        a, b = edges[e, 0], edges[e, 2]
        for column in range(
            _first_column(a, b, low, wide, count), _last_column(a, b, low, wide, count) + 1
        ):
            listed[start[column + 1]] = e
            start[column + 1] += 1
    return low, wide, start, listed


def _first_column(a: float, b: float, low: float, wide: float, count: int) -> int:
    """The column of the left one of two points."""
    return max(min(int((min(a, b) - low) / wide), count - 1), 0)


def _last_column(a: float, b: float, low: float, wide: float, count: int) -> int:
    """The column of the right one of two points."""
    return max(min(int((max(a, b) - low) / wide), count - 1), 0)


def _is_odd(edges: Any, listed: Any, begin: int, end: int, x: float, y: float) -> bool:
    """Whether an odd number of some edges lies below a point."""
    odd = False
    for at in range(begin, end):
        ax, ay, bx, by = edges[listed[at]]
        if (ax <= x) != (bx <= x) and ay + (by - ay) * ((x - ax) / (bx - ax)) < y:
            odd = not odd
    return odd
