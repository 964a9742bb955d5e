"""What a hostile or hurried hand sends: each is answered in words, and the plan stays whole."""

from __future__ import annotations

import shutil
import zipfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest

from checker.files.source import read_text
from tests.board.test_routes import Page

SAMPLE = Path("samples/fernhollow-before/site.yaml")


@pytest.fixture
def page(tmp_path: Path) -> Iterator[Page]:
    made = Page(Path(shutil.copy(SAMPLE, tmp_path / "site.yaml")))
    yield made
    made.desk.close()


def put(page: Page, **entry: Any) -> Any:
    whole = {"id": "odd", "material": "concrete-slab", "stage": "proposed", **entry}
    change = {"kind": "put", "list": "surfaces", "entry": whole}
    return page.post("/changes", revision=page.desk.plan.revision, change=change)


def whole(page: Page) -> None:
    """The plan is there, can be judged, and is what its text says."""
    assert page.get("/plan").status_code == 200
    assert read_text(page.desk.plan.text, page.desk.path.name) == page.desk.plan.site.document


BOX = {"rectangle": {"corner": [1, 1], "size": [2, 2]}}


@pytest.mark.parametrize(
    "shape",
    [
        {"rectangle": {"corner": [1e300, 0], "size": [2, 2]}},
        {"rectangle": {"corner": [0, 0], "size": [-2, 2]}},
        {"rectangle": {"corner": [0, 0], "size": [0, 2]}},
        {"rectangle": {"corner": [0, 0], "size": ["2 quarts", 2]}},
        {"rectangle": {"corner": [0, 0], "size": [2]}},
        {"points": [[0, 0], [9, 9], [9, 0], [0, 9]]},
        {"points": [[0, 0]]},
        {"points": [[0, 0], [0, 0], [0, 0]]},
        {"points": [["a", "b"], [1, 2], [3, 4]]},
        {"circle": {"centre": [0, 0], "radius": "1e400 ft"}},
        {"ring": {"around": "odd", "width": "1 ft"}},
        {"ring": {"around": "nothing", "width": "1 ft"}},
        {"strip": {"along": [[0, 0], [0, 0]], "width": "4 ft"}},
        {"layer": "x"},
        {"rectangle": {"corner": [0, 0], "size": [2, 2]}, "circle": {}},
        {},
        [],
        "a slab",
        None,
    ],
)
def test_a_shape_that_is_none_is_refused_in_words(page: Page, shape: Any) -> None:
    answer = put(page, shape=shape)
    assert answer.status_code == 422
    assert answer.json()["says"]
    assert page.desk.plan.revision == 0
    whole(page)


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999", "9" * 400])
def test_numbers_that_are_none_are_refused(page: Page, number: str) -> None:
    box = '{"rectangle": {"corner": [' + number + ', 1], "size": [2, 2]}}'
    entry = '{"id": "odd", "material": "concrete-slab", "shape": ' + box + "}"
    change = '{"kind": "put", "list": "surfaces", "entry": ' + entry + "}"
    body = '{"revision": 0, "change": ' + change + "}"
    answer = page.client.post(
        "/changes", content=body, headers={"content-type": "application/json"}
    )
    assert answer.status_code == 422
    assert page.desk.plan.revision == 0
    whole(page)


def test_ten_thousand_corners_are_drawn_moved_and_undone(page: Page) -> None:
    """A comb of 2,500 teeth of 0.01 ft: 10,000 corners and no crossing."""
    points: list[list[float]] = []
    for tooth in range(2500):
        x = 1 + tooth * 0.02
        points += [[x, 1], [x, 3], [x + 0.01, 3], [x + 0.01, 1]]
    points = [[round(x, 4), y] for x, y in points]
    start = page.desk.plan.text
    closed = [*points, [51.5, 0.5], [1, 0.5]]
    assert put(page, shape={"points": closed}).status_code == 200
    whole(page)
    assert page.post("/undo", revision=page.desk.plan.revision).status_code == 200
    assert page.desk.plan.text == start


@pytest.mark.parametrize("length", [100, 10_000, 30_000])
def test_long_names_stay_names_or_are_refused(page: Page, length: int) -> None:
    answer = put(page, shape=BOX, title="<b>" + "x" * length)
    assert answer.status_code in {200, 422}
    whole(page)
    assert put(page, id="a" * length, shape=BOX).status_code in {200, 422}
    whole(page)


@pytest.mark.parametrize(
    "title",
    ["a: b # c", "- x", "{x", "'", '"', "\\", "\x00", "\u2028two\u2028lines", "\r\n", "&a *b", "!x",
     "\ud7ff", "\U0001f3ca", "yes", "0x10", "1:30", "", " ", "#", "---", "? x", "%y", "@", "`"],
)  # fmt: skip
def test_titles_that_mean_something_elsewhere_are_kept_as_texts(page: Page, title: str) -> None:
    answer = put(page, shape=BOX, title=title)
    if answer.status_code == 200:
        entry = page.desk.plan.data["surfaces"][-1]
        assert entry["title"] == title
        assert page.post("/undo", revision=1).status_code == 200
        assert page.desk.plan.text == SAMPLE.read_text(encoding="utf-8")
    else:
        assert answer.json()["says"]
    whole(page)


def test_a_double_click_makes_one_change(page: Page) -> None:
    change = {"kind": "put", "list": "surfaces",
              "entry": {"id": "odd", "material": "concrete-slab", "shape": BOX}}  # fmt: skip
    first = page.post("/changes", revision=0, change=change, key="one")
    again = page.post("/changes", revision=0, change=change, key="one")
    other = page.post("/changes", revision=0, change=change, key="two")
    assert (first.status_code, again.status_code, other.status_code) == (200, 200, 409)
    assert page.desk.plan.revision == 1


def test_a_surface_that_is_named_elsewhere_cannot_go_unnoticed(page: Page) -> None:
    assert put(page, shape=BOX, attributes={"drains_to": "terrace"}).status_code == 200
    drop = {"kind": "drop", "list": "surfaces", "id": "terrace"}
    refused = page.post("/changes", revision=1, change=drop)
    assert refused.status_code == 422
    assert "named by the surface 'odd'" in refused.json()["says"]
    rename = {"kind": "rename", "list": "surfaces", "id": "terrace", "to": "court"}
    assert page.post("/changes", revision=1, change=rename).status_code == 200
    assert page.desk.plan.data["surfaces"][-1]["attributes"] == {"drains_to": "court"}
    whole(page)


def test_bombs_are_handed_in_in_vain(page: Page) -> None:
    """A zip of 200 MB of noughts, and a PDF of a page as large as a county."""
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as folder:
        folder.writestr("lot.shp", b"\0" * 200_000_000)
    bomb = (
        b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n"
        b"2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n"
        b"3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 9999999 9999999]>>endobj\n"
        b"trailer<</Root 1 0 R>>\n"
    )
    for raw in (packed.getvalue(), b"", b"%PDF-", b"\x89PNG\r\n\x1a\n" + b"\0" * 64):
        for kind in ("survey", "drawing"):
            answer = page.hand_in(f"/files/{kind}?name=lot.pdf&revision=0", raw)
            assert answer.status_code in {404, 413, 422}, (kind, raw[:8])
    assert page.desk.plan.revision == 0
    # A large sheet is no fault: it is drawn anew at a size that a screen can hold.
    assert page.hand_in("/files/survey?name=lot.pdf&revision=0", bomb).status_code == 200
    picture = page.get("/survey")
    assert picture.status_code in {200, 422}
    assert len(picture.content) < 10_000_000
    whole(page)
