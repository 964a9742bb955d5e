"""The board's answers, through the real routes and the real guard."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from checker import api
from checker.board.desk import Desk
from checker.board.guard import Guard, Tickets
from checker.board.routes import application
from checker.board.session import Board
from checker.board.shell import Shell
from checker.board.trying import mixes
from checker.words.findings import finding_views
from checker.words.letters import Keys as Letters

SAMPLES = Path("samples")
HOST = "127.0.0.1:4444"


class Page:
    """What the browser's page does, without a browser."""

    def __init__(self, path: Path) -> None:
        self.desk = Desk(path)
        self.keys = Tickets()
        self.board = Board(self.desk, self.keys)
        self.app = application(self.board)
        self.client = TestClient(
            Guard(Shell(lambda: self.app), self.keys, HOST), base_url=f"http://{HOST}",  # type: ignore[arg-type]
            headers={"origin": f"http://{HOST}", "x-board-secret": self.keys.secret},
        )  # fmt: skip

    def get(self, path: str) -> Any:
        return self.client.get(path)

    def post(self, path: str, **body: Any) -> Any:
        return self.client.post(path, json=body)

    def hand_in(self, path: str, raw: bytes) -> Any:
        kind = {"content-type": "application/octet-stream"}
        return self.client.post(path, content=raw, headers=kind)

    def put(self, change: dict[str, Any]) -> Any:
        return self.post("/changes", revision=self.desk.plan.revision, change=change)


def page_of(sample: str, folder: Path) -> Page:
    shutil.copytree(SAMPLES / sample, folder / sample)
    return Page(folder / sample / "site.yaml")


@pytest.fixture
def page(tmp_path: Path) -> Page:
    return page_of("fernhollow-before", tmp_path)


MOVE = {
    "kind": "reshape", "list": "surfaces", "id": "shed",
    "shape": {"rectangle": {"corner": [60, 110], "size": [10, 12]}},
    "was": {"rectangle": {"corner": [66, 110], "size": [10, 12]}},
}  # fmt: skip


def test_the_plan_shows_the_texts_of_the_report(page: Page) -> None:
    state = page.get("/plan").json()
    checked = api.check(page.desk.plan.site, api.load_ruleset_for(page.desk.plan.site))
    views = finding_views(checked, Letters(checked.site))
    for row, view in zip(state["verdict"]["findings"], views, strict=True):
        assert (row["id"], row["measured"], row["limit"]) == (view.id, view.measured, view.limit)
        assert row["status"]["word"] == view.status.word
    # 4,642 of 4,500 sq ft, worked by hand in the sample.
    cover = state["verdict"]["findings"][0]
    assert cover["share"] == pytest.approx(4642 / 4500, rel=1e-4)


def test_what_each_surface_counts_stands_beside_it(page: Page) -> None:
    state = page.get("/plan").json()
    counts = state["verdict"]["counts"]
    assert counts["title"] == "Counts for: Impervious cover of the lot"
    letter = {surface["id"]: surface["letter"] for surface in state["surfaces"]}
    # Worked by hand in the sample: the house 48 x 30, the pool left out.
    assert counts["rows"][letter["house"]].startswith("1,440 sq ft (")
    assert counts["rows"].get(letter["pool"], "0 sq ft").startswith("0")


def test_a_change_its_undo_and_redo(page: Page) -> None:
    state = page.put(MOVE).json()
    assert state["revision"] == 1
    assert state["undo"] == "shed moved"
    assert not state["is_saved"]
    back = page.post("/undo", revision=1).json()
    assert (back["undo"], back["redo"]) == (None, "shed moved")
    assert page.post("/redo", revision=2).json()["undo"] == "shed moved"


def test_a_preview_changes_nothing(page: Page) -> None:
    answer = page.post("/preview", revision=0, sequence=5, change=MOVE).json()
    assert answer["sequence"] == 5
    assert answer["verdict"]["findings"]
    assert page.desk.plan.revision == 0
    assert page.desk.history.done == ()


