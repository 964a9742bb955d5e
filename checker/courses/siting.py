"""Where a pavement that soaks may lie: run-on, soil tests, how deep to look, and frost."""

from __future__ import annotations

import math
from typing import Final, Literal

from checker.core.formula import NOT_NEGATIVE, POSITIVE, Range, formula
from checker.core.units import FOOT_M
from checker.courses.takeoff import rounded_whole

Class = Literal["micro", "small", "conventional"]
_TEST_AREA_M2: Final = 1000 * FOOT_M**2


@formula(
    source="nc-02h-1055",
    section="built-upon area draining to the pavement over its own area",
    valid={"draining_m2": NOT_NEGATIVE, "permeable_m2": POSITIVE},
)
def run_on_ratio(draining_m2: float, permeable_m2: float) -> float:
    """Impervious area that drains onto a permeable surface, over the area of that surface.

    Example:
        By hand: 600 sq ft onto 400 sq ft.

        >>> run_on_ratio(600.0, 400.0)
        1.5
    """
    return draining_m2 / permeable_m2


@formula(source="va-spec-8", section="6.3, soil tests", valid={"bed_m2": POSITIVE})
def soil_tests_count(bed_m2: float, kind: Class) -> int:
    """Soil tests for a bed: one for a micro one; else one per 1,000 sq ft, at most two when small.

    Example:
        By hand: 2,500 sq ft of a conventional bed, 2.5 rounded up.

        >>> soil_tests_count(2500 * 0.3048**2, "conventional")
        3
    """
    if kind == "micro":
        return 1
    by_area_count = math.ceil(rounded_whole(bed_m2 / _TEST_AREA_M2))
    return min(2, by_area_count) if kind == "small" else by_area_count


@formula(
    source="toronto-guide",
    section="permeable pavement, depth of investigation",
    valid={"water_depth_m": NOT_NEGATIVE},
)
def investigation_depth_m(water_depth_m: float) -> float:
    """How far below the bed to look into the soil: three times the water, not less than 1 m.

    Example:
        By hand: 1 ft of water asks 3 ft, so 1 m governs.

        >>> investigation_depth_m(0.3048)
        1.0
    """
    return max(3 * water_depth_m, 1.0)


@formula(
    source="frost-65-percent",
    section="total section over frost depth",
    valid={"frost_depth_m": NOT_NEGATIVE, "share_fraction": Range(0.0, 1.0)},
)
def frost_section_m(frost_depth_m: float, share_fraction: float = 0.65) -> float:
    """Thickness of pavement and bed together that a rule for frost-prone soils asks for.

    Written for porous asphalt; it is no limit of any code for pavers that people walk on.

    Example:
        By hand: 65 % of 48 in.

        >>> round(frost_section_m(48 * 0.0254) / 0.0254, 2)
        31.2
    """
    return share_fraction * frost_depth_m
