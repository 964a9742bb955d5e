"""Lids of pop-up emitters: one that lies below the ground beside it is covered and cannot open."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import FOOT_M
from checker.measure.catalogue import NotMeasured
from checker.measure.contours import ground_levels
from checker.measure.drainage.drawn import levels_of, ways_of
from checker.measure.drainage.planes import planes
from checker.water.faults import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.site.drainage import Xy

BESIDE_M: Final = 3 * FOOT_M
"""A spot level this near tells the ground at a lid (common practice, no source)."""

COVERED_M: Final = 0.1 * FOOT_M
"""Set so much below the grass a lid still opens (common practice, no source)."""


def buried_lids(survey: Survey) -> Iterator[Fault]:
    """The lids that lie below the paving they stand in, or the ground beside them as it will be."""
    length = survey.site.length
    for end in ways_of(survey).outfalls:
        if end.kind != "pop-up" or end.at is None or end.level_m is None:
            continue
        ground_m = _ground_m(survey, end.at)
        if ground_m is not None and end.level_m < ground_m - COVERED_M:
            yield Fault(
                end.id,
                "level",
                f"the lid of '{end.id}' at {length(end.level_m)} lies below the ground there, "
                f"{length(ground_m)}",
                "raise the lid to the ground, or correct one of the levels",
            )


def _ground_m(survey: Survey, at: Xy) -> float | None:
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
