"""Surfaces of a town that cannot be read: none drops out in silence."""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Any, Final

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


def test_a_full_disk_is_told(town: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pyarrow.parquet.write_table", full)
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
    assert max(map(len, api.screening_text(found).split("\n"))) <= 80


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
