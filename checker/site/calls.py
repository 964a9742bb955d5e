"""One course of a deed, from the text that a person types or a document prints.

A course is a bearing and a distance, or a curve by any two of radius, arc, central angle and chord.
A number counts only where the text says what it is; what remains in the head of a course with a
number in it and no meaning is a problem, because a missed number is a wrong boundary.
"""

from __future__ import annotations

import re
from typing import Final

from checker.core.records import Record
from checker.site.bearings import BareAngles, UnreadableCourse, angle_degrees
from checker.site.course_text import (
    NEXT_CURVE,
    asides_of,
    head_and_tail,
    made_plain,
    without_asides,
)
from checker.site.course_tokens import (
    SMALL_PARTS,
    Length,
    Token,
    bearing_of,
    check_unit,
    is_no_datum,
    length_of,
    tokens_of,
    unit_of,
)
from checker.site.curve_calls import add_asides, read_curve
from checker.site.deed_courses import Curve, Line

LONGEST_TEXT: Final = 2000


_ASIDE_CURVES: Final = re.compile(
    r"(?:(?:not|non)[- ]*)?(?:tangent(?:ial|ially)?|radial(?:ly)?|perpendicular|normal)\s+"
    r"(?:to|from)\s+(?:(?:the|said|last|described|mentioned|above|preceding|previous|a|such|this|"
    r"aforesaid|aforementioned|arc|of)[\s-]*)*(?:curve|arc)\b"
    r"|along\s+the\s+(?:long\s+)?chord\s+of\s+(?:[\w-]+\s+){1,3}?(?:curve|arc)\b"
    r"|(?:leaving|departing|from|off|beyond)\s+(?:(?:the|said|last|described|arc|of|end)\s+)*"
    r"(?:curve|arc)\b",
    re.IGNORECASE,
)
_CURVED: Final = re.compile(
    r"\b(?:curve|curved|curving|curves|arc|radius)\b|\bdelta\s*=|\br\s*=|\bcentral\s+angle\b",
    re.IGNORECASE,
)


_RADIAL_LINE: Final = re.compile(r"(?<!non)(?<!non-)(?<!not )\bradial\s+line\b", re.IGNORECASE)
"""The course lies on a radius: a curve that begins at its end leaves it at a right angle."""


def read_course(text: str, unit: str, bare: BareAngles = "ask") -> Line | Curve:
    """A course from its text.

    Args:
        text: One course.
        unit: The unit of distances that have none.
        bare: What an angle such as 26.1000 means.

    Raises:
        UnreadableCourse: With what is wrong and what to do.
    """
    if len(text) > LONGEST_TEXT:
        says = f"a course of more than {LONGEST_TEXT} characters; give one course an entry"
        raise UnreadableCourse(says)
    whole = made_plain(text)
    if re.match(r"\W*C[ -]?\d", text):
        # A row of a curve table: `C7`, then its numbers.

        return read_curve(whole.replace("(", " ").replace(")", " "), "", unit, bare)
    if "(" not in whole:
        return _course(whole, unit, bare)
    try:
        return _with_asides(whole, unit, bare)
    except UnreadableCourse as first:
        if "brackets" in str(first):
            raise
        try:
            return _course(whole.replace("(", " ").replace(")", " "), unit, bare)
        except UnreadableCourse:
            raise first from None


def _with_asides(whole: str, unit: str, bare: BareAngles) -> Line | Curve:
    """A course read without its brackets; a curve takes what they say of it."""
    found = _course(without_asides(whole, unit), unit, bare)
    if isinstance(found, Curve):
        add_asides(found, asides_of(whole), unit, bare)
    return found


def _course(text: str, unit: str, bare: BareAngles) -> Line | Curve:

    head, tail = head_and_tail(text)
    straight = _ASIDE_CURVES.sub(" ", head)
    if not _CURVED.search(straight):
        if _is_announced_only(straight, tail):
            return read_curve(head, tail, unit, bare)
        line = _line(tokens_of(straight), tokens_of_tail(tail), unit, bare)
        ahead = _ahead(tail, unit, bare)
        if _RADIAL_LINE.search(head):
            ahead = ahead or Curve()
            ahead.radial_degrees = line.azimuth_degrees
        return Line(azimuth_degrees=line.azimuth_degrees, length=line.length, ahead=ahead)
    return read_curve(head, tail, unit, bare)


def _is_announced_only(head: str, tail: str) -> bool:
    """`Northerly to the left along an arc`: the head has nothing of a line, the tail a curve."""
    has_number = re.search(r"\d", head) is not None
    return not has_number and bool(_CURVED.search(tail)) and not NEXT_CURVE.search(tail)


def tokens_of_tail(text: str) -> list[Token]:
    """The parts of a monument; what cannot be read there does not matter."""
    try:
        return tokens_of(text)
    except UnreadableCourse:
        return []


def _ahead(tail: str, unit: str, bare: BareAngles) -> Curve | None:
    """What is said of the curve that begins at the monument; None where it cannot be read."""
    found = NEXT_CURVE.search(tail)
    if found is None:
        return None
    try:
        return read_curve(tail[found.start() :], "", unit, bare)
    except UnreadableCourse:
        return None


_CARDINAL: Final = {"north": 0.0, "n": 0.0, "east": 90.0, "e": 90.0,
                    "south": 180.0, "s": 180.0, "west": 270.0, "w": 270.0}  # fmt: skip
