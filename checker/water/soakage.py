"""Soakage tests and pits that empty through their walls: rates, required storage, half-emptying.

Two families of method differ in whether the base counts. The choice is an argument everywhere.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from checker.core.formula import NOT_NEGATIVE, POSITIVE, OutOfRange, formula
from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Sequence


@formula(
    source="uk-soakaway-sheet",
    section="soil infiltration rate",
    valid={"length_m": POSITIVE, "width_m": POSITIVE, "depth_m": POSITIVE, "time_s": POSITIVE},
)
def soakage_rate_m_per_s(length_m: float, width_m: float, depth_m: float, time_s: float) -> float:
    """Infiltration rate from a trial pit: the middle half of its water over wetted area and time.

    f = V(75-25) / (a50 t(75-25)), where a50 is the base and the walls to half the depth.

    Args:
        length_m: Length of the pit.
        width_m: Width of the pit.
        depth_m: Depth of water when full.
        time_s: Time from three quarters full to one quarter, the slowest of three fillings.

    Example:
        The source's pit, 1.0 x 0.75 x 1.0 m in 56 min: 44.6 millionths of a metre a second.

        >>> round(soakage_rate_m_per_s(1.0, 0.75, 1.0, 56 * 60) * 1e6, 1)
        44.6
    """
    volume_m3 = length_m * width_m * depth_m / 2
    base_m2 = length_m * width_m
    return volume_m3 / ((base_m2 + wall_area_m2(length_m, width_m, depth_m)) * time_s)


@formula(
    source="uk-soakaway-sheet",
    section="area of the walls to half depth",
    valid={"length_m": POSITIVE, "width_m": POSITIVE, "depth_m": POSITIVE},
)
def wall_area_m2(length_m: float, width_m: float, depth_m: float) -> float:
    """Walls of a rectangular pit up to half its depth; the base is left out as it silts up.

    Example:
        2.0 x 1.5 x 1.5 m: 2 (2.0 + 1.5) x 0.75 = 5.25 sq m.

        >>> wall_area_m2(2.0, 1.5, 1.5)
        5.25
    """
    return 2 * (length_m + width_m) * depth_m / 2


@formula(
    source="uk-soakaway-sheet",
    section="time to empty to half",
    valid={"storage_m3": NOT_NEGATIVE, "wetted_m2": POSITIVE, "rate_m_per_s": POSITIVE},
)
def half_emptying_time_s(storage_m3: float, wetted_m2: float, rate_m_per_s: float) -> float:
    """Time until half of the stored water is gone, 0.5 S / (a f); 24 hours is the usual limit."""
    return 0.5 * storage_m3 / (wetted_m2 * rate_m_per_s)


class NeededStorage(Record):
    """What one duration of rain asks of a pit."""

    duration_s: float
    inflow_m3: float
    outflow_m3: float

    @property
    def storage_m3(self) -> float:
        """Water still there at the end of the rain."""
        return max(0.0, self.inflow_m3 - self.outflow_m3)


@formula(
    source="uk-soakaway-sheet",
    section="required storage S = I - O",
    valid={"drained_m2": NOT_NEGATIVE, "wetted_m2": NOT_NEGATIVE, "rate_m_per_s": NOT_NEGATIVE},
)
def needed_storage(
    durations_s: Sequence[float],
    depths_m: Sequence[float],
    drained_m2: float,
    wetted_m2: float,
    rate_m_per_s: float,
) -> tuple[NeededStorage, ...]:
    """Storage for each duration of a return period; the largest governs.

    Args:
        durations_s: Durations of rain.
        depths_m: Depth of each.
        drained_m2: Impervious area that drains to the pit.
        wetted_m2: Area through which it soaks away, from `wall_area_m2` or with the base.
        rate_m_per_s: Design rate of the soil.
    """
    return tuple(
        NeededStorage(duration, depth * drained_m2, wetted_m2 * rate_m_per_s * duration)
        for duration, depth in zip(durations_s, depths_m, strict=True)
    )


class SoakagePit(Record, kw_only=True):
    """A pit of plain shape that soaks through base and walls.

    Attributes:
        base_m2: Plan area, > 0.
        perimeter_m: Length of its walls in plan, > 0.
        void_fraction: Voids per volume.
        rate_m_per_s: Design rate of the soil.
    """

    base_m2: float
    perimeter_m: float
    void_fraction: float
    rate_m_per_s: float

    @property
    def rate_per_s(self) -> float:
        """How fast the walls empty it, b = P q / (n A)."""
        return self.perimeter_m * self.rate_m_per_s / (self.void_fraction * self.base_m2)


@formula(
    source="uk-infiltration-manual",
    section="infiltration from base and sides, form from memory",
    valid={"drained_m2": NOT_NEGATIVE, "intensity_m_per_s": NOT_NEGATIVE, "duration_s": POSITIVE},
)
def greatest_depth_m(
    pit: SoakagePit, drained_m2: float, intensity_m_per_s: float, duration_s: float
) -> float:
    """Depth in a pit at the end of a uniform rain, h = a (exp(-b D) - 1).

    Here a = A / P - i AD / (P q) and b = P q / (n A). The depth is 0 when the base keeps up.

    Args:
        pit: The pit, soaking through base and walls.
        drained_m2: Impervious area that drains to it.
        intensity_m_per_s: Intensity of the rain.
        duration_s: Its duration.
    """
    inflow = intensity_m_per_s * drained_m2
    a = pit.base_m2 / pit.perimeter_m - inflow / (pit.perimeter_m * pit.rate_m_per_s)
    return max(0.0, a * math.expm1(-pit.rate_per_s * duration_s))


@formula(
    source="uk-infiltration-manual",
    section="time to empty to half, form from memory",
    valid={"depth_m": POSITIVE},
)
def half_depth_time_s(pit: SoakagePit, depth_m: float) -> float:
    """Time for the depth to halve through base and walls, ln((h + A/P) / (h/2 + A/P)) / b."""
    base_m = pit.base_m2 / pit.perimeter_m
    return math.log((depth_m + base_m) / (depth_m / 2 + base_m)) / pit.rate_per_s


@formula(
    source="uk-soakaway-sheet",
    section="small soakaway: two conversions are in circulation",
    valid={"hole_m": POSITIVE, "fall_time_s": POSITIVE, "fall_m": POSITIVE},
)
def small_hole_rate_m_per_s(
    hole_m: float, fall_m: float, fall_time_s: float, *, wetted_depth_m: float
) -> float:
    """Infiltration rate from a small square test hole, water lost over wetted area and time.

    Args:
        hole_m: Side of the square hole.
        fall_m: Fall of the water that was timed.
        fall_time_s: Time of that fall.
        wetted_depth_m: Mean wetted depth of the walls; 0 counts the base alone.

    Raises:
        OutOfRange: The wetted depth is negative.
    """
    if wetted_depth_m < 0:
        raise OutOfRange("small_hole_rate_m_per_s: wetted_depth_m is negative")
    wetted_m2 = hole_m**2 + 4 * hole_m * wetted_depth_m
    return hole_m**2 * fall_m / (wetted_m2 * fall_time_s)
