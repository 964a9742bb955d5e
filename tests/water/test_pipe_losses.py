"""The grade line: heads of pipes beside a general library, and worked by hand."""

from __future__ import annotations

import itertools
import math

import pytest
from fluids.core import K_from_f, dP_from_K
from fluids.open_flow import V_Manning

from checker.core.records import replace
from checker.water.conveyance import carry
from checker.water.laws import grate
from checker.water.levels import system_of
from checker.water.network import Pipe, Rating
from checker.water.pipe_losses import (
    can_pass_m3_per_s,
    grade_lines,
    open_top_m,
    passes_m3_per_s,
    pipe_lines,
)
from checker.water.storms import uniform_storm
from tests.water.networks import TERRACE
from tests.water.test_conveyance import line

FOOT_M = 0.3048
GPM = 231 * 0.0254**3 / 60
G = 9.80665


def pipe(diameter_m: float, length_m: float, slope: float, roughness: float) -> Pipe:
    return Pipe(
        id="pipe", to="end", diameter_m=diameter_m, length_m=length_m,
        roughness_coefficient=roughness, upper_m=10.0, lower_m=10.0 - slope * length_m,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("diameter_m", "length_m", "roughness", "head_m"),
    list(itertools.product((0.1, 0.15), (10.0, 40.0), (0.010, 0.015), (0.05, 0.5))),
)
def test_a_drowned_pipe_agrees_with_a_library(
    diameter_m: float, length_m: float, roughness: float, head_m: float
) -> None:
    """fluids: Darcy's factor from Manning's speed, and the losses of fittings by K.

    The friction slope of 1 m/s gives f = 8 g R S; entrance 0.5 and end 1 are added to f L / D.
    """
    drawn = pipe(diameter_m, length_m, 0.01, roughness)
    radius_m = diameter_m / 4
    slope = 1 / V_Manning(radius_m, 1.0, roughness) ** 2
    k = K_from_f(fd=8 * G * radius_m * slope, L=length_m, D=diameter_m) + 1.5
    speed = math.sqrt(head_m / (dP_from_K(k, rho=1000.0, V=1.0) / 1000.0 / G))
    area_m2 = math.pi * diameter_m**2 / 4
    mouth = 0.6 * area_m2 * math.sqrt(2 * G * head_m)
    found = passes_m3_per_s(drawn, 11.0 + head_m, 11.0)
    assert found == pytest.approx(min(speed * area_m2, mouth), rel=1e-4)


@pytest.mark.parametrize(("feet", "gallons"), [(0.2, 47), (0.5, 74), (1.0, 105)])
def test_a_pipe_to_a_pop_up_carries_what_the_head_over_its_lid_gives(
    feet: float, gallons: float
) -> None:
    """4 in, 80 ft at 1 %, n 0.010, reckoned apart: 47, 74 and 105 gal/min, of 111 by its fall."""
    drawn = pipe(FOOT_M / 3, 80 * FOOT_M, 0.01, 0.010)
    found = passes_m3_per_s(drawn, 11.0 + feet * FOOT_M, 11.0, 1.1)
    assert found / GPM == pytest.approx(gallons, abs=0.6)


def test_losses_add_up_to_the_drop() -> None:
    network = line(area_m2=100.0, diameter_m=0.1, level_m=9.9)
    flows = carry(network, uniform_storm(0.036, 1800, 60))
    (found,) = grade_lines(network, flows)
    lost_m = found.friction_m + found.entrance_m + found.bends_m + found.exit_m
    assert found.upper_m - found.lower_m == pytest.approx(lost_m, rel=0.01)
    assert found.friction_m == pytest.approx(0.00887, rel=0.01)
    assert found.entrance_m == pytest.approx(0.5 * 0.003306, rel=0.01)
    assert (found.is_full, found.is_drowned) == (True, True)
    assert found.room_m == pytest.approx(10.0 - 9.9138, abs=0.0005)


def test_lines_of_pipes_go_from_each_head_to_the_end() -> None:
    assert pipe_lines(TERRACE) == (
        ("west-pipe", "east-pipe"), ("roof-pipe",), ("exfiltration",), ("pop-up-pipe",),
    )  # fmt: skip
    assert open_top_m(TERRACE, "east-pipe") == 9.95
    # The buried well has no top of its own: its water can rise to the drains that feed it.
    assert open_top_m(TERRACE, "pop-up-pipe") == 9.9


def test_water_goes_on_no_lower_than_what_lies_beyond() -> None:
    """East spills at 9.975 m; to the west drain, whose rim is 10 m, it must rise to 10 m first."""
    east = replace(TERRACE.inlets[1], spills_to="west-drain")
    network = replace(TERRACE, inlets=(TERRACE.inlets[0], east, TERRACE.inlets[2]))
    ways = [way for way in system_of(network).ways if way.kind == "spill"]
    (found,) = (way for way in ways if (way.start, way.end) == ("east-drain", "west-drain"))
    assert found.laws[0][1] == 10.0


def test_what_a_pipe_can_pass_ends_at_its_outlet() -> None:
    """Never more than the outlet lets out; nothing against water at the rim over it."""
    network = line(area_m2=100.0, diameter_m=0.1, level_m=9.9)
    flows = carry(network, uniform_storm(0.036, 1800, 60))
    (end,), (drawn,) = network.outlets, network.pipes

    def passes(**new: float | None) -> float:
        return can_pass_m3_per_s(replace(network, outlets=(replace(end, **new),)), flows, drawn)

    assert passes(limit_m3_per_s=0.001) == 0.001
    assert passes(level_m=10.0) == 0
    freely = passes(level_m=None)
    assert 0 < passes() < freely <= drawn.capacity_m3_per_s
    (free_fall,) = grade_lines(replace(network, outlets=(replace(end, level_m=None),)), flows)
    assert free_fall.tailwater_m is None


def test_a_grate_is_known_as_deep_as_its_rating() -> None:
    """Its table ends at 0.15 m, or where the rating does: there K = Q / h^0.5.

    At 0.15 m 0.002 + 0.008 x 0.10 / 0.25 = 0.0052 m3/s pass; it never takes more than the last row.
    """
    deep = grate(Rating(depths_m=(0.0, 0.05, 0.3), flows_m3_per_s=(0.0, 0.002, 0.01)))
    assert (deep.reach_m, deep.limit_m3_per_s) == (0.15, 0.01)
    assert deep.conveyance[-1] == pytest.approx(0.0052 / 0.15**0.5)
    shallow = grate(Rating(depths_m=(0.0, 0.05), flows_m3_per_s=(0.0, 0.002)))
    assert (shallow.reach_m, shallow.limit_m3_per_s) == (0.05, 0.002)
    assert shallow.conveyance[-1] == pytest.approx(0.002 / 0.05**0.5)
