"""Where each value of a YAML text stands."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from checker.core.records import Record
from checker.files.source import composed

if TYPE_CHECKING:
    from checker.files.source import Path_


class TextSpan(Record):
    """Where a value of a text stands, as offsets.

    Attributes:
        key: Where its key begins; its own begin for what has no key.
        start: Where it begins.
        end: Where it ends; in block style where the next one begins, remarks between included.
        is_flow: It is a list or mapping in brackets.
    """

    key: int
    start: int
    end: int
    is_flow: bool


def spans(text: str) -> dict[Path_, TextSpan]:
    """Where each value of a text that can be read stands, by its path."""
    starts = [0]
    broken = text.replace("\r\n", " \n").replace("\r", "\n")
    for line in re.split("(?<=[\n\x85\u2028\u2029])", broken):
        starts.append(starts[-1] + len(line))
    found: dict[Path_, TextSpan] = {}

    def offset(mark: Any) -> int:  # noqa: ANN401 - PyYAML's own
        return starts[min(int(mark.line), len(starts) - 1)] + int(mark.column)

    def walk(node: Any, path: Path_, key: int) -> None:  # noqa: ANN401 - PyYAML's own
        is_flow = bool(getattr(node, "flow_style", False))
        found[path] = TextSpan(key, offset(node.start_mark), offset(node.end_mark), is_flow)
        if node.id == "mapping":
            for key_node, value_node in node.value:
                walk(value_node, (*path, key_node.value), offset(key_node.start_mark))
        elif node.id == "sequence":
            for index, item in enumerate(node.value):
                walk(item, (*path, index), offset(item.start_mark))

    root = composed(text)
    if root is not None:
        walk(root, (), offset(root.start_mark))
    return found
