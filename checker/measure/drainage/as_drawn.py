"""Whether edges and pipes can be what the file says where they are drawn."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import FOOT_M, meets
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.ends import STREETS
from checker.measure.drainage.network import as_drawn
from checker.measure.drainage.pipe_runs import cut_short
from checker.measure.drainage.planes import line_of, planes, pool_shape
from checker.measure.drainage.ponds import levelled
from checker.measure.drainage.reservoirs import LEVEL_STEP_M
from checker.measure.drainage.sheds import sheds
from checker.measure.drainage.spills import cut_off
from checker.measure.regions import dwelling_shape
from checker.site.drainage_sizes import line_length_m
from checker.water.heights import spill_sill_m
from checker.water.network import HARMED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.site.drainage import Drain, OverflowEdge, Pit
    from checker.site.model import Shape

ALONG_M: Final = 0.5 * FOOT_M
"""What runs nearer than this beside a wall, pool or lot line runs along it."""


def at_odds(survey: Survey) -> Iterator[str]:
    """Edges that lead elsewhere than they say, are lower, higher or shorter, and pipes.

    Water over an edge along the dwelling or the pool goes into it, and over the lot line it is no
    longer on own land. What the dwelling itself sheds over its eave is no water toward it.
    """
    ways = ways_of(survey)
    paved = {shed.to for shed in sheds(survey) if shed.surface not in _dwelling(survey)}
    paved |= {drain.spills_to for drain in ways.drains if drain.kind != "roof-leader"}
    paved |= {pit.spills_to for pit in ways.pits}
    tops: tuple[Drain | Pit, ...] = (*ways.drains, *ways.pits)
    for edge in ways.edges:
        if edge.onto not in HARMED and edge.id in paved:
            yield from _beyond(survey, edge)
            yield from _too_low(survey, edge)
        for top in tops:
            if top.spills_to == edge.id and top.spill_length_m is not None:
                yield from _too_short(edge, top)
    yield from _too_high(survey)
    yield from cut_off(survey)
    yield from dict.fromkeys(cut_short(survey).values())


def _too_short(edge: OverflowEdge, top: Drain | Pit) -> Iterator[str]:
    """Over an edge water goes no wider than the edge is long, a foot for rounding."""
    long_m = line_length_m(edge.points)
    if top.spill_length_m is not None and not meets(top.spill_length_m, long_m + FOOT_M, "at most"):
        yield (
            f"{edge.id} is shorter than the 'spill_length' of {top.id}; correct it, or 'along' of "
            f"{edge.id}"
        )


def _dwelling(survey: Survey) -> set[str]:
    """Surfaces of the dwelling."""
    return {
        surface.id
        for surface in survey.site.surfaces
        if surface.attributes.get("purpose") == "dwelling"
    }


def _beyond(survey: Survey, edge: OverflowEdge) -> Iterator[str]:
    line, site = line_of(edge.points), survey.site
    if edge.onto == "street":
        for side in site.lot.lines:
            if side.side not in (*STREETS, "") and _runs_along(line, side.line):
                yield (
                    f"{edge.id} runs along line {side.number} of the lot, a '{side.side}' line, "
                    f"and its 'onto' is 'street'; give 'onto: neighbour' of {edge.id}, or say "
                    f"under 'sides' of the lot that this line is at a street"
                )
    near = [
        ("the dwelling", "house", dwelling_shape(site)),
        ("the pool", "pool", pool_shape(survey)),
    ]
    if edge.onto == "own land":
        near.append(("the lot line", "neighbour' or 'street", site.lot.boundary.boundary))
    for name, onto, shape in near:
        if shape is not None and _runs_along(line, shape):
            yield (
                f"{edge.id} runs along {name}, and its 'onto' is '{edge.onto}'; give "
                f"'onto: {onto}' of {edge.id}, or correct 'along'"
            )


def _runs_along(line: Shape, shape: Shape) -> bool:
    """Whether more of a line lies beside a shape than of one that comes up to it squarely."""
    return float(line.intersection(shape.buffer(ALONG_M)).length) > 2 * ALONG_M


def _too_high(survey: Survey) -> Iterator[str]:
    """Water that would cover all of its paving before it goes on leaves somewhere lower first."""
    length = survey.site.length
    for inlet in as_drawn(survey).inlets:
        panels = {shed.panel for shed in sheds(survey) if shed.to == inlet.id and shed.panel}
        highest_m = max(
            (
                plane.level_at_m((float(x), float(y)))
                for plane in levelled(survey, panels)
                for x, y in shapely.get_coordinates(plane.shape)
            ),
            default=math.inf,
        )
        if not inlet.spills_to or inlet.spills_to not in as_drawn(survey).by_id():
            continue
        sill_m = spill_sill_m(as_drawn(survey), inlet)
        if not meets(sill_m, highest_m + LEVEL_STEP_M, "at most"):
            yield (
                f"water over {inlet.id} goes on to {inlet.spills_to} at {length(sill_m)}, above "
                f"all the paving that sheds to it, {length(highest_m)} at most: it leaves "
                f"somewhere lower first; correct 'spill_depth' of {inlet.id} or the level of "
                f"{inlet.spills_to}"
            )


def _too_low(survey: Survey, edge: OverflowEdge) -> Iterator[str]:
    if edge.crest_m is None:
        return
    beside = line_of(edge.points).buffer(ALONG_M)
    levels_m = [
        plane.level_at_m((float(x), float(y)))
        for plane in planes(survey).values()
        if not isinstance(plane, NotMeasured) and plane.level_m is not None
        for x, y in shapely.get_coordinates(plane.shape.boundary.intersection(beside))
    ]
    paving_m = min(levels_m, default=edge.crest_m)
    if not meets(edge.crest_m, paving_m - LEVEL_STEP_M, "at least"):
        length = survey.site.length
        yield (
            f"the crest of {edge.id} at {length(edge.crest_m)} lies below all paving along it, "
            f"{length(paving_m)} at least; correct 'crest' of {edge.id}"
        )
