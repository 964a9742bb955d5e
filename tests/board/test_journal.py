"""The journal: what was done is there again after any end, and undone to the same bytes."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.board.journal import History, Journal, JournalLine, digest, edit_between, replayed

TEXTS = st.text(alphabet="ab\n# é", max_size=30)


def step(kind: Any, before: str, after: str, key: str = "") -> JournalLine:
    edit = None if kind == "save" else edit_between(before, after)
    return JournalLine(
        kind=kind, says=kind, before=digest(before), after=digest(after), edit=edit, key=key
    )


@given(TEXTS, TEXTS)
def test_an_edit_leads_there_and_its_inverse_back(before: str, after: str) -> None:
    edit = edit_between(before, after)
    assert edit.made(before) == after
    assert edit.inverse.made(after) == before


def test_an_edit_of_another_text_is_refused() -> None:
    with pytest.raises(ValueError, match="another"):
        edit_between("abc", "axc").made("a--")


@given(st.lists(TEXTS, min_size=1, max_size=8), st.data())
def test_replaying_gives_the_last_text_and_the_same_stacks(
    texts: list[str], data: st.DataObject
) -> None:
    """Held against a plain list of texts with a finger on one of them."""
    steps = [step("open", "", texts[0])]
    plain, finger, saved = [texts[0]], 0, texts[0]
    for text in texts[1:]:
        act = data.draw(st.sampled_from(["change", "undo", "redo", "save"]))
        now = plain[finger]
        if act == "undo" and finger:
            finger -= 1
        elif act == "redo" and finger + 1 < len(plain):
            finger += 1
        elif act == "save":
            saved = now
        else:
            act = "change"
            plain = [*plain[: finger + 1], text]
            finger += 1
        steps.append(step(act, now, plain[finger]))
    history = replayed(steps)
    assert history is not None
    assert history.text == plain[finger]
    assert (len(history.done), len(history.undone)) == (finger, len(plain) - 1 - finger)
    assert history.saved == digest(saved)


def written(path: Path, texts: list[str]) -> list[JournalLine]:
    journal = Journal(path)
    steps = [step("open", "", texts[0])]
    steps += [step("change", a, b) for a, b in pairwise(texts)]
    for item in steps:
        journal.write(item)
    return steps


def test_cut_at_every_byte_it_opens_with_the_whole_steps(tmp_path: Path) -> None:
    path = tmp_path / "a.journal"
    steps = written(path, ["one\n", "one\ntwo\n", "two\n"])
    whole = path.read_bytes()
    ends = [i + 1 for i, sign in enumerate(whole) if sign == 10]
    for cut in range(len(whole) + 1):
        path.write_bytes(whole[:cut])
        kept = sum(end <= cut for end in ends)
        assert Journal(path).steps() == steps[:kept]
        assert path.stat().st_size == ([0, *ends][kept])
        history = replayed(steps[:kept])
        assert (history is None) == (kept == 0)


def test_it_is_the_owners_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.journal"
    written(path, ["a"])
    assert path.stat().st_mode & 0o077 == 0


def test_a_strange_journal_is_put_aside_and_kept(tmp_path: Path) -> None:
    path = tmp_path / "a.journal"
    path.write_text("no journal\n")
    assert Journal(path).steps() == []
    path.write_text("mine\n")
    Journal(path).begin()
    assert (tmp_path / "a.journal.1").read_text() == "mine\n"
    assert not path.exists()


def test_steps_that_do_not_follow_are_no_history() -> None:
    assert replayed([step("open", "", "a"), step("change", "x", "y")]) is None
    assert replayed([step("change", "", "a")]) is None
    assert replayed([step("open", "", "a"), step("undo", "a", "")]) is None
    assert replayed([]) is None
    assert History().text == ""


def test_a_journal_is_held_by_one_at_a_time(tmp_path: Path) -> None:
    one, other = Journal(tmp_path / "j"), Journal(tmp_path / "j")
    assert one.hold()
    assert not other.hold()
    one.let_go()
    assert other.hold()
    other.let_go()
