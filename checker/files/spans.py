"""Where each value of a YAML text stands."""

from __future__ import annotations

import re
from bisect import bisect_right
from itertools import accumulate
from typing import TYPE_CHECKING, Any, Final

from checker.core.records import Record
from checker.files.source import LINE_END, NO_YAML, composed

if TYPE_CHECKING:
    from checker.files.source import Document, Path_

OTHER_BREAKS: Final = re.compile("[\r\x85\u2028\u2029\ufeff]")
_ENTRY: Final = re.compile(r" *- +(?=\S)")
"""How a line begins with which an entry of a list in block style begins."""
_REMARK: Final = re.compile(r"(?:^|(?<=\s))#[^\r\n]*", re.MULTILINE)


class TextSpan(Record):
    """Where a value of a text stands, as offsets.

    Attributes:
        key: Where its key begins; its own begin for what has no key.
        start: Where it begins.
        end: Where it ends; in block style where the next one begins, remarks between included.
        is_flow: It is a list or mapping in brackets.
    """

    key: int
    start: int
    end: int
    is_flow: bool


class Stretch(Record):
    """An entry of a top-level list in block style, as whole lines of a text.

    Attributes:
        path: The key of the list, and the entry's position.
        first_line: Its first line, counted from 0.
        start: Where that begins, in characters.
        value: Where the entry itself begins, behind its dash.
        end: Where the next entry or key begins.
    """

    path: Path_
    first_line: int
    start: int
    value: int
    end: int


def stretches_at(document: Document, at: int) -> list[Stretch]:
    """The entries of a top-level list that stand behind one another where a place lies; or none."""
    found = stretches(document)
    first = bisect_right(found, at, key=lambda stretch: stretch.start) - 1
    if first < 0 or at >= found[first].end:
        return []
    last = first
    while first and _adjoin(found[first - 1], found[first]):
        first -= 1
    while last + 1 < len(found) and _adjoin(found[last], found[last + 1]):
        last += 1
    return found[first : last + 1]


def _adjoin(one: Stretch, other: Stretch) -> bool:
    return one.path[0] == other.path[0] and one.end == other.start


def stretches(document: Document) -> list[Stretch]:
    """The entries of the top-level lists in block style, in the order of the text.

    A text whose lines end in anything but a line feed has none.
    """
    if OTHER_BREAKS.search(document.text):
        return []
    lines = document.text.split("\n")
    starts = [0, *accumulate(len(line) + 1 for line in lines)]
    tops = [document.keys[(name,)][0] - 1 for name in document.data]
    entries = [
        ((name, index), *document.values[(name, index)])
        for name, value in document.data.items()
        if isinstance(value, list)
        for index in range(len(value))
    ]
    begins = sorted({*tops, *(line - 1 for _, line, _ in entries), len(lines)})
    found: list[Stretch] = []
    for path, line, column in entries:
        lead = _ENTRY.match(lines[line - 1])
        if lead is None or lead.end() != column - 1:
            continue
        start = starts[line - 1]
        end = starts[begins[bisect_right(begins, line - 1)]]
        found.append(Stretch(path, line - 1, start, start + lead.end(), end))
    return sorted(found, key=lambda stretch: stretch.start)


class LazySpans:
    """Where the values of a document stand; of an entry of a list only that is looked through.

    Args:
        document: As it was read.
    """

    def __init__(self, document: Document) -> None:
        self._document = document
        self._stretches = {stretch.path: stretch for stretch in stretches(document)}
        self._lines = LINE_END.split(document.text.removeprefix("\ufeff"))
        self._found: dict[Path_, TextSpan] = {}
        self._is_whole = False

    def __getitem__(self, path: Path_) -> TextSpan:
        """Where the value at a path stands.

        Raises:
            KeyError: There is none.
        """
        if path not in self._found and not self._is_whole:
            self._look(path)
        return self._found[path]

    def is_flow(self, path: Path_) -> bool:
        """Whether the value at a path is a list or mapping in brackets.

        Raises:
            KeyError: There is none.
        """
        line, column = self._document.values[path]
        first = self._lines[line - 1][column - 1 : column]
        return self[path].is_flow if first in {"&", "!", ""} else first in {"[", "{"}

    def _look(self, path: Path_) -> None:
        stretch = self._stretches.get(path[:2])
        if stretch is not None:
            try:
                inner = spans(self._document.text[stretch.start : stretch.end])
            except NO_YAML:  # it refers to another part of the file
                inner = {}
            for where, span in inner.items():
                if where[:1] == (0,):
                    self._found[(*stretch.path, *where[1:])] = _shifted(span, stretch.start)
        if path not in self._found:
            self._found = spans(self._document.text)
            self._is_whole = True


def _shifted(span: TextSpan, by: int) -> TextSpan:
    return TextSpan(span.key + by, span.start + by, span.end + by, span.is_flow)


def remarks(text: str) -> list[str]:
    """The remarks of a text, each from its sign on; none where it cannot be read by itself."""
    try:
        found = spans(text)
    except NO_YAML:
        return []
    inner = {path[:-1] for path in found}
    ends = sorted((span.start, span.end) for path, span in found.items() if path not in inner)
    kept: list[str] = []
    at = 0
    while (match := _REMARK.search(text, at)) is not None:
        # A sign within a text is none of a remark: the search goes on behind that text.
        before = bisect_right(ends, match.start(), key=lambda own: own[0])
        is_text = before > 0 and match.start() < ends[before - 1][1]
        at = ends[before - 1][1] if is_text else match.end()
        if not is_text:
            kept.append(match[0].rstrip())
    return kept


def spans(text: str) -> dict[Path_, TextSpan]:
    """Where each value of a text that can be read stands, by its path."""
    starts = [0]
    broken = text.replace("\r\n", " \n").replace("\r", "\n")
    for line in re.split("(?<=[\n\x85\u2028\u2029])", broken):
        starts.append(starts[-1] + len(line))
    found: dict[Path_, TextSpan] = {}

    def offset(mark: Any) -> int:  # noqa: ANN401 - PyYAML's own
        return starts[min(int(mark.line), len(starts) - 1)] + int(mark.column)

    def walk(node: Any, path: Path_, key: int) -> None:  # noqa: ANN401 - PyYAML's own
        is_flow = bool(getattr(node, "flow_style", False))
        found[path] = TextSpan(key, offset(node.start_mark), offset(node.end_mark), is_flow)
        if node.id == "mapping":
            for key_node, value_node in node.value:
                walk(value_node, (*path, key_node.value), offset(key_node.start_mark))
        elif node.id == "sequence":
            for index, item in enumerate(node.value):
                walk(item, (*path, index), offset(item.start_mark))

    root = composed(text)
    if root is not None:
        walk(root, (), offset(root.start_mark))
    return found
