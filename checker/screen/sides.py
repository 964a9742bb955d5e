"""Which lines of every lot are its front, its rear, its sides; which lots leave that in doubt.

The front are the lines that look at a street over open ground, as `site.sides` tells them of one
lot; here a neighbour's ground is none. The rear are the lines that face away from the street, the
sides all others. Ordinances differ about lots at a corner, between two streets, behind a strip to
the street, in several parts: of these nothing is told but what the town file settles. Common
practice, no source.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.core.records import Record
from checker.measure.layout import SIDES
from checker.site.sides import STREET_DEGREES

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.screen.compare import Floats, Mask

REACH_M: Final = 60.0
"""A street farther away is none that a lot looks at."""

_ONE_WAY_DEGREES: Final = 25.0
"""Lines of one front that bends outward face at most so far away from its middle direction."""

_HOLLOW_DEGREES: Final = 75.0
"""The same for a front that bends inward, as round the end of a cul-de-sac."""

_REAR_DEGREES: Final = 45.0
_SIDE_DEGREES: Final = 55.0
"""A line faces the rear up to the one of these from it, the side from the other; none between."""

_SHORT: Final = 0.02
"""Lines shorter than this share of the boundary leave nothing in doubt."""

_DEEP: Final = 0.35
"""Only where the front squared is less than this share of the lot may it be the end of a strip."""

WHOLE, NO_STREET, STREETS, STRIP, PARTS, SHAPE = range(6)
WHY: Final = {
    NO_STREET: "no line of this lot looks at a street",
    STREETS: "this lot looks at more than one street",
    STRIP: "this lot reaches the street by a strip",
    PARTS: "this lot has several parts, or a hole",
    SHAPE: "the shape of this lot does not tell its rear from its sides",
}
"""Why the sides of a lot are in doubt."""


class LotSides(Record, eq=False):
    """The sides of some lots.

    Attributes:
        lines: By side all its lines as one geometry, in the unit of the layers, shape (n,); None
            where the side is in doubt.
        doubt: By side why it is, `WHOLE` where it is not, shape (n,).
    """

    lines: dict[str, NDArray[Any]]
    doubt: dict[str, NDArray[np.int8]]


class _Lines(Record, eq=False):
    """The boundary lines of lots, in the order of their rings.

    Attributes:
        lot: The lot of each, ascending.
        begin: Shape (m, 2), with `end`.
        outward: The direction, of length one, in which each faces.
    """

    lot: NDArray[np.intp]
    begin: Floats
    end: Floats
    outward: Floats

    @property
    def middle(self) -> Floats:
        """Shape (m, 2)."""
        return (self.begin + self.end) / 2

    @property
    def length(self) -> Floats:
        """Shape (m,)."""
        return np.asarray(np.hypot(*(self.end - self.begin).T))


def sides_of(
    lots: NDArray[Any],
    streets: NDArray[Any],
    size_m: float,
    neighbours: NDArray[Any] | None = None,
    *,
    every_street: bool = False,
) -> LotSides:
    """The sides of lots.

    Args:
        lots: Outlines, shape (n,).
        streets: What a front looks at.
        size_m: The size of the unit of the shapes.
        neighbours: Lots near them that are none of them.
        every_street: A lot that looks at several streets has a front on each of them.
    """
    lines = _lines(lots, size_m)
    looks = _looks(lines, lots, streets, size_m, neighbours)
    count = len(lots)
    around = _sums(lines.lot, lines.length, count)
    frontage = _sums(lines.lot, np.where(looks, lines.length, 0.0), count)
    ahead = _ahead(lines, looks, count)
    doubt = np.full(count, WHOLE, np.int8)
    doubt[_is_strip(lots, lines, looks, frontage)] = STRIP
    doubt[_faces_several(lines, looks, ahead, frontage, count)] = STREETS
    doubt[frontage <= 0] = NO_STREET
    parts, part_of = shapely.get_parts(lots, return_index=True)
    rings = _sums(part_of, shapely.get_num_interior_rings(parts) + 1.0, count)
    doubt[rings != 1] = PARTS
    is_rear, is_open = _rear(lines, looks, ahead, around)
    shape = np.where(doubt == WHOLE, np.where(is_open, SHAPE, WHOLE), doubt).astype(np.int8)
    no_rear = np.bincount(lines.lot[is_rear], minlength=count) == 0
    front = np.where(every_street & (doubt == STREETS), WHOLE, doubt).astype(np.int8)
    told = {
        "front": (looks, front),
        "rear": (is_rear, np.where((shape == WHOLE) & no_rear, SHAPE, shape).astype(np.int8)),
        "side": (~looks & ~is_rear, shape),
    }
    return LotSides(
        {side: _joined(lines, told[side][0], told[side][1] == WHOLE) for side in SIDES},
        {side: told[side][1] for side in SIDES},
    )


def _sums(of: Any, values: Any, count: int) -> Floats:
    return np.bincount(of, values, minlength=count).astype(float)


def _lines(lots: NDArray[Any], size_m: float) -> _Lines:
    parts, part_of = shapely.get_parts(lots, return_index=True)
    rings, ring_of = shapely.get_rings(parts, return_index=True)
    points, point_of = shapely.get_coordinates(rings, return_index=True)
    goes_on = point_of[1:] == point_of[:-1]
    begin, end = points[:-1][goes_on], points[1:][goes_on]
    lot = part_of[ring_of[point_of[:-1][goes_on]]]
    along = end - begin
    length = np.maximum(np.hypot(*along.T), 1e-300)[:, None]
    normal = np.stack([along[:, 1], -along[:, 0]], axis=1) / length
    beside = (begin + end) / 2 + np.minimum(0.01 / size_m, 0.01 * length) * normal
    is_inside = shapely.contains(lots[lot], shapely.points(beside))
    return _Lines(lot, begin, end, np.where(is_inside[:, None], -normal, normal))


def _looks(
    lines: _Lines,
    lots: NDArray[Any],
    streets: NDArray[Any],
    size_m: float,
    neighbours: NDArray[Any] | None,
) -> Mask:
    """Whether each line looks at a street over ground that is nobody's lot."""
    if not len(streets) or not len(lines.lot):
        return np.zeros(len(lines.lot), bool)
    middle = shapely.points(lines.middle)
    ways = shapely.shortest_line(middle, streets[shapely.STRtree(streets).nearest(middle)])
    ends = shapely.get_coordinates(ways).reshape(-1, 2, 2)
    towards = ends[:, 1] - ends[:, 0]
    length = np.hypot(*towards.T)
    with np.errstate(invalid="ignore", divide="ignore"):
        cosine = (lines.outward * towards).sum(axis=1) / length
    is_at = length < 1e-6 / size_m
    faces = cosine >= math.cos(math.radians(STREET_DEGREES)) - 1e-12
    own = np.flatnonzero((is_at | faces) & (length <= REACH_M / size_m))
    every = lots if neighbours is None else np.concatenate([lots, neighbours])
    found = np.zeros(len(lines.lot), bool)
    found[own] = True
    way, over = shapely.STRtree(every).query(ways[own], predicate="intersects")
    inside = shapely.length(shapely.intersection(ways[own[way]], every[over]))
    blocked = own[way[inside > 1e-3 / size_m + 0.01 * length[own[way]]]]
    found[blocked] = is_at[blocked]
    return found


