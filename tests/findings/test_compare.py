"""Two versions of a rule set side by side, and a site under both."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Final

from checker import api
from checker.core.records import replace
from checker.files.source import read_text
from checker.findings.compare import RuleChange, compare, rescored
from checker.measure.words import built_in
from checker.rulesets.english import describe
from checker.rulesets.read import read_ruleset
from checker.rulesets.rules import RuleSet
from checker.site.read import site_of
from tests.findings.rulesets import refuse_model

OLD: Final = api.load_ruleset("wisconsin-shoreland-2010")
NEW: Final = api.load_ruleset("wisconsin-shoreland")

# 100 x 500 ft with the water along its lower side and 4,500 sq ft of cover within 300 ft of it.
DEEP_LOT: Final = """\
format: site/1
title: Made up for a test
place: wisconsin-shoreland
units: ft
rest_of_lot: lawn
facts: {riparian: yes, county_leaves_out_treated: no}
lot: {boundary: {points: [[0, 0], [100, 0], [100, 500], [0, 500]]}}
features:
  - {id: shore, kind: shoreline, shape: {line: [[-500, 0], [600, 0]]}}
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [20, 120], size: [60, 60]}}}
  - id: deck
    material: concrete-slab
    stage: proposed
    shape: {rectangle: {corner: [20, 90], size: [60, 15]}}
"""


def by_name(changes: tuple[RuleChange, ...]) -> dict[str, str]:
    return {change.name: change.kind for change in changes}


def test_the_same_set_has_no_differences() -> None:
    assert compare(NEW, NEW) == ()
    assert api.compare_rulesets(NEW, NEW).endswith("They ask the same.")


def test_what_changed_between_two_versions() -> None:
    assert by_name(compare(OLD, NEW)) == {
        "impervious-share": "changed",
        "impervious_area": "changed",
        "county_leaves_out_treated": "added",
    }


def test_turned_round_what_came_went() -> None:
    assert by_name(compare(NEW, OLD))["county_leaves_out_treated"] == "removed"


def test_a_rule_that_goes_is_told() -> None:
    fewer = replace(NEW, rules=())
    assert by_name(compare(NEW, fewer)) == {"impervious-share": "removed"}
    assert "removed: rule 'impervious-share'" in api.compare_rulesets(NEW, fewer)


def test_only_differing_sentences_are_shown() -> None:
    text = api.compare_rulesets(OLD, NEW)
    assert "  + The impervious area is at most 15 % of the lot area." in text
    assert "Asked only where" not in text  # that sentence is the same in both


def test_a_site_under_both_versions() -> None:
    # 3,600 + 900 = 4,500: of 30,000 within 300 ft it is 15.0 %, of the whole 50,000 it is 9.0 %.
    site = site_of(read_text(DEEP_LOT, "x.yaml"), Path("x.yaml"))
    (found,) = rescored(site, OLD, NEW)
    assert found.differs
    assert found.before is not None
    assert found.after is not None
    assert (found.before.status, found.after.status) == ("passes", "passes")
    for finding, limit, margin in ((found.before, 4_500, 0), (found.after, 7_500, 3_000)):
        assert finding.limit is not None
        assert finding.margin is not None
        assert round(finding.limit.to("sq ft"), 6) == limit
        assert round(finding.margin.to("sq ft"), 6) == margin
    text = api.rescore(site, OLD, NEW)
    assert "before: passes; 4,500 sq ft where at most 4,500 sq ft is asked" in text
    assert "after: passes; 4,500 sq ft where at most 7,500 sq ft is asked" in text


def asking(lines: str) -> RuleSet:
    """The newer set, asking for something to be handed in."""
    text = Path("jurisdictions/wisconsin-shoreland.yaml").read_text(encoding="utf-8")
    document = read_text(f"{text}\nsubmission:\n{lines}", "asking.yaml")
    return read_ruleset(document, refuse_model, built_in())


def test_what_is_to_be_handed_in_is_said_and_compared() -> None:
    office = "  office: The county office\n  items:\n    - {item: owner}\n"
    before, after = asking(office), asking(f"{office}    - {{document: survey-plat, must: no}}\n")
    assert by_name(compare(before, after)) == {"submission": "changed"}
    assert "+ Attached: survey plat, if it can be had." in api.compare_rulesets(before, after)
    assert by_name(compare(NEW, before)) == {"submission": "added"}
    said = " ".join(describe(after).split())
    assert "To be handed in at: The county office. - In the packet: owner." in said
    assert compare(after, after) == ()


def test_a_site_under_a_text_that_has_ended_is_judged_on_its_last_day() -> None:
    site = site_of(read_text(DEEP_LOT, "site.yaml"), Path("site.yaml"))
    ended = replace(NEW, until=date(2026, 1, 1))
    assert not any(item.differs for item in rescored(site, ended, NEW))
