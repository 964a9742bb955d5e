"""Rain depths and intensities from a depth-duration-frequency table, or from a fitted curve.

How a table is read from text is in `atlas`; how a depth becomes a storm is in `storms`.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from typing import Final

from checker.core.formula import NOT_NEGATIVE, POSITIVE, OutOfRange, Range, formula
from checker.core.records import Record
from checker.core.units import INCH_M, same

_HOUR_S: Final = 3600.0


class DepthTable(Record, kw_only=True):
    """Rain depth by duration and return period, as a weather service prints it.

    Attributes:
        durations_s: Rising, at least two.
        return_periods_years: Rising, the columns.
        depths_m: One row for each duration, one depth > 0 for each return period.
        title: Where the table is for; for the report.
    """

    durations_s: tuple[float, ...]
    return_periods_years: tuple[float, ...]
    depths_m: tuple[tuple[float, ...], ...]
    title: str = ""


@formula(source="water-practice", section="straight line between logarithms of both")
def rain_depth_m(table: DepthTable, duration_s: float, return_period_years: float) -> float:
    """Depth of rain of a duration, between the rows of a table only.

    Rows are joined by straight lines on logarithmic axes of duration and depth. Return periods
    are the table's own columns: none is made up between them.

    Raises:
        OutOfRange: The duration lies outside the table, or the return period is no column.

    Example:
        20 minutes between 15 min (1.38 in) and 30 min (1.91 in):

        >>> table = DepthTable(durations_s=(900.0, 1800.0), return_periods_years=(10.0,),
        ...                    depths_m=((1.38 * 0.0254,), (1.91 * 0.0254,)))
        >>> round(rain_depth_m(table, 1200.0, 10.0) / 0.0254, 3)
        1.579
    """
    column = _column(table, return_period_years)
    durations = table.durations_s
    for row, duration in enumerate(durations):
        if same(duration_s, duration):
            return table.depths_m[row][column]
    if not durations[0] < duration_s < durations[-1]:
        raise OutOfRange(
            f"rain_depth_m: a duration of {duration_s / 60:g} min is outside the table, "
            f"{durations[0] / 60:g} to {durations[-1] / 60:g} min"
        )
    above = bisect_left(durations, duration_s)
    left, right = durations[above - 1], durations[above]
    low, high = table.depths_m[above - 1][column], table.depths_m[above][column]
    share = math.log(duration_s / left) / math.log(right / left)
    return float(low * (high / low) ** share)


def _column(table: DepthTable, return_period_years: float) -> int:
    for column, years in enumerate(table.return_periods_years):
        if same(years, return_period_years):
            return column
    held = ", ".join(f"{years:g}" for years in table.return_periods_years)
    raise OutOfRange(
        f"rain_depth_m: a return period of {return_period_years:g} years is not in the table, "
        f"which has {held}"
    )


def rain_intensity_m_per_s(
    table: DepthTable, duration_s: float, return_period_years: float
) -> float:
    """Mean intensity over a duration: the depth of `rain_depth_m` over the duration."""
    return rain_depth_m(table, duration_s, return_period_years) / duration_s


@formula(
    source="course-notes-conduits",
    section="intensity as an equation",
    valid={
        "duration_s": POSITIVE,
        "b_in_per_h": POSITIVE,
        "offset_s": NOT_NEGATIVE,
        "exponent_number": Range(0.0, 2.0),
    },
)
def fitted_intensity_m_per_s(
    duration_s: float, b_in_per_h: float, offset_s: float, exponent_number: float
) -> float:
    """Intensity from a curve fitted to a local table, i = B / (t + D)^E.

    Use it only between the shortest and the longest duration of the table it was fitted to.

    Args:
        duration_s: The duration, > 0.
        b_in_per_h: B, for an intensity in inches per hour and minutes.
        offset_s: D, which the source gives in minutes.
        exponent_number: E.

    Example:
        >>> round(fitted_intensity_m_per_s(600.0, 54.82, 9.21 * 60, 0.884) / 0.0254 * 3600, 4)
        4.0207
    """
    return float(b_in_per_h / ((duration_s + offset_s) / 60) ** exponent_number * INCH_M / _HOUR_S)


@formula(
    source="water-practice",
    section="one inch an hour on one square foot is 0.01039 gallons a minute",
    valid={"rain_m_per_s": NOT_NEGATIVE, "area_m2": NOT_NEGATIVE},
)
def rain_on_area_m3_per_s(rain_m_per_s: float, area_m2: float) -> float:
    """Flow of rain that falls on a surface and wholly runs off, e.g. a roof.

    Example:
        >>> gallon_per_min = 231 * 0.0254**3 / 60
        >>> round(rain_on_area_m3_per_s(0.0254 / 3600, 0.3048**2) / gallon_per_min, 5)
        0.01039
    """
    return rain_m_per_s * area_m2
