"""What a section does with water: storage, the storm, emptying, and the ground below it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.courses.upkeep import surface_test
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import Bed, BedCourse, need_bed
from checker.measure.section.courses import depth_m, longest_m
from checker.water.ground import design_rate_m_per_s, drawdown_time_s, mean_usable_depth_m

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.model import Surface

_BESIDE_M: Final = 0.05
"""Paving nearer than this can send its water across."""


def design_rate(bed: Bed) -> float:
    """Rate of the soil to design with, m/s: the measured one over the safety factor.

    Raises:
        NotMeasured: Either is not given.
    """
    measured_m_per_s = bed.ground.measured_rate_m_per_s
    if measured_m_per_s is None:
        raise NotMeasured("give 'measured_rate' under 'ground'")
    if bed.ground.safety_factor is None:
        raise NotMeasured("give 'safety_factor' under 'ground', often 2")
    return design_rate_m_per_s(measured_m_per_s, bed.ground.safety_factor)


def soil_rate(survey: Survey, surface: Surface) -> float:
    """Rate of the soil below it to design with, m/s."""
    return design_rate(need_bed(survey, surface))


def _porosity_fraction(bed: Bed, layer: BedCourse) -> float:
    return bed.need(layer.porosity_fraction, "porosity", layer)


def storing(bed: Bed) -> tuple[tuple[BedCourse, float], ...]:
    """The layers that keep water for the soil, each with how much of its thickness, from below.

    All stone below the bedding, or up to the bottom of the pipe, or of the outlet that turns up
    from it: what stands higher runs out.

    Raises:
        NotMeasured: The pipe does not say how high it lies, or a thickness lacks.
    """
    pipe = bed.section.pipe
    left_m = math.inf
    if pipe is not None:
        if pipe.above_subgrade_m is None:
            raise NotMeasured(f"give 'above_subgrade' of the pipe of {bed.section.id}")
        left_m = max(pipe.above_subgrade_m, pipe.outlet_above_subgrade_m or 0.0)
    found: list[tuple[BedCourse, float]] = []
    for layer in reversed(bed.reservoir):
        part_m = min(bed.thickness_m([layer]), left_m)
        if part_m > 0:
            found.append((layer, part_m))
        left_m -= part_m
    return tuple(found)


def held_depth_m(bed: Bed) -> float:
    """Depth of stone whose water has no way out but the soil, m, even if the soil takes none."""
    return sum(part_m for _, part_m in storing(bed))


def kept_depth_m(bed: Bed) -> float:
    """Depth of stone that keeps water for the soil, m; none over a liner."""
    return 0.0 if bed.is_lined else held_depth_m(bed)


def kept_water_m(bed: Bed) -> float:
    """Depth of water that the stone keeps for the soil over a level subgrade, m.

    Over a liner none: what stands there never reaches the soil.
    """
    if bed.is_lined:
        return 0.0
    return sum(part_m * _porosity_fraction(bed, layer) for layer, part_m in storing(bed))


def _level_share(bed: Bed, surface: Surface, stone_m: float) -> float:
    if stone_m <= 0:
        return 1.0
    slope_fraction = bed.need(bed.section.subgrade_slope_fraction, "subgrade_slope")
    if slope_fraction == 0:
        return 1.0
    return mean_usable_depth_m(stone_m, longest_m(surface), slope_fraction) / stone_m


def reservoir_depth_m(survey: Survey, surface: Surface) -> float:
    """Depth of stone that keeps water for the soil."""
    return kept_depth_m(need_bed(survey, surface))


def stored_water_m(survey: Survey, surface: Surface) -> float:
    """Depth of water that the stone keeps for the soil, less what a sloped subgrade loses.

    The bed is taken to fall along its longest side, without check dams.
    """
    bed = need_bed(survey, surface)
    return kept_water_m(bed) * _level_share(bed, surface, kept_depth_m(bed))


def storm_water_m(survey: Survey, surface: Surface) -> float:
    """Depth of water that the storm brings: its rain, and that of the sealed area that runs on.

    What the soil takes while it rains is left out, and no rain is lost on the way.
    """
    bed = need_bed(survey, surface)
    return design_rain_m(survey, bed) * (1 + run_on_ratio(survey, surface))


def design_rain_m(survey: Survey, bed: Bed) -> float:
    """Depth of the design rain: as the section says, else that of the site's design storm."""
    if bed.section.design_rain_m is None and "storms" in survey.site.parts:
        from checker.measure.drainage.rain import storm

        return storm(survey, "design").depth_m
    return bed.need(bed.section.design_rain_m, "design_rain")


def emptying_time_s(survey: Survey, surface: Surface) -> float:
    """Time for the kept water to soak away through the base."""
    return emptying_s(need_bed(survey, surface))


def emptying_s(bed: Bed) -> float:
    """Time until the water below its pipe or outlet has soaked away through the base, s.

    Infinite where it never leaves: over a liner, or on soil that takes none.

    Raises:
        NotMeasured: A number lacks.
    """
    stone_m = held_depth_m(bed)
    if stone_m == 0:
        return 0.0
    if bed.is_lined:
        return math.inf
    rate_m_per_s = design_rate(bed)
    if rate_m_per_s == 0:
        return math.inf
    return drawdown_time_s(stone_m, kept_water_m(bed) / stone_m, rate_m_per_s)


