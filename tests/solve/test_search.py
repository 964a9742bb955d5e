"""The search: conflicts in words, readings, facts and documents that a credit hangs on."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker import api
from checker.core.records import replace
from checker.core.units import Amount
from checker.pages.markdown_writer import markdown_of
from checker.papers.change import change_page, text_of
from checker.papers.change_records import json_of
from checker.solve.goal import Way, goal_of
from checker.solve.redraw import NoOption
from checker.solve.search import least_change
from tests.solve.made import COUNTS, SITE_HEAD, SQ_FT_M2, checked, cover_rules, rules, sample

HOUSE = """\
  - id: house
    material: roof
    fixed: yes
    shape: {rectangle: {corner: [5, 5], size: [50, 30]}}
"""
DRIVE = """\
  - id: drive
    material: asphalt
    fixed: yes
    shape: {rectangle: {corner: [60, 0], size: [20, 40]}}
"""
PATIO = """\
  - id: patio
    material: concrete-slab
    shape: {rectangle: {corner: [5, 50], size: [50, 20]}}
    may_become: [permeable-paving, lawn]
"""


def sq_ft(area_m2: float) -> float:
    return round(area_m2 / SQ_FT_M2, 6)


def test_what_stands_alone_is_too_much() -> None:
    # House 1,500 and drive 800 are 2,300; the limit is 2,086: 214 too much whatever changes.
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("2086 sq ft")))
    assert options.options == ()
    (conflict,) = options.conflicts
    assert conflict.rules == ("cover-limit",)
    assert conflict.says == (
        "the house and drive alone exceed the limit of 'Counted cover', 2,086 sq ft, by 214 sq ft"
    )
    assert conflict.short is not None
    assert sq_ft(conflict.short.value_si) == 214
    assert "NO CHANGE THAT IS ALLOWED MEETS THE RULES" in text_of(options)
    assert "exceed the limit" in markdown_of(change_page(options))


def test_a_failing_rule_that_nothing_moves_makes_the_headline() -> None:
    # The lot has 10,000 sq ft, the cover is 2,300 and the patio, far below 9,000.
    more = (
        "  - id: lot-size\n    title: Least size of a lot\n"
        '    cite: {source: code, section: "2"}\n'
        "    require: {measure: lot_area, at_least: 20000 sq ft}\n"
    )
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("9000 sq ft", "0.25", more)))
    assert options.best is not None
    assert not options.best.pieces
    assert [f.title for f in options.failing_apart] == ["Least size of a lot"]
    head = "NO SURFACE THAT MAY CHANGE CAN MOVE WHAT FAILS: Least size of a lot"
    assert head in text_of(options)


def test_the_fewest_surfaces_are_named() -> None:
    # The house alone, 1,500, is 100 more than 1,400; the drive need not be named.
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("1400 sq ft")))
    assert "the house alone exceeds the limit" in options.conflicts[0].says
    assert "by 100 sq ft" in options.conflicts[0].says


def test_what_is_left_after_every_change() -> None:
    # The patio, 1,000, may only become permeable, at a quarter 250: 2,300 + 250 = 2,550, which is
    # 50 over 2,500; the fixed surfaces alone would be under it.
    patio = PATIO.replace(", lawn", "")
    options = least_change(checked(HOUSE + DRIVE + patio, cover_rules("2500 sq ft")))
    assert options.conflicts[0].says == (
        "after every change that is allowed the design is still 50 sq ft over the limit of "
        "'Counted cover', 2,500 sq ft"
    )


GREEN = """\
  - id: deck-kept
    title: Paving kept
    cite: {source: code, section: "2"}
    require: {measure: cover, at_least: 3200 sq ft}
