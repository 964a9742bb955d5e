"""Files are written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.files.saving import HEAD_BYTES, save
from tests.faults.rightless import open_folder, without_rights


def test_it_writes_and_makes_the_folder(tmp_path: Path) -> None:
    path = save(tmp_path / "a" / "b.txt", "x\n")
    assert path.read_bytes() == b"x\n"
    assert [item.name for item in path.parent.iterdir()] == ["b.txt"]


MARK = "<!-- ours -->"


def said(path: Path, mark: str = MARK) -> str:
    with pytest.raises(BadInput) as refused:
        save(path, f"{mark} new", mark)
    return str(refused.value.problems[0]).replace(path.as_posix(), "x")


def test_only_what_bears_our_mark_is_replaced(tmp_path: Path) -> None:
    path = save(tmp_path / "b.txt", f"{MARK} old", MARK)
    save(path, f"{MARK} new", MARK)
    assert path.read_text() == f"{MARK} new"
    path.write_text("my own work")
    foreign = "x: is there already and was not written by this program"
    assert said(path) == f"{foreign}; move it away, or choose another name"
    assert said(path, "") == "x: is there already; move it away, or choose another name"
    assert path.read_text() == "my own work"


def test_a_mark_far_from_the_start_is_none(tmp_path: Path) -> None:
    path = tmp_path / "b.txt"
    path.write_text("x" * HEAD_BYTES + MARK)
    assert "was not written by this program" in said(path)


def test_folders_links_and_pipes_are_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    save(tmp_path / "ours", MARK, MARK)
    (tmp_path / "link").symlink_to(tmp_path / "ours")
    (tmp_path / "dangling").symlink_to(tmp_path / "nowhere")
    os.mkfifo(tmp_path / "pipe")
    for name in ("folder", "link", "dangling", "pipe"):
        assert "was not written by this program" in said(tmp_path / name)
    assert not (tmp_path / "nowhere").exists()


def test_a_name_too_long_is_told(tmp_path: Path) -> None:
    do = "choose another place, or check its permissions"
    assert said(tmp_path / ("n" * 300)) == f"x: cannot be written: File name too long; {do}"
    assert said(tmp_path / "a\0b") == f"x: cannot be written: the name cannot be used; {do}"


def test_a_user_without_rights_is_told_what_may_not_be_written() -> None:
    with open_folder() as folder:
        (folder / "shut").mkdir(mode=0o500)
        (folder / "dark").mkdir(mode=0)
        do = "choose another place, or check its permissions"
        for name in ("shut/x.txt", "dark/x.txt", "shut/deeper/x.txt"):
            assert without_rights(lambda name=name: said(folder / name)) == (  # type: ignore[misc]
                f"x: cannot be written: Permission denied; {do}"
            )
        assert list((folder / "shut").iterdir()) == []


def test_the_rights_of_a_file_are_those_of_any_new_one(tmp_path: Path) -> None:
    (tmp_path / "plain").write_text("x")
    path = save(tmp_path / "a.txt", "x")
    assert path.stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_file_in_place_of_the_folder_is_said(tmp_path: Path) -> None:
    save(tmp_path / "b", "x")
    with pytest.raises(BadInput) as raised:
        save(tmp_path / "b" / "c", "x")
    assert "cannot be written: a file stands where a folder must" in str(raised.value)
