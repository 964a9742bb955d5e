"""A new site file checks at once, whatever it starts from."""

from __future__ import annotations

import json
import shutil
import typing
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checker import api
from checker.core.problems import BadInput
from checker.files.plain import quoted
from checker.files.site_shape import FeatureShape
from checker.files.source import read_text
from checker.site import scaffold
from checker.site.drawn_layers import FEATURE_KINDS
from checker.site.layer_words import layer_words
from checker.site.model import Site
from checker.site.read import site_of
from tests.site.cases import area_ft2
from tests.site.drawings import SAMPLES


def new_site(*given: Any, **named: Any) -> str:
    return scaffold.new_site(*given, **named).text


def read(text: str, folder: Path) -> Site:
    return site_of(read_text(text, "site.yaml"), folder / "site.yaml")


@pytest.mark.parametrize("units", ["ft", "m", "us survey ft", "in", "mm", "cm", "yd"])
def test_plain_file_checks_at_once(units: str) -> None:
    site = read(new_site("My lot: #1", "alder-ferry", units), Path())
    assert site.title == "My lot: #1"
    assert site.unit == units
    assert site.is_invented
    assert not site.repairs
    assert 500 < site.lot.boundary.area < 1200


def test_questions_of_the_rule_set_are_written_as_remarks() -> None:
    text = new_site("t", "alder-ferry", "ft", facts={"zone": "the zoning district of the lot"})
    assert "#   zone: ...    # the zoning district of the lot\n" in text
    assert read(text, Path()).facts == {}


@pytest.mark.parametrize("drawing", [None, "dxf-lot/survey.dxf", "gis-lot/lot.gpkg"])
def test_every_remark_that_holds_a_key_may_be_taken_up(drawing: str | None) -> None:
    file = SAMPLES / drawing if drawing else None
    text = new_site("t", "alder-ferry", "ft", file)
    keys = ("features:", "none_found:", "regions:", "on_file:", "  - {id:", "  - {document:")
    taken_up = "\n".join(
        line.removeprefix("# ") if line.removeprefix("# ").startswith(keys) else line
        for line in text.splitlines()
    )
    site = read(taken_up, file.parent if file else Path())
    assert [region.kind for region in site.regions] == ["easement"]
    assert len(site.features) == 1
    assert len(site.on_file) == 1


def test_from_a_dxf_drawing() -> None:
    folder = SAMPLES / "dxf-lot"
    text = new_site("t", "alder-ferry", "ft", folder / "survey.dxf")
    site = read(text, folder)
    made = {s.id: (s.material.id, round(area_ft2(s.shape), 2)) for s in site.surfaces}
    # As worked by hand in the sample: 1,800, 600, 80, 1,200 + 50 pi, 81 pi, 19 pi.
    assert made == {
        "coping": ("pool-coping", 59.69),
        "drive": ("concrete-drive", 600.0),
        "house": ("roof", 1800.0),
        "patio": ("concrete-slab", 1357.08),
        "pool": ("pool-water", 254.47),
        "walk": ("concrete-slab", 80.0),
    }
    assert [feature.kind for feature in site.features] == ["tree"]
    assert area_ft2(site.lot.boundary) == pytest.approx(10_714.16, abs=0.005)
    curve = "curve left R 20.00' L 31.42' Δ 90°00'00\" chord N 45°00'00\" E 28.28'"
    for line in (
        "    HOUSE: roof?    # from 'house'; 1 polyline, 1,800 sq ft",
        "    NOTES: ignore    # from 'note'; lettering; 1 text",
        f"  #   2: from [70, 0] {curve}",
        "  # the layer 'TREES' is frozen; it was read all the same",
    ):
        assert line in text.splitlines()


@pytest.mark.parametrize(
    ("name", "surfaces"),
    [
        ("geojson-lot/lot.geojson", ["drive", "house", "patio", "pool"]),
        ("gis-lot/lot.gpkg", ["drive", "house", "patio"]),
        ("gis-lot/surfaces.zip", ["drive", "house", "patio"]),
    ],
)
def test_from_geojson_and_geopackage(name: str, surfaces: list[str]) -> None:
    path = SAMPLES / name
    site = read(new_site("t", "alder-ferry", "ft", path), path.parent)
    assert [surface.id for surface in site.surfaces] == surfaces


