"""What to order in all: the take-off added up over the lot, in whole trucks, pallets and rolls."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.problems import BadInput, Problem
from checker.core.records import Record
from checker.core.units import MONEY, RATIO, UNIT, Amount, Dimension
from checker.courses.takeoff import Span, to_order

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.files.tables import ReferenceTable
    from checker.measure.section.takeoff import TakeOffItem


class Purchase(Record, kw_only=True):
    """One thing to order.

    Attributes:
        key: What it is.
        title: Its name on pages.
        needed: Least, usual and most in all, in SI.
        dimension: Of what is needed.
        pack: What one truck, pallet or roll holds; None when the table has no size for it.
        called: What that one is called.
        packs_count: How many to order; None without a size.
        cost: Their price; None without one.
    """

    key: str
    title: str
    needed: Span
    dimension: Dimension
    pack: Amount | None
    called: str
    packs_count: int | None
    cost: Amount | None


def orders(items: Sequence[TakeOffItem], sizes: ReferenceTable) -> tuple[Purchase, ...]:
    """Add up the items by what they are, and round each up to what is sold.

    Args:
        items: The take-off, any surfaces.
        sizes: A table with the columns item, holds, unit, called and, if known, price.

    Raises:
        BadInput: A size is of another kind than what it is for, or is not above zero.
    """
    packs = _packs(sizes)
    found: list[Purchase] = []
    for key in dict.fromkeys(item.key for item in items):
        own = [item for item in items if item.key == key]
        needed = Span(
            sum(item.needed.least for item in own),
            sum(item.needed.usual for item in own),
            sum(item.needed.most for item in own),
        )
        first = own[0]
        if first.ordered == "piece":
            pack: tuple[Amount, str, float | None] | None = (Amount(1.0, RATIO), "piece", None)
        else:
            pack = packs.get(first.ordered)
        count, cost = None, None
        if pack is not None:
            size, _, price = pack
            if size.dimension != first.dimension:
                says = (
                    f"'{first.ordered}' is sold by {size.dimension.name}, but the take-off gives "
                    f"its {first.dimension.name}"
                )
                raise _wrong(sizes, first.ordered, says)
            whole = to_order(needed.usual, size.value_si)
            count = round(whole / size.value_si)
            cost = Amount(count * price, MONEY) if price is not None else None
        found.append(
            Purchase(
                key=key,
                title=first.title,
                needed=needed,
                dimension=first.dimension,
                pack=pack[0] if pack else None,
                called=pack[1] if pack else "",
                packs_count=count,
                cost=cost,
            )
        )
    return tuple(found)


def _packs(sizes: ReferenceTable) -> dict[str, tuple[Amount, str, float | None]]:
    found: dict[str, tuple[Amount, str, float | None]] = {}
    for row in sizes.rows:
        item = str(row.get("item", ""))
        unit = UNIT.get(str(row.get("unit", "")))
        holds, price = row.get("holds"), row.get("price")
        if unit is None or not isinstance(holds, int | float) or holds <= 0:
            raise _wrong(sizes, item, f"'{item}' needs 'holds' above zero and a known 'unit'")
        if price is not None and (not isinstance(price, int | float) or price < 0):
            raise _wrong(sizes, item, f"the price of '{item}' is no amount of money")
        size = Amount(holds * unit.size_si, unit.dimension, unit.name)
        found[item] = (size, str(row.get("called", "pack")), price)
    return found


def _wrong(sizes: ReferenceTable, item: str, says: str) -> BadInput:
    rows = [i for i, row in enumerate(sizes.rows) if str(row.get("item", "")) == item]
    place = sizes.document.place("rows", rows[0]) if rows else sizes.document.place()
    return BadInput(
        f"{sizes.document.file} cannot be used", [Problem(place, says, "correct the row")]
    )
