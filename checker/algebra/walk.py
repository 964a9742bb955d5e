"""Going through all nodes of a tree, whatever their kinds."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


def nodes(node: object) -> Iterator[object]:
    """The node itself and all nodes below it, parents first."""
    if isinstance(node, tuple):
        for item in node:
            yield from nodes(item)
        return
    if not is_dataclass(node) or isinstance(node, type):
        return
    yield node
    for item in fields(node):
        yield from nodes(getattr(node, item.name))
