"""Measures lots: what lies over each part of every lot, and how large the parts are.

Who is seen is decided as in `measure.partition`: surfaces of one level displace each other by
precedence, those of different levels lie over each other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from checker.core.problems import CheckerError
from checker.core.records import replace
from checker.measure.arrangement import SLIVER_M2
from checker.measure.layout import EASEMENTS
from checker.screen import integrals, sweep
from checker.screen.lots import DrawnLots, Lots
from checker.screen.members import LOST, LotParts, members_of
from checker.screen.overlays import parts_by_overlay
from checker.screen.rings import rings_of, together
from checker.screen.sweep import MOST_OUTLINES, MOST_STATES
from checker.screen.yards import with_yards

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.screen.lots import Town
    from checker.screen.members import Members, TownLayers


class Unmeasured(CheckerError):
    """What lies over some lots cannot be measured.

    Attributes:
        rows: Their places, shape (n,), ascending.
    """

    def __init__(self, rows: NDArray[np.intp]) -> None:
        super().__init__(
            "what lies over it cannot be measured reliably: let corners and edges that nearly "
            "touch be the same"
        )
        self.rows = rows


def measured(town: Town, layers: TownLayers, *, compiled_too: bool = True) -> Lots:
    """Measure lots.

    Args:
        town: What holds for all of them.
        layers: The shapes.
        compiled_too: Use the compiled sweep where Numba is installed; without it the overlays of
            the geometry library, which give the same areas.

    Raises:
        Unmeasured: The parts of some lots do not add up to them.
    """
    layers, fronts = with_yards(town, layers)
    members = members_of(town, layers)
    if compiled_too and sweep.compiled() is not None:
        parts = _compiled(layers, members)
    else:
        parts = parts_by_overlay(layers, members)
    _refuse_lost(layers, parts)
    return replace(_lots(town, layers, members, parts), fronts=fronts)


def _refuse_lost(layers: TownLayers, parts: LotParts) -> None:
    """The parts of a lot are the lot; where an overlay lost or doubled ground, nothing is told."""
    whole = layers.lots.areas
    found = np.bincount(parts.lot, parts.area, minlength=len(whole))
    lost = np.flatnonzero(~(np.abs(found - whole) <= LOST * whole))
    if len(lost):
        raise Unmeasured(lost)


def _compiled(layers: TownLayers, members: Members) -> LotParts:
    """The parts of every lot: by integrals, if these are in doubt by a sweep, else by overlays."""
    count = len(layers.lots)
    crossing = np.bincount(members.overlay_lot, minlength=count)
    per_lot = 1 + members.counts.sum(axis=1) + crossing
    fits = per_lot <= MOST_OUTLINES
    start = np.concatenate([[0], np.cumsum(per_lot)]).astype(np.int64)
    listed = np.empty(start[-1], np.int64)
    listed[start[:-1]] = np.arange(count)
    of = members.surface_lot
    listed[start[of] + 1 + _within(of, count)] = count + members.surface
    of = members.overlay_lot
    after = (start[1:] - crossing)[of]
    listed[after + _within(of, count)] = count + len(layers.surfaces) + members.overlay
    rings = together([layers.lots.rings, layers.surfaces.rings, rings_of(layers.overlays)])
    columns = (rings.x, rings.y, rings.ring_start, rings.first, rings.last, start, listed)
    states = np.empty((count, MOST_STATES), np.int64)
    areas = np.empty((count, MOST_STATES))
    counts = np.zeros(count, np.int64)
    along, across = integrals.compiled(), sweep.compiled()
    assert along is not None, "Numba is there"
    assert across is not None, "Numba is there"
    along(*columns, fits, states, areas, counts, integrals.runs_of(rings.x, rings.y))
    is_doubtful = counts == integrals.DOUBT
    if is_doubtful.any():
        swept = np.where(is_doubtful, 0, counts)
        across(*columns, is_doubtful, states, areas, swept)
        counts = np.where(is_doubtful, swept, counts)
    full = np.flatnonzero(counts < 0)
    counts[full] = 0
    lot = np.repeat(np.arange(count), counts)
    slot = np.arange(len(lot)) - np.repeat(np.cumsum(counts) - counts, counts)
    found = _seen(layers, members, lot, areas[lot, slot], states[lot, slot])
    if not len(full):
        return found
    rest = parts_by_overlay(layers, members, full)
    return LotParts(
        np.concatenate([found.lot, rest.lot]),
        np.concatenate([found.area, rest.area]),
        np.concatenate([found.seen, rest.seen]),
        np.concatenate([found.marks, rest.marks]),
    )


def _within(of: NDArray[np.intp], count: int) -> NDArray[np.intp]:
    """The place of each row among those of its lot; `of` ascends."""
    first = np.searchsorted(of, np.arange(count))
    return np.arange(len(of)) - first[of]


def _seen(layers: TownLayers, members: Members, lot: Any, area: Any, state: Any) -> LotParts:
    """What is seen over parts, from the bits of the outlines over them.

    The bits are the lot, its surfaces in their order, the overlays whose edges run over it.
    """
    count = len(layers.lots)
    begin = np.searchsorted(members.surface_lot, np.arange(count))
    seen = np.full((len(lot), 3), -1, np.intp)
    shift = np.ones(count, np.int64)
    for level in range(3):
        own = members.counts[:, level]
        bits = (state >> shift[lot]) & ((np.int64(1) << own[lot]) - 1)
        lowest = bits & -bits
        there = lowest > 0
        place = np.log2(lowest[there].astype(float)).astype(np.intp)
        seen[there, level] = (begin + shift - 1)[lot[there]] + place
        shift = shift + own
    first = np.searchsorted(members.overlay_lot, np.arange(count + 1))
    marks = np.zeros(len(lot), np.int64)
    for place in range(int(np.diff(first).max(initial=0))):
        rows = np.flatnonzero(first[lot] + place < first[lot + 1])
        overlay = members.overlay[first[lot[rows]] + place]
        is_in = (state[rows] >> (shift[lot[rows]] + place)) & 1
        marks[rows] |= np.where(is_in == 1, layers.overlay_land[overlay], 0)
    return LotParts(lot, area, seen, marks)


def _easements(town: Town, layers: TownLayers) -> NDArray[Any] | None:
    """The easements among the overlays; None where no layer tells them."""
    told = [land.by == "kind" and land.name in EASEMENTS for land in town.lands]
    if not any(told):
        return None
    bits = sum(1 << bit for bit, is_one in enumerate(told) if is_one)
    own = layers.overlay_lot
    is_shared = np.ones(len(layers.overlays), bool) if own is None else own < 0
    return np.asarray(layers.overlays[is_shared & ((layers.overlay_land & bits) != 0)])


def _lots(town: Town, layers: TownLayers, members: Members, parts: LotParts) -> Lots:
    """The lots, parts that look alike taken as one spot."""
    size_m2 = layers.size_m**2
    marks = members.whole[parts.lot] | parts.marks
    table = np.stack([parts.lot, *(parts.seen.T + 1), marks], axis=1)
    order = np.lexsort(table.T[::-1])
    table, area_m2 = table[order], parts.area[order] * size_m2
    is_new = np.ones(len(table), bool)
    is_new[1:] = (table[1:] != table[:-1]).any(axis=1)
    group = np.cumsum(is_new) - 1
    sums_m2 = np.bincount(group, area_m2, minlength=int(is_new.sum())).astype(float)
    kept = sums_m2 > SLIVER_M2
    spots, sums_m2 = table[is_new][kept], sums_m2[kept]
    return Lots(
        town=town,
        ids=layers.ids,
        area_m2=layers.lots.areas * size_m2,
        surface_lot=members.surface_lot,
        surface_class=layers.surface_class[members.surface],
        surface_place=members.surface,
        spot_lot=spots[:, 0].astype(np.intp),
        spot_area_m2=sums_m2,
        spot_layers=(spots[:, 1:4] - 1).astype(np.intp),
        spot_marks=spots[:, 4],
        given=layers.given,
        recorded_m2=layers.recorded_m2,
        features=layers.features,
        easements=_easements(town, layers),
        drawn=DrawnLots(layers.surfaces, members.surface, layers.lots, layers.size_m),
    )
