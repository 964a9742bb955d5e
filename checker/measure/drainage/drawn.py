"""The drainage parts of a surveyed site, each read once."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from checker.core.problems import Place, Problems
from checker.core.units import UNIT
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.beds_below import with_beds_below
from checker.site.drainage_read import read_panels, read_ways_out
from checker.site.ground import Ground, read_ground
from checker.site.levels_read import read_levels
from checker.site.storms_read import read_storms

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.files.source import Document
    from checker.measure.survey import Survey
    from checker.site.drainage import Panel, SpotLevel, Storms, WaysOut, Xy


def panels_of(survey: Survey) -> tuple[Panel, ...]:
    """The panels of the site."""

    def read(data: object, document: Document) -> tuple[Panel, ...]:
        found = read_panels(data, document)
        points = [
            (
                panel.id,
                panel.place,
                (*panel.outline, *_one(panel.at), *(at for at, _ in panel.levels)),
            )
            for panel in found
        ]
        _hold_to_lot(survey, points)
        return found

    return survey.part("panels", read)


def ways_of(survey: Survey) -> WaysOut:
    """The ways out of the site, with the stone below permeable paving.

    Raises:
        NotMeasured: There are none in the file.
    """
    if "ways_out" not in survey.site.parts:
        raise NotMeasured("give 'ways_out': inlets, pipes, stores, outlets, overflow_edges")

    def read(data: object, document: Document) -> WaysOut:
        found = read_ways_out(data, document)
        drawn = [
            *((item.id, item.place, item.points) for item in found.drains),
            *((item.id, item.place, item.points) for item in found.pipes),
            *((item.id, item.place, item.points) for item in found.edges),
            *((item.id, item.place, _one(item.at)) for item in found.pits),
            *((item.id, item.place, _one(item.at)) for item in found.outfalls),
        ]
        _hold_to_lot(survey, drawn)
        return with_beds_below(survey, found, panels_of(survey))

    return survey.part("ways_out", read)


def _one(point: Xy | None) -> tuple[Xy, ...]:
    return () if point is None else (point,)


def _hold_to_lot(survey: Survey, drawn: Iterable[tuple[str, Place, Iterable[Xy]]]) -> None:
    """Refuse what lies farther from the lot than the lot is long: its numbers cannot be right.

    Water may leave over the lot line to a curb or a swale beside it.
    """
    site, problems = survey.site, Problems()
    low_x, low_y, high_x, high_y = site.lot.boundary.bounds
    reach_m = math.hypot(high_x - low_x, high_y - low_y)
    unit_m = UNIT[site.unit].size_si
    for name, place, points in drawn:
        for x, y in points:
            off_m = max(low_x - x, x - high_x, low_y - y, y - high_y)
            if not off_m <= reach_m:
                says = f"'{name}' reaches to {x / unit_m:g}, {y / unit_m:g}, far outside the lot"
                problems.add(place, says, "check its numbers; all share one origin and one unit")
                break
    problems.stop_if_any(f"{site.document.file} cannot be used")


def storms_of(survey: Survey) -> Storms:
    """The storms of the site."""
    return survey.part("storms", read_storms)


def levels_of(survey: Survey) -> tuple[SpotLevel, ...]:
    """The spot levels of the site."""

    def read(data: object, document: Document) -> tuple[SpotLevel, ...]:
        found = read_levels(data, document)
        place = document.place("levels")
        _hold_to_lot(survey, [(f"{item.what}", place, (item.at,)) for item in found])
        return found

    return survey.part("levels", read)


def ground_of(survey: Survey) -> Ground:
    """What is known below the site."""
    return survey.part("ground", read_ground)


def check_drainage(survey: Survey) -> None:
    """Read every part of the file about drainage, whether a rule asks for it or not.

    Raises:
        BadInput: One of them has problems.
    """
    panels_of(survey)
    levels_of(survey)
    storms_of(survey)
    if "ways_out" in survey.site.parts:
        ways_of(survey)


def need(value: float | None, key: str, owner: str) -> float:
    """A value that a measure cannot do without.

    Raises:
        NotMeasured: It is None; says which key to give.
    """
    if value is None:
        raise NotMeasured(f"give '{key}' of {owner}")
    return value


def places_of(ways: WaysOut) -> dict[str, Place]:
    """Where each part of the ways out stands in the file, by id."""
    groups = (
        ways.inflows, ways.drains, ways.pipes, ways.pits, ways.outfalls, ways.edges,
    )  # fmt: skip
    return {item.id: item.place for group in groups for item in group}