def test_the_path_is_taken_from_the_folder_of_the_new_file(tmp_path: Path) -> None:
    (tmp_path / "drawings").mkdir()
    shutil.copy(SAMPLES / "dxf-lot" / "survey.dxf", tmp_path / "drawings" / "survey.dxf")
    drawing = tmp_path / "drawings" / "survey.dxf"
    text = new_site("t", "alder-ferry", "ft", drawing, folder=tmp_path)
    assert "  file: drawings/survey.dxf\n" in text
    assert read(text, tmp_path).surfaces


def test_unknown_unit_and_plan_coordinates_are_taken_from_the_call_and_said(tmp_path: Path) -> None:
    from tests.site.test_dxf import Drawn

    drawn = Drawn(tmp_path, units=0)
    drawn.document.saveas(tmp_path / "d.dxf")
    text = new_site("t", "alder-ferry", "ft", tmp_path / "d.dxf")
    assert "  # The file does not say this by itself; it was taken as likely. Check it.\n" in text
    assert "  unit: ft\n" in text
    assert area_ft2(read(text, tmp_path).lot.boundary) == pytest.approx(10_000)
    (tmp_path / "p.geojson").write_text(
        '{"type": "Feature", "properties": {"layer": "parcel"}, "geometry": {"type": "Polygon", '
        '"coordinates": [[[0, 0], [200, 0], [200, 300], [0, 300], [0, 0]]]}}',
        encoding="utf-8",
    )
    text = new_site("t", "alder-ferry", "ft", tmp_path / "p.geojson")
    assert "  coordinates: plan\n" in text
    assert area_ft2(read(text, tmp_path).lot.boundary) == pytest.approx(60_000)


def test_layers_in_doubt_are_left_as_remarks(tmp_path: Path) -> None:
    """A layer without a hint, one with a wide gap, strange names: the file still checks."""
    from tests.site.test_dxf import Drawn

    drawn = Drawn(tmp_path)
    drawn.ring([(10, 10), (30, 10), (30, 30)], layer="XYZ")
    drawn.lines((50, 50), (60, 50), (60, 60), (50, 60), (50, 51), layer="PATIO")
    drawn.ring([(70, 70), (80, 70), (80, 80)], layer="0")
    drawn.ring([(70, 10), (80, 10), (80, 20)], layer="deck new - no 2")
    drawn.document.saveas(tmp_path / "d.dxf")
    text = new_site("t", "alder-ferry", "ft", tmp_path / "d.dxf")
    assert "    XYZ: unknown    # 1 polyline, 200 sq ft\n" in text
    assert "an outline is open" in text
    site = read(text, tmp_path)
    made = {surface.id: surface.material.id for surface in site.surfaces}
    assert made == {"layer-0": "unknown", "xyz": "unknown", "deck-new-no-2": "wood-deck"}
    assert [item.says for item in site.unread] == [
        "say what the layer 'PATIO' is (4 lines), or 'ignore'"
    ]


def test_drawing_without_a_lot_names_none_and_offers_the_ring_round_the_rest(
    tmp_path: Path,
) -> None:
    from tests.site.test_dxf import Drawn

    drawn = Drawn(tmp_path)
    drawn.space.delete_all_entities()
    drawn.ring([(0, 0), (80, 0), (80, 125), (0, 125)], layer="XYZ")
    drawn.ring([(10, 10), (60, 10), (60, 90), (10, 90)], layer="HOUSE")
    drawn.document.saveas(tmp_path / "d.dxf")
    started = scaffold.new_site("t", "alder-ferry", "ft", tmp_path / "d.dxf")
    offer = "#   boundary: {layer: XYZ}    # one ring, 1 of 1 other layers lie in it"
    assert offer in started.text.splitlines()
    assert started.told[0].startswith("No lot was found in the drawing.")
    assert "  may be the lot: XYZ (one ring, 1 of 1 other layers lie in it)" in started.told
    site = read(started.text, tmp_path)
    assert not site.lot.is_chosen
    assert site.repairs[0].says.startswith("no lot boundary is chosen")
    verdict = api.check(site, api.load_ruleset_for(site)).verdict
    assert {finding.status for finding in verdict.findings} == {"cannot tell"}
    # The remark taken up: 80 ft by 125 ft.
    chosen = started.text.replace("# lot:", "lot:").replace(offer, " " + offer[1:])
    assert area_ft2(read(chosen, tmp_path).lot.boundary) == pytest.approx(10_000)


