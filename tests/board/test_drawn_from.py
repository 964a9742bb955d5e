"""What is measured from a wall or line, spot levels and names: what the file says then."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest
from shapely import Point

from checker.board.changes import Drop, Put, Refused, Rename, Set, applied
from checker.board.lot_things import LEVEL_KINDS
from checker.board.plan import changed, plan_of
from checker.board.sentences import sentence
from checker.board.tapes import tapes_of
from checker.files.drainage_shape import SpotLevelShape
from tests.board.test_routes import Page

SAMPLE = Path("samples/fernhollow-before/site.yaml")
FOOT_M = 0.3048

# The house runs from 16 to 64 and from 30 to 60, the shed from 66 to 76 and from 110 to 122.
OFF = {
    ("house", 1): (40, 30 - 5), ("house", 2): (64 + 5, 45), ("house", 3): (40, 60 + 5),
    ("house", 4): (16 - 5, 45), ("shed", 3): (71, 122 + 5),
}  # fmt: skip


def put_off(page: Page, tape: dict[str, Any], off: float) -> Any:
    shape = {"at": [tape["middle"], off], "measured_from": tape["measured_from"]}
    entry = {"id": "gauge", "kind": "other", "shape": shape}
    assert page.put({"kind": "put", "list": "features", "entry": entry}).status_code == 200
    site = page.desk.plan.site
    page.post("/undo", revision=page.desk.plan.revision)
    return next(item for item in site.features if item.id == "gauge").shape


def test_each_wall_and_line_leads_where_its_name_says(tmp_path: Path) -> None:
    page = Page(Path(shutil.copy(SAMPLE, tmp_path / "site.yaml")))
    told = page.get("/tapes").json()["tapes"]
    titles = {
        (one["measured_from"].get("wall_of"), one["measured_from"].get("wall")): one["title"]
        for one in told
    }
    assert titles["house", 1] == "House, bottom wall of 48.00 ft"
    assert titles["house", 2] == "House, right wall of 30.00 ft"
    assert titles["house", 3] == "House, top wall of 48.00 ft"
    assert titles["house", 4] == "House, left wall of 30.00 ft"
    walls = [one for one in told if "wall_of" in one["measured_from"]]
    for tape in walls:
        key = (tape["measured_from"]["wall_of"], tape["measured_from"]["wall"])
        if key in OFF:
            x, y = OFF[key]
            expected = Point(x * FOOT_M, y * FOOT_M)
            assert put_off(page, tape, 5).distance(expected) < 1e-6, tape["title"]
    lines = {one["title"]: one for one in told if "lot_line" in one["measured_from"]}
    assert list(lines) == ["Line 1, front", "Line 2, side", "Line 3, rear", "Line 4, side"]
    # 10 ft into the lot from the middle of the right line, which is 125 ft long.
    assert put_off(page, lines["Line 2, side"], 10).distance(
        Point(70 * FOOT_M, 62.5 * FOOT_M)
    ) < 1e-6  # fmt: skip
    page.desk.close()


@pytest.mark.parametrize("is_turned_round", [False, True])
def test_walls_of_a_house_with_a_wing_however_it_was_walked_round(
    tmp_path: Path, *, is_turned_round: bool
) -> None:
    corners = [[10, 10], [50, 10], [50, 30], [30, 30], [30, 50], [10, 50]]
    points = corners[::-1] if is_turned_round else corners
    path = tmp_path / "site.yaml"
    path.write_text(
        "format: site/1\ntitle: A house with a wing (invented)\nplace: alder-ferry\nunits: ft\n"
        f"surfaces:\n  - {{id: house, material: roof, shape: {{points: {points}}}}}\n"
    )
    page = Page(path)
    told = page.get("/tapes").json()["tapes"]
    house = page.desk.plan.site.surfaces[0].shape
    away = {"top": (0, 1), "right": (1, 0), "bottom": (0, -1), "left": (-1, 0)}
    assert len(told) == 6
    for tape in told:
        spot, at_wall = put_off(page, tape, 3), put_off(page, tape, 0)
        assert house.distance(spot) == pytest.approx(3 * FOOT_M)
        side = tape["title"].split(", ")[1].split(" ")[0]
        moved = ((spot.x - at_wall.x) / FOOT_M / 3, (spot.y - at_wall.y) / FOOT_M / 3)
        assert moved == pytest.approx(away[side], abs=1e-6)
    page.desk.close()


@pytest.mark.parametrize(
    "shape",
    [
        "{rectangle: {corner: [0, 0], size: [9, 9]}, holes: [{circle: {centre: [5, 5], radius: 1}}]}",  # noqa: E501
        "{points: [{at: [0, 0], turn: right, radius: 9 ft}, [10, 0], [10, 10], [0, 10]]}",
        "{strip: {along: [[0, 0], [10, 0]], width: 4 ft}}",
    ],
)
def test_walls_that_the_file_may_count_otherwise_are_not_offered(
    shape: str, tmp_path: Path
) -> None:
    text = (
        "format: site/1\ntitle: One house (invented)\nplace: alder-ferry\nunits: ft\n"
        f"surfaces:\n  - {{id: house, material: roof, shape: {shape}}}\n"
    )
    assert tapes_of(plan_of(text, tmp_path / "site.yaml")) == []


def test_remarks_of_spot_levels_stay_through_each_change(tmp_path: Path) -> None:
    text = SAMPLE.read_text(encoding="utf-8") + (
        "levels:\n"
        "  # Shot from the benchmark.\n"
        "  - {at: [0, 0], level: 99.00}  # pin found\n"
        "  - {at: [80, 0], level: 98.50}  # pin set\n"
    )
    plan = plan_of(text, tmp_path / "site.yaml")
    steps = (
        (Put("levels", {"at": [40, 60], "level": 99.5, "what": "sill"}), "spot level 99.5 put in"),
        (Set("levels", "level-2", ("level",), 98.75, 98.5), "level of level 2: 98.75"),
        (Set("levels", "level-1", ("at",), [1, 0], [0, 0]), "level 1 moved"),
        (Drop("levels", "level-2"), "level 2 taken away"),
    )
    for step, says in steps:
        assert sentence(step) == says
        found = changed(plan, step)
        assert not isinstance(found, Refused)
        plan = found
        # What was not touched stands as it was written.
        assert plan.text.startswith(text.split("levels:")[0])
        assert "  # Shot from the benchmark.\n" in plan.text
        assert "# pin found\n" in plan.text
        assert "# pin set\n" in plan.text
    assert "  - {at: [1, 0], level: 99.00}  # pin found\n" in plan.text
    assert plan.data["levels"] == [
        {"at": [1, 0], "level": 99.0},
        {"at": [40, 60], "level": 99.5, "what": "sill"},
    ]
    # What somebody else took away is not changed, and nothing has an id here.
    for lost in (Drop("levels", "level-3"), Rename("levels", "level-1", "pin")):
        assert isinstance(applied(plan.data, lost), Refused)
    # The last one leaves no empty list behind.
    for _ in range(2):
        emptied = applied(plan.data, Drop("levels", "level-1"))
        assert isinstance(emptied, dict)
        plan = changed(plan, Drop("levels", "level-1"))  # type: ignore[assignment]
    assert "levels" not in plan.data


def test_the_levels_that_are_offered_are_those_of_the_file() -> None:
    assert set(LEVEL_KINDS) == set(get_args(get_type_hints(SpotLevelShape)["what"]))
