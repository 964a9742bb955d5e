"""Worked examples of courses and calculators on the net, each read where it is named.

The values stand in the source as printed; what follows of them by hand stands beside.
"""

from __future__ import annotations

import pytest

from checker.core.units import FOOT_M
from checker.water.pipes import pipe_flow_m3_per_s
from checker.water.runoff import graphical_peak_m3_per_s, runoff_depth_m, unit_peak_per_s
from checker.water.storms import Storm, runoff_series_m3_per_s
from tests.water.published_runoff import peak_rows

CFS = FOOT_M**3
IN_M = FOOT_M / 12


def test_eight_inch_pipe_just_full() -> None:
    """civiltoolbox.com/manningpipe (read): n 0.013, 0.5 %: 0.854 cu ft/s at 2.448 ft/s."""
    # It writes 1.49 and reckons with 1.486: with 1.49 the same inputs give 0.857.
    flow = pipe_flow_m3_per_s(8 * IN_M, 0.005, 0.013)
    assert flow / CFS == pytest.approx(0.854, abs=0.0006)
    assert flow / CFS / 0.349 == pytest.approx(2.448, abs=0.002)


def test_a_sewer_half_full() -> None:
    """brainmass.com, fluid mechanics 46114, question 12 (read): the answers offered are 23.2, 15.4,
    19.3 and 11.6 cu ft/s; for 42 in at 0.0008 and n 0.016 only 11.6 is right.
    """
    half = pipe_flow_m3_per_s(42 * IN_M, 0.0008, 0.016, 0.5)
    assert half / CFS == pytest.approx(11.6, abs=0.06)


def test_speeds_at_two_depths() -> None:
    """The same page, question 13 (read): 6 ft, 5.62 ft/s half full, so 5.34 at 2.70 ft of depth.

    By hand: at 0.45 the angle is 2 acos(0.1) = 2.9413, the area 4.5 (2.9413 - 0.1990) = 12.34, the
    radius 12.34 / 8.824 = 1.3985 ft against 1.5: 5.62 (1.3985 / 1.5)^(2/3) = 5.364.
    """
    half, lower = (pipe_flow_m3_per_s(6 * FOOT_M, 0.001, 0.013, at) for at in (0.5, 0.45))
    faster = (half / 14.137) / (lower / 12.340)
    assert 5.62 / faster == pytest.approx(5.364, abs=0.002)
    assert 5.62 / faster == pytest.approx(5.34, rel=0.006)


def test_the_graphical_peak_in_metres() -> None:
    """ponce.sdsu.edu, sample of a TR-55 calculator (read): 4 km2, 9 cm, number 74, 1.5 h, type II.

    It prints Ia/P 0.198 and 12.09 m3/s with 1 % of ponds: a factor of 0.87 (TR-55, from memory).
    """
    rain_m = 0.09
    initial = 0.2 * 25.4e-3 * (1000 / 74 - 10) / rain_m
    assert initial == pytest.approx(0.198, abs=0.0006)
    unit = unit_peak_per_s(1.5 * 3600, initial, peak_rows("type_2"))
    peak = graphical_peak_m3_per_s(unit, runoff_depth_m(rain_m, 74), 4e6, 0.87)
    assert peak == pytest.approx(12.09, rel=0.01)


def test_short_hard_rain_or_long_soft_rain() -> None:
    """An assignment on the rational method (cut): all runs off, 25 min to gather.

    It finds 112 mm/h for 10 min the worse: 112 x 10/25 = 44.8, where 35 mm/h for 32 min gives 35.
    """

    def peak_mm_per_h(mm_per_h: float, minutes: int) -> float:
        storm = Storm(step_s=60.0, depths_m=(mm_per_h / 60 / 1000,) * minutes)
        return float(max(runoff_series_m3_per_s(storm, 1.0, 1.0, 25 * 60.0))) * 3.6e6

    assert peak_mm_per_h(112, 10) == pytest.approx(44.8, abs=0.05)
    assert peak_mm_per_h(35, 32) == pytest.approx(35.0, abs=0.05)
