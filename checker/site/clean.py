"""Faults of drawn outlines: what is mended is told, what is in doubt is asked, nothing is silent.

Tolerances, all of this project's own choosing (common practice, no source): two corners nearer than
0.1 mm are one; a ring whose ends are at most 20 mm apart is closed; a piece whose mean width is
under 3 mm is a sliver.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Final, Literal

from checker.core.problems import Place, Problems
from checker.core.showing import length_in, show, show_number, system_of
from checker.core.units import AREA, UNIT, Amount, System
from checker.site.arcs import FULLEST_BULGE, STRAIGHT_BULGE, VertexPath, line_points
from checker.site.model import Repair

if TYPE_CHECKING:
    from shapely import MultiPolygon, Polygon
    from shapely.geometry.base import BaseGeometry

Method = Literal["overlap-open", "overlap-filled"]

SAME_POINT_M: Final = 1e-4
GAP_M: Final = 0.02
SLIVER_M: Final = 0.003
_AT: Final = re.compile(r"(.*)\[(\S+) (\S+)\]")


class Notes:
    """What is found while a site is read, and the unit in which it is said.

    Attributes:
        problems: What cannot be used.
        repairs: What was mended, or is in doubt and was kept.
        unit: The unit of bare coordinates in the file.
        gap_m: The largest gap of a ring that is closed.
        said: How often there was anything to note, repetitions included.
    """

    def __init__(self, unit: str = "ft", gap_m: float = GAP_M) -> None:
        self.problems = Problems()
        self.repairs: list[Repair] = []
        self.unit = unit
        self.gap_m = gap_m
        self.said = 0

    @property
    def system(self) -> System:
        """The system of the file's unit."""
        return system_of(self.unit)

    def problem(self, place: Place, says: str, do: str = "") -> None:
        """Note what cannot be used."""
        self.said += 1
        self.problems.add(place, says, do)

    def repair(self, place: Place, says: str) -> None:
        """Note what was mended or is in doubt, once."""
        self.said += 1
        found = Repair(place=place, says=says)
        if found not in self.repairs:
            self.repairs.append(found)

    def area(self, area_m2: float) -> str:
        """An area as text, with more decimals when it is small."""
        small = area_m2 < 1
        return show(Amount(area_m2, AREA), self.system, decimals=3 if small else None)

    def length(self, length_m: float) -> str:
        """A length as text, in the unit of the file."""
        return length_in(length_m, self.unit)

    def small(self, length_m: float) -> str:
        """A small length as text, in inches or millimetres."""
        unit = "mm" if self.system == "metric" else "in"
        return f"{show_number(length_m / UNIT[unit].size_si, 1 if unit == 'mm' else 2)} {unit}"

    def point(self, x_m: float, y_m: float) -> str:
        """A point as text, in the unit of the file."""
        size_m = UNIT[self.unit].size_si
        return f"({x_m / size_m:.6g}, {y_m / size_m:.6g}) {self.unit}"


def tidy(
    path: VertexPath,
    notes: Notes,
    place: Place,
    owner: str,
    *,
    is_closed: bool,
    is_flagged: bool = True,
) -> VertexPath | None:
    """A path without doubled points, its ring closed.

    Args:
        path: As drawn; a ring may repeat its first point at the end.
        notes: Where doubts go.
        place: Where the path is given.
        owner: What it is, for messages.
        is_closed: It is meant as a ring.
        is_flagged: The file says that it is a ring, so that its last point may lie anywhere; False
            for a line whose ends must meet.

    Returns:
        None after a problem.
    """
    for x_m, y_m, bulge in path:
        if abs(bulge) > FULLEST_BULGE:
            at = notes.point(x_m, y_m)
            notes.problem(place, f"{owner}: the arc that leaves {at} is all but a full circle",
                          "draw a circle, or split the arc")  # fmt: skip
            return None
    kept = list(path)
    if is_closed and len(kept) > 1:
        gap_m = math.dist(kept[0][:2], kept[-1][:2])
        if gap_m <= SAME_POINT_M:
            kept.pop()
        elif not is_flagged:
            at = notes.point(kept[-1][0], kept[-1][1])
            if gap_m > notes.gap_m:
                notes.problem(
                    place,
                    f"{owner} is open: its ends are {notes.small(gap_m)} apart at {at}",
                    f"close it; gaps up to {notes.small(notes.gap_m)} are closed by themselves",
                )
                return None
            notes.repair(place, f"{owner}: closed a gap of {notes.small(gap_m)} at {at}")
    single = _without_doubles(kept, is_closed=is_closed)
    if doubled := len(kept) - len(single):
        noun = "a doubled point was" if doubled == 1 else f"{doubled} doubled points were"
        notes.repair(place, f"{owner}: {noun} left out")
    fewest = 2 if not is_closed or any(abs(v[2]) >= STRAIGHT_BULGE for v in single) else 3
    if len(single) < fewest:
        count = len(single)
        noun = f"{count} different point{'s' if count != 1 else ''}"
        notes.problem(place, f"{owner} has only {noun}", f"give at least {fewest}")
        return None
    return single


