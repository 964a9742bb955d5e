"""Open ground is judged without a question that no file could answer; `rest_of_lot` says more."""

# ruff: noqa: E501 - rule sets and sites stand here as a file has them

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.files.source import read_text
from checker.findings.examples import try_examples
from checker.findings.model import Finding
from checker.site.read import site_of

# 80 x 125 ft; the house has 1,200 sq ft, its eaves are 3 ft wide.
EAVES: Final = """\
format: site/1
title: A house with eaves (made up for a test)
place: nowhere
units: ft
rest_of_lot: REST
lot:
  boundary: {rectangle: {corner: [0, 0], size: [80, 125]}}
  sides: {front: [1], rear: [3], side: [2, 4]}
surfaces:
  - id: house
    material: foundation
    shape: {rectangle: {corner: [20, 40], size: [40, 30]}}
    attributes: {purpose: dwelling}
  - {id: eaves, material: roof-eave, shape: {ring: {around: house, width: 3 ft}}, attributes: {overhang: 3 ft}}
"""


def findings(place: str, rest: str) -> tuple[Finding, ...]:
    site = site_of(read_text(EAVES.replace("REST", rest), "x.yaml"), Path("x.yaml"))
    return api.check(site, api.load_ruleset(place)).verdict.findings


@pytest.mark.parametrize("rest", ["lawn", "mulch", "bare-soil", "water-body"])
@pytest.mark.parametrize("place", list(api.places()))
def test_nothing_is_asked_of_the_open_rest(place: str, rest: str) -> None:
    for finding in findings(place, rest):
        asked = {item.name for item in finding.missing if item.of == "rest-of-lot"}
        assert not asked & {"purpose", "use"}, finding.rule


TOWN: Final = """\
format: ruleset/1
id: town
title: A town (invented)
kind: invented
in_force: {since: 2024-01-01}
sources: [{key: code, document: A code (invented), edition: "1", reading: invented}]
counts:
  hard:
    title: hard ground
    otherwise: cannot tell
    rows:
      - {where: {purpose: [drive, parking]}, weight: 1}
      - {where: {material: gravel, base_compacted: yes}, weight: 1}
      - {where: {material: gravel, base_compacted: no}, weight: 0}
      - {where: {nature: sealed}, weight: 1}
      - {where: {nature: open}, weight: 0}
    examples:
      - name: a lawn that becomes a drive is no drive today
        source: hand
        given: {surfaces: [{material: asphalt, was: lawn, stage: replaced, purpose: drive, area: 300 sq ft}]}
        expect: {counted: 300 sq ft}
rules:
  - id: existing
    title: Hard ground today
    cite: {source: code, section: "1"}
    require: {measure: hard, state: existing, at_most: 0 sq ft}
    examples:
      - name: a lawn that becomes a drive is no drive today
        source: hand
        given: {surfaces: [{material: asphalt, was: lawn, stage: replaced, purpose: drive, area: 300 sq ft}]}
        expect: {status: passes, measured: 0 sq ft}
      - name: asphalt that becomes a lawn
        source: hand
        given: {surfaces: [{material: lawn, was: asphalt, stage: replaced, area: 300 sq ft, purpose: other}]}
        expect: {status: fails, measured: 300 sq ft}
  - id: most
    title: Hard ground
    cite: {source: code, section: "2"}
    require: {measure: hard, at_most: 4000 sq ft}
    examples: []
"""


@pytest.fixture
def town(tmp_path: Path) -> Path:
    path = tmp_path / "town.yaml"
    path.write_text(TOWN, encoding="utf-8")
    return path


def test_was_has_the_nature_of_what_it_was(town: Path) -> None:
    assert [str(d) for t in try_examples(api.load_ruleset(str(town))) for d in t.differences] == []


@pytest.mark.parametrize(
    ("rest", "status", "low_sqft", "high_sqft"),
    [
        # The lot has 10,000 sq ft; house 1,200, eaves 46 x 36 - 1,200 = 456: 8,344 are left.
        ("gravel", "cannot tell", 1656, 10000),
        ("{material: gravel, attributes: {purpose: patio}}", "cannot tell", 1656, 10000),
        ("{material: gravel, attributes: {purpose: patio, base_compacted: yes}}", "fails", 10000, 10000),
        ("{material: gravel, attributes: {purpose: patio, base_compacted: no}}", "passes", 1656, 1656),
    ],
)  # fmt: skip
def test_the_rest_takes_attributes(
    town: Path, rest: str, status: str, low_sqft: float, high_sqft: float
) -> None:
    text = EAVES.replace("overhang: 3 ft", "overhang: 3 ft, purpose: dwelling")
    site = site_of(read_text(text.replace("REST", rest), "x.yaml"), Path("x.yaml"))
    verdict = api.check(site, api.load_ruleset(str(town))).verdict
    (found,) = [item for item in verdict.findings if item.rule == "most"]
    assert found.status == status
    measured = found.parts[0].measured
    assert round(measured.low_si / 0.3048**2, 6) == low_sqft
    assert round(measured.high_si / 0.3048**2, 6) == high_sqft


def test_an_attribute_of_the_rest_that_nobody_knows() -> None:
    with pytest.raises(BadInput) as raised:
        findings("alder-ferry", "{material: lawn, attributes: {purpos: walk}}")
    assert str(raised.value) == (
        "x.yaml cannot be used\n  x.yaml:5:44: 'purpos' is not an attribute of a surface; "
        "did you mean 'purpose'?"
    )


def test_what_is_no_rest() -> None:
    with pytest.raises(BadInput) as raised:
        findings("alder-ferry", "{materials: lawn}")
    assert str(raised.value) == (
        "x.yaml does not follow the site format\n"
        "  x.yaml:5:15: 'materials' is not a key of 'rest_of_lot'; did you mean 'material'?"
    )
