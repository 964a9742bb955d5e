"""Two site files value by value, and the files that they name."""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING, Any, Final

from checker.core.records import Record
from checker.files.library import is_path
from checker.files.opening import read_bytes
from checker.site.gis_files import MAX_GIS_BYTES, companions_of
from checker.words.amounts import NOTHING, capital

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from checker.site.model import Site

_OF_THE_REVISION: Final = frozenset(
    {("project", "revision"), ("project", "revisions"), ("project", "comments")}
)
"""What every new revision says of itself."""

_BY_GROUND: Final = frozenset({"shape"})
"""Compared as ground, not as it is written."""

_BY_SURFACE: Final = frozenset({"material", "stage"})
"""Said with the surface in words of its own."""

_KINDS: Final = {
    ("panels",): "panel",
    ("sections",): "section",
    ("surfaces",): "surface",
    ("features",): "feature",
    ("regions",): "region",
    ("ways_out", "inlets"): "drain",
    ("ways_out", "pipes"): "pipe",
    ("ways_out", "stores"): "store",
    ("ways_out", "outlets"): "outlet",
    ("ways_out", "overflow_edges"): "overflow edge",
}
"""What the entries of a list are called."""

_PLACES: Final = frozenset({"points", "along", "at"})
"""Coordinates: that they moved says more than their numbers."""

_FIELDS: Final = {"points": "outline", "along": "line", "at": "place", "to": "leads to"}
"""Fields whose names in the file are no words of a page."""

_LONGEST: Final = 160


class FileChange(Record):
    """A value that differs: what it is in words, the surface that it belongs to, both texts."""

    what: str
    owner: str
    before: str
    after: str


def file_changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[FileChange]:
    """Every value of two site files that differs, entries with an id matched by it."""
    yield from _walk(old, new, ())


_Path = tuple[str, ...]


def _walk(old: Any, new: Any, at: _Path) -> Iterator[FileChange]:  # noqa: ANN401 - plain data
    if old == new or at in _OF_THE_REVISION or _is_said(old, new, at):
        return
    if isinstance(old, dict) and isinstance(new, dict):
        for key in dict.fromkeys([*new, *old]):
            yield from _walk(old.get(key), new.get(key), (*at, str(key)))
    elif isinstance(old, list) and isinstance(new, list) and _are_records((*old, *new)):
        yield from _lists(old, new, at)
    else:
        before, after = _cut(_text(old)), _cut(_text(new))
        if at[-1] in _PLACES and None not in (old, new):
            before, after = "as before", "moved"
        if before == after:  # they differ beyond what is shown
            before, after = "as before", "changed"
        yield FileChange(_words(at), at[1] if at[:1] == ("surfaces",) else "", before, after)


def _lists(old: list[Any], new: list[Any], at: _Path) -> Iterator[FileChange]:
    """Entries matched by their id where all have one, else one after the other."""
    if not _have_ids(old) or not _have_ids(new):
        for index, pair in enumerate(zip_longest(old, new), 1):
            ids = {str(item["id"]) for item in pair if item and "id" in item}
            yield from _walk(*pair, (*at, ids.pop() if len(ids) == 1 else str(index)))
        return
    was, will = ({str(item["id"]): item for item in each} for each in (old, new))
    for name in dict.fromkeys([*will, *was]):
        yield from _walk(was.get(name), will.get(name), (*at, name))
    if list(was) != list(will) and was.keys() == will.keys():
        yield FileChange(f"{_words(at)}: order", "", ", ".join(was), ", ".join(will))


def _is_said(old: Any, new: Any, at: _Path) -> bool:  # noqa: ANN401 - plain data
    """What is compared elsewhere by its ground or in words of its own."""
    if at[:1] not in {("surfaces",), ("features",), ("regions",)}:
        return False
    if len(at) == 2:
        return old is None or new is None
    own = _BY_GROUND | _BY_SURFACE if at[0] == "surfaces" else _BY_GROUND
    return len(at) == 3 and at[2] in own


def _are_records(items: tuple[Any, ...]) -> bool:
    return all(isinstance(item, dict) for item in items)


def _have_ids(items: list[Any]) -> bool:
    return all(isinstance(item, dict) and "id" in item for item in items)


def _words(at: _Path) -> str:
    for key, kind in _KINDS.items():
        if at[: len(key)] == key and len(at) > len(key):
            parts = (_FIELDS.get(part, part) for part in at[len(key) + 1 :])
            rest = ", ".join(part.replace("_", " ") for part in parts)
            named = f"{kind} {at[len(key)]}"
            return capital(f"{named}: {rest}" if rest else named)
    return capital(", ".join(part.replace("_", " ") for part in at))


def _text(value: Any) -> str:  # noqa: ANN401 - plain data
    if value is None:
        return NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        text = "; ".join(f"{key}: {_text(item)}" for key, item in value.items())
    elif isinstance(value, list):
        text = ", ".join(map(_text, value))
    else:
        text = str(value)
    return text


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1].rstrip()}…"


def changed_entries(old: Mapping[str, Any], new: Mapping[str, Any], key: str) -> frozenset[str]:
    """Ids of the entries of a list of two site files that differ in any value, or are in one."""
    was, will = ({str(item["id"]): item for item in _entries(data, key)} for data in (old, new))
    return frozenset(name for name in was.keys() | will.keys() if was.get(name) != will.get(name))


def _entries(data: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    """The entries with an id of a list of the file; of all lists of a group of lists."""
    found = data.get(key) or []
    lists = found.values() if isinstance(found, dict) else [found]
    return [item for each in lists if isinstance(each, list) for item in each if "id" in item]


def contents(site: Site) -> dict[str, bytes]:
    """The content of each file that a site file names."""
    return {path.name: read_bytes(path, path.name, MAX_GIS_BYTES) for path in named_files(site)}


def named_files(site: Site) -> list[Path]:
    """The files that a site file names and that are there, each once, in a fixed order."""
    data = site.document.data
    folder = site.file.parent
    drawing = data.get("drawing", {}).get("file", "")
    table = data.get("storms", {}).get("table", "")
    costs = str(data.get("costs", ""))
    named = [folder / name for name in (drawing, table, costs if is_path(costs) else "") if name]
    if drawing.lower().endswith(".shp"):
        named += companions_of(folder / drawing).values()
    return [path for path in named if path.is_file()]
