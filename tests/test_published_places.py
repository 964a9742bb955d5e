"""Published places a second way: plain arithmetic on whole numbers and fractions, and random lots.

Each case stands in the rule sets too, with its source. Here the number is worked without the rule
language: from the rule's own words, in the unit of the page, with fractions where it divides.
"""

# ruff: noqa: E501 - one case a line

from __future__ import annotations

import math
from fractions import Fraction
from random import Random
from typing import Any, Final

import pytest

from checker import api
from checker.files.source import read_text
from checker.findings.examples import try_example
from checker.rulesets.rules import Example

Case = tuple[str, str, dict[str, Any], dict[str, Any]]


def text(value: Fraction | float, unit: str) -> str:
    """A number with all the digits of a double, as a file writes it."""
    return f"{float(value)!r} {unit}".strip()


def holds(place: str, of: str, given: dict[str, Any], expect: dict[str, Any]) -> list[str]:
    """What differs when a place is asked."""
    example = Example(
        name="case", is_printed=False, given=given, expect=expect,
        document=read_text("{}", "case.yaml"), path=(),
    )  # fmt: skip
    tried = try_example(api.load_ruleset(place), of, example)
    return [*map(str, tried.differences), *map(str, tried.problems)]


def sqft(value: Fraction | float) -> str:
    return text(value, "sq ft")


def m2(value: Fraction | float) -> str:
    return text(value, "m2")


def up(value: Fraction) -> int:
    return math.ceil(value)


def half_up(value: Fraction) -> int:
    return math.floor(value + Fraction(1, 2))


PERCENT: Final = Fraction(1, 100)

