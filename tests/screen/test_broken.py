"""Surfaces of a town that cannot be read: none drops out in silence."""

from __future__ import annotations

import json
import struct
import warnings
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest

from checker import api
from checker.core.problems import BadInput
from checker.screen.run import screen
from tests.screen.test_run import copied, drawn

pa: Final[Any] = pytest.importorskip("pyarrow")
pq: Final[Any] = pytest.importorskip("pyarrow.parquet")

NAN: Final = float("nan")
SQUARE: Final = ((29.0, 5.0), (33.0, 5.0), (33.0, 9.0), (29.0, 9.0), (29.0, 5.0))
"""Within the second lot of the first row, which is 24 m wide."""


def polygon(*corners: tuple[float, float]) -> bytes:
    found = struct.pack("<BIII", 1, 3, 1, len(corners))
    return found + b"".join(struct.pack("<dd", *corner) for corner in corners)


def with_surface(town: Path, folder: Path, outline: bytes | None) -> Path:
    """A copy of the town whose last surface is another one."""
    path = copied(town, folder)
    layer = path.with_name("surfaces.parquet")
    table = pq.read_table(layer)
    outlines = [*table.column("geometry").to_pylist()[:-1], outline]
    at = table.schema.get_field_index("geometry")
    pq.write_table(
        table.set_column(at, table.schema.field(at), pa.array(outlines, pa.binary())), layer
    )
    return path


