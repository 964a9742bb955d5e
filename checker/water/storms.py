"""Storms in time: typed, uniform, nested from a table, or spread along a 24-hour mass curve.

Every storm ends as a `Storm`: equal time steps and the rain of each. Time series of flow in this
package have the same form: one value for each step, constant within it.
"""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise
from typing import TYPE_CHECKING

from checker.core.formula import FRACTION, NOT_NEGATIVE, POSITIVE, OutOfRange, formula
from checker.core.records import Record
from checker.water.rainfall import rain_depth_m

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.water.rainfall import DepthTable

_LONGEST_STEPS = 2_000_000


class Storm(Record, kw_only=True):
    """Rain in equal time steps.

    Attributes:
        step_s: Length of a step, > 0.
        depths_m: Depth that falls in each step, >= 0.
        title: What it is, for the report: "10-year 1-hour, nested".
    """

    step_s: float
    depths_m: tuple[float, ...]
    title: str = ""

    @property
    def depth_m(self) -> float:
        """The whole depth."""
        return sum(self.depths_m)

    @property
    def duration_s(self) -> float:
        """The time from the first step to the end of the last."""
        return self.step_s * len(self.depths_m)


def storm_from_mass_curve(
    depth_m: float,
    hours: Sequence[float],
    fractions: Sequence[float],
    step_s: float,
    title: str = "",
) -> Storm:
    """A storm spread along a dimensionless mass curve, straight lines between its points.

    Args:
        depth_m: The whole depth, >= 0.
        hours: Rising times of the curve, the first 0.
        fractions: Share of the depth fallen by each time, from 0 to 1, never falling.
        step_s: The step wanted.
        title: For the report.

    Raises:
        OutOfRange: The curve does not rise from 0 to 1.

    Example:
        A quarter in the first hour, the rest in the second:

        >>> storm = storm_from_mass_curve(0.1, (0, 1, 2), (0, 0.25, 1), 3600.0)
        >>> [round(depth, 4) for depth in storm.depths_m]
        [0.025, 0.075]
    """
    rises = all(a < b for a, b in pairwise(hours)) and all(a <= b for a, b in pairwise(fractions))
    ends = len(hours) == len(fractions) > 1 and (hours[0], fractions[0], fractions[-1]) == (0, 0, 1)
    if not (rises and ends):
        raise OutOfRange("storm_from_mass_curve: a mass curve rises from 0 at hour 0 to 1")
    times_s = [hour * 3600.0 for hour in hours]
    return _stepped(times_s, [depth_m * share for share in fractions], step_s, title)


def typed_storm(
    times_s: Sequence[float], fallen_m: Sequence[float], step_s: float, title: str = ""
) -> Storm:
    """A storm from typed points of time and of the depth fallen until then.

    Raises:
        OutOfRange: Times do not rise from 0, or the depth fallen sinks.
    """
    rises = all(a < b for a, b in pairwise(times_s)) and all(a <= b for a, b in pairwise(fallen_m))
    if len(times_s) != len(fallen_m) or len(times_s) < 2 or times_s[0] != 0 or not rises:
        raise OutOfRange("typed_storm: times must rise from 0 and the depth fallen never sink")
    return _stepped(times_s, fallen_m, step_s, title)


@formula(
    source="water-practice",
    section="uniform storm",
    valid={"depth_m": NOT_NEGATIVE, "duration_s": POSITIVE, "step_s": POSITIVE},
)
def uniform_storm(depth_m: float, duration_s: float, step_s: float, title: str = "") -> Storm:
    """A storm of constant intensity; a last step that is not full has the less rain."""
    return _stepped((0.0, duration_s), (0.0, depth_m), step_s, title)


@formula(
    source="water-practice",
    section="alternating blocks",
    valid={"duration_s": POSITIVE, "step_s": POSITIVE},
)
def nested_storm(
    table: DepthTable, return_period_years: float, duration_s: float, step_s: float
) -> Storm:
    """A storm that holds the table's depth of every duration, each around the middle.

    The depths of one, two, three ... steps are differenced, the largest difference stands in
    the middle and the others alternate after and before it. The step must not be shorter than
    the table's shortest duration.

    Raises:
        OutOfRange: The step or the duration is outside the table.
    """
    count = round(duration_s / step_s)
    if count < 1 or abs(count * step_s - duration_s) > 1e-6 * duration_s or count > _LONGEST_STEPS:
        raise OutOfRange("nested_storm: the duration must be a whole number of steps")
    depths = [rain_depth_m(table, step_s * n, return_period_years) for n in range(1, count + 1)]
    blocks = sorted((b - a for a, b in pairwise([0.0, *depths])), reverse=True)
    middle = (count - 1) // 2
    ordered = [0.0] * count
    for rank, block in enumerate(blocks):
        offset = (rank + 1) // 2
        ordered[middle + (offset if rank % 2 else -offset)] = block
    title = f"{return_period_years:g}-year {duration_s / 3600:g}-hour, nested"
    return Storm(step_s=step_s, depths_m=tuple(ordered), title=title)


