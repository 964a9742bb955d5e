"""The lot boundary on a plan: its outline and the text of each line beside it."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.drawing.labels import upright
from checker.drawing.svg import tag, text_width_mm, words
from checker.pages import colours
from checker.words.amounts import clean

if TYPE_CHECKING:
    from checker.drawing.labels import PaperPoint, Placer
    from checker.drawing.scale import Frame
    from checker.site.model import BoundaryLine, Lot

TEXT_MM: Final = 2.5
_AWAY_MM: Final = 2.6
"""From the line to the middle of its text."""

_SHARES: Final = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
"""Where along a line its text is tried."""


class LotLines(Record):
    """The drawn boundary; `numbered` lines bear a number because their text does not fit."""

    outline: str
    labels: tuple[str, ...]
    numbered: tuple[int, ...]


def draw_lot_lines(lot: Lot, frame: Frame, placer: Placer) -> LotLines:
    """Draw the boundary with bearings, distances and the names of its sides."""
    outline = tag(
        "path",
        d=frame.path(lot.boundary),
        fill="none",
        stroke=colours.INK,
        stroke_width=0.7,
        stroke_dasharray="8 1.4 1.6 1.4 1.6 1.4",
        class_="lot-line",
    )
    for ring in lot.rings:
        points = [frame.at(x_m, y_m) for x_m, y_m, *_ in ring.coords]
        for start, end in pairwise(points):
            middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
            degrees = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
            placer.take_text(middle, math.dist(start, end), 1.0, degrees)
    labels: list[str] = []
    numbered: list[int] = []
    for line in lot.lines:
        side = clean(line.side)
        full = f"{clean(line.label)} ({side})" if side else clean(line.label)
        text, middle, degrees = _placed(line, (full, clean(line.label)), lot, frame, placer)
        width = text_width_mm(text, TEXT_MM)
        if text.startswith("L") and text[1:].isdigit():
            numbered.append(line.number)
        placer.take_text(middle, width, TEXT_MM + 0.4, degrees)
        labels.append(words(text, middle, TEXT_MM, degrees=degrees))
    return LotLines(outline, tuple(labels), tuple(numbered))


def _placed(
    line: BoundaryLine, texts: tuple[str, ...], lot: Lot, frame: Frame, placer: Placer
) -> tuple[str, PaperPoint, float]:
    """The longest text that fits beside a line and crosses nothing, its middle and its angle."""
    short = f"L{line.number}"
    for is_off_lines in (True, False):
        for text in (*texts, short):
            width = text_width_mm(text, TEXT_MM)
            for share in _SHARES:
                middle, degrees, length_mm = _beside(line, lot, frame, share)
                if (
                    width <= length_mm * 2 * min(share, 1 - share)
                    and placer.has_room_for(middle, width, TEXT_MM, degrees)
                    and (not is_off_lines or placer.is_off_lines(middle, width, TEXT_MM, degrees))
                ):
                    return text, middle, degrees
    return short, _beside(line, lot, frame, 0.5)[0], 0.0


def _beside(
    line: BoundaryLine, lot: Lot, frame: Frame, share: float
) -> tuple[PaperPoint, float, float]:
    """A point beside a line outside the lot, its angle on paper, and how long the line is there.

    Args:
        line: The line of the boundary.
        lot: The lot.
        frame: Scale and place on the paper.
        share: Where along the line, 0 to 1.
    """
    import shapely

    path = line.line
    reach = path.length * 0.02 + 1e-6
    at = path.length * share
    before, after = path.interpolate(at - reach), path.interpolate(at + reach)
    middle = path.interpolate(at)
    along = math.atan2(after.y - before.y, after.x - before.x)
    away_m = _AWAY_MM * frame.scale.ratio / 1000
    normal = (-math.sin(along), math.cos(along))
    probe_m = min(away_m, 0.05)
    test = shapely.Point(middle.x + normal[0] * probe_m, middle.y + normal[1] * probe_m)
    side = -1 if lot.boundary.contains(test) else 1
    chord_mm = frame.length_mm(math.dist(path.coords[0][:2], path.coords[-1][:2]))
    place = frame.at(middle.x + side * normal[0] * away_m, middle.y + side * normal[1] * away_m)
    return place, upright(-math.degrees(along)), chord_mm
