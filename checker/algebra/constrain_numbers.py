"""The number nodes of reading 3: linear expressions, with switches where they bend or jump.

Each number is asked for in one of three senses. "under" may give less than the number and "over"
more, never the other way about; that is enough beside a limit, and it needs no switch where the
bend is on the good side. "exact" gives the number itself. What is not known is taken at its
unfavourable end, as `evaluate` takes it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Protocol, assert_never

from checker.algebra import evaluate, ranges
from checker.algebra import nodes as n
from checker.algebra.constrain_pieces import (
    Segment,
    bracket_segments,
    point_segments,
    tier_segments,
)
from checker.algebra.constrain_terms import OPPOSITE, NotLinear, Sense, undefined
from checker.algebra.linear import Linear, total
from checker.algebra.walk import nodes

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from checker.algebra.constrain_terms import Presence
    from checker.algebra.linear import Rows
    from checker.algebra.values import Context


class Terms(Protocol):
    """Where names are looked up that a change can move."""

    def varies(self, named: n.Named) -> bool:
        """Whether a change can move a measure of the lot."""

    def measure(self, named: n.Named, sense: Sense, reader: NumberRows) -> Linear:
        """A measure that varies; may add rows through the reader."""

    def definition(self, name: str) -> n.Number | None:
        """The expression of an amount that the rule set defines; None for other names."""

    def requirement(self, rule: str) -> n.Condition:
        """What must hold for another rule to pass."""

    def limit(self, rule: str) -> n.Number | None:
        """The limit that another rule sets; None when it sets none."""

    def surfaces(self) -> Iterable[Presence]:
        """Every surface that is or may be there."""

    def step(self, part: Linear, rows: Rows) -> float:
        """How far from zero an expression must keep where something jumps at zero; >= 0."""


class NumberRows:
    """Reads numbers; conditions are read by the class built on it.

    Args:
        rows: Takes the variables and rows.
        terms: Where measures that a change can move are looked up.
        context: Where everything else is looked up: the lot, or one surface.
    """

    def __init__(self, rows: Rows, terms: Terms, context: Context) -> None:
        self.rows = rows
        self.terms = terms
        self.context = context
        self.when: Linear | None = None
        self.at_jump = False

    def require(self, node: n.Condition, *, holds: bool, when: Linear | None) -> None:
        """Add the rows of a condition."""
        raise NotImplementedError

    def varies(self, node: n.Number | n.Condition) -> bool:
        """Whether a change can move a number or a condition."""
        return any(self._moves(part) for part in nodes(node))

    def _moves(self, part: object) -> bool:
        match part:
            case n.Named(name=name):
                defined = self.terms.definition(name)
                return self.varies(defined) if defined is not None else self.terms.varies(part)
            case n.LimitOf(rule=rule):
                limit = self.terms.limit(rule)
                return limit is not None and self.varies(limit)
            case n.Passes(rule=rule):
                return self.varies(self.terms.requirement(rule))
            case n.ForEach():
                return any(not item.amount.is_constant for item in self.terms.surfaces())
            case _:
                return False

    def number(self, node: n.Number, sense: Sense) -> Linear:
        """A number as a linear expression.

        Raises:
            NotLinear: It cannot be said so.
        """
        if not self.varies(node):
            return self._known(node, sense)
        match node:
            case n.Fixed():
                raise AssertionError("an amount does not vary")
            case n.Named(name=name):
                defined = self.terms.definition(name)
                if defined is not None:
                    return self.number(defined, sense)
                return self.terms.measure(node, sense, self)
            case n.Share(fraction=fraction, of=of):
                return self._times(of, fraction, sense)
            case n.Sum(terms=terms):
                return total([(self.number(term, sense), 1.0) for term in terms])
            case n.Difference(take=take, less=less, stops_at_zero=stops):
                given = [(self.number(term, OPPOSITE[sense]), -1.0) for term in less]
                left = total([(self.number(take, sense), 1.0), *given])
                return self.greatest([left, Linear()], sense) if stops else left
            case n.Product(factors=factors):
                return self._product(factors, sense)
            case n.Ratio(top=top, bottom=bottom):
                return self._ratio(top, bottom, sense)
            case n.Least(terms=terms):
                return self.least([self.number(term, sense) for term in terms], sense)
            case n.Greatest(terms=terms):
                return self.greatest([self.number(term, sense) for term in terms], sense)
            case n.Tiers(by=by, rows=rows):
                return self._tiers(by, rows, sense)
            case n.Brackets(of=of, rows=brackets):
                return self._brackets(of, brackets, sense)
            case n.Points():
                return self._points(node, sense)
            case n.LimitOf(rule=rule):
                limit = self.terms.limit(rule)
                assert limit is not None
                return self.number(limit, sense)
            case n.Choose(cases=cases, otherwise=otherwise):
                return self._choose(cases, otherwise, sense)
            case n.ByReading(reading=reading, options=options):
                return self.number(dict(options)[self.context.option(reading)], sense)
            case n.ByDate(values=values):
                day = self.context.day
                return self.number(
                    [v for since, v in values if day is None or since <= day][-1], sense
                )
            case n.Rounded():
                return self._rounded(node, sense)
            case _:
                assert_never(node)

    def _known(self, node: n.Number, sense: Sense) -> Linear:
        found = evaluate.number(node, self.context)
        if sense == "exact" and not found.is_certain:
            asks = "; ".join(missing.ask for missing in found.missing)
            raise NotLinear("a number that decides which limit holds", f"it is not known: {asks}")
        return Linear(found.high_si if sense == "over" else found.low_si)

    def _times(self, of: n.Number, times: float, sense: Sense) -> Linear:
        return self.number(of, sense if times >= 0 else OPPOSITE[sense]).scaled(times)

    def _product(self, factors: Sequence[n.Number], sense: Sense) -> Linear:
        moving = [factor for factor in factors if self.varies(factor)]
        if len(moving) > 1:
            raise NotLinear("a product", "two numbers that a change can move are multiplied")
        fixed = tuple(factor for factor in factors if factor is not moving[0])
        times = evaluate.number(n.Product(fixed), self.context)
        if times.is_certain:
            return self._times(moving[0], times.low_si, sense)
        if sense == "exact" or not times.is_bounded:
            raise NotLinear("a product", "one of its factors is not known")
        if self.rows.span(self.number(moving[0], "under"))[0] < 0:
            raise NotLinear("a product", "a number that may be negative times one not known")
        return self._times(moving[0], times.low_si if sense == "under" else times.high_si, sense)

    def _ratio(self, top: n.Number, bottom: n.Number, sense: Sense) -> Linear:
        if self.varies(bottom):
            raise NotLinear("a ratio", "a change can move the number that it is divided by")
        below = evaluate.number(bottom, self.context)
        if not below.is_bounded or below.low_si <= 0 <= below.high_si:
            return undefined(sense)
        if below.is_certain:
            return self._times(top, 1.0 / below.low_si, sense)
        inverse = (1.0 / below.high_si, 1.0 / below.low_si)
        if sense == "exact" or self.rows.span(self.number(top, "under"))[0] < 0:
            raise NotLinear("a ratio", "the number that it is divided by is not known")
        return self._times(top, inverse[0 if sense == "under" else 1], sense)

    def least(self, parts: Sequence[Linear], sense: Sense) -> Linear:
        """The least of several expressions."""
        return self.greatest([part.scaled(-1.0) for part in parts], OPPOSITE[sense]).scaled(-1.0)

    def greatest(self, parts: Sequence[Linear], sense: Sense) -> Linear:
        """The greatest of several expressions."""
        if any(math.isnan(part.constant) for part in parts):
            return undefined("exact")
        known = [part for part in parts if part.constant != -math.inf]
        if not known or any(part.constant == math.inf for part in known):
            return Linear(math.inf if known else -math.inf)
        spans = [self.rows.span(part) for part in known]
        floor = max(low for low, _ in spans)
        # One that can never be above what another always is decides nothing.
        known = [p for p, s in zip(known, spans, strict=True) if s[1] > floor or s[0] == floor]
        known = list({(p.constant, tuple(sorted(p.terms.items()))): p for p in known}.values())
        if len(known) == 1:
            return known[0]
        top = self.rows.variable("greatest", floor, max(high for _, high in spans))
        if sense != "under":
            for part in known:
                self.rows.not_above(part.plus(top, -1.0))
        if sense != "over":
            switches = [self.rows.switch("is greatest") for _ in known]
            self.rows.between(1.0, total([(switch, 1.0) for switch in switches]), 1.0)
            for part, switch in zip(known, switches, strict=True):
                self.rows.not_above(top.plus(part, -1.0), switch)
        return top

    def _tiers(self, by: n.Number, rows: tuple[n.Tier, ...], sense: Sense) -> Linear:
        if not self.varies(by):
            where = evaluate.number(by, self.context)
            if not where.is_certain:
                raise NotLinear("a tier table", "the number that picks the tier is not known")
            found = [row for row in rows if ranges.falls_in(where.low_si, row, where.made_of_si)]
            if len(found) != 1:
                return undefined(sense)
            return self.number(found[0].value, sense)
        return self._picked(self.number(by, "exact"), tier_segments(rows), sense)

    def _brackets(self, of: n.Number, rows: tuple[n.Bracket, ...], sense: Sense) -> Linear:
        whole = self.number(of, "exact")
        if math.isnan(whole.constant):
            return undefined(sense)
        parts = bracket_segments(whole, rows)
        low, high = self.rows.span(whole)
        if parts and low >= 0 and high <= parts[-1].high:
            values = [part.value for part in parts[1:] if isinstance(part.value, Linear)]
            slopes = [row.fraction for row in rows]
            if sense == "under" and slopes == sorted(slopes, reverse=True):
                return self.least(values, "under")
            if sense == "over" and slopes == sorted(slopes):
                return self.greatest(values, "over")
        return self._picked(whole, parts, sense)

    def _points(self, node: n.Points, sense: Sense) -> Linear:
        where = self.number(node.by, "exact")
        return self._picked(where, point_segments(where, node), sense)

    def _picked(self, where: Linear, parts: Sequence[Segment], sense: Sense) -> Linear:
        """The value of the segment that a number lies in; outside all of them there is none."""
        low, high = self.rows.span(where)
        if math.isnan(low):
            return undefined(sense)
        near = [part for part in parts if part.reaches(low, high)]
        if not near:
            return undefined(sense)
        if len(near) == 1 and near[0].holds_all(low, high):
            return self._value(near[0].value, sense, self.when)
        ways: list[tuple[Callable[[Linear], None], n.Number | Linear]] = [
            (lambda switch, part=part: self._within(where, part, switch), part.value)  # type: ignore[misc]
            for part in near
        ]
        return self._one_of(ways, sense)

    def _within(self, where: Linear, part: Segment, switch: Linear) -> None:
        for end, sign, is_included in (
            (part.low, -1.0, part.low_included),
            (part.high, 1.0, part.high_included),
        ):
            if not math.isfinite(end):
                continue
            over = where.plus(-end).scaled(sign)
            gap = 0.0 if is_included else self.rows.strict(where)
            if part.is_level:
                gap = max(gap, self.terms.step(over, self.rows))
            self.rows.not_above(over.plus(gap), switch)

    def _one_of(
        self, ways: Sequence[tuple[Callable[[Linear], None], n.Number | Linear]], sense: Sense
    ) -> Linear:
        """The value of the one way whose switch is on; the switch brings its conditions."""
        on = self.when
        switches = [self.rows.switch("way") for _ in ways]
        chosen = total([(switch, 1.0) for switch in switches])
        if on is None:
            self.rows.between(1.0, chosen, 1.0)
        else:
            self.rows.between(0.0, chosen.plus(on, -1.0), 0.0)
        values: list[Linear] = []
        for (conditions, value), switch in zip(ways, switches, strict=True):
            conditions(switch)
            values.append(self._value(value, sense, switch))
        kept = [v for v in values if math.isfinite(v.constant)]
        for value, switch in zip(values, switches, strict=True):
            if not math.isfinite(value.constant):
                self.rows.not_above(switch)
        if not kept:
            return undefined(sense)
        spans = [self.rows.span(value) for value in kept]
        result = self.rows.variable("value", min(s[0] for s in spans), max(s[1] for s in spans))
        for value, switch in zip(values, switches, strict=True):
            if math.isfinite(value.constant):
                if sense != "under":
                    self.rows.not_above(value.plus(result, -1.0), switch)
                if sense != "over":
                    self.rows.not_above(result.plus(value, -1.0), switch)
        return result

    def _value(self, value: n.Number | Linear, sense: Sense, when: Linear | None) -> Linear:
        if isinstance(value, Linear):
            return value
        outer, self.when = self.when, when
        try:
            return self.number(value, sense)
        finally:
            self.when = outer

    def _choose(
        self, cases: tuple[n.Case, ...], otherwise: n.Number | None, sense: Sense
    ) -> Linear:
        if not cases:
            return self.number(otherwise, sense) if otherwise is not None else undefined(sense)
        first, rest = cases[0], cases[1:]
        ends_here = not rest and otherwise is None
        if not self.varies(first.when):
            truth = evaluate.condition(first.when, self.context)
            if truth.holds:
                return self.number(first.value, sense)
            if truth.holds is False:
                return self._choose(rest, otherwise, sense)
            if ends_here:
                return undefined(sense)
            both = [self.number(first.value, sense), self._choose(rest, otherwise, sense)]
            if sense == "exact":
                raise NotLinear("a choice", "what decides it is not known")
            return self.least(both, sense) if sense == "under" else self.greatest(both, sense)
        ways: list[tuple[Callable[[Linear], None], n.Number | Linear]] = [
            (lambda on: self._decide(first.when, holds=True, when=on), first.value)
        ]
        if not ends_here:
            ways.append(
                (
                    lambda on: self._decide(first.when, holds=False, when=on),
                    n.Choose(rest, otherwise),
                )
            )
        return self._one_of(ways, sense)

    def _decide(self, node: n.Condition, *, holds: bool, when: Linear) -> None:
        """Add the rows of a condition that decides which number holds: there it jumps."""
        outer, self.at_jump = self.at_jump, True
        try:
            self.require(node, holds=holds, when=when)
        finally:
            self.at_jump = outer

    def _rounded(self, node: n.Rounded, sense: Sense) -> Linear:
        step = node.step.value_si
        value = self.number(node.value, sense)
        low, high = self.rows.span(value)
        if not (math.isfinite(low) and math.isfinite(high)):
            return value
        count = self.rows.variable(
            "steps", math.floor(low / step) - 1, math.ceil(high / step) + 1, is_whole=True
        )
        left = value.plus(count, -step)
        if node.way == "down":
            self._stepped(left, (0.0, step), sense, value, opens_low=False)
        elif node.way == "up":
            self._stepped(left, (-step, 0.0), sense, value, opens_low=True)
        elif low >= 0 or high <= 0:
            self._stepped(left, (-step / 2, step / 2), sense, value, opens_low=low < 0)
        else:
            # Halves go away from zero, so the sign decides which end of a step is its own.
            positive, negative = self.rows.switch("positive"), self.rows.switch("negative")
            self.rows.between(1.0, positive.plus(negative), 1.0)
            self.rows.not_below(value, positive)
            self.rows.not_above(value, negative)
            ends = (-step / 2, step / 2)
            self._stepped(left, ends, sense, value, opens_low=False, when=positive)
            self._stepped(left, ends, sense, value, opens_low=True, when=negative)
        return count.scaled(step)

    def _stepped(
        self,
        left: Linear,
        ends: tuple[float, float],
        sense: Sense,
        value: Linear,
        *,
        opens_low: bool,
        when: Linear | None = None,
    ) -> None:
        """What is left of a number beside its step lies between two ends, one of them left out."""
        strict = self.rows.strict(value)
        if sense != "over":
            self.rows.not_below(left.plus(-ends[0] - (strict if opens_low else 0.0)), when)
        if sense != "under":
            self.rows.not_above(left.plus(-ends[1] + (0.0 if opens_low else strict)), when)
