"""Cover and index: who, where, the verdict, the permits triggered and why, and what is inside."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.units import AREA, Amount
from checker.measure.arrangement import joined, without
from checker.pages.blocks import (
    Block,
    Bullets,
    Column,
    Section,
    Table,
    TableRow,
    Text,
    caution,
    named_values,
    numbers,
    para,
    part,
    texts_of,
)
from checker.pages.paper import Paper
from checker.papers.answer import MOST_BARS, gauges, next_steps, verdict_text
from checker.papers.job import NOT_GIVEN
from checker.papers.triggers import holds, triggered
from checker.words.amounts import capital, clean
from checker.words.glossary import APPROVALS, NEEDED, states_said
from checker.words.view import checked_text, view_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.papers.checks import Preflight
    from checker.papers.job import Job
    from checker.site.project import Person
    from checker.words.glossary import APPROVALS, NEEDED, states_said
from checker.words.view import View

ROLES = {
    "owner": "Owner",
    "applicant": "Applicant",
    "preparer": "Preparer",
    "engineer": "Design engineer",
    "contractor": "Contractor",
    "upkeep_by": "Responsible for upkeep",
}


_MOST_STEPS: Final = 6
"""So many steps stand on the cover; the preflight has them all."""


def cover(job: Job, papers: Sequence[Paper], preflight: Preflight, number: str) -> Paper:
    """The cover, which also lists every other document."""
    view = view_of(job.checked, job)
    blocks: list[Block] = [
        verdict_text(view),
        *gauges(view.answer.bars[:MOST_BARS]),
        next_steps(view, _MOST_STEPS),
        _state(job, preflight),
        _project(job),
        _people(job),
        part("What is in this packet", _index(papers, job.project.revision)),
    ]
    blocks += [*_owed(view), part("Permits triggered, and why", *_permits(job))]
    blocks += [*_seals(job), _approvals(job)]
    if job.checked.site.is_invented:
        blocks.append(
            para("This lot is invented for demonstration. It is no real project.", "fine")
        )
    return Paper(id="cover", number=number, title="Cover and index", blocks=tuple(blocks))


def _state(job: Job, preflight: Preflight) -> Text:
    must, note = len(preflight.stops), len(preflight.notes)
    said = (
        "Not verified: prepared by a program from the site file; not a survey, not sealed, not "
        "legal advice. "
    )
    if must:
        missing = "thing is" if must == 1 else "things are"
        said += f"Preflight: {must} {missing} still missing or wrong, {note} to look at. "
    else:
        said += f"Preflight: nothing that must be there is missing, {note} to look at. "
    ruleset = job.checked.ruleset
    return caution(" ".join(filter(None, (said + clean(ruleset.verify), checked_text(ruleset)))))


def _project(job: Job) -> Table:
    project, facts = job.project, job.checked.site.facts
    day = job.stamp.day.isoformat() if job.stamp.day else NOT_GIVEN
    figures = job.figures
    area = f"{figures.text('lot.area')} ({figures.text('lot.acres')})"
    rows = [
        ("Project", job.named),
        ("Site address", job.given("address")),
        ("Parcel or tax number", job.given("parcel")),
        ("Legal description", job.given("legal")),
        ("Lot area", area),
        *_net_and_disturbed(job),
        *((capital(clean(key).replace("_", " ")), clean(value)) for key, value in facts.items()),
        ("Overlay districts", ", ".join(map(clean, project.overlays)) or NOT_GIVEN),
        ("Office", clean(job.submission.office) or NOT_GIVEN),
        ("Rule set", clean(job.checked.ruleset.title)),
        ("Request", job.given("request")),
        ("Revision", project.revision),
        ("Date of this set", day),
    ]
    if "lot.recorded" in figures:
        recorded, apart = figures.text("lot.recorded"), figures.text("lot.difference")
        rows.insert(5, ("Recorded lot area", f"{recorded} (drawn less recorded: {apart})"))
    return named_values("Project", rows, ("Item", "Value"))


def _net_and_disturbed(job: Job) -> list[tuple[str, str]]:
    """The lot less what easements and rights-of-way take, and the ground that work disturbs."""
    site, figures, rows = job.checked.site, job.figures, []
    taken = [r.shape for r in site.regions if r.kind in {"easement", "right-of-way"}]
    if taken:
        net = Amount(float(without(site.lot.boundary, joined(taken)).area), AREA)
        text = figures.add("lot.net", "lot less easements and rights-of-way", net)
        rows.append(("Lot less easements and rights-of-way", text))
    disturbed = job.survey.measured("disturbed_area")
    if isinstance(disturbed, Amount):
        text = figures.add("lot.disturbed", "ground that work disturbs", disturbed)
        rows.append(("Disturbed area", text))
    return rows


def _people(job: Job) -> Table:
    def lines(person: Person | None) -> str:
        return "; ".join(map(clean, person.lines())) if person else NOT_GIVEN

    rows = [(title, lines(job.project.people.get(role))) for role, title in ROLES.items()]
    survey = job.project.survey
    parts = (
        clean(survey.by),
        f"licence {clean(survey.licence)}" if survey.licence else "",
        survey.day.isoformat() if survey.day else "",
        clean(survey.reference),
        f"bearings: {clean(survey.bearings)}" if survey.bearings else "",
        f"datum {clean(survey.datum)}" if survey.datum else "",
        f"benchmark {clean(survey.benchmark)}" if survey.benchmark else "",
    )
    rows.append(("Base survey", "; ".join(part for part in parts if part) or NOT_GIVEN))
    return named_values("People and survey", rows, ("Role", "Name and contact"))


def _owed(view: View) -> Iterator[Section]:
    """Fees, permits, duties and figures that the place's rules name besides their limits."""
    rows = tuple((item.title, item.answer, item.why or item.says, item.source)
                 for item in view.results if item.answer != "not owed")  # fmt: skip
    if rows:
        columns = (
            Column("What", width=1.6),
            *texts_of("Answer"),
            Column("How it follows", width=1.8),
            Column("Clause", width=1.4),
        )
        yield part("Fees, permits and figures", Table("What each comes to, and why", columns, rows))


