"""No command writes over what is not ours, and each writes over its own."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from checker.cli.main import run

TERN = "samples/tern-court/site.yaml"
WREN = "samples/wren-terrace/site.yaml"
YARD = "samples/least-change-patio/site.yaml"
FOREIGN = "is there already and was not written by this program"

COMMANDS = {
    "report.html": ["check", WREN, "--out", "{}"],
    "report.md": ["check", WREN, "--out", "{}"],
    "plan.svg": ["check", WREN, "--out", "{}"],
    "findings.json": ["check", WREN, "--out", "{}"],
    "change.md": ["change", YARD, "--out", "{}"],
    "change.json": ["change", YARD, "--out", "{}"],
    "change.svg": ["change", YARD, "--out", "{}"],
    "lot.csv": ["takeoff", WREN, "--csv", "{}/lot.csv"],
}


def filled(command: Sequence[str], folder: Path) -> list[str]:
    return [word.replace("{}", str(folder)) for word in command]


@pytest.mark.parametrize("name", COMMANDS)
def test_what_is_not_ours_is_kept(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / name).write_text("my own work")
    assert run(filled(COMMANDS[name], tmp_path)) == 2
    err = capsys.readouterr().err
    do = "choose another name" if name == "lot.csv" else "choose another folder"
    assert f"{tmp_path / name}: {FOREIGN}; move it away, or {do}\n" in err
    assert (tmp_path / name).read_text() == "my own work"
    assert [path.name for path in tmp_path.iterdir()] == [name]


@pytest.mark.parametrize("command", [COMMANDS[n] for n in ("report.md", "change.md", "lot.csv")])
def test_what_is_ours_is_written_again(command: Sequence[str], tmp_path: Path) -> None:
    found = []
    for _ in range(2):
        assert run(filled(command, tmp_path)) in {0, 1}
        found.append({path.name: path.read_bytes() for path in tmp_path.iterdir()})
    assert found[0] == found[1]
    assert found[0]


def test_the_drawing_of_a_section(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["sections", WREN, "--out", str(tmp_path)]) == 0
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names
    assert run(["sections", WREN, "--out", str(tmp_path)]) == 0
    (tmp_path / names[0]).write_text("<svg/>")
    capsys.readouterr()
    assert run(["sections", WREN, "--out", str(tmp_path)]) == 2
    assert f"{names[0]}: {FOREIGN}" in capsys.readouterr().err
    assert (tmp_path / names[0]).read_text() == "<svg/>"


@pytest.mark.parametrize(
    "command",
    [
        ["takeoff", "{}/site.yaml", "--csv", "{}/site.yaml"],
        ["change", "{}/site.yaml", "--write", "{}/site.yaml"],
        ["new", "{}/site.yaml"],
        ["check", "{}/site.yaml", "--out", "{}/site.yaml"],
        ["packet", "{}/site.yaml", "--out", "{}/site.yaml"],
    ],
)
def test_the_site_file_itself_is_kept(command: Sequence[str], tmp_path: Path) -> None:
    text = Path(YARD).read_bytes()
    (tmp_path / "site.yaml").write_bytes(text)
    assert run(filled(command, tmp_path)) == 2
    assert (tmp_path / "site.yaml").read_bytes() == text
    assert [path.name for path in tmp_path.iterdir()] == ["site.yaml"]


@pytest.mark.parametrize("manifest", ['{"format": "other/1"}', '{"format": "packet/1"}', "x"])
def test_a_list_of_others_makes_no_packet(
    manifest: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "packet.json").write_text(manifest)
    (tmp_path / "notes.txt").write_text("mine")
    assert run(["packet", WREN, "--out", str(tmp_path), "--overwrite"]) == 2
    assert "exists and holds other files, such as 'notes.txt'" in capsys.readouterr().err
    assert (tmp_path / "notes.txt").read_text() == "mine"
    assert (tmp_path / "packet.json").read_text() == manifest


def test_an_empty_drawing_is_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "site.yaml").write_text(
        "format: site/1\ntitle: t\nplace: alder-ferry\nunits: ft\ndrawing: {file: lot.dxf}\n"
        "lot: {boundary: {layer: LOT}}\nsurfaces: []\n"
    )
    for content in ("", "\n\n", "0\nEOF\n"):
        (tmp_path / "lot.dxf").write_text(content)
        assert run(["check", str(tmp_path / "site.yaml"), "--no-report"]) == 2
        assert "lot.dxf: " in capsys.readouterr().err
