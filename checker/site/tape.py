"""Reads from what a shape is measured, and the arcs between its corners."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final, Protocol

from checker.core.units import UNIT
from checker.site.frames import TapeFrame, beyond, covers, frame_between, frame_on
from checker.site.values import FARTHEST_M, read_length_m, read_yes_or_no

if TYPE_CHECKING:
    from collections.abc import Callable

    from shapely import MultiPolygon, Polygon

    from checker.core.words import DataPath
    from checker.files.source import Document
    from checker.site.arcs import XY, VertexPath
    from checker.site.clean import Notes
    from checker.site.model import Lot


class DrawnOutline(Protocol):
    """A shape with its outline, as walls are counted on it."""

    @property
    def shape(self) -> Polygon | MultiPolygon:
        """Its area, metres."""

    @property
    def outline(self) -> VertexPath | None:
        """Its corners, when it is a single ring."""


class ShapeReader(Protocol):
    """What is asked of the reader of shapes."""

    document: Document
    notes: Notes
    lot: Lot | None
    frame: TapeFrame | None

    def surface(self, surface_id: str, at: DataPath, owner: str) -> DrawnOutline | None:
        """The shape of a surface by its id."""


PLAN: Final = TapeFrame(
    origin=(0.0, 0.0), along=(1.0, 0.0), across=(0.0, 1.0), first=(1.0, 0.0), second=(0.0, 1.0)
)
"""The frame of the plan itself."""


def frame_of(
    given: dict[str, Any], at: DataPath, owner: str, shapes: ShapeReader
) -> TapeFrame | None:
    """The frame that a shape names; None after a problem."""
    place = shapes.document.place(*at)
    if ("lot_line" in given) == ("wall_of" in given):
        says = f"{owner}: 'measured_from' names {'both' if 'wall_of' in given else 'no line'}"
        shapes.notes.problem(place, says, "give 'lot_line', or 'wall_of' and 'wall'")
        return None
    if "wall_of" in given:
        return _wall(given, at, owner, shapes)
    main = _lot_line(given, "lot_line", at, owner, shapes)
    if main is None or "and_line" not in given:
        return main
    other = _lot_line(given, "and_line", at, owner, shapes)
    found = frame_between(main, other) if other is not None else None
    if other is not None and found is None:
        says = f"{owner}: the lot lines {given['lot_line']} and {given['and_line']} are parallel"
        shapes.notes.problem(place, says, "measure from two lines that cross")
    return found


def _lot_line(
    given: dict[str, Any], key: str, at: DataPath, owner: str, shapes: ShapeReader
) -> TapeFrame | None:
    place = shapes.document.place(*at, key)
    lot = shapes.lot
    if lot is None:
        says = f"{owner} is measured from a lot line, but no lot boundary is chosen"
        shapes.notes.problem(place, says, "give the boundary under 'lot:' first")
        return None
    number = given[key]
    if number > len(lot.lines):
        says = f"{owner}: the boundary has lines 1 to {len(lot.lines)}, and no line {number}"
        shapes.notes.problem(place, says, "count the lines along the boundary from 1")
        return None
    ends = list(lot.lines[number - 1].line.coords)
    if len(ends) > 2:
        says = f"{owner}: lot line {number} is a curve"
        shapes.notes.problem(place, says, "measure from a straight line")
        return None
    return frame_on(*_ordered(ends, given), covers(lot.boundary))


def _ordered(ends: list[Any], given: dict[str, Any]) -> tuple[XY, XY]:
    start, end = (ends[0][0], ends[0][1]), (ends[-1][0], ends[-1][1])
    return (end, start) if given.get("end") == "last" else (start, end)


def _wall(given: dict[str, Any], at: DataPath, owner: str, shapes: ShapeReader) -> TapeFrame | None:
    place = shapes.document.place(*at, "wall_of")
    if "wall" not in given:
        says = f"{owner}: which wall of '{given['wall_of']}' is not said"
        shapes.notes.problem(place, says, "give 'wall', counted from 1 along its outline")
        return None
    outer, shapes.frame = shapes.frame, None
    drawn = shapes.surface(given["wall_of"], (*at, "wall_of"), owner)
    shapes.frame = outer
    if drawn is None:
        return None
    if drawn.outline is None:
        says = f"{owner}: '{given['wall_of']}' is no single outline"
        shapes.notes.problem(place, says, "measure from a lot line")
        return None
    corners = drawn.outline
    number = given["wall"]
    if number > len(corners) or corners[number - 1][2]:
        says = f"{owner}: '{given['wall_of']}' has walls 1 to {len(corners)}"
        do = "name a straight one of them"
        shapes.notes.problem(shapes.document.place(*at, "wall"), says, do)
        return None
    ends = [corners[number - 1], corners[number % len(corners)]]
    return frame_on(*_ordered(ends, given), beyond(drawn.shape))


def measured(
    read: Callable[[dict[str, Any], DataPath, str], Any],
    data: dict[str, Any],
    at: DataPath,
    owner: str,
    shapes: ShapeReader,
) -> Any:  # noqa: ANN401 - what `read` gives
    """A shape whose points are measured from a line; None after a problem."""
    for kind in ("courses", "layer", "ring"):
        if kind in data:
            says = f"{owner}: 'measured_from' has no meaning with '{kind}'"
            shapes.notes.problem(shapes.document.key_place(*at, "measured_from"), says, "remove it")
            return None
    frame = frame_of(data["measured_from"], (*at, "measured_from"), owner, shapes)
    if frame is None:
        return None
    outer, shapes.frame = shapes.frame, frame
    rest = {key: value for key, value in data.items() if key != "measured_from"}
    found = read(rest, at, owner)
    shapes.frame = outer
    return found


def path_of(
    points: list[Any], at: DataPath, owner: str, shapes: ShapeReader, *, is_closed: bool
) -> VertexPath | None:
    """Points of the file as a path in metres; None after a problem."""
    size_m = UNIT[shapes.notes.unit].size_si
    found: list[XY] = []
    for index, point in enumerate(points):
        place = shapes.document.place(*at, index)
        numbers = [float(n) for n in (point["at"] if isinstance(point, dict) else point)]
        if any(abs(number * size_m) > FARTHEST_M for number in numbers):
            at_text = f"[{', '.join(f'{n:g}' for n in numbers)}]"
            shapes.notes.problem(place, f"{owner}: {at_text} lies too far away", "check it")
            return None
        spot = (numbers[0] * size_m, numbers[1] * size_m)
        found.append(shapes.frame.at(*spot) if shapes.frame is not None else spot)
    path: VertexPath = []
    for index, (x_m, y_m) in enumerate(found):
        bulge: float | None = 0.0
        if isinstance(points[index], dict):
            last = index + 1 == len(found) and not is_closed
            ends = None if last else (found[index], found[(index + 1) % len(found)])
            bulge = bulge_of(points[index], ends, (*at, index), owner, shapes)
        if bulge is None:
            return None
        mirrored = shapes.frame is not None and shapes.frame.is_mirrored
        path.append((x_m, y_m, -bulge if mirrored else bulge))
    return path


def bulge_of(
    given: dict[str, Any], ends: tuple[XY, XY] | None, at: DataPath, owner: str, shapes: ShapeReader
) -> float | None:
    """The arc that leaves a corner, as the tangent of a quarter of its angle; None after a problem.

    Left is positive. With the half chord c, the radius R gives sin(angle / 2) = c / R; the middle
    ordinate m gives tan(angle / 4) = m / c.
    """
    place = shapes.document.place(*at)
    sizes = [key for key in ("radius", "middle_ordinate") if key in given]
    if ends is None or len(sizes) != 1:
        says = (
            f"{owner}: an arc begins at the last point"
            if ends is None
            else f"{owner}: an arc needs a radius or a middle ordinate"
        )
        do = "give the point where it ends" if ends is None else "give one of them"
        shapes.notes.problem(place, says, do)
        return None
    key = sizes[0]
    size_m = read_length_m(
        given[key], shapes.notes.unit, f"the {key.replace('_', ' ')} of {owner}",
        shapes.document.place(*at, key), shapes.notes.problems,
    )  # fmt: skip
    if size_m is None:
        return None
    half_m = math.dist(*ends) / 2
    side = 1.0 if given["turn"] == "left" else -1.0
    if key == "middle_ordinate":
        return side * size_m / half_m if half_m > 0 else 0.0
    # A half circle is often given with its radius rounded a little short.
    if half_m > size_m * (1 + 1e-6):
        says = f"{owner}: an arc of that radius cannot reach the next point"
        do = f"give at least {shapes.notes.length(half_m)}"
        shapes.notes.problem(shapes.document.place(*at, key), says, do)
        return None
    angle_rad = 2 * math.asin(min(1.0, half_m / size_m))
    is_long = "more_than_half" in given and read_yes_or_no(
        given["more_than_half"], "'more_than_half'", place, shapes.notes.problems
    )
    return side * math.tan((2 * math.pi - angle_rad if is_long else angle_rad) / 4)
