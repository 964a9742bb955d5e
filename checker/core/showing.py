"""Amounts as text: the unit of each system, rounding, texts that differ as amounts do.

What is measured is rounded half up. What is still allowed is rounded down and what must be had up,
so that whoever keeps to the printed number keeps to the true one: `LIMIT_WAYS`, `ROOM_WAY`.
"""

from __future__ import annotations

import math
import re
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from functools import lru_cache
from itertools import accumulate
from typing import TYPE_CHECKING, Final

from checker.core.units import (
    AREA,
    CURRENCIES,
    DENSITY,
    FABRIC_MASS,
    FLOW,
    FOOT_M,
    LENGTH,
    MASS,
    MONEY,
    MONEY_PER_AREA,
    MONEY_PER_LENGTH,
    PER_TIME,
    RATIO,
    SPEED,
    TIME,
    UNIT,
    UNITS,
    VOLUME,
    Amount,
    same,
)

if TYPE_CHECKING:
    from checker.core.rounding import RoundingWay
    from checker.core.units import Dimension, System

SHOWN: Final[dict[System, dict[Dimension, tuple[str, int]]]] = {
    "us": {
        RATIO: ("", 4), LENGTH: ("ft", 2), AREA: ("sq ft", 0), VOLUME: ("cu ft", 1),
        TIME: ("h", 1), SPEED: ("in/h", 2), FLOW: ("gal/min", 1), MASS: ("lb", 0),
        DENSITY: ("lb/cu ft", 1), FABRIC_MASS: ("oz/sq yd", 1), PER_TIME: ("1/s", 2),
        MONEY: ("$", 2), MONEY_PER_AREA: ("$/sq ft", 2), MONEY_PER_LENGTH: ("$/ft", 2),
    },
    "metric": {
        RATIO: ("", 4), LENGTH: ("m", 3), AREA: ("m2", 2), VOLUME: ("m3", 2),
        TIME: ("h", 1), SPEED: ("mm/h", 1), FLOW: ("L/s", 2), MASS: ("kg", 0),
        DENSITY: ("kg/m3", 0), FABRIC_MASS: ("g/m2", 0), PER_TIME: ("1/s", 2),
        MONEY: ("$", 2), MONEY_PER_AREA: ("$/m2", 2), MONEY_PER_LENGTH: ("$/m", 2),
    },
}  # fmt: skip
"""The unit and the number of decimals in which each dimension is shown, per system."""

SMALL_LENGTHS: Final[dict[System, dict[str, str]]] = {
    "us": {"in": "in", "mm": "mm"},
    "metric": {"in": "mm", "mm": "mm", "cm": "mm"},
}
"""A length written in one of these is shown in a small unit, since 1/8 in is no 0.01 ft."""

FAST: Final[dict[System, str]] = {"us": "ft/s", "metric": "m/s"}
"""A speed written in one of these is of flowing water, not of rain or soil."""

MORE_PLACES: Final = 3
"""So many decimals more a small number gets at most; below that it is next to nothing."""

NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_UNIT_NAMES: Final = frozenset(unit.name for unit in UNITS)
_AFTER_NUMBER: Final = re.compile(r"(?<=\d) (?=([\w/$%]+)(?: ([\w/$%]+))?(?: ([\w/$%]+))?)")
"""The space behind a number, and the next words: names of units have up to three."""

ENDLESS: Final[dict[Dimension, str]] = {
    LENGTH: "none found",
    RATIO: "none found",
    SPEED: "none found",
    TIME: "never",
}
"""What an infinite amount means: a distance to, or room of, what is not there; a time that does not
come."""

LIMIT_WAYS: Final[dict[str, RoundingWay]] = {
    "at most": "down", "less than": "down", "at least": "up", "more than": "up",
    "equal to": "nearest", "": "nearest",
}  # fmt: skip
"""How a limit is rounded: the most that is allowed down, the least that must be had up.

By how a rule compares; without an order it is no limit.
"""

ROOM_WAY: Final[RoundingWay] = "down"
"""How room is rounded, less than none where a limit is missed: so what is lacking is rounded up."""

_MODES: Final[dict[RoundingWay, str]] = {
    "nearest": ROUND_HALF_UP, "down": ROUND_FLOOR, "up": ROUND_CEILING,
}  # fmt: skip

