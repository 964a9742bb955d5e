"""The measures that a change can move, as linear expressions of the areas that change."""

from __future__ import annotations

import re
from collections import defaultdict
from functools import cached_property
from typing import TYPE_CHECKING, Final

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.constrain_terms import OPPOSITE, NotLinear, Presence, Sense
from checker.algebra.linear import Linear, total
from checker.algebra.shares import weights
from checker.algebra.tables import CountRow
from checker.algebra.walk import nodes
from checker.core.units import UNIT, meets
from checker.findings.model import MET
from checker.measure.regions import NoRegion

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from checker.algebra.constrain_numbers import NumberRows
    from checker.algebra.linear import Rows
    from checker.algebra.tables import CountTable, Spot
    from checker.algebra.values import Context
    from checker.findings.model import Finding
    from checker.findings.sheet import RuleSheet
    from checker.measure.survey import Survey
    from checker.rulesets.rules import Rule
    from checker.solve.parts import Part, PartShare

DRAWN: Final = frozenset({"undrawn_area", "outside_area", "work_area"})
"""Measures of the lot that a change moves and that only the changed drawing tells."""

OF_SHAPE: Final = re.compile(r"(area|width|distance_\w+)\Z")
"""Names of attributes that differ between a surface and a piece of it."""

STEP_M2: Final = 0.1 * UNIT["sq ft"].size_si
"""A tenth of a square foot: how far a change keeps from where a count or a limit jumps."""

_TRACE_FRACTION: Final = 1e-9
"""Sums that differ by so little are the same: what stands exactly at a cap does not pass it."""

Rowed = dict[int, tuple[float, float]]
"""The least and most of a sum, by row of a counting table."""


class Measures:
    """The measures of one scenario; see `checker.algebra.constrain_terms.Terms`.

    Args:
        number: The number of the scenario.
        sheet: The scope of the lot in it.
        bare: The drawing without the surfaces that may change.
        parts: The open land.
        amounts: For each part, how much of it changes by each combination but the first.
        presences: Gives every surface that is or may be there, once a rule asks for it.

    Attributes:
        keeps_off: A change keeps a step from where a count or a limit jumps.
        kept_off: Some row asks for such a step.
    """

    def __init__(
        self,
        number: int,
        sheet: RuleSheet,
        bare: Survey,
        parts: Sequence[Part],
        amounts: Sequence[Mapping[int, Linear]],
        presences: Callable[[], Sequence[Presence]],
    ) -> None:
        self.number = number
        self.sheet = sheet
        self._bare = bare
        self._parts = parts
        self._amounts = amounts
        self._make_presences = presences
        self.keeps_off = True
        self.kept_off = False
        self._bases: dict[n.Named, Rowed | None] = {}
        self._sums: dict[n.Named, dict[int, tuple[Linear, Linear]]] = {}

    def varies(self, named: n.Named) -> bool:
        """Whether a change can move a measure of the lot."""
        if named.state == "existing":
            return False
        if named.name in DRAWN:
            return True
        if named.name not in self.sheet.ruleset.counts or self._base(named) is None:
            return False
        return any(not end.is_constant for ends in self._summed(named).values() for end in ends)

    def definition(self, name: str) -> n.Number | None:
        """The expression of an amount that the rule set defines."""
        return self.sheet.ruleset.amounts.get(name)

    def requirement(self, rule: str) -> n.Condition:
        """What must hold for another rule to pass."""
        return passed(self.sheet.ruleset.rule(rule))

    def limit(self, rule: str) -> n.Number | None:
        """The limit of the first comparison with the lot in a rule."""
        return _first_limit(self.sheet.ruleset.rule(rule).require, self.sheet)

    @cached_property
    def _presences(self) -> Sequence[Presence]:
        return self._make_presences()

    def surfaces(self) -> Iterable[Presence]:
        """Every surface that is or may be there."""
        return self._presences

    def step(self, part: Linear, rows: Rows) -> float:
        """How far from a jump a changed design keeps: nobody builds to the square inch.

        It is what a tenth of a square foot of a surface moves the expression by. A design that
        stands on the edge as it is drawn today may stay there.
        """
        areas = [abs(c) for key, c in part.terms.items() if not rows.variables[key].is_whole]
        step = STEP_M2 * max(areas, default=0.0)
        if not self.keeps_off or abs(part.constant) <= step:
            return 0.0
        self.kept_off = True
        return step

    def measure(self, named: n.Named, sense: Sense, reader: NumberRows) -> Linear:
        """A counted measure, with the exemptions of its rows."""
        if named.name in DRAWN:
            word = self.sheet.ruleset.words.word(named.name)
            title = word.title if word else named.name
            raise NotLinear(title, "only the changed drawing tells it")
        table = self.sheet.ruleset.counts[named.name]
        counted: list[tuple[Linear, float]] = []
        for index, (low, high) in self._summed(named).items():
            if sense == "exact" and low.plus(high, -1.0) != Linear():
                raise NotLinear(table.title, "how some of it counts is not known")
            end = high if sense == "over" else low
            row = table.rows[index] if index >= 0 else None
            counted.append((_freed(row, end, sense, reader) if row else end, 1.0))
        return total(counted)

    def counted_alone(self, named: n.Named) -> dict[str, float]:
        """What each surface that may not change counts by itself in any case, m2.

        Nothing is said where rows exempt some of their sum, since that belongs to no surface.
        """
        table = self.sheet.ruleset.counts.get(named.name)
        found: dict[str, float] = defaultdict(float)
        if table is not None and not any(_exempts(row) for row in table.rows):
            for spot in self._spots(named.region):
                for of, _, area_m2, weight in weights(table, spot):
                    found[of] += area_m2 * weight.low_si
        return {of: area_m2 for of, area_m2 in found.items() if area_m2 > 0}

    def _spots(self, region: str) -> Sequence[Spot]:
        if region:
            return self._bare.spots_within("proposed", region)
        return self._bare.spots("proposed")

    def _base(self, named: n.Named) -> Rowed | None:
        """What counts without the surfaces that may change; None without its region."""
        if named not in self._bases:
            try:
                spots = self._spots(named.region)
            except NoRegion:
                self._bases[named] = None
            else:
                self._bases[named] = _tallied(self.sheet.ruleset.counts[named.name], spots)
        return self._bases[named]

    def _summed(self, named: n.Named) -> dict[int, tuple[Linear, Linear]]:
        if named in self._sums:
            return self._sums[named]
        table = self.sheet.ruleset.counts[named.name]
        fixed: dict[int, list[float]] = defaultdict(lambda: [0.0, 0.0])
        moving: dict[int, tuple[dict[int, float], dict[int, float]]] = defaultdict(lambda: ({}, {}))
        for row, ends in (self._base(named) or {}).items():
            fixed[row][0] += ends[0]
            fixed[row][1] += ends[1]
        for part, amounts in zip(self._parts, self._amounts, strict=True):
            if not named.region or named.region in part.inside:
                shares = [_ends(item, table) for item in part.counts[self.number, named.name]]
                _gather(part.area_m2, shares, amounts, fixed, moving)
        self._sums[named] = {
            row: (
                Linear(fixed[row][0], {k: c for k, c in moving[row][0].items() if c}),
                Linear(fixed[row][1], {k: c for k, c in moving[row][1].items() if c}),
            )
            for row in sorted({*fixed, *moving})
        }
        return self._sums[named]


