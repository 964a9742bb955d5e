"""Entities of a DXF drawing as pieces: paths of lines and arcs in metres.

A mirrored entity is stored in a plane seen from below; its arcs then run the other way round.
Ellipses become equal-area chords of a circle, stretched, which keeps their area exact.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Place
from checker.core.records import Struct, field
from checker.site.arcs import VertexPath, chords, circle, signed_area_m2
from checker.site.clean import SAME_POINT_M
from checker.site.drawn_layers import DrawnPiece, GeometryKind
from checker.site.joining import chains

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    Found = Iterator[tuple[GeometryKind, list[VertexPath], bool]]
    """Pieces of one entity: sort, rings, and whether it is flagged as closed."""

Entity = Any
"""An entity of ezdxf, whose classes are not imported here."""

WORDS: Final = {
    "LWPOLYLINE": "polyline", "POLYLINE": "polyline", "LINE": "line", "ARC": "arc",
    "CIRCLE": "circle", "ELLIPSE": "ellipse", "SPLINE": "spline", "HATCH": "hatch",
    "MPOLYGON": "hatch", "SOLID": "solid", "TRACE": "solid", "3DFACE": "face", "POINT": "point",
    "TEXT": "text", "MTEXT": "text", "ATTDEF": "text", "ATTRIB": "text", "DIMENSION": "dimension",
    "LEADER": "leader", "MULTILEADER": "leader", "INSERT": "block", "IMAGE": "image",
    "WIPEOUT": "mask", "REGION": "region", "3DSOLID": "solid body", "MESH": "mesh",
    "VIEWPORT": "viewport", "XLINE": "construction line", "RAY": "construction line",
}  # fmt: skip
"""What messages call each sort of entity."""
_WITHOUT_PLAN: Final = {"REGION", "3DSOLID", "BODY", "SURFACE", "MESH"}
SPLINE_TOLERANCE_M: Final = 0.001
_TEXT_BOX: Final = 8


class Passed(Struct):
    """What was changed or passed over on the way.

    Attributes:
        blocks: How often each block was unfolded.
        left_out: How many of each sort were left out, with the reason.
        heights: How many pieces have a height.
        splines: How many splines were made into lines.
    """

    blocks: Counter[str] = field(default_factory=Counter)
    left_out: Counter[str] = field(default_factory=Counter)
    heights: int = 0
    splines: int = 0


class _Flat:
    """Points of an entity's own plane as plan points in metres; None where the plane is tilted."""

    def __init__(self, entity: Entity, size_m: float, passed: Passed) -> None:
        # A face in space has no plane of its own, and the library refuses to be asked for one.
        normal = entity.dxf.extrusion if entity.dxf.hasattr("extrusion") else (0, 0, 1)
        x, y, z = (float(part) for part in normal)
        self.is_tilted = math.hypot(x, y) > 1e-6 * abs(z) or z == 0
        self.side = -1.0 if z < 0 else 1.0
        self.size_m = size_m
        self.passed = passed
        self.has_height = False

    def __call__(self, point: Any, bulge: float = 0.0) -> tuple[float, float, float]:  # noqa: ANN401
        """The plane seen from below has its x axis turned round."""
        parts = [float(part) for part in point]
        if len(parts) > 2 and abs(parts[2]) > 1e-9:
            self.has_height = True
        return parts[0] * self.side * self.size_m, parts[1] * self.size_m, bulge * self.side


def pieces_of(
    entity: Entity, block: str, file: str, size_m: float, passed: Passed
) -> list[DrawnPiece]:
    """The pieces of one entity; none for text and what has no plan.

    Args:
        entity: As ezdxf gives it, blocks already unfolded.
        block: The block it comes from; empty for none.
        file: How messages name the drawing.
        size_m: The size of the drawing unit, metres.
        passed: Where is counted what is changed or left out.
    """
    kind = entity.dxftype()
    word = WORDS.get(kind, "thing")
    if kind in _WITHOUT_PLAN:
        passed.left_out[f"{word}, a body without a plan outline"] += 1
        return []
    reader = _READERS.get(kind)
    if reader is None:
        return []
    flat = _Flat(entity, size_m, passed)
    if flat.is_tilted:
        passed.left_out[f"{word} in a tilted plane"] += 1
        return []
    found = list(reader(entity, flat))
    passed.heights += flat.has_height
    handle = entity.dxf.get("handle")
    name = f"{word} {handle}" if handle else f"{word} in block {block}"
    pattern = str(entity.dxf.get("pattern_name", "")) if word == "hatch" else ""
    return [
        DrawnPiece(kind=sort, rings=rings, name=name, place=Place(file), pattern=pattern,
              is_flagged=is_flagged, is_fill=word in {"hatch", "solid", "face"})
        for sort, rings, is_flagged in found
        if _is_finite(rings)
    ]  # fmt: skip


