"""The handbook for people who write law: its lists are current, its examples are real."""

from __future__ import annotations

import re
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Final

import pytest

from checker import api
from checker.algebra import nodes as n
from checker.algebra.dimensions import dimension_of
from checker.algebra.parse import CONDITION_HEADS, Parser
from checker.algebra.parse_numbers import NUMBER_HEADS
from checker.algebra.vocabulary import Vocabulary
from checker.core.problems import Problems
from checker.core.units import AREA, LENGTH, read_amount
from checker.core.words import Word
from checker.files.source import read_text
from checker.findings.examples import try_example, try_examples
from checker.findings.handbook import readme, written
from checker.measure.words import built_in
from checker.rulesets.form_answers import AMOUNTS
from checker.rulesets.names import DIMENSIONS
from checker.rulesets.rules import Example

if TYPE_CHECKING:
    from checker.rulesets.rules import RuleSet

TEXT: Final = readme("jurisdictions").read_text(encoding="utf-8")
FENCE: Final = re.compile(r"^```yaml ?(\w*)\n(.*?)^```$", re.DOTALL | re.MULTILINE)


@pytest.mark.parametrize("folder", ["jurisdictions", "rules"])
def test_lists_are_current(folder: str) -> None:
    text = readme(folder).read_text(encoding="utf-8")
    assert text == written(folder, text), "run: python -m checker.findings.handbook"


def blocks(kind: str, text: str = TEXT) -> list[str]:
    return [body for info, body in FENCE.findall(text) if info == kind]


def between(start: str, end: str) -> str:
    return TEXT.split(f"<!-- {start} -->")[1].split(f"<!-- {end} -->")[0]


def test_the_answers_of_the_form_make_a_place(tmp_path: Path) -> None:
    (text,) = blocks("answers")
    file = tmp_path / "answers.yaml"
    file.write_text(text, encoding="utf-8")
    draft = api.begin_ruleset(api.form_answers(file), "plover-bank")
    says = " ".join(sentence.says for sentence in draft.sentences)
    # less a tenth of easement: 45 % of 8,100 = 3,645; 40 % of 16,200 = 6,480, more than 6,000
    assert "A lot of 9,000 sq ft with 900 sq ft of easement on it may have 3,645 sq ft" in says
    assert "A lot of 18,000 sq ft with 1,800 sq ft of easement on it may have 6,000 sq ft" in says
    assert f"asks {len(api.form_questions())} questions" in TEXT
    assert all(name in TEXT for name in AMOUNTS)


TOWN: Final = blocks("", between("town", "end of town"))


def load(folder: Path, name: str, text: str) -> RuleSet:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return api.load_ruleset(str(path))


@pytest.mark.parametrize("step", range(1, len(TOWN) + 1))
def test_town_loads_after_each_step(step: int, tmp_path: Path) -> None:
    text = "".join(TOWN[:step])
    if "\nrules:" not in text:
        text += "rules: []\n"
    found = load(tmp_path, "plover-bank.yaml", text)
    assert all(item.holds for item in try_examples(found)), [
        (item.example.name, item.differences) for item in try_examples(found) if not item.holds
    ]


def test_town_is_whole(tmp_path: Path) -> None:
    found = load(tmp_path, "plover-bank.yaml", "".join(TOWN))
    assert [rule.id for rule in found.rules] == [
        "lot-cover",
        "rear-yard-cover",
        "permeable-distances",
        "held-rain",
    ]
    tried = try_examples(found)
    assert len(tried) >= 25
    assert found.left_out
    for rule in found.rules:
        statuses = {item.finding.status for item in tried if item.of == rule.id and item.finding}
        assert statuses & {"passes", "passes with conditions"}
        assert statuses & {"fails", "relief possible"}


def test_site_of_the_town_gives_the_figures_of_the_text(tmp_path: Path) -> None:
    load(tmp_path, "plover-bank.yaml", "".join(TOWN))
    (body,) = blocks("site")
    (tmp_path / "site.yaml").write_text(body, encoding="utf-8")
    site = api.load_site(tmp_path / "site.yaml")
    found = {
        item.rule: item for item in api.check(site, api.load_ruleset_for(site)).verdict.findings
    }
    assert {rule: item.status for rule, item in found.items()} == {
        "lot-cover": "passes",
        "rear-yard-cover": "passes",
        "permeable-distances": "passes",
        "held-rain": "passes",
    }
    figures = {
        "lot-cover": (3090, 4000, "sq ft"),
        "rear-yard-cover": (15, 1000, "sq ft"),
        "held-rain": (60, 52.5, "cu ft"),
    }
    results = api.check(site, api.load_ruleset_for(site)).verdict.results
    assert [(item.result, item.status) for item in results] == [
        ("yearly-fee", "owed"),
        ("grading-permit", "owed"),
    ]
    assert results[0].amount is not None
    assert round(results[0].amount.low_si, 9) == 84
    for rule, (measured, limit, unit) in figures.items():
        finding = found[rule]
        assert finding.measured is not None
        assert finding.limit is not None
        assert round(finding.measured.to(unit), 6) == measured
        assert round(finding.limit.to(unit), 6) == limit
    (near,) = [part for part in found["permeable-distances"].parts if "dwelling" in str(part.node)]
    assert round(near.measured.low_si / 0.3048, 6) == 15.524175  # corner (64, 70) to (68, 85)


