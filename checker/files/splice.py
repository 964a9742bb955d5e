"""A text of YAML with some of its values changed; every other character stays as it is.

What the person wrote is kept: order, quotes, remarks, blank lines. Mappings are gone through key by
key and lists entry by entry (entries with an `id` are the same where their ids are; a panel without
one is called after the surface that it is `on`), and only what differs is rewritten. The law:
reading the text gives the new data; where it does not, there is no splice and the caller writes the
data anew.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from checker.core.problems import BadInput
from checker.files.plain import flow
from checker.files.rereading import read_beside
from checker.files.spans import LazySpans, remarks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.files.source import Document, Path_
    from checker.files.spans import TextSpan


def spliced(document: Document, new: dict[str, Any]) -> Document | None:
    """A document with what differs from other data rewritten in its text.

    Args:
        document: As the person wrote it.
        new: What it is to say.

    Returns:
        The new text, read again; None where it would not say that.
    """
    if document.data == new:
        return document
    try:
        splice = _Splice(document)
        splice.mapping((), document.data, new)
        found = read_beside(document, splice.text())
    except (KeyError, BadInput):
        # The text does not say what it was thought to say.
        return None
    return found if found.data == new else None


class _Splice:
    """Collects edits of one text."""

    def __init__(self, document: Document) -> None:
        self._text = document.text
        self._where = LazySpans(document)
        self._edits: list[tuple[int, int, str]] = []

    def text(self) -> str:
        """The text with all edits made, its lines ended as they were."""
        found: list[str] = []
        at = 0
        ends = "\r\n" if "\r\n" in self._text else "\n"
        for start, end, put in sorted(self._edits):
            found += (self._text[at:start], put.replace("\n", ends))
            at = end
        return "".join((*found, self._text[at:]))

    def value(self, path: Path_, old: Any, new: Any) -> None:  # noqa: ANN401 - plain data
        """Change one value."""
        if old == new and type(old) is type(new):
            return
        if isinstance(old, dict) and isinstance(new, dict) and old and new:
            self.mapping(path, old, new)
        elif _have_ids(old) and _have_ids(new):
            self._entries(path, old, new)
        elif _are_records(old) and _are_records(new) and self._records(path, old, new):
            return
        else:
            self._replace(path, new)

    def _records(self, path: Path_, old: list[Any], new: list[Any]) -> bool:
        """Change entries without ids, add at the end or take one out; False where more differs."""
        count = min(len(old), len(new))
        if len(old) == len(new):
            for index, entry in enumerate(old):
                self.value((*path, index), entry, new[index])
        elif old == new[:count]:
            self._add(path, count - 1, [flow(entry) for entry in new[count:]], dash="- ")
        else:
            at = next((i for i in range(count) if old[i] != new[i]), count)
            if [*old[:at], *old[at + 1 :]] != new:
                return False
            self._remove(path, list(range(len(old))), [at])
        return True

    def mapping(self, path: Path_, old: dict[str, Any], new: dict[str, Any]) -> None:
        """Change, take out and add keys of a mapping."""
        kept = [key for key in old if key in new]
        if not kept and path:
            self._replace(path, new)
            return
        for key in kept:
            self.value((*path, key), old[key], new[key])
        self._remove(path, list(old), [key for key in old if key not in new])
        added = [
            f"{flow(key)}:{f' {flow(value)}' if path else _listed(value)}"
            for key, value in new.items()
            if key not in old
        ]
        if added:
            self._add(path, kept[-1] if kept else "", added, dash="")

    def _entries(self, path: Path_, old: list[Any], new: list[Any]) -> None:
        """Change, take out and add entries of a list that have ids."""
        renamed = _renamed(old, new)
        if renamed is not None:
            for index, entry in enumerate(old):
                self.value((*path, index), entry, new[index])
            return
        now = {_name(entry): entry for entry in new}
        known = {_name(entry): index for index, entry in enumerate(old)}
        kept = [index for index, entry in enumerate(old) if _name(entry) in now]
        if not kept:
            self._replace(path, new)
            return
        for index in kept:
            self.value((*path, index), old[index], now[_name(old[index])])
        gone = [index for index, entry in enumerate(old) if _name(entry) not in now]
        self._remove(path, list(range(len(old))), gone)
        behind = kept[-1]
        added: dict[int, list[str]] = {}
        for entry in new:
            if _name(entry) in known:
                behind = known[_name(entry)]
            else:
                added.setdefault(behind, []).append(flow(entry))
        for index, entries in added.items():
            self._add(path, index, entries, dash="- ")

    def _replace(self, path: Path_, new: Any) -> None:  # noqa: ANN401 - plain data
        """Put a value on the line of its key, also where the old one began on the next line."""
        span = self._where[path]
        end = self._trimmed(span)
        self._keep_above(span, end)
        before = self._text[: span.start].rstrip()
        if span.key < span.start and before.endswith(":"):
            text = _listed(new) if len(path) == 1 else f" {flow(new)}"
            self._edits.append((len(before), end, text))
        else:
            self._edits.append((span.start, end, flow(new)))

    def _remove(self, path: Path_, names: Sequence[str | int], gone: Sequence[str | int]) -> None:
        if not gone:
            return
        if self._where.is_flow(path):
            self._remove_in_flow(path, names, gone)
            return
        for name in gone:
            span = self._where[(*path, name)]
            end = self._line_end(self._trimmed(span))
            start = self._text.rfind("\n", 0, span.key) + 1
            lead = self._text[start : span.key]
            if isinstance(name, str) and lead.strip():
                # The first key of an entry shares its line with the dash, which stays.
                after = re.match(r"\s*", self._text[end:])
                pad = f"\n{' ' * len(lead)}"
                kept = "".join(f"{remark}{pad}" for remark in self._remarks(span.key, end))
                self._edits.append((span.key, end + (len(after[0]) if after else 0), kept))
            else:
                pad = " " * (len(lead) - len(lead.lstrip(" ")))
                kept = "".join(f"{pad}{remark}\n" for remark in self._remarks(start, end))
                following = self._text.find("\n", end) + 1 or len(self._text)
                self._edits.append((start, following, kept))

    def _remove_in_flow(
        self, path: Path_, names: Sequence[str | int], gone: Sequence[str | int]
    ) -> None:
        """Take out what is gone with the comma behind it, or before it at the end."""
        left = [name for name in names if name not in set(gone)]
        for name in gone:
            at = names.index(name)
            span = self._where[(*path, name)]
            following = [n for n in names[at + 1 :] if n in left]
            if following:
                following_at = self._where[(*path, names[at + 1])].key
                self._edits.append((span.key, following_at, self._kept(span.key, following_at)))
            elif left:
                before = self._where[(*path, names[at - 1])]
                kept = self._kept(before.end, span.end)
                self._edits.append((before.end, span.end, f" {kept}" if kept else ""))

    def _remarks(self, start: int, end: int) -> list[str]:
        """The remarks of a part of the text, which may begin within a line."""
        column = start - self._text.rfind("\n", 0, start) - 1
        return remarks(" " * column + self._text[start:end])

    def _kept(self, start: int, end: int) -> str:
        """The remarks of what goes from between brackets, each to the end of its line."""
        text = self._text[start:end].strip().strip(",")
        return "".join(f"{remark}\n      " for remark in remarks(f"[{text}\n ]"))

    def _keep_above(self, span: TextSpan, end: int) -> None:
        """Put the remarks of a value that is replaced above the line of its key."""
        line = self._text.rfind("\n", 0, span.key) + 1
        lead = self._text[line : span.key]
        pad = " " * (len(lead) - len(lead.lstrip(" ")))
        kept = "".join(f"{pad}{remark}\n" for remark in self._remarks(span.start, end))
        if kept:
            self._edits.append((line, line, kept))

    def _add(self, path: Path_, last: str | int, added: Sequence[str], *, dash: str) -> None:
        """Add keys or entries behind the last one that stays."""
        is_flow = self._where.is_flow(path)
        if not path and not is_flow:
            gap = "" if self._text.endswith("\n") or not self._text else "\n"
            end = len(self._text)
            self._edits.append((end, end, gap + "".join(f"{item}\n" for item in added)))
            return
        span = self._where[(*path, last)]
        if is_flow:
            end = span.end
            self._edits.append((end, end, "".join(f", {item}" for item in added)))
            return
        end = self._line_end(self._trimmed(span))
        line = self._text.rfind("\n", 0, span.key) + 1
        pad = " " * (span.key - line - len(dash))
        self._edits.append((end, end, "".join(f"\n{pad}{dash}{item}" for item in added)))

    def _trimmed(self, span: TextSpan) -> int:
        """The end of a value without the blank lines and remarks that follow it."""
        if span.is_flow:
            return span.end
        lines = self._text[span.start : span.end].splitlines(keepends=True)
        while len(lines) > 1 and (not lines[-1].strip() or lines[-1].lstrip().startswith("#")):
            lines.pop()
        return span.start + len("".join(lines).rstrip())

    def _line_end(self, at: int) -> int:
        found = self._text.find("\n", at)
        if found < 0:
            return len(self._text)
        return found - 1 if self._text[found - 1] == "\r" else found


def _listed(value: Any) -> str:  # noqa: ANN401 - plain data
    """What stands behind a key of the file itself: a list of entries has a line for each."""
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        return "".join(f"\n  - {flow(item)}" for item in value)
    return f" {flow(value)}"


def _have_ids(data: object) -> bool:
    return (
        isinstance(data, list)
        and bool(data)
        and all(isinstance(item, dict) and isinstance(_name(item), str) for item in data)
        and len({_name(item) for item in data}) == len(data)
    )


def _name(entry: dict[str, Any]) -> Any:  # noqa: ANN401 - plain data
    """What an entry of a list is called."""
    return entry.get("id", entry.get("on"))


def _are_records(data: object) -> bool:
    return isinstance(data, list) and bool(data) and all(isinstance(item, dict) for item in data)


def _renamed(old: list[Any], new: list[Any]) -> int | None:
    """The one entry of a list that has another id now, all else being as it was."""
    if len(old) != len(new):
        return None
    differing = [i for i, (a, b) in enumerate(zip(old, new, strict=True)) if _name(a) != _name(b)]
    if len(differing) != 1 or _name(new[differing[0]]) in {_name(entry) for entry in old}:
        return None
    return differing[0]
