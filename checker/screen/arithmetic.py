"""Arithmetic with columns of ranges: `algebra.ranges`, row by row for many lots."""

from __future__ import annotations

import math
from functools import reduce
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from checker.algebra import ranges
from checker.algebra.values import UNCLEAR, Missing, Quantity
from checker.core.units import RATIO
from checker.screen.columns import (
    NO,
    YES,
    NumberColumn,
    any_of,
    kind_of,
    together,
    unknown,
    where,
    within,
)
from checker.screen.compare import meets, same, settled

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.algebra import nodes as n
    from checker.core.rounding import RoundingWay
    from checker.screen.columns import Gaps
    from checker.screen.compare import Floats, Mask


def scaled(of: NumberColumn, fraction: float) -> NumberColumn:
    """A share of a number."""
    if not fraction:
        zero = np.zeros(())
        return NumberColumn(zero, zero, of.dimension, of.missing, of.made_of * 0.0, of.has_kind)
    ends = of.low * fraction, of.high * fraction
    low, high = ends if fraction > 0 else ends[::-1]
    return NumberColumn(
        low, high, of.dimension, of.missing, of.made_of * abs(fraction), of.has_kind
    )


def _largest(terms: Sequence[NumberColumn]) -> Floats:
    return reduce(np.maximum, [term.size for term in terms], np.zeros(()))


def added(terms: Sequence[NumberColumn]) -> NumberColumn:
    """All terms together."""
    made_of = _largest(terms)
    with np.errstate(invalid="ignore"):
        low = sum((term.low for term in terms), np.zeros(()))
        high = sum((term.high for term in terms), np.zeros(()))
    # An end without bound wins over one without bound on the other side.
    low = np.where(any_of(term.low == -math.inf for term in terms), -math.inf, low)
    high = np.where(any_of(term.high == math.inf for term in terms), math.inf, high)
    dimension, has_kind = kind_of(terms)
    return NumberColumn(
        settled(low, made_of),
        settled(high, made_of),
        dimension,
        together(*(term.missing for term in terms)),
        made_of,
        has_kind,
    )


def difference(taken: NumberColumn, given: NumberColumn, *, stops_at_zero: bool) -> NumberColumn:
    """One number less another."""
    made_of = _largest([taken, given])
    with np.errstate(invalid="ignore"):
        low = settled(taken.low - given.high, made_of)
        high = settled(taken.high - given.low, made_of)
    low, high = np.where(np.isnan(low), -math.inf, low), np.where(np.isnan(high), math.inf, high)
    if stops_at_zero:
        low, high = np.maximum(low, 0.0), np.maximum(high, 0.0)
    dimension, has_kind = kind_of([taken, given])
    gaps = together(taken.missing, given.missing)
    return NumberColumn(low, high, dimension, gaps, made_of, has_kind)


def product(factors: Sequence[NumberColumn]) -> NumberColumn:
    """All factors multiplied; nothing times the unknown is nothing."""
    low, high, dimension = np.ones(()), np.ones(()), RATIO
    for factor in factors:
        with np.errstate(invalid="ignore"):
            ends = [
                np.where((a == 0.0) | (b == 0.0), 0.0, a * b)
                for a in (low, high)
                for b in (factor.low, factor.high)
            ]
        low, high = reduce(np.minimum, ends), reduce(np.maximum, ends)
        dimension = dimension * factor.dimension
    made_of = np.zeros(())
    for factor in factors:
        others = [other.least for other in factors if other is not factor]
        made_of = np.maximum(made_of, reduce(np.multiply, others, factor.size))
    gaps = together(*(factor.missing for factor in factors))
    found = NumberColumn(low, high, dimension, gaps, made_of)
    return _unless(any_of(factor.is_kindless for factor in factors), found)


def _unless(rows: Mask, column: NumberColumn, gaps: Gaps | None = None) -> NumberColumn:
    """A column in which nothing is known in some rows, not even the kind."""
    if not rows.any():
        return column
    return where(rows, unknown(column.missing if gaps is None else gaps), column)


def ratio(top: NumberColumn, bottom: NumberColumn) -> NumberColumn:
    """One number by another; undefined where the lower one may be zero."""
    dimension = top.dimension / bottom.dimension
    gaps = together(top.missing, bottom.missing)
    is_open = ((bottom.low <= 0) & (bottom.high >= 0)) | ~bottom.is_bounded
    below_low, below_high = (np.where(is_open, 1.0, end) for end in (bottom.low, bottom.high))
    ends = [a / b for a in (top.low, top.high) for b in (below_low, below_high)]
    below = np.maximum(np.abs(below_low), np.abs(below_high))
    made_of = np.maximum(top.size, top.least * bottom.size / below) / below
    low, high = reduce(np.minimum, ends), reduce(np.maximum, ends)
    found = NumberColumn(low, high, dimension, gaps, made_of)
    if is_open.any():
        unclear = _where_none_lacks(gaps, is_open, UNCLEAR)
        found = where(is_open, unknown(together(gaps, unclear), dimension), found)
    return _unless(top.is_kindless | bottom.is_kindless, found, gaps)


