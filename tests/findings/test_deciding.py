"""The limit and the reason shown are those that decide: ladders, facts, open questions, days.

The expected values are worked by hand on a lot of 100 by 100 ft, 10,000 sq ft; the arithmetic
stands beside them.
"""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from checker import api
from checker.core.records import replace
from checker.core.units import read_amount, same
from checker.files.source import read_text
from checker.findings.model import Finding, Verdict
from checker.measure.words import built_in
from checker.papers.findings import verdicts_with_clauses
from checker.papers.job import make_job
from checker.papers.records import records_of
from checker.papers.terminal import answer_text
from checker.papers.writing import reports_of
from checker.rulesets.read import read_ruleset
from checker.rulesets.rules import RuleSet
from checker.site.model import Closure
from checker.site.read import site_of
from tests.findings.rulesets import HEAD, SITE, finding, refuse_model, ruleset, slab

FACTS = """\
  lawful_excess: {kind: yes or no, ask: was the excess lawful?}
  old_cover: {kind: amount, dimension: area, ask: the cover before}
  inlet: {kind: yes or no, ask: is there an inlet?}
  depth: {kind: amount, dimension: length, ask: the depth}
counts:
"""


def rules_of(text: str, more: str = "") -> RuleSet:
    head = HEAD.replace("counts:\n", FACTS, 1)
    document = read_text(f"{head}{more}rules:\n{text}", "rules.yaml")
    return read_ruleset(document, refuse_model, built_in())


def verdict(rules: RuleSet, surfaces: str, more: str = "") -> Verdict:
    text = f"{SITE}rest_of_lot: lawn\n{more}surfaces:\n{surfaces}"
    return api.check(site_of(read_text(text, "site.yaml"), Path("site.yaml")), rules).verdict


def shows(found: Finding, measured: str, limit: str, margin: str) -> bool:
    return all(
        amount is not None and same(amount.value_si, read_amount(text).value_si, size=1000.0)
        for amount, text in (
            (found.measured, measured),
            (found.limit, limit),
            (found.margin, margin),
        )
    )


RULE = """\
  - id: limit
    title: Limit
    cite: {source: code, section: "1"}
    require: {measure: cover, at_most: {percent: 25, of: lot_area}}
"""
LAWFUL = """\
      - outcome: passes with conditions
        says: a lawful excess may stay
        documents: [drainage-plan]
        require: {all: [{fact: lawful_excess, is: yes}, {measure: cover, at_most: old_cover}]}
"""
RELIEF = "      - {outcome: relief possible, documents: [application]}\n"


@pytest.mark.parametrize(
    ("ladder", "facts", "status", "limit", "margin"),
    [
        # 25 % of 10,000 = 2,500; 2,500 - 3,000 = -500: no rung but relief.
        (RELIEF, "", "relief possible", "2500 sq ft", "-500 sq ft"),
        # The rung above is ruled out by a fact, whatever its limit.
        (LAWFUL + RELIEF, "lawful_excess: no", "relief possible", "2500 sq ft", "-500 sq ft"),
        (
            LAWFUL + RELIEF,
            "lawful_excess: no, old_cover: 4000 sq ft",
            "relief possible",
            "2500 sq ft",
            "-500 sq ft",
        ),
        # 2,000 - 3,000 = -1,000 is farther than -500.
        (
            LAWFUL + RELIEF,
            "lawful_excess: yes, old_cover: 2000 sq ft",
            "relief possible",
            "2500 sq ft",
            "-500 sq ft",
        ),
        # The rung holds: 3,200 - 3,000 = 200.
        (
            LAWFUL + RELIEF,
            "lawful_excess: yes, old_cover: 3200 sq ft",
            "passes with conditions",
            "3200 sq ft",
            "200 sq ft",
        ),
        # The rung is the nearer way: 2,900 - 3,000 = -100.
        (
            LAWFUL + RELIEF,
            "lawful_excess: yes, old_cover: 2900 sq ft",
            "relief possible",
            "2900 sq ft",
            "-100 sq ft",
        ),
        (LAWFUL, "lawful_excess: no, old_cover: 4000 sq ft", "fails", "2500 sq ft", "-500 sq ft"),
        (LAWFUL, "lawful_excess: yes, old_cover: 2000 sq ft", "fails", "2500 sq ft", "-500 sq ft"),
        (LAWFUL, "lawful_excess: no", "fails", "2500 sq ft", "-500 sq ft"),
    ],
)
def test_a_ladder_shows_the_limit_that_decides(
    ladder: str, facts: str, status: str, limit: str, margin: str
) -> None:
    rules = rules_of(f"{RULE}    or_else:\n{ladder}")
    found = finding(rules, slab(3000), f"facts: {{{facts}}}\n")
    assert found.status == status
    assert shows(found, "3000 sq ft", limit, margin)


