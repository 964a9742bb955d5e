"""Storms, delayed runoff, and the ranges of rain and runoff formulas."""

from __future__ import annotations

import itertools

import pytest

from checker.core.formula import OutOfRange
from checker.files.tables import table as reference_table
from checker.water.concentration import (
    SHORTEST_S,
    channel_time_s,
    matched_sheet_flow_time_s,
    overland_time_s,
    sheet_flow_time_s,
)
from checker.water.rainfall import DepthTable, rain_depth_m, rain_intensity_m_per_s
from checker.water.runoff import (
    Cover,
    composite_curve_number,
    curve_number_for_wetness,
    mixed_runoff_depth_m,
    runoff_depth_m,
    unit_peak_per_s,
    weighted_curve_number,
    weighted_runoff_fraction,
)
from checker.water.storms import (
    Storm,
    most_intense_m_per_s,
    nested_storm,
    runoff_series_m3_per_s,
    storm_from_mass_curve,
    typed_storm,
    uniform_storm,
)

INCH = 0.0254

# NOAA Atlas 14 volume 11, 32.8687 N 96.9737 W, 10 years; as in x-rm-01 of the published cases.
TEN_YEARS = DepthTable(
    durations_s=(300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400),
    return_periods_years=(10,),
    depths_m=tuple(
        (depth * INCH,) for depth in (0.693, 1.11, 1.38, 1.91, 2.5, 3.14, 3.55, 4.27, 5.05, 5.89)
    ),
)


@pytest.mark.parametrize(("duration_s", "years"), [(299, 10), (86401, 10), (300, 11), (300, 2)])
def test_nothing_is_read_outside_the_table(duration_s: float, years: float) -> None:
    with pytest.raises(OutOfRange):
        rain_depth_m(TEN_YEARS, duration_s, years)


def test_a_nested_storm_holds_the_depth_of_every_duration() -> None:
    storm = nested_storm(TEN_YEARS, 10, 3600, 300)
    depths = list(storm.depths_m)
    assert sum(depths) == pytest.approx(2.5 * INCH)
    assert max(depths) == pytest.approx(0.693 * INCH)
    for count, depth in ((1, 0.693), (2, 1.11), (3, 1.38), (6, 1.91)):
        most = max(sum(depths[i : i + count]) for i in range(len(depths) - count + 1))
        assert most == pytest.approx(depth * INCH), count
    assert storm.title == "10-year 1-hour, nested"


def test_a_nested_storm_needs_whole_steps_within_the_table() -> None:
    for duration_s, step_s in ((3600, 60), (3500, 300), (90000, 300)):
        with pytest.raises(OutOfRange):
            nested_storm(TEN_YEARS, 10, duration_s, step_s)


@pytest.mark.parametrize("kind", ["type_1", "type_1a", "type_2", "type_3"])
def test_mass_curves_keep_the_whole_rain(kind: str) -> None:
    rows = reference_table("storm-mass-curves").rows
    hours, shares = [row["hour"] for row in rows], [row[kind] for row in rows]
    storm = storm_from_mass_curve(6 * INCH, hours, shares, 300.0)
    assert len(storm.depths_m) == 288
    assert storm.depth_m == pytest.approx(6 * INCH)
    assert min(storm.depths_m) > 0


@pytest.mark.parametrize(
    ("hours", "shares"),
    [([0, 1], [0, 0.9]), ([0, 1, 1], [0, 0.5, 1]), ([0, 1, 2], [0, 0.8, 0.7]), ([1, 2], [0, 1])],
)
def test_a_mass_curve_that_does_not_rise_is_refused(hours: list[int], shares: list[float]) -> None:
    with pytest.raises(OutOfRange):
        storm_from_mass_curve(0.1, hours, shares, 300.0)


def test_a_typed_storm_falls_into_steps() -> None:
    """10 mm in the first 10 min, 5 mm in the next 20: 5 mm, 5, then 1.25 four times."""
    storm = typed_storm([0, 600, 1800], [0, 0.010, 0.015], 300)
    assert storm.depths_m == pytest.approx((0.005, 0.005, *(0.00125,) * 4))


