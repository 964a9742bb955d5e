"""Every number that any document prints, by key, with the one text it is printed as.

A document never formats an amount itself: it asks for the text of a figure. So the same number
cannot read differently in two documents, and a test can look every figure up in every file.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.core.showing import LIMIT_WAYS, show, show_number, unit_for
from checker.core.units import RATIO, UNIT, Amount, same
from checker.words.amounts import (
    change_text,
    margin_text,
    pair_text,
    range_text,
    shown,
    small,
    trio_text,
)

if TYPE_CHECKING:
    from checker.algebra.values import Quantity
    from checker.core.units import System


class FigureClash(CheckerError):
    """One key was given two different numbers: a mistake of the program, not of the input."""


class Figure(Record):
    """One number.

    Attributes:
        key: Its name, e.g. "cover.impervious_area.proposed".
        title: What it is, for people.
        text: As every document prints it.
        amount: Exactly; None for a count or a text such as "none found". Of what is open within
            a range it is the end that the rules compare, and so is the text.
        span: The whole range, as every document prints it; empty for what is one number.
    """

    key: str
    title: str
    text: str
    amount: Amount | None = None
    span: str = ""


class Figures:
    """The figures of one lot's papers.

    Args:
        system: The units in which amounts are printed.
        area_decimals: The decimals of areas that are not whole, as the worksheets need them.
    """

    def __init__(self, system: System, area_decimals: int | None = None) -> None:
        self.system = system
        self.area_decimals = area_decimals
        self._found: dict[str, Figure] = {}

    def __iter__(self) -> Iterator[Figure]:
        return iter(self._found.values())

    def __len__(self) -> int:
        return len(self._found)

    def __contains__(self, key: object) -> bool:
        return key in self._found

    def __getitem__(self, key: str) -> Figure:
        return self._found[key]

    def text(self, key: str) -> str:
        """The text of a figure.

        Raises:
            KeyError: There is none.
        """
        return self._found[key].text

    def span(self, key: str) -> str:
        """The text of a figure, and where it is open within a range the whole range.

        Raises:
            KeyError: There is none.
        """
        figure = self._found[key]
        return figure.span or figure.text

    def add(
        self,
        key: str,
        title: str,
        amount: Amount,
        *,
        decimals: int | None = None,
        signed: bool = False,
        span: str = "",
    ) -> str:
        """Take a number in and give its text.

        Raises:
            FigureClash: The key stands for another number already.
        """
        if signed:
            text = change_text(amount, self.system, self.area_decimals)
        elif decimals is None:
            text = shown(amount, self.system, self.area_decimals).replace("-", "−", 1)
        else:
            text = show(amount, self.system, decimals=decimals)
        return self._take(Figure(key, title, text, amount, span))

    def ends(self, amounts: Iterable[Amount]) -> list[str]:
        """The texts of the ends of a range, as any figure of theirs is printed."""
        texts = (shown(amount, self.system, self.area_decimals) for amount in amounts)
        return [text.replace("-", "−", 1) for text in texts]

    def add_room(self, key: str, title: str, margin: Amount) -> str:
        """Take room under a limit in and give its text, never more of it than there is."""
        text = margin_text(margin, self.system, self.area_decimals)
        return self._take(Figure(key, title, text, margin))

    def add_small(self, key: str, title: str, amount: Amount) -> str:
        """Take a small length in (rain, pipe sizes) and give its text in inches or millimetres."""
        unit, decimals = ("in", 2) if self.system == "us" else ("mm", 0)
        text = f"{show_number(amount.to(unit), decimals)} {unit}"
        return self._take(Figure(key, title, text, amount))

    def add_size(self, key: str, title: str, amount: Amount) -> str:
        """Take the size of a thing that is bought, such as a pipe, and give its text: 6 in."""
        return self._take(Figure(key, title, small(amount.value_si, self.system), amount))

    def range(self, value: Quantity, order: str = "") -> str:
        """The text of a number that may be uncertain; with an order it is a limit."""
        return range_text(value, self.system, self.area_decimals, LIMIT_WAYS[order])

    def add_pair(
        self,
        first: tuple[str, str, Amount],
        second: tuple[str, str, Amount],
        order: str = "",
    ) -> None:
        """Take two numbers that are compared: their texts differ whenever the numbers do.

        With an order the second is the limit of the first.
        """
        texts = pair_text(first[2], second[2], self.system, self.area_decimals, order)
        for (key, title, amount), text in zip((first, second), texts, strict=True):
            self._take(Figure(key, title, text, amount))

    def add_trio(
        self,
        measured: tuple[str, str, Amount],
        limit: tuple[str, str, Amount],
        margin: tuple[str, str, Amount],
        order: str,
        spans: Sequence[str] = ("", ""),
    ) -> None:
        """Take a number, its limit and the room left in; as printed they add up if they can.

        `spans` are the whole ranges of the first two.
        """
        named = (measured, limit, margin)
        texts = trio_text(measured[2], limit[2], margin[2], self.system, self.area_decimals, order)
        for (key, title, amount), text, span in zip(named, texts, (*spans, ""), strict=True):
            self._take(Figure(key, title, text, amount, span))

    def add_text(self, key: str, title: str, text: str) -> str:
        """Take a count or a text in and give it back."""
        return self._take(Figure(key, title, text))

    def _take(self, figure: Figure) -> str:
        before = self._found.setdefault(figure.key, figure)
        if before is figure:
            return figure.text
        if before.text != figure.text or not _same(before.amount, figure.amount):
            raise FigureClash(f"'{figure.key}' is '{before.text}' and '{figure.text}'")
        return before.text

    def number(self, key: str) -> tuple[float, str, int]:
        """A figure as a bare number, its unit and the decimals of its text, for cells.

        The number is exact: the cell's format rounds it, so that formulas stay right.

        Raises:
            KeyError: There is no such figure, or it is only a text.
        """
        figure = self._found[key]
        if figure.amount is None:
            raise KeyError(f"'{key}' is a text")
        unit, _ = unit_for(figure.amount.dimension, self.system)
        if figure.amount.dimension == RATIO and figure.amount.unit == "%":
            unit = "%"
        number = figure.amount.to(unit) if unit in UNIT else figure.amount.value_si
        shown = figure.text.split(" ")[0].split("/")[0]
        return number, unit, len(shown.partition(".")[2])


def _same(first: Amount | None, second: Amount | None) -> bool:
    if first is None or second is None:
        return first is second
    return first.dimension == second.dimension and same(first.value_si, second.value_si)
