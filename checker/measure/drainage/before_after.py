"""What runs off the lot before and after: peak by the rational method, volume by curve numbers.

Roofs, sealed paving and pools, which a storm finds full, are one cover; all else is open ground.
Permeable paving has no published number: what is new counts as sealed, what was there before as
open ground, so that no doubt makes the change look smaller. What new stone holds back stands with
the stores.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, Literal

from checker.core.records import Record
from checker.files.tables import table
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ground_of, storms_of
from checker.measure.drainage.rain import intensity_m_per_s, storm
from checker.measure.drainage.sheds import OPEN_RUNOFF, SEALED_RUNOFF, catching
from checker.water.runoff import (
    adjusted_runoff_fraction,
    rational_peak_m3_per_s,
    runoff_depth_m,
    weighted_curve_number,
    weighted_runoff_fraction,
)

if TYPE_CHECKING:
    from checker.measure.drainage.rain import Which
    from checker.measure.survey import Survey
    from checker.site.model import Shape

    State = Literal["existing", "proposed"]

SEALED_COVER: Final = "roofs, paved lots, driveways"
OPEN_COVER: Final = "open space good"
"""Rows of the table `curve-numbers`."""


class RunningOff(Record, kw_only=True):
    """What a state of the lot sheds in a storm.

    Attributes:
        sealed_m2: Area that sheds as sealed.
        open_m2: Area that sheds as open ground.
        runoff_fraction: Runoff coefficient of all of it, raised for a rare storm.
        curve_number: Curve number of all of it.
        peak_m3_per_s: Peak by the rational method, at five minutes.
        volume_m3: Volume by the curve number.
    """

    sealed_m2: float
    open_m2: float
    runoff_fraction: float
    curve_number: float
    peak_m3_per_s: float
    volume_m3: float


def running_off(survey: Survey, state: State, which: Which = "design") -> RunningOff:
    """What the lot sheds in a state.

    Raises:
        NotMeasured: The soil group or the storm is not given.
    """
    sealed_m2, open_m2 = _areas_m2(survey, state)
    asked = getattr(storms_of(survey), which)
    rain_m = storm(survey, which).depth_m
    areas_m2 = (sealed_m2, open_m2)
    share = weighted_runoff_fraction(areas_m2, (SEALED_RUNOFF, OPEN_RUNOFF))
    share = adjusted_runoff_fraction(share, asked.return_period_years or 1.0)
    number = weighted_curve_number(areas_m2, _curve_numbers(survey), "none")
    whole_m2 = sealed_m2 + open_m2
    return RunningOff(
        sealed_m2=sealed_m2,
        open_m2=open_m2,
        runoff_fraction=share,
        curve_number=number,
        peak_m3_per_s=rational_peak_m3_per_s(
            share, intensity_m_per_s(survey, 0.0, which), whole_m2
        ),
        volume_m3=runoff_depth_m(rain_m, number) * whole_m2,
    )


def _areas_m2(survey: Survey, state: State) -> tuple[float, float]:
    """Area that sheds as sealed, and as open ground."""
    sealed: list[float] = []
    left: list[float] = []
    for piece in survey.partition(state).pieces:
        material = catching(piece).material
        nature = "open" if material is None else material.nature
        is_sealed = nature in {"sealed", "water"} or (nature == "porous" and state == "proposed")
        (sealed if is_sealed else left).append(piece.area_m2)
    return math.fsum(sealed), math.fsum(left)


def _curve_numbers(survey: Survey) -> tuple[float, float]:
    group = ground_of(survey).soil_group
    if not group:
        raise NotMeasured("give 'soil_group' under 'ground': A, B, C or D")
    rows = {row["cover"]: row for row in table("curve-numbers").rows}
    key = group.lower()
    return float(rows[SEALED_COVER][key]), float(rows[OPEN_COVER][key])


def peak_before_m3_per_s(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Peak off the existing lot in the design storm."""
    return running_off(survey, "existing").peak_m3_per_s


def peak_after_m3_per_s(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Peak off the proposed lot in the design storm."""
    return running_off(survey, "proposed").peak_m3_per_s


def runoff_before_m3(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Volume off the existing lot in the design storm."""
    return running_off(survey, "existing").volume_m3


def runoff_after_m3(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Volume off the proposed lot in the design storm."""
    return running_off(survey, "proposed").volume_m3
