"""The coverage worksheets and the ledger of areas as blocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.pages.blocks import Column, Section, Table, TableRow, Text, numbers, texts_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.pages.blocks import Block, TableCell
    from checker.words.coverage import CountState, CoverageView
    from checker.words.ledger import Ledger


def coverage_section(all_coverage: Sequence[CoverageView]) -> Section:
    """A worksheet for each counting table."""
    blocks: list[Block] = [
        Section(f"coverage-{item.name}", item.title, tuple(_worksheet(item)))
        for item in all_coverage
    ]
    if not blocks:
        blocks.append(Text(("The rule set counts no areas.",)))
    return Section("coverage", "Coverage worksheet", tuple(blocks))


def _worksheet(item: CoverageView) -> Iterator[Block]:
    if item.clause:
        yield Text((f"Counted by {item.clause}. Clauses without a document are of the same text.",))
    for state in item.states:
        yield _state_table(item, state)
    if item.changes:
        yield _change_table(item)
    for limit in item.limits:
        caption = f"Maximum, existing and proposed: {limit.rule} ({limit.test})"
        columns = (
            *texts_of("What"),
            *numbers("Area", "Share of the land"),
        )
        yield Table(caption, columns, limit.rows)


def _state_table(item: CoverageView, state: CountState) -> Table:
    unit = item.unit
    columns = (
        *texts_of("Key", "Surface", "Group", "Material"),
        *numbers(
            f"Measured, {unit}", f"Taken out, {unit}", f"Used, {unit}", "Factor", f"Counted, {unit}"
        ),
        *texts_of("Counted as", "Clause"),
    )
    rows: list[tuple[TableCell, ...]] = []
    for group, used, counted in state.subtotals:
        rows += (line for line in state.lines if line.group == group)
        cells = ("", "Subtotal", group, "", "", "", used, "", counted, "", "")
        rows.append(TableRow(cells, "subtotal"))
    rows.append(
        TableRow(("", "Total", "", "", "", "", state.used, "", state.counted, "", ""), "total")
    )
    rows += (
        ("", name, *[""] * 6, text, "", "")
        for name, text in (
            ("Area that does not count", state.not_counted),
            ("Lot area", item.lot_area),
            ("Share of the lot, %", state.share),
        )
    )
    caption = (
        f"{item.title}, {state.title.lower()}: area used, factor and area counted. Taken out: "
        "what overlaps another surface that counts there, or lies outside the lot"
    )
    return Table(caption, columns, tuple(rows), header=1)


def _change_table(item: CoverageView) -> Table:
    names = (
        "Existing",
        "Removed or built over",
        "Converted, before",
        "Converted, after",
        "New or uncovered",
        "Proposed",
        "Net change",
    )
    columns = (
        *texts_of("Key", "Surface", "Group"),
        *(Column(name, is_number=True) for name in names),
    )
    rows = (
        *item.changes,
        *(TableRow(line, "subtotal") for line in item.change_subtotals),
        TableRow(item.change_total, "total"),
    )
    caption = (
        f"{item.title}, from today to after the work, counted {item.unit}. Proposed = existing "
        "− removed − converted before + converted after + new"
    )
    return Table(caption, columns, tuple(rows), header=1)


def ledger_section(ledgers: Sequence[Ledger]) -> Section:
    """What became of every drawn area, and that the sum is the lot."""
    lead = (
        'Surfaces of one level that overlap are counted once: the one named under "Overlap given '
        'to" keeps the area. The ground adds up to the lot; decks and roofs lie over it.'
    )
    return Section(
        "ledger",
        "Every area once",
        (Text((lead,)), *(table for one in ledgers for table in _ledger_tables(one))),
    )


def _ledger_tables(ledger: Ledger) -> Iterator[Table]:
    unit = ledger.unit
    columns = (
        *texts_of("Key", "Surface", "Material"),
        *numbers(f"Drawn, {unit}", f"Outside the lot, {unit}", f"Overlap, {unit}"),
        *texts_of("Overlap given to"),
        *numbers(f"Left, {unit}"),
    )
    rows = (
        *ledger.ground,
        TableRow(("", "All ground surfaces", *[""] * 5, ledger.visible), "subtotal"),
        ("", ledger.rest_name, *[""] * 5, ledger.rest),
        TableRow(("", "Sum of the ground", *[""] * 5, ledger.total), "total"),
        TableRow(("", "Lot area", *[""] * 5, ledger.lot_area), "total"),
    )
    ending = "" if ledger.reconciles else ". The sum is not the lot: report this"
    state = ledger.title.lower()
    yield Table(f"Ledger of areas on the ground, {state}{ending}", columns, rows, header=1)
    if ledger.above:
        caption = f"Decks and roofs that lie over the ground, {state}"
        yield Table(caption, columns, ledger.above, header=1)
