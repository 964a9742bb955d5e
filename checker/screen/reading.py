"""Reading 4 of a rule: what `evaluate` says of one lot, for all lots of a town at once.

The nodes are the ones of the algebra, and none has a second meaning here: `tests/screen` holds
every answer to `evaluate`, lot by lot. What this reading cannot tell is a gap of its own kind
(`columns.unread`), and the rule is then "not screened" where it matters.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Protocol, assert_never

import numpy as np

from checker.algebra import nodes as n
from checker.algebra.values import NEGATED, UNCLEAR, Missing
from checker.screen import arithmetic
from checker.screen.columns import (
    UNREAD,
    YES,
    Codes,
    NumberColumn,
    number_for_all,
    together,
    unknown,
    where,
    within,
)
from checker.screen.compare import same
from checker.screen.truths import (
    NOTHING,
    Truths,
    compared,
    either,
    every,
    opposite,
    told,
    truths_where,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from checker.core.units import Order
    from checker.screen.compare import Mask


class TownScope(Protocol):
    """Where names are looked up: the lots, or one surface of each row before them."""

    @property
    def day(self) -> date | None:
        """The day whose law counts; None for the newest."""

    def number(self, named: n.Named) -> NumberColumn:
        """A measure, fact or attribute that is an amount."""

    def fact(self, name: str) -> Codes:
        """A text, yes-or-no, date or set."""

    def each(self, where: n.Condition, require: n.Condition) -> Truths:
        """Whether every surface that one condition selects meets another."""

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists."""

    def outcome(self, rule: str) -> Truths:
        """Whether another rule of the set passes."""

    def limit_of(self, rule: str) -> NumberColumn:
        """The limit that another rule sets."""

    def option(self, reading: str) -> str:
        """The option by which an unclear clause is read."""

    def part(self, order: Order, measured: NumberColumn, limit: NumberColumn) -> int:
        """The number of a comparison, by which its order and dimension are found again."""


def number(node: n.Number, context: TownScope) -> NumberColumn:
    """The values of a number node; see `algebra.evaluate.number`."""
    match node:
        case n.Fixed(amount=amount):
            return number_for_all(amount.value_si, amount.dimension)
        case n.Named():
            return context.number(node)
        case n.Share(fraction=fraction, of=of):
            return arithmetic.scaled(number(of, context), fraction)
        case n.Sum(terms=terms):
            return arithmetic.added(_all(terms, context))
        case n.Difference(take=take, less=less, stops_at_zero=stops):
            given = arithmetic.added(_all(less, context))
            return arithmetic.difference(number(take, context), given, stops_at_zero=stops)
        case n.Product(factors=factors):
            return arithmetic.product(_all(factors, context))
        case n.Ratio(top=top, bottom=bottom):
            return arithmetic.ratio(number(top, context), number(bottom, context))
        case n.Least(terms=terms):
            return arithmetic.pick(_all(terms, context), "least")
        case n.Greatest(terms=terms):
            return arithmetic.pick(_all(terms, context), "greatest")
        case n.Tiers(by=by, rows=rows):
            return _tiers(number(by, context), rows, context)
        case n.Brackets(of=of, rows=bracket_rows):
            return arithmetic.through_brackets(number(of, context), bracket_rows)
        case n.Points():
            return arithmetic.pointed(node, number(node.by, context))
        case n.LimitOf(rule=rule):
            return context.limit_of(rule)
        case n.Choose(cases=cases, otherwise=otherwise):
            return _choose(cases, otherwise, context)
        case n.ByReading(reading=reading, options=options):
            return number(dict(options)[context.option(reading)], context)
        case n.ByDate(values=values):
            in_force = [v for day, v in values if context.day is None or day <= context.day]
            ask = "no value was in force on that day: give a later date"
            return number(in_force[-1], context) if in_force else _asking(Missing("", "", ask))
        case n.Rounded(value=value, step=step, way=way):
            return arithmetic.rounded(number(value, context), step.value_si, way)
        case _:
            assert_never(node)


def _all(terms: Sequence[n.Number], context: TownScope) -> list[NumberColumn]:
    return [number(term, context) for term in terms]


def _asking(missing: Missing) -> NumberColumn:
    return unknown({missing: np.asarray(YES)})


