"""Steps the levels of a network through time: one coupled implicit balance, many cases at once.

In each step the water of every node at its end is that of its start plus inflow less the flows at
the end (backward Euler), solved by Newton for all levels together. The Jacobian is an M-matrix, as
each flow rises with the level before it and falls with the one behind it: the balance has one
solution, it is never negative, and more water never lowers a level. Volumes are carried forward by
the flows themselves, so that the balance closes by construction. Steps grow and shrink so that the
volume that the straight line of a step misses stays below a share of all water.

Cases differ only in what is closed; they share their steps, and numpy works on all at once.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.water.laws import GRID
from checker.water.stores import RESIDUAL_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    import numpy.typing as npt

    from checker.water.levels import System

    Floats = npt.NDArray[np.float64]
    Truths = npt.NDArray[np.bool_]

_FILM_M: Final = 5e-4
_FILM2_M2: Final = _FILM_M**2
"""Below this head a flow nears a straight line of the head, so that rest has a slope."""

_MISSED_SHARE: Final = 2e-4
"""Volume that a step may miss, of all water that comes."""

_CLOSE_SHARE: Final = 1e-9
"""Of all water: what the balance of a node may be off before its volume is set by its flows."""
_TURNS: Final = 30
_SWING: Final = 0.4
"""Share of its move that a level takes when it swings back."""
_FREE_TURNS: Final = 6
"""Turns of plain Newton before chords stand for tangents."""
_FARTHEST_M: Final = 0.5
"""Newton's move of a level is never longer in one turn."""

