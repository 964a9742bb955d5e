"""The lot: its boundary, line by line, with sides, recorded area and closure."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from checker.core.records import replace
from checker.core.units import AREA, UNIT, Amount, meets
from checker.site.arcs import piece_line, pieces
from checker.site.labels import label
from checker.site.model import BoundaryLine, Lot, Repair
from checker.site.shapes import Drawn
from checker.site.values import read_size

if TYPE_CHECKING:
    from checker.site.arcs import VertexPath
    from checker.site.clean import Notes
    from checker.site.model import Surface
    from checker.site.shapes import Shapes

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
    lines = lot_lines(drawn, notes, shapes.north_degrees)
    check_closure(data, drawn, shapes)
    return Lot(
        boundary=drawn.shape,
        lines=lines,
        place=place,
        recorded_area_m2=recorded.value_si if recorded else None,
        recorded_half_m2=_half_digit_m2(data["recorded_area"], recorded) if recorded else 0.0,
        closure=drawn.deed.closure if drawn.deed else None,
    )


def _half_digit_m2(given: object, recorded: Amount) -> float:
    """Half the last digit of an area as it is printed: 0.25 acre is good to 0.005 acre."""
    decimals = re.search(r"\d\.(\d+)", str(given))
    step = 10.0 ** -(len(decimals[1]) if decimals else 0)
    unit = UNIT.get(recorded.unit)
    return step / 2 * (unit.size_si if unit is not None else 1.0)


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


def stand_in(surfaces: list[Surface], shapes: Shapes) -> Lot:
    """A rectangle round everything, where no boundary is chosen; no rule is judged on it."""
    from shapely import GeometryCollection, box

    bounds = GeometryCollection([surface.shape for surface in surfaces]).bounds
    low_x, low_y, high_x, high_y = bounds if surfaces else (0.0, 0.0, 24.0, 38.0)
    place = shapes.document.place()
    says = "no lot boundary is chosen, so nothing can be told; the plan shows a rectangle round all"
    shapes.notes.repairs.insert(0, Repair(place=place, says=says))
    drawn = Drawn(box(low_x - 1.0, low_y - 1.0, high_x + 1.0, high_y + 1.0))
    return Lot(
        boundary=drawn.shape,
        lines=lot_lines(drawn, shapes.notes, shapes.north_degrees),
        place=place,
        is_chosen=False,
    )


def lot_lines(drawn: Drawn, notes: Notes, north_degrees: float) -> tuple[BoundaryLine, ...]:
    """The lines of every ring of a lot, numbered on: outer rings and holes of each part."""
    from shapely import get_parts

    found: list[BoundaryLine] = []
    for part in get_parts(drawn.shape):
        for index, ring in enumerate((part.exterior, *part.interiors)):
            path: VertexPath = [(x, y, 0.0) for x, y in list(ring.coords)[:-1]]
            if drawn.outline is not None and index == 0:
                path = drawn.outline
            lines = boundary_lines(path, notes, north_degrees, drawn if index == 0 else None)
            found += [replace(line, number=line.number + len(found)) for line in lines]
    return tuple(found)


def boundary_lines(
    path: VertexPath, notes: Notes, north_degrees: float, drawn: Drawn | None
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
            side="",
            line=LineString(piece_line(*piece)),
            label=labels[number - 1] if labels else label(*piece, notes.unit, north_degrees),
        )
        for number, piece in enumerate(pieces(path, is_closed=True), 1)
    )
