"""Level-pool routing beside a general solver of differential equations, fine steps, closed forms.

The solver and the fine steps work on the laws of the outlets themselves, not on the table.
"""

from __future__ import annotations

import math
import random
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from checker.core.formula import OutOfRange
from checker.water.ground import drawdown_time_s, orifice_emptying_time_s
from checker.water.outlets import Infiltration, Orifice, Weir, storage_table
from checker.water.routing import emptying_time_s, route
from checker.water.soakage import SoakagePit, greatest_depth_m, half_depth_time_s
from checker.water.stores import RESIDUAL_M, StorageTable, between, dry_well, stone_bed

if TYPE_CHECKING:
    from checker.water.outlets import StoreOutlet
    from checker.water.stores import StoreLevels

INCH_PER_HOUR = 0.0254 / 3600
STEP_S = 300.0
RAINY_STEPS = 36

BED = stone_bed(0.0, 0.38, 5.0, 3.0, 0.4).then(0.15, 15.0)
SLOPED = stone_bed(0.0, 0.38, 5.0, 3.0, 0.4, 0.05).then(0.15, 15.0)
WELL = dry_well(0.0, 1.2, 0.6, 1.2, 0.4, 0.15).then(0.3, 0.3)
SOIL = Infiltration(rate_m_per_s=0.25 * INCH_PER_HOUR)

STORES: dict[str, tuple[StoreLevels, tuple[StoreOutlet, ...], float]] = {
    "bed over soil": (BED, (SOIL, Weir(crest_m=0.38, length_m=2.0)), 135.0),
    "lined bed with an underdrain": (
        BED,
        (Orifice(invert_m=0.0, diameter_m=0.02), Weir(crest_m=0.38, length_m=2.0)),
        135.0,
    ),
    "sloped bed with a high drain": (
        SLOPED,
        (SOIL, Orifice(invert_m=0.15, diameter_m=0.03), Weir(crest_m=0.38, length_m=2.0)),
        135.0,
    ),
    "dry well, walls only": (
        WELL,
        (
            Infiltration(rate_m_per_s=1.0 * INCH_PER_HOUR, counts_base=False),
            Weir(crest_m=1.2, length_m=0.8),
        ),
        27.0,
    ),
}


def shower(drained_m2: float) -> list[float]:
    """Three hours of gusty rain, 90 mm in all, as inflow."""
    dice = random.Random(3)
    parts = [dice.gammavariate(0.6, 1.0) for _ in range(RAINY_STEPS)]
    return [0.09 * part / sum(parts) * drained_m2 / STEP_S for part in parts]


def by_solver(
    shape: StoreLevels, outlets: tuple[StoreOutlet, ...], inflow: list[float]
) -> tuple[float, float, float]:
    """Peak level, overflow and time to empty after the rain, by scipy's implicit solver."""

    def rates(_t: float, state: list[float], came: float) -> list[float]:
        level = between(state[0], shape.stored_m3, shape.levels_m)
        flows = [outlet.flow_m3_per_s(level, shape) for outlet in outlets]
        if state[0] <= 0 and came < sum(flows):
            return [0.0, 0.0]
        return [came - sum(flows), flows[-1]]

    state, peak = [0.0, 0.0], 0.0
    for came in inflow:
        got = solve_ivp(
            rates,
            (0, STEP_S),
            state,
            method="LSODA",
            args=(came,),
            rtol=1e-8,
            atol=1e-10,
            max_step=10.0,
        )
        state = [max(0.0, float(got.y[0][-1])), float(got.y[1][-1])]
        peak = max(peak, float(got.y[0].max()))
    residual_m3 = between(shape.bottom_m + RESIDUAL_M, shape.levels_m, shape.stored_m3)

    def empty(_t: float, state: list[float], _came: float) -> float:
        return state[0] - residual_m3

    empty.terminal = True  # type: ignore[attr-defined]
    got = solve_ivp(
        rates,
        (0, 40 * 86400),
        state,
        method="LSODA",
        args=(0.0,),
        rtol=1e-8,
        atol=1e-10,
        events=empty,
        max_step=60.0,
    )
    assert got.t_events[0].size == 1
    peak_m = between(peak, shape.stored_m3, shape.levels_m)
    return peak_m, float(got.y[1][-1]), float(got.t_events[0][0])


