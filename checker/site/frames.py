"""Places as a tape measures them: along a lot line and square to it, or out from a house wall.

A frame turns the two numbers of a point into the plan. Its first number runs along the line, its
second square to it: into the lot from a lot line, away from the house from a wall. From two lot
lines the numbers are the distances to each: so far from the second one, so far from the first.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Callable

    from shapely import MultiPolygon, Polygon

    from checker.site.arcs import XY

PARALLEL_SINE = 0.02
"""Two lines nearer to parallel than about one degree cross at no definite place.

Common practice, no source.
"""


class TapeFrame(Record, kw_only=True):
    """A local frame.

    Attributes:
        origin: Where both numbers are 0, metres of the plan.
        along: Unit vector of the first number of a shape's own size and turning.
        across: Unit vector of the second, square to it.
        first: What one metre of the first number of a point moves.
        second: What one metre of the second number moves.
    """

    origin: XY
    along: XY
    across: XY
    first: XY
    second: XY

    @property
    def is_mirrored(self) -> bool:
        """Its second direction lies to the right of the first, so that arcs turn the other way."""
        return self.along[0] * self.across[1] - self.along[1] * self.across[0] < 0

    def at(self, x_m: float, y_m: float) -> XY:
        """A point of the frame in the plan."""
        return (
            self.origin[0] + x_m * self.first[0] + y_m * self.second[0],
            self.origin[1] + x_m * self.first[1] + y_m * self.second[1],
        )

    def moved(self, start: XY, u_m: float, v_m: float) -> XY:
        """A point so far along and so far across from another of the plan."""
        return (
            start[0] + u_m * self.along[0] + v_m * self.across[0],
            start[1] + u_m * self.along[1] + v_m * self.across[1],
        )


def frame_on(start: XY, end: XY, is_inside: Callable[[XY], bool]) -> TapeFrame:
    """The frame of one line.

    Args:
        start: Where the tape is held, metres.
        end: The other end of the line.
        is_inside: Whether a point beside the line lies on the side to which the second number runs.
    """
    length_m = math.dist(start, end)
    along = ((end[0] - start[0]) / length_m, (end[1] - start[1]) / length_m)
    across = (-along[1], along[0])
    step_m = min(0.01, length_m / 100)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    if not is_inside((middle[0] + step_m * across[0], middle[1] + step_m * across[1])):
        across = (-across[0], -across[1])
    return TapeFrame(origin=start, along=along, across=across, first=along, second=across)


def frame_between(main: TapeFrame, other: TapeFrame) -> TapeFrame | None:
    """The frame of two lines: distances to the other and to the main one; None when parallel.

    The directions are those that change one distance and leave the other: along each line.
    """
    sine = other.across[0] * main.along[0] + other.across[1] * main.along[1]
    if math.fabs(sine) < PARALLEL_SINE:
        return None
    # One metre away from the other line, along the main one.
    first = (main.along[0] / sine, main.along[1] / sine)
    rise = main.across[0] * other.along[0] + main.across[1] * other.along[1]
    second = (other.along[0] / rise, other.along[1] / rise)
    # Where the two lines cross.
    dx, dy = main.origin[0] - other.origin[0], main.origin[1] - other.origin[1]
    away = dx * other.across[0] + dy * other.across[1]
    origin = (main.origin[0] - away * first[0], main.origin[1] - away * first[1])
    along = main.along if sine > 0 else (-main.along[0], -main.along[1])
    return TapeFrame(origin=origin, along=along, across=main.across, first=first, second=second)


def covers(shape: Polygon | MultiPolygon) -> Callable[[XY], bool]:
    """Whether a point lies in a shape."""
    from shapely import Point

    def found(point: XY) -> bool:
        return bool(shape.covers(Point(point)))

    return found


def beyond(shape: Any) -> Callable[[XY], bool]:  # noqa: ANN401 - any area
    """Whether a point lies outside of a shape."""
    inside = covers(shape)

    def found(point: XY) -> bool:
        return not inside(point)

    return found
