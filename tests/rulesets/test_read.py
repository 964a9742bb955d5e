"""How rule sets are put together: adopted models, rows of other tables, examples from outside."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.findings.examples import try_examples
from checker.rulesets.rules import RuleSet

HEAD: Final = """\
format: ruleset/1
id: some-town
title: Some Town (invented)
kind: invented
in_force: {since: 2024-01-01}
sources:
  - {key: code, document: Some Town Code (invented), edition: "2024", reading: READING}
"""


def load(folder: Path, text: str, reading: str = "invented") -> RuleSet:
    path = folder / "some-town.yaml"
    path.write_text(HEAD.replace("READING", reading) + text, encoding="utf-8")
    return api.load_ruleset(str(path))


ADOPTS: Final = """\
adopts: [pool-cover, overflow-redundancy]
without: [largest-blocked]
amounts:
  pool_water_share: {title: share of pool water that counts, is: 40 %}
counts:
  cover:
    title: cover
    otherwise: 0
    rows:
      - rows_of: pool_cover
      - {where: {nature: sealed}, weight: 1}
    examples:
      - name: the amount of the place goes into the rows of the model
        source: hand
        given:
          surfaces:
            - {material: pool-water, area: 400 sq ft}
            - {material: roof, area: 100 sq ft}
        expect: {counted: 260 sq ft}
        note: 40 % of 400 + 100 = 260
rules:
  - id: ways-out
    title: Three ways out
    cite: {source: code, section: "2"}
    require: {measure: separate_ways_out, at_least: 3}
    examples:
      - {name: two, source: hand, given: {separate_ways_out: 2}, expect: {status: fails}}
"""


def test_a_place_replaces_what_it_names_and_keeps_the_rest(tmp_path: Path) -> None:
    found = load(tmp_path, ADOPTS)
    assert [(rule.id, rule.origin) for rule in found.rules] == [
        ("ways-out", ""),
        ("below-sill", "overflow-redundancy"),
        ("overflow-path", "overflow-redundancy"),
    ]
    assert found.rule("ways-out").title == "Three ways out"
    assert all(item.holds for item in try_examples(found))


def test_inherited_examples_run_again_in_the_place(tmp_path: Path) -> None:
    names = {item.example.name for item in try_examples(load(tmp_path, ADOPTS))}
    assert "water at half" in names  # of the model, with its own share given
    assert "the amount of the place goes into the rows of the model" in names


def test_a_place_adds_examples_to_an_adopted_rule(tmp_path: Path) -> None:
    more = """\
adopts: [overflow-redundancy]
rules: []
examples:
  ways-out:
    - {name: four, source: hand, given: {separate_ways_out: 4}, expect: {status: passes, margin: 2}}
    - {name: a wrong one, source: hand, given: {separate_ways_out: 4}, expect: {margin: 3}}
"""
    tried = {item.example.name: item for item in try_examples(load(tmp_path, more))}
    assert tried["four"].holds
    (difference,) = tried["a wrong one"].differences
    assert (difference.what, difference.expected, difference.found) == ("margin", "3", "2")


LIMIT: Final = """\
rules:
  - id: limit
    title: Limit
    cite: {source: code, section: "1"}
    require: {measure: lot_area, at_least: 100 m2}
    all_given: {lot_area: 90 m2}
    examples:
      - {name: shared, source: hand, given: {}, expect: {status: fails}}
      - {name: its own, source: hand, given: {lot_area: 100 m2}, expect: {status: passes}}
      - {name: taken away, source: hand, given: {lot_area: null}, expect: {status: cannot tell}}
"""


def test_examples_share_what_all_are_given(tmp_path: Path) -> None:
    assert all(item.holds for item in try_examples(load(tmp_path, LIMIT)))


def test_a_rule_from_memory_is_never_a_verdict(tmp_path: Path) -> None:
    found = load(tmp_path, LIMIT, "from memory")
    tried = {item.example.name: item.finding for item in try_examples(found)}
    for name, verdict in (("shared", "fails"), ("its own", "passes")):
        finding = tried[name]
        assert finding is not None
        assert finding.status == "cannot tell"
        assert finding.if_unfavourable == verdict
        assert finding.because.startswith("this is written from memory: lay it beside the text")


RESTS: Final = """\
  - {key: read-one, document: Read, edition: "1", reading: read}
rules:
  - id: limit
    title: Limit
    cite: {source: code, section: "1"}
    require: {measure: lot_area, at_least: 100 m2}
  - id: after
    title: After the limit
    cite: {source: read-one, section: "2"}
    require: {passes: limit}
    examples:
      - {name: x, source: hand, given: {lot_area: 200 m2}, expect: {status: STATUS}}
"""


@pytest.mark.parametrize(
    ("reading", "status"), [("from memory", "cannot tell"), ("read", "passes")]
)
def test_a_rule_that_rests_on_another(tmp_path: Path, reading: str, status: str) -> None:
    found = load(tmp_path, RESTS.replace("STATUS", status), reading)
    assert all(item.holds for item in try_examples(found))


def test_models_that_adopt_each_other_are_told(tmp_path: Path) -> None:
    for one, other in (("first", "second"), ("second", "first")):
        text = HEAD.replace("some-town", one).replace("READING", "invented")
        (tmp_path / f"{one}.yaml").write_text(
            f"{text}adopts: [{tmp_path}/{other}.yaml]\nrules: []\n", encoding="utf-8"
        )
    with pytest.raises(BadInput, match="adopts itself; remove one of them"):
        api.load_ruleset(str(tmp_path / "first.yaml"))


def test_every_shipped_place_can_be_described() -> None:
    for name in api.places():
        text = api.describe_ruleset(api.load_ruleset(name))
        assert text.startswith(api.load_ruleset(name).title)
        assert max(len(line) for line in text.splitlines() if "://" not in line) <= 88
        assert "None" not in text
        age = {"alder-ferry": "1 year", "osier-bend": "2 years"}.get(name)
        assert (f"The survey may be {age} old at most." in text) == (age is not None)


@pytest.mark.parametrize(
    ("beyond", "area", "counted"),
    [
        ("excess", "200 sq ft", "0 sq ft"),  # exactly at the cap: all of it is free
        ("excess", "300 sq ft", "100 sq ft"),  # 300 - 200 = 100
        ("all", "200 sq ft", "0 sq ft"),
        ("all", "300 sq ft", "300 sq ft"),
    ],
)
def test_what_counts_beyond_a_free_sum(
    tmp_path: Path, beyond: str, area: str, counted: str
) -> None:
    ruleset = load(
        tmp_path,
        f"""
counts:
  cover:
    title: cover
    otherwise: 0
    rows:
      - {{where: {{material: gravel}}, weight: 1, exempt_up_to: 200 sq ft, beyond: {beyond}}}
    examples:
      - name: by hand
        source: hand
        given: {{surfaces: [{{material: gravel, area: {area}}}]}}
        expect: {{counted: {counted}}}
rules: []
""",
    )
    assert [item.differences for item in try_examples(ruleset)] == [()]
