"""Files that once ended in a traceback, a hang or a lie: each with its whole message, or its pages.

All are invented; each is a sample, or a made-up lot, with one thing spoilt.
"""

from __future__ import annotations

import csv
import json
import os
import shutil
import zipfile
from pathlib import Path

import pytest

from checker.cli.main import run
from checker.words.amounts import inert

FILES = Path(__file__).with_name("files")
ORIGIN = "far outside the lot; check its numbers; all share one origin and one unit"
DISGUISED = "is no Shapefile, whatever its name says; export it again from the GIS program"
PLAIN = "is not a plain file; name a plain file"
NO_FILE = "does not exist; check the name and the folder you are in"
COST = "which no paving costs; check the number and its unit"

REFUSED = {
    "check far-edge-1e307.yaml": f"75:7: 'apron' reaches to 1e+307, 0, {ORIGIN}",
    "check nan-label-1.yaml": f"27:4: 'exfiltration' reaches to 1.7e+308, 100, {ORIGIN}",
    "check nan-label-2.yaml": f"31:4: 'main' reaches to 8, 1.7e+308, {ORIGIN}",
    "check rain-fifo.yaml": f"86:10: fifo.csv {PLAIN}",
    "check rain-zero.yaml": f"86:10: /dev/zero {PLAIN}",
    "check dm.yaml": f"10:17: nowhere.dxf {NO_FILE}",
    "drainage rain-fifo.yaml": f"86:10: fifo.csv {PLAIN}",
}
ELSEWHERE = {
    "check vrt3.yaml": f"vrt3.yaml cannot be used\n  vrt3.shp: {DISGUISED}\n",
    "check draw24.yaml": f"draw24.yaml cannot be used\n  vrt3.shp: {DISGUISED}\n",
    "check origin.yaml": (
        "origin.yaml cannot be used\n"
        "  lot.geojson: 'origin' of the drawing is -98, 91, far from what it holds; give longitude "
        "and latitude beside the lot, such as -98, 31\n"
    ),
    "change goal-crash.yaml": (
        "costs.yaml cannot be used\n  costs.yaml:14:44: 'building' of permeable-paving is "
        f"'$9007199254740992/sq ft', {COST}\n"
    ),
}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "files"
    shutil.copytree(FILES, place)
    os.mkfifo(place / "fifo.csv")
    monkeypatch.chdir(place)
    return place


def said(capsys: pytest.CaptureFixture[str], command: str) -> tuple[int, str, str]:
    code = run(command.split())
    printed = capsys.readouterr()
    assert "Traceback" not in printed.err
    return code, printed.out, printed.err


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize("command", REFUSED)
def test_each_is_refused_with_its_place(capsys: pytest.CaptureFixture[str], command: str) -> None:
    name = command.split()[1]
    expected = f"{name} cannot be used\n  {name}:{REFUSED[command]}\n"
    for same in (command, f"packet {name}"):
        assert said(capsys, same) == (2, "", expected)


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize("command", ELSEWHERE)
def test_what_is_wrong_in_another_file(capsys: pytest.CaptureFixture[str], command: str) -> None:
    assert said(capsys, command) == (2, "", ELSEWHERE[command])


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize("name", ["ledger.yaml", "twosurfaces.yaml", "jsonpair.json"])
@pytest.mark.parametrize("command", ["check", "change", "sensitivity", "drainage", "takeoff"])
def test_each_is_judged(capsys: pytest.CaptureFixture[str], command: str, name: str) -> None:
    assert said(capsys, f"{command} {name}")[0] in {0, 1, 2}


def test_a_title_of_230_characters(capsys: pytest.CaptureFixture[str], folder: Path) -> None:
    assert said(capsys, "packet title230.yaml --out p")[0] in {0, 1}
    with zipfile.ZipFile(folder / "p" / "upkeep-plan.docx") as packed:
        core = packed.read("docProps/core.xml").decode()
    title = core.partition("<dc:title>")[2].partition("</dc:title>")[0]
    assert len(title) == 255
    assert title.endswith(": Operation and upkeep plan")


def test_a_picture_sign_in_a_title_stops_no_packet(
    capsys: pytest.CaptureFixture[str], folder: Path
) -> None:
    code, out, _ = said(capsys, "packet jsonpair.json --out p")
    assert code == 1
    assert "Written to p:" in out
    assert (
        json.loads((folder / "p" / "packet.json").read_text("utf-8"))["title"] == "pool \U0001f3ca"
    )
    assert "\U0001f3ca" in (folder / "p" / "narrative.md").read_text("utf-8")


