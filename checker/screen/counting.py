"""Counting tables over many lots: `algebra.weighing` and `algebra.counting`, row by row."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.algebra.values import UNCLEAR, Missing
from checker.core.records import Record
from checker.core.units import AREA, RATIO
from checker.screen.arithmetic import Hull
from checker.screen.columns import (
    UNREAD,
    YES,
    NumberColumn,
    numbers,
    together,
    unread,
    where,
    within,
)
from checker.screen.compare import meets, settled
from checker.screen.ground import is_of_sorts
from checker.screen.layers import SurfaceRows
from checker.screen.probe import SOME, WHERE_IT_LIES
from checker.screen.reading import condition, number

if TYPE_CHECKING:
    from checker.algebra.tables import CountRow, CountTable
    from checker.rulesets.rules import RuleSet
    from checker.screen.columns import Gaps
    from checker.screen.compare import Floats, Mask
    from checker.screen.ground import SortedGround
    from checker.screen.reading import TownScope

STRIPS: Final = unread("strips along edges do not count there, which a screening does not measure")


class Weights(Record, eq=False):
    """What surfaces count per area.

    Attributes:
        row: The row of the table that decided, -1 for none; shape (m, 3) for the three levels.
        low: The least share, nan where there is no surface.
        high: The most.
        gaps: What would narrow it, shape (m, 3) each.
    """

    row: Any
    low: Any
    high: Any
    gaps: Gaps


def asks_sorts_alone(table: CountTable, ruleset: RuleSet) -> bool:
    """Whether what a surface counts hangs on its sort alone, and neither on its lot nor area."""
    names = frozenset(ruleset.words.surface) - {"area"} - WHERE_IT_LIES
    trees = [
        part for row in table.rows for part in (row.where, row.weight, row.otherwise, row.needs)
    ]
    return is_of_sorts([*trees, table.otherwise], names)


def count(
    table: CountTable, ground: SortedGround, lot: TownScope, spots: Mask | None
) -> NumberColumn:
    """What a table counts on each lot; see `algebra.counting.count`.

    Args:
        table: The counting table.
        ground: What lies where.
        lot: The scope of the lots.
        spots: The spots to count over; all for None.

    Returns:
        The total in m2, as ranges.
    """
    among = np.arange(len(ground.lots.spot_lot)) if spots is None else np.flatnonzero(spots)
    if not len(among):
        return numbers(np.zeros(ground.lots.count), AREA)
    kinds = ground.kinds
    if asks_sorts_alone(table, ground.ruleset):
        weights = _weights(table, ground, lot, kinds.layers)
        which = kinds.of_spot[among]
    else:
        weights = _weights(table, ground, lot, kinds.layers[kinds.of_spot[among]], among)
        which = np.arange(len(among))
    return _Sums(table, ground, lot, among).total(_counted(table, weights), which)


def _weights(
    table: CountTable, ground: SortedGround, lot: TownScope, layers: Any, spots: Any = None
) -> Weights:  # fmt: skip
    """What each surface counts, over kinds of spots or over spots."""
    there = layers >= 0
    of = surface = None
    if spots is not None:
        of = np.broadcast_to(ground.lots.spot_lot[spots][:, None], layers.shape)[there]
        surface = ground.lots.spot_layers[spots][there]
    scopes = SurfaceRows(lot, ground, layers[there], of, surface)
    low, high, row, gaps = weigh(table, scopes)
    found = Weights(
        np.full(layers.shape, -1),
        np.full(layers.shape, np.nan),
        np.full(layers.shape, np.nan),
        {item: np.zeros(layers.shape, bool) for item in gaps},
    )
    found.row[there], found.low[there], found.high[there] = row, low, high
    for item, mask in gaps.items():
        found.gaps[item][there] = mask
    return found


def weigh(table: CountTable, scopes: SurfaceRows) -> tuple[Any, Any, Any, Gaps]:
    """The share of each surface that counts: low, high, row, gaps; see `algebra.weighing`."""
    hull = Hull()
    first = np.full(scopes.rows, -1)
    is_left: Any = np.ones(scopes.rows, bool)
    gaps: Gaps = {}
    for index, row in enumerate(table.rows):
        fits = condition(row.where, scopes)
        may = is_left & (fits.holds != 0)
        if not may.any():
            continue
        weight = _gated(row, scopes)
        unclear = weight.missing.get(UNCLEAR)
        if unclear is not None:
            weight = where(unclear, _silent(table, scopes), weight)
        hull.add(weight, may)
        first = np.where(may & (first < 0), index, first)
        gaps = together(gaps, within(fits.missing, is_left & (fits.holds == -1)))
        is_left = is_left & (fits.holds != 1)
    if is_left.any():
        silent = table.otherwise is None
        rest = _silent(table, scopes) if silent else number(table.otherwise, scopes)  # type: ignore[arg-type]
        hull.add(rest, is_left)
    found = hull.column(gaps)
    low, high = (np.broadcast_to(end, scopes.rows) for end in (found.low, found.high))
    asked = within(found.missing, low < high)
    # What this reading cannot tell stays untold, whatever the range comes to.
    asked = together(asked, {i: m for i, m in found.missing.items() if i.of == UNREAD})
    return np.maximum(low, 0.0), np.minimum(high, 1.0), first, asked


def _silent(table: CountTable, scopes: SurfaceRows) -> NumberColumn:
    """The text is silent on a surface: everything from nothing to all may count."""
    codes = scopes.fact("material")
    gaps: dict[Missing, Any] = {}
    for place, material in enumerate(codes.values):
        ask = f"ask the office how '{material}' counts toward {table.title} ({SOME})"
        gaps[Missing("material", SOME, ask)] = np.asarray(codes.index == place)
    gaps[codes.lacks] = np.asarray(codes.index < 0)
    return NumberColumn(np.zeros(()), np.ones(()), RATIO, within(gaps, np.asarray(YES)))


def _gated(row: CountRow, scopes: SurfaceRows) -> NumberColumn:
    weight = number(row.weight, scopes)
    if not row.needs:
        return weight
    truths = [condition(need, scopes) for need in row.needs]
    holds = [truth.holds for truth in truths]
    all_hold = np.logical_and.reduce(np.broadcast_arrays(*(h == 1 for h in holds)))
    any_fails = np.logical_or.reduce(np.broadcast_arrays(*(h == 0 for h in holds)))
    conservative = number(row.otherwise, scopes)
    hull = Hull()
    hull.add(weight, ~any_fails)
    hull.add(conservative, ~all_hold)
    gaps = together(*(within(t.missing, np.asarray((t.holds == -1) & ~any_fails)) for t in truths))
    return hull.column(gaps)


class _Slot(Record, eq=False):
    """One surface over each kind of spot, or over each spot, that counts.

    Attributes:
        there: Whether one does.
        level: Which one, 0 to 2.
        low: Its share.
        high: Its share at most.
        row: Its row.
        gaps: What would narrow its share.
    """

    there: Any
    level: Any
    low: Any
    high: Any
    row: Any
    gaps: Gaps


def _counted(table: CountTable, weights: Weights) -> list[_Slot]:
    """Those of the surfaces over a spot that count; see `algebra.weighing.chosen`."""
    there = weights.row > -2
    there &= ~np.isnan(weights.low)
    if table.levels == "sum":
        return [_slot(weights, np.full(len(there), level), there[:, level]) for level in range(3)]
    yes = np.ones(len(there), bool)
    if table.levels == "ground":
        return [_slot(weights, np.zeros(len(there), int), yes)]
    if table.levels == "top":
        return [_slot(weights, np.where(there[:, 2], 2, np.where(there[:, 1], 1, 0)), yes)]
    # The heaviest; of equals the upper one, and no less than any of them counts at least.
    best = np.zeros(len(there), int)
    rows = np.arange(len(there))
    for level in (1, 2):
        low, high = weights.low[:, level], weights.high[:, level]
        with np.errstate(invalid="ignore"):
            is_heavier = (high > weights.high[rows, best]) | (
                (high == weights.high[rows, best]) & (low >= weights.low[rows, best])
            )
        best = np.where(there[:, level] & is_heavier, level, best)
    found = _slot(weights, best, yes)
    low = np.nanmax(weights.low, axis=1) if len(there) else found.low
    gaps = {item: mask & (low < found.high) for item, mask in found.gaps.items()}
    # What this reading cannot tell of any of them stays untold, whichever weighs the most.
    gaps |= {item: (mask & there).any(axis=1)
             for item, mask in weights.gaps.items() if item.of == UNREAD}  # fmt: skip
    return [_Slot(yes, best, low, found.high, found.row, gaps)]


def _slot(weights: Weights, level: Any, there: Any) -> _Slot:
    rows = np.arange(len(level))
    return _Slot(
        there,
        level,
        np.where(there, weights.low[rows, level], 0.0),
        np.where(there, weights.high[rows, level], 0.0),
        weights.row[rows, level],
        {item: mask[rows, level] & there for item, mask in weights.gaps.items()},
    )


class _Sums:
    """Adds up what the spots of each lot count."""

    def __init__(self, table: CountTable, ground: SortedGround, lot: TownScope, among: Any) -> None:
        self.table = table
        self.ground = ground
        self.lot = lot
        self.among = among
        self.lots = ground.lots.spot_lot[among]
        self.area_m2 = ground.lots.spot_area_m2[among]
        self.count = ground.lots.count

    def _by_lot(self, values: Any) -> Floats:
        return np.bincount(self.lots, values, minlength=self.count).astype(float)

    def total(self, slots: list[_Slot], which: Any) -> NumberColumn:
        """The total of each lot."""
        rows = self.table.rows
        low_m2, high_m2 = np.zeros(self.count), np.zeros(self.count)
        gaps: Gaps = {}
        freed = [i for i, r in enumerate(rows) if r.exempt_first_m2 or r.exempt_up_to is not None]
        of_row = {i: [np.zeros(self.count), np.zeros(self.count)] for i in freed}
        small = self._small(slots, which)
        for place, slot in enumerate(slots):
            low, high = (self.area_m2 * end[which] for end in (slot.low, slot.high))
            if small is not None:
                low, high = (np.where(small[place], 0.0, end) for end in (low, high))
            low_m2 += self._by_lot(low)
            high_m2 += self._by_lot(high)
            for i in freed:
                here = slot.row[which] == i
                of_row[i][0] += self._by_lot(np.where(here, low, 0.0))
                of_row[i][1] += self._by_lot(np.where(here, high, 0.0))
            gaps = together(gaps, self._gaps(slot, which, low < high))
        gaps = together(gaps, self._strips(slots, which))
        made_of = high_m2.copy()
        for i in freed:
            row_low, row_high, missing = self._freed(rows[i], *of_row[i])
            low_m2, high_m2 = low_m2 + row_low, high_m2 + row_high
            gaps = together(gaps, missing)
        low_m2, high_m2 = (np.maximum(settled(e, made_of), 0.0) for e in (low_m2, high_m2))
        return NumberColumn(low_m2, high_m2, AREA, gaps, made_of)

    def _gaps(self, slot: _Slot, which: Any, is_open: Mask) -> Gaps:
        found: dict[Missing, Any] = {}
        for item, mask in slot.gaps.items():
            spots = mask[which] & (is_open | (item.of == UNREAD))
            if spots.any():
                found[item] = self._by_lot(spots) > 0
        return found

    def _strips(self, slots: list[_Slot], which: Any) -> Gaps:
        """The lots on which a row with strips has a say."""
        special = [
            i
            for i, row in enumerate(self.table.rows)
            if row.drop_outer or row.drop_inner or row.least_width
        ]
        if not special:
            return {}
        found: Any = np.zeros(self.count, bool)
        for slot in slots:
            has = np.isin(slot.row, special) & (slot.high > 0) & slot.there
            found |= self._by_lot(has[which].astype(float)) > 0
        return {STRIPS: found} if found.any() else {}

    def _small(self, slots: list[_Slot], which: Any) -> list[Mask] | None:
        """The shares of items so small that they do not count at all, by slot."""
        each = np.array(
            [-1.0 if r.each_over_m2 is None else r.each_over_m2 for r in self.table.rows]
        )
        if (each < 0).all():
            return None
        lots, per_row = self.ground.lots, len(each) + 1
        keys, areas = [], []
        for slot in slots:
            level = slot.level[which]
            item = lots.spot_layers[self.among, level]
            item = np.where(item < 0, len(lots.surface_lot) + self.lots, item)
            there = slot.there[which]
            keys.append(np.where(there, item * per_row + slot.row[which] + 1, -1))
            areas.append(np.where(there, self.area_m2, 0.0))
        known, place = np.unique(np.concatenate(keys), return_inverse=True)
        whole_m2 = np.bincount(place, np.concatenate(areas), len(known)).astype(float)
        up_to = np.append(-1.0, each)[known % per_row]
        is_small = (up_to >= 0) & (known >= 0) & meets(whole_m2, up_to, "at most")
        return np.split(is_small[place], len(slots))

    def _freed(self, row: CountRow, low: Floats, high: Floats) -> tuple[Any, Any, Gaps]:
        """What an exemption of a whole row takes off its sum."""
        if row.exempt_first_m2:
            off = -np.minimum(low, row.exempt_first_m2), -np.minimum(high, row.exempt_first_m2)
            return np.minimum(*off), np.maximum(*off), {}
        assert row.exempt_up_to is not None
        cap = number(row.exempt_up_to, self.lot)
        left = (
            _beyond(low, np.broadcast_to(cap.high, low.shape), row.beyond),
            _beyond(high, np.broadcast_to(np.maximum(cap.low, 0.0), high.shape), row.beyond),
        )
        off = left[0] - low, left[1] - high
        is_any = (off[0] != 0) | (off[1] != 0)
        return *off, within(cap.missing, is_any)


def _beyond(total: Floats, cap: Floats, beyond: str) -> Floats:
    with np.errstate(invalid="ignore"):
        left = total - cap if beyond == "excess" else total
    return np.where(meets(total, cap, "at most"), 0.0, left)
