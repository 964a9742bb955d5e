"""Storms through a made-up terrace, with everything open and with things blocked."""

from __future__ import annotations

import math

import pytest

from checker.core.records import replace
from checker.water.blockages import blockages, harm
from checker.water.conveyance import NoOrder, carry
from checker.water.flows import Flows
from checker.water.network import Catchment, Edge, Network, Outlet, Store
from checker.water.outlets import Infiltration
from checker.water.stores import stone_bed
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


def test_a_drain_takes_what_its_grate_lets_in_and_the_rest_goes_on() -> None:
    """One drain, 3 L/s at its spill depth; 36 mm in 30 min on 300 m2 are 6 L/s: half goes on."""
    network = Network(
        catchments=(Catchment(id="deck", area_m2=300, runoff_fraction=1.0, to="drain"),),
        inlets=(inlet("drain", 10.0, "pipe", "edge"),),
        pipes=(pipe("pipe", "sewer", 10),),
        outlets=(Outlet(id="sewer"),),
        edges=(Edge(id="edge", crest_m=9.9, length_m=2.0, onto="street"),),
    )
    flows = carry(network, uniform_storm(0.036, 1800, 60))
    assert flows.peak_m3_per_s("pipe") == pytest.approx(0.003)
    assert flows.peak_m3_per_s("edge") == pytest.approx(0.003)
    assert flows.volume_m3("edge") == pytest.approx(5.4)
    stand = flows.stands["drain"]
    assert stand.over
    assert stand.level_m == pytest.approx(10.025 + (0.003 / 1.66) ** (2 / 3))
    edge = flows.stands["edge"]
    assert edge.depth_m == pytest.approx((0.003 / (1.66 * 2)) ** (2 / 3))


def test_a_small_pipe_sends_the_rest_back_up_at_the_lowest_top() -> None:
    """Two drains of 2 L/s each on a pipe of 3 L/s: 1 L/s wells up at the lower one."""
    network = Network(
        catchments=(
            Catchment(id="a", area_m2=100, runoff_fraction=1.0, to="high"),
            Catchment(id="b", area_m2=100, runoff_fraction=1.0, to="low"),
        ),
        inlets=(inlet("high", 10.0, "pipe", "edge"), inlet("low", 9.95, "pipe", "edge")),
        pipes=(pipe("pipe", "sewer", 3),),
        outlets=(Outlet(id="sewer"),),
        edges=(Edge(id="edge", crest_m=9.9, length_m=2.0, onto="own land"),),
    )
    storm = uniform_storm(0.036, 1800, 60)
    flows = carry(network, storm)
    assert went(flows, "low", "edge", "wells up") == pytest.approx(0.001 * 1800)
    assert went(flows, "high", "edge", "wells up") == 0
    blocked = carry(network, storm, ["low"])
    assert went(blocked, "low", "edge", "spills") == pytest.approx(0.002 * 1800)
    assert went(blocked, "high", "edge", "wells up") == 0
    both = carry(network, storm, ["pipe"])
    assert went(both, "low", "edge", "wells up") == pytest.approx(0.004 * 1800)


def test_a_full_store_wells_up_over_its_own_rim() -> None:
    bed = Store(
        id="bed",
        shape=stone_bed(9.0, 0.5, 4.0, 2.5, 0.4),
        outlets=(Infiltration(rate_m_per_s=0.0),),
        rim_m=9.5,
        spills_to="edge",
        above_m2=10.0,
    )
    network = Network(
        catchments=(Catchment(id="pavers", area_m2=60, runoff_fraction=1.0, to="bed"),),
        stores=(bed,),
        edges=(Edge(id="edge", crest_m=9.5, length_m=5.0, onto="own land"),),
    )
    flows = carry(network, uniform_storm(0.05, 3600, 60))
    assert flows.volume_m3("edge") == pytest.approx(3.0 - 2.0, rel=0.01)
    stand = flows.stands["bed"]
    assert stand.over
    assert stand.emptied_s == math.inf
    assert stand.level_m > 9.5


def test_water_without_a_way_stands_and_is_counted() -> None:
    network = Network(
        catchments=(sheds("yard", 100, "sump"),),
        inlets=(inlet("sump", 10.0, "pipe"),),
        pipes=(pipe("pipe", "sewer", 5),),
        outlets=(Outlet(id="sewer"),),
    )
    flows = carry(network, CLOUDBURST, ["pipe"])
    assert flows.standing_m3 == pytest.approx(flows.rain_m3)
    assert flows.path("yard") == ("yard", "sump", "pipe", "sump")


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
        assert not any(link.through == blocked[0] for link in flows.links if link.how != "wells up")


def test_paths_name_what_was_full() -> None:
    flows = carry(TERRACE, CLOUDBURST, ["east-pipe"])
    assert flows.path("east") == ("east", "east-drain", "east-pipe", "east-drain", "south-edge")


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


def test_a_network_with_a_loop_has_no_order() -> None:
    network = replace(TERRACE, pipes=(*TERRACE.pipes, pipe("a", "b", 1), pipe("b", "a", 1)))
    with pytest.raises(NoOrder, match="water goes round among: a, b"):
        carry(network, SHOWER)


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
    network = Network(
        catchments=(Catchment(id="deck", area_m2=100, runoff_fraction=1.0, to="drain"),),
        inlets=(inlet("drain", 10.0, "pipe"),),
        pipes=(pipe("pipe", "sewer", 10),),
        outlets=(Outlet(id="sewer"),),
    )
    flows = carry(network, uniform_storm(0.036, 1800, 60))
    assert flows.stands["drain"].depth_m == pytest.approx(0.0182, abs=1e-4)
    assert not flows.stands["drain"].over
    assert RATING.flow_m3_per_s(0.0182) == pytest.approx(0.002, rel=0.01)