@pytest.mark.parametrize(
    ("path", "body", "status"),
    [
        ("/changes", {"revision": 9, "change": MOVE}, 409),
        ("/changes", {"revision": 0, "change": MOVE | {"id": "x"}}, 422),
        ("/changes", {"revision": 0, "change": {"kind": "burn"}}, 422),
        ("/changes", {"revision": "0", "change": MOVE}, 422),
        ("/changes", {}, 422),
        ("/undo", {"revision": 0}, 422),
        ("/enter", {"ticket": "no"}, 403),
        ("/least-change/take", {"revision": 0, "option": "none such"}, 422),
    ],
)
def test_what_cannot_be_done_is_said(
    page: Page, path: str, body: dict[str, Any], status: int
) -> None:
    answer = page.post(path, **body)
    assert answer.status_code == status
    assert page.desk.plan.revision == 0


def test_each_route_of_data_is_closed_without_the_secret(page: Page) -> None:
    open_ones = {"/enter"}
    routes = {(route.path, method) for route in page.app.routes for method in route.methods}  # type: ignore[attr-defined]
    for path, method in routes:
        if path in open_ones:
            continue
        guarded: Any = Guard(Shell(lambda: page.app), page.keys, HOST)
        bare = TestClient(guarded, base_url=f"http://{HOST}")
        answer = bare.request(method, path.replace("{surface}", "pool"), json={})
        assert answer.status_code == 403, path


@pytest.mark.parametrize("path", ["/static/../routes.py", "/static/%2e%2e/routes.py", "/static/x"])
def test_no_path_leads_out_of_the_static_files(page: Page, path: str) -> None:
    assert page.get(path).status_code in {403, 404}


def test_modules_are_served_as_script(page: Page) -> None:
    assert page.get("/static/main.js").headers["content-type"].startswith("text/javascript")
    assert "<script" in page.get("/").text


def test_what_needs_a_storm_comes_late_and_is_marked(tmp_path: Path) -> None:
    page = page_of("tern-court", tmp_path)
    first = page.get("/plan").json()["verdict"]["findings"]
    late = {row["id"] for row in first if row["is_late"]}
    assert late
    # Nothing is called met before all of it is judged: not at once, not in a preview or a trial.
    assert page.get("/plan").json()["verdict"]["status"]["word"] == "not all judged yet"
    house = next(e for e in page.desk.plan.data["surfaces"] if e["material"] == "roof")
    turn = {"kind": "set", "list": "surfaces", "id": house["id"], "field": ["title"],
            "value": "Home", "was": house.get("title")}  # fmt: skip
    trial = page.post("/preview", revision=0, sequence=1, change=turn).json()["verdict"]
    assert trial["status"]["word"] == "not all judged yet"
    new = next(e for e in page.desk.plan.data["surfaces"] if e.get("stage") == "proposed")
    mixes = page.post("/tries", surfaces=[new["id"]], materials=[new["material"]]).json()["rows"]
    assert [row["status"]["word"] for row in mixes] == ["not all judged yet"]
    answer = page.get("/late?revision=0").json()
    assert answer["verdict"]["status"]["word"] == "passes"
    rows = {row["id"]: row for row in answer["verdict"]["findings"]}
    assert late <= set(rows)
    assert not any(row["is_late"] for row in rows.values())
    assert page.get("/late?revision=7").status_code == 409
    # What was told at once is what the whole check says.
    for row in first:
        if not row["is_late"]:
            assert rows[row["id"]] == row


