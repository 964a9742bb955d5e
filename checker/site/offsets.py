"""Paths at one distance beside another path: the edges of walks and of coping bands.

The offset of a path of lines and arcs is again made of exact lines and arcs, unless an arc meets
its neighbour at an inner corner, or a piece vanishes. Those are left to the geometry library, which
offsets chords; the area of the band was off by up to one part in 20,000 in the cases tried.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, Literal

from checker.site.arcs import (
    STRAIGHT_BULGE,
    XY,
    VertexPath,
    arc,
    line_points,
    pieces,
    reversed_path,
    signed_area_m2,
)

if TYPE_CHECKING:
    from shapely import MultiPolygon, Polygon

Corners = Literal["square", "round"]
SAME_M: Final = 1e-6
MOST_CROSSINGS: Final = 1_000
"""A strip along a line that crosses itself more often is refused: about a second of work."""

_SMOOTH_RAD: Final = 1e-7
_SHARPEST_RAD: Final = math.radians(157)
"""A square corner may reach five times the width, as far as the geometry library goes."""


def _headings(start: XY, end: XY, bulge: float) -> tuple[float, float]:
    """The directions in which a piece leaves its start and reaches its end."""
    chord_rad = math.atan2(end[1] - start[1], end[0] - start[0])
    half_rad = 2 * math.atan(bulge)
    return chord_rad - half_rad, chord_rad + half_rad


def _left_of(point: XY, heading_rad: float, distance_m: float) -> XY:
    return (
        point[0] - distance_m * math.sin(heading_rad),
        point[1] + distance_m * math.cos(heading_rad),
    )


def _turn(before_rad: float, after_rad: float) -> float:
    """The change of direction, from -pi to pi, positive to the left."""
    return math.remainder(after_rad - before_rad, 2 * math.pi)


def offset(
    path: VertexPath, distance_m: float, *, is_closed: bool, corners: Corners
) -> VertexPath | None:
    """The path at a distance to the left; a negative distance lies to the right.

    Returns:
        None where an arc meets its neighbour at an inner corner, an arc is tighter than the
        distance, a corner is too sharp, or a piece is too short.
    """
    parts = pieces(path, is_closed=is_closed)
    for start, end, bulge in parts:
        if start == end:
            return None
        curves_toward = not _is_line(bulge) and bulge * distance_m > 0
        if curves_toward and arc(start, end, bulge).radius_m - abs(distance_m) < SAME_M:
            return None
    headings = [_headings(*part) for part in parts]
    found: list[tuple[XY, float, float | None]] = []
    for index, (start, _, bulge) in enumerate(parts):
        leaves_rad = headings[index][0]
        corner: list[tuple[XY, float, float | None]] | None = [
            (_left_of(start, leaves_rad, distance_m), 0.0, None)
        ]
        if index or is_closed:
            is_arc = not (_is_line(bulge) and _is_line(parts[index - 1][2]))
            turn = headings[index - 1][1], leaves_rad
            corner = _corner(start, turn, distance_m, corners=corners, is_arc=is_arc)
        if corner is None:
            return None
        found += [*corner[:-1], (corner[-1][0], bulge, leaves_rad if _is_line(bulge) else None)]
    if not is_closed:
        found.append((_left_of(parts[-1][1], headings[-1][1], distance_m), 0.0, None))
    outline = [(*point, bulge) for point, bulge, _ in found]
    return outline if _runs_on(outline, [rad for *_, rad in found], is_closed=is_closed) else None


def _corner(
    point: XY, turn: tuple[float, float], distance_m: float, *, corners: Corners, is_arc: bool
) -> list[tuple[XY, float, float | None]] | None:
    """The vertices of an offset corner, each with the bulge and heading of what leaves it.

    The last one is where the next piece begins. Between arcs an outer square corner runs along
    the tangents of both.
    """
    before_rad, after_rad = turn
    turn_rad = _turn(before_rad, after_rad)
    first, last = (_left_of(point, heading_rad, distance_m) for heading_rad in turn)
    if abs(turn_rad) < _SMOOTH_RAD:
        return [(last, 0.0, None)]
    is_outside = turn_rad * distance_m < 0
    if corners == "round" and is_outside:
        return [(first, math.tan(turn_rad / 4), None), (last, 0.0, None)]
    if abs(turn_rad) > _SHARPEST_RAD or (is_arc and not is_outside):
        return None
    reach_m = distance_m / math.cos(turn_rad / 2)
    tip = _left_of(point, before_rad + turn_rad / 2, reach_m)
    if not is_arc:
        return [(tip, 0.0, None)]
    return [(first, 0.0, before_rad), (tip, 0.0, after_rad), (last, 0.0, None)]


def _runs_on(outline: VertexPath, headings: list[float | None], *, is_closed: bool) -> bool:
    """No line has turned round, which happens where it is shorter than its corners need."""
    return all(
        heading_rad is None or abs(_turn(_headings(*piece)[0], heading_rad)) < 1e-3
        for piece, heading_rad in zip(
            pieces(outline, is_closed=is_closed), headings, strict=is_closed
        )
        if math.dist(*piece[:2]) > SAME_M or heading_rad is None
    )


def _is_line(bulge: float) -> bool:
    return abs(bulge) < STRAIGHT_BULGE


def strip(
    path: VertexPath, width_m: float, side: Literal["middle", "left", "right"]
) -> tuple[Polygon | MultiPolygon, VertexPath | None]:
    """The strip of one width along an open path, with its outline when that is exact.

    Raises:
        TooManyCrossings: The path crosses itself more than `MOST_CROSSINGS` times.
    """
    import numpy as np
    from shapely import LineString, Polygon

    from checker.site.crossings import check_crossings

    left_m = {"middle": width_m / 2, "left": width_m, "right": 0.0}[side]
    right_m = left_m - width_m
    edges = [
        offset(path, distance_m, is_closed=False, corners="square") if distance_m else path
        for distance_m in (right_m, left_m)
    ]
    if edges[0] is not None and edges[1] is not None:
        outline = [*edges[0], *reversed_path(edges[1])]
        shape = Polygon(line_points(outline, is_closed=True))
        if shape.is_valid:
            return shape, outline
    line = LineString(line_points(path))
    check_crossings(np.array([line]), MOST_CROSSINGS, "its line crosses itself")
    if side == "middle":
        return line.buffer(width_m / 2, cap_style="flat", join_style="mitre"), None
    signed_m = left_m or right_m
    return line.buffer(signed_m, cap_style="flat", join_style="mitre", single_sided=True), None


def grown(
    outline: VertexPath | None, shape: Polygon, width_m: float, corners: Corners
) -> tuple[Polygon, VertexPath | None]:
    """A closed shape made larger by a width all round, with its outline when that is exact.

    Args:
        outline: The exact outline of the shape; None when only its chords are known.
        shape: The shape without holes.
        width_m: How much, > 0.
        corners: Square or round outer corners.
    """
    from shapely import Polygon

    path = outline or [(x, y, 0.0) for x, y in list(shape.exterior.coords)[:-1]]
    outward_m = -width_m if signed_area_m2(path) > 0 else width_m
    outer = offset(path, outward_m, is_closed=True, corners=corners)
    if outer is not None:
        ring = Polygon(line_points(outer, is_closed=True))
        if ring.is_valid and ring.covers(shape):
            return ring, outer
    join: Literal["mitre", "round"] = "mitre" if corners == "square" else "round"
    buffered = shape.buffer(width_m, join_style=join, quad_segs=32)
    return Polygon(buffered.exterior), None