def _without_doubles(path: VertexPath, *, is_closed: bool) -> VertexPath:
    """Drops the start of every piece that has no length; the bulge that follows is kept."""
    kept = [
        vertex
        for index, vertex in enumerate(path)
        if (index == len(path) - 1 and not is_closed)
        or math.dist(vertex[:2], path[(index + 1) % len(path)][:2]) > SAME_POINT_M
    ]
    return kept or path[:1]


def polygon(
    path: VertexPath, notes: Notes, place: Place, owner: str, method: Method | None = None
) -> Polygon | MultiPolygon | None:
    """The area inside a tidy closed path.

    A ring that crosses or touches itself encloses no definite area. It is a problem, unless the
    file names a way to mend it: "overlap-open" leaves open what it runs
    round twice, "overlap-filled" fills what lies inside any loop.

    Returns:
        An area in m2, never empty; None after a problem, which is told under the owner's name.
    """
    from shapely import Polygon, is_valid_reason

    drawn = Polygon(line_points(path, is_closed=True))
    if drawn.is_valid:
        if drawn.area <= 0:
            notes.problem(place, f"{owner} encloses no area", "check its points")
            return None
        return drawn
    if drawn.convex_hull.area <= SAME_POINT_M * drawn.length:
        notes.problem(place, f"{owner} encloses no area", "check its points")
        return None
    if method is not None:
        return mended(drawn, method, notes, place, owner)
    reason = str(is_valid_reason(drawn))
    found = _AT.match(reason)
    where = f" at {notes.point(float(found[2]), float(found[3]))}" if found else ""
    says = "touches itself" if reason.startswith("Ring") else "crosses itself"
    notes.problem(
        place,
        f"{owner}: the outline {says}{where}",
        "put its points in order, draw two shapes, or name a way to mend it with "
        "'repair: overlap-open' or 'repair: overlap-filled'",
    )
    return None


def mended(
    drawn: BaseGeometry, method: Method, notes: Notes, place: Place, owner: str
) -> Polygon | MultiPolygon | None:
    """A faulty area mended in the way that the file names; the areas by both ways are told."""
    from shapely import make_valid

    ways: dict[Method, Polygon | MultiPolygon | None] = {
        "overlap-open": areas_of(make_valid(drawn, method="linework")),
        "overlap-filled": areas_of(make_valid(drawn, method="structure", keep_collapsed=False)),
    }
    chosen = ways[method]
    other: Method = "overlap-filled" if method == "overlap-open" else "overlap-open"
    if chosen is None:
        notes.problem(place, f"{owner} encloses no area", "check its points")
        return None
    against = ways[other]
    notes.repair(
        place,
        f"{owner}: the outline crosses or touches itself; mended by '{method}' to "
        f"{notes.area(chosen.area)} ('{other}' would give "
        f"{notes.area(against.area if against is not None else 0.0)})",
    )
    return chosen


def areas_of(shape: BaseGeometry) -> Polygon | MultiPolygon | None:
    """The polygons of any geometry; None when there are none."""
    from shapely import MultiPolygon, Polygon, get_parts

    parts = [shape]
    while any(part.geom_type.startswith(("Multi", "Geometry")) for part in parts):
        parts = [piece for part in parts for piece in get_parts(part)]
    found = [part for part in parts if isinstance(part, Polygon) and part.area > 0]
    if not found:
        return None
    return found[0] if len(found) == 1 else MultiPolygon(found)


def joined(
    shapes: list[Polygon | MultiPolygon], notes: Notes, place: Place, owner: str
) -> Polygon | MultiPolygon | None:
    """Several areas as one; overlaps between them are told and counted once."""
    from shapely import union_all

    if not shapes:
        return None
    whole = shapes[0] if len(shapes) == 1 else areas_of(union_all(shapes))
    if whole is None:
        return None
    twice_m2 = sum(shape.area for shape in shapes) - whole.area
    if twice_m2 > 1e-6 * whole.area:
        notes.repair(place, f"{owner}: its areas overlap by {notes.area(twice_m2)}; counted once")
    return whole


def note_slivers(shape: Polygon | MultiPolygon, notes: Notes, place: Place, owner: str) -> None:
    """Tell of pieces so thin that they are probably left over from drawing."""
    from shapely import get_parts

    for part in get_parts(shape):
        width_m = 2 * part.area / part.length
        if width_m < SLIVER_M:
            at = part.representative_point()
            notes.repair(
                place,
                f"{owner}: a sliver {notes.small(width_m)} wide at {notes.point(at.x, at.y)} "
                f"({notes.area(part.area)}) was kept; delete it if it is none of yours",
            )