def test_surfaces_are_tried_in_mixes_of_materials(page: Page) -> None:
    mixes = page.post(
        "/tries", surfaces=["terrace", "front-walk"],
        materials=["stone-slab", "concrete-slab", "planting-bed", "no-such"],
    ).json()["rows"]  # fmt: skip
    assert len(mixes) == 9
    by = {(row["mix"]["terrace"], row["mix"]["front-walk"]): row for row in mixes}
    now = by["stone-slab", "concrete-slab"]
    # 4,642 sq ft, worked by hand in the sample; the walk of 14 x 4 ft less.
    assert now["is_now"] and now["says"] == "as drawn" and now["measured"] == "4,642 sq ft"
    assert by["stone-slab", "planting-bed"]["measured"] == "4,586 sq ft"
    assert by["stone-slab", "planting-bed"]["by"] == "−56 sq ft"
    assert now["by"] == "no change"
    assert by["planting-bed", "concrete-slab"]["status"]["word"] == "passes"
    assert mixes[0]["is_met"] and not mixes[-1]["is_met"]
    assert page.desk.plan.revision == 0
    # What is tried is what the change would bring.
    mix = by["stone-slab", "planting-bed"]
    state = page.put({"kind": "set", "list": "surfaces", "id": "front-walk", "field": ["material"],
                      "value": "planting-bed", "was": "concrete-slab"}).json()  # fmt: skip
    assert state["verdict"]["findings"][0]["measured"] == mix["measured"]


@pytest.mark.parametrize("body", [{"surfaces": [], "materials": ["lawn"]},
                                  {"surfaces": ["terrace"], "materials": ["?"]}])  # fmt: skip
def test_nothing_to_try_is_said(page: Page, body: dict[str, Any]) -> None:
    assert page.post("/tries", **body).status_code == 422


def test_five_surfaces_at_once_are_tried_each_and_alike() -> None:
    found = [tuple(mix.items()) for mix in mixes(tuple("abcde"), ["x", "y", "z"])]
    assert len(found) == len(set(found)) == 18
    assert tuple(dict.fromkeys("abcde", "y").items()) in found


def test_variants_are_kept_compared_and_taken(page: Page) -> None:
    was = page.desk.plan.text
    kept = page.post("/variants/keep", revision=0, name="First drawing").json()
    assert kept == {"names": ["first drawing"], "kept": "first drawing"}
    file = page.desk.path.with_name("site-variant-first-drawing.yaml")
    assert file.read_text(encoding="utf-8") == was
    page.put(MOVE)
    assert page.post("/variants/keep", revision=1, name="first drawing").status_code == 422
    assert file.read_text(encoding="utf-8") == was
    for name in ("", "/..", "é"):
        assert page.post("/variants/keep", revision=1, name=name).status_code == 422
    found = page.post("/variants/compare", revision=1).json()
    assert found["names"] == ["first drawing"]
    tables = [block["caption"] for block in found["page"] if block["block"] == "table"]
    assert {"Measures", "Surfaces"} <= set(tables)
    state = page.post("/variants/take", revision=1, name="first drawing").json()
    assert page.desk.plan.text == was and state["undo"] == "variant first drawing taken"
    assert page.post("/variants/take", revision=2, name="other").status_code == 422


def test_the_least_change_can_be_taken_and_undone(page: Page) -> None:
    found = page.get("/least-change").json()
    # What `soakline change` prints, and the pieces to draw: 142 sq ft at the least must go.
    assert found["page"][0]["runs"][0]["text"].startswith("LEAST CHANGE: ")
    key, rings = next(iter(found["pieces"].items()))
    assert sum(abs(shoelace(ring)) for ring in rings) >= 142
    state = page.post("/least-change/take", revision=0, option=key).json()
    assert state["verdict"]["status"]["word"] in {"passes", "passes with conditions"}
    page.post("/undo", revision=1)
    assert page.desk.plan.text == page.desk.path.read_text(encoding="utf-8")


def shoelace(ring: list[list[float]]) -> float:
    return (
        sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) / 2
    )


def test_what_may_change_is_asked_where_the_file_does_not_say(tmp_path: Path) -> None:
    page = page_of("fernhollow-before", tmp_path)
    was = ["permeable-paving"]
    page.put({"kind": "set", "list": "surfaces", "id": "terrace", "field": ["may_become"],
              "value": None, "was": was})  # fmt: skip
    found = page.get("/least-change").json()
    assert found["page"] == []
    terrace = next(row for row in found["may"] if row["id"] == "terrace")
    assert (terrace["stage"], terrace["may_become"]) == ("proposed", [])
    assert not {"house", "old-deck", "pool"} & {row["id"] for row in found["may"]}


