"""The stone below permeable paving that has a section, as stores: drawn once, in its section.

Such paving sheds only what its section cannot hold. Where the section says its level ('top'), and
the surface or its panel where it drains to, its stone is a store of the network without being drawn
under 'stores' again. A pipe in the stone is its outlet where it says which drain pipe it leads to.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import replace
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import need_bed
from checker.measure.section.courses import depth_m, longest_m
from checker.site.drainage import Pit, PitOutlet

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.measure.section.bed import Bed
    from checker.measure.survey import Survey
    from checker.site.drainage import Panel, WaysOut
    from checker.site.model import Surface


def with_beds_below(survey: Survey, ways: WaysOut, panels: Iterable[Panel]) -> WaysOut:
    """The ways out with a store for each section that is not drawn as one.

    A drawn reservoir without a bottom lies where the section below its surface ends.
    """
    ways = replace(ways, pits=tuple(_with_bottom(survey, pit, panels) for pit in ways.pits))
    drawn = {pit.under for pit in ways.pits}
    groups = (ways.drains, ways.pipes, ways.pits, ways.edges)
    takers = {item.id for group in groups for item in group}
    to = {panel.on: panel.drains_to for panel in panels if panel.drains_to in takers}
    found = [
        pit
        for surface in survey.site.surfaces
        if surface.section and surface.id not in drawn and surface.stage != "removed"
        and surface.material.nature == "porous"
        and (pit := _below(survey, surface, to | _said(surface, takers), takers, ways)) is not None
    ]  # fmt: skip
    return replace(ways, pits=(*ways.pits, *found)) if found else ways


def _with_bottom(survey: Survey, pit: Pit, panels: Iterable[Panel]) -> Pit:
    """A reservoir with the base of its section as its bottom, where it says none.

    Below its own open surface, else the lowest spot level of its panels, else the section's 'top'.
    """
    surface = survey.site.surface_named(pit.under)
    if pit.kind != "reservoir" or pit.bottom_m is not None or surface is None:
        return pit
    if not surface.section:
        return pit
    bed = need_bed(survey, surface)
    spots_m = [level for panel in panels if panel.on == pit.under for _, level in panel.levels]
    known_m = [level for level in (pit.rim_m, *spots_m) if level is not None]
    if not known_m and bed.section.top_m is not None:
        known_m = [bed.section.top_m]
    if not known_m:
        return pit
    try:
        bottom_m = min(known_m) - depth_m(bed)
    except NotMeasured:
        return pit
    return replace(pit, bottom_m=bottom_m, bottom_is_of_section=True)


def _said(surface: Surface, takers: set[str]) -> dict[str, str]:
    to = surface.attributes.get("drains_to")
    return {surface.id: to} if isinstance(to, str) and to in takers else {}


def _below(
    survey: Survey, surface: Surface, to: dict[str, str], takers: set[str], ways: WaysOut
) -> Pit | None:
    bed = need_bed(survey, surface)
    top_m, name = bed.section.top_m, f"stone below {surface.id}"
    if top_m is None or surface.id not in to or name in takers:
        return None
    try:
        bottom_m = top_m - depth_m(bed)
        outlets = _outlets(bed, bottom_m, ways)
    except NotMeasured:
        return None
    slope = bed.section.subgrade_slope_fraction or 0.0
    return Pit(
        id=name,
        kind="reservoir",
        place=bed.section.place,
        under=surface.id,
        bottom_m=bottom_m,
        bottom_is_of_section=True,
        rim_m=top_m,
        length_m=longest_m(surface) if slope > 0 else None,
        slope_fraction=slope,
        outlets=outlets,
        spills_to=to[surface.id],
    )


def _outlets(bed: Bed, bottom_m: float, ways: WaysOut) -> tuple[PitOutlet, ...]:
    """The pipe in the stone: it lets water out from its bottom, or from where it turns up.

    It is as wide as the drain pipe that it leads to.

    Raises:
        NotMeasured: Nobody says where it leads or how high it lies.
    """
    pipe = bed.section.pipe
    if pipe is None:
        return ()
    onward = next((item for item in ways.pipes if item.id == pipe.to), None)
    if onward is None or pipe.above_subgrade_m is None:
        raise NotMeasured(f"give 'to' and 'above_subgrade' of the pipe of {bed.section.id}")
    return (
        PitOutlet(
            id="pipe",
            kind="pipe",
            place=pipe.place,
            invert_m=bottom_m + max(pipe.above_subgrade_m, pipe.outlet_above_subgrade_m or 0.0),
            diameter_m=onward.diameter_m,
            to=onward.id,
        ),
    )
