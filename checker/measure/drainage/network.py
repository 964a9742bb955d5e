"""The network of a site: what is drawn, as the plain elements that `water` works with."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Problem
from checker.core.records import Record, replace
from checker.courses.upkeep import surface_test
from checker.files.tables import table
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ground_of, need, places_of, ways_of
from checker.measure.drainage.gathering import concentration_s
from checker.measure.drainage.inlets import SPILL_DEPTH_M, rating_of
from checker.measure.drainage.lids import LowLid, low_lids
from checker.measure.drainage.planes import planes
from checker.measure.drainage.ponds import pond_at, pond_over
from checker.measure.drainage.reservoirs import shape_of, surface_area_m2, to_the_rim
from checker.measure.drainage.sheds import sheds
from checker.measure.section.bed import need_bed
from checker.measure.section.courses import is_lined_beside
from checker.site.drainage_sizes import line_length_m
from checker.water.faults import faults
from checker.water.ground import design_rate_m_per_s
from checker.water.laws import BEND_LOSS_PER_DEGREE, RISER_LOSS
from checker.water.network import (
    SMALL_POND,
    Catchment,
    Edge,
    Inlet,
    Network,
    Outlet,
    Pipe,
    Store,
)
from checker.water.outlets import Infiltration, Orifice, Weir

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.drainage import (
        Drain,
        DrainPipe,
        DrawnInflow,
        Outfall,
        OverflowEdge,
        Pit,
        PitOutlet,
        Xy,
    )
    from checker.water.outlets import StoreOutlet

ROOF_ABOVE_M: Final = 2.5
"""A gutter lies at least this far above every level of the ground, where no rim is given."""


class Inverts(Record, kw_only=True):
    """How a pipe lies: its inverts where they are known, and its slope.

    Attributes:
        upper_m: Invert at the upper end; None when only the slope is known.
        lower_m: Invert at the lower end.
        slope_fraction: Its fall; negative when it runs uphill.
        length_m: Its length; None when not known.
    """

    upper_m: float | None
    lower_m: float | None
    slope_fraction: float
    length_m: float | None


def inverts(pipe: DrainPipe) -> Inverts:
    """How a pipe lies.

    Raises:
        NotMeasured: Neither two inverts with a length nor a slope is given.
    """
    long_m = pipe.length_m if pipe.length_m is not None else (line_length_m(pipe.points) or None)
    upper_m, lower_m, slope = pipe.upper_m, pipe.lower_m, pipe.slope_fraction
    if slope is None:
        drop_m = need(upper_m, "upper", pipe.id) - need(lower_m, "lower", pipe.id)
        slope = drop_m / need(long_m, "length", pipe.id)
    elif long_m is not None and upper_m is not None:
        lower_m = upper_m - slope * long_m
    elif long_m is not None and lower_m is not None:
        upper_m = lower_m + slope * long_m
    return Inverts(upper_m=upper_m, lower_m=lower_m, slope_fraction=slope, length_m=long_m)


def roughness_coefficient(pipe: DrainPipe) -> float:
    """Manning's n of a pipe.

    Raises:
        NotMeasured: It names no material of the table.
    """
    if pipe.roughness_coefficient is not None:
        return pipe.roughness_coefficient
    rows = {row["material"]: row["usual"] for row in table("pipe-roughness").rows}
    if not pipe.material:
        raise NotMeasured(f"give 'material' of {pipe.id}")
    if pipe.material not in rows:
        raise NotMeasured(f"'{pipe.material}' of {pipe.id} is not one of: {', '.join(rows)}")
    return float(rows[pipe.material])


def network_of(survey: Survey) -> Network:
    """The network of a site, with a catchment for every shed that goes somewhere.

    Raises:
        NotMeasured: The file lacks something that it cannot do without.
        BadInput: It cannot work: a loop, a pipe that runs uphill, an orphan.
        OutOfRange: A measure is impossible.
    """

    def build(_data: object, _document: object) -> Network:
        network = as_drawn(survey)
        _stop_at_faults(network, survey)
        least_m = {lid.end: lid.least_m for lid in lids_in_doubt(survey)}
        ends = (replace(end, level_m=least_m.get(end.id, end.level_m)) for end in network.outlets)
        return replace(network, outlets=tuple(ends))

    return survey.part("network", build)


def lids_in_doubt(survey: Survey) -> tuple[LowLid, ...]:
    """Lids of pop-ups that lie lower than they can, reckoned with as low as they can lie."""

    def find(_data: object, _document: object) -> tuple[LowLid, ...]:
        return tuple(low_lids(survey, as_drawn(survey)))

    return survey.part("lids_in_doubt", find)


def as_drawn(survey: Survey) -> Network:
    """The network as the file draws it, with the faults that it may have."""

    def build(_data: object, _document: object) -> Network:
        return _build(survey)

    return survey.part("network_as_drawn", build)


def _build(survey: Survey) -> Network:
    ways = ways_of(survey)
    levels = [d.rim_m for d in ways.drains if d.rim_m is not None]
    levels += [e.crest_m for e in ways.edges if e.crest_m is not None]
    levels += [level for level in (ways.lowest_floor_m,) if level is not None]
    roof_m = max(levels, default=0.0) + ROOF_ABOVE_M
    return Network(
        catchments=_catchments(survey),
        inlets=tuple(_inlet(drain, survey, roof_m) for drain in ways.drains),
        pipes=tuple(_pipe(pipe) for pipe in ways.pipes),
        stores=tuple(_store(pit, survey) for pit in ways.pits),
        outlets=tuple(_end(end) for end in ways.outfalls),
        edges=tuple(_edge(edge) for edge in ways.edges),
    )


def _catchments(survey: Survey) -> tuple[Catchment, ...]:
    """A catchment for every shed, named by its panel or surface, and by its way where one forks."""
    found: list[Catchment] = []
    taken: set[str] = set(places_of(ways_of(survey)))
    led = [shed for shed in sheds(survey) if shed.to]
    for shed in led:
        name = shed.panel or shed.surface
        if name in taken or sum((s.panel or s.surface) == name for s in led) > 1:
            name = f"{name} to {shed.to}"
        taken.add(name)
        found.append(
            Catchment(
                id=name,
                area_m2=shed.area_m2,
                runoff_fraction=shed.runoff_fraction,
                to=shed.to,
                concentration_s=shed.concentration_s,
            )
        )
    return (*found, *(_inflow(item, survey) for item in ways_of(survey).inflows))


def _inflow(drawn: DrawnInflow, survey: Survey) -> Catchment:
    """Water that no surface of the lot sheds, as a catchment."""
    if drawn.kind == "pumped":
        return Catchment(
            id=drawn.id,
            area_m2=0.0,
            runoff_fraction=0.0,
            to=drawn.to,
            pumped_m3_per_s=need(drawn.flow_m3_per_s, "flow", drawn.id),
            pumped_s=need(drawn.duration_s, "duration", drawn.id),
        )
    return Catchment(
        id=drawn.id,
        area_m2=need(drawn.area_m2, "area", drawn.id),
        runoff_fraction=need(drawn.runoff_fraction, "runoff", drawn.id),
        to=drawn.to,
        concentration_s=concentration_s(survey, drawn),
    )


def _inlet(drain: Drain, survey: Survey, roof_m: float) -> Inlet:
    ways = ways_of(survey)
    rim_m = drain.rim_m
    is_leader = drain.kind == "roof-leader"
    if rim_m is None and is_leader:
        rim_m = roof_m
    rim_m = need(rim_m, "rim", drain.id)
    depth_m, long_m = drain.spill_depth_m, drain.spill_length_m
    edge = next((edge for edge in ways.edges if edge.id == drain.spills_to), None)
    if edge is not None:
        long_m = long_m or line_length_m(edge.points)
        if depth_m is None and edge.crest_m is not None and not is_leader:
            depth_m = max(0.0, edge.crest_m - rim_m)
    depth_m = SPILL_DEPTH_M if depth_m is None else depth_m
    return Inlet(
        id=drain.id,
        rim_m=rim_m,
        rating=rating_of(drain, ways.clogged_fraction),
        to=drain.to,
        spills_to=drain.spills_to,
        spill_depth_m=depth_m,
        spill_length_m=long_m or 1.0,
        pond=SMALL_POND if is_leader else pond_at(survey, drain.id, rim_m, depth_m),
    )


def bend_loss(pipe: DrainPipe) -> float:
    """Sum of the loss coefficients of the bends of a pipe: as given, else those of its line."""
    if pipe.bend_loss is not None:
        return pipe.bend_loss
    turns = zip(pipe.points, pipe.points[1:], pipe.points[2:], strict=False)
    return BEND_LOSS_PER_DEGREE * sum(turn_degrees(*turn) for turn in turns)


def turn_degrees(a: Xy, b: Xy, c: Xy) -> float:
    """How far a line turns at its middle point, 0 for straight on."""
    turn = math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
    return abs(math.degrees(math.remainder(turn, 2 * math.pi)))


def _pipe(pipe: DrainPipe) -> Pipe:
    lies = inverts(pipe)
    if lies.slope_fraction <= 0 and (lies.upper_m is None or lies.lower_m is None):
        raise NotMeasured(f"give a 'slope' above 0 of {pipe.id}")
    upper_m = need(lies.upper_m, "upper", pipe.id)
    long_m = need(lies.length_m, "length", pipe.id)
    return Pipe(
        id=pipe.id,
        to=pipe.to,
        diameter_m=need(pipe.diameter_m, "diameter", pipe.id),
        length_m=long_m,
        roughness_coefficient=roughness_coefficient(pipe),
        upper_m=upper_m,
        lower_m=upper_m - lies.slope_fraction * long_m if lies.lower_m is None else lies.lower_m,
        bend_loss=bend_loss(pipe),
    )


def _end(end: Outfall) -> Outlet:
    is_riser = end.kind == "pop-up"
    usual = RISER_LOSS if is_riser else 0.0
    return Outlet(
        id=end.id,
        level_m=need(end.level_m, "level", end.id),
        limit_m3_per_s=math.inf if end.limit_m3_per_s is None else end.limit_m3_per_s,
        loss=usual if end.loss is None else end.loss,
        is_riser=is_riser,
    )


def soil_rate_m_per_s(pit: Pit, survey: Survey) -> float:
    """Rate of the soil round a store to design with; none over the liner of a section.

    Raises:
        NotMeasured: No rate or no safety factor is given.
    """
    surface = survey.site.surface_named(pit.under)
    if surface is not None and surface.section and need_bed(survey, surface).is_lined:
        return 0.0
    ground = ground_of(survey)
    measured = pit.rate_m_per_s if pit.rate_m_per_s is not None else ground.measured_rate_m_per_s
    if measured is None:
        raise NotMeasured("give 'measured_rate' under 'ground'")
    if ground.safety_factor is None:
        raise NotMeasured("give 'safety_factor' under 'ground', often 2")
    return design_rate_m_per_s(measured, ground.safety_factor)


def _is_lined_beside(pit: Pit, survey: Survey) -> bool:
    """A liner stands at a side of the stone, so that nobody knows how much of its walls is open."""
    surface = survey.site.surface_named(pit.under)
    return (
        surface is not None and bool(surface.section) and is_lined_beside(need_bed(survey, surface))
    )


def surface_rate_m_per_s(pit: Pit, survey: Survey) -> float | None:
    """Rate at which the surface over a store lets water in; None where nobody says.

    As its store says, else the mean of the ring tests of its section.
    """
    surface = survey.site.surface_named(pit.under)
    if pit.surface_rate_m_per_s is not None or surface is None or not surface.section:
        return pit.surface_rate_m_per_s
    tested = surface_test(need_bed(survey, surface).section.walk.tests_m_per_s)
    return None if tested is None else tested.mean_m_per_s


def _open_to_lowest(pit: Pit, survey: Survey) -> Pit:
    """A store whose open surface is no higher than the lowest of the paving over it."""
    if pit.kind == "basin" and pit.rim_m is None and pit.bottom_m is not None:
        return replace(pit, rim_m=pit.bottom_m + need(pit.depth_m, "depth", pit.id))
    if pit.rim_m is None or not pit.under:
        return pit
    lowest_m = [
        plane.level_at_m(plane.lowest[0])
        for plane in planes(survey).values()
        if not isinstance(plane, NotMeasured)
        and plane.level_m is not None
        and plane.panel.on == pit.under
    ]
    return replace(pit, rim_m=min([pit.rim_m, *lowest_m]))


def _store(drawn: Pit, survey: Survey) -> Store:
    pit = _open_to_lowest(drawn, survey)
    soil = Infiltration(
        rate_m_per_s=soil_rate_m_per_s(pit, survey),
        counts_base=pit.base_counts,
        counts_walls=pit.walls_count and not _is_lined_beside(pit, survey),
    )
    limit, rate_m_per_s = math.inf, surface_rate_m_per_s(pit, survey)
    if rate_m_per_s is not None:
        owner = f"{pit.id}, the surface whose rate is given"
        limit = rate_m_per_s * need(surface_area_m2(pit, survey), "under", owner)
    is_open = pit.rim_m is not None
    return Store(
        id=pit.id,
        shape=to_the_rim(pit, survey) if is_open else shape_of(pit, survey),
        outlets=(soil, *(_outlet(item, pit) for item in pit.outlets)),
        rim_m=pit.rim_m,
        spills_to=pit.spills_to,
        spill_length_m=pit.spill_length_m or 1.0,
        surface_m3_per_s=limit,
        pond=pond_over(survey, pit.under, pit.rim_m) if pit.rim_m is not None else SMALL_POND,
    )


def _outlet(item: PitOutlet, pit: Pit) -> StoreOutlet:
    owner = f"the outlet {item.id} of {pit.id}"
    if item.kind == "pipe":
        return Orifice(
            invert_m=need(item.invert_m, "invert", owner),
            diameter_m=need(item.diameter_m, "diameter", owner),
            name=item.id,
            to=item.to,
        )
    return Weir(
        crest_m=need(item.crest_m, "crest", owner),
        length_m=need(item.length_m, "length", owner),
        name=item.id,
        to=item.to,
    )


def _edge(edge: OverflowEdge) -> Edge:
    return Edge(
        id=edge.id,
        crest_m=need(edge.crest_m, "crest", edge.id),
        length_m=max(line_length_m(edge.points), 0.01),
        onto=edge.onto,
    )


def _stop_at_faults(network: Network, survey: Survey) -> None:
    found = faults(network, survey.site.length)
    if not found:
        return
    document = survey.site.document
    places = places_of(ways_of(survey))
    problems = [
        Problem(places.get(fault.element, document.place("ways_out")), fault.says, fault.do)
        for fault in found
    ]
    raise BadInput(f"{document.file}: the drainage cannot work", problems)
