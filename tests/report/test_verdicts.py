"""Findings as texts, one of every outcome, and the table for terminals."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker.findings.checked import Checked
from checker.pages.terminal_writer import WIDTH
from checker.papers.terminal import answer_text
from checker.words.findings import FindingView, finding_views
from checker.words.letters import Keys
from checker.words.view import view_of
from tests.report.conftest import BRINE, FERNHOLLOW, SAMPLES, SORREL, check_file, check_text


@pytest.fixture
def views(sorrel: Checked) -> dict[str, FindingView]:
    return {view.id: view for view in finding_views(sorrel, Keys(sorrel.site))}


def test_the_worst_come_first(sorrel: Checked) -> None:
    words = [view.status.word for view in finding_views(sorrel, Keys(sorrel.site))]
    assert words == [
        "cannot tell", "relief possible", "passes with conditions", "passes", "passes",
        "does not apply",
    ]  # fmt: skip


def test_what_cannot_be_told_says_what_to_give(views: dict[str, FindingView]) -> None:
    view = views["lot-cover"]
    assert (view.measured, view.limit) == ("4,067 to 4,590 sq ft", "4,500 sq ft")
    assert view.margin == "−90 sq ft"
    assert view.asks == (
        "give 'infiltration_rate' of terrace (measured rate at which its surface takes water)",
    )
    assert view.unfavourable is not None
    assert view.unfavourable.word == "fails"
    assert [(step.what, step.text) for step in view.steps] == [
        ("The hard area", "4,067 to 4,590 sq ft"),
        ("The lot area", "12,000 sq ft"),
        ("40 % of the lot area", "4,800 sq ft"),
        ("The lesser of 40 % of the lot area and 4,500 sq ft", "4,500 sq ft"),
    ]


def test_an_unclear_clause_shows_every_reading(views: dict[str, FindingView]) -> None:
    view = views["lot-cover"]
    assert view.questions == ("Is pool water impervious cover?",)
    # Without the 450 of the pool: 4,590 - 450 = 4,140, 360 below 4,500.
    assert [(row.title, row.status.word, row.margin) for row in view.readings] == [
        ("pool water counts in full", "cannot tell", "−90 sq ft"),
        ("pool water does not count", "passes", "+360 sq ft"),
    ]
    assert view.readings[0].used == "assumed until the office answers"


def test_conditions_and_relief_name_their_documents(views: dict[str, FindingView]) -> None:
    assert views["from-line"].documents == ("drainage letter",)
    assert views["from-line"].band == "Nearer is allowed with a letter on drainage"
    assert views["not-increased"].documents == ("application for relief",)


def test_a_distance_to_nothing(views: dict[str, FindingView]) -> None:
    view = views["from-well"]
    assert (view.measured, view.margin) == ("none found", "–")
    assert view.room == "nothing of the kind is near"
    assert view.caution == "A well near a pool wants the health authority's word."


def test_what_does_not_apply_says_when_it_would(views: dict[str, FindingView]) -> None:
    assert views["high-deck"].because == ("Asked only where zone is R-1",)
    assert views["high-deck"].measured == "–"


def test_what_each_surface_adds(views: dict[str, FindingView]) -> None:
    shares = {share.letter: share for share in views["lot-cover"].shares}
    assert shares["G"].counted == "523 to 1,046"
    assert shares["A"].counted == "1,500"
    assert shares[""].surface == "Rest of the lot (lawn)"


def test_exactly_at_the_limit_says_whether_that_is_allowed() -> None:
    checked = check_file(SAMPLES / "exactly-at-limit" / "site.yaml")
    view = next(v for v in finding_views(checked, Keys(checked.site)) if v.id == "cover-limit")
    assert (view.measured, view.limit, view.margin) == ("4,500 sq ft", "4,500 sq ft", "0 sq ft")
    assert view.room == "exactly at the limit, which this rule allows"


def test_a_hair_over_the_limit_is_seen_to_be_over(tmp_path: Path) -> None:
    # 4,494 + 112 + ... is tuned so that the total is 0.004 sq ft above the limit of 4,500:
    # one house of 45 x 100.0000889 = 4,500.004.
    text = """\
format: site/1
title: A hair over
place: sorrel-bend-rules.yaml
units: ft
rest_of_lot: lawn
none_found: [well]
facts: {zone: R-2}
lot: {boundary: {points: [[0, 0], [100, 0], [100, 120], [0, 120]]}}
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [10, 10], size: [45, 100.0000889]}}}
"""
    checked = check_text(text, tmp_path)
    view = next(v for v in finding_views(checked, Keys(checked.site)) if v.id == "lot-cover")
    assert view.status.word == "fails"
    assert view.measured != view.limit
    assert view.margin.startswith("−0.00")
    # 45 x 0.0000889 = 0.0040005: what must go is rounded up, and said as the margin says it.
    assert view.room == "over by 0.0041 sq ft"
    assert "must come down by at least 0.0041 sq ft" in view.remedies[0]


def test_fails_name_what_must_change(fernhollow: Checked) -> None:
    view = finding_views(fernhollow, Keys(fernhollow.site))[0]
    assert view.remedies[0] == "The impervious area must come down by at least 142 sq ft."
    assert view.room == "over by 142 sq ft"


@pytest.mark.parametrize("path", [SORREL, BRINE, FERNHOLLOW], ids=lambda path: path.parent.name)
def test_terminals_get_at_most_80_columns_of_ascii(path: Path) -> None:
    table = answer_text(check_file(path))
    assert max(map(len, table.splitlines())) <= WIDTH
    assert table.isascii()


def test_the_verdict_stands_first(fernhollow: Checked) -> None:
    assert answer_text(fernhollow).splitlines()[0] == (
        "FAILS: The design does not meet 1 of 2 rules."
    )


def test_every_report_defers_to_the_local_code(sorrel: Checked, fernhollow: Checked) -> None:
    for checked in (sorrel, fernhollow):
        view = view_of(checked)
        assert any("Defer to the local code and to licensed" in text for text in view.cautions)
        assert view.header.verify
    assert "Distance from a well: A well near a pool" in " ".join(view_of(sorrel).cautions)


def test_facts_and_sources_say_what_nobody_gave(sorrel: Checked) -> None:
    view = view_of(sorrel)
    assert ("Sewer", "not given") in view.facts
    assert view.left_out == ("Historic district overlay", "Appeals")
    assert [row.compared for row in view.sources] == ["never", "2025-06-30"]
    # 12,010 by deed against 12,000 drawn: 10 / 12,010 = 0.08 %.
    assert ("Difference of the two", "0.08 %") in view.lot
