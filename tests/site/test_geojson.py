"""GeoJSON: longitude and latitude against geodesic areas, plan coordinates, and what is refused."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pyproj
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checker.core.problems import BadInput
from checker.site.model import Site
from checker.site.read import read_site
from tests.site.cases import area_ft2

Ring = Sequence[tuple[float, ...]]
TYPES = (
    "Feature, FeatureCollection, GeometryCollection, LineString, MultiLineString, MultiPoint, "
    "MultiPolygon, Point, Polygon"
)


def box(x: float, y: float, width: float, depth: float) -> Ring:
    ring: Ring = [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth), (x, y)]
    return ring


def feature(name: str, ring: Ring | None, by: str = "layer") -> dict[str, Any]:
    shape = None if ring is None else {"type": "Polygon", "coordinates": [ring]}
    return {"type": "Feature", "properties": {by: name}, "geometry": shape}


def read(
    folder: Path, data: Any, drawing: str = "", units: str = "ft", shape: str = "layer: it"
) -> Site:
    text = data if isinstance(data, str) else json.dumps(data)
    (folder / "d.geojson").write_text(text, encoding="utf-8")
    (folder / "site.yaml").write_text(
        f"""\
format: site/1
title: t
place: nowhere
units: {units}
drawing: {{file: d.geojson{drawing}}}
lot: {{boundary: {{layer: lot}}}}
surfaces:
  - {{id: it, material: lawn, shape: {{{shape}}}}}
""",
        encoding="utf-8",
    )
    return read_site(folder / "site.yaml", "site.yaml")


def complaints(folder: Path, data: Any, drawing: str = "") -> list[str]:
    with pytest.raises(BadInput) as error:
        read(folder, data, drawing)
    return [str(problem) for problem in error.value.problems]


def collection(*features: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"type": "FeatureCollection", "features": list(features)} | more


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(longitude=st.floats(-179, 179), latitude=st.floats(-75, 75), size=st.floats(2e-4, 2e-3))
def test_areas_are_the_geodesic_ones(
    tmp_path: Path, longitude: float, latitude: float, size: float
) -> None:
    """A general-purpose library's geodesic area on the WGS 84 ellipsoid is the yardstick."""
    ring = box(longitude, latitude, size, size)
    site = read(tmp_path, collection(feature("lot", ring), feature("it", ring)), units="m")
    geodesic = pyproj.Geod(ellps="WGS84").polygon_area_perimeter(
        [point[0] for point in ring], [point[1] for point in ring]
    )
    assert site.lot.boundary.area == pytest.approx(abs(geodesic[0]), rel=1e-6)


def test_north_is_up_and_metres_are_true(tmp_path: Path) -> None:
    """A line along a meridian points up, and has the geodesic length."""
    lot = box(10.0, 50.0, 0.001, 0.001)
    data = collection(feature("lot", lot), feature("it", lot))
    site = read(tmp_path, data, drawing=", origin: [10, 50]", units="m")
    geod = pyproj.Geod(ellps="WGS84")
    length = geod.inv(10, 50, 10, 50.001)[2]
    left_edge = site.lot.lines[3].line
    assert left_edge.coords[1] == (0.0, 0.0)
    assert left_edge.coords[0][0] == pytest.approx(0, abs=1e-6)
    assert left_edge.length == pytest.approx(length, rel=1e-9)


def test_plan_coordinates_that_say_so(tmp_path: Path) -> None:
    data = collection(feature("lot", box(0, 0, 100, 100)), feature("it", box(10, 10, 20, 10)))
    site = read(tmp_path, data, drawing=", coordinates: plan")
    assert area_ft2(site.surface("it").shape) == pytest.approx(200)
    metres = read(tmp_path, data, drawing=", coordinates: plan, unit: m")
    assert metres.surface("it").shape.area == pytest.approx(200)


