"""How amounts, statuses and places are worded on every page.

Texts that stand side by side differ whenever their amounts do, a margin that is not met never
prints as zero, a limit and the room under it are never printed wider than they are
(`core.showing`), and what a file says is made harmless to print before anything else sees it.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from checker.core.showing import (
    LIMIT_WAYS,
    ROOM_WAY,
    is_in_order,
    number_of,
    show,
    show_number,
    show_pair,
    unit_for,
)
from checker.core.units import AREA, INCH_M, LENGTH, Amount, same

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.algebra.values import Quantity
    from checker.core.problems import Place
    from checker.core.rounding import RoundingWay
    from checker.core.units import System
    from checker.findings.model import Status

SIGNS: Final[dict[Status, str]] = {
    "fails": "✗",
    "cannot tell": "?",
    "unanswered": "?–",
    "relief possible": "±",
    "passes with conditions": "✓+",
    "passes": "✓",
    "does not apply": "–",
    "not in force": "×",
}
"""A sign beside the word of each status, so that nothing is told by colour alone."""

_WHOLE: Final = 1e-9
"""A number so near a round one is that number: what is left of sums in floating point."""

NOT_KNOWN: Final = "not known"
NOTHING: Final = "–"

_UNPRINTABLE: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
"""Unicode classes that a page cannot show or that turn its text around."""


_ACTIVE: Final = re.compile(r"((?:^|[;|\t\r\n])[\s\"]*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])")


def part_text(name: str) -> str:
    """What can be blocked, in words: a part of a store is named in the network by a stroke.

    Example:
        >>> part_text("main"), part_text("dry-well/soil")
        ('main', 'soil of dry-well')
    """
    store, _, part = clean(name).partition("/")
    return f"{part} of {store}" if part else store


def clean(text: object) -> str:
    """A text of a file as pages may print it: one line, without control or direction signs."""
    raw = str(text)
    if raw.isascii() and raw.isprintable():
        return " ".join(raw.split())
    kept = (" " if unicodedata.category(sign) in _UNPRINTABLE else sign for sign in raw)
    return " ".join("".join(kept).split())


def inert(text: str) -> str:
    """A text for a cell that no spreadsheet takes for a formula, nor any part that it splits off.

    Some take blanks away before they look, and some split a line at semicolons or tabs.
    """
    return _ACTIVE.sub(r"\1'", text)


def capital(text: str) -> str:
    """A text with its first letter in upper case."""
    return f"{text[:1].upper()}{text[1:]}"


def plural(count: int, noun: str, several: str = "") -> str:
    """A count with its noun: 1 rule, 2 rules."""
    return f"{count} {noun if count == 1 else several or noun + 's'}"


def small(length_m: float, system: System) -> str:
    """A small length: inches as mixed fractions where they are sixteenths, or millimetres.

    Example:
        >>> small(2.375 * 0.0254, "us"), small(0.0605, "us"), small(0.0508, "metric")
        ('2-3/8 in', '2.38 in', '50.8 mm')
    """
    sixteenths = length_m / INCH_M * 16
    if system != "us":
        return f"{show_number(length_m * 1000, 1).removesuffix('.0')} mm"
    if not same(sixteenths, round(sixteenths)):
        return show(Amount(length_m, LENGTH, "in"), system)
    whole, rest = divmod(round(sixteenths), 16)
    if rest == 0:
        return f"{whole} in"
    share = Fraction(rest, 16)
    return f"{whole}-{share} in" if whole else f"{share} in"


def place_text(place: Place) -> str:
    """File and line; of a file outside the package its name alone, never a folder."""
    file = place.file.replace("\\", "/")
    if not file.startswith(("rules/", "jurisdictions/")):
        file = file.rsplit("/", 1)[-1]
    return clean(f"{file}:{place.line}" if place.line else file)


def shown(
    value: Amount,
    system: System,
    area_decimals: int | None = None,
    way: RoundingWay = "nearest",
) -> str:
    """An amount as text; an area with the decimals of the worksheets, whole where it is whole.

    Example:
        >>> shown(Amount(100, LENGTH), "metric"), shown(Amount(1.5, AREA), "metric", 3)
        ('100.000 m', '1.50 m2')
    """
    if area_decimals is None or value.dimension != AREA or math.isinf(value.value_si):
        return show(value, system, way=way)
    unit, least = unit_for(AREA, system)
    number = value.to(unit)
    if abs(number - round(number, least)) < _WHOLE:
        return show(value, system, decimals=least)
    decimals = max(least, area_decimals)
    text = show(value, system, decimals=decimals, way=way)
    # What would print as nothing keeps two figures.
    is_told = round(number, decimals) and number_of(text)
    return text if is_told else show(value, system, way=way)


def pair_text(
    first: Amount,
    second: Amount,
    system: System,
    area_decimals: int | None = None,
    order: str = "",
) -> tuple[str, str]:
    """Two amounts that are compared: their texts differ whenever they do.

    With an order the second is the limit of the first, and rounded as limits are.
    """
    first = _like(first, second)
    way = LIMIT_WAYS[order]
    texts = shown(first, system, area_decimals), shown(second, system, area_decimals, way)
    is_endless = math.isinf(first.value_si) or math.isinf(second.value_si)
    if is_endless or first.dimension != second.dimension or is_in_order(first, second, texts):
        return texts
    return show_pair(first, second, system, order)


def margin_text(margin: Amount, system: System, area_decimals: int | None = None) -> str:
    """Room left with its sign, rounded down: less room, or more that is lacking.

    Never zero unless it is zero.
    """
    if math.isinf(margin.value_si):
        return NOTHING
    text = shown(margin, system, area_decimals, ROOM_WAY)
    if margin.value_si != 0 and not number_of(text):
        nothing = Amount(0.0, margin.dimension, margin.unit)
        text, _ = show_pair(margin, nothing, system)
    return signed(margin, text)


def change_text(change: Amount, system: System, area_decimals: int | None = None) -> str:
    """More or less of something with its sign, rounded half up; never zero unless it is zero."""
    if math.isinf(change.value_si):
        return NOTHING
    nothing = Amount(0.0, change.dimension, change.unit)
    return signed(change, pair_text(change, nothing, system, area_decimals)[0])


def signed(amount: Amount, text: str) -> str:
    """The text of an amount with its sign."""
    return f"+{text}" if amount.value_si > 0 else _signed(text)


STRICT: Final[frozenset[str]] = frozenset({"less than", "more than"})
"""Orders under which exactly the limit is not allowed, so that room may not be used up."""


def room_text(margin: str, order: str) -> str:
    """Room that is left, as a margin says it, in words: "272 sq ft", "less than 272 sq ft"."""
    room = margin.removeprefix("+")
    return f"less than {room}" if order in STRICT else room


def trio_text(
    measured: Amount,
    limit: Amount,
    margin: Amount,
    system: System,
    area_decimals: int | None,
    order: str,
) -> tuple[str, str, str]:
    """Measured, limit and margin as texts that add up as they are printed, where they can.

    4,821 less 3,582.4 leaves 1,238.6: to whole numbers 4,821 less 3,582 would leave 1,239. Areas
    get the decimals at which this adds up, those of the page where they are given
    (`words.coverage`); all else stands elsewhere too, in decimals of its own. The room is never
    printed wider than the printed limit leaves it, nor than it is.
    """
    first, second = pair_text(measured, limit, system, area_decimals, order)
    room = _like(margin, limit)
    third = margin_text(room, system, area_decimals)
    is_endless = any(math.isinf(a.value_si) for a in (measured, limit, margin))
    if is_endless or measured.dimension != limit.dimension:
        return first, second, third
    if area_decimals is None and measured.dimension == AREA:
        least = max(map(_decimals_of, (first, second, third)))
        for decimals in range(least, least + 3):
            if adds_up(first, second, third):
                return first, second, third
            first = show(measured, system, decimals=decimals)
            second = show(limit, system, decimals=decimals, way=LIMIT_WAYS[order])
            third = signed(room, show(room, system, decimals=decimals, way=ROOM_WAY))
    if measured.dimension != AREA and _decimals_of(third) > max(map(_decimals_of, (first, second))):
        # A small difference of two numbers is told no closer than they are, unless it were nothing.
        decimals = max(map(_decimals_of, (first, second)))
        coarse = signed(room, show(room, system, decimals=decimals, way=ROOM_WAY))
        third = coarse if number_of(coarse) else third
    return first, second, _no_wider(third, first, second) if margin.value_si > 0 else third


def _no_wider(room: str, measured: str, limit: str) -> str:
    """Room as text; no more of it than lies between the printed number and its printed limit."""
    first, second = number_of(measured), number_of(limit)
    between = abs(second - first)
    return room if number_of(room) <= between else room.replace(_bare(room), f"{between:,f}")


def _bare(text: str) -> str:
    """The digits of a text: "1,238.8" of "+1,238.8 sq ft"."""
    return text.partition(" ")[0].partition("/")[0].lstrip("+−$")


def adds_up(measured: str, limit: str, margin: str) -> bool:
    """Whether the printed room is what lies between the printed number and its printed limit."""
    first, second, room = map(number_of, (measured, limit, margin))
    return room in (second - first, first - second)


def _like(amount: Amount, other: Amount) -> Amount:
    """An amount to be shown in the unit of another one of its kind."""
    if amount.dimension != other.dimension or amount.unit == other.unit:
        return amount
    return Amount(amount.value_si, amount.dimension, other.unit)


def _decimals_of(text: str) -> int:
    return len(text.partition(" ")[0].partition(".")[2])


def range_text(
    value: Quantity,
    system: System,
    area_decimals: int | None = None,
    way: RoundingWay = "nearest",
) -> str:
    """A number that may be uncertain: "4,642 sq ft", "2,587 to 4,528 sq ft", "not known"."""
    low, high = value.end(high=False), value.end(high=True)
    if low is None and high is None:
        return NOT_KNOWN
    if low is None or high is None:
        known = low or high
        assert known is not None
        text = shown(known, system, area_decimals, way)
        return f"{text} or {'more' if high is None else 'less'}"
    if value.is_certain:
        return shown(low, system, area_decimals, way)
    if way == "nearest":
        first, second = pair_text(low, high, system, area_decimals)
    else:
        first, second = (shown(end, system, area_decimals, way) for end in (low, high))
    (number_text, _, unit), (_, _, other) = first.partition(" "), second.partition(" ")
    return f"{number_text if unit == other else first} to {second}"


def fixed_text(low: float, high: float, decimals: int) -> str:
    """A table cell without its unit: a number, or a range of two."""
    first = _signed(show_number(low, decimals))
    second = first if low == high else _signed(show_number(high, decimals))
    return first if first == second else f"{first} to {second}"


def _signed(text: str) -> str:
    return text.replace("-", "−", 1)


MOST_DECIMALS: Final = 2
AddsUp = Callable[[int], bool]
"""Whether what is printed adds up, with so many decimals."""


def decimals_that_add_up(wanted: Sequence[Sequence[AddsUp]], least: int) -> int:
    """The fewest decimals at which printed parts add up to their printed sums.

    Args:
        wanted: What must add up; where not all of it does with any decimals, the first group that
            does by itself decides.
        least: The decimals to start from; beyond two nobody measures an area.

    Returns:
        The decimals; those that add up best are not sought, the page says that it rounds.
    """
    for group in ([tried for each in wanted for tried in each], *wanted):
        for decimals in range(least, MOST_DECIMALS + 1):
            if all(adds_up(decimals) for adds_up in group):
                return decimals
    return least


def sum_that_adds_up(parts: Sequence[float], total: float) -> AddsUp:
    """Parts with their sum, in the unit of the page."""

    def printed(number: float, decimals: int) -> int:
        return int(show_number(number, decimals).replace(",", "").replace(".", ""))

    def is_whole() -> bool:
        return all(abs(number - round(number)) < _WHOLE for number in (*parts, total))

    def tried(decimals: int) -> bool:
        if is_whole():
            return sum(map(round, parts)) == round(total)
        return sum(printed(part, decimals) for part in parts) == printed(total, decimals)

    return tried


def limit_that_adds_up(
    measured: Amount, limit: Amount, margin: Amount, order: str, system: System
) -> AddsUp:
    """A number with its limit and room: they add up, and an area that the law names stays as it is.

    Example:
        >>> from checker.core.units import amount
        >>> used, most, left = (amount(number, "sq ft") for number in (400, 562.5, 162.5))
        >>> tried = limit_that_adds_up(used, most, left, "at most", "us")
        >>> tried(0), tried(1)
        (False, True)
    """
    unit, least = unit_for(AREA, system)
    number = limit.to(unit)
    is_named = limit.unit == unit and same(number, round(number, least + 2))

    def tried(decimals: int) -> bool:
        texts = trio_text(measured, limit, margin, system, decimals, order)
        is_as_named = not is_named or same(float(number_of(texts[1])), number)
        return is_as_named and adds_up(*texts)

    return tried