"""


def test_two_rules_in_conflict_are_both_named() -> None:
    # At most 3,000 and at least 3,200 counted: each can be met alone, not both.
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3000 sq ft", more=GREEN)))
    (conflict,) = options.conflicts
    assert set(conflict.rules) == {"cover-limit", "deck-kept"}
    assert "cannot be met together" in conflict.says


def test_a_rule_outside_the_conflict_is_not_named() -> None:
    more = GREEN + (
        '  - id: lenient\n    title: Lenient\n    cite: {source: code, section: "3"}\n'
        "    require: {measure: cover, at_most: 9000 sq ft}\n"
    )
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3000 sq ft", more=more)))
    assert set(options.conflicts[0].rules) == {"cover-limit", "deck-kept"}


def test_nothing_needs_to_change() -> None:
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3300 sq ft")))
    assert options.best is not None
    assert options.best.pieces == ()
    assert "NOTHING NEEDS TO CHANGE" in text_of(options)
    # Exactly at the limit is met; a reserve asks for a change after all: 33 of lawn, which is a
    # band of 3 ft along the side of 20 ft, 60.
    goal = replace(
        goal_of(options.checked.site, options.checked.ruleset), reserve=Amount(0.01, unit="%")
    )
    again = least_change(options.checked, goal)
    assert sq_ft(again.option("least-area").proof.found.value_si) == 60


def test_a_rule_that_no_surface_moves_is_told_apart() -> None:
    more = (
        '  - id: deep-lot\n    title: Lot area\n    cite: {source: code, section: "3"}\n'
        "    require: {measure: lot_area, at_least: 20000 sq ft}\n"
    )
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3200 sq ft", more=more)))
    assert [rule for rule, _ in options.stuck] == ["deep-lot"]
    option = options.option("least-area")
    assert option.is_offered
    assert option.still_open == ("deep-lot",)
    assert not option.is_met
    assert sq_ft(option.proof.found.value_si) == 100
    assert "no surface that may change can move this" in text_of(options)


def test_a_rule_that_is_not_linear_is_named_and_judged_afterwards() -> None:
    more = (
        '  - id: work\n    title: Small works\n    cite: {source: code, section: "3"}\n'
        "    require: {measure: work_area, at_most: 500 sq ft}\n"
    )
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3200 sq ft", more=more)))
    assert [rule for rule, _ in options.unsaid] == ["work"]
    assert "only the changed drawing tells it" in options.unsaid[0][1]
    assert options.option("least-area").is_met
    tight = more.replace("500", "50")
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3200 sq ft", more=tight)))
    option = options.option("least-area")
    assert option.unmet == ("work",)
    assert not option.proof.is_proven


READINGS = """\
readings:
  permeable-share:
    question: How much of permeable paving counts?
    options: {quarter: a quarter, half: half}
    default: quarter
counts:
  cover:
    title: counted cover
    otherwise: 1
    rows:
      - where: {material: permeable-paving}
        weight: {by_reading: permeable-share, options: {quarter: 25 %, half: 50 %}}
      - {where: {nature: [open, water]}, weight: 0}
rules:
  - id: cover-limit
    title: Counted cover
    cite: {source: code, section: "1"}
    require: {measure: cover, at_most: 3000 sq ft}
"""


def test_an_option_passes_under_every_reading() -> None:
    # 3,300 counted, 300 over: 300 / 0.75 = 400 at a quarter, 300 / 0.5 = 600 at half.
    patio = PATIO.replace(", lawn", "")
    options = least_change(checked(HOUSE + DRIVE + patio, rules(READINGS)))
    cheap, careful = options.option("least-cost"), options.option("every-reading")
    assert "permeable-share: quarter" in cheap.assumes
    assert sq_ft(cheap.pieces[0].area_m2) == 400
    assert sq_ft(careful.pieces[0].area_m2) == 600
    assert careful.is_met
    # The one without any credit cannot be had by permeable paving.
    assert [conflict.key for conflict in options.conflicts] == ["no-credit"]


def test_an_answered_reading_is_no_assumption() -> None:
    patio = PATIO.replace(", lawn", "")
    head = SITE_HEAD + "readings: {permeable-share: half}\n"
    options = least_change(checked(HOUSE + DRIVE + patio, rules(READINGS), head=head))
    assert options.option("least-cost").assumes == ""
    assert sq_ft(options.option("least-cost").pieces[0].area_m2) == 600


def test_facts_that_a_credit_hangs_on_are_asked_for() -> None:
    lot = sample("least-change-patio")
    options = least_change(lot, replace(goal_of(lot.site, lot.ruleset), as_built={}))
    assert any("'infiltration_rate', 'run_on'" in hint for hint in options.hints)
    # Without them permeable paving counts in full, so that lawn alone brings the cover down: at
    # most it moves the lawn to where a band of it comes nearer to what is needed.
    for key in ("least-cost", "least-area"):
        assert options.option(key).permeable_m2 == 0
    most = options.option("most-deck")
    assert 0 < most.lost_deck_m2 <= options.option("least-area").lost_deck_m2


UPKEEP = """\
  - id: upkeep
    title: Upkeep is agreed
    cite: {source: code, section: "2"}
    require: {for_each: {material: permeable-paving}, require: {on_file: upkeep-agreement}}
