"""Planes before and after a change of surfaces, held against each other point by point."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.carried import is_as_today, is_paved
from checker.measure.drainage.planes import planes

if TYPE_CHECKING:
    from collections.abc import Set as AbstractSet

    from checker.measure.drainage.planes import Plane
    from checker.measure.survey import Survey

_PLANE_M: Final = 1e-6
_PLANE_M2: Final = 1e-4


def planes_apart(before: Survey, after: Survey, changed: AbstractSet[str]) -> tuple[str, ...]:
    """Where paving that has a fall has another one after a change, or none.

    Held point by point: what stays paved and lay on a panel lies on one of the same plane.

    Args:
        before: The design.
        after: What was read from the file with the change.
        changed: Ids of the surfaces that change.
    """
    old = [plane for plane in planes(before).values() if not isinstance(plane, NotMeasured)]
    new = [plane for plane in planes(after).values() if not isinstance(plane, NotMeasured)]
    there = after.partition("proposed").visible
    own = {s.id for s in before.site.surfaces} - set(changed)
    paved = [
        there[s.id]
        for s in after.site.surfaces
        if s.id not in own and s.id in there and is_paved(s) and not is_as_today(s, before.site)
    ]
    found: list[str] = []
    for plane in old:
        if plane.panel.on not in changed:
            continue
        left = shapely.union_all([plane.shape.intersection(shape) for shape in paved])
        alike = [other.shape for other in new if _same_plane(plane, other)]
        if left.difference(shapely.union_all(alike)).area > _PLANE_M2:
            found.append(f"the fall of {plane.panel.id} is not that of the design")
    for plane in new:
        if plane.panel.on in own:
            continue
        alike = [other.shape for other in old if _same_plane(plane, other)]
        if plane.shape.difference(shapely.union_all(alike)).area > _PLANE_M2:
            found.append(f"the fall of {plane.panel.id} was nowhere in the design")
    return tuple(found)


def _same_plane(one: Plane, other: Plane) -> bool:
    """Whether two planes are one in space."""
    if (one.level_m is None) != (other.level_m is None):
        return False
    corners = [(x, y) for x, y in shapely.get_coordinates(one.shape)]
    drop_m = (one.level_m or 0.0) - (other.level_m or 0.0)
    return all(abs(drop_m + one.rise_m(c) - other.rise_m(c)) <= _PLANE_M for c in corners)
