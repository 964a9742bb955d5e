"""How high water can rise before it leaves over the surface, and which ways it never gets to.

A lid above the grate, a mouth above the open top of its store, or soil that takes nothing is drawn
as a way out and lets nothing out, whatever else is blocked.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from checker.core.records import Struct, field
from checker.core.units import meets
from checker.water.network import SURFACE, Edge, Inlet, Store, received_by
from checker.water.outlets import Infiltration

if TYPE_CHECKING:
    from checker.water.network import Network


def spill_sill_m(network: Network, top: Inlet | Store) -> float:
    """Level at which water goes on from a top over the surface: no lower than what lies beyond."""
    beyond = network.by_id()[top.spills_to]
    if isinstance(beyond, Edge):
        return max(top.spill_m, beyond.crest_m)
    if isinstance(beyond, Inlet | Store) and beyond.rim_m is not None:
        return max(top.spill_m, beyond.rim_m)
    return top.spill_m


def unreached(network: Network) -> frozenset[str]:
    """Pipes, outlets and ways out of stores that let no water out, as in `Network.blockable`.

    Args:
        network: Without faults.
    """
    rise = _Rise(network=network)
    found = set()
    for store in network.stores:
        highest_m = rise.in_store_m(store)
        if store.surface_m3_per_s == 0:
            found.add(f"{store.id}{SURFACE}")
        for way in store.outlets:
            if isinstance(way, Infiltration):
                is_shut = way.flow_m3_per_s(store.top_m, store.shape) == 0
            else:
                is_shut = way.limit_m3_per_s == 0 or meets(way.bends_m[0], highest_m, "at least")
            if is_shut:
                found.add(f"{store.id}/{way.name}")
    for pipe in network.pipes:
        if meets(pipe.upper_m, rise.in_box_m(pipe.id), "at least"):
            found.add(pipe.id)
    for end in network.outlets:
        is_above = end.level_m is not None and meets(end.level_m, rise.fed_m(end.id), "at least")
        if is_above or end.limit_m3_per_s == 0:
            found.add(end.id)
    return frozenset(found)


class _Rise(Struct, kw_only=True):
    """Highest levels of a network, each worked out once; infinite where water can only stand."""

    network: Network
    tops_m: dict[str, float] = field(default_factory=dict)
    boxes_m: dict[str, float] = field(default_factory=dict)

    def over_m(self, top: Inlet | Store) -> float:
        """Over a drain or an open store, with what lies beyond filled as well."""
        if top.id not in self.tops_m:
            self.tops_m[top.id] = math.inf  # round a ring of tops water finds no way
            if top.spills_to:
                sill_m = spill_sill_m(self.network, top)
                beyond = self.network.by_id()[top.spills_to]
                filled_m = self.over_m(beyond) if isinstance(beyond, Inlet | Store) else sill_m
                self.tops_m[top.id] = max(sill_m, filled_m)
        return self.tops_m[top.id]

    def in_store_m(self, store: Store) -> float:
        """In a store: to what stands over it, or as high as what feeds a buried one."""
        return self.in_box_m(store.id) if store.rim_m is None else self.over_m(store)

    def in_box_m(self, name: str) -> float:
        """In the box over a pipe or a buried store: to the lowest drain over it, where it wells up.

        Where no drain is, as high as the highest of what leads to it.
        """
        if name not in self.boxes_m:
            over = [i for i in self.network.inlets if received_by(self.network, i.to) == name]
            self.boxes_m[name] = (
                min(self.over_m(inlet) for inlet in over) if over else self.fed_m(name)
            )
        return self.boxes_m[name]

    def fed_m(self, name: str) -> float:
        """Highest level of the pipes and stores that lead to something; infinite without any."""
        network = self.network
        feeds = [
            self.in_box_m(pipe.id)
            for pipe in network.pipes
            if received_by(network, pipe.to) == name
        ]
        feeds += [
            self.in_store_m(store)
            for store in network.stores
            for way in store.outlets
            if way.to and received_by(network, way.to) == name
        ]
        return max(feeds, default=math.inf)
