"""What follows besides the rules: figures, duties, fees, permits; and attributes a place declares."""

# ruff: noqa: E501 - rule sets and sites stand here as a file has them

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.findings.model import Consequence
from checker.papers.records import records_of
from checker.papers.terminal import answer_text

TOWN: Final = """\
format: ruleset/1
id: town
title: Bittern Row (invented)
kind: invented
in_force: {since: 2020-01-01}
shown_in: metric
currency: CAD
sources: [{key: code, document: A code (invented), edition: "1", reading: invented}]
facts:
  near_lake: {kind: yes or no, ask: is the lot near the lake?}
  pump_flow: {kind: amount, dimension: flow, ask: what the pump carries}
  rate: {kind: amount, dimension: money, ask: the rate of the year}
attributes:
  to_sewer: {kind: yes or no, title: its water runs to the sewer, ask: does its water run to the sewer?}
  bed: {kind: text, choices: [sand, mortar], title: bed of its units, ask: what do its units lie on?}
readings:
  pools:
    question: Does pool water pay?
    options: {pays: it does, free: it does not}
    default: free
counts:
  billed:
    title: billed ground
    otherwise: cannot tell
    rows:
      - {title: not to the sewer, where: {to_sewer: no}, weight: 0}
      - {title: pool, where: {nature: water}, weight: {by_reading: pools, options: {pays: 1, free: 0}}}
      - {title: on sand, where: {material: sand-set-pavers, bed: sand}, weight: 60 %}
      - {title: sealed, where: {nature: sealed}, weight: 1}
      - {title: open, where: {nature: [open, porous]}, weight: 0}
    examples:
      - {name: on sand and on mortar, source: hand, given: {readings: {pools: free}, surfaces: [{material: sand-set-pavers, bed: sand, to_sewer: yes, area: 50 m2}, {material: sand-set-pavers, bed: mortar, to_sewer: yes, area: 20 m2}, {material: roof, to_sewer: no, area: 90 m2}]}, expect: {counted: 50 m2}, note: "0.6 x 50 + 20 = 50"}
      - {name: nobody knows where the roof drains, source: hand, given: {readings: {pools: free}, surfaces: [{material: roof, area: 90 m2}]}, expect: {least: 0 m2, most: 90 m2}, note: nothing or all}
amounts:
  units: {title: units of 20 m2, is: {rounded: {ratio: [billed, 20 m2]}, to: 1, way: up}}
results:
  - id: billed-share
    title: Billed share of the lot
    kind: figure
    cite: {source: code, section: "1"}
    is: {ratio: [billed, lot_area]}
    examples:
      - {name: a share, source: hand, given: {billed: 90 m2, lot_area: 400 m2}, expect: {owed: yes, amount: 22.5 %}, note: 90 / 400 = 0.225}
  - id: fee
    title: Fee of the year
    kind: fee
    cite: {source: code, section: "2"}
    when: {measure: billed, more_than: 10 m2}
    is: {product: [units, 4.60 CAD]}
    says: "each 20 m2 begun pays 4.60 CAD"
    examples:
      - {name: five units begun, source: hand, given: {billed: 90 m2}, expect: {owed: yes, amount: 23 CAD, amounts: {units: 5}}, note: "90 / 20 = 4.5, 5 begun; 5 x 4.60 = 23.00"}
      - {name: four units exactly, source: hand, given: {billed: 80 m2}, expect: {amount: 18.40 CAD}, note: 4 x 4.60 = 18.40}
      - {name: so little pays nothing, source: hand, given: {billed: 10 m2}, expect: {owed: no}}
      - {name: nobody knows, source: hand, given: {readings: {pools: free}, surfaces: [{material: roof, area: 90 m2}]}, expect: {owed: cannot tell, because: to_sewer}}
      - {name: a pool before anybody has answered, source: hand, given: {surfaces: [{material: roof, to_sewer: yes, area: 90 m2}, {material: pool-water, to_sewer: yes, area: 30 m2}]}, expect: {owed: cannot tell, least: 23 CAD, most: 27.60 CAD, because: pools}, note: "90 or 120 m2: 5 or 6 units; 5 x 4.60 = 23, 6 x 4.60 = 27.60"}
  - id: permit
    title: Permit of the lake office
    kind: permit
    cite: {source: code, section: "3"}
    when: {any: [{fact: near_lake, is: yes}, {measure: billed, more_than: 200 m2}]}
    documents: [form-7, plan]
    examples:
      - {name: near the lake, source: hand, given: {near_lake: yes, billed: 0 m2}, expect: {owed: yes, documents: [form-7, plan]}}
      - {name: much ground, source: hand, given: {near_lake: no, billed: 201 m2}, expect: {owed: yes}}
      - {name: neither, source: hand, given: {near_lake: no, billed: 200 m2}, expect: {owed: no, documents: []}}
      - {name: nobody said, source: hand, given: {billed: 200 m2}, expect: {owed: cannot tell, because: near_lake}}
  - id: soak-away
    title: Ground whose water must soak away
    kind: duty
    cite: {source: code, section: "4"}
    is: {difference: {take: billed, less: [30 m2], stops_at_zero: yes}}
    examples:
      - {name: the rest, source: hand, given: {billed: 90 m2}, expect: {amount: 60 m2}, note: 90 - 30 = 60}
  - id: old-fee
    title: The fee before
    kind: fee
    in_force: {since: 2020-01-01, until: 2021-01-01}
    cite: {source: code, section: "5"}
    is: 12 CAD
    examples:
      - {name: on its last day, source: hand, given: {date: 2020-12-31}, expect: {amount: 12 CAD}}
rules:
  - id: pump
    title: Flow of the pump
    cite: {source: code, section: "6"}
    require: {measure: pump_flow, at_most: 2 L/s}
    examples:
      - {name: exactly, source: hand, given: {pump_flow: 2 L/s}, expect: {status: passes, margin: 0 L/s}}
      - {name: past it, source: hand, given: {pump_flow: 2.1 L/s}, expect: {status: fails, margin: -0.1 L/s}, note: 2 - 2.1 = -0.1}
"""

