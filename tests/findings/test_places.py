"""Every shipped place judged on a drawing, and what an unclear clause does to a verdict."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from checker import api
from checker.files.source import read_text
from checker.findings.model import Finding
from checker.site.read import site_of

# 100 x 150 ft: the house has 2,400 sq ft and the terrace makes up the rest of 4,688.
MARYLAND: Final = """\
format: site/1
title: Made up for a test
place: maryland-critical-area
units: ft
rest_of_lot: lawn
facts:
  critical_area_class: limited-development
  bay: chesapeake
  lot_recorded: 1970-05-01
  in_later_subdivision: no
READINGS
lot: {boundary: {rectangle: {corner: [0, 0], size: [100, 150]}}}
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [10, 10], size: [60, 40]}}}
  - {id: terrace, material: stone-slab, shape: {rectangle: {corner: [10, 60], size: [57.2, 40]}}}
"""


def maryland(readings: str = "") -> Finding:
    text = MARYLAND.replace("READINGS\n", readings)
    site = site_of(read_text(text, "x.yaml"), Path("x.yaml"))
    found = api.check(site, api.load_ruleset("maryland-critical-area")).verdict.findings
    return next(item for item in found if item.rule == "lot-coverage")


def test_an_unanswered_question_is_no_verdict() -> None:
    found = maryland()
    # 4,687.5 sq ft by the county reading, 7,500 by the other: 4,688 hangs on the answer.
    assert found.status == "cannot tell"
    assert found.if_unfavourable == "fails"
    assert {item.option: item.status for item in found.readings} == {
        "of-limit": "fails",
        "of-lot": "passes with conditions",
    }
    assert "readings: share-of-excess" in found.because
    assert "is that 25 % of the limit, or 25 % of the lot?" in found.because


@pytest.mark.parametrize(
    ("option", "status", "room"),
    [("of-limit", "fails", -0.5), ("of-lot", "passes with conditions", 2812)],
)
def test_the_offices_answer_settles_it(option: str, status: str, room: float) -> None:
    found = maryland(f"readings: {{share-of-excess: {option}}}\n")
    assert found.status == status
    assert found.margin is not None
    # 4,687.5 - 4,688 = -0.5; 3,750 + 3,750 - 4,688 = 2,812
    assert round(found.margin.to("sq ft"), 6) == room


PLAIN: Final = """\
format: site/1
title: Made up for a test
place: nowhere
units: ft
rest_of_lot: lawn
lot: {boundary: {rectangle: {corner: [0, 0], size: [80, 125]}}, sides: {front: [1], rear: [3]}}
surfaces:
  - id: house
    material: roof
    shape: {rectangle: {corner: [16, 30], size: [48, 30]}}
    attributes: {purpose: dwelling}
  - {id: pool, material: pool-water, shape: {rectangle: {corner: [24, 80], size: [32, 16]}}}
  - {id: coping, material: pool-coping, shape: {ring: {around: pool, width: 12 in}}}
  - id: terrace
    material: permeable-paving
    stage: proposed
    shape: {rectangle: {corner: [10, 62], size: [60, 16]}}
  - id: deck
    material: wood-deck
    stage: proposed
    shape: {rectangle: {corner: [2, 30], size: [14, 12]}}
"""


@pytest.mark.parametrize("name", list(api.places()))
def test_every_place_judges_a_lot_of_which_little_is_known(name: str) -> None:
    site = site_of(read_text(PLAIN, "x.yaml"), Path("x.yaml"))
    ruleset = api.load_ruleset(name)
    verdict = api.check(site, ruleset).verdict
    assert len(verdict.findings) == len([rule for rule in ruleset.rules if rule.until is None])
    for finding in verdict.findings:
        assert finding.says
        if finding.status == "cannot tell":
            assert finding.because, finding.rule


def test_what_is_remembered_is_never_a_verdict() -> None:
    facts = "facts: {captured_volume: 1000 cu ft, removed_volume: 1000 cu ft}\n"
    text = PLAIN.replace("rest_of_lot", facts + "rest_of_lot").replace(
        "material: permeable-paving", "material: stone-slab"
    )
    text = text.replace("material: wood-deck", "material: concrete-slab")
    site = site_of(read_text(text, "x.yaml"), Path("x.yaml"))
    ruleset = api.load_ruleset("springfield-township-pennsylvania")
    found = {item.rule: item for item in api.check(site, ruleset).verdict.findings}
    assert found["capture"].status == "passes"
    assert found["removal"].status == "cannot tell"
    assert found["removal"].if_unfavourable == "passes"
    assert "written from memory" in found["removal"].because


def test_a_rule_set_that_was_changed_is_read_again(tmp_path: Path) -> None:
    path = tmp_path / "town.yaml"
    text = Path("jurisdictions/alder-ferry.yaml").read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    first = api.load_ruleset(str(path))
    assert api.load_ruleset(str(path)) is first
    path.write_text(text.replace("Alder Ferry, residential lots", "Changed"), encoding="utf-8")
    assert api.load_ruleset(str(path)).title == "Changed (invented)"
