"""Linear expressions, and the rows and variables that a program of them is made of."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record, Struct, field

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

STRICT_FRACTION: Final = 1e-7
"""How far inside a strict limit a number must lie, as a share of what it can be.

Above the 1e-9 within which two amounts are the same, and far below anything that is measured.
"""


class Linear(Record):
    """A constant plus multiples of variables.

    Attributes:
        constant: In SI; may be infinite where nothing is known.
        terms: The multiple of each variable, by its number; none is zero.
    """

    constant: float = 0.0
    terms: Mapping[int, float] = field(default_factory=dict)

    @property
    def is_constant(self) -> bool:
        """Whether no variable is in it."""
        return not self.terms

    def plus(self, other: Linear | float, times: float = 1.0) -> Linear:
        """This and a multiple of another."""
        if isinstance(other, int | float):
            return Linear(self.constant + times * other, self.terms)
        return total([(self, 1.0), (other, times)])

    def scaled(self, times: float) -> Linear:
        """A multiple of it; nothing times the unknown is nothing."""
        if times == 0:
            return Linear()
        return Linear(self.constant * times, {key: c * times for key, c in self.terms.items()})

    def value(self, values: Mapping[int, float]) -> float:
        """What it is when the variables have values."""
        return self.constant + math.fsum(c * values[key] for key, c in self.terms.items())


def total(parts: Iterable[tuple[Linear, float]]) -> Linear:
    """The sum of multiples of expressions."""
    constants: list[float] = []
    terms: dict[int, float] = {}
    for part, times in parts:
        if times == 0:
            continue
        constants.append(part.constant * times)
        for key, c in part.terms.items():
            terms[key] = terms.get(key, 0.0) + c * times
    infinite = [constant for constant in constants if not math.isfinite(constant)]
    constant = sum(infinite) if infinite else math.fsum(constants)
    return Linear(constant, {key: c for key, c in terms.items() if c})


class Variable(Record):
    """One variable: its bounds, and whether it takes whole numbers only."""

    name: str
    low: float
    high: float
    is_whole: bool = False


class Row(Record):
    """A linear expression, without its constant, that must lie between two ends.

    Attributes:
        terms: The multiple of each variable.
        low: The lower end; -inf when there is none.
        high: The upper end; inf when there is none.
        rule: The rule that it belongs to; empty for what holds in any case.
    """

    terms: Mapping[int, float]
    low: float
    high: float
    rule: str = ""


class Rows(Struct):
    """Collects variables and rows."""

    variables: list[Variable] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    rule: str = ""

    def variable(self, name: str, low: float, high: float, *, is_whole: bool = False) -> Linear:
        """A new variable."""
        self.variables.append(Variable(name, low, high, is_whole))
        return Linear(0.0, {len(self.variables) - 1: 1.0})

    def switch(self, name: str) -> Linear:
        """A new variable that is 0 or 1."""
        return self.variable(name, 0.0, 1.0, is_whole=True)

    def between(self, low: float, part: Linear, high: float) -> None:
        """An expression must lie between two ends."""
        if part.is_constant and low <= part.constant <= high:
            return
        self.rows.append(Row(part.terms, low - part.constant, high - part.constant, self.rule))

    def not_above(self, part: Linear, when: Linear | None = None) -> None:
        """An expression must be at most zero, always or when a switch is on."""
        if when is None:
            self.between(-math.inf, part, 0.0)
            return
        most = self.span(part)[1]
        if most > 0:
            # With the switch off the row asks for no more than what is always so.
            self.between(-math.inf, part.plus(when, most), most)

    def not_below(self, part: Linear, when: Linear | None = None) -> None:
        """An expression must be at least zero, always or when a switch is on."""
        self.not_above(part.scaled(-1.0), when)

    def span(self, part: Linear) -> tuple[float, float]:
        """The least and the most that an expression can be within the bounds of its variables."""
        low = high = part.constant
        for key, c in part.terms.items():
            own = self.variables[key]
            low += c * (own.low if c > 0 else own.high)
            high += c * (own.high if c > 0 else own.low)
        return low, high

    def strict(self, part: Linear) -> float:
        """How far inside a strict limit of zero an expression must lie."""
        low, high = self.span(part)
        ends = [abs(end) for end in (low, high) if math.isfinite(end)]
        return STRICT_FRACTION * max([1.0, *ends])
