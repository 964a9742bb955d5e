"""The same areas by overlays of the geometry library, many at a time: where Numba is not there.

Most surfaces overlap no other one, and their area is at hand. Only surfaces that do are cut, one
after the other, each against the parts that those before it were cut into.
"""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from checker.core.records import Struct, replace
from checker.screen.members import LOST, LotParts
from checker.screen.outlines import Outlines

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from checker.screen.members import Members, TownLayers

TRACE: float = 1e-12
"""Overlaps below this share of a lot are traces of rounding; they are not cut."""


GRID: float = 1e-10
"""Shapes of which the library finds no overlay are laid on a grid so wide, in their unit."""


def _laid(overlay: Callable[..., Any], first: Any, second: Any) -> Any:
    """An overlay of shapes in pairs, shape (n,); on a grid where rounding leaves none.

    None where there is none on the grid either: its area is no number, nor is then that of the lot.
    """
    try:
        return overlay(first, second)
    except shapely.GEOSException:
        found = np.full(len(first), None, object)
        for row, pair in enumerate(zip(first, second, strict=True)):
            with suppress(shapely.GEOSException):
                found[row] = _laid_alone(overlay, pair)
        return found


def _laid_alone(overlay: Callable[..., Any], pair: tuple[Any, Any]) -> Any:
    try:
        return overlay(*pair)
    except shapely.GEOSException:
        return overlay(*shapely.make_valid(pair), grid_size=GRID)


class _Pieces(Struct):
    """Parts of lots that do not overlap, with their geometry, and the area of each lot."""

    lot_area: NDArray[np.float64]
    lot: NDArray[np.intp]
    shape: NDArray[Any]
    seen: NDArray[np.intp]
    marks: NDArray[np.int64]

    def add(self, lot: Any, shape: Any, seen: Any, marks: Any) -> None:
        """More of them, but for empty ones; what is None stays, see `_laid`."""
        kept = ~(shapely.area(shape) <= 0)
        self.lot = np.concatenate([self.lot, lot[kept]])
        self.shape = np.concatenate([self.shape, shape[kept]])
        self.seen = np.concatenate([self.seen, seen[kept]])
        self.marks = np.concatenate([self.marks, marks[kept]])


def parts_by_overlay(
    layers: TownLayers, members: Members, lots: NDArray[np.intp] | None = None
) -> LotParts:
    """The parts of lots.

    Args:
        layers: The shapes.
        members: What lies over each lot.
        lots: Which lots; all for None.
    """
    layers = _near_the_origin(layers)
    count = len(layers.lots)
    chosen = np.ones(count, bool)
    if lots is not None:
        chosen[:] = False
        chosen[lots] = True
    lots_drawn = layers.lots.shapes
    whole = shapely.area(lots_drawn)
    pieces = _Pieces(
        whole, np.zeros(0, np.intp), np.zeros(0, object), np.zeros((0, 3), np.intp),
        np.zeros(0, np.int64),
    )  # fmt: skip
    shapely.prepare(lots_drawn)
    own = np.flatnonzero(chosen[members.surface_lot])
    within = _places(members.surface_lot[own], count)
    for step in range(int(within.max(initial=-1)) + 1):
        here = own[within == step]
        lot = members.surface_lot[here]
        shape = _clipped(lots_drawn[lot], layers.surfaces.shapes[members.surface[here]])
        _cut(pieces, lot, shape, here, members.level[here])
    areas = shapely.area(pieces.shape)
    taken = np.bincount(pieces.lot, areas, minlength=count)
    crossed = np.unique(members.overlay_lot)
    crossed = crossed[chosen[crossed]]
    plain = np.flatnonzero(chosen & ~np.isin(np.arange(count), crossed))
    if len(crossed):
        _with_rest(pieces, layers, crossed)
        _mark(pieces, layers, members, crossed)
        areas = shapely.area(pieces.shape)
    rest = np.full((len(plain), 3), -1, np.intp)
    return LotParts(
        np.concatenate([pieces.lot, plain]),
        np.concatenate([areas, np.maximum(whole[plain] - taken[plain], 0.0)]),
        np.concatenate([pieces.seen, rest]),
        np.concatenate([pieces.marks, np.zeros(len(plain), np.int64)]),
    )


def _near_the_origin(layers: TownLayers) -> TownLayers:
    """The shapes beside the origin, where the numbers of the library are finest."""
    if not len(layers.lots):
        return layers
    low = np.floor(shapely.total_bounds(layers.lots.shapes)[:2])
    lots, surfaces, overlays = (
        shapely.transform(own, lambda points: points - low)
        for own in (layers.lots.shapes, layers.surfaces.shapes, layers.overlays)
    )
    return replace(
        layers, lots=Outlines(shapes=lots), surfaces=Outlines(shapes=surfaces), overlays=overlays
    )


def _places(of: NDArray[np.intp], count: int) -> NDArray[np.intp]:
    """The place of each row among those of its lot; `of` ascends."""
    return np.arange(len(of)) - np.searchsorted(of, np.arange(count))[of]


