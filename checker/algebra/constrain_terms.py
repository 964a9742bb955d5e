"""What reading 3 of a rule speaks in: senses, presences, and what cannot be said in rows."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, Literal

from checker.algebra.linear import Linear
from checker.core.problems import CheckerError
from checker.core.records import Record

if TYPE_CHECKING:
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


def undefined(sense: Sense) -> Linear:
    """A number that there is not: it meets no limit, whichever way it is compared."""
    return Linear({"under": -math.inf, "over": math.inf, "exact": math.nan}[sense])
