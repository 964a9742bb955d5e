"""One arrangement of all outlines of a drawing: faces that know every outline they lie in.

All outlines are noded together once, on a fixed grid, and the faces between them are read off. No
area is ever cut by another, so no edge that nearly coincides with a second one can invent or lose
ground: an edge is either on a node of the grid or it is not. That the faces of every outline sum
to its area is checked before anybody sees them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.site.crossings import check_crossings

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from checker.site.model import Shape

OutlineKey = Hashable

GRID_BITS: Final = 49
"""The grid is a power of two, so many bits finer than the farthest coordinate is long: 0.1
picometres on a lot, which leaves the library's own arithmetic a few bits to be exact in."""

STRAIGHT_M: Final = 1e-10
"""A corner that lies so near a straight line is a node that another outline left on it."""

CONSERVED: Final = 1e-9
"""The faces of an outline sum to its area within this share of the larger of it and the lot."""

SLIVER_M2: Final = 1e-7
"""Areas below this are traces of rounding, not land: a tenth of a square millimetre."""

MOST_CROSSINGS: Final = 60_000
"""Outlines that cross each other more often than this are refused: about two seconds of work."""

_COARSER: Final = (1.0, 2.0**6, 2.0**12)


class NotConserved(CheckerError):
    """The faces of an outline do not sum to its area."""

    def __init__(self, key: OutlineKey, drawn_m2: float, found_m2: float) -> None:
        self.key = key
        super().__init__(
            f"its parts add up to {found_m2:.9g} m2, but it is drawn with {drawn_m2:.9g} m2"
        )


class OverlayFailed(CheckerError):
    """The geometry library fails on two areas, on every grid."""


class Arrangement(Record, eq=False):
    """The faces between outlines.

    Attributes:
        faces: Polygons that do not overlap, shape (n,), metres from the origin.
        areas_m2: Their areas, shape (n,).
        within: The faces inside each outline, by its key, ascending.
        origin_m: What was taken off every coordinate before the outlines were noded.
    """

    faces: NDArray[Any]
    areas_m2: NDArray[np.float64]
    within: Mapping[OutlineKey, NDArray[np.intp]]
    origin_m: tuple[float, float]

    def mask(self, key: OutlineKey) -> NDArray[np.bool_]:
        """Whether each face lies inside an outline, shape (n,)."""
        found = np.zeros(len(self.faces), dtype=bool)
        found[self.within[key]] = True
        return found

    def area_m2(self, faces: NDArray[np.intp] | NDArray[np.bool_]) -> float:
        """The sum of some faces."""
        return math.fsum(self.areas_m2[faces])

    def shape(self, faces: NDArray[np.intp] | NDArray[np.bool_]) -> Shape:
        """Some faces as one geometry, where they were drawn."""
        chosen = self.faces[faces]
        if not len(chosen):
            return shapely.Polygon()
        joined = chosen[0] if len(chosen) == 1 else shapely.coverage_union_all(chosen)
        # Nodes where other outlines met lie on straight lines now.
        return _moved(shapely.simplify(joined, STRAIGHT_M), self.origin_m)


