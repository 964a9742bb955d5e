"""Measures of the work itself: its footprint, and the ground that building it disturbs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.units import AREA
from checker.measure.arrangement import common, joined
from checker.measure.catalogue import NotMeasured, lot_measure

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.model import Shape

DISTURBANCE: Final = "limit-of-disturbance"
"""Id of the region of a site file that bounds the ground which building disturbs."""

PLANNED: Final = frozenset({DISTURBANCE, "erosion-control"})
"""The region and the kind of feature that the work brings: nothing of them stands today."""


@lot_measure("work_area", "footprint of all work", AREA, has_regions=True)
def work_area(survey: Survey, region: Shape | None) -> float:
    """Ground under surfaces that are removed, built or rebuilt, each spot once, m2."""
    changed = [item.shape for item in survey.site.surfaces if item.stage != "existing"]
    if not changed:
        return 0.0
    within = survey.site.lot.boundary if region is None else region
    return float(common(joined(changed), within).area)


@lot_measure("disturbed_area", "disturbed area", AREA)
def disturbed_area(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Area inside the limit of disturbance as drawn, m2; never guessed from the footprint."""
    drawn = [item.shape for item in survey.site.regions if item.id == DISTURBANCE]
    if not drawn:
        raise NotMeasured(f"draw the limit of disturbance under 'regions' with id '{DISTURBANCE}'")
    return float(joined(drawn).area)
