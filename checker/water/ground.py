"""Stone storage under paving and in the ground: how deep, how large, how long until it is empty.

Soakage tests and soakaways emptied through their walls are in `soakage`; any other shape is a
stage-storage table, in `stores`.
"""

from __future__ import annotations

import math
from typing import Final

from checker.core.formula import FRACTION, NOT_NEGATIVE, POSITIVE, OutOfRange, Range, formula

_VOIDS: Final = Range(0.0, 1.0, low_open=True)


@formula(
    source="water-practice",
    section="measured rate over a safety factor",
    valid={"measured_m_per_s": NOT_NEGATIVE, "safety_factor": Range(1.0)},
)
def design_rate_m_per_s(measured_m_per_s: float, safety_factor: float) -> float:
    """Infiltration rate to design with: the measured one over a factor for clogging and doubt.

    Args:
        measured_m_per_s: Slowest rate of the tests at the depth of the base.
        safety_factor: 1 or more; 2 is common, a local code may name another.
    """
    return measured_m_per_s / safety_factor


@formula(
    source="ontario-lid",
    section="permeable pavements: sizing, reservoir depth",
    valid={
        "run_on_m": NOT_NEGATIVE,
        "run_on_ratio": NOT_NEGATIVE,
        "rain_m": NOT_NEGATIVE,
        "rate_m_per_s": NOT_NEGATIVE,
        "fill_time_s": NOT_NEGATIVE,
        "void_fraction": _VOIDS,
    },
)
def reservoir_depth_m(
    run_on_m: float,
    run_on_ratio: float,
    rain_m: float,
    rate_m_per_s: float,
    fill_time_s: float,
    void_fraction: float,
) -> float:
    """Depth of stone that holds a storm, d = (Qc R + P - f T) / n; 0 when the soil keeps up.

    Args:
        run_on_m: Runoff depth of the area that drains onto the paving.
        run_on_ratio: That area over the paving's own.
        rain_m: Rain on the paving itself.
        rate_m_per_s: Design rate of the soil, after the safety factor.
        fill_time_s: Time in which it fills, during which the soil takes water; often 2 hours.
        void_fraction: Voids per volume of stone, often 0.40.

    Example:
        3.0 in of run-on from an equal area, 3.2 in of rain, 0.5 in/h for 2 h, 40 %: 13 in.

        >>> inch = 0.0254
        >>> d = reservoir_depth_m(3 * inch, 1.0, 3.2 * inch, 0.5 * inch / 3600, 7200.0, 0.4)
        >>> round(d / inch, 3)
        13.0
    """
    water_m = run_on_m * run_on_ratio + rain_m - rate_m_per_s * fill_time_s
    return max(0.0, water_m) / void_fraction


@formula(
    source="ontario-lid",
    section="permeable pavements: sizing, greatest depth",
    valid={"rate_m_per_s": NOT_NEGATIVE, "time_s": NOT_NEGATIVE, "void_fraction": _VOIDS},
)
def deepest_draining_m(rate_m_per_s: float, time_s: float, void_fraction: float) -> float:
    """Deepest stone layer that the soil empties in a time, d = f t / n.

    One page of the source multiplies by the voids; the water in d is n d, so it is divided.

    Example:
        >>> round(deepest_draining_m(0.5 / 3600, 48 * 3600, 0.4), 6)
        60.0
    """
    return rate_m_per_s * time_s / void_fraction


@formula(
    source="ontario-lid",
    section="permeable pavements: sizing, drawdown through the base",
    valid={"depth_m": NOT_NEGATIVE, "void_fraction": _VOIDS, "rate_m_per_s": POSITIVE},
)
def drawdown_time_s(depth_m: float, void_fraction: float, rate_m_per_s: float) -> float:
    """Time for a full stone layer to empty through its base alone, t = n d / f.

    Example:
        12 in of stone at 40 % over 0.5 in/h: 12 x 0.4 / 0.5 = 9.6 h.

        >>> round(drawdown_time_s(12 * 0.0254, 0.4, 0.5 * 0.0254 / 3600) / 3600, 3)
        9.6
    """
    return void_fraction * depth_m / rate_m_per_s


