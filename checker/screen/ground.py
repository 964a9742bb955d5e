"""What lies where on some lots, sorted for one rule set: kinds of spots, regions, surfaces."""

from __future__ import annotations

from copy import copy
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.algebra import nodes as n
from checker.algebra.values import Missing
from checker.algebra.walk import nodes
from checker.core.records import Record
from checker.findings.lots import regions_told_apart
from checker.measure.layout import SIDES
from checker.screen.columns import UNREAD, YES, any_of, unread
from checker.screen.lots import OverlayLand

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Sequence

    from numpy.typing import NDArray

    from checker.algebra.regions import RegionRule
    from checker.algebra.scopes import SurfaceScope
    from checker.rulesets.rules import RuleSet
    from checker.screen.columns import Gaps
    from checker.screen.compare import Mask
    from checker.screen.lots import Lots
    from checker.screen.probe import Probe

PER_LOT: Final = n.Passes | n.LimitOf | n.ForEach
"""Nodes that look beyond the surface whose scope they stand in."""


class RegionSpots(Record, eq=False):
    """A region of a rule set on some lots.

    Attributes:
        spots: The spots inside it, shape (r,).
        gaps: What is missing where it cannot be told, and on which lots.
    """

    spots: Mask
    gaps: Gaps

    @property
    def is_known(self) -> Any:
        """The lots on which it can be told, shape (n,) or ()."""
        return ~any_of(self.gaps.values())


class Kinds(Record, eq=False):
    """Spots that are alike but for their lot and area.

    Attributes:
        of_spot: The kind of each spot, shape (r,).
        layers: The scopes over each kind, as places in `scopes`, -1 for none; shape (k, 3).
        scopes: Every scope, once.
        inside: The regions that each scope lies in; None where that cannot be told.
    """

    of_spot: NDArray[np.intp]
    layers: NDArray[np.intp]
    scopes: tuple[SurfaceScope, ...]
    inside: tuple[frozenset[str] | None, ...]


class SortedGround:
    """Some lots, sorted for the regions and sorts of a rule set."""

    def __init__(self, lots: Lots, ruleset: RuleSet, probe: Probe) -> None:
        self.lots = lots
        self.ruleset = ruleset
        self.probe = probe
        self._regions: dict[str, RegionSpots] = {}

    def under(self, ruleset: RuleSet) -> SortedGround:
        """The same ground for a rule set that differs in its limits alone."""
        if ruleset is self.ruleset:
            return self
        found = copy(self)
        found.ruleset = ruleset
        return found

    def region(self, name: str) -> RegionSpots:
        """A region that the rule set defines."""
        if name not in self._regions:
            self._regions[name] = self._made(self.ruleset.regions[name])
        return self._regions[name]

    def _made(self, rule: RegionRule) -> RegionSpots:
        lots = self.lots
        nowhere = np.zeros(len(lots.spot_lot), bool)
        if rule.is_beyond_lot:
            beyond = unread(f"{rule.title} lies beyond the lots: not measured here")
            return RegionSpots(nowhere, {beyond: np.asarray(YES)})
        is_yard = rule.making == "yard" and lots.fronts is not None
        if is_yard and land_of(rule, self.ruleset.facts) is None:
            deep = unread(f"the depth of the {rule.title} is not worked out here")
            return RegionSpots(nowhere, {deep: np.asarray(YES)})
        spots = self._spots(rule)
        if spots is None:
            lacks = self.probe.sheet.lot.spots("proposed", rule.id)
            if isinstance(lacks, Missing):
                return RegionSpots(nowhere, {lacks: np.asarray(YES)})
            spots = nowhere
        if rule.is_touching:
            spots = (lots.by_lot(spots.astype(float)) > 0)[lots.spot_lot]
        gaps = self._yard_gaps(rule) if is_yard else {}
        if rule.least_width_m and not rule.is_touching and spots.any():
            narrow = unread(f"{rule.title} leaves out narrow land, which a screening does not see")
            gaps = {**gaps, narrow: lots.by_lot(spots.astype(float)) > 0}
        return RegionSpots(spots, gaps)

    def _yard_gaps(self, rule: RegionRule) -> Gaps:
        """The lots on which a yard is in doubt, and why."""
        lots, land = self.lots, land_of(rule, self.ruleset.facts)
        assert lots.fronts is not None
        gaps: dict[Missing, Any] = dict(lots.fronts.lacks(rule.of, rule.id))
        if land in lots.town.lands:
            bit = np.int64(1) << np.int64(lots.town.lands.index(land))
            ask = "say which surface is the dwelling: 'attributes: {purpose: dwelling}' of a roof"
            if rule.depth is not None:
                ask = f"give what the depth of the {rule.title} depends on"
            gaps[Missing(rule.id, "", ask)] = (lots.fronts.without_depth & bit) != 0
        return gaps

    def _spots(self, rule: RegionRule) -> Mask | None:
        """The spots inside a region; None where the layers do not tell them."""
        if rule.making == "lot":
            return np.ones(len(self.lots.spot_lot), bool)
        land = land_of(rule, self.ruleset.facts)
        if land is None or land not in self.lots.town.lands:
            return None
        if land.by == "yard" and self.lots.fronts is None:
            return None
        bit = np.int64(1) << np.int64(self.lots.town.lands.index(land))
        return np.asarray((self.lots.spot_marks & bit) != 0)

    @cached_property
    def kinds(self) -> Kinds:
        """The kinds of spots, with the scope of each surface over them."""
        lots = self.lots
        told = [name for name in self.ruleset.regions if name in regions_told_apart(self.ruleset)]
        classes = np.append(lots.surface_class, -1)[lots.spot_layers]
        inside = np.zeros(len(lots.spot_lot), np.int64)
        is_known: Any = YES
        for place, name in enumerate(told):
            region = self.region(name)
            inside |= region.spots.astype(np.int64) << place
            is_known = is_known & region.is_known
        if told:
            known_here = np.broadcast_to(is_known, lots.count)[lots.spot_lot]
            inside = np.where(known_here, inside, -1)
        kinds, of_spot = _unique(classes, inside)
        return self._sorted(kinds, of_spot, told)

    def _sorted(
        self, kinds: NDArray[np.int64], of_spot: NDArray[np.intp], told: Sequence[str]
    ) -> Kinds:
        layers = np.full((len(kinds), 3), -1, np.intp)
        scopes: list[SurfaceScope] = []
        where: list[frozenset[str] | None] = []
        for kind, (ground, raised, roof, marks) in enumerate(kinds.tolist()):
            own = self.probe.scopes((ground, raised, roof))
            inside = None
            if marks >= 0:
                inside = frozenset(name for i, name in enumerate(told) if marks >> i & 1)
            levels = [0, *(level for level, of in ((1, raised), (2, roof)) if of >= 0)]
            for level, scope in zip(levels, own, strict=True):
                layers[kind, level] = len(scopes)
                scopes.append(scope)
                where.append(inside)
        return Kinds(of_spot, layers, tuple(scopes), tuple(where))

    @cached_property
    def inside_gap(self) -> Missing | None:
        """Why it is not told here which regions surfaces lie in; None where nothing is amiss."""
        told = (self.region(name).gaps for name in sorted(regions_told_apart(self.ruleset)))
        return next((gap for gaps in told for gap in gaps if gap.of == UNREAD), None)

    @cached_property
    def surface_scope(self) -> NDArray[np.intp]:
        """The scope in which each surface is seen first, as a place in `kinds.scopes`.

        -1 for a surface of which nothing is seen. Spots are looked at in the order in which the
        reading for one lot lists them: by who is seen at each level, then by the regions.
        """
        lots, found = self.lots, np.full(len(self.lots.surface_lot), -1, np.intp)
        marks = np.zeros(len(lots.spot_lot), np.int64)
        for name in self.ruleset.regions:
            marks = marks * 2 + self.region(name).spots
        order = np.lexsort((marks, *lots.spot_layers.T[::-1], lots.spot_lot))[::-1]
        for level in (2, 1, 0):
            layer = lots.spot_layers[order, level]
            there = layer >= 0
            found[layer[there]] = self.kinds.layers[self.kinds.of_spot[order[there]], level]
        return found


