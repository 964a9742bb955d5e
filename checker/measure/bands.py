"""Pieces of a surface that can be built: a band of one width along an edge, or whole bays.

Lengths and areas are in metres on the plane of the site.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely
from shapely import affinity

from checker.core.problems import CheckerError
from checker.measure.arrangement import common, common_each, joined, without, without_each
from checker.measure.regions import dwelling_shape
from checker.measure.widths import WIDTH_TOLERANCE_M, narrow_part

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from checker.site.model import Shape, Site, Surface

_BESIDE_M: Final = 0.15
_SAME_RUN_DEGREES: Final = 15.0
_MOST_BAYS: Final = 2000
_TIP_FRACTION: Final = 0.25
_SPECK_M2: Final = 1e-7
_SIDES: Final = ("front", "rear", "left", "right", "side", "street")


class NoEdge(CheckerError):
    """A surface has no such edge; the message says what to draw or to name instead."""


def lawn_edges(
    site: Site, surfaces: Sequence[Surface]
) -> dict[str, tuple[list[Shape], list[Shape]]]:
    """The edges of surfaces that lie beside open ground and all of their edges, by id.

    The longest come first.
    """
    within = shapely.intersection([s.shape for s in surfaces], site.lot.boundary)
    owner, runs = _runs(within)
    if not len(runs):
        return {surface.id: ([], []) for surface in surfaces}
    shapes = np.array([surface.shape for surface in surfaces], dtype=object)[owner]
    strips = shapely.difference(shapely.buffer(runs, _BESIDE_M, cap_style="flat"), shapes)
    land, lot = strips.copy(), site.lot.boundary
    shapely.prepare(lot)
    is_out = ~shapely.covers(lot, land)
    land[is_out] = shapely.intersection(land[is_out], lot)
    others = [
        item for item in site.surfaces if item.stage != "removed" and item.material.nature != "open"
    ]
    hard = np.array([item.shape for item in others], dtype=object)
    which, near = shapely.STRtree(hard).query(land, predicate="intersects")
    # A surface itself lies beside its edges, not on the ground there.
    places = {item.id: place for place, item in enumerate(others)}
    itself = np.array([places.get(surface.id, -1) for surface in surfaces])[owner]
    is_other = near != itself[which]
    which, near = which[is_other], near[is_other]
    if len(which):
        order = np.argsort(which, kind="stable")
        hit, starts = np.unique(which[order], return_index=True)
        over = [shapely.union_all(hard[own]) for own in np.split(near[order], starts[1:])]
        land[hit] = shapely.difference(land[hit], over)
    areas_m2 = shapely.area(strips)
    is_lawn = shapely.area(land) > areas_m2 / 2
    lengths_m = shapely.length(runs)
    found: dict[str, tuple[list[Shape], list[Shape]]] = {s.id: ([], []) for s in surfaces}
    for number in np.argsort(-lengths_m, kind="stable"):
        lawn, every = found[surfaces[owner[number]].id]
        every.append(runs[number])
        if is_lawn[number]:
            lawn.append(runs[number])
    return found


def edges(site: Site, surface: Surface, along: str) -> list[Shape]:
    """The edges of a surface that a band may follow, the best first.

    Args:
        site: The lot.
        surface: The surface.
        along: lawn, drain, house, pool, a side of the lot, the id of another surface; empty for
            the edges beside open ground, or all edges where there is none.

    Returns:
        Lines; a run of short pieces that hardly turn, such as an arc, is one edge.

    Raises:
        NoEdge: There is nothing to follow.
    """
    _, runs = _runs([common(surface.shape, site.lot.boundary)])
    if along in {"", "lawn"}:
        lawn, every = lawn_edges(site, [surface])[surface.id]
        if not lawn and along:
            raise NoEdge(f"no edge of {surface.id} lies along open ground")
        return lawn or every
    if along == "pool":
        return [_pool(site, surface).boundary]
    target = _target(site, surface, along)
    return sorted(runs, key=lambda run: _mean_distance_m(run, target))[:1]


def _target(site: Site, surface: Surface, along: str) -> Shape:
    if along == "house":
        found = dwelling_shape(site)
        if found is None:
            raise NoEdge("no surface says that it is the house: 'attributes: {purpose: dwelling}'")
        return found
    if along == "drain":
        shapes = [item.shape for item in site.surfaces if item.material.id == "channel-drain"]
        drain = surface.attributes.get("drains_to")
        shapes += [item.shape for item in site.surfaces if item.id == drain]
        if not shapes:
            raise NoEdge("draw a channel drain, or say where it drains: 'drains_to'")
        return shapely.union_all(shapes)
    if along in _SIDES:
        side = site.lot.side(along)
        if side is None:
            raise NoEdge(f"name the {along} lot line under 'lot: sides: {{{along}: [...]}}'")
        return side
    others = {item.id: item.shape for item in site.surfaces if item.id != surface.id}
    if along not in others:
        raise NoEdge(
            f"'{along}' is no edge: use lawn, drain, house, pool, a side of the lot, or the id of "
            "another surface"
        )
    return others[along]


def _pool(site: Site, surface: Surface) -> Shape:
    shapes = [
        item.shape
        for item in site.surfaces
        if item.material.group == "Pool" and item.stage != "removed" and item.id != surface.id
    ]
    if not shapes:
        raise NoEdge("there is no pool")
    return shapely.union_all(shapes)


def _runs(shapes: Sequence[Shape] | NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """The outer edges of areas from corner to corner; short pieces that hardly turn are one edge.

    Returns:
        By edge: the number of its area, and the line.
    """
    parts, owner = shapely.get_parts(shapes, return_index=True)
    is_area = shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
    is_area &= ~shapely.is_empty(parts)
    rings, owner = shapely.get_exterior_ring(parts[is_area]), owner[is_area]
    if not len(owner):
        return owner, rings
    points, ring = shapely.get_coordinates(rings, return_index=True)
    # The last point of a ring is its first one again.
    is_inner = np.append(ring[1:] == ring[:-1], False)
    points, ring = points[is_inner], ring[is_inner]
    sizes = np.bincount(ring, minlength=len(owner))
    starts = np.cumsum(sizes) - sizes
    place = np.arange(len(ring)) - starts[ring]
    into = points - points[starts[ring] + (place - 1) % sizes[ring]]
    out = points[starts[ring] + (place + 1) % sizes[ring]] - points
    turns = np.arctan2(out[:, 1], out[:, 0]) - np.arctan2(into[:, 1], into[:, 0])
    turns = np.degrees((turns + math.pi) % (2 * math.pi) - math.pi)
    is_corner = np.abs(turns) > _SAME_RUN_DEGREES
    # A ring without a corner is one edge, from its first point round to it.
    is_corner[starts[np.bincount(ring[is_corner], minlength=len(owner)) == 0]] = True
    corners = np.flatnonzero(is_corner)
    own = ring[corners]
    following = np.append(corners[1:], len(ring))
    is_last = np.append(own[1:] != own[:-1], True)
    firsts = corners[np.searchsorted(own, np.arange(len(owner)))]
    following[is_last] = firsts[own[is_last]] + sizes[own[is_last]]
    counts = following - corners + 1
    run = np.repeat(np.arange(len(corners)), counts)
    step = np.arange(len(run)) - np.repeat(np.cumsum(counts) - counts, counts)
    at = starts[own[run]] + (place[corners[run]] + step) % sizes[own[run]]
    return owner[own], shapely.linestrings(points[at], indices=run)


def _mean_distance_m(run: Shape, target: Shape) -> float:
    points = [run.interpolate(step / 8, normalized=True) for step in range(9)]
    return sum(float(target.distance(point)) for point in points) / len(points)


def bands(land: Shape, edge: Shape, widths_m: Sequence[float]) -> NDArray[Any]:
    """The parts of some land within each width of an edge, cut straight at its ends."""
    near = shapely.buffer(
        edge, np.array(widths_m), cap_style="square", join_style="mitre", mitre_limit=2.0
    )
    return np.array([_polygons(shape) for shape in common_each(near, land)], dtype=object)


def may_leave_slivers(land: Shape, pieces: NDArray[Any], least_width_m: float) -> NDArray[Any]:
    """For each piece of some land, whether something too narrow may be left beside it.

    What is left and comes back after its edges were moved in and out again by half the least width
    is wide enough; the width is a hair more than what `narrow_part` asks for, so that nothing is
    missed. Whatever does not come back is looked at closely.
    """
    hair_m = WIDTH_TOLERANCE_M / 2
    half_m = (least_width_m - hair_m) / 2
    left = without_each(land, pieces)
    core = shapely.buffer(left, -half_m, join_style="mitre")
    back = shapely.buffer(core, half_m, join_style="mitre")
    narrow = _narrow_of(land, least_width_m + hair_m)
    try:
        lost = shapely.difference(left, back)
        if not narrow.is_empty:
            lost = shapely.difference(lost, narrow.buffer(1e-6))
    except shapely.GEOSException:
        # Edges that all but coincide upset this overlay; the close look has its own grid.
        return np.ones(len(pieces), dtype=bool)
    found: NDArray[Any] = shapely.area(lost) > _SPECK_M2
    return found


def with_slivers(land: Shape, taken: Shape, least_width_m: float) -> Shape:
    """A piece of some land, with what is left beside it where that is too narrow to stay.

    Args:
        land: All of it.
        taken: The piece.
        least_width_m: Nothing narrower may be left where the land itself is not so narrow.
    """
    left = without(land, taken)
    narrow = without(narrow_part(left, least_width_m), _narrow_of(land, least_width_m))
    tip_m2 = _TIP_FRACTION * least_width_m**2
    slivers = [
        part
        for part in shapely.get_parts(narrow)
        if (part.area > tip_m2 or (part.area > 0 and _is_alone(part, left)))
        and part.buffer(1e-6).intersects(taken)
    ]
    return _polygons(joined([taken, *slivers])) if slivers else taken


def is_wide(land: Shape, part: Shape, least_width_m: float) -> bool:
    """Whether a part of some land is nowhere narrow where the land itself is not, but for tips."""
    narrow = without(narrow_part(part, least_width_m), _narrow_of(land, least_width_m))
    tip_m2 = _TIP_FRACTION * least_width_m**2
    is_tips = all(item.area <= tip_m2 for item in shapely.get_parts(narrow))
    return is_tips and narrow.area <= part.area / 2


@lru_cache(maxsize=4)
def _narrow_of(land: Shape, least_width_m: float) -> Shape:
    """What is narrow of all of the land: the same for every band of it."""
    return narrow_part(land, least_width_m)


def tidy_each(shapes: NDArray[Any]) -> list[Shape]:
    """Many areas without needless corners; see `tidy`."""
    found = shapely.simplify(shapely.remove_repeated_points(shapes, 1e-6), 1e-7)
    return [_polygons(shape) for shape in found]


def _is_alone(part: Shape, left: Shape) -> bool:
    """Whether a narrow part is all that is left there."""
    around = [item for item in shapely.get_parts(left) if item.intersects(part)]
    return all(item.area <= part.area * (1 + 1e-6) for item in around)


def tidy(shape: Shape) -> Shape:
    """The same area without corners that lie on a straight line or almost on each other."""
    return _polygons(shapely.remove_repeated_points(shape, 1e-6).simplify(1e-7))


def _polygons(shape: Shape) -> Shape:
    if isinstance(shape, shapely.Polygon) and shape.area > 1e-9:
        return shape
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, shapely.Polygon)]
    kept = [part for part in parts if part.area > 1e-9]
    return joined(kept)


def bays(shape: Shape, edge: Shape, size_m: tuple[float, float]) -> list[list[Shape]]:
    """A surface cut into bays that follow an edge, in rows away from it.

    Args:
        shape: The surface.
        edge: The line that the rows run along.
        size_m: Length along the edge and depth of one bay.

    Raises:
        NoEdge: There would be far too many.
    """
    first, last = edge.coords[0], edge.coords[-1]
    degrees = math.degrees(math.atan2(last[1] - first[1], last[0] - first[0]))
    turned = affinity.rotate(shape, -degrees, origin=first)
    low_x, low_y, high_x, high_y = turned.bounds
    columns = math.ceil((high_x - low_x) / size_m[0] - 1e-9)
    rows = math.ceil((high_y - low_y) / size_m[1] - 1e-9)
    if columns * rows > _MOST_BAYS:
        raise NoEdge(f"bays of this size are {columns * rows:,} in number: make them larger")
    from_top = abs(high_y - first[1]) < abs(low_y - first[1])
    # Neighbours share the very same corners, so that bays join without hairlines.
    xs = low_x + size_m[0] * np.arange(columns + 1)
    ys = (
        high_y - size_m[1] * np.arange(rows + 1)
        if from_top
        else (low_y + size_m[1] * np.arange(rows + 1))
    )
    turn = math.radians(degrees)
    away = np.stack(np.meshgrid(xs, ys), axis=-1) - np.array(first)
    across = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    grid = away @ across + np.array(first)
    found: list[list[Shape]] = []
    for row in range(rows):
        corners = np.stack(
            [grid[row, :-1], grid[row, 1:], grid[row + 1, 1:], grid[row + 1, :-1]], axis=1
        )
        parts = shapely.intersection(shapely.polygons(corners), shape)
        found.append([_polygons(part) for part in parts if part.area > 1e-6])
    return [row for row in found if row]
