"""What the page shows is what `soakline check` says of the saved file, after random acts."""

from __future__ import annotations

import random
import shutil
from pathlib import Path
from typing import Any

import msgspec
import pytest

from checker import api
from checker.board.changes import Drop, Group, Put, Refused, Rename, Reshape, Set
from checker.board.desk import Desk
from checker.board.guard import Tickets
from checker.board.overlying import overlaps_of, put_over
from checker.board.plan import plan_of
from checker.board.session import KNOWN, Board
from checker.board.verdict import check_all, check_fast
from checker.board.views import head_view, scene_view, verdict_view
from checker.files.source import read_text
from checker.papers.writing import reports_of
from tests.board.test_differences import made

SAMPLES = ["fernhollow-before", "osier-after", "wren-terrace", "deed-lot", "exactly-at-limit"]


def act(board: Board, dice: random.Random, number: int) -> object:
    """Something that a hand may do, of which some is refused."""
    data = board.desk.plan.data
    entry = dice.choice(data["surfaces"])
    name = entry["id"]
    shape = entry["shape"]
    change: Any
    match dice.randrange(11):
        case 0 if "rectangle" in shape:
            corner = [round(float(x) + dice.randrange(-3, 4) / 2, 4)
                      for x in shape["rectangle"]["corner"]]  # fmt: skip
            moved = {**shape, "rectangle": {**shape["rectangle"], "corner": corner}}
            change = Reshape("surfaces", name, moved, shape)
        case 1:
            change = Set("surfaces", name, ("title",), f"Called {number}", entry.get("title"))
        case 2:
            change = Rename("surfaces", name, f"renamed-{number}")
        case 3:
            box = {"rectangle": {"corner": [dice.randrange(40), dice.randrange(40)],
                                 "size": [dice.randrange(1, 12), 4.5]}}  # fmt: skip
            added = {"id": f"added-{number}", "material": "concrete-slab", "stage": "proposed",
                     "shape": box}  # fmt: skip
            change = Group((Put("surfaces", added),), "")
        case 4 if len(data["surfaces"]) > 3:
            change = Drop("surfaces", name)
        case 5 | 6:
            change = of_land(data, dice, number)
        case 7 | 8 | 9:
            change = drawn_otherwise(board, entry, dice)
        case _:
            step = board.desk.undo if dice.random() < 0.7 else board.desk.redo
            return step(board.desk.plan.revision)
    if isinstance(change, Refused):
        return change
    if dice.random() < 0.5:
        # As while a hand moves: what was looked at then is what is taken when it lets go.
        board.desk.preview(change, board.desk.plan.revision)
    return board.desk.change(change, board.desk.plan.revision)


def drawn_otherwise(board: Board, entry: dict[str, Any], dice: random.Random) -> Any:
    """A spot level, a hole in a surface, or a surface put over or under another one."""
    match dice.randrange(3):
        case 0:
            return spot_level(board.desk.plan.data, dice)
        case 1:
            return with_a_hole("surfaces", entry, dice)
        case _:
            over = overlaps_of(board.desk.plan.site, entry["id"])
            pair = [entry["id"], dice.choice(over)["id"] if over else entry["id"]]
            return put_over(board.desk.plan, *dice.sample(pair, 2))


def spot_level(data: dict[str, Any], dice: random.Random) -> Any:
    """A spot level is put in, moved, said otherwise or taken away."""
    entries = data.get("levels", [])
    at = [dice.randrange(60), dice.randrange(60)]
    if not entries or dice.random() < 0.4:
        return Put("levels", {"at": at, "level": 99 + dice.randrange(8) / 4, "what": "sill"})
    index = dice.randrange(len(entries))
    key, entry = f"level-{index + 1}", entries[index]
    match dice.randrange(3):
        case 0:
            return Drop("levels", key)
        case 1:
            return Set("levels", key, ("level",), "30 m", entry["level"])
        case _:
            return Set("levels", key, ("at",), at, entry["at"])