def by_table(
    shape: StoreLevels, outlets: tuple[StoreOutlet, ...], inflow: list[float]
) -> tuple[float, float, float]:
    table = storage_table(shape, outlets)
    rainy = route(table, inflow, STEP_S)
    residual_m3 = table.stored_at_m3(shape.bottom_m + RESIDUAL_M)
    emptied_s = emptying_time_s(table, rainy.end_m3, residual_m3)
    whole = route(table, [*inflow, *[0.0] * math.ceil(emptied_s / STEP_S)], STEP_S)
    assert whole.peak_m3 == rainy.peak_m3
    return whole.peak_level_m, whole.outflow_m3["overflow"], emptied_s


@pytest.mark.parametrize("name", STORES)
def test_agrees_with_a_solver_of_differential_equations(name: str) -> None:
    shape, outlets, drained_m2 = STORES[name]
    inflow = shower(drained_m2)
    peak_m, over_m3, emptied_s = by_table(shape, outlets, inflow)
    solved_peak_m, solved_over_m3, solved_emptied_s = by_solver(shape, outlets, inflow)
    assert solved_over_m3 > 0.5, "the store must overflow, or nothing is tested"
    assert peak_m == pytest.approx(solved_peak_m, rel=0.01)
    assert over_m3 == pytest.approx(solved_over_m3, rel=0.02)
    assert emptied_s == pytest.approx(solved_emptied_s, rel=0.01)


def test_agrees_with_steps_of_a_tenth_of_a_second() -> None:
    shape, outlets, drained_m2 = STORES["dry well, walls only"]
    inflow = shower(drained_m2)
    stored = over = peak = 0.0
    step_s = 0.1
    for came in inflow:
        for _ in range(round(STEP_S / step_s)):
            level = between(stored, shape.stored_m3, shape.levels_m)
            soaked, spilled = (outlet.flow_m3_per_s(level, shape) for outlet in outlets)
            stored = max(0.0, stored + (came - soaked - spilled) * step_s)
            over += spilled * step_s
            peak = max(peak, stored)
    routed = route(storage_table(shape, outlets), inflow, STEP_S)
    peak_m = between(peak, shape.stored_m3, shape.levels_m)
    assert routed.peak_level_m == pytest.approx(peak_m, rel=0.001)
    assert routed.outflow_m3["overflow"] == pytest.approx(over, rel=0.002)


def test_an_explicit_step_of_five_minutes_would_not_do() -> None:
    """The reason for it all: the same store and rain, one plain step for every five minutes."""
    shape, outlets, drained_m2 = STORES["bed over soil"]
    stored = over = 0.0
    for came in shower(drained_m2):
        level = between(stored, shape.stored_m3, shape.levels_m)
        soaked, spilled = (outlet.flow_m3_per_s(level, shape) for outlet in outlets)
        stored = max(0.0, stored + (came - soaked - spilled) * STEP_S)
        over += spilled * STEP_S
    routed = route(storage_table(shape, outlets), shower(drained_m2), STEP_S)
    assert abs(over / routed.outflow_m3["overflow"] - 1) > 0.02


def random_rain(seed: int, count: int) -> list[float]:
    dice = random.Random(seed)
    return [dice.expovariate(500.0) if dice.random() < 0.02 else 0.0 for _ in range(count)]


@pytest.mark.parametrize("name", STORES)
def test_jumping_dry_gaps_changes_nothing(name: str) -> None:
    shape, outlets, _ = STORES[name]
    table = storage_table(shape, outlets)
    rain = random_rain(5, 5000)
    every, jumped = (route(table, rain, STEP_S, every_step=walk) for walk in (True, False))
    assert len(jumped.ends_s) < len(every.ends_s)
    assert jumped.ends_s[-1] == pytest.approx(every.ends_s[-1])
    for outlet, volume in every.outflow_m3.items():
        assert jumped.outflow_m3[outlet] == pytest.approx(volume, rel=1e-9, abs=1e-9)
    assert jumped.peak_m3 == pytest.approx(every.peak_m3, rel=1e-12)
    assert jumped.peak_time_s == pytest.approx(every.peak_time_s)
    assert jumped.end_m3 == pytest.approx(every.end_m3, rel=1e-9, abs=1e-12)
    for routed in (every, jumped):
        assert abs(routed.balance_fraction) < 1e-9


