"""A page of blocks as one HTML file: no scripts, nothing loaded, every text escaped."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from checker.pages import colours

if TYPE_CHECKING:
    from checker.pages.blocks import Page

MARK = '<meta name="generator" content="soakline">'
"""Stands in every page, so that the program knows its own files again."""

POLICY = (
    '<meta http-equiv="Content-Security-Policy" '
    "content=\"default-src 'none'; style-src 'unsafe-inline'\">"
)
"""Even if a text got through as markup, nothing may run and nothing may be loaded."""

_STYLE = Path(__file__).with_name("page.css")


def html_of(page: Page, templates: Path | None = None) -> str:
    """The page as HTML.

    Args:
        page: What it says.
        templates: A folder with a `page.html` of one's own; see `checker.pages.templating`.

    Raises:
        BadInput: The template cannot be used.
    """
    from checker.pages.templating import PageContext, written

    style = _palette() + _STYLE.read_text(encoding="utf-8")
    context = PageContext(page=page, mark=MARK, policy=POLICY, style=style)
    return written("page.html", context, templates)


def _palette() -> str:
    names = {
        "paper": colours.PAPER,
        "ink": colours.INK,
        "quiet": colours.QUIET,
        "line": colours.LINE,
        "rule": colours.RULE,
        "shade": colours.SHADE,
        "link": colours.LINK,
    } | colours.STATUS
    return f":root{{{';'.join(f'--{name}:{colour}' for name, colour in names.items())}}}\n"
