"""A made-up pool terrace with two ways out for most of its water, for several tests."""

from __future__ import annotations

from checker.core.records import replace
from checker.water.network import (
    Catchment,
    Edge,
    Inlet,
    Network,
    Outlet,
    Pipe,
    Rating,
    Store,
)
from checker.water.outlets import Infiltration, Orifice
from checker.water.stores import dry_well, stone_bed
from checker.water.storms import Storm, typed_storm

RATING = Rating(depths_m=(0.0, 0.01, 0.025, 0.05), flows_m3_per_s=(0.0, 0.0008, 0.003, 0.006))


def inlet(name: str, rim_m: float, to: str, spills_to: str = "") -> Inlet:
    return Inlet(id=name, rim_m=rim_m, rating=RATING, to=to, spills_to=spills_to)


def pipe(
    name: str, to: str, ends: tuple[float, float] = (9.0, 8.9), diameter_m: float = 0.1
) -> Pipe:
    """A smooth pipe of 10 m."""
    return Pipe(
        id=name,
        to=to,
        diameter_m=diameter_m,
        length_m=10.0,
        roughness_coefficient=0.010,
        upper_m=ends[0],
        lower_m=ends[1],
    )


def sheds(name: str, area_m2: float, to: str) -> Catchment:
    return Catchment(id=name, area_m2=area_m2, runoff_fraction=0.9, to=to)


TERRACE = Network(
    catchments=(
        sheds("west", 60, "west-drain"),
        sheds("east", 80, "east-drain"),
        sheds("roof", 120, "leader"),
        replace(sheds("pavers", 40, "bed"), runoff_fraction=1.0),
    ),
    inlets=(
        inlet("west-drain", 10.0, "west-pipe", "east-drain"),
        inlet("east-drain", 9.95, "east-pipe", "south-edge"),
        inlet("leader", 13.0, "roof-pipe", "west-drain"),
    ),
    pipes=(
        pipe("west-pipe", "east-pipe", (9.5, 9.4)),
        pipe("east-pipe", "well", (9.4, 9.2)),
        pipe("roof-pipe", "bed", (12.5, 9.6)),
        pipe("exfiltration", "well", (9.6, 9.3)),
        pipe("pop-up-pipe", "pop-up", (8.9, 8.75), 0.075),
    ),
    stores=(
        Store(
            id="bed",
            shape=stone_bed(9.4, 0.4, 8.0, 5.0, 0.4).then(0.1, 40.0, 0.05),
            outlets=(
                Infiltration(rate_m_per_s=3e-6),
                Orifice(name="high-pipe", invert_m=9.6, diameter_m=0.1, to="exfiltration"),
            ),
            rim_m=9.9,
            spills_to="south-edge",
        ),
        Store(
            id="well",
            shape=dry_well(7.5, 1.5, 1.2, 2.4, 0.4, 0.3),
            outlets=(
                Infiltration(rate_m_per_s=5e-6),
                Orifice(name="overflow", invert_m=8.9, diameter_m=0.1, to="pop-up-pipe"),
            ),
        ),
    ),
    outlets=(Outlet(id="pop-up", level_m=8.7),),
    edges=(Edge(id="south-edge", crest_m=9.85, length_m=3.0, onto="own land"),),
)

CLOUDBURST: Storm = typed_storm([0, 1800, 2400, 3000, 7200], [0, 0.02, 0.05, 0.065, 0.08], 60.0)
SHOWER: Storm = typed_storm([0, 3600], [0, 0.006], 60.0)
