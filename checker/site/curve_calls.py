"""A curve of a deed from its text: each number by its label, and the side to which it bends.

A label counts only as a label: the article `a` is none for the arc, and a distance that follows a
chord bearing is that of the chord. The patterns are tried in order; what one has taken is blanked
out for the next, and a number that is left over in the head is refused.
"""

from __future__ import annotations

import re
from itertools import permutations
from typing import Final

from checker.site.bearings import BareAngles, UnreadableCourse, angle_degrees
from checker.site.course_text import NEXT_CURVE
from checker.site.course_tokens import (
    ANGLE_TEXT,
    BEARING_TEXT,
    LENGTH_TEXT,
    Length,
    Token,
    bearing_of,
    check_unit,
    is_no_datum,
    length_of,
    tokens_of,
)
from checker.site.deed_courses import Curve

_POINTS: Final = {
    "north": 0.0, "northeast": 45.0, "east": 90.0, "southeast": 135.0, "south": 180.0,
    "southwest": 225.0, "west": 270.0, "northwest": 315.0,
}  # fmt: skip
_POINT: Final = r"(north|south)?[- ]?(east|west)?(?:er(?:ly|n)|ward(?:ly)?)?"
_TURN: Final = re.compile(
    r"\b(left|lt|right|rt|counter-?clockwise|anti-?clockwise|clockwise)\b"
    r"(?!\s*[- ]?(?:of[- ]way|hand)\b|\s*[- ]?angles?\b)"
    r"|(?:\bto\s+(?:the\s+|its\s+)?|\bcurv(?:e|ing)\s+)([lr])\b(?!\s*[=:]|\s+\d)",
    re.IGNORECASE,
)
_CONCAVE: Final = re.compile(
    rf"\bconcave(?:d)?\s+(?:to\s+|toward[s]?\s+|in\s+)?(?:the\s+|a\s+)?{_POINT}", re.IGNORECASE
)
_HEADING: Final = re.compile(
    r"(?<!the )(?<!said )(?<!of )(?<!concave )(?<!to )"
    r"\b(north|south)?[- ]?(east|west)?(?:er|ward)ly\b(?!\s+(?:line|right|side|of|r\b|bound))",
    re.IGNORECASE,
)
_NOT_TANGENT: Final = re.compile(
    r"\b(?:non|not)[\s-]*(?:be\s+)?tangent(?:ial)?\b|\bnontangent(?:ial)?\b", re.IGNORECASE
)
_TANGENT: Final = re.compile(
    r"\btangent(?:ial)?\b(?!\s*(?:length|distance|bearing|line|of\b|=|is\b|\d|bears|which|with\s+a\s+b))",
    re.IGNORECASE,
)
_FILL: Final = (
    r"(?:[\s,:=*]|\b(?:of|is|are|a|an|the|and|which|whose|being|said|for|with|in|to|that|has|having"
    r"|bears?|bearing|length|distance|measures|measuring|equals|long|direction|its|true|grid|dist"
    r"|subtended|by|thereof|said|arc|curve|point|same|running)\b\.?)*?"
)
_BRG: Final = rf"(?P<bearing>{BEARING_TEXT})"
_LEN: Final = rf"(?P<length>{LENGTH_TEXT})"
_AND_LEN: Final = (
    rf"(?:[\s,;:=]*(?:(?:and|for|with|having|a|an|the|chord|long|distance|length|of|is|being|dist)"
    rf"\b[\s,:=.]*)*{_LEN})"
)
_CHORD: Final = r"\b(?:long[- ]?|sub-?)?(?:chord|chd|ch|lc|l\.?c)\b\.?"
_ANG: Final = rf"(?P<angle>{ANGLE_TEXT}|\d[\d.]*)"
_TO_BRG: Final = r"(?:and|which|that|chord|bears|bearing|a|of|on|course|with|direction|being)"
_ALONG: Final = r"(?:along|on|around|of)\s+(?:(?:the|said|an?|its)\s+)*(?:arc|curve)\b"
_CENTRE: Final = (
    r"\b(?:radius\s+point|cent(?:er|re)\s+of\s+(?:the\s+|said\s+)?(?:curve|arc|circle))"
)
_PATTERNS: Final = (
    ("centre", rf"{_CENTRE}\b.{{0,60}}?\bbears?\b.{{0,12}}?{_BRG}{_AND_LEN}?"),
    ("radial", rf"\bradial(?:ly)?\b.{{0,90}}?\bbear\w*\b.{{0,12}}?{_BRG}"),
    ("radius", rf"\bradi(?:us|al)\b{_FILL}(?P<radial>{BEARING_TEXT})[\s,]*(?:of|is|and)?\s*{_LEN}"),
    ("", rf"\b(?:back\s+)?tangent\s+(?:(?:line|which|of)\s+)*bear(?:s|ing)\s+{BEARING_TEXT}"),
    ("chord", rf"(?:{_CHORD}|\bc\.?l?\.?b\b\.?|\bc\b\.?){_FILL}{_BRG}{_AND_LEN}?"),
    ("chord", rf"{_CHORD}{_FILL}{_LEN}(?:[\s,;:=]*(?:{_TO_BRG}\b[\s,:=]*)*{_BRG})?"),
    ("chord", rf"{_CHORD}{_FILL}(?:due\s+)?(?P<cardinal>north|south|east|west)\b{_AND_LEN}?"),
    ("chord", rf"(?<![a-z])c\.?\s*[=:]?\s*{_LEN}"),
    ("delta", rf"\b(?:central|included|interior)\s+angle\b{_FILL}{_ANG}"),
    ("delta", rf"\bdelta(?:\s+angle)?\b{_FILL}{_ANG}"),
    ("delta", rf"\bangle\b{_FILL}(?P<angle>{ANGLE_TEXT})"),
    ("delta", rf"(?<![a-z])d\.?\s*[=:]?\s*(?P<angle>{ANGLE_TEXT})"),
    ("radius", rf"{_LEN}\s*-?\s*radius\b(?!\s*[=:]?\s*\d)"),
    ("radius", rf"\b(?:radius|radii|rad)\b\.?{_FILL}{_LEN}"),
    ("radius", rf"(?<!the )(?<!to )(?<![a-z])r\.?\s*[=:]?\s*{_LEN}"),
    ("tangent", rf"\btan(?:gent)?\b\.?(?:\s+(?:length|distance))?{_FILL}{_LEN}"),
    ("tangent", rf"(?<![a-z])t\.?\s*[=:]?\s*{_LEN}"),
    ("arc", rf"\barc(?:\s+(?:length|distance))?\b\.?{_FILL}{_LEN}"),
    (
        "arc",
        rf"\b(?:curve\s+length|length\s+of\s+(?:(?:the|said)\s+)?(?:arc|curve))\b{_FILL}{_LEN}",
    ),
    ("arc", rf"(?<!the )(?<!to )(?<![a-z])l\.?\s*[=:]?\s*{_LEN}"),
    ("arc", rf"(?<![a-z])a\s*[=:]\s*{_LEN}"),
    ("arc", rf"{_LEN}[\s,]*(?:more\s+or\s+less[\s,]*)?(?:as\s+)?(?:measured\s+)?{_ALONG}"),
    ("arc", rf"\b(?:distance|length)\b{_FILL}{_LEN}"),
)
"""What each label gives, the surest first; an empty key is a datum that is not used."""
_READ: Final = tuple((key, re.compile(text, re.IGNORECASE)) for key, text in _PATTERNS)
_DEGREE_OF_CURVE: Final = re.compile(
    r"\bdegree\s+(?:of\s+)?(?:the\s+)?curv|\d\s*(?:°|-)?\s*degree\s+curve", re.IGNORECASE
)
_LABEL: Final = re.compile(r"\b(?:radius|arc|chord|delta|central|curve|rad|tan|[rlct])\b", re.I)