def test_named_grid_of_older_files(tmp_path: Path) -> None:
    """EPSG:2277 is in US survey feet: 100 x 100 of them are 10,000.04 square feet."""
    x, y = 3_100_000.0, 10_000_000.0
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::2277"}}
    lot, it = feature("lot", box(x, y, 100, 100)), feature("it", box(x, y, 20, 10))
    data = collection(lot, it, crs=crs)
    site = read(tmp_path, data)
    assert area_ft2(site.lot.boundary) == pytest.approx(10_000.04, abs=0.005)


def test_web_map_grid_is_projected_anew(tmp_path: Path) -> None:
    """At 60 degrees a web map stretches lengths by 1 / cos 60 = 2: 100 m on it are 50 m."""
    to_web = pyproj.Transformer.from_crs("OGC:CRS84", "EPSG:3857", always_xy=True)
    x, y = to_web.transform(10.0, 60.0)
    crs = {"type": "name", "properties": {"name": "EPSG:3857"}}
    lot, it = feature("lot", box(x, y, 100, 100)), feature("it", box(x, y, 20, 10))
    data = collection(lot, it, crs=crs)
    site = read(tmp_path, data)
    assert site.lot.boundary.area == pytest.approx(2500, rel=0.01)


def test_holes_multipolygons_points_and_lines(tmp_path: Path) -> None:
    """100 - 4 with a hole wound either way, twice."""
    hole = box(2, 2, 2, 2)
    two = [[box(10, 10, 10, 10), [(x + 10, y + 10) for x, y in hole]],
           [box(30, 10, 10, 10), [(x + 30, y + 10) for x, y in hole[::-1]]]]  # fmt: skip
    multi = feature("it", None)
    multi["geometry"] = {"type": "MultiPolygon", "coordinates": two}
    data = collection(feature("lot", box(0, 0, 100, 100)), multi)
    site = read(tmp_path, data, drawing=", coordinates: plan")
    assert area_ft2(site.surface("it").shape) == pytest.approx(192)


def test_ring_that_does_not_repeat_its_first_position(tmp_path: Path) -> None:
    open_ring = [(10, 10), (20, 10), (20, 20), (10, 20)]
    lot = feature("lot", box(0, 0, 100, 100))
    data = collection(lot, feature("it", open_ring))
    closed = read(tmp_path, data, drawing=", coordinates: plan")
    assert area_ft2(closed.surface("it").shape) == pytest.approx(100)
    assert [repair.says for repair in closed.repairs] == [
        "a ring does not repeat its first position at the end; closed with a straight line"
    ]


def test_coarse_degrees_are_told(tmp_path: Path) -> None:
    """RFC 7946 section 11.2: six decimals are about 10 centimetres."""
    lot = box(-97.123, 30.234, 0.0003, 0.0003)
    rounded = [(round(x, 6), round(y, 6)) for x, y in lot]
    site = read(tmp_path, collection(feature("lot", rounded), feature("it", rounded)))
    assert site.repairs[0].says == (
        "its degrees have at most 4 decimals; the sixth is about 0.1 m (0.36 ft), too coarse for "
        "setbacks"
    )


def test_pairs_of_escapes_and_tabs_are_json_too(tmp_path: Path) -> None:
    lot, it = feature("lot", box(0, 0, 100, 100)), feature("it \U0001f600", box(1, 1, 5, 5))
    data = json.dumps(collection(lot, it), indent="\t")
    assert "\\ud83d" in data
    site = read(tmp_path, data, drawing=", coordinates: plan", shape='layer: "it \U0001f600"')
    assert area_ft2(site.surface("it").shape) == pytest.approx(25)


def test_layer_by_another_property(tmp_path: Path) -> None:
    lot = feature("lot", box(0, 0, 100, 100), by="kind")
    it = feature("it", box(0, 0, 10, 10), by="kind")
    site = read(tmp_path, collection(lot, it), drawing=", coordinates: plan, layer_by: kind")
    assert area_ft2(site.surface("it").shape) == pytest.approx(100)