def test_an_easement_is_written_as_a_part_of_the_land(tmp_path: Path) -> None:
    """80 ft by 10 ft along the rear: 800 sq ft, held by rules for easements, no surface."""
    from tests.site.test_dxf import Drawn

    drawn = Drawn(tmp_path)
    drawn.space.delete_all_entities()
    drawn.ring([(0, 0), (80, 0), (80, 125), (0, 125)], layer="PROP-LINE")
    drawn.ring([(0, 115), (80, 115), (80, 125), (0, 125)], layer="DRAINAGE ESMT")
    drawn.document.saveas(tmp_path / "d.dxf")
    text = new_site("t", "alder-ferry", "ft", tmp_path / "d.dxf")
    site = read(text, tmp_path)
    assert [(region.id, region.kind) for region in site.regions] == [("drainage-esmt", "easement")]
    assert area_ft2(site.regions[0].shape) == pytest.approx(800)
    assert site.surfaces == ()
    assert text.count("regions:") == 1
    assert not any("nobody" in repair.says for repair in site.repairs)


GUESSES = {
    "10' UTIL EASEMENT": "easement",
    "LOT-LINE": "lot",
    "Property Boundary": "lot",
    "A-HOUSE": "roof",
    "POOL_WATER": "pool-water",
    "pool coping": "pool-coping",
    "S-TREES-EXIST": "tree",
    "PARKING LOT": "concrete-drive",
    # What a name starts with is not what it is.
    "HOUSE NUMBERS": "",
    "ROOF DRAIN": "",
    "POOL FENCE": "",
    "WATER-MAIN": "utility",
    "LOT TEXT": "",
    "EDGE-OF-PAVEMENT": "",
    "CONC-DECK-EX": "concrete-slab",
    "ASPH-DRIVE": "asphalt",
    "PROP-DECK": "wood-deck",
    "PROP-LINE": "lot",
    "PoolDeck2": "concrete-slab",
    "DRIVEWAYS": "concrete-drive",
    "DIM": "",
    "allotment": "",
}


@pytest.mark.parametrize(("name", "meaning"), GUESSES.items())
def test_guesses_go_by_whole_words(name: str, meaning: str) -> None:
    found = layer_words().guess(name).meaning
    assert found.replace("none", "") == meaning


STAGES = {
    "CONC-DECK-EX": "existing",
    "PAVERS-NEW": "proposed",
    "PROP-DECK": "proposed",
    "PROP-LINE": "",
    "DEMO-PATIO": "removed",
    "PATIO_REM": "removed",
    "EXIST CONC": "existing",
    "DECK-A": "",
}


@pytest.mark.parametrize(("name", "stage"), STAGES.items())
def test_stages_are_guessed_from_the_words_that_are_left(name: str, stage: str) -> None:
    assert layer_words().guess(name).stage == stage


ODD_TEXTS = ["12", "1e3", "true", "null", "a: b", "# x", " x", "x ", "", "\u00e9", "-", "~"]


@pytest.mark.parametrize("text", ODD_TEXTS)
def test_quoted_texts_read_back(text: str) -> None:
    assert read_text(f"a: {quoted(text)}\nb: [{quoted(text)}, 1]\n", "x").data == {
        "a": text,
        "b": [text, 1],
    }


def test_wrong_unit_and_missing_drawing() -> None:
    with pytest.raises(BadInput, match="'fot' is no unit of length; did you mean 'ft'"):
        new_site("t", "p", "fot")
    with pytest.raises(BadInput, match="does not exist"):
        new_site("t", "p", "ft", Path("gone.dxf"))


def test_kinds_of_features_are_those_of_the_site_file() -> None:
    kind = typing.get_type_hints(FeatureShape, include_extras=True)["kind"]
    assert typing.get_args(typing.get_args(kind)[0]) == FEATURE_KINDS


