"""A text read by what was read of the one before says, and places, what a full reading does."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.files.rereading import differing, reread
from checker.files.source import read_text
from checker.files.spans import LazySpans, spans, stretches
from checker.files.splice import spliced

SAMPLES = sorted(Path("samples").glob("*/site.yaml"))
BITS = [
    "7", "12.5", "[", "]", "{", "}", ",", ": ", "\n", "\n  - ", "\n    note: x", '"', "'", " # a",
    "&a ", "*a", "! ", "---\n", "|\n", ">", "- ", "? ", "\t", "%", "no", "[1, 2]", "\u2028", "\r",
    "é", "\ufeff", "\n\n", "#", "\x85",
]  # fmt: skip
"""What an editor, or a bad one, may put into a file."""


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.parent.name)
def test_random_edits_read_alike(path: Path) -> None:
    """200 a sample: numbers changed, bits put in, stretches taken out, here and there."""
    text = path.read_text(encoding="utf-8")
    dice = random.Random(20261129)
    before = read_text(text, "site")
    by_part = 0
    for _ in range(200):
        at = dice.randrange(len(text))
        if dice.random() < 0.6:
            digits = [i for i, letter in enumerate(text) if letter.isdigit()]
            at = dice.choice(digits)
            new = text[:at] + str(dice.randrange(10)) + text[at + 1 :]
        elif dice.random() < 0.6:
            new = text[:at] + dice.choice(BITS) + text[at:]
        else:
            new = text[:at] + text[at + dice.randrange(1, 30) :]
        try:
            full = read_text(new, "site")
        except BadInput:
            full = None
        found = reread(before, new)
        # What cannot be read is never taken for something, and left to the full reading to tell.
        assert found is None or found == full
        by_part += found is not None and new != text
        if full is not None and dice.random() < 0.5:
            text, before = new, full
    assert by_part


def edited(text: str, dice: random.Random) -> str:
    """A text with some of its entries changed, taken out, put in or exchanged."""
    own = spans_of_entries(text)
    entries = [text[start:end] for start, end in own]
    for _ in range(dice.randrange(1, 5)):
        at, other = (dice.randrange(len(entries)) for _ in range(2))
        act = dice.randrange(6)
        if act == 0:
            entries[at] = ""
        elif act == 1:
            entries[at] = entries[at].replace("id: ", "id: x", 1)
        elif act == 2:
            digits = [i for i, letter in enumerate(entries[at]) if letter.isdigit()] or [0]
            i = dice.choice(digits)
            entries[at] = entries[at][:i] + str(dice.randrange(10)) + entries[at][i + 1 :]
        elif act == 3:
            lead = text[text.rfind("\n", 0, own[at][0]) + 1 : own[at][0]]
            made = dice.choice(["- {id: new, material: lawn}\n", "- id: new\n    a: [1,\n  2]\n"])
            entries[at] += f"{lead}  {made}" if dice.random() < 0.5 else f"  {made}"
        elif act == 4:
            entries[at], entries[other] = entries[other], entries[at]
        else:
            i = dice.randrange(len(entries[at]) + 1)
            entries[at] = entries[at][:i] + dice.choice(BITS) + entries[at][i:]
    return text[: own[0][0]] + "".join(entries) + text[own[-1][1] :]


def spans_of_entries(text: str) -> list[tuple[int, int]]:
    """Where the surfaces of a text stand, as whole lines."""
    found = read_text(text, "site")
    own = [s for s in stretches(found) if s.path[0] == "surfaces"]
    return [(s.start, s.end) for s in own]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.parent.name)
def test_edits_of_several_entries_read_alike(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    dice = random.Random(29)
    before = read_text(text, "site")
    if not spans_of_entries(text):
        pytest.skip("its surfaces are not written as entries")
    by_part = 0
    for _ in range(150):
        new = edited(text, dice)
        try:
            full = read_text(new, "site")
        except BadInput:
            full = None
        found = reread(before, new)
        assert found is None or found == full
        by_part += found is not None and new != text
    assert by_part > 20


def test_many_entries_of_a_text_are_read_by_parts() -> None:
    """Cut back, put behind, taken out and followed by others, as a change of a lot writes them."""
    head, tail = "title: x\nsurfaces:\n", "\n# the end\ngoal: {a: [1]}\n"
    entries = [f"  - {{id: p{n}, size: [{n}, 2]}}  # {n}\n" for n in range(40)]
    before = read_text(head + "".join(entries) + tail, "site")
    for n in range(0, 40, 3):
        entries[n] = f"  - {{id: p{n}, size: [1, {n}]}}\n  - {{id: q{n},\n     size: [3, 3]}}\n"
    entries[7] = ""
    new = head + "".join(entries) + tail
    found = reread(before, new)
    assert found == read_text(new, "site")
    assert found is not None
    assert found.keys[("goal",)][0] == new[: new.index("goal")].count("\n") + 1


def test_an_entry_whose_dash_stands_alone_is_read_as_it_stands() -> None:
    """It begins no line of its own, so that it seems to belong to the entry before it."""
    before = read_text("surfaces:\n  - {id: a}\n  - {id: b}\n", "site")
    new = "surfaces:\n  - {id: c}\n  -\n    id: d\n  - {id: b}\n"
    assert reread(before, new) is None
    assert reread(before, "surfaces:\n  - {id: a}\n  - {id: c}\n  -\n    id: d\n") is None


@pytest.mark.parametrize(
    ("gone", "come"), [("&w 5", "&w 6"), ("&w 5", "5"), ("*w", "*w # b"), ("id: b", "id: &w b")]
)
def test_an_entry_that_others_hang_on_is_not_read_alone(gone: str, come: str) -> None:
    text = "surfaces:\n  - id: a\n    width: &w 5\n  - id: b\n    width: *w\n"
    before = read_text(text, "site")
    assert before.data["surfaces"][1]["width"] == 5
    assert reread(before, text.replace(gone, come)) is None


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.parent.name)
def test_entries_are_found_where_the_whole_text_has_them(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    whole, lazy = spans(text), LazySpans(read_text(text, "site"))
    fresh = LazySpans(read_text(text, "site"))
    for where, span in whole.items():
        assert fresh.is_flow(where) == span.is_flow
        if len(where) < 2:
            continue
        found = lazy[where]
        assert (found.key, found.start, found.is_flow) == (span.key, span.start, span.is_flow)
        assert text[found.start : found.end].rstrip() == text[span.start : span.end].rstrip()


@pytest.mark.parametrize(
    ("text", "is_flow"),
    [
        ("a: &x [1]", True), ("a: &x\n  - 1", False), ("\ufeffa: [1]", True), ("a: '[1]'", False),
        ("b: &x {c: 1}\na: *x", True), ("a:\n  {b: 1}", True), ("a:\n  - [1]", False),
    ],
)  # fmt: skip
def test_brackets_are_told_by_the_first_character(text: str, is_flow: bool) -> None:
    assert LazySpans(read_text(text, "site")).is_flow(("a",)) == is_flow


def test_a_whole_text_may_stand_in_brackets() -> None:
    assert LazySpans(read_text("\ufeff{a: 1}", "site")).is_flow(())


def test_what_differs_is_found_from_both_ends() -> None:
    assert differing("abcde", "abXde") == (2, 1)
    assert differing("aaa", "aa") == (2, 1)
    assert differing("aa", "aaa") == (2, 0)
    assert differing("", "x") == (0, 0)


def test_a_splice_of_one_entry_leaves_all_else() -> None:
    text = (
        'surfaces:\n  - {id: a, size: 3}  # the first\n  - id: b\n    size: 4 # other\ntitle: "x"\n'
    )
    document = read_text(text, "site")
    old = document.data
    new = {**old, "surfaces": [old["surfaces"][0], {"id": "b", "size": 5}]}
    found = spliced(document, new)
    assert found == read_text(text.replace("size: 4 #", "size: 5 #"), "site")
