"""Judging: the ladder, what is missing, unclear clauses, and rules that lean on rules."""

from __future__ import annotations

import pytest

from checker.core.problems import BadInput
from checker.core.units import same
from tests.findings.rulesets import finding, ruleset, slab

LIMIT = """\
  - id: limit
    title: A limit with a ladder
    cite: {source: code, section: "1"}
    require: {measure: cover, at_most: {percent: 15, of: lot_area}}
    or_else:
      - outcome: passes with conditions
        require: {measure: cover, at_most: {percent: 30, of: lot_area}}
        documents: [mitigation-plan]
        says: mitigation in proportion to the excess
      - outcome: relief possible
        require: {measure: cover, at_most: {percent: 40, of: lot_area}}
        documents: [hearing]
"""


@pytest.mark.parametrize(
    ("cover", "status", "limit", "margin", "documents"),
    [
        (1500, "passes", 1500, 0, ()),
        (1501, "passes with conditions", 3000, 1499, ("mitigation-plan",)),
        (3000, "passes with conditions", 3000, 0, ("mitigation-plan",)),
        (3001, "relief possible", 4000, 999, ("hearing",)),
        (4001, "fails", 4000, -1, ()),
    ],
)
def test_the_ladder_of_outcomes(
    cover: int, status: str, limit: int, margin: int, documents: tuple[str, ...]
) -> None:
    found = finding(ruleset(LIMIT), slab(cover))
    assert found.status == status
    assert found.documents == documents
    assert found.limit is not None
    assert same(found.limit.to("sq ft"), limit)
    assert found.margin is not None
    assert round(found.margin.to("sq ft"), 6) == margin


PLAIN = """\
  - id: limit
    title: A limit
    cite: {source: code, section: "1"}
    require: {measure: cover, at_most: {percent: 15, of: lot_area}}
"""


def test_a_missing_attribute_names_the_surface_and_shows_the_unfavourable_verdict() -> None:
    found = finding(ruleset(PLAIN), slab(1600, "wood-deck"))
    assert found.status == "cannot tell"
    assert found.if_unfavourable == "fails"
    assert "give 'gap' of wood-deck" in found.because
    assert [(item.name, item.of) for item in found.missing] == [("gap", "wood-deck")]
    assert found.measured is not None
    assert same(found.measured.to("sq ft"), 1600)


def test_a_missing_attribute_that_cannot_matter_is_said_and_does_not() -> None:
    found = finding(ruleset(PLAIN), slab(1400, "wood-deck"))
    assert found.status == "passes"
    assert "give 'gap' of wood-deck" in found.note
    assert "the verdict is the same either way" in found.note


def test_a_given_attribute_decides() -> None:
    gap = ", attributes: {gap: 1/4 in}"
    assert finding(ruleset(PLAIN), slab(1600, "wood-deck", gap)).status == "passes"
    gap = ", attributes: {gap: 1/8 in}"
    assert finding(ruleset(PLAIN), slab(1600, "wood-deck", gap)).status == "fails"


def test_a_material_on_which_the_text_is_silent_is_a_question() -> None:
    found = finding(ruleset(PLAIN), slab(1600, "gravel"))
    assert found.status == "cannot tell"
    assert found.because == "ask the office how 'gravel' counts toward cover (gravel)"


def test_land_of_which_nothing_is_said_is_a_question() -> None:
    said = finding(ruleset(PLAIN), slab(1000))
    assert said.status == "passes"
    unsaid = finding(ruleset(PLAIN), slab(1000), rest="")
    assert unsaid.status == "cannot tell"
    assert "'rest_of_lot'" in unsaid.because


READING = """\
readings:
  share-of:
    question: Is the quarter taken of the limit or of the lot?
    options: {of-limit: a quarter of the limit, of-lot: a quarter of the lot}
    default: of-limit
"""
BY_READING = """\
  - id: limit
    title: A limit that may be exceeded
    cite: {source: code, section: "1"}
    require:
      measure: cover
      at_most:
        sum:
          - {percent: 10, of: lot_area}
          - by_reading: share-of
            options:
              of-limit: {percent: 2.5, of: lot_area}
              of-lot: {percent: 25, of: lot_area}
"""


def test_an_unclear_clause_that_decides_is_a_question_to_the_office() -> None:
    rules = ruleset(BY_READING, READING)
    found = finding(rules, slab(2000))
    assert found.status == "cannot tell"
    assert found.if_unfavourable == "fails"
    assert "Is the quarter taken of the limit or of the lot?" in found.because
    assert [(item.option, item.status, item.is_chosen) for item in found.readings] == [
        ("of-limit", "fails", True),
        ("of-lot", "passes", False),
    ]


