"""GeoJSON (RFC 7946): longitude and latitude on a local plan, or plan coordinates that say so."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Place, did_you_mean
from checker.core.records import Struct, field
from checker.core.units import UNIT
from checker.files.opening import decoded, read_bytes
from checker.files.source import read_text
from checker.site.drawn_layers import Drawing, DrawnPiece, GeometryKind, fact_text, near_lot
from checker.site.projection import (
    FileFrame,
    bounds,
    frame_of_crs,
    is_globe,
    may_be_degrees,
    no_degrees,
    to_plan,
)

if TYPE_CHECKING:
    from pathlib import Path

    from checker.core.words import DataPath
    from checker.files.source import Document
    from checker.site.arcs import VertexPath
    from checker.site.clean import Notes


_KINDS: Final[dict[str, tuple[GeometryKind, int]]] = {
    "Point": ("point", 0), "MultiPoint": ("point", 1), "LineString": ("line", 1),
    "MultiLineString": ("line", 2), "Polygon": ("area", 2), "MultiPolygon": ("area", 3),
}  # fmt: skip
"""Each type of geometry with how deep its list of coordinates is nested."""
_LAYER_KEYS: Final = ("layer", "name")
_WORLD: Final = re.compile(r"(CRS84|EPSG:{1,2}4326)$", re.IGNORECASE)
FINE_DECIMALS: Final = 7
MOST_NAMED: Final = 40
Facts = dict[str, str]


class _Reading(Struct):
    """One walk over a GeoJSON file."""

    document: Document
    notes: Notes
    layer_by: str | None
    drawing: Drawing
    pieces: list[tuple[str, DrawnPiece]] = field(default_factory=list)
    heights: int = 0
    decimals: int = 0


def read_geojson(path: Path, shown: str, options: dict[str, Any], notes: Notes) -> Drawing | None:
    """The layers of a GeoJSON file.

    A feature's layer is its property `layer`, else `name`, else its id; `layer_by` in the site file
    names another property.

    Args:
        path: The file.
        shown: How messages name it.
        options: `unit`, `coordinates`, `layer_by`, `origin` of the site file, those that are there.
        notes: Where problems and repairs go.

    Returns:
        None after a problem.

    Raises:
        BadInput: It is no JSON, or a library is missing.
    """
    # Tabs may stand between values, which YAML forbids.
    document = read_text(decoded(read_bytes(path, shown), shown).replace("\t", " "), shown)
    reading = _Reading(
        document, notes, options.get("layer_by"), Drawing(file=shown, unit="degrees")
    )
    before = len(notes.problems.items)
    if not isinstance(document.data, dict):
        notes.problem(document.place(), "is no GeoJSON", "give a FeatureCollection")
        return None
    _walk(document.data, (), "", {}, reading)
    if len(notes.problems.items) > before:
        return None
    reading.pieces = near_lot(reading.pieces, options.get("lot_where"))
    frame = _frame(document.data, options, reading)
    pieces = [piece for _, piece in reading.pieces]
    if frame is None or not to_plan(pieces, frame, options.get("origin"), shown, notes):
        return None
    drawing = reading.drawing
    drawing.unit = frame.unit
    _as_one_table(reading, path.stem)
    for name, piece in reading.pieces:
        drawing.layer(name).pieces.append(piece)
    if reading.heights:
        says = f"{reading.heights} x height (z) passed over"
        notes.repair(document.place(), f"{says}; only the plan was read")
    return drawing


def _as_one_table(reading: _Reading, name: str) -> None:
    """Many features that no `layer` names are the rows of one table, not layers of their own."""
    drawing = reading.drawing
    by = reading.layer_by or "layer"
    if by in drawing.fields or len(drawing.layers) <= MOST_NAMED:
        return
    reading.pieces = [(name, piece) for _, piece in reading.pieces]
    counts = [layer.counts for layer in drawing.layers.values()]
    drawing.layers = {}
    for found in counts:
        drawing.layer(name).counts.update(found)


def _walk(  # a step of the walk
    node: Any,  # noqa: ANN401 - plain data
    at: DataPath,
    layer: str,
    facts: Facts,
    reading: _Reading,
) -> None:
    if not isinstance(node, dict):
        reading.notes.problem(reading.document.place(*at), "is no GeoJSON object")
        return
    kind = node.get("type")
    if kind == "FeatureCollection":
        _each(node, at, "features", (layer, facts), reading)
    elif kind == "Feature":
        name = _layer_of(node, reading)
        facts = _facts(node, reading)
        if node.get("geometry") is None:
            reading.drawing.layer(name).counts["thing without geometry"] += 1
        else:
            _walk(node["geometry"], (*at, "geometry"), name, facts, reading)
    elif kind == "GeometryCollection":
        _each(node, at, "geometries", (layer, facts), reading)
    elif isinstance(kind, str) and kind in _KINDS:
        _geometry(node, at, layer, facts, reading)
    else:
        place = reading.document.place(*at, "type")
        known = ["FeatureCollection", "Feature", "GeometryCollection", *_KINDS]
        says = f"'{kind}' is no type of GeoJSON" if "type" in node else "has no 'type'"
        reading.notes.problem(place, says, did_you_mean(kind or "", known))


def _each(
    node: dict[str, Any], at: DataPath, key: str, above: tuple[str, Facts], reading: _Reading
) -> None:
    items = node.get(key)
    if not isinstance(items, list):
        place = reading.document.place(*at, key)
        reading.notes.problem(place, f"'{key}' is missing or no list", "give a list")
        return
    for index, item in enumerate(items):
        _walk(item, (*at, key, index), *above, reading)


def _layer_of(feature: dict[str, Any], reading: _Reading) -> str:
    properties = feature.get("properties")
    given = properties if isinstance(properties, dict) else {}
    keys = [reading.layer_by] if reading.layer_by is not None else _LAYER_KEYS
    for key in keys:
        if isinstance(given.get(key), str | int | float) and given[key] != "":
            return str(given[key])
    return str(feature.get("id", "")) if reading.layer_by is None else ""


def _facts(feature: dict[str, Any], reading: _Reading) -> Facts:
    """Texts and numbers among the properties; `id` is the feature's own where none is named so."""
    properties = feature.get("properties")
    given = dict(properties) if isinstance(properties, dict) else {}
    if "id" in feature:
        given.setdefault("id", feature["id"])
    found = {key: fact_text(v) for key, v in given.items() if isinstance(v, str | int | float)}
    reading.drawing.fields |= dict.fromkeys(found)
    return found


