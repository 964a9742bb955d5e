"""Upkeep: the surface infiltration test (ASTM C1701 and C1781), how many, and what it says."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.formula import POSITIVE, formula
from checker.core.records import Record
from checker.core.units import FOOT_M, meets
from checker.courses.takeoff import rounded_whole
from checker.courses.voids import WATER_KG_PER_M3

if TYPE_CHECKING:
    from collections.abc import Sequence

POUND_KG: Final = 0.45359237
SLOW_TEST_KG: Final = 8 * POUND_KG
FAST_TEST_KG: Final = 40 * POUND_KG
PREWET_LIMIT_S: Final = 30.0


@formula(
    source="astm-c1781",
    section="I = K M / (D^2 t)",
    valid={"water_kg": POSITIVE, "ring_m": POSITIVE, "time_s": POSITIVE},
)
def infiltration_m_per_s(water_kg: float, ring_m: float, time_s: float) -> float:
    """Rate at which a ring of water goes into the surface.

    The standards print a constant for their units (126,870 for pounds, inches and seconds); it is
    4 / (pi x density of water) in SI, so no constant is needed here.

    Args:
        water_kg: Water poured.
        ring_m: Inside diameter of the ring, 12 in in the standards.
        time_s: From the first water on the surface until none is left.

    Example:
        By hand: 126,870 x 40 lb / (12 in squared x 75 s) = 469.9 in/h.

        >>> rate_m_per_s = infiltration_m_per_s(40 * 0.45359237, 12 * 0.0254, 75.0)
        >>> round(rate_m_per_s / 0.0254 * 3600, 1)
        469.9
    """
    return 4 * water_kg / (math.pi * ring_m**2 * WATER_KG_PER_M3 * time_s)


def pour_kg(prewet_s: float) -> float:
    """Water for the test, from how long the 8 lb of pre-wetting took.

    40 lb when it went in less than 30 s, else 8 lb. From memory of the standards.
    """
    return FAST_TEST_KG if meets(prewet_s, PREWET_LIMIT_S, "less than") else SLOW_TEST_KG


@formula(
    source="everett-permeable",
    section="permeable pavement maintenance, test locations",
    valid={"area_m2": POSITIVE},
)
def places_count(area_m2: float) -> int:
    """Places to test: one to 2,500 sq ft, one more per 2,500 to 15,000, then one per 10,000.

    Example:
        By hand: 7,000 sq ft: 1 + 4,500/2,500 rounded up.

        >>> places_count(7000 * 0.3048**2)
        3
    """
    step_m2, turn_m2, far_m2 = (size * FOOT_M**2 for size in (2500, 15000, 10000))
    near_m2 = min(area_m2, turn_m2) - step_m2
    near_count = max(0, math.ceil(rounded_whole(near_m2 / step_m2)))
    far_count = max(0, math.ceil(rounded_whole((area_m2 - turn_m2) / far_m2)))
    return 1 + near_count + far_count


class SurfaceTest(Record, kw_only=True):
    """The mean of several ring tests and the lowest of them, each valid only where it stood."""

    mean_m_per_s: float
    lowest_m_per_s: float
    done_count: int


def surface_test(rates_m_per_s: Sequence[float]) -> SurfaceTest | None:
    """Put ring tests together; None when there are none."""
    if not rates_m_per_s:
        return None
    return SurfaceTest(
        mean_m_per_s=sum(rates_m_per_s) / len(rates_m_per_s),
        lowest_m_per_s=min(rates_m_per_s),
        done_count=len(rates_m_per_s),
    )
