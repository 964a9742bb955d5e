"""Reads outlines as well-known binary straight into rings; compiled where Numba is there.

What is no plain area in little-endian well-known binary is marked, and the geometry library reads
it instead. Well-known binary: OGC 06-103r4, section 8.2.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from checker.screen.machine_code import machine_code
from checker.screen.rings import OTHER, READ, Rings

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray


@cache
def compiled() -> tuple[Callable[..., Any], ...] | None:
    """The two passes as machine code; None where Numba is not installed."""
    return machine_code(globals(), ("_number", "_polygon", "_whole"), _counted, _filled)


def read(binary: Any) -> tuple[Rings, NDArray[np.int8]] | None:
    """The rings of an Arrow array, and what is not read; None where Numba is not installed."""
    run = compiled()
    if run is None:
        return None
    counted, filled = run
    data, start = _bytes(binary)
    count = len(start) - 1
    rings, corners = np.zeros(count + 1, np.int64), np.zeros(count + 1, np.int64)
    marks = np.zeros(count, np.int8)
    counted(data, start, rings[1:], corners[1:], marks)
    np.cumsum(rings, out=rings)
    np.cumsum(corners, out=corners)
    ring_start = np.empty(rings[-1] + 1, np.int64)
    x, y = np.empty(corners[-1]), np.empty(corners[-1])
    filled(data, start, rings, corners, marks, x, y, ring_start)
    ring_start[-1] = corners[-1]
    return Rings(x, y, ring_start, rings[:-1], rings[1:]), marks


def _bytes(binary: Any) -> tuple[NDArray[np.uint8], NDArray[np.int64]]:
    """The bytes of an Arrow array, and where each value begins; a missing one is empty."""
    import pyarrow as pa

    _, offsets, data = binary.buffers()
    kind = np.int64 if pa.types.is_large_binary(binary.type) else np.int32
    start = np.frombuffer(offsets, kind)[binary.offset : binary.offset + len(binary) + 1]
    raw = np.zeros(0, np.uint8) if data is None else np.frombuffer(data, np.uint8)
    return raw, start.astype(np.int64)


def _whole(data: Any, at: int) -> int:
    """An unsigned whole number of four bytes."""
    found = 0
    for k in range(4):
        found |= int(data[at + k]) << (8 * k)
    return found


def _number(data: Any, at: int, spare: Any) -> float:
    """A number of eight bytes."""
    found = np.uint64(0)
    for k in range(8):
        found |= np.uint64(data[at + k]) << np.uint64(8 * k)
    spare[0] = found
    value: float = spare.view(np.float64)[0]
    return value


def _counted(data: Any, start: Any, rings: Any, corners: Any, marks: Any) -> None:
    """First pass: how many rings and corners each outline has, and whether it is read at all."""
    for row in range(len(start) - 1):
        at, end = start[row], start[row + 1]
        rings[row] = corners[row] = 0
        marks[row] = OTHER
        if end - at < 9 or data[at] != 1:
            continue
        kind = _whole(data, at + 1)
        parts = 1
        if kind == 6:
            parts = _whole(data, at + 5)
            at += 9
        elif kind != 3:
            continue
        all_rings, all_corners = 0, 0
        for _ in range(parts):
            at, own_rings, own_corners = _polygon(data, at, end)
            all_rings, all_corners = all_rings + own_rings, all_corners + own_corners
            if at < 0:
                break
        if at >= 0 and all_rings > 0:
            rings[row], corners[row] = all_rings, all_corners
            marks[row] = READ


def _polygon(data: Any, at: int, end: int) -> tuple[int, int, int]:
    """Where a polygon ends, its rings and its corners; -1 where it is none or is cut short."""
    if at + 9 > end or data[at] != 1 or _whole(data, at + 1) != 3:
        return -1, 0, 0
    rings, corners = _whole(data, at + 5), 0
    at += 9
    for _ in range(rings):
        if at + 4 > end:
            return -1, 0, 0
        points = _whole(data, at)
        at += 4 + 16 * points
        if at > end or points < 4:
            return -1, 0, 0
        corners += points
    return at, rings, corners


def _filled(  # noqa: PLR0913 - columns that are filled
    data: Any, start: Any, ring_of: Any, corner_of: Any, marks: Any, x: Any, y: Any,
    ring_start: Any,
) -> None:  # fmt: skip
    """Second pass: the corners of each ring."""
    spare = np.empty(1, np.uint64)
    for row in range(len(start) - 1):
        if marks[row] == OTHER:
            continue
        at = start[row]
        parts = 1
        if _whole(data, at + 1) == 6:
            parts = _whole(data, at + 5)
            at += 9
        ring, corner = ring_of[row], corner_of[row]
        for _ in range(parts):
            own = _whole(data, at + 5)
            at += 9
            for _ in range(own):
                points = _whole(data, at)
                at += 4
                ring_start[ring] = corner
                ring += 1
                for _ in range(points):
                    x[corner] = _number(data, at, spare)
                    y[corner] = _number(data, at + 8, spare)
                    at += 16
                    corner += 1
