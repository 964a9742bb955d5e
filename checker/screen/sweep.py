"""Areas between the outlines over a lot, by a sweep over slabs; compiled where Numba is there.

Within a slab between two neighbouring corners or crossings no edges cross, so that the land between
two edges that follow each other upwards is a trapezoid, and it lies inside exactly the outlines
that were entered an odd number of times below it. No topology is built and nothing is snapped: an
edge that all but coincides with another one encloses all but nothing with it.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.screen.machine_code import machine_code

if TYPE_CHECKING:
    from collections.abc import Callable

MOST_OUTLINES: Final = 62
"""So many outlines over one lot fit into the bits of a state, its own among them."""

MOST_STATES: Final = 96
"""So many different stacks over one lot find room; a lot with more is measured in another way."""


@cache
def compiled() -> Callable[..., Any] | None:
    """The sweep as machine code; None where Numba is not installed."""
    made = machine_code(globals(), (), _swept)
    return made[0] if made else None


def _swept(  # noqa: PLR0913, PLR0915 - one loop, written out for the compiler
    x: Any, y: Any, ring_start: Any, first_ring: Any, last_ring: Any, lot_start: Any,
    members: Any, fits: Any, states: Any, areas: Any, counts: Any,
) -> None:  # fmt: skip
    """Fill in the states over each lot and their areas.

    Args:
        x: The corners of all rings, in the unit of the layers.
        y: Likewise.
        ring_start: The first corner of each ring, shape (rings + 1,).
        first_ring: The first ring of each outline, shape (outlines,).
        last_ring: One past its last ring.
        lot_start: The first member of each lot, shape (n + 1,).
        members: Outlines over each lot, its own first; a place there is a bit of the state.
        fits: The lots that are swept, shape (n,); the others get no room.
        states: Filled: which outlines lie over a part, as bits, shape (n, most).
        areas: Filled: its area, in the unit squared, shape (n, most).
        counts: Filled: how many parts, shape (n,); -1 where they find no room.
    """
    room = 256
    xa = np.empty(room)
    ya = np.empty(room)
    xb = np.empty(room)
    yb = np.empty(room)
    bit = np.empty(room, np.int64)
    steep = np.empty(room)
    low = np.empty(room)
    high = np.empty(room)
    active = np.empty(room, np.int64)
    height = np.empty(room)
    for lot in range(len(lot_start) - 1):
        if not fits[lot]:
            counts[lot] = -1
            continue
        own = members[lot_start[lot]]
        first, last = ring_start[first_ring[own]], ring_start[last_ring[own]]
        ox, oy = x[first], y[first]
        low_x, high_x, high_y = math.inf, -math.inf, -math.inf
        for e in range(first, last):
            low_x = min(low_x, x[e] - ox)
            high_x = max(high_x, x[e] - ox)
            high_y = max(high_y, y[e] - oy)
        count = 0
        for place in range(lot_start[lot], lot_start[lot + 1]):
            outline = members[place]
            for ring in range(first_ring[outline], last_ring[outline]):
                for e in range(ring_start[ring], ring_start[ring + 1] - 1):
                    ax, ay, bx, by = x[e] - ox, y[e] - oy, x[e + 1] - ox, y[e + 1] - oy
                    if ax > bx:
                        ax, ay, bx, by = bx, by, ax, ay
                    if ax == bx or bx <= low_x or ax >= high_x or (ay > high_y and by > high_y):
                        continue
                    slope = (by - ay) / (bx - ax)
                    if ax < low_x:
                        ay += slope * (low_x - ax)
                        ax = low_x
                    if bx > high_x:
                        by = ay + slope * (high_x - ax)
                        bx = high_x
                    if count == room:
                        room *= 2
                        more_xa, more_ya, more_xb, more_yb = (
                            np.empty(room), np.empty(room), np.empty(room), np.empty(room),
                        )  # fmt: skip
                        more_bit = np.empty(room, np.int64)
                        more_xa[:count] = xa
                        more_ya[:count] = ya
                        more_xb[:count] = xb
                        more_yb[:count] = yb
                        more_bit[:count] = bit
                        xa, ya, xb, yb, bit = more_xa, more_ya, more_xb, more_yb, more_bit
                    xa[count], ya[count], xb[count], yb[count] = ax, ay, bx, by
                    bit[count] = place - lot_start[lot]
                    count += 1
        if len(steep) < room:
            steep, low, high = np.empty(room), np.empty(room), np.empty(room)
            active, height = np.empty(room, np.int64), np.empty(room)
        order = np.argsort(xa[:count])
        stops = np.empty(2 * count + 64)
        found = 0
        for i in range(count):
            p = order[i]
            stops[found] = xa[p]
            stops[found + 1] = xb[p]
            found += 2
            steep[p] = (yb[p] - ya[p]) / (xb[p] - xa[p])
            low[p], high[p] = min(ya[p], yb[p]), max(ya[p], yb[p])
        for i in range(count):
            p = order[i]
            for j in range(i + 1, count):
                q = order[j]
                if xa[q] >= xb[p]:
                    break
                if low[q] > high[p] or high[q] < low[p] or bit[p] == bit[q]:
                    # Outlines of valid areas do not cross themselves.
                    continue
                left, right = xa[q], min(xb[p], xb[q])
                at_left = ya[p] + steep[p] * (left - xa[p]) - ya[q]
                at_right = at_left + (steep[p] - steep[q]) * (right - left)
                if at_left * at_right < 0.0:
                    if found == len(stops):
                        more_stops = np.empty(2 * found)
                        more_stops[:found] = stops
                        stops = more_stops
                    stops[found] = left + (right - left) * at_left / (at_left - at_right)
                    found += 1
        stops[:found].sort()
        held, following = 0, 0
        used = 0
        is_full = False
        for s in range(found - 1):
            left, right = stops[s], stops[s + 1]
            if right <= left:
                continue
            kept = 0
            for k in range(held):
                if xb[active[k]] > left:
                    active[kept] = active[k]
                    kept += 1
            held = kept
            while following < count and xa[order[following]] <= left:
                if xb[order[following]] > left:
                    active[held] = order[following]
                    held += 1
                following += 1
            middle, wide = (left + right) / 2, right - left
            for k in range(held):
                p = active[k]
                here = ya[p] + steep[p] * (middle - xa[p])
                k2 = k
                while k2 > 0 and height[k2 - 1] > here:
                    height[k2] = height[k2 - 1]
                    active[k2] = active[k2 - 1]
                    k2 -= 1
                height[k2] = here
                active[k2] = p
            state = np.int64(0)
            for k in range(held):
                if state & 1 and k > 0:
                    area = (height[k] - height[k - 1]) * wide
                    if area > 0.0:
                        slot = 0
                        while slot < used and states[lot, slot] != state:
                            slot += 1
                        if slot == used:
                            if used == states.shape[1]:
                                is_full = True
                                break
                            states[lot, slot] = state
                            areas[lot, slot] = 0.0
                            used += 1
                        areas[lot, slot] += area
                state ^= np.int64(1) << bit[active[k]]
            if is_full:
                break
        counts[lot] = -1 if is_full else used