def read_curve(head: str, tail: str, unit: str, bare: BareAngles) -> Curve:
    """A curve from its text.

    Args:
        head: What says how it runs.
        tail: The monument, after which its data may go on.
        unit: The unit of lengths that have none.
        bare: What an angle such as 26.1000 means.

    Raises:
        UnreadableCourse: A number has no label, or a label two numbers.
    """
    following = NEXT_CURVE.search(tail)
    tail = tail[: following.start()] if following else tail
    # An area and what comes after it close the description, not the course.
    tail = re.split(r"\bcontaining\b", tail, maxsplit=1, flags=re.IGNORECASE)[0]
    if _DEGREE_OF_CURVE.search(head):
        raise UnreadableCourse("a curve by its degree; give its radius")
    curve = Curve()
    _turn(curve, head)
    if not _LABEL.search(head):
        _table_row(curve, tokens_of(head), unit, bare)
        return curve
    left = _data(curve, head, unit, bare)
    _nothing_left(curve, left, unit)
    if re.search(r"\b(?:radius|arc|chord|delta|central)\b", tail, re.IGNORECASE):
        if not curve.turn and curve.concave_degrees is None:
            _turn(curve, tail)
        _data(curve, tail, unit, bare, is_tail=True)
    return curve


def add_asides(curve: Curve, asides: list[str], unit: str, bare: BareAngles) -> None:
    """Give a curve what its brackets say of its chord or radius: `88.20 feet (chord ...)`."""
    for text in asides:
        if re.search(r"\b(?:radius|chord|delta|central|ch|lc|cb)\b", text, re.IGNORECASE):
            _data(curve, text, unit, bare)


