"""The take-off as a table for a terminal and as comma-separated values."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.showing import show, show_number, unit_for
from checker.core.units import MASS, MONEY, VOLUME, Amount, Dimension, System
from checker.words.amounts import inert

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from checker.courses.takeoff import Span
    from checker.measure.section.orders import Purchase
    from checker.measure.section.takeoff import TakeOff, TakeOffItem

_BOUGHT_IN: Final[dict[System, dict[Dimension, tuple[str, int]]]] = {
    "us": {MASS: ("ton", 2), VOLUME: ("cu yd", 2)},
    "metric": {MASS: ("t", 2), VOLUME: ("m3", 2)},
}
"""Stone is bought by the ton and dug by the cubic yard, not by the units of other pages."""

TOTAL: Final = "total"
"""What stands for the surface in the rows that add all surfaces up."""


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
    for order in ordered:
        least, usual, most, unit = _span(order.needed, order.dimension, system)
        rows.append(
            TakeOffRow(
                TOTAL,
                "",
                order.title,
                least=least,
                usual=usual,
                most=most,
                unit=unit,
                order="" if order.packs_count is None else str(order.packs_count),
                order_of=_pack(order),
                cost="" if order.cost is None else show_number(order.cost.value_si, 2),
            )
        )
    return tuple(rows)


def _pack(order: Purchase) -> str:
    if order.pack is None:
        return ""
    if order.called == "piece":
        return "piece"
    return f"{order.called} of {show_number(order.pack.to(order.pack.unit), 0)} {order.pack.unit}"


def takeoff_csv(taken: TakeOff, ordered: Sequence[Purchase], system: System) -> str:
    """The take-off as comma-separated values with a header line."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_HEAD.split(","))
    for row in takeoff_rows(taken, ordered, system):
        writer.writerow([inert(cell) for cell in row])
    return out.getvalue()


def takeoff_table(taken: TakeOff, ordered: Sequence[Purchase], system: System) -> str:
    """The take-off for a terminal: each surface, then what to order."""
    if not taken.items and not taken.gaps:
        return "No surface that is new or rebuilt has a section: nothing to take off."
    lines: list[str] = []
    for surface in dict.fromkeys(item.surface for item in taken.items):
        lines += ["", surface]
        own = (item for item in taken.items if item.surface == surface)
        lines += [_line(item, system) for item in own]
    for gap in taken.gaps:
        lines.append(f"  cannot tell   {gap.title} of {gap.surface}: {gap.ask}")
    lines += ["", "To order in all, from the usual amounts"]
    lines += [_order_line(order, system) for order in ordered]
    costs = [order.cost.value_si for order in ordered if order.cost is not None]
    if costs:
        priced = show(Amount(sum(costs), MONEY), system)
        lines.append(f"  {priced} for the {len(costs)} of {len(ordered)} items with a price")
    lines += ["", *_notes(taken.items)]
    return "\n".join(lines[1:])


def _line(item: TakeOffItem, system: System) -> str:
    in_place = " ".join(bought(item.in_place.value_si, item.in_place.dimension, system))
    least, usual, most, unit = _span(item.needed, item.dimension, system)
    span = usual if least == most else f"{usual} ({least} to {most})"
    return f"  {item.title:<28} {in_place:>14}   bring {span} {unit}".rstrip()


def _order_line(order: Purchase, system: System) -> str:
    _, usual, _, unit = _span(order.needed, order.dimension, system)
    what = "no size in the table of order sizes"
    if order.packs_count is not None:
        what = f"{order.packs_count} x {_pack(order)}"
    cost = f", {show(order.cost, system)}" if order.cost is not None else ""
    return f"  {order.title:<28} {usual} {unit}".rstrip() + f": {what}{cost}"


def _notes(items: Iterable[TakeOffItem]) -> list[str]:
    return [f"  {note}" for note in dict.fromkeys(item.note for item in items if item.note)]