def _is_finite(rings: list[VertexPath]) -> bool:
    return all(
        math.isfinite(number) and abs(number) < 1e9
        for ring in rings
        for vertex in ring
        for number in vertex
    ) and all(rings)


def _polyline(entity: Entity, flat: _Flat) -> Found:
    height = float(entity.dxf.get("elevation", 0.0))
    path = [flat((x, y, height), bulge) for x, y, bulge in entity.get_points("xyb")]
    yield from _open_or_closed(path, is_closed=bool(entity.closed))


def _open_or_closed(path: VertexPath, *, is_closed: bool) -> Found:
    if len(path) < 2:
        return
    if is_closed:
        yield "area", [path], True
    else:
        yield "line", [path], False


def _old_polyline(entity: Entity, flat: _Flat) -> Found:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        flat.passed.left_out["mesh, a body without a plan outline"] += 1
        return
    is_space = bool(entity.is_3d_polyline)
    path = [
        flat(vertex.dxf.location, 0.0 if is_space else float(vertex.dxf.get("bulge", 0.0)))
        for vertex in entity.vertices
        if not vertex.dxf.get("flags", 0) & 16  # a control point of a fitted curve
    ]
    yield from _open_or_closed(path, is_closed=bool(entity.is_closed))


def _line(entity: Entity, flat: _Flat) -> Found:
    # A line is stored in plan coordinates whatever its plane.
    flat.side = 1.0
    path = [flat(entity.dxf.start), flat(entity.dxf.end)]
    if math.dist(path[0][:2], path[1][:2]) > SAME_POINT_M:
        yield "line", [path], False


def _arc(entity: Entity, flat: _Flat) -> Found:
    turn_rad = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360)
    if turn_rad < 1e-9 or 2 * math.pi - turn_rad < 1e-9:
        yield from _circle(entity, flat)
        return
    path = _arc_path(entity.dxf.center, entity.dxf.radius, entity.dxf.start_angle, turn_rad, flat)
    yield "line", [path], False


def _arc_path(
    centre: Any,  # noqa: ANN401
    radius: float,
    start_degrees: float,
    turn_rad: float,
    flat: _Flat,
) -> VertexPath:
    x, y, *rest = (float(part) for part in centre)
    z = rest[0] if rest else 0.0
    start_rad = math.radians(start_degrees)
    ends = [
        (x + radius * math.cos(angle), y + radius * math.sin(angle), z)
        for angle in (start_rad, start_rad + turn_rad)
    ]
    return [flat(ends[0], math.tan(turn_rad / 4)), flat(ends[1])]


def _circle(entity: Entity, flat: _Flat) -> Found:
    x_m, y_m, _ = flat(entity.dxf.center)
    radius_m = float(entity.dxf.radius) * flat.size_m
    if radius_m > 0:
        yield "area", [circle((x_m, y_m), radius_m)], True


def _ellipse(entity: Entity, flat: _Flat) -> Found:
    # An ellipse is stored in plan coordinates; its minor axis already knows its side.
    side, flat.side = flat.side, 1.0
    major = [float(part) for part in entity.dxf.major_axis]
    ratio = float(entity.dxf.ratio)
    minor = [-major[1] * ratio * side, major[0] * ratio * side]
    start_rad, end_rad = float(entity.dxf.start_param), float(entity.dxf.end_param)
    turn_rad = (end_rad - start_rad) % (2 * math.pi)
    is_full = turn_rad < 1e-9 or 2 * math.pi - turn_rad < 1e-9
    centre = entity.dxf.center
    path = [
        flat((
            centre[0] + u * major[0] + v * minor[0],
            centre[1] + u * major[1] + v * minor[1],
            centre[2],
        ))
        for u, v in unit_arc(start_rad, 2 * math.pi if is_full else turn_rad)
    ]  # fmt: skip
    yield from _open_or_closed(path[:-1] if is_full else path, is_closed=is_full)


