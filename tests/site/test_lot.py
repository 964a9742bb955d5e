"""The lot: several rings, holes, sides by compass and street, one parcel out of many."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from checker import api
from checker.core.problems import BadInput
from checker.site.model import Site
from checker.site.read import read_site
from tests.site.cases import area_ft2, complaints, site

HEAD = "format: site/1\ntitle: t\nplace: nowhere\nunits: ft\n"
SQUARE = "points: [[0, 0], [100, 0], [100, 100], [0, 100]]"


def lot(text: str, rest: str = "surfaces: []\n") -> Site:
    return site(f"lot: {{{text}}}\n{rest}", HEAD)


def sides(text: str, boundary: str = SQUARE, rest: str = "surfaces: []\n") -> dict[int, str]:
    found = lot(f"boundary: {{{boundary}}}, sides: {text}", rest).lot
    return {line.number: line.side for line in found.lines if line.side}


def test_a_lot_of_two_pieces() -> None:
    """40 by 100 on each side of an alley: 8,000 sq ft; eight lines, numbered on; edges 560 ft."""
    two = (
        "parts: [{rectangle: {corner: [0, 0], size: [40, 100]}}, "
        "{rectangle: {corner: [60, 0], size: [40, 100]}}]"
    )
    found = lot(f"boundary: {{{two}}}, sides: {{front: [1, 5]}}").lot
    assert area_ft2(found.boundary) == pytest.approx(8000)
    assert [line.number for line in found.lines] == [1, 2, 3, 4, 5, 6, 7, 8]
    assert found.edge.length / 0.3048 == pytest.approx(560)
    front = found.side("front")
    assert front is not None
    assert len(front.geoms) == 2


def test_a_lot_with_a_hole_is_judged(tmp_path: Path) -> None:
    """100 by 100 round a well site of 20 by 20: 9,600 sq ft, of which 40 % may be covered."""
    (tmp_path / "site.yaml").write_text(
        HEAD.replace("nowhere", "alder-ferry")
        + f"""\
lot:
  boundary: {{{SQUARE}, holes: [{{rectangle: {{corner: [40, 40], size: [20, 20]}}}}]}}
rest_of_lot: lawn
surfaces:
  - {{id: it, material: asphalt, shape: {{rectangle: {{corner: [30, 30], size: [40, 40]}}}}}}
""",
        encoding="utf-8",
    )
    found = read_site(tmp_path / "site.yaml", "site.yaml")
    assert area_ft2(found.lot.boundary) == pytest.approx(9600)
    assert len(found.lot.lines) == 8
    checked = api.check(found, api.load_ruleset_for(found))
    cover = next(f for f in checked.verdict.findings if "cover of the lot" in f.title)
    # 40 by 40 less the hole of 20 by 20 that is no part of the lot.
    assert cover.measured is not None
    assert cover.measured.value_si / 0.3048**2 == pytest.approx(1200)


def test_sides_by_compass_on_a_square() -> None:
    """Drawn from the south-west corner counter-clockwise: south, east, north, west."""
    assert sides("{front: south, rear: north, side: [east, west]}") == {
        1: "front", 2: "side", 3: "rear", 4: "side",
    }  # fmt: skip
    assert sides("{front: S, side: rest}") == {1: "front", 2: "side", 3: "side", 4: "side"}


def test_the_compass_turns_with_north() -> None:
    """North to the right of the drawing: the right-hand line faces north."""
    found = site(
        f"north: 90\nlot: {{boundary: {{{SQUARE}}}, sides: {{rear: north}}}}\nsurfaces: []\n", HEAD
    )
    assert [line.number for line in found.lot.lines if line.side] == [2]


def test_the_compass_does_not_hang_on_the_way_it_is_drawn() -> None:
    clockwise = "points: [[0, 0], [0, 100], [100, 100], [100, 0]]"
    assert sides("{front: south, rear: north}", clockwise) == {2: "rear", 4: "front"}


def test_sides_by_the_nearest_street() -> None:
    """A flag lot of 8 lines: the street sees the end of the pole and the front of the flag."""
    flag = "points: [[0, 0], [20, 0], [20, 60], [100, 60], [100, 160], [0, 160]]"
    street = (
        "surfaces: []\nfeatures:\n"
        "  - {id: elm-street, kind: public-way, shape: {line: [[-50, -10], [150, -10]]}}\n"
    )
    found = sides("{front: nearest elm-street, rear: north, side: rest}", flag, street)
    assert found == {1: "front", 2: "side", 3: "front", 4: "side", 5: "rear", 6: "side"}


def test_fifty_lines_of_a_curved_front_have_one_word() -> None:
    """A front bowed towards the street, of 48 chords: all of them look south."""
    bow = [[2 * i, -((i * (48 - i)) / 96)] for i in range(49)]
    points = [*bow, [96, 100], [0, 100]]
    found = sides("{front: south, rear: north, side: rest}", f"points: {json.dumps(points)}")
    assert [found[n] for n in (1, 24, 48)] == ["front"] * 3
    assert [found[n] for n in (49, 50, 51)] == ["side", "rear", "side"]


def test_numbers_win_over_words_and_two_words_for_one_line_are_a_problem() -> None:
    assert sides("{alley: [3], rear: north}") == {3: "alley"}
    text = f"lot: {{boundary: {{{SQUARE}}}, sides: {{a: north, b: north}}}}\nsurfaces: []\n"
    assert "line 3 is both 'a' and 'b'" in complaints(text, HEAD)[0]
    text = text.replace("b: north", "b: up")
    assert "'up' says no side" in complaints(text, HEAD)[0]
    text = text.replace("b: up", "b: nearest elm")
    assert "draw the street under 'features'" in complaints(text, HEAD)[0]


def test_without_a_lot_nothing_is_told() -> None:
    found = site("surfaces: []\n", HEAD.replace("nowhere", "alder-ferry"))
    assert not found.lot.is_chosen
    verdict = api.check(found, api.load_ruleset_for(found)).verdict
    assert {f.status for f in verdict.findings} == {"cannot tell"}
    assert {f.because for f in verdict.findings} == {"choose the boundary of the lot under 'lot:'"}


def square(x: float, y: float, size: float) -> list[list[float]]:
    return [[x, y], [x + size, y], [x + size, y + size], [x, y + size], [x, y]]


def county(folder: Path, lot_text: str) -> Site:
    """A row of 60 parcels of 100 by 100, each with a house of 40 by 40 across its right edge."""
    features: list[dict[str, Any]] = []
    for number in range(60):
        for layer, ring in (
            ("parcels", square(100 * number, 0, 100)),
            ("houses", square(100 * number + 70, 30, 40)),
        ):
            features.append({
                "type": "Feature", "properties": {"layer": layer, "ID": 100 + number},
                "geometry": {"type": "Polygon", "coordinates": [ring]},
            })  # fmt: skip
    (folder / "county.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8"
    )
    (folder / "site.yaml").write_text(
        HEAD
        + f"""\
