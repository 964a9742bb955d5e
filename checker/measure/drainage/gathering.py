"""How long water takes to gather on a panel, beside the time that the file types.

A longer time of concentration asks less of drains and pipes, so it is not the typist's to choose:
one that is longer than the water needs counts only with its source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.core.formula import OutOfRange
from checker.core.records import Record
from checker.core.units import meets
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import panels_of, ways_of
from checker.measure.drainage.planes import planes
from checker.measure.drainage.rain import by_table, intensity_m_per_s, rain_table
from checker.water.concentration import SHORTEST_S, matched_sheet_flow_time_s

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.site.drainage import DrawnInflow, Panel

SMOOTH_SHEET: Final = 0.011
"""Roughness of smooth paving for sheet flow (table `overland-roughness`)."""


class SheetFlow(Record, kw_only=True):
    """A sheet of water down a panel.

    Attributes:
        length_m: How far it runs.
        pitch_fraction: The fall of the panel.
        time_s: How long it takes.
        begins_s: The shortest rain that the rain is known for; 0 where all is.
    """

    length_m: float
    pitch_fraction: float
    time_s: float
    begins_s: float


class TypedTime(Record, kw_only=True):
    """A typed time of concentration that is longer than the water needs.

    Attributes:
        of: The panel, or the water from elsewhere.
        typed_s: As the file says.
        reckoned_s: Of a sheet of water down the panel; None where that cannot be told.
        taken_s: What is counted with.
        source: Where the typed time is from; empty where nobody says.
    """

    of: str
    typed_s: float
    reckoned_s: float | None
    taken_s: float
    source: str


def sheet_flow(survey: Survey, panel: str) -> SheetFlow | None:
    """The sheet of water down a panel, by rain of that very time; None on one without a fall.

    Shorter rain than the table's first row falls no less hard than that row says, so by that row
    the time comes out too long, never too short.

    Raises:
        NotMeasured: The rain is not given, or not that long.
        OutOfRange: The sheet is longer than the formula goes, or no rain falls.
    """
    plane = planes(survey).get(panel)
    if plane is None or isinstance(plane, NotMeasured) or plane.pitch_fraction == 0:
        return None
    heights_m = [plane.rise_m((x, y)) for x, y, *_ in shapely.get_coordinates(plane.shape)]
    long_m = (max(heights_m) - min(heights_m)) / plane.pitch_fraction
    begins_s = 0.0 if by_table(survey) is None else rain_table(survey).durations_s[0]
    time_s = matched_sheet_flow_time_s(
        long_m,
        SMOOTH_SHEET,
        plane.pitch_fraction,
        lambda duration_s: intensity_m_per_s(survey, max(duration_s, begins_s)),
    )
    return SheetFlow(
        length_m=long_m, pitch_fraction=plane.pitch_fraction, time_s=time_s, begins_s=begins_s
    )


def concentration_s(survey: Survey, of: Panel | DrawnInflow) -> float:
    """The time of concentration to count with; 0 where the file types none."""
    if of.concentration_s is None:
        return 0.0
    typed = _typed(survey, of)
    return of.concentration_s if typed is None else typed.taken_s


def long_times(survey: Survey) -> Iterator[TypedTime]:
    """The typed times that are longer than the water needs, with what is counted instead."""
    given: list[Panel | DrawnInflow] = [*panels_of(survey), *ways_of(survey).inflows]
    for item in given:
        typed = _typed(survey, item)
        if typed is not None:
            yield typed


def _typed(survey: Survey, of: Panel | DrawnInflow) -> TypedTime | None:
    typed_s = of.concentration_s
    if typed_s is None or meets(typed_s, SHORTEST_S, "at most"):
        return None
    try:
        sheet = sheet_flow(survey, of.id)
    except (NotMeasured, OutOfRange):
        sheet = None
    needs_s = SHORTEST_S if sheet is None else max(SHORTEST_S, sheet.time_s)
    if meets(typed_s, needs_s, "at most"):
        return None
    return TypedTime(
        of=of.id,
        typed_s=typed_s,
        reckoned_s=None if sheet is None else sheet.time_s,
        taken_s=typed_s if of.concentration_source else needs_s,
        source=of.concentration_source,
    )
