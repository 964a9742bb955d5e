"""A text read by what was read of the one before says, and places, what a full reading does."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.files.rereading import differing, reread
from checker.files.source import read_text
from checker.files.spans import LazySpans, spans
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
    for where, span in whole.items():
        if len(where) < 2:
            continue
        found = lazy[where]
        assert (found.key, found.start, found.is_flow) == (span.key, span.start, span.is_flow)
        assert text[found.start : found.end].rstrip() == text[span.start : span.end].rstrip()


def test_what_differs_is_found_from_both_ends() -> None:
    assert differing("abcde", "abXde") == (2, 1)
    assert differing("aaa", "aa") == (2, 1)
    assert differing("aa", "aaa") == (2, 0)
    assert differing("", "x") == (0, 0)


def test_a_splice_of_one_entry_leaves_all_else() -> None:
    text = (
        'surfaces:\n  - {id: a, size: 3}  # the first\n  - id: b\n    size: 4 # other\ntitle: "x"\n'
    )
    old = read_text(text, "site").data
    new = {**old, "surfaces": [old["surfaces"][0], {"id": "b", "size": 5}]}
    assert spliced(text, old, new, "site") == text.replace("size: 4 #", "size: 5 #")
