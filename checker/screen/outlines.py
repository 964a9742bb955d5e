"""Outlines as layers store them: their rings and boxes at once, their shapes when asked for."""

from __future__ import annotations

from contextlib import suppress
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from checker.screen import native, rings, wkb
from checker.screen.pairs import overlapping
from checker.screen.rings import Rings, rings_of, together

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.screen.compare import Floats


class Outlines:
    """Some outlines.

    Args:
        stored: As a layer stores them: an Arrow array of well-known binary or of lists of corners;
            None for shapes.
        shapes: As geometry, shape (n,).
        rows: Which of the stored ones; all of them for None.
    """

    def __init__(
        self,
        stored: Any = None,
        shapes: NDArray[Any] | None = None,
        rows: NDArray[np.intp] | None = None,
    ) -> None:
        self._all = stored
        self._given = shapes
        self._rows = rows

    def __len__(self) -> int:
        if self._given is not None:
            return len(self._given)
        return len(self._all) if self._rows is None else len(self._rows)

    @cached_property
    def _stored(self) -> Any:
        return self._all if self._rows is None else self._all.take(_places(self._rows))

    @cached_property
    def shapes(self) -> NDArray[Any]:
        """As geometry, shape (n,); None where one is missing or no geometry at all."""
        if self._given is not None:
            return self._given
        if native.is_native(self._stored.type):
            return native.shapes_of(self._stored)
        raw = self._stored.to_numpy(zero_copy_only=False)
        with np.errstate(invalid="ignore"):
            return np.asarray(shapely.force_2d(_from_binary(raw)))

    @cached_property
    def _read(self) -> tuple[Rings, Floats, NDArray[np.int8]]:
        """Rings, boxes, and what is found of each."""
        run = rings.compiled()
        if run is None or self._given is not None:
            return self._from_shapes()
        if native.is_native(self._stored.type):
            found, marks = native.read(self._stored)
        else:
            both = wkb.read(self._stored)
            assert both is not None, "Numba is there"
            found, marks = both
        boxes = np.empty((len(self), 4))
        run[0](found.x, found.y, found.ring_start, found.first, found.last, boxes)
        others = np.flatnonzero(marks == rings.OTHER)
        if not len(others):
            return found, boxes, marks
        shapes = Outlines(self._stored.take(_places(others))).shapes
        boxes[others] = shapely.bounds(shapes)
        order = np.arange(len(self))
        order[others] = len(self) + np.arange(len(others))
        return together([found, rings_of(shapes)]).take(order), boxes, marks

    def _from_shapes(self) -> tuple[Rings, Floats, NDArray[np.int8]]:
        marks = np.full(len(self), rings.OTHER, np.int8)
        return rings_of(self.shapes), shapely.bounds(self.shapes), marks

    @property
    def rings(self) -> Rings:
        """Their rings, holes and parts included."""
        return self._read[0]

    @property
    def boxes(self) -> Floats:
        """Their boxes, shape (n, 4); nan where one is missing."""
        return self._read[1]

    @cached_property
    def is_sound(self) -> NDArray[np.bool_]:
        """Whether each is a valid area, shape (n,)."""
        columns, boxes, marks = self._read
        run = rings.compiled()
        if run is not None and self._given is None:
            run[1](
                columns.x, columns.y, columns.ring_start, columns.first, columns.last, boxes,
                marks, rings.MOST_TRIED,
            )  # fmt: skip
        found = np.asarray(marks == rings.READ)
        if self._given is not None or run is None:
            found = np.zeros(len(self), bool)
        rows = np.flatnonzero(~found)
        shapes = self.take(rows).shapes
        found[rows] = np.isin(shapely.get_type_id(shapes), (3, 6)) & shapely.is_valid(shapes)
        found[rows] &= ~shapely.is_empty(shapes)
        return found

    @cached_property
    def areas(self) -> Floats:
        """Their areas, shape (n,); in the unit of the layer squared."""
        run, columns = rings.compiled(), self.rings
        found = np.full(len(self), np.nan)
        if run is not None:
            run[2](columns.x, columns.y, columns.ring_start, columns.first, columns.last, found)
        others = np.flatnonzero(np.isnan(found))
        found[others] = shapely.area(self.take(others).shapes)
        return found

    def take(self, rows: NDArray[np.intp]) -> Outlines:
        """Those that are named."""
        if self._given is not None:
            found = Outlines(shapes=self._given[rows])
        else:
            found = Outlines(self._all, rows=rows if self._rows is None else self._rows[rows])
        if self.__dict__.get("_read") is not None:
            columns, boxes, marks = self.__dict__["_read"]
            found.__dict__["_read"] = columns.take(rows), boxes[rows], marks[rows]
        return found


def _from_binary(raw: NDArray[Any]) -> NDArray[Any]:
    """Geometry of well-known binary; None where it is none, or arcs stand within it."""
    try:
        return np.asarray(shapely.from_wkb(raw, on_invalid="ignore"))
    except NotImplementedError:
        found = np.full(len(raw), None, object)
        for row, own in enumerate(raw):
            with suppress(NotImplementedError):
                found[row] = shapely.from_wkb(own, on_invalid="ignore")
        return found


def _places(rows: NDArray[np.intp]) -> Any:
    import pyarrow as pa

    return pa.array(rows, pa.int64())


def outlines_of(column: Any) -> Outlines:
    """The outlines of a column of a table."""
    return Outlines(column.combine_chunks())


def binary_of(column: Any) -> Any:
    """A column of outlines as well-known binary."""
    import pyarrow as pa

    if not native.is_native(column.type):
        return column.cast(pa.large_binary())
    shapes = outlines_of(column).shapes
    return pa.chunked_array([pa.array(shapely.to_wkb(shapes), pa.large_binary())])


def boxes_of(column: Any) -> Floats:
    """The boxes of the outlines of a column of a table, shape (n, 4); nan where there is none."""
    return outlines_of(column).boxes


def over(lots: Outlines, shapes: Outlines) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of a lot and a shape whose boxes overlap, by their places."""
    return overlapping(lots.boxes, shapes.boxes)
