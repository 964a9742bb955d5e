"""Opens the layers of a town: GeoParquet, GeoPackage, FlatGeobuf, Shapefile; batch by batch.

As in `site.gis_files`, a file is looked at before a library may open it, and nothing that could
lead to another file or address is switched on.
"""

from __future__ import annotations

import json
import os
import stat
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Problem, did_you_mean
from checker.core.records import Record
from checker.core.units import UNIT
from checker.screen import native
from checker.site.gis_files import companions_of, gis_library, refuse_queries
from checker.site.projection import OTHER_FILES, frame_of_crs, pyproj_or_stop

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from checker.core.problems import Place

LAYER_ENDINGS: Final = (".parquet", ".gpkg", ".fgb", ".shp")
BATCH: Final = 65_536
"""So many rows are in memory at once while a layer is read."""

MOST_GROUP_BYTES: Final = 2_000_000_000
CURVES: Final = frozenset(range(8, 15))
"""Kinds of geometry with arcs, as well-known binary numbers them: ISO/IEC 13249-3 (from memory)."""
_STARTS: Final = {
    ".parquet": b"PAR1",
    ".gpkg": b"SQLite format 3\x00",
    ".fgb": b"fgb\x03",
    ".shp": b"\x00\x00\x27\x0a",
}
_DRIVERS: Final = {".gpkg": "GPKG", ".fgb": "FlatGeobuf", ".shp": "ESRI Shapefile"}
_CALLED: Final = {
    ".parquet": "Parquet file",
    ".gpkg": "GeoPackage",
    ".fgb": "FlatGeobuf",
    ".shp": "Shapefile",
}


class LayerFile(Record, kw_only=True, eq=False):
    """A layer that can be read.

    Attributes:
        path: The file.
        layer: Its name; empty for the only one.
        geometry: The column of its geometry.
        columns: Its other columns.
        rows: How many rows it has.
        reference: The coordinate reference that it names; empty when it names none.
        projjson: The same as GeoParquet writes it; None where it is not known.
    """

    path: Path
    layer: str
    geometry: str
    columns: tuple[str, ...]
    rows: int
    reference: str
    projjson: Any = None


def parquet_library(place: Place) -> Any:
    """The library of columns.

    Raises:
        BadInput: It is not installed.
    """
    try:
        import pyarrow.parquet
    except ImportError as error:
        do = "install it with: pip install '.[screen]'"
        raise refused(place, "a screening needs the library pyarrow", do) from error
    return pyarrow


def refused(place: Place, says: str, do: str = "") -> BadInput:
    """The refusal of a layer, told where it is named."""
    return BadInput(f"{place.file} cannot be screened", [Problem(place, says, do)])


def opened(path: Path, layer: str, place: Place) -> LayerFile:
    """Look at a layer: what columns it has, how many rows, in what reference.

    Raises:
        BadInput: It cannot be read, or is not what its ending says.
    """
    parquet_library(place)
    look_at(path, place)
    try:
        if path.suffix.lower() == ".parquet":
            return _parquet(path, place)
        return _gis(path, layer, place)
    except BadInput:
        raise
    except Exception as error:  # a third-party parser on a file of unknown origin
        raise refused(place, f"{path.name} cannot be read: {_reason(error)}") from error


def _reason(error: Exception) -> str:
    return " ".join(str(error).partition(". ")[0].split())[:160].rstrip(".")


def look_at(path: Path, place: Place) -> None:
    """Refuse what is no plain file that begins as its ending says.

    Raises:
        BadInput: It is not, or is not there.
    """
    suffix = path.suffix.lower()
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(handle, "rb") as stream:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise refused(place, f"{path.name} is not a plain file", "name a plain file")
            head = stream.read(16)
    except FileNotFoundError as error:
        says = f"there is no file '{path.name}'"
        do = "check the name; it is taken from the folder of the town file"
        raise refused(place, says, do) from error
    except OSError as error:
        says = f"{path.name} cannot be opened: {error.strerror}"
        raise refused(place, says, "check its name and permissions") from error
    if not head.startswith(_STARTS[suffix]):
        says = f"{path.name} is no {_CALLED[suffix]}, whatever its name says"
        raise refused(place, says, "export it again from the GIS program")
    if suffix == ".gpkg":
        refuse_queries(path, path.name)
    if suffix == ".shp":
        prj = companions_of(path).get(".prj")
        if prj is not None and OTHER_FILES.search(_text_of(prj)):
            says = f"{prj.name} names a grid file of shifts, which is not opened"
            raise refused(place, says, "project the layer first")