def test_an_unclear_clause_that_cannot_matter_is_only_shown() -> None:
    found = finding(ruleset(BY_READING, READING), slab(1250))
    assert found.status == "passes"
    assert {item.status for item in found.readings} == {"passes"}


def test_the_answer_of_the_office_settles_it() -> None:
    rules = ruleset(BY_READING, READING)
    answered = "readings: {share-of: of-lot}\n"
    assert finding(rules, slab(2000), answered).status == "passes"
    answered = "readings: {share-of: of-limit}\n"
    assert finding(rules, slab(2000), answered).status == "fails"


APPLIES = """\
  - id: limit
    title: For one zone
    cite: {source: code, section: "1"}
    applies: {fact: zone, is: A}
    require: {measure: cover, at_most: {percent: 15, of: lot_area}}
"""


@pytest.mark.parametrize(
    ("facts", "cover", "status"),
    [
        ("facts: {zone: A}\n", 1600, "fails"),
        ("facts: {zone: B}\n", 1600, "does not apply"),
        ("", 1600, "cannot tell"),
        ("", 1500, "unanswered"),  # it passes if asked, and nobody said whether it is
    ],
)
def test_a_rule_that_may_not_apply(facts: str, cover: int, status: str) -> None:
    assert finding(ruleset(APPLIES), slab(cover), facts).status == status


FOR_EACH = """\
  - id: gaps
    title: Gaps of decks
    cite: {source: code, section: "1"}
    require: {for_each: {material: wood-deck}, require: {value: gap, at_least: 1/4 in}}
"""


def test_a_rule_on_surfaces_that_are_not_there_does_not_apply() -> None:
    found = finding(ruleset(FOR_EACH), slab(100))
    assert found.status == "does not apply"
    assert found.because == "there is no such surface in the design"


def test_a_rule_on_surfaces_names_the_one_that_decides() -> None:
    found = finding(ruleset(FOR_EACH), slab(100, "wood-deck", ", attributes: {gap: 1/8 in}"))
    assert found.status == "fails"
    assert [part.of for part in found.parts] == ["wood-deck"]


LEANING = """\
  - id: second
    title: Leans on the first
    cite: {source: code, section: "2"}
    require:
      all:
        - {passes: first}
        - {measure: cover, at_most: {sum: [{limit_of: first}, 100 sq ft]}}
  - id: first
    title: First
    cite: {source: code, section: "1"}
    require: {measure: cover, at_most: 1000 sq ft}
"""


@pytest.mark.parametrize(("cover", "status"), [(1000, "passes"), (1050, "fails")])
def test_rules_may_lean_on_rules(cover: int, status: str) -> None:
    assert finding(ruleset(LEANING), slab(cover)).status == status


ON_TOP = """\
  - id: second
    title: Leans on the first
    cite: {source: code, section: "2"}
    require: {measure: cover, at_most: {sum: [{limit_of: first}, 100 sq ft]}}
  - id: first
    title: First
    cite: {source: code, section: "1"}
    require: {measure: cover, at_most: {percent: 10, of: lot_area}}
"""


def test_the_steps_open_the_limit_of_the_rule_that_is_leant_on() -> None:
    """A tenth of a lot of 10,000 is 1,000 sq ft, and 100 sq ft on top of it are 1,100."""
    found = finding(ruleset(ON_TOP), slab(1050))
    steps = {step.what: step.value.low_si / (0.3048**2) for step in found.trace}
    assert steps["the limit of rule 'first'"] == pytest.approx(1000)
    assert steps["the lot area"] == pytest.approx(10_000)
    assert found.limit is not None
    assert same(found.limit.to("sq ft"), 1100)


CIRCLE = """\
  - id: one
    title: One
    cite: {source: code, section: "1"}
    require: {passes: two}
  - id: two
    title: Two
    cite: {source: code, section: "2"}
    require: {passes: one}
"""


def test_rules_that_lean_on_each_other_are_refused_when_read() -> None:
    with pytest.raises(BadInput, match="the rule 'one' hangs on itself, by way of two"):
        ruleset(CIRCLE)


def test_the_contributions_add_up_to_what_was_measured() -> None:
    found = finding(ruleset(PLAIN), slab(1200) + slab(100, "roof").replace("[0, 0]", "[0, 50]"))
    assert found.measured is not None
    total = sum(item.counted.high_si for item in found.contributions)
    assert same(total, found.measured.value_si)
    assert same(found.measured.to("sq ft"), 1300)
