"""One course of a deed, from the text that a person types: a line or a curve.

A course is a bearing and a distance, or a curve by any two of radius, arc, central angle and chord.
Words of deeds are passed over (thence, a distance of, to an iron pin). What remains with a number
in it and no meaning is a problem, because a missed number is a wrong boundary.
"""

from __future__ import annotations

import re
from typing import Final, Literal

from checker.core.records import Record, Struct, field
from checker.core.units import LENGTH, UNIT, UNITS, UnreadableAmount, read_amount
from checker.site.bearings import (
    ANGLE,
    BareAngles,
    UnreadableCourse,
    angle_degrees,
    plain,
    quadrant_degrees,
)

Turn = Literal["left", "right"]

LONGEST_M: Final = 1e5


class Length(Record, kw_only=True):
    """A length with half the size of its last written digit, both in metres."""

    length_m: float
    half_digit_m: float


class Line(Record, kw_only=True):
    """A straight course: direction clockwise from north, and length."""

    azimuth_degrees: float
    length: Length


class Curve(Struct, kw_only=True):
    """A curved course as given, before it is worked out.

    Attributes:
        turn: To which side it bends, looking along the boundary.
        lengths: radius, arc, chord, tangent length: those that were given.
        delta_degrees: The central angle, when given.
        delta_half_digit_degrees: Half its last written digit.
        chord_azimuth_degrees: The direction of the chord, when given.
        is_tangent: True or False when the text says so.
    """

    turn: Turn
    lengths: dict[str, Length] = field(default_factory=dict)
    delta_degrees: float | None = None
    delta_half_digit_degrees: float = 0.0
    chord_azimuth_degrees: float | None = None
    is_tangent: bool | None = None


_LENGTH_UNITS: Final = sorted(
    {
        spelling
        for unit in UNITS
        if unit.dimension == LENGTH
        for spelling in (unit.name, *unit.spellings)
    },
    key=len,
    reverse=True,
)
_UNIT: Final = "|".join(
    re.escape(spelling) + (r"\b" if spelling[-1].isalpha() else "") for spelling in _LENGTH_UNITS
)
_NUMBER: Final = r"(?:\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d*)?|\.\d+)"
_TOKEN: Final = re.compile(
    rf"(?P<bearing>\b(?P<ns>north|south|n|s)\s*{ANGLE.format('b')}\s*(?P<ew>east|west|e|w)\b)"
    r"|(?P<angle>\d{1,3}(?:\.\d*)?\s*°(?:\s*\d{1,2}(?:\.\d*)?\s*'(?:\s*\d{1,2}(?:\.\d*)?\s*\")?)?"
    r"|\d{1,3}-\d{1,2}-\d{1,2}(?:\.\d*)?)"
    rf"|(?P<feet>{_NUMBER}\s*(?:'|ft\b|feet\b|foot\b)\s*-?\s*"
    r"(?:\d+[ -])?\d+(?:/\d+|\.\d+)?\s*(?:\"|in\b|inch(?:es)?\b))"
    rf"|(?P<amount>{_NUMBER}(?:\s*(?P<unit>{_UNIT}))?)"
    r"|(?P<word>[a-z][a-z]*(?:-[a-z]+)*)"
    r"|(?P<sign>[-,;:.=()/&#'\"\s]+)"
    r"|(?P<other>.)",
    re.IGNORECASE,
)
_KEYS: Final = {
    "radius": "radius", "rad": "radius", "r": "radius",
    "arc": "arc", "length": "arc", "l": "arc", "a": "arc",
    "delta": "delta", "d": "delta", "angle": "delta", "central": "delta",
    "chord": "chord", "c": "chord", "ch": "chord", "lc": "chord", "cb": "chord", "bears": "chord",
    "tangent": "tangent", "t": "tangent", "tan": "tangent",
}  # fmt: skip
_SMALL_PARTS: Final = {("ch", "link"), ("ch", "rod"), ("ch", "ft"), ("rod", "ft"), ("ft", "in")}
_NAMES_A_NUMBER: Final = {
    "lot", "lots", "block", "tract", "parcel", "no", "number", "page", "book", "highway", "route",
    "road", "street", "section", "unit", "exhibit", "map", "plat", "volume", "document", "monument",
}  # fmt: skip
_CARDINAL: Final = {"north": 0.0, "n": 0.0, "east": 90.0, "e": 90.0,
                    "south": 180.0, "s": 180.0, "west": 270.0, "w": 270.0}  # fmt: skip


