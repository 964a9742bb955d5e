"""Going through all nodes of a tree, whatever their kinds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.core.records import replace

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


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


def changed(node: Any, change: Callable[[Any], Any]) -> Any:  # noqa: ANN401 - any node
    """A tree with some nodes replaced.

    Args:
        node: The tree; it stays as it is.
        change: Gives what stands in the place of a node, or None to look below it.
    """
    if isinstance(node, tuple):
        return tuple(changed(item, change) for item in node)
    names: tuple[str, ...] | None = getattr(type(node), "__struct_fields__", None)
    if names is None:
        return node
    instead = change(node)
    if instead is not None:
        return instead
    return replace(node, **{name: changed(getattr(node, name), change) for name in names})
