"""Whole lots, judged as the command line judges them: what one change of a section does.

The lot is the sample with a terrace and a parking bay; its covers are worked by hand there.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.files.source import read_text
from checker.findings.checked import Checked
from checker.findings.model import Finding
from checker.papers.writing import reports_of
from checker.site.read import site_of

SAMPLE = Path("samples/wren-terrace/site.yaml")
BEDDING = 'stone: "8", thickness: 2 in, porosity: 40 %'
RECORD = (
    "on_file:\n  - {document: section-authorisation, of: terrace, by: the town, date: 2025-05-02}\n"
)


def checked(*changes: tuple[str, str]) -> Checked:
    text = SAMPLE.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    site = site_of(read_text(text, "lot.yaml"), SAMPLE)
    return api.check(site, api.load_ruleset_for(site))


def findings(*changes: tuple[str, str]) -> dict[str, Finding]:
    return {finding.rule: finding for finding in checked(*changes).verdict.findings}


def sq_ft(finding: Finding) -> float:
    assert finding.measured is not None
    return finding.measured.to("sq ft")


def test_a_thinner_bedding_fails_until_it_is_authorised() -> None:
    thinner = (BEDDING, 'stone: "8", thickness: 1.5 in, porosity: 40 %')
    assert findings()["change-of-section"].status == "passes"
    before = findings(thinner)["change-of-section"]
    assert before.status == "fails"
    assert before.measured is not None
    assert before.measured.value_si == 1
    after = findings(thinner, ("on_file:\n", RECORD))["change-of-section"]
    assert after.status == "passes with conditions"
    assert after.documents == (
        "section authorisation",
        "comparison of both sections",
    )


def test_a_record_of_another_section_authorises_nothing() -> None:
    thinner = (BEDDING, 'stone: "8", thickness: 1.5 in, porosity: 40 %')
    other = ("on_file:\n", RECORD.replace("of: terrace", "of: drive"))
    assert findings(thinner, other)["change-of-section"].status == "fails"


def test_no_section_no_credit() -> None:
    # 2,611 with the credit; the terrace then counts 1,188 instead of 297: 3,502.
    found = findings(("    section: terrace\n", ""))
    assert found["section-drawn"].status == "fails"
    assert sq_ft(found["cover-limit"]) == pytest.approx(3502)
    assert found["cover-limit"].status == "fails"


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ((f"{BEDDING}, washed: yes", f"{BEDDING}, washed: no"), "washed stone"),
        (("design_rain: 2.5 in", "design_rain: 4 in"), "stored water"),
        (("measured_rate: 0.4 in/h", "measured_rate: 0.05 in/h"), "emptying time"),
        (('stone: "57", thickness: 13 in', 'stone: "2", thickness: 13 in'), "filter"),
    ],
)
def test_one_fault_of_the_section_takes_the_credit_and_is_named(
    change: tuple[str, str], why: str
) -> None:
    # Emptying: 4.0 in at 0.05 / 2 in/h are 160 h, more than 72. Storm: 4 x 1.5 = 6 in, more than 4.
    sieves = "sieves: {1-1/2 in: 100 %, 1 in: 97 %, 1/2 in: 42 %, No. 4: 6 %, No. 8: 2 %}"
    extra = [(f"compaction: plate in lifts, {sieves}", "compaction: plate")]
    found = findings(change, *(extra if why == "filter" else []))
    finding = found["cover-limit"]
    assert finding.status == "fails"
    rows = [item.row for item in finding.contributions if item.of == "terrace"]
    assert any("condition not met" in row and why in row for row in rows), rows


def test_an_untold_soil_makes_the_cover_untold() -> None:
    # Between 2,611 with and 2,224 + 1,188 + 360 = 3,772 without both credits; the limit is 3,240.
    finding = findings(("  measured_rate: 0.4 in/h\n", ""))["cover-limit"]
    assert finding.status == "cannot tell"
    assert "give 'measured_rate' under 'ground'" in finding.because
    assert sq_ft(finding) == pytest.approx(3772)


def test_sections_are_read_even_when_no_rule_asks_for_them() -> None:
    text = SAMPLE.read_text(encoding="utf-8").replace("place: wren-hollow", "place: alder-ferry")
    text = text.replace('stone: "57"', 'stone: "75"', 1).replace(
        "rest_of_lot", "facts: {zone: R-1}\nrest_of_lot"
    )
    site = site_of(read_text(text, "lot.yaml"), SAMPLE)
    with pytest.raises(BadInput, match="there is no stone size '75'"):
        api.check(site, api.load_ruleset_for(site))


def test_the_report_holds_the_sections_and_is_the_same_every_time() -> None:
    one, other = reports_of(checked()), reports_of(checked())
    assert one == other
    assert set(one) >= {"section-terrace.svg", "section-parking.svg"}
    for words in ("Do neighbouring courses hold each other", "Take-off", "Upkeep"):
        assert words in one["report.md"]
        assert words in one["report.html"]


def test_sections_and_take_off_through_the_calls() -> None:
    result = checked()
    assert "# Pavement sections: Wren terrace" in api.sections_text(result)
    assert set(api.section_drawings(result)) == {"section-terrace.svg", "section-parking.svg"}
    text, csv = api.take_off(result)
    # No. 57 in all: terrace 1,188 x 13 / 12 = 1,287 and parking 360 x 4 / 12 = 120 cu ft, 1,407;
    # x 0.0283168 x 0.60 x 2650 x 1.10 / 907.185 = 76.81 ton, 5 trucks of 18.
    assert re.search(r"76\.81 ton +5 x truck of 18 ton", text)
    assert 'total,,"Base, No. 57",,,67.03,76.81,87.50,ton,5,truck of 18 ton,,' in csv