@formula(
    source="ontario-lid",
    section="permeable pavements: sizing, area for a fixed depth (10 December 2021)",
    valid={
        "duration_s": NOT_NEGATIVE,
        "intensity_m_per_s": NOT_NEGATIVE,
        "rate_m_per_s": NOT_NEGATIVE,
        "drained_m2": NOT_NEGATIVE,
        "depth_m": POSITIVE,
        "void_fraction": _VOIDS,
    },
)
def reservoir_area_m2(
    duration_s: float,
    intensity_m_per_s: float,
    rate_m_per_s: float,
    drained_m2: float,
    depth_m: float,
    void_fraction: float,
) -> float:
    """Base area of a reservoir of given depth, A = D (i - f) Ac / (d n)."""
    surplus_m = duration_s * max(0.0, intensity_m_per_s - rate_m_per_s)
    return surplus_m * drained_m2 / (depth_m * void_fraction)


@formula(
    source="pa-ordinance",
    section="form from memory, variables read",
    valid={
        "water_m3": NOT_NEGATIVE,
        "depth_m": POSITIVE,
        "void_fraction": _VOIDS,
        "rate_m_per_s": NOT_NEGATIVE,
        "fill_time_s": NOT_NEGATIVE,
    },
)
def trench_area_m2(
    water_m3: float,
    depth_m: float,
    void_fraction: float,
    rate_m_per_s: float = 0.0,
    fill_time_s: float = 0.0,
) -> float:
    """Base area of a stone trench that holds a volume of water, A = V / (n d + f T).

    Example:
        140 cu ft in 3 ft of stone at 40 %: 117 sq ft, the ordinance's own example.

        >>> round(trench_area_m2(140 * 0.3048**3, 3 * 0.3048, 0.4) / 0.3048**2)
        117
    """
    return water_m3 / (void_fraction * depth_m + rate_m_per_s * fill_time_s)


@formula(
    source="concrete-association",
    section="storage layer",
    valid={"depth_m": NOT_NEGATIVE, "void_fraction": FRACTION},
)
def water_held_m(depth_m: float, void_fraction: float) -> float:
    """Depth of water that a layer holds in its voids."""
    return depth_m * void_fraction


@formula(
    source="water-arithmetic",
    section="wedge of stone under a level water surface",
    valid={"depth_m": NOT_NEGATIVE, "length_m": POSITIVE, "slope_fraction": NOT_NEGATIVE},
)
def mean_usable_depth_m(depth_m: float, length_m: float, slope_fraction: float) -> float:
    """Mean depth that can fill over a sloped base, per cell between check dams.

    The water is level while the base falls: d - s L / 2 while the wedge reaches across the cell,
    d^2 / (2 s L) when it does not.

    Args:
        depth_m: Thickness of the stone.
        length_m: Length of the cell along the fall.
        slope_fraction: Fall of the base, rise over run.

    Example:
        12 in over 20 ft at 2 % keeps 12 - 0.02 x 240 / 2 = 9.6 in.

        >>> round(mean_usable_depth_m(12 * 0.0254, 20 * 0.3048, 0.02) / 0.0254, 3)
        9.6
    """
    fall_m = slope_fraction * length_m
    if fall_m <= depth_m:
        return depth_m - fall_m / 2
    return depth_m**2 / (2 * fall_m)


@formula(
    source="ma-handbook",
    section="volume 3, standard 3",
    valid={"recharge_m": NOT_NEGATIVE, "impervious_m2": NOT_NEGATIVE},
)
def recharge_volume_m3(recharge_m: float, impervious_m2: float) -> float:
    """Volume to be put back into the ground: target depth of the soil group times the paving.

    Example:
        0.6 in over 0.75 acre: 1,633.5 cu ft.

        >>> round(recharge_volume_m3(0.6 * 0.0254, 0.75 * 43560 * 0.3048**2) / 0.3048**3, 1)
        1633.5
    """
    return recharge_m * impervious_m2


