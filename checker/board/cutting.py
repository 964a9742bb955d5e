"""Surfaces split along a line, joined into one, and measured off lot lines and buildings.

What is made is a change like any other: a rectangle cut square to its sides stays two rectangles.
"""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Any, Final

from checker.board.changes import Drop, Group, Put, Refused, Reshape, free_id
from checker.board.views import entry_of
from checker.core.showing import show
from checker.core.units import LENGTH, UNIT, Amount
from checker.site.write import shape_data
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import LineString, Polygon

    from checker.board.plan import Plan
    from checker.site.model import Feature, Region, Shape, Site, Surface

FINE: Final = 4
"""Digits of a coordinate that a cut makes, in the file's unit."""
LEAST_SHARE: Final = 1e-6
"""Of a surface: a smaller piece is a slip of the hand."""
BUILDINGS: Final = "Buildings"
"""The group of materials that roofs are of."""

PlanPoint = tuple[float, float]


def split(plan: Plan, name: str, line: Sequence[PlanPoint]) -> Group | Refused:
    """A surface cut in two along a line through two points of the plan."""
    from shapely import LineString, Polygon
    from shapely.ops import split as cut

    entry, surface = entry_of(plan, "surfaces", name), _surface(plan.site, name)
    if entry is None or surface is None:
        return Refused("it is not there any more", "look at the plan as it is now")
    shape = surface.shape
    if not isinstance(shape, Polygon):
        return Refused("it lies in several parts", "draw each part as a surface of its own")
    size_m = UNIT[plan.site.unit].size_si
    (ax, ay), (bx, by) = ((x * size_m, y * size_m) for x, y in line)
    far_m = 4 * (shape.length + abs(ax) + abs(ay) + abs(bx) + abs(by))
    long_m = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    if long_m == 0:
        return Refused("the two points are one", "tap two points of the cut")
    ux, uy = (bx - ax) / long_m * far_m, (by - ay) / long_m * far_m
    knife = LineString([(ax - ux, ay - uy), (bx + ux, by + uy)])
    parts = [part for part in cut(shape, knife).geoms if isinstance(part, Polygon)]
    pieces = [part for part in parts if part.area > LEAST_SHARE * shape.area]
    if len(pieces) < 2:
        return Refused("the line does not cross it", "tap two points on either side of it")
    pieces.sort(key=lambda part: -part.area)
    shapes = [_declared(part, entry["shape"], plan.site.unit) for part in pieces]
    changes: list[Reshape | Put | Drop] = [
        Reshape("surfaces", name, shapes[0], entry["shape"]),
    ]
    behind, known = name, {other["id"] for other in plan.data["surfaces"]}
    for shape_now in shapes[1:]:
        new = deepcopy(entry) | {"id": free_id(name, known), "shape": shape_now}
        known.add(new["id"])
        changes.append(Put("surfaces", new, behind))
        behind = new["id"]
    return Group(tuple(changes), f"{clean(surface.title).lower()} split")


def join(plan: Plan, names: Sequence[str]) -> Group | Refused:
    """Surfaces that touch, of one material and stage, as one: the first, which keeps its name."""
    from shapely import Polygon, union_all

    found = [_surface(plan.site, name) for name in names]
    surfaces = [surface for surface in found if surface is not None]
    entry = entry_of(plan, "surfaces", names[0]) if names else None
    if len(surfaces) < 2 or len(surfaces) < len(found) or entry is None:
        return Refused("two surfaces are joined", "choose another one that touches it")
    if len({(surface.material.id, surface.stage) for surface in surfaces}) > 1:
        return Refused("they differ in material or stage", "make them alike first")
    whole = union_all([surface.shape for surface in surfaces])
    if not isinstance(whole, Polygon):
        return Refused("they do not touch along an edge", "move one up to the other")
    changes: list[Reshape | Put | Drop] = [
        Reshape(
            "surfaces", names[0], _declared(whole, entry["shape"], plan.site.unit), entry["shape"]
        ),
        *(Drop("surfaces", name) for name in names[1:]),
    ]
    return Group(tuple(changes), f"{clean(surfaces[0].title).lower()} joined")


