"""Stores of any shape: how much water lies below a level.

A store is a `Shape` with outlets; `outlets.storage_table` lays both out as the `StorageTable` that
`routing` walks. Levels are heights above any one datum that is used throughout.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.formula import POSITIVE, OutOfRange, Range, formula
from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Sequence

RESIDUAL_M: Final = 0.001
"""A store counts as empty at this depth of water (common practice, no source)."""

_VOIDS: Final = Range(0.0, 1.0, low_open=True)


class StorageTable(Record, kw_only=True):
    """Levels with the water stored below them and the flow of each outlet.

    Attributes:
        levels_m: Rising.
        stored_m3: Rising, at the same levels.
        outlets: Names of the outlets.
        flows_m3_per_s: For each outlet its flow at each level, >= 0, never falling upward.

    Raises:
        OutOfRange: A column does not rise as it should, or the lengths differ.
    """

    levels_m: tuple[float, ...]
    stored_m3: tuple[float, ...]
    outlets: tuple[str, ...]
    flows_m3_per_s: tuple[tuple[float, ...], ...]

    def __post_init__(self) -> None:
        count = len(self.levels_m)
        columns = (self.stored_m3, *self.flows_m3_per_s)
        if count < 2 or any(len(column) != count for column in columns):
            raise OutOfRange(
                "StorageTable: every column needs one value for each level, two at least"
            )
        if len(self.outlets) != len(self.flows_m3_per_s):
            raise OutOfRange("StorageTable: every outlet needs one column of flows")
        for name, column in (("levels_m", self.levels_m), ("stored_m3", self.stored_m3)):
            if not all(low < high for low, high in pairwise(column)):
                raise OutOfRange(f"StorageTable: {name} does not rise from row to row")
        for name, column in zip(self.outlets, self.flows_m3_per_s, strict=True):
            if column[0] < 0 or not all(low <= high for low, high in pairwise(column)):
                raise OutOfRange(f"StorageTable: the flow of '{name}' falls as the water rises")

    def level_m(self, stored_m3: float) -> float:
        """Level for a stored volume, on the last line also above the table."""
        row = self._row(stored_m3)
        low, high = self.stored_m3[row], self.stored_m3[row + 1]
        share = (stored_m3 - low) / (high - low)
        return self.levels_m[row] + share * (self.levels_m[row + 1] - self.levels_m[row])

    def stored_at_m3(self, level_m: float) -> float:
        """Volume stored below a level, on the last line also above the table."""
        row = min(max(bisect_right(self.levels_m, level_m) - 1, 0), len(self.levels_m) - 2)
        low, high = self.levels_m[row], self.levels_m[row + 1]
        share = max(0.0, (level_m - low) / (high - low))
        return self.stored_m3[row] + share * (self.stored_m3[row + 1] - self.stored_m3[row])

    def _row(self, stored_m3: float) -> int:
        return min(max(bisect_right(self.stored_m3, stored_m3) - 1, 0), len(self.stored_m3) - 2)


def between(x: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """Value on the straight lines between points; the end values beyond them.

    Args:
        x: Where.
        xs: Places of the points, rising.
        ys: Their values.
    """
    if x <= xs[0]:
        return ys[0]
    if x >= xs[-1]:
        return ys[-1]
    row = bisect_right(xs, x) - 1
    return ys[row] + (x - xs[row]) / (xs[row + 1] - xs[row]) * (ys[row + 1] - ys[row])


class StoreLevels(Record, kw_only=True):
    """A store as rows of level: water below it, and the ground that is wet below it.

    Attributes:
        levels_m: Rising.
        stored_m3: Water below each level, voids counted, rising.
        base_m2: Plan area of ground that is wet.
        walls_m2: Area of walls that is wet.
    """

    levels_m: tuple[float, ...]
    stored_m3: tuple[float, ...]
    base_m2: tuple[float, ...]
    walls_m2: tuple[float, ...]

    @property
    def bottom_m(self) -> float:
        """The lowest level."""
        return self.levels_m[0]

    def then(self, thickness_m: float, area_m2: float, void_fraction: float = 1.0) -> StoreLevels:
        """The same store with another layer on top, such as water standing on the paving.

        Args:
            thickness_m: Height of the layer, > 0.
            area_m2: Its plan area, > 0.
            void_fraction: 1 for open water.
        """
        return StoreLevels(
            levels_m=(*self.levels_m, self.levels_m[-1] + thickness_m),
            stored_m3=(*self.stored_m3, self.stored_m3[-1] + thickness_m * area_m2 * void_fraction),
            base_m2=(*self.base_m2, self.base_m2[-1]),
            walls_m2=(*self.walls_m2, self.walls_m2[-1]),
        )

    def times(self, count: int) -> StoreLevels:
        """Several equal stores side by side that fill and empty together.

        Args:
            count: How many, > 0.
        """
        return StoreLevels(
            levels_m=self.levels_m,
            stored_m3=tuple(count * stored for stored in self.stored_m3),
            base_m2=tuple(count * base for base in self.base_m2),
            walls_m2=tuple(count * walls for walls in self.walls_m2),
        )


@formula(
    source="water-arithmetic",
    section="upright walls over a base that is level, or falls along its length",
    valid={
        "depth_m": POSITIVE,
        "length_m": POSITIVE,
        "width_m": POSITIVE,
        "void_fraction": _VOIDS,
        "slope_fraction": Range(0.0, 1.0),
    },
)
def stone_bed(
    bottom_m: float,
    depth_m: float,
    length_m: float,
    width_m: float,
    void_fraction: float,
    slope_fraction: float = 0.0,
) -> StoreLevels:
    """A stone layer with upright walls; a sloped base leaves the upper end dry.

    Args:
        bottom_m: Level of the lowest point of the base.
        depth_m: Thickness of the stone that counts, up to the lowest outlet or the paving.
        length_m: Length along the fall, of one cell between check dams.
        width_m: Width across it.
        void_fraction: Voids per volume.
        slope_fraction: Fall of the base.

    Example:
        12 in over 20 x 10 ft at 2 %, 40 % voids: 0.4 x 0.8 x 200 = 64 cu ft.

        >>> foot = 0.3048
        >>> bed = stone_bed(0.0, foot, 20 * foot, 10 * foot, 0.4, 0.02)
        >>> round(bed.stored_m3[-1] / foot**3, 6)
        64.0
    """
    fall_m = min(depth_m, slope_fraction * length_m)
    heights = [fall_m * i / 20 for i in range(21)] if fall_m > 0 else [0.0]
    if fall_m < depth_m:
        heights.append(depth_m)
    wet = [length_m if slope_fraction == 0 else min(length_m, h / slope_fraction) for h in heights]
    sections = [w * h - slope_fraction * w**2 / 2 for w, h in zip(wet, heights, strict=True)]
    ends = [h + max(0.0, h - slope_fraction * length_m) for h in heights]
    return StoreLevels(
        levels_m=tuple(bottom_m + h for h in heights),
        stored_m3=tuple(section * width_m * void_fraction for section in sections),
        base_m2=tuple(w * width_m for w in wet),
        walls_m2=tuple(2 * s + width_m * end for s, end in zip(sections, ends, strict=True)),
    )


@formula(
    source="water-arithmetic",
    section="a prismoid: level base, sides of one slope",
    valid={
        "depth_m": POSITIVE,
        "length_m": POSITIVE,
        "width_m": POSITIVE,
        "side_slope_ratio": Range(0.0),
        "void_fraction": _VOIDS,
    },
)
def basin(
    bottom_m: float,
    depth_m: float,
    length_m: float,
    width_m: float,
    side_slope_ratio: float,
    void_fraction: float = 1.0,
) -> StoreLevels:
    """A basin of trapezoidal section: V = L W h + (L + W) z h^2 + 4/3 z^2 h^3.

    Args:
        bottom_m: Level of its base.
        depth_m: From there to its brim.
        length_m: Of the base.
        width_m: Of the base.
        side_slope_ratio: Run of the sides for a rise of 1; 0 for upright ones.
        void_fraction: 1 for open water.

    Example:
        20 x 10 ft, 3 : 1, 2 ft deep: 400 + 30 x 3 x 4 + 4/3 x 9 x 8 = 856 cu ft.

        >>> foot = 0.3048
        >>> round(basin(0.0, 2 * foot, 20 * foot, 10 * foot, 3.0).stored_m3[-1] / foot**3, 6)
        856.0
    """
    z = side_slope_ratio
    heights = [depth_m * i / 20 for i in range(21)]
    base_m2 = length_m * width_m
    stored = [base_m2 * h + (length_m + width_m) * z * h**2 + 4 / 3 * z**2 * h**3 for h in heights]
    tops_m2 = [(length_m + 2 * z * h) * (width_m + 2 * z * h) for h in heights]
    return StoreLevels(
        levels_m=tuple(bottom_m + h for h in heights),
        stored_m3=tuple(void_fraction * volume for volume in stored),
        base_m2=(base_m2,) * len(heights),
        walls_m2=tuple(top - base_m2 for top in tops_m2),
    )


@formula(
    source="water-arithmetic",
    section="a round chamber in a round pit of stone",
    valid={
        "depth_m": POSITIVE,
        "chamber_diameter_m": Range(0.0),
        "pit_diameter_m": POSITIVE,
        "void_fraction": _VOIDS,
        "stone_below_m": Range(0.0),
    },
)
def dry_well(
    bottom_m: float,
    depth_m: float,
    chamber_diameter_m: float,
    pit_diameter_m: float,
    void_fraction: float,
    stone_below_m: float = 0.0,
) -> StoreLevels:
    """A round dry well: an open chamber with stone around and below it.

    Args:
        bottom_m: Level of the bottom of the stone.
        depth_m: Depth of water from there to the lowest outlet, at least the stone below.
        chamber_diameter_m: Inside diameter of the chamber; 0 for a pit full of stone.
        pit_diameter_m: Diameter of the pit.
        void_fraction: Voids of the stone.
        stone_below_m: Stone under the chamber.

    Raises:
        OutOfRange: The chamber is wider than the pit or the stone below deeper than the store.
    """
    if chamber_diameter_m > pit_diameter_m or stone_below_m >= depth_m:
        raise OutOfRange("dry_well: the chamber and the stone below it must fit into the pit")
    pit_m2 = math.pi * pit_diameter_m**2 / 4
    chamber_m2 = math.pi * chamber_diameter_m**2 / 4
    upper_m2 = chamber_m2 + (pit_m2 - chamber_m2) * void_fraction
    heights = [0.0, *([stone_below_m] if stone_below_m > 0 else []), depth_m]
    return StoreLevels(
        levels_m=tuple(bottom_m + h for h in heights),
        stored_m3=tuple(
            min(h, stone_below_m) * pit_m2 * void_fraction + max(0.0, h - stone_below_m) * upper_m2
            for h in heights
        ),
        base_m2=(pit_m2,) * len(heights),
        walls_m2=tuple(math.pi * pit_diameter_m * h for h in heights),
    )