def test_a_last_step_that_is_not_full_has_less_rain() -> None:
    storm = uniform_storm(0.012, 720, 300)
    assert storm.depths_m == pytest.approx((0.005, 0.005, 0.002))
    assert storm.duration_s == 900


@pytest.mark.parametrize("step_s", [0.0, -1.0, float("nan"), 1e-9])
def test_steps_that_make_no_sense_are_refused(step_s: float) -> None:
    with pytest.raises(OutOfRange):
        uniform_storm(0.01, 3600, step_s)


def test_without_delay_runoff_is_the_rational_flow_of_each_step() -> None:
    storm = Storm(step_s=300, depths_m=(0.003, 0.006))
    assert runoff_series_m3_per_s(storm, 200, 0.5) == pytest.approx((0.001, 0.002))


def test_with_delay_a_long_uniform_rain_reaches_the_rational_peak() -> None:
    """C i A = 0.9 x 0.05 m/h x 400 m2 = 5 L/s."""
    storm = uniform_storm(0.05, 3600, 300)
    flow = runoff_series_m3_per_s(storm, 400, 0.9, 900)
    assert max(flow) == pytest.approx(0.005)
    assert sum(flow) * 300 == pytest.approx(0.9 * 0.05 * 400)
    assert len(flow) == 12 + 3


def test_a_delay_between_two_steps_is_cut_exactly() -> None:
    """3 mm on 100 m2 in 300 s, 0.3 m3, as the mean of the last 450 s.

    V(t) is 0.001 t up to 0.3. Of (V(t) - V(t - 450)) / 450 the first 300 s give 0.001 x 300^2 / 2 /
    450 = 0.1 m3, the next 45 + 45 - 0.001 x 150^2 / 2 = 78.75 over 450, 0.175, the last 0.025.
    """
    flow = runoff_series_m3_per_s(Storm(step_s=300.0, depths_m=(0.003,)), 100.0, 1.0, 450.0)
    assert [q * 300 for q in flow] == pytest.approx([0.1, 0.175, 0.025])


@pytest.mark.parametrize(
    ("duration_s", "mm_per_h"),
    # 6 mm in 300 s; of any longer window of whole steps the 12 mm in 900 s are the hardest.
    [(60.0, 72.0), (300.0, 72.0), (301.0, 48.0), (450.0, 48.0), (900.0, 48.0), (1200.0, 36.0)],
)
def test_the_hardest_rain_of_a_time_or_longer(duration_s: float, mm_per_h: float) -> None:
    twice = Storm(step_s=300.0, depths_m=(0.006, 0.0, 0.006))
    assert most_intense_m_per_s(twice, duration_s) * 3.6e6 == pytest.approx(mm_per_h)


@pytest.mark.parametrize(
    ("times_s", "fallen_m"),
    [
        ((0, 300, 300), (0, 0.01, 0.02)),
        ((0, 300, 600), (0, 0.01, 0.009)),
        ((300, 600), (0, 0.01)),
        ((0,), (0,)),
        ((0, 300, 600), (0, 0.01)),
    ],
)
def test_typed_rain_rises(times_s: tuple[float, ...], fallen_m: tuple[float, ...]) -> None:
    with pytest.raises(OutOfRange, match="rise from 0"):
        typed_storm(times_s, fallen_m, 300.0)
    # A dry spell in between is rain as typed.
    dry = typed_storm((0, 300, 600, 900), (0, 0.01, 0.01, 0.02), 300.0)
    assert dry.depths_m == pytest.approx((0.01, 0.0, 0.01))


def test_sheet_flow_and_rain_settle_on_each_other() -> None:
    def intensity(duration_s: float) -> float:
        return rain_intensity_m_per_s(TEN_YEARS, duration_s, 10)

    time_s = matched_sheet_flow_time_s(60.0, 0.24, 0.01, intensity)
    assert time_s > SHORTEST_S
    assert sheet_flow_time_s(60.0, 0.24, 0.01, intensity(time_s)) == pytest.approx(time_s)


