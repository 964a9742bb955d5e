"""How high a pool barrier stands over the finished ground: new levels beside it make it lower."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import FOOT_M
from checker.measure.catalogue import NONE_NEAR_M, NotMeasured
from checker.measure.drainage.planes import planes

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.model import Feature, Shape

KIND: Final = "barrier"
BESIDE_M: Final = 3 * FOOT_M
"""Ground this near to its foot helps somebody to climb it (common practice, no source)."""


def least_height_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Least height of a barrier over the ground it was measured from and all paving beside it.

    Both sides count, as the file does not say which one is the pool's. Infinite without a pool.

    Raises:
        NotMeasured: A pool without a barrier, or a barrier without its height or ground.
    """
    site = survey.site
    if not site.pools:
        return NONE_NEAR_M
    barriers = [item for item in site.features if item.kind == KIND]
    if not barriers and KIND in site.none_found:
        return 0.0
    if not barriers:
        raise NotMeasured("draw each barrier of the pool under 'features', with its 'height'")
    return min(_height_m(survey, barrier) for barrier in barriers)


def _height_m(survey: Survey, barrier: Feature) -> float:
    if barrier.height_m is None:
        raise NotMeasured(f"give 'height' of {barrier.id}")
    highest_m = barrier.ground_m
    for plane in planes(survey).values():
        if isinstance(plane, NotMeasured):
            continue
        beside = plane.shape.intersection(shapely.buffer(barrier.shape, BESIDE_M))
        if beside.is_empty:
            continue
        if barrier.ground_m is None or highest_m is None:
            raise NotMeasured(f"give 'ground' of {barrier.id}, the level its height is taken from")
        corners = shapely.get_coordinates(beside)
        levels_m = [plane.level_at_m((float(x), float(y))) for x, y in corners]
        highest_m = max(highest_m, *levels_m)
    if barrier.ground_m is None or highest_m is None:
        return barrier.height_m
    return barrier.height_m - (highest_m - barrier.ground_m)
