"""States, levels and verdicts: one list, one name in files, findings, pages and drawings."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest

from checker import api
from checker.board.views import choices_view
from checker.core.words import Stage
from checker.drawing.hatches import STYLES
from checker.files import grammar, project_shape, rules_shape, site_shape, words_shape
from checker.findings.model import STATUSES, ResultStatus, Status
from checker.papers.checks import CheckState
from checker.papers.client import ANSWERS
from checker.papers.terminal import answer_text
from checker.papers.triggers import Needed
from checker.papers.writing import reports_of
from checker.site.materials import materials
from checker.site.model import Level, State
from checker.words.amounts import SIGNS, capital
from checker.words.glossary import (
    APPROVALS,
    CHECKS,
    LEVELS,
    NEEDED,
    RESULTS,
    STAGES,
    STATES,
    VERDICTS,
)
from checker.words.statuses import status_word
from tests.report.conftest import FERNHOLLOW, SITES, check_file

SCHEMA = Path(__file__).parent / "findings.schema.json"
NAMES: dict[str, Any] = {
    "verdict": Status,
    "result": ResultStatus,
    "lot": State,
    "stage": Stage,
    "level": Level,
    "check": CheckState,
    "threshold": Needed,
}
MEANINGS: dict[str, dict[Any, str]] = {
    "verdict": VERDICTS,
    "result": RESULTS,
    "lot": STATES,
    "stage": STAGES,
    "level": LEVELS,
    "check": CHECKS,
    "threshold": NEEDED,
}


def choice(shape: Any, key: str) -> set[str]:
    """What a key of a file's shape may say."""
    found = get_type_hints(shape, include_extras=True)[key]
    while not all(isinstance(each, str) for each in get_args(found)):
        found = get_args(found)[0]
    return set(get_args(found))


@pytest.mark.parametrize("name", NAMES)
def test_each_state_has_one_meaning_and_no_other_name(name: str) -> None:
    names, meanings = NAMES[name], MEANINGS[name]
    assert set(get_args(names)) == set(meanings)
    assert all(says.endswith(".") for says in meanings.values())


def test_files_name_them_so() -> None:
    assert set(grammar.STATUSES) == set(STATUSES) == set(SIGNS)
    assert choice(rules_shape.BandShape, "outcome") < set(VERDICTS)
    assert choice(words_shape.MaterialShape, "level") == set(LEVELS)
    assert choice(site_shape.SurfaceShape, "stage") == set(STAGES)
    assert choice(words_shape.LayerStageShape, "stage") < set(STAGES)
    assert choice(project_shape.ApprovalShape, "state") == set(APPROVALS)
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    assert set(schema["$defs"]["status"]["enum"]) == set(VERDICTS)


def test_pages_and_drawings_name_them_so() -> None:
    assert [status_word(status).word for status in STATUSES] == list(STATUSES)
    assert {name: STYLES[name].title for name in STAGES} == {n: capital(n) for n in STAGES}
    assert {name: says.split(":")[0] for name, says in ANSWERS.items() if name in VERDICTS} == {
        name: capital(name) for name in VERDICTS
    }
    listing = api.materials_listing()
    assert all(f"; {material.level} level, " in listing for material in materials().values())


def test_the_drawing_page_names_them_so() -> None:
    assert choices_view()["stages"] == {name: name for name in STAGES}


def test_outputs_of_one_lot_agree_and_tell_what_they_mean() -> None:
    for path in (FERNHOLLOW, SITES / "linden" / "after.yaml"):
        checked = check_file(path)
        pages = reports_of(checked)
        said = json.loads(pages["findings.json"])
        whole = answer_text(checked, is_whole=True)
        for status in said["counts"]:
            assert VERDICTS[status] in pages["report.md"], status
            assert status in pages["report.html"]
            assert status in whole, status
        for stage in {surface["stage"] for surface in said["surfaces"]}:
            assert STAGES[stage] in pages["report.md"], stage
            assert capital(stage) in pages["plan.svg"], stage
        for level in {surface.material.level for surface in checked.site.surfaces}:
            assert LEVELS[level] in pages["report.md"], level
