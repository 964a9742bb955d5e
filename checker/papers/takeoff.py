"""The order of the whole job: line by line, what to buy in all, what it costs, where to stop."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.showing import show_number, unit_for
from checker.core.units import MASS, VOLUME, Amount, Dimension, System
from checker.files.source import read_document
from checker.files.tables import table, table_of
from checker.measure.section.orders import orders
from checker.measure.whole_job import whole_job
from checker.pages.blocks import Bullets, Column, Section, Table, caution, numbers, para
from checker.pages.terminal_writer import terminal_of
from checker.papers.hold_points import holds_of
from checker.words.amounts import clean, inert
from checker.words.letters import Keys

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from checker.courses.takeoff import Span
    from checker.findings.checked import Checked
    from checker.measure.section.orders import Purchase
    from checker.measure.section.takeoff import TakeOff
    from checker.pages.blocks import Block

_BOUGHT_IN: Final[dict[System, dict[Dimension, tuple[str, int]]]] = {
    "us": {MASS: ("ton", 2), VOLUME: ("cu yd", 2)},
    "metric": {MASS: ("t", 2), VOLUME: ("m3", 2)},
}
"""Stone is bought by the ton and dug by the cubic yard, not by the units of other pages."""

TOTAL: Final = "total"
"""What stands for the surface in the rows that add all surfaces up."""

NOTHING: Final = "Nothing is removed, built or drained here: nothing to take off."
CAUTION: Final = (
    "An estimate from the drawing, no offer: measure on the ground before you order. Have buried "
    "utilities located before digging; work at a pool shell, its bonding, footings and trenches is "
    "for licensed people, and the local code comes first."
)


class TakeOffRow(NamedTuple):
    """One row of the take-off as texts; the names are the columns of the file."""

    surface: str
    section: str
    item: str
    in_place: str = ""
    in_place_unit: str = ""
    least: str = ""
    usual: str = ""
    most: str = ""
    unit: str = ""
    order: str = ""
    order_of: str = ""
    cost: str = ""
    cost_high: str = ""
    hours: str = ""
    note: str = ""


CSV_HEAD: Final = ",".join(name.replace("_", " ") for name in TakeOffRow._fields)
"""The first line of the file, by which a take-off of ours is known."""


def bought(value: float, dimension: Dimension, system: System) -> tuple[str, str]:
    """A number in SI and its unit as stone yards use them."""
    unit, places = _BOUGHT_IN[system].get(dimension, unit_for(dimension, system))
    number = Amount(value, dimension).to(unit) if unit else value
    text = show_number(number, places if unit else 0)
    return text, unit


def _span(needed: Span, dimension: Dimension, system: System) -> list[str]:
    texts = [
        bought(value, dimension, system) for value in (needed.least, needed.usual, needed.most)
    ]
    return [*(text for text, _ in texts), texts[0][1]]


def takeoff_rows(
    taken: TakeOff, ordered: Sequence[Purchase], system: System
) -> tuple[TakeOffRow, ...]:
    """The rows of the take-off: line by line, then the order of the whole lot."""
    rows: list[TakeOffRow] = []
    for item in taken.items:
        in_place = bought(item.in_place.value_si, item.in_place.dimension, system)
        span = _span(item.needed, item.dimension, system)
        row = TakeOffRow(item.surface, item.section, item.title, *in_place, *span)
        rows.append(row._replace(note=item.note))
    rows += [TakeOffRow(gap.surface, "", gap.title, note=gap.ask) for gap in taken.gaps]
    rows += [_total(order, system) for order in ordered]
    return tuple(rows)


def _total(order: Purchase, system: System) -> TakeOffRow:
    least, usual, most, unit = _span(order.needed, order.dimension, system)
    return TakeOffRow(
        TOTAL,
        "",
        order.title,
        least=least,
        usual=usual,
        most=most,
        unit=unit,
        order="" if order.packs_count is None else str(order.packs_count),
        order_of=_pack(order),
        cost=_money(order.cost),
        cost_high=_money(order.cost_high),
        hours="" if order.hours is None else show_number(order.hours, 1),
    )


def _money(cost: Amount | None) -> str:
    return "" if cost is None else show_number(cost.value_si, 2)


def _pack(order: Purchase) -> str:
    if order.pack is None:
        return ""
    if order.called == "piece":
        return "piece"
    size = order.pack.to(order.pack.unit)
    places = 0 if abs(size - round(size)) < 1e-6 else 1
    return f"{order.called} of {show_number(size, places)} {order.pack.unit}"


def takeoff_csv(taken: TakeOff, ordered: Sequence[Purchase], system: System) -> str:
    """The take-off as comma-separated values with a header line; the last row is a caution."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_HEAD.split(","))
    for row in (*takeoff_rows(taken, ordered, system), TakeOffRow("", "", "Caution", note=CAUTION)):
        writer.writerow([inert(cell) for cell in row])
    return out.getvalue()


