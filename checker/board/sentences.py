"""One sentence per change, for the undo button and for who listens instead of looking."""

from __future__ import annotations

import re
from typing import Any, assert_never

from checker.board.changes import Change, Drop, Group, Put, Rename, Reorder, Reshape, Set


def sentence(change: Change) -> str:
    """What a change does, as one short sentence without a full stop."""
    match change:
        case Put(entry=entry, list=name):
            return _put(entry, name)
        case Drop(id=key):
            return f"{_name(key)} taken away"
        case Reshape(id=key, shape=shape, was=was):
            return f"{_name(key) if key else 'lot line'} {_done(shape, was)}"
        case Set(id=key, field=("at" | "along",), value=list()) if key:
            return f"{_name(key)} moved"
        case Set(id=key, field=field, value=value):
            what = f"{_name(field[-1])} of {_name(key)}" if key else _name(field[-1])
            return f"{what} taken away" if value is None else f"{what}: {_shown(value)}"
        case Rename(id=key, to=to):
            return f"{_name(key)} is now {_name(to)}"
        case Reorder():
            return "order of overlapping surfaces changed"
        case Group(changes=changes, says=says):
            return says or "; ".join(sentence(part) for part in changes[:3])
        case _:
            assert_never(change)


def _put(entry: dict[str, Any], name: str) -> str:
    """That an entry was added to a list."""
    if name == "levels":
        return f"spot level {_shown(entry.get('level', ''))} put in"
    if name == "on_file":
        return f"{_name(entry.get('document', ''))} put on file"
    material = entry.get("material")
    what = f"{_name(entry.get('id', ''))} drawn"
    is_told = material is None or str(entry.get("id", "")).startswith(material)
    return what if is_told else f"{what} as {_name(material)}"


def _name(key: object) -> str:
    return str(key).replace("-", " ").replace("_", " ")


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return str(value.get("title", "as said"))
    if isinstance(value, list):
        has_parts = any(isinstance(item, dict | list) for item in value)
        return "as said" if has_parts else ", ".join(map(str, value))
    text = str(value)
    return _name(text) if re.fullmatch(r"[a-z]+(-[a-z]+)*", text) else text


def _done(shape: dict[str, Any], was: dict[str, Any]) -> str:
    """What was done to a shape."""
    more = len(shape.get("holes", ())) - len(was.get("holes", ()))
    if more:
        return "given a hole" if more > 0 else "without a hole"
    return "moved" if _only_moved(shape, was) else "reshaped"


def _only_moved(shape: dict[str, Any], was: dict[str, Any]) -> bool:
    """Whether two declared shapes differ by a shift alone."""
    (now, rest), (then, rest_then) = _places(shape), _places(was)
    if not now or len(now) != len(then) or rest != rest_then:
        return False
    steps = {(round(a[0] - b[0], 6), round(a[1] - b[1], 6)) for a, b in zip(now, then, strict=True)}
    return len(steps) == 1


def _places(shape: dict[str, Any]) -> tuple[list[list[float]], object]:
    """The places of a shape, holes too, and all else that it says; no place of what has none."""
    places, rest = _own_places(shape)
    for hole in shape.get("holes", ()):
        inner, also = _places(hole)
        places, rest = [*places, *inner], (rest, also)
    return places, rest


def _own_places(shape: dict[str, Any]) -> tuple[list[list[float]], object]:
    for kind, place in (("rectangle", "corner"), ("circle", "centre"), ("strip", "along")):
        if isinstance(shape.get(kind), dict):
            given = shape[kind][place]
            rest = {key: value for key, value in shape[kind].items() if key != place}
            return _spots([given] if place != "along" else given, rest)
    given = shape.get("points") or shape.get("line") or ([shape["at"]] if "at" in shape else [])
    return _spots(given, None)


def _spots(points: list[Any], rest: object) -> tuple[list[list[float]], object]:
    """Points and corners from which arcs run: where they lie, and what else they say."""
    arcs = [
        {key: value for key, value in point.items() if key != "at"}
        for point in points
        if isinstance(point, dict)
    ]
    return [point["at"] if isinstance(point, dict) else point for point in points], (rest, arcs)