class _Token(Struct):
    kind: str
    text: str


def _tokens(text: str) -> list[_Token]:
    found = []
    for match in _TOKEN.finditer(plain(text)):
        kind = match.lastgroup or ""
        for name in ("bearing", "angle", "feet", "amount", "word", "sign", "other"):
            if match[name] is not None:
                kind = name
                break
        if kind == "other":
            raise UnreadableCourse(f"'{match[0]}' has no meaning in a course; remove it")
        if kind != "sign":
            found.append(_Token(kind, match[0].strip()))
    return found


def read_course(text: str, unit: str, bare: BareAngles = "ask") -> Line | Curve:
    """A course from its text.

    Args:
        text: One course.
        unit: The unit of distances that have none.
        bare: What an angle such as 26.1000 means.

    Raises:
        UnreadableCourse: With what is wrong and what to do.
    """
    if len(text) > 500:
        raise UnreadableCourse("a course of more than 500 characters; give one course an entry")
    tokens = _tokens(text)
    words = {token.text.lower() for token in tokens if token.kind == "word"}
    if words & {"curve", "curving", "arc", "radius"}:
        return _curve(tokens, unit, bare)
    return _line(tokens, unit, bare)


def _length(text: str, unit: str) -> Length:
    try:
        read = read_amount(text)
        if read.dimension != LENGTH:
            read = read_amount(f"{text} {unit}", LENGTH)
    except UnreadableAmount as error:
        raise UnreadableCourse(f"{error}; write a distance like 285.10'") from error
    if read.value_si > LONGEST_M:
        raise UnreadableCourse(f"'{text[:40]}' is longer than any boundary line; check it")
    decimals = re.search(r"\.(\d*)", text)
    size_m = UNIT[read.unit or unit].size_si
    # Trailing zeros are often left out; deeds give hundredths.
    half_m = size_m / 2 * 10.0 ** -max(2, len(decimals[1]) if decimals else 0)
    return Length(length_m=read.value_si, half_digit_m=half_m)


def _added(before: tuple[Length, str], text: str, unit: str) -> Length | None:
    """4 chains 25 links as one length; None when the two do not belong together."""
    part = _length(text, unit)
    if (before[1], _unit_of(text)) in _SMALL_PARTS:
        total_m = before[0].length_m + part.length_m
        return Length(length_m=total_m, half_digit_m=part.half_digit_m)
    return None


def _bearing(token: _Token, bare: BareAngles) -> float:
    match = re.fullmatch(r"(north|south|n|s)(.*?)(east|west|e|w)", token.text, re.IGNORECASE)
    assert match is not None
    return quadrant_degrees(match[1], angle_degrees(match[2], bare, 90), match[3])


def _line(tokens: list[_Token], unit: str, bare: BareAngles) -> Line:
    directions: list[float] = []
    length: tuple[Length, str] | None = None
    last = ""
    wants_azimuth = False
    for index, token in enumerate(tokens):
        if token.kind == "word":
            last = token.text.lower()
            wants_azimuth = wants_azimuth or last in {"azimuth", "az"}
            if last in _CARDINAL and _is_cardinal(tokens, index):
                directions.append(_CARDINAL[last])
            continue
        if token.kind == "bearing":
            directions.append(_bearing(token, bare))
        elif wants_azimuth and token.kind in {"angle", "amount"}:
            directions.append(angle_degrees(token.text, bare, 360) % 360)
            wants_azimuth = False
        elif token.kind == "angle":
            raise UnreadableCourse(
                f"'{token.text}' has no direction; write N or S before it and E or W after it, or "
                "'azimuth' before it"
            )
        elif last in _NAMES_A_NUMBER:
            pass
        elif length is None:
            length = _length(token.text, unit), _unit_of(token.text)
        else:
            total = _added(length, token.text, unit)
            if total is None:
                raise UnreadableCourse("a course with two distances; give one course an entry")
            length = total, _unit_of(token.text)
        last = ""
    return _checked_line(directions, length[0] if length else None)


def _unit_of(text: str) -> str:
    return read_amount(text).unit


