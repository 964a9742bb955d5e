"""Check values of the trade: common practice, no source.

A section built as the trade commonly builds it, with each of its values, meets the model rules; and
each value moved a little to the wrong side does not.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from checker import api
from checker.core.units import LENGTH, Amount
from checker.files.source import read_text
from checker.findings.model import Finding
from checker.site.read import site_of
from tests.measure.made_lots import lot_head, square_ft

DECK = """\
  - id: deck
    material: permeable-paving
    stage: proposed
    section: deck
    shape: {rectangle: {corner: [50, 50], size: [40, 24]}}
sections:
  deck:
    kind: permeable
    use: USE
    courses:
      - {course: unit, thickness: 3-1/8 in}
      - {course: joint, stone: "9", width: 3/8 in}
      - {course: bedding, stone: "8", thickness: 2 in, fines: 4.9 %, fractured_faces: 90 %}
      - {course: fabric, title: Nonwoven, weave: nonwoven}
      - {course: base, stone: "57", thickness: 12 in}
      - {course: grid}
      - {course: fabric, title: Woven, weave: woven}
      - {course: subgrade, treatment: clay scarified, stone: "8", compacted: no}
    pipe:
      {diameter: 4 in, holes: 3/8 in, holes_down: yes, wrapped: yes,
       above_subgrade: 4 in, cover: 4 in}
    walk: {opening: 1/2 in, opening_length: 39 in, opening_lies: across, lip_at_drain: 1/4 in}
"""
NONE_FOUND = "none_found: [well, septic-tank, septic-field]\n"
LOT = lot_head(square_ft(200), place="wren-hollow", more=NONE_FOUND) + DECK
PASSES = {
    "bedding-stone": "No. 8 with less than 5 % passing No. 200 and 90 % fractured faces",
    "stone-sizes": "joints of No. 9",
    "pipe-bedding": "4 in of No. 57 below and over the pipe, stone all round, holes down",
    "pipe-holes": "3/8 in holes in No. 57",
    "soil-filter": "a woven fabric on the subgrade",
    "drain-lip": "channel drain 1/4 in below the slab edge",
}


def findings(*changes: tuple[str, str], use: str = "pedestrian") -> dict[str, Finding]:
    text = LOT.replace("USE", use)
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    site = site_of(read_text(text, "lot.yaml"), Path("lot.yaml"))
    checked = api.check(site, api.load_ruleset("wren-hollow"))
    return {finding.rule: finding for finding in checked.verdict.findings}


@pytest.mark.parametrize("rule", PASSES, ids=lambda rule: f"{rule}::no source")
def test_common_practice_meets_the_model(rule: str) -> None:
    assert findings()[rule].status == "passes", PASSES[rule]


def test_the_slot_of_half_an_inch_is_a_borderline_no_source() -> None:
    finding = findings()["openings"]
    assert finding.status == "passes with conditions"
    assert "exactly 1/2 in" in finding.band
    assert finding.measured == Amount(0.0127, LENGTH, "in")


def test_a_grid_where_vehicles_go_no_source() -> None:
    assert findings(use="vehicle")["grid-under-vehicles"].status == "passes"
    without = findings(("      - {course: grid}\n", ""), use="vehicle")
    assert without["grid-under-vehicles"].status == "fails"


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        (("fines: 4.9 %", "fines: 5 %"), "bedding-stone"),
        (("fractured_faces: 90 %", "fractured_faces: 89 %"), "bedding-stone"),
        (('stone: "9"', 'stone: "10"'), "stone-sizes"),
        (("above_subgrade: 4 in", "above_subgrade: 3 in"), "pipe-bedding"),
        (("cover: 4 in", "cover: 3 in"), "pipe-bedding"),
        (("holes_down: yes", "holes_down: no"), "pipe-bedding"),
        (("wrapped: yes", "wrapped: no"), "pipe-bedding"),
        (("compacted: no", "compacted: yes"), "subgrade-not-compacted"),
        (("lip_at_drain: 1/4 in", "lip_at_drain: 3/8 in"), "drain-lip"),
        (("opening: 1/2 in", "opening: 5/8 in"), "openings"),
    ],
    ids=lambda value: f"{value[1]}::no source" if isinstance(value, tuple) else value,
)
def test_a_little_to_the_wrong_side_fails(change: tuple[str, str], rule: str) -> None:
    assert findings(change)[rule].status == "fails"
