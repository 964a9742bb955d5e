"""What lies hidden under a pool is no land of the patio round it, whatever the patio becomes.

The patio is 50 by 20 ft, the pool in it 10 by 10: 900 sq ft of patio are seen.
"""

from __future__ import annotations

import pytest

from checker.solve.compare import compare_designs
from checker.solve.options import Options
from checker.solve.search import least_change
from checker.words.changes import instruction
from tests.solve.made import checked, rules
from tests.solve.test_search import HOUSE, PATIO, sq_ft

COUNTS = """\
counts:
  cover:
    title: counted cover
    otherwise: 1
    levels: heaviest
    rows:
      - {where: {material: wood-deck}, weight: 0}
      - {where: {nature: [open, water]}, weight: 0}
rules:
  - id: cover-limit
    title: Counted cover
    cite: {source: code, section: "1"}
    require: {measure: cover, at_most: 1700 sq ft}
"""
POOL = (
    "  - {id: pool, material: pool-water, fixed: yes, "
    "shape: {rectangle: {corner: [20, 55], size: [10, 10]}}}\n"
)
WHOLE = "goal: {surfaces: {patio: {change: whole}}}\n"


def found(become: str, goal: str = WHOLE, surfaces: str = HOUSE + POOL) -> Options:
    patio = PATIO.replace("[permeable-paving, lawn]", become)
    return least_change(checked(surfaces + patio, rules(COUNTS), goal))


def test_a_wood_deck_is_not_built_over_the_pool() -> None:
    # 1,500 of the house and 900: 700 too much. All 900 at $5 and $32, or lawn at $5 and $2.
    options = found("[lawn, wood-deck]")
    deck, lawn = options.option("most-deck"), options.option("least-cost")
    assert (sq_ft(deck.changed_m2), deck.cents) == (900, 3_330_000)
    assert (sq_ft(lawn.changed_m2), lawn.cents) == (900, 630_000)
    seen = deck.after.survey.partition("proposed").visible_m2
    assert (sq_ft(seen["patio"]), sq_ft(seen["pool"])) == (900, 100)
    (patio,) = (s for s in deck.after.site.surfaces if s.id == "patio")
    assert sq_ft(patio.shape.area) == 900
    # Lawn leaves the outline as it is drawn, since the pool lies over it still.
    (patio,) = (s for s in lawn.after.site.surfaces if s.id == "patio")
    assert sq_ft(patio.shape.area) == 1000


@pytest.mark.parametrize("key", ["least-cost", "least-area", "most-deck"])
def test_a_band_is_no_dearer_for_what_else_the_patio_may_become(key: str) -> None:
    # 700 sq ft of 900 must go; that the patio may become a deck changes nothing for lawn.
    both, alone = found("[lawn, wood-deck]", ""), found("[lawn]", "")
    option = both.option(key)
    costs = compare_designs([both.checked, option.after], ["a", "b"]).cents
    assert costs == (0, option.cents)
    if key != "most-deck":
        assert option.cents == alone.option(key).cents


def test_what_a_change_over_it_brings_to_light_is_land() -> None:
    # A deck over all of the patio may go; below it 900 sq ft of slab would count. Both go.
    deck = (
        "  - {id: slab, material: concrete-slab, may_become: [lawn], "
        "shape: {rectangle: {corner: [60, 50], size: [30, 30]}}}\n"
        "  - {id: terrace, material: steps, may_become: [lawn], "
        "shape: {rectangle: {corner: [60, 50], size: [30, 30]}}}\n"
    )
    goal = "goal: {surfaces: {slab: {change: whole}, terrace: {change: whole}}}\n"
    options = least_change(checked(HOUSE + deck, rules(COUNTS), goal))
    best = options.option("least-area")
    assert best.is_met
    assert {piece.surface_id for piece in best.pieces} == {"slab", "terrace"}


DRIVE = (
    "  - {id: drive, material: asphalt, fixed: yes, "
    "shape: {rectangle: {corner: [45, 50], size: [20, 20]}}}\n"
)
"""Its western 10 by 20 ft lie under the patio; gravel would lie under the drive."""


@pytest.mark.parametrize(("material", "price"), [("gravel", 400), ("lawn", 200)])
def test_what_comes_to_light_is_not_built_over(material: str, price: int) -> None:
    # House 1,500, drive 400, patio 800 beside it: 2,700 today. All of the patio goes at $5, and
    # the drive comes to light on 200 sq ft of it; 800 are built anew.
    limit = rules(COUNTS.replace("wood-deck", "gravel").replace("1700", "1900"))
    patio = PATIO.replace("[permeable-paving, lawn]", f"[{material}]")
    found = least_change(checked(HOUSE + DRIVE + patio, limit, WHOLE))
    best = found.best
    assert best is not None and best.is_met
    assert sq_ft(best.changed_m2) == 1000
    (piece,) = best.pieces
    assert sq_ft(piece.built_m2) == 800
    assert best.cents == 1000 * 500 + 800 * price
    seen = best.after.survey.partition("proposed").visible_m2
    assert (sq_ft(seen["patio"]), sq_ft(seen["drive"])) == (800, 400)
    assert compare_designs([found.checked, best.after]).cents == (0, best.cents)
    says = instruction(piece, "us")
    assert says.endswith("; on 200.0 sq ft of it what lies below comes to light")


def test_what_is_taken_out_leaves_open_ground_only_where_nothing_lies_below() -> None:
    limit = rules(COUNTS.replace("1700", "1900"))
    patio = PATIO.replace("    may_become: [permeable-paving, lawn]\n", "")
    goal = "goal: {may_be_removed: [patio], surfaces: {patio: {change: whole}}}\n"
    found = least_change(checked(HOUSE + DRIVE + patio, limit, goal))
    best = found.best
    assert best is not None and best.is_met
    assert best.cents == 1000 * 500 + 800 * 200
    assert compare_designs([found.checked, best.after]).cents == (0, best.cents)
