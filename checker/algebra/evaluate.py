"""Reading 1 of a rule: does it hold, and with which numbers?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, assert_never

from checker.algebra import nodes as n
from checker.algebra.values import (
    Context,
    Judged,
    Missing,
    Quantity,
    Truth,
    certain,
    compare,
    unknown,
)
from checker.core.units import RATIO, Amount, Dimension, Order, meets, rounded, same

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date

UNCLEAR = Missing("", "", "the rule leaves this undefined: ask the office")


def number(node: n.Number, context: Context) -> Quantity:
    """The value of a number node.

    Args:
        node: Any number.
        context: Where names are looked up.

    Returns:
        A range in SI; one number when everything it needs is known.
    """
    match node:
        case n.Fixed(amount=amount):
            return certain(amount)
        case n.Named():
            return context.number(node)
        case n.Share(fraction=fraction, of=of):
            return _scaled(number(of, context), fraction)
        case n.Sum(terms=terms):
            return _sum([number(term, context) for term in terms])
        case n.Difference(take=take, less=less, stops_at_zero=stops):
            taken, given = number(take, context), _sum([number(term, context) for term in less])
            low, high = taken.low_si - given.high_si, taken.high_si - given.low_si
            if stops:
                low, high = max(low, 0.0), max(high, 0.0)
            return Quantity(low, high, taken.dimension, taken.missing + given.missing)
        case n.Product(factors=factors):
            return _product([number(factor, context) for factor in factors])
        case n.Ratio(top=top, bottom=bottom):
            return _ratio(number(top, context), number(bottom, context))
        case n.Least(terms=terms):
            return _pick([number(term, context) for term in terms], min)
        case n.Greatest(terms=terms):
            return _pick([number(term, context) for term in terms], max)
        case n.Tiers(by=by, rows=rows):
            return _tiers(number(by, context), rows, context)
        case n.Brackets(of=of, rows=bracket_rows):
            whole = number(of, context)
            low, high = (_bracketed(end, bracket_rows) for end in (whole.low_si, whole.high_si))
            if low == math.inf:
                return unknown(whole.missing or (UNCLEAR,), whole.dimension)
            return Quantity(low, high, whole.dimension, whole.missing)
        case n.Points():
            return _points(node, number(node.by, context))
        case n.LimitOf(rule=rule):
            return context.limit_of(rule)
        case n.Choose(cases=cases, otherwise=otherwise):
            return _choose(cases, otherwise, context)
        case n.ByReading(reading=reading, options=options):
            return number(dict(options)[context.option(reading)], context)
        case n.ByDate(values=values):
            return _by_date(values, context)
        case n.Rounded(value=value, step=step, way=way):
            inner = number(value, context)
            low, high = (
                rounded(end, step.value_si, way) if math.isfinite(end) else end
                for end in (inner.low_si, inner.high_si)
            )
            unit = step.unit if inner.dimension == RATIO else inner.unit
            return Quantity(low, high, inner.dimension, inner.missing, unit)
        case _:
            assert_never(node)


def _scaled(of: Quantity, fraction: float) -> Quantity:
    ends = sorted((of.low_si * fraction, of.high_si * fraction)) if fraction else [0.0, 0.0]
    return Quantity(ends[0], ends[1], of.dimension, of.missing)


def _sum(terms: Sequence[Quantity]) -> Quantity:
    return Quantity(
        math.fsum(term.low_si for term in terms) if _finite(terms) else _inf_sum(terms, low=True),
        math.fsum(term.high_si for term in terms) if _finite(terms) else _inf_sum(terms, low=False),
        _dimension(terms),
        _missing(terms),
    )


def _finite(terms: Sequence[Quantity]) -> bool:
    return all(term.is_bounded for term in terms)


def _inf_sum(terms: Sequence[Quantity], *, low: bool) -> float:
    ends = [term.low_si if low else term.high_si for term in terms]
    worst = -math.inf if low else math.inf
    return worst if worst in ends else sum(ends)


def _dimension(terms: Sequence[Quantity]) -> Dimension:
    return next((term.dimension for term in terms if term.dimension != RATIO), RATIO)


def _missing(terms: Sequence[Quantity]) -> tuple[Missing, ...]:
    return tuple(dict.fromkeys(missing for term in terms for missing in term.missing))


def _product(factors: Sequence[Quantity]) -> Quantity:
    low, high, dimension = 1.0, 1.0, RATIO
    for factor in factors:
        ends = [
            0.0 if 0.0 in (a, b) else a * b
            for a in (low, high)
            for b in (factor.low_si, factor.high_si)
        ]
        low, high, dimension = min(ends), max(ends), dimension * factor.dimension
    return Quantity(low, high, dimension, _missing(factors))


def _ratio(top: Quantity, bottom: Quantity) -> Quantity:
    dimension = top.dimension / bottom.dimension
    missing = _missing([top, bottom])
    if bottom.low_si <= 0 <= bottom.high_si or not bottom.is_bounded:
        return unknown(missing or (UNCLEAR,), dimension)
    ends = [a / b for a in (top.low_si, top.high_si) for b in (bottom.low_si, bottom.high_si)]
    unit = "%" if dimension == RATIO else ""
    return Quantity(min(ends), max(ends), dimension, missing, unit)


def _pick(terms: Sequence[Quantity], which: Callable[..., float]) -> Quantity:
    low = which(term.low_si for term in terms)
    high = which(term.high_si for term in terms)
    if math.isfinite(low) and low == high:
        # What is not known cannot change the result when the others already decide it.
        return Quantity(low, high, _dimension(terms))
    return Quantity(low, high, _dimension(terms), _missing(terms))


def _hull(options: Sequence[Quantity], missing: tuple[Missing, ...]) -> Quantity:
    return Quantity(
        min(option.low_si for option in options),
        max(option.high_si for option in options),
        _dimension(options),
        tuple(dict.fromkeys((*missing, *_missing(options)))),
    )


def falls_in(value: float, row: n.Tier) -> bool:
    """Whether a number lies in a tier, each end inclusive as the row says."""
    if row.low is not None and not meets(
        value, row.low.value_si, "at least" if row.low_included else "more than"
    ):
        return False
    return row.high is None or meets(
        value, row.high.value_si, "at most" if row.high_included else "less than"
    )


def _tiers(by: Quantity, rows: tuple[n.Tier, ...], context: Context) -> Quantity:
    if by.is_certain:
        found = [row for row in rows if falls_in(by.low_si, row)]
        if len(found) == 1:
            return number(found[0].value, context)
        ask = "two tiers fit" if found else "no tier fits"
        return unknown([Missing("", context.surface_id, f"{ask}: ask the office which one holds")])
    possible = [
        row
        for row in rows
        if not (row.low is not None and by.high_si < row.low.value_si)
        and not (row.high is not None and by.low_si > row.high.value_si)
    ]
    if not possible:
        return unknown(by.missing)
    return _hull([number(row.value, context) for row in possible], by.missing)


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


def _points(node: n.Points, by: Quantity) -> Quantity:
    dimension = node.points[0][1].dimension if node.points else RATIO
    unit = node.points[0][1].unit if node.points else ""
    ends = [_at_point(end, node) for end in (by.low_si, by.high_si)]
    if None in ends:
        ask = "the table does not reach this far: ask the office"
        return unknown(by.missing or (Missing("", "", ask),), dimension)
    values = [end for end in ends if end is not None]
    inside = [y.value_si for x, y in node.points if by.low_si <= x.value_si <= by.high_si]
    values += inside if not by.is_certain else []
    return Quantity(min(values), max(values), dimension, by.missing, unit)


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


def _choose(cases: tuple[n.Case, ...], otherwise: n.Number | None, context: Context) -> Quantity:
    possible: list[Quantity] = []
    missing: list[Missing] = []
    for case in cases:
        truth = condition(case.when, context)
        if truth.holds is False:
            continue
        possible.append(number(case.value, context))
        if truth.holds:
            break
        missing += truth.missing
    else:
        if otherwise is not None:
            possible.append(number(otherwise, context))
        elif not possible:
            return unknown([UNCLEAR])
    if len(possible) == 1 and not missing:
        return possible[0]
    return _hull(possible, tuple(missing))


def _by_date(values: tuple[tuple[date, n.Number], ...], context: Context) -> Quantity:
    in_force = [value for day, value in values if context.day is None or day <= context.day]
    if not in_force:
        return unknown([Missing("", "", "no value was in force on that day: give a later date")])
    return number(in_force[-1], context)


def condition(node: n.Condition, context: Context) -> Truth:
    """Whether a condition holds.

    Args:
        node: Any condition.
        context: Where names are looked up.

    Returns:
        True or False only when every value that the missing facts may have gives it.
    """
    match node:
        case n.Compare(measured=measured, order=order, limit=limit):
            return _compared(
                node, number(measured, context), order, number(limit, context), context
            )
        case n.Is(name=name, values=values):
            given = context.fact(name)
            if given is None:
                return Truth(holds=None, missing=(context.missing(name),))
            held = given if isinstance(given, frozenset) else {given}
            return Truth(holds=any(value in held for value in values))
        case n.Dated(name=name, order=order, day=day):
            when = context.fact(name)
            if when is None or isinstance(when, str | bool | frozenset):
                return Truth(holds=None, missing=(context.missing(name),))
            return Truth(holds=_dated(when, order, day))
        case n.OnFile(document=document):
            found = context.is_on_file(document)
            whose = f" for {context.surface_id}" if context.surface_id else ""
            lacks = f"no '{document}' is on file{whose}"
            return Truth(holds=found, because=() if found else (lacks,))
        case n.Passes(rule=rule):
            return context.outcome(rule)
        case n.AllOf(parts=parts):
            return _all([condition(part, context) for part in parts])
        case n.AnyOf(parts=parts):
            return _any([condition(part, context) for part in parts])
        case n.Not(part=part):
            inner = condition(part, context)
            holds = None if inner.holds is None else not inner.holds
            return Truth(holds=holds, missing=inner.missing)
        case n.ForEach(where=where, require=require):
            return _for_each(where, require, context)
        case n.ReadingCondition(reading=reading, options=options):
            return condition(dict(options)[context.option(reading)], context)
        case _:
            assert_never(node)


def _compared(
    node: n.Compare, measured: Quantity, order: Order, limit: Quantity, context: Context
) -> Truth:
    holds = compare(measured, order, limit)
    judged = Judged(
        measured=measured,
        order=order,
        limit=limit,
        holds=holds,
        node=node,
        of=context.surface_id,
    )
    missing = tuple(dict.fromkeys(measured.missing + limit.missing))
    return Truth(holds=holds, missing=missing, parts=(judged,))


def _dated(when: date, order: n.DateOrder, day: date) -> bool:
    if order == "before":
        return when < day
    if order == "on or before":
        return when <= day
    if order == "after":
        return when > day
    return when >= day


def _all(truths: Sequence[Truth]) -> Truth:
    values = [truth.holds for truth in truths]
    holds = False if False in values else (None if None in values else True)
    return _joined(truths, holds)


def _any(truths: Sequence[Truth]) -> Truth:
    values = [truth.holds for truth in truths]
    holds = True if True in values else (None if None in values else False)
    return _joined(truths, holds)


def _joined(truths: Sequence[Truth], holds: bool | None) -> Truth:  # noqa: FBT001 - three-valued
    return Truth(
        holds=holds,
        missing=tuple(dict.fromkeys(m for truth in truths for m in truth.missing)),
        parts=tuple(part for truth in truths for part in truth.parts),
        is_vacuous=bool(truths) and all(truth.is_vacuous for truth in truths),
        because=tuple(dict.fromkeys(b for truth in truths for b in truth.because)),
    )


def _for_each(where: n.Condition, require: n.Condition, context: Context) -> Truth:
    found: list[Truth] = []
    for surface in context.surfaces():
        selected = condition(where, surface)
        if selected.holds is False:
            continue
        met = condition(require, surface)
        if selected.holds is None and met.holds is not True:
            met = Truth(holds=None, missing=selected.missing + met.missing, parts=met.parts)
        found.append(met)
    if not found:
        return Truth(holds=True, is_vacuous=True)
    return _all(found)


def as_amount(quantity: Quantity) -> Amount | None:
    """A certain number as an amount; None when it is not certain."""
    return quantity.end(high=False) if quantity.is_certain and quantity.is_bounded else None
