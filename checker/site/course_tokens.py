"""The parts of a course: bearings, angles, lengths and words, and which numbers are neither."""

from __future__ import annotations

import re
from typing import Final

from checker.core.records import Record
from checker.core.units import LENGTH, UNIT, UNITS, UnreadableAmount, read_amount
from checker.site.bearings import (
    ANGLE,
    BareAngles,
    UnreadableCourse,
    angle_degrees,
    quadrant_degrees,
)

LONGEST_M: Final = 1e5

_LENGTH_UNITS: Final = sorted(
    {
        spelling
        for unit in UNITS
        if unit.dimension == LENGTH
        for spelling in (unit.name, *unit.spellings)
    }
    | {"chs", "lks", "rds", "pchs", "yds"},
    key=len,
    reverse=True,
)
_SHORT_FOR: Final = {"chs": "ch", "lks": "link", "rds": "rod", "pchs": "perches", "yds": "yd"}
_UNIT: Final = "|".join(
    re.escape(spelling) + (r"\b\.?" if spelling[-1].isalpha() else "") for spelling in _LENGTH_UNITS
)
_NUMBER: Final = r"(?:\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d*)?|\.\d+)"
_MARKED_ANGLE: Final = re.sub(r"\(\?P<[{}\w]+>", "(?:", ANGLE).replace("{{", "{").replace("}}", "}")
BEARING_TEXT: Final = rf"\b(?:north|south|n|s)[.,\s]*{_MARKED_ANGLE}[.\s]*(?:east|west|e|w)\b\.?"
"""A bearing, without groups."""
ANGLE_TEXT: Final = (
    r"(?:\d{1,3}(?:\.\d*)?\s*(?:°|deg(?:s|rees?)?\.?(?![a-z]))"
    r"(?:[\s,]*(?:and\s+)?\d{1,2}(?:\.\d*)?\s*(?:'|min(?:s|utes?)?\.?(?![a-z])|m\b)"
    r"(?:[\s,]*(?:and\s+)?\d{1,2}(?:\.\d*)?\s*(?:\"|'|sec(?:s|onds?)?\.?(?![a-z])|s\b))?)?"
    r"|\d{1,3}-\d{1,2}-\d{1,2}(?:\.\d*)?)"
)
"""An angle with a mark, without groups."""
_FEET_AND_INCHES: Final = (
    rf"{_NUMBER}\s*(?:'|ft\b\.?|feet\b|foot\b)\s*(?:-|and\b|,)?\s*"
    r"(?:\d+[ -])?\d+(?:/\d+|\.\d+)?\s*(?:\"|in\b\.?|inch(?:es)?\b)"
)
LENGTH_TEXT: Final = rf"(?:{_FEET_AND_INCHES}|{_NUMBER}(?:\s*-?\s*(?:{_UNIT}))?(?![\d°/]))"
"""A length with or without a unit, without groups."""
_TOKEN: Final = re.compile(
    rf"(?P<bearing>{BEARING_TEXT})"
    rf"|(?P<angle>{ANGLE_TEXT})"
    rf"|(?P<feet>{_FEET_AND_INCHES})"
    r"|(?P<name>\d+[snrt][tdh]\b|\d+\+\d+(?:\.\d+)?)"
    r"|(?P<small>(?:\d+[ -])?\d+/\d+(?:\s*-?\s*(?:\"|in\b\.?|inch(?:es)?\b))?)"
    rf"|(?P<amount>{_NUMBER}(?:\s*-?\s*(?:{_UNIT}))?)"
    r"|(?P<word>[a-z][a-z]*(?:-[a-z]+)*)"
    r"|(?P<sign>[-+,;:.=()/&#*|_\[\]'\"\s]+)"
    r"|(?P<other>.)",
    re.IGNORECASE,
)
_KINDS: Final = ("bearing", "angle", "feet", "name", "small", "amount", "word", "sign", "other")


class Length(Record, kw_only=True):
    """A length with half the size of its last written digit, both in metres."""

    length_m: float
    half_digit_m: float


class Token(Record):
    """One part of a course.

    Attributes:
        kind: bearing, angle, feet, amount, word, sign; name and small for numbers that are no data.
        text: As written.
        after: The sign between it and the part before, e.g. "=".
    """

    kind: str
    text: str
    after: str = ""

    @property
    def word(self) -> str:
        """A word in small letters; empty for other parts."""
        return self.text.lower() if self.kind == "word" else ""

    @property
    def is_length(self) -> bool:
        """It may be a length."""
        return self.kind in {"feet", "amount"}


