"""Outlines as layers store them: their edges and boxes at once, their shapes when asked for."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from checker.core.records import Record
from checker.screen import wkb

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

    def take(self, rows: NDArray[np.intp]) -> Edges:
        """Those of the outlines that are named."""
        counts = self.start[rows + 1] - self.start[rows]
        start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
        index = np.repeat(self.start[rows] - start[:-1], counts) + np.arange(start[-1])
        return Edges(self.x1[index], self.y1[index], self.x2[index], self.y2[index], start)


class Outlines:
    """Some outlines.

    Args:
        binary: As a layer stores them: an Arrow array of well-known binary; None for shapes.
        shapes: As geometry, shape (n,).
        is_tried: Whether they are sound will be asked.
    """

    def __init__(
        self, binary: Any = None, shapes: NDArray[Any] | None = None, *, is_tried: bool = True
    ) -> None:
        self._binary = binary
        self._given = shapes
        self._most_tried = wkb.MOST_TRIED if is_tried else 0

    def __len__(self) -> int:
        return len(self._given) if self._given is not None else len(self._binary)

    @cached_property
    def shapes(self) -> NDArray[Any]:
        """As geometry, shape (n,); None where one is missing or no geometry at all."""
        if self._given is not None:
            return self._given
        raw = self._binary.to_numpy(zero_copy_only=False)
        found: NDArray[Any] = shapely.force_2d(shapely.from_wkb(raw, on_invalid="ignore"))
        return found

    @cached_property
    def _read(self) -> tuple[Edges, Floats, NDArray[np.int8]] | None:
        """Edges, boxes and marks, straight from the bytes; None where that cannot be done."""
        run = wkb.compiled()
        if run is None or self._given is not None:
            return None
        counted, filled, _ = run
        data, start = _bytes(self._binary)
        counts, marks = np.zeros(len(self), np.int64), np.zeros(len(self), np.int8)
        counted(data, start, counts, marks)
        edge_start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
        columns = [np.empty(edge_start[-1]) for _ in range(4)]
        boxes = np.empty((len(self), 4))
        filled(data, start, edge_start, marks, *columns, boxes, self._most_tried)
        edges = Edges(columns[0], columns[1], columns[2], columns[3], edge_start)
        others = np.flatnonzero(marks == wkb.OTHER)
        if not len(others):
            return edges, boxes, marks
        shapes = shapely.force_2d(
            shapely.from_wkb(
                self._binary.take(_places(others)).to_numpy(zero_copy_only=False),
                on_invalid="ignore",
            )
        )
        boxes[others] = shapely.bounds(shapes)
        order = np.arange(len(self))
        order[others] = len(self) + np.arange(len(others))
        return together([edges, edges_of(shapes)]).take(order), boxes, marks

    @cached_property
    def edges(self) -> Edges:
        """Their edges, holes and parts included."""
        return edges_of(self.shapes) if self._read is None else self._read[0]

    @cached_property
    def boxes(self) -> Floats:
        """Their boxes, shape (n, 4); nan where one is missing."""
        found: Floats = shapely.bounds(self.shapes) if self._read is None else self._read[1]
        return found

    @cached_property
    def is_sound(self) -> NDArray[np.bool_]:
        """Whether each is a valid area, shape (n,)."""
        doubtful = np.ones(len(self), bool)
        if self._read is not None:
            doubtful = self._read[2] != wkb.READ
        found = ~doubtful
        rows = np.flatnonzero(doubtful)
        shapes = self.take(rows).shapes
        found[rows] = np.isin(shapely.get_type_id(shapes), (3, 6)) & shapely.is_valid(shapes)
        found[rows] &= ~shapely.is_empty(shapes)
        return found

    def take(self, rows: NDArray[np.intp]) -> Outlines:
        """Those that are named."""
        if self._given is not None:
            return Outlines(shapes=self._given[rows])
        found = Outlines(self._binary.take(_places(rows)))
        if self.__dict__.get("_read") is not None:
            edges, boxes, marks = self.__dict__["_read"]
            found.__dict__["_read"] = edges.take(rows), boxes[rows], marks[rows]
        return found


def _places(rows: NDArray[np.intp]) -> Any:
    import pyarrow as pa

    return pa.array(rows, pa.int64())


def _bytes(binary: Any) -> tuple[NDArray[np.uint8], NDArray[np.int64]]:
    """The bytes of an Arrow array, and where each value begins; a missing one is empty."""
    import pyarrow as pa

    _, offsets, data = binary.buffers()
    kind = np.int64 if pa.types.is_large_binary(binary.type) else np.int32
    start = np.frombuffer(offsets, kind)[binary.offset : binary.offset + len(binary) + 1]
    raw = np.zeros(0, np.uint8) if data is None else np.frombuffer(data, np.uint8)
    return raw, start.astype(np.int64)


def outlines_of(column: Any) -> Outlines:
    """The outlines of a column of a table."""
    return Outlines(column.combine_chunks())


def boxes_of(column: Any) -> Floats:
    """The boxes of the outlines of a column of a table, shape (n, 4); nan where there is none."""
    return Outlines(column.combine_chunks(), is_tried=False).boxes


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
        np.append(np.concatenate(starts), before).astype(np.int64),
    )


def over(lots: Outlines, shapes: Outlines) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of a lot and a shape whose boxes overlap, by their places."""
    return overlapping(lots.boxes, shapes.boxes)


