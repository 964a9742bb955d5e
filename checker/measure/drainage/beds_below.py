"""The stone below permeable paving that has a section, as stores: drawn once, in its section.

Such paving sheds only what its section cannot hold. Where the section says its level ('top'), and
the surface or its panel where it drains to, its stone is a store of the network without being drawn
under 'stores' again. A section with a pipe leads water on, so it is drawn there with its outlet.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import replace
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import need_bed
from checker.measure.section.courses import depth_m
from checker.site.drainage import Pit

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.measure.survey import Survey
    from checker.site.drainage import Panel, WaysOut
    from checker.site.model import Surface


def with_beds_below(survey: Survey, ways: WaysOut, panels: Iterable[Panel]) -> WaysOut:
    """The ways out with a store for each section that is not drawn as one."""
    drawn = {pit.under for pit in ways.pits}
    groups = (ways.drains, ways.pipes, ways.pits, ways.edges)
    takers = {item.id for group in groups for item in group}
    to = {panel.on: panel.drains_to for panel in panels if panel.drains_to in takers}
    found = [
        pit
        for surface in survey.site.surfaces
        if surface.section and surface.id not in drawn and surface.stage != "removed"
        and surface.material.nature == "porous"
        and (pit := _below(survey, surface, to | _said(surface, takers), takers)) is not None
    ]  # fmt: skip
    return replace(ways, pits=(*ways.pits, *found)) if found else ways


def _said(surface: Surface, takers: set[str]) -> dict[str, str]:
    to = surface.attributes.get("drains_to")
    return {surface.id: to} if isinstance(to, str) and to in takers else {}


def _below(survey: Survey, surface: Surface, to: dict[str, str], takers: set[str]) -> Pit | None:
    bed = need_bed(survey, surface)
    top_m, name = bed.section.top_m, f"stone below {surface.id}"
    ready = top_m is not None and bed.section.pipe is None and surface.id in to
    if not ready or top_m is None or name in takers:
        return None
    try:
        bottom_m = top_m - depth_m(bed)
    except NotMeasured:
        return None
    return Pit(
        id=name,
        kind="reservoir",
        place=bed.section.place,
        under=surface.id,
        bottom_m=bottom_m,
        rim_m=top_m,
        spills_to=to[surface.id],
    )