def arrange(outlines: Mapping[OutlineKey, Shape], lot: OutlineKey) -> Arrangement:
    """Node outlines once and find the faces between them.

    Args:
        outlines: Areas by key, metres; they may overlap in any way.
        lot: The key of the lot, which sets the scale that sums are held to.

    Raises:
        NotConserved: The faces of an outline do not sum to its area.
        TooManyCrossings: There are more than `MOST_CROSSINGS`.
    """
    keys = list(outlines)
    origin_m = _origin_m(outlines[lot])
    shapes = _moved(np.array(list(outlines.values()), dtype=object), (-origin_m[0], -origin_m[1]))
    check_crossings(shapes, MOST_CROSSINGS, "the outlines cross each other")
    failed: Exception | None = None
    for coarser in _COARSER:
        try:
            faces = _faces(shapes, grid_m(shapes) * coarser)
            areas_m2 = shapely.area(faces)
            outline, face = _inside(shapes, shapely.point_on_surface(faces))
            sums_m2 = np.bincount(outline, areas_m2[face], len(keys)).astype(np.float64)
            _check(keys, shapes, sums_m2, float(shapes[keys.index(lot)].area))
            break
        except (shapely.GEOSException, NotConserved) as error:
            failed = error
    else:
        if isinstance(failed, NotConserved):
            raise failed
        raise NotConserved(lot, float(outlines[lot].area), 0.0) from failed
    order = np.lexsort((face, outline))
    split = np.searchsorted(outline[order], np.arange(1, len(keys)))
    within = dict(zip(keys, np.split(face[order], split), strict=True))
    return Arrangement(faces, areas_m2, _without_slivers(faces, areas_m2, within), origin_m)


def _faces(shapes: NDArray[Any], grid_size_m: float) -> NDArray[Any]:
    noded = shapely.union_all(shapely.boundary(shapes), grid_size=grid_size_m)
    return shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))


