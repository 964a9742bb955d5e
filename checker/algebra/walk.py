"""Going through all nodes of a tree, whatever their kinds."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


def nodes(node: object) -> Iterator[object]:
    """The node itself and all nodes below it, parents first."""
    if isinstance(node, tuple):
        for item in node:
            yield from nodes(item)
        return
    names: tuple[str, ...] | None = getattr(type(node), "__struct_fields__", None)
    if names is None:
        return
    yield node
    for name in names:
        yield from nodes(getattr(node, name))
