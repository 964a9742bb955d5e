"""Storms through a made-up terrace, with everything open and with things blocked."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from checker.core.records import replace
from checker.water.blockages import blockages, harm
from checker.water.conveyance import carry
from checker.water.flows import Flows
from checker.water.network import Catchment, Edge, Network, Outlet, Pond, Store
from checker.water.outlets import Infiltration, Orifice, storage_table
from checker.water.routing import emptying_time_s
from checker.water.stores import RESIDUAL_M, dry_well, stone_bed
from checker.water.storms import Storm, uniform_storm
from tests.water.networks import CLOUDBURST, RATING, SHOWER, TERRACE, inlet, pipe, sheds


def went(flows: Flows, start: str, end: str, how: str) -> float:
    return math.fsum(
        link.volume_m3
        for link in flows.links
        if (link.start, link.end, link.how) == (start, end, how)
    )


def test_a_shower_goes_into_the_ground() -> None:
    """6 mm on 60, 80 and 120 m2 at 0.9 and on 40 m2 at 1: 1.644 m3, no drop on the surface."""
    flows = carry(TERRACE, SHOWER)
    assert flows.rain_m3 == pytest.approx(0.006 * (0.9 * 260 + 40))
    assert {link.how for link in flows.links} == {"drains", "passes on", "soaks away"}
    soaked = math.fsum(link.volume_m3 for link in flows.links if link.how == "soaks away")
    assert soaked + flows.stored_m3 == pytest.approx(flows.rain_m3)
    assert flows.volume_m3("south-edge") == 0
    assert not any(stand.over for stand in flows.stands.values())


def line(
    *, to: str = "edge", area_m2: float = 300.0, diameter_m: float = 0.15, level_m: float = 9.0
) -> Network:
    """One drain at 10 m with a pipe of 10 m from 9.5 to 9.3, which ends in water at a level."""
    return Network(
        catchments=(Catchment(id="deck", area_m2=area_m2, runoff_fraction=1.0, to="drain"),),
        inlets=(inlet("drain", 10.0, "pipe", to),),
        pipes=(pipe("pipe", "sewer", (9.5, 9.3), diameter_m),),
        outlets=(Outlet(id="sewer", level_m=level_m, is_riser=True),),
        edges=(Edge(id="edge", crest_m=9.9, length_m=2.0, onto="street"),),
    )


def test_a_drain_takes_what_stands_over_it_and_the_rest_goes_on() -> None:
    """36 mm in 30 min on 300 m2 are 6 L/s. Over 1 m of edge at 10.025 m goes 1.66 d^1.5.

    By hand: 10 mm over the edge pass 1.66 L/s, and under 35 mm of water the drain takes 3 + 3 x
    10 / 25 = 4.2 L/s, in all 5.86; 10.38 mm pass 1.755 and 4.245: 6.00 L/s.
    """
    flows = carry(line(), uniform_storm(0.036, 1800, 60))
    assert flows.peak_m3_per_s("edge") == pytest.approx(0.001755, rel=0.01)
    assert flows.passed_m3_per_s("pipe") == pytest.approx(0.004245, rel=0.01)
    assert flows.asked_m3_per_s("drain") == pytest.approx(0.006)
    assert flows.asked_m3_per_s("pipe") == pytest.approx(0.003)
    stand = flows.stands["drain"]
    assert stand.over
    assert stand.level_m == pytest.approx(10.03538, abs=2e-4)
    edge = flows.stands["edge"]
    assert edge.depth_m == pytest.approx((0.001755 / (1.66 * 2)) ** (2 / 3), rel=0.01)


def test_a_pipe_against_standing_water_carries_what_the_head_gives() -> None:
    """Its end drowned at 9.9 m: a pipe of 0.1 m and 10 m passes 2 L/s under 25.4 mm.

    By hand: V = 0.002 / 0.007854 = 0.2546 m/s; speed head 3.306 mm, of it 1.5 at the ends = 4.96;
    friction n2 L V2 / R^(4/3) = 1e-4 x 10 x 0.06484 / 0.025^(4/3) = 8.87 mm; in all 13.83 mm.
    The entrance alone as an orifice: (0.002 / (0.6 x 0.007854))^2 / 2g = 9.18 mm, less.
    """
    network = line(area_m2=100.0, diameter_m=0.1, level_m=9.9)
    flows = carry(network, uniform_storm(0.036, 1800, 60))
    assert flows.passed_m3_per_s("pipe") == pytest.approx(0.002, rel=1e-4)
    assert flows.levels_m["pipe"] == pytest.approx(9.9 + 0.01383, abs=1e-4)
    assert not flows.volume_m3("edge")


def test_water_from_below_comes_up_through_the_grate() -> None:
    """Two drains on one pipe: what the roof brings under pressure rises in the low drain."""
    network = Network(
        catchments=(sheds("roof", 400, "leader"),),
        inlets=(
            inlet("leader", 13.0, "pipe"),
            inlet("low", 9.0, "pipe", "edge"),
        ),
        pipes=(pipe("pipe", "sewer", (8.5, 8.4), 0.05),),
        outlets=(Outlet(id="sewer"),),
        edges=(Edge(id="edge", crest_m=8.9, length_m=2.0, onto="own land"),),
    )
    flows = carry(network, uniform_storm(0.018, 1800, 60))
    assert went(flows, "pipe", "low", "wells up") > 1.0
    assert went(flows, "low", "edge", "spills") == pytest.approx(
        went(flows, "pipe", "low", "wells up"), rel=0.01
    )
    assert 9.025 < flows.stands["low"].level_m < 9.06
    assert flows.stands["leader"].level_m < 13.1


def test_a_full_store_spills_over_its_own_rim() -> None:
    """50 mm on 60 m2 are 3 m3; the stone holds 0.5 x 10 x 0.4 = 2 m3: the rest goes over."""
    bed = Store(
        id="bed",
        shape=stone_bed(9.0, 0.5, 4.0, 2.5, 0.4),
        outlets=(Infiltration(rate_m_per_s=0.0),),
        rim_m=9.5,
        spills_to="edge",
    )
    network = Network(
        catchments=(Catchment(id="pavers", area_m2=60, runoff_fraction=1.0, to="bed"),),
        stores=(bed,),
        edges=(Edge(id="edge", crest_m=9.5, length_m=5.0, onto="own land"),),
    )
    flows = carry(network, uniform_storm(0.05, 3600, 60))
    assert flows.volume_m3("edge") == pytest.approx(1.0, abs=0.001)
    stand = flows.stands["bed"]
    assert stand.over
    assert stand.emptied_s == math.inf
    assert stand.level_m > 9.5
    slow = replace(bed, surface_m3_per_s=0.0005)
    slowly = carry(replace(network, stores=(slow,)), uniform_storm(0.05, 3600, 60))
    # 3 m3 in an hour are 0.833 L/s; 0.5 L/s go in, until the hour is over 1.8 m3.
    assert slowly.volume_m3("edge") == pytest.approx(1.2, abs=0.005)


def test_a_buried_store_sends_back_what_it_cannot_hold() -> None:
    """Fed by a pipe, full, and without soil: the rest stands in the pipe and over its drain.

    The tank holds 0.5 x 4 x 0.5 = 1 m3, its vent 0.01 m2 x 1.535 m, the box 0.03 m2 x 0.535 m.
    """
    tank = Store(
        id="tank",
        shape=stone_bed(8.0, 0.5, 2.0, 2.0, 0.5),
        outlets=(Infiltration(rate_m_per_s=0.0),),
    )
    network = replace(
        line(area_m2=100.0), stores=(tank,), outlets=(), pipes=(pipe("pipe", "tank", (9.5, 9.3)),)
    )
    flows = carry(network, uniform_storm(0.036, 1800, 60))
    assert flows.volume_m3("tank") == pytest.approx(1.0 + 0.0153, abs=0.001)
    assert flows.volume_m3("edge") == pytest.approx(3.6 - 1.0 - 0.0153 - 0.0161, abs=0.003)
    assert flows.stands["tank"].over
    assert flows.stands["tank"].level_m == pytest.approx(flows.stands["drain"].level_m, abs=0.002)


def test_a_store_takes_water_back_from_the_pipe_that_drains_it() -> None:
    """The bed's drain and a channel share a pipe: its water rises into the empty bed."""
    bed = Store(
        id="bed",
        shape=stone_bed(9.2, 0.5, 8.0, 5.0, 0.4),
        outlets=(Infiltration(rate_m_per_s=0.0), Orifice(name="low", invert_m=9.5, diameter_m=0.1,
                 to="pipe")),
        rim_m=10.2,
        spills_to="edge",
    )  # fmt: skip
    network = replace(line(area_m2=300.0, diameter_m=0.05), stores=(bed,))
    flows = carry(network, uniform_storm(0.036, 1800, 60))
    assert went(flows, "pipe", "bed", "backs up") > 3.0
    assert flows.volume_m3("edge") == pytest.approx(
        carry(network, uniform_storm(0.036, 1800, 60), ["bed/low"]).volume_m3("edge"), abs=6.0
    )
    assert flows.volume_m3("edge") < 4.0