"""


def test_a_document_that_is_not_there_rules_a_material_out() -> None:
    patio = PATIO.replace("[permeable-paving, lawn]", "[permeable-paving, mulch]")
    text = HOUSE + DRIVE + patio
    lot = checked(text, cover_rules("3000 sq ft", more=UPKEEP))
    options = least_change(lot)
    assert all(option.permeable_m2 == 0 for option in options.options)
    promised = checked(
        text,
        cover_rules("3000 sq ft", more=UPKEEP),
        more="goal: {find: most deck kept, to_be_on_file: [upkeep-agreement]}\n",
    )
    best = least_change(promised).best
    assert best is not None
    assert sq_ft(best.pieces[0].area_m2) == 400
    # The promise is not written into the site: the document is not on file yet.
    assert api.apply_option(least_change(promised)).on_file == ()


LADDER = """\
rules:
  - id: cover-limit
    title: Counted cover
    cite: {source: code, section: "1"}
    require: {measure: cover, at_most: 3000 sq ft}
    or_else:
      - outcome: passes with conditions
        require: {measure: cover, at_most: 3250 sq ft}
        documents: [mitigation-plan]
"""


def test_conditions_are_good_enough_unless_they_are_to_be_avoided() -> None:
    ladder = rules(COUNTS % "0.25" + LADDER)
    lot = checked(HOUSE + DRIVE + PATIO, ladder)
    options = least_change(lot)
    # 50 over the condition: a band of 3 ft along the side of 20 ft is 60.
    assert sq_ft(options.option("least-area").proof.found.value_si) == 60
    assert "mitigation-plan" in text_of(options)
    avoided = checked(HOUSE + DRIVE + PATIO, ladder, more="goal: {conditions: avoided}\n")
    again = least_change(avoided)
    assert sq_ft(again.option("least-area").proof.found.value_si) == 300


def test_savings_are_shown_and_only_counted_when_asked() -> None:
    # Nothing is built yet: leaving 300 of the slab as lawn saves (14 - 2) x 300 = 3,600.
    text = (
        HOUSE
        + DRIVE
        + PATIO.replace("material: concrete", "stage: proposed\n    material: concrete")
    )
    shown = least_change(checked(text, cover_rules("3000 sq ft")))
    assert shown.option("least-cost").cents == -360000
    assert shown.option("least-cost").proof.found.value_si == 0
    counted = checked(text, cover_rules("3000 sq ft"), more="goal: {savings: counted}\n")
    option = least_change(counted).option("least-cost")
    # Counted, the cheapest is to build none of it: 1,000 x 12.
    assert option.cents == -1200000


def test_a_second_search_on_the_drawn_option_finds_nothing_to_do() -> None:
    lot = sample("least-change-patio")
    options = least_change(lot)
    site = api.apply_option(options)
    again = api.check(site, lot.ruleset)
    assert least_change(again).best is not None
    assert least_change(again).best.pieces == ()  # type: ignore[union-attr]


def test_an_option_that_does_not_exist() -> None:
    options = least_change(sample("least-change-patio"))
    with pytest.raises(NoOption, match="use one of most-deck"):
        api.apply_option(options, "cheapest")
    none = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("1400 sq ft")))
    with pytest.raises(NoOption, match="no change that is allowed"):
        api.apply_option(none)


def test_only_the_rules_asked_for() -> None:
    more = (
        '  - id: strict\n    title: Strict\n    cite: {source: code, section: "3"}\n'
        "    require: {measure: cover, at_most: 2400 sq ft}\n"
    )
    lot = checked(
        HOUSE + DRIVE + PATIO,
        cover_rules("3200 sq ft", more=more),
        more="goal: {rules: [cover-limit]}\n",
    )
    option = least_change(lot).option("least-area")
    assert sq_ft(option.proof.found.value_si) == 100
    assert option.is_met


def test_metric_lots_are_worded_in_metres() -> None:
    site = SITE_HEAD + "shown_in: metric\n"
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3200 sq ft"), head=site))
    text = text_of(options)
    assert " m2 " in text
    assert "sq ft" not in text.replace("$/sq ft", "")


def test_the_records_are_plain_and_whole() -> None:
    import json

    options = least_change(sample("least-change-yard"))
    data = json.loads(json_of(options))
    assert data["format"] == "change/1"
    best = data["options"][0]
    assert best["key"] == "least-cost"
    assert best["cost_cents"] == sum(piece["cost_cents"] for piece in best["pieces"]) == 106500
    assert best["proof"] == {
        "found": {"cents": 106500}, "bound": {"cents": 106500}, "is_proven": True, "because": "",
        "left_open": [],
    }  # fmt: skip


def test_a_cover_in_per_cent_takes_a_reserve_in_area() -> None:
    # Cover divided by the lot, at most 32 %: 3,200 of 10,000 with 50 in hand: 3,300 - 3,150 = 150.
    text = COUNTS % "0.25" + (
        'rules:\n  - id: share\n    title: Share\n    cite: {source: code, section: "1"}\n'
        "    require: {value: {ratio: [cover, lot_area]}, at_most: 32 %}\n"
    )
    lot = checked(HOUSE + DRIVE + PATIO, rules(text), more="goal: {reserve: 50 sq ft}\n")
    option = least_change(lot).option("least-area")
    assert sq_ft(option.proof.found.value_si) == 150


def test_a_reserve_is_kept_at_the_limit_that_is_met_under_conditions() -> None:
    # Today 3,300: above 3,000, met under conditions with 10 in hand of 3,310. With 160 in hand:
    # 3,300 - (3,310 - 160) = 150.
    text = COUNTS % "0.25" + (
        'rules:\n  - id: limit\n    title: Limit\n    cite: {source: code, section: "1"}\n'
        "    require: {measure: cover, at_most: 3000 sq ft}\n    or_else:\n"
        "      - outcome: passes with conditions\n        documents: [plan]\n"
        "        require: {measure: cover, at_most: 3310 sq ft}\n"
    )
    lot = HOUSE + DRIVE + PATIO
    assert least_change(checked(lot, rules(text))).option("least-area").changed_m2 == 0
    kept = least_change(checked(lot, rules(text), more="goal: {reserve: 160 sq ft}\n"))
    assert sq_ft(kept.option("least-area").proof.found.value_si) == 150


def test_a_share_that_cannot_be_reached_is_told_in_area() -> None:
    text = COUNTS % "0.25" + (
        'rules:\n  - id: share\n    title: Share\n    cite: {source: code, section: "1"}\n'
        "    require: {value: {ratio: [cover, lot_area]}, at_most: 22 %}\n"
    )
    # House 1,500 and drive 800 are 2,300; 22 % of 10,000 is 2,200.
    options = least_change(checked(HOUSE + DRIVE + PATIO, rules(text)))
    assert options.conflicts[0].says == (
        "the house and drive alone exceed the limit of 'Share', 2,200 sq ft, by 100 sq ft"
    )


def test_a_conflict_is_held_against_the_most_lenient_rung() -> None:
    ladder = LADDER.replace("3000", "2000").replace("3250", "2200")
    options = least_change(checked(HOUSE + DRIVE + PATIO, rules(COUNTS % "0.25" + ladder)))
    assert "2,200 sq ft, by 100 sq ft" in options.conflicts[0].says


def test_a_design_exactly_at_its_limit_is_left_alone() -> None:
    lot = sample("exactly-at-limit")
    whole = {surface.id: Way(change="whole") for surface in lot.site.surfaces}
    for ways in ({}, whole):
        goal = replace(goal_of(lot.site, lot.ruleset), ways=ways)
        best = least_change(lot, goal).best
        assert best is not None
        assert best.pieces == ()


SLOPE = """\
  - id: falls
    title: Paving falls
    cite: {source: code, section: "2"}
    require: {for_each: {nature: sealed}, require: {value: slope, at_least: 1 %}}
