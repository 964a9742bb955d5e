"""Wells, trees and easements on the page: what is asked for, drawn and judged as by the command."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest

from checker import api
from checker.board.changes import Put, Rename, applied
from checker.board.lot_things import REGION_KINDS
from checker.board.questions import undrawn
from checker.board.verdict import check_all
from checker.board.views import verdict_view
from checker.files.site_shape import RegionShape
from checker.measure.layout import TO_FEATURES
from tests.board.test_routes import Page

SAMPLE = Path("samples/fernhollow-before/site.yaml")


def page_under(place: str, folder: Path) -> Page:
    """Fernhollow with a terrace of permeable paving under another place; nothing was looked for."""
    text = SAMPLE.read_text(encoding="utf-8").replace("stone-slab", "permeable-paving")
    text = re.sub(r"place: .*", f"place: {place}", re.sub(r"none_found:.*\n", "", text))
    (folder / "site.yaml").write_text(text, encoding="utf-8")
    return Page(folder / "site.yaml")


def asked(page: Page) -> dict[str, dict[str, Any]]:
    """What the page asks to be drawn, by name."""
    questions = page.get("/plan").json()["verdict"]["questions"]
    return {one["name"]: one["draws"] for one in questions if "draws" in one}


def test_what_is_not_drawn_is_a_question_until_it_is_drawn_or_there_is_none(tmp_path: Path) -> None:
    page = page_under("minnesota-infiltration-setbacks", tmp_path)
    assert asked(page) == {
        "well": {"list": "features", "kind": "well"},
        "septic-tank": {"list": "features", "kind": "septic-tank"},
        "septic-field": {"list": "features", "kind": "septic-field"},
    }
    rows = page.get("/plan").json()["verdict"]["findings"]
    own = next(row for row in rows if row["id"] == "from-private-well")
    assert own["asks"] == ["Unanswered: Well: is there any on or near the lot?"]
    well = {"id": "well", "kind": "well", "shape": {"at": [-20, 70]}}
    assert page.put({"kind": "put", "list": "features", "entry": well}).status_code == 200
    none = {"kind": "set", "list": "", "id": "", "field": ["none_found"],
            "value": ["septic-tank", "septic-field"], "was": None}  # fmt: skip
    assert page.put(none).status_code == 200
    assert asked(page) == {}
    found = page.get("/plan").json()
    row = next(row for row in found["verdict"]["findings"] if row["id"] == "from-private-well")
    # The terrace begins 8 ft from the left: 28 ft off the well, where 50 are wanted.
    assert (row["status"]["kind"], row["measured"]) == ("fails", "28.00 ft")
    rows = page.get("/distances/features/well").json()["rows"]
    told = {one["to"]: one["value"] for one in rows}
    # 20 from the left line; the house begins 16 from the left and ends 60 up: 36 and 10 off.
    assert told["Line 4, side"] == 20
    assert told["House"] == pytest.approx((36**2 + 10**2) ** 0.5, abs=1e-4)
    assert told["Terrace"] == 28
    page.post("/save", revision=page.desk.plan.revision)
    assert verdict_view(page.board.full()) == verdict_view(check_all(api.load_site(page.desk.path)))
    page.desk.close()


def test_regions_that_a_place_knows_by_name_are_offered_and_asked_for(tmp_path: Path) -> None:
    page = page_under("tarn-end", tmp_path)
    assert {one["id"] for one in page.get("/plan").json()["asked_regions"]} >= {"wellhead"}
    assert asked(page)["wellhead"]["kind"] == "overlay"
    land = {"id": "wellhead", "kind": "overlay", "shape": {"rectangle": {"corner": [0, 0],
            "size": [10, 10]}}}  # fmt: skip
    assert page.put({"kind": "put", "list": "regions", "entry": land}).status_code == 200
    assert "wellhead" not in asked(page)
    page.desk.close()


@pytest.mark.parametrize("kind", TO_FEATURES)
def test_each_way_in_which_a_measure_asks_for_a_thing_is_understood(kind: str) -> None:
    assert (
        undrawn(f"draw each {kind} under 'features', or list '{kind}' under 'none_found'") == kind
    )


@pytest.mark.parametrize(
    ("says", "what"),
    [
        ("draw the region 'wellhead' under 'regions', or list it under 'none_found'", "wellhead"),
        ("draw the regions of kind 'wetland' under 'regions', or list 'wetland'", "wetland"),
        ("draw 'stream' under 'features', or list 'stream' under 'none_found'", "stream"),
        ("draw each barrier of the pool under 'features', with its 'height'", "barrier"),
        ("draw the region", ""),
        ("give 'gap' of side-deck", ""),
    ],
)
def test_what_asks_for_a_drawing_names_it(says: str, what: str) -> None:
    assert undrawn(says) == what


def test_all_places_ask_in_words_that_are_understood() -> None:
    """The sources of the messages themselves: every text that asks for a drawing."""
    texts = [
        match
        for path in sorted(Path("checker/measure").rglob("*.py"))
        for match in re.findall(
            r'"(draw (?:each|the regions?.* |\')[^"]*)', path.read_text("utf-8")
        )
    ]
    assert len(texts) >= 6
    for text in texts:
        assert undrawn(re.sub(r"\{[^}]*\}", "some-kind", text)) != "", text


def test_the_kinds_of_region_are_those_of_the_file() -> None:
    assert set(REGION_KINDS) == set(get_args(get_type_hints(RegionShape)["kind"]))


def test_what_is_drawn_was_found(tmp_path: Path) -> None:
    """It was said that there is no well and no tree; undo brings that back."""
    page = Page(Path(shutil.copy(SAMPLE, tmp_path / "site.yaml")))
    text = page.desk.plan.text
    assert {"well", "tree"} <= set(page.desk.plan.data["none_found"])
    well = {"id": "well", "kind": "well", "shape": {"at": [1, 1]}}
    assert page.put({"kind": "put", "list": "features", "entry": well}).status_code == 200
    assert "well" not in page.desk.plan.data["none_found"]
    kind = {"kind": "set", "list": "features", "id": "well", "field": ["kind"], "was": "well",
            "value": "tree"}  # fmt: skip
    rename = {"kind": "rename", "list": "features", "id": "well", "to": "oak"}
    assert page.put(rename).status_code == 200
    assert page.put(kind | {"id": "oak"}).status_code == 200
    assert not {"well", "tree"} & set(page.desk.plan.data["none_found"])
    for _ in range(3):
        page.post("/undo", revision=page.desk.plan.revision)
    assert page.desk.plan.text == text
    page.desk.close()


def test_a_street_that_is_renamed_stays_the_one_that_sides_are_nearest_to() -> None:
    street = {"id": "road", "kind": "public-way", "shape": {"line": [[0, -5], [90, -5]]}}
    data = {"lot": {"sides": {"front": "nearest road", "side": [2, "nearest road"]}},
            "surfaces": [], "features": [street]}  # fmt: skip
    found = applied(data, Rename("features", "road", "main-street"))
    assert isinstance(found, dict)
    assert found["lot"]["sides"] == {
        "front": "nearest main-street",
        "side": [2, "nearest main-street"],
    }
    again = applied(found, Put("features", street))
    assert isinstance(again, dict)
    assert [entry["id"] for entry in again["features"]] == ["main-street", "road"]


def test_an_easement_wholly_below_the_house_is_drawn_on_the_report(tmp_path: Path) -> None:
    """No open ground is left for its name, which stands beside the plan then."""
    page = Page(Path(shutil.copy(SAMPLE, tmp_path / "site.yaml")))
    land = {"id": "easement", "kind": "easement", "title": "Drain easement",
            "shape": {"rectangle": {"corner": [30, 40], "size": [6, 6]}}}  # fmt: skip
    assert page.put({"kind": "put", "list": "regions", "entry": land}).status_code == 200
    found = page.get("/report")
    assert found.status_code == 200
    assert "Drain easement" in found.text
    page.desk.close()