REFUSED = [
    ("[]", "1:1: is no GeoJSON; give a FeatureCollection"),
    ("{}", f"1:1: has no 'type'; use one of: {TYPES}"),
    ('{"type": "Topology"}', f"1:10: 'Topology' is no type of GeoJSON; use one of: {TYPES}"),
    ('{"type": "FeatureCollection"}', "1:1: 'features' is missing or no list; give a list"),
    (
        '{"type": "Polygon", "coordinates": [[[0, 0], [1, "a"], [1, 1], [0, 0]]]}',
        "1:46: a position is no pair of numbers; write it like [x, y]",
    ),
    (
        '{"type": "Polygon", "coordinates": [[[0, 0], [1, 1]]]}',
        "1:36: a ring has 2 positions; give at least 4, the last equal to the first",
    ),
    (
        '{"type": "Polygon", "coordinates": 5}',
        "1:36: coordinates are no list; give lists of positions",
    ),
    (
        '{"type": "Polygon"',
        "2:1: did not find expected ',' or '}'; check the indentation and the brackets just above",
    ),
]


@pytest.mark.parametrize(("data", "says"), REFUSED)
def test_refused(tmp_path: Path, data: str, says: str) -> None:
    assert complaints(tmp_path, data) == [f"d.geojson:{says}"]


def test_degrees_said_to_be_feet_are_refused(tmp_path: Path) -> None:
    lot = box(-97.1234567, 30.2345678, 0.0003, 0.0003)
    data = collection(feature("lot", lot), feature("it", lot))
    assert complaints(tmp_path, data, ", coordinates: plan, unit: ft") == [
        (
            "d.geojson: its numbers reach over less than 0.05 ft; they look like degrees; remove "
            "'coordinates: plan' from the site file"
        )
    ]


def test_feet_that_nobody_announced_are_refused(tmp_path: Path) -> None:
    data = collection(feature("lot", box(0, 0, 200, 300)), feature("it", box(0, 0, 10, 10)))
    assert complaints(tmp_path, data) == [
        (
            "d.geojson: its numbers are no longitude and latitude (0 to 200, 0 to 300); if they "
            "are "
            "plan coordinates, say 'coordinates: plan' and 'unit:' in the site file"
        )
    ]


def test_small_plans_that_nobody_announced_are_no_lot(tmp_path: Path) -> None:
    """80 x 60 could be degrees; they would reach over half the globe."""
    data = collection(feature("lot", box(0, 0, 80, 60)), feature("it", box(0, 0, 10, 10)))
    assert complaints(tmp_path, data) == [
        (
            "d.geojson: reaches over more than 1 degree, which is no lot; keep only the lot and "
            "what "
            "lies on it; if the numbers are a plan, say so with 'coordinates' and 'unit' of the "
            "drawing"
        )
    ]


def test_swapped_axes_are_told(tmp_path: Path) -> None:
    lot = [(y, x) for x, y in box(-97.1234567, 30.2345678, 0.0003, 0.0003)]
    (found,) = complaints(tmp_path, collection(feature("lot", lot), feature("it", lot)))
    assert found.endswith("GeoJSON puts longitude first; swap the two numbers of each position")


def test_unknown_reference_is_refused(tmp_path: Path) -> None:
    crs = {"type": "name", "properties": {"name": "EPSG:999999"}}
    data = collection(feature("lot", box(0, 0, 100, 100)), crs=crs)
    assert complaints(tmp_path, data) == [
        (
            "d.geojson: its coordinate reference 'EPSG:999999' cannot be used; project the file "
            "to a plan, or say under 'drawing:' what its 'coordinates' are"
        )
    ]


def test_missing_library_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "pyproj", None)
    lot = box(-97.1234567, 30.2345678, 0.0003, 0.0003)
    assert complaints(tmp_path, collection(feature("lot", lot), feature("it", lot))) == [
        (
            "d.geojson: needs the library pyproj for longitude and latitude; install it with: pip "
            "install '.[gis]', or give plan coordinates"
        )
    ]
