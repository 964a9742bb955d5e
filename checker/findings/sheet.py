"""The scope of the lot: looks every name of a rule set up, once.

Where the numbers come from is a `Lot`: a surveyed drawing, or what a worked example gives.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.counting import Counted, count
from checker.algebra.tables import Spot
from checker.algebra.values import Missing, Quantity, Truth, certain, unknown
from checker.core.records import replace
from checker.core.units import Amount

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from checker.algebra.values import Context
    from checker.rulesets.rules import Rule, RuleSet


class LotSource(Protocol):
    """Where a sheet gets its numbers from."""

    def again(self) -> LotSource:
        """The same lot for another scope."""

    def bind(self, lot: Context) -> None:
        """Take the scope of the lot, for the scopes of its surfaces."""

    def number(self, named: n.Named) -> Quantity | None:
        """A measure; None when this lot does not give it itself."""

    def fact(self, name: str) -> str | bool | date | Amount | None:
        """A fact; None when it is missing."""

    def spots(self, state: str, region: str) -> Sequence[Spot] | Missing:
        """The spots to count over, or what is missing to have them."""

    def surfaces(self) -> Iterable[Context]:
        """The scope of each surface."""

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists."""


class RuleSheet:
    """Looks names up for one rule set on one lot.

    Args:
        ruleset: The rules and the names they define.
        lot: Where numbers come from.
        options: How unclear clauses are read, by reading id; the defaults where absent.
        day: The day whose law counts; None for the newest.
        answers: Answers to open questions that are supposed, over what the lot says.
    """

    def __init__(
        self,
        ruleset: RuleSet,
        lot: LotSource,
        options: Mapping[str, str] | None = None,
        day: date | None = None,
        answers: Mapping[str, str | bool | date] | None = None,
    ) -> None:
        self.ruleset = ruleset
        self._answers = dict(answers or {})
        self.lot = lot
        self._options = {
            reading.id: reading.default for reading in ruleset.readings.values()
        } | dict(options or {})
        self._day = day
        self._numbers: dict[n.Named, Quantity] = {}
        self._counted: dict[n.Named, Counted | Missing] = {}
        self._outcomes: dict[str, Truth] = {}
        self._limits: dict[str, Quantity] = {}
        self._busy: list[str] = []
        lot.bind(self)

    def supposing(
        self, answers: Mapping[str, str | bool | date], options: Mapping[str, str] | None = None
    ) -> RuleSheet:
        """The same lot with answers to open questions, and unclear clauses read in a given way."""
        return RuleSheet(
            self.ruleset,
            self.lot.again(),
            self._options | dict(options or {}),
            self._day,
            self._answers | dict(answers),
        )

    @property
    def day(self) -> date | None:
        """The day whose law counts."""
        return self._day

    @property
    def surface_id(self) -> str:
        """Empty: this is the scope of the lot."""
        return ""

    def number(self, named: n.Named) -> Quantity:
        """A measure, fact, defined amount or counted measure."""
        if named not in self._numbers:
            self._numbers[named] = self._look_up(named)
        return self._numbers[named]

    def _look_up(self, named: n.Named) -> Quantity:
        given = self.lot.number(named)
        if given is not None:
            return given
        word = self.ruleset.words.lot[named.name]
        if named.name in self.ruleset.counts:
            counted = self.counted(named)
            if isinstance(counted, Missing):
                return unknown([counted], word.dimension)
            return counted.total
        if named.name in self.ruleset.amounts:
            return self._defined(named.name)
        fact = self.lot.fact(named.name)
        if isinstance(fact, Amount):
            return certain(fact)
        return unknown([self.missing(named.name, named.region)], word.dimension)

    def _defined(self, name: str) -> Quantity:
        if name in self._busy:
            ask = f"'{name}' depends on itself: correct the rule set"
            return unknown([Missing(name, "", ask)])
        self._busy.append(name)
        try:
            return evaluate.number(self.ruleset.amounts[name], self)
        finally:
            self._busy.pop()

    def counted(self, named: n.Named) -> Counted | Missing:
        """A counted measure with what each surface adds."""
        if named not in self._counted:
            state = named.state or "proposed"
            spots = self.lot.spots(state, named.region)
            whole = (lambda: self._whole(state)) if named.region else None
            self._counted[named] = (
                spots
                if isinstance(spots, Missing)
                else count(self.ruleset.counts[named.name], spots, self, whole)
            )
        return self._counted[named]

    def _whole(self, state: str) -> Sequence[Spot]:
        """All spots of a state, however a region cuts what is summed."""
        found = self.lot.spots(state, "")
        return () if isinstance(found, Missing) else found

    def fact(self, name: str) -> str | bool | date | frozenset[str] | None:
        """A text, yes-or-no or date."""
        if name in self._answers:
            return self._answers[name]
        found = self.lot.fact(name)
        return None if isinstance(found, Amount) else found

    def missing(self, name: str, region: str = "") -> Missing:
        """What to ask for when a name has no value."""
        word = self.ruleset.words.word(name)
        title = word.title if word else name
        ask = (word.ask if word else "") or f"give {title}"
        where = f" in {self.ruleset.words.regions.get(region, region)}" if region else ""
        return Missing(name, "", f"{ask}{where}")

    def surfaces(self) -> Iterable[Context]:
        """The scope of each surface."""
        return self.lot.surfaces()

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists."""
        return self.lot.is_on_file(document)

    def option(self, reading: str) -> str:
        """The option by which an unclear clause is read."""
        return self._options[reading]

    def outcome(self, rule: str) -> Truth:
        """Whether another rule passes, with or without conditions."""
        if rule not in self._outcomes:
            if rule in self._busy:
                ask = f"the rule '{rule}' depends on itself: correct the rule set"
                return Truth(holds=None, missing=(Missing("", "", ask),))
            self._busy.append(rule)
            try:
                self._outcomes[rule] = self._judge(self.ruleset.rule(rule))
            finally:
                self._busy.pop()
        return self._outcomes[rule]

    def _judge(self, rule: Rule) -> Truth:
        applies = evaluate.condition(rule.applies, self)
        if applies.holds is False:
            return Truth(holds=True)
        met = evaluate.condition(rule.require, self)
        for band in rule.or_else:
            if met.holds is not False:
                break
            if band.outcome == "passes with conditions":
                met = evaluate.condition(band.require, self)
        if applies.holds is None and met.holds is not True:
            return Truth(holds=None, missing=applies.missing + met.missing)
        source = rule.citation.source
        if source.is_remembered:
            return Truth(holds=None, missing=(Missing("", "", source.ask),), parts=met.parts)
        return replace(met, is_vacuous=False)

    def limit_of(self, rule: str) -> Quantity:
        """The limit that another rule sets: of its first comparison with the lot."""
        if rule not in self._limits:
            if rule in self._busy:
                ask = f"the limit of '{rule}' depends on itself: correct the rule set"
                return unknown([Missing("", "", ask)])
            self._busy.append(rule)
            try:
                truth = evaluate.condition(self.ruleset.rule(rule).require, self)
            finally:
                self._busy.pop()
            lot_parts = [part for part in truth.parts if not part.of]
            ask = f"the rule '{rule}' sets no limit of its own"
            self._limits[rule] = (
                lot_parts[0].limit if lot_parts else unknown([Missing("", "", ask)])
            )
        return self._limits[rule]
