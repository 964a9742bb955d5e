"""A network as nodes that have a level, and links whose flow follows from the levels.

The nodes are the ponds over inlets and over open stores, the upper end of every pipe, with the box
over it, and the stores. The links are grates, pipes, the openings of stores, open surfaces and the
low edges between ponds. Water leaves through soil and to levels that stay as they are: outlets and
the land beyond an edge.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record, Struct, field
from checker.water.heights import spill_sill_m
from checker.water.laws import barrel, grate, joints, mouth, weir
from checker.water.network import SURFACE, Edge, Inlet, Outlet, Pipe, Store, received_by
from checker.water.outlets import Infiltration, Orifice, Weir
from checker.water.stores import between
from checker.water.weirs import BROAD_SI

if TYPE_CHECKING:
    from checker.water.laws import Law
    from checker.water.network import Network, Pond

POND: Final = "/pond"
"""The water over a store's open surface is the node `store/pond`; over an inlet, the inlet's id."""

AWAY_M: Final = -1e6
"""Level of what water falls to freely."""

BOX_M2: Final = 0.03
"""Plan area of a box or a pipe's end, about 7 in square (common practice, no source)."""

RISER_M2: Final = 0.01
"""What stands above a full buried store: its vent."""

SOIL_FILM_M: Final = 0.001
"""Depth at which the ground below a store takes its whole rate."""

FILM_M: Final = 0.005
"""Water between the grains of an open surface, below what can run off over it."""

_WIDE_OPEN_M3_PER_S: Final = 0.5
"""What an open surface without a rate lets in: more than any storm brings to a lot."""


class Node(Record, kw_only=True):
    """Something with a level.

    Attributes:
        id: Of the inlet, pipe or store, or `store/pond`.
        levels_m: Rising from the bottom.
        stored_m3: Water below each, rising from 0; on the last line above the last.
        soil_m3_per_s: What the ground takes at each level.
    """

    id: str
    levels_m: tuple[float, ...]
    stored_m3: tuple[float, ...]
    soil_m3_per_s: tuple[float, ...]


class WaterWay(Record, kw_only=True):
    """A link between two nodes, or from a node to a level that stays.

    Attributes:
        name: What blocks it, as in `Network.blockable`; empty for what nothing blocks.
        kind: grate, pipe, opening, surface or spill.
        start: Id of the node at its upper side.
        end: Id of the node or fixed level at its lower side.
        laws: The least flow of these passes; each with its upper and its lower sill.
        fixed_m: Level at its end where it stays; None for a node.
    """

    name: str
    kind: str
    start: str
    end: str
    laws: tuple[tuple[Law, float, float], ...]
    fixed_m: float | None = None


class LevelSystem(Struct):
    """Nodes and ways of a network."""

    nodes: list[Node] = field(default_factory=list)
    ways: list[WaterWay] = field(default_factory=list)


def system_of(network: Network) -> LevelSystem:
    """The nodes and ways of a network without faults."""
    found = LevelSystem()
    for inlet in network.inlets:
        found.nodes.append(_pond(inlet.id, inlet.rim_m, inlet.pond))
    for pipe in network.pipes:
        found.nodes.append(_node(pipe.id, pipe.upper_m, BOX_M2))
    for store in network.stores:
        found.nodes.append(_store(store))
        if store.rim_m is not None:
            found.nodes.append(_film(store, store.rim_m))
    # Pipes come first: they alone have two laws, which `stepping` takes as one block.
    for pipe in network.pipes:
        found.ways.append(_pipe(network, pipe))
    for inlet in network.inlets:
        found.ways.append(_grate(network, inlet))
    for store in network.stores:
        found.ways += _openings(network, store)
    tops: tuple[Inlet | Store, ...] = (*network.inlets, *network.stores)
    for top in tops:
        if top.spills_to and top.rim_m is not None:
            found.ways.append(_spill(network, top))
    return found


def long_pumped_m3(network: Network) -> float:
    """What is pumped after the first hour: steps may miss a share of a storm, not of days of that.

    Args:
        network: The network.
    """
    return math.fsum(
        item.pumped_m3_per_s * max(0.0, item.pumped_s - 3600.0) for item in network.catchments
    )


def pond_of(network: Network, target: str) -> str:
    """Id of the node that takes what comes to a target over the surface."""
    element = network.by_id()[target]
    if isinstance(element, Store) and element.rim_m is not None:
        return f"{target}{POND}"
    return target


def _node(name: str, bottom_m: float, area_m2: float) -> Node:
    return Node(
        id=name,
        levels_m=(bottom_m, bottom_m + 1.0),
        stored_m3=(0.0, area_m2),
        soil_m3_per_s=(0.0, 0.0),
    )


def _pond(name: str, rim_m: float, pond: Pond) -> Node:
    return Node(
        id=name,
        levels_m=tuple(rim_m + depth for depth in pond.depths_m),
        stored_m3=pond.stored_m3,
        soil_m3_per_s=(0.0,) * len(pond.depths_m),
    )


