"""Pieces that can be built, in steps: bands along an edge, runs of bays, or all of a surface.

A cut has positions from 0, nothing, to its last, everything. The piece between two positions has a
shape, and a share of each cell of the land below it; the shares of all positions are one array, so
that thousands of pieces cost little. Lengths and areas are in metres on the plane of the site.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np
import shapely

from checker.core.records import Record
from checker.measure.bands import bands, may_leave_slivers, tidy, tidy_each, with_slivers
from checker.measure.frames import SAME_M, EdgeFrame, Floats, within_m2
from checker.measure.widths import narrow_part

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.site.model import Shape

_SAME_FRACTION: Final = 1e-9
_NEARLY: Final = 0.99
_LEAST_TOUCH_M: Final = 0.02
"""Bays that share less of an edge than this do not adjoin."""


class WholeCut:
    """All of some land or nothing: the positions 0 and 1."""

    def __init__(self, land: Shape, cells: Sequence[Shape]) -> None:
        self.land = land
        self.areas_m2 = np.array([[0.0] * len(cells), [float(cell.area) for cell in cells]])

    def shape(self, first: int, last: int) -> Shape:
        """All of it."""
        assert (first, last) == (0, 1)
        return tidy(self.land)


class CutEdge(Record):
    """An edge along which bands of some land may be cut.

    Attributes:
        land: Where the bands lie.
        cells: The land in parts that do not overlap.
        line: The edge.
        frame: The edge as an axis; None where a band along it bends.
        most: At most about so many widths; with more, widths are multiples of a larger step.
    """

    land: Shape
    cells: Sequence[Shape]
    line: Shape
    frame: EdgeFrame | None
    most: int

    @property
    def box(self) -> EdgeFrame | None:
        """The frame of a rectangle; None for other land."""
        return self.frame if self.frame is not None and self.frame.is_box else None


class BandCut:
    """Bands of some land along an edge; the last position is all of it. See `band_cuts`.

    Args:
        edge: The edge.
        step_m: Of widths: the module, or more of them.
        widths_m: The widths of the bands.
        below_m2: By width and cell, how much of the cell is in the band.
        shapes: The bands, where they are drawn already.

    Attributes:
        line: The edge.
        widths_m: The width at each position but the last.
        step_m: As given.
        areas_m2: By position and cell: how much of the cell lies before the position.
    """

    def __init__(
        self,
        edge: CutEdge,
        step_m: float,
        widths_m: Sequence[float],
        below_m2: Floats,
        shapes: Sequence[Shape] = (),
    ) -> None:
        self.land, self.line, self.step_m = edge.land, edge.line, step_m
        self._frame, self._shapes = edge.frame, shapes
        self.widths_m = [0.0, *widths_m]
        whole_m2 = shapely.area(edge.cells)[None, :]
        self.areas_m2 = np.concatenate([np.zeros_like(whole_m2), below_m2, whole_m2])

    def shape(self, first: int, last: int) -> Shape:
        """The band between two positions."""
        return cut_off(self._upto(last), self._upto(first)) if first else self._upto(last)

    def _upto(self, position: int) -> Shape:
        if position == len(self.widths_m):
            return tidy(self.land)
        if self._shapes:
            return self._shapes[position - 1]
        assert self._frame is not None
        return tidy(self.land.intersection(self._frame.box(self.widths_m[position])))


def band_cuts(edges: Sequence[CutEdge], *, module_m: float, least_width_m: float) -> list[BandCut]:
    """The bands along many edges; those of rectangles are measured together and not drawn.

    Args:
        edges: The edges.
        module_m: Widths are whole multiples of this.
        least_width_m: No band is narrower, and nothing narrower is left beside one.
    """
    found: list[BandCut | None] = []
    boxes: list[tuple[int, EdgeFrame, float, list[float]]] = []
    for number, edge in enumerate(edges):
        step_m, widths_m = _steps(edge, module_m, least_width_m)
        if edge.box is not None:
            boxes.append((number, edge.box, step_m, widths_m))
            found.append(None)
        else:
            kept, shapes = _drawn(edge, widths_m, least_width_m)
            found.append(BandCut(edge, step_m, kept, _shared(shapes, edge.cells), shapes))
    below = within_m2(
        [frame for _, frame, _, _ in boxes],
        [edges[number].cells for number, _, _, _ in boxes],
        [widths_m for _, _, _, widths_m in boxes],
    )
    for (number, _, step_m, widths_m), areas_m2 in zip(boxes, below, strict=True):
        found[number] = BandCut(edges[number], step_m, widths_m, areas_m2)
    return [cut for cut in found if cut is not None]


def _steps(edge: CutEdge, module_m: float, least_width_m: float) -> tuple[float, list[float]]:
    """The step of the widths to be tried, and the widths."""
    depth_m = edge.frame.depth_m if edge.frame else edge.land.hausdorff_distance(edge.line)
    if edge.box is not None:
        # What is left beside a band of a rectangle is a rectangle: its width is known.
        depth_m -= least_width_m
        if edge.box.length_m < least_width_m - SAME_M:
            depth_m = 0.0
    first = math.ceil((least_width_m - SAME_M) / module_m)
    last = math.floor((depth_m + SAME_M) / module_m)
    coarse = max(1, math.ceil((last - first + 1) / edge.most))
    step_m = coarse * module_m
    steps = range(-(-first // coarse), last // coarse + 1)
    return step_m, [step * step_m for step in steps if depth_m > 0]


def _drawn(
    edge: CutEdge, widths_m: Sequence[float], least_width_m: float
) -> tuple[list[float], list[Shape]]:
    """The widths that make a band, and each band, with the slivers beside it."""
    kept: list[float] = []
    found: list[Shape] = []
    reached_m2 = 0.0
    shapes = bands(edge.land, edge.line, widths_m)
    may_leave = may_leave_slivers(edge.land, shapes, least_width_m)
    drawn = tidy_each(shapes)
    for width_m, piece, has_slivers, plain in zip(widths_m, shapes, may_leave, drawn, strict=True):
        if _is_narrow(piece, _NEARLY * least_width_m):
            continue
        shape = plain
        if has_slivers:
            shape = tidy(with_slivers(edge.land, piece, least_width_m))
        if shape.area >= edge.land.area * (1 - _SAME_FRACTION):
            break
        if shape.area > reached_m2 * (1 + _SAME_FRACTION):
            kept.append(width_m)
            found.append(shape)
            reached_m2 = shape.area
    return kept, found


class BayCut:
    """Runs of bays that adjoin each other, row by row, each row from where the last one ended.

    Args:
        rows: The bays, row by row from the edge.
        cells: The land in parts that do not overlap.

    Attributes:
        numbers: The number of the bay after each position, counted along the rows.
        links: Whether the bay after a position adjoins the one before it.
        areas_m2: By position and cell: how much of the cell lies before the position.
    """

    def __init__(self, rows: Sequence[Sequence[Shape]], cells: Sequence[Shape]) -> None:
        first = np.cumsum([1, *(len(row) for row in rows)])
        numbered = [
            list(enumerate(row, int(start))) for row, start in zip(rows, first, strict=False)
        ]
        path = [
            item
            for index, row in enumerate(numbered)
            for item in (row if index % 2 == 0 else reversed(row))
        ]
        self.numbers = [number for number, _ in path]
        self._shapes = [shape for _, shape in path]
        near = shapely.intersection(
            shapely.buffer(self._shapes[:-1], 10 * SAME_M), self._shapes[1:]
        )
        self.links = np.array([True, *(shapely.area(near) > _LEAST_TOUCH_M * 10 * SAME_M)])
        areas = _shared(self._shapes, cells)
        self.areas_m2 = np.concatenate([np.zeros((1, len(cells))), np.cumsum(areas, axis=0)])

    def shape(self, first: int, last: int) -> Shape:
        """The bays from one position to another."""
        return tidy(shapely.union_all(self._shapes[first:last]))


def _is_narrow(shape: Shape, least_width_m: float) -> bool:
    """Whether nearly all of a shape is narrower than a width."""
    # What lies half the width inside of the outline is wide enough, and quickly found.
    core = shape.buffer(-least_width_m / 2, join_style="mitre")
    if core.area > 2 * (1 - _NEARLY) * shape.area:
        return False
    return bool(narrow_part(shape, least_width_m).area >= _NEARLY * shape.area)


def _shared(shapes: Sequence[Shape], cells: Sequence[Shape]) -> Floats:
    """The area of each shape in each cell."""
    if not len(shapes):
        return np.zeros((0, len(cells)))
    if len(cells) == 1:
        return shapely.area(shapes)[:, None]
    return shapely.area(shapely.intersection(np.array(shapes)[:, None], np.array(cells)[None, :]))


def cut_off(shape: Shape, piece: Shape) -> Shape:
    """A shape without a piece of it, and without the hairlines where their corners just miss."""
    return tidy(shapely.snap(shape, piece, SAME_M).difference(piece))