def _geometry(
    node: dict[str, Any], at: DataPath, layer: str, facts: Facts, reading: _Reading
) -> None:
    sort = node["type"]
    kind, depth = _KINDS[sort]
    word = {"point": "point", "line": "line", "area": "polygon"}[kind]
    given = node.get("coordinates")
    at = (*at, "coordinates")
    single = sort in {"Point", "LineString", "Polygon"}
    items = [(given, at)] if single else _listed(given, at, reading)
    for item, item_at in items:
        rings = _rings(item, item_at, depth - (0 if single else 1), reading)
        if not rings or not all(rings):
            continue
        place = reading.document.place(*item_at)
        if kind == "area":
            rings = [ring for ring in rings if _is_ring(ring, place, reading)]
        reading.drawing.layer(layer).counts[word] += 1
        if rings:
            piece = DrawnPiece(
                kind=kind,
                rings=rings,
                name=word,
                place=place,
                is_flagged=kind == "area",
                facts=facts,
            )
            reading.pieces.append((layer, piece))


def _is_ring(ring: VertexPath, place: Place, reading: _Reading) -> bool:
    """RFC 7946, 3.1.6: a ring has four or more positions, the first and the last of them equal."""
    is_open = ring[0] != ring[-1]
    if len(ring) >= 4 or (len(ring) == 3 and is_open):
        if is_open:
            says = "a ring does not repeat its first position at the end"
            reading.notes.repair(place, f"{says}; closed with a straight line")
        return True
    says = f"a ring has {len(ring)} positions"
    reading.notes.problem(place, says, "give at least 4, the last equal to the first")
    return False