def _ahead(lines: _Lines, looks: Mask, count: int) -> Floats:
    """The direction in which the front of each lot faces, shape (n, 2); of no length in doubt."""
    weight = np.where(looks, lines.length, 0.0)[:, None] * lines.outward
    found = np.stack([_sums(lines.lot, own, count) for own in weight.T], axis=1)
    length = np.hypot(*found.T)
    return np.asarray(found / np.maximum(length, 1e-300)[:, None])


def _faces_several(
    lines: _Lines, looks: Mask, ahead: Floats, frontage: Floats, count: int
) -> Mask:  # fmt: skip
    """The lots whose lines along streets face apart: at a corner, or between two streets."""
    weight = np.where(looks, lines.length, 0.0)
    whole = np.maximum(frontage, 1e-300)
    centre = np.stack(
        [_sums(lines.lot, weight * own, count) / whole for own in lines.middle.T], axis=1
    )
    # Lines that face away from each other lie towards where they face, those of a hollow do not.
    away = ((lines.middle - centre[lines.lot]) * lines.outward).sum(axis=1)
    bulges = _sums(lines.lot, weight * away, count) > 0
    cosine = (lines.outward * ahead[lines.lot]).sum(axis=1)
    counts = looks & (lines.length >= 0.1 * frontage[lines.lot])
    least = np.ones(count)
    np.minimum.at(least, lines.lot[counts], cosine[counts])
    most = np.where(bulges, _ONE_WAY_DEGREES, _HOLLOW_DEGREES)
    return np.asarray(least < np.cos(np.radians(most)))


