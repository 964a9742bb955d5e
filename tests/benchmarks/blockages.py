"""Everything blocked in turn, and the worst two: our program beside a plain fixed-step loop.

Run it from the top of a checkout: `python tests/benchmarks/blockages.py`. Both carry the design
storm of the largest drained sample through its network with each thing blocked by itself; ours also
tries every pair that can matter. The loop walks along the network second by second. The times of
both are printed as multiples of `python -c pass` in the same run, beside the farthest that their
volumes over the edges lie apart.
"""

from __future__ import annotations

import math
import subprocess
import sys
import time
from pathlib import Path

from checker.measure.drainage.cases import AFTER_S
from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import storm
from checker.measure.survey import Survey
from checker.measure.words import built_in
from checker.site.read import read_site
from checker.water.blockages import blockages
from checker.water.conveyance import carry
from checker.water.network import (
    OVER,
    SURFACE,
    Inlet,
    Network,
    Pipe,
    Store,
    parts,
    topological,
)
from checker.water.outlets import Infiltration
from checker.water.stores import StoreLevels, between
from checker.water.storms import Storm, runoff_series_m3_per_s

SAMPLE = Path("samples/tern-court/site.yaml")
ROUNDS = 5
FOLLOWED_S = 3600.0
"""How long after the rain the loop goes on; water goes over edges while it rains."""


class Loop:
    """One storm through one network with one thing blocked, in equal small steps."""

    def __init__(self, network: Network, rain: Storm, blocked: str, step_s: float) -> None:
        self.known, self.blocked, self.step_s = network.by_id(), blocked, step_s
        order, _ = topological(parts(network))
        self.order = [name for name in order if name in self.known or name.endswith(OVER)]
        self.tops = {name: open_top(network, name) for name in self.known}
        self.shapes = {store.id: self.raised(store) for store in network.stores}
        self.held = {store.id: 0.0 for store in network.stores}
        self.over = {edge.id: 0.0 for edge in network.edges}
        self.late: dict[str, float] = {}
        series = {
            shed: runoff_series_m3_per_s(
                rain, shed.area_m2, shed.runoff_fraction, shed.concentration_s
            )
            for shed in network.catchments
        }
        for count in range(int((rain.duration_s + FOLLOWED_S) / step_s)):
            place = int(count * step_s / rain.step_s)
            self.come, self.late = dict.fromkeys(self.known, 0.0) | self.late, {}
            self.piped = dict.fromkeys(self.known, 0.0)
            for shed, flows in series.items():
                self.come[shed.to] += flows[place] if place < len(flows) else 0.0
            for name in self.order:
                self.visit(name)

    def visit(self, name: str) -> None:
        """One part in one step."""
        element = self.known[name.removesuffix(OVER)]
        if name.endswith(OVER) and isinstance(element, Inlet | Store):
            self.take(element)
        elif isinstance(element, Pipe):
            most = 0.0 if name == self.blocked else element.capacity_m3_per_s
            passed = min(self.piped[name], most)
            self.piped[element.to] += passed
            self.well_up(name, self.piped[name] - passed)
        elif isinstance(element, Store):
            self.hold(element)
        elif name in self.over:
            self.over[name] += self.come[name] * self.step_s
        elif name == self.blocked and not isinstance(element, Inlet):
            self.well_up(name, self.piped[name])

    def well_up(self, name: str, excess: float) -> None:
        """In the next step it goes on from the lowest open top upstream."""
        top = self.tops[name]
        if excess > 0 and top is not None:
            self.late[top.spills_to] = self.late.get(top.spills_to, 0.0) + excess

    def take(self, top: Inlet | Store) -> None:
        """What an open top takes, and what goes on over the surface."""
        most = top.capacity_m3_per_s if isinstance(top, Inlet) else top.surface_m3_per_s
        if self.blocked in {top.id, f"{top.id}{SURFACE}"}:
            most = 0.0
        taken = min(most, self.come[top.id])
        self.piped[top.to if isinstance(top, Inlet) else top.id] += taken
        if self.come[top.id] > taken:
            self.come[top.spills_to] += self.come[top.id] - taken

    def hold(self, store: Store) -> None:
        """Water into a store, out of its outlets, and over its top."""
        name, shape = store.id, self.shapes[store.id]
        self.held[name] += self.piped[name] * self.step_s
        level_m = between(self.held[name], shape.stored_m3, shape.levels_m)
        room = min((self.room(outlet.to) for outlet in store.outlets if outlet.to), default=0.0)
        for outlet in store.outlets:
            if f"{name}/{outlet.name}" != self.blocked:
                from_m = shape.bottom_m if isinstance(outlet, Infiltration) else outlet.bends_m[0]
                most = self.held[name] - between(from_m, shape.levels_m, shape.stored_m3)
                gone = min(outlet.flow_m3_per_s(level_m, shape), max(0.0, most) / self.step_s)
                if outlet.to:
                    gone = min(gone, room)
                    self.piped[outlet.to] += gone
                self.held[name] -= gone * self.step_s
        over = self.held[name] - shape.stored_m3[-1]
        if over > 0:
            self.held[name] -= over
            self.well_up(name, over / self.step_s)

    def raised(self, store: Store) -> StoreLevels:
        """With what fills above a store up to where it wells up."""
        top = self.tops[store.id]
        height_m = 0.0 if top is None else top.spill_m - store.shape.levels_m[-1]
        return store.shape.then(height_m, store.above_m2) if height_m > 0 else store.shape

    def room(self, to: str) -> float:
        """What the pipe and the end behind an outlet pass."""
        element = self.known[to]
        if to == self.blocked:
            return 0.0
        if isinstance(element, Pipe):
            return min(element.capacity_m3_per_s, self.room(element.to))
        return math.inf


