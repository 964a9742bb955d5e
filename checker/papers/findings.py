"""Findings as blocks: one line for each rule, and all that is said of one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.sources import Citation
from checker.pages.blocks import (
    Bullets,
    Chip,
    Column,
    Pairs,
    Strong,
    Table,
    Text,
    numbers,
    texts_of,
)
from checker.words.amounts import clean
from checker.words.findings import finding_views
from checker.words.view import READINGS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.pages.blocks import Block
    from checker.words.brief import Brief
    from checker.words.findings import FindingView


def verdicts_with_clauses(brief: Brief) -> tuple[Block, ...]:
    """The same lines for an office: with the clause, and what cannot be told as not verified.

    What is not asked of this lot has no line; what waits stands first. Documents are numbered, and
    named once below.
    """
    findings = {item.rule: item for item in brief.checked.verdict.findings}
    asked = [
        view
        for view in finding_views(brief.checked, brief.keys)
        if view.status.key not in {"does-not-apply", "not-in-force"}
    ]
    asked.sort(key=lambda view: view.status.key in {"passes", "passes-with-conditions"})
    documents: dict[str, int] = {}
    rows = []
    for view in asked:
        citation = findings[view.id].citation
        whole = clean(str(Citation(source=citation.source)))
        whole += f"; {READINGS[citation.source.reading]}"
        number = documents.setdefault(whole, len(documents) + 1)
        clause = " ".join(part for part in (f"[{number}]", clean(citation.section)) if part)
        rule = " ".join(text for text in (view.title, view.instead) if text)
        rows.append((rule, _for_office(view.status), *view.numbers, clause))
    columns = (
        Column("Rule", width=2.6),
        Column("Verdict", width=0.7),
        Column("Measured", is_number=True, width=0.7),
        Column("Limit", is_number=True, width=1.05),
        Column("Room left", is_number=True, width=0.8),
        Column("Clause", width=2.6),
    )
    named = "; ".join(f"[{number}] {text}" for text, number in documents.items())
    return (
        Table("Verdict by rule", columns, tuple(rows)),
        Text((f"Documents of the clauses: {named}.",), "fine"),
    )


def _for_office(status: Chip) -> Chip:
    if status.key != "cannot-tell":
        return status
    return Chip(status.sign, "cannot tell (not verified)", status.key)


def finding_blocks(finding: FindingView) -> tuple[Block, ...]:
    """All that is said of one finding: numbers, reasons, what to do, where it stands."""
    return tuple(_blocks(finding))


def _blocks(finding: FindingView) -> Iterator[Block]:
    yield Text((finding.says,), "lead")
    if pairs := tuple(_numbers(finding)):
        yield Pairs(pairs)
    if finding.because:
        yield Bullets(finding.because, "Why:")
    if finding.asks:
        yield Bullets(finding.asks, "What is missing, and what to do:", "ask")
    if finding.band:
        yield Text((finding.band,))
    if finding.documents:
        yield Bullets(finding.documents, "To be handed in with it:")
    if finding.remedies:
        yield Bullets(finding.remedies, "What would help:")
    if finding.caution:
        yield Text((Strong("Caution: "), finding.caution), "caution")
    if finding.note:
        yield Text((Strong("Note: "), finding.note), "note")
    yield from _tables(finding)
    source = f"{finding.citation}. The rule stands in {finding.stands}"
    if finding.origin:
        source += f", adopted from the model {finding.origin}"
    yield Text((f"{source}.",), "fine")


def _numbers(finding: FindingView) -> Iterator[tuple[str, str]]:
    if finding.first:
        yield "Asked first", finding.first
        yield "Judged instead", finding.alternative
    if finding.order:
        yield "Measured", finding.measured
        yield f"Limit ({finding.order})", finding.limit
        yield "Room left", finding.room or finding.margin
    if finding.unfavourable is not None:
        status = finding.unfavourable
        yield "Taking what is missing at its worst", f"{status.sign} {status.word}"


def _tables(finding: FindingView) -> Iterator[Block]:
    title = finding.title
    if finding.parts:
        names = ("Measured", "Asked", "Limit", "Room left")
        columns = (
            *texts_of("Of", "What"),
            *(Column(name, is_number=True) for name in names),
            Column("Holds"),
        )
        yield Table(f"Every comparison of: {title}", columns, finding.parts)
    if len(finding.steps) > 1:
        columns = (Column("Step"), Column("Value", is_number=True))
        yield Table(f"How the numbers came about: {title}", columns, finding.steps)
    if finding.shares:
        unit = finding.share_unit
        columns = (
            *texts_of("Key", "Surface"),
            *numbers(f"Area, {unit}", "Factor", f"Counted, {unit}"),
            *texts_of("Counted as"),
        )
        yield Table(f"What each surface adds: {title}", columns, finding.shares, header=1)
    if finding.readings:
        columns = (
            *texts_of("Reading", "Verdict"),
            *numbers("Room left"),
            *texts_of("Used"),
        )
        rows = tuple(
            (reading.title, reading.status, reading.margin, reading.used)
            for reading in finding.readings
        )
        yield Bullets(finding.questions, "The clause is unclear. Ask the office:", "ask")
        yield Table(f"The verdict under each reading: {title}", columns, rows)
