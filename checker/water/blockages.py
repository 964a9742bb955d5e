"""Blocks everything that can silt up, one by one and then the worst two at once."""

from __future__ import annotations

import math
from itertools import combinations
from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.water.conveyance import carry_cases

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.water.flows import Flows
    from checker.water.network import Network
    from checker.water.storms import Storm

Harm = tuple[float, ...]
"""How bad a case is, the worst thing first; compared as tuples are."""


class Blockages(Record, kw_only=True):
    """A storm with nothing blocked, with each thing blocked, and with the worst two.

    Attributes:
        open: Nothing blocked.
        single: Each thing blocked by itself, in the order of `Network.blockable`.
        worst_pair: The two that together do most harm; None when fewer than two can be blocked.
    """

    open: Flows
    single: tuple[Flows, ...]
    worst_pair: Flows | None

    @property
    def cases(self) -> tuple[Flows, ...]:
        """All cases, the open one first."""
        pair = () if self.worst_pair is None else (self.worst_pair,)
        return (self.open, *self.single, *pair)


def harm(network: Network) -> Callable[[Flows], Harm]:
    """The usual order of harm: into house or pool, to a neighbour, standing, over any edge.

    All volumes in cubic metres.
    """
    onto = {edge.id: edge.onto for edge in network.edges}

    def measure(flows: Flows) -> Harm:
        over = dict.fromkeys((*onto.values(), "house", "pool", "neighbour"), 0.0)
        for edge, kind in onto.items():
            over[kind] += flows.volume_m3(edge)
        return (
            over["house"] + over["pool"],
            over["neighbour"],
            flows.standing_m3,
            math.fsum(over.values()),
        )

    return measure


def blockages(
    network: Network,
    storm: Storm,
    *,
    after_s: float = 86400.0,
    worse: Callable[[Flows], Harm] | None = None,
) -> Blockages:
    """Carry a storm through a network with each thing blocked in turn, and the worst two.

    All cases go through the storm together.

    Args:
        network: Without faults.
        storm: The rain.
        after_s: Time after the rain that is still followed.
        worse: What makes a case worse; `harm` of the network when None.
    """
    measure = harm(network) if worse is None else worse
    names = network.blockable()
    pairs = list(combinations(names, 2))
    cases = carry_cases(network, storm, [(), *((n,) for n in names), *pairs], after_s=after_s)
    first = 1 + len(names)
    return Blockages(
        open=cases[0],
        single=cases[1:first],
        worst_pair=max(cases[first:], key=measure, default=None),
    )
