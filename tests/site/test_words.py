"""Words of the trade are taken, or answered with the word that the files have."""

from __future__ import annotations

import pytest

from checker import api
from checker.core.units import read_amount
from checker.site.materials import materials
from tests.site.cases import complaints


def surface(text: str) -> list[str]:
    shape = "shape: {rectangle: {corner: [0, 0], size: [5, 5]}}"
    return complaints(f"surfaces:\n  - {{id: it, {text}, {shape}}}\n")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("material: brick", "did you mean 'sand-set-pavers' or 'permeable-paving'?"),
        ("material: pool", "did you mean 'pool-water' or 'pool-coping'?"),
        ("material: permeable pavers", "did you mean 'permeable-paving'?"),
        ("material: xyzzy", "'soakline materials' lists all"),
        ("material: lawn, stage: demo", "did you mean 'removed'?"),
        ("material: lawn, stage: new", "did you mean 'proposed'?"),
        (
            "material: asphalt, attributes: {drains_to: lawn}",
            "a material is no place: give 'rest-of-lot' for land that no surface covers",
        ),
        ("material: asphalt, attributes: {drains_to: itt}", "did you mean 'it'?"),
    ],
)
def test_an_everyday_word_is_answered(text: str, says: str) -> None:
    assert says in surface(text)[0]


def test_land_that_nothing_covers_may_take_water() -> None:
    assert surface("material: asphalt, attributes: {drains_to: rest-of-lot}") == []


@pytest.mark.parametrize(
    "text", ['1/4" per foot', '1/4"/ft', "1/4 in per ft", "1/4 inch per foot", "0.25 in/ft", "1:48"]
)
def test_a_quarter_inch_per_foot_in_every_spelling(text: str) -> None:
    assert read_amount(text).value_si == pytest.approx(1 / 48)


def test_every_material_is_listed_with_what_it_means() -> None:
    listed = api.materials_listing()
    for found in materials().values():
        assert f"  {found.id} " in listed
    assert "permeable-paving   Permeable paving; ground level, built to let rain through" in listed
