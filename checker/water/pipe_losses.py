"""The hydraulic grade line: how high water stands at each end of each pipe, and what it lost.

At the peak of a pipe its loss is taken apart: friction, entrance, bends, and what its end takes.
Their sum is the drop between the levels at both ends, as the routing worked it out.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.water.laws import (
    ENTRANCE_LOSS,
    EXIT_LOSS,
    barrel,
    losses_per_flow2,
    mouth,
)
from checker.water.network import Inlet, Outlet, Pipe, Store, received_by

if TYPE_CHECKING:
    from checker.water.flows import Flows
    from checker.water.laws import Law
    from checker.water.network import Network


class GradeLine(Record, kw_only=True):
    """The grade line of one pipe at its peak.

    Attributes:
        pipe: Id of the pipe.
        flow_m3_per_s: Its largest flow.
        upper_m: Highest level of the water at its upper end, in the box.
        lower_m: Level at its lower end that it flows against: of the water there, or of the water
            in the pipe where it falls freely.
        tailwater_m: Highest level of the water beyond its lower end; None when it falls freely.
        friction_m: Head lost by friction at its peak.
        entrance_m: Head lost where water enters it.
        bends_m: Head lost in bends and fittings.
        exit_m: Head lost at its end, riser and lid counted.
        is_full: The pipe runs full at its upper end.
        is_drowned: Water beyond its lower end stands above the crown there.
        tops: Inlets whose water it takes straight from above.
    """

    pipe: Pipe
    flow_m3_per_s: float
    upper_m: float
    lower_m: float
    tailwater_m: float | None
    friction_m: float
    entrance_m: float
    bends_m: float
    exit_m: float
    is_full: bool
    is_drowned: bool
    tops: tuple[Inlet, ...]

    @property
    def room_m(self) -> float:
        """Least that the water stays below a rim over it; infinite without one."""
        return min((top.rim_m - self.upper_m for top in self.tops), default=math.inf)


def grade_lines(network: Network, flows: Flows) -> tuple[GradeLine, ...]:
    """The grade line of every pipe, in the order of the network."""
    return tuple(_line(network, flows, pipe) for pipe in network.pipes)


def pipe_lines(network: Network) -> tuple[tuple[str, ...], ...]:
    """Lines of pipes from each head to the end, by id: what a profile shows together.

    Every pipe that no other leads into begins a line; where lines join, each goes on to the end.
    """
    next_ = {pipe.id: received_by(network, pipe.to) for pipe in network.pipes}
    fed = set(next_.values())
    found = []
    for pipe in network.pipes:
        if pipe.id in fed:
            continue
        line = [pipe.id]
        while (after := next_[line[-1]]) in next_ and after not in line:
            line.append(after)
        found.append(tuple(line))
    return tuple(found)


def _line(network: Network, flows: Flows, pipe: Pipe) -> GradeLine:
    flow = flows.passed_m3_per_s(pipe.id)
    end = received_by(network, pipe.to)
    outlet = network.by_id()[end]
    tail_m = outlet.level_m if isinstance(outlet, Outlet) else flows.levels_m.get(end)
    end_loss = outlet.loss if isinstance(outlet, Outlet) else 0.0
    upper_m = flows.levels_m[pipe.id]
    depth_m = min(max(upper_m - pipe.upper_m, 0.0), pipe.diameter_m)
    free_m = pipe.lower_m + depth_m
    drops = (0.0, 0.0, 0.0, 0.0)
    if flow > 0 and depth_m > 0:
        friction, speed = losses_per_flow2(
            pipe.diameter_m, depth_m, pipe.length_m, pipe.roughness_coefficient, 1.0
        )
        each = speed * flow**2
        drops = (
            friction * flow**2,
            ENTRANCE_LOSS * each,
            pipe.bend_loss * each,
            (EXIT_LOSS + end_loss) * each,
        )
    return GradeLine(
        pipe=pipe,
        flow_m3_per_s=flow,
        upper_m=upper_m,
        lower_m=free_m if tail_m is None else max(free_m, tail_m),
        tailwater_m=None if tail_m is None or tail_m < pipe.lower_m else tail_m,
        friction_m=drops[0],
        entrance_m=drops[1],
        bends_m=drops[2],
        exit_m=drops[3],
        is_full=upper_m >= pipe.upper_m + pipe.diameter_m,
        is_drowned=tail_m is not None and tail_m > pipe.lower_m + pipe.diameter_m,
        tops=tuple(inlet for inlet in network.inlets if received_by(network, inlet.to) == pipe.id),
    )


def passes_m3_per_s(pipe: Pipe, upper_m: float, lower_m: float, end_loss: float = 0.0) -> float:
    """Flow of a pipe between two levels, by its friction and losses or its entrance.

    Args:
        pipe: The pipe.
        upper_m: Level of the water at its upper end.
        lower_m: Level at its lower end.
        end_loss: Loss coefficients of what stands at its end.

    Example:
        4 in, 80 ft at 1 %, n 0.010, into a riser with its square turn; the water before it stands
        0.2 ft above the lid. By hand: friction 29 n2 L / R^(4/3) = 6.37, entrance 0.5, exit 1, turn
        1.1: V = sqrt(2 g 0.2 / 8.97) = 1.198 ft/s, 46.9 gallons a minute;
        its table of conveyance is stepped and gives a hair less.

        >>> foot = 0.3048
        >>> pipe = Pipe(id="a", to="b", diameter_m=foot / 3, length_m=80 * foot,
        ...             roughness_coefficient=0.010, upper_m=98 * foot, lower_m=97.2 * foot)
        >>> q = passes_m3_per_s(pipe, 100.2 * foot, 100 * foot, 1.1)
        >>> round(q / (231 * 0.0254**3 / 60), 1)
        46.8
    """
    return min(
        _by(barrel(pipe, end_loss), upper_m, lower_m, pipe.upper_m, pipe.lower_m),
        _by(mouth(pipe.diameter_m), upper_m, lower_m, pipe.upper_m, pipe.upper_m),
    )


def _by(law: Law, upper_m: float, lower_m: float, sill_m: float, low_m: float) -> float:
    depth_m = min(max(upper_m - sill_m, 0.0), law.reach_m)
    head_m = max(0.0, upper_m - max(lower_m, low_m + law.free_share * depth_m))
    grid = len(law.conveyance) - 1
    row = min(int(depth_m / law.reach_m * grid), grid - 1)
    part = depth_m / law.reach_m * grid - row
    k = law.conveyance[row] + part * (law.conveyance[row + 1] - law.conveyance[row])
    return min(law.limit_m3_per_s, k * math.sqrt(head_m))


def can_pass_m3_per_s(network: Network, flows: Flows, pipe: Pipe) -> float:
    """Most that a pipe passes before the water over it leaves the lowest open top.

    Against the highest level that the storm brings beyond its lower end, and never more than
    uniform flow in the full pipe: what it carries by pressure alone is left out.
    """
    end = received_by(network, pipe.to)
    below = network.by_id()[end]
    if isinstance(below, Outlet):
        lower_m = -math.inf if below.level_m is None else below.level_m
        end_loss = below.loss
        limit = below.limit_m3_per_s
    else:
        lower_m, end_loss, limit = flows.levels_m.get(end, -math.inf), 0.0, math.inf
    upper_m = open_top_m(network, pipe.id)
    passed = passes_m3_per_s(pipe, upper_m, lower_m, end_loss)
    return min(passed, pipe.capacity_m3_per_s, limit)


def open_top_m(network: Network, name: str) -> float:
    """Lowest level at which water can leave upward at or above a pipe or store; else infinite."""
    element = network.by_id()[name]
    if isinstance(element, Store) and element.rim_m is not None:
        return element.rim_m
    tops = [inlet.rim_m for inlet in network.inlets if received_by(network, inlet.to) == name]
    above = [pipe.id for pipe in network.pipes if received_by(network, pipe.to) == name]
    above += [
        store.id
        for store in network.stores
        if any(outlet.to and received_by(network, outlet.to) == name for outlet in store.outlets)
    ]
    return min([*tops, *(open_top_m(network, upper) for upper in above)], default=math.inf)
