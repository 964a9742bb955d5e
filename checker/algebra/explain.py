"""Reading 2 of a rule: say it in English, and say how a number came about."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, assert_never

from checker.algebra import nodes as n
from checker.algebra.evaluate import condition, number
from checker.algebra.ranges import falls_in
from checker.core.records import Record, field
from checker.core.showing import show
from checker.core.units import RATIO, Amount, System

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from checker.algebra.values import Context, Quantity, Unmet
    from checker.algebra.vocabulary import Vocabulary

_OWN_ARTICLE: Final = ("its ", "how ", "what ", "the ")
"""Titles that start so take no article."""

_AFTER_THE_NOUN: Final = frozenset(
    {"of", "in", "on", "by", "to", "that", "at", "with", "under", "over", "from", "beyond", "per",
     "along", "which", "where", "within", "outside", "inside", "between", "for"}
)  # fmt: skip
"""Words with which what follows the noun of a title starts."""


_PICKED: Final = (n.Least, n.Greatest)
_LOOSE: Final = (
    n.Sum, n.Difference, n.Ratio, n.Brackets, n.Choose, n.ByReading, n.ByDate, n.Rounded, *_PICKED,
)  # fmt: skip
"""Numbers whose words would run into those around them."""


class Step(Record):
    """One step of a calculation: what, how much, and where from."""

    what: str
    value: Quantity
    source: str = ""


class Speaker(Record):
    """Says nodes in English.

    Attributes:
        words: The titles of names, regions and readings.
        system: The units in which amounts are said when they carry none of their own.
        amounts: The expressions of defined amounts, so that steps open them.
        limits: The limits that rules set by one comparison, so that steps open them too.
    """

    words: Vocabulary
    system: System
    amounts: Mapping[str, n.Number] = field(default_factory=dict)
    limits: Mapping[str, n.Number] = field(default_factory=dict)

    def amount(self, value: Amount) -> str:
        """An amount in the unit it was written in, without needless zeros."""
        if value.unit and value.unit != "%":
            text = show(Amount(value.value_si, value.dimension), self.system)
            own = f"{value.to(value.unit):,.10g} {value.unit}"
            return text if value.unit.startswith("$") else own
        if value.unit == "%":
            return f"{value.value_si * 100:.10g} %"
        return f"{value.value_si:,.10g}" if value.dimension == RATIO else show(value, self.system)

    def name(self, name: str) -> str:
        """The title of a name."""
        word = self.words.word(name)
        return word.title if word else name.replace("_", " ")

    def number(self, node: n.Number) -> str:
        """A number as a noun phrase."""
        match node:
            case n.Fixed(amount=amount):
                return self.amount(amount)
            case n.Named(name=name, state=state, region=region):
                state_word = {"existing": "existing ", "proposed": "proposed "}.get(state, "")
                where = f" in the {self.words.regions.get(region, region)}" if region else ""
                title = self.name(name)
                the = "" if title.startswith(_OWN_ARTICLE) else "the "
                return f"{the}{state_word}{title}{where}"
            case n.Share(fraction=fraction, of=of):
                whole = self.number(of) if isinstance(of, _PICKED) else self.part(of)
                return f"{fraction * 100:.10g} % of {whole}"
            case n.Sum(terms=terms):
                return self.joined([self.part(term) for term in terms], "plus")
            case n.Difference(take=take, less=less, stops_at_zero=stops):
                text = f"{self.part(take)} less {self.joined([self.part(t) for t in less])}"
                return f"{text} (not below zero)" if stops else text
            case n.Product(factors=factors):
                return " times ".join(self.part(factor) for factor in factors)
            case n.Ratio(top=top, bottom=bottom):
                below = self.part(bottom)
                if isinstance(bottom, n.Product | n.Share):
                    below = f"({below})"
                return f"{self.part(top)} divided by {below}"
            case n.Least(terms=terms):
                return f"the lesser of {self.joined([self.part(term) for term in terms])}"
            case n.Greatest(terms=terms):
                return f"the greater of {self.joined([self.part(term) for term in terms])}"
            case n.Tiers(by=by, rows=rows):
                tiers = "; ".join(f"{self.span(row)}: {self.number(row.value)}" for row in rows)
                return f"a figure by {self.number(by)} ({tiers})"
            case n.Brackets(of=of, rows=bracket_rows):
                return f"{self.brackets(bracket_rows)} of {self.number(of)}"
            case n.Points(by=by, points=points, between=between):
                pairs = ", ".join(f"{self.amount(x)}: {self.amount(y)}" for x, y in points)
                return f"a figure by {self.number(by)} ({pairs}; between them the {between})"
            case n.LimitOf(rule=rule):
                return f"the limit of rule '{rule}'"
            case n.Choose(cases=(), otherwise=None):
                return "a number that the text leaves undefined"
            case n.Choose(cases=cases, otherwise=otherwise):
                said = [f"{self.number(c.value)} where {self.condition(c.when)}" for c in cases]
                if otherwise is not None:
                    said.append(f"otherwise {self.number(otherwise)}")
                return "; ".join(said)
            case n.ByReading(reading=reading, options=options):
                said = [f"{self.number(value)} ({key})" for key, value in options]
                return f"{' or '.join(said)}, by how '{reading}' is read"
            case n.ByDate(values=values):
                said = [f"{self.number(v)} (since {day.isoformat()})" for day, v in values]
                return ", ".join(said)
            case n.Rounded(value=value, step=step, way=way):
                how = {"nearest": "to the nearest", "up": "up to", "down": "down to"}[way]
                return f"{self.number(value)}, rounded {how} {self.amount(step)}"
            case _:
                assert_never(node)

    def part(self, node: n.Number) -> str:
        """A number inside another; in brackets where its words would run into those around it."""
        text = self.number(node)
        is_loose = isinstance(node, _LOOSE) and node != n.Choose(())
        is_single = isinstance(node, n.Sum | n.Least | n.Greatest) and len(node.terms) == 1
        return f"({text})" if is_loose and not is_single else text

    def span(self, row: n.Tier) -> str:
        """The span of a tier."""
        low = high = ""
        if row.low is not None:
            low = f"{'from' if row.low_included else 'over'} {self.amount(row.low)}"
        if row.high is not None:
            high = f"{'up to' if row.high_included else 'under'} {self.amount(row.high)}"
        return " ".join(part for part in (low, high) if part) or "always"

    def brackets(self, rows: Sequence[n.Bracket]) -> str:
        """Marginal brackets: the first so much at this share, the next ..."""
        said: list[str] = []
        below = 0.0
        for row in rows:
            share = f"{row.fraction * 100:.10g} %"
            if row.up_to is None:
                said.append(f"{share} of the rest")
                continue
            width = Amount(row.up_to.value_si - below, row.up_to.dimension, row.up_to.unit)
            first = "first" if not said else "next"
            said.append(f"{share} of the {first} {self.amount(width)}")
            below = row.up_to.value_si
        return self.joined(said)

    def condition(self, node: n.Condition) -> str:
        """A condition as a clause without a final stop."""
        match node:
            case n.Compare(measured=measured, order=order, limit=limit):
                verb = "are" if self.is_plural(measured) else "is"
                how = "" if order == "equal to" else f"{order} "
                return f"{self.number(measured)} {verb} {how}{self.number(limit)}"
            case n.Is(name=name, values=values):
                return self.membership(name, values)
            case n.Dated(name=name, order=order, day=day):
                return f"{self.name(name)} is {order} {day.isoformat()}"
            case n.OnFile(document=document):
                return f"the document '{document}' is on file"
            case n.Passes(rule=rule):
                return f"rule '{rule}' passes"
            case n.AllOf(parts=()):
                return "always"
            case n.AllOf(parts=parts):
                return self.joined([self.clause(part) for part in parts], "and")
            case n.AnyOf(parts=parts):
                return self.joined([self.clause(part) for part in parts], "or")
            case n.Not(part=part):
                return f"it is not so that {self.clause(part)}"
            case n.ForEach(where=where, require=require):
                return f"for each surface where {self.condition(where)}: {self.condition(require)}"
            case n.ReadingCondition(reading=reading, options=options):
                said = [f"{self.condition(value)} ({key})" for key, value in options]
                return f"{' or '.join(said)}, by how '{reading}' is read"
            case _:
                assert_never(node)

    def is_plural(self, node: n.Number) -> bool:
        """Whether a number is said with a noun in the plural: the structures are at most ..."""
        if not isinstance(node, n.Named):
            return False
        words = self.name(node.name).split()
        noun = next((words[:i] for i, w in enumerate(words) if i and w in _AFTER_THE_NOUN), words)
        is_several = noun[-1].endswith("s") and not noun[-1].endswith(("ss", "us", "is"))
        return words[0] != "how" and (is_several or "and" in noun)

    def unmet(self, item: Unmet) -> str:
        """What stands in the way, other than a comparison."""
        whose = f" ({item.of})" if item.of else ""
        name, asked = "", ""
        match item.node:
            case n.OnFile(document=document):
                if item.is_excluded:
                    return f"'{document}' is on file{whose}, which the rule excludes"
                return f"no '{document}' is on file{f' for {item.of}' if item.of else ''}"
            case n.Passes(rule=rule):
                told = "met, which is excluded" if item.is_excluded else "not met"
                return f"rule '{rule}' is {told}"
            case n.Dated(name=name, order=order, day=day):
                asked = f"a day {'not ' if item.is_excluded else ''}{order} {day.isoformat()}"
            case n.Is(name=name, values=values):
                said = self.joined([_answer(value) for value in values], "or")
                asked = f"anything but {said}" if item.is_excluded else said
        given = item.given if isinstance(item.given, frozenset) else (item.given,)
        found = self.joined(sorted(map(_answer, given))) or "none"
        return f"{self.name(name)}{whose}: {found}, where {asked} is asked"

    def clause(self, node: n.Condition) -> str:
        """A condition inside another; in brackets where "and" would run into "or"."""
        text = self.condition(node)
        loose = isinstance(node, n.AllOf | n.AnyOf) and len(node.parts) > 1
        return f"({text})" if loose or isinstance(node, n.ForEach | n.ReadingCondition) else text

    def membership(self, name: str, values: tuple[str | bool, ...]) -> str:
        """A fact that is one of some values."""
        if values == (True,):
            return f"{self.name(name)}: yes"
        if values == (False,):
            return f"{self.name(name)}: no"
        return f"{self.name(name)} is {self.joined([str(value) for value in values], 'or')}"

    @staticmethod
    def joined(parts: Sequence[str], word: str = "and") -> str:
        """A list in English: "a, b and c"."""
        if len(parts) <= 1:
            return "".join(parts)
        if word == "plus":
            return " plus ".join(parts)
        return f"{', '.join(parts[:-1])} {word} {parts[-1]}"

    def sentence(self, node: n.Condition) -> str:
        """A condition as a sentence."""
        text = self.condition(node)
        return f"{text[0].upper()}{text[1:]}."

    def steps(self, node: n.Number, context: Context) -> tuple[Step, ...]:
        """How a number came about: each part with its value, innermost first."""
        found: dict[str, Step] = {}
        self._gather(node, context, found)
        return tuple(found.values())

    def _gather(self, node: n.Number, context: Context, found: dict[str, Step]) -> None:
        text = self.number(node)
        if isinstance(node, n.Fixed) or text in found:
            return
        # Held a place for, so that what depends on itself ends.
        found[text] = Step(text, number(node, context))
        for part in self.inner(node, context):
            self._gather(part, context, found)
        found[text] = found.pop(text)

    def inner(self, node: n.Number, context: Context) -> tuple[n.Number, ...]:
        """The numbers that a number is made of; of an amount or a rule's limit its expression."""
        if isinstance(node, n.Named) and node.name in self.amounts:
            return (self.amounts[node.name],)
        if isinstance(node, n.LimitOf) and node.rule in self.limits:
            return (self.limits[node.rule],)
        return inner(node, context)


