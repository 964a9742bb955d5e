"""One lot that is like all others of a town: it answers what does not hang on where things lie.

What a rule asks of a surface beside its area and place is the same for all surfaces of one sort.
So the reading for one lot is asked once for each sort, and its own answers are used, the missing
ones too.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.algebra.values import Missing, Quantity, certain
from checker.core.problems import Place, Problems
from checker.core.records import replace
from checker.core.units import Amount
from checker.files.source import read_text
from checker.findings.declared import with_declared
from checker.findings.lots import DrawnLot
from checker.findings.sheet import RuleSheet
from checker.measure.layout import SIDES, TO_FEATURES
from checker.measure.partition import LotPiece, PlacedSurface
from checker.site.model import REST, Lot, Site, Surface

if TYPE_CHECKING:
    from checker.algebra.scopes import SurfaceScope
    from checker.rulesets.rules import RuleSet
    from checker.screen.lots import Town

SOME: Final = "a surface"
"""Stands where a gap names its surface, since every surface of its sort has it."""

TO_FEATURE: Final = {f"distance_to_{kind.replace('-', '_')}": kind for kind in TO_FEATURES}
"""The kind of feature that a measure is the distance to."""

TO_SIDE: Final = {f"distance_to_{side}_line": side for side in SIDES}
"""The side of the lot that a measure is the distance to."""

ALWAYS_MEASURED: Final = frozenset(
    {"width", "within_lot", "distance_to_lot_line", "distance_to_dwelling", "distance_to_pool"}
)
"""Measures of where a surface lies that the lots and surfaces of a town are enough for."""

WHERE_IT_LIES: Final = ALWAYS_MEASURED | {"in_easement"} | TO_FEATURE.keys() | TO_SIDE.keys()
"""Measures of a surface that hang on where it lies, so that those of one sort do not share them."""

_SIDE_M: Final = 4.0


class Probe:
    """Answers for every sort of surface of a town under a rule set.

    Args:
        town: What holds for all lots.
        ruleset: The rules.

    Attributes:
        site: A lot with one square of every sort of surface, apart from each other.
    """

    def __init__(self, town: Town, ruleset: RuleSet) -> None:
        self._town = town
        self._ruleset = ruleset
        problems = Problems()
        site = with_declared(_site(town), ruleset, problems)
        problems.stop_if_any(f"the layers do not fit {ruleset.title}")
        self.site = site
        lot = DrawnLot(site, ruleset, {})
        self.sheet = RuleSheet(ruleset, lot, dict(town.readings))
        self._survey = lot.survey
        self._scopes: dict[tuple[int, ...], tuple[SurfaceScope, ...]] = {}

    def lot_measure(self, name: str) -> Quantity | str | bool | Missing:
        """A measure of the lot that is alike for all of them."""
        found = self._survey.measured(name)
        return certain(found) if isinstance(found, Amount) else found  # type: ignore[return-value]

    @cached_property
    def without_surfaces(self) -> Probe:
        """The same for a lot on which there is nothing."""
        return Probe(replace(self._town, classes=()), self._ruleset)

    def with_sort(self, sort: int) -> Probe:
        """The same for a lot on which there is one sort of surface alone."""
        return Probe(replace(self._town, classes=(self._town.classes[sort],)), self._ruleset)

    def scopes(self, classes: tuple[int, int, int]) -> tuple[SurfaceScope, ...]:
        """The scope of each surface over a spot, the ground first; -1 for none at a level."""
        if classes not in self._scopes:
            surfaces = self.site.surfaces
            rest = PlacedSurface(None, self.site.rest_of_lot, REST)
            layers = [
                PlacedSurface(surfaces[of], surfaces[of].material, surfaces[of].id)
                if of >= 0
                else rest
                for level, of in enumerate(classes)
                if of >= 0 or level == 0
            ]
            piece = LotPiece(area_m2=1.0, layers=tuple(layers), make=_nowhere)
            spot = self._survey.spot(piece, "proposed")
            self._scopes[classes] = spot.layers  # type: ignore[assignment]
        return self._scopes[classes]

    def attribute(self, scope: SurfaceScope, name: str) -> Any:
        """What is known of a surface by the name of an attribute; None where it is missing."""
        found = scope.attributes.get(name)
        if isinstance(found, Quantity) and found.missing:
            gaps = tuple(self.gap(item, scope) for item in found.missing)
            return Quantity(found.low_si, found.high_si, found.dimension, gaps)
        return found

    def gives(self, scope: SurfaceScope, name: str) -> bool:
        """Whether the layers themselves give an attribute."""
        if scope.surface_id == REST:
            return True
        return name in self.site.surface(scope.surface_id).attributes

    def missing(self, scope: SurfaceScope, name: str) -> Missing:
        """What to ask for when an attribute is missing."""
        return self.gap(scope.missing(name), scope)

    @staticmethod
    def gap(item: Missing, scope: SurfaceScope) -> Missing:
        """A gap of one surface, told of any like it."""
        if not item.of or scope.surface_id == REST:
            return item
        return Missing(item.name, SOME, item.ask.replace(scope.surface_id, SOME))


def _nowhere() -> Any:
    from shapely import Polygon

    return Polygon()


def _site(town: Town) -> Site:
    """A lot with one square of every sort of surface, apart from each other."""
    from shapely import box

    place = Place("the layers")
    count = len(town.classes)
    wide = max(int(np.ceil(np.sqrt(count))), 1)
    surfaces: list[Surface] = []
    for number, own in enumerate(town.classes):
        x_m, y_m = (2 * _SIDE_M * (number % wide + 1), 2 * _SIDE_M * (number // wide + 1))
        surfaces.append(
            Surface(
                id=f"surface-of-sort-{number}",
                title=own.material.title,
                material=own.material,
                was=own.material,
                stage="existing",
                shape=box(x_m, y_m, x_m + _SIDE_M, y_m + _SIDE_M),
                attributes=own.attributes,
                other_attributes=own.other_attributes,
                place=place,
            )
        )
    side_m = 2 * _SIDE_M * (wide + 2)
    return Site(
        title="any lot",
        place_id="",
        lot=Lot(boundary=box(0.0, 0.0, side_m, side_m), lines=(), place=place),
        surfaces=tuple(surfaces),
        document=read_text("format: site/1\n", "the layers"),
        file=Path("the layers"),
        unit=town.unit,
        rest_of_lot=town.rest_of_lot,
        none_found=town.none_found,
    )
