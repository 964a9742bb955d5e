"""The ledger of areas as blocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.pages.blocks import Section, Table, TableRow, Text, numbers, texts_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.words.ledger import Ledger


def ledger_section(ledgers: Sequence[Ledger]) -> Section:
    """What became of every drawn area, and that the sum is the lot."""
    lead = (
        'Surfaces of one level that overlap are counted once: the one named under "Overlap given '
        'to" keeps the area. The ground adds up to the lot; decks and roofs lie over it.'
    )
    return Section(
        "ledger",
        "Areas of the lot, added up",
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