def test_the_fact_that_rules_a_rung_out_is_named() -> None:
    rules = rules_of(f"{RULE}    or_else:\n{LAWFUL}{RELIEF}")
    found = finding(rules, slab(3000), "facts: {lawful_excess: no, old_cover: 4000 sq ft}\n")
    assert found.because == "lawful excess: no, where yes is asked"
    assert found.documents == ("application",)


BOTH = """\
  - id: both
    title: An inlet, and cover
    cite: {source: code, section: "1"}
    require: {all: [{fact: inlet, is: yes}, {measure: cover, at_most: 3000 sq ft}]}
"""


@pytest.mark.parametrize("cover", [2000, 3000])
def test_a_fail_by_a_fact_names_the_fact_and_shows_no_limit_that_is_met(cover: int) -> None:
    found = finding(rules_of(BOTH), slab(cover), "facts: {inlet: no}\n")
    assert found.status == "fails"
    assert found.because == "inlet: no, where yes is asked"
    assert (found.measured, found.limit, found.margin) == (None, None, None)


def test_a_fail_by_both_names_the_fact_and_shows_the_limit() -> None:
    found = finding(rules_of(BOTH), slab(3100), "facts: {inlet: no}\n")
    assert found.because == "inlet: no, where yes is asked"
    assert shows(found, "3100 sq ft", "3000 sq ft", "-100 sq ft")


NOT = """\
  - id: not
    title: Not more than so much
    cite: {source: code, section: "1"}
    require: {not: {measure: cover, more_than: 3000 sq ft}}
"""


@pytest.mark.parametrize(("cover", "status"), [(3000, "passes"), (3001, "fails")])
def test_what_must_not_be_is_shown_as_what_must(cover: int, status: str) -> None:
    found = finding(rules_of(NOT), slab(cover))
    assert (found.status, found.order) == (status, "at most")
    assert shows(found, f"{cover} sq ft", "3000 sq ft", f"{3000 - cover} sq ft")


OPEN = [
    "{fact: inlet, is: yes}",
    "{all: [{fact: inlet, is: yes}, {measure: cover, at_most: 3000 sq ft}]}",
    "{measure: depth, at_least: 2 ft}",
    "{fact: zone, is: A}",
    "{fact: recorded, before: 1990-01-01}",
    *(
        f"{{measure: cover, at_most: {{choose: [{{when: {when}, value: 3000 sq ft}}], "
        "otherwise: 1000 sq ft}}"
        for when in (
            "{fact: inlet, is: yes}",
            "{fact: zone, is: A}",
            "{fact: recorded, before: 1990-01-01}",
        )
    ),
]


@pytest.mark.parametrize("require", OPEN)
def test_a_missing_fact_shows_the_verdict_under_the_unfavourable_answer(require: str) -> None:
    rules = rules_of(
        f'  - {{id: a, title: A, cite: {{source: code, section: "1"}}, require: {require}}}\n'
    )
    found = finding(rules, slab(2000))
    assert (found.status, found.if_unfavourable) == ("cannot tell", "fails")
    assert found.missing


def test_rungs_that_end_alike_do_not_wait_for_a_fact() -> None:
    rungs = """\
      - {outcome: relief possible, require: {fact: inlet, is: yes}, documents: [inlet-plan]}
      - {outcome: relief possible, documents: [application]}
"""
    found = finding(rules_of(f"{RULE}    or_else:\n{rungs}"), slab(3000))
    assert found.status == "relief possible"
    assert found.documents == ("inlet-plan", "application")
    assert "is there an inlet?" in found.note
    assert shows(found, "3000 sq ft", "2500 sq ft", "-500 sq ft")


