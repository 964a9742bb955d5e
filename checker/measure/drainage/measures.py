"""The measures of drainage; what works them out is imported when one is asked."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Final

from checker.core import lazily
from checker.core.units import AREA, FLOW, LENGTH, RATIO, SPEED, TIME, VOLUME
from checker.measure.catalogue import lot_measure, surface_measure

if TYPE_CHECKING:
    from checker.measure.drainage import (
        barriers,
        before_after,
        built,
        capacity,
        cases,
        cleanouts,
        doubts,
        grades,
        planes,
        rain,
    )
    from checker.measure.survey import Survey
    from checker.site.model import Shape, Surface
else:
    barriers = lazily.module("checker.measure.drainage.barriers")
    before_after = lazily.module("checker.measure.drainage.before_after")
    built = lazily.module("checker.measure.drainage.built")
    capacity = lazily.module("checker.measure.drainage.capacity")
    cases = lazily.module("checker.measure.drainage.cases")
    cleanouts = lazily.module("checker.measure.drainage.cleanouts")
    doubts = lazily.module("checker.measure.drainage.doubts")
    grades = lazily.module("checker.measure.drainage.grades")
    planes = lazily.module("checker.measure.drainage.planes")
    rain = lazily.module("checker.measure.drainage.rain")

Measure = Callable[["Survey", "Shape | None"], object]

_ASTRAY: Final = "water into house or pool, onto a neighbour's land or without a way"


def _of_flows(work: Measure) -> Measure:
    """A measure that hangs on flows: where the file leaves those in doubt, nothing can be told."""

    @wraps(work)
    def measured(survey: Survey, region: Shape | None) -> object:
        doubts.hold_to_what_is_sure(survey)
        return work(survey, region)

    return measured


@surface_measure("pitch", "least fall of its panels", RATIO, "in/ft")
def pitch(survey: Survey, surface: Surface) -> object:
    return planes.pitch_fraction(survey, surface)


@surface_measure("steepest_pitch", "greatest fall of its panels", RATIO, "in/ft")
def steepest_pitch(survey: Survey, surface: Surface) -> object:
    return planes.steepest_fraction(survey, surface)


@surface_measure("level_misfit", "farthest spot level from its panel's plane", LENGTH, "in")
def level_misfit(survey: Survey, surface: Surface) -> object:
    return planes.misfit_m(survey, surface)


@surface_measure("fall_from_dwelling", "fall away from the dwelling beside it", RATIO, "in/ft")
def fall_from_dwelling(survey: Survey, surface: Surface) -> object:
    return planes.fall_from_dwelling_fraction(survey, surface)


@surface_measure("fall_from_pool", "fall away from the pool beside it", RATIO, "in/ft")
def fall_from_pool(survey: Survey, surface: Surface) -> object:
    return planes.fall_from_pool_fraction(survey, surface)


@surface_measure(
    "low_point_distance",
    "how far its lowest corner lies from a drain or overflow edge",
    LENGTH,
    "ft",
)
def low_point_distance(survey: Survey, surface: Surface) -> object:
    return planes.low_point_distance_m(survey, surface)


@lot_measure(
    "undrained_area",
    "sealed area whose water is led nowhere",
    AREA,
    each=lambda survey: grades.undrained(survey),
)
def undrained_area(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return sum(grades.undrained(survey).values())


@lot_measure(
    "least_pipe_fall",
    "least slope of any pipe",
    RATIO,
    "%",
    each=lambda survey: grades.pipe_falls(survey),
)
def least_pipe_fall(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return grades.least(grades.pipe_falls(survey))


@lot_measure(
    "pipe_fall_share",
    "slope of a pipe over what its size asks",
    RATIO,
    "%",
    each=lambda survey: grades.pipe_fall_shares(survey),
)
def pipe_fall_share(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return grades.least(grades.pipe_fall_shares(survey))


@lot_measure(
    "pipe_cover_least",
    "least ground over a pipe",
    LENGTH,
    "in",
    each=lambda survey: grades.pipe_covers(survey),
)
def pipe_cover_least(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return grades.least(grades.pipe_covers(survey))


@lot_measure(
    "pipe_room",
    "what a pipe carries over its greatest peak flow, of any storm tried",
    RATIO,
    "%",
    each=lambda survey: capacity.pipe_rooms(survey),
)
@_of_flows
def pipe_room(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return grades.least(capacity.pipe_rooms(survey))


@lot_measure(
    "grade_line_room",
    "least that the water in a pipe stays below the rim over it, in any storm tried",
    LENGTH,
    "in",
    each=lambda survey: grades.grade_line_rooms(survey),
)
@_of_flows
def grade_line_room(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return grades.least(grades.grade_line_rooms(survey))


@lot_measure(
    "drain_room",
    "what drains of a low place take over the greatest peak flow to them, of any storm tried",
    RATIO,
    "%",
    each=lambda survey: capacity.drain_rooms(survey),
)
@_of_flows
def drain_room(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return grades.least(capacity.drain_rooms(survey))


@lot_measure(
    "drain_drop_least",
    "least that a drain lies below the paving",
    LENGTH,
    "in",
    each=lambda survey: grades.drain_drops(survey),
)
def drain_drop_least(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return grades.least(grades.drain_drops(survey))


@lot_measure(
    "drain_drop_most",
    "most that a drain lies below the paving",
    LENGTH,
    "in",
    each=lambda survey: grades.drain_drops(survey),
)
def drain_drop_most(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return max(grades.drain_drops(survey).values(), default=0.0)


@lot_measure("independent_ways_out", "fewest ways out that share nothing that can silt up", RATIO)
@_of_flows
def independent_ways_out(survey: Survey, region: Shape | None) -> object:
    return cases.fewest_ways_count(survey, region)


@lot_measure(
    "water_astray",
    f"{_ASTRAY} in the worst storm tried",
    VOLUME,
    "gal",
)
@_of_flows
def water_astray(survey: Survey, region: Shape | None) -> object:
    return cases.astray_open_m3(survey, region)


@lot_measure(
    "water_astray_one_blocked",
    f"{_ASTRAY}, the worst one thing blocked",
    VOLUME,
    "gal",
)
@_of_flows
def water_astray_one_blocked(survey: Survey, region: Shape | None) -> object:
    return cases.astray_one_blocked_m3(survey, region)


@lot_measure(
    "water_astray_two_blocked",
    f"{_ASTRAY}, the worst two things blocked",
    VOLUME,
    "gal",
)
@_of_flows
def water_astray_two_blocked(survey: Survey, region: Shape | None) -> object:
    return cases.astray_two_blocked_m3(survey, region)


@lot_measure(
    "water_astray_rare",
    f"{_ASTRAY} in the rare storm",
    VOLUME,
    "gal",
)
@_of_flows
def water_astray_rare(survey: Survey, region: Shape | None) -> object:
    return cases.astray_rare_m3(survey, region)


@lot_measure("floor_room", "lowest floor above the highest water of any storm tried", LENGTH, "in")
@_of_flows
def floor_room(survey: Survey, region: Shape | None) -> object:
    return cases.floor_room_m(survey, region)


@lot_measure(
    "floor_room_one_blocked",
    "lowest floor above the highest water with the worst one thing blocked",
    LENGTH,
    "in",
)
@_of_flows
def floor_room_one_blocked(survey: Survey, region: Shape | None) -> object:
    return cases.floor_room_one_blocked_m(survey, region)


@lot_measure(
    "floor_room_rare", "lowest floor above the highest water of the rare storm", LENGTH, "in"
)
@_of_flows
def floor_room_rare(survey: Survey, region: Shape | None) -> object:
    return cases.floor_room_rare_m(survey, region)


@lot_measure(
    "coping_room_one_blocked",
    "coping above the highest water with the worst one thing blocked",
    LENGTH,
    "in",
)
@_of_flows
def coping_room_one_blocked(survey: Survey, region: Shape | None) -> object:
    return cases.coping_room_one_blocked_m(survey, region)


@lot_measure(
    "stores_emptying_time", "longest time for a store to empty after any storm tried", TIME, "h"
)
@_of_flows
def stores_emptying_time(survey: Survey, region: Shape | None) -> object:
    return cases.emptying_s(survey, region)


@lot_measure(
    "design_overflow",
    "water that no drain takes and that goes over an edge, in the worst storm tried",
    VOLUME,
    "gal",
)
@_of_flows
def design_overflow(survey: Survey, region: Shape | None) -> object:
    return cases.overflow_m3(survey, region)


@lot_measure(
    "added_edge_flow", "flow over a lot line beyond what went over it before", FLOW, "gal/min"
)
@_of_flows
def added_edge_flow(survey: Survey, region: Shape | None) -> object:
    return cases.added_edge_flow_m3_per_s(survey, region)


@lot_measure("design_return_period", "return period of the design storm, in years", RATIO)
def design_return_period(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return rain.return_period_years(survey, "design")


@lot_measure("design_duration", "duration of the design storm", TIME, "h")
def design_duration(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return rain.duration_s(survey, "design")


@lot_measure("rare_return_period", "return period of the rare storm, in years", RATIO)
def rare_return_period(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return rain.return_period_years(survey, "rare")


@lot_measure("rare_duration", "duration of the rare storm", TIME, "h")
def rare_duration(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return rain.duration_s(survey, "rare")


@lot_measure("peak_before", "peak runoff of the lot as it is, by the design storm", FLOW, "gal/min")
def peak_before(survey: Survey, region: Shape | None) -> object:
    return before_after.peak_before_m3_per_s(survey, region)


@lot_measure(
    "peak_after", "peak runoff of the lot as proposed, by the design storm", FLOW, "gal/min"
)
def peak_after(survey: Survey, region: Shape | None) -> object:
    return before_after.peak_after_m3_per_s(survey, region)


@lot_measure("runoff_before", "runoff of the lot as it is, by the design storm", VOLUME, "gal")
def runoff_before(survey: Survey, region: Shape | None) -> object:
    return before_after.runoff_before_m3(survey, region)


@lot_measure("runoff_after", "runoff of the lot as proposed, by the design storm", VOLUME, "gal")
def runoff_after(survey: Survey, region: Shape | None) -> object:
    return before_after.runoff_after_m3(survey, region)


@lot_measure("dry_wells", "number of dry wells", RATIO)
def dry_wells(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return built.dry_wells_count(survey)


@lot_measure(
    "barrier_height", "least height of a pool barrier over the finished ground by it", LENGTH, "in"
)
def barrier_height(survey: Survey, region: Shape | None) -> object:
    return barriers.least_height_m(survey, region)


@lot_measure(
    "pipes_that_narrow",
    "pipes that lead into a smaller one",
    RATIO,
    each=lambda survey: grades.narrowing(survey),
)
def pipes_that_narrow(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return sum(grades.narrowing(survey).values())


@lot_measure(
    "pipe_without_cleanout",
    "longest run of pipe that cannot be opened in between",
    LENGTH,
    "ft",
    each=lambda survey: cleanouts.runs(survey),
)
def pipe_without_cleanout(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return max(cleanouts.runs(survey).values(), default=0.0)


@lot_measure(
    "bends_without_cleanout",
    "turns of pipes by more than 45° without a cleanout",
    RATIO,
    each=lambda survey: cleanouts.bends(survey),
)
def bends_without_cleanout(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return sum(cleanouts.bends(survey).values())


@lot_measure(
    "pipe_speed_least",
    "least speed of a pipe running full",
    SPEED,
    "ft/s",
    each=lambda survey: grades.full_speeds(survey),
)
def pipe_speed_least(survey: Survey, region: Shape | None) -> object:  # noqa: ARG001
    return grades.least(grades.full_speeds(survey))
