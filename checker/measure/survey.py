"""The surveyed lot: its partitions, regions and measures, each worked out once when asked for."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeVar

from checker.algebra.counting import Spot
from checker.algebra.scopes import SurfaceScope
from checker.algebra.values import Missing, Quantity, certain, unknown
from checker.core.formula import OutOfRange
from checker.core.units import AREA, Amount
from checker.files.vocabulary import ATTRIBUTES
from checker.measure.catalogue import LOT_MEASURES, SURFACE_MEASURES, NotMeasured, value_of
from checker.measure.partition import REST, SLIVER_M2, Partition, areas_within, partition
from checker.measure.regions import NoRegion, make_region

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from checker.algebra import nodes as n
    from checker.algebra.regions import RegionRule
    from checker.algebra.scopes import AttributeValue
    from checker.algebra.values import Context
    from checker.algebra.vocabulary import Vocabulary
    from checker.files.source import Document
    from checker.measure.partition import LotPiece, PlacedSurface
    from checker.site.model import Shape, Site, State, Surface

T = TypeVar("T")


class Survey:
    """Measures one site for one rule set.

    Args:
        site: The lot as drawn.
        words: The names that the rule set may use.
        region_rules: The regions it defines, by id.
        cut_by: Ids of regions whose inside surfaces are told apart by.
    """

    def __init__(
        self,
        site: Site,
        words: Vocabulary,
        region_rules: Mapping[str, RegionRule],
        cut_by: Sequence[str] = (),
    ) -> None:
        self.site = site
        self.words = words
        self._region_rules = region_rules
        self._cut_by = tuple(cut_by)
        self._lot: Context | None = None
        self._regions: dict[str, Shape | NoRegion] = {}
        self._partitions: dict[State, Partition] = {}
        self._spots: dict[State, tuple[Spot, ...]] = {}
        self._measured: dict[tuple[str, str], object] = {}
        self._parts: dict[str, Any] = {}

    def bind(self, lot: Context) -> None:
        """Set the scope of the lot, which the scopes of its surfaces fall back on."""
        self._lot = lot

    def again(self) -> Survey:
        """The same drawing for another scope: what was cut is kept, what was looked up is not."""
        other = Survey(self.site, self.words, self._region_rules, self._cut_by)
        other._partitions = self._partitions
        other._parts = self._parts
        return other

    @property
    def lot(self) -> Context:
        """The scope of the lot."""
        if self._lot is None:
            raise AssertionError("bind() comes first")
        return self._lot

    def part(self, name: str, read: Callable[[Any, Document], T]) -> T:
        """An optional part of the site file, read once; `read` gets None when it is absent."""
        if name not in self._parts:
            self._parts[name] = read(self.site.parts.get(name), self.site.document)
        found: T = self._parts[name]
        return found

    def region(self, region_id: str) -> Shape:
        """The geometry of a region.

        Raises:
            NoRegion: The drawing lacks what it is made from.
        """
        if region_id not in self._regions:
            try:
                self._regions[region_id] = make_region(
                    self._region_rules[region_id], self.site, self._length_m
                )
            except NoRegion as lacks:
                self._regions[region_id] = lacks
        found = self._regions[region_id]
        if isinstance(found, NoRegion):
            raise found
        return found

    def _length_m(self, node: n.Number) -> float | None:
        from checker.algebra import evaluate

        found = evaluate.number(node, self.lot)
        return found.low_si if found.is_certain else None

    @cached_property
    def _cutting(self) -> tuple[dict[str, Shape], dict[str, NoRegion]]:
        shapes: dict[str, Shape] = {}
        lacking: dict[str, NoRegion] = {}
        for region_id in self._cut_by:
            try:
                shapes[region_id] = self.region(region_id)
            except NoRegion as lacks:
                lacking[region_id] = lacks
        return shapes, lacking

    def partition(self, state: State) -> Partition:
        """The planar partition of a state."""
        if state not in self._partitions:
            self._partitions[state] = partition(self.site, state, self._cutting[0])
        return self._partitions[state]

    def spots(self, state: State) -> tuple[Spot, ...]:
        """The spots of a state, with the scope of each surface over them."""
        if state not in self._spots:
            self._spots[state] = tuple(
                self.spot(piece, state) for piece in self.partition(state).pieces
            )
        return self._spots[state]

    def spot(self, piece: LotPiece, state: State) -> Spot:
        """The spot of a piece, which may be one that is only thought of."""
        return Spot(piece.area_m2, self._scopes(piece, state), _trimmer(piece))

    def spots_within(self, state: State, region_id: str) -> tuple[Spot, ...]:
        """The parts of the spots inside a region.

        Raises:
            NoRegion: The drawing lacks what the region is made from.
        """
        region = self.region(region_id)
        pieces, spots = self.partition(state).pieces, self.spots(state)
        if self._region_rules[region_id].is_beyond_lot:
            land = self.site.lot.boundary.union(region)
            pieces = partition(self.site, state, self._cutting[0], land).pieces
            spots = tuple(self.spot(piece, state) for piece in pieces)
        areas_m2 = areas_within(pieces, region)
        return tuple(
            Spot(float(area_m2), spot.layers, _trimmer(piece, region))
            for piece, spot, area_m2 in zip(pieces, spots, areas_m2, strict=True)
            if area_m2 > SLIVER_M2
        )

    def _scopes(self, piece: LotPiece, state: State) -> tuple[Context, ...]:
        scopes: list[Context] = []
        for index, layer in enumerate(piece.layers):
            facts = self._facts(layer, state)
            below = piece.layers[:index]
            above = piece.layers[index + 1 :]
            facts["over"] = frozenset(item.material.id for item in below if item.material)
            if below and below[0].material is not None and "over_pervious" not in facts:
                facts["over_pervious"] = below[0].material.nature in {"open", "porous"}
            if "covered" not in facts:
                facts["covered"] = any(
                    item.material is not None
                    and item.material.level == "roof"
                    and item.material.nature == "sealed"
                    for item in above
                )
            if not self._cutting[1]:
                facts["inside"] = piece.inside
            scopes.append(
                SurfaceScope(layer.id, _Measured(self, layer.surface, facts), self.lot, self.words)
            )
        return tuple(scopes)

    def _facts(self, layer: PlacedSurface, state: State) -> dict[str, AttributeValue]:
        if layer.surface is None:
            facts: dict[str, AttributeValue] = {"stage": "existing", **self.site.rest_attributes}
            if layer.material is not None:
                facts |= {"material": layer.material.id, "nature": layer.material.nature}
                if layer.material.nature in {"open", "water"}:
                    # Who walks or drives on bare ground draws the path or the drive.
                    facts.setdefault("purpose", "other")
            return facts
        facts = dict(layer.surface.attributes)
        facts["stage"] = layer.surface.stage
        is_former = layer.material is not layer.surface.material
        if layer.material is not None:
            facts |= {"material": layer.material.id, "nature": layer.material.nature}
            if layer.material.purpose and (is_former or "purpose" not in facts):
                # What the file says of a lawn that becomes a drive is said of the drive.
                facts["purpose"] = layer.material.purpose
        if layer.surface.section:
            facts["section"] = layer.surface.section
        visible = self.partition(state).visible.get(layer.id)
        facts["area"] = Amount(visible.area if visible is not None else 0.0, AREA)
        return facts

    def surfaces(self) -> Iterator[Context]:
        """The scope of each surface of the proposed lot, seen as a whole."""
        seen: dict[str, Context] = {}
        for spot in self.spots("proposed"):
            for scope in spot.layers:
                if scope.surface_id != REST:
                    seen.setdefault(scope.surface_id, scope)
        order = [surface.id for surface in self.site.surfaces]
        return (seen[surface_id] for surface_id in order if surface_id in seen)

    def measured(self, name: str, region_id: str = "") -> object:
        """A measure of the lot: an amount, quantity, text, truth, or what is missing."""
        key = (name, region_id)
        if key not in self._measured:
            self._measured[key] = self._measure(name, region_id)
        return self._measured[key]

    def _measure(self, name: str, region_id: str) -> object:
        known = LOT_MEASURES[name]
        try:
            region = self.region(region_id) if region_id else None
            return value_of(known, self, region)
        except (NotMeasured, NoRegion, OutOfRange) as lacks:
            return Missing(name, "", str(lacks))

    def number(self, named: n.Named) -> Quantity:
        """A measure of the lot as a number."""
        found = self.measured(named.name, named.region)
        if isinstance(found, Quantity):
            return found
        if isinstance(found, Amount):
            return certain(found)
        missing = found if isinstance(found, Missing) else Missing(named.name, "", "")
        return unknown([missing], LOT_MEASURES[named.name].dimension)


class _Measured:
    """The attributes of a surface: what the file says, then what can be measured of it."""

    def __init__(
        self, survey: Survey, surface: Surface | None, facts: dict[str, AttributeValue]
    ) -> None:
        self._survey = survey
        self._surface = surface
        self._facts = facts

    def get(self, name: str, /) -> AttributeValue | None:
        """The value of an attribute, measured when the file does not give it."""
        if name in self._facts:
            return self._facts[name]
        known = SURFACE_MEASURES.get(name)
        if known is None or self._surface is None:
            return None
        found: Any
        try:
            found = value_of(known, self._survey, self._surface)
        except (NotMeasured, OutOfRange) as lacks:
            ask = f"{lacks} (for {self._surface.id})"
            if known.kind != "amount" or name in ATTRIBUTES:
                # What the file itself can give is asked for in the words of its attribute.
                found = None
            else:
                found = unknown([Missing(name, self._surface.id, ask)], known.dimension)
        self._facts[name] = found
        answer: AttributeValue | None = found
        return answer


def _trimmer(piece: LotPiece, region: Shape | None = None) -> Any:  # noqa: ANN401 - a function
    def trimmed_m2(trim: str, width_m: float) -> float:
        shape = piece.shape if region is None else piece.shape.intersection(region)
        if trim == "outer":
            outline = piece.layers[-1].surface
            inner = outline.shape.buffer(-width_m, join_style="mitre") if outline else shape
            return float(shape.intersection(inner).area)
        half_m = width_m / 2 * (1 - 1e-9)
        opened = shape.buffer(-half_m, join_style="mitre").buffer(half_m, join_style="mitre")
        return float(opened.intersection(shape).area)

    return trimmed_m2
