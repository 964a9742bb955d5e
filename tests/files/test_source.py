"""YAML as people write it, its traps, and hostile files."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any, ClassVar

import pytest
import yaml  # noqa: TID251 - its slower parser

from checker.core.problems import BadInput
from checker.files import source
from checker.files.opening import MAX_BYTES
from checker.files.source import read_document, read_text


def data(text: str) -> object:
    return read_text(text, "x.yaml").data


# What YAML 1.1 loaders make of these: false, 750, the text "1e3", 8. YAML 1.2, section 10.3.2.
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("a: no", {"a": "no"}),
        ("a: off", {"a": "off"}),
        ("a: 12:30", {"a": "12:30"}),
        ("a: 1e3", {"a": 1000.0}),
        ("a: 010", {"a": 10}),
        ("a: 18.10", {"a": 18.1}),
        ('a: "18.10"', {"a": "18.10"}),
        ("a: 2024-07-01", {"a": "2024-07-01"}),
        ("a: ~", {"a": None}),
        ("a: true", {"a": True}),
        ("a: 0x1F", {"a": "0x1F"}),
        ("a: |\n  18\n", {"a": "18\n"}),
        ('{"a": [1, 2.5, "x"]}', {"a": [1, 2.5, "x"]}),
    ],
)
def test_scalars_follow_the_core_rules(text: str, value: object) -> None:
    assert data(text) == value


def test_every_value_has_its_place() -> None:
    document = read_text("a:\n  - b: 1\n    c: 2\n", "lot.yaml")
    assert str(document.place("a", 0, "c")) == "lot.yaml:3:8"
    assert str(document.key_place("a", 0, "c")) == "lot.yaml:3:5"
    # What is not there is placed at the nearest thing around it.
    assert str(document.place("a", 0, "d", "e")) == "lot.yaml:2:5"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a: 1\na: 2\n", "x.yaml:2:1: the key 'a' stands twice, first in line 1; keep one"),
        ("a: .nan", "x.yaml:1:4: .nan is not a number that can be used; give a number"),
        ("a: .inf", "x.yaml:1:4: .inf is not a number that can be used; give a number"),
        ("a: 1e999", "x.yaml:1:4: 1e999 is too large a number"),
        ("? [a, b]\n: 1\n", "x.yaml:1:3: a key must be a plain text; put it in quotes"),
        ("a: [1, 2", "x.yaml:2:1: "),
        ("a:\n\t- 1\n", "x.yaml:2:1: "),
        ("a: 'x", "x.yaml:"),
        ("", "x.yaml: is empty; start from the file that 'soakline new' writes"),
        ("a: \x00", "x.yaml:1:4: "),
        ("a: *b", "x.yaml:1:4: "),
    ],
)
def test_what_cannot_be_read_says_where(text: str, says: str) -> None:
    with pytest.raises(BadInput) as raised:
        data(text)
    assert any(str(problem).startswith(says) for problem in raised.value.problems), str(
        raised.value
    )


def test_all_duplicate_keys_come_at_once() -> None:
    with pytest.raises(BadInput) as raised:
        data("a: 1\na: 2\nb: 1\nb: 2\n")
    assert len(raised.value.problems) == 2


# The well-known bomb of nine levels of nine references unfolds to 9**9 values.
BOMB = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]\n" for i in range(1, 9)
)


@pytest.mark.parametrize(
    "text",
    [
        BOMB,
        "[" * 100_000,
        "{a: " * 50_000,
        "- " * 50_000 + "x",
        "\n".join(" " * i + "a:" for i in range(3000)),
        "a: " + "9" * 100_000,
        "a: &a [*a]",
    ],
    ids=["references", "brackets", "braces", "dashes", "indents", "digits", "itself"],
)
def test_bombs_cost_little(text: str) -> None:
    start = time.process_time()
    with pytest.raises(BadInput):
        data(text)
    # Not a matter of speed: an unbounded reader would take minutes or the whole memory.
    assert time.process_time() - start < 20


def test_a_file_of_another_encoding_says_where(tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    path.write_bytes(b"a: 1\nb: caf\xe9\n")
    with pytest.raises(BadInput) as raised:
        read_document(path, "x.yaml")
    assert str(raised.value.problems[0]).startswith("x.yaml:2:7: is not UTF-8 text")


def test_a_file_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\n")
    assert read_document(path).data == {"a": 1}


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("missing.yaml", "does not exist"),
        (".", "is a folder, not a file"),
        ("x\0y", "the name cannot be used"),
    ],
)
def test_what_is_no_file_is_said(tmp_path: Path, name: str, says: str) -> None:
    with pytest.raises(BadInput) as raised:
        read_document(tmp_path / name, name)
    assert says in str(raised.value)


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    with path.open("wb") as stream:
        stream.truncate(MAX_BYTES + 1)
    with pytest.raises(BadInput) as raised:
        read_document(path, "x.yaml")
    assert "more than the" in str(raised.value)


@pytest.mark.parametrize("end", ["\r", "\x85", "\u2028", "\u2029"])
def test_a_mark_of_a_tag_is_looked_for_in_the_line_that_the_parser_counts(end: str) -> None:
    text = f"title: a{end}note: b{end}place: !strange c\n"
    with pytest.raises(BadInput) as wrong:
        read_text(text, "site")
    assert "'!strange' is a tag" in wrong.value.problems[0].says
    assert wrong.value.problems[0].place.line == 3


@pytest.mark.parametrize("text", ["[" * 700 + "]" * 700, '"\\UFFFFFFFF"', "? " * 900 + "a"])
def test_without_the_parser_in_c_hostile_texts_are_refused_too(
    monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    class Slow(yaml.SafeLoader):
        yaml_implicit_resolvers: ClassVar[dict[str, Any]] = {}  # type: ignore[misc]

    monkeypatch.setattr(source, "_Loader", Slow)
    with pytest.raises(BadInput, match=r"f\.yaml"):
        source.read_text(text, "f.yaml")
