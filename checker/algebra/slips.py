"""Slips of the pen that would change the law: what a limit was likely meant to be."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.walk import nodes
from checker.core.showing import unit_for
from checker.core.units import AREA, LENGTH, RATIO, article

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.vocabulary import Vocabulary
    from checker.core.units import Dimension

_WHOLES: Final = frozenset({"lot_area", "recorded_lot_area"})


def unlike(
    measured: n.Number, own: Dimension, found: Dimension, given: object, words: Vocabulary
) -> tuple[str, str]:
    """What is wrong with a limit of another kind than what is measured, and what to write.

    Args:
        measured: What is compared.
        own: Its kind.
        found: The kind of the limit.
        given: The limit as the file writes it.
        words: The names of the file.
    """
    what = _called(measured, words)
    if not isinstance(given, str | int | float):
        return (
            f"{what} is {article(own.name)}, and this limit is {article(found.name)}",
            "compare amounts of one kind",
        )
    shown = f"{given:,}" if isinstance(given, int | float) else given
    has_unit = any(sign.isalpha() or sign in "%$€£'\"" for sign in str(given))
    if found == RATIO and not has_unit:
        says = f"'{given}' has no unit"
        if own == LENGTH:
            return says, f"write it like '{shown} in' or '{shown} ft'"
        do = f"write it like '{shown} {unit_for(own, 'us')[0]}'"
        if own == AREA and _is_per_cent(given):
            do += f", or as a share of the lot: {{percent: {given}, of: lot_area}}"
        return says, do
    says = f"'{given}' is {article(found.name)}, and {what} is {article(own.name)}"
    if found == RATIO and own == AREA and str(given).rstrip().endswith("%"):
        number = str(given).rstrip().rstrip("%").strip()
        return says, f"say of what it is a share: {{percent: {number}, of: lot_area}}"
    found_number = re.match(r"[-\d,./ ]*\d", str(given).strip())
    return (
        says,
        f"write it like '{found_number[0] if found_number else 12} {unit_for(own, 'us')[0]}'",
    )


def _is_per_cent(given: object) -> bool:
    try:
        return 0 < float(str(given)) <= 100
    except ValueError:
        return False


def _called(measured: n.Number, words: Vocabulary) -> str:
    if isinstance(measured, n.Named):
        word = words.lot.get(measured.name)
        return word.title if word else f"'{measured.name}'"
    return "what is measured"


def more_than_whole(measured: n.Number, limit: n.Number) -> float | None:
    """A bare number over 1 against a share of the lot, as 45 where 45 % is meant; else None."""
    if not _is_share_of_whole(measured):
        return None
    return next((value for value in _bare(limit) if value > 1), None)


def _is_share_of_whole(measured: n.Number) -> bool:
    if isinstance(measured, n.Named):
        return measured.name.endswith("_share")
    return isinstance(measured, n.Ratio) and any(
        isinstance(node, n.Named) and node.name in _WHOLES for node in nodes(measured.bottom)
    )


def _bare(limit: n.Number) -> Iterator[float]:
    """The numbers without a sign of per cent that a limit may take as its value."""
    match limit:
        case n.Fixed(amount=amount):
            if amount.dimension == RATIO and amount.unit == "":
                yield amount.value_si
        case n.Least(terms=terms) | n.Greatest(terms=terms):
            for term in terms:
                yield from _bare(term)
        case n.Tiers(rows=rows):
            for row in rows:
                yield from _bare(row.value)
        case n.Choose(cases=cases, otherwise=otherwise):
            for case in cases:
                yield from _bare(case.value)
            if otherwise is not None:
                yield from _bare(otherwise)
        case n.ByReading(options=options):
            for _, value in options:
                yield from _bare(value)
        case n.ByDate(values=values):
            for _, value in values:
                yield from _bare(value)
        case n.Points(points=points):
            for _, amount in points:
                yield from _bare(n.Fixed(amount))
        case _:
            return