EXACT_TO: Final = 1e15
"""Beyond it a double has no decimals left to round, and exact decimals run out of digits."""


@lru_cache(maxsize=8192)
def show_number(number: float, decimals: int, way: RoundingWay = "nearest") -> str:
    """A number with thousands commas and a fixed number of decimals.

    Halves are rounded up, or all is rounded toward plus or minus infinity. A number within the one
    tolerance of a round one is that one, whichever way.

    Example:
        >>> show_number(47.25, 1), show_number(-0.001, 2), show_number(4725, 0)
        ('47.3', '0.00', '4,725')
        >>> show_number(400.5, 0, "down"), show_number(-400.5, 0, "down")
        ('400', '-401')
    """
    if not abs(number) < EXACT_TO:
        return f"{number:,.{decimals}f}"
    quantum = Decimal(1).scaleb(-decimals)
    value = Decimal(repr(float(number)))
    near = value.quantize(Decimal(1).scaleb(-decimals - 6), ROUND_HALF_UP)
    shown = near.quantize(quantum, ROUND_HALF_UP)
    if way != "nearest" and near != 0 and not same(float(shown), number):
        shown = value.quantize(quantum, _MODES[way])
    if shown == 0:
        shown = abs(shown)
    return f"{shown:,f}"


def system_of(unit: str) -> System:
    """The system that a unit of length belongs to."""
    return "metric" if unit in {"m", "cm", "mm", "km"} else "us"


def length_in(length_m: float, unit: str, decimals: int = 3) -> str:
    """A length as text in the unit of a file, as every message about that file says it.

    Example:
        >>> length_in(0.3048, "ft"), length_in(1.5, "m", 2)
        ('1.000 ft', '1.50 m')
    """
    return f"{show_number(length_m / UNIT[unit].size_si, decimals)} {unit}"


def small_in(length_m: float, system: System) -> str:
    """A small length, a pipe or a course of stone, as text: inches or whole millimetres."""
    if system == "metric":
        return f"{length_m * 1000:.0f} mm"
    return f"{length_m / UNIT['in'].size_si:.3g} in"


_NAMED_LENGTH: Final = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) (in|ft|mm|cm|m)(?![\w/])")


def named_in(text: str, system: System) -> str:
    """A name with its lengths said in a system, such as that of a size in stock.

    Example:
        >>> named_in("36 in by 4 ft", "metric"), named_in("110 mm", "us"), named_in("4 in", "us")
        ('914 mm by 1.22 m', '4.33 in', '4 in')
    """

    def said(found: re.Match[str]) -> str:
        number, unit = found.groups()
        if system_of(unit) == system:
            return found[0]
        length_m = float(number) * UNIT[unit].size_si
        if unit in {"ft", "m"}:
            return f"{length_m:.3g} m" if system == "metric" else f"{length_m / FOOT_M:.3g} ft"
        return small_in(length_m, system)

    return _NAMED_LENGTH.sub(said, text)


def held_together(text: str) -> str:
    """A text in which no line may end between a number and its unit: 25 %, 500 sq ft.

    The spaces there, and inside the unit, are no-break ones until the lines are made.
    """

    def between(found: re.Match[str]) -> str:
        names = accumulate(filter(None, found.groups()), "{} {}".format)
        return " " if _UNIT_NAMES.isdisjoint(names) else NO_BREAK

    held = _AFTER_NUMBER.sub(between, text)
    for unit in ("sq ft", "cu ft", "sq yd", "cu yd"):
        held = held.replace(f"{NO_BREAK}{unit}", f"{NO_BREAK}{unit.replace(' ', NO_BREAK)}")
    return held


def unit_for(dimension: Dimension, system: System) -> tuple[str, int]:
    """The unit and decimals in which a dimension is shown in a system."""
    return SHOWN[system].get(dimension, ("", 4))


