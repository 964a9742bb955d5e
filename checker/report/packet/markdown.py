"""A document as Markdown: headings, lists and pipe tables, every text escaped."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.report.markdown_page import escape
from checker.report.packet.blocks import Heading, Items, Para, Picture, Sign, Table

if TYPE_CHECKING:
    from checker.report.packet.blocks import Block, Paper


def markdown(paper: Paper, project: str, footer: str) -> str:
    """The whole document."""
    parts = [f"# {escape(paper.title)}", escape(project)]
    parts += [_block(block) for block in paper.blocks]
    parts += ["---", escape(footer)]
    return "\n\n".join(parts) + "\n"


def _block(block: Block) -> str:
    match block:
        case Heading(text=text, level=level):
            return f"{'#' * level} {escape(text)}"
        case Para(text=text, tone=tone):
            said = escape(text)
            return {"body": said, "note": f"*{said}*", "warning": f"> **Caution:** {said}"}[tone]
        case Items(texts=texts, is_numbered=numbered):
            marks = [f"{i}." if numbered else "-" for i in range(1, len(texts) + 1)]
            return "\n".join(f"{m} {escape(t)}" for m, t in zip(marks, texts, strict=True))
        case Table():
            return _table(block)
        case Sign():
            lines = "\n".join(f"- {escape(line)}: ____________________" for line in block.lines)
            return f"## {escape(block.title)}\n\n{escape(block.says)}\n\n{lines}"
        case Picture():
            return f"*{escape(block.caption)}*\n\n{escape(block.says)}"


def _table(table: Table) -> str:
    rule = ("---:" if column.align == "right" else "---" for column in table.columns)
    rows = [
        f"| {' | '.join(escape(column.title) for column in table.columns)} |",
        f"| {' | '.join(rule)} |",
    ]
    for index, row in enumerate(table.rows):
        cells = [escape(cell) or " " for cell in row]
        if index in table.strong:
            cells = [f"**{cell}**" if cell.strip() else cell for cell in cells]
        rows.append(f"| {' | '.join(cells)} |")
    return f"**{escape(table.caption)}**\n\n" + "\n".join(rows)
