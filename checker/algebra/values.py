"""What evaluation gives back: numbers that may be uncertain, and truths that may be unknown.

A missing fact never becomes a guess. It widens a number to the range it may lie in, and the
verdict is "cannot tell" unless it is the same over the whole range.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Protocol

from checker.core.records import Record
from checker.core.units import RATIO, Amount, Dimension, Order, meets, same

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from checker.algebra import nodes as n


class Missing(Record, order=True):
    """Something that must be given, or is undefined, before a rule can be judged.

    Attributes:
        name: The measure, fact or attribute; empty for an undefined number.
        of: The surface that lacks it; empty for the lot.
        ask: What to do, e.g. "give 'gap' of west-deck".
    """

    name: str
    of: str
    ask: str


class Quantity(Record):
    """A number in SI that lies between two ends; certain when they are equal.

    Attributes:
        low_si: The least it can be; -inf when nothing is known.
        high_si: The most it can be.
        dimension: Its kind.
        missing: What would narrow it.
        unit: The unit it should be shown in; empty for the system's own.
    """

    low_si: float
    high_si: float
    dimension: Dimension = RATIO
    missing: tuple[Missing, ...] = ()
    unit: str = ""

    @property
    def is_certain(self) -> bool:
        """Whether it is one number."""
        return self.low_si == self.high_si or (
            math.isfinite(self.low_si)
            and math.isfinite(self.high_si)
            and same(self.low_si, self.high_si)
        )

    @property
    def is_bounded(self) -> bool:
        """Whether anything at all is known of it from both sides."""
        return math.isfinite(self.low_si) and math.isfinite(self.high_si)

    def end(self, *, high: bool) -> Amount | None:
        """One end as an amount; None when that end is not known."""
        value = self.high_si if high else self.low_si
        return Amount(value, self.dimension, self.unit) if math.isfinite(value) else None


def certain(amount: Amount) -> Quantity:
    """A number that is known."""
    return Quantity(amount.value_si, amount.value_si, amount.dimension, (), amount.unit)


def unknown(missing: Iterable[Missing], dimension: Dimension = RATIO) -> Quantity:
    """A number of which nothing is known."""
    return Quantity(-math.inf, math.inf, dimension, tuple(missing))


class Judged(Record, kw_only=True):
    """One comparison with its three numbers.

    Attributes:
        measured: What is there.
        order: The rule's own wording.
        limit: What is asked.
        holds: True, False, or None when it cannot be told.
        node: The comparison itself.
        of: The surface it is about; empty for the lot.
    """

    measured: Quantity
    order: Order
    limit: Quantity
    holds: bool | None
    node: n.Compare
    of: str = ""

    @property
    def wants_less(self) -> bool:
        """Whether a smaller measured number is better."""
        return self.order in {"at most", "less than"}

    @property
    def worst(self) -> tuple[Amount | None, Amount | None]:
        """Measured and limit under the unfavourable assumption."""
        return self.measured.end(high=self.wants_less), self.limit.end(high=not self.wants_less)

    @property
    def margin_si(self) -> float | None:
        """Room left under the unfavourable assumption; negative when not met."""
        measured, limit = self.worst
        if measured is None or limit is None:
            return None
        room = limit.value_si - measured.value_si
        if same(limit.value_si, measured.value_si):
            return 0.0
        return room if self.wants_less else -room


class Truth(Record, kw_only=True):
    """Whether a condition holds.

    Attributes:
        holds: True, False, or None when it cannot be told.
        missing: What must be given to tell, or what was not needed in the end.
        parts: Every comparison that took part.
        is_vacuous: It holds only because there is nothing it speaks of.
        because: Words for a condition that is no comparison and does not hold.
    """

    holds: bool | None
    missing: tuple[Missing, ...] = ()
    parts: tuple[Judged, ...] = ()
    is_vacuous: bool = False
    because: tuple[str, ...] = ()


FactValue = "str | bool | date | frozenset[str]"


class Context(Protocol):
    """Where evaluation looks names up: the sheet of a lot, or one surface before it."""

    @property
    def day(self) -> date | None:
        """The day whose law counts; None for the newest."""

    @property
    def surface_id(self) -> str:
        """The surface whose scope this is; empty for the lot."""

    def number(self, named: n.Named) -> Quantity:
        """A measure, fact or attribute that is an amount."""

    def fact(self, name: str) -> str | bool | date | frozenset[str] | None:
        """A text, yes-or-no or date; None when it is missing."""

    def missing(self, name: str) -> Missing:
        """What to ask for when a fact is missing."""

    def surfaces(self) -> Iterable[Context]:
        """The scope of each surface of the design."""

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists (for this surface, or for all)."""

    def outcome(self, rule: str) -> Truth:
        """Whether another rule of the set passes."""

    def limit_of(self, rule: str) -> Quantity:
        """The limit that another rule sets."""

    def option(self, reading: str) -> str:
        """The option by which an unclear clause is read."""


def compare(measured: Quantity, order: Order, limit: Quantity) -> bool | None:
    """Compare two uncertain numbers: the same answer over the whole range, or None."""
    if order == "equal to":
        if measured.is_certain and limit.is_certain:
            return meets(measured.low_si, limit.low_si, order)
        apart = measured.high_si < limit.low_si or measured.low_si > limit.high_si
        return False if apart else None
    less = order in {"at most", "less than"}
    worst = (measured.high_si, limit.low_si) if less else (measured.low_si, limit.high_si)
    best = (measured.low_si, limit.high_si) if less else (measured.high_si, limit.low_si)
    if math.inf not in map(abs, worst) and meets(*worst, order):
        return True
    if math.inf not in map(abs, best) and not meets(*best, order):
        return False
    return None
