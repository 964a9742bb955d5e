"""Whether a store fits where it is to be dug: a pit larger than its ground holds no water.

Nor does one that stands out of the ground or in groundwater, shares its ground with another, or is
open below a slab.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import TYPE_CHECKING

import shapely

from checker.core.records import Record
from checker.core.units import FOOT_M, meets
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ground_of, levels_of, panels_of, ways_of
from checker.measure.drainage.ground_over import ground_beside_m
from checker.measure.drainage.network import soil_rate_m_per_s
from checker.measure.drainage.planes import pool_shape
from checker.measure.drainage.ponds import levelled
from checker.measure.drainage.reservoirs import LEVEL_STEP_M, ground_shape, widest_m2
from checker.measure.regions import dwelling_shape

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.drainage.planes import Plane
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
    pits = ways_of(survey).pits
    for pit in pits:
        yield from _below_slab(survey, pit)
        yield from _above_ground(survey, pit)
        yield from _in_high_water(survey, pit)
    yield from _below_one_surface(survey, pits)
    holes = [hole for pit in pits if (hole := _hole(pit)) is not None]
    if holes:
        yield from _holes_misplaced(survey, holes)


def _below_slab(survey: Survey, pit: Pit) -> Iterator[str]:
    """Through sealed paving no water gets into the stone below it."""
    surface = survey.site.surface_named(pit.under)
    if pit.rim_m is not None and surface is not None and surface.material.nature == "sealed":
        yield (
            f"{pit.id} has an open top and lies below '{surface.id}', which lets no water through; "
            f"leave 'rim' of {pit.id} out, or correct 'under'"
        )


def _in_high_water(survey: Survey, pit: Pit) -> Iterator[str]:
    """Below seasonal high water soil takes nothing, and a store is full before it rains."""
    water_m = ground_of(survey).water_table_depth_m
    top_m, keys = pit.rim_m, "'rim'"
    if water_m is None or not (pit.base_counts or pit.walls_count):
        return
    if top_m is not None and pit.bottom_m is not None:
        deep_m = top_m - pit.bottom_m
    elif pit.depth_m is not None:
        deep_m, keys = pit.depth_m + (pit.cover_m or 0.0), "'depth', 'cover'"
    else:
        return
    if soil_rate_m_per_s(pit, survey) > 0 and meets(deep_m, water_m, "at least"):
        length = survey.site.length
        yield (
            f"{pit.id} reaches {length(deep_m)} down, to seasonal high water at {length(water_m)} "
            f"or below it, where soil takes nothing; correct {keys} or 'bottom' of {pit.id}, or "
            "'water_table_depth' under 'ground'"
        )


def _span_m(pit: Pit) -> tuple[float, float] | None:
    """Levels between which a store holds its water; None where the file does not say."""
    if pit.rows:
        return pit.rows[0].level_m, pit.rows[-1].level_m
    if pit.bottom_m is None or pit.depth_m is None:
        return None
    return pit.bottom_m, pit.bottom_m + pit.depth_m


def _above_ground(survey: Survey, pit: Pit) -> Iterator[str]:
    """A buried store lies below the ground over it; where nothing tells that, below all levels."""
    span_m = _span_m(pit)
    if pit.rim_m is not None or pit.kind == "basin" or span_m is None:
        return
    where, ground_m = "the ground over it", None
    if pit.under:
        levels_m = [plane.level_at_m(plane.lowest[0]) for plane in _levelled_on(survey, pit.under)]
        where, ground_m = f"'{pit.under}' over it", min(levels_m, default=None)
    elif pit.at is not None:
        ground_m = ground_beside_m(survey, pit.at)
    if ground_m is None:
        where, ground_m = "every level that is given", max(_levels_m(survey), default=math.inf)
    if not meets(span_m[1], ground_m + LEVEL_STEP_M, "at most"):
        length = survey.site.length
        keys = "'rows'" if pit.rows else "'bottom' or 'depth'"
        yield (
            f"{pit.id} reaches up to {length(span_m[1])}, above {where}, {length(ground_m)}; "
            f"correct {keys} of {pit.id}, or give a spot level beside it"
        )


def _levelled_on(survey: Survey, surface: str) -> list[Plane]:
    panels = {panel.id for panel in panels_of(survey) if panel.on == surface}
    return levelled(survey, panels)


def _levels_m(survey: Survey) -> Iterator[float]:
    """Every level at the surface that the file gives."""
    ways = ways_of(survey)
    yield from (spot.level_m for spot in levels_of(survey))
    for plane in levelled(survey, {panel.id for panel in panels_of(survey)}):
        yield from (plane.level_at_m((x, y)) for x, y in shapely.get_coordinates(plane.shape))
    known = [drain.rim_m for drain in ways.drains if drain.kind != "roof-leader"]
    known += [edge.crest_m for edge in ways.edges]
    known += [pit.rim_m for pit in ways.pits]
    known += [ways.lowest_floor_m, ways.coping_m]
    yield from (level_m for level_m in known if level_m is not None)


def _below_one_surface(survey: Survey, pits: tuple[Pit, ...]) -> Iterator[str]:
    """Stone below one surface, at one level, is no larger than the surface; no well lies in it."""
    for place, pit in enumerate(pits):
        try:
            ground = ground_shape(pit, survey)
        except NotMeasured:
            continue
        if ground is None:
            continue
        most_m2 = float(ground.area + ground.length * FOOT_M)
        sizes_m2, names = [_covered_m2(pit, ground)], [pit.id]
        for index, other in enumerate(pits):
            if other is pit or not _share_a_level(pit, other):
                continue
            if other.under == pit.under and index < place:
                sizes_m2.append(_covered_m2(other, ground))
                names.append(other.id)
            hole = _hole(other)
            if other.at is None or hole is None or pit.length_m is not None:
                continue
            if ground.distance(shapely.Point(other.at)) < hole.narrow_m / 2:
                yield (
                    f"{other.id} lies in {pit.id}, below '{pit.under}'; correct 'at' or 'bottom' "
                    f"of {other.id}, or give 'length' and 'width' of {pit.id}"
                )
        if not meets(math.fsum(sizes_m2), most_m2, "at most"):
            yield (
                f"{' and '.join(sorted(names))} lie below '{pit.under}' and are larger than it "
                "together; give 'length' and 'width' of each"
            )


def _covered_m2(pit: Pit, ground: Shape) -> float:
    """Plan area of stone below a surface: its own measures, else all of the surface."""
    if pit.length_m is None:
        return float(ground.area)
    return pit.length_m * pit.width_m if pit.width_m is not None else float(ground.area)


def _share_a_level(one: Pit, other: Pit) -> bool:
    """Whether one store lies beside another, not below it; so where the file does not say."""
    a, b = _span_m(one), _span_m(other)
    return a is None or b is None or meets(max(a[0], b[0]), min(a[1], b[1]), "less than")


def _holes_misplaced(survey: Survey, holes: list[Hole]) -> Iterator[str]:
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
        area_m2 = widest_m2(pit)
        round_m = 2 * math.sqrt(area_m2 / math.pi)
        return Hole(pit=pit, narrow_m=0.0, long_m=round_m, area_m2=area_m2, sizes="'rows'")
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
