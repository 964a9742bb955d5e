"""Drainage as blocks: one calculation, for the report, the terminal and the packet."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.problems import BadInput
from checker.core.records import replace
from checker.core.showing import named_in
from checker.core.units import FLOW, LENGTH, SPEED, Amount
from checker.drawing.area_map import WIDTH_MM, area_map_svg
from checker.drawing.drainage_plan import drainage_plan_svg
from checker.drawing.hydrograph import FlowCurve, Hydrograph, hydrograph_svg
from checker.drawing.layout import MM_PER_IN
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.cases import design_flows
from checker.measure.drainage.doubts import doubts
from checker.measure.drainage.drawn import ground_of, storms_of, ways_of
from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import rain_table, storm
from checker.pages.blocks import Bullets, Columns, Page, Picture, Section, Text, caution, part
from checker.pages.paper import Paper
from checker.papers.before_after import SAYS as BEFORE_AFTER_SAYS
from checker.papers.before_after import before_after_sources, before_after_table
from checker.papers.blocked_tables import (
    blocked_table,
    levels_table,
    tried_table,
    varied_table,
    ways_table,
)
from checker.papers.drainage_steps import sizes_section, steps_section, worked_formulas
from checker.papers.drainage_tables import DrainageTables
from checker.papers.filled import filled
from checker.papers.glossary import trade_words
from checker.papers.grade_line import grade_line_table, pipe_profiles
from checker.papers.names import DRAWN_ON
from checker.words.amounts import clean
from checker.words.brief import brief_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.findings.checked import Checked
    from checker.pages.blocks import Block
    from checker.words.brief import Brief

HALF_IN: Final = 3.4
"""Width of a picture of which two stand side by side."""
HYDROGRAPH: Final = "hydrograph.svg"
PLAN: Final = "drainage-plan.svg"
_PACKET: Final = ("map", "varied")
"""Parts that an office asks for, and that a report has no need of."""

AREA_MAP: Final = "drained-areas.svg"
_MAP_SAYS: Final = (
    "Drained areas by their number in the table, each with the name of what takes its water; one "
    "outline goes round all that one drain, store or edge takes, and what is led nowhere is white."
)
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
        "site file says. Not verified: only a licensed engineer may certify them."
    ),
    (
        "Find utility lines and the pool's bonding before digging for pipes and wells; deep pits "
        "need protection against cave-in."
    ),
)
SETTINGS: Final = (
    ("Rational method step by step through the storm, Q = C i A with exact factors between units."),
    (
        "Every box, store and low place on the paving has a level; pipes, openings and low edges "
        "pass what follows from the levels on both sides, both ways. All levels are solved "
        "together, step by step; what comes in goes out or stays."
    ),
    (
        "Pipes by Manning's equation, with losses of 0.5 at the entrance, 1.0 at the end, 0.0033 "
        "for each degree of a bend and 1.1 in the riser of a pop-up, all of the speed head, and "
        "never more than their entrance lets in."
    ),
    (
        "Grates and slots as weirs while shallow and as orifices when deep, the smaller flow, with "
        "the clogged share taken off edge and area alike."
    ),
    "Only what lies below the lowest outlet of a store counts as stored for the soil.",
    "Above the stone only bedding, joints and water on the paving store, each with its own holes.",
    (
        "With a rain table, even storms of every duration of it and of each time of concentration "
        "are tried beside the design storm: rules on drains, pipes, stores and overflow ask of the "
        "worst. Blocked cases take the design storm, nested where an even one was typed."
    ),
    "Uncontrolled: runs into house or pool or onto a neighbour's land, or has no outlet.",
)
WHAT_TO_GIVE: Final = (
    "No drainage calculation can be made yet. Give 'ways_out' (inlets, pipes, stores, outlets, "
    "overflow edges), 'ground' (soil, soaking rate and how it was tested) and 'storms' (the rain "
    "table and the design storm) in the site file."
)


def is_drawn(checked: Checked) -> bool:
    """Whether the site file draws anything of drainage."""
    return any(name in checked.site.parts for name in ("panels", "ways_out"))


def has_calculation(checked: Checked) -> bool:
    """Whether the site file has the parts that a calculation starts from."""
    return all(checked.site.parts.get(name) for name in ("ways_out", "storms"))


class _Drainage:
    """The parts of the calculation, by key.

    For an office the settings stand beside the map of the drained areas.
    """

    def __init__(self, brief: Brief, *, for_office: bool = False) -> None:
        self.brief = brief
        method = () if for_office else (self.settings,)
        tables = DrainageTables(brief)
        self.parts: dict[str, tuple[str, tuple[Callable[[], Block], ...]]] = {
            "rain": ("Rain and method", (self.basis, tables.rain, *method)),
            "plan": ("Drainage plan", (self.plan,)),
            "areas": ("Whose water goes where", (tables.areas, tables.inflows)),
            "map": ("Drained areas, and how it is worked out", (self.map_and_settings,)),
            "before-after": (
                "Before and after",
                (
                    lambda: before_after_table(tables),
                    lambda: Text((BEFORE_AFTER_SAYS, before_after_sources())),
                ),
            ),
            "falls": ("Falls of the paving", (tables.falls,)),
            "drains": ("Drains and pipes", (tables.drains, tables.pipes)),
            "grade-line": (
                "Grade line of the pipes",
                (
                    lambda: grade_line_table(tables),
                    lambda: self.profiles(tables.balance if for_office else None),
                ),
            ),
            "flows": ("Flows over time", (self.hydrograph,)),
            "stores": ("Dry wells and reservoirs", (tables.stores,)),
            "leaving": (
                "What leaves",
                (tables.leaving, *(() if for_office else (tables.balance,))),
            ),
            "tried": ("Every storm tried", (lambda: tried_table(tables),)),
            "varied": (
                "Other soil, more rain; the formulas",
                (lambda: varied_table(tables), lambda: worked_formulas(brief.checked)),
            ),
            "blocked": (
                "With something blocked",
                (
                    lambda: ways_table(tables),
                    lambda: blocked_table(tables),
                    lambda: levels_table(tables),
                ),
            ),
            "rare": ("The rare storm", (tables.rare,)),
        }

    def sections(self, *without: str) -> tuple[Section, ...]:
        """The parts in order, without some."""
        return tuple(
            Section(f"drainage-{key}", title, filled(self.brief.system, *makes))
            for key, (title, makes) in self.parts.items()
            if key not in without
        )

    def blocks(self, key: str) -> tuple[Block, ...]:
        """What stands in one part."""
        return filled(self.brief.system, *self.parts[key][1])

    def basis(self) -> Bullets:
        """Sources and assumptions, before any number."""
        survey, figures = self.brief.survey, self.brief.figures
        ground, ways = ground_of(survey), ways_of(survey)
        said = [f"Rain: {self.rain_source()}."]
        if ground.measured_rate_m_per_s is None:
            said.append("Soaking rate: not given (not verified).")
        else:
            measured = Amount(ground.measured_rate_m_per_s, SPEED)
            rate = figures.add("water.rate.measured", "measured rate", measured)
            text = f"Measured soaking rate: {rate}, no safety factor is given"
            if ground.safety_factor is not None:
                slow = Amount(ground.measured_rate_m_per_s / ground.safety_factor, SPEED)
                design = figures.add("water.rate.design", "design rate", slow)
                factor = f"{ground.safety_factor:g}"
                factor = figures.add_text("water.rate.factor", "safety factor", factor)
                text = (
                    f"Measured soaking rate: {rate}, divided by a safety factor of {factor}: "
                    f"{design}"
                )
            tests = "not given" if ground.tests_count is None else str(ground.tests_count)
            said.append(f"{text}. Number of tests: {tests}.")
        if ground.water_table_depth_m is not None:
            high = Amount(ground.water_table_depth_m, LENGTH)
            depth = figures.add("water.table", "depth of high water", high)
            said.append(f"Seasonal high water: {depth} below the ground.")
        for pit in ways.pits:
            if pit.bottom_is_of_section and pit.bottom_m is not None:
                level = Amount(pit.bottom_m, LENGTH)
                text = figures.add(f"water.bottom.{pit.id}", f"bottom of {clean(pit.id)}", level)
                said.append(f"Bottom of {clean(pit.id)}: {text}, where the section over it ends.")
        # What the network lacks is asked for where it is needed.
        with suppress(NotMeasured, OutOfRange, BadInput):
            said += [f"In doubt, no rule on flows is judged: {clean(d)}." for d in doubts(survey)]
        share = f"{ways.clogged_fraction * 100:g} %"
        clogged = figures.add_text("water.clogged", "clogged share", share)
        said.append(f"Openings count as clogged by {clogged} where a drain does not say otherwise.")
        return Bullets(tuple(said))

    def rain_source(self) -> str:
        """The rain table and where it is from."""
        survey = self.brief.survey
        if not storms_of(survey).table:
            return "as typed in the site file"
        try:
            origin = clean(rain_table(survey).title)
        except NotMeasured as lack:
            return f"{clean(storms_of(survey).table)}; {lack}"
        return f"{clean(storms_of(survey).table)}, from: {origin}"

    def area_map(self) -> Picture:
        """Each drained area, and all that one drain takes in one outline."""
        svg = area_map_svg(self.brief, _MAP_SAYS)
        width_in = WIDTH_MM / MM_PER_IN
        caption = "Drained areas, numbered as in the table; white is led nowhere."
        return Picture(svg, AREA_MAP, _MAP_SAYS, caption, "Drained areas", width_in)

    def map_and_settings(self) -> Columns:
        """The drained areas, with how it is worked out beside them."""
        return Columns(((self.area_map(),), (self.settings(),)))

    def settings(self) -> Bullets:
        """How it is worked out."""
        return Bullets(SETTINGS, "Settings of the calculation", "fine")

    def plan(self) -> Picture:
        """Falls, levels, drains and ways on the lot."""
        svg = drainage_plan_svg(self.brief, _PLAN_SAYS)
        return Picture(svg, PLAN, _PLAN_SAYS, "Drainage plan, to scale.", "Drainage plan")

    def profiles(self, balance: Callable[[], Block] | None) -> Block:
        """Each line of pipes in profile, two in a row; an office gets those with a rim over them.

        The balance stands where there is room.
        """
        pictures = pipe_profiles(self.brief, below_rims=balance is not None)
        found = [replace(picture, width_in=HALF_IN) for picture in pictures]
        rest = filled(self.brief.system, balance) if balance is not None else ()
        rows: list[Block] = []
        for pair in (found[at : at + 2] for at in range(0, len(found), 2)):
            columns: list[tuple[Block, ...]] = [(picture,) for picture in pair]
            if len(pair) == 1 and rest:
                columns, rest = [*columns, rest], ()
            rows.append(Columns(tuple(columns)) if len(columns) > 1 else pair[0])
        title = "Profiles of the pipes" if balance is None else "Profiles, and the balance of water"
        return part(title, *rows, *rest)

    def hydrograph(self) -> Picture:
        """Flows over time in the design storm."""
        chart = self.chart()
        svg = hydrograph_svg(chart, self.brief.system)
        return Picture(svg, HYDROGRAPH, chart.says, f"{chart.name}.", chart.name)

    def chart(self) -> Hydrograph:
        """What the hydrograph shows."""
        survey = self.brief.survey
        flows, rain, network = design_flows(survey), storm(survey, "design"), network_of(survey)
        curves, peaks = [], []
        for word, elements in (("into", network.stores), ("out of", network.outlets)):
            for element in elements:
                flow = flows.arriving_m3_per_s(element.id)
                if flow is None:
                    continue
                title = f"{word} {clean(element.id)}"
                curves.append(FlowCurve(title, flow.tolist()))
                peak = Amount(float(max(flow)), FLOW)
                key = f"water.curve.{element.id}"
                peaks.append(f"{title} {self.brief.figures.add(key, f'peak {title}', peak)}")
        title = clean(named_in(rain.title, self.brief.system))
        if not curves:
            raise NotMeasured("no water comes to any store or outlet in the design storm")
        return Hydrograph(
            name="Hydrographs of the design storm",
            says=f"Rain of the {title} storm and the flows it makes; peaks: {'; '.join(peaks)}.",
            step_s=flows.step_s,
            rain_m=rain.depths_m,
            curves=tuple(curves),
            hours=rain.duration_s / 3600 * 1.5 + 1,
        )


def drainage_part(brief: Brief) -> tuple[Section, ...]:
    """The sections of a report about drainage; empty when the site draws none."""
    if not is_drawn(brief.checked):
        return ()
    cautions = Bullets(CAUTIONS, "Cautions", "caution")
    return (
        Section(
            "drainage", "Drainage plan and flows", (cautions, *_Drainage(brief).sections(*_PACKET))
        ),
    )


def drainage_page(checked: Checked) -> Page:
    """All of the drainage of a site as a page of its own, with sizes and every step."""
    brief = brief_of(checked)
    found = drainage_part(brief)
    nothing = Text(("The site file has no panels and no outlets.",))
    return Page(
        title=f"Drainage: {clean(checked.site.title)}",
        above=() if found else (nothing,),
        sections=(*found, sizes_section(checked), steps_section(checked)) if found else (),
        below=trade_words(found),
    )


def drainage_drawings(brief: Brief) -> dict[str, str]:
    """The drawings of a report by the names of their files; those that can be worked out."""
    if not is_drawn(brief.checked):
        return {}
    drainage = _Drainage(brief)
    found = {PLAN: drainage.plan().svg}
    try:
        found[HYDROGRAPH] = drainage.hydrograph().svg
        found |= {picture.file: picture.svg for picture in pipe_profiles(brief)}
    except (NotMeasured, OutOfRange, BadInput):
        return found
    return found


def drainage_calculations(brief: Brief, number: str) -> Paper:
    """The calculations as a document; plan, falls and blocked cases stand in others."""
    is_empty = not has_calculation(brief.checked)
    blocks: tuple[Block, ...] = (caution(WHAT_TO_GIVE),)
    if not is_empty:
        drainage = _Drainage(brief, for_office=True)
        sections = drainage.sections("plan", "falls", "flows", "blocked")
        drawn = Text((DRAWN_ON,), "fine")
        blocks = tuple(part(section.title, *section.blocks) for section in sections)
        blocks = (drawn, *blocks, caution(CAUTIONS[1]))
    return Paper(
        id="drainage-calculations",
        number=number,
        title="Drainage calculations",
        blocks=blocks,
        is_empty=is_empty,
    )


def drainage_results(brief: Brief) -> tuple[Block, ...]:
    """The results for the narrative; empty without a calculation."""
    if not has_calculation(brief.checked):
        return ()
    tables = DrainageTables(brief)
    return filled(brief.system, lambda: before_after_table(tables), tables.leaving, tables.stores)


def overflow_results(brief: Brief) -> tuple[Block, ...]:
    """What the calculation says of full, blocked and clogged ways out; empty without one."""
    return _Drainage(brief).blocks("blocked") if has_calculation(brief.checked) else ()
