"""The page for the planner's signature: nothing is missing, nothing signed for them."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from checker import api
from checker.cli.main import run
from checker.core.problems import BadInput
from checker.pages.blocks import every, texts
from checker.pages.markdown_writer import markdown_of
from checker.papers.page_file import ENDINGS
from checker.papers.place import place_page
from checker.words.amounts import clean

TOWN: Final = """\
format: ruleset/1
id: small-town
title: Small Town <script>alert(1)</script>
kind: invented
in_force: {since: 2024-01-01}
CHECKED
sources:
  - {key: code, document: Small Town Code (invented), edition: "2024", reading: second-hand}
rules:
  - id: lot-cover
    title: Cover of the lot
    cite: {source: code, section: "7.3"}
    require: {measure: undrawn_area, at_most: {percent: 45, of: lot_area}}
    examples:
      - name: at the limit
        source: hand
        given: {lot_area: 1000 sq ft, undrawn_area: 450 sq ft}
        expect: {status: passes}
left_out: [the parking rules, "Not answered: how turf counts"]
"""
SIGNED: Final = "checked: {by: town planner, date: 2024-06-30}"


def town(folder: Path, checked: str = "") -> Path:
    path = folder / "small-town.yaml"
    path.write_text(TOWN.replace("CHECKED", checked), encoding="utf-8")
    return path


@pytest.mark.parametrize("name", ["alder-ferry", "hollin-mere", "krumbach-germany"])
def test_a_page_says_everything(name: str) -> None:
    ruleset = api.load_ruleset(name)
    page = place_page(ruleset)
    said = "\n".join(text for block in every(page.sections) for text in texts(block))
    for rule in ruleset.rules:
        assert clean(rule.title) in said
        assert clean(rule.citation) in said
    for text in ruleset.left_out:
        assert clean(text) in said
    for source in ruleset.sources.values():
        assert clean(source.document) in said
    for tried in api.try_examples(ruleset):
        assert clean(tried.example.name) in said
    for table in ruleset.counts.values():
        assert clean(table.title) in said
    assert "Date" in said


def test_who_confirmed_nothing_is_told(tmp_path: Path) -> None:
    text = markdown_of(place_page(api.load_ruleset(str(town(tmp_path)))))
    assert "Nobody has signed it as checked" in text
    open_ends = text.split("What nobody has confirmed")[1].split("## ")[0]
    assert "how turf counts" in open_ends
    assert "second-hand" in open_ends
    assert "1 of 1 examples" in open_ends
    left = text.split("## Left out of the text")[1].split("## ")[0]
    assert "the parking rules" in left
    assert "turf" not in left
    assert "45 % of" in text
    assert "7.3" in text


@pytest.mark.parametrize("ending", ENDINGS)
def test_each_kind_of_page(ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / f"page{ending}"
    assert run(["rules", "show", str(town(tmp_path, SIGNED)), "--page", str(out)]) == 0
    assert "Written" in capsys.readouterr().out
    raw = out.read_bytes()
    assert len(raw) > 1000
    if ending in {".html", ".md"}:
        assert b"<script" not in raw
        assert b"by the town planner on 2024-06-30" in raw


def test_what_is_another_s_stays(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "page.html"
    out.write_text("mine", encoding="utf-8")
    assert run(["rules", "show", str(town(tmp_path)), "--page", str(out)]) == 2
    assert out.read_text(encoding="utf-8") == "mine"
    assert run(["rules", "show", str(town(tmp_path)), "--page", str(tmp_path / "page.xyz")]) == 2
    assert ".docx" in capsys.readouterr().err


def test_reports_say_who_checked_the_rules(tmp_path: Path) -> None:
    from checker.papers.writing import reports_of

    site, _ = api.new_site(tmp_path / "site.yaml", place=str(town(tmp_path, SIGNED)))
    read = api.load_site(site)
    signed = reports_of(api.check(read, api.load_ruleset_for(read)))
    says = "These rules were checked against the text by the town planner on 2024-06-30."
    assert says in signed["report.html"]
    assert says in signed["report.md"]
    assert "town planner" in api.describe_ruleset(api.load_ruleset_for(read))
    town(tmp_path)
    unsigned = reports_of(api.check(read, api.load_ruleset_for(read)))
    assert "checked against the text" not in unsigned["report.html"]


@pytest.mark.parametrize(
    "checked",
    ["checked: {by: planner, date: 2024-13-01}", "checked: {by: planner}", "checked: yes"],
)
def test_a_signature_without_a_day(checked: str, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"small-town\.yaml:6:"):
        api.load_ruleset(str(town(tmp_path, checked)))
