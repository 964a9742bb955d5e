"""The text of a course made plain: numbers in words as digits, numbering and asides away.

A course of a deed has a head, which says how the line runs, and often a tail, which says to what
monument. Numbers of the tail belong to the monument: `to a 1/2-inch iron rod`, `to Station 185`.
"""

from __future__ import annotations

import re
from typing import Final

from checker.core.units import LENGTH, UnreadableAmount, read_amount
from checker.site.bearings import UnreadableCourse, plain

_ONES: Final = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14,
    "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS: Final = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60,
    "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
_MANY: Final = {"hundred": 100, "thousand": 1000}
_WORD: Final = "|".join(sorted([*_ONES, *_TENS, *_MANY], key=len, reverse=True))
_MEASURED: Final = (
    r"(?:degrees?|degs?\b|minutes?|mins?\b|seconds?|secs?\b|feet|foot|ft\b|chains?|links?|poles?|"
    r"rods?|perch(?:es)?|yards?|inch(?:es)?|met(?:er|re)s?|and\s+\d+/100|\(\s*\d|"
    r"(?:and\s+)?one[- ](?:half|fourth|quarter)|east|west)"
)
_NUMBER_IN_WORDS: Final = re.compile(
    rf"\b((?:{_WORD})(?:[\s-]+(?:and\s+)?(?:{_WORD}))*)(?=[\s,]*{_MEASURED})", re.IGNORECASE
)
_FRACTIONS: Final = {"half": "1/2", "fourth": "1/4", "quarter": "1/4"}
_NUMBERING: Final = re.compile(
    r"^[\s;,]*(?:(?:course|call|line)?\s*(?:no\.?\s*)?\(\s*\w{1,3}[snrt][tdh]?\s*\)[.:,]?"
    r"|(?:course|call)\s+(?:no\.?\s*)?\d{1,3}\s*[.:,)-]?"
    r"|\d{1,3}\s*[):]|\d{1,3}\.(?=\s+[A-Za-z])|\d{1,3}[snrt][tdh][.:,)]?"
    r"|[LC][ -]?\d{1,3}\b\s*[.:,)|-]?)\s*",
    re.IGNORECASE,
)
_HUNDREDTHS: Final = re.compile(r"\b(\d+)\s+and\s+(\d{1,2})/100\b")
_HALVES: Final = re.compile(r"(\d+)\s*(?:and\s+)?(?<![\d/])\b1/2(?=\s*(?:°|deg))", re.IGNORECASE)
_PART_OF_DEGREE: Final = re.compile(
    r"\b(\d{1,3})(?:\s+and)?[\s-]*(1/2|1/4|3/4)(?=\s*(?:°|deg|d\b|\.?\s*[EW]\b|\.?\s*(?:east|west)))",
    re.IGNORECASE,
)
_SIGNS: Final = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "±": " ", "¦": "°", "\u2014": "-", "˝": '"'}
_TO: Final = re.compile(r"\bto\b", re.IGNORECASE)
_NO_MONUMENT_BEFORE: Final = re.compile(
    r"(?:tangent|tangential|tangentially|parallel|perpendicular|radial|radially|normal|adjacent|"
    r"according|equal|concave|convex|right angles?|next|contiguous|curv\w*|arc|deflect\w*|turn\w*|"
    r"bear\w*|bends?)\s*$",
    re.IGNORECASE,
)
_TURN_AFTER: Final = re.compile(r"\s+(?:the\s+|its\s+)?(?:left|right|lt|rt|l|r)\b", re.IGNORECASE)
_THENCE: Final = re.compile(r"\bthence\b", re.IGNORECASE)
_BEGINS: Final = re.compile(
    r"^\W*(?:true\s+)?(?:point\s+of\s+)?(beginning|commencing)\b", re.IGNORECASE
)
_DASHED_ANGLE: Final = re.compile(
    r"(\d{1,3})\s*[-°]\s*(\d{1,2})\s*'\s*-\s*(\d{1,2}(?:\.\d*)?)\s*\""
)


_OTHER_CHAIN: Final = re.compile(
    r"\b(?:engineer\W*s?|ramsden\W*s?)\W+(?:chain|link)|(?:chain|link)s?\W+\(?(?:engineer|ramsden)",
    re.IGNORECASE,
)
_SURVEY_FEET: Final = re.compile(r"\bU\.?\s?S\.?\s+survey\s+(?:feet|foot|ft\.?)", re.IGNORECASE)


def asides_of(text: str) -> list[str]:
    """What stands in brackets."""
    return _ASIDE.findall(text)


