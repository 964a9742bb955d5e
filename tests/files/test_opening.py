"""Files are opened without waiting, plain ones only, and never more of them than is allowed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from checker.core.problems import BadInput, Place
from checker.files.opening import Unopened, read_bytes
from checker.files.source import MAX_MISTAKES, MAX_NODES, MAX_TEXT, read_text
from tests.faults.rightless import open_folder, without_rights


def said(path: Path) -> str:
    with pytest.raises(Unopened) as refused:
        read_bytes(path, "x", 1000)
    return str(refused.value.problems[0])


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert said(tmp_path / "pipe") == "x: is not a plain file; name a plain file"


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/stdin", "/dev/tty"])
def test_a_device_is_not_read(device: str) -> None:
    assert said(Path(device)).startswith(("x: is not a plain file", "x: cannot be opened"))


def test_a_file_without_size_or_end_is_cut(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As files of the system are: they tell a size of 0 and hold more."""
    path = tmp_path / "endless"
    path.write_bytes(b"x" * 5000)
    real = os.fstat

    def told(handle: int) -> os.stat_result:
        known = list(real(handle))
        known[6] = 0
        return os.stat_result(known)

    monkeypatch.setattr(os, "fstat", told)
    assert said(path) == "x: has more than the 1,000 bytes allowed; split it"


def test_a_name_too_long_is_told(tmp_path: Path) -> None:
    assert said(tmp_path / ("n" * 300)) == (
        "x: cannot be opened: File name too long; check its name and permissions"
    )


def test_what_may_not_be_read_is_told() -> None:
    with open_folder() as folder:
        path = folder / "mine"
        path.write_text("x")
        path.chmod(0)
        assert without_rights(lambda: said(path)) == (
            "x: cannot be opened: Permission denied; check its name and permissions"
        )


def test_a_file_that_another_names_is_told_where_it_is_named() -> None:
    with pytest.raises(Unopened) as refused:
        read_bytes(Path("gone.csv"), "gone.csv")
    assert str(refused.value.named_at(Place("site.yaml", 7, 9))) == (
        "site.yaml cannot be used\n"
        "  site.yaml:7:9: gone.csv does not exist; check the name and the folder you are in"
    )


HUGE = {
    "keys": ("a: 1\n" * 1_500_000, f"200000:4: the file holds more than {MAX_NODES:,} keys and"),
    "title": (f"title: {'x' * 7_900_000}", "1:8: a text has 7,900,000 characters, more than the"),
    "list": (
        f"a: [{'1,' * 3_900_000}1]",
        f"the file holds more than {MAX_NODES:,} keys and values",
    ),
    "key": (f"? {'k' * 30_000}\n: 1", "1:3: a key has 30,000 characters; shorten it"),
}


@pytest.mark.parametrize("name", HUGE)
def test_what_is_huge_is_refused_by_a_limit(name: str) -> None:
    text, says = HUGE[name]
    with pytest.raises(BadInput) as refused:
        read_text(text, "x")
    assert says in str(refused.value)
    assert len(str(refused.value)) < 1000


def test_texts_up_to_the_limit_are_read() -> None:
    assert read_text(f"a: {'x' * MAX_TEXT}", "x").data == {"a": "x" * MAX_TEXT}
    with pytest.raises(BadInput, match=f"more than the {MAX_TEXT:,} allowed"):
        read_text(f"a: {'x' * (MAX_TEXT + 1)}", "x")


def test_a_file_of_mistakes_is_not_read_to_its_end() -> None:
    with pytest.raises(BadInput) as refused:
        read_text("a: 1\n" * 100_000, "x")
    assert len(refused.value.problems) == MAX_MISTAKES == 100
    assert refused.value.title == "x cannot be read; its first 100 mistakes are"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a: !!python/object/apply:os.system [ls]", "x:1:4: '!!python/object/apply:os.system'"),
        ("a: !!str 5", "x:1:4: '!!str' is a tag, which is not read; leave it out"),
        ("a: &here !secret 5", "x:1:4: '!secret' is a tag"),
        ("!!map {a: 1}", "x:1:1: '!!map' is a tag"),
        ("!k a: 1", "x:1:1: '!k' is a tag"),
        ("- !!binary aGk=", "x:1:3: '!!binary' is a tag"),
    ],
)
def test_tags_are_refused_aloud(text: str, says: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_text(text, "x")
    assert str(refused.value.problems[0]).startswith(says)


def test_exclamation_marks_in_texts_are_no_tags() -> None:
    data = read_text("a: stop!\nb: '!x'\nc: a !b\nd: |\n  !x\n", "x").data
    assert data == {"a": "stop!", "b": "!x", "c": "a !b", "d": "!x\n"}


def test_halves_of_characters_are_joined_in_json_only() -> None:
    assert read_text('{"a": "\\ud83c\\udfca", "b": "\\\\ud83c\\\\udfca"}', "x").data == {
        "a": "\U0001f3ca",
        "b": "\\ud83c\\udfca",
    }
    assert read_text("a: '\\ud83c\\udfca'", "x").data == {"a": "\\ud83c\\udfca"}
    with pytest.raises(BadInput, match="half of a character"):
        read_text('{"a": "\\ud83c"}', "x")
