"""What may be handed to the GIS library: the files of one drawing, looked at and set apart.

The library guesses formats by content, and some formats name other files or addresses to read from.
So only a Shapefile or a GeoPackage by its first bytes goes in, copied beside nothing but its own
companions, with the network and every format that leads elsewhere switched off.
"""

from __future__ import annotations

import os
import re
import sys
import zipfile
from io import BytesIO
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Any, Final

from checker.files.opening import read_bytes, unreadable
from checker.site.projection import OTHER_FILES

if TYPE_CHECKING:
    from pathlib import Path

MAX_GIS_BYTES: Final = 100_000_000
MAX_ZIP_FILES: Final = 100
FORMATS: Final = {".shp": "ESRI Shapefile", ".gpkg": "GPKG"}
"""What may be read, by ending, as the library calls it."""

_STARTS: Final = {".shp": b"\x00\x00\x27\x0a", ".gpkg": b"SQLite format 3\x00"}
_CALLED: Final = {".shp": "Shapefile", ".gpkg": "GeoPackage"}
_COMPANIONS: Final = (".shx", ".dbf", ".prj", ".cpg")
_LEAD_ELSEWHERE: Final = (
    "OGR_VRT,GDALG,HTTP,WFS,OAPIF,CSW,OGCAPI,Carto,AmigoCloud,Elasticsearch,PLSCENES,NGW,EEDA,"
    "ADBC,AIVector,MVT,PMTiles,MBTiles,SQLite,OpenFileGDB,MiraMonVector,GML,OSM,PDF,LIBKML"
)
_SETTINGS: Final = {
    "GDAL_DISABLE_READDIR_ON_OPEN": "FALSE",
    "GDAL_HTTP_PROXY": "127.0.0.1:9",
    "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": "none",
    "OGR_SQLITE_LOAD_EXTENSIONS": "NO",
    "PROJ_NETWORK": "OFF",
}
_VIRTUAL: Final = re.compile(r"\s*create\s+virtual\s+table\b(?!.*\busing\s+rtree\b)", re.I | re.S)


def gis_library(shown: str) -> Any:  # noqa: ANN401 - the module
    """The GIS library, with all switched off that could open something else.

    Raises:
        BadInput: It is not installed.
    """
    before = os.environ.get("OGR_SKIP")
    if "pyogrio" not in sys.modules:
        os.environ["OGR_SKIP"] = _LEAD_ELSEWHERE
    try:
        import pyogrio
    except ImportError as error:
        do = "install it with: pip install '.[gis]'"
        raise unreadable(shown, "needs the library pyogrio to be read", do) from error
    finally:
        if before is None:
            os.environ.pop("OGR_SKIP", None)
        else:
            os.environ["OGR_SKIP"] = before
    pyogrio.set_gdal_config_options(_SETTINGS)
    return pyogrio


def set_apart(path: Path, shown: str, folder: Path) -> Path:
    """Copy a drawing, with its companions, into a folder of its own.

    Args:
        path: A Shapefile, a GeoPackage, or a zip file that holds one of them.
        shown: How messages name it.
        folder: An empty folder.

    Returns:
        The copy to open.

    Raises:
        BadInput: A file is too large, cannot be read, or is not what its ending says.
    """
    raw = read_bytes(path, shown, MAX_GIS_BYTES)
    suffix = path.suffix.lower()
    if suffix == ".zip":
        files, main = _unpacked(raw, shown)
    else:
        main = f"{path.stem}{suffix}"
        files = {main: raw}
        if suffix == ".shp":
            files |= _beside(path, shown)
    _refuse_disguise(files[main], PurePosixPath(main).suffix, shown)
    for name, content in files.items():
        if name.endswith(".prj") and OTHER_FILES.search(content.decode("utf-8", "replace")):
            says = "its coordinate reference names a grid file of shifts, which is not opened"
            raise unreadable(shown, says, "project it first")
        (folder / name).write_bytes(content)
    if main.endswith(".gpkg"):
        refuse_queries(folder / main, shown)
    return folder / main


def companions_of(path: Path) -> dict[str, Path]:
    """The companions of a Shapefile that are there, by ending, whatever its case."""
    spelled = ((ending, path.with_suffix(e)) for ending in _COMPANIONS for e in _cases(ending))
    found: dict[str, Path] = {}
    for ending, other in spelled:
        if other.exists():
            found.setdefault(ending, other)
    return found


