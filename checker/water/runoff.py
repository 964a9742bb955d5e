"""How much water runs off: the rational method and the curve number, peak flow and volume.

The time that water takes to gather is in `concentration`.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

from checker.core.formula import FRACTION, NOT_NEGATIVE, POSITIVE, OutOfRange, Range, formula
from checker.core.records import Record
from checker.core.rounding import rounded
from checker.core.units import FOOT_M, INCH_M

if TYPE_CHECKING:
    from collections.abc import Sequence

Rounding = Literal["nearest integer", "none"]
"""Whether a weighted curve number is rounded before use, as worksheets do, or kept."""

Weighting = Literal["curve number", "runoff"]
"""Whether curve numbers are averaged, or the runoff of each part. The second gives more runoff
where paving and lawn are mixed."""

EXACT_FACTOR: Final = 43560 / (12 * 3600)
"""1 acre-inch per hour in cubic feet per second, 1.00833; handbooks write 1.0 or 1.008."""

_CURVE_NUMBER: Final = Range(0.0, 100.0, low_open=True)
_INCH_MILE2_M3: Final = INCH_M * (5280 * FOOT_M) ** 2


@formula(
    source="hec-22",
    section="equation 3-1, page 3-6",
    valid={
        "runoff_fraction": FRACTION,
        "intensity_m_per_s": NOT_NEGATIVE,
        "area_m2": Range(0.0, 200 * 43560 * FOOT_M**2),
        "unit_factor": Range(1.0, EXACT_FACTOR + 1e-4),
    },
)
def rational_peak_m3_per_s(
    runoff_fraction: float,
    intensity_m_per_s: float,
    area_m2: float,
    unit_factor: float = EXACT_FACTOR,
) -> float:
    """Peak flow of a uniform rain that lasts as long as the time of concentration, Q = C i A.

    Args:
        runoff_fraction: Runoff coefficient C.
        intensity_m_per_s: Mean intensity over the time of concentration, 5 min at least.
        area_m2: Drained area, up to 200 acres.
        unit_factor: The factor that a sheet in cubic feet per second, inches per hour and acres
            used: 1.0, 1.008 or the exact 1.00833. The last is plain arithmetic.

    Example:
        Example 3-3 of the source: C 0.315, 2.3 in/h on 43.3 acres gives 31.4 cu ft/s.

        >>> q = rational_peak_m3_per_s(0.315, 2.3 * 0.0254 / 3600, 43.3 * 43560 * 0.3048**2, 1.0)
        >>> round(q / 0.3048**3, 1)
        31.4
    """
    return runoff_fraction * intensity_m_per_s * area_m2 * unit_factor / EXACT_FACTOR


@formula(source="hec-22", section="equation 3-2, page 3-6")
def weighted_runoff_fraction(areas_m2: Sequence[float], runoff_fractions: Sequence[float]) -> float:
    """Runoff coefficient of a composite area, each part by its area.

    Raises:
        OutOfRange: The lists differ in length, an area is negative or all are 0.
    """
    return _mean(areas_m2, runoff_fractions, "weighted_runoff_fraction")


def _mean(areas_m2: Sequence[float], values: Sequence[float], name: str) -> float:
    total = math.fsum(areas_m2)
    if len(areas_m2) != len(values) or min(areas_m2, default=-1.0) < 0 or not total > 0:
        raise OutOfRange(
            f"{name}: one area of at least 0 is needed for each part, more than 0 in all"
        )
    mean = math.fsum(a * v for a, v in zip(areas_m2, values, strict=True)) / total
    # Rounding must not lift the mean of equal values out of their range.
    return min(max(values), max(min(values), mean))


@formula(
    source="hec-22",
    section="page 3-8, frequency factors; the cap at 1 from memory",
    valid={"runoff_fraction": FRACTION, "return_period_years": POSITIVE},
)
def adjusted_runoff_fraction(runoff_fraction: float, return_period_years: float) -> float:
    """Runoff coefficient raised for a rare storm: 1.10 from 25, 1.20 from 50, 1.25 from 100 years.

    The source prints the factors without endorsing them; the product is capped at 1.

    Example:
        >>> adjusted_runoff_fraction(0.85, 10), round(adjusted_runoff_fraction(0.85, 25), 3)
        (0.85, 0.935)
    """
    factor = 1.0
    for years, larger in ((25, 1.10), (50, 1.20), (100, 1.25)):
        factor = larger if return_period_years >= years else factor
    return min(1.0, runoff_fraction * factor)


@formula(source="tr-55", section="equation 2-4", valid={"curve_number": _CURVE_NUMBER})
def retention_m(curve_number: float) -> float:
    """Most that the ground can still take after runoff began, S = 1000 / CN - 10 inches."""
    return (1000 / curve_number - 10) * INCH_M


@formula(
    source="tr-55",
    section="equation 2-3",
    valid={"rain_m": NOT_NEGATIVE, "curve_number": _CURVE_NUMBER},
)
def runoff_depth_m(rain_m: float, curve_number: float) -> float:
    """Runoff depth of one storm; the first 0.2 S wets and fills and does not run off.

    Args:
        rain_m: Depth of the storm.
        curve_number: 0 to 100. The method is rough for runoff below half an inch.

    Example:
        6 in on curve number 70, table 2-1 of the source: 2.81 in.

        >>> round(runoff_depth_m(6 * 0.0254, 70) / 0.0254, 2)
        2.81
    """
    retained_m = retention_m(curve_number)
    over_m = rain_m - 0.2 * retained_m
    return over_m**2 / (rain_m + 0.8 * retained_m) if over_m > 0 else 0.0


@formula(source="tr-55", section="worksheet 2; rounding is a setting")
def weighted_curve_number(
    areas_m2: Sequence[float],
    curve_numbers: Sequence[float],
    rounding: Rounding = "nearest integer",
) -> float:
    """Curve number of a mixed area, each part by its area.

    Args:
        areas_m2: Area of each part, >= 0.
        curve_numbers: Curve number of each part.
        rounding: Worksheets of the source round to the nearest integer before the runoff.

    Raises:
        OutOfRange: The lists differ in length or the area is 0.
    """
    mean = _mean(areas_m2, curve_numbers, "weighted_curve_number")
    return rounded(mean, 1.0, "nearest") if rounding == "nearest integer" else mean


class Cover(Record):
    """A part of a catchment with one curve number."""

    area_m2: float
    curve_number: float


@formula(source="tr-55", section="worksheet 2; both ways of weighting are settings")
def mixed_runoff_depth_m(
    rain_m: float,
    covers: Sequence[Cover],
    *,
    weighting: Weighting = "curve number",
    rounding: Rounding = "nearest integer",
) -> float:
    """Runoff depth over a mixed area, by one mean curve number or by the runoff of each part."""
    areas_m2 = [cover.area_m2 for cover in covers]
    if weighting == "runoff":
        depths_m = [runoff_depth_m(rain_m, cover.curve_number) for cover in covers]
        return _mean(areas_m2, depths_m, "mixed_runoff_depth_m")
    numbers = [cover.curve_number for cover in covers]
    return runoff_depth_m(rain_m, weighted_curve_number(areas_m2, numbers, rounding))


@formula(
    source="tr-55-memory",
    section="figures 2-3 and 2-4, as formulas",
    valid={
        "pervious_number": _CURVE_NUMBER,
        "impervious_fraction": FRACTION,
        "unconnected_fraction": FRACTION,
    },
)
def composite_curve_number(
    pervious_number: float, impervious_fraction: float, unconnected_fraction: float = 0.0
) -> float:
    """Curve number of lawn and paving together, CNp + i (98 - CNp) (1 - R / 2).

    Give the number of the open ground. A number from a table of house lots already holds paving:
    paving counted on it again is counted twice.

    Args:
        pervious_number: Curve number of the unpaved part.
        impervious_fraction: Share of the area that is impervious.
        unconnected_fraction: Share R of the impervious part that drains over open ground.

    Raises:
        OutOfRange: Paving drains over open ground and is 30 % of the area or more; there the
            source has no figure and counts all of it as connected.

    Example:
        >>> composite_curve_number(74, 0.25, 0.5)
        78.5
    """
    if unconnected_fraction > 0 and impervious_fraction >= 0.30:
        raise OutOfRange(
            f"composite_curve_number: impervious_fraction = {impervious_fraction:g} is not below "
            "0.3, the range of figure 2-4 of tr-55 for paving that drains over open ground"
        )
    gain = impervious_fraction * (98 - pervious_number)
    return pervious_number + gain * (1 - 0.5 * unconnected_fraction)


@formula(
    source="tr-55-memory",
    section="conversion of curve numbers to dry and wet ground",
    valid={"curve_number": _CURVE_NUMBER},
)
def curve_number_for_wetness(
    curve_number: float, wetness: Literal["dry", "average", "wet"]
) -> float:
    """Curve number for dry (I), average (II) or wet (III) ground before the storm."""
    if wetness == "dry":
        return 4.2 * curve_number / (10 - 0.058 * curve_number)
    if wetness == "wet":
        return 23 * curve_number / (10 + 0.13 * curve_number)
    return curve_number


class PeakRow(Record):
    """A row of the table of unit peaks: coefficients for a share of initial loss."""

    initial_fraction: float
    c0: float
    c1: float
    c2: float


@formula(
    source="hec-22",
    section="equation 3-18 and table 3-7",
    valid={
        "concentration_s": Range(0.1 * 3600, 10 * 3600),
        "initial_fraction": Range(0.1, 0.5),
    },
)
def unit_peak_per_s(
    concentration_s: float, initial_fraction: float, rows: Sequence[PeakRow]
) -> float:
    """Peak flow for each volume of runoff, 1/s; straight lines between rows of the table.

    Args:
        concentration_s: Time of concentration, 0.1 to 10 hours.
        initial_fraction: Initial loss over rain, Ia / P, from 0.1 to 0.5.
        rows: Table rows of the storm type, rising in `initial_fraction`.

    Raises:
        OutOfRange: An argument, or the share of initial loss, lies outside the table.
    """
    for low, high in pairwise(rows):
        if low.initial_fraction <= initial_fraction <= high.initial_fraction:
            width = high.initial_fraction - low.initial_fraction
            share = (initial_fraction - low.initial_fraction) / width
            left, right = _unit_peak(concentration_s, low), _unit_peak(concentration_s, high)
            return left + share * (right - left)
    raise OutOfRange(
        f"unit_peak_per_s: initial_fraction = {initial_fraction:g} is not in the table"
    )


def _unit_peak(concentration_s: float, row: PeakRow) -> float:
    log_hours = math.log10(concentration_s / 3600)
    csm_per_inch = 10 ** (row.c0 + row.c1 * log_hours + row.c2 * log_hours**2)
    return csm_per_inch * FOOT_M**3 / _INCH_MILE2_M3


@formula(
    source="hec-22",
    section="equation 3-17",
    valid={
        "runoff_m": NOT_NEGATIVE,
        "area_m2": NOT_NEGATIVE,
        "pond_factor_fraction": FRACTION,
    },
)
def graphical_peak_m3_per_s(
    unit_peak_per_s: float, runoff_m: float, area_m2: float, pond_factor_fraction: float = 1.0
) -> float:
    """Peak flow of the graphical method, qp = qu A Q Fp.

    Args:
        unit_peak_per_s: From `unit_peak_per_s`.
        runoff_m: Runoff depth of the 24-hour storm, for a curve number of 40 or more.
        area_m2: Area of the catchment.
        pond_factor_fraction: Less than 1 where ponds and swamps lie in the catchment.
    """
    return unit_peak_per_s * runoff_m * area_m2 * pond_factor_fraction


@formula(
    source="hec-22",
    section="example 3-5: initial loss 0.2 S",
    valid={"rain_m": POSITIVE, "curve_number": Range(40.0, 100.0)},
)
def initial_loss_fraction(rain_m: float, curve_number: float) -> float:
    """Initial loss over rain, Ia / P; the graphical method takes 0.1 for less and stops at 0.5."""
    return 0.2 * retention_m(curve_number) / rain_m