CASES: Final[list[Case]] = [
    # Handout of 2012: what a credit of 50 or 75 % leaves, and the limit of 24 % exactly.
    ("north-carolina-low-density-2012", "built_upon_area", {"soils": "slow", "surfaces": [{"material": "roof", "area": "1200 sq ft"}, {"material": "permeable-paving", "area": "2400 sq ft"}]}, {"counted": sqft(1200 + 2400 * (1 - Fraction(50, 100)))}),
    ("north-carolina-low-density-2012", "built_upon_area", {"soils": "fast", "surfaces": [{"material": "roof", "area": "1200 sq ft"}, {"material": "permeable-paving", "area": "4800 sq ft"}]}, {"counted": sqft(1200 + 4800 * (1 - Fraction(75, 100)))}),
    # Palo Alto: 35 % of 7,000; 45 % of 5,000 and 30 % of the rest.
    ("palo-alto-california", "building-coverage", {"lot_area": "7000 sq ft", "building_coverage": "1 sq ft"}, {"limit": sqft(35 * PERCENT * 7000)}),
    ("palo-alto-california", "floor-area", {"lot_area": "7000 sq ft", "gross_floor_area": "1 sq ft"}, {"limit": sqft(45 * PERCENT * 5000 + 30 * PERCENT * 2000)}),
    ("billings-montana", "lot-coverage", {"lot_area": "7000 sq ft", "covered_area": "1 sq ft"}, {"limit": sqft(7000 * 60 * PERCENT)}),
    ("town-form-increase", "total", {"impervious_area (existing)": "4870 sq ft", "disturbed_by_form": "1250 sq ft"}, {"amount": sqft(2000 + 2870 + 1250)}),
    ("falls-church-virginia", "fee", {"hard_area": "2250 sq ft", "permeable_area": "0 sq ft"}, {"amount": text(Fraction(1928, 100) * up(Fraction(1100 + 750 + 300 + 100, 200)), "$")}),
    ("falls-church-virginia", "fee", {"hard_area": "1650 sq ft", "permeable_area": "600 sq ft"}, {"amount": text(Fraction(1928, 100) * up((2250 - 40 * PERCENT * 600) / 200), "$")}),
    ("charlottesville-virginia", "fee", {"hard_area": "2100 sq ft"}, {"amount": text(Fraction(120, 100) * 12 * up(Fraction(2100, 500)), "$")}),
    ("charlottesville-virginia", "half-year", {"hard_area": "2100 sq ft"}, {"amount": text(Fraction(120, 100) * 6 * up(Fraction(2100, 500)), "$")}),
    ("guelph-ontario", "fee", {"hard_area": "750 m2"}, {"amount": text(Fraction(460, 100) * half_up(Fraction(750, 188)), "CAD")}),
    ("berkeley-county-south-carolina", "fee", {"hard_area": "915447 sq ft", "credit_eligible": 0, "treated_part": 0}, {"amount": text(36 * half_up(Fraction(915447, 2760)), "$")}),
    ("berkeley-county-south-carolina", "fee-after-credit", {"credit_eligible": "20 %", "treated_part": "50 %"}, {"amount": text(350 * (1 - Fraction(20, 100) * Fraction(50, 100)), "$")}),
    ("lawrenceville-georgia", "fee", {"dwelling": "no", "lot_area": "5 acre"}, {"amount": text(Fraction(5 * 43560 * 75, 100) / 3000 * 5, "$")}),
    ("krumbach-germany", "billed_area", {"surfaces": [{"material": "roof", "area": "88 m2"}, {"material": "roof", "area": "19.25 m2"}, {"material": "sand-set-pavers", "gap": "5 mm", "area": "1.5 m2"}, {"material": "sand-set-pavers", "gap": "15 mm", "area": "28 m2"}, {"material": "gravel", "area": "10 m2"}]}, {"counted": m2(8 * 11 + Fraction(35, 10) * Fraction(55, 10) + Fraction(15, 10) + Fraction(35, 10) * 8 * Fraction(6, 10) + 10 * Fraction(3, 10))}),
    ("krumbach-germany", "whole-metres", {"billed_area": "128.55 m2"}, {"amount": m2(half_up(Fraction(12855, 100)))}),
    ("norfolk-soakaway", "crate", {"good_ground": "yes", "drained_roof": "50 m2"}, {"amount": text(Fraction(up(50 * Fraction(50, 3000) * 100), 100), "m3")}),
    ("norfolk-soakaway", "rubble", {"good_ground": "yes", "drained_roof": "50 m2"}, {"amount": text(Fraction(half_up(Fraction(84, 100) / Fraction(3, 10) * 10), 10), "m3")}),
    ("illinois-rain-garden", "garden", {"garden_factor": 0.25, "drained_roof": "750 sq ft"}, {"amount": sqft(Fraction(50 * 15, 4))}),
    ("illinois-rain-garden", "garden-rounded", {"garden_factor": 0.25, "drained_roof": "750 sq ft"}, {"amount": sqft(50 * up(Fraction(750, 4) / 50))}),
    ("rhode-island-rain-garden", "simple", {"share_drained": "50 %", "roof_area": "1500 sq ft"}, {"amount": sqft(Fraction(50 * 30, 2) / 6)}),
    ("queensbury-new-york", "cover", {"site_cover": "824.5 sq ft"}, {"amount": sqft(half_up(Fraction(1649, 2)))}),
    ("hamilton-new-zealand", "water-measure", {"as_water_measure": "yes", "zone_minimum": "20 %", "lot_area": "500 m2", "permeable_ground": "1 m2"}, {"limit": m2(500 * 20 * PERCENT + 500 * 20 * PERCENT)}),
    ("heusden-netherlands", "duty", {"paved_area": "240 m2"}, {"amount": text(240 * Fraction(60, 1000), "m3")}),
    ("ithaca-new-york", "credit", {"yearly_fee": "$100", "treated_part": "40 %", "effectiveness": "50 %", "quality_and_quantity": "yes"}, {"amount": text(100 * 40 * PERCENT * 20 * PERCENT * 50 * PERCENT, "$")}),
    ("prince-georges-county-maryland", "credit-share", {"roof_part": "60 %", "drive_part": "20 %", "other_part": "30 %"}, {"amount": text(min(60, 40) + min(20, 50) + min(30, 10), "%")}),
    ("winston-salem-north-carolina", "fee", {"hard_area": "6000 sq ft"}, {"amount": text(6 * Fraction(1350, 100), "$")}),
    ("winston-salem-north-carolina", "fee", {"hard_area": "6001 sq ft"}, {"amount": text(6 * 18, "$")}),
    ("maitland-florida", "units", {"hard_area": "4500 sq ft"}, {"amount": text(Fraction(4500, 2532), "")}),
    ("falcon-heights-minnesota-1990", "accessory-buildings", {"lot_area in rear-yard": "1500 sq ft", "accessory_buildings": "1 sq ft"}, {"limit": sqft(min(Fraction(1000), 40 * PERCENT * 50 * 30))}),
    ("wood-village-oregon", "yards", {"dwellings": 1, "lot_area in front-yard": "1200 sq ft", "hard_surface in front-yard": "1 sq ft", "lot_area in rear-yard": "1800 sq ft", "hard_surface in rear-yard": "719 sq ft"}, {"limit": sqft(40 * PERCENT * 60 * 30)}),
    # San Marcos 1982: new cover on land that was not covered; Atlantic Beach: the pool by either reading.
    ("san-marcos-texas-1982", "steep-land", {"lot_area in steep": "7300 sq ft", "cover in steep (existing)": "900 sq ft", "cover in steep": "2000 sq ft"}, {"measured": sqft(2000 - 900), "limit": sqft(35 * PERCENT * (7300 - 900))}),
    ("san-marcos-texas-1982", "very-steep-land", {"lot_area in very-steep": "1230 sq ft", "cover in very-steep (existing)": "30 sq ft", "cover in very-steep": "20 sq ft"}, {"measured": "0 sq ft", "limit": sqft(20 * PERCENT * (1230 - 30))}),
    ("atlantic-beach-florida-1998", "cover", {"readings": {"pool-water": "as-drafted"}, "surfaces": [{"material": "spa-water", "area": "37 sq ft"}, {"material": "roof", "area": "1001 sq ft"}]}, {"counted": sqft(40 * PERCENT * 37 + 1001)}),
    ("atlantic-beach-florida-1998", "cover-limit", {"lot_area": "7777 sq ft", "cover": "1 sq ft"}, {"limit": sqft(Fraction(7777, 2))}),
    ("bolivar-pennsylvania", "from-septic-or-well", {"surfaces": [{"work": "dry-well", "distance_to_septic_field": "26 ft", "distance_to_well": "31 ft"}, {"work": "dry-well", "distance_to_septic_field": "40 ft", "distance_to_well": "25.5 ft"}]}, {"margin": "0.5 ft"}),
    # Five texts of the first list: a fifth on top of another limit, the greater of two, planting by width.
    ("rhode-island-town-19-145", "impermeable-coverage", {"building_share": "22 %", "lot_area": "9876 sq ft", "impermeable_cover": "1 sq ft"}, {"limit": sqft(22 * PERCENT * 9876 + 20 * PERCENT * 9876)}),
    ("rhode-island-town-19-145", "impermeable_cover", {"surfaces": [{"material": "composite-deck", "area": "211 sq ft"}, {"material": "spa-water", "area": "40 sq ft"}, {"material": "asphalt", "area": "333 sq ft"}]}, {"counted": sqft(211 + 40 + 333)}),
    ("sacramento-county-california", "front-paving", {"lot_area in front-yard": "1777 sq ft", "way_to_garage in front-yard": "711 sq ft", "front_paving in front-yard": "1 sq ft"}, {"limit": sqft(max(40 * PERCENT * 1777, Fraction(711)))}),
    ("new-york-city-front-planting", "planted-front", {"built_on": "2020-01-01", "one_street": "yes", "frontage": "18.5 ft", "lot_area in front-yard": "333 sq ft", "planted_area in front-yard": "1 sq ft"}, {"limit": sqft(20 * PERCENT * 333)}),
    ("new-york-city-front-planting", "planted-front", {"built_on": "2020-01-01", "one_street": "yes", "frontage": "61 ft", "lot_area in front-yard": "1111 sq ft", "planted_area in front-yard": "1 sq ft"}, {"limit": sqft(50 * PERCENT * 1111)}),
    ("pennsylvania-township-36132014", "summed", {"added_before": "1900 sq ft", "surfaces": [{"material": "gravel", "stage": "existing", "area": "700 sq ft"}, {"material": "gravel", "area": "450 sq ft"}, {"material": "concrete-slab", "stage": "replaced", "was": "gravel", "area": "220 sq ft"}, {"material": "stone-slab", "stage": "replaced", "was": "asphalt", "area": "130 sq ft"}]}, {"amount": sqft(1900 + 450 + 220)}),
    ("hampton-new-hampshire", "counted_decks", {"surfaces": [{"material": "wood-deck", "area": "77 sq ft", "height": "71.9 in"}, {"material": "tight-deck", "area": "50 sq ft", "height": "2 ft"}]}, {"least": sqft(50), "most": sqft(77 + 50)}),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case[0]}-{case[1]}")
