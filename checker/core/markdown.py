"""Markdown: texts that show as they are, and tables that can be read as plain text too."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

_ESCAPES: Final = {
    ord("&"): "&amp;",
    ord("<"): "&lt;",
    ord(">"): "&gt;",
} | {ord(sign): f"\\{sign}" for sign in "\\`*_[]|~$"}

_STARTS: Final = frozenset("#-+=0123456789")
"""Signs by which a line may begin a list or a heading."""


def escape(text: str) -> str:
    r"""A text that Markdown shows as it is, also in a table and at the start of a line.

    Example:
        >>> print(escape("a | b"), escape("1. first"))
        a \| b 1\. first
    """
    plain = text.translate(_ESCAPES)
    if "$" in plain:
        plain = _with_amounts(plain)
    if plain[:1] not in _STARTS:
        return plain
    at = _list_mark(plain)
    return plain if at is None else f"{plain[:at]}\\{plain[at:]}"


def _with_amounts(plain: str) -> str:
    """A dollar sign before a digit opens an amount; it never closes a formula, so it may stay."""
    first, *rest = plain.split("\\$")
    return first + "".join(("$" if part[:1].isdigit() else "\\$") + part for part in rest)


def _list_mark(plain: str) -> int | None:
    """Where a sign stands by which a line would begin a list or a heading; None without one."""
    start = plain[:1]
    if start in {"-", "+", "="}:
        return 0 if plain[1:2] in {"", " ", "-", "+", "="} else None
    rest = plain.lstrip("#")
    if start == "#":
        return 0 if len(plain) - len(rest) <= 6 and rest[:1] in {"", " "} else None
    count = len(plain) - len(plain.lstrip("0123456789"))
    ends = plain[count : count + 1] in {".", ")"} and plain[count + 1 : count + 2] in {"", " "}
    return count if ends and 1 <= count <= 9 else None


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