def open_top(network: Network, name: str) -> Inlet | Store | None:
    """The lowest open top upstream."""
    above, links = {name}, parts(network)
    while fresh := {part for part, to in links.items() if above & set(to)} - above:
        above |= fresh
    every: tuple[Inlet | Store, ...] = (*network.inlets, *network.stores)
    tops = [
        top for top in every if f"{top.id}{OVER}" in above and f"{top.spills_to}{OVER}" not in above
    ]
    return min(tops, key=lambda top: top.spill_m, default=None)


def cold_start_s() -> float:
    """The least disturbed of several starts of Python."""
    times_s = []
    for _ in range(9):
        start_s = time.perf_counter()
        subprocess.run([sys.executable, "-c", "pass"], check=True)
        times_s.append(time.perf_counter() - start_s)
    return min(times_s)


def main() -> None:
    """Print the times as ratios, and how far the volumes lie apart."""
    survey = Survey(read_site(SAMPLE), built_in(), {})
    network, rain = network_of(survey), storm(survey, "design")
    base_s = cold_start_s()
    print(f"{'python -c pass':44} {base_s * 1000:9.1f} ms")

    def show(name: str, took_s: float, count: int) -> None:
        each = took_s / base_s / count
        print(f"{name:44} {took_s * 1000:9.1f} ms {took_s / base_s:8.2f} x {each:8.2f} x each")

    times_s = []
    for _ in range(ROUNDS):
        start_s = time.perf_counter()
        carry(network, rain, after_s=AFTER_S)
        times_s.append(time.perf_counter() - start_s)
    show("ours, nothing blocked", min(times_s), 1)
    ours = blockages(network, rain, after_s=AFTER_S)
    times_s = []
    for _ in range(ROUNDS):
        start_s = time.perf_counter()
        blockages(network, rain, after_s=AFTER_S)
        times_s.append(time.perf_counter() - start_s)
    show(f"ours, {len(ours.single)} blocked in turn and pairs", min(times_s), len(ours.cases))
    for step_s in (10.0, 1.0):
        start_s = time.perf_counter()
        theirs = [Loop(network, rain, name, step_s).over for name in network.blockable()]
        took_s = time.perf_counter() - start_s
        show(f"loop with steps of {step_s:g} s, {len(theirs)} blocked in turn", took_s, len(theirs))
        apart = max(
            abs(loop[edge] - flows.volume_m3(edge))
            for loop, flows in zip(theirs, ours.single, strict=True)
            for edge in loop
        )
        print(f"  farthest apart over an edge: {apart:.4f} m3")


if __name__ == "__main__":
    main()
