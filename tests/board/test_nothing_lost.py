"""Nothing is lost: killed in the middle of an act, two hands at once, an editor, a late verdict."""

from __future__ import annotations

import os
import random
import shutil
import signal
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from checker.board.aside import Aside, LateVerdict
from checker.board.changes import Set
from checker.board.desk import Desk
from checker.board.journal import digest, replayed
from checker.board.plan import Plan
from tests.board.test_routes import Page, page_of
from tests.board.test_same_findings import act

SAMPLE = "fernhollow-before"


def work_until_killed(path: Path, seed: int, told: int) -> None:
    """Random acts and saves; what each one left is told before the next begins."""

    class Hand:
        desk = Desk(path)

    dice = random.Random(seed)
    os.write(told, b"open\n")
    for number in range(10_000):
        if dice.random() < 0.2:
            Hand.desk.save(Hand.desk.plan.revision)
        else:
            act(Hand, dice, number)  # type: ignore[arg-type]
        os.write(told, f"{digest(Hand.desk.plan.text)}\n".encode())


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")
@pytest.mark.parametrize("seed", range(12))
def test_killed_in_the_middle_of_an_act(path: Path, seed: int) -> None:
    """What was answered is there, what was under way is whole or not at all, undo leads back."""
    start = path.read_text(encoding="utf-8")
    reading, told = os.pipe()
    child = os.fork()
    if not child:
        try:
            work_until_killed(path, seed, told)
        finally:
            os._exit(1)
    os.close(told)
    with os.fdopen(reading, encoding="ascii") as answers:
        assert answers.readline() == "open\n"
        time.sleep(random.Random(seed).random() * 0.4)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        answered = answers.read().splitlines()
    desk = Desk(path)
    try:
        steps = desk.journal.steps()
        left = [digest(replayed(steps[:count]).text) for count in range(1, len(steps) + 1)]  # type: ignore[union-attr]
        last = answered[-1] if answered else left[0]
        # The last thing that was answered, or the one act that was being written down then.
        assert digest(desk.plan.text) in {last, left[-1]}
        assert last in left[-2:]
        # The file is as it was saved at some time, whole.
        assert digest(path.read_text(encoding="utf-8")) in {digest(start), *left}
        while desk.history.done:
            desk.undo(desk.plan.revision)
        assert desk.plan.text == start
    finally:
        desk.close()


def test_two_tabs_undo_in_turns(path: Path) -> None:
    """Each acts on what it saw last; who saw an old plan is turned away and takes it anew."""
    start = path.read_text(encoding="utf-8")
    page, dice = Page(path), random.Random(20261129)
    for number in range(30):
        act(page.board, dice, number)
    seen = [page.desk.plan.revision] * 2
    turned_away = 0
    while page.desk.history.done:
        tab = dice.randrange(2)
        way = "/undo" if dice.random() < 0.8 or not page.desk.history.undone else "/redo"
        answer = page.post(way, revision=seen[tab])
        if answer.status_code == 409:
            turned_away += 1
            seen[tab] = page.get("/plan").json()["revision"]
        else:
            assert answer.status_code == 200, answer.text
            seen[tab] = answer.json()["revision"]
    assert turned_away
    assert page.desk.plan.text == start
    page.desk.close()


def test_an_editor_writes_while_a_hand_drags(path: Path) -> None:
    page = Page(path)
    shed = next(entry for entry in page.desk.plan.data["surfaces"] if entry["id"] == "shed")
    moved = {"rectangle": shed["shape"]["rectangle"] | {"corner": [50, 110]}}
    change = {"kind": "reshape", "list": "surfaces", "id": "shed", "shape": moved,
              "was": shed["shape"]}  # fmt: skip
    assert page.post("/preview", revision=0, sequence=1, change=change).json()["verdict"]
    theirs = path.read_text(encoding="utf-8").replace("corner: [66, 110]", "corner: [64, 100]")
    path.write_text(theirs, encoding="utf-8")
    state = page.put(change).json()
    assert state["is_changed_outside"]
    own = page.desk.plan.text
    # Neither is written over the other.
    assert page.post("/save", revision=1).status_code == 422
    assert path.read_text(encoding="utf-8") == theirs
    taken = page.post("/take-file", revision=1).json()
    assert page.desk.plan.text == theirs
    page.post("/undo", revision=taken["revision"])
    assert page.desk.plan.text == own
    page.desk.close()


def test_undo_while_a_verdict_is_pending(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A storm that was followed for an older plan is told for no newer one."""
    page = page_of("tern-court", tmp_path)
    go, asked = threading.Event(), threading.Event()
    plans: list[Plan] = []

    def judged(_: Aside, plan: Plan) -> LateVerdict:
        plans.append(plan)
        asked.set()
        assert go.wait(30)
        return LateVerdict({"of": plan.revision})

    monkeypatch.setattr(Aside, "judged", judged)
    first = page.desk.plan.data["surfaces"][0]
    change = Set("surfaces", first["id"], ("title",), "Called so", first.get("title"))
    page.desk.change(change, 0)
    answers: dict[int, Any] = {}

    def ask(revision: int) -> None:
        answers[revision] = page.get(f"/late?revision={revision}")

    waiting = [threading.Thread(target=ask, args=(1,)) for _ in range(3)]
    for one in waiting:
        one.start()
    assert asked.wait(30)
    assert page.post("/undo", revision=1).status_code == 200
    go.set()
    for one in waiting:
        one.join()
    # It is told of the plan it was of, and who came behind it is turned away at once.
    assert answers[1].status_code in {200, 409}
    assert [plan.revision for plan in plans] == [1]
    ask(2)
    assert answers[2].json() == {"revision": 2, "verdict": {"of": 2}}
    page.desk.close()


def test_a_process_beside_that_was_killed_is_begun_again(tmp_path: Path) -> None:
    """Out of memory, or somebody's hand: the verdict comes all the same."""
    page = page_of("tern-court", tmp_path)
    page.board.aside.start()
    process = page.board.aside._process
    assert process is not None
    process.kill()
    answer = page.get("/late?revision=0").json()
    assert answer["verdict"]["status"]["word"] == "passes"
    page.desk.close()


def test_a_full_disk_keeps_page_and_file_as_they_were(path: Path) -> None:
    """The journal lies on a disk that has no room: told, and nothing is half done."""
    page = Page(path)
    start = path.read_bytes()
    journal = page.desk.journal.path
    kept = journal.read_bytes()
    if not Path("/dev/full").exists():
        pytest.skip("no device that is always full here")
    shutil.move(journal, journal.with_suffix(".kept"))
    journal.symlink_to("/dev/full")
    change = {"kind": "set", "list": "surfaces", "id": "shed", "field": ["title"], "value": "Hut",
              "was": None}  # fmt: skip
    answer = page.put(change)
    assert answer.status_code == 422
    assert "not kept" in answer.json()["says"]
    assert page.desk.plan.revision == 0
    journal.unlink()
    journal.write_bytes(kept)
    assert page.put(change).status_code == 200
    assert path.read_bytes() == start
    page.desk.close()
