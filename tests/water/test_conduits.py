"""Pipes, channels and inlets beside general libraries and by hand."""

from __future__ import annotations

import math
from itertools import pairwise

import fluids
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from checker.core.formula import OutOfRange
from checker.water.channels import (
    Channel,
    Trench,
    channel_flow_m3_per_s,
    channel_normal_depth_m,
    critical_depth_m,
    level_trench_depth_m,
    swale_cross_slope_fraction,
    trench_capacity_m3_per_s,
    trench_profile_m,
)
from checker.water.openings import (
    Grate,
    capture_fraction,
    curb_opening_flow_m3_per_s,
    grate_depth_m,
    grate_flow_m3_per_s,
    slot_flow_m3_per_s,
    whole_capture_length_m,
)
from checker.water.pipes import (
    full_pipe_diameter_m,
    pipe_fall_fraction,
    pipe_flow_m3_per_s,
    pipe_normal_depth_m,
    pipe_slope_fraction,
    wetted_section,
)
from checker.water.weirs import (
    broad_weir_flow_m3_per_s,
    broad_weir_head_m,
    drowned_share_fraction,
    orifice_flow_m3_per_s,
    round_opening_flow_m3_per_s,
    sharp_weir_flow_m3_per_s,
)

GRAVITY = 9.80665


@pytest.mark.parametrize("share", [0.05, 0.3, 0.5, 0.8, 0.938, 1.0])
def test_part_full_pipes_as_the_library_has_them(share: float) -> None:
    diameter_m = 0.1524
    area_m2, perimeter_m = wetted_section(diameter_m, share * diameter_m)
    assert area_m2 == pytest.approx(
        fluids.geometry.A_partial_circle(diameter_m, share * diameter_m), rel=1e-9
    )
    speed = fluids.open_flow.V_Manning(area_m2 / perimeter_m, 0.01, 0.011)
    flow = pipe_flow_m3_per_s(diameter_m, 0.01, 0.011, share)
    assert flow == pytest.approx(speed * area_m2, rel=1e-12)


def test_a_pipe_carries_most_at_0_938_of_its_depth() -> None:
    """Known of round pipes (from memory): 1.076 of the full flow at 0.938 of the depth."""
    full = pipe_flow_m3_per_s(0.2, 0.01, 0.012)
    shares = [0.9 + 0.001 * i for i in range(101)]
    flows = [pipe_flow_m3_per_s(0.2, 0.01, 0.012, share) / full for share in shares]
    assert max(flows) == pytest.approx(1.076, abs=0.0005)
    assert shares[flows.index(max(flows))] == pytest.approx(0.938, abs=0.001)


@pytest.mark.parametrize("flow", [1e-5, 0.001, 0.004, 0.0066])
def test_normal_depth_beside_a_root_finder(flow: float) -> None:
    def excess(depth_m: float) -> float:
        return pipe_flow_m3_per_s(0.1, 0.01, 0.01, depth_m / 0.1) - flow

    found = pipe_normal_depth_m(flow, 0.1, 0.01, 0.01)
    assert found == pytest.approx(float(brentq(excess, 0.0, 0.0938)), rel=1e-6)


def test_more_than_a_full_pipe_has_no_normal_depth() -> None:
    full = pipe_flow_m3_per_s(0.1, 0.01, 0.01)
    assert pipe_normal_depth_m(full, 0.1, 0.01, 0.01) < 0.0938
    with pytest.raises(OutOfRange):
        pipe_normal_depth_m(full * 1.001, 0.1, 0.01, 0.01)


def test_size_and_slope_give_back_the_flow() -> None:
    diameter_m = full_pipe_diameter_m(0.02, 0.005, 0.012)
    assert pipe_flow_m3_per_s(diameter_m, 0.005, 0.012) == pytest.approx(0.02)
    assert pipe_slope_fraction(0.02, diameter_m, 0.012) == pytest.approx(0.005)


def test_four_feet_at_a_quarter_inch_a_foot_fall_one_inch() -> None:
    """Common practice, by hand: 4 x 1/4 in = 1 in, a slope of 1 in 48."""
    assert pipe_fall_fraction(0.0254, 0.0, 4 * 0.3048) == pytest.approx(1 / 48)


