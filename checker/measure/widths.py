"""How wide land is: shapes moved in and out by a width, and the parts that are too narrow.

A shape is moved inward by taking off a rectangle along every edge, outward by adding one, with
mitred corners; both are exact for straight edges, while a general buffer first leaves out what is
shallow beside its width. Land is wide where it comes back after moving its edges in by half the
width and out again, so that a rectangle keeps its corners and a neck ends in a straight line.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.measure.arrangement import SLIVER_M2, common, joined, without

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.site.model import Shape

WIDTH_TOLERANCE_M: Final = 1e-4
"""Land that lacks less than this of a least width has it: two corners nearer than that are one."""

WIDTH_TOLERANCE: Final = 1e-5
"""The same as a share of the width, for widths above 10 m."""

MITRE_LIMIT: Final = 5.0
"""A sharp corner reaches at most so many times the width, as common drawing programs have it."""

_OVERLAP_M: Final = 1e-6
"""Strips reach so far past the edge they start from, so that rounding leaves nothing between."""

_STRAIGHT: Final = 1e-9
_STRIP_SHARE: Final = 1e-3


def moved_in(shape: Shape, by_m: float) -> Shape:
    """A shape without the strip along its outline, square at inner corners; may be empty."""
    return without(shape, _beside(shape, by_m)) if by_m > 0 else shape


def moved_out(shape: Shape, by_m: float) -> Shape:
    """A shape with a strip along its outline, square at outer corners."""
    return joined([shape, _beside(shape, -by_m)]) if by_m > 0 and not shape.is_empty else shape


def wide_part(shape: Shape, least_m: float) -> Shape:
    """The part of a shape that is at least so wide.

    Args:
        shape: Any area, metres.
        least_m: The width, > 0; exactly at it is wide enough.
    """
    narrow = narrow_part(shape, least_m)
    return shape if narrow.is_empty else without(shape, narrow)


def narrow_part(shape: Shape, least_m: float) -> Shape:
    """The part of a shape that is narrower than a width; empty where none is."""
    off_m = max(WIDTH_TOLERANCE_M, WIDTH_TOLERANCE * least_m)
    half_m = (least_m - off_m) / 2
    if shape.is_empty or half_m <= 0:
        return shapely.Polygon()
    here, origin_m = _at_origin(shape)
    lost = without(here, moved_out(_thick(moved_in(here, half_m), off_m), half_m))
    if lost.area <= SLIVER_M2:
        return shapely.Polygon()
    # What is thinner than the tolerance is the rounding of going in and out.
    core = _thick(moved_in(lost, off_m / 2), off_m)
    return _moved(common(lost, moved_out(core, off_m)), origin_m)


def _thick(shape: Shape, off_m: float) -> Shape:
    """A shape without specks that only rounding left."""
    parts = shapely.get_parts(shape)
    return shapely.MultiPolygon(list(parts[shapely.area(parts) > off_m**2 / 100]))


def _at_origin(shape: Shape) -> tuple[Shape, tuple[float, float]]:
    """A shape near the origin, where the grid is finest, and how far it was moved."""
    low_x_m, low_y_m, _, _ = shape.bounds
    corner_m = float(math.floor(low_x_m)), float(math.floor(low_y_m))
    return _moved(shape, (-corner_m[0], -corner_m[1])), corner_m


def _moved(shape: Shape, by_m: tuple[float, float]) -> Shape:
    return shapely.transform(shape, lambda points: points + np.array(by_m))


def strip_width_m(shape: Shape) -> float | None:
    """The one width of a strip, bent or closed as it may be; None for any other shape.

    A strip with mitred corners and square ends has the area w L and an outline of 2 L + 2 w, one
    that closes on itself 2 L. It is a strip when nothing is left of it past half that width.
    """
    shape, _ = _at_origin(shape)
    parts = shapely.get_parts(shape)
    if len(parts) != 1:
        return None
    area_m2, around_m = float(shape.area), float(shape.length)
    rings = len(parts[0].interiors)
    if rings > 1:
        return None
    root_m2 = around_m**2 - 16 * area_m2
    if rings:
        width_m = 2 * area_m2 / around_m
    elif root_m2 < -1e-9 * area_m2:
        return None
    else:
        width_m = (around_m - math.sqrt(max(root_m2, 0.0))) / 4
    left = moved_in(shape, width_m / 2 * (1 + _STRIP_SHARE))
    return width_m if left.area <= SLIVER_M2 else None


def _beside(shape: Shape, by_m: float) -> Shape:
    """The strip along the outline of a shape: inside it, or outside for a negative width."""
    strips = [
        _strips(np.asarray(ring.coords)[:-1], by_m)
        for part in shapely.get_parts(shapely.orient_polygons(shape))
        for ring in (part.exterior, *part.interiors)
    ]
    found = np.concatenate([np.concatenate(own) for own in strips])
    return joined(list(found[shapely.area(found) > 0]))


def _strips(points: NDArray[np.float64], by_m: float) -> tuple[NDArray[Any], NDArray[Any]]:
    """A rectangle along each edge of a ring and a kite at each corner that opens; to its left."""
    ends = np.roll(points, -1, axis=0)
    along = ends - points
    length_m = np.hypot(along[:, 0], along[:, 1])
    kept = length_m > 0
    points, ends, along = points[kept], ends[kept], along[kept] / length_m[kept, None]
    aside = np.stack([-along[:, 1], along[:, 0]], axis=1) * by_m
    over = aside / by_m * math.copysign(_OVERLAP_M, by_m)
    flat = shapely.polygons(
        np.stack([points - over, ends - over, ends + aside, points + aside], axis=1)
    )
    # A corner between edge i - 1 and edge i opens on that side where the ring turns away from it.
    before, after = np.roll(along, 1, axis=0), along
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    cosine = np.sum(before * after, axis=1)
    opens = (turn * np.sign(by_m) < -_STRAIGHT) | ((np.abs(turn) <= _STRAIGHT) & (cosine < 0))
    first, last = np.roll(aside, 1, axis=0), aside
    half_square = (1 + cosine) / 2
    middle = (first + last) / 2
    # Past the limit the corner is cut straight across.
    tip = middle / np.where(half_square * MITRE_LIMIT**2 < 1, 1.0, half_square)[:, None]
    back, on = points - before * _OVERLAP_M, points + after * _OVERLAP_M
    ring = [back, back + first, points + first, points + tip, points + last, on + last, on]
    kites = shapely.polygons(np.stack(ring, axis=1)[opens])
    return np.asarray(flat), np.asarray(shapely.make_valid(kites))