def compass_degrees(match: re.Match[str]) -> float | None:
    """The direction of a word of the compass, in the first two groups of a match."""
    word = f"{match[1] or ''}{match[2] or ''}".lower()
    return _POINTS.get(word)


def _turn(curve: Curve, text: str) -> None:
    said = [(m[1] or m[2]).lower() for m in _TURN.finditer(text)]
    turns = {
        "left" if word[0] == "l" or word.startswith(("counter", "anti")) else "right"
        for word in said
    }
    if len(turns) == 2:
        raise UnreadableCourse("a curve that turns both left and right; give one course an entry")
    if turns:
        curve.turn = "left" if turns == {"left"} else "right"
    concave = _CONCAVE.search(text)
    if concave is not None:
        curve.concave_degrees = compass_degrees(concave)
    for heading in _HEADING.finditer(text):
        if curve.heading_degrees is None:
            curve.heading_degrees = compass_degrees(heading)
    if re.search(r"\breversed?\b", text, re.IGNORECASE):
        curve.follows = "reverse"
    elif re.search(r"\bcompound\b", text, re.IGNORECASE):
        curve.follows = "compound"
    curve.is_said = curve.is_said or bool(
        re.search(r"\b(?:said|same)\s+(?:[\w-]+\s+){0,3}?(?:curve|arc)\b", text, re.IGNORECASE)
    )
    if _NOT_TANGENT.search(text):
        curve.is_tangent = False
    elif curve.is_tangent is None and _TANGENT.search(text):
        curve.is_tangent = True


def _data(curve: Curve, text: str, unit: str, bare: BareAngles, *, is_tail: bool = False) -> str:
    """Give the curve what its text labels; what is left of the text."""
    for key, pattern in _READ:
        if is_tail and pattern is _READ[-1][1]:
            break
        found = pattern.search(text)
        while found is not None:
            if key in {"centre", "radial"} and not is_tail:
                curve.is_tangent = False
                curve.radial_degrees = bearing_of(Token("bearing", found["bearing"].strip()), bare)
            elif key == "radial" or found.groupdict().get("radial"):
                # Where the radius lies says how the curve leaves; only a chord bearing does too.
                curve.is_tangent = False
            if key not in {"", "radial", "centre"}:
                _give(curve, key, found, text, unit, bare)
            text = f"{text[: found.start()]} | {text[found.end() :]}"
            found = pattern.search(text)
    return text


