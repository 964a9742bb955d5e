"""Worked examples are judged as drawn lots are: readings, days, former materials, drawings."""

# ruff: noqa: E501 - rule sets stand here as a file has them

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import pytest

from checker import api
from checker.files.source import read_text
from checker.findings.examples import Tried
from checker.site.read import site_of

TOWN: Final = """\
format: ruleset/1
id: town
title: A town (invented)
kind: invented
in_force: {since: 2020-01-01}
shown_in: us
sources: [{key: code, document: A code (invented), edition: "1", reading: invented}]
facts:
  zone: {kind: text, choices: [R-1, R-2], ask: the zone}
readings:
  pools:
    question: Does pool water count?
    options: {counts: it does, left-out: it does not}
    default: left-out
regions:
  rear-yard: {title: rear yard, yard: rear, depth: 20 ft}
counts:
  cover:
    title: cover
    otherwise: cannot tell
    rows:
      - where: {nature: water}
        weight: {by_reading: pools, options: {counts: 1, left-out: 0}}
      - {where: {nature: sealed}, weight: 1}
      - {where: {nature: [open, porous]}, weight: 0}
    examples: EXAMPLES_OF_TABLE
amounts:
  rounded_cover: {title: cover in whole tens, is: {rounded: cover, to: 10 sq ft, way: up}}
rules:
  - id: most-cover
    title: Cover
    cite: {source: code, section: "1"}
    applies: {fact: zone, is: R-1}
    require: {measure: cover, at_most: {percent: 40, of: lot_area}}
    examples: EXAMPLES
  - id: old
    title: A rule of 2020 to 2024
    cite: {source: code, section: "2"}
    in_force: {since: 2020-01-01, until: 2025-01-01}
    require: {measure: cover, in: rear-yard, at_most: 100 sq ft}
    examples: OLD_EXAMPLES
"""

POOL: Final = "surfaces: [{material: concrete-slab, area: 350 sq ft}, {material: pool-water, area: 100 sq ft}]"


def tried(tmp_path: Path, rule: str = "", table: str = "", old: str = "") -> list[Tried]:
    text = TOWN.replace("OLD_EXAMPLES", f"[{old}]").replace("EXAMPLES_OF_TABLE", f"[{table}]")
    path = tmp_path / "town.yaml"
    path.write_text(text.replace("EXAMPLES", f"[{rule}]"), encoding="utf-8")
    return list(api.try_examples(api.load_ruleset(str(path))))


def outcome(item: Tried) -> list[str]:
    problems = [f"{problem.says}; {problem.do}" for problem in item.problems]
    return [*map(str, item.differences), *problems]


def example(given: str, expect: str, more: str = "") -> str:
    return f"{{name: one, source: hand, given: {{{given}}}, expect: {{{expect}}}{more}}}"


# 1,000 sq ft of lot: 400 may be covered; 350 without the pool, 450 with it.
@pytest.mark.parametrize(
    ("given", "expect", "wrong"),
    [
        ("", "status: cannot tell, because: pools, if_unfavourable: fails", []),
        ("", "status: cannot tell, readings: {pools: {counts: fails, left-out: passes}}", []),
        ("", "status: passes", ["status: expected passes, found cannot tell (ask the office and give the answer under 'readings: pools': Does pool water count?)"]),
        ("readings: {pools: left-out}, ", "status: passes, measured: 350 sq ft", []),
        ("readings: {pools: counts}, ", "status: fails, measured: 450 sq ft", []),
        ("", "readings: {pools: {counts: passes, left-out: passes}}", ["readings of pools: expected {'counts': 'passes', 'left-out': 'passes'}, found {'counts': 'fails', 'left-out': 'passes'}"]),
    ],
)  # fmt: skip
def test_an_unanswered_reading_is_no_verdict(
    tmp_path: Path, given: str, expect: str, wrong: list[str]
) -> None:
    (one,) = tried(tmp_path, example(f"{given}zone: R-1, lot_area: 1000 sq ft, {POOL}", expect))
    assert outcome(one) == wrong


@pytest.mark.parametrize(
    ("given", "expect", "wrong"),
    [
        ("", "least: 350 sq ft, most: 450 sq ft", []),
        ("", "counted: 350 sq ft", ["counted: expected 350 sq ft, found nothing certain"]),
        ("readings: {pools: counts}, ", "counted: 450 sq ft", []),
    ],
)
def test_a_table_takes_every_way_to_read_it(
    tmp_path: Path, given: str, expect: str, wrong: list[str]
) -> None:
    (one,) = tried(tmp_path, table=example(f"{given}{POOL}", expect))
    assert outcome(one) == wrong


@pytest.mark.parametrize(
    ("day", "expect", "wrong"),
    [
        ("date: 2024-12-31, ", "status: fails, margin: -1 sq ft", []),
        ("date: 2025-01-01, ", "status: not in force, because: it ended on 2025-01-01", []),
        ("", "status: not in force", []),
        ("date: 2019-12-31, ", "status: fails", ["the text came into force on 2020-01-01; it is no law of 2019-12-31; give a day on which the set is in force"]),
    ],
)  # fmt: skip
def test_a_day_retires_a_rule_and_a_set(
    tmp_path: Path, day: str, expect: str, wrong: list[str]
) -> None:
    (one,) = tried(tmp_path, old=example(f"{day}cover in rear-yard: 101 sq ft", expect))
    assert outcome(one) == wrong


