"""Columns of what a town's lots have: numbers that may be ranges, codes, and what is missing.

A column has one row for each lot, or one for all of them. What a `Quantity` is to one lot, a
`NumberColumn` is to many: the same ends, the same gaps, the same size that rounding is a share of.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.algebra.values import Missing
from checker.core.records import Record, field
from checker.core.units import RATIO, Dimension
from checker.screen.compare import same

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from checker.algebra.values import Quantity
    from checker.screen.compare import Floats, Mask

    Gaps = Mapping[Missing, Mask]
    """What is missing, and in which rows."""

YES: Final = np.bool_(True)  # noqa: FBT003 - a mask of one row
NO: Final = np.bool_(False)  # noqa: FBT003 - likewise
UNREAD: Final = "not screened"
"""Stands where a gap names its surface: the gap is one of this reading, not of the lot."""


def unread(why: str) -> Missing:
    """The mark of what this reading cannot tell though a check of the lot could."""
    return Missing("", UNREAD, why)


def together(*gaps: Gaps) -> Gaps:
    """What is missing in any of several columns."""
    found: dict[Missing, Any] = {}
    for own in gaps:
        for item, rows in own.items():
            found[item] = found[item] | rows if item in found else rows
    return found


def any_of(masks: Iterable[Mask]) -> Mask:
    """The rows that any of several masks has; none of no mask."""
    found: Any = NO
    for own in masks:
        found = found | own
    return np.asarray(found)


def within(gaps: Gaps, rows: Mask) -> Gaps:
    """What is missing in some rows alone."""
    if not gaps or (rows.ndim == 0 and rows):
        return gaps
    cut = {item: own & rows for item, own in gaps.items()}
    return {item: own for item, own in cut.items() if own.any()}


def gathered(gaps: Gaps, index: Any) -> Gaps:
    """The gaps of the rows that an index names; a gap of all rows stays one."""
    return {item: own if own.ndim == 0 else own[index] for item, own in gaps.items()}


def rows_unread(gaps: Gaps) -> Mask:
    """The rows in which this reading itself falls short."""
    return any_of(own for item, own in gaps.items() if item.of == UNREAD)


class NumberColumn(Record, eq=False):
    """A number for each lot, in SI; see `algebra.values.Quantity`.

    Attributes:
        low: The least it can be, shape (n,) or (); -inf where nothing is known.
        high: The most it can be.
        dimension: Its kind.
        missing: What would narrow it.
        made_of: The largest number it was made from.
        has_kind: The rows of which the kind is known; a number that is wholly unknown may have
            none.
    """

    low: Floats
    high: Floats
    dimension: Dimension = RATIO
    missing: Gaps = field(default_factory=dict)
    made_of: Floats = np.float64(0.0)  # type: ignore[assignment]
    has_kind: Mask = YES  # type: ignore[assignment]

    @property
    def least(self) -> Floats:
        """How much it is at least, whatever its sign; zero where no end is known."""
        low = np.where(np.isfinite(self.low), np.abs(self.low), math.inf)
        high = np.where(np.isfinite(self.high), np.abs(self.high), math.inf)
        found = np.minimum(low, high)
        return np.where(np.isfinite(found), found, 0.0)

    @property
    def size(self) -> Floats:
        """What its tolerance is a share of."""
        return np.maximum(self.made_of, self.least)

    @property
    def is_certain(self) -> Mask:
        """The rows in which it is one number."""
        return same(self.low, self.high, self.made_of)

    @property
    def is_bounded(self) -> Mask:
        """The rows in which something is known of it from both sides."""
        return np.isfinite(self.low) & np.isfinite(self.high)

    @property
    def is_kindless(self) -> Mask:
        """The rows in which not even its kind is known."""
        is_open = (self.low == -math.inf) & (self.high == math.inf)
        return np.asarray(is_open if self.dimension == RATIO else is_open & ~self.has_kind)

    def take(self, index: Any) -> NumberColumn:
        """The rows that an index names."""

        def own(array: Any) -> Any:
            return array if np.ndim(array) == 0 else array[index]

        return NumberColumn(
            own(self.low),
            own(self.high),
            self.dimension,
            gathered(self.missing, index),
            own(self.made_of),
            own(self.has_kind),
        )


def number_for_all(value: float, dimension: Dimension = RATIO) -> NumberColumn:
    """One number for all lots."""
    return NumberColumn(np.asarray(value, float), np.asarray(value, float), dimension)


def numbers(values: Floats, dimension: Dimension = RATIO) -> NumberColumn:
    """A known number for each lot: an array of shape (lots,), in SI units of the dimension."""
    return NumberColumn(values, values, dimension)


def unknown(missing: Gaps, dimension: Dimension = RATIO) -> NumberColumn:
    """A number of which nothing is known in any row."""
    low, high = np.asarray(-math.inf), np.asarray(math.inf)
    return NumberColumn(low, high, dimension, missing)


def column_of(quantity: Quantity) -> NumberColumn:
    """A number that one lot has, for all of them."""
    return NumberColumn(
        np.asarray(quantity.low_si),
        np.asarray(quantity.high_si),
        quantity.dimension,
        dict.fromkeys(quantity.missing, np.asarray(YES)),
        np.asarray(quantity.made_of_si),
    )


def where(rows: Mask, first: NumberColumn, second: NumberColumn) -> NumberColumn:
    """The rows of one column where a mask says so, else those of another."""
    dimension = first.dimension if first.dimension != RATIO else second.dimension
    return NumberColumn(
        np.where(rows, first.low, second.low),
        np.where(rows, first.high, second.high),
        dimension,
        together(within(first.missing, rows), within(second.missing, ~rows)),
        np.where(rows, first.made_of, second.made_of),
        np.where(rows, _kind(first, dimension), _kind(second, dimension)),
    )


def _kind(column: NumberColumn, dimension: Dimension) -> Mask:
    return column.has_kind if column.dimension == dimension else np.asarray(NO)


def kind_of(terms: Sequence[NumberColumn]) -> tuple[Dimension, Mask]:
    """The dimension of terms that are alike, and the rows in which any of them has it."""
    dimension = next((term.dimension for term in terms if term.dimension != RATIO), RATIO)
    known: Any = YES if dimension == RATIO else NO
    for term in terms:
        if term.dimension == dimension:
            known = known | term.has_kind
    return dimension, np.asarray(known)


class Codes(Record, eq=False):
    """A text, truth, date or set for each row, from a short list.

    Attributes:
        values: The list.
        index: The place of each row in it, shape (n,) or (); -1 where it is missing.
        lacks: What is missing there.
    """

    values: tuple[str | bool | date | frozenset[str], ...]
    index: Any
    lacks: Missing

    def told(self, answers: Sequence[bool | None]) -> tuple[Any, Gaps]:
        """For each row what is true of its value: 1, 0, or -1 where that is not known."""
        table = np.array([*(-1 if a is None else int(a) for a in answers), -1], np.int8)
        holds = table[self.index]
        open_rows = np.asarray(holds < 0)
        return holds, {self.lacks: open_rows} if open_rows.any() else {}


def codes_of(values: Iterable[str | bool | date | frozenset[str] | None], lacks: Missing) -> Codes:
    """Codes of a value for each row; None where it is missing."""
    known: dict[Any, int] = {}
    index = [-1 if v is None else known.setdefault((type(v), v), len(known)) for v in values]
    return Codes(tuple(v for _, v in known), np.array(index, np.int32), lacks)
