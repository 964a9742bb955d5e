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

from checker.core.problems import Place
from checker.core.records import record
from checker.core.units import Amount, Order, RoundingWay

DateOrder = Literal["before", "on or before", "after", "on or after"]


@record
class Fixed:
    """An amount written in the rule."""

    amount: Amount


@record
class Named:
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


@record
class Share:
    """A fixed share of another number: 45 % of the lot area."""

    fraction: float
    of: Number


@record
class Sum:
    """All terms added."""

    terms: tuple[Number, ...]


@record
class Difference:
    """One number less others; may stop at zero, as allowances do."""

    take: Number
    less: tuple[Number, ...]
    stops_at_zero: bool = False


@record
class Product:
    """All factors multiplied."""

    factors: tuple[Number, ...]


@record
class Ratio:
    """One number divided by another; undefined when the lower one is zero."""

    top: Number
    bottom: Number


@record
class Least:
    """The least of several: "whichever is less"."""

    terms: tuple[Number, ...]


@record
class Greatest:
    """The greatest of several: "whichever is greater"."""

    terms: tuple[Number, ...]


@record
class Tier:
    """One row of a tier table: from a low end to a high end, each inclusive or not."""

    value: Number
    low: Amount | None = None
    low_included: bool = True
    high: Amount | None = None
    high_included: bool = True


@record
class Tiers:
    """The row that the number falls in decides. In a gap, or in two rows, it is undefined."""

    by: Number
    rows: tuple[Tier, ...]


@record
class Bracket:
    """One marginal bracket: this share of the part above the last end up to this one."""

    fraction: float
    up_to: Amount | None = None


@record
class Brackets:
    """Marginal brackets: each share counts only for its own part of the number."""

    of: Number
    rows: tuple[Bracket, ...]


@record
class Points:
    """A table of points; between them straight lines or steps, outside undefined."""

    by: Number
    points: tuple[tuple[Amount, Amount], ...]
    between: Literal["straight line", "lower point", "higher point"]


@record
class LimitOf:
    """The limit that another rule of the same set sets."""

    rule: str


@record
class Case:
    """One case of a `Choose`."""

    when: Condition
    value: Number


@record
class Choose:
    """The first case whose condition holds; without one the otherwise, or undefined."""

    cases: tuple[Case, ...]
    otherwise: Number | None = None


@record
class ByReading:
    """A number that depends on how an unclear clause is read."""

    reading: str
    options: tuple[tuple[str, Number], ...]


@record
class ByDate:
    """A number that the law changed: the latest one in force on the day that counts."""

    values: tuple[tuple[date, Number], ...]


@record
class Rounded:
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


@record
class Compare:
    """A number against a limit, in the rule's own words."""

    measured: Number
    order: Order
    limit: Number


@record
class Is:
    """A fact or attribute is one of some values: texts, or True and False."""

    name: str
    values: tuple[str | bool, ...]


@record
class Dated:
    """A date that is a fact or attribute stands before or after a day."""

    name: str
    order: DateOrder
    day: date


@record
class OnFile:
    """A document exists; inside a surface's scope, one for that surface or for all."""

    document: str


@record
class Passes:
    """Another rule of the same set passes, with or without conditions."""

    rule: str


@record
class AllOf:
    """Every part holds."""

    parts: tuple[Condition, ...]


@record
class AnyOf:
    """At least one part holds."""

    parts: tuple[Condition, ...]


@record
class Not:
    """The part does not hold."""

    part: Condition


@record
class ForEach:
    """Every surface that `where` selects meets `require`; one that has none meets it."""

    where: Condition
    require: Condition


@record
class ReadingCondition:
    """A condition that depends on how an unclear clause is read."""

    reading: str
    options: tuple[tuple[str, Condition], ...]


Condition = (
    Compare | Is | Dated | OnFile | Passes | AllOf | AnyOf | Not | ForEach | ReadingCondition
)


@record
class Located:
    """Where a node stands in its file; kept beside the tree so that nodes compare by meaning."""

    node: Number | Condition
    place: Place


def always() -> Condition:
    """A condition that holds for everything."""
    return AllOf(())
