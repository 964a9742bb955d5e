"""A page as a tree of plain blocks, so that its order and wording stand in one place.

One writer each places the blocks in HTML, Markdown, Word and PDF; a writer escapes every text, so
that nothing that a file says can act on a page, and no text or number differs between formats.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from typing import Self


class Strong(Record):
    """Words that stand out."""

    text: str


class SectionLink(Record):
    """A link to a section of the same page."""

    text: str
    to: str


class Chip(Record):
    """A status: sign, word, and a key for styles."""

    sign: str
    word: str
    key: str


Inline = str | Strong | SectionLink | Chip
TableCell = str | SectionLink | Chip


class Text(Record):
    """A paragraph; `kind` is a hint for styles: lead, verdict, note, caution, fine."""

    runs: tuple[Inline, ...]
    kind: str = ""


class Bullets(Record):
    """A list, with words that say what of; numbered where the order counts."""

    items: tuple[str, ...]
    label: str = ""
    kind: str = ""
    is_numbered: bool = False


class Pairs(Record):
    """Names with their values."""

    items: tuple[tuple[str, str], ...]


class Column(Record):
    """A column of a table; numbers are set to the right, `width` is its share on paper."""

    title: str
    is_number: bool = False
    width: float = 1.0


class TableRow(tuple[TableCell, ...]):
    """The cells of a row; `kind` is empty, subtotal or total.

    A plain tuple does for an ordinary row.
    """

    kind: str

    def __new__(cls, cells: Iterable[TableCell], kind: str = "") -> Self:
        """A row of these cells."""
        made = super().__new__(cls, cells)
        made.kind = kind
        return made


class Table(Record):
    """A table whose `header` column names each row."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[TableCell, ...], ...]
    header: int = 0


class Picture(Record):
    """A drawing as SVG, the file that holds it too, what it shows in one sentence, its name.

    `width_in` is its width on paper in inches; its height follows.
    """

    svg: str
    file: str
    says: str
    caption: str
    name: str = "Plan of the lot"
    width_in: float = 7.0


class Sign(Record):
    """A certification with empty lines; never filled in by the program."""

    title: str
    says: str
    lines: tuple[str, ...]
    has_seal: bool = False


class Section(Record):
    """A heading with what belongs to it; sections nest without skipping a level.

    Where nothing links to it, `id` is empty.
    """

    id: str
    title: str
    blocks: tuple[Block, ...]
    status: Chip | None = None


class Gauge(Record, kw_only=True):
    """An amount beside its limit, as a bar and in words.

    Attributes:
        title: Of what.
        status: The verdict.
        says: Amount and limit.
        room: What is left or over.
        more: Further lines: areas beside shares, what was there before.
        low, high, limit, was: Shares of the length of the bar, 0 to 1; `was` None without one.
        is_floor: The limit is a least, so that beyond it is good.
    """

    title: str
    status: Chip
    says: str
    room: str
    more: tuple[str, ...] = ()
    low: float
    high: float
    limit: float
    was: float | None = None
    is_floor: bool = False


class Columns(Record):
    """Blocks in columns where a page is wide enough, one column below the other elsewhere."""

    columns: tuple[tuple[Block, ...], ...]


class Fold(Record):
    """A line that opens on a page; what lies in it is set out where nothing can be opened.

    Attributes:
        id: For links; empty where nothing links to it.
        title: What it is about.
        blocks: What lies in it.
        status: A verdict before the title.
        line: The rest of the line.
        clause: Source and section, shown on paper where the fold stays closed.
        is_open: It shows its inside from the start.
        is_short: On paper the line says enough; Markdown sets the inside out at its end.
    """

    id: str
    title: str
    blocks: tuple[Block, ...]
    status: Chip | None = None
    line: str = ""
    clause: str = ""
    is_open: bool = False
    is_short: bool = False


Block = Text | Bullets | Pairs | Table | Picture | Sign | Gauge | Columns | Fold | Section


class Page(Record):
    """A whole page: its title, what stands above the contents, and its sections.

    Only sections are listed in the contents.
    """

    title: str
    above: tuple[Block, ...]
    sections: tuple[Block, ...]
    below: tuple[Block, ...]


def para(text: str, kind: str = "") -> Text:
    """A paragraph of one text."""
    return Text((text,), kind)


def caution(text: str) -> Text:
    """A paragraph that warns, and says so in a word."""
    return Text((Strong("Caution: "), text), "caution")


def part(title: str, *blocks: Block) -> Section:
    """A section that nothing links to."""
    return Section("", title, blocks)


def short_folds(blocks: Iterable[Block]) -> tuple[Fold, ...]:
    """The folds whose line says enough on paper, for a place where they are set out."""
    return tuple(b for b in every(blocks) if isinstance(b, Fold) and b.is_short and not b.is_open)


def kind_of(row: tuple[TableCell, ...]) -> str:
    """Whether a row is a subtotal or a total; empty for an ordinary one."""
    return row.kind if isinstance(row, TableRow) else ""


def plain(run: Inline) -> str:
    """The words of a run or a cell alone."""
    match run:
        case str():
            return run
        case Chip(sign=sign, word=word):
            return f"{sign} {word}"
        case Strong(text=text) | SectionLink(text=text):
            return text


def heading(block: Section | Fold) -> str:
    """A title with the verdict before it."""
    return f"{plain(block.status)}: {block.title}" if block.status else block.title


def on_paper(fold: Fold) -> str:
    """The line of a short fold where nothing opens: verdict, title, what was found, clause."""
    said = f"{heading(fold)}: {fold.line}" if fold.line else heading(fold)
    return f"{said}. {fold.clause}" if fold.clause else said


def every(blocks: Iterable[Block]) -> Iterator[Block]:
    """All blocks in order, those within sections, folds and columns too."""
    for block in blocks:
        yield block
        match block:
            case Section(blocks=inside) | Fold(blocks=inside):
                yield from every(inside)
            case Columns(columns=columns):
                yield from every(block for column in columns for block in column)
            case _:
                pass


def texts(block: Block) -> tuple[str, ...]:
    """Every text of a block without what lies in blocks within it."""
    match block:
        case Gauge(title=title, says=says, room=room, more=more):
            return (title, says, room, *more)
        case Columns():
            return ()
        case Fold(title=title, line=line):
            return (title, line) if line else (title,)
        case Section(title=title):
            return (title,)
        case _:
            return _texts(block)


def _texts(block: Text | Bullets | Pairs | Table | Picture | Sign) -> tuple[str, ...]:
    match block:
        case Text(runs=runs):
            return ("".join(map(plain, runs)),)
        case Bullets(items=items, label=label):
            return (label, *items) if label else items
        case Pairs(items=pairs):
            return tuple(text for pair in pairs for text in pair)
        case Table():
            cells = (plain(cell) for row in block.rows for cell in row)
            return (block.caption, *(column.title for column in block.columns), *cells)
        case Picture():
            return (block.caption, block.says)
        case Sign():
            return (block.title, block.says, *block.lines)


def numbers(*titles: str) -> tuple[Column, ...]:
    """Columns of numbers."""
    return tuple(Column(title, is_number=True) for title in titles)


def texts_of(*titles: str) -> tuple[Column, ...]:
    """Columns of words."""
    return tuple(map(Column, titles))


def named_values(caption: str, rows: Sequence[tuple[str, str]], heads: tuple[str, str]) -> Table:
    """A table of names and values."""
    return Table(caption, (Column(heads[0]), Column(heads[1], width=2.0)), tuple(rows))