def _where_none_lacks(gaps: Gaps, rows: Mask, missing: Missing) -> Gaps:
    """A gap in the rows that have no other."""
    return within({missing: np.asarray(YES)}, rows & ~any_of(gaps.values()))


def pick(terms: Sequence[NumberColumn], which: Literal["least", "greatest"]) -> NumberColumn:
    """The least or the greatest of several."""
    take = np.minimum if which == "least" else np.maximum
    low = reduce(take, [term.low for term in terms])
    high = reduce(take, [term.high for term in terms])
    made_of = reduce(np.maximum, [term.made_of for term in terms])
    # What is not known cannot change the result when the others already decide it.
    is_open = ~(np.isfinite(low) & (low == high))
    dimension, has_kind = kind_of(terms)
    gaps = within(together(*(term.missing for term in terms)), np.asarray(is_open))
    return NumberColumn(low, high, dimension, gaps, made_of, has_kind)


class Hull:
    """What spans the numbers of which one holds, each in the rows in which it is possible."""

    def __init__(self) -> None:
        self.low: Any = np.asarray(math.inf)
        self.high: Any = np.asarray(-math.inf)
        self.made_of: Any = np.zeros(())
        self.count: Any = np.zeros((), np.int64)
        self.gaps: Gaps = {}
        self._terms: list[tuple[NumberColumn, Mask]] = []

    def add(self, column: NumberColumn, rows: Mask) -> None:
        """One more number that is possible in some rows."""
        self.low = np.where(rows, np.minimum(self.low, column.low), self.low)
        self.high = np.where(rows, np.maximum(self.high, column.high), self.high)
        self.made_of = np.where(rows, np.maximum(self.made_of, column.made_of), self.made_of)
        self.count = self.count + rows
        self.gaps = together(self.gaps, within(column.missing, rows))
        self._terms.append((column, rows))

    def column(self, gaps: Gaps) -> NumberColumn:
        """The hull, with gaps besides; wholly unknown where nothing is possible."""
        terms = [column for column, _ in self._terms]
        dimension, _ = kind_of(terms) if terms else (RATIO, YES)
        known: Any = YES if dimension == RATIO else NO
        for column, rows in self._terms:
            if column.dimension == dimension:
                known = known | (column.has_kind & rows)
        nothing = self.count == 0
        return NumberColumn(
            np.where(nothing, -math.inf, self.low),
            np.where(nothing, math.inf, self.high),
            dimension,
            together(gaps, self.gaps),
            np.asarray(self.made_of),
            np.asarray(known),
        )


def falls_in(value: Floats, row: n.Tier, size: Floats) -> Mask:
    """Whether numbers lie in a tier, each end inclusive as the row says."""
    found: Any = YES
    if row.low is not None:
        order: Any = "at least" if row.low_included else "more than"
        found = found & meets(value, np.asarray(row.low.value_si), order, size)
    if row.high is not None:
        order = "at most" if row.high_included else "less than"
        found = found & meets(value, np.asarray(row.high.value_si), order, size)
    return np.asarray(found)


def may_fall_in(by: NumberColumn, row: n.Tier) -> Mask:
    """Whether any of the numbers that ranges may be lies in a tier."""
    found: Any = YES
    if row.low is not None:
        order: Any = "at least" if row.low_included else "more than"
        found = found & meets(by.high, np.asarray(row.low.value_si), order, by.made_of)
    if row.high is not None:
        order = "at most" if row.high_included else "less than"
        found = found & meets(by.low, np.asarray(row.high.value_si), order, by.made_of)
    return np.asarray(found)


def covered(
    by: NumberColumn, rows: Sequence[n.Tier], possible: Sequence[Mask], among: Mask
) -> Mask:
    """Whether exactly one of the possible tiers fits wherever in its range a number may lie.

    Each different range is looked at once, by the reading for one lot.
    """
    shape = np.broadcast_shapes(by.low.shape, by.high.shape, among.shape)
    marks = [np.broadcast_to(mask, shape) for mask in possible]
    table = np.stack(
        [np.broadcast_to(by.low, shape), np.broadcast_to(by.high, shape), *marks], axis=-1
    ).reshape(-1, 2 + len(marks))
    chosen = np.broadcast_to(among, shape).reshape(-1)
    found = np.zeros(len(table), bool)
    if chosen.any():
        kinds, which = np.unique(table[chosen], axis=0, return_inverse=True)
        told = []
        for low, high, *fits in kinds.tolist():
            here = [row for row, is_in in zip(rows, fits, strict=True) if is_in]
            told.append(bool(here) and ranges.covers(Quantity(low, high), here))
        found[chosen] = np.array(told)[which.reshape(-1)]
    return found.reshape(shape)


