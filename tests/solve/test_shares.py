"""Shares of a surface that count by themselves: which may be cut, what they cost, what they say."""

from __future__ import annotations

import pytest

from checker.solve.costs import costs_of
from checker.solve.goal import goal_of
from checker.solve.layout import Piece
from checker.solve.program import Program, program_of
from checker.solve.scenarios import as_read
from checker.words.changes import instruction
from tests.solve.made import SQ_FT_M2, checked, rules

YARD = """\
regions:
  rear-yard: {title: rear yard, yard: rear, depth: 25 ft}
counts:
  cover:
    title: counted cover
    levels: heaviest
    otherwise: 1
    rows: [{where: {nature: [open, water]}, weight: 0}]
rules:
  - id: yard
    title: Cover of the rear yard
    cite: {source: code, section: "1"}
    require: {measure: cover, in: rear-yard, at_most: 50 sq ft}
"""


def program(depth_ft: float) -> Program:
    """A patio of 20 ft that reaches so far into the yard, which begins at 75 ft."""
    patio = (
        "  - {id: patio, material: stone-slab, may_become: [lawn], "
        f"shape: {{rectangle: {{corner: [10, 65], size: [20, {10 + depth_ft}]}}}}}}\n"
    )
    ruleset = rules(YARD)
    lot = checked(patio, ruleset)
    return program_of(lot, goal_of(lot.site, ruleset), costs_of(lot.site), [as_read(lot)])


def pieces(own: Program) -> list[Piece]:
    """Every piece of a share of the patio."""
    cuttings = own.ground.cuttings
    numbers = [number for number in range(len(cuttings)) if cuttings.kind[number] > 0]
    return [piece for number in numbers for piece in cuttings.pieces(number)]


@pytest.mark.parametrize("depth_ft", [0.41, 2.9])
def test_nothing_is_cut_beside_a_narrow_share(depth_ft: float) -> None:
    assert not pieces(program(depth_ft))


@pytest.mark.parametrize("depth_ft", [3.0, 8.0])
def test_a_share_that_is_wide_enough_is_cut(depth_ft: float) -> None:
    assert pieces(program(depth_ft))


def test_a_share_says_where_it_lies() -> None:
    said = {instruction(piece, "us") for piece in pieces(program(8))}
    assert "turn 160.0 sq ft of the patio in the rear yard into lawn" in said
    assert "turn 200.0 sq ft of the patio outside the rear yard into lawn" in said


def test_a_share_costs_its_area_rounded_up() -> None:
    own = program(8.03)
    way = own.land.units[0].ways[1]
    # 160.04 sq ft are told as 160.0 at $8 and searched for as 160.1; 160.06 as 160.1 in both.
    for area_sq_ft, is_share, cents in (
        (160.04, True, 128_080), (160.04, False, 128_000), (160.06, False, 128_080),
        (160.0, True, 128_000),
    ):  # fmt: skip
        areas_m2 = [area_sq_ft * SQ_FT_M2]
        found = way.cents_each(areas_m2, areas_m2, [is_share])
        assert int(found[0]) == cents, (area_sq_ft, is_share)
