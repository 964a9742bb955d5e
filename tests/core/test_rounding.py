"""Halves are halves in every unit: rounding works on the number that the rule names."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from random import Random
from typing import Final

import pytest

from checker.core.rounding import RoundingWay, rounded
from checker.core.units import FOOT_M

WAYS: Final[dict[RoundingWay, str]] = {
    "nearest": ROUND_HALF_UP,
    "up": ROUND_CEILING,
    "down": ROUND_FLOOR,
}


@pytest.mark.parametrize("way", list(WAYS))
def test_against_exact_decimals_in_square_feet(way: RoundingWay) -> None:
    """Tenths of a square foot, held in square metres, against decimals that never left feet."""
    chance = Random(way)
    square_foot_m2 = FOOT_M**2
    for _ in range(20_000):
        tenths = chance.randrange(1, 10_000_000)
        exact = Decimal(tenths).scaleb(-1).quantize(Decimal(1), WAYS[way])
        found = rounded(tenths / 10 * square_foot_m2, square_foot_m2, way)
        assert round(found / square_foot_m2) == exact, tenths


def test_the_patio_that_an_office_printed_as_825() -> None:
    # 1,649 x 0.5 = 824.5; in square metres the double is a hair below the half.
    half_m2 = 1649 * 0.5 * FOOT_M**2
    assert half_m2 / FOOT_M**2 < 824.5
    assert rounded(half_m2, FOOT_M**2, "nearest") / FOOT_M**2 == pytest.approx(825, abs=1e-9)
