"""The rule structures once more, as straight lines for scipy's solver.

Each line is what a square foot of each material adds, and what the sum may come to at most; each
structure is a list of sets of lines of which one must hold whole. This is a second way to say what
`structures.py` says with plain sums; the proof holds them against each other.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tests.solve.structures import HARD, LOT, Numbers

_HAIR = 1e-4
"""Beyond a limit that nothing may stand on exactly."""


class Line(NamedTuple):
    """What each square foot adds, by material, and the most that the sum may be."""

    adds: dict[str, float]
    most: float


def lines_of(kind: str, n: Numbers) -> list[list[Line]]:
    """The sets of lines of a structure."""
    hard = dict.fromkeys(HARD, 1.0)
    least_cover = hard | {"permeable-paving": 0.25, "gravel": 0.6}
    cover = least_cover | {"permeable-paving": 1.0 if n.is_untold else 0.25}
    cover_in_yard = {f"{name} in yard": times for name, times in cover.items()}
    percent, rest = round(n.limit / 100, 4), LOT - n.house - n.paved

    def within(limit: float) -> Line:
        return Line(cover, n.most(limit) - n.house)

    def beyond(limit: float) -> Line:
        return Line({name: -times for name, times in least_cover.items()}, n.house - limit)

    share = within(percent * LOT / 100)
    edge, lower = n.house + n.more, n.limit - n.more / 3
    low = n.limit - max(n.paved * 0.12, 10.0)
    most = n.most(round(0.2 * edge + 0.5 * max(n.limit - edge, 0), 3))
    never = [[Line({}, -1.0)]]
    ladder = [[within(n.limit - n.more / 2)]]
    if not n.avoids_conditions:
        ladder += [
            [beyond(n.limit - n.more / 2 + _HAIR), within(n.limit)],
            [
                beyond(n.limit + _HAIR),
                within(n.limit + n.more / 4),
                Line({"permeable-paving": -1.0}, -n.least(n.more / 2)),
            ],
        ]
    is_low = n.house <= n.most(n.limit)
    cliff = [[Line(hard, n.free - 0.1)]] if is_low else never
    return {
        "area": [[within(n.limit)]],
        "share": [[share]],
        "ratio": [[share]],
        "ladder": ladder,
        "porous": [[within(n.limit), Line({"permeable-paving": 1.0}, n.most(n.more))]],
        "green": [[Line({"lawn": -1.0}, rest - n.least(rest + n.more))]],
        "upper": [[within(n.limit), Line({"lawn": 1.0}, n.most(rest + n.more) - rest)]],
        "first": [[Line(hard, n.free + n.most(n.limit) - n.house)]] if is_low else never,
        "cliff": [*cliff, [Line(hard, n.most(n.limit) - n.house)]],
        "either": [[within(n.limit)], [Line({"permeable-paving": -1.0}, -n.least(n.more))]],
        "both": [[within(n.limit), beyond(n.least(low))]],
        "tiers": [
            [Line(hard, edge - n.house - 0.1), within(n.limit)],
            [Line(dict.fromkeys(HARD, -1.0), n.house - edge - 0.1), within(lower)],
        ],
        # Two rising slopes are the greater of two lines: both must stay below.
        "brackets": [
            [
                Line(dict.fromkeys(HARD, 0.2), most - 0.2 * n.house),
                Line(dict.fromkeys(HARD, 0.5), most + 0.3 * edge - 0.5 * n.house),
            ]
        ],
        "yard": [[within(n.limit), Line(cover_in_yard, n.most(n.yard))]],
    }[kind]


def best_by_scipy(
    designs: list[list[tuple[Any, ...]]], sets: list[list[Line]]
) -> tuple[float, float, float] | None:
    """The least cents, square feet changed and deck lost, each by itself; None where none is.

    Args:
        designs: For each surface every way to build it; see `prove.designs`.
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
