"""GeoPackage and Shapefile, written here by a general-purpose library."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import pytest
import shapely

from checker.core.problems import BadInput
from checker.site.model import Site
from checker.site.read import read_site
from tests.site.cases import area_ft2
from tests.site.drawings import GIS_PARTS, SAMPLES, write_gis, write_zip

LAYERS = "layers: {parcel: lot, house: roof, drive: asphalt, patio: gravel}"
SURFACES = "\n".join(
    f"  - {{id: {name}, shape: {{layer: {name}}}}}" for name in ("house", "drive", "patio")
)


def read(folder: Path, drawing: str, surfaces: str = SURFACES, units: str = "ft") -> Site:
    (folder / "site.yaml").write_text(
        f"""\
format: site/1
title: t
place: nowhere
units: {units}
drawing: {{{drawing}}}
lot: {{boundary: {{layer: parcel}}}}
surfaces:
{surfaces}
""",
        encoding="utf-8",
    )
    return read_site(folder / "site.yaml", "site.yaml")


def complaints(folder: Path, drawing: str) -> list[str]:
    with pytest.raises(BadInput) as error:
        read(folder, drawing)
    return [str(problem) for problem in error.value.problems]


def areas(site: Site) -> list[float]:
    shapes = [site.lot.boundary, *(surface.shape for surface in site.surfaces)]
    return [area_ft2(shape) for shape in shapes]


def shapefile(folder: Path, crs: str | None) -> None:
    write_gis(folder / "all.shp", GIS_PARTS, crs, "ESRI Shapefile", layer="all")


def test_geopackage_on_a_grid_in_survey_feet(tmp_path: Path) -> None:
    """80 x 100, 40 x 30, 20 x 20 and 30 x 20 survey feet; each foot is 2 parts in a million "
    "more."""
    write_gis(tmp_path / "d.gpkg", GIS_PARTS, "EPSG:2277", "GPKG")
    site = read(tmp_path, f"file: d.gpkg, {LAYERS}")
    assert areas(site) == pytest.approx([8000, 1200, 400, 600], rel=5e-6)
    assert area_ft2(site.lot.boundary) == pytest.approx(8000.032, abs=1e-3)


def test_geopackage_in_degrees(tmp_path: Path) -> None:
    """About 30 N a degree is 110.85 km north and 96.49 km east (WGS 84, from memory)."""
    degrees = {
        name: shapely.transform(shape, lambda xy: xy * 1e-6 + (-97.0, 30.0))
        for name, shape in GIS_PARTS.items()
    }
    import pyogrio

    write_gis(tmp_path / "d.gpkg", degrees, None, "GPKG")
    del pyogrio
    site = read(tmp_path, f"file: d.gpkg, coordinates: longitude-latitude, {LAYERS}")
    assert site.lot.boundary.area == pytest.approx(8000 * 0.11085 * 0.09649, rel=1e-3)


@pytest.mark.parametrize("packed", [False, True])
def test_shapefile_by_a_field_plain_and_zipped(tmp_path: Path, *, packed: bool) -> None:
    folder = tmp_path / "shape"
    folder.mkdir()
    shapefile(folder, "EPSG:2277")
    write_zip(folder, tmp_path / "all.zip")
    name = "all.zip" if packed else "shape/all.shp"
    site = read(tmp_path, f"file: {name}, layer_by: layer, {LAYERS}")
    assert areas(site) == pytest.approx([8000, 1200, 400, 600], rel=5e-6)


def test_the_two_samples_are_one_lot() -> None:
    package = read_site(SAMPLES / "gis-lot" / "site.yaml", "site.yaml")
    shape = read_site(SAMPLES / "gis-lot" / "shapefile.yaml", "shapefile.yaml")
    assert areas(package) == pytest.approx(areas(shape), rel=1e-12)
    front = [site.lot.side("front") for site in (package, shape)]
    assert front[0] is not None
    assert front[1] is not None
    assert front[0].equals(front[1])


def test_missing_reference_is_asked_for(tmp_path: Path) -> None:
    shapefile(tmp_path, None)
    assert complaints(tmp_path, f"file: all.shp, layer_by: layer, {LAYERS}") == [
        (
            "all.shp: it names no coordinate reference (a Shapefile keeps it in its .prj file); "
            "say "
            "'coordinates: plan' and unit: under 'drawing:', if that is what its numbers are"
        )
    ]
    assert complaints(tmp_path, f"file: all.shp, layer_by: layer, coordinates: plan, {LAYERS}") == [
        "all.shp: its plan coordinates have no unit; say 'unit:' under 'drawing:'"
    ]
    drawing = f"file: all.shp, layer_by: layer, coordinates: plan, unit: ft, {LAYERS}"
    assert areas(read(tmp_path, drawing)) == pytest.approx([8000, 1200, 400, 600])