def files_of(path: Path) -> tuple[Path, ...]:
    """All files that a layer is made of: what lies beside a Shapefile, the log of a GeoPackage."""
    others = list(companions_of(path).values()) if path.suffix.lower() == ".shp" else []
    log = path.with_name(f"{path.name}-wal")
    return (path, *others, *([log] if log.is_file() else []))


def _text_of(path: Path) -> str:
    from checker.files.opening import read_bytes

    return read_bytes(path, path.name).decode("utf-8", "replace")


def _parquet(path: Path, place: Place) -> LayerFile:
    import pyarrow.parquet

    with pyarrow.parquet.ParquetFile(path, memory_map=True) as file:
        meta, schema = file.metadata, file.schema_arrow
        for group in range(meta.num_row_groups):
            if meta.row_group(group).total_byte_size > MOST_GROUP_BYTES:
                says = f"{path.name} has a row group of more than {MOST_GROUP_BYTES:,} bytes"
                raise refused(place, says, "write it again with smaller row groups")
        raw = (schema.metadata or {}).get(b"geo")
        geo = json.loads(raw) if raw else {}
        name = str(geo.get("primary_column"))
        own = geo.get("columns", {}).get(name, {}) if isinstance(geo, dict) else {}
        if name not in schema.names:
            says = f"{path.name} names no geometry: it is no GeoParquet"
            raise refused(place, says, "export it as GeoParquet")
        encoding = own.get("encoding")
        kind = schema.field(name).type
        if not (_is_binary(kind) if encoding == "WKB" else native.is_area(kind, str(encoding))):
            says = f"{path.name} holds its geometry as {str(encoding)[:40]!r}"
            raise refused(place, says, "export it with the encoding WKB, polygon or multipolygon")
        if own.get("edges", "planar") != "planar":
            raise refused(place, f"{path.name} has edges on a globe", "project it first")
        crs = own.get("crs", "OGC:CRS84")
        reference = "" if crs is None else (json.dumps(crs) if isinstance(crs, dict) else str(crs))
        columns = tuple(n for n in schema.names if n != name)
        return LayerFile(
            path=path, layer="", geometry=name, columns=columns, rows=meta.num_rows,
            reference=reference, projjson=crs if isinstance(crs, dict) else None,
        )  # fmt: skip


def _is_binary(kind: Any) -> bool:
    import pyarrow as pa

    return bool(pa.types.is_binary(kind) or pa.types.is_large_binary(kind))


def _gis(path: Path, layer: str, place: Place) -> LayerFile:
    pyogrio = gis_library(path.name)
    layers = [str(own[0]) for own in pyogrio.list_layers(path)]
    if layer and layer not in layers:
        raise refused(place, f"{path.name} has no layer '{layer}'", did_you_mean(layer, layers))
    if not layer and len(layers) != 1:
        says = f"{path.name} has {len(layers)} layers"
        raise refused(place, says, f"name one as 'layer': {', '.join(layers[:10])}")
    info = pyogrio.read_info(path, layer=layer or layers[0], force_feature_count=True)
    if info["driver"] != _DRIVERS[path.suffix.lower()]:
        says = f"{path.name} is read as '{info['driver']}', not as {_CALLED[path.suffix.lower()]}"
        raise refused(place, says, "export it again from the GIS program")
    return LayerFile(
        path=path,
        layer=layer or layers[0],
        geometry="",
        columns=tuple(map(str, info["fields"])),
        rows=int(info["features"]),
        reference=str(info["crs"] or ""),
    )


def check_columns(file: LayerFile, wanted: Sequence[str], place: Place) -> None:
    """Refuse a layer that lacks a column.

    Raises:
        BadInput: It does.
    """
    for name in wanted:
        if name == "geometry":
            says = f"the column 'geometry' of {file.path.name} has a name that is kept for outlines"
            raise refused(place, says, "give it another name")
        if name not in file.columns:
            says = f"{file.path.name} has no column '{name}'"
            raise refused(place, says, did_you_mean(name, file.columns))


def batches(file: LayerFile, columns: Sequence[str], place: Place) -> Iterator[Any]:
    """The rows of a layer, so many at a time, as Arrow tables: columns, then `geometry`.

    Raises:
        BadInput: They cannot be read.
    """
    begin = 0
    for batch in _batches(file, columns, place):
        table = batch.rename_columns([*columns, "geometry"])
        _refuse_lists(table, columns, file, place)
        _refuse_curves(table.column("geometry"), begin, file, place)
        begin += len(table)
        yield table


