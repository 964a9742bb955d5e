"""Pieces that can be built: bands, bays, slivers, and the site they are drawn into."""

from __future__ import annotations

from typing import Any

import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st
from shapely.affinity import rotate

from checker.measure.bands import bands, bays, edges, may_leave_slivers, tidy, with_slivers
from checker.solve.search import least_change
from tests.measure.band_cuts import band_cut
from tests.solve.made import FT_M, SQ_FT_M2, checked, cover_rules

TENTH_SQ_FT_M2 = 0.1 * SQ_FT_M2


def ring(*points: tuple[float, float]) -> shapely.Polygon:
    return shapely.Polygon([(x * FT_M, y * FT_M) for x, y in points])


def line(*points: tuple[float, float]) -> shapely.LineString:
    return shapely.LineString([(x * FT_M, y * FT_M) for x, y in points])


def band(land: Any, edge: Any, width_m: float) -> Any:
    return bands(land, edge, [width_m])[0]


SQUARE = ring((0, 0), (40, 0), (40, 30), (0, 30))


@pytest.mark.parametrize("width", [0.25, 5.3, 19.44, 27.5])
def test_a_band_of_a_rectangle_has_the_area_of_its_width(width: float) -> None:
    # Along the side of 40 ft: 40 times the width.
    found_m2 = band(SQUARE, line((0, 30), (40, 30)), width * FT_M).area
    assert found_m2 / SQ_FT_M2 == pytest.approx(40 * width, abs=1e-5)


def test_a_band_round_a_pool_in_a_terrace() -> None:
    # A ring of width w round 20 x 10: (20 + 2w)(10 + 2w) - 200 = 60 w + 4 w^2; w = 2: 136.
    terrace = ring((0, 0), (60, 0), (60, 50), (0, 50))
    pool = ring((20, 20), (40, 20), (40, 30), (20, 30))
    found_m2 = band(terrace.difference(pool), pool.boundary, 2 * FT_M).area
    assert found_m2 / SQ_FT_M2 == pytest.approx(136, abs=1e-5)


def test_a_remainder_too_narrow_to_stay_goes_along() -> None:
    # 28 of 30 ft are taken; the 2 ft left are less than the 3 ft that a piece must have.
    taken = band(SQUARE, line((0, 0), (40, 0)), 28 * FT_M)
    assert with_slivers(SQUARE, taken, 3 * FT_M).area == pytest.approx(SQUARE.area)
    # 26 ft leave 4: that stays.
    taken = band(SQUARE, line((0, 0), (40, 0)), 26 * FT_M)
    assert with_slivers(SQUARE, taken, 3 * FT_M).area == pytest.approx(taken.area)


@given(
    st.integers(8, 30), st.integers(8, 30), st.integers(0, 44), st.floats(0, 90), st.integers(0, 3),
    st.booleans(),
)  # fmt: skip
@example(deep=8, wide=18, at=19, degrees=2.0, side=2, is_round=True)  # edges that all but coincide
def test_where_nothing_may_be_left_nothing_is(
    deep: int, wide: int, at: int, degrees: float, side: int, is_round: bool
) -> None:
    # A terrace with a pool in it, turned; bands along one side in steps of half a foot.
    pool = shapely.Point(at * FT_M, 20 * FT_M).buffer(wide / 4 * FT_M)
    if not is_round:
        pool = ring((at, 12), (at + wide, 12), (at + wide, 12 + deep), (at, 12 + deep))
    land = rotate(SQUARE.difference(pool), degrees, origin=(0, 0))
    corners = [(0, 0), (40, 0), (40, 30), (0, 30), (0, 0)]
    edge = rotate(line(*corners[side : side + 2]), degrees, origin=(0, 0))
    pieces = bands(land, edge, [step * FT_M / 2 for step in range(6, 56, 3)])
    may = may_leave_slivers(land, pieces, 3 * FT_M)
    for piece, is_open in zip(pieces, may, strict=True):
        if not is_open:
            assert with_slivers(land, piece, 3 * FT_M).area == pytest.approx(piece.area, abs=1e-6)
    if not is_round:
        assert not may.all()