@pytest.mark.parametrize("name", STORES)
def test_flows_of_single_steps_add_up(name: str) -> None:
    shape, outlets, _ = STORES[name]
    rain = random_rain(6, 2000)
    routed = route(storage_table(shape, outlets), rain, STEP_S)
    gone = sum(routed.flows_m3_per_s.values()) * STEP_S
    before = np.concatenate(([0.0], routed.stored_m3[:-1]))
    assert np.abs(before + np.array(rain) * STEP_S - gone - routed.stored_m3).max() < 1e-12
    for outlet, volume in routed.outflow_m3.items():
        assert volume == pytest.approx(float(routed.flows_m3_per_s[outlet].sum()) * STEP_S)


def test_half_steps_give_the_same() -> None:
    shape, outlets, drained_m2 = STORES["sloped bed with a high drain"]
    table = storage_table(shape, outlets)
    inflow = shower(drained_m2)
    whole = route(table, inflow, STEP_S)
    halves = route(table, np.repeat(inflow, 2), STEP_S / 2)
    assert halves.stored_m3[1::2] == pytest.approx(whole.stored_m3, rel=1e-9)


def test_empties_through_the_base_in_the_time_of_the_equation() -> None:
    """12 in of stone at 40 % over 0.5 in/h: 12 x 0.4 / 0.5 = 9.6 h."""
    bed = stone_bed(0.0, 12 * 0.0254, 4.0, 4.0, 0.4)
    soil = Infiltration(rate_m_per_s=0.5 * INCH_PER_HOUR, counts_walls=False)
    table = storage_table(bed, (soil,))
    took_s = emptying_time_s(table, table.stored_m3[-1], 0.0)
    assert took_s == pytest.approx(9.6 * 3600)
    assert took_s == pytest.approx(drawdown_time_s(12 * 0.0254, 0.4, soil.rate_m_per_s))


def test_empties_through_an_orifice_in_the_time_of_the_equation() -> None:
    """A drowned opening in the bottom of a lined tank, from 1.0 to 0.2 m above its middle."""
    drain = Orifice(invert_m=0.0, diameter_m=0.05)
    table = storage_table(stone_bed(0.0, 1.1, 2.0, 2.0, 1.0), (drain,))
    start_m3, end_m3 = (table.stored_at_m3(0.025 + head) for head in (1.0, 0.2))
    wanted_s = orifice_emptying_time_s(4.0, 1.0, 0.2, math.pi * 0.05**2 / 4)
    assert emptying_time_s(table, start_m3, end_m3) == pytest.approx(wanted_s, rel=0.003)


def test_pit_soaking_through_base_and_walls_as_the_manual_has_it() -> None:
    """Three-dimensional equations of the UK infiltration manual, from memory: 0.634 m, 1.366 h."""
    pit = SoakagePit(base_m2=4.0, perimeter_m=8.0, void_fraction=0.3, rate_m_per_s=0.036 / 3600)
    bed = stone_bed(0.0, 1.0, 2.0, 2.0, 0.3)
    table = storage_table(bed, (Infiltration(rate_m_per_s=pit.rate_m_per_s),))
    routed = route(table, [50 * 0.02 / 3600] * 12, 300.0)
    depth_m = greatest_depth_m(pit, 50.0, 0.02 / 3600, 3600.0)
    assert routed.peak_level_m == pytest.approx(depth_m, rel=1e-9)
    half_s = emptying_time_s(table, routed.end_m3, routed.end_m3 / 2)
    assert half_s == pytest.approx(half_depth_time_s(pit, depth_m), rel=1e-9)


def linear(*, reservoir_s: float = 7200.0) -> StorageTable:
    return StorageTable(
        levels_m=(0.0, 1.0),
        stored_m3=(0.0, reservoir_s),
        outlets=("out",),
        flows_m3_per_s=((0.0, 1.0),),
    )


def test_linear_reservoir_never_quite_empties() -> None:
    assert emptying_time_s(linear(), 7200.0, 0.0) == math.inf
    routed = route(linear(), [1.0, *[0.0] * 500], 300.0)
    assert routed.end_m3 > 0
    assert abs(routed.balance_fraction) < 1e-12


def test_a_slow_trickle_passes_an_empty_store() -> None:
    table = storage_table(BED, (Infiltration(rate_m_per_s=1e-4),))
    routed = route(table, [1e-5] * 10, 60.0)
    assert routed.peak_m3 == 0
    assert routed.outflow_m3["soil"] == pytest.approx(10 * 60 * 1e-5)


