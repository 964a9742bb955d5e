"""One design and its file: nothing is lost, nothing overwritten, undo gives the same bytes."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest

from checker import api
from checker.board.changes import Change, Drop, Put, Refused, Reshape, Set
from checker.board.desk import Desk, Stale
from checker.core.problems import BadInput
from checker.papers.records import records_of

SAMPLE = Path("samples/fernhollow-before/site.yaml")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return Path(shutil.copy(SAMPLE, tmp_path / "site.yaml"))


def moved(desk: Desk, surface: str, by: float) -> Reshape:
    entry = next(e for e in desk.plan.data["surfaces"] if e["id"] == surface)
    was = entry["shape"]
    x, y = was["rectangle"]["corner"]
    return Reshape(
        "surfaces", surface, {"rectangle": was["rectangle"] | {"corner": [x + by, y]}}, was
    )


def random_change(desk: Desk, chance: random.Random) -> Change:
    boxes = [e["id"] for e in desk.plan.data["surfaces"] if "rectangle" in e["shape"]]
    kind = chance.randrange(4)
    if kind == 0:
        return moved(desk, chance.choice(boxes), chance.choice([-0.5, 0.5, 1]))
    if kind == 1:
        key = f"bed-{chance.randrange(10**6)}"
        shape = {
            "rectangle": {"corner": [chance.randrange(60), chance.randrange(90)], "size": [3, 4]}
        }
        after = chance.choice([None, *boxes])
        return Put("surfaces", {"id": key, "material": "planting-bed", "shape": shape}, after)
    if kind == 2:
        return Drop("surfaces", chance.choice(boxes))
    entry = chance.choice(desk.plan.data["surfaces"])
    return Set(
        "surfaces", entry["id"], ("title",), f"Name {chance.random():.4f}", entry.get("title")
    )


def test_two_hundred_random_steps_are_undone_to_the_same_bytes(path: Path) -> None:
    start = path.read_text(encoding="utf-8")
    desk = Desk(path)
    chance = random.Random(7)
    texts = [start]
    while len(texts) <= 200:
        found = desk.change(random_change(desk, chance), desk.plan.revision)
        if isinstance(found, Refused):
            continue
        texts.append(found.text)
    for text in reversed(texts[:-1]):
        desk.undo(desk.plan.revision)
        assert desk.plan.text == text
    assert desk.plan.text == start
    assert isinstance(desk.undo(desk.plan.revision), Refused)
    for text in texts[1:]:
        desk.redo(desk.plan.revision)
        assert desk.plan.text == text
    # A new board on the same file follows the journal to the same place and the same stacks.
    desk.close()
    again = Desk(path)
    assert again.plan.text == texts[-1]
    assert again.was_left_open
    assert len(again.history.done) == 200
    assert path.read_text(encoding="utf-8") == start


def test_the_saved_file_is_judged_alike_by_the_command(path: Path) -> None:
    desk = Desk(path)
    desk.change(moved(desk, "side-deck", 1), 0)
    desk.save(1)
    site = api.load_site(path)
    here = api.check(desk.plan.site, api.load_ruleset_for(desk.plan.site))
    there = api.check(site, api.load_ruleset_for(site))
    assert records_of(here) == records_of(there)
    assert desk.is_saved


def test_undo_goes_back_past_a_save(path: Path) -> None:
    start = path.read_text(encoding="utf-8")
    desk = Desk(path)
    desk.change(moved(desk, "shed", -1), 0)
    desk.save(1)
    desk.undo(1)
    assert desk.plan.text == start
    assert not desk.is_saved
    assert path.read_text(encoding="utf-8") != start


def test_a_request_about_an_old_plan_is_turned_away(path: Path) -> None:
    desk = Desk(path)
    desk.change(moved(desk, "shed", -1), 0)
    with pytest.raises(Stale):
        desk.change(moved(desk, "shed", -1), 0)


def test_a_repeated_request_is_done_once(path: Path) -> None:
    desk = Desk(path)
    change = moved(desk, "shed", -1)
    first = desk.change(change, 0, "k")
    assert desk.change(change, 0, "k") == first
    assert len(desk.history.done) == 1


def test_a_file_changed_elsewhere_is_noticed_and_both_are_kept(path: Path) -> None:
    desk = Desk(path)
    desk.change(moved(desk, "shed", -1), 0)
    mine = desk.plan.text
    theirs = path.read_text(encoding="utf-8").replace("first drawing", "their drawing")
    path.write_text(theirs, encoding="utf-8")
    assert desk.is_changed_outside
    assert isinstance(desk.save(1), Refused)
    assert path.read_text(encoding="utf-8") == theirs
    desk.take_file(1)
    assert desk.plan.text == theirs
    assert desk.is_saved
    desk.undo(desk.plan.revision)
    assert desk.plan.text == mine


def test_the_own_design_can_be_kept_over_what_others_wrote(path: Path) -> None:
    desk = Desk(path)
    desk.change(moved(desk, "shed", -1), 0)
    mine = desk.plan.text
    theirs = path.read_text(encoding="utf-8").replace("first drawing", "their drawing")
    path.write_text(theirs, encoding="utf-8")
    desk.keep_design(1)
    assert desk.plan.text == mine
    desk.save(desk.plan.revision)
    assert path.read_text(encoding="utf-8") == mine
    assert any(step.edit and "their drawing" in step.edit.come for step in desk.journal.steps())


def test_a_file_changed_while_nobody_looked_is_taken_when_nothing_is_open(path: Path) -> None:
    Desk(path).close()
    theirs = path.read_text(encoding="utf-8").replace("first drawing", "their drawing")
    path.write_text(theirs, encoding="utf-8")
    assert Desk(path).plan.text == theirs


def test_a_disk_that_refuses_keeps_the_plan_as_it_was(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = Desk(path)
    before = desk.plan

    def refuse(*_: object) -> int:
        raise OSError(28, "No space left on device")

    change = moved(desk, "shed", -1)
    with monkeypatch.context() as patched:
        patched.setattr("os.write", refuse)
        with pytest.raises(BadInput, match="not kept"):
            desk.change(change, 0)
    assert desk.plan == before
    assert not isinstance(desk.change(change, 0), Refused)


def test_a_wrong_file_opens_no_board(tmp_path: Path) -> None:
    path = tmp_path / "site.yaml"
    path.write_text("title: [", encoding="utf-8")
    with pytest.raises(BadInput):
        Desk(path)
    assert list(tmp_path.iterdir()) == [path]


def test_one_file_is_on_one_board(path: Path) -> None:
    first = Desk(path)
    with pytest.raises(BadInput, match="twice"):
        Desk(path)
    first.close()
    Desk(path).close()
