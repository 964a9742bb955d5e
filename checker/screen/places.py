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
from checker.screen.probe import SOME

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.screen.compare import Floats
    from checker.screen.lots import Lots

POOLS = frozenset({"pool-water", "spa-water"})


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
    elif name == "distance_to_front_line":
        assert lots.fronts is not None
        lines = lots.fronts.lines[lots.surface_lot[own]]
        lines = shapely.transform(lines, lambda points: points * lots.size_m)
        values_m = shapely.distance(drawn.shapes[own], lines)
    elif name == "distance_to_lot_line":
        edges = shapely.boundary(drawn.outlines[lots.surface_lot[own]])
        values_m = shapely.distance(drawn.shapes[own], edges)
    else:
        targets = _pools(lots) if name == "distance_to_pool" else _dwellings(lots)
        values_m = _nearest_m(lots, own, np.flatnonzero(targets))
    found_m[surface >= 0] = values_m[rows]
    column = numbers(found_m, LENGTH)
    if name != "distance_to_dwelling":
        return column
    ask = "say which surface is the dwelling: 'attributes: {purpose: dwelling}' of a roof"
    lacks = Missing(name, SOME, f"{ask} (for {SOME})")
    return where(np.isinf(found_m), unknown({lacks: np.asarray(YES)}, LENGTH), column)


class Outlined(Record):
    """A surface of which nothing but its outline is looked at."""

    shape: Any


def _width_m(shape: Any) -> float:
    return width(None, Outlined(shape))  # type: ignore[arg-type]


def _pools(lots: Lots) -> NDArray[np.bool_]:
    is_pool = np.array([own.material.id in POOLS for own in lots.town.classes] or [False])
    return is_pool[lots.surface_class]


def _dwellings(lots: Lots) -> NDArray[np.bool_]:
    is_dwelling = [own.attributes.get("purpose") == "dwelling" for own in lots.town.classes]
    return np.array(is_dwelling or [False])[lots.surface_class]


def _nearest_m(lots: Lots, own: NDArray[np.intp], targets: NDArray[np.intp]) -> Floats:
    """The distance of each surface to the nearest of some others of its lot; inf without any."""
    drawn = lots.drawn
    assert drawn is not None
    found_m = np.full(len(own), NONE_NEAR_M)
    # A neighbour's whose box reaches over the line is none of the lot's own.
    own_m2 = shapely.area(
        shapely.intersection(drawn.shapes[targets], drawn.outlines[lots.surface_lot[targets]])
    )
    targets = targets[own_m2 > SLIVER_M2]
    of = lots.surface_lot[targets]
    first = np.searchsorted(of, lots.surface_lot[own], "left")
    counts = np.searchsorted(of, lots.surface_lot[own], "right") - first
    which = np.repeat(np.arange(len(own)), counts)
    start = np.repeat(np.cumsum(counts) - counts, counts)
    other = targets[np.repeat(first, counts) + np.arange(len(which)) - start]
    apart_m = shapely.distance(drawn.shapes[own[which]], drawn.shapes[other])
    np.minimum.at(found_m, which, apart_m)
    return found_m