def _film(store: Store, rim_m: float) -> Node:
    """The water on an open surface, with the film between its grains that drains into the store."""
    pond = store.pond
    return Node(
        id=f"{store.id}{POND}",
        levels_m=(rim_m - FILM_M, *(rim_m + depth for depth in pond.depths_m)),
        stored_m3=(0.0, *(FILM_M * RISER_M2 + stored for stored in pond.stored_m3)),
        soil_m3_per_s=(0.0,) * (len(pond.depths_m) + 1),
    )


def _store(store: Store) -> Node:
    """The store with its soil; what it holds above its shape is a vent's width."""
    shape = store.shape
    bottom_m = shape.bottom_m
    levels = {bottom_m, bottom_m + SOIL_FILM_M, *shape.levels_m}
    ordered = sorted(levels)
    soils = [outlet for outlet in store.outlets if isinstance(outlet, Infiltration)]
    soil = [math.fsum(s.flow_m3_per_s(level, shape) for s in soils) for level in ordered]
    soil[0] = 0.0
    stored = [between(level, shape.levels_m, shape.stored_m3) for level in ordered]
    return Node(
        id=store.id,
        levels_m=(*ordered, ordered[-1] + 1.0),
        stored_m3=(*stored, stored[-1] + RISER_M2),
        soil_m3_per_s=(*soil, soil[-1]),
    )


def _grate(network: Network, inlet: Inlet) -> WaterWay:
    rim_m = inlet.rim_m
    return WaterWay(
        name=inlet.id,
        kind="grate",
        start=inlet.id,
        end=received_by(network, inlet.to),
        laws=((grate(inlet.rating), rim_m, rim_m),),
    )


def _ended(network: Network, target: str) -> tuple[str, float | None, Outlet | None]:
    """Where a way ends: node, or the level of an outlet."""
    end = received_by(network, target)
    element = network.by_id()[end]
    if isinstance(element, Outlet):
        return end, AWAY_M if element.level_m is None else element.level_m, element
    if isinstance(element, Edge):
        return end, AWAY_M, None
    return end, None, None


def _limit(network: Network, outlet: Outlet | None) -> float:
    """What one of the ways into an outlet may pass: an even share of its limit."""
    if outlet is None or outlet.limit_m3_per_s == math.inf:
        return math.inf
    ends = [pipe.to for pipe in network.pipes]
    ends += [way.to for store in network.stores for way in store.outlets]
    return outlet.limit_m3_per_s / max(1, ends.count(outlet.id))


def _pipe(network: Network, pipe: Pipe) -> WaterWay:
    end, fixed_m, outlet = _ended(network, pipe.to)
    law = barrel(pipe, 0.0 if outlet is None else outlet.loss)
    entry = mouth(pipe.diameter_m, limit=_limit(network, outlet))
    return WaterWay(
        name=pipe.id,
        kind="pipe",
        start=pipe.id,
        end=end,
        laws=((law, pipe.upper_m, pipe.lower_m), (entry, pipe.upper_m, pipe.upper_m)),
        fixed_m=fixed_m,
    )


def _openings(network: Network, store: Store) -> list[WaterWay]:
    found = []
    for outlet in store.outlets:
        if isinstance(outlet, Infiltration):
            continue
        end, fixed_m, last = _ended(network, outlet.to)
        limit = min(outlet.limit_m3_per_s, _limit(network, last))
        if isinstance(outlet, Orifice):
            law = mouth(outlet.diameter_m, outlet.discharge_coefficient, limit)
        else:
            assert isinstance(outlet, Weir)
            law = weir(outlet.length_m, outlet.weir_coefficient_si, limit)
        sill_m = outlet.bends_m[0]
        found.append(
            WaterWay(
                name=f"{store.id}/{outlet.name}",
                kind="opening",
                start=store.id,
                end=end,
                laws=((law, sill_m, sill_m),),
                fixed_m=fixed_m,
            )
        )
    if store.rim_m is not None:
        most = min(store.surface_m3_per_s, _WIDE_OPEN_M3_PER_S)
        found.append(
            WaterWay(
                name=f"{store.id}{SURFACE}",
                kind="surface",
                start=f"{store.id}{POND}",
                end=store.id,
                laws=((joints(most), store.rim_m - FILM_M, store.rim_m - FILM_M),),
            )
        )
    return found


def _spill(network: Network, top: Inlet | Store) -> WaterWay:
    """The low edge over which a pond goes on, no lower than what lies beyond."""
    beyond = network.by_id()[top.spills_to]
    sill_m = spill_sill_m(network, top)
    coefficient = beyond.weir_coefficient_si if isinstance(beyond, Edge) else BROAD_SI
    fixed_m = AWAY_M if isinstance(beyond, Edge | Outlet) else None
    return WaterWay(
        name="",
        kind="spill",
        start=top.id if isinstance(top, Inlet) else f"{top.id}{POND}",
        end=top.spills_to if fixed_m is not None else pond_of(network, top.spills_to),
        laws=((weir(max(top.spill_length_m, 0.01), coefficient), sill_m, sill_m),),
        fixed_m=fixed_m,
    )
