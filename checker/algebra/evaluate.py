"""Reading 1 of a rule: does it hold, and with which numbers?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, assert_never

from checker.algebra import nodes as n
from checker.algebra import ranges
from checker.algebra.values import (
    NEGATED,
    UNCLEAR,
    Context,
    Judged,
    Missing,
    Quantity,
    Truth,
    Unmet,
    certain,
    compare,
    least_room,
    paired,
    unknown,
)
from checker.algebra.walk import nodes
from checker.core.records import replace
from checker.core.rounding import rounded
from checker.core.units import RATIO, Amount, Order
from checker.core.words import WORK

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date


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
            return ranges.scaled(number(of, context), fraction)
        case n.Sum(terms=terms):
            return ranges.added([number(term, context) for term in terms])
        case n.Difference(take=take, less=less, stops_at_zero=stops):
            return ranges.difference(
                number(take, context),
                ranges.added([number(term, context) for term in less]),
                stops_at_zero=stops,
            )
        case n.Product(factors=factors):
            return ranges.product([number(factor, context) for factor in factors])
        case n.Ratio(top=top, bottom=bottom):
            return ranges.ratio(number(top, context), number(bottom, context))
        case n.Least(terms=terms):
            return ranges.pick([number(term, context) for term in terms], min)
        case n.Greatest(terms=terms):
            return ranges.pick([number(term, context) for term in terms], max)
        case n.Tiers(by=by, rows=rows):
            return _tiers(number(by, context), rows, context)
        case n.Brackets(of=of, rows=bracket_rows):
            return ranges.through_brackets(number(of, context), bracket_rows)
        case n.Points():
            return ranges.pointed(node, number(node.by, context))
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
                rounded(end, step.value_si, way, inner.made_of_si) if math.isfinite(end) else end
                for end in (inner.low_si, inner.high_si)
            )
            unit = step.unit if inner.dimension == RATIO else inner.unit
            return Quantity(low, high, inner.dimension, inner.missing, unit)
        case _:
            assert_never(node)


def _tiers(by: Quantity, rows: tuple[n.Tier, ...], context: Context) -> Quantity:
    if by.is_certain:
        found = [row for row in rows if ranges.falls_in(by.low_si, row, by.made_of_si)]
        if len(found) == 1:
            return number(found[0].value, context)
        ask = "two tiers fit" if found else "no tier fits"
        return unknown([Missing("", context.surface_id, f"{ask}: ask the office which one holds")])
    possible = [row for row in rows if ranges.may_fall_in(by, row)]
    if not possible or not ranges.covers(by, possible):
        return unknown(by.missing)
    return ranges.hull([number(row.value, context) for row in possible], by.missing)


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
        elif possible:
            # Where no case holds the text says nothing, so that all of it stays open.
            return unknown(missing, ranges.kind_of(possible))
        else:
            return unknown([UNCLEAR])
    if len(possible) == 1 and not missing:
        return possible[0]
    return ranges.hull(possible, tuple(missing))


def _by_date(values: tuple[tuple[date, n.Number], ...], context: Context) -> Quantity:
    in_force = [value for day, value in values if context.day is None or day <= context.day]
    if not in_force:
        return unknown([Missing("", "", "no value was in force on that day: give a later date")])
    return number(in_force[-1], context)


def condition(node: n.Condition, context: Context, *, is_wanted: bool = True) -> Truth:
    """Whether a condition holds, or, when it is not wanted, whether it does not.

    Args:
        node: Any condition.
        context: Where names are looked up.
        is_wanted: False asks for the opposite; the comparisons come back turned around then, so
            that what they say is what must hold.

    Returns:
        True or False only when every value that the missing facts may have gives it.
    """
    match node:
        case n.Compare():
            return _compared(node, context, is_wanted)
        case n.Is(name=name, values=values):
            given = context.fact(name)
            if given is None:
                return Truth(holds=None, missing=(context.missing(name),))
            held = given if isinstance(given, frozenset) else {given}
            return _told(node, any(value in held for value in values), is_wanted, context, given)
        case n.Dated(name=name, order=order, day=day):
            when = context.fact(name)
            if when is None or isinstance(when, str | bool | frozenset):
                return Truth(holds=None, missing=(context.missing(name),))
            return _told(node, _dated(when, order, day), is_wanted, context, when)
        case n.OnFile(document=document):
            return _told(node, context.is_on_file(document), is_wanted, context)
        case n.Passes(rule=rule):
            return _passing(node, context.outcome(rule), is_wanted, context)
        case n.AllOf(parts=parts) | n.AnyOf(parts=parts):
            truths = [condition(part, context, is_wanted=is_wanted) for part in parts]
            return _all(truths) if isinstance(node, n.AllOf) is is_wanted else _any(truths)
        case n.Not(part=part):
            return condition(part, context, is_wanted=not is_wanted)
        case n.ForEach(where=where, require=require):
            found = _for_each(where, require, context)
            return found if is_wanted else _opposite(found)
        case n.ReadingCondition(reading=reading, options=options):
            chosen = dict(options)[context.option(reading)]
            return condition(chosen, context, is_wanted=is_wanted)
        case _:
            assert_never(node)


def _compared(node: n.Compare, context: Context, is_wanted: bool) -> Truth:  # noqa: FBT001 - private
    if not is_wanted:
        orders: list[Order] = (
            [NEGATED[node.order]] if node.order in NEGATED else ["less than", "more than"]
        )
        others = [n.Compare(node.measured, order, node.limit) for order in orders]
        return _any([_compared(other, context, is_wanted=True) for other in others])
    measured, limit = paired(number(node.measured, context), number(node.limit, context))
    holds = compare(measured, node.order, limit)
    judged = Judged(
        measured=measured,
        order=node.order,
        limit=limit,
        holds=holds,
        node=node,
        of=context.surface_id,
    )
    missing = tuple(dict.fromkeys(measured.missing + limit.missing))
    return Truth(holds=holds, missing=missing, parts=(judged,), decides=(judged,))


def _dated(when: date, order: n.DateOrder, day: date) -> bool:
    if order == "before":
        return when < day
    if order == "on or before":
        return when <= day
    if order == "after":
        return when > day
    return when >= day


def _told(
    node: n.Is | n.Dated | n.OnFile,
    is_so: bool,  # noqa: FBT001 - private
    is_wanted: bool,  # noqa: FBT001 - private
    context: Context,
    given: str | bool | date | frozenset[str] | None = None,  # noqa: FBT001 - private
) -> Truth:
    """A condition that is no comparison, with the reason where it stands in the way."""
    if is_so is is_wanted:
        return Truth(holds=True)
    reason = Unmet(node, given, context.surface_id, is_excluded=not is_wanted)
    return Truth(holds=False, because=(reason,))


def _passing(node: n.Passes, found: Truth, is_wanted: bool, context: Context) -> Truth:  # noqa: FBT001 - private
    if not is_wanted:
        found = _opposite(found)
    if found.holds is False and not found.because:
        reason = Unmet(node, None, context.surface_id, is_excluded=not is_wanted)
        return replace(found, because=(reason,))
    return found


def _opposite(truth: Truth) -> Truth:
    """What is true where a condition is not; which of its comparisons bear that is not told."""
    return Truth(holds=None if truth.holds is None else not truth.holds, missing=truth.missing)


def _all(truths: Sequence[Truth]) -> Truth:
    values = [truth.holds for truth in truths]
    holds = False if False in values else (None if None in values else True)
    bearing = [truth for truth in truths if truth.holds is holds]
    return _joined(truths, holds, bearing)


def _any(truths: Sequence[Truth]) -> Truth:
    values = [truth.holds for truth in truths]
    holds = True if True in values else (None if None in values else False)
    bearing = [truth for truth in truths if truth.holds is holds]
    if holds is not None:
        bearing = nearest(bearing)
    return _joined(truths, holds, bearing)


def nearest(ways: Sequence[Truth]) -> list[Truth]:
    """Of several ways to one end, the one whose numbers have the most room; none without numbers.

    One that facts rule out comes after those that a number alone can reach.
    """
    numbered = [(way, way.governing) for way in ways]
    ranked = [(bool(way.because), -part.room, way) for way, part in numbered if part is not None]
    if not ranked:
        return []
    first = min(is_ruled_out for is_ruled_out, _, _ in ranked)
    among = [item for item in ranked if item[0] == first]
    return [among[least_room([own for _, own, _ in among])][2]]


def _joined(truths: Sequence[Truth], holds: bool | None, bearing: Sequence[Truth]) -> Truth:  # noqa: FBT001 - three-valued
    failed = [truth for truth in truths if truth.holds is False] if holds is False else []
    return Truth(
        holds=holds,
        missing=tuple(dict.fromkeys(m for truth in truths for m in truth.missing)),
        parts=tuple(part for truth in truths for part in truth.parts),
        decides=tuple(part for truth in bearing for part in truth.decides),
        is_vacuous=bool(truths) and all(truth.is_vacuous for truth in truths),
        because=tuple(dict.fromkeys(b for truth in failed for b in truth.because)),
    )


def _for_each(where: n.Condition, require: n.Condition, context: Context) -> Truth:
    found: list[Truth] = []
    for surface in context.surfaces():
        if not is_asked_for(where, surface):
            continue
        selected = condition(where, surface)
        if selected.holds is False:
            continue
        met = condition(require, surface)
        if selected.holds is None and met.holds is not True:
            missing = selected.missing + met.missing
            met = Truth(holds=None, missing=missing, parts=met.parts, decides=met.decides)
        found.append(met)
    if not found:
        return Truth(holds=True, is_vacuous=True)
    together = _all(found)
    if together.holds and any(_is_met_by_facts(truth) for truth in found):
        # The number of another surface would not be the one that decides.
        return replace(together, decides=())
    return together


def is_asked_for(where: n.Condition, scope: Context) -> bool:
    """Whether a selection looks at a thing at all: at what is built for water only by its word."""
    if not scope.fact(WORK):
        return True
    return any(isinstance(node, n.Is) and node.name == WORK for node in nodes(where))


def _is_met_by_facts(truth: Truth) -> bool:
    """Whether facts alone make it hold, beside comparisons that do not."""
    return not truth.decides and any(part.holds is not True for part in truth.parts)


def as_amount(quantity: Quantity) -> Amount | None:
    """A certain number as an amount; None when it is not certain."""
    return quantity.end(high=False) if quantity.is_certain and quantity.is_bounded else None
