"""What lets water out of a store: the soil, openings and overflow edges, laid out as a table."""

from __future__ import annotations

import functools
import math
from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.records import Record
from checker.water.stores import StorageTable, StoreLevels, between
from checker.water.weirs import (
    BROAD_SI,
    broad_weir_flow_m3_per_s,
    round_opening_flow_m3_per_s,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

_TOLERANCE: Final = {"Infiltration": 0.003, "Orifice": 0.003, "Weir": 0.01}
"""Largest error of a straight line between two rows, as a share of the outlet's flow there.

What goes over a weir follows from the balance and its head changes with the power 2/3 of the
flow, while the time to empty through an orifice hangs on the flow itself.
"""

_FLOOR: Final = 0.002
"""Flows below this share of an outlet's largest need not be met more closely than it."""

_THINNEST_ROW_M: Final = 0.0005
_MOST_ROWS: Final = 2000
_TOO_NEAR_M: Final = 1e-6


class Infiltration(Record, kw_only=True):
    """Infiltration through the ground around a store.

    Attributes:
        rate_m_per_s: Design rate, after the safety factor.
        counts_base: The base takes water; some methods leave it out as it silts up.
        counts_walls: The walls take water.
        name: Of the outlet.
        to: Where it leads; the ground.
    """

    rate_m_per_s: float
    counts_base: bool = True
    counts_walls: bool = True
    name: str = "soil"
    to: str = ""

    def flow_m3_per_s(self, level_m: float, shape: StoreLevels) -> float:
        """Rate times the ground that is wet."""
        wet_m2 = 0.0
        if self.counts_base:
            wet_m2 += between(level_m, shape.levels_m, shape.base_m2)
        if self.counts_walls:
            wet_m2 += between(level_m, shape.levels_m, shape.walls_m2)
        return self.rate_m_per_s * wet_m2

    @property
    def bends_m(self) -> tuple[float, ...]:
        """Levels where the flow starts or changes its law."""
        return ()


class Orifice(Record, kw_only=True):
    """A round opening or a pipe's mouth: underdrain, restrictor, exfiltration pipe.

    Attributes:
        invert_m: Level of its lowest point.
        diameter_m: Inside diameter.
        discharge_coefficient: 0.6 for a square edge.
        limit_m3_per_s: Most that the pipe behind it carries.
        name: Of the outlet.
        to: Id of what it leads to.
    """

    invert_m: float
    diameter_m: float
    discharge_coefficient: float = 0.6
    limit_m3_per_s: float = math.inf
    name: str = "orifice"
    to: str = ""

    def flow_m3_per_s(self, level_m: float, shape: StoreLevels) -> float:  # noqa: ARG002 - one form for all
        """Nothing below the invert, an orifice above."""
        depth_m = max(0.0, level_m - self.invert_m)
        flow = round_opening_flow_m3_per_s(self.diameter_m, depth_m, self.discharge_coefficient)
        return float(min(flow, self.limit_m3_per_s))

    @property
    def bends_m(self) -> tuple[float, ...]:
        """Levels where the flow starts or changes its law."""
        return self.invert_m, self.invert_m + self.diameter_m


class Weir(Record, kw_only=True):
    """An edge over which a store overflows.

    Attributes:
        crest_m: Level of the edge.
        length_m: Length of the edge.
        weir_coefficient_si: 1.66 for a broad edge.
        limit_m3_per_s: Most that what follows carries.
        name: Of the outlet.
        to: Id of what it leads to.
    """

    crest_m: float
    length_m: float
    weir_coefficient_si: float = BROAD_SI
    limit_m3_per_s: float = math.inf
    name: str = "overflow"
    to: str = ""

    def flow_m3_per_s(self, level_m: float, shape: StoreLevels) -> float:  # noqa: ARG002 - one form for all
        """Nothing below the crest, a weir above."""
        head_m = max(0.0, level_m - self.crest_m)
        flow = broad_weir_flow_m3_per_s(self.length_m, head_m, self.weir_coefficient_si)
        return float(min(flow, self.limit_m3_per_s))

    @property
    def bends_m(self) -> tuple[float, ...]:
        """Levels where the flow starts or changes its law."""
        return (self.crest_m,)


StoreOutlet = Infiltration | Orifice | Weir


@functools.lru_cache(maxsize=512)
def storage_table(shape: StoreLevels, outlets: tuple[StoreOutlet, ...]) -> StorageTable:
    """The table of a store with its outlets, with rows as near as the flows bend.

    Raises:
        OutOfRange: An outlet lies below the store, or the table does not rise.
    """
    low, high = shape.levels_m[0], shape.levels_m[-1]
    bends = {bend for outlet in outlets for bend in outlet.bends_m}
    if any(bend < low for bend in bends):
        raise OutOfRange("storage_table: an outlet lies below the bottom of the store")
    inside = {
        bend
        for bend in bends
        if bend < high and all(abs(bend - level) > _TOO_NEAR_M for level in shape.levels_m)
    }
    marks = sorted({*shape.levels_m, *inside})
    limits = [
        (_TOLERANCE[type(outlet).__name__], _FLOOR * outlet.flow_m3_per_s(high, shape))
        for outlet in outlets
    ]

    def flows(level_m: float) -> list[float]:
        return [outlet.flow_m3_per_s(level_m, shape) for outlet in outlets]

    rows = [(marks[0], flows(marks[0]))]
    for upper in marks[1:]:
        todo = [(upper, flows(upper))]
        while todo:
            (top, at_top), (bottom, at_bottom) = todo[-1], rows[-1]
            middle = (bottom + top) / 2
            at_middle = flows(middle)
            straight = top - bottom <= _THINNEST_ROW_M or len(rows) + len(todo) > _MOST_ROWS
            if straight or _is_straight(at_bottom, at_middle, at_top, limits):
                rows.append(todo.pop())
            else:
                todo.append((middle, at_middle))
    levels = tuple(level for level, _ in rows)
    return StorageTable(
        levels_m=levels,
        stored_m3=tuple(between(level, shape.levels_m, shape.stored_m3) for level in levels),
        outlets=tuple(outlet.name for outlet in outlets),
        flows_m3_per_s=tuple(
            tuple(at_level[j] for _, at_level in rows) for j in range(len(outlets))
        ),
    )


def _is_straight(
    below: Sequence[float],
    middle: Sequence[float],
    above: Sequence[float],
    limits: Sequence[tuple[float, float]],
) -> bool:
    return all(
        abs(m - (b + a) / 2) <= tolerance * max(m, floor)
        for b, m, a, (tolerance, floor) in zip(below, middle, above, limits, strict=True)
    )
