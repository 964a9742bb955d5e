"""How a pipe can be opened and cleaned: the longest run without a cleanout, and its bends.

A pipe is open where a drain, a store or a lawful end stands at its end, and at its cleanouts.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import FOOT_M, meets
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.network import inverts, turn_degrees

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.drainage import DrainPipe, WaysOut, Xy

SHARP_DEGREES: Final = 45.0
"""A turn by more asks for a cleanout (plumbing codes, from memory)."""

BESIDE_BEND_M: Final = 2 * FOOT_M


def _length_m(pipe: DrainPipe) -> float:
    found = inverts(pipe).length_m
    if found is None:
        raise NotMeasured(f"give 'along' or 'length' of {pipe.id}")
    return found


def _openings_m(pipe: DrainPipe) -> list[float]:
    """How far down a pipe its cleanouts stand, by the share of its line."""
    if not pipe.cleanouts:
        return []
    if len(pipe.points) < 2:
        raise NotMeasured(f"draw {pipe.id} with 'along', so that its cleanouts lie on it")
    line, long_m = shapely.LineString(pipe.points), _length_m(pipe)
    shares = (line.project(shapely.Point(at), normalized=True) for at in pipe.cleanouts)
    return sorted(float(share) * long_m for share in shares)


def runs(survey: Survey) -> dict[str, float]:
    """Longest run that ends in each pipe and cannot be opened in between, m, through joints.

    Raises:
        NotMeasured: A length lacks, or where a cleanout stands.
    """
    if "ways_out" not in survey.site.parts:
        return {}
    ways = ways_of(survey)
    pipes = {pipe.id: pipe for pipe in ways.pipes}
    opened = _opened(ways)
    done: dict[str, tuple[float, float]] = {}

    def run_m(name: str, seen: tuple[str, ...] = ()) -> tuple[float, float]:
        """Longest run that ends in a pipe, and the one that goes on at its lower end."""
        if name in done or name in seen:
            return done.get(name, (0.0, 0.0))
        above = [
            run_m(pipe.id, (*seen, name))[1]
            for pipe in ways.pipes
            if pipe.to == name and name not in opened
        ]
        start_m, long_m, marks = max(above, default=0.0), _length_m(pipes[name]), [0.0]
        marks += [*_openings_m(pipes[name]), long_m]
        between = [b - a for a, b in pairwise(marks)]
        between[0] += start_m
        done[name] = (max(between), between[-1])
        return done[name]

    return {name: run_m(name)[0] for name in pipes}


def _opened(ways: WaysOut) -> set[str]:
    """Pipes that begin below a drain or at a store."""
    return {drain.to for drain in ways.drains} | {
        outlet.to for pit in ways.pits for outlet in pit.outlets
    }


def bends(survey: Survey) -> dict[str, float]:
    """How many sharp turns, within each pipe and where it joins another, have no cleanout."""
    if "ways_out" not in survey.site.parts:
        return {}
    ways = ways_of(survey)
    pipes, opened = {pipe.id: pipe for pipe in ways.pipes}, _opened(ways)
    found: dict[str, float] = {}
    for pipe in ways.pipes:
        points: tuple[Xy, ...] = pipe.points
        onward = pipes.get(pipe.to)
        if onward is not None and onward.id not in opened and len(onward.points) > 1:
            points = (*points, onward.points[1])
        turns = zip(points, points[1:], points[2:], strict=False)
        marks = [*pipe.cleanouts, *(onward.cleanouts if onward is not None else ())]
        found[pipe.id] = sum(
            not meets(turn_degrees(*turn), SHARP_DEGREES, "at most")
            and not any(math.dist(turn[1], mark) <= BESIDE_BEND_M for mark in marks)
            for turn in turns
        )
    return found
