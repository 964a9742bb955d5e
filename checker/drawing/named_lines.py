"""Lines that bear their own text, as a dimension does: each is broken where its text stands."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import shapely

from checker.core.records import Record
from checker.drawing.labels import text_outline, upright
from checker.drawing.svg import number, tag, text_width_mm, words
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.labels import PaperPoint
    from checker.drawing.spot_names import SpotNames
    from checker.site.model import Shape

_GAP_MM: Final = 0.5
"""Left free between a text and its line."""

_SHARES: Final = (0.5, 0.35, 0.65, 0.25, 0.75, 0.15, 0.85, 0.08, 0.92)
"""Where along a line its text is tried."""

_BESIDE_MM: Final = (0.8, 3.3, 5.8, 8.3)
"""How far from a short line its text is tried."""


class NamedLine(Record, kw_only=True):
    """A line on paper with its text.

    Attributes:
        line: The line, millimetres.
        text: Stands on it, or beside it where it is short.
        size_mm: Height of the text.
        stroke: Colour of line and text.
        width_mm: Of the line.
        dashes: Of the line; empty for a whole one.
        ends: Arrow heads, drawn.
        is_led: Where its text finds no room on it or beside it, a leader leads there; without it
            the line is drawn bare.
    """

    line: Shape
    text: str
    size_mm: float
    stroke: str = colours.INK
    width_mm: float = 0.2
    dashes: str = ""
    ends: str = ""
    is_led: bool = True


class NamedLines:
    """Gathers lines with texts, and sets the texts once all lines are known.

    Args:
        names: Sets the texts that find no room on their lines; its placer is told what lines and
            texts take.
    """

    def __init__(self, names: SpotNames) -> None:
        self.names = names
        self.placer = names.placer
        self.waiting: list[NamedLine] = []

    def add(self, line: NamedLine) -> None:
        """Take a line in."""
        if not line.line.is_empty:
            self.waiting.append(line)

    def drawn(self) -> list[str]:
        """All lines with their texts; no text crosses another line."""
        tree = shapely.STRtree([item.line for item in self.waiting])
        found: list[str] = []
        kept: list[Shape] = []
        for own, item in enumerate(self.waiting):
            width = text_width_mm(item.text, item.size_mm)
            spot = next(
                (
                    (at, turned)
                    for at, turned in _places(item, width)
                    if self._is_free(at, width, item.size_mm, turned, tree, own)
                ),
                None,
            )
            if spot is None and item.is_led:
                self.names.add(item.text, _middle(item.line))
            line = item.line
            if spot is not None:
                at, turned = spot
                self.placer.take_text(at, width, item.size_mm + 0.3, turned)
                gap = text_outline(at, width + 2 * _GAP_MM, item.size_mm + _GAP_MM, turned)
                line = line.difference(gap)
                found.append(
                    words(
                        item.text, at, item.size_mm, fill=item.stroke, edge_mm=0.7, degrees=turned
                    )
                )
            kept.append(line)
            dashes = {"stroke_dasharray": item.dashes} if item.dashes else {}
            found.append(
                tag(
                    "path", d=_path(line), fill="none", stroke=item.stroke,
                    stroke_width=item.width_mm, **dashes,
                )
                + item.ends
            )  # fmt: skip
        self.waiting = []
        for line in kept:
            for a, b in _pieces(line):
                self.placer.take_line(a, b)
        return found

    def _is_free(
        self, at: PaperPoint, width: float, high: float, degrees: float, tree: shapely.STRtree,
        own: int,
    ) -> bool:  # fmt: skip
        placer = self.placer
        if not placer.has_room_for(at, width, high + 0.3, degrees):
            return False
        box = text_outline(at, width + _GAP_MM, high + _GAP_MM, degrees)
        crossed = set(tree.query(box, predicate="intersects").tolist()) - {own}
        return not crossed and placer.is_off_lines(at, width, high, degrees)


def _places(item: NamedLine, width: float) -> Iterator[tuple[PaperPoint, float]]:
    """Places on the line, and beside it where it is too short, with the angles of the text."""
    for part in sorted(shapely.get_parts(item.line).tolist(), key=lambda one: -one.length):
        if part.length == 0:
            continue
        is_long = part.length >= width + 6.0
        for share in _SHARES if is_long else (0.5,):
            (x, y), along = _on(part, share, width if is_long else part.length)
            if is_long:
                room = min(share, 1 - share) * part.length
                if room >= width / 2 + 2.0:
                    yield (x, y), upright(math.degrees(along))
                continue
            across = along + math.pi / 2
            reach = abs(math.cos(across)) * width / 2 + abs(math.sin(across)) * item.size_mm * 0.7
            for away in _BESIDE_MM:
                for side in (reach + away, -reach - away):
                    yield (x + side * math.cos(across), y + side * math.sin(across)), 0.0
            past = abs(math.cos(along)) * width / 2 + abs(math.sin(along)) * item.size_mm
            past += part.length / 2 + 1.2
            for side in (past, -past):
                yield (x + side * math.cos(along), y + side * math.sin(along)), 0.0


def _middle(line: Shape) -> PaperPoint:
    longest = max(shapely.get_parts(line).tolist(), key=lambda part: part.length)
    point = longest.interpolate(0.5, normalized=True)
    return point.x, point.y


def _on(line: Shape, share: float, wide: float) -> tuple[PaperPoint, float]:
    """The middle of a chord as long as a text about a share of a line, and its angle."""
    middle = line.length * share
    a, b = (line.interpolate(middle + side * wide / 2) for side in (-1, 1))
    return ((a.x + b.x) / 2, (a.y + b.y) / 2), math.atan2(b.y - a.y, b.x - a.x)


def _pieces(line: Shape) -> Iterator[tuple[PaperPoint, PaperPoint]]:
    for part in shapely.get_parts(line).tolist():
        yield from pairwise([(x, y) for x, y, *_ in part.coords])


def _path(line: Shape) -> str:
    runs = (
        "L".join(f"{number(x)} {number(y)}" for x, y, *_ in part.coords)
        for part in shapely.get_parts(line).tolist()
        if part.length > 0
    )
    return "".join(f"M{run}" for run in runs)
