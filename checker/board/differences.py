"""What differs between two pieces of plain data: who has the one is sent how to make the other.

Mappings are gone through key by key, lists of entries with ids entry by entry; anything else is
sent whole where it differs. What is the same object in both is not looked into.
"""

from __future__ import annotations

from typing import Any, Final

SentDifference = dict[str, Any]

_NOTHING: Final = object()


def difference(before: Any, after: Any) -> SentDifference | None:  # noqa: ANN401 - plain data
    """How to make one piece of plain data from another; None where they are the same.

    Returns:
        `{"is": value}` to put a value in its place; `{"in": {key: difference}, "gone": [key]}` of a
        mapping; `{"of": {id: difference}, "ids": [id]}` of a list, whose entries then stand in that
        order.
    """
    if before is after:
        return None
    # True is no 1 on the page, nor is 1 a 1.0.
    if type(before) is not type(after):
        return {"is": after}
    if isinstance(before, dict):
        found = _each(before, after)
        gone = [key for key in before if key not in after]
        return {"in": found, "gone": gone} if found or gone else None
    if isinstance(before, list):
        old, new = _by_id(before), _by_id(after)
        if old is None or new is None:
            is_same = len(before) == len(after) and not any(map(difference, before, after))
            return None if is_same else {"is": after}
        found = _each(old, new)
        return {"of": found, "ids": list(new)} if found or list(old) != list(new) else None
    return None if before == after else {"is": after}


def _each(before: dict[str, Any], after: dict[str, Any]) -> dict[str, SentDifference]:
    parts = ((key, difference(before.get(key, _NOTHING), value)) for key, value in after.items())
    return {key: part for key, part in parts if part is not None}


def _by_id(entries: list[Any]) -> dict[str, Any] | None:
    """Entries by their id; None where they are not told apart by one."""
    if not all(isinstance(entry, dict) and isinstance(entry.get("id"), str) for entry in entries):
        return None
    found = {entry["id"]: entry for entry in entries}
    return found if len(found) == len(entries) else None
