"""Files are written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.files.saving import save


def test_it_writes_and_makes_the_folder(tmp_path: Path) -> None:
    path = save(tmp_path / "a" / "b.txt", "x\n")
    assert path.read_bytes() == b"x\n"
    assert [item.name for item in path.parent.iterdir()] == ["b.txt"]


def test_what_is_there_is_kept_unless_told(tmp_path: Path) -> None:
    path = save(tmp_path / "b.txt", "old")
    with pytest.raises(BadInput, match=r"b\.txt cannot be written"):
        save(path, "new")
    assert path.read_text() == "old"
    save(path, "new", may_replace=True)
    assert path.read_text() == "new"


def test_a_folder_is_never_replaced(tmp_path: Path) -> None:
    with pytest.raises(BadInput):
        save(tmp_path, "x", may_replace=True)


def test_a_file_in_place_of_the_folder_is_said(tmp_path: Path) -> None:
    save(tmp_path / "b", "x")
    with pytest.raises(BadInput) as raised:
        save(tmp_path / "b" / "c", "x")
    assert "the folder cannot be used" in str(raised.value)
