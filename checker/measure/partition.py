"""The planar partition: every square foot of the lot exactly once, with what lies over it.

Surfaces of one level (ground, raised, roof) displace each other by precedence; surfaces of
different levels lie over each other and are all kept, since some rules count one and some the
other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property, partial
from typing import TYPE_CHECKING, Final

import numpy as np
import shapely

from checker.core.problems import BadInput, Problem
from checker.core.records import Record, field
from checker.measure.arrangement import (
    CONSERVED,
    SLIVER_M2,
    Arrangement,
    NotConserved,
    arrange,
)
from checker.site.crossings import TooManyCrossings
from checker.site.model import REST
from checker.site.overlaps import rank as precedence_at

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from numpy.typing import NDArray

    from checker.core.problems import Place
    from checker.site.model import Level, Material, Shape, Site, State, Surface

LEVELS: Final[tuple[Level, ...]] = ("ground", "raised", "roof")


class PlacedSurface(Record):
    """One surface as it takes part in a state of the lot."""

    surface: Surface | None
    material: Material | None
    id: str


class LotPiece(Record, kw_only=True, eq=False, dict=True):
    """Land that the same surfaces lie over.

    Attributes:
        area_m2: Its area.
        layers: The surfaces over it, the ground first.
        inside: The regions it lies in.
        make: Gives its geometry, which is made when somebody looks at it.
    """

    area_m2: float
    layers: tuple[PlacedSurface, ...]
    make: Callable[[], Shape]
    inside: frozenset[str] = frozenset()

    @cached_property
    def shape(self) -> Shape:
        """Its geometry, metres."""
        return self.make()


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


class VisibleShapes(Mapping[str, "Shape"]):
    """Geometry by id, each made when somebody looks at it."""

    def __init__(self, make: Mapping[str, Callable[[], Shape]]) -> None:
        self._make = make
        self._made: dict[str, Shape] = {}

    def __getitem__(self, key: str, /) -> Shape:
        if key not in self._made:
            self._made[key] = self._make[key]()
        return self._made[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._make)

    def __len__(self) -> int:
        return len(self._make)


class Partition(Record, eq=False, dict=True):
    """A state of the lot, every spot once.

    Attributes:
        pieces: Do not overlap and fill the lot.
        beyond: Land outside the lot in the regions that reach there; not part of `pieces`.
        ledger: What became of each surface.
        lot_area_m2: Area of the lot.
        rest_m2: Land that no ground surface covers.
        visible: The visible shape of each surface within the lot.
    """

    pieces: tuple[LotPiece, ...]
    beyond: tuple[LotPiece, ...]
    ledger: tuple[LedgerLine, ...]
    lot_area_m2: float
    rest_m2: float
    visible: Mapping[str, Shape]

    @cached_property
    def visible_m2(self) -> Mapping[str, float]:
        """The visible area of each surface."""
        return {line.id: line.visible_m2 for line in self.ledger}


LOT: Final = ("lot", "")


def arranged(site: Site, regions: Mapping[str, Shape] | None = None) -> Arrangement:
    """The arrangement of the lot, all its surfaces of either state, and regions.

    Args:
        site: The lot as drawn.
        regions: Areas by id; they may reach beyond the lot.

    Raises:
        BadInput: Parts do not sum to what is drawn, or too many outlines cross: no verdict.
    """
    outlines: dict[tuple[str, str], Shape] = {LOT: site.lot.boundary}
    outlines |= {("surface", surface.id): surface.shape for surface in site.surfaces}
    outlines |= {("region", name): shape for name, shape in (regions or {}).items()}
    try:
        return arrange({key: shape for key, shape in outlines.items() if not shape.is_empty}, LOT)
    except NotConserved as wrong:
        says = f"{_called(wrong.key)} cannot be measured reliably: {wrong}"
        do = (
            "let corners and edges that nearly touch be the same, or move the drawing to its origin"
        )
        problem = Problem(_place(site, wrong.key), says, do)
    except TooManyCrossings as wrong:
        do = "leave out what lies wholly hidden, or join surfaces of one material"
        problem = Problem(site.document.place("surfaces"), f"the drawing is too dense: {wrong}", do)
    raise BadInput(f"{site.document.file} cannot be judged", [problem])


def _called(key: object) -> str:
    kind, name = key if isinstance(key, tuple) else ("", "")
    return f"the {kind} '{name}'" if name else "the lot"


def _place(site: Site, key: object) -> Place:
    kind, name = key if isinstance(key, tuple) else ("", "")
    drawn = site.surfaces if kind == "surface" else site.regions if kind == "region" else ()
    return next((item.place for item in drawn if item.id == name), site.lot.place)


def partition(
    site: Site,
    state: State,
    land: Arrangement | None = None,
    beyond: Collection[str] = (),
) -> Partition:
    """Sort the faces of a drawing by what is seen over them.

    Args:
        site: The lot and its surfaces.
        state: As it is today, or as it will be.
        land: Its arrangement, with the regions to tell apart by; made here when not given.
        beyond: Regions that are the land outside the lot alone.

    Returns:
        The pieces, whose areas add up to the lot, and the ledger of the surfaces.

    Raises:
        BadInput: See `arranged`.
    """
    land = arranged(site) if land is None else land
    sight = _Sight(site, state, land)
    lines = {line.id: line for line in sight.lines()}
    in_lot = land.mask(LOT)
    pieces = tuple(sight.pieces(in_lot, [name for name in regions_of(land) if name not in beyond]))
    outside = [name for name in regions_of(land) if name in beyond]
    reached = np.zeros(len(in_lot), dtype=bool)
    for name in outside:
        reached |= land.mask(("region", name))
    lot_m2 = float(site.lot.boundary.area)
    if abs(sum(piece.area_m2 for piece in pieces) - lot_m2) > CONSERVED * lot_m2 + SLIVER_M2:
        says = "the lot cannot be measured reliably: its parts do not add up to it"
        raise BadInput(f"{site.document.file} cannot be judged", [Problem(site.lot.place, says)])
    return Partition(
        pieces=pieces,
        beyond=tuple(sight.pieces(reached & ~in_lot, outside)),
        ledger=tuple(lines[surface.id] for surface in site.surfaces if surface.id in lines),
        lot_area_m2=lot_m2,
        rest_m2=_trace(land.area_m2(in_lot & (sight.seen[0] < 0))),
        visible=VisibleShapes(sight.shapes()),
    )


def regions_of(land: Arrangement) -> list[str]:
    """The regions of an arrangement, by id."""
    return [key[1] for key in land.within if isinstance(key, tuple) and key[0] == "region"]


class _Sight:
    """What is seen over each face in one state.

    Attributes:
        seen: For each level, the number of the surface seen over each face, -1 for none;
            shape (levels, faces). Numbers follow the rank of the surfaces of that level.
        is_whole: For each level, whether each surface lies in the lot and is seen all over.
    """

    def __init__(self, site: Site, state: State, land: Arrangement) -> None:
        self.site = site
        self.land = land
        self.rest = PlacedSurface(None, site.rest_of_lot, REST)
        self.in_lot = land.mask(LOT)
        self.ranked: list[list[PlacedSurface]] = []
        self.seen: NDArray[np.intp] = np.full((len(LEVELS), len(land.faces)), -1)
        drawn = [(i, s, s.material_in(state)) for i, s in enumerate(site.surfaces)]
        for row, level in enumerate(LEVELS):
            here = [
                (position, PlacedSurface(surface, material, surface.id))
                for position, surface, material in drawn
                if material is not None and material.level == level
            ]
            here.sort(key=lambda item: rank(item[1], site.order, item[0]))
            self.ranked.append([layer for _, layer in here])
            for number in range(len(here) - 1, -1, -1):
                self.seen[row, self._faces(here[number][1])] = number
        self.is_whole = [self._whole(row) for row in range(len(LEVELS))]

    def _faces(self, layer: PlacedSurface) -> NDArray[np.intp]:
        return self.land.within[("surface", layer.id)]

    def _whole(self, row: int) -> NDArray[np.bool_]:
        """Which surfaces of a level are seen as they were drawn."""
        faces = [self._faces(layer) for layer in self.ranked[row]]
        if not faces:
            return np.zeros(0, dtype=bool)
        every = np.concatenate(faces)
        owner = np.repeat(np.arange(len(faces)), [len(own) for own in faces])
        is_lost = ~self.in_lot[every] | (self.seen[row, every] != owner)
        found: NDArray[np.bool_] = np.bincount(owner[is_lost], minlength=len(faces)) == 0
        return found

    def lines(self) -> Iterator[LedgerLine]:
        """What became of each surface."""
        for row, ranked in enumerate(self.ranked):
            drawn = np.array([layer.surface.shape for layer in ranked if layer.surface], object)
            areas = shapely.area(drawn).tolist()
            for number, (layer, drawn_m2) in enumerate(zip(ranked, areas, strict=True)):
                assert layer.material is not None
                if self.is_whole[row][number]:
                    kind = layer.material
                    yield LedgerLine(layer.id, kind.title, kind.level, drawn_m2, 0.0, 0.0, drawn_m2)
                    continue
                faces = self._faces(layer)
                inside = faces[self.in_lot[faces]]
                seen = self.seen[row, inside]
                areas_m2 = self.land.areas_m2[inside]
                sums_m2 = np.bincount(seen, weights=areas_m2, minlength=number + 1)
                taken = {
                    ranked[other].id: float(sums_m2[other])
                    for other in np.flatnonzero(sums_m2[:number] > SLIVER_M2).tolist()
                }
                visible_m2 = _trace(float(sums_m2[number]))
                outside_m2 = _trace(self.land.area_m2(faces[~self.in_lot[faces]]))
                displaced_m2 = _trace(float(sums_m2[:number].sum()))
                if not outside_m2 and not displaced_m2:
                    visible_m2 = drawn_m2
                yield LedgerLine(
                    id=layer.id,
                    material=layer.material.title,
                    level=layer.material.level,
                    drawn_m2=drawn_m2,
                    outside_m2=outside_m2,
                    displaced_m2=displaced_m2,
                    visible_m2=visible_m2,
                    displaced_by=taken,
                )

    def pieces(self, among: NDArray[np.bool_], regions: Sequence[str]) -> Iterator[LotPiece]:
        """Faces over which the same surfaces are seen, in the same regions; the rest first."""
        faces = np.flatnonzero(among)
        if not len(faces):
            return
        marks = [self.land.mask(("region", name))[faces] for name in regions]
        table = np.stack([*self.seen[:, faces], *marks], axis=1)
        kinds, which = np.unique(table, axis=0, return_inverse=True)
        order = np.argsort(which.reshape(-1), kind="stable")
        ends = np.searchsorted(which.reshape(-1)[order], np.arange(1, len(kinds)))
        for kind, own in zip(kinds, np.split(faces[order], ends), strict=True):
            area_m2 = self.land.area_m2(own)
            if area_m2 > SLIVER_M2:
                yield LotPiece(
                    area_m2=area_m2,
                    layers=self._layers(kind[: len(LEVELS)]),
                    make=partial(self.land.shape, own),
                    inside=frozenset(
                        name
                        for name, is_in in zip(regions, kind[len(LEVELS) :], strict=True)
                        if is_in
                    ),
                )

    def _layers(self, numbers: NDArray[np.intp]) -> tuple[PlacedSurface, ...]:
        ground, *above = (
            self.ranked[row][number] if number >= 0 else None for row, number in enumerate(numbers)
        )
        return (ground or self.rest, *(layer for layer in above if layer is not None))

    def shapes(self) -> dict[str, Callable[[], Shape]]:
        """For each surface, what makes its visible shape."""
        found: dict[str, Callable[[], Shape]] = {}
        for row, ranked in enumerate(self.ranked):
            for number, layer in enumerate(ranked):
                found[layer.id] = partial(self._shape, row, number, layer)
        return found

    def _shape(self, row: int, number: int, layer: PlacedSurface) -> Shape:
        if layer.surface is not None and self.is_whole[row][number]:
            return layer.surface.shape  # as drawn
        return self.land.shape(self.in_lot & (self.seen[row] == number))


def rank(layer: PlacedSurface, order: Sequence[str], position: int) -> tuple[int, int, int]:
    """Who is seen of one level, the least first.

    The file's own order decides, then the material's precedence, then the later drawn.
    """
    precedence = layer.material.precedence if layer.material else 0
    return precedence_at(layer.id, precedence, order, position)


def _trace(area_m2: float) -> float:
    return area_m2 if area_m2 > SLIVER_M2 else 0.0
