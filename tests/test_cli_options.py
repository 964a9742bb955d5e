"""Options that contradict each other, or that nothing would read, are refused before any work."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from checker.cli.main import run

if TYPE_CHECKING:
    from pathlib import Path

GONE = "gone.yaml"
"""A site file that is not there: whoever reads it first has begun to work."""

REFUSED = (
    (f"check {GONE} --no-report --out pages", "'--no-report' writes no pages"),
    (f"check {GONE} --no-report --template own", "'--template' is about them"),
    (f"check {GONE} --units m", "'--units' says something of a drawing"),
    (f"check {GONE} --layer A=lawn", "'--layer' says something of a drawing"),
    (f"check {GONE} --fact zone=R-1", "'--fact' says something of a drawing"),
    (f"check {GONE} --page report.exe", "'.exe' is no kind of page"),
    (f"check {GONE} --page report", "it has no ending"),
    (f"check {GONE} --template own", "own: holds neither 'page.html' nor 'page.md'"),
    (f"change {GONE} --out pages --template own", "own: holds neither"),
    (f"client {GONE} page.exe", "'.exe' is no kind of page"),
    ("rules show gone --page rules.exe", "'.exe' is no kind of page"),
    (f"change {GONE} --template own", "give '--out FOLDER' too"),
    (f"change {GONE} --draw key", "give '--write FILE' too"),
    (f"compare {GONE} {GONE} --template own", "give '--out FOLDER' too"),
    (f"sensitivity {GONE} --template own", "give '--out FOLDER' too"),
    ("screen gone.yaml --template own", "give '--report FOLDER' too"),
    ("screen gone.yaml --workers 2 --scheduler tcp://x:1", "'--workers' are of this machine"),
    (f"packet {GONE} --date soon", "'soon' is no day"),
    (f"takeoff {GONE} --csv order.xlsx", "'--csv' writes .csv"),
    (f"takeoff {GONE} --xlsx order.csv", "'--xlsx' writes .xlsx"),
)


@pytest.mark.parametrize(("typed", "says"), REFUSED, ids=[typed for typed, _ in REFUSED])
def test_refused_at_once(
    typed: str,
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(typed.split()) == 2
    said = capsys.readouterr()
    assert said.out == ""
    told = " ".join(said.err.split())
    assert says in told
    assert GONE not in told.replace("Usage", "")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("command", ["new", "change"])
def test_what_is_there_is_told_before_the_work(
    command: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.yaml").write_text("mine", encoding="utf-8")
    given = ["mine.yaml", "--place", "gone"] if command == "new" else [GONE, "--write", "mine.yaml"]
    assert run([command, *given]) == 2
    assert "is there already" in capsys.readouterr().err
    assert (tmp_path / "mine.yaml").read_text("utf-8") == "mine"
