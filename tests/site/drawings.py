"""Makes the drawings of the samples, all invented: `PYTHONHASHSEED=0 python -m
tests.site.drawings` (the seed keeps the order of one DXF table).

The files are kept beside their site files, since a reader of samples wants files; this script says
how they came about, and the tests draw on its parts.
"""

from __future__ import annotations

import json
import math
import os
import warnings
import zipfile
from pathlib import Path
from typing import Any

import shapely

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
ORIGIN = (-98.0, 31.0)
"""Where the GeoJSON lot is put; no real lot lies behind it."""
GRID_SHIFT_FT = (3_100_000.0, 10_000_000.0)
DATE = "2026-01-01T00:00:00.000Z"


def dxf_lot() -> Any:
    """A corner lot in feet with most of what drawings hold: blocks, hatches, arcs, loose lines."""
    import ezdxf.filemanagement
    from ezdxf._options import options

    options.write_fixed_meta_data_for_testing = True
    drawing = ezdxf.filemanagement.new("R2010", units=2)
    space = drawing.modelspace()
    for name in ("LOT-LINE", "HOUSE", "DRIVE", "WALK", "PATIO", "POOL", "COPING", "TREES", "NOTES"):
        drawing.layers.add(name)

    def on(layer: str) -> dict[str, str]:
        return {"layer": layer}

    corner = math.tan(math.pi / 8)
    space.add_lwpolyline(
        [(0, 0, 0), (70, 0, corner), (90, 20, 0), (90, 120, 0), (0, 120, 0)],
        format="xyb", close=True, dxfattribs=on("LOT-LINE"),
    )  # fmt: skip
    # Drawn at half size to the right of its corner, inserted twice as large and mirrored.
    house = drawing.blocks.new("HOUSE-PLAN")
    house.add_lwpolyline([(0, 0), (25, 0), (25, 18), (0, 18)], close=True)
    space.add_blockref(
        "HOUSE-PLAN", (70, 30), dxfattribs={"layer": "HOUSE", "xscale": -2, "yscale": 2}
    )
    # Its ends meet, but no flag says that it is closed.
    space.add_lwpolyline([(40, 0), (60, 0), (60, 30), (40, 30), (40, 0)], dxfattribs=on("DRIVE"))
    walk = space.add_hatch(dxfattribs=on("WALK"))
    walk.set_pattern_fill("ANSI31")
    walk.paths.add_polyline_path([(28, 10), (32, 10), (32, 30), (28, 30)], is_closed=True)
    for start, end in (
        ((25, 70), (65, 70)), ((65, 70), (65, 75)), ((65, 95), (65, 100)),
        ((65, 100), (25, 100)), ((25, 100), (25, 70)),
    ):  # fmt: skip
        space.add_line(start, end, dxfattribs=on("PATIO"))
    space.add_arc((65, 85), 10, -90, 90, dxfattribs=on("PATIO"))
    space.add_circle((45, 85), 9, dxfattribs=on("POOL"))
    space.add_circle((45, 85), 9, dxfattribs=on("COPING"))
    space.add_circle((45, 85), 10, dxfattribs=on("COPING"))
    tree = drawing.blocks.new("TREE")
    tree.add_circle((0, 0), 1)
    space.add_blockref("TREE", (12, 108), dxfattribs={"layer": "TREES", "xscale": 4, "yscale": 4})
    space.add_blockref("TREE", (80, 108), dxfattribs={"layer": "TREES", "xscale": 3, "yscale": 3})
    drawing.layers.get("TREES").freeze()
    space.add_text("LOT 5", dxfattribs=on("NOTES"))
    drawing.layout("Layout1").add_text("SHEET 1", dxfattribs=on("NOTES"))
    return drawing


def geojson_lot() -> dict[str, Any]:
    """A lot of round metres, carried to longitude and latitude with nine decimals."""
    import pyproj

    plane = f"+proj=tmerc +lat_0={ORIGIN[1]} +lon_0={ORIGIN[0]} +k=1 +datum=WGS84 +units=m"
    globe = pyproj.Transformer.from_crs(plane, "OGC:CRS84", always_xy=True)

    def ring(points: list[tuple[float, float]]) -> list[list[float]]:
        return [
            [round(number, 9) for number in globe.transform(x, y)] for x, y in [*points, points[0]]
        ]

    def box(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
        return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]

    parts = {
        "lot": [box(0, 0, 24, 36)],
        "house": [box(6, 8, 18, 17)],
        "drive": [box(10, 0, 15, 8)],
        "patio": [box(6, 24, 18, 32), box(8, 26, 16, 30)[::-1]],
        "pool": [box(8, 26, 16, 30)],
    }
    features = [
        {
            "type": "Feature",
            "properties": {"layer": name},
            "geometry": {"type": "Polygon", "coordinates": [ring(points) for points in rings]},
        }
        for name, rings in parts.items()
    ]
    well = [round(number, 9) for number in globe.transform(3.0, 33.0)]
    features.append(
        {
            "type": "Feature",
            "properties": {"layer": "well"},
            "geometry": {"type": "Point", "coordinates": well},
        }
    )
    return {"type": "FeatureCollection", "features": features}


GIS_PARTS = {
    "parcel": shapely.box(0, 0, 80, 100),
    "house": shapely.box(20, 25, 60, 55),
    "drive": shapely.box(30, 5, 50, 25),
    "patio": shapely.box(25, 60, 55, 80),
}
"""A lot in US survey feet, before it is put on a state plane grid."""


def write_gis(
    path: Path, parts: dict[str, Any], crs: str | None, driver: str, layer: str = ""
) -> None:
    """One layer a part, or all parts on one layer with their names in the field `layer`."""
    import numpy as np
    import pyogrio

    groups = [(layer, list(parts))] if layer else [(name, [name]) for name in parts]
    for index, (name, members) in enumerate(groups):
        shapes = [
            shapely.to_wkb(shapely.transform(parts[m], lambda xy: xy + GRID_SHIFT_FT))
            if crs is not None
            else shapely.to_wkb(parts[m])
            for m in members
        ]
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            pyogrio.raw.write(
                path, np.array(shapes, dtype=object), [np.array(members, dtype=object)],
                np.array(["layer"], dtype=object), layer=name, driver=driver,
                geometry_type="Polygon", crs=crs, append=index > 0,
            )  # fmt: skip


def write_zip(folder: Path, path: Path) -> None:
    """All files of a folder in a zip file that is the same in every run."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        for file in sorted(folder.iterdir()):
            packed.writestr(zipfile.ZipInfo(file.name, (2026, 1, 1, 0, 0, 0)), file.read_bytes())


def main() -> None:
    """Write every drawing of the samples."""
    import tempfile

    os.environ["OGR_CURRENT_DATE"] = DATE
    dxf_lot().saveas(SAMPLES / "dxf-lot" / "survey.dxf")
    text = json.dumps(geojson_lot(), indent=1) + "\n"
    (SAMPLES / "geojson-lot" / "lot.geojson").write_text(text, encoding="utf-8")
    package = SAMPLES / "gis-lot" / "lot.gpkg"
    package.unlink(missing_ok=True)
    write_gis(package, GIS_PARTS, "EPSG:2277", "GPKG")
    with tempfile.TemporaryDirectory() as folder:
        shape = Path(folder) / "surfaces.shp"
        write_gis(shape, GIS_PARTS, "EPSG:2277", "ESRI Shapefile", layer="surfaces")
        write_zip(Path(folder), SAMPLES / "gis-lot" / "surfaces.zip")


if __name__ == "__main__":
    main()