def test_words_of_a_folder_come_first(tmp_path: Path) -> None:
    (tmp_path / "layer-words.yaml").write_text(
        "format: layer-words/1\nmeanings: [{means: gravel, words: [deck]}]\n", encoding="utf-8"
    )
    assert layer_words(tmp_path).guess("DECK").meaning == "gravel"
    assert layer_words().guess("DECK").meaning == "wood-deck"
    (tmp_path / "layer-words.yaml").write_text(
        "format: layer-words/1\nmeanings: [{means: gravle, words: [deck]}]\n", encoding="utf-8"
    )
    with pytest.raises(BadInput, match="'gravle' is no material"):
        layer_words(tmp_path)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(
    st.dictionaries(
        st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
        | st.sampled_from(["LOT", "house # 2", "pool: new", "deck - {}", "TREES", "walk\n x"]),
        st.tuples(*[st.integers(0, 90)] * 2, *[st.integers(5, 60)] * 2),
        min_size=1,
        max_size=6,
    )
)
def test_any_names_of_layers_make_a_file_that_checks(
    tmp_path: Path, layers: dict[str, tuple[int, int, int, int]]
) -> None:
    features = [
        {
            "type": "Feature",
            "properties": {"layer": name},
            "geometry": {
                "type": "Polygon",
                "coordinates": [[[x, y], [x + w, y], [x + w, y + d], [x, y + d], [x, y]]],
            },
        }
        for name, (x, y, w, d) in {"far": (300, 300, 5, 5), **layers}.items()
    ]
    data = {"type": "FeatureCollection", "features": features}
    (tmp_path / "d.geojson").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
    drawing = tmp_path / "d.geojson"
    try:
        read(new_site("t", "alder-ferry", "m", drawing), tmp_path)
    except BadInput as error:
        said = [problem.says for problem in error.problems]
    else:
        said = []
    # What the drawing itself leaves in doubt: characters no text file may hold, a lot apart.
    excuses = (
        "no surface lies inside the lot",
        "special characters are not allowed",
        "control char",
    )
    assert all(says.startswith(excuses) for says in said), said


@pytest.mark.filterwarnings("ignore:'crs' was not provided")
def test_degrees_without_a_reference_are_never_read_as_feet(tmp_path: Path) -> None:
    """A layer of half a continent in longitude and latitude, whose file names no reference."""
    import numpy as np
    import pyogrio
    from shapely import box, to_wkb

    ring = np.array(to_wkb([box(-84.0, 34.0, -75.0, 36.0)]), dtype=object)
    path = tmp_path / "states.gpkg"
    pyogrio.raw.write(
        path, ring, [np.array([1])], ["id"], geometry_type="Polygon", driver="GPKG",
        layer="states", crs=None,
    )  # fmt: skip
    with pytest.raises(BadInput, match="reaches over more than 1 degree"):
        new_site("t", "alder-ferry", "ft", path)


def test_a_reference_that_says_degrees_of_other_numbers_is_answered_with_what_is_wrong(
    tmp_path: Path,
) -> None:
    """A table of house sales in a city's grid, whose header was copied from a world map."""
    data = {
        "type": "FeatureCollection",
        "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}},
        "features": [
            {"type": "Feature", "properties": {},
             "geometry": {"type": "Point", "coordinates": [907.0, 534.0]}}
        ],
    }  # fmt: skip
    (tmp_path / "sales.geojson").write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(BadInput, match="says degrees, but its numbers are none") as stopped:
        new_site("t", "alder-ferry", "ft", tmp_path / "sales.geojson")
    assert "coordinates" not in stopped.value.problems[0].do
    assert "remove" not in stopped.value.problems[0].do


def test_a_reference_that_nobody_knows_makes_no_plan_of_degrees(tmp_path: Path) -> None:
    data = {
        "type": "FeatureCollection",
        "crs": {"type": "name", "properties": {"name": "EPSG:99999999"}},
        "features": [
            {"type": "Feature", "properties": {}, "geometry": {"type": "Polygon", "coordinates": [
                [[-98.1, 30.1], [-98.0, 30.1], [-98.0, 30.2], [-98.1, 30.1]]]}}
        ],
    }  # fmt: skip
    (tmp_path / "lot.geojson").write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(BadInput, match="cannot be used") as stopped:
        new_site("t", "alder-ferry", "ft", tmp_path / "lot.geojson")
    assert "project the file to a plan" in stopped.value.problems[0].do


def test_lots_side_by_side_are_no_lot(tmp_path: Path) -> None:
    """Two parcels share a line: together they are one area, but nobody's lot."""
    squares = [[[x, 1000], [x + 80, 1000], [x + 80, 1125], [x, 1125], [x, 1000]] for x in (0, 80)]
    features = [
        {"type": "Feature", "properties": {"layer": "PARCELS", "ID": n},
         "geometry": {"type": "Polygon", "coordinates": [ring]}}
        for n, ring in enumerate(squares)
    ]  # fmt: skip
    data = {"type": "FeatureCollection", "features": features}
    (tmp_path / "county.geojson").write_text(json.dumps(data), encoding="utf-8")
    started = scaffold.new_site("t", "alder-ferry", "ft", tmp_path / "county.geojson")
    assert "  may be the lot: PARCELS (2 areas side by side)" in started.told
    assert "#   boundary: {layer: PARCELS, where: {ID: ...}}" in started.text
    assert not read(started.text, tmp_path).lot.is_chosen
