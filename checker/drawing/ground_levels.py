"""Spot levels and contours of the ground on a plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.units import LENGTH, Amount
from checker.drawing.named_lines import NamedLine
from checker.drawing.spot_names import level_cross
from checker.measure.contours import contours, ground_levels
from checker.measure.drainage.drawn import levels_of
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.named_lines import NamedLines
    from checker.drawing.scale import Frame
    from checker.drawing.spot_names import SpotNames
    from checker.words.brief import Brief

TEXT_MM: Final = 2.0
CONTOUR_DASHES: Final = {False: "3 1", True: ""}
"""Contours of the ground as it is are dashed, those of the ground as it will be are whole."""


def ground_drawn(
    brief: Brief, frame: Frame, lines: NamedLines, names: SpotNames, *, shows_work: bool
) -> list[str]:
    """A cross at each level of the ground; nothing where the site file gives no level.

    Args:
        brief: What is read; its figures take the numbers in.
        frame: Scale and place on the paper.
        lines: Takes the contours.
        names: Takes the levels.
        shows_work: Levels and contours of the ground as it will be are drawn too.
    """
    levels = levels_of(brief.survey)
    has_new = any(item.is_proposed for item in levels)
    for is_new in (False, True) if shows_work and has_new else (False,):
        for line in _contours(brief, frame, is_new=is_new):
            lines.add(line)
    crosses: list[str] = []
    for index, item in enumerate(levels):
        if item.is_proposed and not shows_work:
            continue
        at, level = frame.at(*item.at), Amount(item.level_m, LENGTH)
        text = brief.figures.add(f"level.{index}", f"level of {item.what}", level)
        crosses.append(level_cross(at, names.placer))
        said = text if item.what == "ground" else f"{item.what} {text}"
        names.add(said, at, is_bold=item.is_proposed)
    return crosses


def _contours(brief: Brief, frame: Frame, *, is_new: bool) -> Iterator[NamedLine]:
    known = ground_levels(levels_of(brief.survey), is_proposed=is_new)
    for item in contours(known, brief.system):
        level = Amount(item.level_m, LENGTH)
        yield NamedLine(
            line=frame.on_paper(item.line),
            text=brief.figures.add(f"contour.{item.level_m:.4f}", "level of a contour", level),
            size_mm=TEXT_MM,
            stroke=colours.QUIET,
            width_mm=0.3 if is_new else 0.2,
            dashes=CONTOUR_DASHES[is_new],
            is_led=False,
        )


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
