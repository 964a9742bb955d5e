"""The JSON Schema (draft 2020-12) of each kind of file, with the rule language filled in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.files.compile import SHAPES, json_schema
from checker.files.grammar import LISTS, POSITIONS, definitions

if TYPE_CHECKING:
    from collections.abc import Sequence


def editor_schema(
    kind: str,
    names: Sequence[str] = (),
    attributes: Sequence[str] = (),
    materials: Sequence[str] = (),
) -> dict[str, Any]:
    """The schema of a kind of file.

    Args:
        kind: A name of `files.compile.SHAPES`, e.g. "ruleset".
        names: Measures that editors offer where a rule names one.
        attributes: Attributes of surfaces that editors offer.
        materials: Materials that editors offer for surfaces.

    Raises:
        BadInput: There is no such kind.
    """
    if kind not in SHAPES:
        says = f"there is no kind of file '{kind}'"
        raise BadInput("no such schema", [Problem(Place(kind), says, did_you_mean(kind, SHAPES))])
    schema = json_schema(kind)
    parts = schema.setdefault("$defs", {})
    if kind == "site":
        _fill_site(parts["SurfaceShape"]["properties"], attributes, materials)
    if kind != "ruleset":
        return schema
    for shape, positions in POSITIONS.items():
        properties = parts[shape]["properties"]
        for key, name in positions.items():
            properties[key] = _kept(properties[key], {"$ref": f"#/$defs/{name}"})
        for key, name in LISTS.get(shape, {}).items():
            properties[key] |= {"items": {"$ref": f"#/$defs/{name}"}}
    parts["CountRowShape"]["oneOf"] = [{"required": ["weight"]}, {"required": ["rows_of"]}]
    parts |= definitions(tuple(names), tuple(attributes))
    return schema


def _fill_site(
    surface: dict[str, Any], attributes: Sequence[str], materials: Sequence[str]
) -> None:
    surface["attributes"]["properties"] = {name: {} for name in attributes}
    if materials:
        for key in ("material", "was"):
            surface[key] = _kept(surface[key], {"enum": list(materials)})


def _kept(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """The new schema with the words of the old one."""
    return {key: old[key] for key in ("title", "description") if key in old} | new