def test_critical_depth_has_the_least_energy() -> None:
    flow = 0.006
    for channel in (Channel(0.1), Channel(0.0, 4.0), Channel(0.05, 1.0)):
        depth_m = critical_depth_m(channel, flow)

        def energy(y: float, channel: Channel = channel) -> float:
            return y + (flow / channel.area_m2(y)) ** 2 / (2 * GRAVITY)

        assert energy(depth_m) < min(energy(depth_m * 1.01), energy(depth_m * 0.99))


def test_swale_of_two_slopes() -> None:
    """2 % and 4 %: 0.02 x 0.04 / 0.06 = 0.0133."""
    assert swale_cross_slope_fraction(0.02, 0.04) == pytest.approx(0.0133, abs=0.0001)


def by_solver(trench: Trench, flow: float, depth_m: float) -> float:
    """Depth at the upper end by the differential equation of spatially varied flow, scipy."""
    share = flow / trench.length_m

    def slope(x: float, state: list[float]) -> list[float]:
        y, q = state[0], share * x
        area, radius = trench.width_m * y, trench.width_m * y / (trench.width_m + 2 * y)
        friction = (q * trench.manning_coefficient / area) ** 2 / radius ** (4 / 3)
        top = trench.slope_fraction - friction - 2 * q * share / (GRAVITY * area**2)
        return [top / (1 - q**2 * trench.width_m / (GRAVITY * area**3))]

    got = solve_ivp(
        slope, (trench.length_m, 1e-6), [depth_m], method="LSODA", rtol=1e-9, atol=1e-12
    )
    return float(got.y[0][-1])


@pytest.mark.parametrize(("slope", "n"), [(0.0, 0.012), (0.0, 0.016), (0.004, 0.012)])
def test_trench_profile_beside_a_solver(slope: float, n: float) -> None:
    """With water standing at the outlet above the critical depth, where the equation is regular."""
    trench = Trench(width_m=0.1, length_m=8.0, slope_fraction=slope, manning_coefficient=n)
    outfall_m = 1.2 * critical_depth_m(Channel(0.1), 0.006)
    depths = trench_profile_m(trench, 0.006, outfall_m, 400)
    assert depths[-1] == pytest.approx(outfall_m)
    assert depths[0] == pytest.approx(by_solver(trench, 0.006, outfall_m), rel=0.003)


def test_a_level_trench_without_friction_is_the_closed_form() -> None:
    trench = Trench(width_m=0.1, length_m=6.0, slope_fraction=0.0, manning_coefficient=1e-9)
    for parts in (10, 100):
        depths = trench_profile_m(trench, 0.01, part_count=parts)
        assert depths[0] == pytest.approx(level_trench_depth_m(0.01, 0.1), rel=1e-6)


def test_friction_raises_a_trench_and_fall_lowers_it() -> None:
    def upper_m(slope: float, n: float) -> float:
        trench = Trench(width_m=0.1, length_m=6.0, slope_fraction=slope, manning_coefficient=n)
        return max(trench_profile_m(trench, 0.006))

    assert upper_m(0.0, 0.016) > upper_m(0.0, 0.012) > level_trench_depth_m(0.006, 0.1)
    assert upper_m(0.01, 0.012) < upper_m(0.005, 0.012) < upper_m(0.0, 0.012)


def test_trench_capacity_fills_it_to_the_depth() -> None:
    trench = Trench(width_m=0.1, length_m=6.0, slope_fraction=0.005, manning_coefficient=0.012)
    capacity = trench_capacity_m3_per_s(trench, 0.1)
    assert max(trench_profile_m(trench, capacity, part_count=25)) == pytest.approx(0.1, rel=1e-4)
    with pytest.raises(OutOfRange):
        trench_capacity_m3_per_s(trench, 0.1, 0.11)


def test_a_long_sloped_channel_runs_at_its_normal_depth() -> None:
    channel = Channel(0.2)
    depth_m = channel_normal_depth_m(channel, 0.01, 0.001, 0.012)
    assert channel_flow_m3_per_s(channel, depth_m, 0.001, 0.012) == pytest.approx(0.01)


