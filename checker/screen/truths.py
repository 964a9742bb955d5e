"""Columns of truths: yes, no or unknown for each lot, with the comparison that decides.

What a `Truth` is to one lot. Of all comparisons that a truth hangs on, the one with the least room
is kept, since that is the one a finding shows.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from checker.core.records import Record, field
from checker.screen.columns import NO, YES, gathered, together, within
from checker.screen.compare import is_less, meets, same

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.core.units import Order
    from checker.screen.columns import Gaps, NumberColumn
    from checker.screen.compare import Floats, Mask


class Deciding(Record, eq=False):
    """The comparison that each row hangs on.

    Attributes:
        has: The rows that hang on one.
        room: The margin as a share of the limit; inf where an end is not known.
        measured: What is there, at the unfavourable end, SI; nan where that is not known.
        limit: What is asked.
        margin: Room left; negative when not met.
        part: Which comparison it is, by its number in the sheet.
    """

    has: Any
    room: Any
    measured: Any
    limit: Any
    margin: Any
    part: Any

    def among(self, rows: Mask) -> Deciding:
        """The same in some rows alone."""
        if rows.ndim == 0 and rows:
            return self
        return Deciding(
            self.has & rows, self.room, self.measured, self.limit, self.margin, self.part
        )

    def take(self, index: Any) -> Deciding:
        """The rows that an index names."""
        fields = (self.has, self.room, self.measured, self.limit, self.margin, self.part)
        return Deciding(*(x if np.ndim(x) == 0 else x[index] for x in fields))


NOTHING = Deciding(
    NO, np.asarray(math.inf), np.asarray(math.nan), np.asarray(math.nan), np.asarray(math.nan),
    np.asarray(-1),
)  # fmt: skip


def chosen(rows: Mask, first: Deciding, second: Deciding) -> Deciding:
    """The rows of one where a mask says so, else those of another."""
    if rows.ndim == 0:
        return first if rows else second
    if first is second:
        return first
    return Deciding(
        np.where(rows, first.has, second.has),
        np.where(rows, first.room, second.room),
        np.where(rows, first.measured, second.measured),
        np.where(rows, first.limit, second.limit),
        np.where(rows, first.margin, second.margin),
        np.where(rows, first.part, second.part),
    )


def with_less_room(first: Deciding, second: Deciding) -> Deciding:
    """Of two in order the one with less room; the first of equals."""
    if second is NOTHING:
        return first
    if first is NOTHING:
        return second
    is_nearer = second.has & (~first.has | is_less(second.room, first.room))
    return chosen(np.asarray(is_nearer), second, first)


class Truths(Record, eq=False, kw_only=True):
    """Whether a condition holds, for each lot.

    Attributes:
        holds: 1 yes, 0 no, -1 when it cannot be told; shape (n,) or ().
        missing: What must be given to tell, or what was not needed in the end.
        decides: The comparison that it hangs on.
        is_vacuous: It holds only because there is nothing it speaks of.
        because: Conditions other than comparisons stand in the way.
        has_unmet: Some comparison that took part does not hold.
    """

    holds: Any
    missing: Gaps = field(default_factory=dict)
    decides: Deciding = NOTHING
    is_vacuous: Any = NO
    because: Any = NO
    has_unmet: Any = NO

    def take(self, index: Any) -> Truths:
        """The rows that an index names."""

        def own(array: Any) -> Any:
            return array if np.ndim(array) == 0 else array[index]

        return Truths(
            holds=own(self.holds),
            missing=gathered(self.missing, index),
            decides=self.decides.take(index),
            is_vacuous=own(self.is_vacuous),
            because=own(self.because),
            has_unmet=own(self.has_unmet),
        )


def told(holds: Any, missing: Gaps) -> Truths:
    """A condition that is no comparison; a reason stands in the way where it does not hold."""
    return Truths(holds=holds, missing=missing, because=np.asarray(holds == 0))


def compared(measured: NumberColumn, order: Order, limit: NumberColumn, part: int) -> Truths:
    """One comparison; see `algebra.values.compare` and `Judged`."""
    size = np.maximum(measured.made_of, limit.made_of)
    holds = _compare(measured, order, limit, size)
    less = order in {"at most", "less than"}
    found, found_known = _end(measured, high=less)
    asked, asked_known = _end(limit, high=not less)
    is_known = found_known & asked_known
    with np.errstate(invalid="ignore"):
        found = np.where(is_known & same(found, asked, size), asked, found)
        margin = asked - found
        if not less:
            margin = np.where(margin == 0, 0.0, -margin)
        scale = np.abs(asked)
        scale = np.where(scale == 0, size, scale)
        room = np.where(is_known, margin / np.where(scale == 0, 1.0, scale), math.inf)
    decides = Deciding(
        YES,
        room,
        np.where(found_known, found, math.nan),
        np.where(asked_known, asked, math.nan),
        np.where(is_known, margin, math.nan),
        np.asarray(part),
    )
    missing = together(measured.missing, limit.missing)
    return Truths(holds=holds, missing=missing, decides=decides, has_unmet=np.asarray(holds != 1))


def _end(column: NumberColumn, *, high: bool) -> tuple[Floats, Mask]:
    """One end, and the rows in which it is known."""
    value = column.high if high else column.low
    return value, np.isfinite(value) | (column.low == column.high)


def _compare(measured: NumberColumn, order: Order, limit: NumberColumn, size: Floats) -> Any:
    if order == "equal to":
        is_one = measured.is_certain & limit.is_certain & measured.is_bounded
        below = meets(measured.high, limit.low, "less than", size)
        above = meets(measured.low, limit.high, "more than", size)
        apart = np.where(below | above, 0, -1)
        return np.where(is_one, meets(measured.low, limit.low, order, size), apart).astype(np.int8)
    less = order in {"at most", "less than"}
    worst = (measured.high, limit.low) if less else (measured.low, limit.high)
    best = (measured.low, limit.high) if less else (measured.high, limit.low)
    is_met = np.isfinite(worst[1]) & meets(*worst, order, size)
    return np.where(is_met, 1, np.where(meets(*best, order, size), -1, 0)).astype(np.int8)


def opposite(truths: Truths) -> Truths:
    """What is true where a condition is not; which comparisons bear that is not told."""
    table = np.array([1, 0, -1], np.int8)
    return Truths(holds=table[truths.holds], missing=truths.missing)


def every(truths: Sequence[Truths]) -> Truths:
    """All hold."""
    holds = np.asarray(1, np.int8)
    for truth in truths:
        # No wins over unknown, and unknown over yes: 0 < -1 < 1 in the order 0, -1, 1.
        holds = np.where((holds == 0) | (truth.holds == 0), 0, np.minimum(holds, truth.holds))
    decides = NOTHING
    for truth in truths:
        decides = with_less_room(decides, truth.decides.among(np.asarray(truth.holds == holds)))
    return _joined(truths, holds, decides)


def either(truths: Sequence[Truths]) -> Truths:
    """At least one holds."""
    holds = np.asarray(0, np.int8)
    for truth in truths:
        is_yes = (holds == 1) | (truth.holds == 1)
        is_open = (holds == -1) | (truth.holds == -1)
        holds = np.where(is_yes, 1, np.where(is_open, -1, 0))
    is_told = np.asarray(holds != -1)
    best = nearest(truths, [np.asarray(truth.holds == holds) for truth in truths])
    waiting = NOTHING
    for truth in truths:
        waiting = with_less_room(waiting, truth.decides.among(np.asarray(truth.holds == holds)))
    return _joined(truths, holds, chosen(is_told, best, waiting))


def nearest(ways: Sequence[Truths], bearing: Sequence[Mask]) -> Deciding:
    """Of several ways to one end the comparison with the most room; see `evaluate.nearest`."""
    best, is_ruled_out = NOTHING, np.asarray(YES)
    for way, rows in zip(ways, bearing, strict=True):
        own = way.decides.among(rows)
        because = np.asarray(way.because)
        is_nearer = own.has & (
            ~best.has
            | (is_ruled_out & ~because)
            | ((is_ruled_out == because) & is_less(best.room, own.room))
        )
        is_ruled_out = np.where(is_nearer, because, is_ruled_out)
        best = chosen(np.asarray(is_nearer), own, best)
    return best


def _joined(truths: Sequence[Truths], holds: Any, decides: Deciding) -> Truths:
    vacuous: Any = YES if truths else NO
    because: Any = NO
    unmet: Any = NO
    for truth in truths:
        vacuous = vacuous & truth.is_vacuous
        because = because | (truth.because & (truth.holds == 0))
        unmet = unmet | truth.has_unmet
    return Truths(
        holds=np.asarray(holds, np.int8),
        missing=together(*(truth.missing for truth in truths)),
        decides=decides,
        is_vacuous=vacuous,
        because=because & (holds == 0),
        has_unmet=unmet,
    )


def truths_where(rows: Mask, first: Truths, second: Truths) -> Truths:
    """The rows of one where a mask says so, else those of another."""
    return Truths(
        holds=np.where(rows, first.holds, second.holds).astype(np.int8),
        missing=together(within(first.missing, rows), within(second.missing, ~rows)),
        decides=chosen(rows, first.decides, second.decides),
        is_vacuous=np.where(rows, first.is_vacuous, second.is_vacuous),
        because=np.where(rows, first.because, second.because),
        has_unmet=np.where(rows, first.has_unmet, second.has_unmet),
    )
