"""Where paving falls, in words: away from a surface, toward a line of the lot, by compass."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.problems import did_you_mean
from checker.site.sides import COMPASS_DEGREES

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from typing import Any

    from checker.core.problems import Place, Problems
    from checker.site.model import Shape, Site

AIM: Final = re.compile(
    r"(?P<away>away from )?(?:line (?P<line>\d{1,6})|(?P<side>[a-z][a-z0-9-]*) line|"
    r"(?P<name>[a-z][a-z0-9-]*))\Z"
)
_DO: Final = "write degrees, such as 90, a point of the compass, 'away from house', or 'line 2'"
_NEAR_M: Final = 1e-6
"""Two walls that are as near as this are as near as each other: the one opposite is meant."""


def check_aim(text: str, data: Mapping[str, Any], place: Place, problems: Problems) -> None:
    """Complain of words that name no direction, surface, side or line of a site file."""
    found = AIM.match(text)
    says, do = "", _DO
    if found is None:
        says = f"'{text[:60]}' is no direction"
    elif found["side"]:
        sides = data.get("lot", {}).get("sides", {})
        if found["side"] not in sides:
            says = f"'{text}' names a side of the lot that 'sides' does not"
            do = did_you_mean(found["side"], sides) if sides else "name it under 'lot: sides:'"
    elif found["name"]:
        surfaces = [item["id"] for item in data.get("surfaces", ()) if isinstance(item, dict)]
        is_compass = not found["away"] and found["name"] in COMPASS_DEGREES
        if not is_compass and found["name"] not in surfaces:
            says = f"'{text}' names no surface"
            do = did_you_mean(found["name"], [*surfaces, *COMPASS_DEGREES])
    if says:
        problems.add(place, says, do)


def degrees_of(text: str, shape: Shape, site: Site) -> float | None:
    """The direction that words mean for a shape, clockwise from the top of the drawing.

    It is square to the wall or line that the shape lies nearest to; of several that are as near it
    is the one beside which most of the shape lies.

    Args:
        text: Words that `check_aim` did not complain of.
        shape: What falls.
        site: The lot with its surfaces.

    Returns:
        None where there is no such line, or the shape lies on both sides of it alike.
    """
    found = AIM.match(text)
    if found is None:
        return None
    if found["name"] in COMPASS_DEGREES and not found["away"]:
        return (COMPASS_DEGREES[found["name"]] + site.north_degrees) % 360
    walls: Shape | None
    if found["name"]:
        target = site.surface_named(found["name"])
        walls = target.shape.boundary if target is not None else None
    elif found["line"]:
        lines = {line.number: line.line for line in site.lot.lines}
        walls = lines.get(int(found["line"]))
    else:
        walls = site.lot.side(found["side"])
    if walls is None:
        return None
    away = _away(shape, _straights(walls))
    if away is None:
        return None
    sign = 1 if found["away"] else -1
    return math.degrees(math.atan2(sign * away[0], sign * away[1])) % 360


def _straights(walls: Shape) -> Iterable[tuple[tuple[float, float], tuple[float, float]]]:
    from shapely import get_parts

    for part in get_parts(walls):
        corners = [(x, y) for x, y, *_ in part.coords]
        yield from pairwise(corners)


def _away(
    shape: Shape, straights: Iterable[tuple[tuple[float, float], tuple[float, float]]]
) -> tuple[float, float] | None:
    """The unit vector square to the nearest straight, to the side on which the shape lies."""
    from shapely import LineString, get_coordinates

    best: tuple[float, float] | None = None
    vector: tuple[float, float] | None = None
    corners = get_coordinates(shape)
    middle = shape.centroid
    for start, end in straights:
        length_m = math.dist(start, end)
        if length_m == 0:
            continue
        ux, uy = (end[0] - start[0]) / length_m, (end[1] - start[1]) / length_m
        along = (corners[:, 0] - start[0]) * ux + (corners[:, 1] - start[1]) * uy
        beside_m = min(float(along.max()), length_m) - max(float(along.min()), 0.0)
        off_m = (middle.x - start[0]) * -uy + (middle.y - start[1]) * ux
        if abs(off_m) < _NEAR_M:
            continue
        away_m = float(LineString([start, end]).distance(shape))
        rank = (round(away_m / _NEAR_M), -beside_m)
        if best is None or rank < best:
            best = rank
            side = math.copysign(1.0, off_m)
            vector = (-uy * side, ux * side)
    return vector
