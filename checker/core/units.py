"""Dimensions and amounts: reading "12 in", converting, showing, and the one comparison.

Inside the program every number is SI (metre, second, kilogram, dollar for money) and every
float's name ends in its unit. Amounts are read and shown at the edge only.
"""

from __future__ import annotations

import math
import re
from typing import Final, Literal

from checker.core.problems import CheckerError
from checker.core.records import Record

System = Literal["us", "metric"]
Order = Literal["at most", "at least", "less than", "more than", "equal to"]

RELATIVE_TOLERANCE: Final = 1e-9
"""Two amounts nearer than this share of the larger one are the same amount.

Lots exactly at their limit are common, and the same area computed along two ways differs in the
last digits of a double; 1e-9 of a lot is less than a pinhead.
"""


class UnreadableAmount(CheckerError):
    """A text is not an amount, or is one of another kind."""


class UnknownUnit(UnreadableAmount):
    """A text is an amount in a unit that nobody knows."""


class Dimension(Record):
    """Powers of length, time, mass and money, e.g. an area is length 2."""

    length: int = 0
    time: int = 0
    mass: int = 0
    money: int = 0

    def __mul__(self, other: Dimension) -> Dimension:
        return Dimension(
            self.length + other.length,
            self.time + other.time,
            self.mass + other.mass,
            self.money + other.money,
        )

    def __truediv__(self, other: Dimension) -> Dimension:
        return Dimension(
            self.length - other.length,
            self.time - other.time,
            self.mass - other.mass,
            self.money - other.money,
        )

    @property
    def name(self) -> str:
        """The word a person uses for it."""
        return _DIMENSION_NAMES.get(self, f"length^{self.length} time^{self.time}")


RATIO: Final = Dimension()
LENGTH: Final = Dimension(length=1)
AREA: Final = Dimension(length=2)
VOLUME: Final = Dimension(length=3)
TIME: Final = Dimension(time=1)
SPEED: Final = Dimension(length=1, time=-1)
FLOW: Final = Dimension(length=3, time=-1)
MASS: Final = Dimension(mass=1)
DENSITY: Final = Dimension(mass=1, length=-3)
FABRIC_MASS: Final = Dimension(mass=1, length=-2)
PER_TIME: Final = Dimension(time=-1)
MONEY: Final = Dimension(money=1)
MONEY_PER_AREA: Final = Dimension(money=1, length=-2)
MONEY_PER_LENGTH: Final = Dimension(money=1, length=-1)

_DIMENSION_NAMES: Final = {
    RATIO: "number or share",
    LENGTH: "length",
    AREA: "area",
    VOLUME: "volume",
    TIME: "time",
    SPEED: "rate",
    FLOW: "flow",
    MASS: "mass",
    DENSITY: "density",
    FABRIC_MASS: "mass per area",
    PER_TIME: "share per time",
    MONEY: "money",
    MONEY_PER_AREA: "price per area",
    MONEY_PER_LENGTH: "price per length",
}

FOOT_M: Final = 0.3048
SURVEY_FOOT_M: Final = 1200 / 3937
INCH_M: Final = 0.0254
_ACRE_M2: Final = 43560 * FOOT_M**2
_GALLON_M3: Final = 231 * INCH_M**3
_POUND_KG: Final = 0.45359237


class Unit(Record):
    """A unit: how it is written, its dimension and its size in SI."""

    name: str
    dimension: Dimension
    size_si: float
    spellings: tuple[str, ...] = ()


CURRENCIES: Final = (
    "CAD", "EUR", "GBP", "AUD", "NZD", "CHF", "SEK", "NOK", "DKK", "PLN", "CZK", "JPY", "MXN",
)  # fmt: skip
"""Currencies beside the dollar, by their ISO 4217 codes; a rule set counts in one of them."""

_SIGNS: Final = {"EUR": "€", "GBP": "£"}


def _money(code: str) -> tuple[Unit, ...]:
    sign = (_SIGNS[code],) if code in _SIGNS else ()
    return (
        Unit(code, MONEY, 1.0, (code.lower(), *sign)),
        Unit(f"{code}/m2", MONEY_PER_AREA, 1.0, (f"{code.lower()}/m2", *(f"{s}/m2" for s in sign))),
        Unit(f"{code}/sq ft", MONEY_PER_AREA, 1 / FOOT_M**2, (f"{code.lower()}/sq ft",)),
        Unit(f"{code}/m", MONEY_PER_LENGTH, 1.0, (f"{code.lower()}/m",)),
    )


