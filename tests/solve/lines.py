"""The rule structures once more, as straight lines for scipy's solver.

Each line is what a square foot of each material adds, and what the sum may come to at most; each
structure is a list of sets of lines of which one must hold whole. This is a second way to say what
`structures.py` says with plain sums; the proof holds them against each other.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tests.solve.structures import HARD, LOT, Numbers


class Line(NamedTuple):
    """What each square foot adds, by material, and the most that the sum may be."""

    adds: dict[str, float]
    most: float


def lines_of(kind: str, n: Numbers) -> list[list[Line]]:
    """The sets of lines of a structure."""
    hard = dict.fromkeys(HARD, 1.0)
    cover = hard | {"permeable-paving": 0.25, "gravel": 0.6}
    percent = round(n.limit / 100, 4)
    within = Line(cover, n.limit - n.house)
    share = Line(cover, percent * LOT / 100 - n.house)
    edge, lower = n.house + n.more, n.limit - n.more / 3
    low = n.limit - max(n.paved * 0.12, 10.0)
    most = round(0.2 * edge + 0.5 * max(n.limit - edge, 0), 3)
    never = [[Line({}, -1.0)]]
    return {
        "area": [[within]],
        "share": [[share]],
        "ratio": [[share]],
        "ladder": [[within]],
        "porous": [[within, Line({"permeable-paving": 1.0}, n.more)]],
        "green": [[Line({"lawn": -1.0}, -n.more)]],
        "upper": [[within, Line({"lawn": 1.0}, n.more)]],
        "first": [[Line(hard, n.free + n.limit - n.house)]] if n.house <= n.limit else never,
        "cliff": [[Line(hard, n.free - 0.1)], [Line(hard, n.limit - n.house)]],
        "either": [[within], [Line({"permeable-paving": -1.0}, -n.more)]],
        "both": [[within, Line({name: -times for name, times in cover.items()}, n.house - low)]],
        "tiers": [
            [Line(hard, edge - n.house - 0.1), within],
            [
                Line(dict.fromkeys(HARD, -1.0), n.house - edge - 0.1),
                Line(cover, lower - n.house),
            ],
        ],
        # Two rising slopes are the greater of two lines: both must stay below.
        "brackets": [
            [
                Line(dict.fromkeys(HARD, 0.2), most - 0.2 * n.house),
                Line(dict.fromkeys(HARD, 0.5), most + 0.3 * edge - 0.5 * n.house),
            ]
        ],
    }[kind]


def best_by_scipy(
    designs: list[list[tuple[Any, ...]]], starts: list[tuple[str, float]], sets: list[list[Line]]
) -> tuple[float, float, float] | None:
    """The least cents, square feet changed and deck lost, each by itself; None where none is.

    Args:
        designs: For each surface every way to build it; see `prove.designs`.
        starts: For each surface its material and its area.
        sets: The sets of lines of which one must hold.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    flat = [(number, *row) for number, rows in enumerate(designs) for row in rows]
    aims = [[float(row[place]) for row in flat] for place in (2, 3, 4)]
    surface_of, numbers = np.array([row[0] for row in flat]), np.arange(len(designs))
    one_each = (surface_of[None, :] == numbers[:, None]).astype(float)
    found: list[list[float]] = [[], [], []]
    for lines in sets:
        rows = np.array(
            [
                [
                    sum(line.adds.get(name, 0.0) * area for name, area in row[1].items())
                    + line.adds.get(starts[row[0]][0], 0.0) * (starts[row[0]][1] - row[3])
                    for row in flat
                ]
                for line in lines
            ]
        )
        # A hair of room for sums that end exactly on a line.
        limits = [LinearConstraint(rows, -np.inf, [line.most + 1e-7 for line in lines])]
        limits.append(LinearConstraint(one_each, 1.0, 1.0))
        for own, aim in zip(found, aims, strict=True):
            answer = milp(
                aim, integrality=np.ones(len(flat)), bounds=Bounds(0, 1), constraints=limits,
                options={"mip_rel_gap": 0.0},
            )  # fmt: skip
            if answer.status == 0:
                own.append(float(np.round(answer.x) @ np.array(aim)))
    if not found[0]:
        return None
    cents, area, lost = (min(own) for own in found)
    return cents, area, lost
