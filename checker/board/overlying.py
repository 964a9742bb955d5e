"""Which surfaces lie over which, and the order that says it otherwise.

Where two surfaces of one level overlap, one of them counts there: first the file's `order` decides,
then what the materials say, then which was drawn later.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.board.changes import Group, Refused, Reorder
from checker.measure.arrangement import SLIVER_M2
from checker.measure.partition import PlacedSurface, rank
from checker.words.amounts import clean

if TYPE_CHECKING:
    from checker.board.outlines import Shown
    from checker.board.plan import Plan
    from checker.site.model import Site, State, Surface

OverlapPairs = set[frozenset[str]]
_STATES: Final[tuple[State, ...]] = ("existing", "proposed")


def overlaps_of(site: Site, name: str) -> list[Shown]:
    """What a surface overlaps at its level, and whether it lies over that.

    Args:
        site: The site.
        name: The id of the surface.
    """
    place = {known: i for i, known in enumerate(_from_the_top(site, site.order))}
    pairs = _overlapping(site, name)
    return [
        {"id": other.id, "title": clean(other.title), "is_over": place[name] < place[other.id]}
        for other in site.surfaces
        if frozenset((name, other.id)) in pairs
    ]


def put_over(plan: Plan, upper: str, lower: str) -> Group | Refused:
    """The order in which one surface lies over another, and all other overlaps are as they were.

    Args:
        plan: The design.
        upper: The surface that is to lie over the other.
        lower: The other one, which overlaps it.
    """
    site = plan.site
    titles = {surface.id: clean(surface.title).lower() for surface in site.surfaces}
    if not {upper, lower} <= titles.keys():
        return Refused("it is not there any more", "look at the plan as it is now")
    pairs = _overlapping(site)
    if frozenset((upper, lower)) not in pairs:
        return Refused("the two do not overlap", "choose one that it overlaps")
    was = tuple(plan.data.get("order", ()))
    ranked = _from_the_top(site, site.order)
    if ranked.index(upper) < ranked.index(lower):
        return Refused("it lies over it already", "look at the plan as it is now")
    wanted = _raised(ranked, upper, lower, pairs)
    # What the file says already is left in; of all else, what it takes to say it.
    order = tuple(wanted)
    for name in wanted:
        fewer = tuple(other for other in order if other != name)
        if name not in was and _is_said(site, fewer, wanted, pairs):
            order = fewer
    return Group((Reorder(order, was),), f"{titles[upper]} put over {titles[lower]}")


def _raised(ranked: list[str], upper: str, lower: str, pairs: OverlapPairs) -> list[str]:
    """The surfaces from the top, with one raised over another, and what lies on it with it."""
    start, end = ranked.index(lower), ranked.index(upper)
    rising = [upper]
    for name in reversed(ranked[start + 1 : end]):
        if any(frozenset((name, other)) in pairs for other in rising):
            rising.insert(0, name)
    staying = [name for name in ranked[start:end] if name not in rising]
    return [*ranked[:start], *rising, *staying, *ranked[end + 1 :]]


def _is_said(site: Site, order: tuple[str, ...], wanted: list[str], pairs: OverlapPairs) -> bool:
    """Whether an order leads to the wanted one wherever two surfaces overlap."""
    found = {name: i for i, name in enumerate(_from_the_top(site, order))}
    place = {name: i for i, name in enumerate(wanted)}
    return all((found[a] < found[b]) == (place[a] < place[b]) for a, b in pairs)


def _from_the_top(site: Site, order: tuple[str, ...]) -> list[str]:
    """The ids of all surfaces, those that win first."""
    layers = [PlacedSurface(surface, surface.material, surface.id) for surface in site.surfaces]
    return [
        layers[i].id for i in sorted(range(len(layers)), key=lambda i: rank(layers[i], order, i))
    ]


def _overlapping(site: Site, name: str = "") -> OverlapPairs:
    """The pairs of surfaces that take the same ground at one level, today or after the work.

    Args:
        site: The site.
        name: Of this one alone; of all where it is empty.
    """
    from shapely import STRtree

    surfaces = site.surfaces
    shapes = [surface.shape for surface in surfaces]
    asked = [i for i, surface in enumerate(surfaces) if name in ("", surface.id)]
    near = STRtree(shapes).query([shapes[i] for i in asked], predicate="intersects").T.tolist()
    return {
        frozenset((surfaces[asked[i]].id, surfaces[j].id))
        for i, j in near
        if asked[i] != j
        and any(
            _level(surfaces[asked[i]], state) == _level(surfaces[j], state) for state in _STATES
        )
        and shapes[asked[i]].intersection(shapes[j]).area > SLIVER_M2
    }


def _level(surface: Surface, state: State) -> str:
    """At which level it lies in a state; its own id where it is not there, which no other has."""
    material = surface.material_in(state)
    return material.level if material is not None else f"not there: {surface.id}"
