"""Ways out that water never gets to are no ways: levels of small networks, by hand."""

from __future__ import annotations

import math

import pytest

from checker.core.records import replace
from checker.water.heights import spill_sill_m, unreached
from checker.water.network import Edge, Network, Outlet, Store
from checker.water.outlets import Infiltration, Orifice, StoreOutlet, Weir
from checker.water.paths import independent_ways
from checker.water.stores import dry_well
from tests.water.networks import TERRACE, inlet, pipe, sheds

LAWN = Edge(id="lawn", crest_m=10.05, length_m=3.0, onto="own land")


def line(lid_m: float | None, *, crest_m: float = 10.05, limit: float = math.inf) -> Network:
    """One drain at 10.00 that goes on over a lawn's edge, with a pipe to a pop-up."""
    return Network(
        catchments=(sheds("deck", 50, "a"),),
        inlets=(inlet("a", 10.0, "p", "lawn"),),
        pipes=(pipe("p", "out", (9.5, 9.4)),),
        outlets=(Outlet(id="out", level_m=lid_m, is_riser=True, limit_m3_per_s=limit),),
        edges=(replace(LAWN, crest_m=crest_m),),
    )


@pytest.mark.parametrize(
    ("network", "shut"),
    [
        (line(9.9), set()),
        (line(None), set()),
        # Water stands to the crest at 10.05 at most: a lid there stays shut.
        (line(10.04), set()),
        (line(10.05), {"out"}),
        (line(10.2), {"out"}),
        (line(10.2, crest_m=10.3), set()),
        # The crest lies below the level at which the drain spills, 10.00 + 0.025.
        (line(10.02, crest_m=9.0), set()),
        (line(10.03, crest_m=9.0), {"out"}),
        (line(9.9, limit=0.0), {"out"}),
    ],
)
def test_a_lid_above_the_water_lets_none_out(network: Network, shut: set[str]) -> None:
    assert unreached(network) == shut
    assert independent_ways(network, "deck").count == (1 if shut else 2)


def test_water_that_can_only_stand_rises_to_any_lid() -> None:
    network = line(12.0)
    standing = replace(network, inlets=(inlet("a", 10.0, "p"),))
    assert unreached(standing) == set()


def test_a_lower_drain_over_the_same_pipe_lets_the_water_of_a_higher_one_out() -> None:
    """A leader from a roof at 13 comes into the pipe below the drain at 10: the lid at 10.2 stays

    shut, as the water wells up through the drain. With a pipe of its own it opens.
    """
    network = line(10.2)
    roof = inlet("leader", 13.0, "p", "a")
    assert unreached(replace(network, inlets=(*network.inlets, roof))) == {"out"}
    alone = replace(
        network,
        inlets=(*network.inlets, replace(roof, to="q")),
        pipes=(*network.pipes, pipe("q", "out", (12.0, 9.5))),
    )
    assert unreached(alone) == set()


def test_what_lies_beyond_fills_as_well() -> None:
    """A spills at 10.10 to b at 10.0, b over the lawn's edge at 10.4: with b full a has 10.4."""
    network = replace(
        line(10.3),
        inlets=(
            replace(inlet("a", 10.0, "p", "b"), spill_depth_m=0.1),
            inlet("b", 10.0, "q", "lawn"),
        ),
        pipes=(pipe("p", "out", (9.5, 9.4)), pipe("q", "out", (9.5, 9.4))),
        edges=(replace(LAWN, crest_m=10.4),),
    )
    assert unreached(network) == set()
    assert spill_sill_m(network, network.inlets[0]) == pytest.approx(10.1)
    lower = replace(network, edges=(replace(LAWN, crest_m=10.2),))
    assert unreached(lower) == {"out"}
    # Two drains of one low place that spill to each other only can rise to any level.
    ring = (network.inlets[0], replace(network.inlets[1], spills_to="a"))
    assert unreached(replace(lower, inlets=ring)) == set()


def well(*outlets: StoreOutlet, rim_m: float | None = None) -> Network:
    """A drain at 10.0 whose water goes into a well from 7.5 to 9.0, and on from there."""
    shape = dry_well(7.5, 1.5, 1.2, 2.4, 0.4)
    open_to = {} if rim_m is None else {"rim_m": rim_m, "spills_to": "lawn"}
    return Network(
        catchments=(sheds("deck", 50, "a"),),
        inlets=(inlet("a", 10.0, "p", "lawn"),),
        pipes=(pipe("p", "well", (9.5, 9.4)), pipe("q", "out", (8.6, 8.5))),
        stores=(Store(id="well", shape=shape, outlets=outlets, **open_to),),  # type: ignore[arg-type]
        outlets=(Outlet(id="out"),),
        edges=(LAWN,),
    )


SOIL = Infiltration(rate_m_per_s=1e-6)
MOUTH = Orifice(name="mouth", invert_m=8.8, diameter_m=0.1, to="q")


@pytest.mark.parametrize(
    ("outlets", "rim_m", "shut"),
    [
        ((SOIL, MOUTH), None, set()),
        ((replace(SOIL, rate_m_per_s=0.0), MOUTH), None, {"well/soil"}),
        ((replace(SOIL, counts_base=False, counts_walls=False), MOUTH), None, {"well/soil"}),
        ((replace(SOIL, counts_base=False), MOUTH), None, set()),
        ((SOIL, replace(MOUTH, limit_m3_per_s=0.0)), None, {"well/mouth"}),
        # Buried, the water in it rises to the crest of the lawn over the drain that feeds it.
        ((SOIL, Weir(name="mouth", crest_m=10.04, length_m=1.0, to="q")), None, set()),
        ((SOIL, Weir(name="mouth", crest_m=10.05, length_m=1.0, to="q")), None, {"well/mouth"}),
        # Open, to the edge beyond its own top: 9.6 or the crest at 10.05.
        ((SOIL, Weir(name="mouth", crest_m=10.0, length_m=1.0, to="q")), 9.6, set()),
        ((SOIL, Weir(name="mouth", crest_m=10.06, length_m=1.0, to="q")), 9.6, {"well/mouth"}),
    ],
)
def test_a_store_with_ways_that_let_nothing_out(
    outlets: tuple[StoreOutlet, ...], rim_m: float | None, shut: set[str]
) -> None:
    assert unreached(well(*outlets, rim_m=rim_m)) == shut


def test_a_pipe_that_begins_above_the_water_is_no_way() -> None:
    network = well(SOIL, MOUTH)
    high = tuple(replace(p, upper_m=10.05) if p.id == "p" else p for p in network.pipes)
    assert unreached(replace(network, pipes=high)) == {"p"}
    assert independent_ways(replace(network, pipes=high), "deck").paths == (("lawn",),)


def test_joints_that_take_nothing_let_nothing_in() -> None:
    network = well(SOIL, MOUTH, rim_m=9.6)
    tight = replace(network.stores[0], surface_m3_per_s=0.0)
    assert unreached(replace(network, stores=(tight,))) == {"well/surface"}


def test_every_way_of_the_terrace_can_be_reached() -> None:
    assert unreached(TERRACE) == set()