def test_a_sample_and_a_drawing_begin_a_design(tmp_path: Path) -> None:
    path = api.empty_site(tmp_path / "own.yaml")
    page = Page(path)
    assert not page.get("/plan").json()["lot"]["is_chosen"]
    starts = page.get("/starts").json()
    assert "fernhollow-before" in {sample["name"] for sample in starts["samples"]}
    assert "alder-ferry" in {place["id"] for place in starts["places"]}
    state = page.post("/starts/sample", revision=0, name="dxf-lot").json()
    assert state["lot"]["is_chosen"] and (tmp_path / "survey.dxf").exists()
    back = page.post("/undo", revision=1).json()
    assert not back["lot"]["is_chosen"]
    raw = (SAMPLES / "dxf-lot/survey.dxf").read_bytes()
    drawn = page.hand_in("/files/drawing?name=survey.dxf&revision=2", raw)
    assert "survey.dxf" in drawn.json()["undo"]
    # Another file of that name is never written over.
    other = page.hand_in("/files/drawing?name=survey.dxf&revision=3", raw + b" ")
    assert other.status_code == 422 and "is there already" in other.json()["says"]
    assert (tmp_path / "survey.dxf").read_bytes() == raw


@pytest.mark.parametrize(
    "name", ["../x.dxf", "x", "a/b.dxf", ".dxf", "x.exe", "", "x\n.dxf", "x.dxf" * 40]
)
def test_no_file_is_kept_under_a_strange_name(page: Page, name: str) -> None:
    before = sorted(page.desk.path.parent.iterdir())
    answer = page.client.post(
        "/files/drawing", params={"name": name, "revision": "0"}, content=b"0",
        headers={"content-type": "application/octet-stream"},
    )  # fmt: skip
    assert answer.status_code == 422
    assert sorted(page.desk.path.parent.iterdir()) == before


def test_a_name_suggests_a_material(page: Page) -> None:
    assert page.get("/guess?name=New terrace").json() == {
        "material": "concrete-slab", "stage": "proposed",
    }  # fmt: skip
    assert page.get("/guess?name=zzz").json() == {"material": "", "stage": ""}


def test_the_report_and_the_file_can_be_taken_along(page: Page) -> None:
    assert "Fernhollow" in page.get("/report").text
    assert page.get("/text").text == page.desk.plan.text


def test_hostile_names_stay_texts(tmp_path: Path) -> None:
    path = tmp_path / "site.yaml"
    text = (SAMPLES / "fernhollow-before/site.yaml").read_text(encoding="utf-8")
    evil = "<img src=x onerror=alert(1)>"
    path.write_text(text.replace("first drawing", evil), encoding="utf-8")
    answer = Page(path).get("/plan")
    assert answer.headers["content-type"] == "application/json"
    assert evil in answer.json()["title"]


PLACE = {
    "title": "Plover Bank, district R-1", "document": "Plover Bank Code, chapter 9 (invented)",
    "edition": "2024-05", "section": "9.1", "since": "2024-05-01", "reading": "invented",
    "units": "us", "most": "45 %", "of": "lot", "roofs": "full", "patios": "full",
    "drives": "full", "pool_water": "none",
}  # fmt: skip


def test_a_place_is_made_by_its_form_and_used(page: Page) -> None:
    asked = {question["key"]: question for question in page.get("/place-form").json()["questions"]}
    assert asked["title"]["is_needed"] and asked["roofs"]["is_surface"]
    wrong = page.post("/place-form/draft", answers=PLACE | {"most": "lots"})
    assert (wrong.status_code, wrong.json()["key"]) == (422, "most")
    read = page.post("/place-form/draft", answers=PLACE).json()
    assert read["sentences"] and "gravel" in read["open"]
    state = page.post(
        "/place-form/write", revision=0, answers=PLACE, confirmed=read["sentences"][:1]
    ).json()
    assert state["place"] == "plover-bank-district-r-1.yaml"
    assert "Plover Bank" in state["verdict"]["place"]
    written = page.desk.path.with_name(state["place"]).read_text(encoding="utf-8")
    again = page.post("/place-form/write", revision=1, answers=PLACE)
    assert again.status_code == 422
    assert page.desk.path.with_name(state["place"]).read_text(encoding="utf-8") == written


