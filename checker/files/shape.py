"""Checks plain data against a declared shape, and says what is wrong in our own words.

The shapes are declared once, as pydantic typed dictionaries (`site_shape`, `rules_shape`, ...).
Building their validators takes pydantic longer than a whole check of a lot, so what pydantic
makes of them is kept in `compiled/` and handed to its engine directly; `compile.py` writes it
and a test holds it to the shapes.
"""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pydantic_core import SchemaError, SchemaValidator, ValidationError

from checker.core.answers import day_hint
from checker.core.problems import Problems, did_you_mean

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

    from checker.files.source import Document

_WANTED: Final = {
    "string_type": "a text",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "list_type": "a list",
    "dict_type": "keys with values",
    "finite_number": "a number that is not infinite",
    "none_required": "nothing",
}
_MOST_PROBLEMS: Final = 200
# What each kind of file is and where it goes, for who hands in one for another.
_KINDS: Final = {
    "site": ("a lot", "give it to 'soakline check'"),
    "ruleset": ("a rule set", "name it as the 'place' of a lot, or give it to 'soakline rules'"),
    "answers": (
        "the answers about a new place",
        "give it to 'soakline rules new --answers'",
    ),
    "town": ("the layers of a town", "give it to 'soakline screen'"),
    "costs": ("a cost table", "name it under 'costs' of a lot"),
}
_Path = tuple["str | int", ...]


