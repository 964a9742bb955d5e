"""Whether water can leave where the ends of pipes are drawn: on the lot, outdoors, in the open."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import FOOT_M, meets
from checker.measure.drainage.drawn import levels_of, ways_of
from checker.measure.drainage.ground_over import ground_over_m
from checker.measure.drainage.lids import COVERED_M
from checker.measure.drainage.planes import pool_shape
from checker.measure.regions import dwelling_shape

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.site.drainage import Outfall, Xy

STREETS: Final = ("front", "street")
"""Sides of a lot over which water comes to a street."""


def closed_ends(survey: Survey) -> Iterator[str]:
    """Ends of pipes that open where no water may or can leave, with what to mend."""
    for end in ways_of(survey).outfalls:
        if end.at is not None and end.kind != "sewer":
            yield from _indoors(survey, end, end.at)
            yield from _off_the_lot(survey, end, end.at)
            yield from _buried(survey, end, end.at)


def _indoors(survey: Survey, end: Outfall, at: Xy) -> Iterator[str]:
    """Water that comes out of a pipe within the dwelling or the pool has not left."""
    for name, shape in (("dwelling", dwelling_shape(survey.site)), ("pool", pool_shape(survey))):
        if shape is not None and shape.contains(shapely.Point(at)):
            yield f"{end.id} opens within the {name}; correct 'at' of {end.id}"


def _off_the_lot(survey: Survey, end: Outfall, at: Xy) -> Iterator[str]:
    """A pipe that opens on or over a lot line hands its water on, and only a street may take it."""
    lot, point = survey.site.lot, shapely.Point(at)
    if end.kind != "curb" and lot.boundary.contains(point):
        return
    near_m = min(line.line.distance(point) for line in lot.lines)
    sides = {line.side for line in lot.lines if line.line.distance(point) <= near_m + FOOT_M}
    if sides & set(STREETS):
        return
    if end.kind != "curb":
        yield (
            f"{end.id} opens on other land than the lot; correct 'at' of {end.id}, or give "
            f"'kind: curb' or 'kind: sewer' of it where the street takes its water"
        )
    elif "" not in sides:
        yield (
            f"{end.id} is a curb at a '{min(sides)}' line of the lot; correct 'at' of {end.id}, "
            "or say under 'sides' of the lot that this line is at a street"
        )


def _buried(survey: Survey, end: Outfall, at: Xy) -> Iterator[str]:
    """An open end lies in the open: the ground there is no higher than the top of its pipe."""
    ways, length = ways_of(survey), survey.site.length
    if end.kind == "pop-up" or end.level_m is None:
        return
    wide_m = max((p.diameter_m or 0.0 for p in ways.pipes if p.to == end.id), default=0.0)
    ground_m = ground_over_m(survey, levels_of(survey), at)
    if ground_m is not None and not meets(ground_m, end.level_m + wide_m + COVERED_M, "at most"):
        yield (
            f"{end.id} at {length(end.level_m)} opens below the ground there, {length(ground_m)}; "
            f"correct 'level' of {end.id}, or give a spot level at it as it will be"
        )