def test_a_neck_beside_a_pool_goes_along_and_the_rest_stays() -> None:
    # A band of 10 ft leaves 1 ft between itself and a hole of 20 ft; right and left of the hole
    # the land goes on, so only the 20 x 1 ft neck is too narrow.
    land = ring((0, 0), (60, 0), (60, 40), (0, 40)).difference(
        ring((20, 11), (40, 11), (40, 25), (20, 25))
    )
    taken = band(land, line((0, 0), (60, 0)), 10 * FT_M)
    grown = with_slivers(land, taken, 3 * FT_M)
    assert (grown.area - taken.area) / SQ_FT_M2 == pytest.approx(20.0, rel=1e-4)


def test_bays_follow_the_edge_and_fill_the_surface() -> None:
    # 40 x 30 ft in bays of 10 x 10: 4 columns, 3 rows, the first row at the edge.
    rows = bays(SQUARE, line((40, 30), (0, 30)), (10 * FT_M, 10 * FT_M))
    assert [len(row) for row in rows] == [4, 4, 4]
    found = [part for row in rows for part in row]
    assert sum(part.area for part in found) == pytest.approx(SQUARE.area)
    assert all(part.bounds[3] == pytest.approx(30 * FT_M) for part in found[:4])


def test_bays_turn_with_the_edge() -> None:
    turned = ring((0, 0), (30, 40), (6, 58), (-24, 18))  # 50 x 30 ft, turned
    rows = bays(turned, line((0, 0), (30, 40)), (10 * FT_M, 10 * FT_M))
    assert [len(row) for row in rows] == [5, 5, 5]
    found = [part for row in rows for part in row]
    assert all(part.area == pytest.approx(100 * SQ_FT_M2, rel=1e-6) for part in found)


def test_tidy_takes_out_corners_that_are_none() -> None:
    messy = shapely.Polygon([(0, 0), (1, 0), (1 + 1e-9, 0), (2, 0), (2, 1), (0, 1), (0, 0.5)])
    assert len(tidy(messy).exterior.coords) == 5
    assert tidy(messy).area == pytest.approx(2.0)


HOUSE = """\
  - id: house
    material: roof
    fixed: yes
    shape: {rectangle: {corner: [20, 0], size: [50, 30]}}
    attributes: {purpose: dwelling}
"""
PATIO = """\
  - id: patio
    material: concrete-slab
    shape: {rectangle: {corner: [20, 30], size: [50, 24]}}
    may_become: [lawn]
"""


def test_the_house_side_is_no_lawn_side() -> None:
    lot = checked(HOUSE + PATIO, cover_rules("9000 sq ft"))
    patio = lot.site.surface("patio")
    lawn = edges(lot.site, patio, "lawn")
    # Three sides lie along the lawn, the longest first; the fourth lies along the house.
    assert [round(edge.length / FT_M) for edge in lawn] == [50, 24, 24]
    assert round(lawn[0].centroid.y / FT_M) == 54
    house = edges(lot.site, patio, "house")
    assert round(house[0].centroid.y / FT_M) == 30
    assert round(edges(lot.site, patio, "rear")[0].centroid.y / FT_M) == 54
    assert round(edges(lot.site, patio, "house")[0].length / FT_M) == 50


def test_widths_go_up_to_the_module_and_never_down() -> None:
    # 2,700 counted, limit 2,530: 170 must go. Along 50 ft that is 3.4 ft.
    for module, width in (("6 in", 3.5), ("1 ft", 4.0), ("0.4 ft", 3.6), ("3.4 ft", 3.4)):
        goal = (
            f"goal: {{module: {module}, least_width: 1 ft, surfaces: {{patio: {{along: rear}}}}}}\n"
        )
        lot = checked(HOUSE + PATIO, cover_rules("2530 sq ft"), more=goal)
        (piece,) = least_change(lot).option("least-area").pieces
        assert piece.width_m is not None
        assert piece.width_m / FT_M == pytest.approx(width)
        assert piece.area_m2 / SQ_FT_M2 == pytest.approx(50 * width)