def made_plain(text: str) -> str:
    """A course with signs and numbers in one form, without its numbering.

    Raises:
        UnreadableCourse: It holds more than one course.
    """
    if _OTHER_CHAIN.search(text):
        raise UnreadableCourse("an engineer's chain has another length; give the distance in feet")
    text = _SURVEY_FEET.sub("us survey ft", text)
    for sign, instead in _SIGNS.items():
        text = text.replace(sign, instead)
    text = plain(text)
    text = _NUMBER_IN_WORDS.sub(lambda match: str(_number(match[1])), text)
    text = re.sub(
        r"(?<=\d)\s*(?:and\s+)?one[- ](half|fourth|quarter)\b",
        lambda match: f" {_FRACTIONS[match[1].lower()]}",
        text,
        flags=re.IGNORECASE,
    )
    text = _DASHED_ANGLE.sub(lambda match: f"{match[1]}°{match[2]}'{match[3]}\"", text)
    text = _HUNDREDTHS.sub(lambda match: f"{match[1]}.{match[2]:0>2}", text)
    text = re.sub(r"\b(\d[\d,.]*)\s*\(\s*\1\s*\)", r"\1", text)
    text = _PART_OF_DEGREE.sub(lambda match: f"{match[1]}{_decimals(match[2])}", text)
    text = _NUMBERING.sub("", text, count=1)
    return _single(text)


def _single(text: str) -> str:
    """The one course of a text, without what tells of the point of beginning."""
    begins = _BEGINS.match(text)
    parts = _THENCE.split(text.strip().rstrip(";,. "))
    if begins is not None and len(parts) > 1:
        if begins[1].lower() == "commencing":
            raise UnreadableCourse(
                "a course that leads to the point of beginning is no line of the boundary; leave "
                "it out"
            )
        parts = ["", *parts[1:]]
    is_lead = re.fullmatch(r"\W*(?:(?:and|running|continuing|then|also|again)\W*)*", parts[0], re.I)
    first = 1 if is_lead and len(parts) > 1 else 0
    if len(parts) > first + 1:
        raise UnreadableCourse("more than one course ('thence' again); give one course an entry")
    return parts[first]


def _decimals(fraction: str) -> str:
    return {"1/2": ".5", "1/4": ".25", "3/4": ".75"}[fraction] + "0000"


def _number(words: str) -> int:
    """Seventy nine is 79, two hundred and six 206."""
    total = part = 0
    for word in re.findall(r"[a-z]+", words.lower()):
        if word in _ONES:
            part += _ONES[word]
        elif word in _TENS:
            part += _TENS[word]
        elif word == "hundred":
            part = max(part, 1) * 100
        elif word == "thousand":
            total, part = total + max(part, 1) * 1000, 0
    return total + part


_ASIDE: Final = re.compile(r"\(([^()]*)\)")
_LENGTH_BEFORE: Final = re.compile(
    r"(\d[\d,]*(?:\.\d*)?\s*(?:'|feet|foot|ft\.?|met(?:er|re)s?|m|chains?|ch|poles?|rods?|links?)?)"
    r"\s*$",
    re.IGNORECASE,
)


def without_asides(text: str, unit: str) -> str:
    """A course without what stands in brackets; a length given twice must agree with itself.

    Args:
        text: The course, made plain.
        unit: The unit of distances that have none.

    Raises:
        UnreadableCourse: A length in brackets is another one than the length before it.
    """
    found = _ASIDE.search(text)
    while found is not None:
        before = _LENGTH_BEFORE.search(text[: found.start()])
        if before is not None:
            _compare(before[1], found[1].strip(), unit)
        text = f"{text[: found.start()]} {text[found.end() :]}"
        found = _ASIDE.search(text)
    return text


def _compare(first: str, second: str, unit: str) -> None:
    try:
        one, other = (_length(part, unit) for part in (first, second))
    except UnreadableAmount:
        return
    decimals = len(second.partition(".")[2].rstrip(" 'abcdefghijklmnopqrstuvwxyz"))
    rounding = 0.5 * 10.0**-decimals
    if abs(one - other) > max(2e-3 * one, 4 * rounding * 0.3048):
        raise UnreadableCourse(
            f"the length '{first.strip()}' and the one in brackets, '{second}', are not the same; "
            "keep the right one"
        )


def _length(text: str, unit: str) -> float:
    text = text.strip().rstrip(".")
    found = read_amount(text)
    if found.dimension != LENGTH:
        found = read_amount(f"{text} {unit}", LENGTH)
    return found.value_si


def head_and_tail(text: str) -> tuple[str, str]:
    """What says how the course runs, and the monument to which it runs."""
    for match in _TO.finditer(text):
        before, after = text[: match.start()], text[match.end() :]
        turns = _TURN_AFTER.match(after) is not None
        if turns or _NO_MONUMENT_BEFORE.search(before):
            continue
        return before, after
    return text, ""


NEXT_CURVE: Final = re.compile(
    r"\b(?:beginning|start|commencement|point|p\.?\s*c\.?)\s+(?:of\s+)?(?:an?\s+|the\s+|said\s+)?"
    r"(?:[\w-]+\s+){0,3}?(?:curve|curvature)\b|\bpoint\s+(?:on|in)\s+(?:an?|the)\s+"
    r"(?:[\w-]+\s+){0,3}?curve\b",
    re.IGNORECASE,
)
"""Words that announce the curve of the course to come."""