_RUNS: Final = {
    "", "thence", "then", "running", "runs", "run", "due", "directly", "continuing", "continue",
    "bearing", "bears", "go", "going", "course", "magnetic", "true", "again", "on", "angles",
}  # fmt: skip
_SIDE_OF: Final = {
    "line", "side", "boundary", "right-of-way", "edge", "corner", "half", "quarter", "lot",
    "section", "street", "bank", "margin", "end", "part", "property", "parcel", "wall", "limit",
}  # fmt: skip
_VAGUE: Final = {
    "northerly", "southerly", "easterly", "westerly", "northeasterly", "northwesterly",
    "southeasterly", "southwesterly", "northeast", "northwest", "southeast", "southwest",
}  # fmt: skip


def _line(tokens: list[Token], tail: list[Token], unit: str, bare: BareAngles) -> Line:
    directions = _directions(tokens, bare)
    lengths = _lengths(tokens, unit)
    if not directions and tail:
        directions = _directions(tail, bare)
    if not lengths and tail:
        lengths = [found for found in _lengths(tail, unit) if found.is_labelled]
    if len(directions) == 1 and len(lengths) > 1:
        total = [found for found in lengths if found.is_total]
        lengths = total if len(total) == 1 else lengths
    if not directions:
        vague = next((token.text for token in tokens if token.word in _VAGUE), "")
        says = f"'{vague}' is no bearing" if vague else "no bearing"
        raise UnreadableCourse(f"{says}; write a course like N 26°10'00\" E 285.10'")
    if len(directions) > 1:
        names = " and ".join(f"'{text}'" for _, text in directions[:2])
        raise UnreadableCourse(
            f"a course with two bearings, {names}; give one course an entry, with one bearing"
        )
    if not lengths:
        raise UnreadableCourse("no distance; write a course like N 26°10'00\" E 285.10'")
    if len(lengths) > 1:
        names = " and ".join(f"'{found.text}'" for found in lengths[:2])
        raise UnreadableCourse(
            f"a course with two distances, {names}; give one course an entry, with one distance"
        )
    if lengths[0].length.length_m <= 0:
        raise UnreadableCourse("a distance of 0; leave the course out")
    return Line(azimuth_degrees=directions[0][0], length=lengths[0].length)


def _directions(tokens: list[Token], bare: BareAngles) -> list[tuple[float, str]]:
    """Every direction that is named, with its text."""
    found: list[tuple[float, str]] = []
    azimuth = ""
    for index, token in enumerate(tokens):
        before = tokens[index - 1].word if index else ""
        after = tokens[index + 1] if index + 1 < len(tokens) else None
        if token.word in {"azimuth", "az"}:
            # It may stand before its angle or behind it.
            azimuth = "" if index and tokens[index - 1].kind == "angle" else token.word
        elif token.kind == "bearing" and before not in {"lot", "lots", "no"}:
            found.append((bearing_of(token, bare), token.text))
        elif (azimuth and token.kind in {"angle", "amount"}) or (
            token.kind == "angle" and after is not None and after.word in {"azimuth", "az"}
        ):
            words = {t.word for t in tokens}
            turned = 180.0 if "south" in words and "from" in words else 0.0
            found.append(((angle_degrees(token.text, bare, 360) + turned) % 360, token.text))
            azimuth = ""
        elif token.kind == "angle":
            raise UnreadableCourse(
                f"'{token.text}' has no direction; write N or S before it and E or W after it, or "
                "'azimuth' before it"
            )
        elif token.word in _CARDINAL and not azimuth and before != "from":
            is_run = before in _RUNS and (index == 0 or tokens[index - 1].kind == "word")
            is_side = after is not None and after.word in _SIDE_OF
            if is_run and not is_side:
                found.append((_CARDINAL[token.word], token.text))
    return found


class _Found(Record):
    length: Length
    text: str
    is_labelled: bool
    is_total: bool
    unit: str
    at: int


def _lengths(tokens: list[Token], unit: str) -> list[_Found]:
    """Every length that may be that of the course; two parts of one length are added."""
    found: list[_Found] = []
    azimuth = False
    for index, token in enumerate(tokens):
        if token.word in {"azimuth", "az"}:
            azimuth = not (index and tokens[index - 1].kind == "angle")
        if token.kind == "angle":
            azimuth = False
        if not token.is_length:
            continue
        own = unit_of(token.text)
        if azimuth and token.kind == "amount" and not own:
            azimuth = False
            continue
        if is_no_datum(tokens, index):
            continue
        after = tokens[index + 1] if index + 1 < len(tokens) else None
        if after is not None and after.kind == "word" and not after.after.strip(" \t\n-"):
            check_unit(token.text, " ".join(t.text for t in tokens[index + 1 : index + 4]))
        words = [t.word for t in tokens[max(0, index - 5) : index]]
        last = found[-1] if found else None
        between = {t.word for t in tokens[last.at + 1 : index]} if last else set()
        if last and (last.unit, own) in SMALL_PARTS and between <= {"and"}:
            part = length_of(token.text, unit)
            total_m = last.length.length_m + part.length_m
            length = Length(length_m=total_m, half_digit_m=part.half_digit_m)
            found[-1] = _Found(
                length, f"{last.text} {token.text}", last.is_labelled, last.is_total, own, index
            )
            continue
        is_total = "total" in words or words[-2:] == ["in", "all"] or "all" in words[-4:]
        found.append(
            _Found(length_of(token.text, unit), token.text, "distance" in words or is_total,
                   is_total, own, index)
        )  # fmt: skip
    return found