def parser(problems: Problems) -> Parser:
    words = built_in()
    lot = dict(words.lot) | {
        word.name: word
        for word in (
            Word("cover", "amount", "cover", AREA, has_states=True, has_regions=True),
            Word("wet_area", "amount", "wet area", AREA),
            Word("lot_width", "amount", "lot width", LENGTH),
            Word("zone", "text", "zone", choices=("R-1", "R-2")),
            Word("corner_lot", "yes or no", "corner lot"),
            Word("recorded", "date", "day recorded"),
        )
    }
    surface = dict(words.surface)
    surface["inside"] = Word("inside", "text", "region", choices=("rear-yard",))
    found = Vocabulary(
        lot,
        surface,
        {"rear-yard": "rear yard"},
        {"share-of": ("of-limit", "of-lot")},
        frozenset({"building-cover"}),
    )
    return Parser(found, read_text("{}", "README.md").place, problems)


@pytest.mark.parametrize("kind", ["number", "condition", "where"])
def test_forms_in_the_text_can_be_read(kind: str) -> None:
    found = blocks(kind)
    assert found
    for body in found:
        problems = Problems()
        reader = parser(problems)
        data = read_text(f"form: {body}" if "\n" not in body.strip() else _nested(body), "x").data
        read = {"number": reader.number, "condition": reader.condition}.get(kind)
        node = read(data["form"], ("form",)) if read else reader.where(data["form"], ("form",))
        assert node is not None
        assert not problems, [body, *map(str, problems.items)]


FORMS: Final = """\
format: ruleset/1
id: forms
title: Forms of examples (invented)
kind: invented
in_force: {since: 2020-01-01}
sources: [{key: code, document: A code (invented), edition: "1", reading: invented}]
readings:
  share-of: {question: Of what, options: {of-limit: the limit, of-lot: the lot}, default: of-limit}
regions:
  rear-yard: {title: rear yard, yard: rear, depth: 25 ft}
counts:
  cover:
    title: cover
    otherwise: cannot tell
    rows: [{where: {nature: sealed}, weight: 1}, {where: {nature: open}, weight: 0}]
amounts:
  fifth_of_cover: {title: a fifth of the cover, is: {percent: 20, of: cover}}
  third_of_cover: {title: a third of the cover, is: {ratio: [cover, 3]}}
rules:
  - id: cover-limit
    title: Cover
    cite: {source: code, section: "1"}
    require:
      measure: cover
      at_most:
        by_reading: share-of
        options: {of-limit: {percent: 25, of: 10000 sq ft}, of-lot: {percent: 28, of: lot_area}}
    examples:
"""


def test_forms_of_examples_hold(tmp_path: Path) -> None:
    found = blocks("example")
    assert len(found) >= 3
    text = FORMS
    for body in found:
        first, *rest = body.splitlines()
        text += f"      - {first}\n" + "".join(f"        {row}\n" for row in rest)
    tried = try_examples(load(tmp_path, "forms.yaml", text))
    assert len(tried) == len(found)
    assert all(item.holds for item in tried), [
        (item.example.name, item.differences, item.problems) for item in tried if not item.holds
    ]


def test_attributes_in_the_text_can_be_declared(tmp_path: Path) -> None:
    (body,) = blocks("attributes")
    text = FORMS.split("rules:")[0] + "rules: []\nattributes:\n"
    text += "".join(f"  {row}\n" for row in body.splitlines())
    assert set(load(tmp_path, "forms.yaml", text).attributes) == {"to_sewer", "walled_sides"}


def test_units_in_the_text_are_known() -> None:
    table = TEXT.split("| kind | units | also taken |")[1].split("\n\n")[0]
    rows = [row.split("|") for row in table.splitlines()[2:]]
    assert [row[1].strip() for row in rows] == list(DIMENSIONS)
    for _, kind, units, also, _ in rows:
        for name in re.findall(r"`([^`]+)`", units + also):
            text = {"$": "$1", "2:1": "2:1"}.get(name, f"1 {name}")
            assert read_amount(text).dimension.name == kind.strip(), name


def test_kinds_in_the_text_are_those_of_the_program() -> None:
    table = TEXT.split("| you write | kind |")[1].split("\n\n")[0]
    rows = [row.split("|") for row in table.splitlines()[2:]]
    assert len(rows) >= 10
    for _, body, kind, _ in rows:
        problems = Problems()
        reader = parser(problems)
        data = read_text(f"form: {body.strip().strip('`')}", "x").data
        found = dimension_of(reader.number(data["form"], ("form",)), reader.words)
        assert not problems, [body, *map(str, problems.items)]
        assert found is not None
        assert found.name == kind.strip(), body