def test_kirpich_and_kerby_by_hand() -> None:
    """0.0078 x 500^0.77 x 0.01^-0.385: 500^0.77 = 119.7, 0.01^-0.385 = 5.888, 5.50 min.

    0.828 x (100 x 0.1)^0.467 x 0.01^-0.235: 10^0.467 = 2.931, 0.01^-0.235 = 2.951, 7.16 min.
    """
    assert channel_time_s(500 * 0.3048, 0.01) / 60 == pytest.approx(5.50, abs=0.01)
    assert overland_time_s(100 * 0.3048, 0.10, 0.01) / 60 == pytest.approx(7.16, abs=0.01)


def test_weighting_the_runoff_gives_more_than_weighting_the_numbers() -> None:
    """Half roof (98), half lawn (61), 3 in: by hand 2.768 and 0.365 in, mean 1.567 in.

    Of the lawn S = 6.393, (3 - 1.279)^2 / (3 + 5.115) = 0.365 in.

    The mean number is 79.5; S = 2.579, (3 - 0.516)^2 / (3 + 2.063) = 1.219 in.
    """
    covers = [Cover(100, 98), Cover(100, 61)]
    by_runoff = mixed_runoff_depth_m(3 * INCH, covers, weighting="runoff") / INCH
    by_number = mixed_runoff_depth_m(3 * INCH, covers, rounding="none") / INCH
    assert by_runoff == pytest.approx(1.567, abs=0.001)
    assert by_number == pytest.approx(1.219, abs=0.001)


def test_a_half_rounds_up() -> None:
    assert weighted_curve_number([1, 1], [98, 61]) == 80


def test_wetness_moves_the_number() -> None:
    """From memory: 4.2 x 75 / (10 - 4.35) = 55.8 and 23 x 75 / (10 + 9.75) = 87.3."""
    assert curve_number_for_wetness(75, "dry") == pytest.approx(55.75, abs=0.01)
    assert curve_number_for_wetness(75, "wet") == pytest.approx(87.34, abs=0.01)
    assert curve_number_for_wetness(75, "average") == 75


def test_lots_in_the_table_hold_their_paving_already() -> None:
    """The source's formula from good open space gives the lots: 1/4 acre, 38 %, group C: 83."""
    rows = reference_table("curve-numbers").rows
    lot = next(row for row in rows if row["cover"] == "lot of 1/4 acre")
    assert round(composite_curve_number(74, lot["impervious"] / 100)) == lot["c"] == 83


def test_unit_peaks_stay_in_their_table() -> None:
    with pytest.raises(OutOfRange):
        unit_peak_per_s(3600, 0.05, [])
    with pytest.raises(OutOfRange):
        unit_peak_per_s(11 * 3600, 0.1, [])


@pytest.mark.parametrize(
    "call",
    [
        lambda: composite_curve_number(74, 0.30, 0.5),
        lambda: composite_curve_number(74, 1.01),
        lambda: runoff_depth_m(0.1, 0),
        lambda: runoff_depth_m(0.1, 100.1),
        lambda: runoff_depth_m(-0.1, 80),
        lambda: weighted_runoff_fraction([1, 2], [0.5]),
        lambda: weighted_runoff_fraction([0, 0], [0.5, 0.6]),
        lambda: weighted_runoff_fraction([-1, 2], [0.5, 0.6]),
        lambda: weighted_curve_number([], []),
        lambda: sheet_flow_time_s(200.0, 0.1, 0.01, 1e-5),
        lambda: overland_time_s(400.0, 0.1, 0.01),
    ],
)
def test_outside_the_range_of_the_source(call: object) -> None:
    assert callable(call)
    with pytest.raises(OutOfRange):
        call()


def test_tables_rise_where_they_should() -> None:
    for row in reference_table("curve-numbers").rows:
        assert row["a"] <= row["b"] <= row["c"] <= row["d"] <= 98
    for name in ("runoff-coefficients", "pipe-roughness"):
        for row in reference_table(name).rows:
            assert row["least"] < row["most"]
    rates = [row["rate"] for row in reference_table("soil-rates-older-local").rows]
    assert all(a > b for a, b in itertools.pairwise(rates))
