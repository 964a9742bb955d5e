"""What pipes and drains carry over what is asked of them, in the hardest of the storms tried."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.measure.catalogue import NONE_NEAR_M
from checker.measure.drainage.grades import is_leader
from checker.measure.drainage.network import network_of
from checker.measure.drainage.tried import hold_to_short_rain, tried_flows
from checker.water.network import Inlet, low_places
from checker.water.pipe_losses import can_pass_m3_per_s

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.water.flows import Flows
    from checker.water.network import Network

_DROP_M3_PER_S: Final = 1e-9


def pipe_rooms(survey: Survey) -> dict[str, float]:
    """Flow that each pipe can pass over the peak that comes to it, in its worst storm.

    Infinite where no water comes.
    """
    network = network_of(survey)
    if not network.pipes:
        return {}
    hold_to_short_rain(survey)
    tried = tried_flows(survey)
    return {
        pipe.id: min(
            _room(can_pass_m3_per_s(network, flows, pipe), flows.asked_m3_per_s(pipe.id))
            for flows in tried
        )
        for pipe in network.pipes
    }


def drain_rooms(survey: Survey) -> dict[str, float]:
    """Flow that drains take before they spill over the peak that comes, in their worst storm.

    Drains that spill to one another are one low place and take it together. What a drain leaves to
    the next one downhill is asked of that one; a gutter has no next one.
    """
    network = network_of(survey)
    if not network.inlets:
        return {}
    hold_to_short_rain(survey)
    tried = tried_flows(survey)
    groups = [*low_places(network), *_leaders(survey, network)]
    return {
        " and ".join(map(_named, group)): min(
            _room(
                math.fsum(inlet.capacity_m3_per_s for inlet in group),
                _asked_m3_per_s(flows, group),
            )
            for flows in tried
        )
        for group in groups
    }


def _named(inlet: Inlet) -> str:
    """A drain; and why it takes nothing, where the edge that it spills to is no higher."""
    if inlet.spill_depth_m > 0:
        return inlet.id
    return f"{inlet.id} (no water stands over it: it spills to {inlet.spills_to} at its own rim)"


def _leaders(survey: Survey, network: Network) -> Iterator[tuple[Inlet, ...]]:
    for inlet in network.inlets:
        if is_leader(survey, inlet.id):
            yield (inlet,)


def _asked_m3_per_s(flows: Flows, group: tuple[Inlet, ...]) -> float:
    """Peak that comes to a group of drains from outside it."""
    names = {inlet.id for inlet in group}
    between = [
        link.flow_m3_per_s
        for link in flows.links
        if link.how == "spills" and link.start in names and link.end in names
    ]
    zero = 0.0 * flows.asked[group[0].id]
    come = sum((flows.asked[name] for name in names), zero) - sum(between, zero)
    return float(come.max())


def _room(capacity: float, peak: float) -> float:
    return capacity / peak if peak > _DROP_M3_PER_S else NONE_NEAR_M
