"""The calculation step by step: the formula of each pipe, store and edge, its numbers, its source.

The numbers are worked out again by the same formulas that the network uses, so that a reader can
follow one line at a time; the source of each stands in the register of formulas.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.formula import FORMULAS
from checker.core.records import Record
from checker.core.units import (
    AREA,
    FLOW,
    FOOT_M,
    INCH_M,
    LENGTH,
    RATIO,
    SPEED,
    TIME,
    VOLUME,
    Amount,
)
from checker.files.sources import source
from checker.measure.drainage.cases import design_flows
from checker.measure.drainage.drawn import ground_of, need, ways_of
from checker.measure.drainage.gathering import SMOOTH_SHEET, sheet_flow
from checker.measure.drainage.network import (
    inverts,
    network_of,
    roughness_coefficient,
    soil_rate_m_per_s,
)
from checker.measure.drainage.rain import by_table, duration_name, intensity_m_per_s
from checker.water.concentration import SHORTEST_S
from checker.water.ground import design_rate_m_per_s
from checker.water.outlets import Infiltration
from checker.water.pipes import pipe_flow_m3_per_s, pipe_normal_depth_m, wetted_section
from checker.water.runoff import rational_peak_m3_per_s
from checker.water.stores import between
from checker.water.weirs import BROAD_SI, broad_weir_head_m

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.units import System
    from checker.measure.survey import Survey


class CalculationStep(Record, kw_only=True):
    """One line of the calculation.

    Attributes:
        of: What it is about.
        what: What is worked out.
        formula: As a reader writes it.
        given: Names with amounts.
        result: What comes out.
        cites: Source and section of the formula.
    """

    of: str
    what: str
    formula: str
    given: tuple[tuple[str, Amount], ...]
    result: Amount
    cites: str


def cited(name: str) -> str:
    """Document and section of a formula in the register, e.g. `water.pipes.pipe_flow_m3_per_s`."""
    found = FORMULAS[f"checker.{name}"]
    return f"{source(found.source).document}, {found.section}"


def steps(survey: Survey, system: System) -> tuple[CalculationStep, ...]:
    """The calculation of the design storm.

    Args:
        survey: The site.
        system: Whose constants stand in the formulas.

    Raises:
        NotMeasured: The file lacks something.
        BadInput: The network cannot work.
    """
    return (
        *_catchments(survey, system),
        *_pipes(survey, system),
        *_stores(survey),
        *_edges(survey, system),
    )


def _catchments(survey: Survey, system: System) -> Iterator[CalculationStep]:
    for catchment in network_of(survey).catchments:
        if catchment.area_m2 == 0:
            continue
        most_m_per_s = intensity_m_per_s(survey, catchment.concentration_s)
        time_s = max(SHORTEST_S, catchment.concentration_s)
        peak = rational_peak_m3_per_s(catchment.runoff_fraction, most_m_per_s, catchment.area_m2)
        yield from _gathering(survey, catchment.id, system)
        yield CalculationStep(
            of=catchment.id,
            what="peak flow off it, by the rain of its time of concentration",
            formula="Q = C i A",
            given=(
                ("t", Amount(time_s, TIME, "min")),
                ("C", Amount(catchment.runoff_fraction, RATIO)),
                ("i", Amount(most_m_per_s, SPEED)),
                ("A", Amount(catchment.area_m2, AREA)),
            ),
            result=Amount(peak, FLOW),
            cites=cited("water.runoff.rational_peak_m3_per_s"),
        )


def _constant(system: System, si: float, decimals: int, name: str = "k") -> str:
    """A constant of Manning's or the weir formula in metres or in feet.

    Manning's grows with the cube root of the feet in a metre, a weir's with the square root.
    """
    if system == "metric":
        return f"{name} = {si:.{decimals}f}, metres and seconds"
    feet = si / FOOT_M ** (1 / 3 if name == "k" else 1 / 2)
    return f"{name} = {feet:.{decimals}f}, feet and seconds"


def _sheet_formula(system: System) -> str:
    """The kinematic wave with its constant in the units of a page."""
    feet, k = "in/h, ft", 0.933
    if system == "metric":
        feet, k = "mm/h, m", 0.933 * (1000 * INCH_M) ** 0.4 / FOOT_M**0.6
    return f"t = {k:.3g} / i^0.4 (n L / S^0.5)^0.6, i of that very time; minutes, {feet}"


def _gathering(survey: Survey, name: str, system: System) -> Iterator[CalculationStep]:
    """Time in which a sheet of water runs down a panel."""
    found = None if by_table(survey) is None else sheet_flow(survey, name)
    if found is None:
        return
    what = "minutes in which a sheet of water runs down it; five at least are taken"
    if max(SHORTEST_S, found.time_s) < found.begins_s:
        what = (
            "minutes in which a sheet of water runs down it at most, by "
            f"{duration_name(found.begins_s)} rain, the first of the table"
        )
    yield CalculationStep(
        of=name,
        what=what,
        formula=_sheet_formula(system),
        given=(
            ("L", Amount(found.length_m, LENGTH)),
            ("S", Amount(found.pitch_fraction, RATIO, "%")),
            ("n", Amount(SMOOTH_SHEET, RATIO)),
        ),
        result=Amount(found.time_s / 60, RATIO),
        cites=cited("water.concentration.sheet_flow_time_s"),
    )


def _pipes(survey: Survey, system: System) -> Iterator[CalculationStep]:
    flows = design_flows(survey)
    for pipe in ways_of(survey).pipes:
        slope, roughness = inverts(pipe).slope_fraction, roughness_coefficient(pipe)
        diameter_m = need(pipe.diameter_m, "diameter", pipe.id)
        given = (
            ("D", Amount(diameter_m, LENGTH, "in")),
            ("S", Amount(slope, RATIO, "%")),
            ("n", Amount(roughness, RATIO)),
        )
        full = pipe_flow_m3_per_s(diameter_m, slope, roughness)
        yield CalculationStep(
            of=pipe.id,
            what="flow when just full",
            formula="Q = (k/n) A R^(2/3) S^(1/2), " + _constant(system, 1.0, 3),
            given=given,
            result=Amount(full, FLOW),
            cites=cited("water.pipes.pipe_flow_m3_per_s"),
        )
        peak = min(flows.asked_m3_per_s(pipe.id), full)
        if peak > 0:
            depth_m = pipe_normal_depth_m(peak, diameter_m, slope, roughness)
            yield CalculationStep(
                of=pipe.id,
                what="depth at the peak",
                formula="the depth at which Manning's equation gives the peak",
                given=(("Q", Amount(peak, FLOW)), *given),
                result=Amount(depth_m, LENGTH, "in"),
                cites=cited("water.pipes.pipe_normal_depth_m"),
            )
            area_m2, _ = wetted_section(diameter_m, depth_m)
            yield CalculationStep(
                of=pipe.id,
                what="speed at the peak",
                formula="V = Q / A",
                given=(("Q", Amount(peak, FLOW)), ("A", Amount(area_m2, AREA, "sq in"))),
                result=Amount(peak / area_m2, SPEED, "ft/s"),
                cites=cited("water.pipes.wetted_section"),
            )


def _stores(survey: Survey) -> Iterator[CalculationStep]:
    flows = design_flows(survey)
    ground = ground_of(survey)
    for pit, store in zip(ways_of(survey).pits, network_of(survey).stores, strict=True):
        measured = (
            pit.rate_m_per_s if pit.rate_m_per_s is not None else ground.measured_rate_m_per_s
        )
        factor = ground.safety_factor
        if measured is not None and factor is not None:
            yield CalculationStep(
                of=pit.id,
                what="rate of the soil to design with",
                formula="f = measured rate / safety factor",
                given=(("measured", Amount(measured, SPEED)), ("factor", Amount(factor, RATIO))),
                result=Amount(design_rate_m_per_s(measured, factor), SPEED),
                cites=cited("water.ground.design_rate_m_per_s"),
            )
        openings = [o for o in store.outlets if not isinstance(o, Infiltration)]
        lowest_m = min((o.bends_m[0] for o in openings), default=store.shape.levels_m[-1])
        held = between(lowest_m, store.shape.levels_m, store.shape.stored_m3)
        yield CalculationStep(
            of=pit.id,
            what="water held below its lowest opening",
            formula="V = sum of layers: area x depth x porosity",
            given=(
                ("from", Amount(store.shape.bottom_m, LENGTH)),
                ("to", Amount(lowest_m, LENGTH)),
            ),
            result=Amount(held, VOLUME),
            cites=cited("water.stores.stone_bed"),
        )
        stand = flows.stands.get(pit.id)
        if stand is not None and stand.emptied_s is not None and stand.emptied_s < 1e9:
            rate = soil_rate_m_per_s(pit, survey)
            yield CalculationStep(
                of=pit.id,
                what="time from the end of the rain until empty, routed",
                formula="dS/dt = I - O, solved line by line of its table",
                given=(
                    ("highest water", Amount(stand.level_m, LENGTH)),
                    ("f", Amount(rate, SPEED)),
                ),
                result=Amount(stand.emptied_s, TIME),
                cites="Conservation of mass, worked by hand beside the formula",
            )


def _edges(survey: Survey, system: System) -> Iterator[CalculationStep]:
    flows = design_flows(survey)
    for edge in network_of(survey).edges:
        peak = flows.peak_m3_per_s(edge.id)
        yield CalculationStep(
            of=edge.id,
            what="water over the edge at the peak",
            formula="H = (Q / (C L))^(2/3), " + _constant(system, BROAD_SI, 2, "C"),
            given=(("Q", Amount(peak, FLOW)), ("L", Amount(edge.length_m, LENGTH))),
            result=Amount(broad_weir_head_m(edge.length_m, peak), LENGTH, "in"),
            cites=cited("water.weirs.broad_weir_head_m"),
        )
