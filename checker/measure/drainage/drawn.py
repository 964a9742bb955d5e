"""The drainage parts of a surveyed site, each read once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.problems import Place
from checker.measure.catalogue import NotMeasured
from checker.site.drainage_read import read_panels, read_ways_out
from checker.site.ground import Ground, read_ground
from checker.site.storms_read import read_storms

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.drainage import Panel, Storms, WaysOut


def panels_of(survey: Survey) -> tuple[Panel, ...]:
    """The panels of the site."""
    return survey.part("panels", read_panels)


def ways_of(survey: Survey) -> WaysOut:
    """The ways out of the site.

    Raises:
        NotMeasured: There are none in the file.
    """
    if "ways_out" not in survey.site.parts:
        raise NotMeasured("give 'ways_out': inlets, pipes, stores, outlets, overflow_edges")
    return survey.part("ways_out", read_ways_out)


def storms_of(survey: Survey) -> Storms:
    """The storms of the site."""
    return survey.part("storms", read_storms)


def ground_of(survey: Survey) -> Ground:
    """What is known below the site."""
    return survey.part("ground", read_ground)


def check_drainage(survey: Survey) -> None:
    """Read every part of the file about drainage, whether a rule asks for it or not.

    Raises:
        BadInput: One of them has problems.
    """
    panels_of(survey)
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
    groups = (ways.drains, ways.pipes, ways.pits, ways.outfalls, ways.edges)
    return {item.id: item.place for group in groups for item in group}
