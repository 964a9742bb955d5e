"""The balance of all nodes over one step, solved for their levels: many cases at once.

The Jacobian is an M-matrix, as each flow rises with the level before it and falls with the one
behind it: the balance has one solution, it is never negative, and more water never lowers a level.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.water.laws import GRID

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    import numpy.typing as npt

    from checker.water.levels import LevelSystem, Node, WaterWay

    Floats = npt.NDArray[np.float64]
    Places = npt.NDArray[np.intp]

_FILM_M: Final = 5e-4
_FILM2_M2: Final = _FILM_M**2
"""Below this head a flow nears a straight line of the head, so that rest has a slope."""

_TURNS: Final = 30
_FREE_TURNS: Final = 6
"""Turns of plain Newton before chords stand for tangents."""

_FARTHEST_M: Final = 0.5
"""Newton's move of a level is never longer in one turn."""

_SWING: Final = 0.5
"""Share of its move that a level takes when it swings back: a root overshoots at rest."""

_CLOSE_SHARE: Final = 1e-8
"""Of all water: what the balance of a node may be off before its volume is set by its flows."""


class Nodes:
    """Volume and soil of all nodes by level, on the straight lines of their tables.

    Attributes:
        datum_m: The lowest bottom; all levels here are counted from it.
        bottom: Levels of the bottoms, shape (N,).
        count: How many nodes.
    """

    def __init__(self, nodes: Sequence[Node]) -> None:
        import numpy as np

        self.count = len(nodes)
        self.datum_m = min((node.levels_m[0] for node in nodes), default=0.0)
        rows = max((len(node.levels_m) for node in nodes), default=2)
        self.levels = np.full((self.count, rows), np.inf)
        self.stored, self.rise, self.soil, self.soil_rise = np.zeros((4, self.count, rows))
        for index, node in enumerate(nodes):
            size = len(node.levels_m)
            level = np.array(node.levels_m) - self.datum_m
            self.levels[index, :size] = level
            self.stored[index, :size] = node.stored_m3
            self.soil[index, :size] = node.soil_m3_per_s
            rise = np.diff(node.stored_m3) / np.diff(level)
            self.rise[index, :size] = [*rise, rise[-1]]
            self.soil_rise[index, : size - 1] = np.diff(node.soil_m3_per_s) / np.diff(level)
        self.bottom = self.levels[:, 0].copy()
        self.start = np.arange(self.count) * rows
        self.flat = (self.levels.ravel(), self.stored.ravel(), self.rise.ravel())
        self.flat_soil = (self.soil.ravel(), self.soil_rise.ravel())

    def held(self, level: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Volume and flow into the ground at levels, each with its rise, shape (B, N)."""
        row = (level[:, :, None] >= self.levels).sum(axis=2)
        wet = row > 0
        row -= wet
        row += self.start
        levels, stored, rises = self.flat
        above = level - levels.take(row)
        rise = rises.take(row)
        soil, soil_rises = self.flat_soil
        soil_rise = soil_rises.take(row) * wet
        return stored.take(row) + rise * above, rise, soil.take(row) + soil_rise * above, soil_rise


class Links:
    """Flow of all ways from the levels on both sides.

    Attributes:
        takes: What a way takes from each node, 1 or -1, shape (W, N).
    """

    def __init__(self, ways: Sequence[WaterWay], place: dict[str, int], datum_m: float) -> None:
        import numpy as np

        self.count, self.node_count = len(ways), len(place)
        self.fixed = np.array([way.fixed_m - datum_m for way in ways if way.fixed_m is not None])
        upper, lower, spare = [], [], self.node_count
        for way in ways:
            upper.append(place[way.start])
            lower.append(place[way.end] if way.fixed_m is None else spare)
            spare += way.fixed_m is not None
        # Pipes stand first, and their second laws follow after the first laws of all.
        pairs = [(index, 0) for index in range(len(ways))]
        pairs += [(index, 1) for index, way in enumerate(ways) if len(way.laws) > 1]
        self.pipes = len(pairs) - len(ways)
        of = np.array([index for index, _ in pairs], int)
        laws = [ways[index].laws[which] for index, which in pairs]
        self.a, self.b = np.array(upper, int)[of], np.array(lower, int)[of]
        self.two_way = self.b < self.node_count
        self.sill = np.array([upper for _, upper, _ in laws]) - datum_m
        self.low = np.array([lower for _, _, lower in laws]) - datum_m
        self.reach = np.array([law.reach_m for law, _, _ in laws])
        self.scale = GRID / self.reach
        self.free = np.array([law.free_share for law, _, _ in laws])
        self.back = np.minimum(self.free, 0.5)
        self.limit = np.array([law.limit_m3_per_s for law, _, _ in laws])
        table = np.array([(*law.conveyance, law.conveyance[-1]) for law, _, _ in laws])
        self.conveyance = table.ravel()
        self.offset = np.arange(len(laws)) * (GRID + 2)
        self.takes = self._takes(upper, lower)

    def _takes(self, upper: list[int], lower: list[int]) -> Floats:
        import numpy as np

        takes = np.zeros((self.count, self.node_count))
        nodes = self.node_count
        by_upper, by_lower = np.zeros((2, self.count, nodes, nodes))
        for way, (a, b) in enumerate(zip(upper, lower, strict=True)):
            takes[way, a] += 1
            by_upper[way, a, a] += 1
            if b < nodes:
                takes[way, b] -= 1
                by_upper[way, b, a] -= 1
                by_lower[way, b, b] -= 1
                by_lower[way, a, b] += 1
        self.jacobian = np.concatenate([by_upper, by_lower]).reshape(2 * self.count, nodes * nodes)
        return takes

    def flows(
        self, level: Floats, opened: Floats, *, chords: bool = False
    ) -> tuple[Floats, Floats, Floats]:
        """Flow of each way and its rise by the level at either side, shape (B, W).

        Args:
            level: Of the nodes, shape (B, N).
            opened: 1 for what is open, 0 for what is closed, shape (B, W).
            chords: The rise is at least that of the straight line from no head, which never
                overshoots where the flow is flat or turns round.
        """
        import numpy as np

        every = np.empty((len(level), self.node_count + self.fixed.size))
        every[:, : self.node_count] = level
        every[:, self.node_count :] = self.fixed
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
        passes = down | self.two_way
        runs = (q < self.limit) & (head > 0) & passes
        by_high = step * self.scale * within * s + s_rise * (1 - share * (within & ~drowned))
        by_high *= runs
        by_low = s_rise * (runs & drowned)
        q = np.minimum(q, self.limit) * passes
        if chords:
            chord = q / np.maximum(head, _FILM_M)
            by_high = np.maximum(by_high, chord)
            by_low = np.maximum(by_low, chord * drowned)
        if self.pipes:
            main = self.count
            less = q[:, main:] < q[:, : self.pipes]
            for value in (q, by_high, by_low):
                np.copyto(value[:, : self.pipes], value[:, main:], where=less)
            down, q, by_high, by_low = (x[:, :main] for x in (down, q, by_high, by_low))
        by_high, by_low = by_high * opened, by_low * opened
        sign = np.where(down, opened, -opened)
        return q * sign, np.where(down, by_high, by_low), -np.where(down, by_low, by_high)


class Balance:
    """The balance of a system in several cases.

    Args:
        system: Nodes and ways.
        closed: What is closed in each case.
        water_m3: All water of each case, shape (B,).
    """

    def __init__(
        self, system: LevelSystem, closed: Sequence[frozenset[str]], water_m3: Floats
    ) -> None:
        import numpy as np

        self.nodes = Nodes(system.nodes)
        place = {node.id: index for index, node in enumerate(system.nodes)}
        self.links = Links(system.ways, place, self.nodes.datum_m)
        self.opened = np.array(
            [[_is_open(way, shut) for way in system.ways] for shut in closed], float
        ).reshape(len(closed), len(system.ways))
        self.soil_opened = np.array(
            [[f"{node.id}/soil" not in shut for node in system.nodes] for shut in closed], float
        )
        self.close_m3 = np.maximum(_CLOSE_SHARE * water_m3, 1e-12)
        self.diagonal = np.arange(len(system.nodes)) * (len(system.nodes) + 1)

    def out(self, level: Floats) -> Floats:
        """What leaves each node at given levels, shape (B, N)."""
        _, _, soil, _ = self.nodes.held(level)
        flows, _, _ = self.links.flows(level, self.opened)
        found: Floats = flows @ self.links.takes + soil * self.soil_opened
        return found

    def risen(self, level: Floats, more_m3: Floats, step_s: float) -> tuple[Floats, Floats]:
        """How much higher levels end a step with more water, on the slopes at its end.

        Args:
            level: Levels at the end of the step, shape (B, N).
            more_m3: What comes to each node besides, in the step or before it, shape (B, N).
            step_s: Length of the step.

        Returns:
            The rise of each level, and what of the water is then still there.
        """
        import numpy as np

        _, rise, _, sunk_rise = self.nodes.held(level)
        _, by_first, by_other = self.links.flows(level, self.opened)
        slopes = rise + step_s * sunk_rise * self.soil_opened
        matrix = self.matrix(by_first, by_other, slopes, step_s)
        risen = np.asarray(np.linalg.solve(matrix, more_m3[:, :, None])[:, :, 0], np.float64)
        return risen, risen * rise

    def matrix(self, by_first: Floats, by_other: Floats, slopes: Floats, step_s: float) -> Floats:
        """Rise of what the balance of each node asks by each level, shape (B, N, N)."""
        import numpy as np

        links, count = self.links, self.nodes.count
        found: Floats = (np.concatenate([by_first, by_other], axis=1) * step_s) @ links.jacobian
        found[:, self.diagonal] += slopes
        return found.reshape(-1, count, count)

    def solve(
        self,
        start: Floats,
        stored: Floats,
        inflow: Floats,
        step_s: float,
        only: Places | None = None,
    ) -> tuple[Floats, Floats, Floats] | None:
        """Levels, flows and soil at the end of a step; None when it must be shorter.

        Args:
            start: Levels to start from, shape (B, N).
            stored: Volumes at the start of the step, shape (B, N).
            inflow: Of each node, shape (B, N) or (1, N).
            step_s: Length of the step.
            only: Cases to solve; the others stay as they start, without flows.
        """
        import numpy as np

        links, nodes = self.links, self.nodes
        level, moved = start.copy(), np.zeros_like(start)
        flows, soil = np.zeros((len(start), links.count)), np.zeros_like(start)
        want = stored + step_s * inflow
        cases: Places = np.arange(len(start)) if only is None else only
        opened, soil_opened, close_m3 = (
            every[cases] for every in (self.opened, self.soil_opened, self.close_m3)
        )
        trial, want, moved = level[cases], want[cases], moved[cases]
        for turn in range(_TURNS):
            chords = turn >= _FREE_TURNS
            held, rise, sunk, sunk_rise = nodes.held(trial)
            if chords:
                sunk_rise = np.maximum(sunk_rise, sunk / np.maximum(trial - nodes.bottom, _FILM_M))
            sunk, sunk_rise = sunk * soil_opened, sunk_rise * soil_opened
            q, by_first, by_other = links.flows(trial, opened, chords=chords)
            left = held - want + step_s * (q @ links.takes + sunk)
            go = np.abs(left).max(axis=1) > close_m3
            flows[cases], soil[cases], level[cases] = q, sunk, trial
            if not go.all():
                if not go.any():
                    return level, flows, soil
                cases, trial, left, want = cases[go], trial[go], left[go], want[go]
                by_first, by_other, moved = by_first[go], by_other[go], moved[go]
                rise, sunk_rise, opened = rise[go], sunk_rise[go], opened[go]
                soil_opened, close_m3 = soil_opened[go], close_m3[go]
            matrix = self.matrix(by_first, by_other, rise + step_s * sunk_rise, step_s)
            try:
                move = np.linalg.solve(matrix, left[:, :, None])[:, :, 0]
            except np.linalg.LinAlgError:
                return None
            move = np.clip(move, -_FARTHEST_M, _FARTHEST_M)
            swings = (move * moved < 0) & (np.abs(move) > 0.3 * np.abs(moved))
            move[swings] *= _SWING
            trial, moved = trial - move, move
        return None


def _is_open(way: WaterWay, shut: frozenset[str]) -> bool:
    """Whether a way passes water: neither it nor the outlet at its end is closed."""
    return way.name not in shut and not (way.fixed_m is not None and way.end in shut)