def _answer(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def inner(node: n.Number, context: Context) -> tuple[n.Number, ...]:
    """The numbers that a number is made of, in the case, reading and on the day that count."""
    match node:
        case n.Fixed() | n.Named() | n.LimitOf():
            return ()
        case n.Share(of=of) | n.Brackets(of=of):
            return (of,)
        case n.Sum(terms=terms) | n.Least(terms=terms) | n.Greatest(terms=terms):
            return terms
        case n.Difference(take=take, less=less):
            return (take, *less)
        case n.Product(factors=factors):
            return factors
        case n.Ratio(top=top, bottom=bottom):
            return (top, bottom)
        case n.Tiers(by=by, rows=rows):
            where = number(by, context)
            fits = [r.value for r in rows if falls_in(where.low_si, r, where.made_of_si)]
            return (by, *fits) if where.is_certain and len(fits) == 1 else (by,)
        case n.Points(by=by):
            return (by,)
        case n.Choose(cases=cases, otherwise=otherwise):
            for case in cases:
                holds = condition(case.when, context).holds
                if holds is not False:
                    return (case.value,) if holds else ()
            return () if otherwise is None else (otherwise,)
        case n.ByReading(reading=reading, options=options):
            return (dict(options)[context.option(reading)],)
        case n.ByDate(values=values):
            return tuple(v for day, v in values if context.day is None or day <= context.day)[-1:]
        case n.Rounded(value=value):
            return (value,)
        case _:
            assert_never(node)
