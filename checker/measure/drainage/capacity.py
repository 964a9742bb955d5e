"""What pipes and drains carry over what is asked of them, in the hardest of the storms tried."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.measure.catalogue import NONE_NEAR_M
from checker.measure.drainage.grades import is_leader
from checker.measure.drainage.network import network_of
from checker.measure.drainage.tried import hold_to_short_rain, tried_flows
from checker.water.gradeline import can_pass_m3_per_s
from checker.water.network import Inlet, low_places

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.site.model import Shape
    from checker.water.flows import Flows
    from checker.water.network import Network

_DROP_M3_PER_S: Final = 1e-9


def pipe_room_ratio(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Flow that a pipe can pass over the peak that comes to it, worst pipe and worst storm.

    Infinite where no water comes to any pipe.
    """
    network = network_of(survey)
    if not network.pipes:
        return NONE_NEAR_M
    hold_to_short_rain(survey)
    return min(
        _room(can_pass_m3_per_s(network, flows, pipe), flows.asked_m3_per_s(pipe.id))
        for flows in tried_flows(survey)
        for pipe in network.pipes
    )


def drain_room_ratio(survey: Survey, region: Shape | None) -> float:  # noqa: ARG001
    """Flow that drains take before they spill over the peak that comes, worst storm.

    Drains that spill to one another are one low place and take it together. What a drain leaves to
    the next one downhill is asked of that one; a gutter has no next one.
    """
    network = network_of(survey)
    if not network.inlets:
        return NONE_NEAR_M
    hold_to_short_rain(survey)
    groups = [*low_places(network), *_leaders(survey, network)]
    return min(
        _room(math.fsum(inlet.capacity_m3_per_s for inlet in group), _asked_m3_per_s(flows, group))
        for flows in tried_flows(survey)
        for group in groups
    )


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