def tokens_of(text: str) -> list[Token]:
    """The parts of a course, signs between them kept with the part that follows.

    Raises:
        UnreadableCourse: A character has no meaning in a course.
    """
    found: list[Token] = []
    sign = ""
    for match in _TOKEN.finditer(text):
        kind = next(name for name in _KINDS if match[name] is not None)
        if kind == "other":
            raise UnreadableCourse(f"'{match[0]}' has no meaning in a course; remove it")
        if kind == "sign":
            sign = match[0]
            continue
        found.append(Token(kind, match[0].strip(), sign))
        sign = ""
    return found


def length_of(text: str, unit: str) -> Length:
    """A length from its text.

    Args:
        text: As written, with or without a unit.
        unit: The unit of lengths that have none.

    Raises:
        UnreadableCourse: It is none, or longer than any boundary line.
    """
    text = re.sub(r"(?<=\d)\s*-\s*(?=[a-z])", " ", text.strip().rstrip("."), flags=re.IGNORECASE)
    text = re.sub(r"(?<=[a-z'])\s*(?:,|and)\s*(?=\d)", " ", text, flags=re.IGNORECASE)
    for short, full in _SHORT_FOR.items():
        text = re.sub(rf"(?<=[\d\s]){short}$", full, text, flags=re.IGNORECASE)
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


def unit_of(text: str) -> str:
    """The unit that a length is written with; empty for none."""
    text = re.sub(r"(?<=\d)\s*-\s*(?=[a-z])", " ", text.strip().rstrip("."), flags=re.IGNORECASE)
    for short, full in _SHORT_FOR.items():
        text = re.sub(rf"(?<=[\d\s]){short}$", full, text, flags=re.IGNORECASE)
    try:
        return read_amount(text).unit
    except UnreadableAmount:
        return ""


def bearing_of(token: Token, bare: BareAngles) -> float:
    """The direction of a bearing, clockwise from north."""
    match = re.fullmatch(
        r"(north|south|n|s)[.,\s]*(.*?)[.\s]*(east|west|e|w)\.?", token.text, re.IGNORECASE
    )
    assert match is not None
    return quadrant_degrees(match[1], angle_degrees(match[2], bare, 90), match[3])


SMALL_PARTS: Final = {
    ("ch", "link"), ("ch", "rod"), ("ch", "ft"), ("rod", "ft"), ("rod", "link"), ("ft", "in"),
    ("ch", "yd"),
}  # fmt: skip
"""Lengths written in two units: four chains twenty-five links."""

