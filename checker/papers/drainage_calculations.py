"""Drainage calculations: printed from the drainage measures, or what to give for them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.problems import BadInput
from checker.core.units import LENGTH, SPEED, Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ground_of, storms_of, ways_of
from checker.pages.blocks import Block, Bullets, caution, para, part
from checker.pages.paper import Paper
from checker.papers.water_tables import WaterTables
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.pages.blocks import Table
    from checker.papers.job import Job

WHAT_TO_GIVE: Final = (
    "No drainage calculation can be made yet. Give 'ways_out' (inlets, pipes, stores, outlets, "
    "overflow edges), 'ground' (soil, soaking rate and how it was tested) and 'storms' (the rain "
    "table and the design storm) in the site file."
)
METHOD: Final = (
    "Rain falls on each area in steps of time; an area passes on its runoff share of it; water "
    "goes on through drains, pipes and stores, and over edges where they are full."
)
NEEDED: Final = ("ways_out", "storms")


def drainage_calculations(job: Job, number: str) -> Paper:
    """The calculations."""
    blocks: list[Block] = []
    if has_drainage(job):
        tables = WaterTables(job)
        blocks = [part("Basis", *_basis(job))]
        for title, makes in (
            ("Rain and areas", (tables.rain, tables.areas)),
            ("Drains, pipes and stores", (tables.drains, tables.pipes, tables.stores)),
            ("What leaves", (tables.leaving, tables.balance)),
        ):
            blocks.append(part(title, *_made(makes)))
        blocks.append(
            caution(
                "Not verified: worked out from what the site file says. Only a licensed engineer "
                "may certify it."
            )
        )
    return Paper(
        id="drainage-calculations",
        number=number,
        title="Drainage calculations",
        blocks=tuple(blocks) or (caution(WHAT_TO_GIVE),),
        is_empty=not blocks,
    )


def has_drainage(job: Job) -> bool:
    """Whether the site file has the parts that a calculation starts from."""
    return all(job.checked.site.parts.get(part) for part in NEEDED)


def _made(makes: tuple[Callable[[], Table], ...]) -> list[Block]:
    """Tables; what lacks for one stands in its place, and is said once."""
    found: list[Block] = []
    for make in makes:
        try:
            table = make()
        except (NotMeasured, OutOfRange) as lacks:
            block: Block = caution(f"Cannot be worked out: {clean(lacks)}.")
        except BadInput as wrong:
            says = "; ".join(clean(f"{p.says}; {p.do}" if p.do else p.says) for p in wrong.problems)
            block = caution(f"The drainage as drawn cannot work: {says}.")
        else:
            block = table if table.rows else para(f"{table.caption}: none drawn.", "fine")
        if block not in found:
            found.append(block)
    return found


def _basis(job: Job) -> list[Block]:
    """Method, sources and assumptions, before any number."""
    survey = job.checked.survey
    try:
        ground, storms, ways = ground_of(survey), storms_of(survey), ways_of(survey)
    except NotMeasured as lacks:
        return [caution(f"Cannot be worked out: {clean(lacks)}.")]
    figures = job.figures
    said = [
        METHOD,
        f"Rain: {clean(storms.table)}." if storms.table else "Rain: as typed in the site file.",
    ]
    if ground.measured_rate_m_per_s is not None:
        rate = figures.add(
            "water.rate.measured", "measured rate", Amount(ground.measured_rate_m_per_s, SPEED)
        )
        factor = ground.safety_factor
        text = f"Measured soaking rate: {rate}"
        if factor is not None:
            design = figures.add(
                "water.rate.design",
                "design rate",
                Amount(ground.measured_rate_m_per_s / factor, SPEED),
            )
            factor_text = figures.add_text("water.rate.factor", "safety factor", f"{factor:g}")
            text += f", divided by a safety factor of {factor_text}: {design}"
        tests = "not given" if ground.tests_count is None else str(ground.tests_count)
        said.append(f"{text}. Number of tests: {tests}.")
    else:
        said.append("Soaking rate: not given (not verified).")
    if ground.water_table_depth_m is not None:
        depth = figures.add(
            "water.table", "depth of high water", Amount(ground.water_table_depth_m, LENGTH)
        )
        said.append(f"Seasonal high water: {depth} below the ground.")
    clogged = figures.add_text(
        "water.clogged", "clogged share", f"{ways.clogged_fraction * 100:g} %"
    )
    said.append(f"Openings count as clogged by {clogged} where a drain does not say otherwise.")
    said.append("Only what lies below the lowest way out of a store counts as stored for the soil.")
    return [Bullets(tuple(said))]


def result_blocks(job: Job) -> list[Block]:
    """The results for the narrative; empty without a calculation."""
    if not has_drainage(job):
        return []
    tables = WaterTables(job)
    return _made((tables.leaving, tables.stores, tables.pipes))


def overflow_blocks(job: Job) -> list[Block]:
    """What the calculation says of full, blocked and clogged ways out; empty without one."""
    if not has_drainage(job):
        return []
    tables = WaterTables(job)
    return _made((tables.ways, tables.blocked, tables.levels))
