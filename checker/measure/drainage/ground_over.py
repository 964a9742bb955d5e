"""The ground at a point and over a pipe: the paving there, else what spot levels tell."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import FOOT_M
from checker.measure.catalogue import NotMeasured
from checker.measure.contours import ground_levels, level_between_m
from checker.measure.drainage.drawn import levels_of
from checker.measure.drainage.planes import planes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.measure.survey import Survey
    from checker.site.drainage import DrainPipe, SpotLevel, Xy

BESIDE_M: Final = 3 * FOOT_M
"""A spot level this near tells the ground at a point (common practice, no source)."""

_PARTS_COUNT: Final = 24


def ground_beside_m(survey: Survey, at: Xy) -> float | None:
    """Level of the paving at a point, else of the nearest spot level beside it."""
    for plane in planes(survey).values():
        if isinstance(plane, NotMeasured) or plane.level_m is None:
            continue
        if plane.shape.covers(shapely.Point(at)):
            return plane.level_at_m(at)
    near = [
        (math.dist(spot.at, at), spot.level_m)
        for spot in ground_levels(levels_of(survey), is_proposed=True)
        if math.dist(spot.at, at) <= BESIDE_M
    ]
    return min(near)[1] if near else None


def ground_over_m(survey: Survey, levels: Sequence[SpotLevel], at: Xy) -> float | None:
    """Level of the ground at a point as it will be: `ground_beside_m`, else between spots.

    Args:
        survey: The site.
        levels: Its spot levels.
        at: The point.
    """
    found = ground_beside_m(survey, at)
    if found is not None:
        return found
    return level_between_m(ground_levels(levels, is_proposed=True), at)


def ground_over(survey: Survey, pipe: DrainPipe) -> tuple[tuple[float, float | None], ...]:
    """The ground over a pipe as it will be: share of its length from the upper end, and level.

    The paving where there is some, else straight between spot levels; None where nothing tells.
    Empty for a pipe that is not drawn.
    """
    if len(pipe.points) < 2:
        return ()
    line = shapely.LineString(pipe.points)
    levels = levels_of(survey)
    found: list[tuple[float, float | None]] = []
    for part in range(_PARTS_COUNT + 1):
        share = part / _PARTS_COUNT
        point = line.interpolate(share, normalized=True)
        found.append((share, ground_over_m(survey, levels, (point.x, point.y))))
    return tuple(found)