UNITS: Final = (
    Unit("ft", LENGTH, FOOT_M, ("foot", "feet", "'", "′")),
    Unit("in", LENGTH, INCH_M, ("inch", "inches", '"', "″")),
    Unit("us survey ft", LENGTH, SURVEY_FOOT_M, ("survey ft", "us-survey-ft", "usft")),
    Unit("yd", LENGTH, 0.9144, ("yard", "yards")),
    Unit("ch", LENGTH, 66 * SURVEY_FOOT_M, ("chain", "chains")),
    Unit("link", LENGTH, 0.66 * SURVEY_FOOT_M, ("links", "lk")),
    Unit("rod", LENGTH, 16.5 * SURVEY_FOOT_M, ("rods", "pole", "poles", "perch", "perches")),
    Unit("mi", LENGTH, 5280 * FOOT_M, ("mile", "miles")),
    Unit("m", LENGTH, 1.0, ("metre", "metres", "meter", "meters")),
    Unit("cm", LENGTH, 0.01),
    Unit("mm", LENGTH, 0.001),
    Unit("km", LENGTH, 1000.0),
    Unit("sq ft", AREA, FOOT_M**2, ("sf", "sqft", "ft2", "ft²", "square feet", "square foot")),
    Unit("sq in", AREA, INCH_M**2, ("in2", "in²", "square inches")),
    Unit("sq yd", AREA, 0.9144**2, ("yd2", "yd²", "square yards")),
    Unit("acre", AREA, _ACRE_M2, ("ac", "acres")),
    Unit("m2", AREA, 1.0, ("m²", "sq m", "sqm", "square metres", "square meters")),
    Unit("ha", AREA, 10000.0, ("hectare", "hectares")),
    Unit("cu ft", VOLUME, FOOT_M**3, ("cf", "ft3", "ft³", "cubic feet", "cubic foot")),
    Unit("cu yd", VOLUME, 0.9144**3, ("cy", "yd3", "yd³", "cubic yards")),
    Unit("gal", VOLUME, _GALLON_M3, ("gallon", "gallons")),
    Unit("m3", VOLUME, 1.0, ("m³", "cu m", "cubic metres", "cubic meters")),
    Unit("L", VOLUME, 0.001, ("l", "litre", "litres", "liter", "liters")),
    Unit("s", TIME, 1.0, ("sec", "second", "seconds")),
    Unit("min", TIME, 60.0, ("minute", "minutes")),
    Unit("h", TIME, 3600.0, ("hr", "hour", "hours")),
    Unit("day", TIME, 86400.0, ("days", "d")),
    Unit("in/h", SPEED, INCH_M / 3600, ("in/hr", "iph")),
    Unit("ft/h", SPEED, FOOT_M / 3600, ("ft/hr",)),
    Unit("ft/day", SPEED, FOOT_M / 86400, ("ft/d",)),
    Unit("mm/h", SPEED, 0.001 / 3600, ("mm/hr",)),
    Unit("ft/s", SPEED, FOOT_M, ("fps",)),
    Unit("m/s", SPEED, 1.0),
    Unit("m/day", SPEED, 1 / 86400, ("m/d",)),
    Unit("cu ft/s", FLOW, FOOT_M**3, ("cfs", "ft3/s", "ft³/s")),
    Unit("gal/min", FLOW, _GALLON_M3 / 60, ("gpm",)),
    Unit("L/s", FLOW, 0.001, ("l/s",)),
    Unit("m3/s", FLOW, 1.0, ("m³/s",)),
    Unit("lb", MASS, _POUND_KG, ("pound", "pounds", "lbs")),
    Unit("ton", MASS, 2000 * _POUND_KG, ("tons", "short ton")),
    Unit("kg", MASS, 1.0),
    Unit("t", MASS, 1000.0, ("tonne", "tonnes")),
    Unit("lb/cu ft", DENSITY, _POUND_KG / FOOT_M**3, ("pcf", "lb/ft3")),
    Unit("ton/cu yd", DENSITY, 2000 * _POUND_KG / 0.9144**3, ("tons/cu yd", "ton/yd3")),
    Unit("kg/m3", DENSITY, 1.0, ("kg/m³",)),
    Unit("oz/sq yd", FABRIC_MASS, _POUND_KG / 16 / 0.9144**2, ("oz/yd2", "oz/sy")),
    Unit("g/m2", FABRIC_MASS, 0.001, ("gsm", "g/m²")),
    Unit("1/s", PER_TIME, 1.0, ("/s", "per s")),
    Unit("$", MONEY, 1.0, ("dollars", "dollar", "usd")),
    Unit("$/sq ft", MONEY_PER_AREA, 1 / FOOT_M**2, ("$/sf", "dollars/sq ft")),
    Unit("$/m2", MONEY_PER_AREA, 1.0, ("$/m²",)),
    Unit("$/ft", MONEY_PER_LENGTH, 1 / FOOT_M, ("$/lf", "dollars/ft")),
    Unit("$/m", MONEY_PER_LENGTH, 1.0),
    *(unit for code in CURRENCIES for unit in _money(code)),
    Unit("%", RATIO, 0.01, ("percent", "per cent", "pct")),
    Unit("", RATIO, 1.0),
    Unit("in/ft", RATIO, 1 / 12, ("in per ft", "inch per foot", "inches per foot", "in/foot")),
    Unit("ft/ft", RATIO, 1.0),
    Unit("mm/m", RATIO, 0.001),
)

