"""A traverse: courses worked out, their corners, closure, and how an error is spread."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.formula import NOT_NEGATIVE, POSITIVE, formula
from checker.core.records import Record
from checker.core.showing import length_in, show_number
from checker.site.model import Closure

if TYPE_CHECKING:
    from checker.site.arcs import XY
    from checker.site.clean import Notes

HOPELESS_PRECISION: Final = 100.0
"""A boundary that closes worse than 1 in 100 has a course that was typed wrongly."""
DOUBTFUL_PRECISION: Final = 5000.0
"""Worse than 1 in 5,000 is told, where the file names no closure of its own."""


class Leg(Record, kw_only=True):
    """One course, worked out.

    Attributes:
        azimuth_degrees: Direction of the line or of the chord, clockwise from north.
        chord_m: Straight length from end to end.
        length_m: Length along the course.
        delta_rad: Central angle, positive to the left; 0 for a line.
        radius_m: Of a curve.
    """

    azimuth_degrees: float
    chord_m: float
    length_m: float
    delta_rad: float = 0.0
    radius_m: float = math.inf


@formula(
    source="traverse-course-page",
    section="latitude = L cos Az, departure = L sin Az",
    valid={"length_m": NOT_NEGATIVE},
)
def latitude_and_departure_m(length_m: float, azimuth_degrees: float) -> XY:
    """How far a straight course goes north and how far east, metres.

    Args:
        length_m: Its length, >= 0.
        azimuth_degrees: Its direction clockwise from north.
    """
    angle_rad = math.radians(azimuth_degrees)
    return length_m * math.cos(angle_rad), length_m * math.sin(angle_rad)


@formula(
    source="traverse-course-page",
    section="compass rule: correction = - error x length so far / perimeter",
    valid={"perimeter_m": POSITIVE, "so_far_m": NOT_NEGATIVE},
)
def compass_correction_m(error_m: float, so_far_m: float, perimeter_m: float) -> float:
    """What is added to a coordinate of a corner, metres.

    Args:
        error_m: Sum of the latitudes, or of the departures.
        so_far_m: Length of the courses up to the corner.
        perimeter_m: Length of all courses, > 0.
    """
    return -error_m * so_far_m / perimeter_m


def corners(legs: list[Leg]) -> list[XY]:
    """The corners as (east, north) from the point of beginning; the last one shows the error."""
    east_m = north_m = 0.0
    found = [(0.0, 0.0)]
    for leg in legs:
        latitude_m, departure_m = latitude_and_departure_m(leg.chord_m, leg.azimuth_degrees)
        east_m, north_m = east_m + departure_m, north_m + latitude_m
        found.append((east_m, north_m))
    return found


def closure_of(legs: list[Leg], balance: str = "none") -> Closure:
    """How well courses close."""
    return Closure(
        error_m=math.hypot(*corners(legs)[-1]),
        perimeter_m=math.fsum(leg.length_m for leg in legs),
        balance=balance,
    )


def balanced(points: list[XY], legs: list[Leg], perimeter_m: float) -> list[XY]:
    """Corners with the closing error spread in proportion to the lengths of the courses."""
    error_x_m, error_y_m = points[-1]
    so_far_m = 0.0
    found = [points[0]]
    for (x_m, y_m), leg in zip(points[1:], legs, strict=True):
        so_far_m += leg.length_m
        found.append((
            x_m + compass_correction_m(error_x_m, so_far_m, perimeter_m),
            y_m + compass_correction_m(error_y_m, so_far_m, perimeter_m),
        ))  # fmt: skip
    return found


def closure_text(closure: Closure, notes: Notes) -> str:
    """The closing error and precision in words."""
    return (
        f"closes within {notes.length(closure.error_m)} in "
        f"{length_in(closure.perimeter_m, notes.unit, 2)}, "
        f"1 in {show_number(closure.precision, 0)}"
    )
