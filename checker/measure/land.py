"""The land of a site cut by one set of regions, and the strips that tables take off it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from checker.measure.arrangement import SLIVER_M2, common, joined, without
from checker.measure.partition import Partition, arranged, partition
from checker.measure.widths import moved_in, moved_out, narrow_part

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    from checker.algebra.tables import Joined, Trim
    from checker.measure.arrangement import Arrangement
    from checker.measure.partition import LotPiece
    from checker.site.model import Shape, Site, State, Surface

_Part = tuple[float, frozenset[int]]


class CutLand:
    """The land of a site, noded once for both of its states.

    Args:
        site: The lot as drawn.
        regions: What it is cut by, geometry by id; a region may reach beyond the lot.
        beyond: Those of them that are the land outside the lot alone.
    """

    def __init__(self, site: Site, regions: Mapping[str, Shape], beyond: Collection[str]) -> None:
        self.site = site
        self._regions = regions
        self._beyond = beyond
        self._arranged: Arrangement | None = None
        self._partitions: dict[State, Partition] = {}
        self._lost: dict[tuple[int, str, float, State], tuple[Joined, Shape]] = {}

    @property
    def arrangement(self) -> Arrangement:
        """The faces between all outlines of the site and the regions."""
        if self._arranged is None:
            self._arranged = arranged(self.site, self._regions)
        return self._arranged

    def partition(self, state: State) -> Partition:
        """The planar partition of a state."""
        if state not in self._partitions:
            self._partitions[state] = partition(self.site, state, self.arrangement, self._beyond)
        return self._partitions[state]

    def splitter(
        self, piece: LotPiece, state: State
    ) -> Callable[[Sequence[Trim]], Sequence[_Part]]:
        """What cuts a piece along the strips that do not count; see `algebra.tables.Spot`."""

        def split(trims: Sequence[Trim]) -> Sequence[_Part]:
            parts: list[tuple[Shape, frozenset[int]]] = [(piece.shape, frozenset())]
            for trim in trims:
                off = self._strip(trim, state)
                parts = [part for shape, lost in parts for part in _cut(shape, lost, off, trim)]
            if len(parts) == 1:
                return [(piece.area_m2, parts[0][1])]
            return [(float(shape.area), lost) for shape, lost in parts]

        return split

    def _strip(self, trim: Trim, state: State) -> Shape:
        """The land that a strip takes off, made once for all pieces that it is taken off."""
        key = (id(trim.of), trim.strip, trim.width_m, state)
        if key not in self._lost:
            make = {"outer": self._outer, "inner": self._inner, "narrow": self._narrow}
            self._lost[key] = (trim.of, make[trim.strip](trim, state))
        return self._lost[key][1]

    def _outer(self, trim: Trim, state: State) -> Shape:
        """A strip along the outline of the surfaces; of a building, with all that adjoins it."""
        own = self._surfaces(trim, state)
        if any(_is_building(surface, state) for surface in own.values()):
            own |= self._buildings(state)
        outline = joined([surface.shape for surface in own.values()])
        return without(outline, moved_in(outline, trim.width_m))

    def _inner(self, trim: Trim, state: State) -> Shape:
        """A strip along the walls: all that is built beside and below the surfaces."""
        own = self._surfaces(trim, state)
        walls = [s.shape for name, s in self._buildings(state).items() if name not in own]
        return moved_out(joined(walls), trim.width_m)

    def _narrow(self, trim: Trim, state: State) -> Shape:  # noqa: ARG002 - as the others
        shapes = [spot.land.shape for spot in trim.of.spots]  # type: ignore[attr-defined]
        return narrow_part(joined(shapes), trim.width_m)

    def _surfaces(self, trim: Trim, state: State) -> dict[str, Surface]:
        here = self._there(state)
        return {name: here[name] for name in trim.of.surfaces if name in here}

    def _buildings(self, state: State) -> dict[str, Surface]:
        return {name: s for name, s in self._there(state).items() if _is_building(s, state)}

    def _there(self, state: State) -> dict[str, Surface]:
        return {s.id: s for s in self.site.surfaces if s.material_in(state) is not None}


def _is_building(surface: Surface, state: State) -> bool:
    material = surface.material_in(state)
    return material is not None and material.group == "Buildings" and material.nature == "sealed"


def _cut(
    shape: Shape, lost: frozenset[int], off: Shape, trim: Trim
) -> list[tuple[Shape, frozenset[int]]]:
    gone = common(shape, off) if shapely.intersects(shape, off) else shapely.Polygon()
    if gone.area <= SLIVER_M2:
        return [(shape, lost)]
    kept = without(shape, off)
    if kept.area <= SLIVER_M2:
        return [(shape, lost | {trim.layer})]
    return [(kept, lost), (gone, lost | {trim.layer})]
