"""Whatever leaves the program says what it is not, and defers: a walk over all outputs."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

import pytest

from checker import api
from checker.findings.checked import Checked
from checker.papers.terminal import answer_text
from checker.papers.writing import reports_of
from tests.report.conftest import FERNHOLLOW, SAMPLES, SITES, check_file

DEFERS = re.compile(
    r"licensed|local codes?|no survey|not a survey|no permit|the office decides", re.IGNORECASE
)


def defers(text: str) -> bool:
    return bool(DEFERS.search(" ".join(text.split())))


@pytest.fixture(scope="module", params=["linden", "fernhollow"])
def checked(request: pytest.FixtureRequest) -> Checked:
    return check_file(SITES / "linden" / "after.yaml" if request.param == "linden" else FERNHOLLOW)


def test_every_file_of_a_report(checked: Checked) -> None:
    silent = [name for name, text in reports_of(checked).items() if not defers(text)]
    # The findings are data for programs: they carry the words of the rule set and no more.
    assert set(silent) <= {"findings.json"}


def test_every_text_for_a_terminal(checked: Checked) -> None:
    texts = {
        "check": answer_text(checked),
        "check --all": answer_text(checked, is_whole=True),
        "takeoff": api.take_off(checked)[0],
        "takeoff --csv": api.take_off(checked)[1],
        "compare": api.comparison_text(api.compare_designs([checked, checked])),
        "rules show": api.describe_ruleset(checked.ruleset) + checked.ruleset.verify,
    }
    if "sections" in checked.site.parts:
        texts |= {"sections": api.sections_text(checked), "drainage": api.drainage_text(checked)}
    assert [name for name, text in texts.items() if not defers(text)] == []


def test_sensitivity_and_change() -> None:
    from checker.papers.change import text_of

    checked = check_file(SAMPLES / "least-change-patio" / "site.yaml")
    assert defers(api.sensitivity_text(api.sensitivity(checked)))
    assert defers(text_of(api.least_change(checked)))


def test_files_of_an_office(checked: Checked, tmp_path: Path) -> None:
    pytest.importorskip("typst")
    pypdf = pytest.importorskip("pypdf")
    pytest.importorskip("docx")
    pytest.importorskip("xlsxwriter")
    for name in ("client.pdf", "client.docx", "client.md"):
        path = api.write_client(checked, tmp_path / name)
        if name.endswith(".pdf"):
            text = " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages)
        elif name.endswith(".docx"):
            text = zipfile.ZipFile(path).read("word/document.xml").decode()
        else:
            text = path.read_text(encoding="utf-8")
        assert defers(text), name
    book = zipfile.ZipFile(io.BytesIO(api.take_off_workbook(checked)))
    assert defers(book.read("xl/sharedStrings.xml").decode())


def test_every_file_of_a_packet(checked: Checked, tmp_path: Path) -> None:
    pytest.importorskip("typst")
    pypdf = pytest.importorskip("pypdf")
    pytest.importorskip("docx")
    pytest.importorskip("xlsxwriter")
    folder = tmp_path / "packet"
    silent = set()
    for name in api.packet(checked, folder).files:
        path = folder / name
        if name.endswith(".pdf"):
            text = " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages)
        elif name.endswith((".docx", ".xlsx")):
            book = zipfile.ZipFile(path)
            parts = ("word/document.xml", "xl/sharedStrings.xml")
            text = " ".join(book.read(part).decode() for part in parts if part in book.namelist())
        else:
            text = path.read_text(encoding="utf-8")
        if not defers(text):
            silent.add(name)
    # The list of files is data for programs.
    assert silent <= {"packet.json"}
