"""A screening says of each lot what a check of it alone says, under every rule set that ships."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import shapely

from checker import api
from checker.core.problems import Place
from checker.core.records import replace
from checker.findings.lots import DrawnLot
from checker.findings.sheet import RuleSheet
from checker.measure.catalogue import SURFACE_MEASURES
from checker.screen.lots import SurfaceClass, Town
from checker.screen.probe import TO_FEATURE, WHERE_IT_LIES, Probe
from checker.site.materials import materials
from checker.site.model import BoundaryLine, Feature, Region
from tests.screen.holding import PLACES, differences

# `python -m tests.screen.prove 5000` goes the whole way.
SEEDS = (3, 4)
DWELLING = {"purpose": "dwelling"}


@pytest.mark.parametrize("place", PLACES)
def test_every_lot_is_judged_as_by_itself(place: str) -> None:
    for seed in SEEDS:
        told, _ = differences(seed, place, 4, swept=bool(seed % 2))
        assert told == []


def test_where_surfaces_lie_is_measured_as_of_one_lot() -> None:
    """Distances to features and lines, over the line, in an easement, how wide."""
    own = str(Path(__file__).parent / "where-it-lies.yaml")
    for seed in range(4):
        told, counts = differences(seed, own, 6, swept=bool(seed % 2))
        assert told == []
        assert counts["passes"] > 0 < counts["fails"]
        assert not counts["not screened"]


def test_a_measure_that_hangs_on_where_things_lie_is_known_to() -> None:
    """Two stand-in lots that differ in where things lie alone: what differs is on the list."""
    found = Town(classes=[_class("concrete-slab"), _class("pool-water"), _class("roof", DWELLING)])
    ruleset = api.load_ruleset("pool-ground")
    place = Place("one.yaml")
    answers = []
    for x_m, well_m in ((2.0, 40.0), (-1.0, 10.0)):
        slab = shapely.box(x_m, 4 + x_m, x_m + 3, 7)
        house = shapely.box(13, 12, 18, 18)
        pool = shapely.box(6, 2 + x_m, 9, 5)
        site = Probe(found, ruleset).site
        shapes = zip(site.surfaces, (slab, pool, house), strict=True)
        lot = shapely.box(0, 0, 20, 20)
        corners = list(lot.exterior.coords)
        sides = ("front", "side", "rear", "side")
        moved = replace(
            site,
            surfaces=tuple(replace(own, shape=shape) for own, shape in shapes),
            lot=replace(
                site.lot,
                boundary=lot,
                lines=tuple(
                    BoundaryLine(number=i, side=side, line=shapely.LineString(pair), label="")
                    for i, (pair, side) in enumerate(zip(pairwise(corners), sides, strict=True), 1)
                ),
            ),
            features=tuple(
                Feature(id=kind, title=kind, kind=kind, shape=shapely.Point(well_m, 5), place=place)
                for kind in TO_FEATURE.values()
            ),
            regions=(
                Region(id="e", title="e", kind="easement", shape=shapely.box(-1, 0, 1.5, 20),
                       place=place),
            ),
        )  # fmt: skip
        drawn: Any = DrawnLot(moved, ruleset, {})
        RuleSheet(ruleset, drawn)
        scope = drawn.survey.spots("proposed")
        layers = [
            own for spot in scope for own in spot.layers if own.surface_id == site.surfaces[0].id
        ]
        answers.append({name: layers[0].attributes.get(name) for name in SURFACE_MEASURES})
    differ = {name for name in SURFACE_MEASURES if answers[0][name] != answers[1][name]}
    assert differ == WHERE_IT_LIES


def _class(material: str, attributes: Mapping[str, str] | None = None) -> SurfaceClass:
    return SurfaceClass(material=materials()[material], attributes=attributes or {})


def test_the_comparison_can_fail_and_sees_every_status() -> None:
    """Over some rule sets every status occurs, so that the sample is no run of one verdict."""
    seen = set()
    for place in ("reed-mere", "hollin-mere", "mill-weir", "sallow-cove", "weston-florida"):
        for seed in range(6):
            seen |= set(differences(seed, place, 4, swept=False)[1])
    assert {"passes", "fails", "cannot tell", "unanswered", "does not apply"} <= seen
