"""A site back to the text of a site file: the user's own text with the changed surfaces replaced.

What was not changed keeps its words, remarks and order. The law: reading what was written gives the
changed site.
"""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Any, Final, cast

from checker.core.units import UNIT, Amount
from checker.files.plain import plain_text
from checker.files.source import read_text
from checker.files.splice import spliced

if TYPE_CHECKING:
    from shapely import Geometry, MultiPolygon, Polygon

    from checker.files.source import Document
    from checker.site.model import Site, Surface, Value

DECIMALS: Final = 10
"""Of coordinates in the file's unit; finer than the grid on which corners are put when read."""


def changed_document(before: Site, after: Site) -> Document:
    """The site file after a change of its surfaces, written and read again.

    Args:
        before: What was read from the file.
        after: The same site with surfaces changed, added or left out.

    Returns:
        The text with only what changed rewritten; a clean text where that cannot be done.

    Raises:
        BadInput: The text cannot be read.
    """
    data = changed_data(before, after)
    document = before.document
    return spliced(document, data) or read_text(plain_text(data), document.file)


def changed_data(before: Site, after: Site) -> dict[str, Any]:
    """The plain data of a site file after a change of its surfaces; see `changed_document`."""
    data: dict[str, Any] = dict(before.document.data)
    if "drawing" in data:
        data["drawing"] = deepcopy(data["drawing"])
    old = {surface.id: surface for surface in before.surfaces}
    new = {surface.id: surface for surface in after.surfaces}
    moved = {
        name for name, surface in old.items()
        if name not in new or (
            surface is not new[name] and not surface.shape.equals_exact(new[name].shape, 1e-9)
        )
    }  # fmt: skip
    entries: dict[str, Any] = {}
    for entry in data["surfaces"]:
        surface = new.get(entry["id"])
        found = None
        if surface is not None:
            follows = bool(moved & hung_on(entry["shape"]))
            if surface is old[surface.id] and not follows:
                entries[surface.id] = entry
                continue
            found = entry_of(surface, after.unit, entry, old[surface.id])
            if follows and surface.id not in moved:
                # The ring would move along with what it lies round.
                found["shape"] = shape_data(surface.shape, after.unit)
            entries[surface.id] = found
        if "layer" in entry["shape"]:
            _follow_layer(data, entry, found, surface)
    data["surfaces"] = [
        entries[name] if name in old else entry_of(surface, after.unit)
        for name, surface in new.items()
    ]
    _hold(data, "features", [item.shape for item in before.features], after.unit, moved)
    _hold(data, "regions", [item.shape for item in before.regions], after.unit, moved)
    _other_parts(data, before, after)
    return data


def _hold(
    data: dict[str, Any], group: str, shapes: list[Geometry], unit: str, moved: set[str]
) -> None:
    """Keep what hangs on surfaces that move where it lies."""
    entries: list[dict[str, Any]] = data.get(group, [])
    if any(moved & hung_on(entry["shape"]) for entry in entries):
        data[group] = [
            entry | {"shape": place_data(shape, unit)} if moved & hung_on(entry["shape"]) else entry
            for entry, shape in zip(entries, shapes, strict=True)
        ]


def _other_parts(data: dict[str, Any], before: Site, after: Site) -> None:
    """What the file says besides of surfaces: their falls, their drains, their order, the goal."""
    for part in ("panels", "ways_out"):
        if after.parts.get(part) != before.parts.get(part):
            data[part] = after.parts.get(part)
            if not data[part]:
                del data[part]
    names = {surface.id for surface in after.surfaces}
    if after.order != before.order or "order" in data:
        data["order"] = [name for name in after.order if name in names]
    if "goal" in data:
        data["goal"] = _without(data["goal"], {own.id for own in before.surfaces} - names)
        if not data["goal"]:
            del data["goal"]


def hung_on(shape: Any) -> set[str]:  # noqa: ANN401 - plain data
    """The surfaces that a shape lies round or is measured from, at any depth."""
    if isinstance(shape, list):
        return set().union(*map(hung_on, shape))
    if not isinstance(shape, dict):
        return set()
    own = {shape[key] for key in ("around", "wall_of") if isinstance(shape.get(key), str)}
    return own.union(*map(hung_on, shape.values()))


def _without(goal: dict[str, Any], gone: set[str]) -> dict[str, Any]:
    """A goal that names none of the surfaces that are no more."""
    found = dict(goal)
    for key in ("may_be_removed", "surfaces"):
        named = set(goal.get(key, ()))
        if key == "surfaces":
            named |= {way.get("along", "") for way in goal.get(key, {}).values()}
        if not gone & named:
            continue
        if key == "surfaces":
            found[key] = {
                name: {k: v for k, v in way.items() if k != "along" or v not in gone}
                for name, way in goal[key].items()
                if name not in gone
            }
        else:
            found[key] = [name for name in goal[key] if name not in gone]
        if not found[key]:
            del found[key]
    return found


