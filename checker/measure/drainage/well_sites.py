"""Where dry wells lie: how far from what their water could harm, and from high water below."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from checker.core.records import Record
from checker.measure.catalogue import NONE_NEAR_M, NotMeasured
from checker.measure.drainage.drawn import ground_of, need, ways_of
from checker.measure.regions import dwelling_shape

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.drainage import Pit
    from checker.site.model import Shape


class _Pits(Record):
    """The pits of a lot, as drawn."""

    shapes: tuple[Shape, ...]

    def away_m(self, other: Shape) -> float:
        """Shortest distance from any pit to a thing."""
        return min((float(shape.distance(other)) for shape in self.shapes), default=NONE_NEAR_M)


def _dry_wells(survey: Survey) -> tuple[Pit, ...]:
    if "ways_out" not in survey.site.parts:
        return ()
    return tuple(pit for pit in ways_of(survey).pits if pit.kind == "dry-well")


def _pits(survey: Survey) -> _Pits:
    found = []
    for pit in _dry_wells(survey):
        if pit.at is None:
            raise NotMeasured(f"give 'at' of {pit.id}, its middle on the drawing")
        wide_m = max(need(pit.pit_m, "pit", pit.id), pit.chamber_m or 0.0)
        found.append(shapely.Point(pit.at).buffer(wide_m / 2, quad_segs=64))
    return _Pits(tuple(found))


def dry_wells_count(survey: Survey, region: Shape | None) -> int:  # noqa: ARG001
    """Number of dry wells; 0 where no way out is drawn."""
    return len(_dry_wells(survey))


def to_lot_line_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Shortest distance from the outside of a pit to the boundary."""
    return _pits(survey).away_m(survey.site.lot.edge)


def to_dwelling_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Shortest distance from the outside of a pit to the dwelling."""
    dwelling = dwelling_shape(survey.site)
    if dwelling is None:
        raise NotMeasured("say which surface is the dwelling: 'attributes: {purpose: dwelling}'")
    return _pits(survey).away_m(dwelling)


def to_pool_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Shortest distance from the outside of a pit to the water of a pool or spa."""
    pits = _pits(survey)
    waters = [
        pits.away_m(item.shape)
        for item in survey.site.surfaces
        if item.material.id in {"pool-water", "spa-water"} and item.stage != "removed"
    ]
    return min(waters, default=NONE_NEAR_M)


def to_well_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Shortest distance from the outside of a pit to a well."""
    return _to_features_m(survey, "well")


def to_septic_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Shortest distance from the outside of a pit to a septic tank or field."""
    return min(_to_features_m(survey, kind) for kind in ("septic-tank", "septic-field"))


def _to_features_m(survey: Survey, kind: str) -> float:
    site = survey.site
    shapes = [item.shape for item in site.features if item.kind == kind]
    shapes += [item.shape for item in site.regions if item.kind == kind]
    if not shapes and kind not in site.none_found:
        raise NotMeasured(f"draw each {kind} under 'features', or list it under 'none_found'")
    pits = _pits(survey)
    return min((pits.away_m(shape) for shape in shapes), default=NONE_NEAR_M)


def above_water_m(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """From the base of a pit down to seasonal high water, the least; below 0 in it."""
    water_m = ground_of(survey).water_table_depth_m
    found = []
    for pit in _dry_wells(survey):
        if water_m is None:
            raise NotMeasured("give 'water_table_depth' under 'ground'")
        base_m = need(pit.depth_m, "depth", pit.id) + need(pit.cover_m, "cover", pit.id)
        found.append(water_m - base_m)
    return min(found, default=NONE_NEAR_M)
