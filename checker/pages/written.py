"""A page as its two files: HTML and Markdown, of one tree of blocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.pages.html_writer import html_of
from checker.pages.markdown_writer import markdown_of

if TYPE_CHECKING:
    from pathlib import Path

    from checker.pages.blocks import Page


def pages_of(name: str, page: Page, templates: Path | None = None) -> dict[str, str]:
    """The page by file name.

    Args:
        name: Of the files, without an ending.
        page: What it says.
        templates: A folder with a `page.html` or `page.md` of one's own.

    Raises:
        BadInput: The template cannot be used.
    """
    return {f"{name}.html": html_of(page, templates), f"{name}.md": markdown_of(page, templates)}