def _tiers(by: NumberColumn, rows: tuple[n.Tier, ...], context: TownScope) -> NumberColumn:
    values = [number(row.value, context) for row in rows]
    is_one = by.is_certain
    falls = [arithmetic.falls_in(by.low, row, by.made_of) & is_one for row in rows]
    may = [arithmetic.may_fall_in(by, row) & ~is_one for row in rows]
    hull = arithmetic.Hull()
    for value, one, some in zip(values, falls, may, strict=True):
        hull.add(value, np.asarray(one | some))
    found = hull.column(within(by.missing, ~is_one))
    fit_count: Any = sum((fits.astype(int) for fits in falls), np.zeros((), int))
    open_rows = ~is_one & ~arithmetic.covered(by, rows, may, ~is_one)
    if open_rows.any():
        found = where(open_rows, unknown(by.missing), found)
    for rows_wrong, ask in ((is_one & (fit_count == 0), "no tier fits"),
                            (is_one & (fit_count > 1), "two tiers fit")):  # fmt: skip
        if rows_wrong.any():
            item = Missing("", "", f"{ask}: ask the office which one holds")
            found = where(np.asarray(rows_wrong), _asking(item), found)
    return found


def _choose(
    cases: tuple[n.Case, ...], otherwise: n.Number | None, context: TownScope
) -> NumberColumn:
    hull = arithmetic.Hull()
    is_left: Mask = np.asarray(YES)
    gaps: Any = {}
    for case in cases:
        truth = condition(case.when, context)
        may = np.asarray(is_left & (truth.holds != 0))
        hull.add(number(case.value, context), may)
        gaps = together(gaps, within(truth.missing, np.asarray(is_left & (truth.holds == -1))))
        is_left = np.asarray(is_left & (truth.holds != 1))
    if otherwise is not None:
        hull.add(number(otherwise, context), is_left)
        return hull.column(gaps)
    found = hull.column(gaps)
    if not is_left.any():
        return found
    # Where no case holds the text says nothing, so that all of it stays open.
    has_some = np.asarray(hull.count > 0)
    open_some = NumberColumn(
        np.asarray(-np.inf), np.asarray(np.inf), found.dimension, gaps, has_kind=found.has_kind
    )
    found = where(np.asarray(is_left & has_some), open_some, found)
    return where(np.asarray(is_left & ~has_some), _asking(UNCLEAR), found)


def condition(node: n.Condition, context: TownScope, *, is_wanted: bool = True) -> Truths:
    """Whether a condition holds for each lot; see `algebra.evaluate.condition`."""
    match node:
        case n.Compare():
            return _compared(node, context, is_wanted=is_wanted)
        case n.Is(name=name, values=values):
            codes = context.fact(name)
            answers = [
                any(value in (held if isinstance(held, frozenset) else {held}) for value in values)
                for held in codes.values
            ]
            return _told(*codes.told(answers), is_wanted=is_wanted)
        case n.Dated(name=name, order=order, day=day):
            codes = context.fact(name)
            days = [_dated(when, order, day) for when in codes.values]
            return _told(*codes.told(days), is_wanted=is_wanted)
        case n.OnFile(document=document):
            is_so = context.is_on_file(document)
            return _told(np.asarray(int(is_so), np.int8), {}, is_wanted=is_wanted)
        case n.Passes(rule=rule):
            found = context.outcome(rule)
            found = found if is_wanted else opposite(found)
            return Truths(
                holds=found.holds,
                missing=found.missing,
                decides=found.decides,
                is_vacuous=found.is_vacuous,
                because=np.asarray(found.holds == 0),
                has_unmet=found.has_unmet,
            )
        case n.AllOf(parts=parts) | n.AnyOf(parts=parts):
            truths = [condition(part, context, is_wanted=is_wanted) for part in parts]
            return every(truths) if isinstance(node, n.AllOf) is is_wanted else either(truths)
        case n.Not(part=part):
            return condition(part, context, is_wanted=not is_wanted)
        case n.ForEach(where=selects, require=require):
            found = context.each(selects, require)
            return found if is_wanted else opposite(found)
        case n.ReadingCondition(reading=reading, options=options):
            picked = dict(options)[context.option(reading)]
            return condition(picked, context, is_wanted=is_wanted)
        case _:
            assert_never(node)


