"""Blocks as plain lines for a terminal, at most 80 columns wide, signs kept plain."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import NO_BREAK, held_together
from checker.pages.blocks import Bullets, Pairs, Picture, Section, Table, plain, texts

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from checker.pages.blocks import Block

WIDTH: Final = 80
INDENT: Final = "    "
_PLAIN: Final = {ord("−"): "-", ord("–"): "-"}
"""A terminal may show anything beyond ASCII as a question mark."""


def terminal_of(blocks: Iterable[Block]) -> str:
    """The blocks as lines; pictures are left out."""
    return plainly(_lines(blocks, ""))


def plainly(lines: Iterable[str]) -> str:
    """Lines joined, with signs that every terminal shows."""
    return "\n".join(lines).translate(_PLAIN)


def _lines(blocks: Iterable[Block], indent: str) -> Iterator[str]:
    for block in blocks:
        if not indent and isinstance(block, Section | Bullets | Table):
            yield ""
        for text in _said(block):
            yield from wrapped(text, WIDTH, indent, hang="  ")
        if isinstance(block, Section):
            yield from _lines(block.blocks, f"{indent}  ")


def _said(block: Block) -> Iterator[str]:
    """A line for each of its texts, before they are broken."""
    match block:
        case Bullets(items=items, label=label):
            yield from (label,) if label else ()
            yield from (f"- {item}" for item in items)
        case Pairs(items=pairs):
            yield from (f"{name}: {value}" for name, value in pairs)
        case Table(caption=caption, columns=columns, rows=rows):
            yield f"{caption}:"
            for row in rows:
                named = zip(columns, map(plain, row), strict=True)
                yield f"- {'; '.join(f'{column.title} {cell}' for column, cell in named if cell)}"
        case Picture():
            return
        case _:
            yield from texts(block)


def wrapped(text: str, width: int = WIDTH, indent: str = "", hang: str = "") -> list[str]:
    """A text broken between words, or inside a word that is longer than a line.

    Args:
        text: The text.
        width: Most columns.
        indent: Stands before each line.
        hang: Stands before the second and later ones too; two blanks where there is an indent.
    """
    later = indent + (hang or ("  " if indent else ""))
    lines: list[str] = []
    line = indent
    for word in held_together(" ".join(text.split())).split(" "):
        rest = word.replace(NO_BREAK, " ")
        while rest:
            gap = "" if not line.strip() else " "
            if len(line) + len(gap) + len(rest) <= width:
                line, rest = f"{line}{gap}{rest}", ""
            elif line.strip():
                lines.append(line)
                line = later
            else:
                cut = width - len(line)
                lines.append(line + rest[:cut])
                line, rest = later, rest[cut:]
    return [*lines, line] if line.strip() or not lines else lines
