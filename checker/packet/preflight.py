"""Completeness and consistency before anything is written: what is missing, wrong or in doubt.

A stop is what an office sends a packet back for; a note is for a person to look at.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.files.tables import table
from checker.findings.model import OPEN
from checker.packet.consistency import consistency
from checker.packet.item_titles import TITLES
from checker.packet.items import look
from checker.papers.checks import Check, CheckState, Preflight
from checker.papers.names import NUMBERS, paper_id
from checker.papers.triggers import holds, triggered
from checker.words.amounts import capital, clean

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.findings.model import Finding
    from checker.pages.paper import Paper
    from checker.papers.job import Job
    from checker.rulesets.submission import Item


_BEFORE: Final = "flow-before"
"""Asked wherever a way out is drawn: nothing else shows that no flow is added over a lot line."""


def preflight(job: Job, papers: Sequence[Paper]) -> Preflight:
    """Look through the job and the documents made from it."""
    checks = [
        *_items(job, papers),
        *_papers_owed(job, papers),
        *_answers(job),
        *_rules(job),
        *consistency(job),
    ]
    return Preflight(checks=tuple(dict.fromkeys(checks)))


def _items(job: Job, papers: Sequence[Paper]) -> Iterator[Check]:
    asked = job.submission.items
    for item in asked:
        yield _item(job, papers, item)
    named = {item.item for item in asked}
    usual = {row["item"]: row["usual"] == "must" for row in table("usual-submission").rows}
    if job.checked.site.parts.get("ways_out"):
        usual |= {_BEFORE: False}
    for name, is_must in usual.items():
        if name not in named:
            found = look(name, job, papers)
            state: CheckState = "there" if found.is_there else "missing"
            if found.is_for_a_person and not found.is_there:
                state = "attach"
            yield Check(
                what=TITLES[name],
                state=state,
                says=found.says,
                # A place without a list of its own is looked through by the usual one.
                is_must=not asked and is_must,
                section="usual" if not asked else "",
            )


def _item(job: Job, papers: Sequence[Paper], item: Item) -> Check:
    title = clean(item.title) or TITLES.get(item.item) or capital(item.document.replace("-", " "))
    clause = clean(str(item.citation)) if item.citation else ""
    section = clean(item.citation.section) if item.citation else ""
    asked = holds(job, item.when)
    if asked is False:
        says = "the condition of the place does not hold here"
        return Check(what=title, state="not asked", says=says, is_must=False, clause=clause)
    if item.document:
        state, says = _attached(job, item.document)
    else:
        found = look(item.item, job, papers)
        says = found.says
        state = "there" if found.is_there else ("attach" if found.is_for_a_person else "missing")
    if asked is None and state != "there":
        state, says = "cannot tell", f"whether it is asked cannot be told; {says}"
    return Check(
        what=title, state=state, says=says, is_must=item.is_must, clause=clause, section=section
    )


def _attached(job: Job, document: str) -> tuple[CheckState, str]:
    """Whether a paper is listed in the site file, for whatever part of it."""
    name = paper_id(document)
    if any(item.document == name for item in job.checked.site.on_file):
        return "there", "under 'on_file'"
    return "attach", f"attach it and list '{name}' under 'on_file'"


def _answers(job: Job) -> Iterator[Check]:
    """A comment of the office without an answer, or without the sheet that was changed."""
    for row in job.project.rows.get("comments", ()):
        lacks = [key for key in ("answer", "sheet") if not clean(row.get(key, ""))]
        yield Check(
            what=f"Answer to comment {clean(row['number'])}",
            state="missing" if lacks else "there",
            says=f"give {' and '.join(lacks)} of it under 'comments'"
            if lacks
            else f"document {NUMBERS['resubmittal']}",
            is_must=True,
        )


def _papers_owed(job: Job, papers: Sequence[Paper]) -> Iterator[Check]:
    for found in triggered(job):
        if found.needed == "cannot tell":
            yield Check(
                what=clean(found.trigger.permit),
                state="cannot tell",
                says="; ".join(found.asks) or "the threshold cannot be judged",
                is_must=True,
                clause=clean(found.clause),
            )
        for document in found.trigger.needs if found.needed == "needed" else ():
            yield _owed(job, papers, document, clean(found.trigger.permit), clean(found.clause))
    for finding in job.checked.verdict.findings:
        for document in finding.documents:
            yield _owed(job, papers, document, clean(finding.title), clean(str(finding.citation)))
    for result in job.checked.verdict.results:
        for document in result.documents:
            yield _owed(job, papers, document, clean(result.title), clean(str(result.citation)))


def _owed(job: Job, papers: Sequence[Paper], document: str, owner: str, clause: str) -> Check:
    state, says = _attached(job, document)
    own = next((paper for paper in papers if paper.id == paper_id(document)), None)
    if state != "there" and own is not None and not own.is_empty:
        state, says = "there", f"document {own.number}, {own.title}"
    return Check(
        what=f"{capital(clean(document).replace('-', ' '))} (for: {owner})",
        state=state,
        says=says,
        is_must=True,
        clause=clause,
    )


def _rules(job: Job) -> Iterator[Check]:
    """Rules that are not met; those that wait for one and the same answer are told together."""
    alike: dict[tuple[CheckState, str, bool], list[Finding]] = {}
    for finding in job.checked.verdict.findings:
        if finding.is_met:
            continue
        says = clean(finding.because) or f"the rule {finding.status}"
        if finding.status == "fails" and finding.margin is not None and finding.limit is not None:
            short = "over" if finding.order in {"at most", "less than"} else "short"
            by = job.figures.text(f"rule.{finding.rule}.margin").removeprefix("−")
            says = f"not met: {short} by {by}"
        state: CheckState = "cannot tell" if finding.status in OPEN else "missing"
        is_must = finding.status != "relief possible"
        alike.setdefault((state, says, is_must), []).append(finding)
    for (state, says, is_must), found in alike.items():
        titles = "; ".join(clean(finding.title) for finding in found)
        yield Check(
            what=f"Rule: {titles}" if len(found) == 1 else f"{len(found)} rules: {titles}",
            state=state,
            says=says,
            is_must=is_must,
            clause="; ".join(dict.fromkeys(clean(str(finding.citation)) for finding in found)),
        )