def overlapping(first: Floats, second: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of boxes that overlap, one of each, by their places; a box of nan overlaps none."""
    none = np.zeros(0, np.intp)
    known = np.flatnonzero(np.isfinite(first).all(axis=1))
    if not len(known) or not len(second):
        return none, none
    run = wkb.compiled()
    if run is not None:
        one, other = _by_grid(run[2], first[known], second)
        return known[one], other
    rows = np.flatnonzero(np.isfinite(second).all(axis=1))
    boxes: Any = shapely.box(*first[known].T)
    tree = shapely.STRtree(boxes)
    other, one = tree.query(shapely.box(*second[rows].T))
    a, b = first[known[one]], second[rows[other]]
    is_over = ((a[:, :2] < b[:, 2:]) & (b[:, :2] < a[:, 2:])).all(axis=1)
    return known[one[is_over]], rows[other[is_over]]


def _by_grid(paired: Any, lots: Floats, shapes: Floats) -> tuple[Any, Any]:
    """The pairs by a grid whose cells are about as large as a lot."""
    low = lots[:, :2].min(axis=0)
    span = np.maximum(lots[:, 2:].max(axis=0) - low, 1e-9)
    side = max(float(np.median(lots[:, 2:] - lots[:, :2])), float(span.max()) / 2_000)
    wide, deep = (int(s / side) + 1 for s in span)
    ends = np.clip(((lots - np.tile(low, 2)) / side).astype(np.int64), 0, [wide - 1, deep - 1] * 2)
    across, up = ends[:, 2] - ends[:, 0] + 1, ends[:, 3] - ends[:, 1] + 1
    lot = np.repeat(np.arange(len(lots)), across * up)
    place = np.arange(len(lot)) - np.repeat(np.cumsum(across * up) - across * up, across * up)
    cell = (ends[lot, 1] + place // across[lot]) * wide + ends[lot, 0] + place % across[lot]
    order = np.argsort(cell, kind="stable")
    start = np.searchsorted(cell[order], np.arange(wide * deep + 1))
    none = np.zeros(0, np.intp)
    grid = (low, side, wide, deep, start, lot[order])
    count = paired(lots, shapes, *grid, none, none)
    lot_of, shape_of = np.empty(count, np.intp), np.empty(count, np.intp)
    paired(lots, shapes, *grid, lot_of, shape_of)
    return lot_of, shape_of