def _is_cardinal(tokens: list[_Token], index: int) -> bool:
    """`due north`, or a direction right before the distance; not `the north line of`."""
    before = tokens[index - 1].text.lower() if index else ""
    after = tokens[index + 1].kind if index + 1 < len(tokens) else ""
    return before == "due" or (after in {"amount", "feet"} and before not in {"the", "line"})


def _checked_line(directions: list[float], length: Length | None) -> Line:
    if not directions:
        raise UnreadableCourse("no bearing; write a course like N 26°10'00\" E 285.10'")
    if len(directions) > 1:
        raise UnreadableCourse("a course with two bearings; give one course an entry")
    if length is None:
        raise UnreadableCourse("no distance; write a course like N 26°10'00\" E 285.10'")
    if length.length_m <= 0:
        raise UnreadableCourse("a distance of 0; leave the course out")
    return Line(azimuth_degrees=directions[0], length=length)


def _curve(tokens: list[_Token], unit: str, bare: BareAngles) -> Curve:
    words = [token.text.lower() for token in tokens if token.kind == "word"]
    turns = {"left" if w in {"left", "lt"} else "right" for w in words if w in _TURNS}
    if len(turns) != 1:
        raise UnreadableCourse(
            "a curve must say left or right, once; write 'curve left R 25' L 39.27'"
        )
    curve = Curve(turn="left" if turns == {"left"} else "right")
    key = ""
    for index, token in enumerate(tokens):
        if token.kind == "word":
            word = token.text.lower()
            if word in {"non-tangent", "nontangent"}:
                curve.is_tangent = False
            elif word == "tangent" and not _has_value(tokens, index):
                before = tokens[index - 1].text.lower() if index else ""
                curve.is_tangent = before not in {"non", "not"}
            elif word in _KEYS and not (key and word in {"length", "angle"}):
                key = _KEYS[word]
            elif word in _NAMES_A_NUMBER:
                key = "skip"
        else:
            _give(curve, key, token, unit, bare)
            key = "chord" if token.kind == "bearing" else ""
    return curve


_TURNS: Final = {"left", "right", "lt", "rt"}


def _has_value(tokens: list[_Token], index: int) -> bool:
    """A tangent length follows; without one the word says that the curve is tangent."""
    following = [token for token in tokens[index + 1 : index + 4] if token.text.lower() not in
                 {"length", "of", "distance"}]  # fmt: skip
    return bool(following) and following[0].kind in {"amount", "feet"}


def _give(curve: Curve, key: str, token: _Token, unit: str, bare: BareAngles) -> None:
    if token.kind == "bearing":
        if curve.chord_azimuth_degrees is not None:
            raise UnreadableCourse("a curve with two bearings; give one course an entry")
        curve.chord_azimuth_degrees = _bearing(token, bare)
    elif key == "delta":
        if curve.delta_degrees is not None:
            raise UnreadableCourse("a curve with two central angles; give one")
        curve.delta_degrees = angle_degrees(token.text, bare, 360)
        curve.delta_half_digit_degrees = _half_digit_degrees(token.text)
    elif token.kind == "angle":
        raise UnreadableCourse(
            f"'{token.text}' could be the central angle or a direction; write 'delta' before it"
        )
    elif key in {"radius", "arc", "chord", "tangent"}:
        if key in curve.lengths:
            raise UnreadableCourse(f"a curve with two values for its {key}; give one")
        curve.lengths[key] = _length(token.text, unit)
        if curve.lengths[key].length_m <= 0:
            raise UnreadableCourse(f"a curve whose {key} is 0; check it")
    elif key != "skip":
        raise UnreadableCourse(
            f"'{token.text}' has no name; write radius, arc, delta or chord before it"
        )


def _half_digit_degrees(text: str) -> float:
    """Half the last written digit; whole degrees are taken as exact to the second."""
    if re.fullmatch(r"\d+\D+\d+\D*", text):
        return 0.5 / 60
    decimals = re.search(r"\.(\d*)", text)
    digits_count = len(decimals[1]) if decimals else 0
    is_second = (
        decimals is None or re.search(r"\d\D+\d+\D+\d", text[: decimals.start()]) is not None
    )
    return 0.5 / 3600 * 10.0**-digits_count if is_second else 0.5 * 10.0 ** -max(4, digits_count)
