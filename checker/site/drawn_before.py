"""Shapes that were read before: who draws reads all but one of them again with every change.

Kept is what hangs on nothing but its own words: plain numbers on the plan, of which there was
nothing to say. Whatever is measured from a line or a wall, lies round something or comes from a
drawing is read anew.
"""

from __future__ import annotations

from typing import Any, Final

MOST_KEPT: Final = 2000
MOST_CORNERS: Final = 200
"""A longer outline costs more to keep than it saves."""

_PLACES: Final = {"rectangle": "corner", "circle": "centre", "strip": "along"}

Words = tuple[str, str]


def words_of(data: dict[str, Any], unit: str) -> Words | None:
    """By what a shape is known again; None where it hangs on something else.

    Args:
        data: The shape as the file declares it.
        unit: Of bare numbers in the file.
    """
    if len(data) != 1:
        return None
    kind, given = next(iter(data.items()))
    points = [given.get(_PLACES[kind])] if kind in _PLACES else given if kind == "points" else []
    if kind == "strip":
        points = points[0]
    is_plain = 0 < len(points) <= MOST_CORNERS and all(isinstance(p, list) for p in points)
    return (unit, repr(data)) if is_plain else None


class DrawnBefore:
    """Shapes by their words, the oldest given up first."""

    def __init__(self) -> None:
        self._kept: dict[Words, Any] = {}

    def get(self, words: Words | None) -> Any:  # noqa: ANN401 - what was kept
        """The shape of some words; None where it was not read before."""
        return self._kept.get(words) if words is not None else None

    def keep(self, words: Words | None, drawn: object) -> None:
        """Keep a shape, unless it has no words."""
        if words is None:
            return
        if len(self._kept) >= MOST_KEPT:
            self._kept.pop(next(iter(self._kept)), None)
        self._kept[words] = drawn


BEFORE: Final = DrawnBefore()
"""Of this process."""
