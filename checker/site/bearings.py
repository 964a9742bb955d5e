"""Bearings and distances of boundary lines, as surveyors write and as people type them."""

from __future__ import annotations

import math


def bearing_text(azimuth_degrees: float) -> str:
    """A direction clockwise from north as a quadrant bearing to the second.

    Example:
        >>> print(bearing_text(104.58333333))
        S 75°25'00" E
    """
    seconds_count = round(azimuth_degrees * 3600) % (360 * 3600)
    quarter, rest = divmod(seconds_count, 90 * 3600)
    if quarter in {1, 3}:
        rest = 90 * 3600 - rest
    # On an axis two quadrants would do; one is chosen, so that a line has one label.
    if rest == 90 * 3600 and quarter == 1:
        quarter = 0
    letters = (("N", "E"), ("S", "E"), ("S", "W"), ("N", "W"))[quarter]
    if rest == 0 and quarter == 2:
        letters = ("S", "E")
    degrees, rest = divmod(rest, 3600)
    minutes, seconds = divmod(rest, 60)
    return f"{letters[0]} {degrees:02d}°{minutes:02d}'{seconds:02d}\" {letters[1]}"


def azimuth_degrees(dx_m: float, dy_m: float, north_degrees: float) -> float:
    """The direction of a line clockwise from north, 0 up to 360."""
    return (math.degrees(math.atan2(dx_m, dy_m)) - north_degrees) % 360
