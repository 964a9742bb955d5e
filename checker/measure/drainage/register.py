"""Registers the measures of drainage; what works them out is imported when one is asked."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final

from checker.core.units import AREA, FLOW, LENGTH, RATIO, TIME, VOLUME, Amount, Dimension
from checker.measure.catalogue import lot_measure, surface_measure

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.measure.survey import Survey

_ASTRAY: Final = "water into house or pool, onto a neighbour's land or without a way"

_OF_SURFACES: Final = (
    ("pitch", "least fall of its panels", RATIO, "planes.pitch_fraction", "in/ft"),
    ("steepest_pitch", "greatest fall of its panels", RATIO, "planes.steepest_fraction", "in/ft"),
    ("level_misfit", "farthest spot level from its panel's plane", LENGTH, "planes.misfit_m", "in"),
    (
        "fall_from_dwelling",
        "fall away from the dwelling beside it",
        RATIO,
        "planes.fall_from_dwelling_fraction",
        "in/ft",
    ),
    (
        "fall_from_pool",
        "fall away from the pool beside it",
        RATIO,
        "planes.fall_from_pool_fraction",
        "in/ft",
    ),
    (
        "low_point_distance",
        "from its lowest corner to the nearest drain or overflow edge",
        LENGTH,
        "planes.low_point_distance_m",
        "ft",
    ),
)
_OF_LOT: Final = (
    ("undrained_area", "sealed area whose water is led nowhere", AREA, "grades.undrained_m2", ""),
    ("least_pipe_fall", "least slope of any pipe", RATIO, "grades.least_pipe_fall_fraction", "%"),
    (
        "pipe_fall_share",
        "slope of a pipe over what its size asks",
        RATIO,
        "grades.pipe_fall_share_ratio",
        "%",
    ),
    ("pipe_cover_least", "least ground over a pipe", LENGTH, "grades.cover_m", "in"),
    ("pipe_room", "what a pipe carries over its peak flow", RATIO, "grades.pipe_room_ratio", "%"),
    ("drain_room", "what a drain takes over its peak flow", RATIO, "grades.drain_room_ratio", "%"),
    (
        "drain_drop_least",
        "least that a drain lies below the paving",
        LENGTH,
        "grades.least_drain_drop_m",
        "in",
    ),
    (
        "drain_drop_most",
        "most that a drain lies below the paving",
        LENGTH,
        "grades.most_drain_drop_m",
        "in",
    ),
    (
        "independent_ways_out",
        "fewest ways out that share nothing that can silt up",
        RATIO,
        "cases.fewest_ways_count",
        "",
    ),
    (
        "water_astray",
        f"{_ASTRAY} in the design storm",
        VOLUME,
        "cases.astray_open_m3",
        "gal",
    ),
    (
        "water_astray_one_blocked",
        f"{_ASTRAY}, the worst one thing blocked",
        VOLUME,
        "cases.astray_one_blocked_m3",
        "gal",
    ),
    (
        "water_astray_two_blocked",
        f"{_ASTRAY}, the worst two things blocked",
        VOLUME,
        "cases.astray_two_blocked_m3",
        "gal",
    ),
    (
        "water_astray_rare",
        f"{_ASTRAY} in the rare storm",
        VOLUME,
        "cases.astray_rare_m3",
        "gal",
    ),
    (
        "floor_room",
        "lowest floor above the highest water of the design storm",
        LENGTH,
        "cases.floor_room_m",
        "in",
    ),
    (
        "floor_room_one_blocked",
        "lowest floor above the highest water with the worst one thing blocked",
        LENGTH,
        "cases.floor_room_one_blocked_m",
        "in",
    ),
    (
        "floor_room_rare",
        "lowest floor above the highest water of the rare storm",
        LENGTH,
        "cases.floor_room_rare_m",
        "in",
    ),
    (
        "coping_room_one_blocked",
        "coping above the highest water with the worst one thing blocked",
        LENGTH,
        "cases.coping_room_one_blocked_m",
        "in",
    ),
    (
        "stores_emptying_time",
        "longest time for a store to empty after the design storm",
        TIME,
        "cases.emptying_s",
        "h",
    ),
    (
        "design_overflow",
        "water that no drain takes in the design storm and that goes over an edge",
        VOLUME,
        "cases.overflow_m3",
        "gal",
    ),
    (
        "added_edge_flow",
        "flow over a lot line beyond what went over it before",
        FLOW,
        "cases.added_edge_flow_m3_per_s",
        "gal/min",
    ),
)


def _worked_out_by(
    target: str, title: str, dimension: Dimension, unit: str
) -> Callable[[Survey, object], object]:
    module, name = target.split(".")

    def measured(survey: Survey, of: object) -> object:
        work = getattr(import_module(f"checker.measure.drainage.{module}"), name)
        found: object = work(survey, of)
        return Amount(found, dimension, unit) if unit and isinstance(found, float) else found

    measured.__doc__ = f"{title[:1].upper()}{title[1:]}."
    return measured


def _register() -> None:
    dimension: Dimension
    for name, title, dimension, target, unit in _OF_SURFACES:
        surface_measure(name, title, dimension)(_worked_out_by(target, title, dimension, unit))
    for name, title, dimension, target, unit in _OF_LOT:
        lot_measure(name, title, dimension)(_worked_out_by(target, title, dimension, unit))


_register()
