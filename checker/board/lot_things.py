"""What is on and about the lot besides surfaces: wells, trees, easements, as the page has them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.board.outlines import rings_of
from checker.core.showing import show
from checker.core.units import AREA, LENGTH, Amount
from checker.site.drawn_layers import FEATURE_KINDS
from checker.words.amounts import clean

if TYPE_CHECKING:
    from checker.algebra.regions import RegionRule
    from checker.board.outlines import Shown
    from checker.board.plan import Plan
    from checker.findings.checked import Checked
    from checker.site.model import Feature, Region, Shape, Site

REGION_KINDS: Final = (
    "easement", "right-of-way", "wetland", "water", "slope-class", "overlay", "other",
)  # fmt: skip
"""The kinds of region that a site file knows, those first that most lots have."""

LEVEL_KINDS: Final = (
    "ground", "sill", "threshold", "coping", "rim", "top of wall", "foot of wall", "lot corner",
    "neighbour's ground", "benchmark",
)  # fmt: skip
"""Of what a spot level is, those first that most lots have."""


def things_view(plan: Plan, name: str) -> list[Shown]:
    """The features or the regions of a design.

    Args:
        plan: The design.
        name: "features" or "regions".
    """
    site = plan.site
    entries = {entry["id"]: entry for entry in plan.data.get(name, ())}
    things: tuple[Feature | Region, ...] = site.features if name == "features" else site.regions
    return [
        {
            "id": thing.id,
            "title": clean(thing.title),
            "kind": thing.kind,
            "rings": rings_of(thing.shape, site.unit),
            "size": _size(thing, site),
            "declared": entries[thing.id],
        }
        for thing in things
    ]


def _size(thing: Feature | Region, site: Site) -> str:
    """How large or how long it is; empty for a point."""
    shape: Shape = thing.shape
    system = site.system or site.own_system
    if shape.area:
        return show(Amount(shape.area, AREA), system)
    return show(Amount(shape.length, LENGTH), system) if shape.length else ""


def asked_regions(checked: Checked | None) -> list[Shown]:
    """The parts of the land that the rules of the place know by a name of their own."""
    rules = checked.ruleset.regions.values() if checked is not None else ()
    overlays = sorted((rule for rule in rules if rule.making == "overlay"), key=_breadth)
    titles = {rule.of: clean(rule.title) for rule in overlays}
    return [{"id": name, "title": title} for name, title in titles.items()]


def _breadth(rule: RegionRule) -> bool:
    """What is only the land inside names it better than what is the whole lot: it comes last."""
    return not rule.is_touching


def kinds_view() -> Shown:
    """What can be drawn besides surfaces."""
    return {
        "features": list(FEATURE_KINDS),
        "regions": list(REGION_KINDS),
        "levels": list(LEVEL_KINDS),
    }
