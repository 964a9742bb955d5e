"""Spot levels and contours of the ground on a plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.units import LENGTH, Amount
from checker.drawing.svg import number, tag, text_width_mm, words
from checker.measure.contours import contours, ground_levels
from checker.measure.drainage.drawn import levels_of
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.labels import Placer
    from checker.drawing.scale import Frame
    from checker.words.brief import Brief

TEXT_MM: Final = 2.0
_CROSS_MM: Final = 0.9
_ASIDE: Final = ((0.0, -2.0), (0.0, 2.6), (6.0, 0.4), (-6.0, 0.4), (6.0, -2.4), (-6.0, 2.8))
CONTOUR_DASHES: Final = {False: "3 1", True: ""}
"""Contours of the ground as it is are dashed, those of the ground as it will be are whole."""


def ground_drawn(brief: Brief, frame: Frame, placer: Placer, *, shows_work: bool) -> list[str]:
    """Contours below and levels over them; nothing where the site file gives no level."""
    levels = levels_of(brief.survey)
    if not levels:
        return []
    has_new = any(item.is_proposed for item in levels)
    states = (False, True) if shows_work and has_new else (False,)
    drawn = [line for state in states for line in _contours(brief, frame, placer, is_new=state)]
    for index, item in enumerate(levels):
        if item.is_proposed and not shows_work:
            continue
        x, y = frame.at(*item.at)
        text = brief.figures.add(
            f"level.{index}", f"level of {item.what}", Amount(item.level_m, LENGTH)
        )
        cross = _CROSS_MM
        drawn.append(
            tag(
                "path",
                d=f"M{number(x - cross)} {number(y)}H{number(x + cross)}"
                f"M{number(x)} {number(y - cross)}V{number(y + cross)}",
                stroke=colours.INK,
                stroke_width=0.25,
            )
        )
        said = text if item.what == "ground" else f"{item.what} {text}"
        drawn.append(_named(said, (x, y), placer, is_bold=item.is_proposed))
    return drawn


def _named(text: str, at: tuple[float, float], placer: Placer, *, is_bold: bool) -> str:
    width = text_width_mm(text, TEXT_MM)
    places = [(at[0] + dx, at[1] + dy) for dx, dy in _ASIDE]
    free = (p for p in places if placer.has_room_for(p, width, TEXT_MM, 0.0))
    place = next(free, places[0])
    placer.take_text(place, width, TEXT_MM, 0.0)
    return words(text, place, TEXT_MM, edge_mm=0.5, is_bold=is_bold)


def _contours(brief: Brief, frame: Frame, placer: Placer, *, is_new: bool) -> Iterator[str]:
    known = ground_levels(levels_of(brief.survey), is_proposed=is_new)
    for item in contours(known, brief.system):
        dashes = CONTOUR_DASHES[is_new]
        style: dict[str, str | float] = {"stroke_dasharray": dashes} if dashes else {}
        yield tag(
            "path",
            d=frame.path(item.line),
            fill="none",
            stroke=colours.QUIET,
            stroke_width=0.3 if is_new else 0.2,
            **style,
        )
        text = brief.figures.add(
            f"contour.{item.level_m:.4f}", "level of a contour", Amount(item.level_m, LENGTH)
        )
        middle = item.line.interpolate(0.5, normalized=True)
        yield _named(text, frame.at(middle.x, middle.y), placer, is_bold=False)


def levels_say(brief: Brief, *, is_proposed: bool) -> str:
    """What a note says of the contours; empty without levels."""
    known = ground_levels(levels_of(brief.survey), is_proposed=is_proposed)
    if not known:
        return ""
    if not contours(known, brief.system):
        return "Levels as given; too few, or too even, for contours."
    return (
        "Contours: plane between the levels given (triangles), none beyond the outermost; dashed "
        "as it is, whole as it will be."
    )