def test_water_without_a_way_stands_and_is_counted() -> None:
    yard = Pond(depths_m=(0.0, 1.0), stored_m3=(0.0, 90.0))
    drain = replace(inlet("drain", 10.0, "pipe"), pond=yard)
    network = replace(line(to="", area_m2=90.0), edges=(), inlets=(drain,))
    flows = carry(network, CLOUDBURST, ["pipe"])
    # 0.08 m on 90 m2 stand 0.08 m deep over it, but for what fills the box: 0.03 x 0.58 m.
    assert flows.standing_m3 == pytest.approx(7.2 - 0.03 * 0.58, abs=0.001)
    assert flows.stored_m3 == pytest.approx(0.03 * 0.58, abs=0.001)
    assert flows.path("deck") == ("deck", "drain")


def test_the_exfiltration_pipe_takes_over_when_the_soil_is_shut() -> None:
    """The bed's soil silts up: the pipe above the stone carries its water to the dry well."""
    flows = carry(TERRACE, SHOWER, ["bed/soil"])
    open_flows = carry(TERRACE, SHOWER)
    assert open_flows.volume_m3("exfiltration") == 0
    long_rain = uniform_storm(0.05, 8 * 3600, 300)
    shut = carry(TERRACE, long_rain, ["bed/soil"])
    assert shut.volume_m3("exfiltration") > carry(TERRACE, long_rain).volume_m3("exfiltration") > 0
    assert "exfiltration" in shut.path("pavers")
    assert flows.stands["bed"].emptied_s == math.inf


