"""Registers the measures of pavement sections; what works them out is imported when one is asked.

Some of them answer attributes of a surface that the file does not give itself, such as
`washed_stone` or `infiltration_rate`, so that a coverage credit follows the section drawn below it.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final

from checker.core.units import LENGTH, PER_TIME, RATIO, SPEED, TIME, Amount, Dimension
from checker.files.vocabulary import ATTRIBUTES
from checker.measure.catalogue import NotMeasured, surface_measure

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.measure.survey import Survey
    from checker.site.model import Surface

_AMOUNTS: Final = (
    ("unit_thickness", "thickness of its units", LENGTH, "courses.unit_thickness_m"),
    (
        "unit_aspect_ratio",
        "length of a unit over its thickness",
        RATIO,
        "courses.unit_aspect_ratio",
    ),
    ("joint_width", "width of its joints", LENGTH, "courses.joint_width_m"),
    ("bedding_thickness", "thickness of its bedding", LENGTH, "courses.bedding_thickness_m"),
    ("base_thickness", "thickness of its base", LENGTH, "courses.base_thickness_m"),
    ("subbase_thickness", "thickness of its subbase", LENGTH, "courses.subbase_thickness_m"),
    ("stone_thickness", "stone below its bedding", LENGTH, "courses.stone_thickness_m"),
    ("section_thickness", "thickness of its section", LENGTH, "courses.section_thickness_m"),
    ("bedding_fines", "fines of its bedding stone", RATIO, "courses.bedding_fines_fraction"),
    ("reservoir_fines", "fines of the stone below", RATIO, "courses.reservoir_fines_fraction"),
    (
        "fractured_faces",
        "fractured faces of its bedding stone",
        RATIO,
        "courses.fractured_fraction",
    ),
    ("abrasion", "abrasion loss of its stone", RATIO, "courses.abrasion_fraction"),
    ("sieves_outside", "sieves outside the size named", RATIO, "courses.sieves_outside"),
    ("observation_wells", "number of its observation wells", RATIO, "courses.wells"),
    (
        "filter_retention",
        "worst D15 over D85 between its courses",
        RATIO,
        "filters.retention_ratio",
    ),
    ("filter_choke", "worst D15 over D50 between its courses", RATIO, "filters.choke_ratio"),
    ("filter_spread", "least D50 over D50 between its courses", RATIO, "filters.spread_ratio"),
    ("soil_bearing", "bearing ratio of the soil, per cent", RATIO, "filters.bearing_ratio"),
    ("touching_courses", "pairs of courses that touch", RATIO, "filters.touching_count"),
    (
        "soil_retention",
        "D15 of its stone over D85 of the soil",
        RATIO,
        "filters.soil_retention_ratio",
    ),
    ("soil_spread", "D50 of its stone over D50 of the soil", RATIO, "filters.soil_spread_ratio"),
    (
        "soil_permeability",
        "D15 of its stone over D15 of the soil",
        RATIO,
        "filters.soil_permeability_ratio",
    ),
    ("soil_fines", "fines of the soil below it", RATIO, "filters.soil_fines_fraction"),
    ("fabric_opening", "opening of its fabric on the subgrade", LENGTH, "filters.fabric_opening_m"),
    (
        "fabric_permittivity",
        "permittivity of its fabric on the subgrade",
        PER_TIME,
        "filters.fabric_permittivity_per_s",
    ),
    ("fabric_lap", "side lap of its fabric on the subgrade", LENGTH, "filters.fabric_lap_m"),
    (
        "pipe_opening_ratio",
        "D85 of the stone over its pipe's openings",
        RATIO,
        "filters.pipe_ratio",
    ),
    ("pipe_below", "stone between its pipe and the subgrade", LENGTH, "water.pipe_below_m"),
    ("pipe_cover", "stone over its pipe", LENGTH, "water.pipe_cover_m"),
    ("pipe_slope", "fall of its pipe", RATIO, "water.pipe_slope_fraction"),
    ("soil_rate", "rate of the soil to design with", SPEED, "water.soil_rate"),
    ("reservoir_depth", "stone that keeps water for the soil", LENGTH, "water.reservoir_depth_m"),
    ("stored_water", "depth of water its stone keeps", LENGTH, "water.stored_water_m"),
    ("storm_water", "depth of water the storm brings", LENGTH, "water.storm_water_m"),
    ("emptying_time", "time for its stone to empty", TIME, "water.emptying_time_s"),
    ("rock_depth", "from its base down to rock", LENGTH, "water.above_rock_m"),
    ("subgrade_slope", "fall of its subgrade", RATIO, "water.subgrade_slope_fraction"),
    (
        "frost_share",
        "thickness of its section over frost depth",
        RATIO,
        "water.frost_share_fraction",
    ),
    ("soil_tests", "infiltration tests made", RATIO, "water.soil_tests_count"),
    ("cross_slope", "fall across the main one", RATIO, "walk.cross_slope_fraction"),
    ("walk_opening", "sphere that its widest opening lets through", LENGTH, "walk.opening_m"),
    ("step_height", "highest change of level", LENGTH, "walk.step_m"),
    ("step_bevel", "bevel of its changes of level", RATIO, "walk.bevel_fraction"),
    ("unevenness", "step between two units", LENGTH, "walk.unevenness_m"),
    ("flatness", "gap under a 10 ft straightedge", LENGTH, "walk.flatness_m"),
    ("drain_lip", "drains below the paving beside them", LENGTH, "walk.lip_m"),
    ("wet_friction", "wet dynamic friction", RATIO, "walk.friction_fraction"),
    (
        "standard_differences",
        "points in which it departs from the standard section",
        RATIO,
        "standard.departures_count",
    ),
)
_TEXTS: Final = (
    ("section_kind", "kind of its section", ("permeable", "conventional", "none"), "courses.kind"),
    ("section_use", "who its section is for", ("pedestrian", "vehicle", "none"), "courses.use"),
    ("joint_stone", "stone of its joints", (), "courses.joint_stone"),
    ("bedding_stone", "stone of its bedding", (), "courses.bedding_stone"),
    ("base_stone", "stone of its base", (), "courses.base_stone"),
    ("subbase_stone", "stone of its subbase", (), "courses.subbase_stone"),
    ("pipe_openings", "openings of its pipe", ("holes", "slots", "none"), "filters.pipe_openings"),
    (
        "falls_to",
        "where its water runs",
        ("away from pool and house", "toward the pool", "toward the house"),
        "walk.falls_to",
    ),
)
_TRUTHS: Final = (
    ("edge_restraint", "something holds its edge", "courses.has_edge"),
    ("subgrade_fabric", "a fabric lies on its subgrade", "courses.has_subgrade_fabric"),
    ("grid", "a grid lies in it", "courses.has_grid"),
    ("holes_down", "the holes of its pipe look down", "water.holes_down"),
    ("pipe_wrapped", "stone lies all round its pipe", "water.pipe_wrapped"),
    ("opening_turned_right", "its long openings lie across the way", "walk.opening_turned_right"),
    ("section_authorised", "its section is authorised in writing", "standard.is_authorised"),
)
_ATTRIBUTES: Final = (
    ("washed_stone", "courses.is_washed"),
    ("gap", "courses.joint_width_m"),
    ("open_share", "courses.open_fraction"),
    ("lined", "courses.is_lined"),
    ("base_compacted", "courses.is_compacted"),
    ("use", "courses.use"),
    ("slope", "walk.slope_fraction"),
    ("run_on", "water.run_on_ratio"),
    ("water_table_depth", "water.above_water_m"),
    ("infiltration_rate", "water.surface_rate_m_per_s"),
)
"""Attributes of a surface that its section answers where the file does not give them."""


def _shown_in(name: str, dimension: Dimension) -> str:
    """The unit in which a measure is shown: thicknesses in inches, fabric openings in mm."""
    if name == "fabric_opening":
        return "mm"
    if dimension == LENGTH and name != "rock_depth":
        return "in"
    return "%" if name.endswith(("_fines", "_faces", "_share")) or name == "abrasion" else ""


def _worked_out_by(
    target: str, title: str, *, attribute: str = "", unit: str = "", dimension: Dimension = RATIO
) -> Callable[..., object]:
    module, name = target.split(".")

    def measured(survey: Survey, surface: Surface) -> object:
        if attribute and not surface.section:
            raise NotMeasured(f"give '{attribute}'")
        work = getattr(import_module(f"checker.measure.section.{module}"), name)
        found: object = work(survey, surface)
        if unit and isinstance(found, float):
            return Amount(found, dimension, unit)
        return found

    measured.__doc__ = f"{title[:1].upper()}{title[1:]}."
    return measured


def _register() -> None:
    dimension: Dimension
    for name, title, dimension, target in _AMOUNTS:
        unit = _shown_in(name, dimension)
        surface_measure(name, title, dimension)(
            _worked_out_by(target, title, unit=unit, dimension=dimension)
        )
    for name, title, choices, target in _TEXTS:
        surface_measure(name, title, kind="text", choices=choices)(_worked_out_by(target, title))
    for name, title, target in _TRUTHS:
        surface_measure(name, title, kind="yes or no")(_worked_out_by(target, title))
    for name, target in _ATTRIBUTES:
        term = ATTRIBUTES[name]
        surface_measure(name, term.text, term.dimension, kind=term.kind, choices=term.choices)(
            _worked_out_by(target, term.text, attribute=name)
        )


_register()