def _is_strip(lots: NDArray[Any], lines: _Lines, looks: Mask, frontage: Floats) -> Mask:
    """The lots whose front is the end of a strip at least as long as it is wide."""
    found = np.zeros(len(lots), bool)
    rows = np.flatnonzero((frontage > 0) & (frontage**2 < _DEEP * shapely.area(lots)))
    if not len(rows):
        return found
    half = 0.55 * frontage[rows]
    inner = shapely.buffer(lots[rows], -half, join_style="mitre")
    wide = shapely.buffer(inner, half, join_style="mitre")
    fronts = _joined(lines, looks, frontage > 0)[rows]
    apart = shapely.distance(fronts, wide)
    found[rows] = ~shapely.is_empty(wide) & (apart > frontage[rows])
    return found


def _rear(lines: _Lines, looks: Mask, ahead: Floats, around: Floats) -> tuple[Mask, Mask]:
    """Which lines face the rear, and the lots on which that is in doubt."""
    count = len(around)
    with np.errstate(invalid="ignore"):
        back = np.degrees(
            np.arccos(np.clip(-(lines.outward * ahead[lines.lot]).sum(axis=1), -1.0, 1.0))
        )
    is_long = lines.length >= _SHORT * around[lines.lot]
    is_rear = ~looks & (back <= np.where(is_long, _REAR_DEGREES, _SIDE_DEGREES))
    unclear = ~looks & is_long & (back > _REAR_DEGREES) & (back < _SIDE_DEGREES)
    # What faces the street without looking at it is a notch, or stands behind a neighbour.
    unclear |= ~looks & is_long & (back > 180.0 - _SIDE_DEGREES)
    is_open = np.bincount(lines.lot[unclear], minlength=count) > 0
    # The rear is one run of lines: where there are two, one of them is a notch.
    before = np.roll(is_rear, 1)
    first = np.flatnonzero(np.diff(lines.lot, prepend=-1))
    last = np.append(first[1:], len(lines.lot)) - 1
    before[first] = is_rear[last]
    runs = np.bincount(lines.lot[is_rear & ~before], minlength=count)
    return is_rear, is_open | (runs > 1)


def _joined(lines: _Lines, chosen: Mask, told: Mask) -> NDArray[Any]:
    """Some lines of each lot as one geometry; None where there are none or it is not told."""
    found = np.full(len(told), None, object)
    rows = np.flatnonzero(chosen & told[lines.lot])
    if len(rows):
        drawn: Any = shapely.linestrings(np.stack([lines.begin[rows], lines.end[rows]], axis=1))
        own, which = np.unique(lines.lot[rows], return_inverse=True)
        found[own] = shapely.multilinestrings(drawn, indices=which)
    return found