def _compared(node: n.Compare, context: TownScope, *, is_wanted: bool) -> Truths:
    if not is_wanted:
        orders: list[Order] = (
            [NEGATED[node.order]] if node.order in NEGATED else ["less than", "more than"]
        )
        others = [n.Compare(node.measured, order, node.limit) for order in orders]
        return either([_compared(other, context, is_wanted=True) for other in others])
    measured, limit = number(node.measured, context), number(node.limit, context)
    return compared(measured, node.order, limit, context.part(node.order, measured, limit))


def _dated(when: object, order: n.DateOrder, day: date) -> bool | None:
    if isinstance(when, str | bool | frozenset):
        return None
    told_day: Any = when
    if order == "before":
        return bool(told_day < day)
    if order == "on or before":
        return bool(told_day <= day)
    return bool(told_day > day if order == "after" else told_day >= day)


def _told(holds: Any, missing: Any, *, is_wanted: bool) -> Truths:
    if not is_wanted:
        holds = np.array([1, 0, -1], np.int8)[holds]
    return told(np.asarray(holds, np.int8), missing)


def each(selected: Truths, met: Truths, of: Any, count: int) -> Truths:
    """Whether every selected surface of each lot meets what is asked; see `evaluate`.

    Args:
        selected: For each surface, whether it is one that is spoken of.
        met: For each surface, whether it meets what is asked.
        of: The lot of each surface, shape (surfaces,), ascending.
        count: How many lots.
    """
    rows = len(of)
    open_rows = np.asarray((selected.holds == -1) & (met.holds != 1))
    lacks = Truths(
        holds=np.asarray(-1, np.int8),
        missing=together(selected.missing, met.missing),
        decides=met.decides,
        has_unmet=met.has_unmet,
    )
    met = truths_where(open_rows, lacks, met) if open_rows.any() else met
    # What is spoken of may itself be untold by this reading, whatever it would have to meet.
    untold = {item: rows for item, rows in selected.missing.items() if item.of == UNREAD}
    gaps = together(met.missing, untold)
    there = np.broadcast_to(selected.holds != 0, rows)
    holds = np.broadcast_to(met.holds, rows)

    def lots(mask: Any) -> Mask:
        mask = np.broadcast_to(mask, rows) & there
        return np.bincount(of[mask], minlength=count) > 0

    any_there, any_no, any_open = lots(YES), lots(holds == 0), lots(holds == -1)
    found = np.where(any_no, 0, np.where(any_open, -1, 1)).astype(np.int8)
    bearing = there & (holds == found[of])
    decides = _least_of_each(met, bearing, of, count)
    has_decides = np.broadcast_to(met.decides.has, rows)
    by_facts = lots(~has_decides & np.broadcast_to(met.has_unmet, rows))
    decides = decides.among(~((found == 1) & by_facts))
    return Truths(
        holds=found,
        missing={item: mask for item, own in gaps.items() if (mask := lots(own)).any()},
        decides=decides,
        is_vacuous=~any_there | ~lots(~np.broadcast_to(met.is_vacuous, rows)),
        because=lots((holds == 0) & met.because) & (found == 0),
        has_unmet=lots(met.has_unmet),
    )


def _least_of_each(met: Truths, bearing: Any, of: Any, count: int) -> Any:
    """Of the surfaces of each lot that bear the answer the comparison with the least room."""
    rows = len(of)
    has = np.flatnonzero(bearing & np.broadcast_to(met.decides.has, rows))
    if not len(has):
        return NOTHING
    room = np.broadcast_to(met.decides.room, rows)[has]
    least = np.full(count, math.inf)
    np.minimum.at(least, of[has], room)
    # The first of those with as little room as any.
    nearest = has[same(room, least[of[has]], 1.0)]
    _, first = np.unique(of[nearest], return_index=True)
    best = nearest[first]
    index = np.zeros(count, np.intp)
    index[of[best]] = best
    present = np.zeros(count, bool)
    present[of[best]] = True
    taken = met.decides.take(index)
    return type(taken)(present, taken.room, taken.measured, taken.limit, taken.margin, taken.part)


def nothing_of(lots: int) -> Truths:
    """What holds where no lot has any surface."""
    return Truths(holds=np.ones(lots, np.int8), is_vacuous=np.ones(lots, bool))
