"""The names of surfaces on a plan: with their letter inside them, else beside it on open ground."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.drawing.svg import text_width_mm, words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import STRtree

    from checker.drawing.labels import PaperPoint, Placer
    from checker.drawing.scale import Frame
    from checker.site.model import Shape

_SIZES_MM: Final = (2.5, 2.1)
_LONGEST: Final = 40
"""A longer name is left to the list below the plan."""

_MOST_WORDS: Final = 8
_GAP_MM: Final = 0.8
_LEADING: Final = 1.25


class SetName(Record):
    """A name in one to three lines of a size: that, its width and height, millimetres."""

    lines: tuple[str, ...]
    size_mm: float
    wide: float
    high: float

    def at(self, middle: PaperPoint) -> str:
        """The name about a point."""
        step = self.size_mm * _LEADING
        first = middle[1] - step * (len(self.lines) - 1) / 2
        return "".join(
            words(line, (middle[0], first + step * index), self.size_mm, edge_mm=0.8)
            for index, line in enumerate(self.lines)
        )


class LetteredName(Record):
    """Where the ring of a letter and the name beside it go."""

    ring: PaperPoint
    middle: PaperPoint
    name: SetName


class Naming:
    """Finds the places of names.

    Args:
        frame: Scale and place on the paper.
        placer: What is taken already.
        surfaces: The shapes of all surfaces of the drawing.
    """

    def __init__(self, frame: Frame, placer: Placer, surfaces: Sequence[Shape]) -> None:
        import shapely

        self.placer = placer
        self.tree: STRtree = shapely.STRtree([frame.on_paper(shape) for shape in surfaces])

    def within(
        self, name: str, own: Shape, middle: PaperPoint, radius: float
    ) -> LetteredName | None:
        """Letter and name within a surface: the ring in its middle if it goes, else both moved.

        Args:
            name: The name.
            own: What is seen of the surface, on paper.
            middle: The best place of the ring.
            radius: Of the ring.
        """
        ways = _ways(name)
        if self.placer.has_room_for(middle, 2 * radius, 2 * radius, 0.0):
            for way in ways:
                for at in _around(middle, radius, way):
                    if self._is_free(at, way) and own.contains(_box(at, way)):
                        return LetteredName(middle, at, way)
        for way in ways:
            for at_right in (False, True):
                if (spot := self._moved(way, own, middle, radius, at_right=at_right)) is not None:
                    return spot
        return None

    def _moved(
        self, way: SetName, own: Shape, middle: PaperPoint, radius: float, *, at_right: bool
    ) -> LetteredName | None:
        """Letter and name as one block, nearest to a point."""
        pair = (2 * radius, way.wide), (2 * radius, way.high)
        along = sum(pair[0 if at_right else 1]) + _GAP_MM
        across = max(pair[1 if at_right else 0])
        wide, high = (along, across) if at_right else (across, along)
        at = self.placer.seek(own, wide, high, middle)
        if at is None:
            return None
        ring_off, name_off = (
            radius - along / 2,
            along / 2 - (way.wide if at_right else way.high) / 2,
        )
        if at_right:
            return LetteredName((at[0] + ring_off, at[1]), (at[0] + name_off, at[1]), way)
        return LetteredName((at[0], at[1] + ring_off), (at[0], at[1] + name_off), way)

    def beside(
        self, name: str, middle: PaperPoint, radius: float
    ) -> tuple[SetName, PaperPoint] | None:
        """A name near the ring of its letter on ground that nothing covers."""
        for way in _ways(name):
            for at in _around(middle, radius, way):
                is_bare = len(self.tree.query(_box(at, way), predicate="intersects")) == 0
                if is_bare and self._is_free(at, way):
                    return way, at
        return None

    def _is_free(self, at: PaperPoint, way: SetName) -> bool:
        placer = self.placer
        return placer.has_room_for(at, way.wide, way.high, 0.0) and placer.is_off_lines(
            at, way.wide, way.high
        )


def _box(at: PaperPoint, way: SetName) -> Shape:
    from checker.drawing.labels import text_outline

    return text_outline(at, way.wide, way.high, 0.0)


@lru_cache(maxsize=512)
def _ways(name: str) -> tuple[SetName, ...]:
    """A name in one line, in two and in three of like length, in two sizes; none for a long one."""
    if len(name) > _LONGEST:
        return ()
    parts = name.split(" ")
    broken: list[tuple[str, ...]] = [(name,)]
    for count in (2, 3):
        if count <= len(parts) <= _MOST_WORDS:
            cuts = (
                (0, *inner, len(parts)) for inner in combinations(range(1, len(parts)), count - 1)
            )
            lines = (tuple(" ".join(parts[a:b]) for a, b in pairwise(cut)) for cut in cuts)
            broken.append(min(lines, key=lambda found: max(map(len, found))))
    return tuple(
        SetName(
            lines,
            size,
            wide=max(text_width_mm(line, size) for line in lines),
            high=size * _LEADING * len(lines),
        )
        for size in _SIZES_MM
        for lines in broken
    )


def _around(middle: PaperPoint, radius: float, way: SetName) -> tuple[PaperPoint, ...]:
    x, y = middle
    beside, below = radius + _GAP_MM + way.wide / 2, radius + _GAP_MM * 0.6 + way.high / 2
    return (x, y + below), (x, y - below), (x + beside, y), (x - beside, y)
