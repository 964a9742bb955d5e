"""Level-pool routing: what a store lets out, and how high it stands, under any inflow.

Outflow is a straight line in storage between the rows of a table, so within a row a constant
inflow has a closed solution: the store is stepped from row to row and from step to step without
error of time stepping, and what comes in goes out or stays, to the last digits. Dry gaps are one
step each. The only approximation is the table, which `stores` makes as fine as it must be.

A store with nothing in it passes on an inflow that is smaller than its outflow just above empty.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    import numpy.typing as npt

    from checker.water.stores import StorageTable

    Floats = npt.NDArray[np.float64]

_FLAT: Final = 1e-12
_SHORT_GAP_COUNT: Final = 8
"""Dry steps that are cheaper walked through one by one than jumped over."""


class _Pool:
    """A store on its way through a series: what it holds, and the straight lines of its table.

    On the line of each row, outflow = `a` + `b` stored; each outlet has its part in both. Every
    interval, a step or a jumped gap, leaves one entry.

    Attributes:
        stored: Volume held now.
        rates: Inflow of each interval.
        ends: Volume after each interval.
        rows: Where the store comes to the line of another row, as (index, row).
        emptied: The intervals that it ended empty and began on the lowest row.
        crossed: The intervals in which it crossed rows, and for how long it was empty in them.
        pieces: What these are made of, four numbers after four numbers: index, row, seconds,
            fall of the stored volume.
        gaps: The jumped intervals, as (index, seconds).
    """

    def __init__(self, table: StorageTable, step_s: float, start_m3: float) -> None:
        stored = table.stored_m3
        flows = table.flows_m3_per_s
        widths = [high - low for low, high in pairwise(stored)]
        slopes = [
            [(high - low) / width for (low, high), width in zip(pairwise(q), widths, strict=True)]
            for q in flows
        ]
        rows = range(len(widths))
        self.parts_a = [
            [q[row] - slope[row] * stored[row] for q, slope in zip(flows, slopes, strict=True)]
            for row in rows
        ]
        b_of_row = [math.fsum(slope[row] for slope in slopes) for row in rows]
        self.parts_b = [
            [slope[row] / b if b > 0 else 0.0 for slope in slopes] for row, b in enumerate(b_of_row)
        ]
        a_of_row = [math.fsum(parts) for parts in self.parts_a]
        highs = [*stored[1:-1], math.inf]
        self.lines = list(zip(a_of_row, b_of_row, stored[:-1], highs, strict=True))
        self.empty = stored[0]
        self.passed = math.fsum(q[0] for q in flows)
        self.dry_parts = [q[0] / self.passed if self.passed > 0 else 0.0 for q in flows]
        self.step_s = step_s
        self.steps = [self._step(*line) for line in self.lines]
        self.stored = start_m3
        self.row = min(max(bisect_right(stored, start_m3) - 1, 0), len(widths) - 1)
        self.rates: list[float] = []
        self.ends: list[float] = []
        self.rows = [(0, self.row)]
        self.emptied: list[int] = []
        self.crossed: list[tuple[int, float]] = []
        self.pieces: list[float] = []
        self.gaps: list[tuple[int, float]] = []

    def _step(self, a: float, b: float, low: float, high: float) -> tuple[float, ...]:
        """For one step: end = alpha start + beta inflow - loss, as long as it is in the row."""
        x = b * self.step_s
        beta = -math.expm1(-x) / b if x > _FLAT else self.step_s
        return math.exp(-x), beta, beta * a, low, high

    def walk(self, rates: list[float]) -> None:
        """Go through consecutive steps. The usual way through the loop is short."""
        self.rates += rates
        ends, emptied = self.ends, self.emptied
        push = ends.append
        empty, passed = self.empty, self.passed
        stored, row = self.stored, self.row
        alpha, beta, loss, low, high = self.steps[row]
        for rate in rates:
            end = alpha * stored + beta * rate - loss
            if low <= end <= high:
                stored = end
                push(end)
            elif row == 0 and end < low and rate < passed:
                emptied.append(len(ends))
                stored = empty
                push(empty)
            else:
                self.stored, self.row = stored, row
                self.cross(rate, self.step_s)
                stored, row = self.stored, self.row
                alpha, beta, loss, low, high = self.steps[row]
        self.stored, self.row = stored, row

    def jump(self, time_s: float) -> None:
        """Go through a time without inflow as one interval."""
        self.gaps.append((len(self.ends), time_s))
        self.rates.append(0.0)
        if self.row > 0 or self.passed == 0:
            self.cross(0.0, time_s)
            return
        above, b = self.stored - self.empty, self.lines[0][1]
        if _time_to_s(above, b, self.passed) > time_s:
            out = self.passed + b * above
            self.stored -= out * (-math.expm1(-b * time_s) / b if b > 0 else time_s)
        else:
            self.emptied.append(len(self.ends))
            self.stored = self.empty
        self.ends.append(self.stored)

    def cross(self, inflow: float, time_s: float) -> None:
        """Go through a time of constant inflow from row to row, always up or always down."""
        index = len(self.ends)
        stored, row, left_s = self.stored, self.row, time_s
        a, b, low, high = self.lines[row]
        net = inflow - a - b * stored
        way = 1 if net > 0 else -1
        if stored >= high if net > 0 else stored <= low:
            row += way
        while row >= 0:
            a, b, low, high = self.lines[row]
            net = inflow - a - b * stored
            if net * way <= 0:
                # It rests where inflow and outflow are equal.
                self.pieces += (index, row, left_s, 0.0)
                left_s = 0.0
                break
            bound = high if way > 0 else low
            share = b * (bound - stored) / net
            if share < 1:
                spent_s = -math.log1p(-share) / b if share > _FLAT else (bound - stored) / net
                if spent_s < left_s:
                    self.pieces += (index, row, spent_s, stored - bound)
                    stored = bound
                    left_s -= spent_s
                    row += way
                    continue
            x = b * left_s
            end = stored + net * (-math.expm1(-x) / b if x > _FLAT else left_s)
            self.pieces += (index, row, left_s, stored - end)
            stored = end
            left_s = 0.0
            break
        row = max(row, 0)
        self.crossed.append((index, left_s))
        self.ends.append(stored)
        if row != self.row:
            self.rows.append((index + 1, row))
        self.stored, self.row = stored, row


def _time_to_s(above_m3: float, b: float, out_below: float) -> float:
    """Time without inflow to sink by a volume within a row, to where the outflow is `out_below`."""
    x = b * above_m3 / out_below
    return math.log1p(x) / b if x > _FLAT else above_m3 / out_below


class Routed(Record, kw_only=True):
    """What a store did with an inflow.

    Attributes:
        inflow_m3: All water that came in.
        outflow_m3: By outlet.
        start_m3: Stored at the start.
        end_m3: Stored at the end.
        peak_m3: Most that was stored.
        peak_level_m: Level of it.
        peak_time_s: End of the interval in which it was reached; 0 when it was the start.
        above_table: The peak lies above the last row, so the level is a guess on its last line.
        ends_s: End of each interval, a step or a jumped gap, shape (n,).
        stored_m3: Stored at the end of each, shape (n,).
        flows_m3_per_s: Mean flow by outlet in each, shape (n,).
    """

    inflow_m3: float
    outflow_m3: Mapping[str, float]
    start_m3: float
    end_m3: float
    peak_m3: float
    peak_level_m: float
    peak_time_s: float
    above_table: bool
    ends_s: Floats
    stored_m3: Floats
    flows_m3_per_s: Mapping[str, Floats]

    @property
    def balance_fraction(self) -> float:
        """What is missing in the water balance, over all water there was."""
        gone = math.fsum(self.outflow_m3.values()) + self.end_m3
        there = self.start_m3 + self.inflow_m3
        return (there - gone) / there if there > 0 else gone


def route(
    table: StorageTable,
    inflow_m3_per_s: npt.ArrayLike,
    step_s: float,
    start_m3: float | None = None,
    *,
    every_step: bool = True,
) -> Routed:
    """Route an inflow through a store.

    Args:
        table: The store.
        inflow_m3_per_s: Inflow of each step, constant within it, >= 0, shape (n,).
        step_s: Length of a step, > 0.
        start_m3: Stored at the start; the table's first row when None.
        every_step: Give every step. Otherwise a dry gap is one interval, which makes years of
            rain quick.

    Raises:
        OutOfRange: An inflow is negative or not finite, the step is not above 0, or the start
            lies below the table.

    Example:
        A linear reservoir of 2 hours under a constant inflow of 1 lets out 1 - exp(-1/2) after
        an hour:

        >>> from checker.water.stores import StorageTable
        >>> table = StorageTable(levels_m=(0.0, 1.0), stored_m3=(0.0, 7200.0),
        ...                      outlets=("out",), flows_m3_per_s=((0.0, 1.0),))
        >>> routed = route(table, [1.0] * 12, 300.0)
        >>> round(float(routed.stored_m3[-1]) / 7200, 5)
        0.39347
    """
    import numpy as np

    inflow = np.ascontiguousarray(inflow_m3_per_s, dtype=float)
    if inflow.size and not (inflow.min() >= 0 and math.isfinite(float(inflow.max()))):
        raise OutOfRange("route: inflow_m3_per_s has a value that is negative or not finite")
    if not 0 < step_s < math.inf:
        raise OutOfRange(f"route: step_s = {step_s:g} is not above 0")
    start = table.stored_m3[0] if start_m3 is None else start_m3
    if not table.stored_m3[0] <= start < math.inf:
        raise OutOfRange(f"route: start_m3 = {start:g} is below the table")
    pool = _Pool(table, step_s, start)
    at = 0
    for first, past in [(0, inflow.size)] if every_step else _wet_blocks(inflow):
        if first > at:
            pool.jump((first - at) * step_s)
        pool.walk(inflow[first:past].tolist())
        at = past
    if at < inflow.size:
        pool.jump((inflow.size - at) * step_s)
    return _result(table, pool, start)


def _wet_blocks(inflow: Floats) -> list[tuple[int, int]]:
    """Runs of steps with rain, short dry gaps between included, as (first, past the last)."""
    import numpy as np

    wet = np.flatnonzero(inflow > 0)
    if not wet.size:
        return []
    breaks = np.flatnonzero(np.diff(wet) > _SHORT_GAP_COUNT)
    firsts = np.concatenate((wet[:1], wet[breaks + 1])).tolist()
    lasts = np.concatenate((wet[breaks], wet[-1:])).tolist()
    return [(first, last + 1) for first, last in zip(firsts, lasts, strict=True)]


def _result(table: StorageTable, pool: _Pool, start_m3: float) -> Routed:
    import numpy as np

    stored, rates = np.array(pool.ends), np.array(pool.rates)
    durations_s = np.full(stored.size, pool.step_s)
    for index, gap_s in pool.gaps:
        durations_s[index] = gap_s
    ends_s = np.cumsum(durations_s)
    volumes = _volumes(pool, rates, durations_s, np.concatenate(([start_m3], stored)))
    best = int(stored.argmax()) if stored.size else -1
    rises = best >= 0 and stored[best] > start_m3
    peak = float(stored[best]) if rises else start_m3
    return Routed(
        inflow_m3=float((rates * durations_s).sum()),
        outflow_m3={name: float(v.sum()) for name, v in zip(table.outlets, volumes, strict=True)},
        start_m3=start_m3,
        end_m3=pool.stored,
        peak_m3=peak,
        peak_level_m=table.level_m(peak),
        peak_time_s=float(ends_s[best]) if rises else 0.0,
        above_table=peak > table.stored_m3[-1],
        ends_s=ends_s,
        stored_m3=stored,
        flows_m3_per_s={
            name: np.maximum(v, 0.0) / durations_s
            for name, v in zip(table.outlets, volumes, strict=True)
        },
    )


def _volumes(pool: _Pool, rates: Floats, durations_s: Floats, stored: Floats) -> list[Floats]:
    """Volume that each outlet passed in each interval; `stored` begins with the start."""
    import numpy as np

    begins, rows = np.array([*pool.rows, (rates.size, 0)]).T
    row = np.repeat(rows[:-1], np.diff(begins))
    a = np.array([line[0] for line in pool.lines])
    b = pool.lines[0][1]
    fall = stored[:-1] - stored[1:]
    wet_s, dry_s = durations_s.copy(), np.zeros_like(durations_s)
    emptied = np.array(pool.emptied, dtype=np.intp)
    fallen, net_out = fall[emptied], pool.passed - rates[emptied]
    x = b * fallen / net_out
    wet_s[emptied] = np.where(x > _FLAT, np.log1p(x) / (b or 1.0), fallen / net_out)
    dry_s[emptied] = durations_s[emptied] - wet_s[emptied]
    crossed, empty_s = np.array(pool.crossed).reshape(-1, 2).T
    at = crossed.astype(np.intp)
    wet_s[at], fall[at], dry_s[at] = 0.0, 0.0, empty_s
    piece, piece_row, spent_s, piece_fall = np.array(pool.pieces).reshape(-1, 4).T
    of = piece.astype(np.intp)
    piece_row = piece_row.astype(np.intp)
    through = rates * wet_s + fall - a[row] * wet_s
    piece_through = rates[of] * spent_s + piece_fall - a[piece_row] * spent_s
    volumes = []
    for j, dry_part in enumerate(pool.dry_parts):
        parts_a, parts_b = (np.array([p[j] for p in x]) for x in (pool.parts_a, pool.parts_b))
        pieces = parts_a[piece_row] * spent_s + parts_b[piece_row] * piece_through
        volume = parts_a[row] * wet_s + parts_b[row] * through + dry_part * rates * dry_s
        volumes.append(volume + np.bincount(of, pieces, rates.size))
    return volumes


def emptying_time_s(table: StorageTable, from_m3: float, to_m3: float) -> float:
    """Time without inflow for the stored volume to fall; infinite when it never does.

    Args:
        table: The store.
        from_m3: Volume at the start.
        to_m3: Volume at the end, not above `from_m3` and not below the table.

    Example:
        Half emptying of a linear reservoir takes ln 2 of its time:

        >>> from checker.water.stores import StorageTable
        >>> table = StorageTable(levels_m=(0.0, 1.0), stored_m3=(0.0, 7200.0),
        ...                      outlets=("out",), flows_m3_per_s=((0.0, 1.0),))
        >>> round(emptying_time_s(table, 7200.0, 3600.0) / 7200, 4)
        0.6931
    """
    if not table.stored_m3[0] <= to_m3 <= from_m3:
        raise OutOfRange("emptying_time_s: a store empties to a volume in its table, not upward")
    pool = _Pool(table, 1.0, from_m3)
    stored, time_s = from_m3, 0.0
    for row in range(pool.row, -1, -1):
        a, b, low, _ = pool.lines[row]
        bound = max(low, to_m3)
        out_below = a + b * bound
        if bound < stored:
            if out_below <= 0:
                return math.inf
            time_s += _time_to_s(stored - bound, b, out_below)
            stored = bound
    return time_s
