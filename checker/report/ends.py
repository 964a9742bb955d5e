"""Areas at both of their ends: sums of numbers that may be uncertain."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.algebra.values import Quantity


class Ends(NamedTuple):
    """A number at its low and its high end, square metres."""

    low_m2: float = 0.0
    high_m2: float = 0.0

    def plus(self, other: Ends, times: float = 1.0) -> Ends:
        """The sum with another number, taken so many times."""
        return Ends(self.low_m2 + times * other.low_m2, self.high_m2 + times * other.high_m2)

    def above_zero(self) -> Ends:
        """Each end, or zero where it is below."""
        return Ends(max(self.low_m2, 0.0), max(self.high_m2, 0.0))


def ends_of(value: Quantity) -> Ends:
    """The ends of an area that the rule language gives."""
    return Ends(value.low_si, value.high_si)


def sum_of(many: Iterable[Ends]) -> Ends:
    """The sum of the low ends and of the high ends."""
    total = Ends()
    for ends in many:
        total = total.plus(ends)
    return total


def in_order(ends: Ends) -> Ends:
    """The ends, the smaller one first."""
    return Ends(min(ends), max(ends))


def without_trace(area_m2: float) -> float:
    """An area, or zero for what only rounding left."""
    return area_m2 if abs(area_m2) > 1e-6 else 0.0
