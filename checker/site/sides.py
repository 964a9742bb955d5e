"""Which lines of the boundary are the front, the rear, the sides: by number, compass or street."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import did_you_mean
from checker.core.records import replace
from checker.site.bearings import azimuth_degrees

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Geometry

    from checker.core.words import DataPath
    from checker.site.model import BoundaryLine, Feature, Lot
    from checker.site.shapes import Shapes

_POINTS: Final = ("north", "north-east", "east", "south-east",
                  "south", "south-west", "west", "north-west")  # fmt: skip
_SHORT: Final = {"n": 0, "ne": 1, "e": 2, "se": 3, "s": 4, "sw": 5, "w": 6, "nw": 7}
COMPASS_DEGREES: Final = (
    {name: 45.0 * i for i, name in enumerate(_POINTS)}
    | {name.replace("-", ""): 45.0 * i for i, name in enumerate(_POINTS)}
    | {short: 45.0 * i for short, i in _SHORT.items()}
)
"""Each word of the compass as a direction clockwise from north."""
FACES_DEGREES: Final = 45.0
"""A line faces a direction that is at most this far from its own outward one.

Common practice, no source: the four points of the compass share the horizon among them.
"""
STREET_DEGREES: Final = 60.0
_REST: Final = "rest"
_NEAREST: Final = "nearest"


def named_sides(
    lot: Lot, data: dict[str, Any], features: Sequence[Feature | None], shapes: Shapes
) -> Lot:
    """The lot with the names of its lines; numbers win over a street, that over the compass.

    Args:
        lot: With its lines, still unnamed.
        data: The `lot` of the site file.
        features: What a side may be nearest to.
        shapes: For places and problems.
    """
    sides = _Sides(lot, features, shapes)
    for name, given in data.get("sides", {}).items():
        words = given if isinstance(given, list) else [given]
        for index, word in enumerate(words):
            at: DataPath = ("lot", "sides", name)
            sides.add(name, word, (*at, index) if isinstance(given, list) else at)
    names = sides.named()
    lines = tuple(replace(line, side=names.get(line.number, "")) for line in lot.lines)
    return replace(lot, lines=lines)


class _Sides:
    """The names that a file gives to lines, sorted by how it says which."""

    def __init__(self, lot: Lot, features: Sequence[Feature | None], shapes: Shapes) -> None:
        self.lot = lot
        self.streets: dict[str, Geometry] = {f.id: f.shape for f in features if f is not None}
        self.shapes = shapes
        self.ways: list[list[tuple[str, list[int], DataPath]]] = [[], [], []]
        self.rest: str = ""

    def add(self, name: str, word: int | str, at: DataPath) -> None:
        """Take in one entry; what says no side is a problem."""
        if isinstance(word, int):
            self.ways[0].append((name, self.by_number(name, word, at), at))
        elif word.startswith(f"{_NEAREST} "):
            self.ways[1].append((name, self.by_street(word, at), at))
        elif word.lower() in COMPASS_DEGREES:
            self.ways[2].append((name, self.by_compass(COMPASS_DEGREES[word.lower()]), at))
        elif word == _REST and not self.rest:
            self.rest = name
        else:
            says = "only one side can be the rest" if word == _REST else f"'{word}' says no side"
            known = [*_POINTS, _REST, f"{_NEAREST} STREET"]
            do = "" if word == _REST else did_you_mean(word, known)
            self.shapes.notes.problem(self.shapes.document.place(*at), says, do)

    def named(self) -> dict[int, str]:
        """The name of each line that has one, by its number."""
        found: dict[int, str] = {}
        for way in self.ways:
            taken = set(found)
            for name, numbers, at in way:
                for number in numbers:
                    if number in taken:
                        continue
                    if number in found and (way is self.ways[0] or found[number] != name):
                        says = f"line {number} is both '{found[number]}' and '{name}'"
                        place = self.shapes.document.place(*at)
                        self.shapes.notes.problem(place, says, "name it once, by its number")
                    found.setdefault(number, name)
        if self.rest:
            for line in self.lot.lines:
                found.setdefault(line.number, self.rest)
        return found

    def by_number(self, name: str, number: int, at: DataPath) -> list[int]:
        """A line by its number."""
        count = len(self.lot.lines)
        if 1 <= number <= count:
            return [number]
        says = f"'{name}' names line {number}, but the boundary has lines 1 to {count}"
        do = "count the lines along the boundary from 1"
        self.shapes.notes.problem(self.shapes.document.place(*at), says, do)
        return []

    def by_compass(self, wanted: float) -> list[int]:
        """The lines that face a direction."""
        spread = FACES_DEGREES if wanted % 90 == 0 else FACES_DEGREES / 2
        north = self.shapes.north_degrees
        return [
            line.number
            for line in self.lot.lines
            if _apart(outward_degrees(line, self.lot, north), wanted) <= spread + 1e-9
        ]

    def by_street(self, word: str, at: DataPath) -> list[int]:
        """The lines that look at a street over open ground: nothing of the lot lies between."""
        from shapely import shortest_line

        name = word.removeprefix(f"{_NEAREST} ").strip()
        if name not in self.streets:
            says = f"'{word}' names a feature that is not there"
            known = self.streets
            do = did_you_mean(name, known) if known else "draw the street under 'features'"
            self.shapes.notes.problem(self.shapes.document.place(*at), says, do)
            return []
        street = self.streets[name]
        found = []
        for line in self.lot.lines:
            middle = line.line.interpolate(0.5, normalized=True)
            way = shortest_line(middle, street)
            (ax, ay), (bx, by) = way.coords[0][:2], way.coords[-1][:2]
            towards = azimuth_degrees(bx - ax, by - ay, 0.0)
            faces = _apart(outward_degrees(line, self.lot, 0.0), towards) <= STREET_DEGREES
            is_free = way.intersection(self.lot.boundary).length <= 1e-3 + 0.01 * way.length
            if way.length < 1e-6 or (faces and is_free):
                found.append(line.number)
        nearest = min(self.lot.lines, key=lambda item: float(item.line.distance(street)))
        return found or [nearest.number]


def outward_degrees(line: BoundaryLine, lot: Lot, north_degrees: float) -> float:
    """The direction in which a boundary line faces, clockwise from north."""
    from shapely import Point

    start, end = line.line.coords[0], line.line.coords[-1]
    dx_m, dy_m = end[0] - start[0], end[1] - start[1]
    length_m = math.hypot(dx_m, dy_m) or 1.0
    # To the right of the line first; the middle of an arc lies on the arc.
    normal = (dy_m / length_m, -dx_m / length_m)
    middle = line.line.interpolate(0.5, normalized=True)
    step_m = min(0.01, 0.01 * length_m)
    beside = Point(middle.x + step_m * normal[0], middle.y + step_m * normal[1])
    side = -1 if lot.boundary.contains(beside) else 1
    return azimuth_degrees(side * normal[0], side * normal[1], north_degrees)


def _apart(one: float, other: float) -> float:
    return math.fabs(math.remainder(one - other, 360.0))
