"""Tables of tiers, brackets and points as stretches of a number with the value on each."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.algebra import ranges
from checker.algebra.linear import Linear
from checker.core.records import Record

if TYPE_CHECKING:
    from checker.algebra import nodes as n


_SAME_FRACTION: Final = 1e-9


class Segment(Record):
    """A stretch of a number and the value that holds on it."""

    low: float
    high: float
    value: n.Number | Linear
    low_included: bool = True
    high_included: bool = True

    @property
    def is_level(self) -> bool:
        """Whether the value has no part in where the number lies: it jumps at the ends."""
        return not isinstance(self.value, Linear) or self.value.is_constant

    def reaches(self, low: float, high: float) -> bool:
        """Whether some of a span lies on it; sums of doubles may miss an end by a hair."""
        hair = _SAME_FRACTION * max(abs(low), abs(high))
        return self.low <= high + hair and self.high >= low - hair

    def holds_all(self, low: float, high: float) -> bool:
        """Whether a whole span lies on it."""
        above = self.low <= low if self.low_included else self.low < low
        below = high <= self.high if self.high_included else high < self.high
        return above and below


def bracket_segments(whole: Linear, rows: tuple[n.Bracket, ...]) -> list[Segment]:
    """Marginal brackets: nothing below zero, then one straight line per bracket."""
    parts = [Segment(-math.inf, 0.0, Linear())]
    below, sum_si = 0.0, 0.0
    for row in rows:
        high = row.up_to.value_si if row.up_to is not None else math.inf
        value = whole.scaled(row.fraction).plus(sum_si - row.fraction * below)
        parts.append(Segment(below, high, value))
        sum_si += row.fraction * (high - below) if math.isfinite(high) else 0.0
        below = high
    return parts


def point_segments(where: Linear, node: n.Points) -> list[Segment]:
    """A table of points: lines or steps between them, nothing outside."""
    at = [(x.value_si, y.value_si) for x, y in node.points]
    parts: list[Segment] = []
    for (x0, y0), (x1, y1) in pairwise(at):
        if node.between == "straight line":
            slope = (y1 - y0) / (x1 - x0)
            parts.append(Segment(x0, x1, where.scaled(slope).plus(y0 - slope * x0)))
        elif node.between == "lower point":
            parts.append(Segment(x0, x1, Linear(y0), high_included=False))
        else:
            parts.append(Segment(x0, x1, Linear(y1), low_included=False))
    ends = at if len(at) == 1 else []
    if node.between == "lower point":
        ends = at[-1:]
    elif node.between == "higher point":
        ends = at[:1]
    return parts + [Segment(x, x, Linear(y)) for x, y in ends]


def tier_segments(rows: tuple[n.Tier, ...]) -> list[Segment]:
    """The stretches on which exactly one tier fits; where two fit or none, nothing holds."""
    ends = sorted({end.value_si for row in rows for end in (row.low, row.high) if end is not None})
    spans: list[tuple[float, float]] = []
    marks = [-math.inf, *ends, math.inf]
    for low, high in pairwise(marks):
        spans.append((low, high))
        if math.isfinite(high):
            spans.append((high, high))
    found: list[Segment] = []
    for low, high in spans:
        inside = _inside(low, high)
        fits = [row for row in rows if ranges.falls_in(inside, row)]
        if len(fits) != 1:
            continue
        point = low == high
        last = found[-1] if found else None
        goes_on = last is not None and last.high == low and (last.high_included or point)
        if last is not None and goes_on and last.value == fits[0].value:
            found[-1] = Segment(last.low, high, last.value, last.low_included, point)
            continue
        found.append(Segment(low, high, fits[0].value, point, point))
    return found


def _inside(low: float, high: float) -> float:
    if math.isinf(low) and math.isinf(high):
        return 0.0
    if math.isinf(low):
        return high - 1.0
    return low + 1.0 if math.isinf(high) else (low + high) / 2
