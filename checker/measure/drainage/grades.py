"""Grades of drains and pipes: do pipes fall, are they covered and wide enough, lie drains low."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.units import INCH_M, meets
from checker.files.tables import table
from checker.measure.catalogue import NONE_NEAR_M, NotMeasured
from checker.measure.drainage.drawn import need, ways_of
from checker.measure.drainage.network import inverts, network_of, roughness_coefficient
from checker.measure.drainage.pipe_runs import hold_to_its_length
from checker.measure.drainage.planes import BESIDE_M, line_of, planes
from checker.measure.drainage.sheds import sheds
from checker.measure.drainage.tried import tried_flows
from checker.water.pipe_losses import grade_lines
from checker.water.pipes import manning_velocity_m_per_s

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.measure.survey import Survey
    from checker.site.drainage import DrainPipe


def pipe_falls(survey: Survey) -> dict[str, float]:
    """Slope of each pipe, a fraction."""
    return {pipe.id: _fall_fraction(survey, pipe) for pipe in ways_of(survey).pipes}


def _fall_fraction(survey: Survey, pipe: DrainPipe) -> float:
    """Slope of a pipe, where its length can be what the file says."""
    hold_to_its_length(survey, pipe)
    return inverts(pipe).slope_fraction


def fall_asked_fraction(diameter_m: float) -> float:
    """Least slope of a pipe of a size by the table `drain-slopes`."""
    rows = table("drain-slopes").rows
    for row in rows:
        if meets(diameter_m / INCH_M, row["size_to"], "at most"):
            return float(row["slope"]) / 12
    return float(rows[-1]["slope"]) / 12


def pipe_fall_shares(survey: Survey) -> dict[str, float]:
    """Slope of each pipe over what its size asks."""
    return {
        pipe.id: _fall_fraction(survey, pipe)
        / fall_asked_fraction(need(pipe.diameter_m, "diameter", pipe.id))
        for pipe in ways_of(survey).pipes
    }


def pipe_covers(survey: Survey) -> dict[str, float]:
    """Ground over each pipe, m: as given, or below the drain at its upper end."""
    return {pipe.id: _cover_m(pipe, survey) for pipe in ways_of(survey).pipes}


def least(of_each: Mapping[str, float]) -> float:
    """The least of what each has; endless where there is none."""
    return min(of_each.values(), default=NONE_NEAR_M)


def _cover_m(pipe: DrainPipe, survey: Survey) -> float:
    if pipe.cover_m is not None:
        return pipe.cover_m
    rims = [
        drain.rim_m
        for drain in ways_of(survey).drains
        if drain.to == pipe.id and drain.kind != "roof-leader" and drain.rim_m is not None
    ]
    upper_m = inverts(pipe).upper_m
    if not rims or upper_m is None:
        raise NotMeasured(f"give 'cover' of {pipe.id}")
    return min(rims) - upper_m - need(pipe.diameter_m, "diameter", pipe.id)


def grade_line_rooms(survey: Survey) -> dict[str, float]:
    """Least that the water in the pipes stays below each rim, m, in any storm tried."""
    network = network_of(survey)
    found: dict[str, float] = {}
    for flows in tried_flows(survey):
        for line in grade_lines(network, flows):
            for top in line.tops:
                if not is_leader(survey, top.id):
                    room_m = top.rim_m - line.upper_m
                    found[top.id] = min(found.get(top.id, NONE_NEAR_M), room_m)
    return found


def is_leader(survey: Survey, drain: str) -> bool:
    """Whether an inlet is the top of a roof leader."""
    return any(d.id == drain and d.kind == "roof-leader" for d in ways_of(survey).drains)


def drain_drops(survey: Survey) -> dict[str, float]:
    """How far each drain lies below the paving beside it, m; below 0 where it stands out."""
    found = {}
    for drain in ways_of(survey).drains:
        if drain.kind == "roof-leader" or not drain.points:
            continue
        rim_m = need(drain.rim_m, "rim", drain.id)
        line = line_of(drain.points)
        beside = [
            plane
            for plane in planes(survey).values()
            if not isinstance(plane, NotMeasured) and plane.shape.distance(line) <= BESIDE_M
        ]
        levels = [
            plane.level_at_m(point)
            for plane in beside
            if plane.level_m is not None
            for point in drain.points
        ]
        if levels:
            found[drain.id] = min(levels) - rim_m
    if not found and any(drain.kind != "roof-leader" for drain in ways_of(survey).drains):
        raise NotMeasured("give drains with a place and a 'rim' beside panels with 'levels'")
    return found


def undrained(survey: Survey) -> dict[str, float]:
    """Sealed area of each surface whose water nobody leads anywhere, m2."""
    found: dict[str, float] = {}
    for shed in sheds(survey):
        if shed.nature == "sealed" and not shed.to:
            found[shed.surface] = found.get(shed.surface, 0.0) + shed.area_m2
    return found


def narrowing(survey: Survey) -> dict[str, float]:
    """1 for each pipe that leads, also through the box of a drain, into a smaller one, else 0."""
    ways = ways_of(survey)
    through = {drain.id: drain.to for drain in ways.drains}
    inside_m = {p.id: need(p.diameter_m, "diameter", p.id) for p in ways.pipes}
    below = {pipe.id: through.get(pipe.to, pipe.to) for pipe in ways.pipes}
    return {
        pipe: float(to in inside_m and not meets(inside_m[to], inside_m[pipe], "at least"))
        for pipe, to in below.items()
    }


def full_speeds(survey: Survey) -> dict[str, float]:
    """Speed of each pipe when it runs just full by its own fall, m/s."""
    return {
        pipe.id: manning_velocity_m_per_s(
            need(pipe.diameter_m, "diameter", pipe.id) / 4,
            max(0.0, _fall_fraction(survey, pipe)),
            roughness_coefficient(pipe),
        )
        for pipe in ways_of(survey).pipes
    }