def test_depths_in_the_text() -> None:
    """60 L on 1 m2 is 60 mm; 1,200 cu ft on 43,560 sq ft is 0.0275482 ft = 0.331 in."""
    assert pytest.approx(0.331, abs=0.0005) == 1200 / 43560 * 12
    assert 0.060 / 1 == 0.06


@pytest.mark.parametrize("body", blocks("trap"), ids=lambda body: body.splitlines()[1].strip(" :"))
def test_traps_hold(body: str, tmp_path: Path) -> None:
    found = load(tmp_path, "some-town.yaml", HEAD + body)
    tried = try_examples(found)
    assert tried
    assert all(item.holds for item in tried), [
        (item.example.name, item.differences, item.problems) for item in tried if not item.holds
    ]


def test_every_trap_has_its_block() -> None:
    section = TEXT.split("## Traps, worked")[1].split("\n## ")[0]
    assert section.count("\n**") == len(blocks("trap")) == 7


def _nested(body: str) -> str:
    return "form:\n" + "".join(f"  {row}\n" for row in body.splitlines())


def test_every_head_has_an_example() -> None:
    numbers, conditions = "\n".join(blocks("number")), "\n".join(blocks("condition"))
    for head in NUMBER_HEADS:
        assert re.search(rf"\b{head}:", numbers), head
    for head in CONDITION_HEADS:
        assert re.search(rf"\b{head}:", conditions), head
    assert isinstance(parser(Problems()).number("cannot tell", ()), n.Choose)


def test_structures_stand_where_the_table_says() -> None:
    table = TEXT.split("| structure | where to look |")[1].split("\n\n")[0]
    rows = [row for row in table.splitlines() if row.count("|") == 3 and "`" in row]
    assert len(rows) >= 18
    for row in rows:
        place, *names = re.findall(r"`([a-z0-9_-]+)`", row.split("|")[2])
        found = api.load_ruleset(place)
        for name in names:
            known = {rule.id for rule in found.rules} | set(found.counts) | set(found.amounts)
            known |= {result.id for result in found.results} | set(found.readings)
            is_start = any(item.startswith(name) for item in known)
            assert name in api.places() or is_start, (place, name)


def test_exercise_can_be_written(tmp_path: Path) -> None:
    text = (Path(__file__).parent / "rulesets" / "teal-harbor.yaml").read_text(encoding="utf-8")
    found = load(tmp_path, "teal-harbor.yaml", text)
    tried = try_examples(found)
    assert all(item.holds for item in tried), [
        (item.example.name, item.differences) for item in tried if not item.holds
    ]
    assert len(found.rules) == 3


HEAD: Final = """\
format: ruleset/1
id: some-town
title: Some Town (invented)
kind: invented
in_force: {since: 2024-01-01}
sources: [{key: code, document: A code (invented), edition: "2024", reading: invented}]
rules: []
"""


def test_adoption_in_the_readme_of_models_is_real(tmp_path: Path) -> None:
    (body,) = blocks("", readme("rules").read_text(encoding="utf-8"))
    found = load(tmp_path, "some-town.yaml", HEAD + body)
    assert {rule.origin for rule in found.rules} == {"overflow-redundancy"}
    assert all(item.holds for item in try_examples(found))


FORM_PAGE: Final = readme("jurisdictions").with_name("FROM-A-FORM.md").read_text(encoding="utf-8")


def test_the_page_on_a_form_is_a_whole_file(tmp_path: Path) -> None:
    found = load(tmp_path, "our-form.yaml", "".join(blocks("form", FORM_PAGE)))
    tried = try_examples(found)
    assert len(tried) >= 5
    assert all(item.holds for item in tried), [
        (item.example.name, item.differences, item.problems) for item in tried if not item.holds
    ]


def test_the_page_on_a_form_says_what_the_shipped_file_says(tmp_path: Path) -> None:
    """The same number of a random lot by both, and by plain arithmetic."""
    ours = load(tmp_path, "our-form.yaml", "".join(blocks("form", FORM_PAGE)))
    shipped = api.load_ruleset("town-form-increase")
    dice = Random(7)
    for _ in range(10):
        lot, now, work = dice.randint(5000, 40000), dice.randint(500, 5000), dice.randint(1, 3000)
        given = {
            "lot_area": f"{lot} sq ft", "impervious_area (existing)": f"{now} sq ft",
            "disturbed_by_form": f"{work} sq ft", "readings": {"percent-line": "of-existing"},
        }  # fmt: skip
        for ruleset in (ours, shipped):
            for result, amount in (("total", f"{now + work} sq ft"), ("increase", work / now)):
                example = Example(
                    name="case", is_printed=False, given=given, expect={"amount": amount},
                    document=read_text("{}", "case.yaml"), path=(),
                )  # fmt: skip
                tried = try_example(ruleset, result, example)
                assert tried.holds, [result, *map(str, (*tried.differences, *tried.problems))]
