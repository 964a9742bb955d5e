"""The closed set of nodes of the rule language.

A rule is data. Every answer comes from reading that data: `evaluate` (does it hold?), `explain`
(say it in English), `constrain` (which changes meet it?). The nodes are frozen and public, and a
new one makes the type checker fail in every reading that does not handle it.

Numbers are read in one of two scopes: that of the lot (measures, facts) and, inside `ForEach` and
inside counting tables, that of one surface (its attributes first, then the lot).
"""

from __future__ import annotations

from datetime import date
from typing import Literal

from checker.core.records import Record
from checker.core.rounding import RoundingWay
from checker.core.units import Amount, Order

DateOrder = Literal["before", "on or before", "after", "on or after"]


class Fixed(Record):
    """An amount written in the rule."""

    amount: Amount


class Named(Record):
    """A measure, a fact that is an amount, an amount the rule set defines, or an attribute.

    Attributes:
        name: Its name in the vocabulary.
        state: "existing" or "proposed" where it differs; empty for the proposed state.
        region: Id of a region that it is cut to; empty for the whole lot.
    """

    name: str
    state: str = ""
    region: str = ""

    @property
    def key(self) -> str:
        """Its name as examples and traces write it."""
        text = f"{self.name} in {self.region}" if self.region else self.name
        return f"{text} ({self.state})" if self.state else text


class Share(Record):
    """A fixed share of another number: 45 % of the lot area."""

    fraction: float
    of: Number


class Sum(Record):
    """All terms added."""

    terms: tuple[Number, ...]


class Difference(Record):
    """One number less others; may stop at zero, as allowances do."""

    take: Number
    less: tuple[Number, ...]
    stops_at_zero: bool = False


class Product(Record):
    """All factors multiplied."""

    factors: tuple[Number, ...]


class Ratio(Record):
    """One number divided by another; undefined when the lower one is zero."""

    top: Number
    bottom: Number


class Least(Record):
    """The least of several: "whichever is less"."""

    terms: tuple[Number, ...]


class Greatest(Record):
    """The greatest of several: "whichever is greater"."""

    terms: tuple[Number, ...]


class Tier(Record):
    """One row of a tier table: from a low end to a high end, each inclusive or not."""

    value: Number
    low: Amount | None = None
    low_included: bool = True
    high: Amount | None = None
    high_included: bool = True


class Tiers(Record):
    """The row that the number falls in decides. In a gap, or in two rows, it is undefined."""

    by: Number
    rows: tuple[Tier, ...]


class Bracket(Record):
    """One marginal bracket: this share of the part above the last end up to this one."""

    fraction: float
    up_to: Amount | None = None


class Brackets(Record):
    """Marginal brackets: each share counts only for its own part of the number."""

    of: Number
    rows: tuple[Bracket, ...]


class Points(Record):
    """A table of points; between them straight lines or steps, outside undefined."""

    by: Number
    points: tuple[tuple[Amount, Amount], ...]
    between: Literal["straight line", "lower point", "higher point"]


class LimitOf(Record):
    """The limit that another rule of the same set sets."""

    rule: str


class Case(Record):
    """One case of a `Choose`."""

    when: Condition
    value: Number


class Choose(Record):
    """The first case whose condition holds; without one the otherwise, or undefined."""

    cases: tuple[Case, ...]
    otherwise: Number | None = None


class ByReading(Record):
    """A number that depends on how an unclear clause is read."""

    reading: str
    options: tuple[tuple[str, Number], ...]


class ByDate(Record):
    """A number that the law changed: the latest one in force on the day that counts."""

    values: tuple[tuple[date, Number], ...]


class Rounded(Record):
    """A number that the rule rounds."""

    value: Number
    step: Amount
    way: RoundingWay


Number = (
    Fixed
    | Named
    | Share
    | Sum
    | Difference
    | Product
    | Ratio
    | Least
    | Greatest
    | Tiers
    | Brackets
    | Points
    | LimitOf
    | Choose
    | ByReading
    | ByDate
    | Rounded
)


class Compare(Record):
    """A number against a limit, in the rule's own words."""

    measured: Number
    order: Order
    limit: Number


class Is(Record):
    """A fact or attribute is one of some values: texts, or True and False."""

    name: str
    values: tuple[str | bool, ...]


class Dated(Record):
    """A date that is a fact or attribute stands before or after a day."""

    name: str
    order: DateOrder
    day: date


class OnFile(Record):
    """A document exists; inside a surface's scope, one for that surface or for all."""

    document: str


class Passes(Record):
    """Another rule of the same set passes, with or without conditions."""

    rule: str


class AllOf(Record):
    """Every part holds."""

    parts: tuple[Condition, ...]


class AnyOf(Record):
    """At least one part holds."""

    parts: tuple[Condition, ...]


class Not(Record):
    """The part does not hold."""

    part: Condition


class ForEach(Record):
    """Every surface that `where` selects meets `require`; one that has none meets it."""

    where: Condition
    require: Condition


class ReadingCondition(Record):
    """A condition that depends on how an unclear clause is read."""

    reading: str
    options: tuple[tuple[str, Condition], ...]


Condition = (
    Compare | Is | Dated | OnFile | Passes | AllOf | AnyOf | Not | ForEach | ReadingCondition
)


def always() -> Condition:
    """A condition that holds for everything."""
    return AllOf(())