def test_answers_that_depend_on_each_other_are_told_together() -> None:
    # With an inlet 3,000, without one 2,500 and a rung up to 3,000: 2,800 never fails.
    rule = """\
  - id: a
    title: A
    cite: {source: code, section: "1"}
    require:
      any:
        - {all: [{fact: inlet, is: yes}, {measure: cover, at_most: 3000 sq ft}]}
        - {all: [{fact: inlet, is: no}, {measure: cover, at_most: 2900 sq ft}]}
"""
    found = finding(rules_of(rule), slab(2800))
    assert found.status == "passes"
    # The lesser of the two rooms: 2,900 - 2,800 = 100.
    assert shows(found, "2800 sq ft", "2900 sq ft", "100 sq ft")
    assert finding(rules_of(rule), slab(2950)).status == "cannot tell"
    assert finding(rules_of(rule), slab(3001)).status == "fails"


ZONED = RULE.replace("    require", "    applies: {fact: zone, is: A}\n    require")


def test_a_lot_of_which_the_zone_is_not_told_does_not_pass_in_silence() -> None:
    result = verdict(rules_of(ZONED), slab(2000))
    found = result.findings[0]
    assert (found.status, found.if_unfavourable) == ("unanswered", "passes")
    assert "the zone" in found.because
    assert [item.name for item in found.missing] == ["zone"]
    assert not result.is_met
    assert result.is_met_as_far_as_told
    assert verdict(rules_of(ZONED), slab(2000), "facts: {zone: A}\n").is_met
    assert verdict(rules_of(ZONED), slab(2600), "facts: {zone: B}\n").is_met
    worse = verdict(rules_of(ZONED), slab(2600)).findings[0]
    assert (worse.status, worse.if_unfavourable) == ("cannot tell", "fails")


READINGS = """\
readings:
  which:
    question: Is the clause asked of additions?
    options: {asked: it is asked, not-asked: it is not}
    default: asked
"""
BY_READING = RULE.replace(
    "    require",
    "    applies: {by_reading: which, options: {asked: {measure: lot_area, more_than: 0 sq ft}, "
    "not-asked: {measure: lot_area, less_than: 0 sq ft}}}\n    require",
)


def test_a_rule_that_passes_however_its_scope_is_read_passes() -> None:
    rules = rules_of(BY_READING, READINGS)
    assert finding(rules, slab(2500)).status == "passes"
    assert finding(rules, slab(2501)).status == "cannot tell"
    answered = "readings: {which: not-asked}\n"
    assert finding(rules, slab(2501), answered).status == "does not apply"


TWO = """\
readings:
  one: {question: First?, options: {a: as it was, b: less}, default: a}
  two: {question: Second?, options: {a: as it was, b: less}, default: a}
"""
BY_TWO = """\
  - id: a
    title: A
    cite: {source: code, section: "1"}
    require:
      measure: cover
      at_most:
        sum:
          - {by_reading: one, options: {a: 1500 sq ft, b: 1000 sq ft}}
          - {by_reading: two, options: {a: 1500 sq ft, b: 1000 sq ft}}
"""


@pytest.mark.parametrize(
    ("cover", "status"), [(2000, "passes"), (2001, "cannot tell"), (3001, "fails")]
)
def test_unclear_clauses_are_read_together(cover: int, status: str) -> None:
    """1,500 + 1,500 = 3,000; either alone leaves 2,500, and both together 2,000."""
    assert finding(rules_of(BY_TWO, TWO), slab(cover)).status == status


ENDED = """\
  - {id: old, title: Old, cite: {source: code, section: "1"},
     in_force: {since: 2020-01-01, until: 2022-01-01},
     require: {measure: cover, at_most: 1 sq ft}}
"""
NEW = """\
  - {id: new, title: New, cite: {source: code, section: "1"}, in_force: {since: 2022-01-01},
     require: {measure: cover, at_most: 3000 sq ft}}
"""


def test_rules_that_have_all_ended_judge_nothing() -> None:
    result = verdict(rules_of(ENDED), slab(2000))
    assert (result.status, result.is_met) == ("not in force", False)
    found = result.findings[0]
    assert found.because.startswith("it ended on 2022-01-01")
    assert "'date'" in found.because