def distances_of(site: Site, of: str, name: str) -> list[dict[str, Any]]:
    """The distances of a thing on the plan; none where it is not there.

    Args:
        site: The site.
        of: Its list: surfaces, features or regions.
        name: Its id.
    """
    if of == "surfaces":
        surface = _surface(site, name)
        return distances(site, surface.shape, name) if surface is not None else []
    things: tuple[Feature | Region, ...] = site.features if of == "features" else site.regions
    found = next((thing for thing in things if thing.id == name), None)
    if found is None:
        return []
    # What is kept away from a well is paving as much as the house.
    paving = [item for item in _staying(site) if item.material.group != BUILDINGS]
    near = _nearest(found.shape, paving)
    rows = distances(site, found.shape)
    return rows + ([_distance(site, found.shape, near.shape, clean(near.title))] if near else [])


def distances(site: Site, shape: Shape, without: str = "") -> list[dict[str, Any]]:
    """How far a shape is from each lot line and the nearest building.

    Args:
        site: The site.
        shape: The shape, metres.
        without: The surface that it is, which is no building beside itself.

    Returns:
        For each: what it is measured to, the text, the value in the file's unit, the unit vector
        that leads away from it, and the two ends of the shortest way.
    """
    rows = []
    if site.lot.is_chosen:
        for line in site.lot.lines:
            side = f", {line.side}" if line.side else ""
            rows.append(_distance(site, shape, line.line, f"Line {line.number}{side}"))
    buildings = [item for item in _staying(site) if item.material.group == BUILDINGS]
    near = _nearest(shape, [item for item in buildings if item.id != without])
    return rows + ([_distance(site, shape, near.shape, clean(near.title))] if near else [])


def _staying(site: Site) -> list[Surface]:
    return [surface for surface in site.surfaces if surface.stage != "removed"]


def _nearest(shape: Shape, surfaces: Sequence[Surface]) -> Surface | None:
    return min(surfaces, key=lambda other: shape.distance(other.shape), default=None)


def _distance(site: Site, shape: Shape, other: Shape, title: str) -> dict[str, Any]:
    from shapely import shortest_line

    size_m = UNIT[site.unit].size_si
    way: LineString = shortest_line(other, shape)  # type: ignore[assignment]
    (ax, ay), (bx, by) = way.coords[0], way.coords[-1]
    away = (bx - ax, by - ay)
    if way.length == 0:
        middle = shape.centroid
        away = (middle.x - ax, middle.y - ay)
    if way.length == 0 and other.geom_type == "LineString":
        # Straight off a line that it touches, not toward its own middle.
        (px, py), (qx, qy) = other.coords[0], other.coords[-1]
        off = (-(qy - py), qx - px)
        turn = 1 if off[0] * away[0] + off[1] * away[1] >= 0 else -1
        away = (off[0] * turn, off[1] * turn)
    long = (away[0] ** 2 + away[1] ** 2) ** 0.5 or 1.0
    return {
        "to": title,
        "text": show(Amount(way.length, LENGTH), site.system or site.own_system),
        "value": round(way.length / size_m, FINE),
        "away": [away[0] / long, away[1] / long],
        "ends": [[round(x / size_m, FINE), round(y / size_m, FINE)] for x, y in way.coords],
    }


def _surface(site: Site, name: str) -> Surface | None:
    return next((surface for surface in site.surfaces if surface.id == name), None)


def _declared(shape: Polygon, was: dict[str, Any], unit: str) -> dict[str, Any]:
    """A piece as the file declares it: an upright rectangle where its whole was one."""
    size_m = UNIT[unit].size_si
    box = shape.envelope
    if "rectangle" in was and shape.symmetric_difference(box).area <= LEAST_SHARE * shape.area:
        west, south, east, north = (round(side / size_m, FINE) for side in shape.bounds)
        size = [round(east - west, FINE), round(north - south, FINE)]
        return {"rectangle": {"corner": [west, south], "size": size}}
    straight = shape.simplify(0)
    assert isinstance(straight, type(shape))
    data: dict[str, Any] = _rounded(shape_data(straight, unit))
    return data


def _rounded(data: Any) -> Any:  # noqa: ANN401 - plain data
    if isinstance(data, dict):
        return {key: _rounded(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_rounded(value) for value in data]
    return round(data, FINE) if isinstance(data, float) else data