def test_field_that_is_not_there(tmp_path: Path) -> None:
    shapefile(tmp_path, "EPSG:2277")
    assert complaints(tmp_path, "file: all.shp, layer_by: lyaer") == [
        "all.shp: the layer 'all' has no field 'lyaer'; did you mean 'layer'?"
    ]


def test_it_is_told_that_it_is_no_survey(tmp_path: Path) -> None:
    write_gis(tmp_path / "d.gpkg", GIS_PARTS, "EPSG:2277", "GPKG")
    assert [repair.says for repair in read(tmp_path, f"file: d.gpkg, {LAYERS}").repairs] == [
        "a GIS file is seldom a survey; compare the lot with its deed or plat"
    ]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("d.gpkg", b""),
        ("d.gpkg", b"SQLite format 3\x00" + b"\x00" * 200),
        ("d.gpkg", b"not a database at all"),
        ("d.shp", b"\x00\x00\x27\x0a" + b"\xff" * 96),
        ("d.zip", b"PK\x03\x04 broken"),
    ],
    ids=["empty", "no-tables", "no-database", "no-index", "no-zip"],
)
def test_damaged_files_are_refused(tmp_path: Path, name: str, content: bytes) -> None:
    (tmp_path / name).write_bytes(content)
    (found,) = complaints(tmp_path, f"file: {name}")
    assert found.startswith(f"{name}: ")
    assert str(tmp_path) not in found


def test_zip_that_unfolds_to_too_much_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "d.zip", "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("a.shp", b"\x00" * 120_000_000)
    assert complaints(tmp_path, "file: d.zip") == [
        "d.zip: unfolds to more than 100 files or 100,000,000 bytes; zip only what matters"
    ]


def test_zip_with_two_drawings_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "d.zip", "w") as packed:
        packed.writestr("a.shp", b"")
        packed.writestr("b.gpkg", b"")
    assert complaints(tmp_path, "file: d.zip") == [
        "d.zip: holds 2 Shapefiles or GeoPackages; zip one at a time, with its companion files"
    ]


VRT = b"<OGRVRTDataSource><OGRVRTLayer name='house'><SrcDataSource>{}</SrcDataSource></OGRVRTLayer>"


@pytest.mark.parametrize("name", ["d.shp", "d.gpkg", "D.SHP"])
def test_a_file_that_names_others_is_not_opened(tmp_path: Path, name: str) -> None:
    """A description of a virtual source made the library read any file, or an address."""
    (tmp_path / name).write_bytes(VRT.replace(b"{}", b"/vsicurl/http://127.0.0.1:9/lot.geojson"))
    kind = "Shapefile" if name.lower().endswith("shp") else "GeoPackage"
    assert complaints(tmp_path, f"file: {name}") == [
        f"{name}: is no {kind}, whatever its name says; export it again from the GIS program"
    ]


def test_a_zip_file_is_held_to_the_same(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "d.zip", "w") as packed:
        packed.writestr("a.shp", VRT)
    assert complaints(tmp_path, "file: d.zip") == [
        "d.zip: is no Shapefile, whatever its name says; export it again from the GIS program"
    ]


def test_formats_that_lead_elsewhere_are_switched_off() -> None:
    code = (
        "from checker.site.gis_files import gis_library\n"
        "found = set(gis_library('x').list_drivers())\n"
        "assert {'ESRI Shapefile', 'GPKG'} <= found, found\n"
        "assert not found & {'OGR_VRT', 'HTTP', 'WFS', 'GDALG', 'SQLite', 'OAPIF'}, found\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@pytest.mark.parametrize(
    ("sql", "name"),
    [
        ("CREATE VIRTUAL TABLE other USING VirtualOGR('/etc/passwd')", "other"),
        ("CREATE VIRTUAL TABLE words USING fts3(a)", "words"),
    ],
)
def test_a_database_that_asks_elsewhere_is_refused(tmp_path: Path, sql: str, name: str) -> None:
    write_gis(tmp_path / "d.gpkg", GIS_PARTS, "EPSG:2277", "GPKG")
    with sqlite3.connect(tmp_path / "d.gpkg") as base:
        base.execute("PRAGMA writable_schema=ON")
        base.execute(
            "INSERT INTO sqlite_master (type, name, tbl_name, rootpage, sql) VALUES (?,?,?,0,?)",
            ("table", name, name, sql),
        )
    base.close()
    assert complaints(tmp_path, "file: d.gpkg") == [
        f"d.gpkg: '{name}' is a query, not a table; export the layer as a table of its own"
    ]