def _exempts(row: CountRow) -> bool:
    return bool(row.exempt_first_m2) or row.exempt_up_to is not None or row.each_over_m2 is not None


def _gather(
    area_m2: float,
    shares: Sequence[Rowed],
    amounts: Mapping[int, Linear],
    fixed: dict[int, list[float]],
    moving: dict[int, tuple[dict[int, float], dict[int, float]]],
) -> None:
    """Add what one part counts: without its units, as it is, and with each change of it."""
    none, kept, *others = shares
    for row in {*none, *kept}:
        for end in (0, 1):
            fixed[row][end] += area_m2 * (_of(kept, row, end) - _of(none, row, end))
    for combo, changed in enumerate(others, 1):
        for row in {*kept, *changed}:
            for end in (0, 1):
                step = _of(changed, row, end) - _of(kept, row, end)
                if step:
                    _add(moving[row][end], amounts[combo], step)
                    fixed[row][end] += amounts[combo].constant * step


def _add(terms: dict[int, float], part: Linear, times: float) -> None:
    for key, c in part.terms.items():
        terms[key] = terms.get(key, 0.0) + c * times


def _of(shares: Rowed, row: int, end: int) -> float:
    return shares[row][end] if row in shares else 0.0


def _ends(shares: Sequence[PartShare], table: CountTable) -> Rowed:
    """What counts per area by row; a small item may turn out not to count at all."""
    found: Rowed = {}
    for row, low, high in shares:
        if row >= 0 and table.rows[row].each_over_m2 is not None:
            low = 0.0  # noqa: PLW2901 - the least it can be
        before = found.get(row, (0.0, 0.0))
        found[row] = (before[0] + low, before[1] + high)
    return found


