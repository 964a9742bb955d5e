"""The measures of pavement sections; what works them out is imported when one is asked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.core import lazily
from checker.core.units import LENGTH, PER_TIME, RATIO, SPEED, TIME
from checker.measure.catalogue import surface_measure

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.measure.section import bed as beds
    from checker.measure.section import courses, filters, standard, walk, water
    from checker.measure.section.bed import Bed
    from checker.measure.survey import Survey
    from checker.site.model import Surface
else:
    beds = lazily.module("checker.measure.section.bed")
    courses = lazily.module("checker.measure.section.courses")
    filters = lazily.module("checker.measure.section.filters")
    standard = lazily.module("checker.measure.section.standard")
    walk = lazily.module("checker.measure.section.walk")
    water = lazily.module("checker.measure.section.water")


def _of_bed(name: str, title: str, *more: Any, **words: Any) -> Callable[..., object]:  # noqa: ANN401
    """Register a measure of what lies below a surface; see `surface_measure`."""
    register = surface_measure(name, title, *more, **words)

    def wrap(work: Callable[[Bed], object]) -> object:
        return register(lambda survey, surface: work(beds.need_bed(survey, surface)))

    return wrap


@_of_bed("unit_thickness", "thickness of its units", LENGTH, "in")
def unit_thickness(bed: Bed) -> object:
    return courses.thickness_m(bed, "unit")


@_of_bed("unit_aspect_ratio", "length of a unit over its thickness", RATIO)
def unit_aspect_ratio(bed: Bed) -> object:
    return courses.unit_aspect_ratio(bed)


@_of_bed("joint_width", "width of its joints", LENGTH, "in")
def joint_width(bed: Bed) -> object:
    return courses.joint_width_m(bed)


@_of_bed("bedding_thickness", "thickness of its bedding", LENGTH, "in")
def bedding_thickness(bed: Bed) -> object:
    return courses.thickness_m(bed, "bedding")


@_of_bed("base_thickness", "thickness of its base", LENGTH, "in")
def base_thickness(bed: Bed) -> object:
    return courses.thickness_m(bed, "choker", "base")


@_of_bed("subbase_thickness", "thickness of its subbase", LENGTH, "in")
def subbase_thickness(bed: Bed) -> object:
    return courses.thickness_m(bed, "subbase")


@_of_bed("stone_thickness", "stone below its bedding", LENGTH, "in")
def stone_thickness(bed: Bed) -> object:
    return courses.stone_thickness_m(bed)


@_of_bed("section_thickness", "thickness of its section", LENGTH, "in")
def section_thickness(bed: Bed) -> object:
    return courses.section_thickness_m(bed)


@_of_bed("bedding_fines", "fines of its bedding stone", RATIO, "%")
def bedding_fines(bed: Bed) -> object:
    return courses.bedding_fines_fraction(bed)


@_of_bed("reservoir_fines", "fines of the stone below", RATIO, "%")
def reservoir_fines(bed: Bed) -> object:
    return courses.reservoir_fines_fraction(bed)


@_of_bed("fractured_faces", "fractured faces of its bedding stone", RATIO, "%")
def fractured_faces(bed: Bed) -> object:
    return courses.fractured_fraction(bed)


@_of_bed("abrasion", "abrasion loss of its stone", RATIO, "%")
def abrasion(bed: Bed) -> object:
    return courses.abrasion_fraction(bed)


@surface_measure("sieves_outside", "sieves outside the size named", RATIO)
def sieves_outside(survey: Survey, surface: Surface) -> object:
    return courses.sieves_outside(survey, surface)


@_of_bed("observation_wells", "number of its observation wells", RATIO)
def observation_wells(bed: Bed) -> object:
    return courses.wells(bed)


@_of_bed("filter_retention", "worst D15 over D85 between its courses", RATIO)
def filter_retention(bed: Bed) -> object:
    return filters.retention_of(bed)


@_of_bed("filter_choke", "worst D15 over D50 between its courses", RATIO)
def filter_choke(bed: Bed) -> object:
    return filters.choke_of(bed)


@_of_bed("filter_spread", "least D50 over D50 between its courses", RATIO)
def filter_spread(bed: Bed) -> object:
    return filters.spread_ratio(bed)


@_of_bed("soil_bearing", "bearing ratio of the soil, per cent", RATIO)
def soil_bearing(bed: Bed) -> object:
    return filters.bearing_ratio(bed)


@_of_bed("touching_courses", "pairs of courses that touch", RATIO)
def touching_courses(bed: Bed) -> object:
    return filters.touching_count(bed)


@_of_bed("soil_retention", "D15 of its stone over D85 of the soil", RATIO)
def soil_retention(bed: Bed) -> object:
    return filters.soil_retention_ratio(bed)


@_of_bed("soil_spread", "D50 of its stone over D50 of the soil", RATIO)
def soil_spread(bed: Bed) -> object:
    return filters.soil_spread_ratio(bed)


@_of_bed("soil_permeability", "D15 of its stone over D15 of the soil", RATIO)
def soil_permeability(bed: Bed) -> object:
    return filters.soil_permeability_ratio(bed)


@_of_bed("soil_fines", "fines of the soil below it", RATIO, "%")
def soil_fines(bed: Bed) -> object:
    return filters.soil_fines_fraction(bed)


@_of_bed("fabric_opening", "opening of its fabric on the subgrade", LENGTH, "mm")
def fabric_opening(bed: Bed) -> object:
    return filters.fabric_opening_m(bed)


@_of_bed("fabric_permittivity", "permittivity of its fabric on the subgrade", PER_TIME)
def fabric_permittivity(bed: Bed) -> object:
    return filters.fabric_permittivity_per_s(bed)


@_of_bed("fabric_lap", "side lap of its fabric on the subgrade", LENGTH, "in")
def fabric_lap(bed: Bed) -> object:
    return filters.fabric_lap_m(bed)


@_of_bed("pipe_opening_ratio", "D85 of the stone over its pipe's openings", RATIO)
def pipe_opening_ratio(bed: Bed) -> object:
    return filters.pipe_ratio(bed)


@surface_measure("pipe_below", "stone between its pipe and the subgrade", LENGTH, "in")
def pipe_below(survey: Survey, surface: Surface) -> object:
    return water.pipe_below_m(survey, surface)


@surface_measure("pipe_cover", "stone over its pipe", LENGTH, "in")
def pipe_cover(survey: Survey, surface: Surface) -> object:
    return water.pipe_cover_m(survey, surface)


@surface_measure("pipe_slope", "fall of its pipe", RATIO)
def pipe_slope(survey: Survey, surface: Surface) -> object:
    return water.pipe_slope_fraction(survey, surface)


@surface_measure("soil_rate", "rate of the soil to design with", SPEED)
def soil_rate(survey: Survey, surface: Surface) -> object:
    return water.soil_rate(survey, surface)


@surface_measure("reservoir_depth", "stone that keeps water for the soil", LENGTH, "in")
def reservoir_depth(survey: Survey, surface: Surface) -> object:
    return water.reservoir_depth_m(survey, surface)


@surface_measure("stored_water", "depth of water its stone keeps", LENGTH, "in")
def stored_water(survey: Survey, surface: Surface) -> object:
    return water.stored_water_m(survey, surface)


@surface_measure("storm_water", "depth of water the storm brings", LENGTH, "in")
def storm_water(survey: Survey, surface: Surface) -> object:
    return water.storm_water_m(survey, surface)


@surface_measure("emptying_time", "time for its stone to empty", TIME)
def emptying_time(survey: Survey, surface: Surface) -> object:
    return water.emptying_time_s(survey, surface)


@surface_measure("rock_depth", "how far its base lies above rock", LENGTH)
def rock_depth(survey: Survey, surface: Surface) -> object:
    return water.above_rock_m(survey, surface)


@surface_measure("subgrade_slope", "fall of its subgrade", RATIO)
def subgrade_slope(survey: Survey, surface: Surface) -> object:
    return water.subgrade_slope_fraction(survey, surface)


@surface_measure("frost_share", "thickness of its section over frost depth", RATIO, "%")
def frost_share(survey: Survey, surface: Surface) -> object:
    return water.frost_share_fraction(survey, surface)


@surface_measure("soil_tests", "infiltration tests made", RATIO)
def soil_tests(survey: Survey, surface: Surface) -> object:
    return water.soil_tests_count(survey, surface)


@_of_bed("cross_slope", "fall across the main one", RATIO)
def cross_slope(bed: Bed) -> object:
    return walk.cross_slope_fraction(bed)


@_of_bed("walk_opening", "sphere that its widest opening lets through", LENGTH, "in")
def walk_opening(bed: Bed) -> object:
    return walk.opening_m(bed)


@_of_bed("fabric_lap_share", "lap of its fabric over what its soil asks", RATIO, "%")
def fabric_lap_share(bed: Bed) -> object:
    return filters.fabric_lap_share_ratio(bed)


@_of_bed("fabric_opening_share", "opening of its fabric over what its soil allows", RATIO, "%")
def fabric_opening_share(bed: Bed) -> object:
    return filters.fabric_opening_share_ratio(bed)


@_of_bed(
    "fabric_permittivity_share", "permittivity of its fabric over what its soil asks", RATIO, "%"
)
def fabric_permittivity_share(bed: Bed) -> object:
    return filters.fabric_permittivity_share_ratio(bed)


@_of_bed(
    "step_may_stay", "its changes of level need no ramp, bevelled as they are", kind="yes or no"
)
def step_may_stay(bed: Bed) -> object:
    return walk.step_may_stay(bed)


@_of_bed("step_height", "highest change of level", LENGTH, "in")
def step_height(bed: Bed) -> object:
    return walk.step_m(bed)


@_of_bed("step_bevel", "bevel of its changes of level", RATIO)
def step_bevel(bed: Bed) -> object:
    return walk.bevel_fraction(bed)


@_of_bed("unevenness", "step between two units", LENGTH, "in")
def unevenness(bed: Bed) -> object:
    return walk.unevenness_m(bed)


@_of_bed("flatness", "gap under a 10 ft straightedge", LENGTH, "in")
def flatness(bed: Bed) -> object:
    return walk.flatness_m(bed)


@_of_bed("drain_lip", "drains below the paving beside them", LENGTH, "in")
def drain_lip(bed: Bed) -> object:
    return walk.lip_m(bed)


@_of_bed("wet_friction", "wet dynamic friction", RATIO)
def wet_friction(bed: Bed) -> object:
    return walk.friction_fraction(bed)


@surface_measure(
    "standard_differences", "points in which it departs from the standard section", RATIO
)
def standard_differences(survey: Survey, surface: Surface) -> object:
    return standard.departures_count(survey, surface)


@surface_measure(
    "section_kind",
    "kind of its section",
    kind="text",
    choices=("permeable", "conventional", "none"),
)
def section_kind(survey: Survey, surface: Surface) -> object:
    return courses.kind(survey, surface)


@surface_measure(
    "section_use", "who its section is for", kind="text", choices=("pedestrian", "vehicle", "none")
)
def section_use(survey: Survey, surface: Surface) -> object:
    return courses.use(survey, surface)


@surface_measure("joint_stone", "stone of its joints", kind="text", choices=())
def joint_stone(survey: Survey, surface: Surface) -> object:
    return courses.stone(survey, surface, "joint")


@surface_measure("bedding_stone", "stone of its bedding", kind="text", choices=())
def bedding_stone(survey: Survey, surface: Surface) -> object:
    return courses.stone(survey, surface, "bedding")


@surface_measure("base_stone", "stone of its base", kind="text", choices=())
def base_stone(survey: Survey, surface: Surface) -> object:
    return courses.stone(survey, surface, "base")


@surface_measure("subbase_stone", "stone of its subbase", kind="text", choices=())
def subbase_stone(survey: Survey, surface: Surface) -> object:
    return courses.stone(survey, surface, "subbase")


@_of_bed("pipe_openings", "openings of its pipe", kind="text", choices=("holes", "slots", "none"))
def pipe_openings(bed: Bed) -> object:
    return filters.pipe_openings(bed)


@_of_bed(
    "falls_to",
    "where its water runs",
    kind="text",
    choices=("away from pool and house", "toward the pool", "toward the house"),
)
def falls_to(bed: Bed) -> object:
    return walk.falls_to(bed)


@_of_bed("edge_restraint", "something holds its edge", kind="yes or no")
def edge_restraint(bed: Bed) -> object:
    return courses.has_edge(bed)


@_of_bed("subgrade_fabric", "a fabric lies on its subgrade", kind="yes or no")
def subgrade_fabric(bed: Bed) -> object:
    return courses.has_subgrade_fabric(bed)


@_of_bed("grid", "a grid lies in it", kind="yes or no")
def grid(bed: Bed) -> object:
    return courses.has_grid(bed)


@surface_measure("holes_down", "the holes of its pipe look down", kind="yes or no")
def holes_down(survey: Survey, surface: Surface) -> object:
    return water.holes_down(survey, surface)


@surface_measure("pipe_wrapped", "stone lies all round its pipe", kind="yes or no")
def pipe_wrapped(survey: Survey, surface: Surface) -> object:
    return water.pipe_wrapped(survey, surface)


@_of_bed("opening_turned_right", "its long openings lie across the way", kind="yes or no")
def opening_turned_right(bed: Bed) -> object:
    return walk.opening_turned_right(bed)


@surface_measure("section_authorised", "its section is authorised in writing", kind="yes or no")
def section_authorised(survey: Survey, surface: Surface) -> object:
    return standard.is_authorised(survey, surface)