def unit_arc(start_rad: float, turn_rad: float) -> list[tuple[float, float]]:
    """Equal-area chords of an arc of the circle of radius 1, both ends included."""
    halves = 2 if turn_rad > math.pi else 1
    points = [(math.cos(start_rad), math.sin(start_rad))]
    for half in range(1, halves + 1):
        angle = start_rad + half * turn_rad / halves
        end = (math.cos(angle), math.sin(angle))
        points += [*chords(points[-1], end, math.tan(turn_rad / halves / 4)), end]
    return points


def _spline(entity: Entity, flat: _Flat) -> Found:
    flat.side = 1.0
    tool = entity.construction_tool()
    points = [
        flat(point) for point in tool.flattening(SPLINE_TOLERANCE_M / flat.size_m, segments=4)
    ]
    flat.passed.splines += 1
    is_closed = math.dist(points[0][:2], points[-1][:2]) <= SAME_POINT_M
    yield from _open_or_closed(points, is_closed=is_closed)


def _solid(entity: Entity, flat: _Flat) -> Found:
    flat.side = 1.0
    path = [flat(point) for point in entity.wcs_vertices()]
    # An upright face is a line in plan.
    if abs(signed_area_m2(path)) > SAME_POINT_M**2:
        yield from _open_or_closed(path, is_closed=True)


def _point(entity: Entity, flat: _Flat) -> Found:
    flat.side = 1.0
    yield "point", [[flat(entity.dxf.location)]], True


def _hatch(entity: Entity, flat: _Flat) -> Found:
    height = float(entity.dxf.get("elevation", (0, 0, 0))[2])
    rings = []
    for boundary in entity.paths.rendering_paths(entity.dxf.get("hatch_style", 0)):
        if boundary.path_type_flags & _TEXT_BOX:
            continue
        if hasattr(boundary, "vertices"):
            rings.append([flat((x, y, height), bulge) for x, y, bulge in boundary.vertices])
        else:
            rings += _edges(boundary.edges, height, flat)
    if rings:
        yield "area", rings, True
    else:
        flat.passed.left_out["hatch without a boundary"] += 1


def _edges(edges: Iterable[Entity], height: float, flat: _Flat) -> list[VertexPath]:
    """The edges of a hatch boundary as rings; they come in order but may run either way."""
    paths = [path for edge in edges if len(path := _edge(edge, height, flat)) > 1]
    found = chains(paths, 10 * SAME_POINT_M)
    return [chain.path for chain in found if chain.is_ring or len(chain.path) > 2]


def _edge(edge: Entity, height: float, flat: _Flat) -> VertexPath:
    kind = edge.EDGE_TYPE
    if kind == "LineEdge":
        return [flat((*edge.start, height)), flat((*edge.end, height))]
    if kind == "ArcEdge":
        turn_rad = math.radians((edge.end_angle - edge.start_angle) % 360)
        centre = (*edge.center, height)
        if turn_rad < 1e-9:
            x_m, y_m, _ = flat(centre)
            whole = circle((x_m, y_m), edge.radius * flat.size_m)
            return [*whole, (whole[0][0], whole[0][1], 0.0)]
        return _arc_path(centre, edge.radius, edge.start_angle, turn_rad, flat)
    points = edge.construction_tool().flattening(SPLINE_TOLERANCE_M / flat.size_m, 4)
    flat.passed.splines += kind == "SplineEdge"
    return [flat((point[0], point[1], height)) for point in points]


_READERS: Final = {
    "LWPOLYLINE": _polyline, "POLYLINE": _old_polyline, "LINE": _line, "ARC": _arc,
    "CIRCLE": _circle, "ELLIPSE": _ellipse, "SPLINE": _spline, "HATCH": _hatch, "MPOLYGON": _hatch,
    "SOLID": _solid, "TRACE": _solid, "3DFACE": _solid, "POINT": _point,
}  # fmt: skip