@pytest.mark.parametrize("blocked", [(), *((name,) for name in TERRACE.blockable())])
def test_no_water_is_lost_whatever_is_blocked(blocked: tuple[str, ...]) -> None:
    flows = carry(TERRACE, CLOUDBURST, blocked)
    assert abs(flows.balance_fraction) < 1e-9
    if blocked:
        name = blocked[0]
        assert not any(name == link.through for link in flows.links)
        assert not any(name == link.start and link.how == "passes on" for link in flows.links)


def test_paths_follow_the_most_water() -> None:
    assert carry(TERRACE, CLOUDBURST).path("east") == (
        "east", "east-drain", "east-pipe", "well", "well/overflow", "pop-up-pipe", "pop-up",
    )  # fmt: skip
    flows = carry(TERRACE, CLOUDBURST, ["east-pipe"])
    assert flows.path("east") == ("east", "east-drain", "south-edge")


def test_blockages_run_each_thing_and_the_worst_two() -> None:
    found = blockages(TERRACE, CLOUDBURST)
    names = TERRACE.blockable()
    assert [case.blocked for case in found.single] == [(name,) for name in names]
    assert found.open.blocked == ()
    assert found.worst_pair is not None
    measure = harm(TERRACE)
    assert len(found.worst_pair.blocked) == 2
    for case in found.single:
        assert measure(case) <= measure(found.worst_pair)
    assert len(found.cases) == len(names) + 2


