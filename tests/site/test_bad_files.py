"""Bad site files and drawings: every message, whole, in order, none missing and none extra."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.site.read import read_site

FOLDER = Path(__file__).parents[1] / "bad" / "site"
FILES = sorted(FOLDER.glob("*.yaml"))


def test_there_are_enough() -> None:
    assert len(FILES) >= 45
    texts = {path.with_suffix("").stem for path in FOLDER.glob("*.expected.txt")}
    assert texts == {path.stem for path in FILES}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_messages_are_whole(path: Path) -> None:
    with pytest.raises(BadInput) as error:
        read_site(path, path.name)
    expected = path.with_suffix(".expected.txt").read_text(encoding="utf-8")
    assert f"{error.value}\n" == expected
    for line in str(error.value).splitlines()[1:]:
        assert line.startswith("  ")
        assert "Traceback" not in line
        assert str(FOLDER.parents[1]) not in line, "a path of this machine"


@pytest.mark.parametrize("suffix", [".dxf", ".geojson", ".gpkg", ".shp", ".zip", ".dwg"])
def test_a_drawing_is_no_site_file(suffix: str, tmp_path: Path) -> None:
    with pytest.raises(BadInput) as error:
        read_site(tmp_path / f"lot{suffix}", f"lot{suffix}")
    assert [str(problem) for problem in error.value.problems] == [
        (
            f"lot{suffix}: is a drawing, not a site file; judge it with 'soakline check', which "
            "makes a site file that refers to it"
        )
    ]


def test_missing_file_and_folder(tmp_path: Path) -> None:
    for path, says in (
        (tmp_path / "gone.yaml", "x: does not exist; check the name and the folder you are in"),
        (tmp_path, "x: is a folder, not a file; name the file inside it"),
    ):
        with pytest.raises(BadInput) as error:
            read_site(path, "x")
        assert [str(problem) for problem in error.value.problems] == [says]
