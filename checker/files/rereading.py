"""A text that differs from the one read before in entries of one list: only these are read anew.

An entry of a top-level list in block style is a stretch of whole lines that begins with its dash.
What stands before it leads the parser into the same state, and what follows begins at a margin that
ends it, so that such a stretch says by itself what it says in the file, and one that stood in the
text before says what it said there. Whatever else may make it say something else (anchors, markers
of documents, long texts by their margin, a mistake) is read in full. The law: what is given here
equals what a full reading gives.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

from checker.files.opening import MAX_BYTES
from checker.files.source import MAX_NODES, Document, entries_read, read_text
from checker.files.spans import OTHER_BREAKS, stretches_at

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from checker.files.source import Mark, Path_
    from checker.files.spans import Stretch

_NOTHING: Final = Document("", [], {}, {})

_LEADS_OUT: Final = re.compile(r"[&*!%|>\t]|^(---|\.\.\.)", re.MULTILINE)
"""What may bear on other parts of a file, or hang on them."""


@lru_cache(maxsize=4)
def read_lately(text: str, shown: str) -> Document:
    """The document of a text; who works on one text change by change reads what has changed.

    Raises:
        BadInput: See `read_text`.
    """
    is_known = bool(_last) and _last[0].file == shown
    found = read_beside(_last[0], text) if is_known else read_text(text, shown)
    _last[:] = [found]
    return found


_last: list[Document] = []


def read_beside(before: Document, text: str) -> Document:
    """The document of a text by what was read of another one, as far as that does.

    Raises:
        BadInput: See `read_text`.
    """
    return reread(before, text) or read_text(text, before.file)


def reread(before: Document, text: str) -> Document | None:
    """The document of a text by what was read of another one; None where that does not do.

    Args:
        before: What was read last.
        text: The new text, which differs from the last one within the entries of one list.
    """
    if text == before.text:
        return before
    start, gone = differing(before.text, text)
    old = stretches_at(before, start)
    if not old or start < old[0].value or start + gone > old[-1].end or len(text) > MAX_BYTES:
        return None
    now = text[old[0].start : old[-1].end + len(text) - len(before.text)]
    lead = before.text[old[0].start : old[0].value]
    blocks = re.split(rf"^(?={lead[: lead.index('-')]}- +\S)", now, flags=re.MULTILINE)[1:]
    known = {before.text[own.start : own.end]: place for place, own in enumerate(old)}
    kept = [known.get(block) for block in blocks]
    places = [place for place in kept if place is not None]
    new_text = "".join(block for block in blocks if block not in known)
    gone_text = "".join(known.keys() - set(blocks))
    if (
        not blocks
        or "".join(blocks) != now
        or places != sorted(set(places))
        or (new_text and not new_text.endswith("\n"))
        or _LEADS_OUT.search(new_text + gone_text)
        or OTHER_BREAKS.search(new_text)
    ):
        return None
    read = entries_read(new_text, before.file) if new_text else _NOTHING
    return _merged(before, text, old, list(zip(blocks, kept, strict=True)), read) if read else None


def _merged(
    before: Document,
    text: str,
    old: Sequence[Stretch],
    blocks: Sequence[tuple[str, int | None]],
    read: Document,
) -> Document | None:
    """A document of which some entries of a list were read anew; None where they are not such.

    Args:
        before: What was read last.
        text: The new text.
        old: The entries that may have changed.
        blocks: What stands in their place, each with the number of the old one that it is.
        read: The others of them, read behind one another.
    """
    name, first, line = str(old[0].path[0]), int(old[0].path[1]), old[0].first_line
    entries: list[Any] = []
    # By line, counted from 1, how far down it has gone; by entry, which one it is now.
    down = [0] * (before.text.count("\n") + 2)
    numbers = {number: number for number in range(first)}
    fresh: list[tuple[int, int]] = []
    own_line = 0
    for number, (block, place) in enumerate(blocks, first):
        count = block.count("\n")
        if place is None:
            if read.values.get((len(fresh),), (0, 0))[0] != own_line + 1:
                return None
            entries.append(read.data[len(fresh)])
            fresh.append((number, line - own_line))
            own_line += count
        else:
            was = old[place]
            entries.append(before.data[name][int(was.path[1])])
            numbers[int(was.path[1])] = number
            ends = was.first_line + 1 + count + (not block.endswith("\n"))
            down[was.first_line + 1 : ends] = [line - was.first_line] * (ends - was.first_line - 1)
        line += count
    if len(fresh) != len(read.data):
        return None
    end = old[-1].first_line + before.text[old[-1].start : old[-1].end].count("\n") + 1
    down[end:] = [line + 1 - end] * (len(down) - end)
    behind = range(first + len(old), len(before.data[name]))
    numbers.update((number, number + len(blocks) - len(old)) for number in behind)
    listed = before.data[name]
    data = {**before.data, name: [*listed[:first], *entries, *listed[first + len(old) :]]}
    marks = [
        _moved(marks, name, numbers, down)
        | {
            (name, fresh[int(path[0])][0], *path[1:]): (at + fresh[int(path[0])][1], column)
            for path, (at, column) in inner.items()
        }
        for marks, inner in ((before.values, read.values), (before.keys, read.keys))
    ]
    if len(marks[0]) > MAX_NODES // 2:
        return None
    return Document(before.file, data, marks[0], marks[1], text)


def _moved(
    marks: Mapping[Path_, Mark], name: str, numbers: Mapping[Any, int], down: Sequence[int]
) -> dict[Path_, Mark]:
    """The marks of what stays, by the new number of its entry and the new line."""
    found: dict[Path_, Mark] = {}
    for path, (line, column) in marks.items():
        where = path
        if len(path) > 1 and path[0] == name:
            number = numbers.get(path[1])
            if number is None:
                continue
            if number != path[1]:
                where = (name, number, *path[2:])
        found[where] = (line + down[line], column)
    return found


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
