"""Areas between the outlines over a lot, by integrals along their edges; compiled by Numba.

Edges are split where outlines cross. What lies on either side of a piece of edge is known by going
along its ring, as it changes at crossings alone, or else from a point of the piece. The trapezoid
below it is taken from the one side and given to the other: the sums are the areas (Green's
theorem). An edge that several outlines share stands once, for all of them. Where edges touch
otherwise or all but coincide the sides are in doubt; such a lot, and one whose pieces do not close
around every area, is handed on to the sweep.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.screen.crossings import corner, meeting, sides, slot
from checker.screen.machine_code import machine_code

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.screen.compare import Floats

TRACE: Final = 1e-9
"""Edges nearer to each other than this share of a lot's size are in doubt."""

MOST_KEPT: Final = 80
"""Of an outline with more corners only the edges near the lot are looked at."""

MOST_CUTS: Final = 4_096
"""So many crossings over one lot find room."""

MOST_EDGES: Final = 10_000
"""A lot with more edges near it goes to the geometry library: each edge is held to each other."""

RUN: Final = 32
"""So many edges of an outline with many corners are passed by at once where all lie apart."""

DOUBT: Final = -2
"""Stands for the number of parts of a lot that is in doubt."""


@cache
def compiled() -> Callable[..., Any] | None:
    """The integrals as machine code; None where Numba is not installed."""
    made = machine_code(globals(), ("sides", "meeting", "corner", "slot"), _integrated)
    return made[0] if made else None


def runs_of(x: Floats, y: Floats) -> Floats:
    """The boxes round each run of edges between corners that follow each other, shape (runs, 4)."""
    begin = np.arange(0, max(len(x) - 1, 0), RUN)
    after = np.minimum(begin + RUN, len(x) - 1)
    found = np.empty((len(begin), 4))
    for column, own, end in ((0, x, np.minimum), (1, y, np.minimum),
                             (2, x, np.maximum), (3, y, np.maximum)):  # fmt: skip
        found[:, column] = end(end.reduceat(own, begin), own[after]) if len(begin) else 0.0
    return found


