"""A drain on a slope catches what crosses it; what comes down beside it passes by.

Where paving goes on falling beyond a drain, no water gathers over it. Sheet flow on paving is far
slower than what splashes over a grate (some 2 ft/s for the shortest ones in HEC-22, from memory),
so what crosses the drain is caught as far as its opening takes it, and nothing else is.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import FOOT_M
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.inlets import SPILL_DEPTH_M, grate_width_m
from checker.measure.drainage.planes import BESIDE_M, line_of

if TYPE_CHECKING:
    from checker.measure.drainage.planes import Plane
    from checker.site.drainage import Drain
    from checker.site.model import Shape

_FAR_M: Final = 1e4
_NO_WIDTH_M: Final = 0.5 * FOOT_M
"""A grate that does not say how wide it is."""


def is_on_grade(drain: Drain, plane: Plane) -> bool:
    """Whether the paving goes on falling beyond a drain, by more than water stands over a grate."""
    if not drain.points or drain.rim_m is None or plane.level_m is None:
        return False
    if plane.pitch_fraction == 0 or plane.shape.distance(line_of(drain.points)) > BESIDE_M:
        return False
    return plane.level_at_m(plane.lowest[0]) < drain.rim_m - SPILL_DEPTH_M


def caught(drain: Drain, plane: Plane, part: Shape) -> Shape:
    """The part of a panel whose water crosses a drain on it: what lies uphill of it."""
    up_x, up_y = plane.rise_x / plane.pitch_fraction, plane.rise_y / plane.pitch_fraction
    first, last = drain.points[0], drain.points[-1]
    if len(drain.points) == 1:
        try:
            half_m = grate_width_m(drain) / 2
        except NotMeasured:
            half_m = _NO_WIDTH_M / 2
        first = (first[0] - up_y * half_m, first[1] + up_x * half_m)
        last = (last[0] + up_y * half_m, last[1] - up_x * half_m)
    corners = [
        first,
        last,
        (last[0] + up_x * _FAR_M, last[1] + up_y * _FAR_M),
        (first[0] + up_x * _FAR_M, first[1] + up_y * _FAR_M),
    ]
    return part.intersection(shapely.Polygon(corners).convex_hull)
