"""A page of blocks as Markdown with tables, readable as plain text; every text escaped."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, assert_never

from checker.core.markdown import escape, table_lines
from checker.pages.blocks import (
    Bullets,
    Chip,
    Pairs,
    Picture,
    Section,
    SectionLink,
    Sign,
    Strong,
    Table,
    Text,
    kind_of,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from checker.pages.blocks import Block, Inline, Page, TableCell

MARK: Final = "<!-- written by soakline -->"
"""Stands in every page, so that the program knows its own files again."""


def markdown_of(page: Page) -> str:
    """The page as Markdown."""
    blocks = (*page.above, *page.sections, *page.below)
    return "\n\n".join((MARK, f"# {escape(page.title)}", *markdown_parts(blocks))) + "\n"


def markdown_parts(blocks: Iterable[Block], level: int = 2) -> Iterator[str]:
    """Blocks as Markdown, one text for what an empty line sets apart.

    Args:
        blocks: The blocks.
        level: The level of their headings.
    """
    for block in blocks:
        match block:
            case Text():
                yield f"{'> ' if block.kind == 'caution' else ''}{_runs(block.runs)}"
            case Bullets():
                if block.label:
                    yield f"**{escape(block.label)}**"
                yield "\n".join(
                    f"{f'{number}.' if block.is_numbered else '-'} {escape(item)}"
                    for number, item in enumerate(block.items, 1)
                )
            case Pairs():
                yield "\n".join(
                    f"- {escape(name)}: **{escape(value)}**" for name, value in block.items
                )
            case Table():
                yield f"**{escape(block.caption)}**"
                yield "\n".join(_table(block))
            case Picture():
                yield f"![{escape(block.says)}]({block.file})"
                yield escape(block.caption)
            case Sign():
                yield f"{'#' * level} {escape(block.title)}"
                yield escape(block.says)
                yield "\n".join(f"- {escape(line)}: ____________________" for line in block.lines)
            case Section():
                chip = f"{_run(block.status)}: " if block.status else ""
                yield f"{'#' * level} {chip}{escape(block.title)}"
                yield from markdown_parts(block.blocks, level + 1)
            case _:
                assert_never(block)


def _table(table: Table) -> Iterator[str]:
    heads = [escape(column.title) for column in table.columns]
    numbers = [index for index, column in enumerate(table.columns) if column.is_number]
    return table_lines(heads, [_cells(row) for row in table.rows], numbers)


def _cells(row: tuple[TableCell, ...]) -> list[str]:
    cells = [_run(cell) for cell in row]
    return [f"**{cell}**" if cell else "" for cell in cells] if kind_of(row) else cells


def _runs(runs: Iterable[Inline]) -> str:
    return "".join(map(_run, runs))


def _run(run: Inline) -> str:
    match run:
        case str():
            return escape(run)
        case Strong(text=text):
            lead, trail = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
            return f"{lead}**{escape(text.strip())}**{trail}"
        case SectionLink(text=text):
            return escape(text)
        case Chip(sign=sign, word=word):
            return f"**{escape(sign)} {escape(word)}**"
        case _:
            assert_never(run)