def test_a_case_worked_without_the_rule_language(case: Case) -> None:
    assert holds(*case) == []


def test_a_wrong_number_is_noticed() -> None:
    place, of, given, _ = CASES[6]
    assert holds(place, of, given, {"amount": "$231.35"}) == [
        "amount: expected 231.35 $, found 231.36 $"
    ]


def rhode_island(ponding: int, area: int) -> Fraction:
    return Fraction({4: 19, 6: 15, 8: 8}[ponding], 100) * area


@pytest.mark.parametrize("ponding", [4, 6, 8])
def test_the_table_of_the_slides(ponding: int) -> None:
    for area in range(200, 1001, 200):
        given = {"ponding": f"{ponding} in", "share_drained": 1, "roof_area": f"{area} sq ft"}
        assert (
            holds(
                "rhode-island-rain-garden",
                "sandy",
                given,
                {"amount": sqft(rhode_island(ponding, area))},
            )
            == []
        )


def falls_church(hard: int, permeable: int) -> Fraction:
    """Credit first, then units begun, in cents."""
    billed = hard + permeable - Fraction(40, 100) * permeable
    return Fraction(1928, 100) * up(billed / 200)


def north_olmsted(above: int) -> int:
    """Whole steps, at most 200."""
    allowance = 100
    while above >= 1000 and allowance < 200:
        allowance, above = allowance + 25, above - 1000
    return allowance


