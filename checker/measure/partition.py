"""The planar partition: every square foot of the lot exactly once, with what lies over it.

Surfaces of one level (ground, raised, roof) displace each other by precedence; surfaces of
different levels lie over each other and are all kept, since some rules count one and some the
other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import shapely

from checker.core.records import Record, field
from checker.site.overlaps import rank as precedence_at

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from checker.site.model import Level, Material, Shape, Site, State, Surface

LEVELS: Final[tuple[Level, ...]] = ("ground", "raised", "roof")
SLIVER_M2: Final = 1e-7
"""Areas below this are traces of rounding, not land: a tenth of a square millimetre."""

REST: Final = "rest-of-lot"
"""The id under which land that no surface covers is listed."""


class PlacedSurface(Record):
    """One surface as it takes part in a state of the lot."""

    surface: Surface | None
    material: Material | None
    id: str


class LotPiece(Record):
    """A part of the lot that the same surfaces lie over.

    Attributes:
        shape: Its geometry.
        area_m2: Its area.
        layers: The surfaces over it, the ground first.
        inside: The regions it lies in, of those the partition was cut by.
    """

    shape: Shape
    area_m2: float
    layers: tuple[PlacedSurface, ...]
    inside: frozenset[str] = frozenset()


class LedgerLine(Record):
    """What became of one surface's drawn area.

    Attributes:
        id: The surface.
        material: Title of its material in this state.
        drawn_m2: As drawn.
        outside_m2: Beyond the lot line.
        displaced_m2: Overlaps given to surfaces of higher precedence at its level.
        visible_m2: What is left: drawn = outside + displaced + visible.
        displaced_by: Who took the overlaps, and how much, in m2.
    """

    id: str
    material: str
    level: str
    drawn_m2: float
    outside_m2: float
    displaced_m2: float
    visible_m2: float
    displaced_by: Mapping[str, float] = field(default_factory=dict)


class Partition(Record):
    """A state of the lot, every spot once.

    Attributes:
        pieces: Do not overlap and fill the lot.
        ledger: What became of each surface.
        lot_area_m2: Area of the lot.
        rest_m2: Land that no ground surface covers.
        visible: The visible shape of each surface within the lot.
    """

    pieces: tuple[LotPiece, ...]
    ledger: tuple[LedgerLine, ...]
    lot_area_m2: float
    rest_m2: float
    visible: Mapping[str, Shape]


def partition(
    site: Site,
    state: State,
    regions: Mapping[str, Shape] | None = None,
    land: Shape | None = None,
) -> Partition:
    """Cut the lot into pieces.

    Args:
        site: The lot and its surfaces.
        state: As it is today, or as it will be.
        regions: Regions to cut by, geometry by id.
        land: What is cut in place of the lot: with a strip beside it that a rule counts too.

    Returns:
        The pieces, whose areas add up to the lot, and the ledger of the surfaces.
    """
    lot = site.lot.boundary if land is None else land
    by_level: dict[Level, list[PlacedSurface]] = {level: [] for level in LEVELS}
    for surface in site.surfaces:
        material = surface.material_in(state)
        if material is not None:
            by_level[material.level].append(PlacedSurface(surface, material, surface.id))
    ledger: dict[str, LedgerLine] = {}
    visible: dict[str, Shape] = {}
    rest = PlacedSurface(None, site.rest_of_lot, REST)
    pieces: list[tuple[Shape, tuple[PlacedSurface, ...]]] = []
    uncovered: Shape = lot
    for layer, shape, line in _displaced(by_level["ground"], site.order, lot):
        ledger[layer.id], visible[layer.id] = line, shape
        if not shape.is_empty:
            pieces.append((shape, (layer,)))
    if pieces:
        uncovered = lot.difference(shapely.union_all([shape for shape, _ in pieces]))
    if uncovered.area > SLIVER_M2:
        pieces.insert(0, (uncovered, (rest,)))
    for level in LEVELS[1:]:
        for layer, shape, line in _displaced(by_level[level], site.order, lot):
            ledger[layer.id], visible[layer.id] = line, shape
            if not shape.is_empty:
                pieces = _laid_over(pieces, shape, layer)
    cut = _cut(pieces, regions or {})
    order = [s.id for s in site.surfaces if s.id in ledger]
    return Partition(
        pieces=cut,
        ledger=tuple(ledger[surface_id] for surface_id in order),
        lot_area_m2=lot.area,
        rest_m2=uncovered.area if uncovered.area > SLIVER_M2 else 0.0,
        visible=visible,
    )


def rank(layer: PlacedSurface, order: Sequence[str], position: int) -> tuple[int, int, int]:
    """Who is seen of one level, the least first.

    The file's own order decides, then the material's precedence, then the later drawn.
    """
    precedence = layer.material.precedence if layer.material else 0
    return precedence_at(layer.id, precedence, order, position)


def _displaced(
    layers: Sequence[PlacedSurface],
    order: Sequence[str],
    lot: Shape,
) -> list[tuple[PlacedSurface, Shape, LedgerLine]]:
    ranked = sorted(enumerate(layers), key=lambda pair: rank(pair[1], order, pair[0]))
    shapes = [layer.surface.shape if layer.surface else lot for _, layer in ranked]
    inside: Shape = shapely.intersection(shapes, lot) if shapes else []
    tree = shapely.STRtree(inside) if shapes else None
    found: list[tuple[PlacedSurface, Shape, LedgerLine]] = []
    for index, (_, layer) in enumerate(ranked):
        whole = inside[index]
        over = sorted(
            int(other)
            for other in (tree.query(whole, predicate="intersects") if tree else ())
            if other < index
        )
        left = whole
        taken: dict[str, float] = {}
        for other in over:
            before = left.area
            left = left.difference(inside[other])
            if before - left.area > SLIVER_M2:
                taken[ranked[other][1].id] = before - left.area
        if left.area <= SLIVER_M2:
            left = shapely.Polygon()
        drawn_m2 = shapes[index].area
        visible_m2 = left.area
        found.append(
            (
                layer,
                left,
                LedgerLine(
                    id=layer.id,
                    material=layer.material.title if layer.material else "",
                    level=layer.material.level if layer.material else "ground",
                    drawn_m2=drawn_m2,
                    outside_m2=_trace(drawn_m2 - whole.area),
                    displaced_m2=_trace(whole.area - visible_m2),
                    visible_m2=visible_m2,
                    displaced_by=taken,
                ),
            )
        )
    return found


def _trace(area_m2: float) -> float:
    return area_m2 if area_m2 > SLIVER_M2 else 0.0


def _laid_over(
    pieces: list[tuple[Shape, tuple[PlacedSurface, ...]]],
    shape: Shape,
    layer: PlacedSurface,
) -> list[tuple[Shape, tuple[PlacedSurface, ...]]]:
    """Lay a deck or roof over the pieces: each is split into its part below and its rest."""
    result: list[tuple[Shape, tuple[PlacedSurface, ...]]] = []
    shapely.prepare(shape)
    for piece, layers in pieces:
        if not shape.intersects(piece):
            result.append((piece, layers))
            continue
        below = piece.intersection(shape)
        if below.area <= SLIVER_M2:
            result.append((piece, layers))
            continue
        beside = piece.difference(shape)
        if beside.area > SLIVER_M2:
            result.append((beside, layers))
        result.append((below, (*layers, layer)))
    return result


def _cut(
    pieces: list[tuple[Shape, tuple[PlacedSurface, ...]]], regions: Mapping[str, Shape]
) -> tuple[LotPiece, ...]:
    cut: list[tuple[Shape, tuple[PlacedSurface, ...], frozenset[str]]] = [
        (shape, layers, frozenset()) for shape, layers in pieces
    ]
    for name, region in regions.items():
        divided: list[tuple[Shape, tuple[PlacedSurface, ...], frozenset[str]]] = []
        shapely.prepare(region)
        for shape, layers, inside in cut:
            within = shape.intersection(region) if region.intersects(shape) else None
            if within is None or within.area <= SLIVER_M2:
                divided.append((shape, layers, inside))
                continue
            without = shape.difference(region)
            if without.area > SLIVER_M2:
                divided.append((without, layers, inside))
            divided.append((within, layers, inside | {name}))
        cut = divided
    return tuple(LotPiece(shape, shape.area, layers, inside) for shape, layers, inside in cut)


def areas_within(pieces: Sequence[LotPiece], region: Shape) -> NDArray[Any]:
    """The area of each piece inside a region, shape (n,), m2."""
    return shapely.area(shapely.intersection([piece.shape for piece in pieces], region))
