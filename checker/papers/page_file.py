"""Writes one page into one file, whose ending says of what kind it is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Place, Problem
from checker.pages.paper import Paper

if TYPE_CHECKING:
    from pathlib import Path

    from checker.pages.blocks import Page

ENDINGS: Final = (".html", ".md", ".pdf", ".docx")


def write_page(page: Page, file: Path, footer: str, project: str = "") -> Path:
    """Write a page as HTML, Markdown, PDF or Word.

    Args:
        page: What it says.
        file: Its ending says of what kind.
        footer: Stands at the foot of each sheet of paper.
        project: Stands before it; the title of the page when empty.

    Raises:
        BadInput: The ending is of no page, or something is there that is not ours.
        MissingLibrary: An optional library is not installed.
    """
    from checker.files.saving import save
    from checker.pages import html_writer, markdown_writer

    refuse_other_kinds(file)
    name = project or page.title
    match file.suffix.lower():
        case ".html":
            return save(file, html_writer.html_of(page), html_writer.MARK)
        case ".md":
            return save(file, markdown_writer.markdown_of(page), markdown_writer.MARK)
        case ".pdf":
            from checker.pages.pdf_writer import pdf_bytes

            return save(file, pdf_bytes(page.title, name, footer, [_paper(page)], {}))
        case _:
            from checker.pages.word_writer import docx_bytes

            return save(file, docx_bytes(_paper(page), name, footer))


def refuse_other_kinds(file: Path) -> None:
    """Tell before long work that a file has the ending of no page.

    Raises:
        BadInput: It has.
    """
    if file.suffix.lower() not in ENDINGS:
        says = f"'{file.suffix}' is no kind of page" if file.suffix else "it has no ending"
        problem = Problem(Place(file.as_posix()), says, f"end the name in {', '.join(ENDINGS)}")
        raise BadInput("no page can be written", [problem])


def _paper(page: Page) -> Paper:
    blocks = (*page.above, *page.sections, *page.below)
    return Paper(id="page", number="", title=page.title, blocks=blocks)
