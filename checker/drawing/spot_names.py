"""Names beside points and lines of a drawing: at the nearest free place, else with a leader."""

from __future__ import annotations

import math
from itertools import pairwise, product
from typing import TYPE_CHECKING, Final

from checker.drawing.labels import Box
from checker.drawing.svg import number, tag, text_width_mm, words
from checker.pages import colours
from checker.words.letters import letter

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from checker.drawing.labels import PaperPoint, Placer

    _Anchors = tuple[PaperPoint, ...]
    _Line = tuple[PaperPoint, PaperPoint]
    _Spot = tuple[PaperPoint, _Line | None]

TEXT_MM: Final = 2.1
_FAR_MM: Final = (4.5, 6.0, 7.0, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0, 31.0, 38.0, 46.0)
_TURNS_COUNT: Final = 48
_GAP_MM: Final = 0.3
_LEADER_MM: Final = 0.3
_CROSS_MM: Final = 1.0


class SpotNames:
    """Names that wait until all lines are drawn, so that none covers another."""

    def __init__(self, placer: Placer) -> None:
        self.placer = placer
        self.waiting: list[tuple[str, _Anchors, bool]] = []

    def add(self, text: str, *at: PaperPoint, is_bold: bool = False) -> None:
        """Set a name near a point, or one of several of what it names."""
        self.waiting.append((text, at, is_bold))

    def pass_by(self, points: Sequence[PaperPoint]) -> None:
        """Let no name cross a line."""
        for a, b in pairwise(points):
            self.placer.take_line(a, b)

    def pass_round(self, middle: PaperPoint, radius: float) -> None:
        """Let no name cross a ring."""
        x, y = middle
        turns = [math.tau * index / _TURNS_COUNT for index in range(_TURNS_COUNT + 1)]
        corners = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in turns]
        for a, b in pairwise(corners):
            self.placer.take_line(a, b)

    def drawn(self) -> Iterator[str]:
        """All names, each at the first free place round its point, farther off with a leader.

        A name for which there is no place clear of every line becomes a small letter, and is said
        in the notes.
        """
        notes: list[str] = []
        for name, at, is_bold in self.waiting:
            text, spot = name, self.spot(name, at, self.is_clear)
            if spot is None:
                text = letter(len(notes)).lower()
                notes.append(f"{text} {name}")
                spot = self.spot(text, at, self.is_clear) or self.spot(text, at, self.is_free)
            middle, leader = spot or (at[0], None)
            self.placer.take_text(middle, text_width_mm(text, TEXT_MM), TEXT_MM + 0.3, 0.0)
            if leader is not None:
                self.placer.take_leader(leader)
                self.placer.take_line(*leader, _LEADER_MM)
                yield _leader(leader)
            yield _name(text, middle, is_bold=is_bold)
        if notes:
            yield from self.noted(notes)

    def spot(
        self, text: str, anchors: _Anchors, is_free: Callable[[PaperPoint, float], bool]
    ) -> _Spot | None:
        """Where the middle of a name goes, and its leader where it stands farther off."""
        width = text_width_mm(text, TEXT_MM)
        aside = width / 2 + 1.6
        steps = (
            *((0.0, -2.4), (0.0, 2.6), (aside, 0.4), (-aside, 0.4)),
            *((0.0, -4.2), (0.0, 5.0), (aside + 1.4, -3.0), (-aside - 1.4, 3.0)),
        )
        turns = [math.tau * index / _TURNS_COUNT for index in range(_TURNS_COUNT)]
        for (x, y), (dx, dy) in product(anchors, steps):
            if is_free((x + dx, y + dy), width):
                return (x + dx, y + dy), None
        for away, at, turn in product(_FAR_MM, anchors, turns):
            aside = away + width / 2 * abs(math.cos(turn))
            middle = (at[0] + aside * math.cos(turn), at[1] + away * math.sin(turn))
            leader = _to_name(at, middle, width)
            if is_free(middle, width) and self.placer.is_clear(leader):
                return middle, leader
        return None

    def is_clear(self, middle: PaperPoint, width: float) -> bool:
        """Whether a name fits here and crosses no line of the lot."""
        return self.is_free(middle, width) and self.placer.is_off_lines(middle, width, TEXT_MM)

    def is_free(self, middle: PaperPoint, width: float) -> bool:
        """Whether a name fits here."""
        return self.placer.has_room_for(middle, width + _GAP_MM, TEXT_MM + _GAP_MM, 0.0)

    def noted(self, lines: list[str]) -> Iterator[str]:
        """Notes one below another, at the first free place from the foot of the drawing up."""
        room, row_mm = self.placer.room, TEXT_MM + 0.9
        wide = max(text_width_mm(line, TEXT_MM) for line in lines) + 1.0
        high = row_mm * len(lines) + 0.6
        places = (
            Box(room.left + x, room.bottom - y - high, room.left + x + wide, room.bottom - y)
            for y in range(1, max(2, int(room.bottom - room.top - high)), 3)
            for x in range(1, max(2, int(room.right - room.left - wide)), 3)
        )
        foot = Box(room.left, room.bottom - high, room.left + wide, room.bottom)
        free = [place for place in places if self.placer.is_free(place)]
        clear = (
            place
            for place in free
            if self.placer.is_off_lines((place.left + wide / 2, place.top + high / 2), wide, high)
        )
        box = next(clear, free[0] if free else foot)
        for index, line in enumerate(lines):
            middle = (box.left + wide / 2, box.top + 0.3 + row_mm * (index + 0.5))
            self.placer.take_text(middle, text_width_mm(line, TEXT_MM), TEXT_MM + 0.3, 0.0)
            yield _name(line, middle)


def level_cross(at: PaperPoint, placer: Placer) -> str:
    """The mark of a spot level, which no name may cross."""
    (x, y), half = at, _CROSS_MM
    placer.take(Box(x - half, y - half, x + half, y + half))
    cross = (
        f"M{number(x - half)} {number(y)}h{2 * half:g}M{number(x)} {number(y - half)}v{2 * half:g}"
    )
    return tag("path", d=cross, stroke=colours.INK, stroke_width=0.25, fill="none")


def _to_name(start: PaperPoint, middle: PaperPoint, width: float) -> _Line:
    """A line from what is named to the nearer end of its name."""
    (x, y), (to_x, to_y) = start, middle
    end_x = min(max(x, to_x - width / 2), to_x + width / 2)
    end_y = to_y - math.copysign(TEXT_MM / 2, to_y - y) if end_x == x else to_y
    return start, (end_x, end_y)


def _leader(line: _Line) -> str:
    (x, y), (end_x, end_y) = line
    path = f"M{x:.2f} {y:.2f}L{end_x:.2f} {end_y:.2f}"
    return tag("path", d=path, stroke=colours.INK, stroke_width=0.15, fill="none")


def _name(text: str, middle: PaperPoint, *, is_bold: bool = False) -> str:
    return words(text, middle, TEXT_MM, edge_mm=0.7, is_bold=is_bold)
