"""Counting: what the spots of the lot add up to by a table.

The lot comes as spots that do not overlap. Over each spot lie one or more surfaces (ground, deck,
roof); the first row of the table that fits a surface gives its weight, and the table says which
of the surfaces over one spot counts. A missing attribute widens the counted area to the range it
may have; a row's gate that fails gives the conservative weight.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from checker.algebra import evaluate
from checker.algebra.shares import shares
from checker.algebra.values import Missing, Quantity
from checker.core.records import Record, Struct, field
from checker.core.units import AREA, RATIO, meets, settled

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from checker.algebra.tables import CountRow, CountTable, Spot
    from checker.algebra.values import Context


class Contribution(Record, kw_only=True):
    """What one surface adds to a measure.

    Attributes:
        of: The surface; empty for an adjustment of a whole row.
        area_m2: The area considered.
        weight: The share that counts.
        counted: What it adds.
        row: Title of the row that decided.
        clause: Where that stands in the source.
    """

    of: str
    area_m2: float
    weight: Quantity
    counted: Quantity
    row: str
    clause: str = ""


class Counted(Record):
    """A counted measure and what it is made of."""

    total: Quantity
    contributions: tuple[Contribution, ...]


class _Tally(Struct):
    """Sum over the spots of one surface that one row decided."""

    area_m2: float = 0.0
    low_m2: float = 0.0
    high_m2: float = 0.0
    missing: dict[Missing, None] = field(default_factory=dict)


def count(
    table: CountTable,
    spots: Iterable[Spot],
    lot: Context,
    whole: Callable[[], Iterable[Spot]] | None = None,
) -> Counted:
    """Count a measure over spots.

    Args:
        table: The counting table.
        spots: Parts of the lot that do not overlap.
        lot: The scope of the lot, for exemptions that depend on it.
        whole: Gives all spots of the lot where `spots` are those of a region: how wide a piece
            is, is seen on the whole of it.

    Returns:
        The total in m2 as a range, and the contribution of each surface.
    """
    tallies: dict[tuple[str, int, str], _Tally] = defaultdict(_Tally)
    for share in shares(table, spots, whole):
        tally = tallies[share.of, share.row, share.note]
        tally.area_m2 += share.area_m2
        tally.low_m2 += share.low_m2
        tally.high_m2 += share.high_m2
        tally.missing.update(dict.fromkeys(share.missing))
    return _summed(table, tallies, lot)


def _summed(
    table: CountTable, tallies: dict[tuple[str, int, str], _Tally], lot: Context
) -> Counted:
    contributions: list[Contribution] = []
    total_low, total_high = 0.0, 0.0
    missing: dict[Missing, None] = {}
    by_row: dict[int, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for (of, index, note), tally in tallies.items():
        row = table.rows[index] if index >= 0 else None
        low, high = tally.low_m2, tally.high_m2
        title = row.title if row else "no row of the table fits"
        if row and row.each_over_m2 is not None:
            whole = sum(t.area_m2 for (o, i, _), t in tallies.items() if o == of and i == index)
            if meets(whole, row.each_over_m2, "at most"):
                low = high = 0.0
                note = "small item"  # noqa: PLW2901 - the reason replaces the one before it
        asked = tuple(tally.missing) if low < high else ()
        missing.update(dict.fromkeys(asked))
        total_low += low
        total_high += high
        by_row[index][0] += low
        by_row[index][1] += high
        area_m2 = tally.area_m2
        weight = (
            Quantity(low / area_m2, high / area_m2, RATIO, asked) if area_m2 else Quantity(0, 0)
        )
        contributions.append(
            Contribution(
                of=of,
                area_m2=area_m2,
                weight=weight,
                counted=Quantity(low, high, AREA, asked),
                row=f"{title}; {note}" if note else title,
                clause=row.clause if row else table.clause,
            )
        )
    made_of_m2 = total_high
    for index, (low, high) in by_row.items():
        if index < 0:
            continue
        freed = _freed(table.rows[index], low, high, lot)
        if freed is None:
            continue
        missing.update(dict.fromkeys(freed.counted.missing))
        total_low += freed.counted.low_si
        total_high += freed.counted.high_si
        contributions.append(freed)
    # An exemption is a difference: what rounding leaves of the sum that it is taken off is nothing.
    low, high = (max(settled(end, made_of_m2), 0.0) for end in (total_low, total_high))
    total = Quantity(low, high, AREA, tuple(missing), "", made_of_m2)
    return Counted(total, tuple(contributions))


def _freed(row: CountRow, low: float, high: float, lot: Context) -> Contribution | None:
    """What an exemption of a whole row takes off its sum, as a negative contribution."""
    if row.exempt_first_m2:
        off = sorted((-min(low, row.exempt_first_m2), -min(high, row.exempt_first_m2)))
        return _adjustment(row, Quantity(off[0], off[1], AREA), "the first part is free")
    if row.exempt_up_to is None:
        return None
    cap = evaluate.number(row.exempt_up_to, lot)
    left = [_beyond(low, cap.high_si, row.beyond), _beyond(high, max(cap.low_si, 0.0), row.beyond)]
    off_low, off_high = left[0] - low, left[1] - high
    return _adjustment(
        row, Quantity(off_low, off_high, AREA, cap.missing), "free up to the cap of this row"
    )


def _beyond(total: float, cap: float, beyond: str) -> float:
    if meets(total, cap, "at most"):
        return 0.0
    return total - cap if beyond == "excess" else total


def _adjustment(row: CountRow, counted: Quantity, why: str) -> Contribution | None:
    if counted.low_si == 0 == counted.high_si:
        return None
    weight = Quantity(1.0, 1.0)
    return Contribution(
        of="", area_m2=0.0, weight=weight, counted=counted, row=f"{row.title}; {why}",
        clause=row.clause,
    )  # fmt: skip
