"""Rounding as rules and offices do it: on exact decimals, to a step, in a way that is said."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Literal

from checker.core.units import same

RoundingWay = Literal["nearest", "up", "down"]


def rounded(value: float, step: float, way: RoundingWay, size: float = 0.0) -> float:
    """Round to a multiple of a step on exact decimals; halves go away from zero.

    A value within the one tolerance of a multiple is that multiple, so that 300.00000000000006
    rounded up to whole units stays 300.

    Args:
        value: Any finite number.
        step: The multiple, > 0, in the same unit.
        way: To the nearest multiple, up (toward plus infinity) or down.
        size: The largest number that the value was made from; see `same`.
    """
    count = value / step
    whole = round(count)
    if same(count, whole, size / step):
        return whole * step
    halves = round(count * 2)
    if same(count * 2, halves, size * 2 / step):
        # 824.5 sq ft is a hair less than that in square metres, and a half all the same.
        count = halves / 2
    mode = {"nearest": ROUND_HALF_UP, "up": ROUND_CEILING, "down": ROUND_FLOOR}[way]
    return float(Decimal(repr(count)).quantize(Decimal(1), mode)) * step