_NAMES_A_NUMBER: Final = {
    "lot", "lots", "block", "tract", "parcel", "no", "number", "page", "pages", "book", "highway",
    "route", "road", "street", "section", "unit", "exhibit", "map", "plat", "volume", "vol",
    "document", "doc", "monument", "station", "sta", "interstate", "state", "us", "fm", "hwy",
    "sr", "cr", "county", "corner", "course", "survey", "abstract", "phase", "cabinet", "slide",
    "sheet", "instrument", "file", "item", "liber", "folio", "deed", "records", "record", "plats",
    "maps", "addition", "subdivision", "filing", "point", "township", "range", "nos", "numbers",
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december", "dated", "in", "ih", "rm", "sh", "st", "avenue", "ordinance",
    "called", "curve", "line", "outlot", "reel", "code",
}  # fmt: skip
"""Words after which a number is a name: Lot 5, Book 31, Highway 290."""
_BESIDE: Final = {
    "northerly", "southerly", "easterly", "westerly", "northeasterly", "northwesterly",
    "southeasterly", "southwesterly", "wide", "width", "right-of-way", "rightofway", "row", "r",
    "easement", "distant", "perpendicular", "strip", "road", "street", "alley", "highway",
    "north", "south", "acre", "acres", "sq", "square", "iron", "rebar", "pipe", "rod", "pin",
    "diameter", "inch", "inches", "tree", "oak", "left", "right", "public", "private",
}  # fmt: skip
"""Words before which a length is not the length of the course: 40 feet northerly of, 60' wide."""
_AREA_WORDS: Final = {"acre", "acres", "ac", "sq", "square", "hectares"}
_UNKNOWN_UNITS: Final = {
    "vara", "varas", "vrs", "vr", "pace", "paces", "arpent", "arpents", "step", "steps", "cubit",
    "cubits", "toise", "toises", "fathom", "fathoms", "furlong", "furlongs", "league", "leagues",
    "ells", "ell", "palms", "braza", "brazas", "caballeria", "leguas", "legua", "engineer",
    "engineers", "ramsden",
}  # fmt: skip
_CARDINAL: Final = {"north", "south", "east", "west", "n", "s", "e", "w", "due"}
CONNECTIVES: Final = {
    "to", "along", "with", "on", "and", "thence", "more", "or", "for", "from", "in", "by", "at",
    "of", "as", "being", "passing", "pass", "through", "across", "over", "crossing", "following",
    "parallel", "continuing", "ending", "the", "a", "an", "which", "said", "leaving", "departing",
    "thru", "running", "measured", "distance", "distant", "chord", "arc", "radius", "central",
    "delta", "curve", "having", "whose", "where", "until", "then", "bears", "bearing", "bear",
    "subtending", "concave", "tangent", "angle", "length", "long", "t", "l", "r", "d", "lc", "ch",
    "c", "cb", "tan", "rad", "up", "down", "radial", "radially", "per", "non-tangent", "nontangent",
    "plus", "minus", "thereof", "into", "east", "west", "north", "south", "back", "beginning",
    "all", "total", "containing", "line", "around", "about", "between", "also", "same", "turning",
    "turn", "deflecting", "right", "left", "lt", "rt", "it", "its", "an-arc", "degree", "true",
    "due", "grid", "ground", "surface", "record", "calculated", "deed", "horizontal", "within",
}  # fmt: skip
"""Words that may follow a number without a unit."""


def check_unit(text: str, after: str) -> None:
    """Refuse a number that is followed by a unit of which nothing is known.

    Args:
        text: The number, with its unit when that is known.
        after: What follows it.

    Raises:
        UnreadableCourse: The word after it is a unit without one size, or no known word.
    """
    found = re.match(r"\s*-?\s*([a-z]+(?:-[a-z]+)*)", after, re.IGNORECASE)
    if found is None or unit_of(text):
        return
    word = found[1].lower()
    if word in _UNKNOWN_UNITS:
        says = f"'{text.strip()} {found[1]}': {word} have no one length; give feet or metres"
        raise UnreadableCourse(says)
    if word not in CONNECTIVES and word not in _BESIDE:
        raise UnreadableCourse(
            f"'{text.strip()} {found[1]}': '{found[1]}' is no unit of length; give feet or metres"
        )


def is_no_datum(tokens: list[Token], index: int) -> bool:
    """A number that belongs to a name, a monument or a line beside the course."""
    token = tokens[index]
    before = tokens[index - 1] if index else None
    after = tokens[index + 1] if index + 1 < len(tokens) else None
    if before is not None and before.kind == "word" and not unit_of(token.text):
        if before.word in _NAMES_A_NUMBER:
            return True
        # Grant 4567, but not EAST 100 or DISTANCE 100.
        is_name = before.text[0].isupper() and not before.text.isupper()
        if is_name and before.word not in CONNECTIVES | _CARDINAL:
            return True
    if before is not None and before.word in {"at", "passing", "pass"}:
        passing = {t.word for t in tokens[max(0, index - 3) : index + 5]}
        if passing & {"pass", "passing", "passes", "crossing", "cross"}:
            return True
    if after is not None and not after.after.strip(" \t\n-"):
        if after.word in _AREA_WORDS:
            return True
        if after.word in _BESIDE:
            return after.word not in {"right", "left", "north", "south", "r"} or (
                index + 2 < len(tokens) and tokens[index + 2].word in {"of", "and", "o"}
            )
    second = tokens[index + 2].word if index + 2 < len(tokens) else ""
    if after is not None and after.word in {"in", "at"} and second in {"width", "right"}:
        return True
    two_before = tokens[index - 2].word if index > 1 else ""
    cardinal = {"north", "south", "east", "west", "northerly", "southerly", "easterly", "westerly"}
    return before is not None and before.word in cardinal and two_before == "the"