"""


def test_a_rule_that_lacks_facts_does_not_stop_the_search() -> None:
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3200 sq ft", more=SLOPE)))
    assert [rule for rule, _ in options.stuck] == ["falls"]
    option = options.option("least-area")
    assert option.is_offered
    assert option.still_open == ("falls",)
    assert not option.is_met
    assert sq_ft(option.proof.found.value_si) == 100
    assert "left out of the search, because it cannot be told" in " ".join(text_of(options).split())
    assert "slope" in " ".join(text_of(options).split())


def test_rules_that_wait_for_one_answer_are_told_in_one_line() -> None:
    twice = SLOPE + SLOPE.replace("falls", "falls-again").replace("Paving falls-again", "Falls too")
    options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3200 sq ft", more=twice)))
    told = " ".join(text_of(options).split())
    assert told.count("Apart from this") == 1
    assert "Apart from this, 2 rules: left out of the search" in told
    assert "They are: Paving falls; " in told


def test_a_measure_in_doubt_is_taken_at_its_worst_and_asked_for() -> None:
    deck = (
        "  - {id: deck, material: wood-deck, fixed: yes, "
        "shape: {rectangle: {corner: [60, 60], size: [20, 20]}}}\n"
    )
    more = "      - {where: {material: wood-deck, gap: {at_least: 1/4 in}}, weight: 0}\n"
    text = (COUNTS % "0.25") + more
    ruleset = rules(
        text + "rules:\n  - id: cover-limit\n    title: Counted cover\n"
        '    cite: {source: code, section: "1"}\n'
        "    require: {measure: cover, at_most: 3500 sq ft}\n"
    )
    # 3,300 and a deck of 400 whose gaps nobody measured: 3,700 at worst, 200 too much.
    options = least_change(checked(HOUSE + DRIVE + PATIO + deck, ruleset))
    assert sq_ft(options.option("least-area").proof.found.value_si) == 200
    assert any("taken at its worst" in hint and "'gap' of deck" in hint for hint in options.hints)


def test_pages_of_every_shape_of_answer() -> None:
    for limit in ("1400 sq ft", "3200 sq ft", "9000 sq ft"):
        options = least_change(checked(HOUSE + DRIVE + PATIO, cover_rules(limit)))
        for page in (text_of(options), markdown_of(change_page(options)), json_of(options)):
            assert "nan" not in page.lower().replace("maintenance", "")
        assert all(len(line) <= 80 for line in text_of(options).splitlines())


@pytest.mark.parametrize("name", ["exactly-at-limit", "fernhollow-after"])
def test_a_design_that_meets_its_rules_is_left_alone(name: str) -> None:
    # Both meet every rule as drawn, one of them with exactly nothing to spare.
    site = api.load_site(Path(f"samples/{name}/site.yaml"))
    options = api.least_change(api.check(site, api.load_ruleset_for(site)))
    assert options.best is not None
    assert options.best.pieces == ()
    said = text_of(options)
    assert said.startswith("NOTHING NEEDS TO CHANGE")
    assert "0.0 sq ft" not in said
