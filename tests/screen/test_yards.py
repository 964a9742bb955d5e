"""The sides of lots are told where they are plain, and left in doubt where ordinances differ."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from random import Random
from types import SimpleNamespace
from typing import Any, Final

import numpy as np
import pytest
import shapely
from shapely import affinity

from checker import api
from checker.core.problems import Place
from checker.files.source import read_text
from checker.screen.sides import NO_STREET, PARTS, SHAPE, STREETS, STRIP, WHOLE, sides_of
from checker.site.model import BoundaryLine, Feature, Lot
from checker.site.sides import named_sides

pa: Final[Any] = pytest.importorskip("pyarrow")
pq: Final[Any] = pytest.importorskip("pyarrow.parquet")

_PLACE: Final = Place("one.yaml")
YARD: Final = """format: ruleset/1
id: yard
title: Front yards (invented)
kind: invented
in_force: {since: 2020-01-01}
shown_in: metric
sources:
  - {key: code, document: Code, edition: "2020", reading: read}
regions:
  front-yard: {title: front yard, yard: front}
  rear-yard: {title: rear yard, yard: rear, depth: 5 m}
  side-yard: {title: side yards, yard: side, depth: 2 m}
counts:
  paving:
    title: paving
    cite: {source: code, section: "1"}
    otherwise: 0
    rows:
      - {title: a drive, where: {purpose: drive}, weight: 1}
    examples:
      - name: a drive
        source: hand
        given: {surfaces: [{material: asphalt, purpose: drive, area: 5 m2}]}
        expect: {counted: 5 m2}
rules:
  - id: front-paving
    title: Paving of the front yard
    cite: {source: code, section: "1"}
    require:
      value: {ratio: [{measure: paving, in: front-yard}, {measure: lot_area, in: front-yard}]}
      at_most: 50 %
  - id: yard
    title: The front yard
    cite: {source: code, section: "2"}
    require: {measure: lot_area, in: front-yard, at_least: 50 m2}
  - id: rear
    title: The rear yard
    cite: {source: code, section: "3"}
    require: {measure: lot_area, in: rear-yard, at_least: 50 m2}
  - id: sides
    title: The side yards
    cite: {source: code, section: "4"}
    require: {measure: lot_area, in: side-yard, at_least: 50 m2}
  - id: from-rear
    title: Paving keeps away from the rear line
    cite: {source: code, section: "5"}
    require:
      for_each: {material: concrete-drive}
      require: {value: distance_to_rear_line, at_least: 6 m}
