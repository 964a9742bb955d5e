"""Plain data as YAML text: short values on one line, long ones indented below their key."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

WIDTH: Final = 100


def quoted(text: str) -> str:
    """A text as YAML takes it, in a list too; JSON's quotes are YAML's as well."""
    is_plain = re.fullmatch(r"[A-Za-z0-9]([A-Za-z0-9 _./%-]*[A-Za-z0-9_./%-])?", text) is not None
    is_number = re.fullmatch(r"[0-9]+(\.[0-9]*)?([eE][-+]?[0-9]+)?", text) is not None
    if is_plain and not is_number and text.lower() not in {"true", "false", "null"}:
        return text
    escaped = json.dumps(text, ensure_ascii=False)
    return "".join(c if c.isprintable() else f"\\U{ord(c):08x}" for c in escaped)


def plain_text(data: dict[str, Any]) -> str:
    """Plain data as YAML; reading the text gives the same data."""
    return "".join(_block(data, 0)) or "{}\n"


def flow(value: Any) -> str:  # noqa: ANN401 - plain data
    """A value on one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{quoted(str(k))}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    return quoted(value)


def _block(value: Any, indent: int) -> Iterable[str]:  # noqa: ANN401 - plain data
    pad = " " * indent
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _entry(f"{pad}{quoted(str(key))}:", item, indent + 2)
    else:
        for item in value:
            if isinstance(item, dict | list) and item and len(pad) + len(flow(item)) + 2 > WIDTH:
                lines = list(_block(item, indent + 2))
                yield f"{pad}- {lines[0].lstrip()}"
                yield from lines[1:]
            else:
                yield f"{pad}- {flow(item)}\n"


def _entry(head: str, item: Any, indent: int) -> Iterable[str]:  # noqa: ANN401 - plain data
    one_line = f"{head} {flow(item)}"
    if isinstance(item, dict | list) and item and len(one_line) > WIDTH:
        yield f"{head}\n"
        yield from _block(item, indent)
    else:
        yield f"{one_line}\n"
