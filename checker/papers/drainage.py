"""The part of a report on drainage: areas, falls, drains, stores, what if something is blocked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.units import UNIT
from checker.drawing.drainage_plan import drainage_plan_svg
from checker.drawing.hydrograph import Chart, FlowCurve, hydrograph_svg
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.cases import design_flows
from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import storm
from checker.pages.blocks import Bullets, Page, Picture, Section, Text
from checker.papers.drainage_tables import WaterPages
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from checker.findings.checked import Checked
    from checker.pages.blocks import Block

PARTS: Final = ("panels", "ways_out")
HYDROGRAPH: Final = "hydrograph.svg"
PLAN: Final = "drainage-plan.svg"
_PLAN_SAYS: Final = (
    "The plan with the fall of each panel as an arrow, levels, drains, pipes, stores and overflow "
    "edges; the tables of drainage list the same. Numbers are those of the blocked cases."
)
CAUTIONS: Final = (
    (
        "Water led onto a neighbour's land, toward a building, a septic field or a well is a "
        "matter of local code: ask before anything is built."
    ),
    (
        "Sizes, levels and what happens when something is blocked are worked out from what the "
        "site file says. A licensed engineer confirms them."
    ),
    (
        "Find utility lines and the pool's bonding before digging for pipes and wells; deep pits "
        "need protection against cave-in."
    ),
)


def has_drainage(checked: Checked) -> bool:
    """Whether the site file draws anything of drainage."""
    return any(part in checked.site.parts for part in PARTS)


def drainage_page(checked: Checked) -> Page:
    """All of the drainage of a site as a page of its own, with sizes and every step.

    Raises:
        BadInput: The drainage of the site has problems.
    """
    from checker.papers.drainage_steps import sizes_section, steps_section

    found = drainage_part(checked)
    nothing = Text(("The site file has no panels and no ways out.",))
    more = (*sizes_section(checked), *steps_section(checked)) if found else ()
    return Page(
        title=f"Drainage: {clean(checked.site.title)}",
        above=() if found else (nothing,),
        sections=(*found, *more),
        below=(),
    )


def drainage_part(checked: Checked) -> tuple[Section, ...]:
    """The sections of a report about drainage; empty when the site draws none.

    Raises:
        BadInput: The drainage of the site has problems.
    """
    if not has_drainage(checked):
        return ()
    pages = WaterPages(checked)
    parts = (
        ("drainage-rain", "Rain and method", pages.rain),
        ("drainage-plan", "Drainage plan", lambda: _plan(checked)),
        ("drainage-areas", "Whose water goes where", pages.areas),
        ("drainage-falls", "Falls of the paving", pages.falls),
        ("drainage-drains", "Drains and pipes in the design storm", pages.drains),
        ("drainage-flows", "Flows over time", lambda: _figure(checked)),
        ("drainage-stores", "Dry wells and reservoirs", pages.stores),
        ("drainage-blocked", "With something blocked", pages.blocked),
        ("drainage-rare", "The rare storm", pages.rare),
    )
    inner: list[Block] = [Bullets(CAUTIONS, "Cautions", "caution")]
    inner += [Section(key, title, _filled(make)) for key, title, make in parts]
    return (Section("drainage", "Drainage", tuple(inner)),)


def _filled(make: Callable[[], Iterator[Block]]) -> tuple[Block, ...]:
    """The blocks of a part, or what must be given for it."""
    try:
        return tuple(make())
    except (NotMeasured, OutOfRange) as lacks:
        return (Text((f"Cannot tell: {clean(str(lacks))}.",), "note"),)


def drainage_drawings(checked: Checked) -> dict[str, str]:
    """The charts of a report by the names of their files; none when nothing can be worked out."""
    if not has_drainage(checked):
        return {}
    found = {PLAN: drainage_plan_svg(checked, _PLAN_SAYS)}
    try:
        found[HYDROGRAPH] = hydrograph_svg(_chart(checked), checked.system)
    except (NotMeasured, OutOfRange):
        return found
    return found


def _plan(checked: Checked) -> Iterator[Block]:
    svg = drainage_plan_svg(checked, _PLAN_SAYS)
    yield Picture(svg, PLAN, _PLAN_SAYS, "Drainage plan, to scale.", "Drainage plan")


def _figure(checked: Checked) -> Iterator[Block]:
    chart = _chart(checked)
    svg = hydrograph_svg(chart, checked.system)
    yield Picture(svg, HYDROGRAPH, chart.says, f"{chart.name}.", chart.name)


def _chart(checked: Checked) -> Chart:
    flows = design_flows(checked.survey)
    rain = storm(checked.survey, "design")
    network = network_of(checked.survey)
    curves = []
    for word, elements in (("into", network.stores), ("out of", network.outlets)):
        for element in elements:
            flow = flows.arriving_m3_per_s(element.id)
            if flow is not None:
                curves.append(FlowCurve(f"{word} {clean(element.id)}", flow.tolist()))
    if not curves:
        raise NotMeasured("no water comes to any store or outlet in the design storm")
    unit = "gal/min" if checked.system == "us" else "L/s"
    peaks = "; ".join(
        f"{curve.title} {max(curve.flow_m3_per_s) / UNIT[unit].size_si:.1f} {unit}"
        for curve in curves
    )
    return Chart(
        name="Hydrographs of the design storm",
        says=f"Rain of the {clean(rain.title)} storm and the flows it makes; peaks: {peaks}.",
        step_s=flows.step_s,
        rain_m=rain.depths_m,
        curves=curves,
        hours=rain.duration_s / 3600 * 1.5 + 1,
    )