def _permits(job: Job) -> list[Block]:
    found = triggered(job)
    if not found:
        said = "The rule set of this place lists no thresholds: ask the office which permits apply."
        return [para(said, "fine")]
    rows = tuple(
        (
            clean(item.trigger.permit),
            item.says,
            item.figure or "–",
            item.needed if item.needed != "cannot tell" else "cannot tell (not verified)",
            clean(item.clause),
        )
        for item in found
    )
    columns = (
        Column("Permit, plan or person", width=1.5),
        Column("Needed when", width=1.8),
        *numbers("This project"),
        *texts_of("Result"),
        Column("Clause", width=1.5),
    )
    caption = "Thresholds of the place and this project's figures"
    blocks: list[Block] = [Table(caption, columns, rows)]
    asks = dict.fromkeys(ask for item in found for ask in item.asks)
    if asks:
        blocks += [para("To tell the open ones:"), Bullets(tuple(map(capital, asks)))]
    if job.project.earlier or job.submission.counts_since:
        blocks += _earlier(job)
    return blocks


def _earlier(job: Job) -> list[Block]:
    since = job.submission.counts_since
    title = f"Added since {since.isoformat()}" if since else "Added earlier"
    rows: list[tuple[str, ...]] = [
        (
            item.day.isoformat() if item.day else NOT_GIVEN,
            clean(item.says),
            clean(item.permit) or NOT_GIVEN,
            job.figures.text(f"earlier.{index}"),
        )
        for index, item in enumerate(job.project.earlier)
    ]
    if not rows:
        return [para(f"{title}: {NOT_GIVEN}. List it under 'earlier', or say that there is none.")]
    total = TableRow(("", "In all", "", job.figures.text("earlier.total")), "total")
    nets = [f"cover.{item.name}.total.net" for item in job.coverages if not item.missing][:1]
    own = tuple(
        ("", "This project, net change (beside the sum above)", "", job.figures.text(net))
        for net in nets
        if net in job.figures
    )
    columns = (
        Column("Date"),
        Column("What", width=2.5),
        *texts_of("Permit"),
        *numbers("Added"),
    )
    return [Table(title, columns, (*rows, total, *own))]


def _index(papers: Sequence[Paper], revision: str) -> Table:
    rows = tuple(
        (
            paper.number,
            paper.title,
            "left out: nothing to show" if paper.is_empty else f"revision {revision}",
        )
        for paper in papers
    )
    columns = (Column("No.", width=0.5), Column("Document", width=3), Column("State", width=1.2))
    return Table("Documents", columns, rows)


def _seals(job: Job) -> list[Section]:
    if not job.submission.seals:
        return []
    words = {True: "needed", False: "not needed", None: "cannot tell"}
    rows = tuple(
        (
            clean(seal.of),
            clean(seal.who),
            words[holds(job, seal.when)],
            clean(str(seal.citation)) if seal.citation else "no clause given",
        )
        for seal in job.submission.seals
    )
    columns = (
        Column("Document", width=1.6),
        Column("Who signs and seals", width=1.6),
        Column("Here"),
        Column("Clause", width=1.6),
    )
    table = Table("Signatures and seals that the place asks for", columns, rows)
    said = states_said(NEEDED, (row[2] for row in rows))
    return [part("Who must sign and seal", table, para(said, "fine"))]


def _approvals(job: Job) -> Section:
    title = "Other approvals"
    rows = job.project.rows.get("approvals", ())
    if not rows:
        said = (
            "None listed. Health office, owners' association, township and soil office may have to "
            "approve first: list them under 'approvals', with 'not needed' where they are not."
        )
        return part(title, para(said, "fine"))
    cells = tuple(
        tuple(
            clean(row.get(key, "")) or "–" for key in ("what", "state", "by", "date", "reference")
        )
        for row in rows
    )
    heads = ("Approval", "State", "By", "Date", "Reference")
    table = Table("Approvals by others and their state", tuple(map(Column, heads)), cells)
    said = states_said(APPROVALS, (clean(row.get("state", "")) for row in rows))
    return part(title, table, para(said, "fine"))
