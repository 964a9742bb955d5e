"""Reads outlines in Arrow's own lists of corners: polygon and multipolygon of GeoParquet 1.1.

Nothing is copied: corners and offsets are used where they lie.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.screen.rings import OTHER, READ, Rings

if TYPE_CHECKING:
    from numpy.typing import NDArray

ENCODINGS: Final = {"polygon": 2, "multipolygon": 3}
"""How many lists are within each other, by the name that GeoParquet gives the encoding."""


def is_native(column_type: Any) -> bool:
    """Whether a column holds lists of corners."""
    import pyarrow as pa

    return bool(pa.types.is_list(column_type) or pa.types.is_large_list(column_type))


def is_area(column_type: Any, encoding: str) -> bool:
    """Whether a column is what its encoding says: lists of lists of numbers x and y."""
    import pyarrow as pa

    depth = ENCODINGS.get(encoding, 0)
    for _ in range(depth):
        if not is_native(column_type):
            return False
        column_type = column_type.value_type
    if depth == 0 or not pa.types.is_struct(column_type):
        return False
    own = {field.name: field.type for field in column_type}
    return all(name in own and pa.types.is_float64(own[name]) for name in ("x", "y"))


def read(lists: Any) -> tuple[Rings, NDArray[np.int8]]:
    """The rings of an Arrow array, and what is missing or empty."""
    x, y, levels = _levels(lists)
    outer, ring_start = levels[0], levels[-1]
    if len(levels) == 3:  # parts of an outline follow each other, and so do their rings
        outer = levels[1][outer]
    first, last = outer[:-1], outer[1:]
    is_there = (last > first) & _is_valid(lists)
    marks = np.where(is_there, READ, OTHER).astype(np.int8)
    return Rings(x, y, ring_start, first, np.where(is_there, last, first)), marks


def _levels(lists: Any) -> tuple[Any, Any, list[NDArray[np.int64]]]:
    """The corners of an array and its offsets, the outermost first; nan where a number lacks."""
    levels = []
    own = lists
    while is_native(own.type):
        levels.append(own.offsets.to_numpy().astype(np.int64))
        own = own.values
    x, y = own.field("x"), own.field("y")
    if own.null_count or x.null_count or y.null_count:
        x = x.fill_null(float("nan"))
        y = y.fill_null(float("nan"))
    return x.to_numpy(), y.to_numpy(), levels


def _is_valid(lists: Any) -> NDArray[np.bool_]:
    found: NDArray[np.bool_] = lists.is_valid().to_numpy(zero_copy_only=False)
    return found


def shapes_of(lists: Any) -> NDArray[Any]:
    """As geometry, shape (n,); None where one is missing or its rings are not closed."""
    x, y, levels = _levels(lists)
    points = np.stack([x, y], axis=1)
    found = np.full(len(lists), None, object)
    rows = np.flatnonzero(_is_valid(lists))
    if len(rows) == len(found):
        whole = _made(points, levels, 0, len(found))
        if whole is not None:
            return np.asarray(whole)
    for row in rows.tolist():
        alone = _made(points, levels, row, row + 1)
        found[row] = None if alone is None else alone[0]
    return found


def _made(points: Any, levels: list[NDArray[np.int64]], begin: int, end: int) -> Any:
    """The shapes of some rows; None where a ring among them cannot be made."""
    kind = shapely.GeometryType.POLYGON if len(levels) == 2 else shapely.GeometryType.MULTIPOLYGON
    offsets = []
    for level in levels:
        ends = level[begin : end + 1]
        offsets.append(ends - ends[0])
        begin, end = int(ends[0]), int(ends[-1])
    own = offsets[-1]
    corners = points[begin:end]
    # The library would close an open ring in silence.
    is_ring = own[1:] > own[:-1]
    if not (corners[own[:-1][is_ring]] == corners[own[1:][is_ring] - 1]).all():
        return None
    try:
        return shapely.from_ragged_array(kind, corners, tuple(offsets[::-1]))
    except (shapely.GEOSException, ValueError):
        return None
