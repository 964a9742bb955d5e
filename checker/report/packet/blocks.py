"""What a document is made of, before any file format: headings, paragraphs, tables, pictures.

Every document of the packet is a list of these. One writer each turns the same list into Word,
Markdown and PDF, so no text or number can differ between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Tone = Literal["body", "note", "warning"]
Align = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading below the title of its document; level 2 or 3."""

    text: str
    level: int = 2


@dataclass(frozen=True, slots=True)
class Para:
    """A paragraph; a note is small print, a warning stands in a box with its own word."""

    text: str
    tone: Tone = "body"


@dataclass(frozen=True, slots=True)
class Items:
    """A list, numbered where the order counts."""

    texts: tuple[str, ...]
    is_numbered: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, side, and share of the width."""

    title: str
    align: Align = "left"
    width: float = 1.0


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a caption, one header row and one value per cell.

    Attributes:
        caption: What it shows.
        columns: Left to right.
        rows: One text per column.
        strong: Positions of rows that are totals.
        is_wide: Needs a page laid on its side.
    """

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    strong: frozenset[int] = frozenset()
    is_wide: bool = False


@dataclass(frozen=True, slots=True)
class Sign:
    """A certification with empty lines; never filled in by the program."""

    title: str
    says: str
    lines: tuple[str, ...]
    has_seal: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing of a given size on paper, with a description for those who do not see it.

    Attributes:
        name: Of its file.
        svg: The drawing.
        caption: What it shows.
        says: The long description.
        width_in: Width on paper, inches; its height follows.
    """

    name: str
    svg: str
    caption: str
    says: str
    width_in: float


Block = Heading | Para | Items | Table | Sign | Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """One document of the packet.

    Attributes:
        id: Its name in file names, e.g. "narrative".
        number: Its number in the index, e.g. "3".
        title: Its name on pages.
        blocks: Its content.
        is_empty: There is nothing to show; the content says what to give.
    """

    id: str
    number: str
    title: str
    blocks: tuple[Block, ...]
    is_empty: bool = False


def pairs(caption: str, rows: Sequence[tuple[str, str]], heads: tuple[str, str]) -> Table:
    """A table of names and values."""
    columns = (Column(heads[0], width=1.0), Column(heads[1], width=2.0))
    return Table(caption, columns, tuple(rows))


def texts(block: Block) -> tuple[str, ...]:
    """Every text of a block, for tests and for the search of figures."""
    match block:
        case Heading(text=text) | Para(text=text):
            return (text,)
        case Items(texts=listed):
            return listed
        case Table():
            cells = tuple(cell for row in block.rows for cell in row)
            return (block.caption, *(column.title for column in block.columns), *cells)
        case Sign():
            return (block.title, block.says, *block.lines)
        case Picture():
            return (block.caption, block.says)
