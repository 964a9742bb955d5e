"""Paths of lines and arcs, and the chords that stand for arcs.

A path is a list of vertices (x, y, bulge), metres. The bulge belongs to the piece that leaves the
vertex: the tangent of a quarter of the arc's included angle, positive when the arc runs
counter-clockwise, 0 for a line, 1 for half a circle.

An arc becomes chords that enclose EXACTLY the arc's own area. The two ends stay where they are;
the vertices between them lie on a circle of radius R' about the same centre, a little outside the
arc, with R' chosen so that the fan of triangles over n chords of angle a, sin(a) =: s, has the
area of the sector of angle t::

    (n - 2) / 2 * R'^2 * s + R * R' * s = R^2 * t / 2

so that R'/R = (sqrt(1 + (n - 2) * t / s) - 1) / (n - 2), and t / (2 s) for n = 2. With 32 chords
in a quarter turn R' exceeds R by less than one part in 2,000.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

from checker.core.records import Record

Vertex = tuple[float, float, float]
VertexPath = list[Vertex]
XY = tuple[float, float]

CHORDS_PER_QUARTER: Final = 32
FEWEST_CHORDS: Final = 4
SNAP_DECIMALS: Final = 9
"""Every corner is put on a grid of a billionth of a metre, once, here.

Fine enough that the area of a small patio changes by less than the one tolerance of comparisons,
coarse enough that one corner reached along two ways is one point.
"""
STRAIGHT_BULGE: Final = 1e-12
FULLEST_BULGE: Final = 100.0
"""Beyond this an arc is all but a full circle (its ends 1/50 of a radius apart)."""


class Arc(Record):
    """A circular arc.

    Attributes:
        centre: Its centre, metres.
        radius_m: Its radius, > 0.
        start_rad: The direction from the centre to its start, counter-clockwise from x.
        turn_rad: The included angle; positive counter-clockwise.
    """

    centre: XY
    radius_m: float
    start_rad: float
    turn_rad: float

    def at(self, share: float, radius_m: float) -> XY:
        """The point at a share of the way round, at some distance from the centre."""
        angle = self.start_rad + share * self.turn_rad
        return (
            self.centre[0] + radius_m * math.cos(angle),
            self.centre[1] + radius_m * math.sin(angle),
        )


def arc(start: XY, end: XY, bulge: float) -> Arc:
    """The arc between two different points with a bulge other than 0."""
    dx_m, dy_m = end[0] - start[0], end[1] - start[1]
    chord_m = math.hypot(dx_m, dy_m)
    radius_m = chord_m * (1 + bulge**2) / (4 * abs(bulge))
    to_left = (1 - bulge**2) / (4 * bulge)
    centre = (
        (start[0] + end[0]) / 2 - dy_m * to_left,
        (start[1] + end[1]) / 2 + dx_m * to_left,
    )
    first_rad = math.atan2(start[1] - centre[1], start[0] - centre[0])
    return Arc(centre, radius_m, first_rad, 4 * math.atan(bulge))


def snapped(x_m: float, y_m: float) -> XY:
    """A point on the grid; never minus zero."""
    return round(x_m, SNAP_DECIMALS) + 0.0, round(y_m, SNAP_DECIMALS) + 0.0


def chords(start: XY, end: XY, bulge: float) -> list[XY]:
    """The vertices strictly between the ends of an arc, see the module; none for a line.

    An arc drawn from either end gives the same vertices, so that two surfaces share an edge.
    """
    if abs(bulge) < STRAIGHT_BULGE or start == end:
        return []
    if end < start:
        return chords(end, start, -bulge)[::-1]
    found = arc(start, end, bulge)
    turn_rad = abs(found.turn_rad)
    count = max(FEWEST_CHORDS, math.ceil(CHORDS_PER_QUARTER * turn_rad / (math.pi / 2) - 1e-9))
    sine = math.sin(turn_rad / count)
    grown = (math.sqrt(1 + (count - 2) * turn_rad / sine) - 1) / (count - 2)
    return [found.at(i / count, found.radius_m * grown) for i in range(1, count)]


def pieces(path: VertexPath, *, is_closed: bool) -> list[tuple[XY, XY, float]]:
    """The lines and arcs of a path as (start, end, bulge)."""
    ring = [*path, path[0]] if is_closed else path
    return [((a[0], a[1]), (b[0], b[1]), a[2]) for a, b in pairwise(ring)]


def piece_line(start: XY, end: XY, bulge: float) -> list[XY]:
    """A line or arc as snapped points, both ends included."""
    return [snapped(*point) for point in (start, *chords(start, end, bulge), end)]


def line_points(path: VertexPath, *, is_closed: bool = False) -> list[XY]:
    """A path as snapped points; a closed one does not repeat its first point."""
    points: list[XY] = []
    for start, end, bulge in pieces(path, is_closed=is_closed):
        points.extend(snapped(*point) for point in (start, *chords(start, end, bulge)))
    if not is_closed:
        points.append(snapped(path[-1][0], path[-1][1]))
    return points


def reversed_path(path: VertexPath, *, is_closed: bool = False) -> VertexPath:
    """The same path walked the other way."""
    if is_closed:
        back = [*path, path[0]][::-1]
        return [(a[0], a[1], -b[2]) for a, b in pairwise(back)]
    back = path[::-1]
    return [(a[0], a[1], -b[2]) for a, b in pairwise(back)] + [(back[-1][0], back[-1][1], 0.0)]


def signed_area_m2(path: VertexPath) -> float:
    """The exact area that a closed path encloses, arcs included; positive counter-clockwise.

    The polygon of the corners, plus for each arc its segment R^2/2 (t - sin t).
    """
    if not path:
        return 0.0
    x0_m, y0_m = path[0][0], path[0][1]
    total_m2 = 0.0
    for (ax, ay), (bx, by), bulge in pieces(path, is_closed=True):
        total_m2 += ((ax - x0_m) * (by - y0_m) - (bx - x0_m) * (ay - y0_m)) / 2
        if abs(bulge) >= STRAIGHT_BULGE and (ax, ay) != (bx, by):
            found = arc((ax, ay), (bx, by), bulge)
            total_m2 += found.radius_m**2 / 2 * (found.turn_rad - math.sin(found.turn_rad))
    return total_m2


def length_m(path: VertexPath, *, is_closed: bool) -> float:
    """The exact length of a path, arcs included."""
    total_m = 0.0
    for start, end, bulge in pieces(path, is_closed=is_closed):
        if abs(bulge) < STRAIGHT_BULGE or start == end:
            total_m += math.dist(start, end)
        else:
            found = arc(start, end, bulge)
            total_m += found.radius_m * abs(found.turn_rad)
    return total_m


def circle(centre: XY, radius_m: float) -> VertexPath:
    """A full circle as a closed path of two half circles."""
    x_m, y_m = centre
    return [(x_m + radius_m, y_m, 1.0), (x_m - radius_m, y_m, 1.0)]
