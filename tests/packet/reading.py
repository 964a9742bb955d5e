"""Reads the text of a packet's files back, the way other programs do."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
from pypdf import PdfReader

NUMBER = re.compile(r"[+−-]?\d[\d,]*(?:\.\d+)? (?:sq ft|cu ft|acre|ft|%|m2|m3|m)(?![\w/])")


def flat(text: str) -> str:
    """A text with plain spaces only, so that line breaks do not matter."""
    return " ".join(text.replace("\u00a0", " ").split())


@cache
def pdf_text(path: Path) -> str:
    return flat(" ".join(page.extract_text() for page in PdfReader(path).pages))


def docx_text(path: Path) -> str:
    import docx

    document = docx.Document(str(path))
    parts = [paragraph.text for paragraph in document.paragraphs]
    parts += [cell.text for table in document.tables for row in table.rows for cell in row.cells]
    return flat(" ".join(parts))


def md_text(path: Path) -> str:
    text = path.read_text("utf-8")
    return flat(re.sub(r"\\(.)", r"\1", text).replace("**", "").replace("|", " "))


def cells(path: Path, *, values: bool) -> dict[str, Any]:
    """Cells of the first sheet that hold something: cached results, or formulas."""
    book = openpyxl.load_workbook(path, data_only=values)
    sheet = book.worksheets[0]
    return {
        cell.coordinate: cell.value
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


def numbers_in(text: str) -> set[str]:
    """Every number with a unit."""
    return set(NUMBER.findall(text))
