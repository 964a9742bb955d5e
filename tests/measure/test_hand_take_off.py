"""The orders of two samples worked by hand, one in feet and one in metres.

Amounts are area, waste, courses, edges, joints, haul-off; the shares of waste and swell and the
depths that nobody measured are those of the tables that the take-off cites beside each line.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from checker import api
from checker.core.units import Amount
from checker.measure.section.takeoff import TakeOff, TakeOffItem
from checker.measure.whole_job import whole_job

SAMPLES = Path(__file__).parents[2] / "samples"


def order_of(sample: str) -> TakeOff:
    site = api.load_site(SAMPLES / sample / "site.yaml")
    return whole_job(api.check(site, api.load_ruleset_for(site)).survey)


@pytest.fixture(scope="module")
def osier() -> TakeOff:
    return order_of("osier-after")


@pytest.fixture(scope="module")
def heron() -> TakeOff:
    return order_of("geojson-lot")


def item(taken: TakeOff, surface: str, title: str) -> TakeOffItem:
    return next(i for i in taken.items if (i.surface, i.title) == (surface, title))


def brought(found: TakeOffItem, unit: str) -> list[float]:
    ends = (found.needed.least, found.needed.usual, found.needed.most)
    return [Amount(end, found.dimension).to(unit) for end in ends]


def test_the_old_deck_comes_out(osier: TakeOff) -> None:
    # 44 x 29 ft less pool and coping, 32 x 17: 1,276 - 544 = 732 sq ft.
    out = item(osier, "old-deck", "Break out: concrete slab")
    assert brought(out, "sq ft") == pytest.approx([732] * 3)
    # 4, 4 and 6 in thick: 244, 244 and 366 cu ft; broken up 40, 50 and 60 % more.
    debris = item(osier, "old-deck", "Haul-off of broken paving")
    assert debris.in_place.to("cu ft") == pytest.approx(244)
    assert brought(debris, "cu yd") == pytest.approx(
        [244 * 1.4 / 27, 244 * 1.5 / 27, 366 * 1.6 / 27]
    )


def test_the_permeable_terrace_course_by_course(osier: TakeOff) -> None:
    def amount(title: str, unit: str) -> float:
        return item(osier, "north-terrace", title).in_place.to(unit)

    # 56 x 14 = 784 sq ft; units with 5, 10 and 15 % for cuts: 823.2, 862.4, 901.6.
    units = item(osier, "north-terrace", "Units, 60 mm")
    assert brought(units, "sq ft") == pytest.approx([823.2, 862.4, 901.6])
    # Joints 9 % of 784 to the depth of 2-3/8 in: 70.56 x 2.375 / 12 = 13.965 cu ft.
    assert amount("Joint stone, No. 89", "cu ft") == pytest.approx(13.965)
    # Courses of 2, 4 and 9 in: 784 / 6 = 130.667, 784 / 3 = 261.333, 784 x 3 / 4 = 588 cu ft.
    assert amount("Bedding, No. 8", "cu ft") == pytest.approx(784 / 6)
    assert amount("Base, No. 57", "cu ft") == pytest.approx(784 / 3)
    assert amount("Subbase, No. 2", "cu ft") == pytest.approx(588)
    # All of it is dug: 2.375 + 2 + 4 + 9 = 17.375 in; 784 x 17.375 / 12 = 1,135.17 cu ft.
    assert amount("Excavation", "cu ft") == pytest.approx(784 * 17.375 / 12)
    # Fabric turned up 12 in on all sides: 58 x 16 ft. Rolls of 12.5 ft lapped 18 in cover 11 ft
    # more each: along the 58 ft 2 strips, 1,450 sq ft; along the 16 ft 1 + 45.5 / 11, so 6 of
    # 12.5 x 16, 1,200 sq ft, which is less.
    fabric = item(osier, "north-terrace", "Woven fabric")
    assert brought(fabric, "sq ft")[1] == pytest.approx(1200)
    # The edge runs all round, 2 x (56 + 14); pipe of 56 ft with 5 to 10 % for cuts.
    assert amount("Concrete edge", "ft") == pytest.approx(140)
    pipe = item(osier, "north-terrace", "Perforated pipe")
    assert brought(pipe, "ft") == pytest.approx([58.8, 61.6, 61.6])


def test_the_terrace_on_a_slab(osier: TakeOff) -> None:
    # 56 x 17 = 952 sq ft. Slab and base 4 in each: 952 x 8 / 12 = 634.667 cu ft to dig, 20, 25 and
    # 30 % more on the truck.
    dug = item(osier, "south-terrace", "Excavation")
    assert brought(dug, "cu ft") == pytest.approx([634.667 * f for f in (1.2, 1.25, 1.3)], rel=1e-5)
    # Concrete of 4, 4 and 5 in: 317.333, 317.333, 396.667 cu ft, with 5, 8 and 10 %.
    poured = item(osier, "south-terrace", "Concrete")
    assert brought(poured, "cu yd") == pytest.approx(
        [952 / 3 * 1.05 / 27, 952 / 3 * 1.08 / 27, 952 * 5 / 12 * 1.10 / 27]
    )
    forms = item(osier, "south-terrace", "Edge forms of the slab")
    assert forms.in_place.to("ft") == pytest.approx(2 * (56 + 17))


def test_a_patio_in_metres(heron: TakeOff) -> None:
    # 12 x 8 m round a pool of 8 x 4: 96 - 32 = 64 m2. Corners off degrees: to a thousandth.
    def near(*values: float) -> object:
        return pytest.approx(list(values), rel=1e-3)

    assert brought(item(heron, "patio", "Concrete slab"), "m2") == near(64, 64, 64)
    # 4 in are 0.1016 m, 5 in 0.127: 6.5024, 6.5024, 8.128 m3; with 5, 8 and 10 %.
    poured = item(heron, "patio", "Concrete")
    assert brought(poured, "m3") == near(6.82752, 7.022592, 8.9408)
    # Slab and base, 0.2032 m: 13.0048 m3, 20, 25 and 30 % more on the truck.
    dug = item(heron, "patio", "Excavation")
    assert brought(dug, "m3") == near(15.60576, 16.256, 16.90624)
    # Forms outside and along the pool: 2 x (12 + 8) + 2 x (8 + 4).
    assert brought(item(heron, "patio", "Edge forms of the slab"), "m") == near(64, 64, 64)
    # The pad is 3 x 2 m: 6 m2, 0.6096 m3 of concrete in place, 10 m of forms.
    pad = item(heron, "bench-pad", "Concrete")
    assert pad.in_place.to("m3") == pytest.approx(0.6096)
    assert brought(item(heron, "bench-pad", "Edge forms of the slab"), "m") == near(10, 10, 10)
