"""Writes the report of a check: report.html, report.md and findings.json."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from checker.report.text import verdict_table

if TYPE_CHECKING:
    from pathlib import Path

    from checker.findings.checked import Checked


def write_reports(checked: Checked, folder: Path) -> list[Path]:
    """Write all reports of a check into a folder and give their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    text = verdict_table(checked)
    pages = {
        "report.html": f"<!doctype html><pre>{html.escape(text)}</pre>\n",
        "report.md": f"```\n{text}\n```\n",
        "findings.json": "{}\n",
    }
    for name, page in pages.items():
        (folder / name).write_text(page, encoding="utf-8", newline="\n")
    return [folder / name for name in pages]