def test_an_inlet_is_a_weir_when_shallow_and_an_orifice_when_deep() -> None:
    """A 1 ft square grate, 60 sq in open, half clogged: the laws cross where they are equal."""
    grate = Grate(perimeter_m=1.2192, open_m2=0.0387)
    edge = 1.66 * 1.2192 * 0.5
    mouth = 0.67 * 0.0387 * 0.5 * math.sqrt(2 * GRAVITY)
    crossing_m = mouth / edge
    assert grate_flow_m3_per_s(grate, crossing_m / 2) == pytest.approx(
        edge * (crossing_m / 2) ** 1.5
    )
    assert grate_flow_m3_per_s(grate, crossing_m * 2) == pytest.approx(
        mouth * math.sqrt(crossing_m * 2)
    )
    flow = grate_flow_m3_per_s(grate, 0.03)
    assert grate_depth_m(grate, flow) == pytest.approx(0.03)


def test_a_grate_that_is_shut_takes_nothing() -> None:
    shut = Grate(perimeter_m=1.0, open_m2=0.05, open_area_fraction=0.0)
    assert grate_flow_m3_per_s(shut, 0.05) == 0
    with pytest.raises(OutOfRange):
        grate_depth_m(shut, 0.001)


def test_slots_and_curb_openings_never_pass_less_under_more_water() -> None:
    depths = [0.002 * i for i in range(200)]
    for flows in (
        [slot_flow_m3_per_s(1.0, 0.02, d) for d in depths],
        [curb_opening_flow_m3_per_s(0.6, 0.1, d) for d in depths],
        [curb_opening_flow_m3_per_s(0.6, 0.1, d, 0.3) for d in depths],
        [round_opening_flow_m3_per_s(0.1, d) for d in depths],
    ):
        assert all(a <= b for a, b in pairwise(flows))


def test_a_slot_as_long_as_it_must_be_takes_all() -> None:
    length_m = whole_capture_length_m(0.01, 0.01, 0.02, 0.016)
    assert capture_fraction(length_m, length_m) == 1
    assert capture_fraction(length_m / 2, length_m) == pytest.approx(1 - 0.5**1.8)


def test_orifice_by_hand_and_where_a_round_mouth_drowns() -> None:
    """0.6 x 0.01 x sqrt(2 x 9.80665 x 0.5) = 0.01879 m3/s."""
    assert orifice_flow_m3_per_s(0.01, 0.5) == pytest.approx(0.01879, abs=5e-6)
    area = math.pi * 0.05**2
    at_crown = round_opening_flow_m3_per_s(0.1, 0.1)
    assert at_crown == pytest.approx(orifice_flow_m3_per_s(area, 0.05))


@pytest.mark.parametrize("head_m", [0.05, 0.1, 0.2])
def test_sharp_weir_beside_three_formulas_of_the_library(head_m: float) -> None:
    """Within 5 per cent from 5 cm of head on, below which theirs count surface tension.

    Two other formulas of that library are unsound and left aside.
    """
    for formula in (
        fluids.open_flow.Q_weir_rectangular_full_Rehbock,
        fluids.open_flow.Q_weir_rectangular_full_Kindsvater_Carter,
        fluids.open_flow.Q_weir_rectangular_full_Ackers,
    ):
        assert sharp_weir_flow_m3_per_s(1.5, head_m, 0.4) == pytest.approx(
            formula(head_m, 0.4, 1.5), rel=0.05
        )


def test_weirs_by_hand() -> None:
    """1.66 x 3 x 0.1^1.5 = 0.1575; contracted 1.84 x (1 - 0.02) x 0.1^1.5 = 0.0570."""
    flow = broad_weir_flow_m3_per_s(3.0, 0.1)
    assert flow == pytest.approx(0.1575, abs=5e-5)
    assert broad_weir_head_m(3.0, flow) == pytest.approx(0.1)
    assert sharp_weir_flow_m3_per_s(1.0, 0.1, contracted=True) == pytest.approx(0.0570, abs=5e-5)
    assert drowned_share_fraction(0.2, 0.0) == 1
    assert drowned_share_fraction(0.2, 0.3) == 0
    assert drowned_share_fraction(0.2, 0.1) == pytest.approx((1 - 0.5**1.5) ** 0.385)
