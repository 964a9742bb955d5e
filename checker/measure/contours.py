"""Contours of the ground: level lines of the surface that triangles span between given levels.

Between three levels the ground is taken as plane; nothing is told beyond the outermost of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.core.records import Record
from checker.core.units import FOOT_M

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.core.units import System
    from checker.site.drainage import SpotLevel
    from checker.site.model import Shape

GROUND: Final = frozenset({"ground", "lot corner", "neighbour's ground"})
"""Levels that the surface of the ground goes through."""

MOST_LINES: Final = 14
"""The interval is the smallest usual one with no more lines than this."""

INTERVALS_M: Final[dict[System, tuple[float, ...]]] = {
    "us": tuple(feet * FOOT_M for feet in (0.5, 1, 2, 5, 10)),
    "metric": (0.1, 0.25, 0.5, 1.0, 2.0, 5.0),
}


class Contour(Record, kw_only=True):
    """One level line: its level and its course, metres."""

    level_m: float
    line: Shape


def ground_levels(levels: Sequence[SpotLevel], *, is_proposed: bool) -> list[SpotLevel]:
    """Levels of the ground as it is, or as it will be, where new ones stand for old ones."""
    own = [item for item in levels if item.what in GROUND]
    if not is_proposed:
        return [item for item in own if not item.is_proposed]
    new = {item.at for item in own if item.is_proposed}
    return [item for item in own if item.is_proposed or item.at not in new]


def contours(levels: Sequence[SpotLevel], system: System) -> tuple[Contour, ...]:
    """Level lines through given levels; none for fewer than three, or for level ground.

    Args:
        levels: Of the ground, each place once.
        system: Whether the interval is of feet or metres.
    """
    known = {item.at: item.level_m for item in levels}
    if len(known) < 3:
        return ()
    low_m, high_m = min(known.values()), max(known.values())
    steps = INTERVALS_M[system]
    step_m = next((s for s in steps if (high_m - low_m) / s <= MOST_LINES), steps[-1])
    triangles = shapely.delaunay_triangles(shapely.MultiPoint(list(known)))
    first, last = int(low_m // step_m), int(high_m // step_m) + 1
    found = []
    for count in range(first, last + 1):
        level_m = count * step_m
        parts = list(_crossings(shapely.get_parts(triangles).tolist(), known, level_m))
        if parts:
            line = shapely.line_merge(shapely.MultiLineString(parts))
            found.append(Contour(level_m=level_m, line=line))
    return tuple(found)


def level_between_m(levels: Sequence[SpotLevel], at: tuple[float, float]) -> float | None:
    """Level at a point, straight between the spots round it; None outside of them.

    Args:
        levels: Of the ground, each place once.
        at: The point.
    """
    known = {item.at: item.level_m for item in levels}
    if len(known) < 3:
        return None
    point = shapely.Point(at)
    triangles = shapely.delaunay_triangles(shapely.MultiPoint(list(known)))
    for triangle in shapely.get_parts(triangles).tolist():
        if not triangle.covers(point):
            continue
        (ax, ay), (bx, by), (cx, cy) = [(x, y) for x, y, *_ in triangle.exterior.coords[:3]]
        twice = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay)
        second = ((at[0] - ax) * (cy - ay) - (cx - ax) * (at[1] - ay)) / twice
        third = ((bx - ax) * (at[1] - ay) - (at[0] - ax) * (by - ay)) / twice
        first = 1 - second - third
        return float(known[ax, ay] * first + known[bx, by] * second + known[cx, cy] * third)
    return None


def _crossings(
    triangles: Sequence[Shape], known: dict[tuple[float, float], float], level_m: float
) -> Iterator[list[tuple[float, float]]]:
    """Where a level crosses each triangle; a side that lies at it belongs to the one above it."""
    for triangle in triangles:
        corners = [(x, y) for x, y, *_ in triangle.exterior.coords[:3]]
        heights = [known[corner] for corner in corners]
        ends = []
        for at in range(3):
            (a, b), (p, q) = (heights[at], heights[at - 2]), (corners[at], corners[at - 2])
            if (a < level_m) != (b < level_m):
                share = (level_m - a) / (b - a)
                ends.append((p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])))
        if len(ends) == 2 and ends[0] != ends[1]:
            yield ends
