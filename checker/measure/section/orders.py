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
        cost: Their price, the lower one where there are two; None without one.
        cost_high: The higher one.
        hours: Hours of labour for the usual amount; None where the table has none.
    """

    key: str
    title: str
    needed: Span
    dimension: Dimension
    pack: Amount | None
    called: str
    packs_count: int | None
    cost: Amount | None
    cost_high: Amount | None = None
    hours: float | None = None


class Pack(Record):
    """What one truck, pallet or roll holds, its prices, and the hours that one unit takes."""

    size: Amount
    called: str
    price: float | None = None
    price_high: float | None = None
    hours: float | None = None


_PIECE = Pack(Amount(1.0, RATIO), "piece")


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
        pack = packs.get(first.title) or packs.get(first.ordered)
        if pack is None and first.ordered == "piece":
            pack = _PIECE
        found.append(_purchase(first, needed, pack, sizes))
    return tuple(found)


def _purchase(
    first: TakeOffItem, needed: Span, pack: Pack | None, sizes: ReferenceTable
) -> Purchase:
    count, low, high, hours = None, None, None, None
    if pack is not None:
        if pack.size.dimension != first.dimension:
            says = (
                f"'{first.ordered}' is sold by {pack.size.dimension.name}, but the take-off gives "
                f"its {first.dimension.name}"
            )
            raise _wrong(sizes, first.ordered, says)
        whole = to_order(needed.usual, pack.size.value_si)
        count = round(whole / pack.size.value_si)
        if pack.price is not None:
            dear = pack.price if pack.price_high is None else pack.price_high
            low, high = Amount(count * pack.price, MONEY), Amount(count * dear, MONEY)
        if pack.hours is not None:
            unit_si = UNIT[pack.size.unit].size_si if pack.size.unit else 1.0
            hours = needed.usual / unit_si * pack.hours
    return Purchase(
        key=first.key,
        title=first.title,
        needed=needed,
        dimension=first.dimension,
        pack=pack.size if pack else None,
        called=pack.called if pack else "",
        packs_count=count,
        cost=low,
        cost_high=high,
        hours=hours,
    )


def _packs(sizes: ReferenceTable) -> dict[str, Pack]:
    found: dict[str, Pack] = {}
    for row in sizes.rows:
        item = str(row.get("item", ""))
        unit = UNIT.get(str(row.get("unit", "")))
        holds = row.get("holds")
        if unit is None or not isinstance(holds, int | float) or holds <= 0:
            raise _wrong(sizes, item, f"'{item}' needs 'holds' above zero and a known 'unit'")
        price, dear, hours = (
            _not_negative(row.get(key), sizes, item, what)
            for key, what in (
                ("price", "price"), ("price_high", "higher price"), ("hours", "number of hours")
            )
        )  # fmt: skip
        if dear is not None and (price is None or dear < price):
            raise _wrong(sizes, item, f"the higher price of '{item}' is not above its price")
        size = Amount(holds * unit.size_si, unit.dimension, unit.name)
        found[item] = Pack(size, str(row.get("called", "pack")), price, dear, hours)
    return found


def _not_negative(value: object, sizes: ReferenceTable, item: str, what: str) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or value < 0:
        kind = "amount of money" if "price" in what else "time"
        raise _wrong(sizes, item, f"the {what} of '{item}' is no {kind}")
    return float(value)


def _wrong(sizes: ReferenceTable, item: str, says: str) -> BadInput:
    rows = [i for i, row in enumerate(sizes.rows) if str(row.get("item", "")) == item]
    place = sizes.document.place("rows", rows[0]) if rows else sizes.document.place()
    return BadInput(
        f"{sizes.document.file} cannot be used", [Problem(place, says, "correct the row")]
    )
