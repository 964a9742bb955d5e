"""Geotextiles by their properties: which limits a soil asks for, openings, and laps.

Two published tables of limits contradict each other (0.60 mm against 0.25 mm openings on a soil
with 15 to 50 % fines). They are kept apart: a caller hands in the rows of one, never a blend.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.formula import FRACTION, POSITIVE, Range, formula
from checker.core.records import Record
from checker.core.units import meets

if TYPE_CHECKING:
    from collections.abc import Iterable

FINES_FOR_NO_FABRIC_ALONE_FRACTION: Final = 0.85
"""From this share of fines on, a fabric alone is no filter (military drainage manual, 12.6)."""


class FabricLimits(Record, kw_only=True):
    """One row of a published table: for soils in a span of fines, what the fabric must have.

    Attributes:
        fines_above_fraction: The share passing the No. 200 sieve from which the row holds.
        fines_to_fraction: The share up to which it holds.
        above_included: Whether the lower end itself belongs to this row.
        to_included: Whether the upper end itself belongs to this row.
        opening_at_most_m: The largest apparent opening size, metres.
        permittivity_at_least_per_s: The least permittivity, per second; None if not readable.
        woven_allowed: Whether a woven fabric may be used.
        open_area_at_least_fraction: For woven fabrics, the least share of open area; None if none.
    """

    fines_above_fraction: float
    fines_to_fraction: float
    above_included: bool
    to_included: bool
    opening_at_most_m: float
    permittivity_at_least_per_s: float | None
    woven_allowed: bool
    open_area_at_least_fraction: float | None

    def covers(self, fines_fraction: float) -> bool:
        """Whether a soil with this share of fines falls in the row."""
        above = meets(
            fines_fraction,
            self.fines_above_fraction,
            "at least" if self.above_included else "more than",
        )
        below = meets(
            fines_fraction, self.fines_to_fraction, "at most" if self.to_included else "less than"
        )
        return above and below


def limits_for(fines_fraction: float, rows: Iterable[FabricLimits]) -> FabricLimits | None:
    """The row of one table that a soil falls in; None where the table is silent."""
    return next((row for row in rows if row.covers(fines_fraction)), None)


@formula(
    source="fhwa-geosynthetics",
    section="retention, steady flow",
    valid={"uniformity_ratio": Range(1.0), "fines_fraction": FRACTION},
)
def retention_coefficient(uniformity_ratio: float, fines_fraction: float, *, woven: bool) -> float:
    """The B in "opening at most B times D85 of the soil", for steady flow out of the soil.

    Up to half fines it follows how widely the soil is graded: 1 for a uniformity coefficient up to
    2 or from 8 on, half the coefficient from 2 to 4, and 8 over it from 4 to 8. Above half fines it
    is 1 for woven and 1.8 for nonwoven fabrics. From memory: verify before relying on it.

    Example:
        By hand: half of 3.

        >>> retention_coefficient(3.0, 0.30, woven=False)
        1.5
    """
    if not meets(fines_fraction, 0.5, "at most"):
        return 1.0 if woven else 1.8
    if uniformity_ratio <= 2 or uniformity_ratio >= 8:
        return 1.0
    return 0.5 * uniformity_ratio if uniformity_ratio <= 4 else 8 / uniformity_ratio


@formula(
    source="fhwa-geosynthetics",
    section="retention, steady flow",
    valid={"d85_soil_m": POSITIVE, "retention_ratio": POSITIVE, "fines_fraction": FRACTION},
)
def opening_limit_m(d85_soil_m: float, retention_ratio: float, fines_fraction: float) -> float:
    """The largest apparent opening that still holds a soil; never above 0.3 mm over half fines.

    Example:
        By hand: 1.5 x 0.30 mm.

        >>> round(opening_limit_m(0.0003, 1.5, 0.30) * 1000, 3)
        0.45
    """
    limit_m = retention_ratio * d85_soil_m
    return limit_m if meets(fines_fraction, 0.5, "at most") else min(limit_m, 0.3e-3)


@formula(
    source="ufc-3-270-04",
    section="12.6, granular soil with less than half fines: D85 over opening at least 1",
    valid={"d85_soil_m": POSITIVE, "opening_m": POSITIVE, "fines_fraction": Range(0.0, 0.5)},
)
def soil_opening_ratio(d85_soil_m: float, opening_m: float, fines_fraction: float) -> float:
    """D85 of a granular soil over the apparent opening of the fabric; at least 1 holds it.

    Example:
        By hand: 0.3 mm over 0.22 mm.

        >>> round(soil_opening_ratio(0.0003, 0.00022, 0.2), 2)
        1.36
    """
    del fines_fraction
    return d85_soil_m / opening_m


class LapRow(Record, kw_only=True):
    """One row of a lap table: soils with a bearing ratio above a value, and their side lap."""

    bearing_ratio_above: float
    lap_least_m: float
    lap_most_m: float
    sewn: bool


def lap_for(bearing_ratio: float, rows: Iterable[LapRow]) -> LapRow | None:
    """The side lap for a subgrade of a given CBR in per cent; None where the table is silent.

    Rows may come in any order; the firmest row whose value the soil exceeds is taken.
    """
    below = [row for row in rows if meets(bearing_ratio, row.bearing_ratio_above, "more than")]
    return max(below, key=lambda row: row.bearing_ratio_above, default=None)