def test_drains_are_entries_like_surfaces(tmp_path: Path) -> None:
    page = page_of("tern-court", tmp_path)
    start = page.desk.plan.text
    put = {"kind": "put", "list": "ways_out.outlets", "after": None,
           "entry": {"id": "second", "kind": "daylight", "at": [1, 2]}}  # fmt: skip
    assert page.put(put).json()["parts"]["ways_out"]["outlets"][-1]["id"] == "second"
    level = {"kind": "set", "list": "ways_out.outlets", "id": "second", "field": ["level"],
             "value": 97.4, "was": None}  # fmt: skip
    assert page.put(level).json()["parts"]["ways_out"]["outlets"][-1]["level"] == 97.4
    name = {"kind": "rename", "list": "ways_out.stores", "id": "dry-well", "to": "north-well"}
    pipes = page.put(name).json()["parts"]["ways_out"]["pipes"]
    assert "north-well" in {pipe["to"] for pipe in pipes}
    assert "dry-well" not in {pipe["to"] for pipe in pipes}
    page.put({"kind": "drop", "list": "ways_out.outlets", "id": "second"})
    for revision in range(4, 8):
        page.post("/undo", revision=revision)
    assert page.desk.plan.text == start


def test_what_is_worked_out_is_what_the_command_says(tmp_path: Path) -> None:
    page = page_of("tern-court", tmp_path)
    found = page.get("/papers/drainage").json()["page"]
    tables = {b["caption"]: b for s in found if s["block"] == "section" for b in s["blocks"]
              if b["block"] == "table"}  # fmt: skip
    said = api.drainage_text(page.board.full()).replace("\\", "")
    cells = [cell["text"] for row in tables["Sizes"]["rows"] for cell in row["cells"]]
    assert cells and [text for text in cells if text not in said] == []
    assert page.get("/papers/none").status_code == 422
    assert "StoreShape" in page.get("/shapes/ways_out").json()["$defs"]
    assert page.get("/shapes/none").status_code == 422


def test_layers_of_a_drawing_are_a_form(tmp_path: Path) -> None:
    page = page_of("dxf-lot", tmp_path)
    start = page.desk.plan.text
    rows = {row["layer"]: row for row in page.get("/layers").json()["rows"]}
    material = next(row for row in rows.values() if row["meaning"] in {"concrete-slab", "roof"})
    layer = material["layer"]
    state = page.post("/layers/mean", revision=0, layer=layer, meaning="gravel").json()
    assert "gravel" in state["undo"]
    assert "gravel" in {surface["material"] for surface in state["surfaces"]}
    gone = page.post("/layers/mean", revision=1, layer=layer, meaning="ignore").json()
    assert layer not in {surface["declared"]["shape"].get("layer") for surface in gone["surfaces"]}
    tree = page.post("/layers/mean", revision=2, layer=layer, meaning="tree")
    assert tree.status_code in {200, 422}
    assert page.post("/layers/mean", revision=2, layer="?", meaning="roof").status_code == 422
    while page.desk.history.done:
        page.post("/undo", revision=page.desk.plan.revision)
    assert page.desk.plan.text == start


def test_no_drawing_has_no_layers(page: Page) -> None:
    assert page.get("/layers").json()["rows"] == []


def test_the_client_page_and_the_order_list(page: Page) -> None:
    client, orders = page.get("/client"), page.get("/orders")
    assert client.content.startswith(b"%PDF-")
    assert orders.content.startswith(b"PK")