"""


@pytest.mark.parametrize("seed", range(40))
def test_the_front_is_that_of_a_site_file(seed: int) -> None:
    """Against the reading of `sides: {front: nearest street}` for one lot."""
    random = Random(seed)
    ring = [
        (random.uniform(-3, 3), random.uniform(-3, 3)),
        (random.uniform(20, 26), random.uniform(-3, 3)),
        (random.uniform(20, 26), random.uniform(30, 40)),
        (random.uniform(8, 14), random.uniform(32, 44)),
        (random.uniform(-3, 3), random.uniform(30, 40)),
    ]
    lot = shapely.Polygon(ring)
    way = [(random.uniform(-60, -20), random.uniform(-20, 60)) for _ in range(2)]
    street: Any = shapely.LineString([*way, (random.uniform(-10, 60), random.uniform(-30, -8))])
    street = shapely.difference(street, lot.buffer(1.0))  # no street runs through a lot
    corners = list(lot.exterior.coords)
    lines = tuple(
        BoundaryLine(number=i, side="", line=shapely.LineString(pair), label="")
        for i, pair in enumerate(pairwise(corners), 1)
    )
    alone = Lot(boundary=lot, lines=lines, place=_PLACE)
    feature = Feature(id="street", title="s", kind="street", shape=street, place=_PLACE)
    document = read_text("format: site/1\n", "one.yaml")
    stand_in: Any = SimpleNamespace(document=document, north_degrees=0.0, notes=None)
    named = named_sides(alone, {"sides": {"front": "nearest street"}}, [feature], stand_in)
    want = {tuple(line.line.coords) for line in named.lines if line.side == "front"}
    found = sides_of(np.array([lot], object), np.array([street], object), 1.0, every_street=True)
    if found.doubt["front"][0] == WHOLE:
        assert {tuple(part.coords) for part in found.lines["front"][0].geoms} == want
    else:
        # The nearest line stands in for a front in a site file, whose writer chose it.
        assert found.doubt["front"][0] == NO_STREET
        assert len(want) == 1


def told(
    lot: Any, *streets: Any, others: tuple[Any, ...] = (), **options: bool
) -> tuple[dict[str, Any], dict[str, int]]:
    """The sides of one lot as sets of corners, and what is in doubt; metres."""
    near = np.array(others, object) if others else None
    ways = np.array([shapely.LineString(street) for street in streets], object)
    found = sides_of(np.array([lot], object), ways, 1.0, near, **options)
    lines = {
        side: None if own[0] is None else {frozenset(part.coords) for part in own[0].geoms}
        for side, own in found.lines.items()
    }
    return lines, {side: int(own[0]) for side, own in found.doubt.items()}


SOUTH: Final = [(-100, -6), (100, -6)]
WEST: Final = [(-6, -100), (-6, 100)]
PLAIN: Final = shapely.box(0, 0, 20, 40)


def line(*corners: tuple[float, float]) -> frozenset[tuple[float, float]]:
    return frozenset((float(x), float(y)) for x, y in corners)


def test_a_lot_within_a_row() -> None:
    """20 x 40 m north of a street: south the front, north the rear, east and west the sides."""
    lines, doubt = told(PLAIN, SOUTH)
    assert set(doubt.values()) == {WHOLE}
    assert lines == {
        "front": {line((0, 0), (20, 0))},
        "rear": {line((0, 40), (20, 40))},
        "side": {line((0, 0), (0, 40)), line((20, 0), (20, 40))},
    }


def test_a_street_behind_a_neighbour_is_none() -> None:
    """A second street 14 m behind the rear, once over open ground and once behind a lot there."""
    behind = [(-100, 54), (100, 54)]
    _, doubt = told(PLAIN, SOUTH, behind)
    assert doubt["front"] == STREETS
    lines, doubt = told(PLAIN, SOUTH, behind, others=(shapely.box(0, 40, 20, 50),))
    assert set(doubt.values()) == {WHOLE}
    assert lines["rear"] == {line((0, 40), (20, 40))}


def test_a_corner_lot_is_in_doubt_until_the_town_file_settles_it() -> None:
    lines, doubt = told(PLAIN, SOUTH, WEST)
    assert doubt == {"front": STREETS, "rear": STREETS, "side": STREETS}
    assert lines == {"front": None, "rear": None, "side": None}
    lines, doubt = told(PLAIN, SOUTH, WEST, every_street=True)
    assert doubt == {"front": WHOLE, "rear": STREETS, "side": STREETS}
    assert lines["front"] == {line((0, 0), (20, 0)), line((0, 0), (0, 40))}


def test_a_corner_cut_off_is_still_a_corner() -> None:
    cut = shapely.Polygon([(5, 0), (20, 0), (20, 40), (0, 40), (0, 5)])
    assert told(cut, SOUTH, WEST)[1]["front"] == STREETS


def test_a_flag_lot_is_in_doubt() -> None:
    """A strip 4 m wide and 30 m long leads to a lot 20 x 30 m behind a neighbour."""
    flag = shapely.Polygon([(16, 0), (20, 0), (20, 60), (0, 60), (0, 30), (16, 30)])
    neighbour = shapely.box(0, 0, 16, 30)
    assert told(flag, SOUTH, others=(neighbour,))[1] == {
        "front": STRIP, "rear": STRIP, "side": STRIP,
    }  # fmt: skip


def test_a_lot_behind_others_looks_at_no_street() -> None:
    behind = shapely.box(0, 40, 20, 70)
    assert told(behind, SOUTH, others=(PLAIN,))[1]["front"] == NO_STREET
    assert told(PLAIN, [(-100, -70), (100, -70)])[1]["front"] == NO_STREET


def test_a_lot_round_the_end_of_a_cul_de_sac() -> None:
    """Two radial lines of a circle of 15 m, 30 degrees to either side of north, 30 m long.

    The street ends in the middle of the circle. The front is the hollow arc between them, in four
    chords; the rear is the line behind, the radii are the sides.
    """
    arc = [(15 * np.sin(np.radians(a)), 15 * np.cos(np.radians(a))) for a in (-30, -15, 0, 15, 30)]
    far = [(45 * np.sin(np.radians(a)), 45 * np.cos(np.radians(a))) for a in (30, -30)]
    lines, doubt = told(shapely.Polygon([*arc, *far]), [(0, -80), (0, 0)])
    assert set(doubt.values()) == {WHOLE}
    assert lines["front"] == {line(*pair) for pair in pairwise(arc)}
    assert lines["rear"] == {line(*far)}
    assert lines["side"] == {line(arc[-1], far[0]), line(far[1], arc[0])}


def test_a_lot_that_narrows_to_a_point_has_no_rear() -> None:
    """A triangle 20 m wide and 60 m deep: the sides are told, there is no rear to measure from."""
    lines, doubt = told(shapely.Polygon([(0, 0), (20, 0), (10, 60)]), SOUTH)
    assert doubt == {"front": WHOLE, "rear": SHAPE, "side": WHOLE}
    assert lines["side"] == {line((20, 0), (10, 60)), line((10, 60), (0, 0))}


def test_a_notch_leaves_rear_and_sides_in_doubt() -> None:
    """An L: two lines face away from the street, one 40 m and one 20 m behind it."""
    lines, doubt = told(
        shapely.Polygon([(0, 0), (20, 0), (20, 20), (10, 20), (10, 40), (0, 40)]), SOUTH
    )
    assert doubt == {"front": WHOLE, "rear": SHAPE, "side": SHAPE}
    assert lines["front"] == {line((0, 0), (20, 0))}


def test_a_lot_of_several_parts_or_with_a_hole_is_in_doubt() -> None:
    parts = shapely.MultiPolygon([PLAIN, shapely.box(30, 0, 40, 20)])
    holed = PLAIN.difference(shapely.box(5, 10, 10, 15))
    assert told(parts, SOUTH)[1]["front"] == PARTS
    assert told(holed, SOUTH)[1]["front"] == PARTS


@pytest.mark.parametrize("turn", [17.0, 90.0, 133.0, 260.0])
def test_sides_do_not_hang_on_the_compass(turn: float) -> None:
    def turned(shape: Any) -> Any:
        return affinity.rotate(shape, turn, origin=(500, 300))

    lots = np.array([turned(PLAIN), turned(shapely.box(20, 0, 40, 35))], object)
    street = np.array([turned(shapely.LineString(SOUTH))], object)
    found = sides_of(lots, street, 1.0)
    assert all((own == WHOLE).all() for own in found.doubt.values())
    assert shapely.length(found.lines["front"]) == pytest.approx([20, 20])
    assert shapely.length(found.lines["rear"]) == pytest.approx([20, 20])
    assert shapely.length(found.lines["side"]) == pytest.approx([80, 70])


def test_a_front_yard_of_a_town_file(tmp_path: Path) -> None:
    """Two lots 20 x 40 m along a street, houses 8 m and 5 m behind it: 160 and 100 m2 of yard.

    A drive 3 m wide runs to each house: 24 and 15 m2 of it, 15 % of either yard.
    """
    lots = [shapely.box(0, 0, 20, 40), shapely.box(20, 0, 40, 40)]
    shapes = [
        ("house", shapely.box(3, 8, 15, 20)), ("house", shapely.box(23, 5, 35, 18)),
        ("drive", shapely.box(16, 0, 19, 8)), ("drive", shapely.box(36, 0, 39, 5)),
    ]  # fmt: skip
    write(tmp_path / "lots.parquet", {"lot": ["a", "b"]}, lots)
    write(tmp_path / "surfaces.parquet", {"kind": [k for k, _ in shapes]}, [s for _, s in shapes])
    write(tmp_path / "streets.parquet", {"n": [1]}, [shapely.LineString([(-50, -5), (90, -5)])])
    (tmp_path / "town.yaml").write_text(
        "format: town/1\ntitle: Two lots\nplace: yard.yaml\nunit: m\nrest_of_lot: lawn\n"
        "lots: {file: lots.parquet, id: lot, front: street}\n"
        "surfaces:\n  - file: surfaces.parquet\n"
        "    material: {column: kind, values: {house: roof, drive: concrete-drive}}\n"
        "    attributes: {purpose: {column: kind, values: {house: dwelling, drive: drive}}}\n"
        "features:\n  - {file: streets.parquet, kind: street}\n",
        encoding="utf-8",
    )
    (tmp_path / "yard.yaml").write_text(YARD, encoding="utf-8")
    found = api.screen(tmp_path / "town.yaml", tmp_path / "out.parquet")
    rows = {row["lot"]: row for row in pq.read_table(found.output).to_pylist()}
    assert rows["a"]["front-paving measured"] == pytest.approx(0.15)
    assert rows["b"]["front-paving measured"] == pytest.approx(0.15)
    assert rows["a"]["yard measured"] == pytest.approx(160.0)
    assert rows["b"]["yard measured"] == pytest.approx(100.0)
    for row in rows.values():
        # 20 m wide and 5 m deep; twice 2 m wide and 40 m deep.
        assert row["rear measured"] == pytest.approx(100.0)
        assert row["sides measured"] == pytest.approx(160.0)
    assert rows["a"]["from-rear measured"] == pytest.approx(32.0)
    assert rows["b"]["from-rear measured"] == pytest.approx(35.0)


def test_a_yard_as_deep_as_a_column_says(tmp_path: Path) -> None:
    """Lots 20 m wide: 7 m deep are 140 m2; an empty cell and a text that is no length are asked."""
    lots = [shapely.box(x, 0, x + 20, 40) for x in (0, 20, 40)]
    write(tmp_path / "lots.parquet", {"lot": ["a", "b", "c"], "deep": ["7 m", None, "deep"]}, lots)
    write(tmp_path / "surfaces.parquet", {"kind": ["x"]}, [shapely.box(1, 30, 5, 35)])
    write(tmp_path / "streets.parquet", {"n": [1]}, [shapely.LineString([(-50, -5), (90, -5)])])
    facts = (
        "facts:\n  deep: {kind: amount, dimension: length, title: depth of the rear yard, ask: x}\n"
    )
    ruleset = YARD.replace("regions:\n", f"{facts}regions:\n", 1)
    ruleset = ruleset.replace("yard: rear, depth: 5 m", "yard: rear, depth: deep")
    (tmp_path / "yard.yaml").write_text(ruleset, encoding="utf-8")
    (tmp_path / "town.yaml").write_text(
        "format: town/1\ntitle: Lots\nplace: yard.yaml\nunit: m\nrest_of_lot: lawn\n"
        "lots: {file: lots.parquet, id: lot, front: street, facts: {deep: {column: deep}}}\n"
        "surfaces:\n  - {file: surfaces.parquet, material: asphalt}\n"
        "features:\n  - {file: streets.parquet, kind: street}\n",
        encoding="utf-8",
    )
    found = api.screen(tmp_path / "town.yaml", tmp_path / "out.parquet")
    rows = {row["lot"]: row for row in pq.read_table(found.output).to_pylist()}
    assert rows["a"]["rear measured"] == pytest.approx(140.0)
    assert rows["a"]["rear status"] == "passes"
    assert {rows[name]["rear status"] for name in "bc"} == {"cannot tell"}
    assert {rows[name]["sides status"] for name in "abc"} == {"passes"}
    assert "give what the depth of the rear yard depends on" in str(found.summary.to_bytes())


def write(path: Path, columns: dict[str, list[Any]], shapes: list[Any]) -> None:
    own: dict[str, Any] = {"encoding": "WKB", "geometry_types": [], "crs": None}
    geo = {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": own}}
    table = pa.table({**columns, "geometry": shapely.to_wkb(shapes)})
    pq.write_table(table.replace_schema_metadata({"geo": json.dumps(geo)}), path)