def cells(path: Path) -> list[str]:
    """Every cell as a reader sees it that splits at commas, semicolons or tabs, quotes or not."""
    text = path.read_text("utf-8-sig")
    found: list[str] = []
    for mark in (",", ";", "\t"):
        for quoting in (csv.QUOTE_MINIMAL, csv.QUOTE_NONE):
            found += [
                c
                for row in csv.reader(text.splitlines(), delimiter=mark, quoting=quoting)
                for c in row
            ]
    return found


def acts(cell: str) -> bool:
    """Whether a spreadsheet would take a cell for a formula; a plain number is none."""
    text = cell.lstrip(' \t\r\n"\ufeff')
    return text[:1] in tuple("=+-@") and not text.lstrip("+-").replace(".", "").isdigit()


@pytest.mark.parametrize(
    ("lead", "sign"), [("", "="), ("a;", "@"), ("\\t", "+"), (" ", "-"), ('a;\\"', "=")]
)
def test_no_text_becomes_a_formula(
    capsys: pytest.CaptureFixture[str], folder: Path, lead: str, sign: str
) -> None:
    for name in ("formula-t.yaml", "formula-town.yaml"):
        text = (folder / name).read_text("utf-8")
        (folder / name).write_text(text.replace("=cmd", f"{lead}{sign}cmd"), "utf-8")
    assert said(capsys, "packet formula-t.yaml --out p")[0] in {0, 1}
    assert [cell for cell in cells(folder / "p" / "coverage-worksheet.csv") if acts(cell)] == []
    with zipfile.ZipFile(folder / "p" / "coverage-worksheet.xlsx") as packed:
        sheet = packed.read("xl/worksheets/sheet1.xml").decode()
    formulas = [part.partition("</f>")[0] for part in sheet.split("<f>")[1:]]
    assert len(formulas) > 50
    assert not any("cmd" in formula for formula in formulas)


def test_no_office_file_names_a_maker(capsys: pytest.CaptureFixture[str], folder: Path) -> None:
    said(capsys, "packet title230.yaml --out p")
    files = [path for path in (folder / "p").iterdir() if path.suffix in {".docx", ".xlsx"}]
    assert len(files) >= 3
    for path in files:
        with zipfile.ZipFile(path) as packed:
            assert packed.testzip() is None
            parts = {f"/{name}" for name in packed.namelist()}
            for name in packed.namelist():
                content = packed.read(name).lower()
                for word in (b"microsoft ", b"macintosh", b"normal.dotm", b"office theme"):
                    assert word not in content, (path.name, name)
            listed = packed.read("[Content_Types].xml").decode().split('PartName="')[1:]
            assert {part.partition('"')[0] for part in listed} <= parts


@pytest.mark.usefixtures("folder")
def test_the_rain_and_cost_tables_are_input(
    capsys: pytest.CaptureFixture[str], folder: Path
) -> None:
    site = (folder / "far-edge-1e307.yaml").read_text("utf-8").replace("1e307", "42")
    (folder / "site.yaml").write_text(f"{site}\ncosts: ./costs.yaml\n", "utf-8")
    costs = (folder / "costs.yaml").read_text("utf-8").replace("9007199254740992", "24")
    (folder / "costs.yaml").write_text(costs, "utf-8")
    stamps = set()
    for name, old, new in (
        ("rain.csv", "Invented", "Invented"),
        ("rain.csv", "0.40", "0.41"),
        ("costs.yaml", "$14/", "$15/"),
    ):
        path = folder / name
        path.write_text(
            path.read_text("utf-8").replace(old, new) if old else path.read_text("utf-8")
        )
        said(capsys, "packet site.yaml --out p --overwrite")
        stamps.add(json.loads((folder / "p" / "packet.json").read_text("utf-8"))["stamp"])
    assert len(stamps) == 3


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\uff1d", "\uff0b"])
@pytest.mark.parametrize(
    "lead", ["", " ", "\u00a0", "\t", "\r", "\n", '"', "a;", "a; ", "a\t", "a|", 'a;"', "\n\n"]
)
def test_every_way_into_a_formula_is_shut(lead: str, sign: str) -> None:
    made = inert(f"{lead}{sign}1+1")
    assert made == f"{lead}'{sign}1+1"
    assert inert(made) == made


@pytest.mark.parametrize("text", ["", "West deck", "a - b", "3 = 3", "x@y", "it's +2 in", "5;6"])
def test_harmless_texts_stay_as_they_are(text: str) -> None:
    assert inert(text) == text
