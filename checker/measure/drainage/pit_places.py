"""Whether a store fits where it is to be dug: a pit larger than its ground holds no water."""

from __future__ import annotations

import math
from itertools import combinations
from typing import TYPE_CHECKING

import shapely

from checker.core.records import Record
from checker.core.units import meets
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.planes import pool_shape
from checker.measure.regions import dwelling_shape

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.site.drainage import Pit
    from checker.site.model import Shape


class Hole(Record, kw_only=True):
    """What is known of the hole of a store, however it is turned.

    Attributes:
        pit: The store.
        narrow_m: A circle so wide lies in it.
        long_m: Nothing of it is farther apart.
        area_m2: Its area at the top.
        sizes: The keys that say so.
    """

    pit: Pit
    narrow_m: float
    long_m: float
    area_m2: float
    sizes: str


def misplaced(survey: Survey) -> Iterator[str]:
    """Stores that cannot lie where they are drawn, or anywhere on the lot, with what to mend.

    They lie within the lot, beside the dwelling and the pool, and beside each other. Stone below
    paving is held to its paving.
    """
    holes = [hole for pit in ways_of(survey).pits if (hole := _hole(pit)) is not None]
    if not holes:
        return
    ground: Shape = survey.site.lot.boundary
    for taken in (dwelling_shape(survey.site), pool_shape(survey)):
        ground = ground if taken is None else ground.difference(taken)
    length = survey.site.length
    for hole in holes:
        pit, most_m2, long_m = hole.pit, float(ground.area), math.inf
        if pit.at is None:
            circle = shapely.maximum_inscribed_circle(ground)
            narrow_m = 2 * float(circle.length)
            low_x, low_y, high_x, high_y = ground.bounds
            long_m = math.hypot(high_x - low_x, high_y - low_y)
        else:
            middle = shapely.Point(pit.at)
            is_inside = ground.covers(middle)
            narrow_m = 2 * float(ground.boundary.distance(middle)) if is_inside else 0.0
            if pit.kind in {"basin", "reservoir"}:
                # However it is turned, it lies in this circle.
                reach = middle.buffer(hole.long_m / 2)
                most_m2 = float(ground.intersection(reach).area)
        fits = (
            meets(hole.narrow_m, narrow_m, "at most")
            and meets(hole.long_m, long_m, "at most")
            and meets(hole.area_m2, most_m2, "at most")
        )
        if not fits:
            where = "on the lot beside the dwelling and the pool"
            keys = hole.sizes if pit.at is None else f"'at', {hole.sizes}"
            yield (
                f"{pit.id}, {length(hole.narrow_m)} wide, does not fit {where}; correct {keys} of "
                f"{pit.id}"
            )
    for one, other in combinations(holes, 2):
        if one.pit.at is None or other.pit.at is None:
            continue
        apart_m = math.dist(one.pit.at, other.pit.at)
        if not meets(apart_m, (one.narrow_m + other.narrow_m) / 2, "at least"):
            yield (
                f"{one.pit.id} and {other.pit.id} lie in each other; correct 'at' of one of them"
            )


def _hole(pit: Pit) -> Hole | None:
    """The hole of a store; None for stone below paving and for what lacks its measures."""
    if pit.under:
        return None
    if pit.kind == "dry-well":
        wide_m = max(pit.pit_m or 0.0, pit.chamber_m or 0.0)
        area_m2 = math.pi / 4 * wide_m**2
        return Hole(pit=pit, narrow_m=wide_m, long_m=wide_m, area_m2=area_m2, sizes="'pit'")
    if pit.kind == "any-shape":
        base_m2 = max((row.base_m2 for row in pit.rows), default=0.0)
        round_m = 2 * math.sqrt(base_m2 / math.pi)
        return Hole(pit=pit, narrow_m=0.0, long_m=round_m, area_m2=base_m2, sizes="'rows'")
    if pit.length_m is None or pit.width_m is None:
        return None
    wider_m = 0.0
    if pit.kind == "basin":
        wider_m = 2 * (pit.side_slope_ratio or 0.0) * (pit.depth_m or 0.0)
    long_m, wide_m = pit.length_m + wider_m, pit.width_m + wider_m
    return Hole(
        pit=pit,
        narrow_m=min(long_m, wide_m),
        long_m=math.hypot(long_m, wide_m),
        area_m2=long_m * wide_m,
        sizes="'length' or 'width'",
    )