def test_a_rule_dropped_by_its_date_is_listed_beside_the_others() -> None:
    result = verdict(rules_of(ENDED + NEW), slab(2000))
    assert [item.status for item in result.findings] == ["not in force", "passes"]
    assert result.is_met
    before = verdict(rules_of(ENDED + NEW), slab(2000), "date: 2021-06-01\n")
    assert [item.status for item in before.findings] == ["fails", "not in force"]
    assert before.findings[1].because.startswith("it begins on 2022-01-01, after 2021-06-01")


def test_a_text_that_has_ended_is_no_law_without_a_day() -> None:
    rules = replace(ruleset(RULE), until=date(2023, 1, 1))
    assert verdict(rules, slab(2000)).status == "not in force"
    assert verdict(rules, slab(2000), "date: 2022-12-31\n").status == "passes"


NECK = """\
amounts:
  net_lot: {title: net lot, is: {difference: {take: lot_area, less: [0.1 sq ft, 0.2 sq ft]}}}
  net_cover: {title: net cover, is: {difference: {take: cover, less: [0.075 sq ft]}}}
  excess:
    title: excess
    is: {difference: {take: net_cover, less: [{percent: 25, of: net_lot}], stops_at_zero: yes}}
  points:
    title: excess in points
    is: {difference: {take: {ratio: [net_cover, net_lot]}, less: [25 %], stops_at_zero: yes}}
"""


@pytest.mark.parametrize(
    ("require", "status"),
    [
        ("{measure: excess, at_most: 0 sq ft}", "passes"),
        ("{measure: excess, more_than: 0 sq ft}", "fails"),
        ("{measure: points, at_most: 0 %}", "passes"),
        ("{measure: points, less_than: 0 %}", "fails"),
        ("{measure: net_cover, at_most: {percent: 25, of: net_lot}}", "passes"),
    ],
)
def test_an_excess_that_only_rounding_left_is_none(require: str, status: str) -> None:
    """25 % of 9,999.7 sq ft is 2,499.925, and 2,500 less 0.075 is the same."""
    rules = rules_of(
        f'  - {{id: a, title: A, cite: {{source: code, section: "1"}}, require: {require}}}\n', NECK
    )
    found = finding(rules, slab(2500))
    assert found.status == status
    assert found.margin is not None and found.margin.value_si == 0.0
    assert found.measured is not None and found.limit is not None
    assert found.measured.value_si == found.limit.value_si


def test_two_sides_are_shown_in_one_unit() -> None:
    rule = (
        '  - {id: a, title: A, cite: {source: code, section: "1"}, '
        "require: {value: {ratio: [cover, lot_area]}, at_most: 0.67}}\n"
    )
    found = finding(rules_of(rule), slab(6700))
    assert found.measured is not None and found.limit is not None and found.margin is not None
    assert {found.measured.unit, found.limit.unit, found.margin.unit} == {"%"}
    part = found.parts[0]
    assert (part.measured.unit, part.limit.unit) == ("%", "%")


def test_an_undefined_length_gives_no_other_dimension() -> None:
    """A volume by a depth that the text leaves open is an area, whatever the volume's own unit."""
    rule = (
        '  - {id: a, title: A, cite: {source: code, section: "1"}, require: {measure: cover, '
        "at_most: {least: [{ratio: [{product: [lot_area, 1 ft]}, cannot tell]}, 100 sq ft]}}}\n"
    )
    found = finding(rules_of(rule), slab(50))
    assert found.status == "cannot tell"
    assert found.parts[0].limit.dimension == found.parts[0].measured.dimension


def test_steps_open_the_amounts_that_the_rules_name() -> None:
    rule = (
        '  - {id: a, title: A, cite: {source: code, section: "1"}, '
        "require: {measure: net_cover, at_most: {percent: 25, of: net_lot}}}\n"
    )
    steps = [step.what for step in finding(rules_of(rule, NECK), slab(2000)).trace]
    assert steps == [
        "the cover", "the cover less 0.075 sq ft", "the net cover", "the lot area",
        "the lot area less 0.1 sq ft and 0.2 sq ft", "the net lot", "25 % of the net lot",
    ]  # fmt: skip


