"""Shapes as a site file gives them, as geometry in metres.

Points with arcs, rectangles, circles, strips along a line, rings round another surface, courses of
a deed, layers of a drawing, single points and lines, and holes in any of the areas.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final, cast

from checker.core.problems import Place, did_you_mean
from checker.core.records import Record
from checker.site.arcs import VertexPath, circle, line_points, snapped
from checker.site.clean import Notes, areas_of, joined, note_slivers, polygon, tidy
from checker.site.crossings import TooManyCrossings
from checker.site.drawn_before import BEFORE, words_of
from checker.site.offsets import grown, strip
from checker.site.shape_layers import ShapeLayers
from checker.site.tape import PLAN, measured, path_of
from checker.site.values import read_length_m

if TYPE_CHECKING:
    from collections.abc import Mapping

    from shapely import Geometry, MultiPolygon, Polygon

    from checker.core.words import DataPath
    from checker.files.source import Document
    from checker.site.arcs import XY
    from checker.site.deed import Deed
    from checker.site.frames import TapeFrame
    from checker.site.model import Lot


KINDS: Final = (
    "points", "rectangle", "circle", "strip", "ring", "courses", "layer", "parts", "at", "line",
)  # fmt: skip
AREAS: Final = tuple(kind for kind in KINDS if kind not in {"at", "line"})
_ONLY_WITH: Final = {
    "start": "courses", "balance": "courses", "angles": "courses",
    "nested": "layer", "pattern": "layer", "where": "layer",
}  # fmt: skip


class Drawn(Record):
    """A shape that was read.

    Attributes:
        shape: Its geometry, metres.
        outline: Its outer edge as exact lines and arcs, when it has one without holes.
        deed: What the courses gave, for a shape of courses.
    """

    shape: Polygon | MultiPolygon
    outline: VertexPath | None = None
    deed: Deed | None = None


class Shapes:
    """Reads the shapes of one file.

    Attributes:
        document: The file.
        notes: Where problems and repairs go.
        layers: The layers of the drawing file that shapes refer to.
        rings: What a ring may lie round: shape data and its path, by surface id.
        north_degrees: Where north is, clockwise from the top, for courses.
        lot: Its lines may be measured from; None while it is read itself.
        frame: What points are measured from at the moment; None for the plan.
    """

    def __init__(
        self,
        document: Document,
        notes: Notes,
        *,
        layers: ShapeLayers | None = None,
        rings: Mapping[str, tuple[dict[str, Any], DataPath]] | None = None,
        north_degrees: float = 0.0,
    ) -> None:
        self.document = document
        self.notes = notes
        self.layers = layers or ShapeLayers(document, notes)
        self.rings = rings or {}
        self.north_degrees = north_degrees
        self.under_way: list[str] = []
        self.done: dict[str, Drawn | None] = {}
        self.lot: Lot | None = None
        self.frame: TapeFrame | None = None

    def kind(self, data: dict[str, Any], at: DataPath, owner: str, allowed: tuple[str, ...]) -> str:
        """The one kind that a shape uses; empty after a problem."""
        given = [kind for kind in KINDS if kind in data]
        place = self.document.place(*at)
        if len(given) != 1:
            says = "names no kind of shape" if not given else f"has {' and '.join(given)}"
            self.notes.problem(place, f"{owner} {says}", f"give one of: {', '.join(allowed)}")
            return ""
        if given[0] not in allowed:
            says = f"{owner} is a {'point' if given[0] == 'at' else given[0]}, not an area"
            self.notes.problem(place, says, f"give one of: {', '.join(allowed)}")
            return ""
        for key, kind in _ONLY_WITH.items():
            if key in data and kind != given[0]:
                says = f"{owner}: '{key}' has no meaning without '{kind}'"
                self.notes.problem(self.document.key_place(*at, key), says, "remove it")
        return given[0]

    def geometry(self, data: dict[str, Any], at: DataPath, owner: str) -> Geometry | None:
        """A point, line or area; None after a problem."""
        from shapely import LineString, Point

        if "measured_from" in data:
            return cast("Geometry | None", measured(self.geometry, data, at, owner, self))
        kind = self.kind(data, at, owner, KINDS)
        if kind in {"at", "line"} and "holes" in data:
            place = self.document.key_place(*at, "holes")
            self.notes.problem(place, f"{owner}: only an area has holes", "remove them")
        if kind == "at":
            spot = self.spot(data["at"], (*at, "at"), owner)
            return Point(snapped(*spot)) if spot else None
        if kind == "line":
            path = self.path(data["line"], (*at, "line"), owner)
            place = self.document.place(*at, "line")
            path = tidy(path, self.notes, place, owner, is_closed=False) if path else None
            return LineString(line_points(path)) if path else None
        if kind == "layer":
            return self.layers.geometry(data, at, owner)
        drawn = self.area(data, at, owner) if kind else None
        return drawn.shape if drawn else None

    def area(self, data: dict[str, Any], at: DataPath, owner: str) -> Drawn | None:
        """An area; None after a problem."""
        if "measured_from" in data:
            return cast("Drawn | None", measured(self.area, data, at, owner, self))
        kind = self.kind(data, at, owner, AREAS)
        if not kind:
            return None
        words = words_of(data, self.notes.unit) if self.frame is None else None
        if (before := BEFORE.get(words)) is not None:
            return cast("Drawn", before)
        said = self.notes.said
        drawn: Drawn | None = getattr(self, f"from_{kind}")(data, at, owner)
        if drawn is not None and data.get("holes"):
            drawn = self.with_holes(drawn, data["holes"], (*at, "holes"), owner)
        if drawn is not None:
            note_slivers(drawn.shape, self.notes, self.document.place(*at), owner)
            BEFORE.keep(words if said == self.notes.said else None, drawn)
        return drawn

    def path(
        self, points: list[Any], at: DataPath, owner: str, *, is_closed: bool = False
    ) -> VertexPath | None:
        """Points of the file as a path in metres; None after a problem."""
        return path_of(points, at, owner, self, is_closed=is_closed)

    def spot(self, point: list[float | int], at: DataPath, owner: str) -> XY | None:
        """A single point of the file in metres; None after a problem."""
        path = self.path([point], at, owner)
        return (path[0][0], path[0][1]) if path else None

    def enclosed(
        self, path: VertexPath | None, data: dict[str, Any], place: Place, owner: str
    ) -> Drawn | None:
        """The area inside a path."""
        path = tidy(path, self.notes, place, owner, is_closed=True) if path else None
        if path is None:
            return None
        shape = polygon(path, self.notes, place, owner, data.get("repair"))
        if shape is None:
            return None
        return Drawn(shape, path if shape.geom_type == "Polygon" else None)

    def from_points(self, data: dict[str, Any], at: DataPath, owner: str) -> Drawn | None:
        """A ring of points; the last one joins the first."""
        path = self.path(data["points"], (*at, "points"), owner, is_closed=True)
        return self.enclosed(path, data, self.document.place(*at, "points"), owner)

    def length_m(self, given: object, at: DataPath, what: str) -> float | None:
        """A length of the file."""
        place = self.document.place(*at)
        return read_length_m(given, self.notes.unit, what, place, self.notes.problems)

    def from_rectangle(self, data: dict[str, Any], at: DataPath, owner: str) -> Drawn | None:
        """A rectangle from its lower left corner, turned about it."""
        given, at = data["rectangle"], (*at, "rectangle")
        corner = self.spot(given["corner"], (*at, "corner"), owner)
        size = [
            self.length_m(side, (*at, "size", index), f"the {noun} of {owner}")
            for index, (side, noun) in enumerate(
                zip(given["size"], ("width", "depth"), strict=True)
            )
        ]
        width_m, depth_m = size
        if corner is None or width_m is None or depth_m is None:
            return None
        angle_rad = math.radians(given.get("turned", 0.0))
        cos, sin = math.cos(angle_rad), math.sin(angle_rad)
        frame = self.frame or PLAN
        path = [
            (*frame.moved(corner, u * cos - v * sin, u * sin + v * cos), 0.0)
            for u, v in ((0.0, 0.0), (width_m, 0.0), (width_m, depth_m), (0.0, depth_m))
        ]
        return self.enclosed(path, data, self.document.place(*at), owner)

    def from_circle(self, data: dict[str, Any], at: DataPath, owner: str) -> Drawn | None:
        """A circle by its radius or diameter."""
        given, at = data["circle"], (*at, "circle")
        sizes = [key for key in ("radius", "diameter") if key in given]
        if len(sizes) != 1:
            place = self.document.place(*at)
            self.notes.problem(place, f"{owner}: a circle needs a radius or a diameter", "give one")
            return None
        centre = self.spot(given["centre"], (*at, "centre"), owner)
        size_m = self.length_m(given[sizes[0]], (*at, sizes[0]), f"the {sizes[0]} of {owner}")
        if centre is None or size_m is None:
            return None
        radius_m = size_m if sizes[0] == "radius" else size_m / 2
        path = circle(centre, radius_m)
        return self.enclosed(path, data, self.document.place(*at), owner)

    def from_strip(self, data: dict[str, Any], at: DataPath, owner: str) -> Drawn | None:
        """A strip of one width along a line, with square ends and mitred corners."""
        given, at = data["strip"], (*at, "strip")
        place = self.document.place(*at)
        path = self.path(given["along"], (*at, "along"), owner)
        width_m = self.length_m(given["width"], (*at, "width"), f"the width of {owner}")
        path = tidy(path, self.notes, place, owner, is_closed=False) if path else None
        if path is None or width_m is None:
            return None
        try:
            shape, outline = strip(path, width_m, given.get("side", "middle"))
        except TooManyCrossings as wrong:
            self.notes.problem(place, f"{owner}: {wrong}", "draw it in parts, or with points")
            return None
        found = areas_of(shape)
        if found is None or not found.is_valid:
            self.notes.problem(place, f"{owner}: no strip of that width fits this line",
                               "draw it with points")  # fmt: skip
            return None
        return Drawn(found, outline)

    def from_ring(self, data: dict[str, Any], at: DataPath, owner: str) -> Drawn | None:
        """A band round another surface; the inside of that surface stays free."""
        from shapely import Polygon, get_parts, union_all

        given, at = data["ring"], (*at, "ring")
        width_m = self.length_m(given["width"], (*at, "width"), f"the width of {owner}")
        core = self.surface(given["around"], (*at, "around"), owner)
        if width_m is None or core is None:
            return None
        filled = [Polygon(part.exterior) for part in get_parts(core.shape)]
        outline = core.outline if len(filled) == 1 else None
        bigger = [grown(outline, part, width_m, given.get("corners", "square")) for part in filled]
        band = areas_of(union_all([part for part, _ in bigger]).difference(union_all(filled)))
        if band is None:
            return None
        return Drawn(band, bigger[0][1] if len(bigger) == 1 else None)

    def surface(self, surface_id: str, at: DataPath, owner: str) -> Drawn | None:
        """The shape of a surface by its id, read once; rings may lie round rings."""
        if surface_id in self.done:
            return self.done[surface_id]
        place = self.document.place(*at)
        if surface_id not in self.rings:
            says = f"{owner} hangs on '{surface_id}', which is not a surface"
            self.notes.problem(place, says, did_you_mean(surface_id, self.rings))
            return None
        if surface_id in self.under_way:
            chain = ", ".join([*self.under_way, surface_id])
            self.notes.problem(place, f"shapes hang on each other: {chain}", "draw one of them")
            return None
        self.under_way.append(surface_id)
        data, shape_at = self.rings[surface_id]
        drawn = self.area(data, shape_at, surface_id)
        self.under_way.pop()
        self.done[surface_id] = drawn
        return drawn

    def with_holes(self, drawn: Drawn, holes: list[Any], at: DataPath, owner: str) -> Drawn | None:
        """An area without its holes."""
        from shapely import Polygon

        shape: Any = drawn.shape
        for index, hole_data in enumerate(holes):
            name = f"hole {index + 1} of {owner}"
            hole = self.area(hole_data, (*at, index), name)
            if hole is None:
                return None
            outside_m2 = hole.shape.difference(drawn.shape).area
            if outside_m2 > 1e-6 * hole.shape.area:
                place = self.document.place(*at, index)
                says = f"{name} reaches {self.notes.area(outside_m2)} outside of it"
                self.notes.repair(place, f"{says}; only the part inside is cut out")
            shape = shape.difference(hole.shape)
        rest = areas_of(shape)
        if rest is None:
            self.notes.problem(self.document.place(*at), f"nothing of {owner} is left by its holes")
            return None
        if (
            isinstance(rest, Polygon)
            and isinstance(drawn.shape, Polygon)
            and rest.exterior.equals(drawn.shape.exterior)
        ):
            return Drawn(rest, drawn.outline)
        return Drawn(rest)

    def from_parts(self, data: dict[str, Any], at: DataPath, owner: str) -> Drawn | None:
        """Several areas as one; where they overlap is told."""
        areas = [
            self.area(part, (*at, "parts", index), f"part {index + 1} of {owner}")
            for index, part in enumerate(data["parts"])
        ]
        shapes = [drawn.shape for drawn in areas if drawn is not None]
        if len(shapes) < len(areas):
            return None
        whole = joined(shapes, self.notes, self.document.place(*at, "parts"), owner)
        return Drawn(whole) if whole is not None else None

    def from_courses(self, data: dict[str, Any], at: DataPath, owner: str) -> Drawn | None:
        """The courses of a deed."""
        from checker.site.deed import read_deed

        start = self.spot(data.get("start", [0, 0]), (*at, "start"), owner)
        if start is None:
            return None
        deed = read_deed(
            [
                (text, self.document.place(*at, "courses", i))
                for i, text in enumerate(data["courses"])
            ],
            self.notes,
            owner=owner,
            start=start,
            north_degrees=self.north_degrees,
            balance=data.get("balance", "none"),
            bare=data.get("angles", "ask"),
        )
        if deed is None:
            return None
        drawn = self.enclosed(deed.path, data, self.document.place(*at, "courses"), owner)
        return Drawn(drawn.shape, drawn.outline, deed) if drawn else None

    def from_layer(self, data: dict[str, Any], at: DataPath, owner: str) -> Drawn | None:
        """All areas of a layer of the drawing."""
        found = self.layers.area(data, at, owner)
        return Drawn(*found) if found else None
