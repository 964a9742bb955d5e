"""Whether what stands over a drain or store gets to the edge that it is said to leave by.

An edge is where water leaves the paving. One that is drawn elsewhere takes water only where paving
or ground that is known to lie low enough leads to it.

Left out are edges onto house, pool and neighbour, as what goes there is reckoned as harm; leaders,
as a gutter spills onto the ground anywhere along its eave; and stores in open ground, whose water
comes up on no paving.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import meets
from checker.measure.arrangement import SLIVER_M2
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import levels_of, ways_of
from checker.measure.drainage.ground_over import ground_over_m
from checker.measure.drainage.network import as_drawn
from checker.measure.drainage.pipe_runs import place_of
from checker.measure.drainage.planes import BESIDE_M, line_of, planes, pool_shape
from checker.measure.drainage.ponds import below
from checker.measure.drainage.reservoirs import LEVEL_STEP_M
from checker.measure.drainage.sheds import sheds
from checker.measure.regions import dwelling_shape
from checker.water.heights import spill_sill_m
from checker.water.network import HARMED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.drainage.planes import Plane
    from checker.measure.survey import Survey
    from checker.site.model import Shape
    from checker.water.network import Inlet, Store

_PARTS_COUNT: Final = 24


def cut_off(survey: Survey) -> Iterator[str]:
    """Edges that what spills to them does not get to, each with what to mend."""
    network, ways, length = as_drawn(survey), ways_of(survey), survey.site.length
    leaders = {drain.id for drain in ways.drains if drain.kind == "roof-leader"}
    edges = {edge.id: line_of(edge.points) for edge in ways.edges if edge.onto not in HARMED}
    tops: tuple[Inlet | Store, ...] = (*network.inlets, *network.stores)
    for top in tops:
        wet = _wet(survey, top.id)
        if top.spills_to not in edges or top.id in leaders or wet is None or top.rim_m is None:
            continue
        edge, sill_m = edges[top.spills_to], spill_sill_m(network, top)
        if wet.distance(edge) <= BESIDE_M:
            continue
        reached = _spread(survey, wet, sill_m)
        wet = shapely.union_all([wet, *(plane.shape for plane in reached)])
        low = _low(reached, wet, sill_m)
        if wet.distance(edge) <= BESIDE_M or _falls_to(survey, low, edge, sill_m):
            continue
        yield (
            f"nothing tells that water over {top.id} gets to {top.spills_to}, "
            f"{length(wet.distance(edge))} from its paving; draw 'along' of {top.spills_to} where "
            f"water leaves the paving, or give spot levels between them, {length(sill_m)} at most"
        )


def _wet(survey: Survey, top: str) -> Shape | None:
    """The paving that sheds to a drain, with the drain, or that over a store; None elsewhere."""
    pit = next((pit for pit in ways_of(survey).pits if pit.id == top), None)
    if pit is not None and not pit.under:
        return None
    at = place_of(survey, top)
    if pit is not None:
        return at
    dwelling = {s.id for s in survey.site.surfaces if s.attributes.get("purpose") == "dwelling"}
    paved = [
        shed.shape
        for shed in sheds(survey)
        if shed.to == top and shed.nature != "open" and shed.surface not in dwelling
    ]
    shapes = paved if at is None else [*paved, at]
    return shapely.union_all(shapes) if shapes else None


def _low(reached: list[Plane], wet: Shape, sill_m: float) -> Shape:
    """The paving that stands in water; all of it where no level of it is known."""
    parts = [below(plane, sill_m + LEVEL_STEP_M) for plane in reached]
    low = shapely.union_all(parts)
    return wet if low.is_empty else low


def _spread(survey: Survey, wet: Shape, sill_m: float) -> list[Plane]:
    """All panels that the water gets onto, from one to the next beside it."""
    known = [p for p in planes(survey).values() if not isinstance(p, NotMeasured)]
    dry = [plane for plane in known if plane.level_m is not None]
    onto = [plane for plane in dry if plane.shape.intersection(wet).area > SLIVER_M2]
    onto = onto or [plane for plane in dry if _is_low(plane, wet, sill_m)]
    reached: list[Plane] = []
    while onto:
        reached += onto
        dry = [plane for plane in dry if plane not in onto]
        onto = [
            plane
            for plane in dry
            for other in reached
            if _is_low(plane, other.shape, sill_m) and _is_low(other, plane.shape, sill_m)
        ]
    return reached


def _is_low(plane: Plane, other: Shape, sill_m: float) -> bool:
    """Whether some of a panel beside another shape lies no higher than a level."""
    beside = shapely.get_coordinates(plane.shape.intersection(other.buffer(BESIDE_M)))
    return any(
        meets(plane.level_at_m((float(x), float(y))), sill_m + LEVEL_STEP_M, "at most")
        for x, y in beside
    )


def _falls_to(survey: Survey, low: Shape, edge: Shape, sill_m: float) -> bool:
    """Whether all ground straight between paving and edge is known to let the water pass."""
    way: Shape = shapely.shortest_line(low, edge)
    levels = levels_of(survey)
    for taken in (dwelling_shape(survey.site), pool_shape(survey)):
        if taken is not None and way.intersection(taken).length > 0:
            return False
    for part in range(_PARTS_COUNT + 1):
        point = way.interpolate(part / _PARTS_COUNT, normalized=True)
        ground_m = ground_over_m(survey, levels, (point.x, point.y))
        if ground_m is None or not meets(ground_m, sill_m + LEVEL_STEP_M, "at most"):
            return False
    return True