EXEMPT = """\
  spared:
    title: cover beyond what is free
    otherwise: 0
    rows: [{title: sealed, where: {nature: sealed}, weight: 1, exempt_first: 333.33 sq ft}]
"""


@pytest.mark.parametrize(("depth", "status"), [("3.3333", "passes"), ("3.3334", "fails")])
def test_an_exemption_that_takes_all_leaves_nothing(depth: str, status: str) -> None:
    """100 x 3.3333 ft is 333.33 sq ft in two pieces, of which as much is free."""
    rule = (
        '  - {id: a, title: A, cite: {source: code, section: "1"}, '
        "require: {measure: spared, at_most: 0 sq ft}}\n"
    )
    head = HEAD.replace("counts:\n", f"counts:\n{EXEMPT}", 1)
    document = read_text(f"{head}rules:\n{rule}", "rules.yaml")
    rules = read_ruleset(document, refuse_model, built_in())
    surfaces = "".join(
        f"  - {{id: s{int(x)}, material: concrete-slab, "
        f"shape: {{rectangle: {{corner: [{x}, 0], size: [{wide}, {depth}]}}}}}}\n"
        for x, wide in ((0, 33.3), (33.3, 66.7))
    )
    found = finding(rules, surfaces)
    assert found.status == status
    assert (found.margin is not None and found.margin.value_si == 0) is (status == "passes")


# Of a published set (Rossford, Ohio): 35 % of 80 x 125 ft is 3,500; 60 x 50 + 40 x 20 is 3,800.
# What
# the lot had before, 42 % or 4,200, counts only where it was lawful.
OVER = """\
format: site/1
title: A lot over its share, nothing of it lawful (invented)
invented: yes
place: rossford-ohio
units: ft
facts: {allowed_share: 35 %, share_on_effective_date: 42 %, lawful_before: no}
rest_of_lot: lawn
lot:
  boundary: {rectangle: {corner: [0, 0], size: [80, 125]}}
  sides: {front: [1], rear: [3]}
surfaces:
  - id: house
    material: roof
    shape: {rectangle: {corner: [10, 30], size: [60, 50]}}
    attributes: {purpose: dwelling}
  - id: patio
    material: concrete-slab
    stage: proposed
    shape: {rectangle: {corner: [10, 85], size: [40, 20]}}
    attributes: {purpose: patio}
"""


def test_the_same_limit_stands_in_every_output() -> None:
    site = site_of(read_text(OVER, "over.yaml"), Path("over.yaml"))
    rules = api.load_ruleset("rossford-ohio")
    checked = api.check(site, rules)
    found = checked.verdict.findings[0]
    assert found.status == "fails"
    assert shows(found, "3800 sq ft", "3500 sq ft", "-300 sq ft")
    assert found.because == "the existing excess is lawful: no, where yes is asked"
    told = records_of(checked)["findings"][0]
    assert (told["limit"], told["margin"]) == (
        {"value": 3500.0, "unit": "sq ft"},
        {"value": -300.0, "unit": "sq ft"},
    )
    assert "3,800 sq ft where at most 3,500 sq ft is asked" in api.rescore(site, rules, rules)
    for page in reports_of(checked).values():
        assert "4,200" not in page
    assert "300 sq ft over" in answer_text(checked)
    job = make_job(checked, day=date(2026, 3, 2))
    assert job.figures.text(f"rule.{found.rule}.limit") == "3,500 sq ft"
    ending = f".{found.rule}.maximum"
    keys = [figure.key for figure in job.figures if figure.key.endswith(ending)]
    assert [job.figures.text(key) for key in keys] == ["3,500 sq ft"]


def test_a_closure_that_only_rounding_left_is_exact() -> None:
    assert Closure(error_m=1e-13, perimeter_m=150.0).precision == float("inf")
    # 150 m over 3 mm is 1 in 50,000.
    assert same(Closure(error_m=0.003, perimeter_m=150.0).precision, 50_000.0)