def with_a_hole(of: str, entry: dict[str, Any], dice: random.Random) -> Any:
    """A hole is cut, which may lie outside and be refused, or all are filled."""
    shape = entry["shape"]
    holes = shape.get("holes", [])
    box = {"rectangle": {"corner": [dice.randrange(60), dice.randrange(90)], "size": [1.5, 2]}}
    rest = {key: value for key, value in shape.items() if key != "holes"}
    new = rest if holes and dice.random() < 0.4 else {**rest, "holes": [*holes, box]}
    return Reshape(of, entry["id"], new, shape)


def of_land(data: dict[str, Any], dice: random.Random, number: int) -> Any:
    """Something done to a well, tree or easement."""
    name = dice.choice(("features", "regions"))
    entries = data.get(name, [])
    x, y = dice.randrange(-20, 60), dice.randrange(60)
    shape = (
        {"at": [x, y]} if name == "features" else {"circle": {"centre": [x, y], "radius": "4 ft"}}
    )
    if not entries or dice.random() < 0.4:
        kind = dice.choice(
            ("well", "tree", "septic-field") if name == "features" else ("easement",)
        )
        return Put(name, {"id": f"thing-{number}", "kind": kind, "shape": shape})
    entry = dice.choice(entries)
    match dice.randrange(6):
        case 4 if "at" not in entry["shape"]:
            return with_a_hole(name, entry, dice)
        case 5 if name == "features":
            taped = {"at": [3, dice.randrange(1, 90)], "measured_from": {"lot_line": 1}}
            return Reshape(name, entry["id"], taped, entry["shape"])
        case 0:
            return Drop(name, entry["id"])
        case 1:
            return Rename(name, entry["id"], f"renamed-{number}")
        case 2:
            return Set(name, entry["id"], ("title",), f"Called {number}", entry.get("title"))
        case _:
            return Reshape(name, entry["id"], shape, entry["shape"])


SCENE = ("lot", "surfaces", "features", "regions", "asked_regions", "parts", "verdict")


def seen(board: Board, page: dict[str, Any]) -> dict[str, Any]:
    """What a page shows that has an older plan and is sent what differs."""
    KNOWN.set(page["revision"])
    told = msgspec.json.decode(msgspec.json.encode(board.state()))
    assert told.pop("since") == page["revision"]
    scene = made({key: page[key] for key in SCENE}, told.pop("scene"))
    return {**told, **scene}


def as_new(board: Board) -> dict[str, Any]:
    """What a page shows of the text alone, as if nothing had come before."""
    plan = plan_of(board.desk.plan.text, board.desk.path, board.desk.plan.revision)
    fresh = scene_view(plan, check_fast(plan.site), {})
    found: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(head_view(board.desk) | fresh))
    return found


@pytest.mark.parametrize("sample", SAMPLES)
def test_page_and_command_say_the_same_after_random_acts(tmp_path: Path, sample: str) -> None:
    shutil.copytree(Path("samples") / sample, tmp_path / "lot")
    path = tmp_path / "lot" / "site.yaml"
    desk = Desk(path)
    try:
        board = Board(desk, Tickets())
        dice = random.Random(sample)
        page = as_new(board)
        board.state()
        for number in range(40):
            act(board, dice, number)
            page = seen(board, page)
            # What went wrong once stays wrong, since each page is made from the one before.
            assert number % 5 or page == as_new(board)
            # What was read of the changed entry alone is what the whole text says.
            assert desk.plan.site.document == read_text(desk.plan.text, path.name)
            own, anew = desk.plan.site, plan_of(desk.plan.text, path).site
            for things in ("surfaces", "features", "regions"):
                assert repr(getattr(own, things)) == repr(getattr(anew, things))
        desk.save(desk.plan.revision)
        shown = verdict_view(board.full())
        again = api.load_site(path)
        fresh = check_all(again)
        assert shown == verdict_view(fresh)
        assert reports_of(board.full()) == reports_of(fresh)
    finally:
        desk.close()
