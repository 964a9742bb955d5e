"""Bearings and angles, as surveyors write them and as people type them.

The signs may be typed or plain: N 26°10'00" E, N26-10-00E, N 26d10m E, N 26 10 00 E, N 26.1667° E,
due north, azimuth 104°35'. A bare 26.1000 could be degrees or packed degrees, minutes and seconds
(26.1000 for 26°10'00"); it is refused unless the file says which, or only one of the two is
possible.
"""

from __future__ import annotations

import math
import re
from typing import Final, Literal

from checker.core.problems import CheckerError

BareAngles = Literal["decimal", "packed", "ask"]
"""What an angle such as 26.1000 means: degrees, or degrees with minutes and seconds packed."""


class UnreadableCourse(CheckerError):
    """A text is not a course, or leaves a doubt. The text after the semicolon says what to do."""


_SIGNS: Final = str.maketrans(
    dict.fromkeys("\u00ba\u02da", "\u00b0")
    | dict.fromkeys("\u2018\u2019\u2032\u00b4`", "'")
    | dict.fromkeys("\u201c\u201d\u2033", '"')
    | dict.fromkeys("\u2010\u2011\u2013\u2212", "-")
    | dict.fromkeys("\u0394\u2206", " delta ")
    | {"\u00a0": " "}
)
"""Degree, minute, second and minus signs that word processors put in, to the plain ones."""

ANGLE: Final = (
    r"(?P<{0}degrees>\d{{1,3}}(?:\.\d*)?)"
    r"(?:\s*(?P<{0}mark>°|d(?:eg(?:s|rees?)?)?\.?(?![a-df-vx-z])|-|:|\s(?=\s*\d))[\s,]*(?:and\s+)?"
    r"(?:(?P<{0}minutes>\d{{1,2}}(?:\.\d*)?)\s*"
    r"(?:'|m(?:in(?:s|utes?)?)?\.?(?![a-df-vx-z])|-|:|\s(?=\s*\d)|(?=\s*\.?\s*[EW]))?"
    r"[\s,]*(?:and\s+)?"
    r"(?:(?P<{0}seconds>\d{{1,2}}(?:\.\d*)?)\s*"
    r"(?:\"|'|s(?:ec(?:s|onds?)?)?\.?(?![a-df-vx-z]))?)?)?)?"
)
"""An angle with named parts; `{0}` is a prefix, so that a pattern may hold several."""


def plain(text: str) -> str:
    """A text with the many kinds of degree, minute and quote signs made one."""
    return text.translate(_SIGNS).replace("%%d", "°").replace("%%D", "°").replace("''", '"')


def angle_degrees(text: str, bare: BareAngles, highest: float) -> float:
    """An angle in degrees.

    Args:
        text: As typed, signs already plain.
        bare: What a number with neither sign nor separator means.
        highest: The largest angle that makes sense, degrees.

    Raises:
        UnreadableCourse: It is no angle, is too large, or could mean two things.
    """
    match = re.fullmatch(ANGLE.format(""), text.strip(), re.IGNORECASE)
    if match is None:
        raise UnreadableCourse(f"'{text.strip()}' is not an angle; write it like 26°10'00\"")
    whole, minutes, seconds = match["degrees"], match["minutes"], match["seconds"]
    if minutes is not None and "." in whole:
        raise UnreadableCourse(f"'{text.strip()}' has both decimals and minutes; use one of them")
    if minutes is None and not match["mark"] and "." in whole:
        found = _bare(whole, bare, highest)
    else:
        parts = [float(minutes or 0), float(seconds or 0)]
        if max(parts) >= 60:
            raise UnreadableCourse(
                f"'{text.strip()}' has 60 or more minutes or seconds; they go up to 59"
            )
        found = float(whole) + parts[0] / 60 + parts[1] / 3600
    if found > highest:
        raise UnreadableCourse(f"'{text.strip()}' is more than {highest:g}°; check it")
    return found


def _bare(text: str, bare: BareAngles, highest: float) -> float:
    decimal = float(text)
    packed = _packed(text)
    if bare == "decimal" or packed is None:
        return decimal
    if bare == "packed" or decimal > highest:
        return packed
    if math.fabs(packed - decimal) * 3600 < 0.5:
        return decimal
    raise UnreadableCourse(
        f"'{text}' could be degrees, or degrees with minutes and seconds packed behind the point "
        f"({angle_text(round(decimal * 3600))} or {angle_text(round(packed * 3600))}); write it "
        "like 26°10'00\", or say 'angles: decimal' or 'angles: packed'"
    )


def _packed(text: str) -> float | None:
    """An angle from DDD.MMSS; None when the digits are no minutes and seconds."""
    whole, _, decimals = text.partition(".")
    digits = decimals.ljust(4, "0")
    minutes, seconds = int(digits[:2]), float(f"{digits[2:4]}.{digits[4:] or 0}")
    if minutes >= 60 or seconds >= 60:
        return None
    return float(whole) + minutes / 60 + seconds / 3600


def quadrant_degrees(north_south: str, angle: float, east_west: str) -> float:
    """The direction clockwise from north of a quadrant bearing, 0 up to 360."""
    from_north = angle if north_south[0] in "Nn" else 180 - angle
    return (from_north if east_west[0] in "Ee" else -from_north) % 360


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
    return f"{letters[0]} {angle_text(rest)} {letters[1]}"


def angle_text(seconds_count: int) -> str:
    """An angle given in whole seconds as degrees, minutes and seconds."""
    degrees, rest = divmod(seconds_count, 3600)
    minutes, seconds = divmod(rest, 60)
    return f"{degrees:02d}°{minutes:02d}'{seconds:02d}\""


def azimuth_degrees(dx_m: float, dy_m: float, north_degrees: float) -> float:
    """The direction of a line clockwise from north, 0 up to 360."""
    return (math.degrees(math.atan2(dx_m, dy_m)) - north_degrees) % 360
