"""Measures of where a surface lies: distances to lines, buildings, wells, and its width."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import LENGTH
from checker.measure.arrangement import SLIVER_M2, common, without
from checker.measure.catalogue import NONE_NEAR_M, NotMeasured, surface_measure
from checker.measure.regions import dwelling_shape
from checker.measure.widths import strip_width_m
from checker.site.model import REST

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.measure.survey import Survey
    from checker.site.model import Lot, Surface

TO_FEATURES: Final = (
    "well",
    "septic-tank",
    "septic-field",
    "shoreline",
    "stream",
    "foundation",
    "slope-toe",
    "tree",
    "utility",
)


EASEMENTS: Final = frozenset({"easement", "right-of-way"})
"""The kinds of region that are an easement."""


def _to_feature(kind: str) -> Callable[[Survey, Surface], float]:
    def distance_m(survey: Survey, surface: Surface) -> float:
        shapes = [item.shape for item in survey.site.features if item.kind == kind]
        if shapes:
            return float(surface.shape.distance(shapely.union_all(shapes)))
        if kind in survey.site.none_found:
            return NONE_NEAR_M
        raise NotMeasured(f"draw each {kind} under 'features', or list '{kind}' under 'none_found'")

    distance_m.__doc__ = f"Shortest distance from the surface to a {kind}, m."
    return distance_m


for _kind in TO_FEATURES:
    surface_measure(
        f"distance_to_{_kind.replace('-', '_')}",
        f"distance to the nearest {_kind.replace('-', ' ')}",
        LENGTH,
    )(_to_feature(_kind))


@surface_measure("distance_to_lot_line", "distance to the nearest lot line", LENGTH)
def distance_to_lot_line(survey: Survey, surface: Surface) -> float:
    """Shortest distance from the surface to the boundary, m; 0 across or beyond it."""
    lot = survey.site.lot
    return float(surface.shape.distance(lot.edge)) if _is_on(lot, surface) else 0.0


def _is_on(lot: Lot, surface: Surface) -> bool:
    return bool(shapely.intersects(surface.shape, lot.boundary))


@surface_measure("within_lot", "it lies wholly on the lot", kind="yes or no")
def within_lot(survey: Survey, surface: Surface) -> bool:
    """Whether no part of the surface lies beyond the boundary."""
    return bool(without(surface.shape, survey.site.lot.boundary).area <= SLIVER_M2)


def _to_side(side: str) -> Callable[[Survey, Surface], float]:
    def distance_m(survey: Survey, surface: Surface) -> float:
        line = survey.site.lot.side(side)
        if line is None:
            raise NotMeasured(f"name the {side} lot line under 'lot: sides: {{{side}: [...]}}'")
        return float(surface.shape.distance(line)) if _is_on(survey.site.lot, surface) else 0.0

    distance_m.__doc__ = f"Shortest distance from the surface to the {side} lot line, m."
    return distance_m


SIDES: Final = ("front", "rear", "side")

for _side in SIDES:
    surface_measure(f"distance_to_{_side}_line", f"distance to the {_side} lot line", LENGTH)(
        _to_side(_side)
    )


@surface_measure("distance_to_dwelling", "distance to the dwelling", LENGTH)
def distance_to_dwelling(survey: Survey, surface: Surface) -> float:
    """Shortest distance from the surface to the outline of the dwelling, m."""
    dwelling = dwelling_shape(survey.site)
    if dwelling is None:
        raise NotMeasured(
            "say which surface is the dwelling: 'attributes: {purpose: dwelling}' of a roof"
        )
    return float(surface.shape.distance(dwelling))


@surface_measure("distance_to_pool", "distance to the pool water", LENGTH)
def distance_to_pool(survey: Survey, surface: Surface) -> float:
    """Shortest distance from the surface to a pool's or spa's water, m; far without one."""
    shapes = [item.shape for item in survey.site.pools]
    return float(surface.shape.distance(shapely.union_all(shapes))) if shapes else NONE_NEAR_M


@surface_measure("width", "its narrowest width", LENGTH)
def width(survey: Survey, surface: Surface) -> float:  # noqa: ARG001
    """Its own for a strip, bent or closed; else that of the smallest rectangle round it, m."""
    own_m = strip_width_m(surface.shape)
    if own_m is not None:
        return own_m
    box = surface.shape.minimum_rotated_rectangle
    corners = list(box.exterior.coords) if isinstance(box, shapely.Polygon) else []
    if len(corners) < 4:
        return 0.0
    return min(math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2]))


@surface_measure(
    "drains_to_nature",
    "what rain meets where its water runs to",
    kind="text",
    choices=("sealed", "porous", "open", "water"),
    ask=f"give 'drains_to' of {{id}}: the id of a surface, or '{REST}' for land that none covers",
)
def drains_to_nature(survey: Survey, surface: Surface) -> str:
    """The nature of the surface that its water runs to."""
    to = surface.attributes.get("drains_to")
    found = {item.id: item for item in survey.site.surfaces if item.stage != "removed"}
    if str(to) == REST and survey.site.rest_of_lot is not None:
        return survey.site.rest_of_lot.nature
    if str(to) not in found:
        raise NotMeasured("give 'drains_to' as the id of a surface")
    return found[str(to)].material.nature


@surface_measure(
    "in_easement",
    "it lies in an easement or right-of-way",
    kind="yes or no",
    ask="draw each easement under 'regions', or list 'easement' under 'none_found' (for {id})",
)
def in_easement(survey: Survey, surface: Surface) -> bool:
    """Whether any part of the surface lies in a drawn easement or right-of-way."""
    shapes = [region.shape for region in survey.site.regions if region.kind in EASEMENTS]
    if not shapes and not EASEMENTS & survey.site.none_found:
        raise NotMeasured(
            "draw each easement under 'regions', or list 'easement' under 'none_found'"
        )
    return any(common(surface.shape, shape).area > SLIVER_M2 for shape in shapes)
