"""Measures of where surfaces lie, for many at once; each as `measure.layout` defines it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from checker.algebra.values import Missing
from checker.core.records import Record
from checker.core.units import LENGTH
from checker.measure.arrangement import SLIVER_M2
from checker.measure.catalogue import NONE_NEAR_M
from checker.measure.layout import width
from checker.screen.columns import YES, NumberColumn, numbers, unknown, where
from checker.screen.probe import ALWAYS_MEASURED, SOME, TO_FEATURE, TO_SIDE
from checker.site.model import POOL_WATER

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.screen.compare import Floats
    from checker.screen.lots import Lots


def is_measured(name: str, lots: Lots) -> bool:
    """Whether the layers of a town tell a measure of where surfaces lie."""
    if name in TO_FEATURE:
        return TO_FEATURE[name] in lots.town.features
    if name in TO_SIDE:
        return lots.fronts is not None
    return name in ALWAYS_MEASURED or (name == "in_easement" and lots.easements is not None)


def told(name: str, lots: Lots, surface: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Whether surfaces lie wholly on their lot, or in an easement; see `measured`."""
    drawn = lots.drawn
    assert drawn is not None
    own, rows = np.unique(surface[surface >= 0], return_inverse=True)
    shapes = drawn.shapes[own]
    if name == "within_lot":
        outlines = drawn.outlines[lots.surface_lot[own]]
        is_so = shapely.covers(outlines, shapes)
        out = np.flatnonzero(~is_so)
        beyond_m2 = shapely.area(shapely.difference(shapes[out], outlines[out]))
        is_so[out] = beyond_m2 <= SLIVER_M2
    else:
        assert lots.easements is not None
        in_metres = shapely.transform(lots.easements, lambda points: points * lots.size_m)
        one, other = shapely.STRtree(in_metres).query(shapes, predicate="intersects")
        common_m2 = shapely.area(shapely.intersection(shapes[one], in_metres[other]))
        is_so = np.zeros(len(own), bool)
        is_so[one[common_m2 > SLIVER_M2]] = True
    found = np.zeros(len(surface), bool)
    found[surface >= 0] = is_so[rows]
    return found


def _to_feature_m(shapes: NDArray[Any], features: NDArray[Any], size_m: float) -> Floats:
    """The distance of each shape to the nearest feature; inf where there is none."""
    if not len(features):
        return np.full(len(shapes), NONE_NEAR_M)
    in_metres = shapely.transform(features, lambda points: points * size_m)
    nearest = shapely.STRtree(in_metres).query_nearest(shapes, all_matches=False)[1]
    return np.asarray(shapely.distance(shapes, in_metres[nearest]))


def measured(name: str, lots: Lots, surface: NDArray[np.intp]) -> NumberColumn:
    """A measure of where surfaces lie, metres.

    Args:
        name: One of `probe.WHERE_IT_LIES`.
        lots: With the geometry of its surfaces and lots.
        surface: The surfaces, as places among those of the lots; -1 for the rest of a lot, whose
            rows nobody reads.
    """
    drawn = lots.drawn
    assert drawn is not None
    own, rows = np.unique(surface[surface >= 0], return_inverse=True)
    found_m = np.full(len(surface), math.inf)
    if name == "width":
        values_m = np.array([_width_m(drawn.shapes[place]) for place in own])
    elif name in TO_FEATURE:
        features = lots.features.get(TO_FEATURE[name], np.zeros(0, object))
        values_m = _to_feature_m(drawn.shapes[own], features, lots.size_m)
    elif name in TO_SIDE:
        assert lots.fronts is not None
        lines = lots.fronts.sides.lines[TO_SIDE[name]][lots.surface_lot[own]]
        lines = shapely.transform(lines, lambda points: points * lots.size_m)
        values_m = shapely.distance(drawn.shapes[own], lines)
    elif name == "distance_to_lot_line":
        edges = shapely.boundary(drawn.outlines[lots.surface_lot[own]])
        values_m = shapely.distance(drawn.shapes[own], edges)
    else:
        targets = _pools(lots) if name == "distance_to_pool" else _dwellings(lots)
        values_m = _nearest_m(lots, own, np.flatnonzero(targets))
    found_m[surface >= 0] = values_m[rows]
    column = numbers(np.where(np.isnan(found_m), math.inf, found_m), LENGTH)
    if name in TO_SIDE:
        return _but_for_sides(column, lots, surface, name)
    if name != "distance_to_dwelling":
        return column
    ask = "say which surface is the dwelling: 'attributes: {purpose: dwelling}' of a roof"
    lacks = Missing(name, SOME, f"{ask} (for {SOME})")
    return where(np.isinf(found_m), unknown({lacks: np.asarray(YES)}, LENGTH), column)


def _but_for_sides(
    column: NumberColumn, lots: Lots, surface: NDArray[np.intp], name: str
) -> NumberColumn:
    """A distance to a side, which is not known where the side is in doubt."""
    assert lots.fronts is not None
    of = np.append(lots.surface_lot, 0)[surface]
    for lacks, rows in lots.fronts.lacks(TO_SIDE[name]).items():
        own = Missing(name, SOME, f"{lacks.ask} (for {SOME})")
        column = where(rows[of], unknown({own: np.asarray(YES)}, LENGTH), column)
    return column


class Outlined(Record):
    """A surface of which nothing but its outline is looked at."""

    shape: Any


def _width_m(shape: Any) -> float:
    return width(None, Outlined(shape))  # type: ignore[arg-type]


def _pools(lots: Lots) -> NDArray[np.bool_]:
    is_pool = np.array([own.material.id in POOL_WATER for own in lots.town.classes] or [False])
    return is_pool[lots.surface_class]


def _dwellings(lots: Lots) -> NDArray[np.bool_]:
    is_dwelling = [own.attributes.get("purpose") == "dwelling" for own in lots.town.classes]
    return np.array(is_dwelling or [False])[lots.surface_class]


def on_their_lot(lots: Lots, surfaces: NDArray[np.intp]) -> NDArray[np.intp]:
    """Those of some surfaces that lie on their lot, and do not reach over its box alone."""
    drawn = lots.drawn
    assert drawn is not None
    outlines = drawn.outlines[lots.surface_lot[surfaces]]
    own_m2 = shapely.area(shapely.intersection(drawn.shapes[surfaces], outlines))
    return surfaces[own_m2 > SLIVER_M2]


def _nearest_m(lots: Lots, own: NDArray[np.intp], targets: NDArray[np.intp]) -> Floats:
    """The distance of each surface to the nearest of some others of its lot; inf without any."""
    drawn = lots.drawn
    assert drawn is not None
    found_m = np.full(len(own), NONE_NEAR_M)
    targets = on_their_lot(lots, targets)
    of = lots.surface_lot[targets]
    first = np.searchsorted(of, lots.surface_lot[own], "left")
    counts = np.searchsorted(of, lots.surface_lot[own], "right") - first
    which = np.repeat(np.arange(len(own)), counts)
    start = np.repeat(np.cumsum(counts) - counts, counts)
    other = targets[np.repeat(first, counts) + np.arange(len(which)) - start]
    apart_m = shapely.distance(drawn.shapes[own[which]], drawn.shapes[other])
    np.minimum.at(found_m, which, apart_m)
    return found_m