def run_on_ratio(survey: Survey, surface: Surface, *, with_screened: bool = True) -> float:
    """Sealed area that drains onto it over its own area: as its section says, else as drawn.

    From the drawing it can be told once each sealed surface beside it says where its water goes.
    What is drawn to drain onto it counts, whatever its section says.

    Args:
        survey: The site.
        surface: The paving.
        with_screened: Roofs count whose runoff is screened of leaves and grit.
    """
    bed = need_bed(survey, surface)
    said = bed.section.run_on_ratio
    visible = survey.partition("proposed").visible
    own = visible[surface.id]
    onto_m2 = 0.0
    for other in survey.site.surfaces:
        if other.id == surface.id or other.stage == "removed" or other.material.nature != "sealed":
            continue
        to = other.attributes.get("drains_to")
        is_left_out = not with_screened and _is_screened_roof(other)
        if to == surface.id:
            onto_m2 += 0.0 if is_left_out else visible[other.id].area
        elif (
            said is None
            and to is None
            and other.id not in _led_away(survey)
            and visible[other.id].distance(own) < _BESIDE_M
        ):
            raise NotMeasured(
                f"give 'run_on' of section {bed.section.id}, or 'drains_to' of {other.id}"
            )
    return max(float(onto_m2 / own.area), said or 0.0)


def _is_screened_roof(surface: Surface) -> bool:
    return surface.material.level == "roof" and surface.attributes.get("screened") is True


def _led_away(survey: Survey) -> set[str]:
    """Surfaces whose water is taken by leaders or panels of the drainage as drawn."""
    if not {"ways_out", "panels"} & set(survey.site.parts):
        return set()
    from checker.measure.drainage.drawn import panels_of, ways_of

    leaders = {drain.of for drain in ways_of(survey).drains if drain.of}
    return leaders | {panel.on for panel in panels_of(survey)}


def subgrade_slope_fraction(survey: Survey, surface: Surface) -> float:
    """Fall of the subgrade."""
    bed = need_bed(survey, surface)
    return bed.need(bed.section.subgrade_slope_fraction, "subgrade_slope")


def above_water_m(survey: Survey, surface: Surface) -> float:
    """From the bottom of the section down to seasonal high water; below 0 when it stands in it."""
    bed = need_bed(survey, surface)
    if bed.ground.water_table_depth_m is None:
        raise NotMeasured("give 'water_table_depth' under 'ground'")
    return bed.ground.water_table_depth_m - depth_m(bed)


def above_rock_m(survey: Survey, surface: Surface) -> float:
    """From the bottom of the section down to rock; below 0 when it cuts into it."""
    bed = need_bed(survey, surface)
    if bed.ground.rock_depth_m is None:
        raise NotMeasured("give 'rock_depth' under 'ground'")
    return bed.ground.rock_depth_m - depth_m(bed)


def frost_share_fraction(survey: Survey, surface: Surface) -> float:
    """Thickness of the whole section over the depth of frost."""
    bed = need_bed(survey, surface)
    frost_m = bed.ground.frost_depth_m
    if not frost_m:
        raise NotMeasured("give 'frost_depth' under 'ground'")
    return depth_m(bed) / frost_m


def soil_tests_count(survey: Survey, surface: Surface) -> int:
    """Infiltration tests that were made on the lot."""
    bed = need_bed(survey, surface)
    if bed.ground.tests_count is None:
        raise NotMeasured("give 'tests' under 'ground', 0 for none")
    return bed.ground.tests_count


def surface_rate_m_per_s(survey: Survey, surface: Surface) -> float:
    """Mean of the ring tests on the surface."""
    bed = need_bed(survey, surface)
    found = surface_test(bed.section.walk.tests_m_per_s)
    if found is None:
        raise NotMeasured(
            f"give 'infiltration_rate', or 'tests' of the walking surface of {bed.section.id}"
        )
    return found.mean_m_per_s


def pipe_below_m(survey: Survey, surface: Surface) -> float:
    """Stone between the pipe and the subgrade."""
    bed = need_bed(survey, surface)
    if bed.section.pipe is None or bed.section.pipe.above_subgrade_m is None:
        raise NotMeasured(f"give 'above_subgrade' of the pipe of {bed.section.id}")
    return bed.section.pipe.above_subgrade_m


def pipe_cover_m(survey: Survey, surface: Surface) -> float:
    """Stone over the pipe, within the bed."""
    bed = need_bed(survey, surface)
    if bed.section.pipe is None or bed.section.pipe.cover_m is None:
        raise NotMeasured(f"give 'cover' of the pipe of {bed.section.id}")
    return bed.section.pipe.cover_m


def pipe_slope_fraction(survey: Survey, surface: Surface) -> float:
    """Fall of the pipe."""
    bed = need_bed(survey, surface)
    if bed.section.pipe is None or bed.section.pipe.slope_fraction is None:
        raise NotMeasured(f"give 'slope' of the pipe of {bed.section.id}")
    return bed.section.pipe.slope_fraction


def holes_down(survey: Survey, surface: Surface) -> bool:
    """The holes of the pipe look down."""
    pipe = need_bed(survey, surface).section.pipe
    if pipe is None or pipe.holes_down is None:
        raise NotMeasured("say whether the pipe has its 'holes_down'")
    return pipe.holes_down


def pipe_wrapped(survey: Survey, surface: Surface) -> bool:
    """Stone lies all round the pipe."""
    pipe = need_bed(survey, surface).section.pipe
    if pipe is None or pipe.is_wrapped is None:
        raise NotMeasured("say whether the pipe is 'wrapped' in stone")
    return pipe.is_wrapped