def land_of(rule: RegionRule, facts: Container[str]) -> OverlayLand | None:
    """What the overlays must tell apart for a region; None where they do not make it.

    Args:
        rule: The region.
        facts: The facts that its rule set asks for, by one of which a yard may be as deep.
    """
    if rule.making == "yard":
        if rule.of not in SIDES:
            return None
        match rule.depth:
            case None:
                return OverlayLand("yard", rule.of)
            case n.Fixed(amount=depth):
                return OverlayLand("yard", rule.of, 0.0, depth.value_si)
            case n.Named(name=fact, region="", state="") if fact in facts:
                return OverlayLand("yard", rule.of, depth_of=fact)
            case _:
                return None
    if rule.making == "overlay":
        return OverlayLand("id", rule.of)
    if rule.making == "band":
        return OverlayLand("band", rule.of, rule.over_m, rule.up_to_m)
    return OverlayLand("kind", rule.of) if rule.making == "kind" else None


def _unique(classes: NDArray[Any], inside: NDArray[np.int64]) -> tuple[NDArray[Any], Any]:
    """The different rows of classes and marks, and which of them each spot is."""
    most = int(classes.max(initial=0)) + 2
    marks = int(inside.max(initial=0)) + 2
    if most**3 * marks < 2**62:
        key = inside + 1
        for level in range(3):
            key = key * most + (classes[:, level] + 1)
        known, which = np.unique(key, return_inverse=True)
        columns = []
        for _ in range(3):
            columns.append(known % most - 1)
            known = known // most
        return np.stack([*columns[::-1], known - 1], axis=1), which
    table = np.concatenate([classes, inside[:, None]], axis=1)
    found, which = np.unique(table, axis=0, return_inverse=True)
    return found, which.reshape(-1)


def is_of_sorts(trees: Iterable[object], names: frozenset[str]) -> bool:
    """Whether trees ask surfaces for nothing but what all of one sort share.

    Args:
        trees: Conditions and numbers in the scope of a surface.
        names: The attributes that surfaces of one sort share.
    """
    for tree in trees:
        for node in nodes(tree):
            if isinstance(node, PER_LOT):
                return False
            if isinstance(node, n.Named | n.Is | n.Dated) and node.name not in names:
                return False
    return True