drawing: {{file: county.geojson, coordinates: plan, unit: ft}}
lot: {{boundary: {{layer: parcels, {lot_text}}}}}
surfaces:
  - {{id: houses, material: roof, shape: {{layer: houses}}}}
""",
        encoding="utf-8",
    )
    return read_site(folder / "site.yaml", "site.yaml")


def test_one_parcel_out_of_many_without_its_neighbours(tmp_path: Path) -> None:
    """Of its own house 30 by 40 lies on it, and 10 by 40 of the neighbour's: 1,600 sq ft."""
    found = county(tmp_path, "where: {ID: 110}")
    assert area_ft2(found.lot.boundary) == pytest.approx(10_000)
    assert area_ft2(found.surface("houses").shape) == pytest.approx(1600)
    assert len(found.repairs) <= 1
    assert county(tmp_path, "where: {ID: '110'}").lot.boundary.equals(found.lot.boundary)


def test_what_is_picked_must_be_there(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="nothing on the layer 'parcels' has ID: 999"):
        county(tmp_path, "where: {ID: 999}")
    with pytest.raises(BadInput, match=r"has no field 'IDD'; did you mean 'ID'"):
        county(tmp_path, "where: {IDD: 110}")


def test_a_surface_that_another_hides_is_told_with_both_names() -> None:
    found = site(
        f"""\
lot: {{boundary: {{{SQUARE}}}}}
surfaces:
  - {{id: walk, material: gravel, shape: {{rectangle: {{corner: [10, 10], size: [10, 10]}}}}}}
  - {{id: deck, material: concrete-slab, shape: {{rectangle: {{corner: [0, 0], size: [40, 40]}}}}}}
""",
        HEAD,
    )
    assert [repair.says for repair in found.repairs] == [
        (
            "walk (100 sq ft) lies wholly under deck, so nothing of it counts; compare both with "
            "the survey"
        )
    ]


def test_coping_drawn_by_its_outer_edge_is_the_ring() -> None:
    """34 by 18 round 32 by 16: 612 - 512 = 100 sq ft."""
    found = site(
        f"""\
lot: {{boundary: {{{SQUARE}}}}}
surfaces:
  - {{id: pool, material: pool-water, shape: {{rectangle: {{corner: [21, 21], size: [32, 16]}}}}}}
  - {{id: edge, material: pool-coping, shape: {{rectangle: {{corner: [20, 20], size: [34, 18]}}}}}}
""",
        HEAD,
    )
    assert area_ft2(found.surface("edge").shape) == pytest.approx(100)
    assert "the ring between them counts, 100 sq ft" in found.repairs[0].says
