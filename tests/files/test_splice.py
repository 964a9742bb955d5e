"""What becomes of the text around a value that changes: each text written out by hand."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from checker.files.source import read_text
from checker.files.splice import spliced

GONE: Any = object()
"""The value of a key that is taken out."""

CASES: dict[str, tuple[str, dict[tuple[str | int, ...], Any], str]] = {
    "first key, below a blank line": (
        "\ngone: 1\nkept: 2\n", {("gone",): GONE}, "\nkept: 2\n",
    ),
    "its remark stays": (
        "# top\ngone: 1   # one\n\nkept: 2\n", {("gone",): GONE}, "# top\n# one\n\nkept: 2\n",
    ),
    "an entry between brackets": ("a: [x, y, z]\n", {("a",): ["x", "z"]}, "a: [x, z]\n"),
    "a key between others in brackets": (
        "s:\n  - {id: a, k: 1, l: 2, m: 3}\n", {("s", 0, "l"): GONE},
        "s:\n  - {id: a, k: 1, m: 3}\n",
    ),
    "the last key in brackets": (
        "s:\n  - {id: a, k: 1, l: 2}\n", {("s", 0, "l"): GONE}, "s:\n  - {id: a, k: 1}\n",
    ),
    "the last two keys in brackets": (
        "s:\n  - {id: a, k: 1, l: 2, m: 3}\n", {("s", 0, "l"): GONE, ("s", 0, "m"): GONE},
        "s:\n  - {id: a, k: 1}\n",
    ),
    "the key beside the dash": (
        "s:\n  - k: 1   # why\n    id: a\n    m: 3\n", {("s", 0, "k"): GONE},
        "s:\n  - # why\n    id: a\n    m: 3\n",
    ),
    "a key between others": (
        "s:\n  - id: a\n    # deep\n    m: 3  # three\n    n: 4\n", {("s", 0, "m"): GONE},
        "s:\n  - id: a\n    # deep\n    # three\n    n: 4\n",
    ),
    "the last entry": (
        "s:\n  - id: a\n  # remark\n  - id: b\n    k: 2 # two\nt: 1\n", {("s",): [{"id": "a"}]},
        "s:\n  - id: a\n  # remark\n  # two\nt: 1\n",
    ),
    "an entry more in the middle": (
        "s:\n  - id: a\n  - id: b\nt: 1\n", {("s",): [{"id": "a"}, {"id": "c"}, {"id": "b"}]},
        "s:\n  - id: a\n  - {id: c}\n  - id: b\nt: 1\n",
    ),
    "an entry more between brackets": (
        "s: [{id: a}, {id: b}]\nt: 1\n", {("s",): [{"id": "a"}, {"id": "c"}, {"id": "b"}]},
        "s: [{id: a}, {id: c}, {id: b}]\nt: 1\n",
    ),
    "a list below its key": (
        "s:\n  m:\n    - 1   # one\n    - 2\nt: 1", {("s", "m"): [1, 3]},
        "s:\n  # one\n  m: [1, 3]\nt: 1",
    ),
    "a list behind a text without an end of line": (
        "s: 1", {("u",): [{"id": "a"}, {"id": "b"}]}, "s: 1\nu:\n  - {id: a}\n  - {id: b}\n",
    ),
    "a key more in a block": ("s:\n  m: 1\nt: 1\n", {("s", "n"): 2}, "s:\n  m: 1\n  n: 2\nt: 1\n"),
    "a key more in brackets": ("s: {m: 1}\n", {("s", "n"): 2}, "s: {m: 1, n: 2}\n"),
    "one id": ("s:\n  - id: a\n  - id: b\n", {("s", 1, "id"): "c"}, "s:\n  - id: a\n  - id: c\n"),
    "whole brackets": ("s:\n  k: {a: 1}\n", {("s", "k"): {"b": 1}}, "s:\n  k: {b: 1}\n"),
    "the ends of lines": ("a: 1\r\nb: 2\r\n", {("c",): 3}, "a: 1\r\nb: 2\r\nc: 3\r\n"),
    "yes and 1 are two things": ("a: yes\n", {("a",): 1}, "a: 1\n"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_only_what_changes_is_written_anew(name: str) -> None:
    text, changes, expected = CASES[name]
    document = read_text(text, "some.yaml")
    new = deepcopy(document.data)
    for path, value in changes.items():
        at: Any = new
        for key in path[:-1]:
            at = at[key]
        if value is GONE:
            del at[path[-1]]
        else:
            at[path[-1]] = value
    found = spliced(document, new)
    assert found is not None
    assert (found.text, found.data) == (expected, new)