def _stepped(
    times_s: Sequence[float], fallen_m: Sequence[float], step_s: float, title: str
) -> Storm:
    if not step_s > 0 or times_s[-1] / step_s > _LONGEST_STEPS:
        raise OutOfRange(f"a time step of {step_s:g} s does not suit {times_s[-1]:g} s of rain")
    count = max(1, -int(-(times_s[-1] / step_s - 1e-9) // 1))
    fallen = [_between(n * step_s, times_s, fallen_m) for n in range(count)]
    fallen.append(fallen_m[-1])
    return Storm(step_s=step_s, depths_m=tuple(b - a for a, b in pairwise(fallen)), title=title)


def _between(time_s: float, times_s: Sequence[float], values: Sequence[float]) -> float:
    above = min(bisect_right(times_s, time_s), len(times_s) - 1)
    left, right = times_s[above - 1], times_s[above]
    share = min(1.0, max(0.0, (time_s - left) / (right - left)))
    return values[above - 1] + share * (values[above] - values[above - 1])


def most_intense_m_per_s(storm: Storm, duration_s: float) -> float:
    """The greatest mean intensity of a storm over a duration or any longer one.

    Example:
        6 mm in the hardest of three steps of 5 min, 9 mm in the hardest two; two hard steps with a
        dry one between bring more in 15 min than in 10:

        >>> storm = Storm(step_s=300.0, depths_m=(0.002, 0.006, 0.003))
        >>> [round(most_intense_m_per_s(storm, t) * 3.6e6, 1) for t in (300.0, 600.0)]
        [72.0, 54.0]
        >>> twice = Storm(step_s=300.0, depths_m=(0.006, 0.0, 0.006))
        >>> round(most_intense_m_per_s(twice, 600.0) * 3.6e6, 1)
        48.0
    """
    import numpy as np

    fallen_m = np.concatenate([[0.0], np.cumsum(storm.depths_m)])
    least = max(1, -int(-(duration_s / storm.step_s - 1e-9) // 1))
    most = storm.depth_m / max(duration_s, storm.duration_s)
    for count in range(least, len(fallen_m)):
        in_window_m = float((fallen_m[count:] - fallen_m[:-count]).max())
        most = max(most, in_window_m / (count * storm.step_s))
    return most


@formula(
    source="water-practice",
    section="linear time-area",
    valid={"concentration_s": NOT_NEGATIVE, "runoff_fraction": FRACTION, "area_m2": NOT_NEGATIVE},
)
def runoff_series_m3_per_s(
    storm: Storm, area_m2: float, runoff_fraction: float, concentration_s: float = 0.0
) -> tuple[float, ...]:
    """Flow off a catchment step by step: the rational method carried through a storm.

    Each part of the catchment is as large as any other of the same travel time, so the flow is
    the rain's mean over the time of concentration; with short steps its peak nears the rational
    peak. The series is longer than the storm by that time, and keeps the whole volume.

    Args:
        storm: The rain.
        area_m2: Plan area of the catchment.
        runoff_fraction: Share of the rain that runs off.
        concentration_s: Time of concentration; 0 when it is shorter than a step.

    Example:
        90 sq m under 3 mm, then 6 mm in 5 min each, is 0.9 and 1.8 L/s without delay; over 10
        min it rises to 0.45, to 1.35 and falls to 0.9 and 0: the means between are

        >>> storm = Storm(step_s=300.0, depths_m=(0.003, 0.006))
        >>> [round(q * 1000, 3) for q in runoff_series_m3_per_s(storm, 100.0, 0.9, 600.0)]
        [0.225, 0.9, 1.125, 0.45]
    """
    step_s = storm.step_s
    scale = area_m2 * runoff_fraction / step_s
    if concentration_s == 0:
        return tuple(depth * scale for depth in storm.depths_m)
    fallen = [0.0]
    for depth in storm.depths_m:
        fallen.append(fallen[-1] + depth)
    # The volume that has arrived by a time is the mean of the fallen depth over the last
    # concentration time, so it needs the integral of the fallen depth.
    area = [0.0]
    for a, b in pairwise(fallen):
        area.append(area[-1] + (a + b) / 2 * step_s)
    count = len(storm.depths_m) + -int(-(concentration_s / step_s - 1e-9) // 1)
    arrived = [
        (
            _integral(n * step_s, step_s, fallen, area)
            - _integral(n * step_s - concentration_s, step_s, fallen, area)
        )
        / concentration_s
        for n in range(count)
    ]
    arrived.append(fallen[-1])
    return tuple(max(0.0, (b - a) * scale) for a, b in pairwise(arrived))


def _integral(
    time_s: float, step_s: float, fallen_m: Sequence[float], area: Sequence[float]
) -> float:
    """Integral of the fallen depth from 0 to a time, metre seconds."""
    if time_s <= 0:
        return 0.0
    last = len(fallen_m) - 1
    n = min(last, int(time_s / step_s + 1e-12))
    over_s = time_s - n * step_s
    if n >= last:
        return area[last] + fallen_m[last] * over_s
    slope = (fallen_m[n + 1] - fallen_m[n]) / step_s
    return area[n] + fallen_m[n] * over_s + slope * over_s**2 / 2
