"""The surveyed lot: its partitions, regions and measures, each worked out once when asked for."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Any, Final, TypeVar

import shapely

from checker.algebra.scopes import SurfaceScope
from checker.algebra.tables import Spot
from checker.algebra.values import Missing, Quantity, certain, unknown
from checker.core.formula import OutOfRange, lack_text
from checker.core.units import AREA, Amount
from checker.core.words import NO_WORK, WAS, WAS_NOTHING, WORK
from checker.files.vocabulary import ATTRIBUTES
from checker.measure.catalogue import LOT_MEASURES, SURFACE_MEASURES, NotMeasured, ask_for, value_of
from checker.measure.land import CutLand
from checker.measure.regions import NoRegion, make_region
from checker.measure.unknown import of_unknown
from checker.site.materials import UNKNOWN
from checker.site.model import REST

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from checker.algebra import nodes as n
    from checker.algebra.regions import RegionRule
    from checker.algebra.scopes import AttributeValue
    from checker.algebra.values import Context
    from checker.algebra.vocabulary import Vocabulary
    from checker.files.source import Document
    from checker.measure.partition import LotPiece, Partition, PlacedSurface
    from checker.site.model import Shape, Site, State, Surface

T = TypeVar("T")

_OPEN_ROOFS: Final = frozenset({"pergola-open"})
"""What stands as a roof does and keeps no rain off; a planted roof keeps it off like any other."""


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
        self._making: list[str] = []
        self._land: CutLand | None = None
        self._lands: dict[tuple[tuple[str, Shape], ...], CutLand] = {}
        self._spots: dict[tuple[int, State], tuple[tuple[Spot, ...], tuple[Spot, ...]]] = {}
        self._measured: dict[tuple[str, str], object] = {}
        self._parts: dict[str, Any] = {}

    def bind(self, lot: Context) -> None:
        """Set the scope of the lot, which the scopes of its surfaces fall back on."""
        self._lot = lot

    def again(self) -> Survey:
        """The same drawing for another scope: what was cut is kept, what was looked up is not."""
        other = Survey(self.site, self.words, self._region_rules, self._cut_by)
        other._lands = self._lands
        other._parts = self._parts
        return other

    def take_parts(self, other: Survey) -> None:
        """Take over what was worked out of a drawing of the same surfaces, regions and parts."""
        self._parts.update(other._parts)
        self._lands.update(other._lands)

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
            if region_id in self._making:
                raise NoRegion(f"the region '{region_id}' hangs on itself: correct the rule set")
            self._making.append(region_id)
            try:
                self._regions[region_id] = make_region(
                    self._region_rules[region_id], self.site, self._length_m
                )
            except NoRegion as lacks:
                self._regions[region_id] = lacks
            finally:
                self._making.pop()
        found = self._regions[region_id]
        if isinstance(found, NoRegion):
            raise found
        return found

    def _length_m(self, node: n.Number) -> float | None:
        from checker.algebra import evaluate

        found = evaluate.number(node, self.lot)
        return found.low_si if found.is_certain else None

    @property
    def land(self) -> CutLand:
        """The land cut by every region of the rules that the drawing gives.

        While a region is made whose depth hangs on what is measured, by those made before it.
        """
        if self._land is not None:
            return self._land
        regions: dict[str, Shape] = {}
        names = () if self._lot is None else self._regions if self._making else self._region_rules
        for region_id in tuple(names):
            with contextlib.suppress(NoRegion):
                regions[region_id] = self.region(region_id)
        found = self.cut_by(regions)
        if not self._making and self._lot is not None:
            self._land = found
        return found

    def cut_by(self, regions: Mapping[str, Shape]) -> CutLand:
        """The land cut by some regions, geometry by id."""
        key = tuple(regions.items())
        if key not in self._lands:
            beyond = {name for name in regions if self._region_rules[name].is_beyond_lot}
            self._lands[key] = CutLand(self.site, regions, beyond)
        return self._lands[key]

    @property
    def _knows_inside(self) -> bool:
        """Whether every region that surfaces are told apart by could be made."""
        return all(isinstance(self._regions.get(name), shapely.Geometry) for name in self._cut_by)

    def partition(self, state: State) -> Partition:
        """The planar partition of a state."""
        return self.land.partition(state)

    def spots(self, state: State) -> tuple[Spot, ...]:
        """The spots of a state, with the scope of each surface over them."""
        return self._spots_of(state)[0]

    def _spots_of(self, state: State) -> tuple[tuple[Spot, ...], tuple[Spot, ...]]:
        """The spots within the lot, and those beyond it in regions that reach there."""
        partition = self.partition(state)
        key = id(partition), state
        if key not in self._spots:
            self._spots[key] = (
                tuple(self.spot(piece, state) for piece in partition.pieces),
                tuple(self.spot(piece, state) for piece in partition.beyond),
            )
        return self._spots[key]

    def spot(self, piece: LotPiece, state: State) -> Spot:
        """The spot of a piece, which may be one that is only thought of."""
        split = self.land.splitter(piece, state)
        return Spot(piece.area_m2, self._scopes(piece, state), split, piece)

    def spots_within(self, state: State, region_id: str) -> tuple[Spot, ...]:
        """The spots inside a region.

        Raises:
            NoRegion: The drawing lacks what the region is made from.
        """
        self.region(region_id)
        found = (spot for own in self._spots_of(state) for spot in own)
        return tuple(spot for spot in found if region_id in spot.land.inside)  # type: ignore[attr-defined]

    def _scopes(self, piece: LotPiece, state: State) -> tuple[Context, ...]:
        scopes: list[Context] = []
        for index, layer in enumerate(piece.layers):
            facts = self._facts(layer, state)
            below = piece.layers[:index]
            above = piece.layers[index + 1 :]
            words = self.words
            if layer.material is UNKNOWN:
                words = of_unknown(words)
            facts["over"] = frozenset(item.material.id for item in below if item.material)
            if below and below[0].material is not None and "over_pervious" not in facts:
                facts["over_pervious"] = below[0].material.nature in {"open", "porous"}
            if "covered" not in facts:
                facts["covered"] = any(
                    item.material is not None
                    and item.material.level == "roof"
                    and item.material.id not in _OPEN_ROOFS
                    for item in above
                )
            if self._knows_inside:
                facts["inside"] = piece.inside
            scopes.append(
                SurfaceScope(layer.id, _Measured(self, layer.surface, facts), self.lot, words)
            )
        return tuple(scopes)

    def _facts(self, layer: PlacedSurface, state: State) -> dict[str, AttributeValue]:
        if layer.surface is None:
            facts: dict[str, AttributeValue] = {"stage": "existing", WORK: NO_WORK}
            facts |= self.site.rest_attributes
            if layer.material is not None:
                facts |= {"material": layer.material.id, "nature": layer.material.nature}
                facts[WAS] = layer.material.id
                if layer.material.nature in {"open", "water"}:
                    # Who walks or drives on bare ground draws the path or the drive.
                    facts.setdefault("purpose", "other")
            return facts
        facts = dict(layer.surface.attributes)
        facts |= {"stage": layer.surface.stage, WORK: NO_WORK}
        if layer.surface.stage == "proposed":
            facts[WAS] = WAS_NOTHING
        elif layer.surface.was is not UNKNOWN:
            facts[WAS] = layer.surface.was.id
        is_former = layer.material is not layer.surface.material
        if layer.material is not None and layer.material is not UNKNOWN:
            facts |= {"material": layer.material.id, "nature": layer.material.nature}
            if layer.material.purpose and (is_former or "purpose" not in facts):
                # What the file says of a lawn that becomes a drive is said of the drive.
                facts["purpose"] = layer.material.purpose
        if layer.surface.section:
            facts["section"] = layer.surface.section
        facts["area"] = Amount(self.partition(state).visible_m2.get(layer.id, 0.0), AREA)
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
            return Missing(name, "", lack_text(lacks, self.site.own_system))

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
            says = lack_text(lacks, self._survey.site.own_system)
            ask = ask_for(says, self._surface.id)
            if known.kind != "amount" or name in ATTRIBUTES:
                # What the file itself can give is asked for in the words of its attribute.
                found = None
            else:
                found = unknown([Missing(name, self._surface.id, ask)], known.dimension)
        self._facts[name] = found
        answer: AttributeValue | None = found
        return answer