def walton(lot: int, new: int) -> bool:
    return new * 100 > max(3 * lot, 25000)


def ramsey(lot: int) -> Fraction:
    if lot <= 21779:
        return min(Fraction(lot, 10), Fraction(1500))
    return Fraction(1800 if lot <= 43559 else 2200 if lot <= 65339 else 2400)


def palo_alto(lot: int) -> Fraction:
    return sum(
        (Fraction(45 if foot < 50 else 30, 100) * 100 for foot in range(lot // 100)), Fraction()
    )


def test_random_lots_against_plain_loops() -> None:
    chance = Random("places")
    for _ in range(60):
        hard, permeable = chance.randrange(0, 9000), chance.randrange(0, 3000)
        given: dict[str, Any] = {
            "hard_area": f"{hard} sq ft",
            "permeable_area": f"{permeable} sq ft",
        }
        assert (
            holds(
                "falls-church-virginia",
                "fee",
                given,
                {"amount": text(falls_church(hard, permeable), "$")},
            )
            == []
        )
        above = chance.choice([chance.randrange(0, 9000), 1000 * chance.randrange(0, 9)])
        given = {
            "readings": {"shed-steps": "whole-steps", "shed-cap": "two-hundred"},
            "least_lot": "10000 sq ft",
            "lot_area": f"{10000 + above} sq ft",
            "shed_area": "1 sq ft",
        }
        assert (
            holds("north-olmsted-ohio", "sheds", given, {"limit": sqft(north_olmsted(above))}) == []
        )
        lot, new = chance.randrange(5000, 20000), chance.randrange(200, 700)
        given = {
            "lot_area": f"{lot} sq ft",
            "impervious_surface (existing)": "0 sq ft",
            "impervious_surface": f"{new} sq ft",
        }
        assert (
            holds(
                "walton-county-florida",
                "plan",
                given,
                {"owed": "yes" if walton(lot, new) else "no"},
            )
            == []
        )
        lot = chance.randrange(5000, 87120)
        given = {
            "lot_area": f"{lot} sq ft",
            "lot_area in right-of-way": "0 sq ft",
            "accessory_buildings": "1 sq ft",
        }
        assert (
            holds("ramsey-minnesota", "accessory-buildings", given, {"limit": sqft(ramsey(lot))})
            == []
        )
        lot = 100 * chance.randrange(10, 200)
        given = {"lot_area": f"{lot} sq ft", "gross_floor_area": "1 sq ft"}
        assert (
            holds("palo-alto-california", "floor-area", given, {"limit": sqft(palo_alto(lot))})
            == []
        )
        roof = chance.choice([chance.randrange(1, 9000), 1000 * chance.randrange(1, 9)])
        given = {"drained_roof": f"{roof} sq ft"}
        assert (
            holds(
                "soil-district-dry-wells-2010",
                "wells",
                given,
                {"amount": str((roof + 999) // 1000)},
            )
            == []
        )
        removed, added = chance.randrange(0, 3000), chance.randrange(0, 20000)
        given = {
            "dwelling_units": 2,
            "impervious_surface (existing)": "4000 sq ft",
            "impervious_surface": f"{4000 - removed + added} sq ft",
        }
        assert (
            holds(
                "nashville-tennessee",
                "infill",
                given,
                {"owed": "yes" if 800 <= added - removed <= 15000 else "no"},
            )
            == []
        )


def test_there_are_enough_places_and_printed_numbers() -> None:
    published = [api.load_ruleset(name) for name in api.places()]
    published = [ruleset for ruleset in published if ruleset.kind == "published"]
    assert len(published) >= 40
    from checker.findings.examples import examples_of

    printed = [
        example
        for ruleset in published
        for _, example in examples_of(ruleset)
        if example.is_printed and example.document is ruleset.document
    ]
    assert len(printed) >= 25
    assert all(example.citation is not None for example in printed)
