"""What stands on the paving: the storage of the panels round a low place."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import shapely

from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.planes import planes
from checker.measure.drainage.sheds import sheds
from checker.water.network import SMALL_POND, Pond

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.measure.drainage.planes import Plane
    from checker.measure.survey import Survey
    from checker.site.model import Shape

_DEEPEST_M: Final = 0.5
_LEVELS_COUNT: Final = 24
_GRATE_M2: Final = 0.05
_NEAREST_M: Final = 1e-6
_FAR_M: Final = 1e4


def below(plane: Plane, level_m: float) -> Shape:
    """The part of a panel below a level; all of it where it is flat.

    Raises:
        NotMeasured: Only the fall of the panel is known.
    """
    origin_m = plane.level_at_m((0.0, 0.0))
    if plane.pitch_fraction <= 0:
        return plane.shape
    # The line of the paving at that level, and all that lies on its low side.
    along = (level_m - origin_m) / plane.pitch_fraction
    up_x, up_y = plane.rise_x / plane.pitch_fraction, plane.rise_y / plane.pitch_fraction
    x, y = up_x * along, up_y * along
    side = [
        (x - up_y * _FAR_M, y + up_x * _FAR_M),
        (x + up_y * _FAR_M, y - up_x * _FAR_M),
        (x + (up_y - up_x) * _FAR_M, y - (up_x + up_y) * _FAR_M),
        (x - (up_y + up_x) * _FAR_M, y + (up_x - up_y) * _FAR_M),
    ]
    return plane.shape.intersection(shapely.Polygon(side))


def below_m3(plane: Plane, level_m: float) -> float:
    """Water on a panel below a level: what lies between the level and the paving.

    The part of the panel below the level is cut off; its water is its area times the depth at its
    middle, as the depth changes evenly across it.
    """
    if plane.level_m is None:
        return 0.0
    shape = below(plane, level_m)
    if shape.is_empty:
        return 0.0
    middle = shape.centroid
    return max(0.0, float(shape.area * (level_m - plane.level_at_m((middle.x, middle.y)))))


def pond_on(found: Sequence[Plane], lowest_m: float, spill_depth_m: float = 0.0) -> Pond:
    """What panels hold above a lowest level, by depth.

    Args:
        found: Panels with a level.
        lowest_m: Rim of the drain, or lowest level of an open surface.
        spill_depth_m: Depth at which water goes on, a level of its own in the table.
    """
    if not found:
        return SMALL_POND
    dry_m3 = math.fsum(below_m3(plane, lowest_m) for plane in found)
    starts = [plane.level_at_m(plane.lowest[0]) - lowest_m for plane in found]
    start_m = max(0.0, min(starts))
    steps = [_DEEPEST_M * (place / _LEVELS_COUNT) ** 2 for place in range(_LEVELS_COUNT + 1)]
    marks = sorted({spill_depth_m, *(start_m + step_m for step_m in steps)})
    depths = [b for a, b in pairwise([0.0, *marks]) if b - a > _NEAREST_M]
    stored = [
        _GRATE_M2 * depth
        + max(0.0, math.fsum(below_m3(plane, lowest_m + depth) for plane in found) - dry_m3)
        for depth in depths
    ]
    return Pond(depths_m=(0.0, *depths), stored_m3=(0.0, *stored))


def levelled(survey: Survey, names: set[str]) -> list[Plane]:
    """The planes of panels of which a level is known."""
    return [
        plane
        for name, plane in planes(survey).items()
        if name in names and not isinstance(plane, NotMeasured) and plane.level_m is not None
    ]


def pond_at(survey: Survey, drain: str, rim_m: float, spill_depth_m: float) -> Pond:
    """What stands over a drain: on the panels that drain to it."""
    panels = {shed.panel for shed in sheds(survey) if shed.to == drain and shed.panel}
    return pond_on(levelled(survey, panels), rim_m, spill_depth_m)


def pond_over(survey: Survey, surface: str, rim_m: float) -> Pond:
    """What stands on a surface over a store."""
    panels = {
        name
        for name, plane in planes(survey).items()
        if not isinstance(plane, NotMeasured) and plane.panel.on == surface
    }
    return pond_on(levelled(survey, panels), rim_m)