_SHORTEST_S: Final = 1e-4
_REST_S: Final = 10 * 365 * 86400.0


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
        dry_s: When each node was last wet by more than a film, shape (B, N); infinite where it
            still was when nothing moved any more, nan where it was not followed so far.
    """

    ends_s: Floats
    flows_m3: Floats
    soil_m3: Floats
    levels_m: Floats
    stored_m3: Floats
    dry_s: Floats


class _Balance:
    """The arrays of a system; levels are counted from its lowest bottom."""

    def __init__(self, system: System, closed: Sequence[frozenset[str]]) -> None:
        import numpy as np

        nodes, ways = system.nodes, system.ways
        place = {node.id: index for index, node in enumerate(nodes)}
        self.count = len(nodes)
        self.datum_m = min((node.levels_m[0] for node in nodes), default=0.0)
        rows = max((len(node.levels_m) for node in nodes), default=2)
        self.levels = np.full((self.count, rows), np.inf)
        self.stored, self.rise, self.soil, self.soil_rise = np.zeros((4, self.count, rows))
        for index, node in enumerate(nodes):
            size = len(node.levels_m)
            level = np.array(node.levels_m) - self.datum_m
            self.levels[index, :size] = level
            for table, values in ((0, node.stored_m3), (1, node.soil_m3_per_s)):
                column = np.array(values)
                slope = np.diff(column) / np.diff(level)
                self.table(table)[index, :size] = column
                self.slope(table)[index, :size] = [*slope, slope[-1] if table == 0 else 0.0]
        self.bottom = self.levels[:, 0].copy()
        self.each = np.arange(self.count)
        self.close_m3 = np.zeros(len(closed))
        fixed = [way.fixed_m - self.datum_m for way in ways if way.fixed_m is not None]
        self.fixed = np.array(fixed)
        upper, lower, spare = [], [], self.count
        for way in ways:
            upper.append(place[way.start])
            lower.append(place[way.end] if way.fixed_m is None else spare)
            spare += way.fixed_m is not None
        self.upper, self.lower = np.array(upper, int), np.array(lower, int)
        pairs = [(index, 0) for index in range(len(ways))]
        pairs += [(index, 1) for index, way in enumerate(ways) if len(way.laws) > 1]
        self.pipes = len(pairs) - len(ways)
        laws = [ways[index].laws[which] for index, which in pairs]
        of = np.array([index for index, _ in pairs], int)
        self.a, self.b = self.upper[of], self.lower[of]
        self.two_way = self.b < self.count
        self.sill = np.array([upper for _, upper, _ in laws]) - self.datum_m
        self.low = np.array([lower for _, _, lower in laws]) - self.datum_m
        self.reach = np.array([law.reach_m for law, _, _ in laws])
        self.free = np.array([law.free_share for law, _, _ in laws])
        self.back = np.minimum(self.free, 0.5)
        self.scale = GRID / self.reach
        self.limit = np.array([law.limit_m3_per_s for law, _, _ in laws])
        table_ = np.array([law.conveyance for law, _, _ in laws]).reshape(len(laws), GRID + 1)
        self.conveyance = np.hstack([table_, table_[:, -1:]]).ravel() if laws else np.zeros(0)
        self.offset = np.arange(len(laws)) * (GRID + 2)
        self.open = np.array([[way.name not in shut for way in ways] for shut in closed]).reshape(
            len(closed), len(ways)
        ).astype(float)
        self.soil_open = np.array(
            [[f"{node.id}/soil" not in shut for node in nodes] for shut in closed], float
        )
        self.takes = np.zeros((len(ways), self.count))
        by_upper = np.zeros((len(ways), self.count, self.count))
        by_lower = np.zeros_like(by_upper)
        for index in range(len(ways)):
            a, b = self.upper[index], self.lower[index]
            self.takes[index, a] += 1
            by_upper[index, a, a] += 1
            if b < self.count:
                self.takes[index, b] -= 1
                by_upper[index, b, a] -= 1
                by_lower[index, b, b] -= 1
                by_lower[index, a, b] += 1
        square = self.count * self.count
        self.jacobian = np.concatenate(
            [by_upper.reshape(-1, square), by_lower.reshape(-1, square)]
        )

    def table(self, which: int) -> Floats:
        """Column of volumes or of soil."""
        return (self.stored, self.soil)[which]

    def slope(self, which: int) -> Floats:
        """Its rise by level."""
        return (self.rise, self.soil_rise)[which]

    def held(self, level: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Volume and flow into the ground at levels, each with its rise, shape (B, N)."""
        row = (level[:, :, None] >= self.levels).sum(axis=2) - 1
        row[row < 0] = 0
        above = level - self.levels[self.each, row]
        rise, soil_rise = self.rise[self.each, row], self.soil_rise[self.each, row]
        soil = self.soil[self.each, row] + soil_rise * above
        wet = above >= 0
        return self.stored[self.each, row] + rise * above, rise, soil * wet, soil_rise * wet

    def flows(
        self, level: Floats, cases: npt.NDArray[np.intp], *, chords: bool = False
    ) -> tuple[Floats, Floats, Floats]:
        """Flow of each way and its rise by the level at either side, shape (B, W).

        With `chords` the rise is at least that of the straight line from no head, which never
        overshoots where the flow is flat or turns round.
        """
        import numpy as np

        every = np.empty((len(level), self.count + self.fixed.size))
        every[:, : self.count] = level
        every[:, self.count :] = self.fixed
        first, other = every.take(self.a, axis=1), every.take(self.b, axis=1)
        down = first >= other
        high, below = np.maximum(first, other), np.minimum(first, other)
        depth = high - self.sill
        y = np.minimum(np.maximum(depth, 0.0), self.reach)
        within = y == depth
        at = y * self.scale
        row = at.astype(np.intp)
        at -= row
        row += self.offset
        k = self.conveyance.take(row)
        row += 1
        step = self.conveyance.take(row) - k
        k += step * at
        share = np.where(down, self.free, self.back)
        freely = np.where(down, self.low, self.sill) + share * y
        drowned = below > freely
        head = np.maximum(high - np.maximum(below, freely), 0.0)
        square = head * head + _FILM2_M2
        fast = np.sqrt(np.sqrt(square))
        s = head / fast
        s_rise = k * (head * head * 0.5 + _FILM2_M2) / (square * fast)
        q = k * s
        runs = (q < self.limit) & (head > 0)
        runs &= down | self.two_way
        by_high = (step * self.scale * within * s + s_rise * (1 - share * (within & ~drowned))) * runs
        by_low = s_rise * (runs & drowned)
        q = np.minimum(q, self.limit) * (down | self.two_way)
        if chords:
            chord = q / np.maximum(head, _FILM_M)
            by_high = np.maximum(by_high, chord)
            by_low = np.maximum(by_low, chord * drowned)
        if self.pipes:
            pipes, main = self.pipes, self.upper.size
            less = q[:, main:] < q[:, :pipes]
            for value in (q, by_high, by_low):
                np.copyto(value[:, :pipes], value[:, main:], where=less)
            down = down[:, :main]
            q, by_high, by_low = q[:, :main], by_high[:, :main], by_low[:, :main]
        shut = self.open[cases]
        by_high *= shut
        by_low *= shut
        sign = np.where(down, shut, -shut)
        return q * sign, np.where(down, by_high, by_low), -np.where(down, by_low, by_high)

    def solve(
        self, start: Floats, stored: Floats, inflow: Floats, step_s: float
    ) -> tuple[Floats, Floats, Floats] | None:
        """Levels, flows and soil at the end of a step; None when it must be shorter."""
        import numpy as np

        level = start.copy()
        flows, soil = np.zeros((len(start), self.upper.size)), np.zeros_like(start)
        moved = np.zeros_like(start)
        cases = np.arange(len(start))
        want = stored + step_s * inflow
        for turn in range(_TURNS):
            trial = level[cases]
            held, rise, sunk, sunk_rise = self.held(trial)
            shut = self.soil_open[cases]
            chords = turn >= _FREE_TURNS
            if chords:
                sunk_rise = np.maximum(sunk_rise, sunk / np.maximum(trial - self.bottom, _FILM_M))
            sunk, sunk_rise = sunk * shut, sunk_rise * shut
            q, by_first, by_other = self.flows(trial, cases, chords=chords)
            left = held - want[cases] + step_s * (q @ self.takes + sunk)
            done = np.abs(left).max(axis=1) <= self.close_m3[cases]
            flows[cases], soil[cases] = q, sunk
            if done.any():
                go = ~done
                cases, trial, left = cases[go], trial[go], left[go]
                if not cases.size:
                    return level, flows, soil
                by_first, by_other = by_first[go], by_other[go]
                rise, sunk_rise = rise[go], sunk_rise[go]
            matrix = (np.concatenate([by_first, by_other], axis=1) * step_s) @ self.jacobian
            matrix = matrix.reshape(-1, self.count, self.count)
            matrix[:, self.each, self.each] += rise + step_s * sunk_rise
            try:
                move = np.linalg.solve(matrix, left[:, :, None])[:, :, 0]
            except np.linalg.LinAlgError:
                return None
            move = np.clip(move, -_FARTHEST_M, _FARTHEST_M)
            before = moved[cases]
            # A root overshoots where a flow turns round: a level that swings back goes half way.
            swings = (move * before < 0) & (np.abs(move) > 0.3 * np.abs(before))
            move[swings] *= _SWING
            level[cases] = trial - move
            moved[cases] = move
        return None