UNIT: Final[dict[str, Unit]] = {
    spelling: unit for unit in UNITS for spelling in (unit.name, *unit.spellings)
}


class Amount(Record):
    """A number with its dimension; the number is in SI.

    Attributes:
        value_si: The number in metres, seconds, kilograms, dollars or their products.
        dimension: What kind of amount it is.
        unit: The unit in which it was written or should be shown; empty for the system's own.
    """

    value_si: float
    dimension: Dimension = RATIO
    unit: str = ""

    def to(self, unit: str) -> float:
        """The number in another unit.

        Raises:
            UnreadableAmount: The unit is unknown or of another dimension.
        """
        found = UNIT.get(unit)
        if found is None or found.dimension != self.dimension:
            raise UnreadableAmount(
                f"an amount of {self.dimension.name} cannot be shown in '{unit}'"
            )
        return self.value_si / found.size_si


def currency_of(value: Amount) -> str:
    """The currency of an amount of money, "$" for the dollar; empty for what is no money."""
    if not value.dimension.money or not value.unit:
        return ""
    code = value.unit.partition("/")[0]
    return code if code in CURRENCIES else "$"


def amount(number: float, unit: str) -> Amount:
    """An amount from a number in a unit.

    Raises:
        UnreadableAmount: The unit is unknown.
    """
    found = UNIT.get(unit)
    if found is None:
        raise UnreadableAmount(f"'{unit}' is not a known unit")
    return Amount(number * found.size_si, found.dimension, found.name)


_NUMBER: Final = r"(?:\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?"
_FRACTION: Final = rf"(?:(?P<whole>\d+)[ -])?(?P<top>\d+)/(?P<bottom>\d+)|(?P<number>{_NUMBER})"
_AMOUNT: Final = re.compile(
    rf"\s*(?P<sign>[-+−]?)\s*(?P<dollar>\$?)\s*(?:{_FRACTION})\s*(?P<unit>1/s|[^\d\s].*?)?\s*$"
)
_FEET_INCHES: Final = re.compile(
    rf"\s*(?P<sign>[-+−]?)\s*(?P<feet>{_NUMBER})\s*(?:ft|feet|foot|'|′)\s*-?\s*"
    rf"(?:{_FRACTION})\s*(?:in|inches|inch|\"|″)\s*$"
)
_ONE_TO: Final = re.compile(rf"\s*(?P<rise>{_NUMBER})\s*:\s*(?P<run>{_NUMBER})\s*$")


def read_amount(text: object, dimension: Dimension | None = None) -> Amount:
    """Read an amount as people write it: `12 in`, `1/4 in/ft`, `3'-6"`, `10,000 sq ft`, `1:48`.

    Args:
        text: A text, or a plain number where a share or count is meant.
        dimension: The kind that is wanted; None takes any.

    Raises:
        UnreadableAmount: It is no amount, its unit is unknown, or it is of another kind.

    Example:
        >>> round(read_amount("3 ft 6 in").value_si, 4)
        1.0668
        >>> round(read_amount("1/4 in/ft").value_si, 6) == round(read_amount("1:48").value_si, 6)
        True
    """
    try:
        read = _read(text)
    except UnknownUnit as unknown:
        known = [unit.name for unit in UNITS if unit.dimension == dimension and unit.name]
        do = f"; units of {article(dimension.name)}: {', '.join(known)}" if dimension else ""
        raise UnreadableAmount(f"{unknown}{do}") from unknown
    if math.isinf(read.value_si):
        raise UnreadableAmount(f"'{text}' is too large")
    if dimension is not None and read.dimension != dimension:
        example = next((unit.name for unit in UNITS if unit.dimension == dimension), "")
        is_bare = read.dimension == RATIO and read.unit == ""
        like = (
            f"'{text} in' or '{text} ft'" if is_bare and dimension == LENGTH else f"'12 {example}'"
        )
        wanted = f"; write it like {like}" if example else ""
        given = (
            f"'{text}' has no unit" if is_bare else (f"'{text}' is {article(read.dimension.name)}")
        )
        raise UnreadableAmount(f"{given}, but {article(dimension.name)} is wanted{wanted}")
    return read


