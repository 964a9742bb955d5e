"""Reading 3 of a rule: the linear rows that a design meets exactly when it meets the rule.

Measures that a change can move come as linear expressions of abstract variables; facts, dates,
documents and everything else are looked up as `evaluate` looks them up. What the rows accept is
what `evaluate` finds true; what cannot be told is not accepted. A condition that cannot be said
in such rows raises `NotLinear`, naming what stands in the way; nothing is left behind then.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Final, assert_never

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.constrain_numbers import NumberRows, Terms
from checker.algebra.constrain_terms import OPPOSITE, NotLinear, Sense
from checker.algebra.linear import Linear, Rows, total
from checker.algebra.values import NEGATED
from checker.core.units import RELATIVE_TOLERANCE, Order

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.algebra.values import Context

_TRACE_FRACTION: Final = 1e-11
"""Of a limit that moves: the most that it can be may be far more than what it is."""

_SAME_FRACTION: Final = RELATIVE_TOLERANCE / 2
"""Of a limit that stands still: half of what `meets` takes for the same amount.

Corners in a file are rounded, by 1e-8 ft in many, so that a sum exactly at its limit is off by some
1e-10 of it. `meets` lets it stand, so it must not be left out; the other half is for the drawing.
"""

Reserve = Callable[[n.Number, Order, Linear], "Linear | float"]
"""The room in SI, >= 0, that a design must keep at a limit of the lot beyond what the rule asks.

