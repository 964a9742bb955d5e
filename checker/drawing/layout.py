"""Where things stand on a drawing sheet, and the scale at which a lot fits, in inches on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.units import INCH_M
from checker.drawing.scale import (
    FEET_PER_INCH,
    METRIC,
    Scale,
    fitting_scale,
    metric_scale,
    us_scale,
)
from checker.pages.sheet import PAPER_IN, SheetBox

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.core.units import System

MM_PER_IN: Final = INCH_M * 1000
EDGE_IN: Final = 0.4
MARGIN_IN: Final = 0.45
"""Room round the lot for the texts of its lines."""

_PANEL_IN: Final = {"letter": 2.5, "tabloid": 3.6, "arch-d": 5.0}
_BAND_IN: Final = {"letter": 1.35, "tabloid": 1.75, "arch-d": 3.0}
STAMP_IN: Final = 6.0
"""Width of the clear space for the approval stamp that one office asks for (read)."""


class Layout(Record):
    """The parts of a sheet.

    Attributes:
        size: Paper.
        is_upright: The long side runs up.
        frame: The border.
        drawing: Where the lot is drawn.
        panel: Tables and notes beside it.
        band: Title block, north, scale, and the clear space, below it.
        stamp: The clear space; None where the sheet is too small for it.
    """

    size: str
    is_upright: bool
    frame: SheetBox
    drawing: SheetBox
    panel: SheetBox
    band: SheetBox
    stamp: SheetBox | None


def layout_of(size: str, *, is_upright: bool, stamp_in: float) -> Layout:
    """The parts of a sheet of a size."""
    width, height = PAPER_IN[size]
    if is_upright:
        width, height = height, width
    frame = SheetBox(EDGE_IN, EDGE_IN, width - 2 * EDGE_IN, height - 2 * EDGE_IN)
    panel_w, band_h = _PANEL_IN[size], _BAND_IN[size]
    right, bottom = frame.x + frame.w, frame.y + frame.h
    band = SheetBox(frame.x, bottom - band_h, frame.w, band_h)
    panel = SheetBox(right - panel_w, frame.y, panel_w, frame.h - band_h)
    top = 0.35
    drawing = SheetBox(frame.x, frame.y + top, frame.w - panel_w, frame.h - band_h - top)
    room = frame.w - panel_w - 3.1
    stamp = None
    if size != "letter" and room >= stamp_in:
        stamp = SheetBox(frame.x, band.y, stamp_in, band_h)
    return Layout(size, is_upright, frame, drawing, panel, band, stamp)


class Fit(Record):
    """A layout with the scale at which the lot fits on it."""

    layout: Layout
    scale: Scale
    feet_per_inch: float


def fit(
    extent_m: tuple[float, float],
    sizes: Sequence[str],
    accepted_ft_per_in: Sequence[int],
    system: System,
    stamp_in: float = STAMP_IN,
) -> tuple[Fit, bool]:
    """The sheet and the largest scale for a lot.

    Args:
        extent_m: Width and height of what is drawn, on the ground.
        sizes: Sizes to try, the first that takes the lot at an accepted scale wins.
        accepted_ft_per_in: Scales that the place takes; empty for any usual one.
        system: Engineer's scales, or metric ones.
        stamp_in: Width of the clear space.

    Returns:
        The fit, and whether its scale is one that the place takes.
    """
    found: Fit | None = None
    for size in sizes:
        for is_upright in (False, True):
            layout = layout_of(size, is_upright=is_upright, stamp_in=stamp_in)
            scale = _scale(extent_m, layout, accepted_ft_per_in, system)
            if scale is not None:
                feet = scale.ratio / 12
                if found is None or feet < found.feet_per_inch:
                    found = Fit(layout, scale, feet)
        if found is not None:
            return found, True
    layout = layout_of(sizes[0], is_upright=False, stamp_in=stamp_in)
    scale = fitting_scale(*extent_m, _room_mm(layout), system)
    return Fit(layout, scale, scale.ratio / 12), False


def _room_mm(layout: Layout) -> tuple[float, float]:
    spare = 2 * MARGIN_IN
    drawing = layout.drawing
    return (drawing.w - spare) * MM_PER_IN, (drawing.h - spare) * MM_PER_IN


def _scale(
    extent_m: tuple[float, float], layout: Layout, accepted: Sequence[int], system: System
) -> Scale | None:
    room = _room_mm(layout)
    needed = max(extent_m[0] * 1000 / room[0], extent_m[1] * 1000 / room[1])
    steps: Sequence[int] = sorted(accepted) if accepted else FEET_PER_INCH[:7]
    made = [us_scale(step) for step in steps]
    if system == "metric" and not accepted:
        made = [metric_scale(step) for step in METRIC[:6]]
    return next((scale for scale in made if scale.ratio >= needed * (1 - 1e-9)), None)
