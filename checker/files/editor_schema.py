"""The JSON Schema (draft 2020-12) of each kind of file, with the rule language filled in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.files.compile import SHAPES, json_schema
from checker.files.editor_words import amount_definitions, given_schema
from checker.files.grammar import LISTS, POSITIONS, Known, definitions

if TYPE_CHECKING:
    from checker.core.words import Word

MARK: Final = "JSON Schema of Soakline"
"""Stands in each schema that is written, so that it may be written again."""

_AMOUNT: Final = [{"type": "string"}, {"type": "integer"}, {"type": "number"}]
_PARTS: Final = ("project", "panels", "ways_out", "sections", "ground", "storms", "goal")
"""Parts of a site file that have shapes of their own."""


def editor_schema(kind: str, known: Known | None = None) -> dict[str, Any]:
    """The schema of a kind of file.

    Args:
        kind: A name of `files.compile.SHAPES`, e.g. "ruleset".
        known: The names that editors offer and check.

    Raises:
        BadInput: There is no such kind.
    """
    if kind not in SHAPES:
        says = f"there is no kind of file '{kind}'"
        raise BadInput("no such schema", [Problem(Place(kind), says, did_you_mean(kind, SHAPES))])
    names = known or Known()
    schema = {"$comment": MARK, **json_schema(kind)}
    parts = schema.setdefault("$defs", {})
    if kind == "site":
        _fill_site(schema, names)
    if kind == "ruleset":
        schema["properties"]["submission"] = _part("submission", parts)
        for shape, positions in POSITIONS.items():
            properties = parts[shape]["properties"]
            for key, name in positions.items():
                properties[key] = _kept(properties[key], {"$ref": f"#/$defs/{name}"})
            for key, name in LISTS.get(shape, {}).items():
                properties[key] |= {"items": {"$ref": f"#/$defs/{name}"}}
        parts["CountRowShape"]["oneOf"] = [{"required": ["weight"]}, {"required": ["rows_of"]}]
        parts |= definitions(names)
    _with_units(schema)
    amounts = amount_definitions()
    parts |= amounts if kind in {"site", "ruleset"} else {"amount": amounts["amount"]}
    return schema


def _fill_site(schema: dict[str, Any], known: Known) -> None:
    parts, whole = schema["$defs"], known.is_whole
    for name in _PARTS:
        schema["properties"][name] = _part(name, parts)
    given = {name: given_schema(word) for name, word in known.given.items()}
    for shape in ("SurfaceShape", "RestShape"):
        attributes = parts[shape]["properties"]["attributes"]
        attributes["properties"] = given
        if whole:
            attributes["additionalProperties"] = False
    surface = parts["SurfaceShape"]["properties"]
    materials = _choices(known.surface.get("material"))
    if materials:
        likely = [*materials, "unknown", *(f"{name}?" for name in materials)]
        surface["material"] = _kept(surface["material"], {"enum": likely})
        surface["was"] = _kept(surface["was"], {"enum": materials})
        surface["may_become"] |= {"items": {"enum": materials}}
    if whole:
        facts = {name: word for name, word in known.lot.items() if word.ask}
        schema["properties"]["facts"] |= {
            "properties": {name: given_schema(word) for name, word in facts.items()},
            "additionalProperties": False,
        }
        schema["properties"]["readings"] |= {
            "properties": {
                name: {"enum": list(options)} for name, options in known.readings.items()
            },
            "additionalProperties": False,
        }


def _choices(word: Word | None) -> list[str]:
    return list(word.choices) if word else []


def _part(kind: str, parts: dict[str, Any]) -> dict[str, Any]:
    """The schema of a part, whose definitions go to the others."""
    found = json_schema(kind)
    parts |= found.pop("$defs", {})
    return {key: value for key, value in found.items() if key not in {"$schema", "$id"}}


def _with_units(node: object) -> None:
    """Every amount in a shape is a number with a unit that the program knows."""
    if isinstance(node, list):
        for item in node:
            _with_units(item)
    elif isinstance(node, dict):
        if node.get("anyOf") in _AMOUNTS:
            node["anyOf"] = [{"$ref": "#/$defs/amount"}]
        for value in node.values():
            _with_units(value)


_AMOUNTS: Final = (_AMOUNT, [*_AMOUNT[1:], _AMOUNT[0]])
"""How the shapes say an amount, in either order."""


def _kept(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """The new schema with the words of the old one."""
    return {key: old[key] for key in ("title", "description") if key in old} | new
