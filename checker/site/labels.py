"""Boundary lines as surveyors write them: bearing and distance, or the data of a curve."""

from __future__ import annotations

import math

from checker.core.showing import show_number, system_of
from checker.core.units import UNIT
from checker.site.arcs import STRAIGHT_BULGE, XY, arc
from checker.site.bearings import angle_text, azimuth_degrees, bearing_text


def label(start: XY, end: XY, bulge: float, unit: str, north_degrees: float) -> str:
    """Bearing and distance of a line, or the data of an arc, in the unit of the file.

    Lengths have two decimals in feet, three in metres.
    """
    dx_m, dy_m = end[0] - start[0], end[1] - start[1]
    bearing = bearing_text(azimuth_degrees(dx_m, dy_m, north_degrees))
    chord = distance_text(math.hypot(dx_m, dy_m), unit)
    if abs(bulge) < STRAIGHT_BULGE:
        return f"{bearing} {chord}"
    found = arc(start, end, bulge)
    turn = "left" if bulge > 0 else "right"
    return curve_text(turn, found.radius_m, abs(found.turn_rad), bearing, unit)


def curve_text(turn: str, radius_m: float, turn_rad: float, chord_bearing: str, unit: str) -> str:
    """The data of an arc: radius, arc length, central angle, chord bearing and chord."""
    delta = angle_text(round(math.degrees(turn_rad) * 3600))
    return (
        f"curve {turn} R {distance_text(radius_m, unit)} "
        f"L {distance_text(radius_m * turn_rad, unit)} Δ {delta} "
        f"chord {chord_bearing} {distance_text(2 * radius_m * math.sin(turn_rad / 2), unit)}"
    )


def distance_text(length_m: float, unit: str) -> str:
    """A boundary length: 285.10' in feet, 86.898 m in metres."""
    if system_of(unit) == "metric":
        return f"{show_number(length_m, 3)} m"
    size_m = UNIT["us survey ft"].size_si if unit == "us survey ft" else UNIT["ft"].size_si
    return f"{show_number(length_m / size_m, 2)}'"
