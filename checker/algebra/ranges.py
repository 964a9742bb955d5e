"""Arithmetic with numbers that may be ranges: what `evaluate` does once the parts are known.

Each result says what it was made from, so that a difference of two large numbers is compared with
the tolerance that they deserve, and one that only rounding has left of them is zero.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from checker.algebra import nodes as n
from checker.algebra.values import UNCLEAR, Missing, Quantity, unknown
from checker.core.units import RATIO, Dimension, meets, same, settled

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


def scaled(of: Quantity, fraction: float) -> Quantity:
    """A share of a number."""
    ends = sorted((of.low_si * fraction, of.high_si * fraction)) if fraction else [0.0, 0.0]
    made_of = of.made_of_si * abs(fraction)
    return Quantity(ends[0], ends[1], of.dimension, of.missing, "", made_of)


def added(terms: Sequence[Quantity]) -> Quantity:
    """All terms together."""
    made_of = _largest(terms)
    low = math.fsum(t.low_si for t in terms) if _finite(terms) else _inf_sum(terms, low=True)
    high = math.fsum(t.high_si for t in terms) if _finite(terms) else _inf_sum(terms, low=False)
    return Quantity(
        settled(low, made_of),
        settled(high, made_of),
        kind_of(terms),
        missing_of(terms),
        "",
        made_of,
    )


def difference(taken: Quantity, given: Quantity, *, stops_at_zero: bool) -> Quantity:
    """One number less another."""
    made_of = _largest([taken, given])
    low = settled(taken.low_si - given.high_si, made_of)
    high = settled(taken.high_si - given.low_si, made_of)
    low, high = (-math.inf if math.isnan(low) else low), (math.inf if math.isnan(high) else high)
    if stops_at_zero:
        low, high = max(low, 0.0), max(high, 0.0)
    missing = tuple(dict.fromkeys(taken.missing + given.missing))
    return Quantity(low, high, kind_of([taken, given]), missing, taken.unit, made_of)


def _largest(terms: Sequence[Quantity]) -> float:
    """The size of the largest term: rounding leaves a share of it, whatever the terms come to."""
    return max((term.size_si for term in terms), default=0.0)


def _finite(terms: Sequence[Quantity]) -> bool:
    return all(term.is_bounded for term in terms)


def _inf_sum(terms: Sequence[Quantity], *, low: bool) -> float:
    ends = [term.low_si if low else term.high_si for term in terms]
    worst = -math.inf if low else math.inf
    return worst if worst in ends else sum(ends)


def kind_of(terms: Sequence[Quantity]) -> Dimension:
    """The dimension of terms that are alike, of which some may say none."""
    return next((term.dimension for term in terms if term.dimension != RATIO), RATIO)


def missing_of(terms: Sequence[Quantity]) -> tuple[Missing, ...]:
    """What would narrow any of several numbers."""
    return tuple(dict.fromkeys(missing for term in terms for missing in term.missing))


def _has_no_kind(of: Quantity) -> bool:
    """Whether nothing at all is known of a number, so that its dimension may be any other, too."""
    return of.dimension == RATIO and (of.low_si, of.high_si) == (-math.inf, math.inf)


def product(factors: Sequence[Quantity]) -> Quantity:
    """All factors multiplied; nothing times the unknown is nothing."""
    if any(_has_no_kind(factor) for factor in factors):
        return unknown(missing_of(factors))
    low, high, dimension = 1.0, 1.0, RATIO
    for factor in factors:
        ends = [
            0.0 if 0.0 in (a, b) else a * b
            for a in (low, high)
            for b in (factor.low_si, factor.high_si)
        ]
        low, high, dimension = min(ends), max(ends), dimension * factor.dimension
    made_of = max(
        (
            factor.size_si * math.prod(other.least_si for other in factors if other is not factor)
            for factor in factors
        ),
        default=0.0,
    )
    return Quantity(low, high, dimension, missing_of(factors), "", made_of)


def ratio(top: Quantity, bottom: Quantity) -> Quantity:
    """One number by another; undefined where the lower one may be zero."""
    if _has_no_kind(top) or _has_no_kind(bottom):
        return unknown(missing_of([top, bottom]))
    dimension = top.dimension / bottom.dimension
    missing = missing_of([top, bottom])
    if bottom.low_si <= 0 <= bottom.high_si or not bottom.is_bounded:
        return unknown(missing or (UNCLEAR,), dimension)
    ends = [a / b for a in (top.low_si, top.high_si) for b in (bottom.low_si, bottom.high_si)]
    unit = "%" if dimension == RATIO else ""
    below = max(abs(bottom.low_si), abs(bottom.high_si))
    made_of = max(top.size_si, top.least_si * bottom.size_si / below) / below
    return Quantity(min(ends), max(ends), dimension, missing, unit, made_of)


def pick(terms: Sequence[Quantity], which: Callable[..., float]) -> Quantity:
    """The least or the greatest of several."""
    low = which(term.low_si for term in terms)
    high = which(term.high_si for term in terms)
    # What is not known cannot change the result when the others already decide it.
    missing = () if math.isfinite(low) and low == high else missing_of(terms)
    unit = next((term.unit for term in terms if term.unit), "")
    made_of = max((term.made_of_si for term in terms), default=0.0)
    return Quantity(low, high, kind_of(terms), missing, unit, made_of)


def hull(options: Sequence[Quantity], missing: tuple[Missing, ...]) -> Quantity:
    """What spans several numbers of which one holds."""
    return Quantity(
        min(option.low_si for option in options),
        max(option.high_si for option in options),
        kind_of(options),
        tuple(dict.fromkeys((*missing, *missing_of(options)))),
        next((option.unit for option in options if option.unit), ""),
        max(option.made_of_si for option in options),
    )


def falls_in(value: float, row: n.Tier, size: float = 0.0) -> bool:
    """Whether a number lies in a tier, each end inclusive as the row says.

    Args:
        value: The number in SI.
        row: The tier.
        size: The largest number that the value was made from.
    """
    if row.low is not None and not meets(
        value, row.low.value_si, "at least" if row.low_included else "more than", size
    ):
        return False
    return row.high is None or meets(
        value, row.high.value_si, "at most" if row.high_included else "less than", size
    )


def may_fall_in(by: Quantity, row: n.Tier) -> bool:
    """Whether any of the numbers that a range may be lies in a tier."""
    if row.low is not None and not meets(
        by.high_si, row.low.value_si, "at least" if row.low_included else "more than", by.made_of_si
    ):
        return False
    return row.high is None or meets(
        by.low_si, row.high.value_si, "at most" if row.high_included else "less than", by.made_of_si
    )


def covers(by: Quantity, rows: Sequence[n.Tier]) -> bool:
    """Whether exactly one tier fits wherever in its range a number may lie.

    An amount of which nothing is known is not taken to be below zero.
    """
    low, high = (0.0 if by.low_si == -math.inf else by.low_si), by.high_si
    ends = sorted({e.value_si for row in rows for e in (row.low, row.high) if e is not None})
    at = [low, *(end for end in ends if low < end < high)]
    at.append(high if math.isfinite(high) else max(at[-1], *ends, 0.0) + 1.0)
    at += [(a + b) / 2 for a, b in pairwise(at)]
    return all(sum(falls_in(value, row) for row in rows) == 1 for value in at)


def through_brackets(whole: Quantity, rows: tuple[n.Bracket, ...]) -> Quantity:
    """The sum over marginal brackets; undefined beyond the last of them."""
    low, high = (_bracketed(end, rows) for end in (whole.low_si, whole.high_si))
    if low == math.inf:
        return unknown(whole.missing or (UNCLEAR,), whole.dimension)
    made_of = whole.size_si * max((abs(row.fraction) for row in rows), default=0.0)
    return Quantity(low, high, whole.dimension, whole.missing, "", made_of)


def _bracketed(whole: float, rows: tuple[n.Bracket, ...]) -> float:
    if not math.isfinite(whole):
        return whole
    total, below = 0.0, 0.0
    for row in rows:
        top = row.up_to.value_si if row.up_to is not None else math.inf
        part = min(whole, top) - below
        if part <= 0:
            break
        total += row.fraction * part
        below = top
    if whole > below and not same(whole, below):
        return math.inf
    return total


def pointed(node: n.Points, by: Quantity) -> Quantity:
    """The value of a table of points; undefined outside it."""
    dimension = node.points[0][1].dimension if node.points else RATIO
    unit = node.points[0][1].unit if node.points else ""
    ends = [_at_point(end, node) for end in (by.low_si, by.high_si)]
    if None in ends:
        ask = "the table does not reach this far: ask the office"
        return unknown(by.missing or (Missing("", "", ask),), dimension)
    values = [end for end in ends if end is not None]
    inside = [y.value_si for x, y in node.points if by.low_si <= x.value_si <= by.high_si]
    values += inside if not by.is_certain else []
    steepest = (
        max(
            (abs((b[1].value_si - a[1].value_si) / (b[0].value_si - a[0].value_si)))
            for a, b in pairwise(node.points)
        )
        if len(node.points) > 1
        else 0.0
    )
    made_of = by.made_of_si * steepest if node.between == "straight line" else 0.0
    return Quantity(min(values), max(values), dimension, by.missing, unit, made_of)


def _at_point(where: float, node: n.Points) -> float | None:
    xs = [x.value_si for x, _ in node.points]
    ys = [y.value_si for _, y in node.points]
    for x, y in zip(xs, ys, strict=True):
        if same(where, x):
            return y
    if not xs or not xs[0] < where < xs[-1]:
        return None
    right = next(i for i, x in enumerate(xs) if x > where)
    if node.between == "lower point":
        return ys[right - 1]
    if node.between == "higher point":
        return ys[right]
    along = (where - xs[right - 1]) / (xs[right] - xs[right - 1])
    return ys[right - 1] + along * (ys[right] - ys[right - 1])