def _clipped(lots: NDArray[Any], shapes: NDArray[Any]) -> NDArray[Any]:
    """The part of each shape within its lot; the shape itself where that is all of it."""
    found = shapes.copy()
    reaches_out = ~shapely.covers(lots, shapes)
    found[reaches_out] = _laid(shapely.intersection, shapes[reaches_out], lots[reaches_out])
    return found


def _cut(pieces: _Pieces, lot: Any, shape: Any, surface: Any, level: Any) -> None:
    """Lay one more surface over each of some lots, below what lies there already."""
    place = np.full(int(max(lot.max(initial=-1), pieces.lot.max(initial=-1))) + 2, -1)
    place[lot] = np.arange(len(lot))
    new = place[pieces.lot]
    pair = np.flatnonzero(new >= 0)
    new = new[pair]
    meets = shapely.intersects(shapely.envelope(pieces.shape[pair]), shapely.envelope(shape[new]))
    pair, new = pair[meets], new[meets]
    common = _laid(shapely.intersection, pieces.shape[pair], shape[new])
    is_real = ~(shapely.area(common) <= TRACE * shapely.area(shape[new]))
    pair, new, common = pair[is_real], new[is_real], common[is_real]
    seen = pieces.seen[pair]
    # Who is seen already stays seen: surfaces come in the order of their rank.
    rows = np.arange(len(pair))
    held = seen[rows, level[new]]
    seen[rows, level[new]] = np.where(held < 0, surface[new], held)
    rest = _laid(shapely.difference, pieces.shape[pair], shape[new])
    left = shape.copy()
    ordinal = _places(np.sort(new), len(lot))
    order = np.argsort(new, kind="stable")
    for step in range(int(ordinal.max(initial=-1)) + 1):
        now = order[ordinal == step]
        left[new[now]] = _laid(shapely.difference, left[new[now]], pieces.shape[pair[now]])
    marks = pieces.marks[pair]
    lots = pieces.lot[pair]
    common_area, ground = shapely.area(common), LOST * pieces.lot_area
    _drop_lost(rest, shapely.area(pieces.shape[pair]) - common_area, ground[lots])
    taken = np.bincount(new, common_area, minlength=len(lot))
    _drop_lost(left, shapely.area(shape) - taken, ground[lot])
    pieces.shape[pair] = rest
    pieces.add(lots, common, seen, marks)
    alone = np.full((len(lot), 3), -1, np.intp)
    alone[np.arange(len(lot)), level] = surface
    pieces.add(lot, left, alone, np.zeros(len(lot), np.int64))


def _drop_lost(left: NDArray[Any], area: Any, most: Any) -> None:
    """What is left of shapes becomes None where it is not as large as it must be; see `_laid`."""
    left[~(np.abs(shapely.area(left) - area) <= most)] = None


def _union(shapes: NDArray[Any]) -> Any:
    """The union of parts; None where there is none, see `_laid`."""
    try:
        return shapely.union_all(shapes)
    except shapely.GEOSException:
        return None


def _with_rest(pieces: _Pieces, layers: TownLayers, lots: NDArray[np.intp]) -> None:
    """The land of some lots that nothing covers, as parts of its own."""
    own = np.flatnonzero(np.isin(pieces.lot, lots))
    own = own[np.argsort(pieces.lot[own], kind="stable")]
    which = np.searchsorted(lots, pieces.lot[own])
    covered = np.full(len(lots), shapely.Polygon(), object)
    if len(own):
        groups = np.split(pieces.shape[own], np.flatnonzero(np.diff(which)) + 1)
        covered[np.unique(which)] = [_union(group) for group in groups]
    rest = _laid(shapely.difference, layers.lots.shapes[lots], covered)
    bare = np.full((len(lots), 3), -1, np.intp)
    pieces.add(lots, rest, bare, np.zeros(len(lots), np.int64))


def _mark(pieces: _Pieces, layers: TownLayers, members: Members, lots: NDArray[np.intp]) -> None:
    """Split the parts of some lots along the edges of overlays."""
    own = np.flatnonzero(np.isin(members.overlay_lot, lots))
    within = _places(members.overlay_lot[own], len(layers.lots))
    for step in range(int(within.max(initial=-1)) + 1):
        here = own[within == step]
        overlay_of = np.full(len(layers.lots), -1)
        overlay_of[members.overlay_lot[here]] = members.overlay[here]
        pair = np.flatnonzero(overlay_of[pieces.lot] >= 0)
        overlay = overlay_of[pieces.lot[pair]]
        inside = _laid(shapely.intersection, pieces.shape[pair], layers.overlays[overlay])
        outside = _laid(shapely.difference, pieces.shape[pair], layers.overlays[overlay])
        marks = pieces.marks[pair] | layers.overlay_land[overlay]
        lot, seen = pieces.lot[pair], pieces.seen[pair]
        pieces.shape[pair] = outside
        pieces.add(lot, inside, seen, marks)
