"""Surfaces of a town that cannot be read: none drops out in silence."""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Any, Final

import pytest

from checker import api
from checker.core.problems import BadInput
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