Takes what is measured, the order and the limit; a measured ratio has been multiplied out.
"""


def constrain(
    rows: Rows,
    node: n.Condition,
    terms: Terms,
    context: Context,
    *,
    rule: str = "",
    reserve: Reserve | None = None,
) -> None:
    """Add the rows of a condition that a design must meet.

    Args:
        rows: Takes the variables and rows.
        node: The condition.
        terms: Where measures that a change can move are looked up.
        context: The scope of the lot, for everything else.
        rule: What the rows are labelled with.
        reserve: Room to keep at each limit of the lot; none when None.

    Raises:
        NotLinear: It cannot be said in rows; `rows` is as it was before.
    """
    before = len(rows.variables), len(rows.rows), rows.rule
    rows.rule = rule
    try:
        Reader(rows, terms, context, reserve).require(node, holds=True, when=None)
    except NotLinear:
        del rows.variables[before[0] :], rows.rows[before[1] :]
        raise
    finally:
        rows.rule = before[2]


class Reader(NumberRows):
    """Reads conditions; see `constrain`."""

    def __init__(
        self, rows: Rows, terms: Terms, context: Context, reserve: Reserve | None = None
    ) -> None:
        super().__init__(rows, terms, context)
        self.reserve = reserve

    def require(self, node: n.Condition, *, holds: bool, when: Linear | None) -> None:
        """Add rows so that a condition is certainly true, or certainly false.

        Args:
            node: The condition.
            holds: Which of the two.
            when: A switch; the rows bind only when it is on. None: always.

        Raises:
            NotLinear: It cannot be said so.
        """
        if not self.varies(node):
            if evaluate.condition(node, self.context).holds is not holds:
                self._never(when)
            return
        match node:
            case n.Compare():
                self._compare(node, holds=holds, when=when)
            case n.AllOf(parts=parts):
                self._all(parts, holds=holds, when=when)
            case n.AnyOf(parts=parts):
                self._all(parts, holds=holds, when=when, is_any=True)
            case n.Not(part=part):
                self.require(part, holds=not holds, when=when)
            case n.ForEach(where=where, require=inner):
                self._for_each(where, inner, holds=holds, when=when)
            case n.ReadingCondition(reading=reading, options=options):
                chosen = dict(options)[self.context.option(reading)]
                self.require(chosen, holds=holds, when=when)
            case n.Passes(rule=rule):
                self.require(self.terms.requirement(rule), holds=holds, when=when)
            case n.Is() | n.Dated() | n.OnFile():
                raise AssertionError("a fact does not vary")
            case _:
                assert_never(node)

    def _never(self, when: Linear | None) -> None:
        self.rows.not_above(Linear(1.0) if when is None else when)

    def _all(
        self,
        parts: Sequence[n.Condition],
        *,
        holds: bool,
        when: Linear | None,
        is_any: bool = False,
    ) -> None:
        """All parts hold, or one is enough: an "any" that fails is an "all" of failures."""
        if is_any is not holds:
            for part in parts:
                self.require(part, holds=holds, when=when)
            return
        known = [part for part in parts if not self.varies(part)]
        if any(evaluate.condition(part, self.context).holds is holds for part in known):
            return
        moving = [part for part in parts if self.varies(part)]
        if len(moving) == 1:
            self.require(moving[0], holds=holds, when=when)
            return
        switches = [self.rows.switch("part holds") for _ in moving]
        chosen = total([(switch, 1.0) for switch in switches])
        self.rows.not_below(chosen.plus(-1.0) if when is None else chosen.plus(when, -1.0))
        for part, switch in zip(moving, switches, strict=True):
            self.require(part, holds=holds, when=switch)

    def _compare(self, node: n.Compare, *, holds: bool, when: Linear | None) -> None:
        if node.order == "equal to":
            self._equal(node, holds=holds, when=when)
            return
        order = node.order if holds else NEGATED[node.order]
        is_upper = order in {"at most", "less than"}
        sides = self.sides(node, "over" if is_upper else "under", when)
        if sides is None:
            self._never(when)
            return
        room = sides[0] if is_upper else sides[0].scaled(-1.0)
        is_strict = order in {"less than", "more than"}
        gap = self.rows.strict(room) if is_strict else -self._trace(sides[1])
        if self.at_jump:
            gap = max(gap, self.terms.step(room, self.rows))
        # What only decides which number holds is no limit: no room is kept there.
        is_limit = holds and not self.at_jump and not self.context.surface_id
        if self.reserve is not None and is_limit:
            measured, _ = self.cleared(node.measured)
            if isinstance(measured, n.Ratio) and self.varies(measured.bottom):
                measured = measured.top
            room = room.plus(self.reserve(measured, node.order, sides[1]))
        self.rows.not_above(room.plus(gap), when)

    def _trace(self, limit: Linear) -> float:
        """How far a limit may be passed by rounding alone.

        Above what sums of doubles and rounded corners differ by, below what `meets` takes for the
        same amount: a design exactly at its limit is one of those that are chosen from.
        """
        if limit.is_constant:
            return _SAME_FRACTION * abs(limit.constant)
        ends = [abs(end) for end in self.rows.span(limit) if math.isfinite(end)]
        return _TRACE_FRACTION * max(ends, default=0.0)

    def cleared(self, measured: n.Number) -> tuple[n.Number, float]:
        """A measured ratio freed of a fixed lower number, and that number; else as it is."""
        if isinstance(measured, n.Ratio) and not self.varies(measured.bottom):
            below = evaluate.number(measured.bottom, self.context)
            if below.is_certain and below.is_bounded and below.low_si > 0:
                return measured.top, below.low_si
        return measured, 1.0

    def sides(
        self, node: n.Compare, sense: Sense, when: Linear | None
    ) -> tuple[Linear, Linear] | None:
        """Measured less limit, and the limit; None when one of them is undefined.

        A measured ratio is multiplied out first, so that its lower number may move as well.
        """
        outer, self.when = self.when, when
        flipped = OPPOSITE[sense]
        try:
            measured, times = self.cleared(node.measured)
            if isinstance(measured, n.Ratio) and self.varies(measured.bottom):
                return self._multiplied(measured, node.limit, sense, when)
            limit = self.number(node.limit, flipped).scaled(times)
            left = self.number(measured, sense).plus(limit, -1.0)
        finally:
            self.when = outer
        return (left, limit) if math.isfinite(left.constant) else None

    def _multiplied(
        self, ratio: n.Ratio, limit: n.Number, sense: Sense, when: Linear | None
    ) -> tuple[Linear, Linear] | None:
        if self.varies(limit):
            raise NotLinear("a ratio", "a change can move its lower number and its limit")
        bound = self.number(limit, OPPOSITE[sense]).constant
        below = self.number(ratio.bottom, "under")
        if self.rows.span(below)[0] < 0:
            raise NotLinear("a ratio", "the number that it is divided by may be negative")
        if not math.isfinite(bound):
            return None
        self.rows.not_below(below.plus(-self.rows.strict(below)), when)
        part = self.number(ratio.bottom, OPPOSITE[sense] if bound >= 0 else sense).scaled(bound)
        return self.number(ratio.top, sense).plus(part, -1.0), part

    def _equal(self, node: n.Compare, *, holds: bool, when: Linear | None) -> None:
        sides = self.sides(node, "exact", when)
        if sides is None:
            self._never(when)
            return
        left = sides[0]
        if holds:
            self.rows.not_above(left, when)
            self.rows.not_below(left, when)
            return
        gap = self.rows.strict(left)
        above, below = self.rows.switch("above"), self.rows.switch("below")
        either = above.plus(below)
        self.rows.not_below(either.plus(-1.0) if when is None else either.plus(when, -1.0))
        self.rows.not_below(left.plus(-gap), above)
        self.rows.not_above(left.plus(gap), below)

    def _for_each(
        self, where: n.Condition, inner: n.Condition, *, holds: bool, when: Linear | None
    ) -> None:
        ways: list[tuple[Reader, Linear]] = []
        for item in self.terms.surfaces():
            scoped = Reader(self.rows, self.terms, item.scope)
            if scoped.varies(where):
                raise NotLinear("'for_each'", "a change can move what selects the surfaces")
            if not evaluate.is_asked_for(where, item.scope):
                continue
            selected = evaluate.condition(where, item.scope).holds
            if selected is False or (not holds and selected is None):
                continue
            if holds:
                scoped._each(inner, item.amount, when)
            elif item.amount.is_constant:
                ways.append((scoped, item.amount))
            else:
                raise NotLinear(
                    "'for_each'",
                    "one surface must fail it, and which surfaces there are may change",
                )
        if holds:
            return
        if not ways:
            self._never(when)
            return
        switches = [self.rows.switch("fails") for _ in ways]
        chosen = total([(switch, 1.0) for switch in switches])
        self.rows.not_below(chosen.plus(-1.0) if when is None else chosen.plus(when, -1.0))
        for (scoped, _), switch in zip(ways, switches, strict=True):
            scoped.require(inner, holds=False, when=switch)

    def _each(self, inner: n.Condition, amount: Linear, when: Linear | None) -> None:
        """A selected surface meets the requirement, or is not there."""
        if amount.is_constant:
            self.require(inner, holds=True, when=when)
            return
        if not self.varies(inner):
            if evaluate.condition(inner, self.context).holds is not True:
                self.rows.not_above(amount, when)
            return
        there = self.rows.switch("is there")
        most = self.rows.span(amount)[1]
        self.rows.not_above(amount.plus(there, -most))
        if when is None:
            self.require(inner, holds=True, when=there)
            return
        both = self.rows.switch("there and asked")
        self.rows.not_below(both.plus(there, -1.0).plus(when, -1.0).plus(1.0))
        self.require(inner, holds=True, when=both)
