"""A typed runoff share beside the least that the paving can shed: it is not the typist's to choose.

A sealed surface sheds nearly all rain. Permeable paving sheds less for as long as its stone takes
the storm; once that is full all runs off. So a share is taken as typed only where the stone below
holds every storm asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.units import meets
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import storms_of
from checker.measure.drainage.rain import by_table, rain_table, storm
from checker.measure.section.bed import need_bed
from checker.measure.section.water import design_rate, run_on_ratio, stored_water_m
from checker.water.rainfall import rain_depth_m

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.drainage.rain import Which
    from checker.measure.survey import Survey
    from checker.site.drainage import Panel
    from checker.site.model import Surface

LEAST_SEALED_RUNOFF: Final = 0.70
"""Lower end for asphalt, brick and concrete (HEC-22, table 3-1): no file types less for paving."""

_WHICH: Final[tuple[Which, ...]] = ("design", "rare")


def share_taken(survey: Survey, panel: Panel, nature: str) -> tuple[float | None, str]:
    """The runoff share of a panel to reckon with, and why it is not the typed one.

    Args:
        survey: The site.
        panel: The panel.
        nature: Of its material.

    Returns:
        None where the file types none; an empty text where it is the typed one.
    """
    typed = panel.runoff_fraction
    if typed is None:
        return None, ""
    if nature == "sealed" and typed < LEAST_SEALED_RUNOFF:
        return (
            LEAST_SEALED_RUNOFF,
            f"{typed:.0%} typed as runoff share, the least of paving counted",
        )
    if nature == "porous" and typed < 1:
        lack = _not_held(survey, survey.site.surface(panel.on))
        if lack:
            return 1.0, f"{typed:.0%} typed as runoff share, all of it counted: {lack}"
    return typed, ""


def _not_held(survey: Survey, surface: Surface) -> str:
    """Why the stone below a surface may not take a storm asked for; empty where it takes each."""
    try:
        bed = need_bed(survey, surface)
        held_m, rate_m_per_s = stored_water_m(survey, surface), design_rate(bed)
        share = 1 + run_on_ratio(survey, surface)
        for duration_s, depth_m in _rains(survey):
            if not meets(depth_m * share - rate_m_per_s * duration_s, held_m, "at most"):
                return f"its section cannot hold the storm; give 'top' of {bed.section.id}"
    except (NotMeasured, OutOfRange) as lacks:
        return f"nothing says what its stone holds, {lacks}"
    return ""


def _rains(survey: Survey) -> Iterator[tuple[float, float]]:
    """Durations and depths of the rain asked for.

    All rows of a table: each part of a nested storm brings as much as its row.

    Raises:
        NotMeasured: No storm is asked for, or one lacks its rain.
    """
    asked = storms_of(survey)
    for which in _WHICH:
        if getattr(asked, which) is None and which == "rare":
            continue
        years = by_table(survey, which)
        if years is None:
            rain = storm(survey, which)
            yield 0.0, rain.depth_m
        else:
            table = rain_table(survey)
            for duration_s in table.durations_s:
                yield duration_s, rain_depth_m(table, duration_s, years)
