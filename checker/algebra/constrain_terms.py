"""What reading 3 of a rule looks up: the measures that a change can move, as linear expressions."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, Literal, Protocol

from checker.algebra.linear import Linear
from checker.core.problems import CheckerError
from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.algebra import nodes as n
    from checker.algebra.constrain_numbers import Numbers
    from checker.algebra.values import Context

Sense = Literal["under", "over", "exact"]
OPPOSITE: Final[dict[Sense, Sense]] = {"under": "over", "over": "under", "exact": "exact"}


class NotLinear(CheckerError):
    """A number or condition cannot be said in linear rows.

    Attributes:
        name: What it is about.
        why: The reason, as a clause.
    """

    def __init__(self, name: str, why: str) -> None:
        self.name = name
        self.why = why
        super().__init__(f"{name}: {why}")


class Presence(Record):
    """A surface that is or may be there.

    Attributes:
        scope: Its attributes.
        amount: How much of it there is; a constant above zero when it is there in any case.
    """

    scope: Context
    amount: Linear


class Terms(Protocol):
    """Where names are looked up that a change can move."""

    def varies(self, named: n.Named) -> bool:
        """Whether a change can move a measure of the lot."""

    def measure(self, named: n.Named, sense: Sense, reader: Numbers) -> Linear:
        """A measure that varies; may add rows through the reader."""

    def definition(self, name: str) -> n.Number | None:
        """The expression of an amount that the rule set defines; None for other names."""

    def requirement(self, rule: str) -> n.Condition:
        """What must hold for another rule to pass."""

    def limit(self, rule: str) -> n.Number | None:
        """The limit that another rule sets; None when it sets none."""

    def surfaces(self) -> Iterable[Presence]:
        """Every surface that is or may be there."""


def undefined(sense: Sense) -> Linear:
    """A number that there is not: it meets no limit, whichever way it is compared."""
    return Linear({"under": -math.inf, "over": math.inf, "exact": math.nan}[sense])
