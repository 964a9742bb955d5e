"""Markdown: texts that show as they are, and tables that can be read as plain text too."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

_ESCAPES: Final = {
    ord("&"): "&amp;",
    ord("<"): "&lt;",
    ord(">"): "&gt;",
} | {ord(sign): f"\\{sign}" for sign in "\\`*_[]|~$"}
_LIST_LIKE: Final = re.compile(r"(#{1,6}(?= |$)|[-+=](?=[ -+=]|$)|\d{1,9}(?=[.)](?: |$)))")

_MONEY: Final = re.compile(r"\\\$(?=\d)")
"""A dollar sign before a digit opens an amount; it never closes a formula, so it may stay."""


def escape(text: str) -> str:
    r"""A text that Markdown shows as it is, also in a table and at the start of a line.

    Example:
        >>> print(escape("a | b"), escape("1. first"))
        a \| b 1\. first
    """
    plain = text.translate(_ESCAPES)
    if "$" in plain:
        plain = _MONEY.sub("$", plain)
    start = _LIST_LIKE.match(plain)
    if start is None:
        return plain
    if start[0][0].isdigit():
        return f"{start[0]}\\{plain[start.end() :]}"
    return f"\\{plain}"


def table_lines(
    heads: Sequence[str], rows: Iterable[Sequence[str]], numbers: Iterable[int] = ()
) -> Iterator[str]:
    r"""The lines of a table of cells that are escaped already, columns under each other.

    Args:
        heads: The head of each column.
        rows: As many cells each.
        numbers: Positions of the columns that are set to the right.

    Example:
        >>> print("\n".join(table_lines(["Surface", "Area"], [["deck", "252"]], [1])))
        | Surface | Area |
        | ------- | ---: |
        | deck    |  252 |
    """
    right = set(numbers)
    lines = [heads, *rows]
    widths = [max(3, *(len(line[index]) for line in lines)) for index in range(len(heads))]
    rules = [
        f"{'-' * (width - 1)}{':' if index in right else '-'}" for index, width in enumerate(widths)
    ]
    for line in (heads, rules, *lines[1:]):
        cells = (
            cell.rjust(width) if index in right else cell.ljust(width)
            for index, (cell, width) in enumerate(zip(line, widths, strict=True))
        )
        yield f"| {' | '.join(cells)} |"
