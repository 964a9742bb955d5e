"""What a file says otherwise than it was asked is found, each kind of difference by itself."""

from __future__ import annotations

from typing import Any

import pytest
from shapely import affinity

from checker.core.records import replace
from checker.core.units import Amount, read_amount
from checker.site.materials import materials
from checker.site.model import Site
from checker.solve.options import Options
from checker.solve.readback import _unbuildable, differences
from checker.solve.search import least_change
from tests.solve.made import FT_M, checked, cover_rules
from tests.solve.test_search import DRIVE, HOUSE, PATIO

GIVEN = "    attributes: {slope: 1.5 %, gap: 1/4 in, use: pedestrian, covered: no}\n"


def site() -> Site:
    return checked(HOUSE + DRIVE + PATIO + GIVEN, cover_rules("9000 sq ft")).site


def with_patio(found: Site, **changes: Any) -> Site:
    surfaces = tuple(
        replace(surface, **changes) if surface.id == "patio" else surface
        for surface in found.surfaces
    )
    return replace(found, surfaces=surfaces)


def with_attributes(found: Site, **changes: Any) -> Site:
    (patio,) = (surface for surface in found.surfaces if surface.id == "patio")
    given = {k: v for k, v in (dict(patio.attributes) | changes).items() if v is not None}
    return with_patio(found, attributes=given)


def test_what_is_the_same_differs_in_nothing() -> None:
    assert differences(site(), site()) == ()
    # What the tenth decimal of a coordinate is rounded by is nothing.
    moved = affinity.translate(site().surfaces[2].shape, 1e-10, 0)
    assert differences(site(), with_patio(site(), shape=moved)) == ()


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("title", "Another"),
        ("material", materials()["asphalt"]),
        ("was", materials()["asphalt"]),
        ("stage", "proposed"),
        ("section", "court"),
        ("may_become", ()),
        ("is_fixed", True),
        ("measured_by", "tape"),
    ],
)
def test_a_word_of_a_surface_that_differs_is_told(name: str, value: object) -> None:
    says = f"'{name}' of patio reads otherwise than it was asked"
    assert differences(site(), with_patio(site(), **{name: value})) == (says,)
    assert differences(with_patio(site(), **{name: value}), site()) == (says,)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("slope", read_amount("2 %")),  # another amount of the same kind
        ("gap", Amount(read_amount("1/4 in").value_si, read_amount("1 %").dimension)),
        ("use", "vehicle"),
        ("covered", True),
        ("slope", None),  # lost
        ("purpose", "walk"),  # come from nowhere
    ],
)
def test_an_attribute_that_differs_is_told(name: str, value: object) -> None:
    says = f"'{name}' of patio reads otherwise than it was asked"
    assert differences(site(), with_attributes(site(), **{name: value})) == (says,)


def test_an_amount_in_another_unit_is_the_same() -> None:
    # 1.5 % is 0.18 in/ft; a quarter of an inch is 6.35 mm.
    same = with_attributes(site(), slope=read_amount("0.18 in/ft"), gap=read_amount("6.35 mm"))
    assert differences(site(), same) == ()


def test_an_outline_another_order_and_another_lot_are_told() -> None:
    found = site()
    # 50 by 20 ft, one foot to the east.
    moved = affinity.translate(found.surfaces[2].shape, FT_M, 0)
    says = ("the outline of patio reads otherwise than it was asked",)
    assert differences(found, with_patio(found, shape=moved)) == says
    other = replace(found, order=("patio", "drive"))
    assert differences(found, other) == ("the order of precedence is another one",)
    lot = replace(found.lot, boundary=affinity.scale(found.lot.boundary, 1.001, 1))
    assert differences(found, replace(found, lot=lot)) == ("the lot is of another size",)
    names = ("the surfaces of the file are not those that were asked for",)
    assert differences(found, replace(found, surfaces=found.surfaces[:2])) == names
    turned = replace(found, surfaces=tuple(reversed(found.surfaces)))
    assert differences(found, turned) == names


def banded() -> Options:
    # 60 sq ft too much, of lawn: a band of 3 ft along the side of 20.
    return least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3240 sq ft")))


@pytest.mark.parametrize(
    ("feet", "is_told"),
    [(3.0, False), (3.5, False), (3.25, True), (2.5, True), (3.0 + 1e-5, True), (2.0, True)],
)
def test_a_band_off_the_module_or_too_narrow_is_told(feet: float, is_told: bool) -> None:
    options = banded()
    (piece,) = options.option("least-cost").pieces
    assert piece.width_m == pytest.approx(3 * FT_M)
    other = replace(piece, width_m=feet * FT_M)
    says = ["a band of patio is off the module or too narrow"] if is_told else []
    assert list(_unbuildable([other], options.program.ground)) == says


def test_a_piece_of_another_size_is_told() -> None:
    options = banded()
    (piece,) = options.option("least-cost").pieces
    larger = replace(piece, area_m2=piece.area_m2 * 1.00001)
    says = ["a piece of patio is not as large as it was reckoned"]
    assert list(_unbuildable([larger], options.program.ground)) == says
    # All of a surface keeps its outline, also where others lie over it.
    whole = replace(larger, is_all=True, width_m=None)
    assert list(_unbuildable([whole], options.program.ground)) == []
