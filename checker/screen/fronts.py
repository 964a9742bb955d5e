"""The front of every lot, from the side that looks at a street, and the yards along it.

Which lines of a boundary are the front is told as `site.sides` tells it for one lot: those that
look at a street over open ground, else the nearest one.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from checker.core.records import replace
from checker.measure.arrangement import SLIVER_M2
from checker.measure.regions import ARC_SEGMENTS
from checker.screen.lots import Fronts
from checker.screen.outlines import Outlines, over
from checker.site.sides import STREET_DEGREES

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.screen.compare import Floats
    from checker.screen.lots import Town
    from checker.screen.members import TownLayers


def front_lines(lots: NDArray[Any], streets: NDArray[Any]) -> NDArray[Any]:
    """The front of each lot.

    Args:
        lots: Outlines, shape (n,).
        streets: What a front looks at, at least one.
    """
    parts, part_of = shapely.get_parts(lots, return_index=True)
    rings, ring_of = shapely.get_rings(parts, return_index=True)
    points, point_of = shapely.get_coordinates(rings, return_index=True)
    goes_on = point_of[1:] == point_of[:-1]
    begin, end = points[:-1][goes_on], points[1:][goes_on]
    lot = part_of[ring_of[point_of[:-1][goes_on]]]
    lines: Any = shapely.linestrings(np.stack([begin, end], axis=1))
    tree = shapely.STRtree(streets)
    middle = shapely.points((begin + end) / 2)
    ways = shapely.shortest_line(middle, streets[tree.nearest(middle)])
    ends = shapely.get_coordinates(ways).reshape(-1, 2, 2)
    towards = ends[:, 1] - ends[:, 0]
    length = np.hypot(*towards.T)
    outward = _outward(begin, end, lots[lot])
    with np.errstate(invalid="ignore", divide="ignore"):
        cosine = (outward * towards).sum(axis=1) / length
    faces = cosine >= math.cos(math.radians(STREET_DEGREES)) - 1e-12
    inside = shapely.length(shapely.intersection(ways, lots[lot]))
    looks = (length < 1e-6) | (faces & (inside <= 1e-3 + 0.01 * length))
    apart = shapely.distance(lines, streets[tree.nearest(lines)])
    order = np.lexsort((apart, lot))
    _, first = np.unique(lot[order], return_index=True)
    has = np.bincount(lot[looks], minlength=len(lots)) > 0
    nearest = np.zeros(len(lines), bool)
    nearest[order[first]] = True
    chosen = np.flatnonzero(looks | (nearest & ~has[lot]))
    found: Any = shapely.multilinestrings(lines[chosen], indices=lot[chosen])
    return np.asarray(found)


def _outward(begin: Floats, end: Floats, lots: NDArray[Any]) -> Floats:
    """The direction, of length one, in which each boundary line faces."""
    along = end - begin
    length = np.maximum(np.hypot(*along.T), 1e-300)[:, None]
    normal = np.stack([along[:, 1], -along[:, 0]], axis=1) / length
    beside = (begin + end) / 2 + np.minimum(0.01, 0.01 * length) * normal
    is_inside = shapely.contains(lots, shapely.points(beside))
    return np.asarray(np.where(is_inside[:, None], -normal, normal))


def with_fronts(town: Town, layers: TownLayers) -> tuple[TownLayers, Fronts | None]:
    """The layers with the yards along the front of each lot as overlays of that lot alone."""
    count = len(layers.lots)
    if layers.streets is None or not len(layers.streets) or not count:
        return layers, None
    lines = front_lines(layers.lots, layers.streets)
    shapes: list[Any] = [layers.overlays]
    lands = [layers.overlay_land]
    own = [np.full(len(layers.overlays), -1)]
    untold = np.zeros(count, np.int64)
    for bit, land in enumerate(town.lands):
        if land.by != "front":
            continue
        if land.up_to_m is None:
            depth = _to_dwelling(town, layers, lines)
        else:
            depth = np.full(count, land.up_to_m / layers.size_m)
        known = np.flatnonzero(np.isfinite(depth))
        untold[~np.isfinite(depth)] |= np.int64(1) << np.int64(bit)
        yards = shapely.buffer(lines[known], depth[known], quad_segs=ARC_SEGMENTS)
        there = ~shapely.is_empty(yards)
        shapes.append(yards[there])
        lands.append(np.full(int(there.sum()), np.int64(1) << np.int64(bit)))
        own.append(known[there])
    extended = replace(
        layers,
        overlays=np.concatenate(shapes),
        overlay_land=np.concatenate(lands).astype(np.int64),
        overlay_lot=np.concatenate(own).astype(np.intp),
    )
    return extended, Fronts(lines, untold)


def _to_dwelling(town: Town, layers: TownLayers, lines: NDArray[Any]) -> Floats:
    """How far the nearest dwelling of each lot stands from its front; nan without one."""
    is_dwelling = np.array(
        [own.attributes.get("purpose") == "dwelling" for own in town.classes] or [False]
    )
    rows = np.flatnonzero(is_dwelling[layers.surface_class])
    found = np.full(len(layers.lots), np.inf)
    dwellings = layers.surfaces.take(rows)
    lot, dwelling = over(Outlines(shapes=layers.lots), dwellings)
    shapes = dwellings.shapes[dwelling]
    own = shapely.area(shapely.intersection(shapes, layers.lots[lot])) * layers.size_m**2
    kept = own > SLIVER_M2
    np.minimum.at(found, lot[kept], shapely.distance(lines[lot[kept]], shapes[kept]))
    return np.where(np.isfinite(found), found, np.nan)
