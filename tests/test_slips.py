"""Slips of the pen that people make in rule sets and site files, each against its whole message."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.files.source import read_document

FOLDER: Final = Path(__file__).parent / "bad" / "slips"
SLIPS: Final[list[dict[str, Any]]] = read_document(FOLDER / "slips.yaml").data["slips"]


def said(name: str) -> list[str]:
    """What a person reads who checks the site or tests the rule set of the current folder."""
    try:
        if name == "lot.yaml":
            site = api.load_site(Path(name))
            api.check(site, api.load_ruleset_for(site))
            return []
        ruleset = api.load_ruleset(name)
        tried = api.try_examples(ruleset)
    except BadInput as bad:
        return str(bad).splitlines()
    told = [str(problem) for item in tried for problem in item.problems]
    told += [f"{item.example.name}: {line}" for item in tried for line in item.differences]
    return sorted([*told, *api.remarks(ruleset)])


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip["name"])
def test_message_is_whole(
    slip: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for path in (FOLDER / "town.yaml", FOLDER / "lot.yaml"):
        (tmp_path / path.name).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    lines = (tmp_path / slip["file"]).read_text(encoding="utf-8").splitlines()
    first = slip["line"] - 1
    lines[first : first + slip["cut"]] = slip["now"]
    (tmp_path / slip["file"]).write_text("\n".join(lines) + "\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert said(slip["file"]) == slip["says"]


def test_files_without_a_slip_are_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)
    assert said("town.yaml") == []
    assert said("lot.yaml") == []


def test_there_are_all_of_them() -> None:
    assert len(SLIPS) >= 75
    assert len({slip["name"] for slip in SLIPS}) == len(SLIPS)
    # A slip that changes the law is refused or fails an example; what is taken is a spelling that
    # people use, such as sqft, or a reminder in the drawing's own list.
    taken = [slip["name"] for slip in SLIPS if not slip["says"]]
    assert all(
        any(word in name for word in ("unit", "met", "m2", "ft2", "percent", "tab", "outside"))
        for name in taken
    ), taken
