"""Which surfaces and overlays lie over which lots, in the order of who is seen."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np
import shapely

from checker.core.records import Record, field, replace
from checker.measure.partition import LEVELS
from checker.screen import edges
from checker.screen.lots import Given
from checker.screen.outlines import Outlines, over

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from checker.screen.lots import Town

LOST: Final = 1e-6
"""Where areas that should be one differ by more than this share of the lot, none is told."""


class TownLayers(Record, eq=False, kw_only=True):
    """Shapes of a town's layers, in one unit.

    Attributes:
        ids: The names of the lots, shape (n,).
        lots: Their outlines, shape (n,).
        surfaces: The outlines of surfaces, in the order of the layers.
        surface_class: The sort of each, shape (s,).
        overlays: The outlines of overlays, shape (o,).
        overlay_land: The lands that each belongs to, as bits of `town.lands`, shape (o,).
        overlay_lot: The lot that each is of alone, -1 for all lots; None for all of them.
        neighbours: Lots near these that are none of them; None where there are none.
        streets: What the front of a lot looks at; None where no layer tells it.
        features: What distances are measured to, by kind.
        size_m: The size of the unit in metres.
        given: What columns say of the lots.
        recorded_m2: The area by deed or plat; see `Lots`.
    """

    ids: NDArray[Any]
    lots: Outlines
    surfaces: Outlines
    surface_class: NDArray[np.intp]
    overlays: NDArray[Any]
    overlay_land: NDArray[np.int64]
    size_m: float
    given: Mapping[str, Given]
    recorded_m2: Any = None
    overlay_lot: NDArray[np.intp] | None = None
    streets: NDArray[Any] | None = None
    neighbours: NDArray[Any] | None = None
    features: Mapping[str, NDArray[Any]] = field(default_factory=dict)

    def without(self, rows: NDArray[np.intp]) -> TownLayers:
        """The same without some lots, which become neighbours of the others."""
        kept = np.delete(np.arange(len(self.lots)), rows)
        before = np.zeros(0, object) if self.neighbours is None else self.neighbours
        return replace(
            self,
            ids=self.ids[kept],
            lots=self.lots.take(kept),
            neighbours=np.concatenate([before, self.lots.take(rows).shapes]),
            given={
                name: Given(own.values, own.index[kept] if own.index.ndim else own.index)
                for name, own in self.given.items()
            },
            recorded_m2=None if self.recorded_m2 is None else self.recorded_m2[kept],
        )


class LotParts(Record, eq=False):
    """Parts of lots by what is seen over them.

    Attributes:
        lot: The lot of each part.
        area: Its area, in the unit of the layers squared; nan where it could not be found.
        seen: The surface seen at each level, as a place in `Members.surface`, -1 for none.
        marks: The lands whose edges run over the lot that it lies in, as bits.
    """

    lot: NDArray[np.intp]
    area: NDArray[np.float64]
    seen: NDArray[np.intp]
    marks: NDArray[np.int64]


class Members(Record, eq=False):
    """The outlines over each lot.

    Attributes:
        surface_lot: The lot of each surface over one, ascending; by level and rank within it.
        surface: Its place among the surfaces.
        level: Its level: 0 ground, 1 raised, 2 roof.
        overlay_lot: The lot of each overlay whose edge runs over it, ascending.
        overlay: Its place among the overlays.
        counts: The surfaces of each level over each lot, shape (n, 3).
        whole: The lands that all of a lot lies in, as bits, shape (n,).
    """

    surface_lot: NDArray[np.intp]
    surface: NDArray[np.intp]
    level: NDArray[np.intp]
    overlay_lot: NDArray[np.intp]
    overlay: NDArray[np.intp]
    counts: NDArray[np.intp]
    whole: NDArray[np.int64]


def members_of(town: Town, layers: TownLayers) -> Members:
    """Which surfaces and overlays lie over each lot, in the order of who is seen."""
    levels = np.array([LEVELS.index(own.material.level) for own in town.classes] or [0])
    precedence = np.array([own.material.precedence for own in town.classes] or [0])
    lot, surface = over(layers.lots, layers.surfaces)
    sort = layers.surface_class[surface]
    order = np.lexsort((-surface, -precedence[sort], levels[sort], lot))
    lot, surface, sort = lot[order], surface[order], sort[order]
    count = len(layers.lots)
    counts = np.stack(
        [np.bincount(lot[levels[sort] == level], minlength=count) for level in range(3)], axis=1
    )
    edge_lot, edge, whole = _overlays_over(layers)
    order = np.lexsort((edge, edge_lot))
    return Members(lot, surface, levels[sort], edge_lot[order], edge[order], counts, whole)


def _overlays_over(layers: TownLayers) -> tuple[Any, Any, NDArray[np.int64]]:
    """The lots that the edge of an overlay runs over, and what the others wholly lie in."""
    count = len(layers.lots)
    whole = np.zeros(count, np.int64)
    if not len(layers.overlays):
        none = np.zeros(0, np.intp)
        return none, none, whole
    places = np.arange(len(layers.overlays))
    own = np.full(len(places), -1) if layers.overlay_lot is None else layers.overlay_lot
    of_one, shared = places[own >= 0], places[own < 0]
    if len(of_one):
        lot, overlay, whole = _overlays_over(
            replace(
                layers,
                overlays=layers.overlays[shared],
                overlay_land=layers.overlay_land[shared],
                overlay_lot=None,
            )
        )
        pairs_lot = np.concatenate([lot, own[of_one]])
        return pairs_lot, np.concatenate([shared[overlay], of_one]), whole
    if edges.compiled() is not None:
        return _by_edges(layers)
    lines, of = shapely.get_parts(shapely.boundary(layers.overlays), return_index=True)
    ends = shapely.get_coordinates(lines, return_index=True)
    points, line = ends
    goes_on = line[1:] == line[:-1]
    pieces = shapely.linestrings(np.stack([points[:-1][goes_on], points[1:][goes_on]], axis=1))
    piece, lot = shapely.STRtree(layers.lots.shapes).query(pieces, predicate="intersects")
    pairs = np.unique(np.stack([lot, of[line[:-1][goes_on][piece]]], axis=1), axis=0)
    crossed = set(map(tuple, pairs.tolist()))
    inside = shapely.STRtree(shapely.point_on_surface(layers.lots.shapes)).query(
        layers.overlays, predicate="contains"
    )
    for overlay, own in zip(*inside.tolist(), strict=True):
        if (own, overlay) not in crossed:
            whole[own] |= layers.overlay_land[overlay]
    return pairs[:, 0].astype(np.intp), pairs[:, 1].astype(np.intp), whole


def _by_edges(layers: TownLayers) -> tuple[Any, Any, NDArray[np.int64]]:
    """The same as machine code."""
    overlays = Outlines(shapes=layers.overlays)
    lot, overlay, inside, of = edges.overlays_over(
        layers.lots.boxes, overlays.rings, overlays.boxes
    )
    whole = np.zeros(len(layers.lots), np.int64)
    np.bitwise_or.at(whole, inside, layers.overlay_land[of])
    return lot.astype(np.intp), overlay.astype(np.intp), whole
