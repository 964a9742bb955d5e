"""What a survey tells of its surfaces: what lies over and under them, and how far lines are."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker import api
from checker.algebra.values import Quantity
from checker.core.units import Amount
from checker.files.source import read_text
from checker.findings.checked import judged
from checker.measure.catalogue import SURFACE_MEASURES, NotMeasured
from checker.measure.survey import Survey
from checker.site.read import site_of
from tests.measure.made_lots import OBLONG_M, lot_head
from tests.measure.section.made import changed, make

HEAD = lot_head(f"{OBLONG_M}, sides: {{front: [1], rear: [3], side: [2, 4]}}", "m")


def survey(*surfaces: tuple[str, str, str]) -> Survey:
    """A lot with surfaces by id, material and the rest of the entry."""
    text = HEAD + "".join(
        f"  - {{id: {name}, material: {material}, {rest}}}\n" for name, material, rest in surfaces
    )
    site = site_of(read_text(text, "lot.yaml"), Path("lot.yaml"))
    return judged(site, api.load_ruleset("alder-ferry")).survey


def box(x: float, y: float, w: float, d: float) -> str:
    return f"shape: {{rectangle: {{corner: [{x}, {y}], size: [{w}, {d}]}}}}"


def facts_of(found: Survey, name: str) -> set[tuple[object, object, frozenset[str]]]:
    """Whether a surface is covered, lies over pervious ground, and over what, spot by spot."""
    told: set[tuple[object, object, frozenset[str]]] = set()
    for spot in found.spots("existing"):
        for layer in spot.layers:
            if layer.surface_id == name:
                over = layer.fact("over")
                assert isinstance(over, frozenset)
                told.add((layer.fact("covered"), layer.fact("over_pervious"), over))
    return told


DECK = ("deck", "wood-deck", box(5, 5, 10, 6))


@pytest.mark.parametrize(
    ("above", "is_covered"), [("roof", True), ("green-roof", True), ("pergola-open", False)]
)
def test_a_planted_roof_covers_and_an_open_pergola_does_not(above: str, is_covered: bool) -> None:
    found = survey(DECK, ("above", above, box(4, 4, 12, 8)))
    assert {covered for covered, _, _ in facts_of(found, "deck")} == {is_covered}


def test_a_deck_half_under_a_roof_is_covered_there_alone() -> None:
    """The roof reaches over the deck from 10 to 15; under the deck is lawn."""
    found = survey(DECK, ("roof", "roof", box(10, 0, 10, 20)))
    assert facts_of(found, "deck") == {
        (True, True, frozenset({"lawn"})), (False, True, frozenset({"lawn"})),
    }  # fmt: skip


def test_a_deck_over_a_slab_lies_over_no_pervious_ground() -> None:
    found = survey(("slab", "concrete-slab", box(5, 5, 4, 6)), DECK)
    assert facts_of(found, "deck") == {
        (False, False, frozenset({"concrete-slab"})), (False, True, frozenset({"lawn"})),
    }  # fmt: skip


def test_a_deck_over_a_slab_is_no_roof_over_it() -> None:
    found = survey(("slab", "concrete-slab", box(5, 5, 4, 6)), DECK)
    assert {covered for covered, _, _ in facts_of(found, "slab")} == {False}


def test_what_the_file_says_of_it_stands() -> None:
    said = ("deck", "wood-deck", box(5, 5, 10, 6) + ", attributes: {covered: no}")
    found = survey(said, ("roof", "roof", box(0, 0, 30, 20)))
    assert {covered for covered, _, _ in facts_of(found, "deck")} == {False}


def asked(found: Survey, name: str, surface: str) -> object:
    work = SURFACE_MEASURES[name].work
    assert work is not None
    return work(found, found.site.surface(surface))


def measured(found: Survey, name: str, surface: str = "deck") -> float:
    value = asked(found, name, surface)
    if isinstance(value, Quantity):
        assert value.is_certain
        return value.low_si
    assert isinstance(value, float)
    return value


@pytest.mark.parametrize(("side", "away_m"), [("front", 5.0), ("rear", 9.0), ("side", 5.0)])
def test_how_far_it_is_from_each_lot_line(side: str, away_m: float) -> None:
    """A deck from (5, 5) to (15, 11) on 30 x 20 m; one beyond the lot has no room at all."""
    assert measured(survey(DECK), f"distance_to_{side}_line") == pytest.approx(away_m)
    beyond = survey(
        ("deck", "wood-deck", box(35, 5, 4, 4)), ("slab", "concrete-slab", box(1, 1, 2, 2))
    )
    assert measured(beyond, f"distance_to_{side}_line") == 0.0


def test_a_measure_is_shown_in_the_unit_that_the_trade_uses() -> None:
    made = make(changed())
    value = asked(made, "unit_thickness", "terrace")
    assert isinstance(value, Quantity | Amount)
    assert value.unit == "in"


def test_a_section_without_a_fabric_has_no_opening_of_one() -> None:
    made = make(changed())
    with pytest.raises(NotMeasured, match="terrace has no fabric on the subgrade"):
        asked(made, "fabric_opening", "terrace")


@pytest.mark.parametrize(
    ("to", "nature"), [("lawn", "open"), ("slab", "sealed"), ("rest-of-lot", "open")]
)
def test_what_rain_meets_where_the_water_runs(to: str, nature: str) -> None:
    deck = ("deck", "wood-deck", box(5, 5, 10, 6) + f", attributes: {{drains_to: {to}}}")
    lawn = ("lawn", "lawn", box(16, 5, 4, 6))
    found = survey(deck, lawn, ("slab", "concrete-slab", box(1, 1, 3, 3)))
    assert asked(found, "drains_to_nature", "deck") == nature


def test_water_that_runs_to_nowhere_is_asked_for() -> None:
    deck = ("deck", "wood-deck", box(5, 5, 10, 6))
    gone = ("slab", "concrete-slab", box(1, 1, 3, 3) + ", stage: removed")
    with pytest.raises(NotMeasured, match="give 'drains_to' as the id of a surface"):
        asked(survey(deck, gone), "drains_to_nature", "deck")