@formula(
    source="iowa-checklist",
    section="items 1 to 7",
    valid={"rain_m": NOT_NEGATIVE, "area_m2": NOT_NEGATIVE, "impervious_fraction": FRACTION},
)
def water_quality_volume_m3(rain_m: float, area_m2: float, impervious_fraction: float) -> float:
    """Volume of the small storm that a town wants treated, P (0.05 + 0.9 i) A."""
    return rain_m * (0.05 + 0.9 * impervious_fraction) * area_m2


@formula(
    source="tr-55-memory",
    section="chapter 6, types II and III; good to 25 % either way (HEC-22)",
    valid={"outflow_fraction": Range(0.1, 0.8)},
)
def storage_share(outflow_fraction: float) -> float:
    """First guess of storage over runoff volume for a peak cut to a share of the inflow's peak."""
    x = outflow_fraction
    return 0.682 - 1.43 * x + 1.64 * x**2 - 0.804 * x**3


@formula(
    source="hec-22",
    section="equation 8-1: triangular hydrographs",
    valid={"base_time_s": POSITIVE, "inflow_m3_per_s": POSITIVE, "outflow_m3_per_s": NOT_NEGATIVE},
)
def triangular_storage_m3(
    base_time_s: float, inflow_m3_per_s: float, outflow_m3_per_s: float
) -> float:
    """First guess of storage from the two peaks of triangular hydrographs, V = t (Qi - Qo) / 2."""
    if outflow_m3_per_s > inflow_m3_per_s:
        raise OutOfRange("triangular_storage_m3: the outflow peak is above the inflow peak")
    return 0.5 * base_time_s * (inflow_m3_per_s - outflow_m3_per_s)


@formula(
    source="water-arithmetic",
    section="falling head in a tank of constant area through an orifice",
    valid={
        "area_m2": POSITIVE,
        "from_m": NOT_NEGATIVE,
        "to_m": NOT_NEGATIVE,
        "opening_m2": POSITIVE,
        "discharge_coefficient": Range(0.1, 1.0),
    },
)
def orifice_emptying_time_s(
    area_m2: float,
    from_m: float,
    to_m: float,
    opening_m2: float,
    discharge_coefficient: float = 0.6,
) -> float:
    """Time for the level to fall between two heads, 2 A (sqrt h1 - sqrt h2) / (C a sqrt 2g).

    Args:
        area_m2: Water surface; plan area times voids in stone.
        from_m: Head at the start, above the middle of the opening.
        to_m: Head at the end, not above `from_m`.
        opening_m2: Area of the opening.
        discharge_coefficient: 0.6 for a sharp edge, 0.4 for a ragged one.
    """
    if to_m > from_m:
        raise OutOfRange("orifice_emptying_time_s: the level does not rise while it empties")
    speed = discharge_coefficient * opening_m2 * math.sqrt(2 * 9.80665)
    return 2 * area_m2 * (math.sqrt(from_m) - math.sqrt(to_m)) / speed


@formula(
    source="planter-guide",
    section="planter boxes: flow in over flow out",
    valid={"inflow_m_per_s": NOT_NEGATIVE, "outflow_m_per_s": POSITIVE, "area_m2": NOT_NEGATIVE},
)
def steady_planter_area_m2(inflow_m_per_s: float, outflow_m_per_s: float, area_m2: float) -> float:
    """Area of a planter that takes a steady rain as fast as it comes, a = A in / out.

    Example:
        1 in in 24 h against 0.5 in/h: a twelfth of the roof.

        >>> round(steady_planter_area_m2(1 / 24, 0.5, 1200.0), 6)
        100.0
    """
    return area_m2 * inflow_m_per_s / outflow_m_per_s