def _tallied(table: CountTable, spots: Iterable[Spot]) -> Rowed:
    items: dict[tuple[str, int], list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
    for spot in spots:
        for of, row, area_m2, weight in weights(table, spot):
            item = items[of, row]
            item[0] += spot.area_m2
            item[1] += area_m2 * weight.low_si
            item[2] += area_m2 * weight.high_si
    sums: dict[int, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for (_, row), (area_m2, low, high) in items.items():
        each_over_m2 = table.rows[row].each_over_m2 if row >= 0 else None
        if each_over_m2 is not None and meets(area_m2, each_over_m2, "at most"):
            continue
        sums[row][0] += low
        sums[row][1] += high
    return {row: (low, high) for row, (low, high) in sums.items()}


def _freed(row: CountRow, end: Linear, sense: Sense, reader: NumberRows) -> Linear:
    """The sum of a row less what its exemption frees."""
    if row.exempt_first_m2:
        return reader.greatest([end.plus(-row.exempt_first_m2), Linear()], sense)
    if row.exempt_up_to is None:
        return end
    cap = reader.number(row.exempt_up_to, OPPOSITE[sense])
    if sense == "over":
        cap = reader.greatest([cap, Linear()], "under")
    over = end.plus(cap, -1.0)
    if row.beyond == "excess":
        return reader.greatest([over, Linear()], sense)
    # All of it counts once the cap is passed.
    low, high = reader.rows.span(over)
    if high <= 0:
        return Linear()
    if low > _TRACE_FRACTION * max(abs(low), abs(high), cap.constant):
        return end
    rows = reader.rows
    free, counts = rows.switch("row is free"), rows.switch("row counts")
    rows.between(1.0, free.plus(counts), 1.0)
    rows.not_above(over.plus(reader.terms.step(over, rows)), free)
    rows.not_below(over.plus(-rows.strict(over)), counts)
    result = rows.variable("counted of row", 0.0, max(rows.span(end)[1], 0.0))
    if sense != "under":
        rows.not_above(end.plus(result, -1.0), counts)
    if sense != "over":
        rows.not_above(result.plus(end, -1.0), counts)
        rows.not_above(result, free)
    return result


def passed(rule: Rule) -> n.Condition:
    """What must hold for a rule to count as passed by another rule."""
    ways = [n.Not(rule.applies), rule.require]
    ways += [band.require for band in rule.or_else if band.outcome == "passes with conditions"]
    return n.AnyOf(tuple(ways))


def met(rule: Rule, *, conditions: bool) -> n.Condition:
    """What must hold for nothing in a rule to stand in the way of a permit.

    Args:
        rule: The rule.
        conditions: Passing with conditions is good enough.
    """
    ways: list[n.Condition] = [] if rule.applies == n.always() else [n.Not(rule.applies)]
    # Whether a rule with conditions applies must be known: a plain pass holds either way.
    asked: tuple[n.Condition, ...] = () if rule.applies == n.always() else (rule.applies,)
    if not rule.documents:
        ways.append(rule.require)
    elif conditions:
        ways.append(n.AllOf((*asked, rule.require)))
    above: list[n.Condition] = [n.Not(rule.require)]
    for band in rule.or_else if conditions else ():
        if band.outcome == "passes with conditions":
            ways.append(n.AllOf((*asked, *above, band.require)))
        above.append(n.Not(band.require))
    if not ways:
        return n.AnyOf(())
    return ways[0] if len(ways) == 1 else n.AnyOf(tuple(ways))


def _first_limit(node: n.Condition, sheet: RuleSheet) -> n.Number | None:
    match node:
        case n.Compare(limit=limit):
            return limit
        case n.AllOf(parts=parts) | n.AnyOf(parts=parts):
            found = (_first_limit(part, sheet) for part in parts)
            return next((limit for limit in found if limit is not None), None)
        case n.ReadingCondition(reading=reading, options=options):
            return _first_limit(dict(options)[sheet.option(reading)], sheet)
        case _:
            return None


def tables_used(conditions: Iterable[n.Condition], sheet: RuleSheet) -> set[n.Named]:
    """The counted measures of the proposed lot that conditions ask for, through every name."""
    ruleset = sheet.ruleset
    found: set[n.Named] = set()
    seen: set[str] = set()
    queue: list[object] = list(conditions)
    while queue:
        for node in nodes(queue.pop()):
            if isinstance(node, n.Named) and node.state != "existing":
                if node.name in ruleset.counts and node not in found:
                    found.add(node)
                    queue += [row.exempt_up_to for row in ruleset.counts[node.name].rows]
                if node.name in ruleset.amounts and node.name not in seen:
                    seen.add(node.name)
                    queue.append(ruleset.amounts[node.name])
            elif isinstance(node, n.Passes | n.LimitOf) and node.rule not in seen:
                seen.add(node.rule)
                rule = ruleset.rule(node.rule)
                queue.append((rule.require, rule.applies, *(b.require for b in rule.or_else)))
    return found


def looks_at_shape(tree: object) -> bool:
    """Whether conditions ask for what differs between a surface and a piece of it."""
    return any(
        (isinstance(node, n.Named) and OF_SHAPE.match(node.name) is not None)
        or (
            isinstance(node, CountRow)
            and any(
                size is not None
                for size in (
                    node.drop_outer,
                    node.drop_inner,
                    node.least_width,
                    node.each_over_m2,
                )
            )
        )
        for node in nodes(tree)
    )


def is_true(node: n.Condition, context: Context) -> bool:
    """Whether a condition certainly holds of a lot as it stands."""
    return evaluate.condition(node, context).holds is True


def is_met(finding: Finding, *, conditions: bool = True) -> bool:
    """Whether nothing in a rule stands in the way, were its text verified."""
    status = finding.status
    if status == "cannot tell" and finding.citation.source.is_remembered:
        status = finding.if_unfavourable or status
    return status in (MET if conditions else MET - {"passes with conditions"})