def show(
    value: Amount,
    system: System,
    *,
    decimals: int | None = None,
    signed: bool = False,
    way: RoundingWay = "nearest",
) -> str:
    """An amount as text in a system's unit, e.g. `4,725 sq ft`.

    An amount that was written in per cent stays in per cent, one written in inches or millimetres
    stays in a small unit, and a price keeps its sign first. One below 1 keeps two figures that say
    something: 0.006 L/s is not 0.01.
    """
    if math.isinf(value.value_si):
        return ENDLESS.get(value.dimension, "without end")
    is_small = value.dimension == LENGTH and value.unit in SMALL_LENGTHS[system]
    is_bare = value.dimension == RATIO and value.unit not in {"%", "in/ft"}
    unit, places = _unit_of(value, system)
    number = value.to(unit) if unit in UNIT else value.value_si
    if is_small or is_bare:
        places = _fitting(number, unit)
    if decimals is not None:
        text = show_number(number, decimals, way)
    elif value.dimension == MONEY:
        text = show_number(number, places, way)
    else:
        text = _with_two_figures(number, places, way)
    if (is_small or is_bare) and "." in text:
        text = text.rstrip("0").rstrip(".")
    sign = "+" if signed and number > 0 else ""
    if unit.startswith("$"):
        return f"{sign}${text}{unit[1:]}"
    return f"{sign}{text} {unit}".rstrip()


def _unit_of(value: Amount, system: System) -> tuple[str, int]:
    """The unit and the decimals of an amount, by what it was written in."""
    unit, places = unit_for(value.dimension, system)
    if value.dimension == LENGTH:
        unit = SMALL_LENGTHS[system].get(value.unit, unit)
    elif value.dimension == RATIO and value.unit in {"%", "in/ft"}:
        unit, places = value.unit, 2 if value.unit == "%" else 3
    elif value.dimension == SPEED and value.unit in FAST.values():
        unit, places = FAST[system], 2
    elif value.dimension == MONEY and value.unit in CURRENCIES:
        unit = value.unit
    return unit, places


def _fitting(number: float, unit: str) -> int:
    """The decimals of a quotient or a small length: its own where few, else as measured."""
    most, as_measured = {"in": (4, 2), "mm": (3, 1)}.get(unit, (4, 2 if abs(number) >= 1 else 3))
    return most if same(number, round(number, most)) else as_measured


def _with_two_figures(number: float, places: int, way: RoundingWay) -> str:
    """A number with so many decimals, and more where a small one would lose its figures."""
    text = show_number(number, places, way)
    if not 10.0 ** -(places + MORE_PLACES) <= abs(number) < 1:
        return text
    own = 1 - math.floor(math.log10(abs(number)))
    if own <= places:
        return text
    longer = show_number(number, own, way)
    while longer.endswith("0") and len(longer.partition(".")[2]) > max(places, 1):
        longer = longer[:-1]
    return longer


def show_pair(first: Amount, second: Amount, system: System, order: str = "") -> tuple[str, str]:
    """Two amounts as texts that differ, and are in order, whenever the amounts do and are.

    Digits are added until then, so that a page never says "45.0 % against 45.0 %, not met", nor
    "901 against at most 900, met" of 900.6 and 900.7.

    Args:
        first: An amount, such as one that was measured.
        second: Another one, such as its limit.
        system: The units.
        order: How a rule compares them, if one does: the second is a limit and rounded as one.
    """
    way = LIMIT_WAYS[order]
    texts = show(first, system), show(second, system, way=way)
    if first.dimension != second.dimension:
        return texts
    is_one = same(first.value_si, second.value_si)
    start = len(texts[0].split()[0].partition(".")[2])
    for decimals in range(start + 1, start + 11):
        if is_in_order(first, second, texts):
            return texts
        texts = (
            show(first, system, decimals=decimals),
            show(second, system, decimals=decimals, way=way),
        )
    return (texts[1], texts[1]) if is_one else texts


def is_in_order(first: Amount, second: Amount, texts: tuple[str, str]) -> bool:
    """Whether two texts are alike where the amounts are one, and else differ the way they do."""
    if same(first.value_si, second.value_si):
        return texts[0] == texts[1]
    numbers = [number_of(text) for text in texts]
    return (numbers[0] < numbers[1]) == (first.value_si < second.value_si) and texts[0] != texts[1]


def number_of(text: str) -> Decimal:
    """The number of a text, which stands first in it: "−1,238.8 sq ft", "+$4.20/sq ft"."""
    bare = text.partition(" ")[0].partition("/")[0]
    return Decimal(bare.replace(",", "").replace("−", "-").replace("$", "").lstrip("+"))
