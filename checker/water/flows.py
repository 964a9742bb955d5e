"""What a storm did in a network: ways that water took, levels at which it stood, the balance."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    import numpy.typing as npt

    Floats = npt.NDArray[np.float64]

How = Literal["drains", "passes on", "spills", "wells up", "backs up", "soaks away", "stands"]

_OVER_SURFACE = ("drains", "spills", "wells up")


class Link(Record, kw_only=True):
    """Water that went from one element to another, or to its end.

    Attributes:
        start: Id of the element that it left.
        through: The outlet by which it left a store, as `store/outlet`, or the inlet through whose
            box a pipe leads on; else empty.
        end: Id of the element that it reached; empty when it soaked away or stands.
        how: In which way.
        volume_m3: All of it.
        peak_m3_per_s: Largest mean flow of a step.
        flow_m3_per_s: Mean flow of each step, shape (n,).
    """

    start: str
    through: str = ""
    end: str
    how: How
    volume_m3: float
    peak_m3_per_s: float
    flow_m3_per_s: Floats


class Stand(Record, kw_only=True):
    """How high water stands at an inlet, in a store or over an edge.

    Attributes:
        level_m: Highest level.
        depth_m: Above the grate, the bottom of the store or the crest.
        time_s: End of the step in which it was reached.
        over: It stands above where it should leave: over the spill level, rim or crest.
        emptied_s: For a store, time from the end of the rain until it is empty; infinite when it
            never is, 0 when it stayed empty. None for others, and where that was not followed.
    """

    level_m: float
    depth_m: float
    time_s: float
    over: bool
    emptied_s: float | None = None


class Flows(Record, kw_only=True):
    """What a storm did in a network.

    Attributes:
        step_s: Length of a step.
        step_count: Number of steps, the time after the rain included.
        blocked: What was blocked.
        links: All ways that water took, in the order of the flow.
        stands: Highest water by id of inlet, store and edge.
        levels_m: Highest level of every node: inlets, stores, the upper end of each pipe.
        asked: What comes to each inlet, pipe and store if all below takes it, step by step.
        rain_m3: Water that ran off the catchments.
        stored_m3: What is still in stores, boxes and puddles at the end.
        balance_fraction: What is missing in the balance, over all runoff: less what left, soaked
            away, stands and is stored.
    """

    step_s: float
    step_count: int
    blocked: tuple[str, ...]
    links: tuple[Link, ...]
    stands: Mapping[str, Stand]
    levels_m: Mapping[str, float]
    asked: Mapping[str, Floats]
    rain_m3: float
    stored_m3: float
    balance_fraction: float

    def volume_m3(self, element: str) -> float:
        """All water that came to an element."""
        return math.fsum(link.volume_m3 for link in self.links if link.end == element)

    def arriving_m3_per_s(self, element: str, *, over_surface: bool = False) -> Floats | None:
        """Flow that comes to an element step by step, all ways together; None when none does.

        Args:
            element: Its id.
            over_surface: Only what comes over the surface.
        """
        flows = [
            link.flow_m3_per_s
            for link in self.links
            if link.end == element and (link.how in _OVER_SURFACE or not over_surface)
        ]
        return sum(flows[1:], flows[0]) if flows else None

    def peak_m3_per_s(self, element: str, *, over_surface: bool = False) -> float:
        """Largest flow that comes to an element, all ways together."""
        flow = self.arriving_m3_per_s(element, over_surface=over_surface)
        return 0.0 if flow is None else float(flow.max())

    @property
    def standing_m3(self) -> float:
        """Water that found no way and stands somewhere on the surface."""
        return math.fsum(link.volume_m3 for link in self.links if link.how == "stands")

    def asked_m3_per_s(self, element: str) -> float:
        """Largest flow that comes to an inlet or a pipe if all below takes it; 0 for none."""
        flow = self.asked.get(element)
        return 0.0 if flow is None else float(flow.max())

    def passed_m3_per_s(self, pipe: str) -> float:
        """Largest flow through a pipe."""
        peaks = [
            link.peak_m3_per_s
            for link in self.links
            if link.start == pipe and link.how == "passes on"
        ]
        return max(peaks, default=0.0)

    def path(self, element: str) -> tuple[str, ...]:
        """The way that most of an element's water took, id by id to its end."""
        walked = [element]
        while True:
            ways = [link for link in self.links if link.start == walked[-1]]
            if not ways:
                return tuple(walked)
            most = max(ways, key=lambda link: link.volume_m3)
            if most.through:
                walked.append(most.through)
            if not most.end or most.end in walked:
                return tuple(walked)
            walked.append(most.end)
