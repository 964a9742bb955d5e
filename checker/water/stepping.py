"""Steps the levels of a network through time by one coupled implicit balance.

In each step the water of every node at its end is that of its start plus inflow less the flows at
the end (backward Euler), see `balance`. Volumes are carried forward by the flows themselves, so
that the balance closes by construction. Steps grow and shrink so that the volume that the straight
line of a step misses stays below a share of all water. What is missed is carried along beside the
steps, and the highest levels are told with it.

Cases differ in what is closed or in what comes; they share their steps, and numpy works on all at
once.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.water.balance import Balance
from checker.water.stores import RESIDUAL_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    import numpy.typing as npt

    from checker.water.levels import LevelSystem

    Floats = npt.NDArray[np.float64]

_MISSED_SHARE: Final = 5e-4
"""Volume that a step may miss, of all water that comes."""

_REST_SHARE: Final = 0.01
"""Of that, while stores run empty: the time until then is asked to some minutes of days."""

_NEAR_M: Final = 0.005
"""So far the slopes tell what a level lacks; beyond, they turn too often."""

_LATE_STEPS: Final = 2.0
"""A level lags by no more than it rises in so many steps like the last."""

_SHORTEST_S: Final = 1e-4
_FIRST_S: Final = 10.0
_REST_S: Final = 10 * 365 * 86400.0
_REST_M3: Final = 1e-3
"""What less than this moves in ten years, rests."""


class NoSolution(CheckerError):
    """The balance of a step could not be solved, however short the step."""


class Stepped(Record, kw_only=True):
    """What happened, step by step; T steps, B cases, N nodes, W ways.

    Attributes:
        ends_s: End of each step, shape (T,).
        flows_m3: Volume through each way in each step, negative backwards, shape (T, B, W).
        soil_m3: Volume into the ground below each node in each step, shape (T, B, N).
        levels_m: At the end of each step, shape (T, B, N).
        stored_m3: At the end of the spans, shape (B, N).
        highest_m: Highest level of each node, also while it ran empty and with what steps missed,
            shape (B, N).
        highest_s: When it was reached, shape (B, N).
        dry_s: When each node was last wet by more than a film, shape (B, N); infinite where it
            still was when nothing moved any more, nan where it was not followed so far.
    """

    ends_s: Floats
    flows_m3: Floats
    soil_m3: Floats
    levels_m: Floats
    stored_m3: Floats
    highest_m: Floats
    highest_s: Floats
    dry_s: Floats


class _Walk:
    """All cases on their way through time."""

    def __init__(
        self, balance: Balance, cases_count: int, missed_m3: Floats, *, to_rest: bool
    ) -> None:
        import numpy as np

        self.balance, self.missed_m3 = balance, missed_m3
        self.dry_missed_m3 = missed_m3 * _REST_SHARE if to_rest else missed_m3
        self.shape = (cases_count, balance.nodes.count)
        self.level = np.broadcast_to(balance.nodes.bottom, self.shape).copy()
        self.stored, self.last_wet_s = np.zeros(self.shape), np.zeros(self.shape)
        self.owed_m3 = np.zeros(self.shape)
        self.highest, self.highest_s = self.level.copy(), np.zeros(self.shape)
        self.out = balance.out(self.level)
        self.time_s, self.step_s = 0.0, _FIRST_S
        self.ends_s: list[float] = []
        self.told: tuple[list[Floats], list[Floats], list[Floats]] = ([], [], [])

    def span(self, span_s: float, inflow: Floats) -> None:
        """Go through a span of even inflow and tell of it."""
        left_s = span_s
        while left_s > 0:
            this_s = self.next_s(left_s)
            found = self.step(this_s, inflow)
            if found is None:
                continue
            flows, soil, _ = found
            left_s -= this_s
            self.ends_s.append(self.time_s)
            for values, value in zip(
                self.told, (flows * this_s, soil * this_s, self.level), strict=True
            ):
                values.append(value)

    def rest(self) -> None:
        """Go on without inflow until every node is dry or nothing moves any more."""
        import numpy as np

        inflow, end_s = np.zeros((1, self.shape[1])), self.time_s + _REST_S
        while self.time_s < end_s and self.is_wet().any():
            this_s = self.next_s(end_s - self.time_s)
            found = self.step(this_s, inflow)
            if found is None:
                continue
            _, _, change = found
            if float(np.abs(change).max()) / this_s * _REST_S < _REST_M3:
                break

    def next_s(self, left_s: float) -> float:
        """Length of the next step: no rest of a span is much shorter than the step before."""
        if self.step_s > 0.99 * left_s:
            return left_s
        return min(self.step_s, left_s / 2) if self.step_s > 0.6 * left_s else self.step_s

    def step(self, this_s: float, inflow: Floats) -> tuple[Floats, Floats, Floats] | None:
        """Take a step, or None when it must be shorter.

        Returns:
            Flows and soil at its end, and the change of each volume.
        """
        import numpy as np

        solved = self.balance.solve(self.level, self.stored, inflow, this_s)
        if solved is None:
            self.step_s = this_s / 4
            if self.step_s < _SHORTEST_S:
                raise NoSolution("the levels of the drainage could not be worked out")
            return None
        level, flows, soil = solved
        out_after = flows @ self.balance.links.takes + soil
        change = this_s * (inflow - out_after)
        straight = this_s * (self.out - out_after)
        most_m3 = self.missed_m3 if inflow.any() else self.dry_missed_m3
        missed_m3 = np.minimum(np.abs(straight), np.abs(change)) / 2
        worst = float((missed_m3.max(axis=1) / most_m3).max())
        if worst > 4 and this_s > 1.0:
            self.step_s = max(this_s * max(0.2, 0.9 / math.sqrt(worst)), 0.5)
            return None
        missed_m3 = np.copysign(missed_m3, -straight)
        whole, self.owed_m3 = self.whole(level, change, missed_m3, inflow, this_s)
        before_m = self.level - self.balance.nodes.bottom - RESIDUAL_M
        after_m = level - self.balance.nodes.bottom - RESIDUAL_M
        wet = (before_m > 0) | (after_m > 0)
        share = np.where(after_m > 0, 1.0, before_m / np.maximum(before_m - after_m, 1e-12))
        self.last_wet_s[wet] = (self.time_s + this_s * share)[wet]
        late_m = np.clip(whole - level, 0.0, _LATE_STEPS * np.maximum(level - self.level, 0.0))
        self.level, self.stored, self.out = level, self.stored + change, out_after
        self.time_s += this_s
        top = level + late_m
        higher = top > self.highest
        self.highest[higher], self.highest_s[higher] = top[higher], self.time_s
        grow = 0.9 / math.sqrt(worst) if worst > 0 else 3.0
        self.step_s = max(this_s, self.step_s) * min(3.0, max(0.3, grow))
        return flows, soil, change

    def whole(
        self, level: Floats, change: Floats, missed_m3: Floats, inflow: Floats, this_s: float
    ) -> tuple[Floats, Floats]:
        """Levels at the end of a step with the water that it and those before it have missed.

        A straight line comes late to what fills fast, such as joints over stone, and the storm may
        turn before it is there. The lag is followed by the slopes where it is small, else by a
        balance of its own.

        Args:
            level: At the end of the step, shape (B, N).
            change: Of each volume.
            missed_m3: What the step missed at each node.
            inflow: Of each node.
            this_s: Length of the step.

        Returns:
            The levels, and what each node still lacks.
        """
        import numpy as np

        balance, more_m3 = self.balance, self.owed_m3 + missed_m3
        risen, owed_m3 = balance.risen(level, more_m3, this_s)
        whole = level + risen
        far = np.flatnonzero(np.abs(risen).max(axis=1) > _NEAR_M)
        if far.size:
            start = self.stored + more_m3
            solved = balance.solve(whole, start, inflow, this_s, far)
            if solved is not None:
                whole, flows, soil = solved
                with_it = this_s * (inflow - flows @ balance.links.takes - soil)
                owed_m3[far] = (more_m3 + with_it - change)[far]
        return whole, owed_m3

    def is_wet(self) -> npt.NDArray[np.bool_]:
        """Which nodes hold more than a film, shape (B, N)."""
        wet: npt.NDArray[np.bool_] = self.level - self.balance.nodes.bottom > RESIDUAL_M
        return wet


def _nothing_stepped(cases_count: int, spans_s: Sequence[float]) -> Stepped:
    """What happened where no node keeps water: all of it runs straight over edges."""
    import numpy as np

    steps, none = np.zeros((len(spans_s), cases_count, 0)), np.zeros((cases_count, 0))
    return Stepped(
        ends_s=np.cumsum(spans_s), flows_m3=steps, soil_m3=steps, levels_m=steps,
        stored_m3=none, highest_m=none, highest_s=none, dry_s=none,
    )  # fmt: skip


def step_through(
    system: LevelSystem,
    closed: Sequence[frozenset[str]],
    spans_s: Sequence[float],
    inflows_m3_per_s: Floats,
    uncounted_m3: float = 0.0,
    *,
    to_rest: bool = False,
) -> Stepped:
    """Step all cases through spans of even inflow, from empty.

    Args:
        system: Nodes and ways.
        closed: What is closed in each case, as in `Network.blockable`.
        spans_s: Length of each span.
        inflows_m3_per_s: Inflow of each node in each span, shape (spans, B, N), or (spans, 1, N)
            where all cases have the same.
        uncounted_m3: Water of which a step may miss no share, as of all other.
        to_rest: Go on without inflow until every node is dry or nothing moves any more.

    Raises:
        NoSolution: A step could not be solved.
    """
    import numpy as np

    if not system.nodes:
        return _nothing_stepped(len(closed), spans_s)
    water_m3 = (np.array(spans_s)[:, None, None] * inflows_m3_per_s).sum(axis=(0, 2))
    water_m3 = np.broadcast_to(water_m3, len(closed))
    balance = Balance(system, closed, water_m3)
    missed_m3 = np.maximum(_MISSED_SHARE * (water_m3 - uncounted_m3), 1e-7)
    walk = _Walk(balance, len(closed), missed_m3, to_rest=to_rest)
    for span_s, inflow in zip(spans_s, inflows_m3_per_s, strict=True):
        walk.span(span_s, inflow)
    stored = walk.stored
    if to_rest:
        walk.rest()
    size = (len(walk.ends_s), *walk.shape)
    return Stepped(
        ends_s=np.array(walk.ends_s),
        flows_m3=np.array(walk.told[0]).reshape(len(walk.ends_s), len(closed), -1),
        soil_m3=np.array(walk.told[1]).reshape(size),
        levels_m=np.array(walk.told[2]).reshape(size) + balance.nodes.datum_m,
        stored_m3=stored,
        highest_m=walk.highest + balance.nodes.datum_m,
        highest_s=walk.highest_s,
        dry_s=np.where(walk.is_wet(), np.inf if to_rest else np.nan, walk.last_wet_s),
    )