@cache
def _compiled(kind: str) -> dict[str, Any]:
    text = Path(__file__).with_name("compiled").joinpath(f"{kind}.json").read_text("utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


@cache
def _validator(kind: str) -> SchemaValidator:
    try:
        return SchemaValidator(_compiled(kind))
    except SchemaError:
        # A later engine may read schemas differently; building from the shapes always works.
        from checker.files.compile import core_schema

        return SchemaValidator(core_schema(kind))


def check_shape(kind: str, data: object, document: Document, at: tuple[str | int, ...] = ()) -> Any:  # noqa: ANN401 - the caller names the typed dictionary it expects
    """Check data against a shape.

    Args:
        kind: A name that `compile.SHAPES` knows, e.g. "site".
        data: The plain data: the whole document or the part at `at`.
        document: Where places are looked up.
        at: The path of `data` in the document.

    Returns:
        The same data.

    Raises:
        BadInput: With every deviation.
    """
    try:
        return _validator(kind).validate_python(data, strict=True)
    except ValidationError as error:
        problems = Problems()
        other = None if at else _other_kind(kind, data)
        if other is not None:
            problems.add(document.place("format"), *other)
        else:
            details = error.errors(include_url=False, include_context=True)
            _report(kind, details[:_MOST_PROBLEMS], data, document, at, problems)
        problems.stop_if_any(f"{document.file} does not follow the {kind} format")
        raise AssertionError("a validation error without a problem") from error


def _other_kind(kind: str, data: object) -> tuple[str, str] | None:
    """What to say of a whole file that names a kind of ours, but not the one asked for."""
    given = data.get("format") if isinstance(data, dict) else None
    named = given.split("/")[0] if isinstance(given, str) else ""
    if named == kind or named not in _KINDS:
        return None
    title, do = _KINDS[named]
    return f"this file is {title} ('{given}'), not a {kind} file", do


def _report(
    kind: str,
    details: list[ErrorDetails],
    data: object,
    document: Document,
    at: tuple[str | int, ...],
    problems: Problems,
) -> None:
    unions: dict[_Path, list[ErrorDetails]] = {}
    missing: dict[_Path, set[str]] = {}
    inside: set[_Path] = set()
    paths = [_real_path(detail, data) for detail in details]
    for detail, (path, choice) in zip(details, paths, strict=True):
        if detail["type"] == "missing":
            missing.setdefault(path[:-1], set()).add(str(path[-1]))
        if choice is not None and len(path) > choice:
            inside.add(path[:choice])
    strays = {
        (*path[:-2], path[-1])
        for detail, (path, _) in zip(details, paths, strict=True)
        if detail["type"] == "missing" and len(path) > 1
    }
    for detail, (path, choice) in zip(details, paths, strict=True):
        if detail["type"] != "missing" and any(path[: len(stray)] == stray for stray in strays):
            continue  # told as a key that stands too far out
        if choice == len(path) and detail["loc"][-1] != "[key]":
            unions.setdefault(path, []).append(detail)
        else:
            _report_one(kind, detail, path, data, document, at, missing, problems)
    for path, group in unions.items():
        # Where the branch that takes a group has said what is wrong inside it, that is all.
        is_group = isinstance(_at(data, path), dict | list)
        is_told = path in inside or any(p[: len(path)] == path != p for p, _ in paths)
        length = next((d for d in group if d["type"] in {"too_long", "too_short"}), None)
        if length is not None:
            _report_one(kind, length, path, data, document, at, missing, problems)
        elif not is_group or not is_told:
            _report_union(kind, path, group, document, at, problems)


def _real_path(detail: ErrorDetails, data: object) -> tuple[_Path, int | None]:
    """The path in the data, and how far a union stands in it; None where there is none.

    pydantic also names the branch of a union, which no file has.
    """
    path: list[str | int] = []
    choice: int | None = None
    here: Any = data
    loc = detail["loc"]
    for index, part in enumerate(loc):
        is_absent = index == len(loc) - 1 and detail["type"] == "missing"
        if isinstance(here, dict) and (part in here or is_absent):
            path.append(part)
            here = here.get(part)
        elif isinstance(here, list) and isinstance(part, int) and part < len(here):
            path.append(part)
            here = here[part]
        elif choice is None or choice != len(path):
            choice = len(path)
    return tuple(path), choice


def _report_one(  # noqa: PLR0913 - one problem needs all of what is known of it
    kind: str,
    detail: ErrorDetails,
    path: tuple[str | int, ...],
    data: object,
    document: Document,
    at: tuple[str | int, ...],
    missing: dict[tuple[str | int, ...], set[str]],
    problems: Problems,
) -> None:
    full = (*at, *path)
    name = _name(path, data)
    what = detail["type"]
    if what == "missing":
        absent = str(path[-1])
        given = _at(data, path[:-1])
        around = _at(data, path[:-2])
        if (
            isinstance(around, dict)
            and absent in around
            and absent not in _keys_allowed(kind, path[:-2], data)
        ):
            problems.add(
                document.key_place(*at, *path[:-2], absent),
                f"'{absent}' stands one level too far out",
                f"indent it, with all that is under it, so that it belongs to '{path[-2]}'",
            )
            return
        unknown = (
            set(given) - _keys_allowed(kind, path[:-1], data) if isinstance(given, dict) else set()
        )
        if not any(did_you_mean(key, [absent]).startswith("did") for key in unknown):
            problems.add(document.place(*at, *path[:-1]), f"{name} is missing", "add it")
    elif what == "extra_forbidden":
        absent_here = missing.get(path[:-1], set())
        allowed = _keys_allowed(kind, path[:-1], data)
        problems.add(
            document.key_place(*full),
            f"'{path[-1]}' is not a key {_inside(path[:-1], data, at)}",
            _hint_for_key(str(path[-1]), detail["input"], absent_here, allowed),
        )
    elif what == "literal_error":
        choices = _choices(str(detail.get("ctx", {}).get("expected", "")))
        problems.add(
            document.place(*full),
            f"{name} is {_given(detail)}",
            did_you_mean(detail["input"], choices),
        )
    elif what in {"too_short", "too_long"}:
        problems.add(document.place(*full), *_too_few_or_many(name, detail))
    elif what == "string_pattern_mismatch":
        do = _hint_for_name(detail)
        if detail["loc"][-1] == "[key]":
            problems.add(document.key_place(*full), f"the name {_given(detail)} cannot be used", do)
        else:
            problems.add(document.place(*full), f"{name} is {_given(detail)}", do)
    elif what in _WANTED:
        do = _hint_for_value(detail, path)
        problems.add(document.place(*full), f"{name} is {_given(detail)}", do)
    else:
        says = detail["msg"][0].lower() + detail["msg"][1:]
        problems.add(document.place(*full), f"{name}: {says}")


def _hint_for_key(key: str, value: object, absent: set[str], allowed: set[str]) -> str:
    near = did_you_mean(key, absent)
    if near.startswith("did you mean"):
        return near
    if value is None and not did_you_mean(key, allowed).startswith("did you mean"):
        return "inside { } a comma ends a text: put a text that has commas in quotes"
    return did_you_mean(key, allowed)


def _too_few_or_many(name: str, detail: ErrorDetails) -> tuple[str, str]:
    context = detail.get("ctx", {})
    count = context.get("actual_length")
    least = context.get("min_length")
    bound = f"at least {least}" if least is not None else f"at most {context.get('max_length')}"
    says = f"{name} has {count} {'entry' if count == 1 else 'entries'}"
    given = detail["input"]
    if count == 1 and isinstance(given, list) and isinstance(given[0], str) and " " in given[0]:
        return says, f"part them by commas: [{', '.join(given[0].split())}]"
    return says, f"give {bound}"


def _hint_for_name(detail: ErrorDetails) -> str:
    mark = "_" if "_" in str(detail.get("ctx", {}).get("pattern", "")) else "-"
    parts = re.findall(r"[a-z0-9]+", str(detail["input"]).lower())
    mended = mark.join(parts).lstrip("0123456789_-")
    like = f", like '{mended}'" if mended else ""
    marks = "underscores" if mark == "_" else "hyphens"
    return f"use lower-case letters, digits and {marks}, starting with a letter{like}"


def _hint_for_value(detail: ErrorDetails, path: _Path) -> str:
    what, given = detail["type"], detail["input"]
    if what == "string_type" and path and path[-1] in {"since", "until", "date", "compared"}:
        return day_hint(given)
    if what == "string_type" and isinstance(given, int | float):
        return "put it in quotes" + (", as the text writes it" if path[-1:] == ("section",) else "")
    return f"give {_WANTED[what]}"


def _report_union(
    kind: str,
    path: tuple[str | int, ...],
    details: list[ErrorDetails],
    document: Document,
    at: tuple[str | int, ...],
    problems: Problems,
) -> None:
    wanted: list[str] = []
    for detail in details:
        what = detail["type"]
        if what == "literal_error":
            wanted.append(str(detail.get("ctx", {}).get("expected", "")))
        elif what == "missing":
            wanted.append(f"something with '{detail['loc'][-1]}'")
        elif what in _WANTED:
            wanted.append(_WANTED[what])
    del kind
    if "a number" in wanted:
        wanted = [text for text in wanted if text != "a whole number"]
    choices = " or ".join(dict.fromkeys(wanted)) or "another value"
    name = _name(path, None) or "the value"
    problems.add(document.place(*at, *path), f"{name} is {_given(details[0])}", f"give {choices}")


def _given(detail: ErrorDetails) -> str:
    value = detail["input"]
    if value is None:
        return "empty"
    if isinstance(value, dict):
        return "a group of keys"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"the number {value}"
    text = str(value)
    return f"'{text[:60]}'" + ("..." if len(text) > 60 else "")


def _choices(expected: str) -> list[str]:
    return [part.strip().strip("'") for part in expected.replace(" or ", ", ").split(",")]


def _at(data: object, path: tuple[str | int, ...]) -> Any:  # noqa: ANN401 - plain data
    here: Any = data
    for part in path:
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            return None
    return here


def _name(path: tuple[str | int, ...], data: object) -> str:
    """How a person would call the value: `'material' of west-deck`, `entry 3 of 'surfaces'`."""
    if not path:
        return "the file"
    last = path[-1]
    own = f"'{last}'" if isinstance(last, str) else f"entry {last + 1}"
    owner = _owner(path[:-1], data)
    return f"{own} of {owner}" if owner else own


def _inside(path: tuple[str | int, ...], data: object, at: tuple[str | int, ...]) -> str:
    owner = _owner(path, data) or (f"'{at[-1]}'" if at else "")
    return f"of {owner}" if owner else "of this file"


def _owner(path: tuple[str | int, ...], data: object) -> str:
    for end in range(len(path), 0, -1):
        here = _at(data, path[:end])
        if isinstance(here, dict) and isinstance(here.get("id"), str):
            rest = [str(part) for part in path[end:] if isinstance(part, str)]
            return " of ".join([*(f"'{part}'" for part in reversed(rest)), str(here["id"])])
    words = [f"'{part}'" if isinstance(part, str) else f"entry {part + 1}" for part in path]
    return " of ".join(reversed(words))


def _keys_allowed(kind: str, path: tuple[str | int, ...], data: object) -> set[str]:
    """The keys that the shape knows at a path, over all branches of unions."""
    root = _compiled(kind)
    definitions = {
        item["ref"]: item for item in root.get("definitions", []) if isinstance(item, dict)
    }
    nodes = [root]
    for part in path:
        nodes = [child for node in _flat(nodes, definitions) for child in _children(node, part)]
    keys: set[str] = set()
    for node in _flat(nodes, definitions):
        keys |= set(node.get("fields", {}))
    del data
    return keys


def _flat(
    nodes: list[dict[str, Any]], definitions: dict[str, dict[str, Any]]
) -> list[dict[str, Any]]:
    flat: list[dict[str, Any]] = []
    queue = list(nodes)
    while queue:
        node = queue.pop()
        kind = node.get("type")
        if kind == "definitions" or kind in {"nullable", "default"}:
            queue.append(node["schema"])
        elif kind == "definition-ref":
            queue.append(definitions[node["schema_ref"]])
        elif kind == "union":
            queue.extend(c[0] if isinstance(c, list | tuple) else c for c in node["choices"])
        else:
            flat.append(node)
    return flat


def _children(node: dict[str, Any], part: str | int) -> list[dict[str, Any]]:
    if "fields" in node and isinstance(part, str) and part in node["fields"]:
        return [node["fields"][part]["schema"]]
    if node.get("type") == "list" and isinstance(part, int):
        return [node.get("items_schema", {})]
    if node.get("type") == "dict":
        return [node.get("values_schema", {})]
    return []
