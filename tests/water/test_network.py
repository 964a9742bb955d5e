"""Faults of a network by name, and independent ways out beside a graph library."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.core.formula import OutOfRange
from checker.core.records import replace
from checker.water.faults import Fault, faults
from checker.water.network import Network, Rating, parts, topological
from checker.water.outlets import Orifice
from checker.water.paths import disjoint_paths, independent_ways
from tests.water.networks import TERRACE, inlet, pipe, sheds


def changed(group: str, name: str, **new: Any) -> Network:
    """The terrace with one element changed."""
    elements = tuple(
        replace(element, **new) if element.id == name else element
        for element in getattr(TERRACE, group)
    )
    return replace(TERRACE, **{group: elements})


def only(found: tuple[Fault, ...]) -> Fault:
    assert len(found) == 1, found
    return found[0]


def test_the_terrace_is_whole() -> None:
    assert faults(TERRACE) == ()


@pytest.mark.parametrize(
    ("network", "kind", "says"),
    [
        (
            changed("pipes", "east-pipe", lower_m=9.45),
            "uphill",
            "the pipe 'east-pipe' runs uphill, from 9.4 m to 9.45 m",
        ),
        (
            changed("pipes", "east-pipe", lower_m=9.4),
            "uphill",
            "the pipe 'east-pipe' is level, from 9.4 m to 9.4 m",
        ),
        (
            changed("pipes", "west-pipe", lower_m=9.3),
            "level",
            "'west-pipe' ends at 9.3 m, below 'east-pipe' that should take its water at 9.4 m",
        ),
        (
            changed("outlets", "pop-up", level_m=8.8),
            "level",
            "'pop-up-pipe' ends at 8.75 m, below 'pop-up' that should take its water at 8.8 m",
        ),
        (
            changed("pipes", "east-pipe", to="west-drain"),
            "loop",
            "water goes round: east-pipe -> west-drain -> west-pipe -> east-pipe",
        ),
        (
            changed("catchments", "east", to="east-pipe"),
            "closed",
            "'east' sheds into 'east-pipe', a pipe without an opening above",
        ),
        (
            changed("catchments", "east", to="well"),
            "closed",
            "'east' sheds into 'well', a buried store without an opening above",
        ),
        (
            changed("inlets", "east-drain", spills_to="pop-up"),
            "closed",
            "'east-drain' sheds into 'pop-up', an outlet without an opening above",
        ),
        (
            changed("edges", "south-edge", crest_m=9.99),
            "uphill",
            "water at 'east-drain' goes on at 9.975 m, too low to reach 'south-edge' at 9.99 m",
        ),
        (
            changed("inlets", "leader", to="nowhere"),
            "unknown",
            "'leader' leads to 'nowhere', which does not exist",
        ),
        (
            changed("inlets", "leader", to="west"),
            "unknown",
            "'leader' leads to 'west', which is a surface that only sheds water",
        ),
        (changed("pipes", "east-pipe", to=""), "orphan", "'east-pipe' leads nowhere"),
        (changed("catchments", "east", to=""), "orphan", "'east' leads nowhere"),
        (
            changed("stores", "well", outlets=(replace(TERRACE.stores[1].outlets[1], to=""),)),
            "orphan",
            "'well/overflow' leads nowhere",
        ),
        (
            replace(TERRACE, inlets=(*TERRACE.inlets, inlet("spare", 9.9, "east-pipe"))),
            "orphan",
            "no water comes to 'spare'",
        ),
        (
            replace(TERRACE, pipes=(*TERRACE.pipes, TERRACE.pipes[1])),
            "double",
            "'east-pipe' is there twice",
        ),
    ],
)
def test_faults_are_named(network: Network, kind: str, says: str) -> None:
    found = [fault for fault in faults(network) if fault.kind == kind]
    assert says in [fault.says for fault in found]
    assert all(fault.do for fault in found)


def test_no_fault_hides_another() -> None:
    network = replace(
        TERRACE,
        pipes=(
            *TERRACE.pipes,
            pipe("ring-a", "ring-b", (1.0, 2.0)),
            pipe("ring-b", "ring-a"),
            pipe("other-a", "other-b"),
            pipe("other-b", "other-a"),
        ),
    )
    found = faults(network)
    assert [fault.says for fault in found if fault.kind == "loop"] == [
        "water goes round: other-a -> other-b -> other-a",
        "water goes round: ring-a -> ring-b -> ring-a",
    ]
    assert only(tuple(f for f in found if f.kind == "uphill")).element == "ring-a"


def test_ponds_may_spill_to_each_other() -> None:
    """Two low places side by side: the higher water goes to the other, either way."""
    both = changed("inlets", "east-drain", spills_to="west-drain", spill_depth_m=0.05)
    assert faults(both) == ()


def test_a_store_lets_out_no_lower_than_what_takes_its_water() -> None:
    """The bed's mouth at 9.60 leads to a pipe from 9.60; half a metre lower it cannot."""
    bed = TERRACE.stores[0]
    soil, mouth = bed.outlets
    assert isinstance(mouth, Orifice)
    low = changed("stores", "bed", outlets=(soil, replace(mouth, invert_m=9.41)))
    fault = only(faults(low))
    assert fault.kind == "level"
    assert "the outlet 'high-pipe' of 'bed' lies at 9.41 m, below 'exfiltration'" in fault.says


