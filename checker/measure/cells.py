"""The land under surfaces that may change, cut by every outline that crosses it.

The partition keeps what is seen. Here what is hidden is kept as well, because a change of material
may bring it to light: a slab under a deck, a walk under a terrace of higher precedence.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from checker.core.records import Record
from checker.measure.arrangement import SLIVER_M2, common
from checker.measure.partition import LEVELS, LOT, LotPiece, PlacedSurface, rank, regions_of
from checker.site.model import REST

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from checker.measure.arrangement import Arrangement
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
        part = common(self.shape, shape)
        if part.area <= SLIVER_M2:
            return ()
        return (Cell(shape=part, area_m2=float(part.area), over=self.over, inside=self.inside),)


def cells(site: Site, surfaces: Collection[str], land: Arrangement) -> tuple[Cell, ...]:
    """The cells under some surfaces of the proposed lot.

    Args:
        site: The lot.
        surfaces: Ids of the surfaces whose land is cut.
        land: The arrangement of the site and the regions to cut by.

    Returns:
        Cells that do not overlap and fill the land of the surfaces within the lot, in the order
        of the first of the surfaces over each.
    """
    drawn = [surface for surface in site.surfaces if surface.stage != "removed"]
    chosen = [number for number, surface in enumerate(drawn) if surface.id in surfaces]
    if not chosen:
        return ()
    names = regions_of(land)
    over = np.stack([land.mask(("surface", surface.id)) for surface in drawn], axis=1)
    inside = [land.mask(("region", name)) for name in names]
    faces = np.flatnonzero(land.mask(LOT) & over[:, chosen].any(axis=1))
    marks = np.column_stack([over[faces], *(mask[faces] for mask in inside)])
    first = np.argmax(marks[:, chosen], axis=1)
    # Faces over which the same lies have the same marks; what has a mark comes before what has not.
    alike: dict[tuple[int, bytes], list[int]] = {}
    for place, without in enumerate(~marks):
        alike.setdefault((int(first[place]), without.tobytes()), []).append(place)
    found: list[Cell] = []
    for _, own in sorted(alike.items()):
        area_m2 = land.area_m2(faces[own])
        if area_m2 > SLIVER_M2:
            marked = marks[own[0]]
            ids = tuple(drawn[place].id for place in np.flatnonzero(marked[: len(drawn)]))
            at = frozenset(
                name for name, is_in in zip(names, marked[len(drawn) :], strict=True) if is_in
            )
            shape = land.shape(faces[own])
            found.append(Cell(shape=shape, area_m2=area_m2, over=ids, inside=at))
    return tuple(found)


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
    return LotPiece(
        area_m2=cell.area_m2,
        layers=tuple(layers),
        make=lambda: cell.shape,
        inside=cell.inside,
    )
