"""What was not tried for its number is told, and nothing is called proven then."""

from __future__ import annotations

import json

import pytest

from checker.papers.change import text_of
from checker.papers.change_records import json_of
from checker.solve.search import least_change
from tests.solve.made import checked, cover_rules
from tests.solve.test_search import sq_ft

# An L of 50 by 50 ft: six edges, twelve ways to put two of four materials side by side.
COURT = (
    "  - {id: court, material: concrete-slab, "
    "may_become: [permeable-paving, lawn, gravel, grid-paving], "
    "shape: {points: [[10, 40], [60, 40], [60, 90], [30, 90], [30, 70], [10, 70]]}}\n"
)
# 40 by 12 bays of a square foot.
WALK = (
    "  - {id: walk, material: concrete-slab, may_become: [lawn], "
    "shape: {rectangle: {corner: [10, 10], size: [40, 12]}}}\n"
)
BAYS = "goal: {surfaces: {walk: {change: bays, bay: [1 ft, 1 ft]}}}\n"
PAIRS = "two materials in one surface were tried only where they change all of it"
RUNS = "of very many bays only runs from the edge on were tried"


@pytest.mark.parametrize(
    ("surfaces", "limit", "goal", "says", "needed_sq_ft"),
    # 2,100 sq ft less 1,500, and 480 less 440.
    [(COURT, "1500 sq ft", "", PAIRS, 600), (WALK, "440 sq ft", BAYS, RUNS, 40)],
)
def test_what_is_left_out_is_told(
    surfaces: str, limit: str, goal: str, says: str, needed_sq_ft: float
) -> None:
    options = least_change(checked(surfaces, cover_rules(limit), goal))
    assert all(option.is_met for option in options.options)
    told = " ".join(text_of(options).split())
    # Prices are rounded for each piece, so a cost is not proven by areas alone.
    assert not options.option("least-cost").proof.is_proven
    assert f"Not proven least: {says}. Found $" in told
    proofs = [option["proof"] for option in json.loads(json_of(options))["options"]]
    assert {proof["because"] for proof in proofs} - {""} == {says}
    for option in options.options:
        if option.proof.is_proven:
            # Nothing can change less than what is too much, or give up less than nothing.
            assert sq_ft(option.proof.found.value_si) in {0, needed_sq_ft}


def test_a_change_that_cannot_be_had_is_told_with_what_was_not_tried() -> None:
    options = least_change(checked(COURT, cover_rules("0 sq ft", more=PAVED)))
    assert not options.options
    assert options.conflicts[0].says.endswith(PAIRS)


# Nothing may count, and no less than 400 sq ft must.
PAVED = """\
  - id: paved
    title: Paved
    cite: {source: code, section: "2"}
    require: {measure: cover, at_least: 400 sq ft}
"""
