"""Which slip of the pen would explain that a boundary does not close.

A blunder in one course leaves a closing error that this course alone can mend: its length, when the
error lies along it, or its bearing, when it lies across. The slips tried are those that happen:
a digit mistaken, two digits swapped, E for W, N for S, a call that runs the neighbour's way.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.records import replace
from checker.core.units import UNIT
from checker.site.bearings import bearing_text
from checker.site.labels import distance_text
from checker.site.traverse import DOUBTFUL_PRECISION, Leg, closure_of, corners

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_SUSPECTS: Final = 2
"""Where more courses than this could be the one, none is named."""


def suspect(legs: list[Leg], unit: str) -> str:
    """The one or two courses that make the boundary close when they are read another way.

    Args:
        legs: The courses, worked out.
        unit: The unit of the file, in which the digits of a length were typed.

    Returns:
        A sentence without its full stop; empty where no slip explains the error, or too many do.
    """
    east_m, north_m = corners(legs)[-1]
    found: dict[int, str] = {}
    for number, leg in enumerate(legs, 1):
        angle_rad = math.radians(leg.azimuth_degrees)
        # What this course would have to be for the boundary to close.
        need_east = leg.chord_m * math.sin(angle_rad) - east_m
        need_north = leg.chord_m * math.cos(angle_rad) - north_m
        for other, says in _slips(leg, need_east, need_north, unit):
            changed = [*legs[: number - 1], other, *legs[number:]]
            if closure_of(changed).precision > DOUBTFUL_PRECISION:
                found.setdefault(number, f"course {number} {says}")
                break
    if not 0 < len(found) <= MOST_SUSPECTS:
        return ""
    return f"it would close if {', or if '.join(found.values())}; compare it with the deed"


def _slips(leg: Leg, need_east: float, need_north: float, unit: str) -> Iterator[tuple[Leg, str]]:
    for way, azimuth in (
        ("ran the other way", leg.azimuth_degrees + 180),
        ("had E for W, or W for E", -leg.azimuth_degrees),
        ("had N for S, or S for N", 180 - leg.azimuth_degrees),
    ):
        yield replace(leg, azimuth_degrees=azimuth % 360), way
    if leg.delta_rad:
        return
    length_m = math.hypot(need_east, need_north)
    if length_m <= 0:
        return
    need_degrees = math.degrees(math.atan2(need_east, need_north)) % 360
    given = distance_text(leg.length_m, unit)
    for digits in _mistaken(_digits(leg.length_m, unit)):
        other_m = float(digits) * _size_m(unit)
        if other_m > 0 and math.fabs(other_m - length_m) < length_m / 100:
            other = replace(leg, chord_m=other_m, length_m=other_m)
            yield other, f"were {distance_text(other_m, unit)} long, not {given}"
    given = bearing_text(leg.azimuth_degrees)
    for text, azimuth in _bearings(given):
        if math.fabs(math.remainder(azimuth - need_degrees, 360)) < 1:
            yield replace(leg, azimuth_degrees=azimuth), f"ran {text}, not {given}"


def _size_m(unit: str) -> float:
    if unit in {"m", "cm", "mm", "km"}:
        return 1.0
    return UNIT["us survey ft"].size_si if unit == "us survey ft" else UNIT["ft"].size_si


def _digits(length_m: float, unit: str) -> str:
    return f"{length_m / _size_m(unit):.{3 if _size_m(unit) == 1.0 else 2}f}"


def _mistaken(text: str) -> Iterator[str]:
    """A number with one digit mistaken, two neighbours swapped, or one left out or doubled."""
    at = [index for index, char in enumerate(text) if char.isdigit()]
    for index in at:
        for digit in "0123456789":
            if digit != text[index]:
                yield f"{text[:index]}{digit}{text[index + 1 :]}"
    for first, second in pairwise(at):
        if text[first] != text[second]:
            swapped = list(text)
            swapped[first], swapped[second] = text[second], text[first]
            yield "".join(swapped)
    whole = text.index(".") if "." in text else len(text)
    for index in at:
        if index < whole and whole > 1:
            yield text[:index] + text[index + 1 :]
    for digit in "0123456789":
        for index in range(whole + 1):
            yield f"{text[:index]}{digit}{text[index:]}"


def _bearings(given: str) -> Iterator[tuple[str, float]]:
    """A quadrant bearing with a digit mistaken or two swapped, where that is a bearing still."""
    from checker.site.bearings import UnreadableCourse, angle_degrees, quadrant_degrees

    first, angle, last = given[0], given[2:-2], given[-1]
    for text in _mistaken(angle):
        if len(text) != len(angle):
            continue
        try:
            azimuth = quadrant_degrees(first, angle_degrees(text, "ask", 90), last)
        except UnreadableCourse:
            continue
        yield f"{first} {text} {last}", azimuth
