"""Many surfaces over each other: what is not looked through is told, with a bound that holds."""

from __future__ import annotations

import pytest

from checker.papers.change import text_of
from checker.rulesets.rules import RuleSet
from checker.solve.options import Option
from checker.solve.search import least_change
from tests.solve.made import COUNTS, checked, rules

# 600 sq ft. 450 may count and 100 must be permeable, which counts a quarter: 100 of it take 75 off,
# and 75 of lawn the rest. In steps of half a foot along the side of 20 ft: 5 ft and 4 ft, which are
# 100 * (24 + 5) + 80 * (2 + 5) = $3,460. Of one material: 200 * 29 = $5,800.
PATIO = """\
  - id: patio
    material: concrete-slab
    shape: {rectangle: {corner: [5, 50], size: [30, 20]}}
    may_become: [permeable-paving, lawn]
"""
# In the corner of the patio, where it does not pay to touch anything.
STACK = """\
  - {id: deck, material: tight-deck, shape: {rectangle: {corner: [32, 67], size: [3, 3]}}%s}
  - {id: pergola, material: pergola-open, shape: {rectangle: {corner: [32, 67], size: [3, 3]}}}
"""
GOAL = "goal: {may_be_removed: [deck, pergola]}\n"
TWO = ", may_become: [lawn, wood-deck]"


def covered(limit: str) -> RuleSet:
    soft = (
        "  soft:\n    title: permeable paving\n    levels: top\n    otherwise: 0\n"
        "    rows: [{where: {material: permeable-paving}, weight: 1}]\n"
    )
    return rules(
        COUNTS % "0.25" + soft + "rules:\n"
        "  - id: cover-limit\n    title: Counted cover\n    cite: {source: code, section: '1'}\n"
        f"    require: {{measure: cover, at_most: {limit}}}\n"
        "  - id: soft-least\n    title: Permeable\n    cite: {source: code, section: '2'}\n"
        "    require: {measure: soft, at_least: 100 sq ft}\n"
    )


def cheapest(surfaces: str, goal: str) -> tuple[Option, str]:
    options = least_change(checked(surfaces, covered("450 sq ft"), goal))
    return options.option("least-cost"), text_of(options)


def test_two_materials_are_tried_below_what_can_only_go() -> None:
    for option, _ in (cheapest(PATIO, ""), cheapest(PATIO + STACK % "", GOAL)):
        assert option.cents == 346_000
        assert option.proof.is_proven


def test_what_is_not_tried_is_told_with_a_bound_that_holds() -> None:
    option, text = cheapest(PATIO + STACK % TWO, GOAL)
    assert option.is_met
    assert not option.proof.is_proven
    assert "two materials in one surface were tried only" in option.proof.because
    # By areas alone: 100 * 29 + 75 * 7 = 3,425, less what rounding of prices may be.
    bound = option.proof.bound.value_si
    assert 3_390 < bound <= 3_425
    assert option.proof.found.value_si == pytest.approx(option.cents / 100)
    assert option.cents / 100 >= 3_460
    said = " ".join(text.split())
    assert f"nothing that meets the rules costs less than ${bound:,.2f}" in said
    assert f"the gap is ${option.cents / 100 - round(bound, 2):,.2f}" in said
