"""Reading 2 of a rule: say it in English, and say how a number came about."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, assert_never

from checker.algebra import nodes as n
from checker.algebra.evaluate import number
from checker.core.records import Record
from checker.core.showing import show
from checker.core.units import RATIO, Amount, Order, System

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.algebra.values import Context, Quantity
    from checker.algebra.vocabulary import Vocabulary

_ORDER_WORDS: Final[dict[Order, str]] = {
    "at most": "is at most",
    "at least": "is at least",
    "less than": "is less than",
    "more than": "is more than",
    "equal to": "is",
}


_OWN_ARTICLE: Final = ("its ", "how ", "what ", "the ")
"""Titles that start so take no article."""


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
    """

    words: Vocabulary
    system: System

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
                return f"{fraction * 100:.10g} % of {self.part(of)}"
            case n.Sum(terms=terms):
                return self.joined([self.part(term) for term in terms], "plus")
            case n.Difference(take=take, less=less, stops_at_zero=stops):
                text = f"{self.part(take)} less {self.joined([self.part(t) for t in less])}"
                return f"{text} (not below zero)" if stops else text
            case n.Product(factors=factors):
                return " times ".join(self.part(factor) for factor in factors)
            case n.Ratio(top=top, bottom=bottom):
                return f"{self.part(top)} divided by {self.part(bottom)}"
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
        loose = n.Sum | n.Difference | n.Ratio | n.Choose | n.ByReading | n.ByDate | n.Rounded
        return f"({text})" if isinstance(node, loose) and node != n.Choose(()) else text

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
                return f"{self.number(measured)} {_ORDER_WORDS[order]} {self.number(limit)}"
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
        for part in inner(node, context):
            self._gather(part, context, found)
        if not isinstance(node, n.Fixed):
            text = self.number(node)
            found.setdefault(text, Step(text, number(node, context)))


def inner(node: n.Number, context: Context) -> tuple[n.Number, ...]:
    """The numbers that a number is made of, in the reading and on the day that count."""
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
        case n.Tiers(by=by) | n.Points(by=by):
            return (by,)
        case n.Choose():
            return ()
        case n.ByReading(reading=reading, options=options):
            return (dict(options)[context.option(reading)],)
        case n.ByDate(values=values):
            return tuple(v for day, v in values if context.day is None or day <= context.day)[-1:]
        case n.Rounded(value=value):
            return (value,)
        case _:
            assert_never(node)