def _cases(ending: str) -> tuple[str, str]:
    return ending, ending.upper()


def _beside(path: Path, shown: str) -> dict[str, bytes]:
    way = PurePosixPath(shown)
    return {
        f"{path.stem}{ending}": read_bytes(
            other, way.with_suffix(other.suffix).as_posix(), MAX_GIS_BYTES
        )
        for ending, other in companions_of(path).items()
    }


def _unpacked(raw: bytes, shown: str) -> tuple[dict[str, bytes], str]:
    """The one drawing in a zip file with its companions, and its name."""
    try:
        with zipfile.ZipFile(BytesIO(raw)) as packed:
            entries = packed.infolist()
            if len(entries) > MAX_ZIP_FILES or sum(e.file_size for e in entries) > MAX_GIS_BYTES:
                says = f"unfolds to more than {MAX_ZIP_FILES} files or {MAX_GIS_BYTES:,} bytes"
                raise unreadable(shown, says, "zip only what matters")
            drawings = [e for e in entries if PurePosixPath(e.filename).suffix.lower() in FORMATS]
            if len(drawings) != 1:
                says = f"holds {len(drawings)} Shapefiles or GeoPackages"
                raise unreadable(shown, says, "zip one at a time, with its companion files")
            way = PurePosixPath(drawings[0].filename)
            wanted = {way.suffix.lower(), *_COMPANIONS}
            kept = [
                entry
                for entry in entries
                if PurePosixPath(entry.filename).with_suffix("") == way.with_suffix("")
                and PurePosixPath(entry.filename).suffix.lower() in wanted
            ]
            stem = re.sub(r"[^\w .-]", "_", way.stem) or "drawing"
            files = {
                f"{stem}{PurePosixPath(entry.filename).suffix.lower()}": _entry(packed, entry)
                for entry in kept
            }
    except (zipfile.BadZipFile, zipfile.LargeZipFile, EOFError) as error:
        raise unreadable(shown, "is no zip file", "zip it again") from error
    except (OSError, ValueError, NotImplementedError, RuntimeError) as error:
        do = "zip it again, without a password"
        raise unreadable(shown, "cannot be unpacked", do) from error
    return files, f"{stem}{way.suffix.lower()}"


def _entry(packed: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """One file; what unfolds to more than it says is no zip file."""
    with packed.open(entry) as stream:
        content = stream.read(entry.file_size + 1)
    if len(content) != entry.file_size:
        raise zipfile.BadZipFile
    return content


def _refuse_disguise(raw: bytes, suffix: str, shown: str) -> None:
    if not raw.startswith(_STARTS[suffix]):
        says = f"is no {_CALLED[suffix]}, whatever its name says"
        raise unreadable(shown, says, "export it again from the GIS program")


def _readable(raw: bytes) -> str:
    return raw.decode("utf-8", "replace")


def refuse_queries(path: Path, shown: str) -> None:
    """Refuse a database with tables that read other files, or views that may never end.

    Raises:
        BadInput: It holds such a table or view, or is no database.
    """
    import sqlite3

    try:
        base = sqlite3.connect(f"{path.as_uri()}?mode=ro&immutable=1", uri=True)
        base.text_factory = _readable
        try:
            known = base.execute("SELECT type, name, sql FROM sqlite_master LIMIT 5000").fetchall()
            tables = {name for kind, name, _ in known if kind == "table"}
            layers: list[Any] = []
            if "gpkg_contents" in tables:
                layers = base.execute("SELECT table_name FROM gpkg_contents LIMIT 5000").fetchall()
        finally:
            base.close()
    except sqlite3.Error as error:
        says = f"cannot be read: {str(error)[:80]}"
        raise unreadable(shown, says, "export it again from the GIS program") from error
    names = {str(name).lower() for (name,) in layers}
    for kind, name, sql in known:
        is_view = kind == "view" and (
            str(name).lower() in names or str(name).lower().startswith("gpkg_")
        )
        if is_view or (kind == "table" and _VIRTUAL.match(str(sql))):
            says = f"'{str(name)[:40]}' is a query, not a table"
            raise unreadable(shown, says, "export the layer as a table of its own")
