"""How often lines cross each other: what is drawn past all use is refused before it costs hours."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.core.problems import CheckerError

if TYPE_CHECKING:
    from numpy.typing import NDArray

_AT_ONCE_COUNT: Final = 200


class TooManyCrossings(CheckerError):
    """Lines cross each other too often."""


def check_crossings(shapes: NDArray[Any], most: int, what: str) -> None:
    """Refuse lines, or outlines of areas, that cross each other or themselves too often.

    Args:
        shapes: Geometries, shape (n,).
        most: So many crossings are accepted.
        what: What crosses, for the message, e.g. "the outlines cross each other".

    Raises:
        TooManyCrossings: There are more.
    """
    coords, line = shapely.get_coordinates(shapes_as_lines(shapes), return_index=True)
    if len(coords) ** 2 <= 2 * most or _at_most_crossing(shapes) <= most:
        return
    same = line[1:] == line[:-1]
    ends = np.stack([coords[:-1][same], coords[1:][same]], axis=1)
    segments: NDArray[Any] = np.asarray(shapely.linestrings(ends))
    tree = shapely.STRtree(segments)
    count = 0
    for part in np.array_split(np.arange(len(segments)), len(segments) // _AT_ONCE_COUNT + 1):
        first, second = tree.query(segments[part])
        first = part[first]
        later = second > first
        count += _crossing(ends[first[later]], ends[second[later]])
        if count > most:
            raise TooManyCrossings(f"{what} more than {most:,} times, and no more are read")


def _at_most_crossing(shapes: NDArray[Any]) -> int:
    """No more crossings than this: each two sides of shapes whose boxes meet, once."""
    sides = shapely.get_num_coordinates(shapes)
    first, second = shapely.STRtree(shapes).query(shapes)
    # Each two shapes stand there twice, and each one once beside itself.
    return int((sides[first] * sides[second]).sum()) // 2 + 1


def shapes_as_lines(shapes: NDArray[Any]) -> NDArray[Any]:
    """The rings of areas, or lines as they are."""
    rings: NDArray[Any] = shapely.get_rings(shapes)
    return rings if len(rings) else shapely.get_parts(shapes)


def _crossing(first: NDArray[np.float64], second: NDArray[np.float64]) -> int:
    """How many of some pairs of segments, each of shape (n, 2, 2), cross within both."""

    def side(of: NDArray[np.float64], at: NDArray[np.float64]) -> NDArray[np.float64]:
        along, aside = of[:, 1] - of[:, 0], at - of[:, 0]
        return np.asarray(along[:, 0] * aside[:, 1] - along[:, 1] * aside[:, 0])

    apart = side(first, second[:, 0]) * side(first, second[:, 1]) < 0
    across = side(second, first[:, 0]) * side(second, first[:, 1]) < 0
    return int(np.count_nonzero(apart & across))
