"""Finds room for letters and names on a plan, so that nothing covers anything else."""

from __future__ import annotations

import math
from collections import defaultdict
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from shapely import Polygon, STRtree

    from checker.site.model import Shape

_CELL_MM: Final = 8.0
"""Side of the squares by which is sorted what stands where; no result depends on it."""


_LEADER_STEP_MM: Final = 0.8
"""A leader is looked at in steps shorter than any text is high."""

DRAIN_LINE_MM: Final = 0.5
"""What a line of drainage takes across, drawn and clear of names."""


class Box(NamedTuple):
    """A rectangle on paper, millimetres."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether two rectangles overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


PaperPoint = tuple[float, float]
_Leader = tuple[PaperPoint, PaperPoint]
_Cell = tuple[int, int]


class Placer:
    """Keeps what is taken on the paper and finds free places in a fixed order.

    Args:
        room: The drawing.
    """

    def __init__(self, room: Box) -> None:
        self.room = room
        self.taken: defaultdict[_Cell, list[Box]] = defaultdict(list)
        self.texts: defaultdict[_Cell, list[Box]] = defaultdict(list)
        self.leaders: defaultdict[_Cell, list[_Leader]] = defaultdict(list)
        self.outlines: list[Shape] = []
        self._tree: STRtree | None = None

    def take_outlines(self, outlines: Iterable[Shape]) -> None:
        """Note lines of the drawing, in millimetres on paper, that a name had better not cross."""
        self.outlines += outlines
        self._tree = None

    def is_off_lines(
        self, middle: PaperPoint, width: float, height: float, degrees: float = 0.0
    ) -> bool:
        """Whether a line of text here crosses none of the lines of the drawing."""
        import shapely

        if self._tree is None:
            self._tree = shapely.STRtree(self.outlines)
        box = text_outline(middle, width + 0.3, height + 0.3, degrees)
        return len(self._tree.query(box, predicate="intersects")) == 0

    def seek(self, inside: Shape, wide: float, high: float, near: PaperPoint) -> PaperPoint | None:
        """The free place within an area for a rectangle that crosses no line, nearest to a point.

        Args:
            inside: The area on paper.
            wide: Of the rectangle.
            high: Of the rectangle.
            near: Where it would best be.

        Returns:
            Its middle; None where there is no such place.
        """
        import numpy as np
        import shapely

        if inside.is_empty:
            return None
        left, top, right, bottom = inside.bounds
        if right - left < wide or bottom - top < high:
            return None
        x = np.linspace(left + wide / 2, right - wide / 2, _steps(right - left - wide))
        y = np.linspace(top + high / 2, bottom - high / 2, _steps(bottom - top - high))
        middles = np.stack(np.meshgrid(x, y), -1).reshape(-1, 2)
        half = np.array([wide / 2, high / 2])
        shapely.prepare(inside)
        boxes = shapely.box(*(middles - half).T, *(middles + half).T)
        middles = middles[shapely.contains(inside, boxes)]
        away = np.hypot(*(middles - near).T)
        for at in middles[np.lexsort((middles[:, 0], middles[:, 1], away.round(6)))].tolist():
            place = (at[0], at[1])
            if self.has_room_for(place, wide, high, 0.0) and self.is_off_lines(place, wide, high):
                return place
        return None

    def take(self, box: Box) -> None:
        """Note that something stands here."""
        for cell in _cells(box):
            self.taken[cell].append(box)

    def take_text(self, middle: PaperPoint, width: float, height: float, degrees: float) -> None:
        """Note a line of text, turned by an angle, as a row of small boxes."""
        for box in self._boxes(middle, width, height, degrees):
            self.take(box)
            for cell in _cells(box):
                self.texts[cell].append(box)

    def has_room_for(self, middle: PaperPoint, width: float, height: float, degrees: float) -> bool:
        """Whether a line of text fits here."""
        return all(self.is_free(box) for box in self._boxes(middle, width, height, degrees))

    @staticmethod
    def _boxes(middle: PaperPoint, width: float, height: float, degrees: float) -> list[Box]:
        if abs((degrees + 45) % 90 - 45) < 1e-6:
            across = round(degrees / 90) % 2
            wide, high = (height, width) if across else (width, height)
            x, y = middle
            return [Box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)]
        along = math.radians(degrees)
        count = max(1, math.ceil(width / max(height, 0.1)))
        half = height / 2 if count > 1 else max(height, width) / 2
        found: list[Box] = []
        for index in range(count):
            offset = ((index + 0.5) / count - 0.5) * width
            x = middle[0] + offset * math.cos(along)
            y = middle[1] + offset * math.sin(along)
            found.append(Box(x - half, y - half, x + half, y + half))
        return found

    def is_free(self, box: Box) -> bool:
        """Whether nothing stands here and it lies within the drawing."""
        inside = (
            box.left >= self.room.left
            and box.right <= self.room.right
            and box.top >= self.room.top
            and box.bottom <= self.room.bottom
        )
        return inside and not any(
            box.meets(other) for cell in _cells(box) for other in self.taken.get(cell, ())
        )

    def beside(self, anchor: PaperPoint, radius: float, toward: float) -> PaperPoint | None:
        """A free place for a round label near a point, joined to it by a leader.

        Args:
            anchor: What the label is for.
            radius: Of the label.
            toward: The direction to try first, radians on paper.

        Returns:
            The middle of the label; None when the drawing is full.
        """
        # Where every leader would cross something, one that crosses is better than no place.
        for must_be_clear in (True, False):
            for distance in (5.5, 7.5, 10.0, 13.0, 17.0, 22.0, 28.0, 35.0, 44.0):
                for turn in (0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6, -6, 7, -7, 8):
                    angle = toward + turn * math.pi / 8
                    x = anchor[0] + distance * math.cos(angle)
                    y = anchor[1] + distance * math.sin(angle)
                    leader = (anchor, (x, y))
                    if not self.is_free(Box(x - radius, y - radius, x + radius, y + radius)):
                        continue
                    if must_be_clear and not self.is_clear(leader):
                        continue
                    return self._led(leader, radius)
        return None

    def _led(self, leader: _Leader, radius: float) -> PaperPoint:
        """Take the place of a label at the end of its leader."""
        x, y = leader[1]
        self.take(Box(x - radius, y - radius, x + radius, y + radius))
        self.take_leader(leader)
        return x, y

    def take_line(self, a: PaperPoint, b: PaperPoint, wide: float = DRAIN_LINE_MM) -> None:
        """Note that a line runs here, as a row of small boxes."""
        count = max(1, math.ceil(math.dist(a, b) / wide))
        for index in range(count + 1):
            share = index / count
            x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
            self.take(Box(x - wide / 2, y - wide / 2, x + wide / 2, y + wide / 2))

    def take_leader(self, leader: _Leader) -> None:
        """Note that a leader runs here."""
        for cell in _cells(_span(leader)):
            self.leaders[cell].append(leader)

    def is_clear(self, leader: _Leader) -> bool:
        """Whether a leader crosses neither another one nor a text or a lot line."""
        cells = tuple(_cells(_span(leader)))
        if any(_cross(leader, other) for cell in cells for other in self.leaders.get(cell, ())):
            return False
        start, (x, y) = leader[0], leader[1]
        count = math.ceil(math.dist(*leader) / _LEADER_STEP_MM)
        points = [
            (start[0] + (x - start[0]) * index / count, start[1] + (y - start[1]) * index / count)
            for index in range(1, count)
        ]
        # What the leader starts in is what it leads to.
        return not any(
            _holds(text, point)
            for cell in cells
            for text in self.texts.get(cell, ())
            if not _holds(text, start)
            for point in points
        )


def text_outline(middle: PaperPoint, width: float, height: float, degrees: float) -> Polygon:
    """The rectangle about a line of text, turned clockwise on paper."""
    import shapely
    from shapely import affinity

    x, y = middle
    box = shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
    return affinity.rotate(box, degrees, origin=middle) if abs(degrees) > 1e-9 else box


def _steps(length: float) -> int:
    """How many places are tried along a length: one a millimetre, forty at most."""
    return min(40, max(1, math.ceil(length) + 1))


def _holds(box: Box, point: PaperPoint) -> bool:
    return box.left < point[0] < box.right and box.top < point[1] < box.bottom


def _span(leader: _Leader) -> Box:
    (x, y), (x_end, y_end) = leader
    return Box(min(x, x_end), min(y, y_end), max(x, x_end), max(y, y_end))


def _cells(box: Box) -> Iterator[_Cell]:
    """The squares that a rectangle touches."""
    for column in range(int(box.left // _CELL_MM), int(box.right // _CELL_MM) + 1):
        for row in range(int(box.top // _CELL_MM), int(box.bottom // _CELL_MM) + 1):
            yield column, row


def _cross(first: _Leader, second: _Leader) -> bool:
    def side(a: PaperPoint, b: PaperPoint, c: PaperPoint) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return (
        side(*first, second[0]) * side(*first, second[1]) < 0
        and side(*second, first[0]) * side(*second, first[1]) < 0
    )


def upright(degrees: float) -> float:
    """An angle of a line of text turned so that it never stands on its head, -90 to 90."""
    turned = (degrees + 90) % 180 - 90
    return turned - 180 if turned > 89.9 else turned
