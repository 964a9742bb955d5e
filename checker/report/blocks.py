"""A page as a tree of plain blocks, so that its order and wording stand in one place.

Writers for HTML and for Markdown place the blocks; they escape every text, so that nothing that a
file says can act on a page.
"""

from __future__ import annotations

from typing import NamedTuple


class Strong(NamedTuple):
    """Words that stand out."""

    text: str


class Link(NamedTuple):
    """A link to a section of the same page."""

    text: str
    to: str


class Chip(NamedTuple):
    """A status: sign, word, and a key for styles."""

    sign: str
    word: str
    key: str


Inline = str | Strong | Link | Chip


class Text(NamedTuple):
    """A paragraph; `kind` is a hint for styles: lead, verdict, note, caution, fine."""

    runs: tuple[Inline, ...]
    kind: str = ""


class Bullets(NamedTuple):
    """A list, with words that say what of."""

    items: tuple[str, ...]
    label: str = ""
    kind: str = ""


class Pairs(NamedTuple):
    """Names with their values."""

    items: tuple[tuple[str, str], ...]


class Column(NamedTuple):
    """A column of a table; numbers are set to the right."""

    title: str
    is_number: bool = False


class Row(NamedTuple):
    """A row of a table; `kind` is empty, subtotal or total."""

    cells: tuple[str | Chip | Link, ...]
    kind: str = ""


class Table(NamedTuple):
    """A table whose `header` column names each row."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    header: int = 0


class Figure(NamedTuple):
    """A drawing as SVG, the file that holds it too, what it shows in one sentence, its name."""

    svg: str
    file: str
    says: str
    caption: str
    name: str = "Plan of the lot"


class Section(NamedTuple):
    """A heading with what belongs to it; sections nest without skipping a level."""

    id: str
    title: str
    blocks: tuple[Block, ...]
    status: Chip | None = None


Block = Text | Bullets | Pairs | Table | Figure | Section


class Page(NamedTuple):
    """A whole page: its title, what stands above the contents, and its sections."""

    title: str
    above: tuple[Block, ...]
    sections: tuple[Section, ...]
    below: tuple[Block, ...]
