"""How long water takes to gather: over the surface, in shallow streams and in channels."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.formula import NOT_NEGATIVE, POSITIVE, OutOfRange, Range, formula
from checker.core.units import FOOT_M, INCH_M, same

if TYPE_CHECKING:
    from collections.abc import Callable

_SLOPE: Final = Range(0.0, 1.0, low_open=True)
_SHEET_M: Final = Range(0.0, 300 * FOOT_M)

SHORTEST_S: Final = 300.0
"""Rational peaks are taken with five minutes at least (HEC-22, page 4-68)."""


@formula(
    source="hec-22",
    section="equation 3-3, page 3-10",
    valid={
        "length_m": Range(0.0, 400 * FOOT_M),
        "overland_coefficient": POSITIVE,
        "slope_fraction": _SLOPE,
        "intensity_m_per_s": POSITIVE,
    },
)
def sheet_flow_time_s(
    length_m: float, overland_coefficient: float, slope_fraction: float, intensity_m_per_s: float
) -> float:
    """Time of sheet flow by the kinematic wave, t = 0.933 / i^0.4 (n L / sqrt S)^0.6 minutes.

    Args:
        length_m: Length of the sheet, rarely over 400 ft and often under 80 ft.
        overland_coefficient: Roughness for sheet flow, not for pipes.
        slope_fraction: Rise over run.
        intensity_m_per_s: Intensity for that very time; see `matched_sheet_flow_time_s`.

    Example:
        Example 3-2 of the source: 223 ft of grass, n 0.41, 0.5 %, 2.7 in/h gives 46.2 min.

        >>> t = sheet_flow_time_s(223 * 0.3048, 0.41, 0.005, 2.7 * 0.0254 / 3600)
        >>> round(t / 60, 1)
        46.2
    """
    in_per_h = intensity_m_per_s / INCH_M * 3600
    wave = (overland_coefficient * length_m / FOOT_M / math.sqrt(slope_fraction)) ** 0.6
    return float(0.933 / in_per_h**0.4 * wave * 60)


def matched_sheet_flow_time_s(
    length_m: float,
    overland_coefficient: float,
    slope_fraction: float,
    intensity_for_m_per_s: Callable[[float], float],
) -> float:
    """Sheet-flow time whose rain intensity belongs to that same time, found by repetition.

    Args:
        length_m: Length of the sheet.
        overland_coefficient: Roughness for sheet flow.
        slope_fraction: Rise over run.
        intensity_for_m_per_s: Intensity for a duration in seconds, e.g. from a table; asked
            for `SHORTEST_S` at least.

    Raises:
        OutOfRange: The repetition does not settle, or asks outside the table.
    """
    time_s = SHORTEST_S
    for _ in range(200):
        intensity = intensity_for_m_per_s(max(SHORTEST_S, time_s))
        found_s = sheet_flow_time_s(length_m, overland_coefficient, slope_fraction, intensity)
        if same(found_s, time_s):
            return found_s
        time_s = found_s
    raise OutOfRange("matched_sheet_flow_time_s: time and intensity do not settle on each other")


@formula(
    source="tr-55",
    section="equation 3-3",
    valid={
        "length_m": _SHEET_M,
        "overland_coefficient": POSITIVE,
        "slope_fraction": _SLOPE,
        "two_year_day_rain_m": POSITIVE,
    },
)
def sheet_flow_time_by_day_rain_s(
    length_m: float, overland_coefficient: float, slope_fraction: float, two_year_day_rain_m: float
) -> float:
    """Time of sheet flow, T = 0.007 (n L)^0.8 / (P2^0.5 S^0.4) hours.

    Args:
        length_m: Length, up to 300 ft in the edition of 1986; 100 ft is usual now (from memory).
        overland_coefficient: Roughness for sheet flow.
        slope_fraction: Rise over run.
        two_year_day_rain_m: Depth of the 2-year 24-hour rain.
    """
    path = (overland_coefficient * length_m / FOOT_M) ** 0.8
    return float(
        0.007 * path / ((two_year_day_rain_m / INCH_M) ** 0.5 * slope_fraction**0.4) * 3600
    )


@formula(
    source="hec-22",
    section="equation 3-4 and table 3-3, page 3-11",
    valid={"intercept_coefficient": Range(0.0, 1.0, low_open=True), "slope_fraction": _SLOPE},
)
def shallow_velocity_m_per_s(intercept_coefficient: float, slope_fraction: float) -> float:
    """Speed of shallow concentrated flow, V = k sqrt(S in per cent) m/s.

    Args:
        intercept_coefficient: k by cover, from the table: paved 0.619, unpaved 0.491, grassed
            waterway 0.457, short grass 0.213, bare 0.305.
        slope_fraction: Rise over run.

    Example:
        Example 3-2 of the source: k 0.457 at 0.6 % gives 1.16 ft/s.

        >>> round(shallow_velocity_m_per_s(0.457, 0.006) * 3.28, 2)
        1.16
    """
    return intercept_coefficient * math.sqrt(slope_fraction * 100)


@formula(
    source="hec-22",
    section="Kirpich equation, in feet and minutes",
    valid={"length_m": NOT_NEGATIVE, "slope_fraction": _SLOPE},
)
def channel_time_s(length_m: float, slope_fraction: float) -> float:
    """Time down a small natural channel (Kirpich), t = 0.0078 L^0.77 S^-0.385 minutes."""
    return float(0.0078 * (length_m / FOOT_M) ** 0.77 * slope_fraction**-0.385 * 60)


@formula(
    source="txdot-manual",
    section="Kerby equation; coefficients of cover from memory",
    valid={
        "length_m": Range(0.0, 1200 * FOOT_M),
        "retardance_coefficient": Range(0.02, 0.80),
        "slope_fraction": _SLOPE,
    },
)
def overland_time_s(length_m: float, retardance_coefficient: float, slope_fraction: float) -> float:
    """Time over the ground (Kerby), t = 0.828 (L N)^0.467 S^-0.235 minutes.

    Args:
        length_m: Length, up to about 1,200 ft.
        retardance_coefficient: 0.02 smooth pavement, 0.10 bare, 0.20 poor grass, 0.40 grass,
            0.80 dense grass.
        slope_fraction: Rise over run.
    """
    return float(
        0.828 * (length_m / FOOT_M * retardance_coefficient) ** 0.467 * slope_fraction**-0.235 * 60
    )