def _inside(
    shapes: NDArray[Any], points: NDArray[Any]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of an outline and a point inside it, by their numbers."""
    outline, point = shapely.STRtree(points).query(shapes)
    xy = shapely.get_coordinates(points)
    shapely.prepare(shapes)
    found = shapely.contains_xy(shapes[outline], xy[point, 0], xy[point, 1])
    return outline[found], point[found]


def grid_m(shapes: Sequence[Shape] | NDArray[Any]) -> float:
    """The grid that some shapes are overlaid on: a power of two, fine and yet exact."""
    bounds = shapely.total_bounds(shapes)
    reach_m = float(np.max(np.abs(bounds))) if np.all(np.isfinite(bounds)) else 1.0
    return float(2.0 ** (math.ceil(math.log2(max(reach_m, 1.0))) - GRID_BITS))


def common(first: Shape, second: Shape) -> Shape:
    """What two areas share, on the grid; polygons only."""
    return _overlaid(shapely.intersection, first, second)


def common_each(firsts: NDArray[Any], second: Shape) -> NDArray[Any]:
    """What each of some areas shares with another one; see `common`."""
    return _each(shapely.intersection, firsts, second)


def without_each(first: Shape, seconds: NDArray[Any]) -> NDArray[Any]:
    """What an area has and each of some others has not; see `without`."""
    return _each(lambda other, one, grid_size: shapely.difference(one, other, grid_size=grid_size),
                 seconds, first)  # fmt: skip


def _each(overlay: Callable[..., Any], many: NDArray[Any], one: Shape) -> NDArray[Any]:
    """An overlay of many areas with one, all at once; one by one should it fail."""
    if not len(many):
        return many
    origin_m = _origin_m(one)
    back_m = (-origin_m[0], -origin_m[1])
    near, here = _uncrossed(_moved(many, back_m)), _uncrossed(_moved(one, back_m))
    try:
        found = overlay(near, here, grid_size=max(grid_m(near), grid_m(here)))
    except shapely.GEOSException:
        return np.array([_overlaid(overlay, shape, one) for shape in many], dtype=object)
    return np.array([_moved(_areas(shape), origin_m) for shape in found], dtype=object)


def without(first: Shape, second: Shape) -> Shape:
    """What a first area has and a second has not, on the grid; polygons only."""
    return _overlaid(shapely.difference, first, second)


def joined(shapes: Sequence[Shape]) -> Shape:
    """Areas as one, on the grid; polygons only."""
    if not len(shapes):
        return shapely.Polygon()
    return _overlaid(lambda given, grid_size: shapely.union_all(given, grid_size=grid_size), shapes)


def _overlaid(overlay: Callable[..., Shape], *given: Any) -> Shape:  # noqa: ANN401 - shapes
    """An overlay near the origin, where the grid is finest; on a coarser one should it fail."""
    first: Shape = given[0] if isinstance(given[0], shapely.Geometry) else given[0][0]
    origin_m = (0.0, 0.0) if first.is_empty else _origin_m(first)
    near = [_uncrossed(_moved(shapes, (-origin_m[0], -origin_m[1]))) for shapes in given]
    finest_m = max(grid_m(shapes) for shapes in near)
    failed: Exception | None = None
    for coarser in _COARSER:
        try:
            return _moved(_areas(overlay(*near, grid_size=finest_m * coarser)), origin_m)
        except shapely.GEOSException as error:
            failed = error
    raise OverlayFailed(f"two areas cannot be laid over each other: {failed}")


def _uncrossed(shapes: Any) -> Any:  # noqa: ANN401 - one shape or many
    """Areas without the hairs by which they cross themselves.

    Where a result is moved or a corner is rounded, two edges that met may cross. The library then
    gives up or, worse, adds what it should take off.
    """
    if np.all(shapely.is_valid(shapes)):
        return shapes
    if not isinstance(shapes, shapely.Geometry):
        return np.array([_uncrossed(shape) for shape in shapes], dtype=object)
    mended = _areas(shapely.make_valid(shapes))
    if abs(shapely.area(mended) - shapely.area(shapes)) > SLIVER_M2:
        raise OverlayFailed(f"an area crosses itself: {shapely.is_valid_reason(shapes)}")
    return mended


def _areas(shape: Shape) -> Shape:
    if shape.geom_type in {"Polygon", "MultiPolygon"}:
        return shape
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return shapely.MultiPolygon(parts) if parts else shapely.Polygon()


def _origin_m(lot: Shape) -> tuple[float, float]:
    """A corner of the kilometre that the lot lies in: zero for a drawing with its own origin."""
    low_x_m, low_y_m, _, _ = lot.bounds
    return math.floor(low_x_m / 1024 + 0.5) * 1024.0, math.floor(low_y_m / 1024 + 0.5) * 1024.0


def _moved(shapes: Any, by_m: tuple[float, float]) -> Any:  # noqa: ANN401 - one shape or many
    if by_m == (0.0, 0.0):
        return shapes
    return shapely.transform(shapes, lambda points: points + np.array(by_m))


def _check(
    keys: Sequence[OutlineKey], shapes: NDArray[Any], sums_m2: NDArray[np.float64], lot_m2: float
) -> None:
    drawn_m2 = shapely.area(shapes)
    off_m2 = np.abs(sums_m2 - drawn_m2)
    allowed_m2 = CONSERVED * np.maximum(drawn_m2, lot_m2)
    if np.any(wrong := ~(off_m2 <= allowed_m2)):
        worst = int(np.argmax(np.where(wrong, off_m2 / allowed_m2, 0.0)))
        raise NotConserved(keys[worst], float(drawn_m2[worst]), float(sums_m2[worst]))


def _without_slivers(
    faces: NDArray[Any],
    areas_m2: NDArray[np.float64],
    within: Mapping[OutlineKey, NDArray[np.intp]],
) -> Mapping[OutlineKey, NDArray[np.intp]]:
    """Each trace of rounding lies where the largest face beside it lies."""
    slivers = np.flatnonzero(areas_m2 <= SLIVER_M2)
    if not len(slivers):
        return within
    which, beside = shapely.STRtree(faces).query(faces[slivers], predicate="intersects")
    host = np.arange(len(faces))
    order = np.argsort(areas_m2[beside], kind="stable")
    host[slivers[which[order]]] = beside[order]
    own = np.zeros(len(faces), dtype=bool)
    found: dict[OutlineKey, NDArray[np.intp]] = {}
    for key, inside in within.items():
        own[inside] = True
        gained = slivers[own[host[slivers]]]
        own[inside] = False
        kept = inside[areas_m2[inside] > SLIVER_M2]
        found[key] = np.sort(np.concatenate([kept, gained])) if len(gained) else kept
    return found