def _integrated(  # noqa: PLR0913, PLR0915 - one loop, written out for the compiler
    x: Any, y: Any, ring_start: Any, first_ring: Any, last_ring: Any, lot_start: Any,
    members: Any, fits: Any, states: Any, areas: Any, counts: Any, runs: Any,
) -> None:  # fmt: skip
    """Fill in the states over each lot and their areas; see `sweep._swept`.

    `counts` is `DOUBT` for a lot that is in doubt; `runs` are the boxes of `runs_of`.
    """
    room = 256
    xa, ya = np.empty(room), np.empty(room)
    xb, yb = np.empty(room), np.empty(room)
    goes_right = np.empty(room, np.bool_)
    split, shared = np.empty(room, np.int64), np.empty(room, np.int64)
    is_told, near_edges = np.empty(room, np.bool_), np.empty(room, np.int64)
    cut_x, cut_y = np.empty(MOST_CUTS), np.empty(MOST_CUTS)
    following, cut_with = np.empty(MOST_CUTS, np.int64), np.empty(MOST_CUTS, np.int64)
    piece_with = np.empty(MOST_CUTS, np.int64)
    begin = np.empty(65, np.int64)
    turn = np.empty(64, np.int64)
    box = np.empty((64, 4))
    is_all, is_inside = np.empty(64, np.bool_), np.empty(64, np.bool_)
    base, crossed, walked = np.empty(64, np.int64), np.empty(64, np.int64), np.empty(64, np.int64)
    spans = np.empty(states.shape[1] + 1)
    piece_x, piece_y = np.empty(MOST_CUTS), np.empty(MOST_CUTS)
    one = np.int64(1)
    for lot in range(len(lot_start) - 1):
        if not fits[lot]:
            counts[lot] = -1
            continue
        own = members[lot_start[lot]]
        ox, oy = x[ring_start[first_ring[own]]], y[ring_start[first_ring[own]]]
        low_x, high_x, low_y, high_y = math.inf, -math.inf, math.inf, -math.inf
        for at in range(ring_start[first_ring[own]], ring_start[last_ring[own]]):
            low_x, high_x = min(low_x, x[at] - ox), max(high_x, x[at] - ox)
            low_y, high_y = min(low_y, y[at] - oy), max(high_y, y[at] - oy)
        size = max(high_x - low_x, high_y - low_y)
        near = TRACE * size
        several = lot_start[lot + 1] - lot_start[lot]
        count, cuts = 0, 0
        is_doubtful = False
        most = 0
        for k in range(several):
            outline = members[lot_start[lot] + k]
            most += ring_start[last_ring[outline]] - ring_start[first_ring[outline]]
        while most > room:
            room *= 2
            xa, ya, xb, yb = np.empty(room), np.empty(room), np.empty(room), np.empty(room)
            goes_right, is_told = np.empty(room, np.bool_), np.empty(room, np.bool_)
            near_edges = np.empty(room, np.int64)
            split, shared = np.empty(room, np.int64), np.empty(room, np.int64)
        # The edges near the lot, those of an outline one after the other, from left to right.
        for k in range(several):
            outline = members[lot_start[lot] + k]
            begin[k] = count
            bx0, by0, bx1, by1 = math.inf, math.inf, -math.inf, -math.inf
            is_whole = last_ring[outline] - first_ring[outline] == 1
            double, all_there = 0.0, True
            corners = ring_start[last_ring[outline]] - ring_start[first_ring[outline]]
            is_large = corners > MOST_KEPT
            for ring in range(first_ring[outline], last_ring[outline]):
                from_x, from_y, is_chain = 0.0, 0.0, False
                following_at, end = ring_start[ring], ring_start[ring + 1] - 1
                while following_at < end:
                    at = following_at
                    following_at += 1
                    if is_large and at % RUN == 0 and at + RUN <= end:
                        run_x0, run_y0, run_x1, run_y1 = runs[at // RUN]
                        if (
                            run_x1 - ox < low_x - near
                            or run_x0 - ox > high_x + near
                            or run_y0 - oy > high_y + near
                        ):
                            all_there, is_chain = False, False
                            following_at = at + RUN
                            continue
                        if run_y1 - oy < low_y - near:
                            following_at = at + RUN
                    px, py = x[at] - ox, y[at] - oy
                    qx, qy = x[following_at] - ox, y[following_at] - oy
                    double += px * qy - qx * py
                    if is_large and (
                        max(px, qx) < low_x - near
                        or min(px, qx) > high_x + near
                        or min(py, qy) > high_y + near
                    ):
                        all_there, is_chain = False, False
                        continue
                    # A chain of edges below the lot lies below a point as one from end to end does.
                    if is_large and max(py, qy) < low_y - near:
                        all_there = False
                        if is_chain:
                            count -= 1
                        else:
                            from_x, from_y, is_chain = px, py, True
                        px, py = from_x, from_y
                    else:
                        is_chain = False
                    right = px < qx or (px == qx and py < qy)
                    goes_right[count] = right
                    split[count], shared[count], is_told[count] = -1, 0, False
                    if right:
                        xa[count], ya[count], xb[count], yb[count] = px, py, qx, qy
                    else:
                        xa[count], ya[count], xb[count], yb[count] = qx, qy, px, py
                    bx0, bx1 = min(bx0, xa[count]), max(bx1, xb[count])
                    by0, by1 = min(by0, py, qy), max(by1, py, qy)
                    count += 1
            is_ring = is_whole and all_there and double != 0.0
            turn[k] = 0 if not is_ring else (1 if double > 0.0 else -1)
            box[k, 0], box[k, 1], box[k, 2], box[k, 3] = bx0, by0, bx1, by1
            is_all[k] = all_there
            is_inside[k] = bx0 >= low_x and bx1 <= high_x and by0 >= low_y and by1 <= high_y
            base[k], crossed[k], walked[k] = 0, 0, 0
        begin[several] = count
        if count > MOST_EDGES:
            counts[lot] = -1
            continue
        # Where outlines cross, and which lie in which.
        for i in range(several):
            for j in range(i + 1, several):
                is_apart = (
                    box[i, 0] > box[j, 2] + near
                    or box[j, 0] > box[i, 2] + near
                    or box[i, 1] > box[j, 3] + near
                    or box[j, 1] > box[i, 3] + near
                )
                # Land above the box of an outline may yet lie in it where edges are left out.
                if is_apart and is_all[i] and is_all[j]:
                    continue
                meets, cuts_before = False, cuts
                # Edges meet in what the boxes have in common, if they do.
                x0, x1 = max(box[i, 0], box[j, 0]) - near, min(box[i, 2], box[j, 2]) + near
                y0, y1 = max(box[i, 1], box[j, 1]) - near, min(box[i, 3], box[j, 3]) + near
                several_near = 0
                for f in range(begin[j], begin[j + 1] if not is_apart else begin[j]):
                    if (
                        xa[f] <= x1
                        and xb[f] >= x0
                        and min(ya[f], yb[f]) <= y1
                        and max(ya[f], yb[f]) >= y0
                    ):
                        near_edges[several_near] = f
                        several_near += 1
                for e in range(begin[i], begin[i + 1]):
                    e_low, e_high = min(ya[e], yb[e]) - near, max(ya[e], yb[e]) + near
                    if xa[e] > x1 or xb[e] < x0 or e_low > y1 or e_high < y0:
                        continue
                    for place in range(several_near):
                        f = near_edges[place]
                        if (
                            xa[f] > xb[e] + near
                            or xb[f] < xa[e] - near
                            or min(ya[f], yb[f]) > e_high
                            or max(ya[f], yb[f]) < e_low
                        ):
                            continue
                        common = corner(
                            xa[e], ya[e], xb[e], yb[e], xa[f], ya[f], xb[f], yb[f], near
                        )
                        if common > 0:
                            meets = True
                            if common == 2:
                                shared[e] |= one << j
                                is_told[f] = True
                            continue
                        how, cx, cy = meeting(
                            xa[e], ya[e], xb[e], yb[e], xa[f], ya[f], xb[f], yb[f], near
                        )
                        if how < 0 or common < 0:
                            is_doubtful = True
                            break
                        if how == 0:
                            continue
                        if cuts + 2 > MOST_CUTS:
                            is_doubtful = True
                            break
                        for edge, other in ((e, j), (f, i)):
                            cut_x[cuts], cut_y[cuts], cut_with[cuts] = cx, cy, other
                            following[cuts] = split[edge]
                            split[edge] = cuts
                            cuts += 1
                    if is_doubtful:
                        break
                if is_doubtful:
                    break
                for a, b in ((i, j), (j, i)):
                    if is_apart and is_all[b]:
                        continue
                    # A ring is walked along where every edge that it may cross is there.
                    if turn[a] == 0 or meets or not (is_all[b] or is_inside[a]):
                        crossed[a] |= one << b
                        continue
                    # Where the ring begins; without a crossing all of it lies as that does.
                    e = begin[a]
                    if cuts > cuts_before:
                        walked[a] |= one << b
                        mx, my = (xa[e], ya[e]) if goes_right[e] else (xb[e], yb[e])
                    else:
                        mx, my = (xa[e] + xb[e]) / 2, (ya[e] + yb[e]) / 2
                    side = sides(mx, my, begin[b], begin[b + 1], -1, xa, ya, xb, yb, near)
                    if side < 0:
                        is_doubtful = True
                    elif side == 1:
                        base[a] |= one << b
            if is_doubtful:
                break
        if is_doubtful:
            counts[lot] = DOUBT
            continue
        # The trapezoid below each piece of edge, from one side to the other.
        used = 0
        is_full = False
        for k in range(several):
            own_bit = one << k
            if k > 0 and (crossed[k] | walked[k] | base[k]) & one == 0:
                continue
            here = base[k]
            for e in range(begin[k], begin[k + 1]):
                pieces, turns = 0, np.int64(0)
                at = split[e]
                while at >= 0:
                    place = pieces
                    while place > 0 and piece_x[place - 1] > cut_x[at]:
                        piece_x[place], piece_y[place] = piece_x[place - 1], piece_y[place - 1]
                        piece_with[place] = piece_with[place - 1]
                        place -= 1
                    piece_x[place], piece_y[place] = cut_x[at], cut_y[at]
                    piece_with[place] = (one << cut_with[at]) & walked[k]
                    turns ^= piece_with[place]
                    pieces += 1
                    at = following[at]
                at_left = here if goes_right[e] else here ^ turns
                here ^= turns
                if xa[e] == xb[e] or is_told[e]:
                    continue
                px, py = xa[e], ya[e]
                for piece in range(pieces + 1):
                    above = at_left
                    if piece < pieces:
                        qx, qy = piece_x[piece], piece_y[piece]
                        at_left ^= piece_with[piece]
                    else:
                        qx, qy = xb[e], yb[e]
                    wide = qx - px
                    if wide <= 0.0:
                        continue
                    if k > 0 and (above | crossed[k]) & one == 0:
                        px, py = qx, qy
                        continue
                    mx, my = (px + qx) / 2, (py + qy) / 2
                    trapezoid = my * wide
                    px, py = qx, qy
                    below = above
                    left = crossed[k] | shared[e]
                    j = 0
                    while left:
                        if left & one:
                            side = sides(mx, my, begin[j], begin[j + 1], e, xa, ya, xb, yb, near)
                            if side < 0:
                                is_doubtful = True
                                break
                            bit = one << j
                            if side == 1:
                                below |= bit
                            if (side == 1) != (shared[e] & bit != 0):
                                above |= bit
                            if j == 0 and (above | below) & one == 0:
                                break
                        left >>= one
                        j += 1
                    if is_doubtful:
                        break
                    if k > 0 and (above | below) & one == 0:
                        continue
                    if turn[k] != 0:
                        is_above = (turn[k] > 0) == goes_right[e]
                    else:
                        side = sides(mx, my, begin[k], begin[k + 1], e, xa, ya, xb, yb, near)
                        if side < 0:
                            is_doubtful = True
                            break
                        is_above = side == 0
                    if is_above:
                        above |= own_bit
                    else:
                        below |= own_bit
                    for state, sign in ((above, -1.0), (below, 1.0)):
                        if state & one == 0:
                            continue
                        own_slot = slot(states, areas, spans, lot, used, state)
                        if own_slot < 0:
                            is_full = True
                            break
                        used = max(used, own_slot + 1)
                        areas[lot, own_slot] += sign * trapezoid
                        spans[own_slot] += sign * wide
                    if is_full:
                        break
                if is_doubtful or is_full:
                    break
            if here != base[k]:
                is_doubtful = True
            if is_doubtful or is_full:
                break
        for own_slot in range(used):
            if abs(spans[own_slot]) > near or areas[lot, own_slot] < -near * size:
                is_doubtful = True
        counts[lot] = DOUBT if is_doubtful or is_full else used
