"""From where a counting table looks at the lot, when its file does not say.

Of surfaces over each other the heaviest counts where a larger count is worse, as for cover: a slab
under a deck is still a slab. Where a larger count is better, as for planted ground, the top one
counts: lawn under a roof is no open ground.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.walk import nodes

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.algebra.tables import CountTable, Levels
    from checker.rulesets.rules import Rule

GOOD: Final = 1


class Wants:
    """Whether rules want more or less of each counting table, for the proposed lot.

    Args:
        rules: By id.
        amounts: Numbers that the set defines, by name.
        counts: Counting tables, by the measure they make.

    Attributes:
        found: For each table that a rule asks for, `GOOD` where more of it is better, `-GOOD` where
            more of it is worse.
    """

    def __init__(
        self,
        rules: Mapping[str, Rule],
        amounts: Mapping[str, n.Number],
        counts: Mapping[str, CountTable],
    ) -> None:
        self.found: dict[str, set[int]] = {}
        self._rules = rules
        self._amounts = amounts
        self._counts = counts
        self._seen: set[tuple[str, str, int]] = set()
        for name in rules:
            self._rule(name, GOOD)

    def levels(self, table: str) -> Levels | None:
        """Which surface counts over one spot; None where rules want both more and less of it."""
        wants = self.found.get(table, set())
        if wants == {GOOD}:
            return "top"
        return None if len(wants) > 1 else "heaviest"

    def _is_new(self, kind: str, name: str, sense: int) -> bool:
        is_new = (kind, name, sense) not in self._seen
        self._seen.add((kind, name, sense))
        return is_new

    def _rule(self, name: str, sense: int) -> None:
        rule = self._rules.get(name)
        if rule is None or not self._is_new("rule", name, sense):
            return
        self._condition(rule.applies, -sense)
        for condition in (rule.require, *(band.require for band in rule.or_else)):
            self._condition(condition, sense)

    def _condition(self, node: n.Condition, sense: int) -> None:
        """Note what a condition asks for; `sense` says whether it is good that it holds."""
        match node:
            case n.Compare(measured=measured, order=order, limit=limit):
                if order != "equal to":
                    more = sense if order in {"at least", "more than"} else -sense
                    self._number(measured, more)
                    self._number(limit, -more)
            case n.AllOf(parts=parts) | n.AnyOf(parts=parts):
                for part in parts:
                    self._condition(part, sense)
            case n.Not(part=part):
                self._condition(part, -sense)
            case n.ForEach(require=require):
                self._condition(require, sense)
            case n.ReadingCondition(options=options):
                for _, option in options:
                    self._condition(option, sense)
            case n.Passes(rule=rule):
                # Nobody breaks one rule to be spared another.
                if sense == GOOD:
                    self._rule(rule, sense)
            case n.Is() | n.Dated() | n.OnFile():
                pass

    def _number(self, node: n.Number, sense: int) -> None:
        """Note what a number is made of; `sense` says whether more of it is better."""
        match node:
            case n.Named(name=name, state=state):
                self._named(name, state, sense)
            case n.Difference(take=take, less=less):
                self._number(take, sense)
                for term in less:
                    # "Of the lot less of the front yard" is the same wish for another part.
                    if not (isinstance(term, n.Named) and term.name in _names(take)):
                        self._number(term, -sense)
            case n.Ratio(top=top, bottom=bottom):
                self._number(top, sense)
                self._number(bottom, -sense)
            case n.Share(of=of) | n.Brackets(of=of):
                self._number(of, sense)
            case n.Sum(terms=terms) | n.Least(terms=terms) | n.Greatest(terms=terms):
                for term in terms:
                    self._number(term, sense)
            case n.Product(factors=factors):
                for factor in factors:
                    self._number(factor, sense)
            case n.Rounded(value=value):
                self._number(value, sense)
            case n.Choose(cases=cases, otherwise=otherwise):
                for case in cases:
                    self._number(case.value, sense)
                if otherwise is not None:
                    self._number(otherwise, sense)
            case n.Tiers(rows=rows):
                for row in rows:
                    self._number(row.value, sense)
            case n.ByReading(options=options):
                for _, option in options:
                    self._number(option, sense)
            case n.ByDate(values=values):
                for _, value in values:
                    self._number(value, sense)
            case n.LimitOf(rule=rule):
                self._limit(rule, sense)
            case n.Fixed() | n.Points():
                pass  # a table of points may rise and fall: it tells nothing

    def _named(self, name: str, state: str, sense: int) -> None:
        if not self._is_new("name", f"{name} {state}", sense):
            return
        if name in self._amounts:
            self._number(self._amounts[name], sense)
        elif name in self._counts:
            if state != "existing":
                self.found.setdefault(name, set()).add(sense)
            for row in self._counts[name].rows:
                if row.exempt_up_to is not None:
                    self._number(row.exempt_up_to, -sense)

    def _limit(self, rule: str, sense: int) -> None:
        """The limit of a rule's first comparison, in whatever it stands."""
        if rule not in self._rules or not self._is_new("limit", rule, sense):
            return
        queue: list[n.Condition] = [self._rules[rule].require]
        while queue:
            match queue.pop(0):
                case n.Compare(limit=limit):
                    self._number(limit, sense)
                    return
                case n.AllOf(parts=parts) | n.AnyOf(parts=parts):
                    queue[:0] = parts
                case n.ReadingCondition(options=options):
                    queue[:0] = [option for _, option in options]
                case _:
                    pass


def _names(node: n.Number) -> set[str]:
    return {item.name for item in nodes(node) if isinstance(item, n.Named)}
