"""Sentences of a rule set in plain English, and from where a counting table looks, by hand."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Final

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.rulesets.english import describe
from checker.rulesets.rules import RuleSet

HEAD: Final = """\
format: ruleset/1
id: some-town
title: Some Town (invented)
kind: invented
shown_in: us
in_force: {since: 2024-01-01, until: 2025-01-01}
sources:
  - {key: code, document: Some Town Code (invented), edition: "2024", reading: invented}
"""


def load(folder: Path, text: str) -> RuleSet:
    path = folder / "some-town.yaml"
    path.write_text(HEAD + text, encoding="utf-8")
    return api.load_ruleset(str(path))


def said(folder: Path, text: str) -> str:
    return " ".join(describe(load(folder, text)).split())


TABLE: Final = """\
counts:
  cover:
    title: cover
    otherwise: 0
    rows:
      - {where: {material: [roof]}, weight: 1, title: roofs}
      - {where: {material: [gravel]}, weight: 45 %}
      - {where: {material: [lawn]}, weight: 0}
      - {weight: 1/2}
"""
RULES: Final = "rules:\n"
RULE: Final = """\
rules:
  - id: any
    title: Anything
    cite: {source: code, section: "9"}
    require: {measure: lot_area, at_least: 1 sq ft}
    examples: [{name: asked of nobody, source: hand, given: {}, expect: {status: cannot tell}}]
"""


def test_rows_say_what_counts_and_how_much(tmp_path: Path) -> None:
    text = said(tmp_path, TABLE + RULE)
    assert "1. roofs (material is roof): counts in full" in text
    assert "2. material is gravel: counts at 45 %" in text
    assert "3. material is lawn: does not count" in text
    assert "4. anything: counts at 50 %" in text
    assert "anything else: does not count" in text


@pytest.mark.parametrize(
    ("band", "expected"),
    [
        ("over: 10 ft, up_to: 25 ft", "land from 10 ft up to 25 ft from the shoreline"),
        ("up_to: 25 ft", "land up to 25 ft from the shoreline"),
        ("over: 10 ft", "land more than 10 ft from the shoreline"),
    ],
)
def test_a_band_says_where_it_begins_and_ends(tmp_path: Path, band: str, expected: str) -> None:
    regions = f"regions:\n  near: {{title: land by the shore, band: shoreline, {band}}}\n"
    assert expected in said(tmp_path, regions + TABLE + RULE)


RESULTS: Final = """\
results:
  - id: fee
    kind: fee
    title: Fee of the permit
    cite: {source: code, section: "1"}
    is: 200 $
  - id: share
    kind: figure
    title: Share of cover
    cite: {source: code, section: "2"}
    is: {ratio: [cover, lot_area]}
"""


def test_what_is_owed_in_any_case_is_said_and_a_figure_is_not_owed(tmp_path: Path) -> None:
    text = said(tmp_path, TABLE + RULE + RESULTS)
    fee, _, figure = text.partition("Fee of the permit")[2].partition("Share of cover")
    assert "Owed in any case." in fee
    assert "Owed" not in figure


@pytest.mark.parametrize(
    ("day", "holds"),
    [
        (date(2023, 12, 31), False), (date(2024, 1, 1), True),
        (date(2024, 12, 31), True), (date(2025, 1, 1), False),
    ],
)  # fmt: skip
def test_a_text_is_law_from_its_first_day_until_before_its_last(
    tmp_path: Path, day: date, *, holds: bool
) -> None:
    assert load(tmp_path, TABLE + RULE).is_in_force(day) is holds


WANTED: Final = """\
  - id: green-land
    title: Planted land
    cite: {source: code, section: "3"}
    require: {measure: cover, REQUIRE}
    examples: [{name: asked of nobody, source: hand, given: {}, expect: {status: cannot tell}}]
"""


@pytest.mark.parametrize(
    ("require", "levels"),
    [
        ("at_most: 100 sq ft", "heaviest"),
        ("less_than: 100 sq ft", "heaviest"),
        ("at_least: 100 sq ft", "top"),
        ("more_than: 100 sq ft", "top"),
        # Who asks for an exact amount wants neither more nor less.
        ("equal_to: 100 sq ft", "heaviest"),
    ],
)
def test_a_table_is_seen_from_where_its_rules_look(
    tmp_path: Path, require: str, levels: str
) -> None:
    found = load(tmp_path, TABLE + RULES + WANTED.replace("REQUIRE", require))
    assert found.counts["cover"].levels == levels


PRINTED: Final = """\
rules:
  - id: cover-limit
    title: Most cover
    cite: {source: code, section: "3"}
    require: {measure: undrawn_area, at_most: 100 sq ft}
    examples:
      - name: at the limit
        source: printed
        given: {undrawn_area: 100 sq ft}
        expect: {status: passes}
"""


def test_a_printed_example_says_where_it_is_printed(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as refused:
        load(tmp_path, PRINTED)
    assert [problem.says for problem in refused.value.problems] == [
        "'at the limit' is printed somewhere"
    ]
    cited = PRINTED.replace(
        "source: printed", 'source: printed\n        cite: {source: code, section: "4"}'
    )
    (example,) = load(tmp_path, cited).rule("cover-limit").examples
    assert example.name == "at the limit"