@pytest.fixture(scope="module")
def town(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return drawn(tmp_path_factory.mktemp("town"), 40)


@pytest.mark.parametrize(
    "outline",
    [None, b"", polygon(), polygon(*SQUARE)[:-9], polygon(*[(NAN, NAN)] * 5)],
    ids=["none", "no bytes", "empty", "cut short", "no numbers"],
)
def test_a_surface_without_a_place_is_refused(
    town: Path, tmp_path: Path, outline: bytes | None
) -> None:
    path = with_surface(town, tmp_path / "t", outline)
    row = pq.read_metadata(path.with_name("surfaces.parquet")).num_rows
    with pytest.raises(BadInput) as caught:
        api.screen(path, tmp_path / "out.parquet")
    assert f"row {row:,} of surfaces.parquet has no outline that can be read" in str(caught.value)
    assert not (tmp_path / "out.parquet").exists()


@pytest.mark.parametrize("at", [NAN, float("inf")])
def test_a_corner_that_is_no_number_stops_the_lot(town: Path, tmp_path: Path, at: float) -> None:
    assert [lot for lot, _ in api.screen(town, tmp_path / "1.parquet").summary.problem_lots] == [
        "1-1"
    ]
    path = with_surface(town, tmp_path / "t", polygon(*SQUARE[:1], (at, 5.0), *SQUARE[2:]))
    found = api.screen(path, tmp_path / "2.parquet").summary.problem_lots
    assert "1-2" in [lot for lot, _ in found]
    row = next(r for r in pq.read_table(tmp_path / "2.parquet").to_pylist() if r["lot"] == "1-2")
    assert row["verdict"] == "not judged"


def test_a_column_of_lists_is_refused(town: Path, tmp_path: Path) -> None:
    path = copied(town, tmp_path / "t")
    layer = path.with_name("lots.parquet")
    table = pq.read_table(layer)
    at = table.schema.get_field_index("width")
    lists = table.set_column(at, "width", pa.array([["x"]] * len(table)))
    pq.write_table(lists.replace_schema_metadata(table.schema.metadata), layer)
    with pytest.raises(BadInput, match=r"'width' of lots\.parquet holds lists or records"):
        api.screen(path, tmp_path / "out.parquet")


@pytest.mark.parametrize(
    "writes", ["pyarrow.ipc.new_stream", "pyarrow.ipc.new_file", "pyarrow.parquet.ParquetWriter"]
)
def test_a_full_disk_is_told(
    town: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, writes: str
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writes, full)
    with pytest.raises(BadInput, match="it cannot be written: No space left on device"):
        api.screen(town, tmp_path / "out.parquet")
    assert not (tmp_path / "out.parquet").exists()


def with_names(town: Path, folder: Path, names: list[Any]) -> Path:
    """A copy of the town whose lots bear other names."""
    path = copied(town, folder)
    layer = path.with_name("lots.parquet")
    table = pq.read_table(layer)
    renamed = table.set_column(table.schema.get_field_index("lot"), "lot", pa.array(names))
    pq.write_table(renamed.replace_schema_metadata(table.schema.metadata), layer)
    return path


def names_in(town: Path) -> list[Any]:
    return list(pq.read_table(town.with_name("lots.parquet"))["lot"].to_pylist())


@pytest.mark.parametrize("size", [40, 7])
def test_lots_of_one_name_are_not_judged(town: Path, tmp_path: Path, size: int) -> None:
    """Three rows far from each other bear one name, two have none, the others are as they were."""
    whole = screen(town, tmp_path / "whole.parquet")
    names = names_in(town)
    before = {row["lot"]: row for row in pq.read_table(whole.output).to_pylist()}
    for row, name in ((5, "1-3"), (30, "1-3"), (12, None), (13, "")):
        before.pop(names[row])
        names[row] = name
    assert names.index("1-3") not in {5, 30}
    before.pop("1-3")
    path = with_names(town, tmp_path / "t", names)
    found = screen(path, tmp_path / "out.parquet", lots_a_piece=size)
    says = (
        "its id stands in 3 rows of lots.parquet: dissolve its parts into one outline, "
        "or give each row its own id"
    )
    assert found.summary.problems[says] == 3
    assert [lot for lot, why in found.summary.problem_lots if why == says] == ["1-3"] * 3
    rows = pq.read_table(found.output).to_pylist()
    assert [r["verdict"] for r in rows if r["lot"] == "1-3"] == ["not judged"] * 3
    assert all(r["problem"] is None for r in rows if r["lot"] == "")
    assert {r["lot"]: r for r in rows if r["lot"] not in {"1-3", ""}} == before
    text = api.screening_text(found)
    assert "lots that are not judged, and why\n    3: its id stands in 3 rows of" in text
    assert max(map(len, text.split("\n"))) <= 80


@pytest.mark.parametrize(
    ("names", "says"),
    [
        (["R-1"] * 30 + ["R-2"] * 10, "40 of 40 rows share theirs, 'R-1' alone stands in 30"),
        ([1.0] * 21 + [*range(2, 21)], "21 of 40 rows share theirs, '1' alone stands in 21"),
        ([None] * 40, "it is empty in every row"),
        ([NAN] * 40, "it is empty in every row"),
    ],
)
def test_a_column_that_does_not_name_lots_is_refused(
    town: Path, tmp_path: Path, names: list[Any], says: str
) -> None:
    path = with_names(town, tmp_path / "t", names)
    with pytest.raises(BadInput) as caught:
        api.screen(path, tmp_path / "out.parquet")
    assert f"'lot' of lots.parquet does not name the lots: {says}" in str(caught.value)
    assert "town.yaml:9" in str(caught.value)


def test_columns_may_be_called_as_the_program_calls_its_own(town: Path, tmp_path: Path) -> None:
    path = copied(town, tmp_path / "t")
    layer = path.with_name("lots.parquet")
    table = pq.read_table(layer)
    columns = ["place" if name == "width" else name for name in table.column_names]
    renamed = table.rename_columns(columns).replace_schema_metadata(table.schema.metadata)
    pq.write_table(renamed, layer)
    path.write_text(path.read_text("utf-8").replace("column: width", "column: place"), "utf-8")
    found, whole = (
        pq.read_table(api.screen(own, tmp_path / f"{number}.parquet").output)
        for number, own in enumerate((path, town))
    )
    assert found.equals(whole)


@pytest.mark.parametrize("name", ["lots.parquet", "town.gdb", "layers"])
def test_a_folder_in_the_place_of_a_layer_is_told(town: Path, tmp_path: Path, name: str) -> None:
    path = copied(town, tmp_path / "t")
    path.with_name("lots.parquet").unlink()
    path.with_name(name).mkdir()
    path.write_text(path.read_text("utf-8").replace("file: lots.parquet", f"file: {name}"), "utf-8")
    with pytest.raises(BadInput) as caught:
        api.screen(path, tmp_path / "out.parquet")
    says = f"'{name}' is a folder, and a layer is one file; name the file in it, or export"
    assert says in str(caught.value)
    assert "town.yaml:9" in str(caught.value)


UTM: Final = "EPSG:32633"
GRID: Final = np.array([400_000.0, 5_600_000.0])
EMPTY: Final = "+proj=utm +zone=33 +nadgrids=/etc/hostname +type=crs"


def with_references(town: Path, folder: Path, **references: Any) -> Path:
    """A copy of the town whose layers name coordinate references, each as GeoParquet holds it."""
    path = copied(town, folder)
    for name, reference in references.items():
        layer = path.with_name(f"{name}.parquet")
        table = pq.read_table(layer)
        geo = json.loads(table.schema.metadata[b"geo"])
        geo["columns"]["geometry"]["crs"] = reference
        pq.write_table(table.replace_schema_metadata({b"geo": json.dumps(geo).encode()}), layer)
    return path


def alike(reference: Any) -> dict[str, Any]:
    return dict.fromkeys(("lots", "surfaces", "shoreline"), reference)


@pytest.mark.parametrize(
    ("references", "says"),
    [
        (alike("EPSG:4326"), "9:9: lots.parquet is in degrees"),
        (alike("OGC:CRS84"), "9:9: lots.parquet is in degrees"),
        (
            alike({"a": 1}),
            "9:9: lots.parquet: its coordinate reference '{\"a\": 1}' cannot be used",
        ),
        (alike("EPSG:4978"), "9:9: lots.parquet: its coordinate reference 'EPSG:4978' cannot be"),
        (alike(EMPTY), "9:9: lots.parquet: its coordinate reference '+proj=utm"),
        (
            {**alike(UTM), "surfaces": {"a": 1}},
            "15:11: surfaces.parquet: its coordinate reference '{\"a\": 1}' cannot be used",
        ),
        (
            {**alike(UTM), "surfaces": EMPTY},
            "15:11: surfaces.parquet: its coordinate reference '+proj=utm",
        ),
        (
            {**alike(UTM), "shoreline": None},
            "34:12: shoreline.parquet names no coordinate reference, lots.parquet does; export it",
        ),
        (
            {"surfaces": UTM},
            "15:11: lots.parquet names no coordinate reference, surfaces.parquet does; export it",
        ),
        (
            {**alike(UTM), "surfaces": "EPSG:2276"},
            "15:11: surfaces.parquet is in 'NAD83 / Texas North Central (ftUS)', lots.parquet in",
        ),
    ],
)
def test_a_coordinate_reference_that_cannot_be_used(
    town: Path, tmp_path: Path, references: dict[str, Any], says: str
) -> None:
    pytest.importorskip("pyproj")
    path = with_references(town, tmp_path / "t", **references)
    with pytest.raises(BadInput) as caught:
        api.screen(path, tmp_path / "out.parquet")
    assert f"town.yaml:{says}" in str(caught.value)
    assert "drawing" not in str(caught.value)


def shifted(layer: Path, how: Any) -> None:
    """Each outline of a layer as something makes it."""
    shapely = pytest.importorskip("shapely")
    table = pq.read_table(layer)
    shapes = how(shapely.from_wkb(table.column("geometry").to_numpy()))
    binary = shapely.to_wkb(shapes, output_dimension=3)
    at = table.schema.get_field_index("geometry")
    pq.write_table(table.set_column(at, table.schema.field(at), pa.array(binary)), layer)


def test_one_reference_may_be_named_in_several_ways_and_with_heights(
    town: Path, tmp_path: Path
) -> None:
    """Moved to where the grid is true; the surfaces have heights of 7 m."""
    shapely = pytest.importorskip("shapely")
    pyproj = pytest.importorskip("pyproj")
    whole = api.screen(town, tmp_path / "whole.parquet").summary
    names = {
        "lots": "EPSG:25833",
        "surfaces": pyproj.CRS("EPSG:25833+7837").to_json_dict(),
        "shoreline": pyproj.CRS("EPSG:25833").to_json_dict(),
    }
    path = with_references(town, tmp_path / "t", **names)
    for name in names:
        layer = path.with_name(f"{name}.parquet")
        shifted(layer, lambda own: shapely.transform(own, lambda xy: xy + GRID))
    shifted(path.with_name("surfaces.parquet"), lambda own: shapely.force_3d(own, 7.0))
    found = api.screen(path, tmp_path / "out.parquet").summary
    assert found.lots == 40
    assert found.variants[0].verdicts == whole.variants[0].verdicts


def arcs(*, kind: int = 10, order: str = "<") -> bytes:
    """A circle about (31, 7) as a polygon of one string of arcs; with heights when told so."""
    height = (5.0,) if kind > 1000 else ()
    ring = [(29, 7), (31, 9), (33, 7), (31, 5), (29, 7)]
    mark = 1 if order == "<" else 0
    found = struct.pack(f"{order}BII", mark, kind, 1)
    found += struct.pack(f"{order}BII", mark, kind - 2, len(ring))
    return found + b"".join(struct.pack(f"{order}{2 + len(height)}d", *p, *height) for p in ring)


@pytest.mark.parametrize("layer", ["lots", "surfaces", "shoreline"])
@pytest.mark.parametrize("outline", [arcs(), arcs(kind=1010), arcs(order=">")])
def test_arcs_are_refused_with_their_row(
    town: Path, tmp_path: Path, layer: str, outline: bytes
) -> None:
    path = copied(town, tmp_path / "t")
    file = path.with_name(f"{layer}.parquet")
    table = pq.read_table(file)
    outlines = [*table.column("geometry").to_pylist()[:-1], outline]
    at = table.schema.get_field_index("geometry")
    pq.write_table(table.set_column(at, table.schema.field(at), pa.array(outlines)), file)
    with pytest.raises(BadInput) as caught:
        api.screen(path, tmp_path / "out.parquet")
    row = f"row {len(table):,} of {layer}.parquet is drawn with arcs, which are not read; turn"
    assert row in str(caught.value)


def test_arcs_within_a_collection_are_no_outline(town: Path, tmp_path: Path) -> None:
    collection = struct.pack("<BII", 1, 7, 1) + arcs()
    path = with_surface(town, tmp_path / "t", collection)
    with pytest.raises(BadInput, match="has no outline that can be read"):
        api.screen(path, tmp_path / "out.parquet")


def test_arcs_of_a_geopackage_are_refused(town: Path, tmp_path: Path) -> None:
    pyogrio = pytest.importorskip("pyogrio")
    path = with_surface(town, tmp_path / "t", arcs())
    table = pq.read_table(path.with_name("surfaces.parquet")).replace_schema_metadata(None)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        pyogrio.raw.write_arrow(
            table, path.with_name("surfaces.gpkg"), layer="surfaces", driver="GPKG",
            geometry_name="geometry", geometry_type="Unknown", crs=None,
        )  # fmt: skip
    text = path.read_text("utf-8").replace("surfaces.parquet", "surfaces.gpkg")
    path.write_text(text, "utf-8")
    with pytest.raises(BadInput, match=r"of surfaces\.gpkg is drawn with arcs"):
        api.screen(path, tmp_path / "out.parquet")
