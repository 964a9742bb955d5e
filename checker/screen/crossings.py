"""Where two edges cross or share corners, and what lies on either side of a point of one.

Plain functions of numbers; `integrals` compiles them.
"""

from __future__ import annotations

from typing import Any


def sides(  # noqa: PLR0913 - a point, edges, what is near
    px: float, py: float, begin: int, end: int, own: int, xa: Any, ya: Any, xb: Any, yb: Any,
    near: float,
) -> int:  # fmt: skip
    """How many of some edges lie below a point, odd or even; -1 where one all but goes through it.

    The edge `own`, on which the point lies, is left out, and any that is the same.
    """
    found = 0
    for e in range(begin, end):
        if (xa[e] <= px) == (xb[e] <= px):
            continue
        if (
            own >= 0
            and xa[e] == xa[own]
            and ya[e] == ya[own]
            and xb[e] == xb[own]
            and yb[e] == yb[own]
        ):
            continue
        apart = ya[e] + (yb[e] - ya[e]) * ((px - xa[e]) / (xb[e] - xa[e])) - py
        if abs(apart) <= near:
            return -1
        if apart < 0.0:
            found ^= 1
    return found


def meeting(  # noqa: PLR0913 - two edges what is near
    ax: float, ay: float, bx: float, by: float, cx: float, cy: float, dx: float, dy: float,
    near: float,
) -> tuple[int, float, float]:  # fmt: skip
    """Whether two edges cross (1), are apart (0) or in doubt (-1), and where they cross."""
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    c = ux * (cy - ay) - uy * (cx - ax)
    d = ux * (dy - ay) - uy * (dx - ax)
    trace = near * (abs(ux) + abs(uy))
    if (c > trace and d > trace) or (c < -trace and d < -trace):
        return 0, 0.0, 0.0
    a = vx * (ay - cy) - vy * (ax - cx)
    b = vx * (by - cy) - vy * (bx - cx)
    other = near * (abs(vx) + abs(vy))
    if (a > other and b > other) or (a < -other and b < -other):
        return 0, 0.0, 0.0
    if min(abs(c), abs(d)) <= trace or min(abs(a), abs(b)) <= other:
        return -1, 0.0, 0.0
    share = c / (c - d)
    x, y = cx + share * vx, cy + share * vy
    # Inside the span of both edges, whatever is lost by rounding.
    low, high = max(min(ax, bx), min(cx, dx)), min(max(ax, bx), max(cx, dx))
    return 1, min(max(x, low), high), y


def corner(  # noqa: PLR0913 - two edges what is near
    ax: float, ay: float, bx: float, by: float, cx: float, cy: float, dx: float, dy: float,
    near: float,
) -> int:  # fmt: skip
    """How many corners two edges share: 0, 1 or 2; -1 for one where they all but coincide."""
    is_first, is_second = ax == cx and ay == cy, bx == dx and by == dy
    if is_first and is_second:
        return 2
    if is_first:
        ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    elif is_second:
        ux, uy, vx, vy = ax - bx, ay - by, cx - dx, cy - dy
    elif ax == dx and ay == dy:
        ux, uy, vx, vy = bx - ax, by - ay, cx - dx, cy - dy
    elif bx == cx and by == cy:
        ux, uy, vx, vy = ax - bx, ay - by, dx - cx, dy - cy
    else:
        return 0
    trace = near * max(abs(ux) + abs(uy), abs(vx) + abs(vy))
    return -1 if abs(ux * vy - uy * vx) <= trace and ux * vx + uy * vy > 0.0 else 1


def slot(states: Any, areas: Any, spans: Any, lot: int, used: int, state: int) -> int:
    """The place of a state among those of a lot; -1 where there is no room for a new one."""
    for place in range(used):
        if states[lot, place] == state:
            return place
    if used == states.shape[1]:
        return -1
    states[lot, used] = state
    areas[lot, used] = 0.0
    spans[used] = 0.0
    return used