def step_through(
    system: System,
    closed: Sequence[frozenset[str]],
    spans_s: Sequence[float],
    inflows_m3_per_s: Floats,
    *,
    share: float = _MISSED_SHARE,
    to_rest: bool = False,
) -> Stepped:
    """Step all cases through spans of constant inflow, from empty.

    Args:
        system: Nodes and ways.
        closed: What is closed in each case, as in `Network.blockable`.
        spans_s: Length of each span.
        inflows_m3_per_s: Inflow of each node in each span, shape (spans, B, N), or (spans, 1, N)
            where all cases have the same.
        share: Volume that a step may miss, of all water.
        to_rest: Go on without inflow until every node is dry or nothing moves any more.

    Raises:
        NoSolution: A step could not be solved.
    """
    import numpy as np

    balance = _Balance(system, closed)
    water_m3 = (np.array(spans_s)[:, None, None] * inflows_m3_per_s).sum(axis=(0, 2))
    water_m3 = np.broadcast_to(water_m3, len(closed))
    balance.close_m3 = np.maximum(_CLOSE_SHARE * water_m3, 1e-12)
    shape = (len(closed), balance.count)
    level = np.broadcast_to(balance.bottom, shape).copy()
    stored = np.zeros(shape)
    missed_m3 = np.maximum(share * water_m3, 1e-7)
    ends: list[float] = []
    kept: tuple[list[Floats], list[Floats], list[Floats]] = ([], [], [])
    last_wet = np.zeros(shape)
    time_s, step_s = 0.0, 10.0
    told = stored
    rest = [_REST_S] if to_rest else []
    for index, span_s in enumerate([*spans_s, *rest]):
        resting = index >= len(spans_s)
        inflow = inflows_m3_per_s[index] if not resting else np.zeros((1, balance.count))
        left_s = span_s
        out = _out(balance, level)
        while left_s > 0:
            this_s = left_s if step_s > 0.99 * left_s else min(step_s, left_s / 2 if step_s > 0.6 * left_s else step_s)
            found = balance.solve(level, stored, inflow, this_s)
            if found is None:
                step_s = this_s / 4
                if step_s < _SHORTEST_S:
                    raise NoSolution("the levels of the drainage could not be worked out")
                continue
            after, flows, soil = found
            out_after = flows @ balance.takes + soil
            change = this_s * (inflow - out_after)
            straight = this_s * (out - out_after)
            miss = np.minimum(np.abs(straight), np.abs(change)).max(axis=1) / 2
            worst = float((miss / missed_m3).max())
            if worst > 4 and this_s > 1.0:
                step_s = max(this_s * max(0.2, 0.9 / math.sqrt(worst)), 0.5)
                continue
            level, stored, out = after, stored + change, out_after
            time_s += this_s
            left_s -= this_s
            depth = level - balance.bottom
            wet = depth > RESIDUAL_M
            last_wet[wet] = time_s
            if not resting:
                told = stored
                ends.append(time_s)
                for values, value in zip(kept, (flows * this_s, soil * this_s, level), strict=True):
                    values.append(value)
            elif not wet.any() or float(np.abs(change).max()) / this_s * _REST_S < 1e-3:
                break
            grow = 0.9 / math.sqrt(worst) if worst > 0 else 3.0
            step_s = max(this_s, step_s if this_s < step_s else 0.0) * min(3.0, max(0.3, grow))
    dry = np.where(depth > RESIDUAL_M, np.inf if to_rest else np.nan, last_wet)
    size = (len(ends), *shape)
    return Stepped(
        ends_s=np.array(ends),
        flows_m3=np.array(kept[0]).reshape(len(ends), len(closed), -1),
        soil_m3=np.array(kept[1]).reshape(size),
        levels_m=np.array(kept[2]).reshape(size) + balance.datum_m,
        stored_m3=told,
        dry_s=dry,
    )


def _out(balance: _Balance, level: Floats) -> Floats:
    """What leaves each node at given levels."""
    import numpy as np

    cases = np.arange(len(level))
    _, _, soil, _ = balance.held(level)
    flows, _, _ = balance.flows(level, cases)
    return flows @ balance.takes + soil * balance.soil_open
