"""The remark by which an editor finds the schema that belongs to a file.

The schemas that come along lie in `rules/schemas/`; whoever begins a file elsewhere writes one
beside it with `soakline rules schema KIND --write FILE`.
"""

from __future__ import annotations


def schema_name(kind: str) -> str:
    """The name of a schema in its file."""
    return f"{kind}.schema.json"


def schema_line(kind: str, at: str = "") -> str:
    """The remark for a kind of file, with the folder of the schema from where that file lies."""
    return f"# yaml-language-server: $schema={at}{schema_name(kind)}\n"


def schema_hint(kind: str) -> str:
    """What a person types once so that an editor completes and checks the files of a folder."""
    return f"For an editor, once: soakline rules schema {kind} --write {schema_name(kind)}"
