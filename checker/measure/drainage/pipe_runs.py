"""Whether pipes are long enough to come from what leads into them to where they lead.

A pipe that is typed too short lies steeper than it can, and carries more. What is not drawn by its
line is held to the straight way between its ends, where the file says where they lie.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import FOOT_M, meets
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.planes import line_of
from checker.measure.drainage.reservoirs import ground_shape
from checker.site.drainage_sizes import line_length_m

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.site.drainage import Drain, DrainPipe, Pit, Xy
    from checker.site.model import Shape

_SHORTER_FRACTION: Final = 0.05
"""Lengths are rounded, and lines end in the middle of boxes: that and a foot contradict nothing."""


def cut_short(survey: Survey) -> dict[str, str]:
    """Pipes that are shorter than their way, by id, each with what to mend.

    Pipes that lead into each other without being drawn are as long together as their way.
    """

    def find(_data: object, _document: object) -> dict[str, str]:
        found: dict[str, str] = {}
        for pipe in ways_of(survey).pipes:
            for name, says in (*_than_drawn(pipe), *_than_its_way(survey, pipe)):
                found.setdefault(name, says)
        return found

    return survey.part("pipes_cut_short", find)


def hold_to_its_length(survey: Survey, pipe: DrainPipe) -> None:
    """Refuse the slope of a pipe whose length it hangs on, where that cannot be.

    Raises:
        NotMeasured: It is shorter than its way.
    """
    if pipe.slope_fraction is None and pipe.id in cut_short(survey):
        raise NotMeasured(cut_short(survey)[pipe.id])


def _is_shorter(long_m: float, way_m: float) -> bool:
    return not meets(long_m, way_m * (1 - _SHORTER_FRACTION) - FOOT_M, "at least")


def _than_drawn(pipe: DrainPipe) -> Iterator[tuple[str, str]]:
    """No pipe is shorter than the line that it is drawn by, but for rounding."""
    if pipe.length_m is not None and _is_shorter(pipe.length_m, line_length_m(pipe.points)):
        says = f"{pipe.id} is drawn longer than its 'length'; leave that out, or correct 'along' of"
        yield pipe.id, f"{says} {pipe.id}"


def _than_its_way(survey: Survey, first: DrainPipe) -> Iterator[tuple[str, str]]:
    """Nor than the straight way from the nearest of what leads into it to where it leads."""
    chain = _undrawn_after(survey, first)
    lengths_m = [_length_m(pipe) for pipe in chain]
    end = place_of(survey, chain[-1].to)
    if end is None or None in lengths_m:
        return
    starts = [(name, place_of(survey, name)) for name in _leading_into(survey, first)]
    ways = [(math.inf if at is None else at.distance(end), name) for name, at in starts]
    if not ways or any(at is None for _, at in starts):
        # What nobody can place may lie at the end.
        return
    (way_m, start), long_m = min(ways), math.fsum(long_m or 0.0 for long_m in lengths_m)
    if not _is_shorter(long_m, way_m):
        return
    length, names = survey.site.length, " and ".join(pipe.id for pipe in chain)
    are = "are together" if len(chain) > 1 else "is"
    keys = " or ".join(
        f"'{'along' if pipe.length_m is None else 'length'}' of {pipe.id}" for pipe in chain
    )
    says = (
        f"{names} {are} {length(long_m)} long, less than the {length(way_m)} straight from {start} "
        f"to {chain[-1].to}; correct {keys}, or where {start} or {chain[-1].to} lies"
    )
    for pipe in chain:
        yield pipe.id, says


def _undrawn_after(survey: Survey, first: DrainPipe) -> list[DrainPipe]:
    """A pipe, and those that it leads into one after the other until one end has a place."""
    pipes = {pipe.id: pipe for pipe in ways_of(survey).pipes}
    chain = [first]
    while (after := pipes.get(chain[-1].to)) is not None and not after.points:
        if after in chain:
            break
        chain.append(after)
    return chain


def _length_m(pipe: DrainPipe) -> float | None:
    return pipe.length_m if pipe.length_m is not None else line_length_m(pipe.points) or None


def _leading_into(survey: Survey, pipe: DrainPipe) -> list[str]:
    """Drains, stores and drawn pipes above a pipe; one that is not drawn is held to it already."""
    ways = ways_of(survey)
    found = [drain.id for drain in ways.drains if drain.to == pipe.id]
    found += [pit.id for pit in ways.pits if any(out.to == pipe.id for out in pit.outlets)]
    return found + [other.id for other in ways.pipes if other.to == pipe.id and other.points]


def place_of(survey: Survey, name: str) -> Shape | None:
    """Where a part of the ways out lies, all of it; None where the file does not say."""
    ways = ways_of(survey)
    points: dict[str, tuple[Xy, ...]] = {
        end.id: (end.at,) for end in ways.outfalls if end.at is not None
    }
    points |= {drain.id: drain.points for drain in ways.drains if drain.points}
    points |= {pipe.id: pipe.points for pipe in ways.pipes if pipe.points}
    if name in points:
        return line_of(points[name])
    for drain in ways.drains:
        if drain.id == name:
            return _roof_of(survey, drain)
    return next((_ground_of(survey, pit) for pit in ways.pits if pit.id == name), None)


def _roof_of(survey: Survey, drain: Drain) -> Shape | None:
    """A leader stands somewhere at its roof."""
    roof = survey.site.surface_named(drain.of)
    return None if roof is None else roof.shape


def _ground_of(survey: Survey, pit: Pit) -> Shape | None:
    """All that a store may take up, however it is turned."""
    if pit.under:
        try:
            return ground_shape(pit, survey)
        except NotMeasured:
            return None
    if pit.at is None or pit.kind == "any-shape":
        return None
    if pit.kind == "dry-well":
        reach_m = max(pit.pit_m or 0.0, pit.chamber_m or 0.0) / 2
    elif pit.length_m is None or pit.width_m is None:
        return None
    else:
        wider_m = 2 * (pit.side_slope_ratio or 0.0) * (pit.depth_m or 0.0)
        reach_m = math.hypot(pit.length_m + wider_m, pit.width_m + wider_m) / 2
    return shapely.Point(pit.at).buffer(reach_m)
