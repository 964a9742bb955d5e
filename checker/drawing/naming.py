"""The names of surfaces on a plan: inside them by their letter, else beside it on open ground."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.drawing.svg import text_width_mm, words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.drawing.labels import PaperPoint, Placer
    from checker.drawing.lettering import Letters
    from checker.drawing.scale import Frame
    from checker.site.model import Shape, Surface
    from checker.words.letters import Keys

_SIZES_MM: Final = (2.5, 2.1)
_LONGEST: Final = 40
"""A longer name is left to the tables."""

_GAP_MM: Final = 1.0


class Naming:
    """Sets the names of a drawing.

    Args:
        keys: The names.
        frame: Scale and place on the paper.
        placer: What is taken already.
    """

    def __init__(self, keys: Keys, frame: Frame, placer: Placer) -> None:
        self.keys = keys
        self.frame = frame
        self.placer = placer

    def draw(self, surfaces: Sequence[Surface], letters: Letters) -> Iterator[str]:
        """The name of each surface where it cannot be taken for another's."""
        import shapely

        tree = shapely.STRtree([surface.shape for surface in surfaces])
        for surface in surfaces:
            place = letters.places.get(surface.id)
            name = self.keys.name(surface.id)
            if place is None or len(name) > _LONGEST:
                continue
            own = letters.own.get(surface.id) if place.is_inside else None
            yield from self.named(name, place.middle, place.radius, own, tree)

    def named(
        self, name: str, middle: PaperPoint, radius: float, own: Shape | None, tree: object
    ) -> Iterator[str]:
        """One name near the ring of its letter; nothing where it fits nowhere."""
        for inside in (own, None) if own is not None else (None,):
            for lines in _broken(name):
                for size in _SIZES_MM:
                    wide = max(text_width_mm(line, size) for line in lines)
                    high = size * 1.25 * len(lines)
                    for at in _around(middle, radius, wide, high):
                        if self.is_free(at, wide, high, inside, tree):
                            self.placer.take_text(at, wide, high, 0.0)
                            yield from _set(lines, at, size)
                            return

    def is_free(
        self, at: PaperPoint, wide: float, high: float, own: Shape | None, tree: object
    ) -> bool:
        """Whether a name fits here: within its own surface, or on ground that nothing covers."""
        import shapely

        if not self.placer.has_room_for(at, wide, high, 0.0):
            return False
        x, y = at
        left, bottom = self.frame.ground(x - wide / 2, y + high / 2)
        right, top = self.frame.ground(x + wide / 2, y - high / 2)
        box = shapely.box(left, bottom, right, top)
        if own is not None:
            return bool(own.contains(box))
        return len(tree.query(box, predicate="intersects")) == 0  # type: ignore[attr-defined]


def _set(lines: tuple[str, ...], at: PaperPoint, size: float) -> Iterator[str]:
    first = at[1] - size * 1.25 * (len(lines) - 1) / 2
    for index, line in enumerate(lines):
        yield words(line, (at[0], first + size * 1.25 * index), size, edge_mm=0.8)


def _broken(name: str) -> Iterator[tuple[str, ...]]:
    """A name in one line, in two broken near its middle, in three."""
    yield (name,)
    parts = name.split(" ")
    if len(parts) > 1:
        cut = min(
            range(1, len(parts)),
            key=lambda i: abs(len(" ".join(parts[:i])) - len(" ".join(parts[i:]))),
        )
        yield " ".join(parts[:cut]), " ".join(parts[cut:])
    if len(parts) > 2:
        yield parts[0], " ".join(parts[1:-1]), parts[-1]


def _around(middle: PaperPoint, radius: float, wide: float, high: float) -> tuple[PaperPoint, ...]:
    x, y = middle
    beside, below = radius + _GAP_MM + wide / 2, radius + _GAP_MM * 0.6 + high / 2
    return (x, y + below), (x, y - below), (x + beside, y), (x - beside, y)