def test_a_database_with_broken_letters_is_no_mistake_of_ours(tmp_path: Path) -> None:
    write_gis(tmp_path / "d.gpkg", GIS_PARTS, "EPSG:2277", "GPKG")
    raw = (tmp_path / "d.gpkg").read_bytes()
    assert b"RAISE(ABORT, 'insert" in raw
    spoilt = raw.replace(b"RAISE(ABORT, 'insert", b"RAISE(ABORT, '\xa1nsert")
    (tmp_path / "d.gpkg").write_bytes(spoilt)
    site = read(tmp_path, f"file: d.gpkg, {LAYERS}")
    assert areas(site) == pytest.approx([8000, 1200, 400, 600], rel=5e-6)


def test_a_layer_that_is_a_query_without_end_is_refused(tmp_path: Path) -> None:
    write_gis(tmp_path / "d.gpkg", GIS_PARTS, "EPSG:2277", "GPKG")
    with sqlite3.connect(tmp_path / "d.gpkg") as base:
        base.execute(
            "CREATE VIEW forever AS WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x+1 FROM c) "
            "SELECT x AS fid, NULL AS geom FROM c"
        )
        base.execute(
            "INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id) "
            "VALUES ('forever', 'features', 'forever', 0)"
        )
    base.close()
    assert complaints(tmp_path, "file: d.gpkg") == [
        "d.gpkg: 'forever' is a query, not a table; export the layer as a table of its own"
    ]


def test_a_reference_that_names_a_file_of_shifts_is_refused(tmp_path: Path) -> None:
    shapefile(tmp_path, "EPSG:2277")
    with (tmp_path / "all.prj").open("a") as stream:
        stream.write('EXTENSION["PROJ4","+proj=longlat +nadgrids=/dev/zero"]')
    assert complaints(tmp_path, f"file: all.shp, layer_by: layer, {LAYERS}") == [
        (
            "all.shp: its coordinate reference names a grid file of shifts, which is not opened; "
            "project it first"
        )
    ]


@pytest.mark.parametrize("ending", [".dbf", ".shx", ".prj", ".cpg"])
def test_a_companion_that_is_a_pipe_is_not_waited_for(tmp_path: Path, ending: str) -> None:
    shapefile(tmp_path, "EPSG:2277")
    (tmp_path / f"all{ending}").unlink(missing_ok=True)
    os.mkfifo(tmp_path / f"all{ending}")
    assert complaints(tmp_path, f"file: all.shp, layer_by: layer, {LAYERS}") == [
        f"site.yaml:5:17: all{ending} is not a plain file; name a plain file"
    ]


def test_missing_library_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    (tmp_path / "d.gpkg").write_bytes(b"x")
    monkeypatch.setitem(sys.modules, "pyogrio", None)
    assert complaints(tmp_path, "file: d.gpkg") == [
        "d.gpkg: needs the library pyogrio to be read; install it with: pip install '.[gis]'"
    ]


NO_KIND = "is no kind of drawing that can be read; give a .dxf, .geojson, .gpkg or .shp file"
NO_DRAWINGS = {
    "gone.dxf": "site.yaml:5:17: gone.dxf does not exist; check the name and the folder you are in",
    ".": f".: '' {NO_KIND}",
    "a.pdf": f"a.pdf: '.pdf' {NO_KIND}",
    "a.dwg": f"a.dwg: '.dwg' {NO_KIND.partition(';')[0]}; save it as .dxf from the program that "
    "made it",
    "folder.dxf": "site.yaml:5:17: folder.dxf is a folder, not a file; name the file inside it",
}


@pytest.mark.parametrize(("name", "says"), NO_DRAWINGS.items())
def test_files_that_cannot_be_drawings(tmp_path: Path, name: str, says: str) -> None:
    (tmp_path / "folder.dxf").mkdir()
    found: Any = complaints(tmp_path, f"file: {name}")
    assert found == [says]