SITE: Final = """\
format: site/1
title: A terrace in Bittern Row (made up for a test)
place: town.yaml
units: m
facts: {near_lake: no, pump_flow: 1 L/s}
readings: {pools: free}
rest_of_lot: {material: lawn, attributes: {to_sewer: no}}
lot: {boundary: {rectangle: {corner: [0, 0], size: [20, 20]}}}
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [0, 0], size: [8, 10]}}, attributes: {to_sewer: yes}}
  - {id: terrace, material: sand-set-pavers, shape: {rectangle: {corner: [10, 0], size: [5, 10]}}, attributes: {to_sewer: yes, bed: sand}}
"""


def write(folder: Path, site: str = SITE, town: str = TOWN) -> Path:
    (folder / "town.yaml").write_text(town, encoding="utf-8")
    (folder / "site.yaml").write_text(site, encoding="utf-8")
    return folder / "site.yaml"


def check(folder: Path, site: str = SITE) -> dict[str, Consequence]:
    read = api.load_site(write(folder, site))
    checked = api.check(read, api.load_ruleset_for(read))
    return {item.result: item for item in checked.verdict.results}


def test_examples_of_results_hold(tmp_path: Path) -> None:
    write(tmp_path)
    tried = api.try_examples(api.load_ruleset(str(tmp_path / "town.yaml")))
    assert len(tried) == 16
    assert [
        (t.example.name, *map(str, t.differences), *t.problems) for t in tried if not t.holds
    ] == []


def test_a_drawn_lot_gives_the_same(tmp_path: Path) -> None:
    found = check(tmp_path)
    # 80 m2 of roof and 0.6 x 50 of pavers: 110 m2, 5.5 units, 6 begun.
    assert {name: item.status for name, item in found.items()} == {
        "billed-share": "shown",
        "fee": "owed",
        "permit": "not owed",
        "soak-away": "owed",
    }
    assert found["fee"].amount is not None
    assert round(found["fee"].amount.low_si, 9) == 27.6
    assert found["fee"].amount.unit == "CAD"
    assert found["soak-away"].amount is not None
    assert round(found["soak-away"].amount.low_si, 9) == 80
    assert found["billed-share"].amount is not None
    assert round(found["billed-share"].amount.low_si, 9) == 110 / 400


def test_results_are_on_every_page(tmp_path: Path) -> None:
    read = api.load_site(write(tmp_path))
    checked = api.check(read, api.load_ruleset_for(read))
    text = answer_text(checked)
    assert "  Fee of the year: 27.60 CAD" in text
    assert "  Permit of the lake office: not owed" in text
    assert "$" not in text
    assert max(map(len, text.splitlines())) <= 80
    data = json.loads(json.dumps(records_of(checked)))
    assert data["results"][1]["amount"]["low"] == {"value": 27.6, "unit": "CAD"}
    said = api.describe_ruleset(checked.ruleset)
    assert "Fee of the year (fee fee)" in said
    assert "Owed where billed ground is more than 10 m2." in said.replace("the billed", "billed")
    assert "to_sewer, yes or no: does its water run to the sewer?" in said


