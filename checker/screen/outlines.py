"""Outlines as plain arrays of edges, and which of them lie over each lot."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from checker.screen.compare import Floats


class Edges(Record, eq=False):
    """The edges of some outlines, those of one after those of the other.

    Attributes:
        x1: Where each edge begins, shape (e,), with `y1`.
        x2: Where it ends, with `y2`.
        start: The first edge of each outline, shape (outlines + 1,).
    """

    x1: Floats
    y1: Floats
    x2: Floats
    y2: Floats
    start: NDArray[np.int64]


def edges_of(shapes: NDArray[Any]) -> Edges:
    """The edges of areas, holes and parts included."""
    parts, part_of = shapely.get_parts(shapes, return_index=True)
    rings, ring_of = shapely.get_rings(parts, return_index=True)
    points, point_of = shapely.get_coordinates(rings, return_index=True)
    goes_on = point_of[1:] == point_of[:-1]
    from_, to = points[:-1][goes_on], points[1:][goes_on]
    outline = part_of[ring_of[point_of[:-1][goes_on]]]
    start = np.searchsorted(outline, np.arange(len(shapes) + 1)).astype(np.int64)
    x1, y1, x2, y2 = (
        np.ascontiguousarray(c) for c in (from_[:, 0], from_[:, 1], to[:, 0], to[:, 1])
    )
    return Edges(x1, y1, x2, y2, start)


def together(several: Sequence[Edges]) -> Edges:
    """The outlines of several, one after the other."""
    starts, before = [], 0
    for own in several:
        starts.append(own.start[:-1] + before)
        before += int(own.start[-1])
    return Edges(
        np.concatenate([own.x1 for own in several]),
        np.concatenate([own.y1 for own in several]),
        np.concatenate([own.x2 for own in several]),
        np.concatenate([own.y2 for own in several]),
        np.append(np.concatenate(starts), before),
    )


def over(lots: NDArray[Any], shapes: NDArray[Any]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of a lot and a shape whose boxes meet, by their places."""
    if not len(shapes) or not len(lots):
        none = np.zeros(0, np.intp)
        return none, none
    shape, lot = shapely.STRtree(lots).query(shapes)
    return lot, shape