def _listed(given: Any, at: DataPath, reading: _Reading) -> list[tuple[Any, DataPath]]:  # noqa: ANN401
    if isinstance(given, list):
        return [(item, (*at, index)) for index, item in enumerate(given)]
    place = reading.document.place(*at)
    reading.notes.problem(place, "coordinates are no list", "give lists of positions")
    return []


def _rings(given: Any, at: DataPath, depth: int, reading: _Reading) -> list[VertexPath]:  # noqa: ANN401
    if depth == 0:
        position = _position(given, at, reading)
        return [[position]] if position else []
    if depth == 1:
        path = [_position(item, item_at, reading) for item, item_at in _listed(given, at, reading)]
        good = [position for position in path if position is not None]
        return [good if len(good) == len(path) else []]
    return [
        ring
        for item, item_at in _listed(given, at, reading)
        for ring in _rings(item, item_at, 1, reading)
    ]


def _position(given: Any, at: DataPath, reading: _Reading) -> tuple[float, float, float] | None:  # noqa: ANN401
    is_good = isinstance(given, list) and len(given) >= 2
    if not is_good or any(isinstance(n, bool) or not isinstance(n, int | float) for n in given):
        place = reading.document.place(*at)
        reading.notes.problem(place, "a position is no pair of numbers", "write it like [x, y]")
        return None
    if len(given) > 2 and given[2]:
        reading.heights += 1
    x, y = float(given[0]), float(given[1])
    reading.decimals = max(reading.decimals, *(len(repr(n).partition(".")[2]) for n in (x, y)))
    return x, y, 0.0


def _frame(data: dict[str, Any], options: dict[str, Any], reading: _Reading) -> FileFrame | None:
    """Whether the numbers are degrees or a plan; None after a problem."""
    shown, notes = reading.drawing.file, reading.notes
    pieces = [piece for _, piece in reading.pieces]
    low_x, low_y, high_x, high_y = bounds(pieces)
    place = Place(shown)
    says_plan = options.get("coordinates") == "plan"
    named = _crs_name(data)
    are_degrees = may_be_degrees(low_x, low_y, high_x, high_y)
    if not says_plan and named and not _WORLD.search(named):
        if is_globe(named, shown) and not are_degrees:
            notes.problem(place, *no_degrees(low_x, low_y, high_x, high_y))
            return None
        centre = ((low_x + high_x) / 2, (low_y + high_y) / 2)
        return frame_of_crs(named, shown, centre)
    if says_plan:
        if named and (_WORLD.search(named) or is_globe(named, shown)):
            do = "remove 'coordinates: plan' from the site file; degrees are put on a plan"
            notes.problem(place, "its coordinate reference says degrees, not a plan", do)
            return None
        unit = options.get("unit") or notes.unit
        if pieces and max(high_x - low_x, high_y - low_y) < 0.05:
            says = f"its numbers reach over less than 0.05 {unit}; they look like degrees"
            notes.problem(place, says, "remove 'coordinates: plan' from the site file")
            return None
        return FileFrame(unit=unit, size_m=UNIT[unit].size_si)
    if not are_degrees:
        is_swapped = max(abs(low_y), abs(high_y)) <= 180 and max(abs(low_x), abs(high_x)) <= 90
        if named and not is_swapped:
            notes.problem(place, *no_degrees(low_x, low_y, high_x, high_y))
            return None
        if is_swapped:
            do = "GeoJSON puts longitude first; swap the two numbers of each position"
        else:
            do = (
                "if they are plan coordinates, say 'coordinates: plan' and 'unit:' in the site file"
            )
        says = "its numbers are no longitude and latitude"
        notes.problem(place, f"{says} ({low_x:g} to {high_x:g}, {low_y:g} to {high_y:g})", do)
        return None
    if pieces and reading.decimals < FINE_DECIMALS:
        notes.repair(
            place,
            f"its degrees have at most {reading.decimals} decimals; the sixth is about 0.1 m "
            "(0.36 ft), too coarse for setbacks",
        )
    return FileFrame(unit="degrees", crs="OGC:CRS84", is_own=bool(named))


def _crs_name(data: dict[str, Any]) -> str:
    """The coordinate reference that files before RFC 7946 name."""
    crs = data.get("crs")
    properties = crs.get("properties") if isinstance(crs, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    return name if isinstance(name, str) else ""