def test_an_attribute_that_is_not_given_is_asked_for(tmp_path: Path) -> None:
    found = check(
        tmp_path, SITE.replace("attributes: {to_sewer: yes, bed: sand}", "attributes: {bed: sand}")
    )
    fee = found["fee"]
    assert fee.status == "cannot tell"
    assert fee.because == "give 'to_sewer' of terrace: does its water run to the sewer?"
    # 80 m2 are 4 units, with 30 more they are 6.
    assert fee.amount is not None
    assert (round(fee.amount.low_si, 9), round(fee.amount.high_si, 9)) == (18.4, 27.6)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("bed: sand}", "bed: sandy}", "site.yaml:11:133: 'bed' is 'sandy'; did you mean 'sand'?"),
        ("bed: sand}", "bett: sand, to_sewr: yes}", "site.yaml:11:140: 'to_sewr' is no attribute of a surface that this place knows; did you mean 'to_sewer'?"),
        ("{to_sewer: no}", "{to_sewer: perhaps}", "site.yaml:7:54: 'to_sewer' is 'perhaps'; give yes or no"),
    ],
)  # fmt: skip
def test_attributes_are_read_by_their_kinds(tmp_path: Path, old: str, new: str, says: str) -> None:
    with pytest.raises(BadInput) as raised:
        check(tmp_path, SITE.replace(old, new))
    (problem,) = raised.value.problems
    assert str(problem).rpartition("/")[2] == says


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ("distance_to_well: 4 ft", "'distance_to_well' is told by the drawing, and what the file says of it is not read; draw it, and remove this"),
        ("stage: proposed", "'stage' of terrace stands under 'attributes', where nothing reads it; move it out, beside 'attributes'"),
        ("was: lawn", "'was' of terrace stands under 'attributes', where nothing reads it; move it out, beside 'attributes'"),
        ("area: 9 sq ft", "'area' of terrace stands under 'attributes', where nothing reads it; remove it: the area is that of its shape"),
    ],
)  # fmt: skip
def test_what_is_no_attribute_is_not_passed_over_in_silence(
    tmp_path: Path, more: str, says: str
) -> None:
    with pytest.raises(BadInput) as raised:
        check(tmp_path, SITE.replace("bed: sand}", f"bed: sand, {more}}}"))
    (problem,) = raised.value.problems
    assert str(problem).endswith(says)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("is: 12 CAD", "is: 12 EUR", "'is': '12 EUR' is in EUR, and this file counts in CAD; say 'currency: EUR' at the top, or correct it"),
        ("is: 12 CAD", "is: $12", "'is': '$12' is in $, and this file counts in CAD; say 'currency: $' at the top, or correct it"),
        ("is: 12 CAD", "is: 12 m2", "this is to be of the kind money, not area"),
        ("    is: 12 CAD\n", "", "'is' of the fee 'old-fee' is missing; say how much"),
        ("currency: CAD", "currency: CAN", "'CAN' is no currency that is known here; did you mean 'CAD'?"),
        ("  bed: {", "  width: {", "'width' is already a name that every place may use; use that one, or choose another name"),
        ("  bed: {", "  storey: {", "'storey' is nearly 'storeys', which every place may use; use that one, or choose a name that nobody takes for it"),
        ("id: soak-away", "id: fee", "the name 'fee' stands twice; rename one"),
        ("expect: {amount: 60 m2}", "expect: {status: passes}", "'status' cannot be expected here; use one of: amount, amounts, because, documents, least, most, owed"),
        ("expect: {amount: 60 m2}", "expect: {owed: maybe}", "'maybe' is no answer; write yes, no or cannot tell"),
    ],
)  # fmt: skip
def test_messages(tmp_path: Path, old: str, new: str, says: str) -> None:
    assert old in TOWN
    write(tmp_path, town=TOWN.replace(old, new, 1))
    try:
        tried = api.try_examples(api.load_ruleset(str(tmp_path / "town.yaml")))
        told = [problem for item in tried for problem in item.problems]
    except BadInput as bad:
        told = list(bad.problems)
    assert says in [str(problem).partition(": ")[2] for problem in told]


def test_versions_are_compared_with_their_results(tmp_path: Path) -> None:
    write(tmp_path)
    old = api.load_ruleset(str(tmp_path / "town.yaml"))
    (tmp_path / "new.yaml").write_text(TOWN.replace("4.60 CAD]", "5.10 CAD]"), encoding="utf-8")
    text = api.compare_rulesets(old, api.load_ruleset(str(tmp_path / "new.yaml")))
    assert "changed: result 'fee', Fee of the year" in text
    assert "5.1 CAD" in text
