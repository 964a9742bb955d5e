"""The front of a lot is told of a whole town as of one lot, and its yard is measured."""

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

from checker import api
from checker.core.problems import Place
from checker.files.source import read_text
from checker.screen.fronts import front_lines
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
    found = front_lines(np.array([lot], object), np.array([street], object))
    assert {tuple(part.coords) for part in found[0].geoms} == want


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


def write(path: Path, columns: dict[str, list[Any]], shapes: list[Any]) -> None:
    own: dict[str, Any] = {"encoding": "WKB", "geometry_types": [], "crs": None}
    geo = {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": own}}
    table = pa.table({**columns, "geometry": shapely.to_wkb(shapes)})
    pq.write_table(table.replace_schema_metadata({"geo": json.dumps(geo)}), path)
