"""Measures of the lot itself: areas, frontage, and what the drawing leaves open."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.units import AREA, LENGTH
from checker.measure.catalogue import NotMeasured, lot_measure

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.model import Shape


@lot_measure("lot_area", "lot area", AREA, has_regions=True)
def lot_area(survey: Survey, region: Shape | None) -> float:
    """Area of the lot, or of a region within or beside it, m2."""
    return float(region.area if region is not None else survey.site.lot.boundary.area)


@lot_measure("recorded_lot_area", "lot area by deed or plat", AREA)
def recorded_lot_area(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """The area that the deed or plat states, m2."""
    recorded_m2 = survey.site.lot.recorded_area_m2
    if recorded_m2 is None:
        raise NotMeasured("give 'recorded_area' of the lot")
    return recorded_m2


@lot_measure("frontage", "length of the front lot line", LENGTH)
def frontage(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Length of all boundary lines named front, m."""
    line = survey.site.lot.side("front")
    if line is None:
        raise NotMeasured("name the front lot line under 'lot: sides: {front: [...]}'")
    return float(line.length)


@lot_measure("undrawn_area", "land that no surface covers", AREA)
def undrawn_area(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Land of the proposed lot that no ground surface covers, m2."""
    return survey.partition("proposed").rest_m2


@lot_measure("outside_area", "drawn area beyond the lot line", AREA)
def outside_area(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Drawn area of proposed surfaces beyond the lot line, m2."""
    return sum(line.outside_m2 for line in survey.partition("proposed").ledger)