def through_brackets(whole: NumberColumn, rows: tuple[n.Bracket, ...]) -> NumberColumn:
    """The sum over marginal brackets; undefined beyond the last of them."""
    low, high = (_bracketed(end, rows) for end in (whole.low, whole.high))
    steepest = max((abs(row.fraction) for row in rows), default=0.0)
    found = NumberColumn(
        low, high, whole.dimension, whole.missing, whole.size * steepest, whole.has_kind
    )
    beyond = np.asarray(low == math.inf)
    if not beyond.any():
        return found
    gaps = together(whole.missing, _where_none_lacks(whole.missing, beyond, UNCLEAR))
    return where(beyond, unknown(gaps, whole.dimension), found)


def _bracketed(whole: Floats, rows: tuple[n.Bracket, ...]) -> Floats:
    finite = np.where(np.isfinite(whole), whole, 0.0)
    total, below = np.zeros_like(finite), np.zeros_like(finite)
    is_open = np.ones(finite.shape, bool)
    for row in rows:
        top = row.up_to.value_si if row.up_to is not None else math.inf
        part = np.minimum(finite, top) - below
        is_open = is_open & (part > 0)
        total = np.where(is_open, total + row.fraction * np.where(is_open, part, 0.0), total)
        below = np.where(is_open, top, below)
    is_beyond = (finite > below) & ~same(finite, below)
    return np.where(np.isfinite(whole), np.where(is_beyond, math.inf, total), whole)


def pointed(node: n.Points, by: NumberColumn) -> NumberColumn:
    """The values of a table of points; undefined outside it."""
    dimension = node.points[0][1].dimension if node.points else RATIO
    ends = [_at_point(end, node) for end in (by.low, by.high)]
    is_outside = np.isnan(ends[0]) | np.isnan(ends[1])
    low, high = np.fmin(*ends), np.fmax(*ends)
    is_range = ~by.is_certain
    for x, y in node.points:
        inside = is_range & (by.low <= x.value_si) & (x.value_si <= by.high)
        low = np.where(inside, np.fmin(low, y.value_si), low)
        high = np.where(inside, np.fmax(high, y.value_si), high)
    slopes = [
        abs((b[1].value_si - a[1].value_si) / (b[0].value_si - a[0].value_si))
        for a, b in pairwise(node.points)
    ]
    steepest = max(slopes, default=0.0) if node.between == "straight line" else 0.0
    found = NumberColumn(low, high, dimension, by.missing, by.made_of * steepest)
    if not is_outside.any():
        return found
    ask = Missing("", "", "the table does not reach this far: ask the office")
    gaps = together(by.missing, _where_none_lacks(by.missing, is_outside, ask))
    return where(is_outside, unknown(gaps, dimension), found)


def _at_point(at: Floats, node: n.Points) -> Floats:
    """The value at each number; nan outside the table."""
    xs = np.array([x.value_si for x, _ in node.points])
    ys = np.array([y.value_si for _, y in node.points])
    if not len(xs):
        return np.full(at.shape, math.nan)
    finite = np.where(np.isfinite(at), at, 0.0)
    right = np.clip(np.searchsorted(xs, finite, side="right"), 1, len(xs) - 1)
    if node.between == "lower point" or len(xs) == 1:
        found = ys[right - 1]
    elif node.between == "higher point":
        found = ys[right]
    else:
        along = (finite - xs[right - 1]) / (xs[right] - xs[right - 1])
        found = ys[right - 1] + along * (ys[right] - ys[right - 1])
    found = np.where(np.isfinite(at) & (xs[0] < at) & (at < xs[-1]), found, math.nan)
    for x, y in reversed(list(zip(xs, ys, strict=True))):
        found = np.where(same(at, x), y, found)
    return found


def rounded(value: NumberColumn, step: float, way: RoundingWay) -> NumberColumn:
    """Numbers rounded to a multiple of a step; see `core.rounding.rounded`."""
    low, high = (_rounded(end, step, way, value.made_of) for end in (value.low, value.high))
    return NumberColumn(low, high, value.dimension, value.missing, has_kind=value.has_kind)


def _rounded(value: Floats, step: float, way: RoundingWay, size: Floats) -> Floats:
    finite = np.where(np.isfinite(value), value, 0.0)
    count = finite / step
    whole = np.rint(count)
    is_whole = same(count, whole, size / step)
    halves = np.rint(count * 2)
    count = np.where(same(count * 2, halves, size * 2 / step), halves / 2, count)
    if way == "nearest":
        steps = np.copysign(np.floor(np.abs(count) + 0.5), count)
    else:
        steps = np.ceil(count) if way == "up" else np.floor(count)
    return np.where(np.isfinite(value), np.where(is_whole, whole, steps) * step, value)
