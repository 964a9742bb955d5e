"""The lot: its boundary, line by line, with sides, recorded area and closure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.core.units import AREA, meets
from checker.site.arcs import VertexPath, piece_line, pieces
from checker.site.labels import label
from checker.site.model import BoundaryLine, Lot
from checker.site.values import read_size

if TYPE_CHECKING:
    from checker.core.problems import Place
    from checker.site.clean import Notes
    from checker.site.shapes import Drawn, Shapes

_AT = ("lot", "boundary")


def read_lot(data: dict[str, Any], shapes: Shapes) -> Lot | None:
    """The lot of a site file; None after a problem."""
    notes = shapes.notes
    place = shapes.document.place(*_AT)
    drawn = shapes.area(data["boundary"], _AT, "the lot boundary")
    recorded = None
    if "recorded_area" in data:
        recorded = read_size(
            data["recorded_area"], AREA, "'recorded_area' of the lot",
            shapes.document.place("lot", "recorded_area"), notes.problems,
        )  # fmt: skip
    if drawn is None:
        return None
    if drawn.shape.geom_type != "Polygon" or len(drawn.shape.interiors):
        notes.problem(place, "the lot boundary is more than one ring", "draw the lot as one piece")
        return None
    path = drawn.outline or [(x, y, 0.0) for x, y in list(drawn.shape.exterior.coords)[:-1]]
    lines = boundary_lines(path, sides(data, len(path), shapes), notes, shapes.north_degrees, drawn)
    check_closure(data, drawn, shapes)
    return Lot(
        boundary=drawn.shape,
        lines=lines,
        place=place,
        recorded_area_m2=recorded.value_si if recorded else None,
        closure=drawn.deed.closure if drawn.deed else None,
    )


def check_closure(data: dict[str, Any], drawn: Drawn, shapes: Shapes) -> None:
    """Hold the courses to the closure that the file asks for, e.g. 10000 for 1 in 10,000."""
    if "closure" not in data:
        return
    from checker.site.traverse import closure_text

    place = shapes.document.place("lot", "closure")
    if drawn.deed is None:
        says = "'closure' has no meaning for a boundary that is not made of courses"
        shapes.notes.problem(place, says, "remove it")
    elif not meets(drawn.deed.closure.precision, data["closure"], "at least"):
        says = f"the lot boundary {closure_text(drawn.deed.closure, shapes.notes)}"
        do = f"the file asks for 1 in {data['closure']:,}; compare the courses with the deed"
        shapes.notes.problem(place, says, do)


def sides(data: dict[str, Any], count: int, shapes: Shapes) -> dict[int, str]:
    """The name of each boundary line that has one, by its number."""
    found: dict[int, str] = {}
    for name, numbers in data.get("sides", {}).items():
        for index, number in enumerate(numbers):
            place: Place = shapes.document.place("lot", "sides", name, index)
            if not 1 <= number <= count:
                says = f"'{name}' names line {number}, but the boundary has lines 1 to {count}"
                shapes.notes.problem(place, says, "count the lines along the boundary from 1")
            elif number in found:
                says = f"line {number} is both '{found[number]}' and '{name}'"
                shapes.notes.problem(place, says, "name it once")
            else:
                found[number] = name
    return found


def boundary_lines(
    path: VertexPath, names: dict[int, str], notes: Notes, north_degrees: float, drawn: Drawn | None
) -> tuple[BoundaryLine, ...]:
    """The lines and arcs of a boundary, each labelled as a surveyor would.

    A line of a deed keeps the deed's own bearing and distance; others are labelled as drawn.
    """
    from shapely import LineString

    own = drawn.deed.labels if drawn is not None and drawn.deed is not None else ()
    labels = own if len(own) == len(path) else ()
    return tuple(
        BoundaryLine(
            number=number,
            side=names.get(number, ""),
            line=LineString(piece_line(*piece)),
            label=labels[number - 1] if labels else label(*piece, notes.unit, north_degrees),
        )
        for number, piece in enumerate(pieces(path, is_closed=True), 1)
    )
