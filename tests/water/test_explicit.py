"""Random networks with something blocked, beside an explicit balance in fiftieths of a second."""

from __future__ import annotations

import os
import random
from typing import Any

import pytest

pytest.importorskip("numba")

from checker.core.records import replace
from checker.water.conveyance import carry
from checker.water.faults import faults
from checker.water.network import Catchment, Edge, Inlet, Network, Outlet, Pipe, Pond, Store
from checker.water.outlets import Infiltration, Orifice, StoreOutlet, Weir
from checker.water.stores import dry_well, stone_bed
from checker.water.storms import Storm, typed_storm
from tests.water.explicit import Explicit
from tests.water.networks import TERRACE, inlet, pipe, sheds

NETWORKS_COUNT = 20 * int(os.environ.get("LAW_TIMES", "1"))
AFTER_S = 1800.0


def random_stores(
    draw: random.Random, chain: tuple[str, ...], pipes: list[Pipe], catchments: list[Catchment]
) -> list[Store]:
    """The bed and the well of a chain; adds the pipes between them and what sheds onto the bed."""
    wide = (0.05, 0.075, 0.1, 0.15)
    stores: list[Store] = []
    soil = Infiltration(
        rate_m_per_s=draw.choice([0.0, 3e-6, 3e-5]), counts_base=draw.random() < 0.7
    )
    for place, name in enumerate(chain):
        onward = chain[place + 1] if place + 1 < len(chain) else ""
        ways: list[StoreOutlet] = [soil]
        if name == "bed":
            base_m, mouth_m = 8.7, 8.7 + draw.choice([0.0, 0.2, 0.35])
            shape = stone_bed(base_m, 0.4, draw.uniform(2, 9), 4.0, 0.4).then(0.9, 2.0, 0.05)
            rim: dict[str, Any] = {"rim_m": 10.0, "spills_to": "edge"}
            rim["spill_length_m"] = draw.uniform(0.5, 4.0)
            if draw.random() < 0.5:
                rim["surface_m3_per_s"] = draw.choice([0.0005, 0.002])
            catchments.append(
                replace(sheds("pavers", draw.uniform(10, 60), "bed"), runoff_fraction=1.0)
            )
        else:
            base_m, mouth_m = 7.0, 8.3
            shape = dry_well(base_m, 1.5, 1.2, draw.uniform(1.5, 3.0), 0.4, 0.3)
            rim = {}
        if onward and name != "out":
            width_m = draw.choice(wide)
            if name == "bed" or draw.random() < 0.7:
                ways.append(
                    Orifice(name="mouth", invert_m=mouth_m, diameter_m=width_m, to="on-" + name)
                )
            else:
                ways.append(Weir(name="mouth", crest_m=mouth_m, length_m=0.4, to="on-" + name))
            start_m = min(mouth_m, 8.65 if name == "bed" else 8.25)
            pipes.append(pipe("on-" + name, onward, (start_m, start_m - 0.15), width_m))
        if name != "out":
            stores.append(Store(id=name, shape=shape, outlets=tuple(ways), **rim))
    return stores