def test_whole_bays_are_proven_least() -> None:
    # 170 must go, bays of 10 x 8 ft are 80 each: three of them, 240.
    goal = "goal: {surfaces: {patio: {bay: [10 ft, 8 ft]}}}\n"
    lot = checked(HOUSE + PATIO, cover_rules("2530 sq ft"), more=goal)
    option = least_change(lot).option("least-area")
    (piece,) = option.pieces
    assert len(piece.bays) == 3
    assert piece.area_m2 / SQ_FT_M2 == pytest.approx(240)
    assert option.proof.is_proven
    # Alike bays are taken in their order from the edge.
    assert piece.bays == (1, 2, 3)


def test_a_whole_surface_keeps_its_id_and_a_piece_gets_its_own() -> None:
    whole = "goal: {surfaces: {patio: {change: whole}}}\n"
    lot = checked(HOUSE + PATIO, cover_rules("2530 sq ft"), more=whole)
    site = least_change(lot).option("least-area").after.site
    assert [s.id for s in site.surfaces] == ["house", "patio"]
    assert site.surface("patio").material.id == "lawn"
    assert site.surface("patio").stage == "replaced"
    assert site.surface("patio").was.id == "concrete-slab"
    part = least_change(checked(HOUSE + PATIO, cover_rules("2530 sq ft")))
    site = part.option("least-area").after.site
    assert [s.id for s in site.surfaces] == ["house", "patio", "patio-lawn"]
    both = site.surface("patio").shape.union(site.surface("patio-lawn").shape)
    assert both.area == pytest.approx(1200 * SQ_FT_M2)
    assert site.surface("patio").shape.intersection(site.surface("patio-lawn").shape).area < 1e-9


def test_what_is_taken_out_stays_on_the_plan_of_removals() -> None:
    goal = "goal: {may_be_removed: [patio], find: least area}\n"
    patio = PATIO.replace("    may_become: [lawn]\n", "")
    lot = checked(HOUSE + patio, cover_rules("2530 sq ft"), more=goal)
    site = least_change(lot).option("least-area").after.site
    removed = site.surface("patio-removed")
    assert removed.stage == "removed"
    # What is planned and left unbuilt is simply gone.
    new = patio.replace("    material:", "    stage: proposed\n    material:")
    lot = checked(HOUSE + new, cover_rules("2530 sq ft"), more=goal)
    site = least_change(lot).option("least-area").after.site
    assert [s.id for s in site.surfaces] == ["house", "patio"]


def test_a_surface_first_in_order_hands_its_place_on() -> None:
    more = "order: [patio]\n"
    lot = checked(HOUSE + PATIO, cover_rules("2530 sq ft"), more=more)
    site = least_change(lot).option("least-area").after.site
    assert site.order == ("patio", "patio-lawn")


def test_a_cut_counts_the_neck_that_goes_along() -> None:
    # 10 ft of 60 are 600 sq ft; the neck of 20 x 1 ft before the pool goes along: 620. At 14 ft
    # what lies beside the pool is counted without the 20 x 3 ft of it: 840 - 60.
    land = ring((0, 0), (60, 0), (60, 40), (0, 40)).difference(
        ring((20, 11), (40, 11), (40, 25), (20, 25))
    )
    cut = band_cut(
        land, [land], line((0, 0), (60, 0)), module_m=FT_M / 2, least_width_m=3 * FT_M, most=500
    )
    widths = [round(width / FT_M, 3) for width in cut.widths_m]
    areas = {w: float(a.sum()) / SQ_FT_M2 for w, a in zip(widths, cut.areas_m2, strict=False)}
    assert areas[10.0] == pytest.approx(620, rel=1e-4)
    assert areas[14.0] == pytest.approx(780, rel=1e-4)