def takeoff_blocks(
    taken: TakeOff, ordered: Sequence[Purchase], checked: Checked, system: System
) -> Iterator[Block]:
    """The take-off by surface, the order in all with its cost, hold points, cautions."""
    if not taken.items and not taken.gaps:
        yield para(NOTHING)
        return
    keys = Keys(checked.site)
    rows = [row for row in takeoff_rows(taken, ordered, system) if row.surface != TOTAL]
    for surface in dict.fromkeys(row.surface for row in rows):
        named = keys.named(surface) if keys.surface(surface) else clean(surface).capitalize()
        yield Section("", named, (_lines([r for r in rows if r.surface == surface], named),))
    yield Section("", "To order in all", (*order_blocks(ordered, system),))
    if notes := tuple(dict.fromkeys(item.note for item in taken.items if item.note)):
        yield Section("", "How the amounts came about", (Bullets(notes),))
    yield Section("", "Hold points", (Bullets(holds_of(checked.site)),))
    yield caution(CAUTION)


def _lines(rows: Sequence[TakeOffRow], named: str) -> Table:
    columns = (Column("Item", width=2.0), *numbers("In place", "Bring"), Column("Least to most"))
    return Table(f"What {named} needs", columns, tuple(map(_line, rows)))


def _line(row: TakeOffRow) -> tuple[str, ...]:
    if not row.unit and not row.usual:
        return row.item, "", "cannot tell", row.note
    span = f"{row.least} to {row.most}" if row.least != row.most else ""
    in_place = f"{row.in_place} {row.in_place_unit}".strip()
    return row.item, in_place, f"{row.usual} {row.unit}".strip(), span


def order_blocks(ordered: Sequence[Purchase], system: System) -> Iterator[Block]:
    """The order of the whole lot from the usual amounts, in what is sold, with cost and hours."""
    rows = [_total(order, system) for order in ordered]
    columns = [Column("Item", width=1.8), *numbers("In all"), Column("Order", width=1.6)]
    has_cost = any(row.cost for row in rows)
    has_hours = any(row.hours for row in rows)
    columns += [*numbers("Cost")] if has_cost else []
    columns += [*numbers("Hours")] if has_hours else []
    cells = []
    for row in rows:
        what = f"{row.order} x {row.order_of}" if row.order else "no size in the table"
        line = [row.item, f"{row.usual} {row.unit}".strip(), what]
        line += [_costs(row)] if has_cost else []
        line += [row.hours] if has_hours else []
        cells.append(tuple(line))
    caption = "From the usual amounts, rounded up to what is sold"
    yield Table(caption, tuple(columns), tuple(cells))
    for text in cost_sentences(ordered):
        yield para(text)


def _costs(row: TakeOffRow) -> str:
    if not row.cost:
        return ""
    return f"${row.cost}" if row.cost == row.cost_high else f"${row.cost} to {row.cost_high}"


def cost_sentences(ordered: Sequence[Purchase]) -> tuple[str, ...]:
    """What the order costs, low and high, and the hours; what has no price is counted."""
    low = [order.cost.value_si for order in ordered if order.cost is not None]
    high = [order.cost_high.value_si for order in ordered if order.cost_high is not None]
    hours = [order.hours for order in ordered if order.hours is not None]
    said: list[str] = []
    if low:
        span = f"${show_number(sum(low), 2)}"
        if sum(high) != sum(low):
            span += f" to ${show_number(sum(high), 2)}"
        open_ = len(ordered) - len(low)
        rest = f"; {open_} of {len(ordered)} lines have no price" if open_ else ""
        said.append(f"Material and haulage by your table: {span}{rest}.")
    if hours:
        said.append(f"Labour by your table: {show_number(sum(hours), 1)} hours.")
    return tuple(said)


def take_off(
    checked: Checked, order_sizes: Path | None = None, system: System | None = None
) -> tuple[str, str]:
    """The order of the whole job: demolition to restored ground, and what to buy in all.

    Args:
        checked: The check.
        order_sizes: A table like `rules/tables/order-sizes.yaml`, with one's own sizes, prices and
            hours; that one, or its metric neighbour, when None.
        system: The units of the order; those of the site's pages when None.

    Returns:
        Tables for reading, and the same as comma-separated values.

    Raises:
        BadInput: The sections, the drainage or the order sizes cannot be used.
    """
    units = system or checked.system
    taken, ordered = whole_order(checked, order_sizes, units)
    return (
        terminal_of(takeoff_blocks(taken, ordered, checked, units)),
        takeoff_csv(taken, ordered, units),
    )


def whole_order(
    checked: Checked, order_sizes: Path | None, system: System
) -> tuple[TakeOff, tuple[Purchase, ...]]:
    """What the whole job takes, and what to buy for it; see `take_off`."""
    taken = whole_job(checked.survey)
    own = "order-sizes" if system == "us" else "order-sizes-metric"
    sizes = table(own) if order_sizes is None else table_of(read_document(order_sizes))
    return taken, orders(taken.items, sizes)
