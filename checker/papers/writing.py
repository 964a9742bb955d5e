"""Writes the report of a check: a page, its plan, the same as Markdown, and the findings as data.

All files are made before the first is written, and each takes its place whole or not at all.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Place, Problem
from checker.drawing.plan import MARK as PLAN_MARK
from checker.drawing.plan import plan_svg
from checker.pages.html_writer import MARK as HTML_MARK
from checker.pages.html_writer import html_of
from checker.pages.markdown_writer import MARK as MARKDOWN_MARK
from checker.pages.markdown_writer import markdown_of
from checker.papers.records import FORMAT, records_of
from checker.papers.report import page_of
from checker.words.letters import Keys
from checker.words.view import view_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.findings.checked import Checked
    from checker.pages.blocks import Section
    from checker.words.view import View

HTML: Final = "report.html"
MARKDOWN: Final = "report.md"
PLAN: Final = "plan.svg"
FINDINGS: Final = "findings.json"

_MARKS: Final = {
    HTML: HTML_MARK,
    MARKDOWN: MARKDOWN_MARK,
    PLAN: PLAN_MARK,
    FINDINGS: f'"format": "{FORMAT}"',
}
_HEAD_BYTES: Final = 1000
"""A mark of ours stands this near the start of a file."""


def reports_of(checked: Checked) -> dict[str, str]:
    """The text of every file of the report, by file name."""
    view = view_of(checked)
    svg = plan_svg(checked, Keys(checked.site), described(view))
    parts, drawn = _sections(checked)
    page = page_of(view, svg, PLAN, parts)
    records = json.dumps(records_of(checked), indent=1, ensure_ascii=False, allow_nan=False)
    return {
        HTML: html_of(page),
        MARKDOWN: markdown_of(page),
        PLAN: svg + "\n",
        **{name: f"{drawing}\n" for name, drawing in drawn.items()},
        FINDINGS: records + "\n",
    }


def _sections(checked: Checked) -> tuple[tuple[Section, ...], dict[str, str]]:
    """What pavement sections and drainage add: parts of the page, and drawings by file name."""
    parts: tuple[Section, ...] = ()
    drawn: dict[str, str] = {}
    if "sections" in checked.site.parts:
        from checker.papers.section import drawings, sections_part

        parts, drawn = sections_part(checked), drawings(checked)
    if "panels" in checked.site.parts or "ways_out" in checked.site.parts:
        from checker.papers.drainage import drainage_drawings, drainage_part

        parts, drawn = (*parts, *drainage_part(checked)), drawn | drainage_drawings(checked)
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


def write_reports(checked: Checked, folder: Path) -> list[Path]:
    """Write all reports of a check into a folder.

    Args:
        checked: The check.
        folder: Is made when it is not there; other files in it stay as they are.

    Returns:
        The files written.

    Raises:
        BadInput: The folder cannot be used, or holds a file of another's under one of the names.
    """
    texts = reports_of(checked)
    _prepare(folder, texts)
    temporary: list[tuple[Path, Path]] = []
    try:
        for name, text in texts.items():
            target = folder / name
            draft = folder / f".{name}.part"
            temporary.append((draft, target))
            draft.write_bytes(text.encode("utf-8"))
        for draft, target in temporary:
            draft.replace(target)
    except OSError as error:
        for draft, _ in temporary:
            draft.unlink(missing_ok=True)
        raise _refused(folder, f"cannot be written: {error.strerror}", _OTHER) from error
    return [target for _, target in temporary]


_OTHER: Final = "choose another folder"


def _prepare(folder: Path, texts: Mapping[str, str]) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError as error:
        raise _refused(folder, "is a file, not a folder", _OTHER) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        raise _refused(folder, f"cannot be made: {reason}", _OTHER) from error
    foreign = [name for name in texts if not _is_ours(folder / name)]
    if foreign:
        problems = [
            Problem(
                Place((folder / name).as_posix()),
                "is there already and was not written by this program",
                "move it away, or choose another folder",
            )
            for name in foreign
        ]
        raise BadInput(f"{folder.as_posix()} cannot be used for reports", problems)


def _is_ours(path: Path) -> bool:
    """Whether a file may be replaced: it is not there, or bears our mark."""
    if not path.exists() and not path.is_symlink():
        return True
    if not path.is_file():
        return False
    with path.open("rb") as file:
        return _MARKS.get(path.name, PLAN_MARK).encode() in file.read(_HEAD_BYTES)


def _refused(folder: Path, says: str, do: str) -> BadInput:
    place = Place(folder.as_posix())
    return BadInput(f"{place} cannot be used for reports", [Problem(place, says, do)])
