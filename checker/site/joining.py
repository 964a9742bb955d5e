"""Open lines whose ends meet, joined into rings."""

from __future__ import annotations

import math
from collections import defaultdict
from typing import TYPE_CHECKING

from checker.core.records import Struct
from checker.site.arcs import XY, VertexPath, length_m, reversed_path
from checker.site.clean import SAME_POINT_M

if TYPE_CHECKING:
    from collections.abc import Iterator


class Chain(Struct, kw_only=True):
    """Lines joined end to end.

    Attributes:
        path: The joined path, metres.
        count: Of how many lines it is made.
        gap_m: The largest gap that was bridged, the closing one included for a ring.
        gap_at: Where it is.
        is_ring: Its ends meet.
        end_gap_m: How far its two ends are apart.
        forks: A corner where more than two ends meet, so that the way on is a guess.
    """

    path: VertexPath
    count: int = 1
    gap_m: float = 0.0
    gap_at: XY = (0.0, 0.0)
    is_ring: bool = False
    end_gap_m: float = 0.0
    forks: XY | None = None


class _Ends:
    """The ends of paths, found by place."""

    def __init__(self, paths: list[VertexPath], gap_m: float) -> None:
        self.paths = paths
        self.gap_m = gap_m
        self.cells: dict[tuple[int, int], list[tuple[int, bool]]] = defaultdict(list)
        for index in range(len(paths)):
            for is_end in (False, True):
                self.cells[self.cell(self.point(index, is_end=is_end))].append((index, is_end))

    def point(self, index: int, *, is_end: bool) -> XY:
        vertex = self.paths[index][-1 if is_end else 0]
        return vertex[0], vertex[1]

    def cell(self, point: XY) -> tuple[int, int]:
        return math.floor(point[0] / self.gap_m), math.floor(point[1] / self.gap_m)

    def near(self, point: XY) -> Iterator[tuple[float, int, bool]]:
        """The ends within the gap of a point as (distance, path, is its end)."""
        column, row = self.cell(point)
        for dx in (-1, 0, 1):
            for dy in (-1, 0, 1):
                for index, is_end in self.cells.get((column + dx, row + dy), ()):
                    apart_m = math.dist(point, self.point(index, is_end=is_end))
                    if apart_m <= self.gap_m:
                        yield apart_m, index, is_end


def chains(paths: list[VertexPath], gap_m: float) -> list[Chain]:
    """Join open paths whose ends are at most a gap apart, in the order in which they come.

    Args:
        paths: Open paths of two or more vertices, metres.
        gap_m: The largest gap that is bridged, > 0.
    """
    ends = _Ends(paths, gap_m)
    left = dict.fromkeys(range(len(paths)))
    found: list[Chain] = []
    while left:
        first = next(iter(left))
        del left[first]
        chain = Chain(path=list(paths[first]))
        _extend(chain, ends, left)
        if not _closes(chain, gap_m):
            # The first line may lie in the middle of its chain.
            chain.path = reversed_path(chain.path)
            _extend(chain, ends, left)
            chain.path = reversed_path(chain.path)
        chain.end_gap_m = math.dist(chain.path[0][:2], chain.path[-1][:2])
        chain.is_ring = _closes(chain, gap_m)
        if chain.is_ring and chain.end_gap_m > chain.gap_m:
            chain.gap_m, chain.gap_at = chain.end_gap_m, (chain.path[-1][0], chain.path[-1][1])
        found.append(chain)
    return found


def _closes(chain: Chain, gap_m: float) -> bool:
    apart_m = math.dist(chain.path[0][:2], chain.path[-1][:2])
    is_long = length_m(chain.path, is_closed=False) > 2 * gap_m
    return apart_m <= gap_m and len(chain.path) > 2 and is_long


def _extend(chain: Chain, ends: _Ends, left: dict[int, None]) -> None:
    while not _closes(chain, ends.gap_m):
        tip = (chain.path[-1][0], chain.path[-1][1])
        candidates = sorted(item for item in ends.near(tip) if item[1] in left)
        if not candidates:
            return
        apart_m, index, is_end = candidates[0]
        if len({item[1] for item in candidates}) > 1 and chain.forks is None:
            chain.forks = tip
        del left[index]
        following = reversed_path(ends.paths[index]) if is_end else list(ends.paths[index])
        if apart_m <= SAME_POINT_M:
            chain.path.pop()
        chain.path.extend(following)
        chain.count += 1
        if apart_m > chain.gap_m:
            chain.gap_m, chain.gap_at = apart_m, tip
