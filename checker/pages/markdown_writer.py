"""A page of blocks as Markdown with tables, readable as plain text; every text escaped."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.markdown import escape

if TYPE_CHECKING:
    from pathlib import Path

    from checker.pages.blocks import Page
    from checker.pages.paper import Paper

MARK: Final = "<!-- written by soakline -->"
"""Stands in every page, so that the program knows its own files again."""


def markdown_of(page: Page, templates: Path | None = None) -> str:
    """The page as Markdown.

    Args:
        page: What it says.
        templates: A folder with a `page.md` of one's own; see `checker.pages.templating`.

    Raises:
        BadInput: The template cannot be used.
    """
    from checker.pages.templating import PageContext, written

    return written("page.md", PageContext(page=page, mark=MARK), templates)


def paper_as_markdown(paper: Paper, project: str, footer: str) -> str:
    """A document of a packet as Markdown."""
    from checker.pages.blocks import Page, para

    page = Page(paper.title, (para(project),), paper.blocks, ())
    return f"{markdown_of(page).removeprefix(MARK).strip()}\n\n---\n\n{escape(footer)}\n"
