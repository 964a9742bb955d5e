"""Edges from corner to corner of many areas at once, held to a walk round each ring."""

from __future__ import annotations

import math
import random
from itertools import pairwise
from typing import Any

import shapely
from shapely import affinity

from checker.measure.bands import _runs

SAME_RUN_DEGREES = 15.0


def walked(shape: Any) -> list[Any]:
    """Round each outer ring: a new edge begins where the walk turns by more than 15 degrees."""
    found = []
    for part in shapely.get_parts(shape):
        if part.geom_type != "Polygon" or part.is_empty:
            continue
        ring = list(part.exterior.coords)[:-1]
        corners = [i for i in range(len(ring)) if abs(turn(ring, i)) > SAME_RUN_DEGREES] or [0]
        for start, end in pairwise([*corners, corners[0] + len(ring)]):
            found.append([ring[i % len(ring)] for i in range(start, end + 1)])
    return found


def turn(ring: list[tuple[float, float]], i: int) -> float:
    a, b, c = ring[i - 1], ring[i], ring[(i + 1) % len(ring)]
    into, out = (math.atan2(q[1] - p[1], q[0] - p[0]) for p, q in ((a, b), (b, c)))
    return (math.degrees(out - into) + 180) % 360 - 180


def areas(dice: random.Random) -> list[Any]:
    """Rectangles, rounds without a corner, drops with one, halves of rounds, areas in parts."""
    box = shapely.box(0, 0, dice.uniform(1, 9), dice.uniform(1, 9))
    near_round = shapely.Point(0, 0).buffer(dice.uniform(1, 5), quad_segs=dice.randrange(8, 20))
    half = near_round.intersection(shapely.box(-9, 0, 9, 9))
    drop = shapely.Polygon(
        [(0, 0), *((2 + math.cos(a / 20), math.sin(a / 20)) for a in range(-50, 51))]
    )
    holed = box.difference(shapely.box(0.3, 0.3, 0.6, 0.6))
    made = [box, near_round, half, drop, holed, shapely.Polygon()]
    made.append(shapely.MultiPolygon([box, affinity.translate(near_round, 30, 0)]))
    made.append(shapely.GeometryCollection([shapely.Point(1, 1), box]))
    return [affinity.rotate(shape, dice.uniform(0, 360), (0, 0)) for shape in made]


def test_edges_are_those_of_a_walk() -> None:
    dice = random.Random(29)
    for _ in range(40):
        given = areas(dice)
        dice.shuffle(given)
        owner, lines = _runs(given)
        expected = [(i, run) for i, shape in enumerate(given) for run in walked(shape)]
        assert owner.tolist() == [i for i, _ in expected]
        assert [list(line.coords) for line in lines] == [run for _, run in expected]


def test_no_area_has_no_edges() -> None:
    for given in ([], [shapely.Polygon()], [shapely.Point(0, 0)]):
        owner, lines = _runs(given)
        assert (len(owner), len(lines)) == (0, 0)
