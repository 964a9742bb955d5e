"""A text that differs from the one read before in one entry of a list: only that is read anew.

An entry of a top-level list in block style is a stretch of whole lines that begins with its dash.
What stands before it leads the parser into the same state, and what follows begins at a margin that
ends it, so that such a stretch says by itself what it says in the file. Whatever else may make it
say something else (anchors, markers of documents, long texts by their margin, a mistake) is read in
full. The law: what is given here equals what a full reading gives.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from checker.files.opening import MAX_BYTES
from checker.files.source import MAX_NODES, Document, entry_read, read_text
from checker.files.spans import OTHER_BREAKS, stretch_at

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from checker.files.source import Mark, Path_
    from checker.files.spans import Stretch

_LEADS_OUT: Final = re.compile(r"[&*!%|>\t]|^(---|\.\.\.)", re.MULTILINE)
"""What may bear on other parts of a file, or hang on them."""


@lru_cache(maxsize=4)
def read_lately(text: str, shown: str) -> Document:
    """The document of a text; who works on one text change by change reads what has changed.

    Raises:
        BadInput: See `read_text`.
    """
    before = _last[0] if _last else None
    found = reread(before, text) if before is not None and before.file == shown else None
    if found is None:
        found = read_text(text, shown)
    _last[:] = [found]
    return found


_last: list[Document] = []


def reread(before: Document, text: str) -> Document | None:
    """The document of a text by what was read of another one; None where that does not do.

    Args:
        before: What was read last.
        text: The new text, which differs from the last one in one entry.
    """
    if text == before.text:
        return before
    start, gone = differing(before.text, text)
    old = stretch_at(before, start)
    if old is None or start + gone > old.end or len(text) > MAX_BYTES:
        return None
    new_text = text[old.start : old.end + len(text) - len(before.text)]
    old_text = before.text[old.start : old.end]
    if (
        start < old.value
        or not new_text.endswith("\n")
        or _LEADS_OUT.search(new_text + old_text)
        or OTHER_BREAKS.search(new_text)
        or len(before.values) > MAX_NODES // 2
    ):
        return None
    read = entry_read(new_text, before.file)
    if read is None:
        return None
    more = new_text.count("\n") - old_text.count("\n")
    name, index = str(old.path[0]), int(old.path[1])
    data = dict(before.data)
    data[name] = [*data[name][:index], read.data, *data[name][index + 1 :]]
    marks = [
        _moved(marks, inner, old, more)
        for marks, inner in ((before.values, read.values), (before.keys, read.keys))
    ]
    return Document(before.file, data, marks[0], marks[1], text)


def _moved(
    marks: Mapping[Path_, Mark], inner: Mapping[Path_, Mark], old: Stretch, more: int
) -> dict[Path_, Mark]:
    """The marks of a file whose one entry was read anew and has so many lines more."""
    last_line = old.first_line
    kept = {path: mark for path, mark in marks.items() if path[:2] != old.path}
    if more:
        kept = {
            path: (line + more if line > last_line + 1 else line, column)
            for path, (line, column) in kept.items()
        }
    kept.update(
        ((*old.path, *path), (line + old.first_line, column))
        for path, (line, column) in inner.items()
    )
    return kept


def differing(before: str, after: str) -> tuple[int, int]:
    """Where two texts begin to differ, and how many characters of the first one are others."""
    most = min(len(before), len(after))
    start = _alike(most, lambda size: before[:size] == after[:size])
    end = _alike(
        most - start,
        lambda size: before[len(before) - size :] == after[len(after) - size :],
    )
    return start, len(before) - end - start


def _alike(most: int, is_alike: Callable[[int], bool]) -> int:
    """The largest size, up to the most, at which two ends are alike."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if is_alike(middle):
            low = middle
        else:
            high = middle - 1
    return low