def random_network(draw: random.Random) -> Network:
    """One to three drains in a row, their pipes, a bed, a well or both, and a pop-up or none.

    Sizes are such that about half of the networks are drowned somewhere and spill.
    """
    wide = (0.05, 0.075, 0.1, 0.15)
    chain = draw.choice([("out",), ("well",), ("bed",), ("bed", "well"), ("well", "out"),
                         ("bed", "out"), ("bed", "well", "out")])  # fmt: skip
    edge = Edge(id="edge", crest_m=9.9 + 0.12 * draw.random(), length_m=3.0, onto="own land")
    inlets: list[Inlet] = []
    pipes: list[Pipe] = []
    catchments: list[Catchment] = []
    count = draw.randint(1, 3)
    for place in range(count):
        name, rim_m = f"d{place}", 10.0 + 0.05 * place
        spill = "edge" if place == 0 else draw.choice([f"d{place - 1}", "edge"])
        area_m2, wedge_m3 = draw.uniform(0.3, 4.0), draw.uniform(0.0, 0.3)
        found = replace(
            inlet(name, rim_m, f"p{place}", spill),
            spill_length_m=draw.uniform(0.5, 5.0),
            spill_depth_m=draw.choice([0.025, 0.05]),
            pond=Pond(
                depths_m=(0.0, 0.05, 1.0), stored_m3=(0.0, 0.02 * area_m2, wedge_m3 + area_m2)
            ),
        )  # fmt: skip
        inlets.append(found)
        catchments.append(sheds(f"c{place}", draw.uniform(15, 150), name))
        if place == 0:
            lower_m = 9.35 - 0.2 * draw.random()
            pipes.append(pipe("p0", chain[0], (9.4, lower_m), draw.choice(wide)))
        else:
            # Its pipe comes through the box of the drain before it, or by its own way.
            fall = (9.6 + 0.05 * place, 9.45)
            pipes.append(pipe(f"p{place}", f"d{place - 1}", fall, draw.choice(wide)))
    stores = random_stores(draw, chain, pipes, catchments)
    outlets: tuple[Outlet, ...] = ()
    if chain[-1] == "out":
        last = next(p for p in pipes if p.to == "out")
        level_m = draw.choice([None, last.lower_m - 0.1, last.lower_m + draw.uniform(0.0, 0.5)])
        is_riser = level_m is not None and level_m >= last.lower_m
        outlets = (Outlet(id="out", level_m=level_m, is_riser=is_riser, loss=1.1 * is_riser),)
    return Network(
        catchments=tuple(catchments), inlets=tuple(inlets), pipes=tuple(pipes),
        stores=tuple(stores), outlets=outlets, edges=(edge,),
    )  # fmt: skip


def random_storm(draw: random.Random) -> Storm:
    """An hour of rain in steps of ten minutes, up to 12 in/h."""
    fallen, depths = 0.0, [0.0]
    for _ in range(6):
        fallen += draw.choice([0.0, 0.004, 0.01, 0.02, 0.05]) * draw.random()
        depths.append(fallen)
    return typed_storm([600.0 * place for place in range(7)], depths, 60.0)


def compared(network: Network, storm: Storm, blocked: tuple[str, ...]) -> None:
    assert not faults(network)
    theirs = Explicit(network, blocked).run(storm, AFTER_S)
    ours = carry(network, storm, blocked, after_s=AFTER_S, to_rest=False)
    assert abs(ours.balance_fraction) < 1e-9
    came_m3 = theirs.came_m3
    assert sum(theirs.gone_m3.values()) + sum(theirs.held_m3.values()) == pytest.approx(came_m3)
    room_m3 = 0.006 * came_m3 + 1e-4
    # A store over its top has the width of a vent, where levels of fiftieths of a second chatter.
    is_pressed = any(
        theirs.highest_m[store.id] > store.shape.levels_m[-1] for store in network.stores
    )
    for name, level_m in theirs.highest_m.items():
        if name[0] == "d":
            assert ours.levels_m[name] == pytest.approx(level_m, abs=0.008), name
        elif not is_pressed:
            assert ours.levels_m[name] == pytest.approx(level_m, abs=0.009), name
    soaked = sum(link.volume_m3 for link in ours.links if link.how == "soaks away")
    for name, volume_m3 in theirs.gone_m3.items():
        mine_m3 = soaked if name == "soil" else ours.volume_m3(name)
        assert mine_m3 == pytest.approx(volume_m3, abs=room_m3), name


# Of seed 68 a bed fills up into its joints as the rain ends: steps alone told it 27 mm too low.
@pytest.mark.parametrize("seed", sorted({*range(NETWORKS_COUNT), 11, 68, 93}))
def test_random_networks_agree_with_an_explicit_balance(seed: int) -> None:
    draw = random.Random(seed)
    network = random_network(draw)
    names = network.blockable()
    blocked = tuple(draw.sample(names, min(len(names), draw.choice([0, 0, 1, 1, 2]))))
    compared(network, random_storm(draw), blocked)


@pytest.mark.parametrize("blocked", [(), ("east-pipe",), ("bed/surface", "well/overflow")])
def test_the_terrace_agrees_with_an_explicit_balance(blocked: tuple[str, ...]) -> None:
    storm = typed_storm([0, 1800, 2400, 3000, 7200], [0, 0.02, 0.05, 0.065, 0.08], 60.0)
    compared(TERRACE, storm, blocked)