def test_water_may_rise_into_a_pop_up_but_into_no_other_end() -> None:
    high = changed("outlets", "pop-up", level_m=9.3)
    assert only(faults(high)).kind == "level"
    assert faults(changed("outlets", "pop-up", level_m=9.3, is_riser=True)) == ()


def test_a_pipe_into_itself_is_a_loop() -> None:
    network = Network(catchments=(sheds("a", 1, "p"),), pipes=(pipe("p", "p"),))
    assert "water goes round: p -> p" in [fault.says for fault in faults(network)]


@pytest.mark.parametrize(
    ("depths", "flows"),
    [((0.0,), (0.0,)), ((0.0, 0.1), (0.0, -1.0)), ((0.1, 0.2), (0.0, 1.0)), ((0.0, 0.1), (0.0,))],
)
def test_a_rating_rises_from_nothing(depths: tuple[float, ...], flows: tuple[float, ...]) -> None:
    with pytest.raises(OutOfRange):
        Rating(depths_m=depths, flows_m3_per_s=flows)


def test_ways_out_of_the_terrace() -> None:
    """By hand: east has its drain and the south edge; with the edge a way onto a neighbour, one."""
    east = independent_ways(TERRACE, "east")
    assert east.count == 2
    assert east.cut == ("east-drain", "south-edge")
    assert ("south-edge",) in east.paths
    bad = changed("edges", "south-edge", onto="neighbour")
    assert independent_ways(bad, "east").count == 1
    assert independent_ways(bad, "east").cut == ("east-pipe",) or independent_ways(
        bad, "east"
    ).cut == ("east-drain",)


def test_a_second_pipe_above_the_stone_is_a_second_way() -> None:
    """The bed soaks away and has the pipe to the dry well; a bed with soil alone has one way."""
    sealed = changed("edges", "south-edge", onto="neighbour")
    pavers = independent_ways(sealed, "pavers")
    assert pavers.count == 1
    assert pavers.cut == ("bed/surface",)
    roof = independent_ways(
        replace(sealed, inlets=(*sealed.inlets[:2], inlet("leader", 13.0, "bed", ""))), "roof"
    )
    assert roof.cut == ("leader",)
    piped = replace(sealed, catchments=(sheds("roof", 100, "roof-pipe"),))
    assert independent_ways(piped, "roof").cut == ("roof-pipe",)
    straight = replace(
        sealed,
        catchments=(sheds("roof", 100, "bed"),),
        stores=(replace(sealed.stores[0], rim_m=None, spills_to=""), sealed.stores[1]),
    )
    both = independent_ways(straight, "roof")
    assert both.count == 2
    assert both.cut == ("bed/high-pipe", "bed/soil")


@given(
    st.integers(4, 9).flatmap(
        lambda n: st.lists(
            st.tuples(st.integers(0, n - 1), st.integers(0, n - 1)), min_size=1, max_size=24
        )
    )
)
def test_disjoint_paths_are_as_many_as_a_graph_library_finds(edges: list[tuple[int, int]]) -> None:
    """Edges lead from the smaller to the larger number; the last two numbers are ends."""
    ordered = sorted({(min(e), max(e)) for e in edges if e[0] != e[1]})
    last = max((b for _, b in ordered), default=1)
    ends = {str(last), str(last - 1)} - {"0"}
    links: dict[str, list[str]] = {}
    graph = nx.DiGraph()
    graph.add_nodes_from(["0", "sink"])
    for a, b in ordered:
        if str(a) not in ends:
            links.setdefault(str(a), []).append(str(b))
            graph.add_edge(str(a), str(b))
    for end in ends:
        graph.add_edge(end, "sink")
    paths, cut = disjoint_paths(links, "0", ends, set())
    try:
        wanted = list(nx.node_disjoint_paths(graph, "0", "sink"))
    except nx.NetworkXNoPath:
        wanted = []
    assert len(paths) == len(wanted) == len(cut)
    inner = [node for path in paths for node in path[1:]]
    assert len(inner) == len(set(inner))
    for path in paths:
        assert path[0] == "0"
        assert path[-1] in ends
        assert all(b in links[a] for a, b in pairwise(path))
    left = {a: [b for b in t if b not in cut] for a, t in links.items() if a not in cut}
    assert disjoint_paths(left, "0", ends - set(cut), set())[0] == []


def test_parts_have_an_order() -> None:
    order, left = topological(parts(TERRACE))
    assert not left
    assert order.index("west-drain/over") < order.index("east-drain/over")
    assert order.index("bed") < order.index("bed/high-pipe") < order.index("well")
