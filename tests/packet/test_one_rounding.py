"""No value of a packet stands in two roundings, in whichever of its files it is read back."""

from __future__ import annotations

import csv
import re
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from checker.core.showing import show_number
from checker.packet.writing import Packet, write_packet
from tests.packet.conftest import FILES, judged
from tests.packet.reading import docx_text, md_text, pdf_text

UNITS = "sq ft|cu ft|ft|gal/min|in/h|h|%|m2|m3|m|L/s|mm/h"
TOKEN = re.compile(rf"(?<![\w./–-])(\d[\d,]*(?:\.\d+)?) ({UNITS})(?![\w/])")
FIGURE = re.compile(rf"[+−-]?(\d[\d,]*(?:\.\d+)?) ({UNITS})")
MOST_DECIMALS = 4


@pytest.fixture(scope="module", params=["us", "metric"])
def packet(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Packet:
    folder = tmp_path_factory.mktemp(request.param)
    for path in FILES.glob("teal-cross*"):
        text = path.read_text("utf-8").replace("shown_in: us", f"shown_in: {request.param}")
        (folder / path.name).write_text(text, encoding="utf-8")
    lot = judged(folder / "teal-cross.yaml")
    return write_packet(lot, folder / "out", date=date(2026, 3, 2))


def written(folder: Path) -> dict[str, str]:
    """The text of each file; the cells of sheets as they print, with their unit."""
    found = {path.name: pdf_text(path) for path in folder.glob("*-packet.pdf")}
    found |= {path.name: docx_text(path) for path in folder.glob("*.docx")}
    found |= {path.name: md_text(path) for path in folder.glob("*.md")}
    found |= {path.name: sheet_text(path) for path in folder.glob("*.xlsx")}
    found |= {path.name: rows_text(path) for path in folder.glob("*.csv")}
    assert {name.rpartition(".")[2] for name in found} == {"pdf", "docx", "md", "xlsx", "csv"}
    return found


def sheet_text(path: Path) -> str:
    """Every number as its format prints it: its decimals are the zeros behind the point."""
    cells = []
    for sheet in openpyxl.load_workbook(path, data_only=True).worksheets:
        unit = "m2" if "m2" in str(sheet.cell(3, 1).value) else "sq ft"
        for row in sheet.iter_rows():
            for cell in row:
                shape = cell.number_format.partition(";")[0]
                if not isinstance(cell.value, int | float) or not shape.lstrip("+").startswith("#"):
                    continue
                decimals = len(shape.partition(".")[2])
                cells.append(f"{show_number(abs(cell.value), decimals)} {unit}")
    return " ; ".join(cells)


def rows_text(path: Path) -> str:
    cells = []
    heads, *rows = csv.reader(path.read_text("utf-8-sig").splitlines())
    for row in rows:
        for head, cell in zip(heads, row, strict=True):
            unit = re.search(r"\((sq ft|m2)\)", head)
            if unit and cell:
                whole, point, rest = cell.lstrip("+-").partition(".")
                cells.append(f"{int(whole):,}{point}{rest} {unit[1]}")
    return " ; ".join(cells)


def typed(folder: Path) -> set[str]:
    """Amounts that a person typed, in the site file or in a rule: they stay as they were typed."""
    package = Path(__file__).parents[2]
    files = [*folder.parent.glob("teal-cross*.yaml"), *package.glob("rules/**/*.yaml")]
    texts = [path.read_text("utf-8") for path in (*files, *package.glob("jurisdictions/**/*.yaml"))]
    found = {f"{number} {unit}" for text in texts for number, unit in TOKEN.findall(text)}
    return found | {f"{int(each.split()[0]):,} {each.split(maxsplit=1)[1]}" for each in found
                    if each.split()[0].isdigit()}  # fmt: skip


SCALES = re.compile(r"1 in = \d+ ft|0 [\d ]+ ft")
"""A scale, and the labels of its bar."""


def roundings(packet: Packet, texts: dict[str, str]) -> list[str]:
    """Each figure that also stands somewhere with other decimals than its own."""
    tokens: dict[str, set[str]] = {}
    for name, text in texts.items():
        for number, unit in TOKEN.findall(SCALES.sub("", text)):
            tokens.setdefault(f"{number} {unit}", set()).add(name)
    own = {}
    for figure in packet.figures:
        match = FIGURE.fullmatch(figure.text)
        if match and figure.amount is not None:
            number, unit, _ = packet.figures.number(figure.key)
            if unit == match[2]:
                own[figure.key] = (f"{match[1]} {unit}", abs(number), unit)
    known = {text for text, _, _ in own.values()} | typed(packet.folder)
    found = []
    for key, (text, number, unit) in own.items():
        for decimals in range(MOST_DECIMALS + 1):
            other = f"{show_number(number, decimals)} {unit}"
            if number and other != text and other in tokens and other not in known:
                found.append(f"{key}: {text}, and {other} in {sorted(tokens[other])}")
    return found


def test_no_value_stands_in_two_roundings(packet: Packet) -> None:
    assert roundings(packet, written(packet.folder)) == []


def test_another_rounding_is_found(packet: Packet) -> None:
    """By hand: the total of the worksheet is 3,043.17 sq ft, 282.72 m2."""
    (key,) = (f.key for f in packet.figures if f.key == "cover.impervious_area.total.proposed")
    wrong = {"us": "3,043 sq ft", "metric": "282.7 m2"}[packet.figures.system]
    assert any(key in line for line in roundings(packet, {"a.md": f"It counts {wrong}."}))
