"""The narrative in fourteen sections: every number a figure, every claim with its clause."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.walk import nodes
from checker.core.units import AREA
from checker.findings.coverage_lines import counted_in, is_of_whole_lot
from checker.findings.model import OPEN
from checker.measure.works import PLANNED
from checker.pages.blocks import (
    Block,
    Bullets,
    Column,
    Columns,
    Table,
    Text,
    caution,
    para,
    part,
    plain,
)
from checker.pages.paper import Paper
from checker.papers.findings import verdicts_with_clauses
from checker.papers.job import NOT_GIVEN
from checker.papers.names import NUMBERS
from checker.papers.ties import ties
from checker.papers.upkeep import facilities, used_text
from checker.papers.upkeep_calendar import calendar
from checker.words.amounts import capital, clean
from checker.words.statuses import headline

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.findings.model import Finding
    from checker.papers.job import Job

_WORKSHEET = NUMBERS["coverage-worksheet"]
SECTIONS = (
    "Purpose and request",
    "Site and existing conditions",
    "Proposed work",
    "Coverage result",
    "Why this layout",
    "Stormwater idea",
    "Results",
    "Overflow and redundancy",
    "Neighbours",
    "Deviation from the standard section",
    "Erosion, sediment and trees",
    "Sequence, dates and inspections",
    "Operation and upkeep",
    "Limits of this report",
)


_ADDED_FLOW: Final = "added_edge_flow"
"""The measure of rules on water over a lot line."""

_MORE: Final = "water.design.more.peak"
_SHORT: Final = 4
"""A list that is no longer stands in one column."""


def narrative(job: Job, number: str, water: Sequence[Block]) -> Paper:
    """The narrative.

    Args:
        job: What the documents read.
        number: Its number in the index.
        water: The results of the drainage calculation; empty without one.
    """
    bodies = (
        _purpose(job),
        _site(job),
        _work(job),
        _coverage(job),
        _layout(job),
        _stormwater(job),
        list(water) or [_blank("Drainage calculations", "ways_out, ground and storms")],
        _overflow(job),
        _neighbours(job),
        _deviation(job),
        _erosion(job),
        _sequence(job),
        _upkeep(job),
        _limits(job),
    )
    blocks = tuple(
        part(f"{index} {title}", *body)
        for index, (title, body) in enumerate(zip(SECTIONS, bodies, strict=True), 1)
    )
    return Paper(id="narrative", number=number, title="Narrative", blocks=blocks)


def _blank(what: str, key: str) -> Text:
    return para(f"{what}: {NOT_GIVEN}. To fill in: {key} in the site file.", "fine")


def _said(job: Job, key: str, what: str) -> Text:
    text = job.project.texts.get(key)
    return para(clean(text)) if text else _blank(what, f"'{key}' under 'project'")


def _purpose(job: Job) -> list[Block]:
    relief = job.project.texts.get("relief")
    said = clean(relief) if relief else NOT_GIVEN
    return [_said(job, "request", "What is to be built"), para(f"Relief asked for: {said}.")]


def _names(job: Job, stages: tuple[str, ...]) -> tuple[str, ...]:
    found = []
    for surface in job.checked.site.surfaces:
        if surface.stage not in stages:
            continue
        material = clean(surface.material.title).lower()
        if surface.stage == "replaced":
            material = f"{clean(surface.was.title).lower()} becomes {material}"
        found.append(f"{job.keys.named(surface.id)}: {material}, {used_text(job, surface.id)}")
    return tuple(found)


def _site(job: Job) -> list[Block]:
    figures, site, survey = job.figures, job.checked.site, job.project.survey
    day = survey.day.isoformat() if survey.day else "its day not given"
    by = f"{clean(survey.by)}, {day}" if survey.by else NOT_GIVEN
    blocks: list[Block] = [
        para(
            f"The lot has {figures.text('lot.area')} ({figures.text('lot.acres')}) and a perimeter "
            f"of {figures.text('lot.perimeter')}. Parcel: {job.given('parcel')}. "
            f"Base survey: {by}; vertical datum: {clean(survey.datum) or NOT_GIVEN}."
        )
    ]
    if "lot.recorded" in figures:
        recorded, apart = figures.text("lot.recorded"), figures.text("lot.difference")
        blocks.append(para(f"Recorded area: {recorded}; drawn less recorded: {apart}."))
    if site.lot.lines:
        blocks.append(_lot_lines(job))
    if "lot.precision" in figures:
        blocks.append(
            para(f"Precision of the closure of the boundary: {figures.text('lot.precision')}.")
        )
    blocks.append(para("Surfaces that stand today:"))
    blocks.append(_listed(_names(job, ("existing", "removed", "replaced")) or ("none drawn",)))
    blocks.append(_said(job, "existing", "Slopes, soil and where water goes now"))
    found = [clean(item.title) for item in site.features if item.kind not in PLANNED]
    found += [clean(item.title) for item in site.regions if item.id not in PLANNED]
    none = [kind.replace("-", " ") for kind in sorted(site.none_found)]
    blocks.append(para(f"Drawn on and near the lot: {', '.join(found) or 'nothing drawn'}."))
    blocks.append(
        para(f"Looked for, none found: {', '.join(none)}.")
        if none
        else _blank("What was looked for and not found", "'none_found'")
    )
    return blocks


def _listed(names: tuple[str, ...]) -> Block:
    """A list, in two columns where it is long."""
    if len(names) <= _SHORT:
        return Bullets(names)
    half = (len(names) + 1) // 2
    return Columns(((Bullets(names[:half]),), (Bullets(names[half:]),)))


def _lot_lines(job: Job) -> Block:
    """The lines of the lot: in a sentence where they are few, and stand on the sheet besides."""
    lines = job.checked.site.lot.lines
    if len(lines) <= _SHORT:
        said = "; ".join(
            f"L{x.number} {clean(x.label)}" + (f" ({clean(x.side)})" if x.side else "")
            for x in lines
        )
        return para(f"Lot lines as drawn: {said}.")
    rows = tuple((f"L{x.number}", clean(x.label), clean(x.side) or "–") for x in lines)
    columns = (
        Column("Line", width=0.4),
        Column("Bearing and distance", width=3),
        Column("Side"),
    )
    return Table("Lot lines as drawn", columns, rows)


def _work(job: Job) -> list[Block]:
    blocks: list[Block] = []
    for stages, title in (
        (("removed",), "Removed:"),
        (("replaced",), "Replaced:"),
        (("proposed",), "Proposed:"),
    ):
        names = _names(job, stages)
        blocks += [para(title), _listed(names)] if names else [para(f"{title} nothing.")]
    if ties(job):
        blocks.append(_distances(job))
    return [*blocks, _said(job, "work", "Levels, walls, fence and equipment")]


def _distances(job: Job) -> Table:
    """Sizes of the new work and its distances to every named lot line and the house."""
    sides = list(dict.fromkeys(line.side for line in job.checked.site.lot.lines if line.side))
    rows = []
    for tie in ties(job):
        lines = [job.figures.text(f"distance.{tie.id}.{side}") for side in sides]
        rows.append((tie.key, tie.title, tie.size, tie.line, *lines, tie.house))
    columns = (
        Column("Key", width=0.4),
        Column("Surface", width=1.2),
        Column("Size", is_number=True, width=1.6),
        Column("Nearest line", is_number=True, width=0.9),
        *(Column(capital(clean(side)), is_number=True, width=0.9) for side in sides),
        Column("House", is_number=True, width=0.9),
    )
    return Table(
        "New work: size and distances to the lot lines and the house", columns, tuple(rows)
    )


def _coverage(job: Job) -> list[Block]:
    blocks: list[Block] = [para(headline(job.checked.verdict))]
    blocks += [
        para(_result(job, finding))
        for finding in job.checked.verdict.findings
        if counted_in(finding, job.checked)
    ]
    blocks += verdicts_with_clauses(job)
    said = f"How each surface is counted, and by which clause: document {_WORKSHEET}."
    blocks.append(para(said))
    for coverage in job.coverages:
        lines = job.lines(coverage)
        asks = dict.fromkeys(ask for item in lines for ask in item.asks)
        if asks:
            blocks.append(caution("Not verified, and counted at the unfavourable end:"))
            blocks.append(Bullets(tuple(map(capital, asks))))
    answers = job.project.rows.get("answers", ())
    for row in answers:
        who = ", ".join(part for part in (clean(row.get("by", "")), row.get("date", "")) if part)
        blocks.append(
            para(
                f"Asked: {clean(row['question'])} Answer: {clean(row['answer'])} "
                f"({who or NOT_GIVEN})."
            )
        )
    return blocks


def _result(job: Job, finding: Finding) -> str:
    figures, at = job.figures, f"rule.{finding.rule}"
    if f"{at}.measured" not in figures:
        return f"{clean(finding.title)}: {finding.status}. {clean(finding.because)}"
    said = (
        f"{clean(finding.title)}: {figures.text(f'{at}.measured')} against a limit of "
        f"{figures.text(f'{at}.limit')} (test: {finding.order}); "
        f"{_room(figures.text(f'{at}.margin'), finding)}"
    )
    names = counted_in(finding, job.checked)
    limit = f"limit.{names[0]}.{finding.rule}" if names else ""
    measured = finding.measured
    if f"{limit}.proposed_share" in figures and measured and measured.dimension == AREA:
        share, most = (figures.text(f"{limit}.{which}_share") for which in ("proposed", "maximum"))
        land = "of the lot" if is_of_whole_lot(finding, job.checked) else "of that land"
        said += f"; {share} {land} against {most}"
    if is_of_whole_lot(finding, job.checked):
        # In the rounding of the limit beside it where the worksheet has it so.
        key = f"{limit}.existing" if f"{limit}.existing" in figures else ""
        before = figures.text(key or f"cover.{names[0]}.total.existing")
        said += f"; existing {before} ({figures.text(f'cover.{names[0]}.existing_share')})"
    verdict = finding.status + (", not verified" if finding.status in OPEN else "")
    return f"{said}. Verdict: {verdict}. Clause: {clean(str(finding.citation))}."


def _room(margin: str, finding: Finding) -> str:
    """The room left, or by how much the limit is missed."""
    if not margin.startswith("−"):
        return f"room left {margin}"
    word = "over" if finding.order in {"at most", "less than"} else "short"
    return f"{word} by {margin.removeprefix('−')}"


def _layout(job: Job) -> list[Block]:
    rows = job.project.rows.get("alternatives", ())
    if not rows:
        return [_blank("Alternatives tried and rejected", "'alternatives' under 'project'")]
    said = tuple(f"{clean(row['tried'])}: rejected, {clean(row['because'])}" for row in rows)
    return [para("Layouts that were tried and rejected:"), Bullets(said)]


def _stormwater(job: Job) -> list[Block]:
    return [_said(job, "stormwater", "Where water goes during and after building")]


def _overflow(job: Job) -> list[Block]:
    told = _said(job, "overflow", "Where water goes when everything is full")
    if "ways_out" not in job.checked.site.parts and "overflow" not in job.project.texts:
        return [para("No drain and no way out is drawn: nothing can be stated of overflow.")]
    said = f"See document {NUMBERS['overflow-statement']}, Overflow and redundancy statement."
    return [told, para(said)]


def _neighbours(job: Job) -> list[Block]:
    """What the applicant says, and beside it what the calculation says."""
    reckoned = [
        para(f"By the drainage calculation: {clean(finding.title).lower()}: {finding.status}.")
        for finding in job.checked.verdict.findings
        if any(
            isinstance(node, n.Named) and node.name == _ADDED_FLOW
            for part in finding.parts
            for node in nodes(part.node.measured)
        )
    ]
    if _MORE in job.figures:
        more = job.figures.text(_MORE)
        says = f"At its peak the design storm sheds {more} more off the whole lot than today"
        if more.startswith("−"):
            says = (
                f"At its peak the design storm sheds {more[1:]} less off the whole lot than today"
            )
        reckoned.append(para(f"{says}, before what is stored and soaked away."))
    if "neighbours" in job.project.texts:
        return [_said(job, "neighbours", ""), *reckoned]
    return [
        *reckoned,
        _blank("Neighbours", "'neighbours' under 'project'"),
        para(
            "To be stated by the designer: whether any new or concentrated water crosses a lot "
            "line, and where it does, the written consent of the owner beyond it.",
            "fine",
        ),
    ]


def _deviation(job: Job) -> list[Block]:
    if not job.project.deviation:
        return [para("No change of the standard section is asked for.")]
    said = f"A change is asked for: document {NUMBERS['deviation-request']}."
    return [para(f"{said} It is not valid until the engineer of record and the office sign.")]


def _erosion(job: Job) -> list[Block]:
    listed = tuple(map(clean, job.project.erosion))
    blocks: list[Block] = [
        para(f"{capital('; '.join(listed))}.")
        if listed
        else _blank("Measures against erosion", "'erosion' under 'project'")
    ]
    return [*blocks, _said(job, "trees", "Trees")]


def _sequence(job: Job) -> list[Block]:
    start, end = (
        day.isoformat() if day else NOT_GIVEN for day in (job.project.start, job.project.stabilised)
    )
    return [
        para(f"Start of work: {start}. Final stabilisation: {end}."),
        para(f"Steps, hold points and photographs: document {NUMBERS['sequence']}."),
    ]


def _upkeep(job: Job) -> list[Block]:
    person = job.project.people.get("upkeep_by") or job.project.people.get("owner")
    who = "; ".join(map(clean, person.lines())) if person else NOT_GIVEN
    if not facilities(job):
        return [para("No permeable paving and no drain is drawn: there is no plan of upkeep.")]
    tasks = ", ".join(plain(row[0]).lower() for row in calendar().rows)
    return [
        para(f"Responsible: {who}."),
        para(f"Tasks: {tasks}. Calendar and log: document {NUMBERS['upkeep-plan']}."),
    ]


def _limits(job: Job) -> list[Block]:
    open_ones = [
        f"{clean(finding.title)}: {clean(finding.because).rstrip('.?')}"
        for finding in job.checked.verdict.findings
        if finding.status in OPEN
    ]
    left_out = [f"Left out of the rule set: {clean(text)}" for text in job.checked.ruleset.left_out]
    listed = (
        "Nothing here was measured on the ground by the program: it reads what the site file says.",
        (
            "Only a licensed surveyor may certify boundaries, levels and areas as built; only a "
            "licensed engineer drainage, structures and a changed section. The office decides how "
            "a clause is read."
        ),
    )
    blocks: list[Block] = [Bullets(listed)]
    if open_ones:
        blocks.append(caution(f"Not verified: {'; '.join(open_ones)}."))
    if left_out:
        blocks.append(Bullets(tuple(left_out)))
    return [*blocks, para(clean(job.checked.ruleset.verify))]
