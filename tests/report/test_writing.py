"""Reports are written whole or not at all, over our own files only, and alike every time."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from checker.core.problems import BadInput
from checker.findings.checked import Checked
from checker.papers.writing import reports_of, write_reports
from tests.report.conftest import BRINE, SAMPLES, SORREL, check_file

NAMES = [
    "report.html", "report.md", "client.html", "plan.svg",
    "plan-before.svg", "plan-after.svg", "plan-demolition.svg", "findings.json",
]  # fmt: skip
SCHEMA = json.loads(Path(__file__).with_name("findings.schema.json").read_text(encoding="utf-8"))


def test_what_is_written(sorrel: Checked, tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    assert [path.name for path in write_reports(sorrel, folder)] == NAMES
    assert sorted(path.name for path in folder.iterdir()) == sorted(NAMES)


def test_again_over_our_own_files(sorrel: Checked, tmp_path: Path) -> None:
    first = {p.name: p.read_bytes() for p in write_reports(sorrel, tmp_path)}
    (tmp_path / "notes.txt").write_text("mine")
    second = {p.name: p.read_bytes() for p in write_reports(check_file(SORREL), tmp_path)}
    assert first == second
    assert (tmp_path / "notes.txt").read_text() == "mine"


@pytest.mark.parametrize("name", NAMES)
def test_never_over_a_file_of_somebody_else(sorrel: Checked, tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("my own work")
    with pytest.raises(BadInput) as refused:
        write_reports(sorrel, tmp_path)
    assert f"{name}: is there already and was not written by this program" in str(refused.value)
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert (tmp_path / name).read_text() == "my own work"


def test_a_folder_that_is_a_file(sorrel: Checked, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("x")
    with pytest.raises(BadInput, match="cannot be used for pages"):
        write_reports(sorrel, tmp_path / "out")
    with pytest.raises(BadInput, match="cannot be used for pages"):
        write_reports(sorrel, tmp_path / "out" / "deeper")


def test_a_full_disk_leaves_nothing_behind(
    sorrel: Checked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if "plan" in self.name:
            raise OSError(28, "No space left on device")
        return write(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(BadInput, match="No space left on device"):
        write_reports(sorrel, tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("path", [SORREL, BRINE], ids=lambda path: path.stem)
def test_same_input_same_bytes(path: Path) -> None:
    assert reports_of(check_file(path)) == reports_of(check_file(path))


def test_no_folder_of_the_machine_is_named(tmp_path: Path) -> None:
    for source in (SORREL, SORREL.with_name("sorrel-bend-rules.yaml")):
        (tmp_path / source.name).write_bytes(source.read_bytes())
    from checker import api

    site = api.load_site(tmp_path / SORREL.name)
    texts = reports_of(api.check(site, api.load_ruleset_for(site)))
    for name, text in texts.items():
        assert str(tmp_path) not in text, name
        assert "/tmp" not in text, name


@pytest.mark.parametrize(
    "path",
    [SORREL, BRINE, *(SAMPLES / n / "site.yaml" for n in ("fernhollow-before", "wren-terrace"))],
    ids=lambda path: f"{path.parent.name}-{path.stem}",
)
def test_findings_follow_their_schema(path: Path) -> None:
    Draft202012Validator.check_schema(SCHEMA)
    data = json.loads(reports_of(check_file(path))["findings.json"])
    Draft202012Validator(SCHEMA).validate(data)
    assert data["format"] == "findings/1"


def test_findings_hold_the_numbers_in_full(sorrel: Checked) -> None:
    data = json.loads(reports_of(sorrel)["findings.json"])
    finding = next(item for item in data["findings"] if item["rule"] == "lot-cover")
    assert finding["limit"] == {"value": 4500.0, "unit": "sq ft"}
    assert finding["margin"] == {"value": -90.0, "unit": "sq ft"}
    part = finding["parts"][0]
    assert part["holds"] is None
    assert (part["measured"]["low"]["value"], part["measured"]["high"]["value"]) == (4067, 4590)
    assert data["surfaces"][1] == {
        "key": "B", "id": "drive", "title": "Drive", "material": "concrete-drive",
        "was": "asphalt", "stage": "replaced",
    }  # fmt: skip