def article(noun: str) -> str:
    """A noun with the article that fits it: an area, a length."""
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"


def _read(text: object) -> Amount:
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise UnreadableAmount(f"{text!r} is not an amount")
    if isinstance(text, int | float):
        return Amount(float(text), RATIO)
    if len(text) > 60:
        raise UnreadableAmount(f"'{text[:40]}...' is too long for an amount")
    if match := _ONE_TO.match(text):
        run = _number(match["run"])
        if run == 0:
            raise UnreadableAmount(f"'{text}' divides by zero")
        return Amount(_number(match["rise"]) / run, RATIO)
    if match := _FEET_INCHES.match(text):
        total_in = _number(match["feet"]) * 12 + _mixed(match)
        return _signed(match, Amount(total_in * INCH_M, LENGTH, "ft"))
    match = _AMOUNT.match(text)
    if match is None:
        raise UnreadableAmount(f"'{text}' is not an amount")
    written = " ".join((match["unit"] or "").lower().replace('"', "in").split())
    name = f"${written}" if match["dollar"] else written
    unit = UNIT.get(name) or UNIT.get(match["unit"] or "") or UNIT.get(name.replace(" per ", "/"))
    if unit is None:
        raise UnknownUnit(f"'{match['unit']}' in '{text}' is not a known unit")
    return _signed(match, Amount(_mixed(match) * unit.size_si, unit.dimension, unit.name))


def _number(text: str) -> float:
    return float(text.replace(",", ""))


def _mixed(match: re.Match[str]) -> float:
    if match["number"] is not None:
        return _number(match["number"])
    bottom = int(match["bottom"])
    if bottom == 0:
        raise UnreadableAmount(f"'{match.string}' divides by zero")
    return int(match["whole"] or 0) + int(match["top"]) / bottom


def _signed(match: re.Match[str], read: Amount) -> Amount:
    if match["sign"] in {"-", "−"}:
        return Amount(-read.value_si, read.dimension, read.unit)
    return read


def same(first: float, second: float, size: float = 0.0) -> bool:
    """Whether two numbers in the same unit are one amount within the one tolerance.

    Args:
        first: One of them; an infinite one is the same as itself alone.
        second: The other.
        size: The largest number that either was made from, >= 0, where that is more than they are
            themselves: 4,250 less 4,250 leaves what rounding left of 4,250, which is nothing.

    Example:
        >>> same(1e-10, 0.0), same(1e-10, 0.0, size=4250.0), same(float("inf"), 5.0)
        (False, True, False)
    """
    if first == second:
        return True
    if not (math.isfinite(first) and math.isfinite(second)):
        return False
    largest = max(abs(first), abs(second), size if math.isfinite(size) else 0.0)
    return abs(first - second) <= RELATIVE_TOLERANCE * largest


def meets(measured: float, limit: float, order: Order, size: float = 0.0) -> bool:
    """The one comparison with a limit: exactly at it counts as the rule's own words say.

    Args:
        measured: What is there.
        limit: What is asked, in the same unit.
        order: The rule's own wording; "at most" and "at least" include the limit itself.
        size: The largest number that either was made from; see `same`.

    Example:
        >>> meets(0.4 * 1.5 * 500, 300, "at most"), meets(300, 300, "less than")
        (True, False)
    """
    at_limit = same(measured, limit, size)
    if order == "equal to":
        return at_limit
    if order == "at most":
        return at_limit or measured < limit
    if order == "at least":
        return at_limit or measured > limit
    if order == "less than":
        return not at_limit and measured < limit
    return not at_limit and measured > limit


def settled(value: float, size: float) -> float:
    """A sum or difference; exactly zero where only rounding is left of the terms.

    Args:
        value: What came out.
        size: The largest of the terms, >= 0.
    """
    return 0.0 if same(value, 0.0, size) else value
