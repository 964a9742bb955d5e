"""One finding as blocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.pages.blocks import Bullets, Column, Pairs, Section, Strong, Table, Text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.pages.blocks import Block
    from checker.words.findings import FindingView


def finding_section(finding: FindingView) -> Section:
    """One finding: verdict, numbers, reasons, what to do, where it stands."""
    return Section(f"rule-{finding.id}", finding.title, tuple(_blocks(finding)), finding.status)


def _blocks(finding: FindingView) -> Iterator[Block]:
    yield Text((finding.says,), "lead")
    if numbers := tuple(_numbers(finding)):
        yield Pairs(numbers)
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
    if finding.order:
        yield "Measured", finding.measured
        yield f"Limit ({finding.order})", finding.limit
        room = f"{finding.margin} ({finding.room})" if finding.room else finding.margin
        yield "Room left", room
    if finding.unfavourable is not None:
        status = finding.unfavourable
        yield "Taking what is missing at its worst", f"{status.sign} {status.word}"


def _tables(finding: FindingView) -> Iterator[Block]:
    title = finding.title
    if finding.parts:
        names = ("Measured", "Asked", "Limit", "Room left")
        columns = (
            Column("Of"),
            Column("What"),
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
            Column("Key"),
            Column("Surface"),
            Column(f"Area, {unit}", is_number=True),
            Column("Factor", is_number=True),
            Column(f"Counted, {unit}", is_number=True),
            Column("Counted as"),
        )
        yield Table(f"What each surface adds: {title}", columns, finding.shares, header=1)
    if finding.readings:
        columns = (
            Column("Reading"),
            Column("Verdict"),
            Column("Room left", is_number=True),
            Column("Used"),
        )
        rows = tuple(
            (reading.title, reading.status, reading.margin, reading.used)
            for reading in finding.readings
        )
        yield Bullets(finding.questions, "The clause is unclear. Ask the office:", "ask")
        yield Table(f"The verdict under each reading: {title}", columns, rows)