def _follow_layer(
    data: dict[str, Any],
    before: dict[str, Any],
    now: dict[str, Any] | None,
    surface: Surface | None,
) -> None:
    """Keep the table of layers true when a surface leaves its layer, or is of another material."""
    table: dict[str, str] = data.get("drawing", {}).get("layers", {})
    layer = before["shape"]["layer"]
    fold = str.casefold if data["drawing"]["file"].lower().endswith(".dxf") else str
    keys = [key for key in table if fold(key) == fold(layer)]
    if now is not None and surface is not None and now["shape"] == before["shape"]:
        if "material" in now and keys:
            table[keys[0]] = surface.material.id
            if "material" not in before:
                del now["material"]
        return
    if now is not None and surface is not None:
        now["material"] = surface.material.id
    others = [e for e in data["surfaces"] if e is not before and "layer" in e["shape"]]
    if keys and not any(fold(e["shape"]["layer"]) == fold(layer) for e in others):
        table[keys[0]] = "ignore"


def entry_of(
    surface: Surface, unit: str, entry: dict[str, Any] | None = None, old: Surface | None = None
) -> dict[str, Any]:
    """A surface as an entry of a site file.

    Args:
        surface: The surface.
        unit: The unit of coordinates in the file.
        entry: Its entry so far; what did not change is kept as it stands there.
        old: The surface that the entry was read as.
    """
    found: dict[str, Any] = deepcopy(entry) if entry is not None else {"id": surface.id}
    fields: dict[str, tuple[Any, Any]] = {
        "title": (surface.title, old and old.title),
        "material": (surface.material.id, old and old.material.id),
        "stage": (surface.stage, old and old.stage),
        "section": (surface.section, old.section if old else ""),
        "may_become": (
            [m.id for m in surface.may_become],
            [m.id for m in old.may_become] if old else [],
        ),
        "fixed": (surface.is_fixed, old.is_fixed if old else False),
        "measured_by": (surface.measured_by, old.measured_by if old else ""),
    }
    for key, (now, before) in fields.items():
        if now != before:
            found[key] = now
    found.pop("was", None)
    if surface.stage == "replaced" and surface.was != surface.material:
        found["was"] = surface.was.id
    if old is None or not surface.shape.equals_exact(old.shape, 1e-9):
        found["shape"] = shape_data(surface.shape, unit)
    _attributes(surface, old, found)
    return {key: value for key, value in found.items() if value not in ("", [], {})}


def _attributes(surface: Surface, old: Surface | None, found: dict[str, Any]) -> None:
    before = old.attributes if old is not None else {}
    given = found.setdefault("attributes", {})
    known = {*surface.attributes, *surface.other_attributes}
    for name in [name for name in given if name not in known]:
        del given[name]
    for name, value in surface.attributes.items():
        if name not in given or before.get(name) != value:
            given[name] = value_text(value)


def value_text(value: Value) -> str | bool:
    """An attribute as a site file gives it."""
    if isinstance(value, bool):
        return value
    if isinstance(value, Amount):
        unit = value.unit
        if not unit and value.dimension.name != "number or share":
            unit = next(
                u.name for u in UNIT.values() if u.dimension == value.dimension and u.size_si == 1
            )
        return f"{number_data(value.value_si / UNIT[unit].size_si)!r} {unit}".strip()
    return str(value)


def shape_data(shape: Polygon | MultiPolygon, unit: str) -> dict[str, Any]:
    """An area as points with holes, or as several such parts, in a unit."""
    from shapely import Polygon

    if not isinstance(shape, Polygon):
        return {"parts": [shape_data(part, unit) for part in shape.geoms]}
    data: dict[str, Any] = {"points": _points(shape.exterior, unit)}
    if len(shape.interiors):
        data["holes"] = [{"points": _points(ring, unit)} for ring in shape.interiors]
    return data


def place_data(shape: Geometry, unit: str) -> dict[str, Any]:
    """A point, a line or an area as a site file gives it."""
    from shapely import LineString, Point

    if isinstance(shape, Point):
        return {"at": _points(shape, unit)[0]}
    if isinstance(shape, LineString):
        return {"line": _points(shape, unit)}
    return shape_data(cast("Polygon | MultiPolygon", shape), unit)


def _points(line: Any, unit: str) -> list[list[float | int]]:  # noqa: ANN401 - geometry
    """Its corners, the last one not again where it is closed."""
    size_m = UNIT[unit].size_si
    coords = list(line.coords)
    if line.geom_type == "LinearRing":
        coords.pop()
    return [[number_data(x / size_m), number_data(y / size_m)] for x, y, *_ in coords]


def number_data(number: float) -> float | int:
    """A number as a site file gives it."""
    near = round(number, DECIMALS)
    return int(near) if near == int(near) and abs(near) < 1e15 else near
