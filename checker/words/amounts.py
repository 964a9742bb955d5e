"""How amounts, statuses and places are worded on every page: the one home of rounding.

Texts that stand side by side differ whenever their amounts do, a margin that is not met never
prints as zero, and what a file says is made harmless to print before anything else sees it.
"""

from __future__ import annotations

import math
import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from checker.core.rounding import rounded
from checker.core.showing import show, show_number, show_pair, unit_for
from checker.core.units import AREA, INCH_M, LENGTH, RATIO, Amount, same

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from checker.algebra.values import Quantity
    from checker.core.problems import Place
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
        ('2-3/8 in', '2.382 in', '50.8 mm')
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


def shown(value: Amount, system: System, area_decimals: int | None = None) -> str:
    """An amount as text; an area with the decimals of the worksheets, whole where it is whole.

    Example:
        >>> shown(Amount(100, LENGTH), "metric"), shown(Amount(1.5, AREA), "metric", 3)
        ('100.000 m', '1.50 m2')
    """
    if area_decimals is None or value.dimension != AREA or math.isinf(value.value_si):
        return show(value, system)
    unit, least = unit_for(AREA, system)
    number = value.to(unit)
    if abs(number - round(number, least)) < _WHOLE:
        return show(value, system, decimals=least)
    decimals = max(least, area_decimals)
    # What would print as nothing keeps two figures.
    return show(value, system, decimals=decimals if round(number, decimals) else None)


def pair_text(
    first: Amount, second: Amount, system: System, area_decimals: int | None = None
) -> tuple[str, str]:
    """Two amounts that are compared: their texts differ whenever they do."""
    first = _like(first, second)
    texts = shown(first, system, area_decimals), shown(second, system, area_decimals)
    is_endless = math.isinf(first.value_si) or math.isinf(second.value_si)
    return texts if is_endless or texts[0] != texts[1] else show_pair(first, second, system)


def margin_text(margin: Amount, system: System, area_decimals: int | None = None) -> str:
    """Room left with its sign; never zero unless it is zero."""
    if math.isinf(margin.value_si):
        return NOTHING
    nothing = Amount(0.0, margin.dimension, margin.unit)
    text, _ = pair_text(margin, nothing, system, area_decimals)
    return f"+{text}" if margin.value_si > 0 else text.replace("-", "−", 1)


def trio_text(
    measured: Amount,
    limit: Amount,
    margin: Amount,
    system: System,
    area_decimals: int | None = None,
) -> tuple[str, str, str]:
    """Measured, limit and margin as texts that add up as they are printed, where they can.

    4,821.4 less 3,582.6 leaves 1,238.8: to whole numbers 4,821 less 3,583 would leave 1,239.
    """
    first, second = pair_text(measured, limit, system, area_decimals)
    if math.isinf(margin.value_si) or measured.dimension == RATIO:
        return first, second, margin_text(margin, system)
    texts = (first, second, margin_text(_like(margin, limit), system, area_decimals))
    if measured.dimension == LENGTH:
        return texts  # a length stands in drawings too, with the decimals of every length
    least = max(map(_decimals_of, texts))
    for decimals in range(least, least + 3):
        if _difference_adds_up(*texts):
            return texts
        more = [show(_like(a, limit), system, decimals=decimals) for a in (measured, limit, margin)]
        texts = (more[0], more[1], ("+" if margin.value_si > 0 else "") + _signed(more[2]))
    return texts


def _difference_adds_up(measured: str, limit: str, margin: str) -> bool:
    first, second, room = (
        Decimal(text.partition(" ")[0].replace(",", "").replace("−", "-").lstrip("+$"))
        for text in (measured, limit, margin)
    )
    return room in (second - first, first - second)


def _like(amount: Amount, other: Amount) -> Amount:
    """An amount to be shown in the unit of another one of its kind."""
    if amount.dimension != other.dimension or amount.unit == other.unit:
        return amount
    return Amount(amount.value_si, amount.dimension, other.unit)


def _decimals_of(text: str) -> int:
    return len(text.partition(" ")[0].partition(".")[2])


def at_least_text(value: Amount, system: System) -> str:
    """An amount that must be reached: rounded up, so that the printed one is enough."""
    unit, decimals = unit_for(value.dimension, system)
    if value.dimension == RATIO:
        unit, decimals = ("%", 2) if value.unit == "%" else ("", 4)
    number = value.to(unit)
    step = rounded(number, 10.0**-decimals, "up") / number if number else 0.0
    return show(Amount(value.value_si * step, value.dimension, value.unit), system)


def range_text(value: Quantity, system: System, area_decimals: int | None = None) -> str:
    """A number that may be uncertain: "4,642 sq ft", "2,587 to 4,528 sq ft", "not known"."""
    low, high = value.end(high=False), value.end(high=True)
    if low is None and high is None:
        return NOT_KNOWN
    if low is None or high is None:
        known = low or high
        assert known is not None
        text = shown(known, system, area_decimals)
        return f"{text} or {'more' if high is None else 'less'}"
    if value.is_certain:
        return shown(low, system, area_decimals)
    first, second = pair_text(low, high, system, area_decimals)
    (number_text, _, unit), (_, _, other) = first.partition(" "), second.partition(" ")
    return f"{number_text if unit == other else first} to {second}"


def fixed_text(low: float, high: float, decimals: int) -> str:
    """A table cell without its unit: a number, or a range of two."""
    first = _signed(show_number(low, decimals))
    second = first if low == high else _signed(show_number(high, decimals))
    return first if first == second else f"{first} to {second}"


def _signed(text: str) -> str:
    return text.replace("-", "−", 1)


def decimals_that_add_up(sums: Iterable[tuple[Sequence[float], float]], least: int) -> int:
    """The fewest decimals at which printed parts add up to their printed sums.

    Args:
        sums: Parts with their sum, in the unit of the page.
        least: The decimals to start from; at most two more are tried.

    Returns:
        The decimals; those that add up best are not sought, the page says that it rounds.
    """
    known = [(tuple(parts), total) for parts, total in sums]
    for decimals in range(least, least + 3):
        if all(_adds_up(parts, total, decimals) for parts, total in known):
            return decimals
    return least


def _adds_up(parts: Sequence[float], total: float, decimals: int) -> bool:
    if all(abs(number - round(number)) < 1e-9 for number in (*parts, total)):
        return sum(map(round, parts)) == round(total)

    def printed(number: float) -> int:
        return int(show_number(number, decimals).replace(",", "").replace(".", ""))

    return sum(map(printed, parts)) == printed(total)
