"""Where things lie on the lot, in words: what a plan shows to people who cannot see it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.showing import show, unit_for
from checker.core.units import AREA, LENGTH, Amount
from checker.measure.regions import NoRegion
from checker.words.amounts import capital, clean
from checker.words.statuses import Pair

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.findings.checked import Checked
    from checker.site.model import Shape, Site, Surface
    from checker.words.letters import Keys

_COMPASS: Final = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip


class PlanItem(NamedTuple):
    """One surface of the plan."""

    letter: str
    surface: str
    material: str
    stage: str
    area: str
    size: str
    where: str
    measured_by: str


def plan_items(checked: Checked, keys: Keys) -> tuple[PlanItem, ...]:
    """Every surface of the drawing, in the order of its letters."""
    return tuple(_item(surface, checked, keys) for surface in checked.site.surfaces)


def _item(surface: Surface, checked: Checked, keys: Keys) -> PlanItem:
    system = checked.system
    left, bottom, right, top = surface.shape.bounds
    material = clean(surface.material.title)
    if surface.was != surface.material:
        material = f"{material} (today {clean(surface.was.title).lower()})"
    level = "" if surface.material.level == "ground" else f"{surface.material.level} level"
    return PlanItem(
        letter=keys.letter(surface.id),
        surface=clean(surface.title),
        material=material,
        stage=", ".join(part for part in (surface.stage, level) if part),
        area=show(Amount(surface.shape.area, AREA), system),
        size=size_text(right - left, top - bottom, system),
        where=where(surface.shape, checked.site),
        measured_by=clean(surface.measured_by),
    )


def size_text(width_m: float, height_m: float, system: System) -> str:
    """Width by height, given in metres, in the unit of pages: "48 by 30 ft"."""
    unit = unit_for(LENGTH, system)[0]
    sides = (show(Amount(side_m, LENGTH), system) for side_m in (width_m, height_m))
    plain = (side.removesuffix(f" {unit}") for side in sides)
    return f"{' by '.join(side.rstrip('0').rstrip('.') for side in plain)} {unit}"


def where(shape: Shape, site: Site) -> str:
    """The part of the lot that a shape lies in: "in the north-east", "in the middle"."""
    lot = site.lot.boundary
    box = lot.bounds
    dx_m, dy_m = shape.centroid.x - lot.centroid.x, shape.centroid.y - lot.centroid.y
    reach_m = math.hypot(box[2] - box[0], box[3] - box[1]) / 2
    beyond = "" if shape.intersects(lot) else "outside the lot, "
    if math.hypot(dx_m, dy_m) < 0.15 * reach_m:
        return f"{beyond}in the middle"
    azimuth = (math.degrees(math.atan2(dx_m, dy_m)) - site.north_degrees) % 360
    return f"{beyond}in the {_COMPASS[round(azimuth / 45) % 8]}"


def features_of(checked: Checked) -> tuple[Pair, ...]:
    """The features and regions of the drawing and the regions of the rule set, each with where."""
    site, system = checked.site, checked.system
    found = [
        Pair(capital(clean(item.title)), f"{clean(item.kind)}, {where(item.shape, site)}")
        for item in site.features
    ]
    for region in site.regions:
        area = show(Amount(region.shape.area, AREA), system)
        found.append(Pair(capital(clean(region.title)), f"{clean(region.kind)}, {area}"))
    for name, rule in checked.ruleset.regions.items():
        try:
            shape = checked.survey.region(name)
        except NoRegion as lacks:
            text = f"not drawn: {clean(lacks)}"
        else:
            area = show(Amount(shape.area, AREA), system)
            text = "empty" if shape.is_empty else f"{area}, {where(shape, site)}"
        found.append(Pair(f"{capital(clean(rule.title))} (of the rule set)", text))
    return tuple(found)
