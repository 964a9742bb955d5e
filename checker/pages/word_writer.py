"""A document as .docx: real headings, lists, header rows, language; always the same bytes."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Final, assert_never

from checker.pages.archive import fixed_zip
from checker.pages.blocks import (
    Bullets,
    Column,
    Columns,
    Fold,
    Gauge,
    Pairs,
    Picture,
    Section,
    Sign,
    Strong,
    Table,
    Text,
    heading,
    kind_of,
    on_paper,
    plain,
)
from checker.pages.gauge import BLOCKS, gauge_line
from checker.pages.pdf_writer import need

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.pages.blocks import Block, Inline
    from checker.pages.paper import Paper

EPOCH: Final = datetime(2000, 1, 1, tzinfo=UTC)
"""A file carries no clock: its dates are this one."""

LONGEST_PROPERTY: Final = 255
"""Characters that a property of an office file may have."""
_TEXT_WIDTH_IN: Final = 7.0
_BY_HAND_IN: Final = 0.3
"""Height of a row that is there to be written in."""


def docx_bytes(paper: Paper, project: str, footer: str) -> bytes:
    """The whole document.

    Raises:
        MissingLibrary: python-docx is not installed.
    """
    docx = need("docx", "python-docx", "a .docx file")
    document = docx.Document()
    _properties(document, paper, project)
    _page(document, footer, project)
    document.add_heading(paper.title, level=1)
    document.add_paragraph(project)
    _add(document, paper.blocks, 2)
    raw = io.BytesIO()
    document.save(raw)
    return fixed_zip(raw.getvalue())


def _properties(document: Any, paper: Paper, project: str) -> None:  # noqa: ANN401
    core = document.core_properties
    core.title = f"{project[: LONGEST_PROPERTY - len(paper.title) - 2]}: {paper.title}"
    core.author = "Soakline"
    core.comments = ""
    core.language = "en-US"
    core.created = core.modified = EPOCH
    core.last_modified_by = ""
    core.revision = 1


def _page(document: Any, footer: str, project: str) -> None:  # noqa: ANN401
    from docx.enum.text import WD_ALIGN_PARAGRAPH
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn
    from docx.shared import Inches, Pt, RGBColor

    section = document.sections[0]
    section.page_width, section.page_height = Inches(8.5), Inches(11)
    section.left_margin = section.right_margin = Inches(0.75)
    section.top_margin = section.bottom_margin = Inches(0.8)
    normal = document.styles["Normal"]
    normal.font.name, normal.font.size = "Calibri", Pt(10.5)
    language = OxmlElement("w:lang")
    language.set(qn("w:val"), "en-US")
    normal.element.get_or_add_rPr().append(language)
    for name in ("Heading 1", "Heading 2", "Heading 3", "Caption"):
        document.styles[name].font.color.rgb = RGBColor(0, 0, 0)
    line = section.footer.paragraphs[0]
    line.alignment = WD_ALIGN_PARAGRAPH.LEFT
    run = line.add_run(f"{project} · {footer} · page ")
    run.font.size = Pt(8)
    number = line.add_run()
    number.font.size = Pt(8)
    for kind, text in (("begin", ""), ("", "PAGE"), ("end", "")):
        if kind:
            mark = OxmlElement("w:fldChar")
            mark.set(qn("w:fldCharType"), kind)
        else:
            mark = OxmlElement("w:instrText")
            mark.text = text
        number._r.append(mark)  # noqa: SLF001 - the library has no fields of its own


def _add(document: Any, blocks: Iterable[Block], level: int) -> None:  # noqa: ANN401
    """Add blocks; `level` is that of their headings."""
    for block in blocks:
        match block:
            case Columns(columns=columns):
                for column in columns:
                    _add(document, column, level)
            case Fold(is_short=True, is_open=False):
                document.add_paragraph(on_paper(block), "List Bullet")
            case Fold(line=line):
                document.add_heading(heading(block), level)
                if line:
                    document.add_paragraph(line)
                _add(document, block.blocks, level + 1)
            case Section():
                document.add_heading(heading(block), level)
                _add(document, block.blocks, level + 1)
            case Sign():
                _sign(document, block, level)
            case _:
                _block(document, block)


def _block(document: Any, block: Text | Bullets | Pairs | Table | Picture | Gauge) -> None:  # noqa: ANN401
    match block:
        case Text(runs=runs, kind=kind):
            _runs(document.add_paragraph(), runs, is_fine=kind == "fine")
        case Bullets():
            _bullets(document, block)
        case Pairs(items=pairs):
            for name, value in pairs:
                _runs(document.add_paragraph(style="List Bullet"), (f"{name}: ", Strong(value)))
        case Table():
            _table(document, block)
        case Picture(caption=caption, says=says):
            document.add_paragraph(f"{caption}. {says}")
        case Gauge(says=says, room=room, more=more):
            head = f"{plain(block.status)} {block.title}: "
            _runs(document.add_paragraph(), (head, Strong(f"{says}, {room}")))
            _runs(document.add_paragraph(), (gauge_line(block, 40, BLOCKS),))
            for text in more:
                _runs(document.add_paragraph(), (text,), is_fine=True)
        case _:
            assert_never(block)


def _bullets(document: Any, bullets: Bullets) -> None:  # noqa: ANN401
    if bullets.label:
        _runs(document.add_paragraph(), (Strong(bullets.label),))
    for item in bullets.items:
        style = "List Number" if bullets.is_numbered else "List Bullet"
        document.add_paragraph(item, style)


def _sign(document: Any, sign: Sign, level: int) -> None:  # noqa: ANN401
    document.add_heading(sign.title, level)
    document.add_paragraph(sign.says)
    columns = (Column("Line"), Column("To be filled in by hand", width=2.0))
    rows = tuple((line, "") for line in sign.lines)
    _table(document, Table(f"{sign.title}, unsigned", columns, rows))


def _runs(paragraph: Any, runs: Iterable[Inline], *, is_fine: bool = False) -> None:  # noqa: ANN401
    for run in runs:
        made = paragraph.add_run(plain(run))
        made.bold = True if isinstance(run, Strong) else None
        made.italic = True if is_fine else None


def _table(document: Any, table: Table) -> None:  # noqa: ANN401
    from docx.enum.text import WD_ALIGN_PARAGRAPH
    from docx.shared import Inches, Pt

    caption = document.add_paragraph(table.caption, style="Caption")
    caption.paragraph_format.keep_with_next = True
    made = document.add_table(rows=0, cols=len(table.columns), style="Table Grid")
    made.autofit = False
    widths = [Inches(wide) for wide in _widths_in(table)]
    for made_column, width in zip(made.columns, widths, strict=True):
        made_column.width = width
    size = Pt(8 if len(table.columns) > 6 else 9)
    heads = tuple(column.title for column in table.columns)
    for index, row in enumerate((heads, *table.rows)):
        line, is_sum = made.add_row(), bool(kind_of(row))
        _mark_row(line, is_head=index == 0)
        if row.count("") > 1 or (len(row) == 2 and not row[1]):
            line.height = Inches(_BY_HAND_IN)
        for cell, text, width, column in zip(line.cells, row, widths, table.columns, strict=True):
            cell.width = width
            paragraph = cell.paragraphs[0]
            paragraph.paragraph_format.space_after = Pt(0)
            run = paragraph.add_run(plain(text))
            run.font.size = size
            run.bold = index == 0 or is_sum
            if column.is_number:
                paragraph.alignment = WD_ALIGN_PARAGRAPH.RIGHT
    document.add_paragraph().paragraph_format.space_after = Pt(0)


def _widths_in(table: Table) -> list[float]:
    """The width of each column: no narrower than its longest word where all of them fit."""
    size_in = (0.062 if len(table.columns) > 6 else 0.07, 0.17)
    least = []
    for index, column in enumerate(table.columns):
        cells = (column.title, *(plain(row[index]) for row in table.rows))
        words = [len(word) for cell in cells for word in cell.split()]
        least.append(max(words, default=1) * size_in[0] + size_in[1])
    whole = sum(column.width for column in table.columns)
    wanted = [_TEXT_WIDTH_IN * column.width / whole for column in table.columns]
    spare = _TEXT_WIDTH_IN - sum(least)
    if spare <= 0:
        return [_TEXT_WIDTH_IN * low / sum(least) for low in least]
    more = [max(0.0, wide - low) for wide, low in zip(wanted, least, strict=True)]
    share = spare / (sum(more) or 1.0)
    return [low + extra * share for low, extra in zip(least, more, strict=True)]


def _mark_row(row: Any, *, is_head: bool) -> None:  # noqa: ANN401
    from docx.oxml import OxmlElement

    properties = row._tr.get_or_add_trPr()  # noqa: SLF001 - the library has no call for either
    properties.append(OxmlElement("w:cantSplit"))
    if is_head:
        properties.append(OxmlElement("w:tblHeader"))