def test_the_worst_pair_is_worst_of_all_pairs() -> None:
    """Every pair, also those left out as they can change nothing."""
    found = blockages(TERRACE, CLOUDBURST)
    measure = harm(TERRACE)
    names = TERRACE.blockable()
    worst = max(
        measure(carry(TERRACE, CLOUDBURST, (a, b)))
        for i, a in enumerate(names)
        for b in names[i + 1 :]
    )
    assert found.worst_pair is not None
    assert measure(found.worst_pair) == pytest.approx(worst)


def test_a_store_within_reach_of_time_says_when_it_is_empty() -> None:
    """0.3 m of water in stone at 40 % on 2e-5 m/s through the base: 0.12 / 2e-5 = 6000 s."""
    bed = Store(
        id="bed",
        shape=stone_bed(9.0, 0.5, 4.0, 2.5, 0.4),
        outlets=(Infiltration(rate_m_per_s=2e-5, counts_walls=False),),
    )
    roof = Catchment(id="roof", area_m2=100, runoff_fraction=1.0, to="bed")
    network = Network(catchments=(roof,), stores=(bed,))
    storm = Storm(step_s=1.0, depths_m=(0.012 + 2e-5 / 10,))
    flows = carry(network, storm, after_s=9000)
    assert flows.stands["bed"].depth_m == pytest.approx(0.3, rel=1e-3)
    assert flows.stands["bed"].emptied_s == pytest.approx(6000, rel=0.01)
    early = carry(network, storm, after_s=600)
    assert early.stands["bed"].emptied_s == pytest.approx(6000, rel=0.01)


def test_a_rating_gives_the_depth_on_its_lines() -> None:
    """2 L/s lie between 0.8 L/s at 10 mm and 3 L/s at 25 mm: 10 + 15 x 1.2 / 2.2 = 18.2 mm."""
    flows = carry(line(area_m2=100.0), uniform_storm(0.036, 1800, 60))
    assert flows.stands["drain"].depth_m == pytest.approx(0.0182, abs=2e-4)
    assert not flows.stands["drain"].over
    assert RATING.flow_m3_per_s(0.0182) == pytest.approx(0.002, rel=0.01)


@pytest.mark.parametrize("after_s", [600.0, 3600.0, 86400.0])
def test_the_time_to_run_empty_is_that_of_the_exact_scheme(after_s: float) -> None:
    """Through base and walls the rate falls with the level, and the time hangs on no step."""
    shape = dry_well(7.5, 1.5, 1.2, 2.4, 0.4, 0.3)
    soil = Infiltration(rate_m_per_s=1e-6)
    well = Store(id="well", shape=shape, outlets=(soil,))
    full_m3 = 0.95 * shape.stored_m3[-1]
    roof = Catchment(id="roof", area_m2=100.0, runoff_fraction=1.0, to="well")
    rain = Storm(step_s=60.0, depths_m=(full_m3 / 100,))
    flows = carry(Network(catchments=(roof,), stores=(well,)), rain, after_s=after_s)
    table = storage_table(shape, (soil,))
    exact_s = emptying_time_s(table, full_m3, table.stored_at_m3(7.5 + RESIDUAL_M))
    assert flows.stands["well"].emptied_s == pytest.approx(exact_s, rel=0.004)


@pytest.mark.parametrize("slope", [0.02, 0.05, 0.0499, 0.0501, 0.2])
def test_a_bed_whose_base_falls_by_its_depth_has_rising_rows(slope: float) -> None:
    """0.5 m of stone over 10 m: at 5 % the wedge ends at the brim, 10 x 0.5 / 2 x 2 x 0.4 = 2 m3.

    Flatter by s: (0.5 - 10 s / 2) x 10; steeper: 0.5 x 0.5 / s / 2 is its section.
    """
    bed = stone_bed(8.0, 0.5, 10.0, 2.0, 0.4, slope)
    assert all(low < high for low, high in pairwise(bed.levels_m))
    section_m2 = (0.5 - 5 * slope) * 10 if slope <= 0.05 else 0.125 / slope
    assert bed.stored_m3[-1] == pytest.approx(section_m2 * 2 * 0.4)