def _batches(file: LayerFile, columns: Sequence[str], place: Place) -> Iterator[Any]:
    """The same as they stand: columns, then the geometry under its own name."""
    import pyarrow as pa

    try:
        if file.path.suffix.lower() == ".parquet":
            import pyarrow.parquet

            with pyarrow.parquet.ParquetFile(file.path, memory_map=True) as opened_file:
                wanted = [*columns, file.geometry]
                for batch in opened_file.iter_batches(batch_size=BATCH, columns=wanted):
                    yield pa.Table.from_batches([batch]).select(wanted)
            return
        pyogrio = gis_library(file.path.name)
        with pyogrio.raw.open_arrow(
            file.path, layer=file.layer, columns=list(columns), batch_size=BATCH,
            use_pyarrow=True,
        ) as (meta, reader):  # fmt: skip
            shape = meta["geometry_name"] or "wkb_geometry"
            for batch in reader:
                yield pa.Table.from_batches([batch]).select([*columns, shape])
    except BadInput:
        raise
    except Exception as error:  # a third-party parser on a file of unknown origin
        raise refused(place, f"{file.path.name} cannot be read: {_reason(error)}") from error


def _refuse_lists(table: Any, columns: Sequence[str], file: LayerFile, place: Place) -> None:
    """Columns hold one value a row; others have no meaning."""
    import pyarrow as pa

    for name in columns:
        if pa.types.is_nested(table.column(name).type):
            says = f"'{name}' of {file.path.name} holds lists or records, not plain values"
            raise refused(place, says, "name another column")


def _refuse_curves(column: Any, begin: int, file: LayerFile, place: Place) -> None:
    """Outlines with arcs, which the geometry library does not read."""
    import pyarrow as pa
    import pyarrow.compute as pc

    if not _is_binary(column.type):
        return
    heads = pc.binary_slice(column, 0, 5)
    curved = [own for own in pc.unique(heads).to_pylist() if own and _kind_of(own) in CURVES]
    if curved:
        row = pc.index(pc.is_in(heads, pa.array(curved, heads.type)), value=True).as_py()
        says = f"row {begin + row + 1:,} of {file.path.name} is drawn with arcs, which are not read"
        raise refused(place, says, "turn curves into straight lines in the GIS program")


def _kind_of(head: bytes) -> int:
    """The kind of geometry that well-known binary begins with, heights and measures aside."""
    code = int.from_bytes(head[1:], "little" if head[0] == 1 else "big")
    return (code & 0x0FFFFFFF) % 1000


def unit_of(
    file: LayerFile, unit: str, centre: tuple[float, float], place: Place
) -> tuple[str, float]:
    """The unit of a layer's coordinates, and its size in metres.

    Args:
        file: The layer.
        unit: What the town file says, for layers that name no reference.
        centre: The middle of the layer, in its numbers.
        place: Where it is named.

    Raises:
        BadInput: It is in degrees or stretches lengths, or nothing tells its unit.
    """
    if not file.reference:
        if not unit:
            says = f"{file.path.name} names no coordinate reference"
            raise refused(place, says, "say 'unit: ft' or another unit of its numbers")
        return unit, UNIT[unit].size_si
    _crs(file, place)
    try:
        frame = frame_of_crs(file.reference, file.path.name, centre)
    except BadInput as error:
        raise _unusable(file, place) from error
    if frame.unit == "degrees":
        says = f"{file.path.name} is in degrees, or in a reference that stretches lengths"
        raise refused(place, says, "project it to the state's or country's survey grid")
    return frame.unit, frame.size_m


def refuse_other_reference(first: LayerFile, second: LayerFile, place: Place) -> None:
    """Refuse a layer that is not in the coordinate reference of the first one; heights aside.

    Raises:
        BadInput: It is in another one, or one of both names none.
    """
    if first.reference == second.reference:
        return
    if not first.reference or not second.reference:
        none, other = (first, second) if second.reference else (second, first)
        says = f"{none.path.name} names no coordinate reference, {other.path.name} does"
        raise refused(place, says, "export it again with its reference")
    one, other = (_crs(own, place).to_2d() for own in (first, second))
    if not one.equals(other, ignore_axis_order=True):
        says = f"{second.path.name} is in '{_named(other)}', {first.path.name} in '{_named(one)}'"
        raise refused(place, says, "project all layers to one coordinate reference")


def _named(crs: Any) -> str:
    return str(crs.name)[:60]


def _crs(file: LayerFile, place: Place) -> Any:
    """The coordinate reference that a layer names.

    Raises:
        BadInput: It is none, or the library that knows them is not installed.
    """
    pyproj = pyproj_or_stop(file.path.name)
    if not OTHER_FILES.search(file.reference):
        # A third-party parser on a text of unknown origin.
        with suppress(Exception):
            return pyproj.CRS.from_user_input(file.reference)
    raise _unusable(file, place)


def _unusable(file: LayerFile, place: Place) -> BadInput:
    says = f"{file.path.name}: its coordinate reference '{file.reference[:60]}' cannot be used"
    return refused(place, says, "project it to the state's or country's survey grid")