@pytest.mark.parametrize(
    ("cover", "status", "limit", "margin"),
    [
        # The lesser room of the two that must hold, and of the two that do not.
        (2000, "passes", 2500, 500),
        (2600, "fails", 2500, -100),
        (3100, "fails", 2500, -600),
    ],
)
def test_of_several_limits_that_must_hold_the_one_with_the_least_room_is_shown(
    cover: int, status: str, limit: int, margin: int
) -> None:
    both = "{all: [{measure: cover, at_most: 3000 sq ft}, {measure: cover, at_most: 2500 sq ft}]}"
    rule = f'  - {{id: a, title: A, cite: {{source: code, section: "1"}}, require: {both}}}\n'
    found = finding(rules_of(rule), slab(cover))
    assert found.status == status
    assert shows(found, f"{cover} sq ft", f"{limit} sq ft", f"{margin} sq ft")


@pytest.mark.parametrize(
    ("cover", "status", "limit", "margin"),
    [(2000, "passes", 3000, 1000), (2600, "passes", 3000, 400), (3100, "fails", 3000, -100)],
)
def test_of_several_limits_of_which_one_is_enough_the_easiest_is_shown(
    cover: int, status: str, limit: int, margin: int
) -> None:
    either = "{any: [{measure: cover, at_most: 2500 sq ft}, {measure: cover, at_most: 3000 sq ft}]}"
    rule = f'  - {{id: a, title: A, cite: {{source: code, section: "1"}}, require: {either}}}\n'
    found = finding(rules_of(rule), slab(cover))
    assert found.status == status
    assert shows(found, f"{cover} sq ft", f"{limit} sq ft", f"{margin} sq ft")


def test_what_an_answer_comes_down_to_is_asked_with_it() -> None:
    """Without an inlet the rung counts, which no day can meet; the last one holds in any case."""
    rungs = """\
      - outcome: passes with conditions
        require: {all: [{fact: recorded, before: 1990-01-01}, {fact: recorded, after: 1990-01-01}]}
      - {outcome: passes with conditions}
"""
    rule = BOTH.replace("measure: cover, at_most: 3000 sq ft", "measure: cover, at_most: 1 sq ft")
    found = finding(rules_of(f"{rule}    or_else:\n{rungs}"), slab(3000), "facts: {inlet: yes}\n")
    assert found.status == "passes with conditions"
    plain = BOTH.replace("{all: [{fact: inlet, is: yes}, ", "{any: [{fact: inlet, is: no}, ")
    plain = plain.replace("    require", "    documents: [plan]\n    require")
    found = finding(rules_of(f"{plain}    or_else:\n{rungs}"), slab(3100))
    assert found.status == "passes with conditions"


def test_an_alternative_that_decides_is_named_with_its_amount_and_that_of_the_first(
    tmp_path: Path,
) -> None:
    """5 in on 800 sq ft are 333.3 cu ft; 800 x 10 / 12 x 0.4 = 266.7 of it stay in the stone.

    So 66.7 cu ft go over the edge onto own land, and no water goes astray.
    """
    text = (Path(__file__).parents[1] / "water" / "sites" / "full-bed.yaml").read_text("utf-8")
    path = tmp_path / "site.yaml"
    path.write_text(text, encoding="utf-8")
    site = api.load_site(path, path.name)
    checked = api.check(site, api.load_ruleset_for(site))
    found = next(item for item in checked.verdict.findings if item.rule == "no-overflow")
    assert found.status == "passes with conditions"
    assert found.first is not None
    over = found.first.worst[0]
    assert over is not None
    assert over.to("cu ft") == pytest.approx(66.67, abs=0.1)
    assert found.measured is not None
    assert found.measured.value_si == 0
    pages = reports_of(checked)
    job = make_job(checked)
    by_clause = " ".join(
        str(row) for block in verdicts_with_clauses(job) for row in getattr(block, "rows", ())
    )
    for where in (pages["report.html"], pages["report.md"], answer_text(checked, is_whole=True),
                  by_clause):  # fmt: skip
        plain = " ".join(str(where).split())
        said = (
            r"66\.[67] cu ft, at most 0\.0 cu ft \(over by 66\.[67] cu ft\)"
            r".{1,150}ater into house or pool.{1,250}0\.0 cu ft"
        )
        assert re.search(said, plain), plain
    records = records_of(checked)
    record = next(item for item in records["findings"] if item["rule"] == "no-overflow")
    instead = record["decided_by"]
    assert "water into house or pool" in instead["alternative"]
    assert instead["first"]["measured"]["high"]["value"] == pytest.approx(66.67, abs=0.1)