def test_rests_where_inflow_and_outflow_are_equal_even_on_a_row() -> None:
    table = StorageTable(
        levels_m=(0.0, 1.0, 2.0),
        stored_m3=(0.0, 10.0, 20.0),
        outlets=("a", "b"),
        flows_m3_per_s=((0.0, 0.01, 0.02), (0.0, 0.0, 0.05)),
    )
    routed = route(table, [0.01] * 200, 600.0, start_m3=10.0)
    assert routed.stored_m3 == pytest.approx(np.full(200, 10.0))
    assert routed.outflow_m3["a"] == pytest.approx(0.01 * 600 * 200)
    assert routed.outflow_m3["b"] == pytest.approx(0.0, abs=1e-9)


def test_says_when_the_water_stands_above_the_table() -> None:
    table = storage_table(stone_bed(0.0, 0.3, 2.0, 2.0, 0.4), (SOIL,))
    assert route(table, [0.01] * 100, 300.0).above_table
    assert not route(table, [0.0001], 300.0).above_table


@pytest.mark.parametrize(
    ("inflow", "step_s", "start_m3"),
    [
        ([0.1, -0.1], 60.0, 0.0),
        ([0.1, math.nan], 60.0, 0.0),
        ([0.1, math.inf], 60.0, 0.0),
        ([0.1], 0.0, 0.0),
        ([0.1], math.nan, 0.0),
        ([0.1], 60.0, -1.0),
        ([0.1], 60.0, math.nan),
    ],
)
def test_refuses_what_is_no_inflow(inflow: list[float], step_s: float, start_m3: float) -> None:
    with pytest.raises(OutOfRange):
        route(linear(), inflow, step_s, start_m3)


def test_no_rain_at_all() -> None:
    for inflow in ([], [0.0] * 50):
        for every_step in (True, False):
            routed = route(linear(), inflow, 60.0, every_step=every_step)
            assert routed.peak_time_s == routed.inflow_m3 == routed.end_m3 == 0
            assert routed.balance_fraction == 0


@pytest.mark.parametrize(
    "columns",
    [
        {"levels_m": (0.0,), "stored_m3": (0.0,), "flows_m3_per_s": ((0.0,),)},
        {"levels_m": (0.0, 0.0)},
        {"stored_m3": (1.0, 1.0)},
        {"flows_m3_per_s": ((1.0, 0.5),)},
        {"flows_m3_per_s": ((-1.0, 0.5),)},
        {"flows_m3_per_s": ((0.0, 0.5, 0.7),)},
        {"outlets": ()},
    ],
)
def test_refuses_tables_that_do_not_rise(columns: dict[str, tuple[float, ...]]) -> None:
    good = {
        "levels_m": (0.0, 1.0),
        "stored_m3": (0.0, 1.0),
        "outlets": ("out",),
        "flows_m3_per_s": ((0.0, 1.0),),
    }
    with pytest.raises(OutOfRange):
        StorageTable(**(good | columns))  # type: ignore[arg-type]


def test_several_equal_stores_with_several_times_the_water_are_as_deep_as_one() -> None:
    inflow = np.array(shower(20.0))
    one = route(storage_table(WELL, (SOIL,)), inflow, STEP_S)
    three = route(storage_table(WELL.times(3), (SOIL,)), 3 * inflow, STEP_S)
    assert three.peak_level_m == pytest.approx(one.peak_level_m, rel=1e-9)
    assert three.end_m3 == pytest.approx(3 * one.end_m3, rel=1e-9)


def test_a_dry_well_with_stone_below_its_chamber() -> None:
    """A pit 2 m wide, a chamber of 1 m on 0.5 m of stone at 40 %, 1.5 m in all.

    The stone below holds 0.5 x pi x 0.4 = 0.628 m3; beside and in the chamber pi / 4 + 0.75 pi x
    0.4 = 1.728 m3 more stand in each metre.
    """
    shape = dry_well(7.0, 1.5, 1.0, 2.0, 0.4, 0.5)
    assert shape.levels_m == (7.0, 7.5, 8.5)
    assert shape.stored_m3 == pytest.approx((0.0, 0.628, 2.356), abs=0.001)
    assert shape.walls_m2 == pytest.approx((0.0, math.pi, 3 * math.pi))
    # As wide as its pit the chamber is a tank; wider, or with stone up to its top, it is none.
    assert dry_well(0.0, 1.0, 2.0, 2.0, 0.4).stored_m3[-1] == pytest.approx(math.pi)
    for chamber_m, stone_m in ((2.1, 0.0), (1.0, 1.5), (1.0, 1.6)):
        with pytest.raises(OutOfRange, match="must fit into the pit"):
            dry_well(0.0, 1.5, chamber_m, 2.0, 0.4, stone_m)
