"""Blocks as plain lines for a terminal, at most 80 columns wide, signs kept plain."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import NO_BREAK, held_together
from checker.pages.blocks import (
    Bullets,
    Chip,
    Columns,
    Fold,
    Gauge,
    Pairs,
    Picture,
    Section,
    Table,
    Text,
    plain,
    texts,
)
from checker.pages.gauge import gauge_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from checker.pages.blocks import Block, Inline

WIDTH: Final = 80
HEIGHT: Final = 40
"""Lines of a screen."""
_GAP: Final = "  "
_PLAIN: Final = {ord("−"): "-", ord("–"): "-"}
"""A terminal may show anything beyond ASCII as a question mark."""


def terminal_of(blocks: Iterable[Block], *, is_open: bool = False) -> str:
    """The blocks as lines; pictures are left out.

    Args:
        blocks: What is said.
        is_open: What is folded into a line is set out below it.
    """
    return plainly(_lines(blocks, "", is_open=is_open))


def plainly(lines: Iterable[str]) -> str:
    """Lines joined, with signs that every terminal shows."""
    return "\n".join(lines).translate(_PLAIN)


def _lines(blocks: Iterable[Block], indent: str, *, is_open: bool) -> Iterator[str]:
    for block in blocks:
        if not indent and isinstance(block, Section | Bullets | Table | Gauge):
            yield ""
        match block:
            case Picture():
                continue
            case Columns(columns=columns):
                for column in columns:
                    yield from _lines(column, indent, is_open=is_open)
            case Table():
                yield from table_lines(block, indent)
            case _:
                for text in _said(block):
                    yield from wrapped(text, WIDTH, indent, hang="  ")
        if isinstance(block, Section) or (isinstance(block, Fold) and is_open):
            yield from _lines(block.blocks, f"{indent}  ", is_open=is_open)


def _said(block: Block) -> Iterator[str]:
    """A line for each of its texts, before they are broken."""
    match block:
        case Bullets(items=items, label=label):
            yield from (label,) if label else ()
            yield from (f"- {item}" for item in items)
        case Pairs(items=pairs):
            yield from (f"{name}: {value}" for name, value in pairs)
        case Text(runs=runs):
            yield "".join(map(_word, runs))
        case Gauge(title=title, says=says, room=room, more=more):
            yield f"{title}: {says}, {room}"
            yield gauge_line(block)
            yield from ("; ".join(more),) if more else ()
        case Fold(title=title, status=status, line=line):
            said = f"{_word(status)}: {title}" if status else title
            yield f"{said}: {line}" if line else said
        case Section(title=title, status=status):
            yield f"{_word(status)}: {title}" if status else title
        case _:
            yield from texts(block)


def _word(run: Inline) -> str:
    """The words of a run; a verdict without its sign, which not every terminal has."""
    return run.word if isinstance(run, Chip) else plain(run)


def table_lines(table: Table, indent: str = "") -> Iterator[str]:
    """A table in columns where it fits, one row below the other where it does not."""
    yield from wrapped(f"{table.caption}:", WIDTH, indent)
    rows = [tuple(map(_word, row)) for row in table.rows]
    heads = tuple(column.title for column in table.columns)
    widths = _widths(table, [heads, *rows], WIDTH - len(indent))
    if widths is None:
        for row in rows:
            named = zip(heads, row, strict=True)
            text = f"- {'; '.join(f'{head} {cell}' for head, cell in named if cell)}"
            yield from wrapped(text, WIDTH, indent, hang="  ")
        return
    for row in (heads, tuple("-" * width for width in widths), *rows):
        yield from (f"{indent}{line}" for line in _row(table, row, widths))


def _widths(table: Table, rows: Sequence[tuple[str, ...]], room: int) -> list[int] | None:
    """The width of each column; None where the words of some would be broken too often."""
    count = len(table.columns)
    widths = [max(len(row[index]) for row in rows) for index in range(count)]
    least = [
        widths[index]
        if table.columns[index].is_number
        else max(len(word) for row in rows for word in row[index].split(" "))
        for index in range(count)
    ]
    over = sum(widths) + len(_GAP) * (count - 1) - room
    while over > 0:
        spare = [width - low for width, low in zip(widths, least, strict=True)]
        widest = max(
            (i for i in range(count) if spare[i] > 0), key=lambda i: widths[i], default=None
        )
        if widest is None:
            return None
        widths[widest] -= 1
        over -= 1
    return widths


def _row(table: Table, row: tuple[str, ...], widths: list[int]) -> Iterator[str]:
    cells = [
        [cell] if column.is_number else wrapped(cell, width) if cell else [""]
        for cell, column, width in zip(row, table.columns, widths, strict=True)
    ]
    for index in range(max(map(len, cells))):
        texts_now = [cell[index] if index < len(cell) else "" for cell in cells]
        placed = (
            text.rjust(width) if column.is_number else text.ljust(width)
            for text, column, width in zip(texts_now, table.columns, widths, strict=True)
        )
        yield _GAP.join(placed).rstrip()


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