# A slab of 30 x 20 ft on a lot of 40 x 50 ft; 10 of its 20 ft of depth lie in the rear yard.
DRAWN: Final = """site: {units: ft, rest_of_lot: lawn,
    lot: {boundary: {rectangle: {corner: [0, 0], size: [40, 50]}}, sides: {rear: [3]}},
    surfaces: [{id: slab, material: concrete-slab, stage: proposed, shape: {rectangle: {corner: [5, 20], size: [30, 20]}}}]}"""


@pytest.mark.parametrize(
    ("given", "expect", "wrong"),
    [
        ("zone: R-1, ", "status: passes, measured: 600 sq ft, limit: 800 sq ft, margin: 200 sq ft", []),
        ("zone: R-1, ", "amounts: {cover in rear-yard: 300 sq ft, lot_area: 2000 sq ft, cover (existing): 0 sq ft}", []),
        ("zone: R-1, ", "amounts: {cover in rear-yard: 301 sq ft}", ["cover in rear-yard: expected 301 sq ft, found 300 sq ft"]),
        ("zone: R-2, ", "status: does not apply", []),
        ("", "status: unanswered", []),  # it would pass where it is asked
        ("zone: R-3, ", "status: passes", ["'zone' is 'R-3'; use one of: R-1, R-2"]),
        ("zone: R-1, date: 2019-01-01, ", "status: passes", ["the text came into force on 2020-01-01; it is no law of 2019-01-01; name the rule set that was law on that day, or leave 'date' out"]),
    ],
)  # fmt: skip
def test_an_example_may_draw_its_site(
    tmp_path: Path, given: str, expect: str, wrong: list[str]
) -> None:
    (one,) = tried(tmp_path, example(f"{given}{DRAWN}", expect))
    assert outcome(one) == wrong


def test_a_drawn_example_and_the_same_site_file_agree(tmp_path: Path) -> None:
    (one,) = tried(tmp_path, example(f"zone: R-1, {DRAWN}", "status: passes"))
    drawn: dict[str, Any] = read_text(f"{{{DRAWN}}}", "x").data["site"]
    drawn |= {"format": "site/1", "title": "x", "place": "town.yaml", "facts": {"zone": "R-1"}}
    site = site_of(read_text(json.dumps(drawn), "lot.yaml"), tmp_path / "lot.yaml")
    found = api.check(site, api.load_ruleset_for(site)).verdict.findings
    (same,) = [item for item in found if item.rule == "most-cover"]
    assert one.finding is not None
    for key in ("status", "measured", "limit", "margin", "says"):
        assert getattr(one.finding, key) == getattr(same, key), key


def test_a_table_counts_a_drawn_site(tmp_path: Path) -> None:
    (one,) = tried(tmp_path, table=example(DRAWN, "counted: 600 sq ft"))
    assert outcome(one) == []


@pytest.mark.parametrize(
    ("expect", "wrong"),
    [
        # 824.5: half up gives 825, up gives 825, down 824; to a tenth it is itself.
        ("counted: {amount: 825 sq ft, digits: as printed}", []),
        ("counted: {amount: 824 sq ft, digits: as printed, rounded: down}", []),
        ("counted: {amount: 825 sq ft, digits: as printed, rounded: up}", []),
        ("counted: {amount: 824.5 sq ft, digits: as printed}", []),
        ("counted: {amount: 824.6 sq ft, digits: as printed}", ["counted: expected 824.6 sq ft (nearest in the last digit printed), found 824.5 sq ft"]),
        ("counted: {amount: 826 sq ft, digits: as printed, rounded: up}", ["counted: expected 826 sq ft (up in the last digit printed), found 824.5 sq ft"]),
        ("counted: {amount: 825 sq ft, within: 0.5 sq ft}", []),
        ("counted: {amount: 825 sq ft, within: 0.4 sq ft}", ["counted: expected 825 sq ft (within 0.4 sq ft), found 824.5 sq ft"]),
        ("counted: {amount: 825 sq ft, within: 0.001}", []),
        ("counted: {amount: 825 sq ft, within: 1e-6}", ["counted: expected 825 sq ft (within 1e-06), found 824.5 sq ft"]),
        ("amounts: {rounded_cover: 830 sq ft}", []),
        ("counted: 825 sq ft", ["counted: expected 825 sq ft, found 824.5 sq ft"]),
    ],
)  # fmt: skip
def test_an_expectation_says_how_far_it_goes(tmp_path: Path, expect: str, wrong: list[str]) -> None:
    given = "surfaces: [{material: concrete-slab, area: 824.5 sq ft}]"
    (one,) = tried(tmp_path, table=example(given, expect))
    assert outcome(one) == wrong


def test_a_slip_of_the_office_is_kept_beside_what_is_right(tmp_path: Path) -> None:
    given = "surfaces: [{material: concrete-slab, area: 150 sq ft}]"
    right = example(given, "counted: 150 sq ft", ", printed_as: {counted: 90 sq ft}")
    (one,) = tried(tmp_path, table=right)
    assert outcome(one) == []
    assert dict(one.example.printed_as) == {"counted": "90 sq ft"}
    (other,) = tried(
        tmp_path, table=example(given, "counted: 150 sq ft", ", printed_as: {least: 90 sq ft}")
    )
    assert outcome(other) == ["'least' is not expected here; use one of: counted"]
