"""The closed set of changes of a design, on the plain data of its site file.

A change says what was there before, and is refused where that is not there any more: it never lays
itself over something else. Things are addressed by list and id; spot levels, which have none, by
their number in the file, as messages about them do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, assert_never

from checker.board.references import face_anew, lead_anew, mentions
from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Iterable

LISTS: Final = (
    "surfaces", "features", "regions", "panels", "on_file", "levels",
    "ways_out.inlets", "ways_out.pipes", "ways_out.stores", "ways_out.outlets",
    "ways_out.overflow_edges",
)  # fmt: skip
"""The lists of a site file whose entries can be addressed; a dot leads inward."""

ABSENT: Final = None
"""Stands for a field that is not there."""

FileData = dict[str, Any]


class Put(Record, tag="put", tag_field="kind"):
    """Add an entry to a list, behind another one or at the end."""

    list: str
    entry: FileData
    after: str | None = None


class Drop(Record, tag="drop", tag_field="kind"):
    """Take an entry out of a list."""

    list: str
    id: str


class Reshape(Record, tag="reshape", tag_field="kind"):
    """Draw something anew: the declared shape, so that a rectangle stays a rectangle.

    Attributes:
        list: Its list; empty for the boundary of the lot.
        id: The entry; empty for the boundary.
        shape: As a site file declares it.
        was: The shape it had; empty for a lot that had none.
    """

    list: str
    id: str
    shape: FileData
    was: FileData


class Set(Record, tag="set", tag_field="kind"):
    """Give a field another value, or take it away.

    Attributes:
        list: The list of the entry; empty for the file itself.
        id: The entry; empty for the file itself.
        field: The keys that lead to it, e.g. ["attributes", "gap"].
        value: The new value; None takes the field away.
        was: The value it had; None where it was not there.
    """

    list: str
    id: str
    field: tuple[str, ...]
    value: Any = ABSENT
    was: Any = ABSENT


class Rename(Record, tag="rename", tag_field="kind"):
    """Give an entry another id, wherever it is mentioned."""

    list: str
    id: str
    to: str


class Reorder(Record, tag="reorder", tag_field="kind"):
    """Say anew which surfaces win where two overlap."""

    order: tuple[str, ...]
    was: tuple[str, ...]


class Group(Record, tag="group", tag_field="kind"):
    """Several changes as one step, with one sentence."""

    changes: tuple[Put | Drop | Reshape | Set | Rename | Reorder, ...]
    says: str = ""


Change = Put | Drop | Reshape | Set | Rename | Reorder | Group


class Refused(Record):
    """Why a change cannot be made, and what to do."""

    says: str
    do: str


def applied(data: FileData, change: Change) -> FileData | Refused:
    """The data of a site file after a change; what was given stays as it is."""
    new = _copied(data)
    refused = _apply(new, change)
    return refused or new


def _copied(data: Any) -> Any:  # noqa: ANN401 - plain data
    """Plain data of its own; a tenth of the work of a copy that expects anything."""
    if isinstance(data, dict):
        return {key: _copied(value) for key, value in data.items()}
    return [_copied(value) for value in data] if isinstance(data, list) else data


def _apply(data: FileData, change: Change) -> Refused | None:
    match change:
        case Put():
            return _put(data, change)
        case Drop(list=name, id=key):
            return _drop(data, name, key)
        case Reshape():
            return _reshape(data, change)
        case Set():
            return _set(data, change)
        case Rename(list=name, id=key, to=to):
            return _rename(data, name, key, to)
        case Reorder():
            return _reorder(data, change)
        case Group(changes=changes):
            refusals = (_apply(data, part) for part in changes)
            return next((refused for refused in refusals if refused is not None), None)
        case _:
            assert_never(change)


def _reshape(data: FileData, change: Reshape) -> Refused | None:
    holder = _entry(data, change.list, change.id) if change.list else data.setdefault("lot", {})
    if isinstance(holder, Refused):
        return holder
    field = "shape" if change.list else "boundary"
    if holder.get(field, {}) != change.was:
        return _moved_on(change.id or "the lot")
    holder[field] = change.shape
    return None


def _reorder(data: FileData, change: Reorder) -> Refused | None:
    if tuple(data.get("order", ())) != change.was:
        return _moved_on("the order")
    known = {entry["id"] for entry in data["surfaces"]}
    unknown = [name for name in change.order if name not in known]
    if unknown:
        return Refused(f"there is no surface '{unknown[0]}'", "take the plan again")
    data["order"] = list(change.order)
    if not change.order:
        del data["order"]
    return None


def _moved_on(what: str) -> Refused:
    return Refused(f"{what} was changed meanwhile", "look at it as it is now, then try again")


def key_of(entry: FileData, name: str, index: int) -> str:
    """By what an entry of a list is addressed, which stands at an index of it."""
    if name == "levels":
        return f"level-{index + 1}"
    if name == "panels":
        return str(entry.get("id", entry.get("on", "")))
    return str(entry.get("document" if name == "on_file" else "id", ""))


def keyed(data: FileData, name: str) -> list[tuple[str, FileData]]:
    """The entries of a list, each with that by which it is addressed."""
    return [(key_of(entry, name, i), entry) for i, entry in enumerate(entries_of(data, name))]


def entries_of(data: FileData, name: str) -> list[FileData]:
    """The entries of a list as they stand; an empty list where the file has none."""
    holder: Any = data
    for key in name.split("."):
        holder = holder.get(key, {}) if isinstance(holder, dict) else {}
    return holder if isinstance(holder, list) else []


def free_id(name: str, known: Iterable[str]) -> str:
    """An id like another one that nothing has yet; the name itself where it is free."""
    taken, number, unique = frozenset(known), 2, name
    while unique in taken:
        unique, number = f"{name}-{number}", number + 1
    return unique


def _entry(data: FileData, name: str, key: str) -> FileData | Refused:
    if name not in LISTS:
        return Refused(f"'{name}' is no list of a site file", "take the plan again")
    for known, entry in keyed(data, name):
        if known == key:
            return entry
    return Refused(f"'{key}' is not there any more", "look at the plan as it is now")


def _put(data: FileData, change: Put) -> Refused | None:
    if change.list not in LISTS:
        return Refused(f"'{change.list}' is no list of a site file", "take the plan again")
    *outer, last = change.list.split(".")
    holder = data
    for part in outer:
        holder = holder.setdefault(part, {})
    entries: list[FileData] = holder.setdefault(last, [])
    key = key_of(change.entry, change.list, len(entries))
    known = [known for known, _ in keyed(data, change.list)]
    if not key or key in known:
        return Refused(f"there is a '{key}' already", "give it another name")
    at = known.index(change.after) + 1 if change.after in known else len(entries)
    entries.insert(at, _copied(change.entry))
    _found(data, change.list, change.entry)
    return None


def _found(data: FileData, name: str, entry: FileData) -> None:
    """What is drawn was found: it is no more among what was looked for in vain."""
    none = data.get("none_found", [])
    left = [other for other in none if other not in (entry.get("id"), entry.get("kind"))]
    if name not in {"features", "regions"} or left == none:
        return
    data["none_found"] = left
    if not left:
        del data["none_found"]


def _drop(data: FileData, name: str, key: str) -> Refused | None:
    entry = _entry(data, name, key)
    if isinstance(entry, Refused):
        return entry
    if name == "surfaces":
        mention = next(iter(mentions(data, key)), None)
        if mention is not None:
            do = "draw that another way, or take it away first or with it"
            return Refused(f"'{key}' is named by {mention.by}", do)
    entries_of(data, name).remove(entry)
    _tidy(data, name)
    if name == "surfaces":
        _forget(data, key)
    return None


def _tidy(data: FileData, name: str) -> None:
    """Take away a list that holds nothing any more, and what held nothing but it."""
    if name == "surfaces" or entries_of(data, name):
        return
    outer, _, last = name.rpartition(".")
    if outer:
        del data[outer][last]
        if not data[outer]:
            del data[outer]
    else:
        del data[last]


def _forget(data: FileData, key: str) -> None:
    """Take a surface out of the lists that name it."""
    if key in data.get("order", ()):
        data["order"] = [name for name in data["order"] if name != key]
        if not data["order"]:
            del data["order"]
    goal = data.get("goal", {})
    if key in goal.get("may_be_removed", ()):
        goal["may_be_removed"] = [name for name in goal["may_be_removed"] if name != key]
    goal.get("surfaces", {}).pop(key, None)


def _set(data: FileData, change: Set) -> Refused | None:
    holder: Any = data if not change.list else _entry(data, change.list, change.id)
    if isinstance(holder, Refused):
        return holder
    own = {"id", "shape"} if change.list else {"format", *LISTS}
    if not change.field or change.field[0] in own:
        return Refused("that field has a change of its own", "take the plan again")
    parents: list[tuple[FileData, str]] = []
    for key in change.field[:-1]:
        parents.append((holder, key))
        holder = holder.setdefault(key, {}) if isinstance(holder, dict) else None
    name = change.field[-1]
    if not isinstance(holder, dict) or holder.get(name, ABSENT) != change.was:
        return _moved_on(f"'{name}' of {change.id or 'the file'}")
    if change.value is ABSENT:
        holder.pop(name, None)
    else:
        holder[name] = _copied(change.value)
        if change.field == ("kind",):
            _found(data, change.list, holder)
    for parent, key in reversed(parents):
        if parent[key] == {}:
            del parent[key]
    return None


def _rename(data: FileData, name: str, key: str, to: str) -> Refused | None:
    entry = _entry(data, name, key)
    if isinstance(entry, Refused):
        return entry
    if "id" not in entry:
        return Refused(f"'{key}' has no id of its own", "it goes by what it lies on")
    if any(known == to for known, _ in keyed(data, name)):
        return Refused(f"there is a '{to}' already", "give it another name")
    followed = mentions(data, key) if name == "surfaces" else []
    entry["id"] = to
    _found(data, name, entry)
    for mention in followed:
        mention.follow(to)
    if name == "surfaces":
        _follow(data, key, to)
    elif name == "features":
        face_anew(data.get("lot", {}).get("sides", {}), key, to)
    elif name.startswith("ways_out."):
        lead_anew(data, [e for n in LISTS for e in entries_of(data, n)], key, to)
    return None


def _follow(data: FileData, key: str, to: str) -> None:
    """Write the new id of a surface wherever the old one is mentioned."""

    def new(names: list[str]) -> list[str]:
        return [to if name == key else name for name in names]

    for document in data.get("on_file", []):
        if document.get("of") == key:
            document["of"] = to
    if key in data.get("order", ()):
        data["order"] = new(data["order"])
    goal = data.get("goal", {})
    if key in goal.get("may_be_removed", ()):
        goal["may_be_removed"] = new(goal["may_be_removed"])
    if key in goal.get("surfaces", {}):
        goal["surfaces"] = {to if i == key else i: way for i, way in goal["surfaces"].items()}
