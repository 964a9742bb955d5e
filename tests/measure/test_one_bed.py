"""A bed of stone drawn as a store and in its section is one bed, or is refused; by hand."""

from __future__ import annotations

from typing import Any

import pytest

from checker.core.units import UNIT
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.reservoirs import shape_of
from checker.measure.drainage.sheds import sheds
from checker.measure.survey import Survey
from checker.site.model import REST
from tests.measure.terrace import DATA, survey

FOOT_M = UNIT["ft"].size_si

SECTION = {
    "kind": "permeable",
    "use": "pedestrian",
    "top": "100 ft",
    "courses": [
        {"course": "unit", "thickness": "2 in"},
        {"course": "bedding", "stone": "8", "thickness": "2 in", "porosity": "40 %"},
        {"course": "base", "stone": "57", "thickness": "14 in", "porosity": "40 %"},
        {"course": "subgrade", "treatment": "scarified"},
    ],
}
"""2 + 2 + 14 = 18 in below 100 ft: its base lies at 98.50 ft."""


def with_bed(**more: Any) -> Survey:
    bed = {"id": "bed", "kind": "reservoir", "under": "terrace", "bottom": 98.5, **more}
    terrace = DATA["surfaces"][1] | {"material": "permeable-paving", "section": "stone"}
    return survey(
        surfaces=[DATA["surfaces"][0], terrace],
        sections={"stone": SECTION},
        ways_out={"stores": [bed]},
    )


def stored_cu_ft(found: Survey) -> float:
    pit = ways_of(found).pits[0]
    return max(shape_of(pit, found).stored_m3) / FOOT_M**3


def test_the_section_is_the_store() -> None:
    """40 x 20 ft of paving over 14 in of stone with 40 % holes: 800 x 14/12 x 0.4 = 373.3 cu ft."""
    assert stored_cu_ft(with_bed()) == pytest.approx(373.33, abs=0.01)
    assert stored_cu_ft(with_bed(depth="14 in")) == pytest.approx(373.33, abs=0.01)


def test_less_of_the_stone_may_be_used() -> None:
    assert stored_cu_ft(with_bed(depth="12 in")) == pytest.approx(320.0, abs=0.01)


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"depth": "48 in"}, "48 in of stone against 14 in"),
        ({"porosity": "45 %"}, "0.45 of it holes against 0.4"),
        ({"bottom": 95.4, "depth": "14 in"}, "its bottom lies 3.100 ft below the base"),
        # the paving falls 0.2 ft to the rim, so the base may be 98.30, not 98.20
        ({"bottom": 98.2, "rim": 99.8}, "its bottom lies 0.100 ft below the base"),
    ],
)
def test_more_than_the_section_holds_is_refused(more: dict[str, Any], says: str) -> None:
    with pytest.raises(NotMeasured) as refused:
        stored_cu_ft(with_bed(**more))
    assert says in str(refused.value)


def test_stone_may_lie_level_below_paving_that_falls() -> None:
    assert stored_cu_ft(with_bed(bottom=98.3, rim=99.8)) == pytest.approx(373.33, abs=0.01)


def test_a_level_is_written_to_a_hundredth_of_a_foot() -> None:
    """The base may lie at 98.30 and be written 98.29; 98.28 is no rounding."""
    assert stored_cu_ft(with_bed(bottom=98.29, rim=99.8)) == pytest.approx(373.33, abs=0.01)
    with pytest.raises(NotMeasured, match=r"0\.020 ft below the base"):
        stored_cu_ft(with_bed(bottom=98.28, rim=99.8))


def test_open_ground_has_one_value() -> None:
    """60 x 60 less house 800 and terrace 800: 2,000 of lawn, of which 5 x 10 lie below a deck."""
    deck = {
        "id": "deck", "material": "wood-deck", "stage": "proposed",
        "shape": {"rectangle": {"corner": [0, 0], "size": [5, 10]}},
        "attributes": {"gap": "1/4 in"},
    }  # fmt: skip
    parts = {
        shed.below: shed.area_m2 / FOOT_M**2
        for shed in sheds(survey(surfaces=[*DATA["surfaces"], deck]))
        if shed.surface == REST
    }
    assert parts == {"": pytest.approx(1950), "deck": pytest.approx(50)}
