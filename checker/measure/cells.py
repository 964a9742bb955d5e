"""The land under surfaces that may change, cut by every outline that crosses it.

The partition keeps what is seen. Here what is hidden is kept as well, because a change of material
may bring it to light: a slab under a deck, a walk under a terrace of higher precedence.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from checker.core.records import Record
from checker.measure.partition import LEVELS, REST, SLIVER_M2, LotPiece, PlacedSurface, rank

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping, Sequence

    from checker.site.model import Material, Shape, Site, Surface


class Cell(Record, kw_only=True):
    """Land over which the same surfaces are drawn.

    Attributes:
        shape: Its geometry, metres.
        area_m2: Its area.
        over: Ids of the surfaces drawn over it, seen or not, in the order of the file.
        inside: The regions it lies in, of those the land was cut by.
    """

    shape: Shape
    area_m2: float
    over: tuple[str, ...]
    inside: frozenset[str]

    def within(self, shape: Shape | None) -> tuple[Cell, ...]:
        """Its part inside a shape, if any; all of it for None."""
        if shape is None:
            return (self,)
        part = self.shape.intersection(shape)
        if part.area <= SLIVER_M2:
            return ()
        return (Cell(shape=part, area_m2=float(part.area), over=self.over, inside=self.inside),)


def cells(
    site: Site, surfaces: Collection[str], regions: Mapping[str, Shape] | None = None
) -> tuple[Cell, ...]:
    """The cells under some surfaces of the proposed lot.

    Args:
        site: The lot.
        surfaces: Ids of the surfaces whose land is cut.
        regions: Regions to cut by, geometry by id.

    Returns:
        Cells that do not overlap and fill the land of the surfaces within the lot.
    """
    drawn = [surface for surface in site.surfaces if surface.stage != "removed"]
    if not drawn:
        return ()
    shapes = list(shapely.intersection([s.shape for s in drawn], site.lot.boundary))
    tree = shapely.STRtree(shapes)
    found: list[Cell] = []
    for index, surface in enumerate(drawn):
        if surface.id not in surfaces:
            continue
        near = sorted(int(i) for i in tree.query(shapes[index], predicate="intersects"))
        parts: list[tuple[Shape, tuple[int, ...]]] = [(shapes[index], (index,))]
        for other in near:
            if other == index:
                continue
            # Land shared with an earlier surface of the list was cut when that one was.
            is_done = other < index and drawn[other].id in surfaces
            parts = [
                part
                for shape, over in parts
                for part in _split(shape, over, shapes[other], other)
                if not (is_done and other in part[1])
            ]
        for shape, over in parts:
            ids = tuple(drawn[i].id for i in sorted(over))
            found += [
                Cell(shape=part, area_m2=float(part.area), over=ids, inside=inside)
                for part, inside in _within(shape, regions or {})
            ]
    return tuple(found)


def _split(
    shape: Shape, over: tuple[int, ...], other: Shape, number: int
) -> Iterator[tuple[Shape, tuple[int, ...]]]:
    below = shape.intersection(other)
    if below.area <= SLIVER_M2:
        yield shape, over
        return
    beside = shape.difference(other)
    if beside.area > SLIVER_M2:
        yield beside, over
    yield below, (*over, number)


def _within(shape: Shape, regions: Mapping[str, Shape]) -> list[tuple[Shape, frozenset[str]]]:
    parts = [(shape, frozenset[str]())]
    for name, region in regions.items():
        divided: list[tuple[Shape, frozenset[str]]] = []
        for part, inside in parts:
            within = part.intersection(region)
            if within.area <= SLIVER_M2:
                divided.append((part, inside))
                continue
            without = part.difference(region)
            if without.area > SLIVER_M2:
                divided.append((without, inside))
            divided.append((within, inside | {name}))
        parts = divided
    return [(part, inside) for part, inside in parts if part.area > SLIVER_M2]


def stacked(
    cell: Cell,
    surfaces: Sequence[tuple[int, Surface, Material | None]],
    rest: Material | None,
    order: Sequence[str],
) -> LotPiece:
    """What is seen over a cell, level by level, when its surfaces are made of given materials.

    Args:
        cell: The land.
        surfaces: The position in the file, the surface and its material for each surface over
            the cell; None for one that is not there.
        rest: The material of land that no surface covers.
        order: Ids that win over others at their level, as the site file lists them.
    """
    layers: list[PlacedSurface] = []
    for level in LEVELS:
        here = [
            (position, PlacedSurface(surface, material, surface.id))
            for position, surface, material in surfaces
            if material is not None and material.level == level
        ]
        if here:
            layers.append(min(here, key=lambda item: rank(item[1], order, item[0]))[1])
        elif level == "ground":
            layers.append(PlacedSurface(None, rest, REST))
    return LotPiece(cell.shape, cell.area_m2, tuple(layers), cell.inside)
