"""Answers of the form, as a person writes them, to limits, shares and yards.

Raises `Unclear` with what is wrong; who reads the form knows the place.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any, Final

from checker.core.problems import CheckerError, did_you_mean
from checker.core.records import Record
from checker.core.units import AREA, LENGTH, RATIO, SPEED, UnreadableAmount, read_amount

LONGEST: Final = 600
"""Characters of an answer."""

ORDERS: Final = {
    "at least": "at_least",
    "at most": "at_most",
    "more than": "more_than",
    "less than": "less_than",
}
AMOUNTS: Final = {
    "infiltration rate": ("infiltration_rate", SPEED),
    "run-on": ("run_on", RATIO),
    "slope": ("slope", RATIO),
    "ground slope": ("ground_slope", RATIO),
    "height above the water table": ("water_table_depth", LENGTH),
    "soil depth": ("soil_depth", LENGTH),
    "gap": ("gap", LENGTH),
    "board width": ("board_width", LENGTH),
    "height": ("height", LENGTH),
    "width": ("width", LENGTH),
    "stone thickness": ("stone_thickness", LENGTH),
    "open share": ("open_share", RATIO),
}
"""Attribute and dimension of what a condition may hold against an amount."""

YES_OR_NO: Final = {
    "over open ground": ("over_pervious", True),
    "not covered": ("covered", False),
    "covered": ("covered", True),
    "lined": ("lined", True),
    "not lined": ("lined", False),
    "of washed stone": ("washed_stone", True),
    "connected to the sewer": ("sewer_connected", True),
    "not connected to the sewer": ("sewer_connected", False),
}
_SHARES: Final = {
    "full": Fraction(1),
    "none": Fraction(0),
    "half": Fraction(1, 2),
    "a quarter": Fraction(1, 4),
    "a third": Fraction(1, 3),
}
BASES: Final = {
    "lot": "",
    "lot less easements": "easement",
    "lot less rights-of-way": "right-of-way",
    "lot less wetlands": "wetland",
    "lot less water": "water",
}
"""What a limit may be a share of, with the kind of region that is taken off."""

YARDS: Final = ("front", "rear", "side")


class Unclear(CheckerError):
    """An answer that cannot be understood; the message says what to write."""


class Cap(Record, kw_only=True):
    """A share, an area, or the lesser or greater of both.

    Attributes:
        share: Of the land, 0 to 1; None without one.
        area: As it was written; empty without one.
        area_m2: The same.
        takes: "least" or "greatest" where there are both.
    """

    share: Fraction | None = None
    area: str = ""
    area_m2: float = 0.0
    takes: str = ""


class CapBySize(Record, kw_only=True):
    """What holds for lots up to a size.

    Attributes:
        up_to: The size, as it was written; empty for all that is larger.
        up_to_m2: The same.
        is_included: A lot of exactly this size belongs to it.
        limit: What holds.
    """

    limit: Cap
    up_to: str = ""
    up_to_m2: float = 0.0
    is_included: bool = True


class Need(Record, kw_only=True):
    """One condition of an answer.

    Attributes:
        attribute: What it asks of the surface.
        says: As it was written.
        order: How it is held against an amount; empty for yes or no.
        amount: The amount as it was written.
        wanted: The answer that is wanted, for yes or no.
        is_own: The attribute is this place's own.
    """

    attribute: str
    says: str
    order: str = ""
    amount: str = ""
    wanted: bool = True
    is_own: bool = False


class Portion(Record, kw_only=True):
    """How much of a surface counts.

    Attributes:
        weight: 0 to 1.
        needs: Conditions of it.
        otherwise: What counts where they do not hold; None when the text does not say.
        each_over: Items up to this size do not count, as it was written; empty without one.
        each_over_m2: The same.
    """

    weight: Fraction
    needs: tuple[Need, ...] = ()
    otherwise: Fraction | None = None
    each_over: str = ""
    each_over_m2: float = 0.0


class Yard(Record, kw_only=True):
    """A yard with a limit of its own; without a depth it goes up to the house."""

    side: str
    depth: str
    limit: Cap


def weight_of(text: str) -> Fraction:
    """A share in words or percent, 0 to 1.

    Raises:
        Unclear: It is none.
    """
    if text.lower() in _SHARES:
        return _SHARES[text.lower()]
    share = _percent(text)
    if share is None:
        raise Unclear(f"'{text}' is no share: write full, none, half or like 25 %")
    return share


def _percent(text: str) -> Fraction | None:
    try:
        read = read_amount(text, RATIO)
    except UnreadableAmount:
        return None
    if read.unit != "%":
        return None
    if not 0 <= read.value_si <= 1:
        raise Unclear(f"'{text}' is no share from 0 to 100 %")
    return Fraction(read.value_si).limit_denominator(10**8)


def _area_m2(text: str) -> float:
    try:
        read = read_amount(text, AREA)
    except UnreadableAmount as wrong:
        raise Unclear(str(wrong)) from wrong
    if not 1e-6 < read.value_si < 1e9:
        raise Unclear(f"'{text}' is no area of a lot")
    return read.value_si


def limit_of(text: str) -> Cap:
    """`45 %`, `4,500 sq ft`, `lesser of 45 % and 4,500 sq ft`, `greater of ...`.

    Raises:
        Unclear: It is none of these.
    """
    both = re.fullmatch(r"(?:the )?(lesser|greater) of (.+?) and (.+)", text, re.IGNORECASE)
    if both is None:
        share = _percent(text)
        if share is None:
            return Cap(area=text, area_m2=_area_m2(text))
        return Cap(share=share)
    takes = "least" if both[1].lower() == "lesser" else "greatest"
    first, second = limit_of(both[2]), limit_of(both[3])
    if first.takes or second.takes or (first.share is None) == (second.share is None):
        raise Unclear(f"'{text}': write a share and an area, like 'lesser of 40 % and 6,000 sq ft'")
    part, area = (second, first) if first.share is None else (first, second)
    if not part.share:
        raise Unclear(f"'{text}': a share of nothing is no limit")
    return Cap(share=part.share, area=area.area, area_m2=area.area_m2, takes=takes)


def steps_of(text: str) -> tuple[CapBySize, ...]:
    """A limit, or one for each size of lot: `up to 9,000 sq ft: 60 %; above: 50 %`; or `none`.

    Raises:
        Unclear: A part cannot be read, or sizes do not rise.
    """
    if text.lower() == "none":
        return ()
    parts = [part.strip() for part in text.split(";") if part.strip()]
    if len(parts) == 1 and ":" not in parts[0]:
        return (CapBySize(limit=limit_of(parts[0])),)
    found: list[CapBySize] = []
    for part in parts:
        head, colon, tail = part.partition(":")
        size = re.fullmatch(r"(up to|under) (.+)", head.strip(), re.IGNORECASE)
        if not colon or (size is None and head.strip().lower() != "above"):
            raise Unclear(f"'{part}': begin with 'up to SIZE:', 'under SIZE:' or 'above:'")
        limit = limit_of(tail.strip())
        if found and not found[-1].up_to:
            raise Unclear("'above' stands last")
        if size is None:
            found.append(CapBySize(limit=limit))
            continue
        up_to_m2 = _area_m2(size[2])
        if found and up_to_m2 <= found[-1].up_to_m2 * 1.001:
            raise Unclear(f"'{part}': sizes of lots must rise")
        included = size[1].lower() == "up to"
        found.append(CapBySize(limit=limit, up_to=size[2], up_to_m2=up_to_m2, is_included=included))
    if not found or (len(found) == 1 and not found[0].up_to):
        raise Unclear("one limit for every lot needs no size")
    return tuple(found)


def base_of(text: str) -> str:
    """The kind of region that is taken off the lot; empty for the whole lot.

    Raises:
        Unclear: It is no basis that is known.
    """
    name = text.lower().removeprefix("the ")
    if name not in BASES:
        raise Unclear(f"'{text}': write {', '.join(BASES)}")
    return BASES[name]


def share_of(text: str) -> Portion:
    """How much of a surface counts: `25 % if run-on at most 1 and over open ground else full`.

    Raises:
        Unclear: It cannot be read.
    """
    head, has_if, tail = text.partition(" if ")
    words, has_each, size = head.partition(" each over ")
    each = size.strip() if has_each else ""
    each_m2 = _area_m2(each) if has_each else 0.0
    weight = weight_of(words.strip())
    if not has_if:
        return Portion(weight=weight, each_over=each, each_over_m2=each_m2)
    asked, has_else, rest = tail.partition(" else ")
    needs = tuple(_need(part.strip()) for part in asked.split(" and "))
    names = [need.attribute for need in needs]
    if len(set(names)) < len(names):
        raise Unclear(f"'{text}' asks twice for the same thing")
    otherwise = weight_of(rest.strip()) if has_else else None
    return Portion(
        weight=weight, needs=needs, otherwise=otherwise, each_over=each, each_over_m2=each_m2
    )


def _need(text: str) -> Need:
    if text.lower() in YES_OR_NO:
        attribute, wanted = YES_OR_NO[text.lower()]
        return Need(attribute=attribute, says=text, wanted=wanted)
    held = re.fullmatch(rf"(.+?) ({'|'.join(ORDERS)}) (.+)", text, re.IGNORECASE)
    if held is None:
        return _own(text)
    name = held[1].lower()
    if name not in AMOUNTS:
        hint = did_you_mean(name, AMOUNTS)
        raise Unclear(f"'{held[1]}' is not known here; {hint or ', '.join(AMOUNTS)}")
    attribute, dimension = AMOUNTS[name]
    try:
        read = read_amount(held[3], dimension)
    except UnreadableAmount as wrong:
        raise Unclear(str(wrong)) from wrong
    if not 0 < read.value_si < 1e9:
        raise Unclear(f"'{held[3]}' is no amount above zero")
    return Need(attribute=attribute, says=text, order=ORDERS[held[2].lower()], amount=held[3])


def _own(text: str) -> Need:
    """A condition in the text's own words: a yes or no that is asked of each such surface."""
    words = re.findall(r"[a-z]+", text.lower())
    if len(words) < 2 or any(c.isdigit() for c in text):
        raise Unclear(
            f"'{text}' is no condition: write like 'gap at least 1/4 in', or the words of the text"
        )
    return Need(attribute="_".join(["is", *words])[:60].rstrip("_"), says=text, is_own=True)


