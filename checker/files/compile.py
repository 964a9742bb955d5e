"""Turns the declared shapes into what pydantic's engine reads, and into JSON Schema.

Run `python -m checker.files.compile` after a change of a shape; a test says when it is due.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, Final

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema

from checker.files.drainage_shape import PanelShape, SpotLevelShape, StormsShape, WaysOutShape
from checker.files.goal_shape import CostsShape, GoalShape
from checker.files.project_shape import ProjectShape
from checker.files.rules_shape import RuleSetShape
from checker.files.section_shape import GroundShape, SectionShape
from checker.files.site_shape import Id, SiteShape
from checker.files.sources_shape import SourcesShape, TableShape
from checker.files.submission_shape import SubmissionShape
from checker.files.town_shape import TownShape
from checker.files.words_shape import LayerWordsShape, MaterialsShape

SHAPES: Final[dict[str, Any]] = {
    "site": SiteShape,
    "sections": dict[Id, SectionShape],
    "ground": GroundShape,
    "panels": list[PanelShape],
    "ways_out": WaysOutShape,
    "storms": StormsShape,
    "levels": list[SpotLevelShape],
    "project": ProjectShape,
    "submission": SubmissionShape,
    "materials": MaterialsShape,
    "layer-words": LayerWordsShape,
    "ruleset": RuleSetShape,
    "table": TableShape,
    "sources": SourcesShape,
    "goal": GoalShape,
    "costs": CostsShape,
    "town": TownShape,
}
"""Every kind of file, or part of a file that is checked on its own, with its shape."""

FOLDER: Final = Path(__file__).with_name("compiled")


def core_schema(kind: str) -> Any:  # noqa: ANN401 - the engine's own structure
    """The engine's schema of a shape: unknown keys refused, no silent conversions."""
    text = json.dumps(_plain(TypeAdapter(SHAPES[kind]).core_schema))
    # pydantic names a shape by its address in memory, which differs in every run.
    return _strict(json.loads(re.sub(r"(checker\.[\w.]+):\d+", r"\1", text)))


def _plain(node: object) -> Any:  # noqa: ANN401 - the engine's own structure
    """Drop what only pydantic's own Python side needs, so that the rest is plain data."""
    if isinstance(node, dict):
        return {
            key: _plain(value)
            for key, value in node.items()
            if key not in {"metadata", "cls", "config", "cls_name", "serialization"}
        }
    if isinstance(node, list | tuple):
        return [_plain(item) for item in node]
    return node


def _strict(node: Any) -> Any:  # noqa: ANN401 - the engine's own structure
    if isinstance(node, dict):
        if node.get("type") == "typed-dict":
            node["extra_behavior"] = "forbid"
        if node.get("type") == "float":
            node["allow_inf_nan"] = False
        for value in node.values():
            _strict(value)
    elif isinstance(node, list):
        for item in node:
            _strict(item)
    return node


def json_schema(kind: str) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a kind of file, for editors that complete and check."""
    schema = TypeAdapter(SHAPES[kind]).json_schema(schema_generator=GenerateJsonSchema)
    _closed(schema)
    return {"$schema": GenerateJsonSchema.schema_dialect, **schema}


def _closed(node: object) -> None:
    if isinstance(node, dict):
        if node.get("type") == "object" and "properties" in node:
            node.setdefault("additionalProperties", False)
        for value in node.values():
            _closed(value)
    elif isinstance(node, list):
        for item in node:
            _closed(item)


def texts() -> dict[Path, str]:
    """What should stand in `compiled/`, by file."""
    return {
        FOLDER / f"{kind}.json": json.dumps(
            core_schema(kind), separators=(",", ":"), sort_keys=True
        )
        + "\n"
        for kind in SHAPES
    }


def main() -> None:
    """Write every compiled shape."""
    FOLDER.mkdir(exist_ok=True)
    for path, text in texts().items():
        path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
