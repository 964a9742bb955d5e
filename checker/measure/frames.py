"""Straight edges of land as axes, many at once: how far the land reaches, and what lies how near.

Along an edge runs the first axis, across it the second one, into the land. Lengths are in metres
on the plane of the site.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.site.model import Shape

Floats = Any
"""A numpy array of floats."""

SAME_M: Final = 1e-6
"""Lengths that differ by less are the same: far below what is built, far above rounding."""

_ROOM_M: Final = 1.0
_BOX_FRACTION: Final = 1e-7
_WHOLE_FRACTION: Final = 1e-9


class EdgeFrame(Record):
    """A straight edge as an axis, the land on one side of it and between its ends.

    Attributes:
        origin_m: Where the edge begins, shape (2,).
        axes: The directions along and across, shape (2, 2), one a row.
        length_m: The length of the edge.
        depth_m: How far the land reaches from it.
        is_box: The land is a rectangle on the whole of the edge.
    """

    origin_m: Floats
    axes: Floats
    length_m: float
    depth_m: float
    is_box: bool

    def box(self, width_m: float) -> Shape:
        """The land within a width of the edge, with room to spare outside of it."""
        far_m = self.length_m + _ROOM_M
        corners = np.array(
            [(-_ROOM_M, -_ROOM_M), (far_m, -_ROOM_M), (far_m, width_m), (-_ROOM_M, width_m)]
        )
        return shapely.Polygon(corners @ self.axes + self.origin_m)


def frames(lands: Sequence[Shape], lines: Sequence[Shape]) -> list[EdgeFrame | None]:
    """The frame of an edge of each land; None where a band along it bends, or goes round its end.

    Args:
        lands: The land; none of it is empty.
        lines: As many edges.
    """
    found: list[EdgeFrame | None] = [None] * len(lands)
    own_lines = np.array(lines, dtype=object)
    is_line = shapely.get_type_id(own_lines) == shapely.GeometryType.LINESTRING
    ends = np.full((len(lands), 2, 2), np.nan)
    for place in (0, -1):
        ends[is_line, place] = shapely.get_coordinates(shapely.get_point(own_lines[is_line], place))
    along = ends[:, 1] - ends[:, 0]
    lengths_m = np.hypot(along[:, 0], along[:, 1])
    straight = np.flatnonzero(shapely.length(own_lines) <= SAME_M + lengths_m)
    straight = straight[lengths_m[straight] > 0]
    if not len(straight):
        return found
    own_lands = np.array(lands, dtype=object)[straight]
    origins_m, lengths_m = ends[straight, 0], lengths_m[straight]
    along = along[straight] / lengths_m[:, None]
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    middles = shapely.get_coordinates(shapely.centroid(own_lands)) - origins_m
    across[(middles * across).sum(axis=1) < 0] *= -1
    points, which = shapely.get_coordinates(own_lands, return_index=True)
    starts = np.searchsorted(which, np.arange(len(own_lands)))
    at = [((points - origins_m[which]) * axis[which]).sum(axis=1) for axis in (along, across)]
    low = [np.minimum.reduceat(own, starts) for own in at]
    high = [np.maximum.reduceat(own, starts) for own in at]
    fits = (low[1] > -SAME_M) & (low[0] > -SAME_M) & (high[0] < lengths_m + SAME_M)
    boxes_m2 = (high[0] - low[0]) * (high[1] - low[1])
    is_box = shapely.area(own_lands) > boxes_m2 * (1 - _BOX_FRACTION)
    axes = np.stack([along, across], axis=1)
    for number in np.flatnonzero(fits):
        found[straight[number]] = EdgeFrame(
            origins_m[number],
            axes[number],
            float(lengths_m[number]),
            float(high[1][number]),
            bool(is_box[number]),
        )
    return found


def reached_m(
    lands: Sequence[Shape], surfaces: Sequence[Shape], lines: Sequence[Shape]
) -> list[float]:
    """How much of an edge of each surface some of its land reaches.

    Args:
        lands: The land.
        surfaces: What each is a part or the whole of.
        lines: An edge of each surface.
    """
    found = shapely.length(lines)
    part = np.flatnonzero(shapely.area(lands) <= shapely.area(surfaces) * (1 - _WHOLE_FRACTION))
    near = shapely.buffer(np.array(lands, dtype=object)[part], SAME_M)
    own = shapely.intersection(np.array(lines, dtype=object)[part], near)
    found[part] = shapely.length(own)
    reached: list[float] = found.tolist()
    return reached


def within_m2(
    own: Sequence[EdgeFrame], cells: Sequence[Sequence[Shape]], widths_m: Sequence[Floats]
) -> list[Floats]:
    """How much of some cells lies within each width of an edge, for many edges at once.

    It is the sum of x dy round their rings, cut off at the width.

    Args:
        own: The frame of each edge.
        cells: The cells at each edge.
        widths_m: The widths at each edge.

    Returns:
        For each edge its areas by width and cell, m2, shape (widths, cells).
    """
    counts = np.array([len(group) for group in cells], dtype=np.int64)
    tops = np.array([len(widths) for widths in widths_m], dtype=np.int64)
    firsts = np.concatenate([[0], np.cumsum(counts * tops)])
    areas_m2 = np.zeros(firsts[-1])
    if len(areas_m2):
        edge, cell, ends, sign = _sides(own, cells)
        # Each side of a ring once for each width.
        times = tops[edge]
        side = np.repeat(np.arange(len(edge)), times)
        step = np.arange(len(side)) - np.repeat(np.cumsum(times) - times, times)
        top = np.concatenate([np.asarray(widths, dtype=float) for widths in widths_m])
        top = top[(np.cumsum(tops) - tops)[edge[side]] + step]
        (s1, t1), (s2, t2) = ends[side, 0].T, ends[side, 1].T
        low, high = np.minimum(t1, top), np.minimum(t2, top)
        slope = (s2 - s1) / np.where(t2 == t1, 1.0, t2 - t1)
        taken = (high - low) * (2 * s1 + slope * (low + high - 2 * t1)) / 2
        place = firsts[edge[side]] + step * counts[edge[side]] + cell[side]
        areas_m2 = np.bincount(place, sign[side] * taken, len(areas_m2))
    return [
        areas_m2[first : first + top * count].reshape(top, count)
        for first, top, count in zip(firsts, tops, counts, strict=False)
    ]


def _sides(
    own: Sequence[EdgeFrame], cells: Sequence[Sequence[Shape]]
) -> tuple[Floats, Floats, Floats, Floats]:
    """The sides of all rings of cells as they lie to their edge.

    Returns:
        By side: the number of the edge, that of the cell at it, its ends along and across, shape
        (N, 2, 2), and the sign with which what lies below it is added.
    """
    edge = np.repeat(np.arange(len(cells)), [len(group) for group in cells])
    cell = np.concatenate([np.arange(len(group)) for group in (*cells, ())])
    flat = np.array([shape for group in cells for shape in group], dtype=object)
    parts, of_cell = shapely.get_parts(flat, return_index=True)
    rings, of_part = shapely.get_rings(parts, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    is_hole = np.concatenate([[False], of_part[1:] == of_part[:-1]])
    of_ring = of_cell[of_part].astype(np.int64)
    at_edge = edge[of_ring[ring]]
    origins_m = np.array([frame.origin_m for frame in own])[at_edge]
    axes = np.array([frame.axes for frame in own])[at_edge]
    at = ((points - origins_m)[:, None, :] * axes).sum(axis=2)
    first = np.flatnonzero(ring[1:] == ring[:-1])
    ends, side_ring = np.stack([at[first], at[first + 1]], axis=1), ring[first]
    (s1, t1), (s2, t2) = ends[:, 0].T, ends[:, 1].T
    doubled_m2 = np.bincount(side_ring, (s1 + s2) * (t2 - t1), len(rings))
    sign = np.where(doubled_m2 < 0, -1.0, 1.0) * np.where(is_hole, -1.0, 1.0)
    return edge[of_ring[side_ring]], cell[of_ring[side_ring]], ends, sign[side_ring]