def yards_of(text: str) -> tuple[Yard, ...]:
    """Yards with their limits: `rear 25 ft: 50 %; front: 40 %`; `none` for none.

    Raises:
        Unclear: A part cannot be read.
    """
    if text.lower() == "none":
        return ()
    found: list[Yard] = []
    for part in filter(None, map(str.strip, text.split(";"))):
        head, colon, tail = part.partition(":")
        side, _, depth = head.strip().partition(" ")
        if not colon or side.lower() not in YARDS:
            raise Unclear(f"'{part}': begin with {', '.join(YARDS)}, then a depth if any, then ':'")
        if side.lower() in {yard.side for yard in found}:
            raise Unclear(f"the {side.lower()} yard stands twice")
        if depth:
            try:
                if read_amount(depth, LENGTH).value_si <= 0:
                    raise Unclear(f"'{depth}' is no depth of a yard")
            except UnreadableAmount as wrong:
                raise Unclear(str(wrong)) from wrong
        found.append(Yard(side=side.lower(), depth=depth.strip(), limit=limit_of(tail.strip())))
    if not found:
        raise Unclear("write none, or like 'rear 25 ft: 50 %'")
    return tuple(found)


def count_of(text: str) -> int:
    """A whole number of ways out; none is 0.

    Raises:
        Unclear: It is none.
    """
    if text.lower() == "none":
        return 0
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:4]) <= 9 or len(text) > 1:
        raise Unclear(f"'{text}': write none or a number from 1 to 9")
    return int(text)


def text_of(answer: Any) -> str:  # noqa: ANN401 - plain data from a file
    """An answer as text.

    Raises:
        Unclear: It is a list or group, or too long.
    """
    if answer is None:
        return ""
    if isinstance(answer, bool):
        raise Unclear("yes or no is no answer here")
    if isinstance(answer, float):
        raise Unclear(f"'{answer}' loses its last zeros: put it in quotes")
    if not isinstance(answer, str | int):
        raise Unclear("write the answer as one text")
    text = " ".join(str(answer).split())
    if len(text) > LONGEST:
        raise Unclear(f"is longer than {LONGEST} characters")
    return text


def slug(text: str) -> str:
    """A text as an id: lower-case words with dashes; empty where there is no letter in it."""
    words = re.findall(r"[a-z0-9]+", text.lower())
    return "-".join(words)[:60].rstrip("-") if words and words[0][0].isalpha() else ""
