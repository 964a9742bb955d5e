"""Writes the report of a check: a page, its plan, the same as Markdown, and the findings as data.

All texts are made before the first is written, and the files appear together or not at all.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Final

from checker.drawing.plan import plan_svg
from checker.drawing.svg import MARK as PLAN_MARK
from checker.files.saving import HEAD_BYTES, save_together
from checker.pages.html_writer import MARK as HTML_MARK
from checker.pages.html_writer import html_of
from checker.pages.markdown_writer import MARK as MARKDOWN_MARK
from checker.pages.written import pages_of
from checker.papers.client import FOOTER as CLIENT_FOOTER
from checker.papers.client import client_page
from checker.papers.phases import phases_of
from checker.papers.records import records_of
from checker.papers.report import page_of
from checker.words.view import view_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.findings.checked import Checked
    from checker.pages.blocks import Page, Picture, Section
    from checker.words.brief import Brief
    from checker.words.view import View

FOOTER: Final = "A check of a drawing; no permit, no survey, not sealed"
HTML: Final = "report.html"
CLIENT: Final = "client.html"
PLAN: Final = "plan.svg"
FINDINGS: Final = "findings.json"

_MARKS: Final = {".html": HTML_MARK, ".md": MARKDOWN_MARK, ".svg": PLAN_MARK}
_FORMAT: Final = re.compile(r'"format": "[a-z-]+/')


def reports_of(
    checked: Checked, templates: Path | None = None, view: View | None = None
) -> dict[str, str]:
    """The text of every file of the report, by file name; see `write_reports`."""
    view = view or view_of(checked)
    phases = phases_of(checked, view.brief.keys)
    page, drawn = _report(view, phases)
    records = json.dumps(records_of(checked), indent=1, ensure_ascii=False, allow_nan=False)
    return {
        **pages_of("report", page, templates),
        CLIENT: html_of(client_page(view, phases), templates),
        **{name: f"{drawing}\n" for name, drawing in drawn.items()},
        FINDINGS: records + "\n",
    }


def _report(view: View, phases: tuple[Picture, ...]) -> tuple[Page, dict[str, str]]:
    """The whole page, and its drawings by file name."""
    brief = view.brief
    svg = plan_svg(brief.checked, brief.keys, described(view))
    parts, drawn = _sections(brief)
    page = page_of(view, svg, PLAN, parts, phases)
    return page, {PLAN: svg, **{item.file: item.svg for item in phases}, **drawn}


def write_report(checked: Checked, file: Path) -> Path:
    """Write the report into one file, by its ending; see `page_file.write_page`."""
    from checker.papers.page_file import write_page

    view = view_of(checked)
    return write_page(_report(view, phases_of(checked, view.brief.keys))[0], file, FOOTER)


def write_client(checked: Checked, file: Path, order_sizes: Path | None = None) -> Path:
    """Write one page for the client; see `page_file.write_page`.

    Args:
        checked: The check.
        file: Where to.
        order_sizes: A table of sizes, prices and hours, for what the work costs.
    """
    from checker.papers.page_file import write_page

    costs: tuple[str, ...] = ()
    if order_sizes is not None:
        from checker.papers.takeoff import cost_sentences, whole_order

        costs = cost_sentences(whole_order(checked, order_sizes, checked.system)[1])
    view = view_of(checked)
    page = client_page(view, phases_of(checked, view.brief.keys), costs)
    return write_page(page, file, CLIENT_FOOTER)


def _sections(brief: Brief) -> tuple[tuple[Section, ...], dict[str, str]]:
    """What pavement sections and drainage add: parts of the page, and drawings by file name."""
    parts: tuple[Section, ...] = ()
    drawn: dict[str, str] = {}
    checked = brief.checked
    if "sections" in checked.site.parts:
        from checker.papers.section import drawings, sections_part

        parts, drawn = sections_part(checked), drawings(checked)
    if "panels" in checked.site.parts or "ways_out" in checked.site.parts:
        from checker.papers.drainage import drainage_drawings, drainage_part

        parts, drawn = (*parts, *drainage_part(brief)), drawn | drainage_drawings(brief)
    return parts, drawn


def described(view: View) -> str:
    """What the plan shows, in words."""
    items = (
        f"{item.letter}: {item.surface}, {item.material}, {item.stage}, {item.area}, {item.where}."
        for item in view.plan
    )
    others = (f"{item.what}: {item.text}." for item in view.others)
    lot = ", ".join(f"{pair.what.lower()} {pair.text}" for pair in view.lot[:2])
    return " ".join((f"The lot, {lot}.", *items, *others))


def write_reports(
    checked: Checked, folder: Path, templates: Path | None = None, view: View | None = None
) -> list[Path]:
    """Write all reports of a check into a folder, together or not at all.

    Args:
        checked: The check.
        folder: Is made when it is not there; other files in it stay as they are.
        templates: A folder with a page.html or page.md of one's own, e.g. with a letterhead.
        view: The texts of the check, where they are there already.

    Returns:
        The files written.

    Raises:
        BadInput: The folder cannot be used, or holds a file of another's under one of the names;
            or the template cannot be used.
    """
    return write_pages(reports_of(checked, templates, view), folder)


def write_pages(pages: Mapping[str, str], folder: Path) -> list[Path]:
    """Write pages, by file name, that belong together; see `checker.files.saving.save_together`.

    Raises:
        BadInput: The folder cannot be used, or holds a file of another's under one of the names.
    """
    texts = {name: f"{text.rstrip()}\n" for name, text in pages.items()}
    marks = {name: _mark(name, text) for name, text in texts.items()}
    return save_together(folder, texts, marks, f"{folder.as_posix()} cannot be used for pages")


def _mark(name: str, text: str) -> str:
    """What tells a page of ours: that of its ending, or the format that it says it has."""
    if name.endswith(".json"):
        found = _FORMAT.search(text[:HEAD_BYTES])
        assert found is not None, name
        return found[0]
    mark = _MARKS[Path(name).suffix]
    assert mark in text[:HEAD_BYTES], name
    return mark
