"""Layers that hold corners as lists of numbers give the table that well-known binary gives."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
import shapely

from checker import api
from checker.core.problems import BadInput
from checker.screen.outlines import Outlines
from tests.screen.test_run import drawn

pa: Final[Any] = pytest.importorskip("pyarrow")
pq: Final[Any] = pytest.importorskip("pyarrow.parquet")


def lists_of(shapes: Any) -> tuple[str, Any]:
    """Polygons, or multipolygons, as GeoParquet 1.1 lays them out (section "Native encodings")."""
    kind, points, offsets = shapely.to_ragged_array(shapes)
    found = pa.StructArray.from_arrays([pa.array(points[:, 0]), pa.array(points[:, 1])], ["x", "y"])
    for level in offsets:
        found = pa.ListArray.from_arrays(pa.array(level, pa.int32()), found)
    return kind.name.lower(), found


def as_lists(path: Path) -> None:
    """Write a layer again, its outlines as lists."""
    table = pq.read_table(path)
    meta = json.loads(table.schema.metadata[b"geo"])
    encoding, lists = lists_of(shapely.from_wkb(table["geometry"].to_numpy()))
    meta["columns"]["geometry"]["encoding"] = encoding
    own = table.drop(["geometry"]).append_column("geometry", lists)
    pq.write_table(own.replace_schema_metadata({"geo": json.dumps(meta)}), path)


def test_lists_of_corners_give_the_same_table(tmp_path: Path) -> None:
    binary, lists = drawn(tmp_path / "a", 60), drawn(tmp_path / "b", 60)
    as_lists(lists.with_name("lots.parquet"))
    as_lists(lists.with_name("surfaces.parquet"))
    one = api.screen(binary, tmp_path / "a.parquet")
    other = api.screen(lists, tmp_path / "b.parquet")
    assert pq.read_table(one.output).equals(pq.read_table(other.output))


def test_lists_that_are_missing_or_open() -> None:
    square, holed = shapely.box(0, 0, 4, 4), shapely.box(0, 0, 9, 9) - shapely.box(2, 2, 3, 3)
    several = shapely.MultiPolygon([square, shapely.box(5, 5, 6, 6)])
    _, lists = lists_of(np.array([square, holed, several], object))
    found = Outlines(pa.concat_arrays([lists, pa.nulls(1, lists.type)]).slice(1))
    assert found.is_sound.tolist() == [True, True, False]
    assert found.boxes[:2].tolist() == [[0, 0, 9, 9], [0, 0, 6, 6]]
    assert found.shapes[0].equals(holed)
    assert found.shapes[2] is None
    corners = [
        {"x": 0.0, "y": 0.0},
        {"x": 1.0, "y": 0.0},
        {"x": 1.0, "y": 1.0},
        {"x": 0.0, "y": 1.0},
    ]
    opened = pa.array([[[*corners, corners[0]]], [corners]], lists.type.value_type)
    assert Outlines(opened).is_sound.tolist() == [True, False]
    nan = [*corners[:2], {"x": float("nan"), "y": 1.0}, corners[0]]
    assert Outlines(pa.array([[nan]], lists.type.value_type)).is_sound.tolist() == [False]


def test_an_encoding_that_is_not_what_it_says(tmp_path: Path) -> None:
    town = drawn(tmp_path / "t", 20)
    path = town.with_name("surfaces.parquet")
    table = pq.read_table(path)
    text = table.schema.metadata[b"geo"].decode().replace("WKB", "polygon")
    pq.write_table(table.replace_schema_metadata({"geo": text}), path)
    with pytest.raises(BadInput, match="holds its geometry as 'polygon'"):
        api.screen(town, tmp_path / "o.parquet")
