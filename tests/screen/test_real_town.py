"""The open footprints and plots of a quarter of Prague that momepy ships, read as a user would.

What they lack, and what a screening of them therefore cannot say: there are buildings and plots,
but no drives, paving or pools; and the reference stretches lengths, so that they are projected.
Source: momepy's `bubenec.gpkg`, made of open data of the Czech cadastre.
"""

from __future__ import annotations

import importlib.util
import warnings
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
import shapely

from checker import api
from checker.core.problems import BadInput

pa: Final[Any] = pytest.importorskip("pyarrow")
pq: Final[Any] = pytest.importorskip("pyarrow.parquet")
pyogrio: Final[Any] = pytest.importorskip("pyogrio")
pyproj: Final[Any] = pytest.importorskip("pyproj")

TOWN: Final = """format: town/1
title: A quarter of Prague
place: reed-mere
lots: {{file: {file}, layer: plots, id: ID}}
surfaces:
  - {{file: {file}, layer: buildings, material: roof, attributes: {{purpose: dwelling}}}}
rest_of_lot: lawn
none_found: [shoreline]
"""


def shipped() -> Path:
    spec = importlib.util.find_spec("momepy")
    if spec is None or spec.origin is None:
        pytest.skip("momepy is not installed, whose data this reads")
    return Path(spec.origin).parent / "datasets/bubenec.gpkg"


def projected(source: Path, target: Path) -> dict[str, Any]:
    """The layers on the survey grid of the country, as a user would project them."""
    turn = pyproj.Transformer.from_crs("EPSG:3857", "EPSG:5514", always_xy=True)
    found = {}
    for layer, column in (("plots", "ID"), ("buildings", "uID")):
        meta, _, binary, values = pyogrio.raw.read(source, layer=layer, columns=[column])
        shapes = shapely.transform(
            shapely.from_wkb(binary), lambda points: np.stack(turn.transform(*points.T), axis=1)
        )
        assert meta["fields"].tolist() == [column]
        found[layer] = shapes, values[0]
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            pyogrio.raw.write_arrow(
                pa.table({column: values[0], "geometry": shapely.to_wkb(shapes)}),
                target, layer=layer, driver="GPKG", geometry_name="geometry",
                geometry_type="Polygon", crs="EPSG:5514", append=target.exists(),
            )  # fmt: skip
    return found


def test_a_reference_that_stretches_lengths_is_refused(tmp_path: Path) -> None:
    source = shipped()
    town = tmp_path / "town.yaml"
    copy = tmp_path / "bubenec.gpkg"
    copy.write_bytes(source.read_bytes())
    town.write_text(TOWN.format(file="bubenec.gpkg"), "utf-8")
    with pytest.raises(BadInput, match="cannot be screened") as caught:
        api.screen(town, tmp_path / "out.parquet")
    assert "stretches lengths" in str(caught.value)


def test_its_buildings_are_counted_as_shapely_counts_them(tmp_path: Path) -> None:
    found = projected(shipped(), tmp_path / "town.gpkg")
    town = tmp_path / "town.yaml"
    town.write_text(TOWN.format(file="town.gpkg"), "utf-8")
    screened = api.screen(town, tmp_path / "out.parquet")
    rows = pq.read_table(screened.output).to_pylist()
    plots, ids = found["plots"]
    covered = shapely.union_all(found["buildings"][0])
    want = {
        str(name): float(shapely.intersection(plot, covered).area)
        for name, plot in zip(ids, plots, strict=True)
    }
    told = 0
    for row in rows:
        if row["problem"]:
            continue
        told += 1
        own = row["building-cover measured"]
        assert row["building-cover unit"] == "m2"
        assert own == pytest.approx(want[row["lot"]], rel=1e-6, abs=1e-3)
    assert told > 300
    # The lots are so many as there are plots, whatever lies on them.
    assert len(rows) == len(plots)
