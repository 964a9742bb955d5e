"""Random towns, and each of their lots as the site that a check of it alone would read."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any, Final

import numpy as np
import shapely
from shapely import affinity

from checker.core.problems import Place
from checker.core.units import LENGTH, Amount
from checker.files.source import read_text
from checker.rulesets.rules import RuleSet
from checker.screen.ground import land_of
from checker.screen.lands import band
from checker.screen.lots import Given, OverlayLand, SurfaceClass, Town
from checker.screen.members import TownLayers, members_of
from checker.screen.outlines import Outlines
from checker.screen.probe import TO_FEATURE
from checker.screen.sides import sides_of
from checker.site.materials import materials
from checker.site.model import BoundaryLine, Feature, FiledDocument, Lot, Region, Site, Surface

FOOT_M: Final = 0.3048
_DOCUMENT: Final = read_text("format: site/1\n", "random.yaml")
_PLACE: Final = Place("random.yaml")
_PURPOSES: Final = ("dwelling", "garage", "patio", "walk", "driveway", "other")


def classes(random: Random) -> list[SurfaceClass]:
    """Sorts of surface: any material, some with attributes."""
    found = []
    for material in random.sample(list(materials().values()), 14):
        attributes: dict[str, Any] = {}
        if random.random() < 0.5:
            attributes["purpose"] = random.choice(_PURPOSES)
        if random.random() < 0.2:
            attributes["height"] = Amount(random.choice([0.1, 0.5, 0.9]), LENGTH, "ft")
        if random.random() < 0.2:
            attributes["gap"] = Amount(random.choice([0.003, 0.0127]), LENGTH, "in")
        if random.random() < 0.2:
            attributes["over_pervious"] = random.random() < 0.5
        if random.random() < 0.15:
            attributes["lined"] = random.random() < 0.5
        found.append(SurfaceClass(material=material, attributes=attributes))
    roof = materials()["roof"]
    found.append(SurfaceClass(material=roof, attributes={"purpose": "dwelling"}))
    return found


def shape(random: Random, x: float, y: float, scale: float) -> Any:
    """A surface near a point: a rectangle, turned or not, a round one, an L, two apart."""
    wide, deep = random.uniform(1, 30) * scale, random.uniform(1, 20) * scale
    kind = random.randrange(6)
    found: Any
    if kind == 0:
        found = affinity.scale(shapely.Point(x, y).buffer(1, quad_segs=6), wide / 2, deep / 2)
    elif kind == 1:
        corner = shapely.box(x, y, x + wide, y + deep)
        found = corner.difference(
            shapely.box(x + wide / 2, y + deep / 3, x + wide * 2, y + deep * 2)
        )
    elif kind == 2:
        apart = shapely.box(x + wide + scale, y, x + 2 * wide + scale, y + deep)
        found = shapely.MultiPolygon([shapely.box(x, y, x + wide, y + deep), apart])
    elif kind == 3:
        hole = shapely.box(x + wide / 4, y + deep / 4, x + wide / 2, y + deep / 2)
        found = shapely.box(x, y, x + wide, y + deep).difference(hole)
    else:
        found = shapely.box(x, y, x + wide, y + deep)
    if random.random() < 0.4:
        found = affinity.rotate(found, random.uniform(0, 180))
    rounded = shapely.transform(found, lambda points: np.round(points, 2))
    return rounded if rounded.is_valid and rounded.area > 0 else shapely.box(x, y, x + 1, y + 1)


def town(
    seed: int, rulesets: list[RuleSet], lots: int = 6, unit: str = "ft"
) -> tuple[Town, TownLayers, dict[str, list[Any]]]:
    """A row of lots with surfaces, overlays for the regions of rule sets, and facts."""
    random = Random(seed)
    size_m = FOOT_M if unit == "ft" else 1.0
    scale = 1.0 if unit == "ft" else 0.3
    sorts = classes(random)
    measured_to = frozenset(TO_FEATURE.values())
    x0, y0 = (2_000_000.0, 600_000.0) if random.random() < 0.5 else (0.0, 0.0)
    outlines, surfaces, sort = [], [], []
    for number in range(lots):
        x, deep = x0 + number * 80 * scale, random.uniform(80, 140) * scale
        lean = random.uniform(-6, 6) * scale
        ring = [(x, y0), (x + 80 * scale, y0), (x + 80 * scale + lean, y0 + deep), (x, y0 + deep)]
        outlines.append(
            shapely.transform(shapely.Polygon(ring), lambda points: np.round(points, 2))
        )
        for _ in range(random.randrange(9)):
            surfaces.append(
                shape(random, x + random.uniform(-10, 80) * scale,
                      y0 + random.uniform(-10, 130) * scale, scale)
            )  # fmt: skip
            sort.append(random.randrange(len(sorts)))
        if random.random() < 0.3 and surfaces:
            surfaces.append(surfaces[-1])  # drawn twice
            sort.append(random.randrange(len(sorts)))
    lands = _lands(rulesets)
    overlays, marks = [], []
    drawn = {
        land.name: [_line(random, x0, y0, lots, scale) for _ in range(random.randrange(3))]
        for land in lands
        if land.by == "band"
    }
    features = drawn | {
        kind: [_dot(random, x0, y0, lots, scale) for _ in range(random.randrange(1, 4))]
        for kind in TO_FEATURE.values()
        if kind not in drawn and random.random() < 0.5
    }
    for bit, land in enumerate(lands):
        if land.by == "yard":
            continue
        if land.by == "band":
            made = band(features[land.name], land, size_m)
            overlays += made
            marks += [1 << bit] * len(made)
            continue
        for _ in range(random.randrange(3)):
            width = random.uniform(10, 300) * scale
            x = x0 + random.uniform(-50, lots * 80) * scale
            y = y0 + random.uniform(-50, 120) * scale
            overlays.append(
                affinity.rotate(shapely.box(x, y, x + width, y + width), random.uniform(0, 90))
            )
            marks.append(1 << bit)
    rest = random.choice([None, materials()["lawn"], materials()["bare-soil"]])
    documents = sorted(
        {node for ruleset in rulesets for node in _documents(ruleset) if random.random() < 0.3}
    )
    readings = {
        reading.id: random.choice(list(reading.options))
        for ruleset in rulesets
        for reading in ruleset.readings.values()
        if random.random() < 0.4
    }
    found = Town(
        classes=sorts, lands=lands, rest_of_lot=rest, unit=unit, on_file=frozenset(documents),
        readings=readings, has_every_front=random.random() < 0.5,
        features=measured_to & {name for name, own in features.items() if own},
    )  # fmt: skip
    given = {
        name: _given(random, ruleset, name, lots)
        for ruleset in rulesets
        for name in ruleset.facts
        if random.random() < 0.7
    }
    across = y0 - random.uniform(8, 30) * scale
    streets = [shapely.LineString([(x0 - 500, y0 - 20 * scale), (x0 + 900, across)])]
    if random.random() < 0.4:  # a corner lot
        side = x0 - 9 * scale
        streets.append(shapely.LineString([(side, y0 - 300), (side, y0 + 300)]))
    recorded = np.array([random.choice([np.nan, 700.0, 1200.5]) for _ in range(lots)])
    layers = TownLayers(
        ids=np.array([f"lot-{number}" for number in range(lots)]),
        lots=Outlines(shapes=np.array(outlines, object)),
        surfaces=Outlines(shapes=np.array(surfaces, object)),
        surface_class=np.array(sort, np.intp),
        overlays=np.array(overlays, object),
        overlay_land=np.array(marks, np.int64),
        size_m=size_m,
        streets=np.array(streets, object) if seed % 4 else None,
        given=given,
        recorded_m2=recorded,
        features={name: np.array(own, object) for name, own in features.items() if own},
    )
    return found, layers, features


def _lands(rulesets: list[RuleSet]) -> tuple[OverlayLand, ...]:
    found: dict[OverlayLand, None] = {OverlayLand("kind", "easement"): None}
    for ruleset in rulesets:
        for rule in ruleset.regions.values():
            if rule.making == "overlay":
                found[OverlayLand("id", rule.of)] = None
            elif rule.making == "kind":
                found[OverlayLand("kind", rule.of)] = None
            elif rule.making == "yard" and (land := land_of(rule, ruleset.facts)) is not None:
                found[land] = None
            elif rule.making == "band":
                found[OverlayLand("band", rule.of, rule.over_m, rule.up_to_m)] = None
    return tuple(found)


def _documents(ruleset: RuleSet) -> set[str]:
    from checker.algebra import nodes as n
    from checker.algebra.walk import nodes

    trees: list[object] = [r.require for r in ruleset.rules]
    trees += [r.applies for r in ruleset.rules]
    trees += [tuple(table.rows) for table in ruleset.counts.values()]
    return {node.document for tree in trees for node in nodes(tree) if isinstance(node, n.OnFile)}


def _given(random: Random, ruleset: RuleSet, name: str, lots: int) -> Given:
    word = ruleset.facts[name]
    if word.kind == "yes or no":
        values: tuple[Any, ...] = (True, False)
    elif word.kind == "text":
        values = word.choices or ("a", "b")
    elif word.kind == "date":
        values = ("1985-01-01", "2010-06-01", "2022-03-04")
    else:
        unit = {1: "ft", 2: "sq ft", 3: "cu ft"}.get(word.dimension.length, "")
        values = tuple(f"{number} {unit}".strip() for number in (0, 0.5, 30, 1500, 9000))
        if word.dimension.time or word.dimension.money or word.dimension.mass:
            return Given((), np.full(lots, -1))
    return Given(values, np.array([random.randrange(-1, len(values)) for _ in range(lots)]))


def sites(
    found: Town, layers: TownLayers, features: dict[str, list[Any]], place: str
) -> list[Site]:
    """Each lot of a town as a site of its own, in metres."""
    members = members_of(found, layers)

    def metres(one: Any) -> Any:
        return shapely.transform(one, lambda points: points * layers.size_m)

    told = (
        None
        if layers.streets is None
        else sides_of(
            layers.lots.shapes, layers.streets, layers.size_m, every_street=found.has_every_front
        ).lines
    )
    sites = []
    for number, outline in enumerate(layers.lots.shapes):
        own = np.sort(members.surface[members.surface_lot == number])
        surfaces = tuple(
            Surface(
                id=f"s{at}", title=f"s{at}", material=sort.material, was=sort.material,
                stage="existing",
                shape=metres(layers.surfaces.shapes[at]), attributes=sort.attributes,
                place=_PLACE,
            )
            for at in own
            if _is_over(layers, at, outline)
            for sort in (found.classes[layers.surface_class[at]],)
        )  # fmt: skip
        regions = tuple(
            Region(id=land.name if land.by == "id" else f"r{at}", title="r",
                   kind=land.name if land.by == "kind" else "overlay",
                   shape=metres(_all_of(layers, bit) if land.by == "id" else layers.overlays[at]),
                   place=_PLACE)
            for bit, land in enumerate(found.lands)
            if land.by not in {"band", "yard"}
            for at in _drawn(layers, bit)[: 1 if land.by == "id" else None]
        )  # fmt: skip
        near = tuple(
            Feature(id=f"f{name}{at}", title="f", kind=name, shape=metres(one), place=_PLACE)
            for name, several in features.items()
            for at, one in enumerate(several)
        )
        absent = {land.name for bit, land in enumerate(found.lands)
                  if not (layers.overlay_land >> bit & 1).any()}  # fmt: skip
        recorded = layers.recorded_m2[number]
        sites.append(
            Site(
                title="t", place_id=place, unit=found.unit, document=_DOCUMENT,
                file=Path("random.yaml"), surfaces=surfaces, regions=regions, features=near,
                lot=Lot(boundary=metres(outline), place=_PLACE,
                        lines=_lines(metres, outline, told, number),
                        recorded_area_m2=None if np.isnan(recorded) else float(recorded)),
                facts={name: given.values[given.index[number]]
                       for name, given in layers.given.items() if given.index[number] >= 0},
                rest_of_lot=found.rest_of_lot, none_found=found.none_found | absent,
                readings=found.readings,
                on_file=tuple(FiledDocument(document=name) for name in found.on_file),
            )
        )  # fmt: skip
    return sites


def _line(random: Random, x0: float, y0: float, lots: int, scale: float) -> Any:
    """A shoreline: a broken line across the lots or beside them."""
    x = x0 + random.uniform(-100, 60) * scale
    points: list[tuple[float, float]] = []
    while x < x0 + lots * 80 * scale and len(points) < 9:
        points.append((round(x, 2), round(y0 + random.uniform(-200, 200) * scale, 2)))
        x += random.uniform(20, 150) * scale
    return shapely.LineString([*points, (round(x, 2), y0)])


def _dot(random: Random, x0: float, y0: float, lots: int, scale: float) -> Any:
    """A well or a tree."""
    x, y = random.uniform(-20, lots * 80) * scale, random.uniform(-40, 160) * scale
    return shapely.Point(round(x0 + x, 2), round(y0 + y, 2))


def _lines(metres: Any, outline: Any, told: Any, number: int) -> tuple[BoundaryLine, ...]:
    """The lines of a boundary; those of a side that is told bear its name."""
    if told is None:
        return ()
    sides = {
        tuple(part.coords): side
        for side, lines in told.items()
        if lines[number] is not None
        for part in lines[number].geoms
    }
    corners = list(outline.exterior.coords)
    return tuple(
        BoundaryLine(
            number=i + 1,
            side=sides.get(pair, ""),
            line=metres(shapely.LineString(pair)),
            label="",
        )
        for i, pair in enumerate(pairwise(corners))
    )


def _is_over(layers: TownLayers, at: int, outline: Any) -> bool:
    common = layers.surfaces.shapes[at].intersection(outline)
    return bool(common.area * layers.size_m**2 > 1e-7)


def _drawn(layers: TownLayers, bit: int) -> Any:
    return np.flatnonzero(layers.overlay_land >> bit & 1)


def _all_of(layers: TownLayers, bit: int) -> Any:
    return shapely.union_all(layers.overlays[(layers.overlay_land >> bit & 1) == 1])
