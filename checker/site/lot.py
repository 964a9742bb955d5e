"""The lot: its boundary, line by line, with sides, recorded area and closure."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from checker.core.units import AREA, LENGTH, UNIT, show_number
from checker.site.arcs import STRAIGHT_BULGE, XY, Path, arc, piece_line, pieces
from checker.site.bearings import azimuth_degrees, bearing_text
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
    return Lot(
        boundary=drawn.shape,
        lines=lines,
        place=place,
        recorded_area_m2=recorded.value_si if recorded else None,
        closure=drawn.deed.closure if drawn.deed else None,
    )


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
    path: Path, names: dict[int, str], notes: Notes, north_degrees: float, drawn: Drawn | None
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


def label(start: XY, end: XY, bulge: float, unit: str, north_degrees: float) -> str:
    """Bearing and distance of a line, or the data of an arc, in the unit of the file.

    Lengths have two decimals in feet, three in metres.
    """
    dx_m, dy_m = end[0] - start[0], end[1] - start[1]
    bearing = bearing_text(azimuth_degrees(dx_m, dy_m, north_degrees))
    chord = distance_text(math.hypot(dx_m, dy_m), unit)
    if abs(bulge) < STRAIGHT_BULGE:
        return f"{bearing} {chord}"
    found = arc(start, end, bulge)
    turn = "left" if bulge > 0 else "right"
    return curve_text(turn, found.radius_m, abs(found.turn_rad), bearing, unit)


def curve_text(turn: str, radius_m: float, turn_rad: float, chord_bearing: str, unit: str) -> str:
    """The data of an arc: radius, arc length, central angle, chord bearing and chord."""
    seconds_count = round(math.degrees(turn_rad) * 3600)
    degrees, rest = divmod(seconds_count, 3600)
    delta = f"{degrees:02d}°{rest // 60:02d}'{rest % 60:02d}\""
    return (
        f"curve {turn} R {distance_text(radius_m, unit)} "
        f"L {distance_text(radius_m * turn_rad, unit)} Δ {delta} "
        f"chord {chord_bearing} {distance_text(2 * radius_m * math.sin(turn_rad / 2), unit)}"
    )


def distance_text(length_m: float, unit: str) -> str:
    """A boundary length: 285.10' in feet, 86.898 m in metres."""
    if UNIT[unit].dimension == LENGTH and unit in {"m", "cm", "mm", "km"}:
        return f"{show_number(length_m, 3)} m"
    size_m = UNIT["us survey ft"].size_si if unit == "us survey ft" else UNIT["ft"].size_si
    return f"{show_number(length_m / size_m, 2)}'"
