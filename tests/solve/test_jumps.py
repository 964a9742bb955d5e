"""A change keeps a step from where a count or a limit jumps, where it can."""

from __future__ import annotations

import pytest

from checker.algebra.constrain_pieces import Segment
from checker.algebra.linear import Linear
from checker.papers.change import text_of
from checker.solve.search import least_change
from tests.solve.made import SQ_FT_M2, checked, rules
from tests.solve.test_search import HOUSE

HARD = """\
counts:
  hard:
    title: hard
    otherwise: 0
    levels: heaviest
    rows: [{where: {material: concrete-slab}, weight: 1}]
  capped:
    title: counted beyond a cap
    otherwise: 0
    levels: heaviest
    rows:
      - {where: {material: concrete-slab}, weight: 1, exempt_up_to: 120 sq ft, beyond: all}
rules:
"""
RULE = """\
  - id: only
    title: The only rule
    cite: {source: code, section: "1"}
    require: %s
"""
SHED = """\
  - id: pad
    material: concrete-slab
    fixed: yes
    shape: {rectangle: {corner: [80, 80], size: [12, 10]}}
"""
PATIO = """\
  - id: patio
    material: concrete-slab
    shape: {rectangle: {corner: [5, 50], size: [%s, 10]}}
    may_become: [lawn]
"""


def left_sq_ft(surfaces: str, require: str) -> float:
    found = least_change(checked(surfaces, rules(HARD + RULE % require))).best
    assert found is not None
    assert found.is_met
    assert found.proof.is_proven
    kept = [s for s in found.after.site.surfaces if s.material.id == "concrete-slab"]
    return round(sum(surface.shape.area for surface in kept) / SQ_FT_M2, 6)


TIERS = "{measure: hard, at_most: {by: hard, tiers: [%s]}}"


def test_a_tier_is_not_ended_on() -> None:
    # Up to 100 sq ft of hard ground 200 are allowed, above it none: in steps of 5 sq ft (10 ft by
    # a half) 100 would pass to the inch, so 95 are left.
    rows = "{at_most: 100 sq ft, value: 200 sq ft}, {more_than: 100 sq ft, value: 0 sq ft}"
    assert left_sq_ft(HOUSE + PATIO % 20, TIERS % rows) == 95
    # Off the steps by more than a tenth of a square foot nothing is lost.
    rows = "{at_most: 100.2 sq ft, value: 200 sq ft}, {more_than: 100.2 sq ft, value: 0 sq ft}"
    assert left_sq_ft(HOUSE + PATIO % 20, TIERS % rows) == 100


def test_a_choice_is_not_ended_on() -> None:
    cases = (
        "[{when: {measure: hard, at_most: %s sq ft}, value: 200 sq ft}, "
        "{when: {measure: hard, more_than: %s sq ft}, value: 0 sq ft}]"
    )
    for edge, left in (("100", 95), ("100.2", 100)):
        require = f"{{measure: hard, at_most: {{choose: {cases % (edge, edge)}}}}}"
        assert left_sq_ft(HOUSE + PATIO % 20, require) == left


def test_where_nothing_else_is_left_the_edge_is_told() -> None:
    # The pad of 120 sq ft is free as long as it is all there is: the patio must go, and what
    # stays stands exactly at the cap.
    options = least_change(
        checked(
            HOUSE + SHED + PATIO % 20,
            rules(HARD + RULE % "{measure: capped, at_most: 50 sq ft}"),
        )
    )
    best = options.best
    assert best is not None
    assert best.is_on_edge
    assert best.changed_m2 / SQ_FT_M2 == pytest.approx(200)
    assert "It stands where a count or a limit jumps" in " ".join(text_of(options).split())


def test_a_cap_is_kept_off_where_it_can_be() -> None:
    # Without the pad: 120 is 12 ft of 10; 11.5 ft are left.
    require = "{measure: capped, at_most: 50 sq ft}"
    assert left_sq_ft(HOUSE + PATIO % 20, require) == 115


def test_a_sum_that_misses_an_end_by_a_hair_still_reaches_it() -> None:
    stretch = Segment(0.0, 100.0, Linear(1.0))
    assert stretch.reaches(100.0 + 1e-11, 200.0)
    assert not stretch.reaches(100.001, 200.0)
    assert stretch.reaches(-50.0, -1e-11)
