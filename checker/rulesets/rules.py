"""Rules and rule sets as the program holds them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from checker.algebra import nodes as n
from checker.algebra.explain import Speaker
from checker.algebra.walk import nodes
from checker.core.records import Record, field

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from checker.algebra.regions import RegionRule
    from checker.algebra.tables import CountTable
    from checker.algebra.vocabulary import Vocabulary
    from checker.core.problems import Place
    from checker.core.sources import Citation, Source
    from checker.core.units import System
    from checker.core.words import Word
    from checker.files.source import Document

VERIFY = "Verify with the authority: texts change, and the official's reading decides."


class ReadingChoice(Record, kw_only=True):
    """An unclear clause and the ways it can be read.

    Attributes:
        question: What to ask the office.
        options: Titles by option id.
        default: The option used until the office has answered.
        citation: The clause; None when not given.
    """

    id: str
    question: str
    options: Mapping[str, str]
    default: str
    citation: Citation | None = None


class Band(Record, kw_only=True):
    """A rung of the outcome ladder, tried when the rule itself is not met."""

    outcome: Literal["passes with conditions", "relief possible"]
    require: n.Condition
    documents: tuple[str, ...] = ()
    says: str = ""
    citation: Citation | None = None


class Example(Record, kw_only=True):
    """A worked example of a rule or counting table.

    Attributes:
        name: What it shows.
        is_printed: Printed in a source rather than worked by hand.
        given: Names and values as the file writes them.
        expect: What must come out.
        printed_as: What the office printed instead, by what is expected, where it slipped.
        note: The arithmetic.
        path: Where it stands in `document`.
    """

    name: str
    is_printed: bool
    given: Mapping[str, Any]
    expect: Mapping[str, Any]
    document: Document
    path: tuple[str | int, ...]
    note: str = ""
    citation: Citation | None = None
    printed_as: Mapping[str, Any] = field(default_factory=dict)

    @property
    def place(self) -> Place:
        """Where it stands."""
        return self.document.place(*self.path)


class TimedClause(Record, kw_only=True):
    """A clause of a rule set that came into the law, or left it, on a day of its own.

    Attributes:
        since: The first day it is in force; None with the set.
        until: The first day it is no longer in force.
    """

    since: date | None = None
    until: date | None = None

    def is_in_force(self, day: date | None) -> bool:
        """Whether it is in force on a day; without a day, unless it has ended."""
        if day is None:
            return self.until is None
        return not (self.since and day < self.since) and not (self.until and day >= self.until)


class Rule(TimedClause, kw_only=True):
    """One rule.

    Attributes:
        id: Its name in files.
        title: Its name on pages.
        citation: Where the law says so.
        require: What must hold.
        applies: When it is asked at all.
        or_else: The outcome ladder below a plain pass.
        documents: What is owed even when it passes.
        note: Anything the reader should know.
        caution: A danger to point out.
        remedies: Kinds of change that can help.
        examples: Worked examples.
        place: Where it stands.
        origin: Id of the rule set it was adopted from; empty for the set's own.
    """

    id: str
    title: str
    citation: Citation
    require: n.Condition
    applies: n.Condition
    place: Place
    or_else: tuple[Band, ...] = ()
    documents: tuple[str, ...] = ()
    note: str = ""
    caution: str = ""
    remedies: tuple[str, ...] = ()
    examples: tuple[Example, ...] = ()
    origin: str = ""


class Result(TimedClause, kw_only=True):
    """What follows from a design and is no limit.

    Attributes:
        id: Its name in files.
        title: Its name on pages.
        kind: A figure that is shown, or a duty, fee, permit or form that is owed.
        citation: Where the law says so.
        when: When it is owed or shown.
        amount: How much; None for a permit or form.
        documents: What must be handed in where it is owed.
        says: What follows, in words.
        note: Anything the reader should know.
        examples: Worked examples.
        place: Where it stands.
        origin: Id of the rule set it was adopted from; empty for the set's own.
    """

    id: str
    title: str
    kind: Literal["figure", "duty", "fee", "permit", "form"]
    citation: Citation
    when: n.Condition
    amount: n.Number | None
    place: Place
    documents: tuple[str, ...] = ()
    says: str = ""
    note: str = ""
    examples: tuple[Example, ...] = ()
    origin: str = ""


class SignedOff(Record, kw_only=True):
    """Who laid a rule set beside the text, by role, and when."""

    by: str
    date: date


class RuleSet(Record, kw_only=True):
    """The rules of one place, or a model that places adopt.

    Attributes:
        id: Its name in files.
        title: Its name on pages.
        kind: published law, invented for the samples, or a model.
        rules: In order, adopted ones first.
        words: All names its rules may use.
        checked: Who laid it beside the text and signed; None where nobody has.
        currency: What it counts money in: $ or an ISO code.
        results: What follows from a design and is no limit, adopted ones first.
        facts: What it asks about a lot.
        attributes: What it asks about a surface beside what every place may.
        readings: Its unclear clauses.
        regions: The regions it defines.
        counts: Its counting tables, by the measure they make.
        count_examples: Worked examples of counting tables, by measure.
        amounts: Amounts it defines, by name.
        sources: What it cites, by key.
        left_out: What of the text is not in the file.
        submission: What the office asks for, as plain data.
        document: Its file.
        documents: Its file and those of the models it adopts, by id.
    """

    id: str
    title: str
    kind: Literal["published", "invented", "model"]
    since: date
    until: date | None
    rules: tuple[Rule, ...]
    words: Vocabulary
    document: Document
    system: System = "us"
    verify: str = VERIFY
    note: str = ""
    checked: SignedOff | None = None
    currency: str = "$"
    results: tuple[Result, ...] = ()
    facts: Mapping[str, Word] = field(default_factory=dict)
    attributes: Mapping[str, Word] = field(default_factory=dict)
    readings: Mapping[str, ReadingChoice] = field(default_factory=dict)
    regions: Mapping[str, RegionRule] = field(default_factory=dict)
    counts: Mapping[str, CountTable] = field(default_factory=dict)
    count_examples: Mapping[str, tuple[Example, ...]] = field(default_factory=dict)
    amounts: Mapping[str, n.Number] = field(default_factory=dict)
    sources: Mapping[str, Source] = field(default_factory=dict)
    left_out: tuple[str, ...] = ()
    submission: Mapping[str, Any] = field(default_factory=dict)
    documents: Mapping[str, Document] = field(default_factory=dict)

    def is_in_force(self, day: date) -> bool:
        """Whether the text is law on a day."""
        return self.since <= day and (self.until is None or day < self.until)

    def asks(self, rule: Rule, day: date | None) -> bool:
        """Whether one of its rules is law on a day; without a day, unless it or all has ended."""
        return (
            self.until is None and rule.is_in_force(day) if day is None else rule.is_in_force(day)
        )

    def why_not_law(self, day: date) -> str:
        """In words, why the text is no law of a day; empty where it is."""
        if self.is_in_force(day):
            return ""
        ends = f" and ended on {self.until}" if self.until else ""
        return f"the text came into force on {self.since}{ends}; it is no law of {day}"

    def documents_asked(self) -> tuple[str, ...]:
        """The documents that a rule wants on file, each once, in the order of the rules."""
        found = (node for rule in self.rules for node in nodes(rule.require))
        return tuple(dict.fromkeys(node.document for node in found if isinstance(node, n.OnFile)))

    def speaker(self, system: System | None = None) -> Speaker:
        """Who says its conditions in English, in its own units unless others are wanted."""
        limits = {
            rule.id: rule.require.limit
            for rule in self.rules
            if isinstance(rule.require, n.Compare)
        }
        return Speaker(self.words, system or self.system, self.amounts, limits)

    def rule(self, rule_id: str) -> Rule:
        """The rule with an id.

        Raises:
            KeyError: There is none.
        """
        for rule in self.rules:
            if rule.id == rule_id:
                return rule
        raise KeyError(rule_id)