def _give(
    curve: Curve, key: str, found: re.Match[str], text: str, unit: str, bare: BareAngles
) -> None:
    groups = found.groupdict()
    if groups.get("bearing"):
        azimuth = bearing_of(Token("bearing", groups["bearing"].strip()), bare)
        if curve.chord_azimuth_degrees not in {None, azimuth}:
            raise UnreadableCourse("a curve with two chord bearings; give one course an entry")
        curve.chord_azimuth_degrees = azimuth
    if groups.get("cardinal"):
        azimuth = _POINTS[groups["cardinal"].lower()]
        if curve.chord_azimuth_degrees not in {None, azimuth}:
            raise UnreadableCourse("a curve with two chord bearings; give one course an entry")
        curve.chord_azimuth_degrees = azimuth
    if groups.get("angle"):
        degrees = angle_degrees(groups["angle"], bare, 360)
        if curve.delta_degrees not in {None, degrees}:
            raise UnreadableCourse("a curve with two central angles; give one")
        curve.delta_degrees = degrees
        curve.delta_half_digit_degrees = _half_digit_degrees(groups["angle"])
    if groups.get("length"):
        after = text[found.end("length") : found.end("length") + 40]
        check_unit(groups["length"], after)
        length = length_of(groups["length"], unit)
        if length.length_m <= 0:
            raise UnreadableCourse(f"a curve whose {key} is 0; check it")
        other = curve.lengths.get(key)
        if other is not None and abs(other.length_m - length.length_m) > 1e-9:
            raise UnreadableCourse(f"a curve with two values for its {key}; give one")
        curve.lengths[key] = length


_RUNS_ALONG: Final = re.compile(
    r"\b(?:along|with|on|around|following|by)\b.{0,80}?\b(?:curve|arc)\b", re.IGNORECASE
)


def _nothing_left(curve: Curve, text: str, unit: str) -> None:
    """Refuse a number without a label; the one length of `along a curve, 31.42 feet` is the arc."""
    tokens = tokens_of(text)
    lengths = [
        token
        for index, token in enumerate(tokens)
        if token.is_length and not is_no_datum(tokens, index)
    ]
    if len(lengths) == 1 and "arc" not in curve.lengths and _RUNS_ALONG.search(text):
        check_unit(lengths[0].text, text[text.find(lengths[0].text) + len(lengths[0].text) :])
        curve.lengths["arc"] = length_of(lengths[0].text, unit)
        lengths = []
    for index, token in enumerate(tokens):
        if token.kind == "bearing":
            raise UnreadableCourse(
                f"'{token.text}' has no name; write 'chord' before the bearing of the chord"
            )
        if token.kind == "angle":
            raise UnreadableCourse(
                f"'{token.text}' could be the central angle or a direction; write 'delta' before it"
            )
        if token in lengths and not is_no_datum(tokens, index):
            raise UnreadableCourse(
                f"'{token.text}' has no name; write radius, arc, delta or chord before it"
            )


def _table_row(curve: Curve, tokens: list[Token], unit: str, bare: BareAngles) -> None:
    """A row of a curve table without labels: the one order in which its numbers agree."""
    from checker.site.curves import work_out

    lengths = [length_of(t.text, unit) for t in tokens if t.is_length]
    angles = [t for t in tokens if t.kind == "angle"]
    bearings = [t for t in tokens if t.kind == "bearing"]
    if len(angles) == 1:
        curve.delta_degrees = angle_degrees(angles[0].text, bare, 360)
        curve.delta_half_digit_degrees = _half_digit_degrees(angles[0].text)
    if len(bearings) == 1:
        curve.chord_azimuth_degrees = bearing_of(bearings[0], bare)
    fits: list[dict[str, Length]] = []
    for names in permutations(("radius", "arc", "chord", "tangent"), len(lengths)):
        trial = dict(zip(names, lengths, strict=True))
        if "radius" not in trial or len(trial) + len(angles) < 3:
            continue
        given = Curve(
            lengths=trial,
            delta_degrees=curve.delta_degrees,
            delta_half_digit_degrees=curve.delta_half_digit_degrees,
        )
        try:
            work_out(given, unit)
        except UnreadableCourse:
            continue
        fits.append(trial)
    if len(fits) != 1:
        raise UnreadableCourse(
            "the numbers of this row of a curve table have no names; write R, L, delta and chord "
            "before them"
        )
    curve.lengths = fits[0]


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
