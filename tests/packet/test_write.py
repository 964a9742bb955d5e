"""The folder of a packet: the whole of it or nothing, never over other files, always the same."""

from __future__ import annotations

import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.findings.checked import Checked
from checker.packet import writing
from checker.packet.writing import NotReady, Packet, write_packet
from checker.pages.pdf_writer import MissingLibrary
from checker.papers.job import make_job, version
from tests.packet.conftest import DAY
from tests.packet.reading import docx_text, md_text, pdf_text


def test_same_input_same_bytes(orchard: Checked, orchard_packet: Packet, tmp_path: Path) -> None:
    again = write_packet(orchard, tmp_path / "again", date=DAY)
    assert again.files == orchard_packet.files
    for name in again.files:
        first, second = (orchard_packet.folder / name, again.folder / name)
        assert first.read_bytes() == second.read_bytes(), name


def test_no_clock_in_zip_files(orchard_packet: Packet) -> None:
    for name in orchard_packet.files:
        if name.endswith((".docx", ".xlsx")):
            with zipfile.ZipFile(orchard_packet.folder / name) as archive:
                assert {item.date_time for item in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
                core = archive.read("docProps/core.xml").decode()
                assert "2000-01-01" in core


def test_the_footer_cites_date_rules_program_and_input(orchard_packet: Packet) -> None:
    stamp = (
        "revision A · 2026-03-02 · rules larkmoor, in force since 2025-01-01 · "
        f"Soakline {version()} · input "
    )
    for name, read in (("packet.pdf", pdf_text), ("narrative.md", md_text)):
        assert stamp in read(orchard_packet.folder / name)


def test_the_input_hash_follows_the_input(changed: Callable[..., Checked]) -> None:
    hashes = {
        make_job(changed(*pairs)).stamp.inputs
        for pairs in ((), (("size: [44, 36]", "size: [44, 35]"),))
    }
    assert len(hashes) == 2


def test_an_existing_packet_is_kept_unless_told(orchard: Checked, tmp_path: Path) -> None:
    folder = tmp_path / "p"
    write_packet(orchard, folder)
    before = (folder / "packet.pdf").read_bytes()
    with pytest.raises(BadInput, match="written") as caught:
        write_packet(orchard, folder, date=DAY)
    assert "holds a packet already" in str(caught.value)
    assert (folder / "packet.pdf").read_bytes() == before
    write_packet(orchard, folder, date=DAY, overwrite=True)
    assert (folder / "packet.pdf").read_bytes() != before


def test_other_files_are_never_overwritten(orchard: Checked, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(BadInput, match="written") as caught:
        write_packet(orchard, tmp_path, overwrite=True)
    assert "holds other files" in str(caught.value)
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


def test_a_file_in_the_place_of_the_folder(orchard: Checked, tmp_path: Path) -> None:
    (tmp_path / "p").write_text("mine")
    with pytest.raises(BadInput, match="written"):
        write_packet(orchard, tmp_path / "p", overwrite=True)


@pytest.mark.parametrize("part", ["workbook_bytes", "docx_bytes", "csv_text", "_manifest"])
def test_a_failure_leaves_nothing(
    orchard: Checked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, part: str
) -> None:
    def fails(*_: object) -> bytes:
        raise RuntimeError("half-way")

    monkeypatch.setattr(writing, part, fails)
    with pytest.raises(RuntimeError, match="half-way"):
        write_packet(orchard, tmp_path / "p")
    assert list(tmp_path.iterdir()) == []


def test_a_failing_disk_keeps_the_old_packet(
    orchard: Checked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "p"
    write_packet(orchard, folder)
    before = sorted(path.name for path in folder.iterdir())

    def fails(*_: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", fails)
    with pytest.raises(BadInput, match="written") as caught:
        write_packet(orchard, folder, overwrite=True)
    assert "No space left" in str(caught.value)
    monkeypatch.undo()
    assert sorted(path.name for path in folder.iterdir()) == before
    assert [path.name for path in tmp_path.iterdir()] == ["p"]


@pytest.mark.parametrize("module", ["typst", "docx", "xlsxwriter"])
def test_a_missing_library_is_named(
    orchard: Checked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, module: str
) -> None:
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(MissingLibrary, match="extra 'packet'"):
        write_packet(orchard, tmp_path / "p")
    assert list(tmp_path.iterdir()) == []


def test_progress_goes_up_to_the_end(orchard: Checked, tmp_path: Path) -> None:
    seen: list[tuple[int, int, str]] = []
    write_packet(orchard, tmp_path / "p", progress=lambda *step: seen.append(step))
    assert [done for done, _, _ in seen] == list(range(len(seen)))
    assert seen[-1][0] == seen[-1][1]
    assert seen[-1][2] == "done"


def test_one_file_per_document_as_well(orchard: Checked, tmp_path: Path) -> None:
    files = write_packet(orchard, tmp_path / "p", split=True).files
    assert {"1-cover.pdf", "S1-existing-conditions.pdf", "12-certifications.pdf"} <= set(files)
    assert all(len(name) <= 50 for name in files)


def test_only_when_ready(changed: Callable[..., Checked], tmp_path: Path) -> None:
    checked = changed(("  parcel: 041-2-07\n", ""))
    with pytest.raises(NotReady, match="Parcel or tax number: give 'parcel' under 'project'"):
        write_packet(checked, tmp_path / "p", only_when_ready=True)
    assert not (tmp_path / "p").exists()


def test_unknown_sheet_size(orchard: Checked, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="written") as caught:
        write_packet(orchard, tmp_path / "p", sheet_size="a0")
    assert "letter, tabloid, arch-d" in str(caught.value)


HOSTILE = '#import "x" *a* $x$ `b` [c] <script>alert(1)</script> \\ {{7*7}} & |=1+1 \u202e\u0007'


def test_what_a_file_says_never_acts(changed: Callable[..., Checked], tmp_path: Path) -> None:
    quoted = HOSTILE.replace("\\", "\\\\").replace('"', '\\"').replace("\u0007", "\\a")
    checked = changed(
        ("title: Orchard Row pool terrace", f'title: "{quoted}"'),
        ("title: House,", 'title: "=1+1",'),
        ("  address: 14 Orchard Row (invented)", f'  address: "{quoted}"'),
    )
    packet = write_packet(checked, tmp_path / "p")
    shown = '#import "x" *a* $x$ `b` [c] <script>alert(1)</script>'
    assert shown in pdf_text(packet.folder / "packet.pdf")
    assert shown in docx_text(packet.folder / "narrative.docx")
    text = (packet.folder / "narrative.md").read_text("utf-8")
    assert "<script>" not in text
    for name in packet.files:
        if name.endswith((".md", ".csv", ".json")):
            assert "\u202e" not in (packet.folder / name).read_text("utf-8")
    import openpyxl

    sheet = openpyxl.load_workbook(packet.folder / "coverage-worksheet.xlsx").worksheets[0]
    assert sheet["B6"].value == "'=1+1"
    assert sheet["B6"].data_type == "s"


def test_an_empty_lot_gives_a_packet(plain: Callable[[str], Checked], tmp_path: Path) -> None:
    checked = plain(
        "format: site/1\ntitle: Bare\nplace: larkmoor\nunits: ft\n"
        "lot: {boundary: {points: [[0, 0], [50, 0], [50, 50], [0, 50]]}}\nsurfaces: []\n"
    )
    packet = write_packet(checked, tmp_path / "p")
    assert not packet.preflight.is_ready
    assert "not given" in pdf_text(packet.folder / "packet.pdf")


def test_through_the_api(orchard: Checked, tmp_path: Path) -> None:
    assert "packet.pdf" in api.packet(orchard, tmp_path / "p").files


def test_letters_that_no_font_has_are_spelled_and_told(
    changed: Callable[..., Checked], tmp_path: Path
) -> None:
    checked = changed(("title: Orchard Row pool terrace", "title: 果園 Ωμέγα"))
    packet = write_packet(checked, tmp_path / "p")
    text = pdf_text(packet.folder / "packet.pdf")
    # U+679C and U+5712 are the two signs; Greek has glyphs and stays.
    assert "[U+679C][U+5712] Ωμέγα" in text
    assert "in no font here: give a folder of fonts" in text


def test_other_alphabets_with_glyphs_print(changed: Callable[..., Checked], tmp_path: Path) -> None:
    title = "Höfgården, Łódź, Ωμέγα, Привет"
    checked = changed(("title: Orchard Row pool terrace", f"title: '{title}'"))
    packet = write_packet(checked, tmp_path / "p")
    assert title in pdf_text(packet.folder / "packet.pdf")
    assert title in docx_text(packet.folder / "narrative.docx")
