"""Carries a storm through a network: who takes how much, and where the rest goes.

One pass in the order of the flow. An inlet takes what its opening lets in, the rest goes on over
the surface. A pipe passes what it can carry; what is too much wells up through the lowest open
top upstream of it and goes on from there over the surface. Stores are routed exactly, and a store
that is full wells up the same way. Pipes pass up to their capacity whatever stands at their lower
end, and the time that water spends in them is left out, as it is seconds on a lot.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.problems import CheckerError
from checker.core.records import replace
from checker.core.units import RELATIVE_TOLERANCE
from checker.water.flows import Flows, Link, Stand
from checker.water.network import (
    BOX,
    OVER,
    SURFACE,
    Catchment,
    Edge,
    Inlet,
    Outlet,
    Pipe,
    Store,
    parts,
    topological,
)
from checker.water.outlets import Infiltration, Weir, storage_table
from checker.water.routing import emptying_time_s, route
from checker.water.stores import RESIDUAL_M
from checker.water.storms import runoff_series_m3_per_s
from checker.water.weirs import broad_weir_head_m

if TYPE_CHECKING:
    from collections.abc import Collection

    from checker.water.flows import Floats, How
    from checker.water.network import Element, Network
    from checker.water.outlets import StoreOutlet
    from checker.water.routing import Routed
    from checker.water.stores import StorageTable, StoreLevels
    from checker.water.storms import Storm

_WELLS_UP: Final = "wells up"
_HEADROOM_M: Final = 0.3


class NoOrder(CheckerError):
    """A network has a loop, so that no storm can be carried through it; `faults` names it."""


Memo = dict[tuple[object, ...], "Routed"]
"""Stores that were routed already, by what goes in; shared by the cases of one storm."""


def carry(
    network: Network,
    storm: Storm,
    blocked: Collection[str] = (),
    *,
    after_s: float = 86400.0,
    memo: Memo | None = None,
) -> Flows:
    """Carry a storm through a network, with some of it blocked.

    Args:
        network: Without faults.
        storm: The rain; its step is the step of the result, one to five minutes suit a lot.
        blocked: Ids from `Network.blockable` that pass nothing.
        after_s: Time after the rain that is still followed.
        memo: Given to several calls with the same storm, it saves routing a store again.

    Raises:
        NoOrder: The network has a loop.
        OutOfRange: An element has impossible levels or numbers.
    """
    run = _Run(network, storm, frozenset(blocked), after_s, {} if memo is None else memo)
    for part in run.order:
        run.visit(part)
    return Flows(
        step_s=storm.step_s,
        step_count=run.step_count,
        blocked=tuple(sorted(run.blocked)),
        links=tuple(run.links),
        stands=run.stands,
        rain_m3=run.rain_m3,
        stored_m3=run.stored_m3,
    )


class _Run:
    """One storm on its way through one network."""

    def __init__(
        self, network: Network, storm: Storm, blocked: frozenset[str], after_s: float, memo: Memo
    ) -> None:
        import numpy as np

        self.storm, self.blocked, self.memo = storm, blocked, memo
        self.known = network.by_id()
        longest_s = max((c.concentration_s for c in network.catchments), default=0.0)
        self.rain_step_count = len(storm.depths_m)
        self.step_count = self.rain_step_count + math.ceil((longest_s + after_s) / storm.step_s) + 1
        self.zero: Floats = np.zeros(self.step_count)
        self.surface: dict[str, Floats] = {}
        self.piped: dict[str, Floats] = {}
        self.links: list[Link] = []
        self.stands: dict[str, Stand] = {}
        self.rain_m3 = self.stored_m3 = 0.0
        self.links_of_parts = {
            name: [] if name in blocked else targets for name, targets in parts(network).items()
        }
        self.relief = {name: self._open_top(name) for name in self.known}
        self.order = self._order()

    def _open_top(self, name: str) -> Inlet | Store | None:
        """Where an element wells up when it is full: the lowest open top upstream of it."""
        into: dict[str, list[str]] = {}
        for part, targets in self.links_of_parts.items():
            for target in targets:
                into.setdefault(target, []).append(part)
        above, todo = {name}, [name]
        while todo:
            fresh = set(into.get(todo.pop(), ())) - above
            above |= fresh
            todo += fresh
        tops = [
            top
            for top in self.known.values()
            if isinstance(top, Inlet | Store)
            and (top.id if isinstance(top, Inlet) else f"{top.id}{SURFACE}") in above
            and not above & set(self._onward(top))
        ]
        return min(tops, key=lambda top: (top.spill_m, top.id), default=None)

    def _onward(self, top: Inlet | Store) -> list[str]:
        """The part that water from an open top reaches over the surface."""
        return self.links_of_parts[f"{top.id}{OVER}"][1:]

    def _order(self) -> list[str]:
        links = dict(self.links_of_parts)
        for name, top in self.relief.items():
            if top is not None:
                links[name] = [*links[name], *self._onward(top)]
        order, left = topological(links)
        if left:
            raise NoOrder(f"water goes round among: {', '.join(sorted(left))}")
        return order

    def send(self, start: str, end: str, how: How, flow: Floats, through: str = "") -> None:
        """Note a flow and hand it to the element that it reaches."""
        volume = float(flow.sum()) * self.storm.step_s
        if volume == 0:
            return
        peak = float(flow.max())
        self.links.append(
            Link(
                start=start,
                through=through,
                end=end,
                how=how,
                volume_m3=volume,
                peak_m3_per_s=peak,
                flow_m3_per_s=flow,
            )
        )
        if end:
            arrived = self.piped if how == "passes on" else self.surface
            arrived[end] = arrived[end] + flow if end in arrived else flow

    def go_on(self, top: Inlet | Store, how: How, flow: Floats, full: str = "") -> None:
        """Water leaves an open top over the surface, or stands there."""
        self.send(top.id, top.spills_to, how if top.spills_to else "stands", flow, full)
        head_m = broad_weir_head_m(top.spill_length_m, float(flow.max()))
        rim_m = top.spill_m if top.rim_m is None else top.rim_m
        self.stand(top.id, top.spill_m + head_m, rim_m, int(flow.argmax()), over=True)

    def well_up(self, element: Element, excess: Floats) -> None:
        """What an element below ground can not pass comes out at the lowest top upstream."""
        if not excess.any():
            return
        top = self.relief[element.id]
        if top is None:
            self.send(element.id, "", "stands", excess)
        else:
            self.go_on(top, _WELLS_UP, excess, element.id)

    def stand(self, name: str, level_m: float, from_m: float, step: int, *, over: bool) -> None:
        """Note a water level if it is the highest there."""
        if name not in self.stands or self.stands[name].level_m < level_m:
            self.stands[name] = Stand(
                level_m=level_m,
                depth_m=level_m - from_m,
                time_s=(step + 1) * self.storm.step_s,
                over=over,
            )

    def visit(self, part: str) -> None:
        """Take what has arrived at a part of an element and send it on."""
        if part.endswith(OVER):
            top = self.known[part.removesuffix(OVER)]
            if isinstance(top, Inlet):
                self._take(top)
            elif isinstance(top, Store):
                self._let_in(top)
        elif part.endswith(BOX):
            inlet = self.known[part.removesuffix(BOX)]
            if isinstance(inlet, Inlet):
                self.send(inlet.id, inlet.to, "passes on", self._arrived(inlet))
        elif part in self.known:
            self._visit_whole(self.known[part])

    def _visit_whole(self, element: Element) -> None:
        limit = math.inf if element.id not in self.blocked else 0.0
        match element:
            case Catchment():
                self._shed(element)
            case Pipe():
                self._pass(element, min(limit, element.capacity_m3_per_s), element.to)
            case Outlet():
                self._pass(element, min(limit, element.limit_m3_per_s), "")
            case Store():
                self._hold(element)
            case Edge():
                self._leave(element)
            case Inlet():
                pass

    def _leave(self, edge: Edge) -> None:
        flow = self._arrived(edge)
        peak = float(flow.max())
        if peak > 0:
            head_m = broad_weir_head_m(edge.length_m, peak, edge.weir_coefficient_si)
            self.stand(edge.id, edge.crest_m + head_m, edge.crest_m, int(flow.argmax()), over=True)
            self.send(edge.id, "", "passes on", flow)

    def _arrived(self, element: Element) -> Floats:
        flow: Floats = self.surface.get(element.id, self.zero) + self.piped.get(
            element.id, self.zero
        )
        return flow

    def _shed(self, catchment: Catchment) -> None:
        import numpy as np

        series = runoff_series_m3_per_s(
            self.storm, catchment.area_m2, catchment.runoff_fraction, catchment.concentration_s
        )
        flow = self.zero.copy()
        flow[: len(series)] = np.array(series)
        self.rain_m3 += float(flow.sum()) * self.storm.step_s
        self.send(catchment.id, catchment.to, "drains", flow)

    def _take(self, inlet: Inlet) -> None:
        came = self.surface.pop(inlet.id, self.zero)
        limit = 0.0 if inlet.id in self.blocked else inlet.capacity_m3_per_s
        taken = _up_to(limit, came * inlet.taken_fraction)
        peak = float(taken.max())
        if peak > 0:
            level_m = inlet.rim_m + _depth_m(inlet, peak)
            self.stand(inlet.id, level_m, inlet.rim_m, int(taken.argmax()), over=False)
        self.piped[inlet.id] = self.piped.get(inlet.id, self.zero) + taken
        over = came - taken
        if over.any():
            self.go_on(inlet, "spills", over)

    def _let_in(self, store: Store) -> None:
        came = self.surface.pop(store.id, self.zero)
        limit = 0.0 if f"{store.id}{SURFACE}" in self.blocked else store.surface_m3_per_s
        taken = _up_to(limit, came)
        self.piped[store.id] = self.piped.get(store.id, self.zero) + taken
        over = came - taken
        if over.any():
            self.go_on(store, "spills", over)

    def _pass(self, element: Pipe | Outlet, limit_m3_per_s: float, to: str) -> None:
        came = self._arrived(element)
        passed = _up_to(limit_m3_per_s, came)
        self.send(element.id, to, "passes on", passed)
        self.well_up(element, came - passed)

    def _hold(self, store: Store) -> None:
        inflow = self._arrived(store)
        top = self.relief[store.id]
        outlets = self._open_outlets(store, top)
        shape = _raised(store, None if top is None else top.spill_m)
        table = storage_table(shape, outlets)
        key = (table, self.storm.step_s, inflow.tobytes())
        routed = self.memo.get(key)
        if routed is None:
            routed = self.memo[key] = route(table, inflow, self.storm.step_s)
        self.stored_m3 += routed.end_m3
        for outlet in outlets:
            flow = routed.flows_m3_per_s[outlet.name]
            if outlet.name == _WELLS_UP:
                self.well_up(store, flow)
            else:
                how: How = "soaks away" if isinstance(outlet, Infiltration) else "passes on"
                self.send(store.id, outlet.to, how, flow, f"{store.id}/{outlet.name}")
        self._note_store(store, table, routed, top)

    def _open_outlets(self, store: Store, top: Inlet | Store | None) -> tuple[StoreOutlet, ...]:
        """Outlets that are not blocked, none passing more than the pipes behind it, and the top."""
        outlets: list[StoreOutlet] = []
        for outlet in store.outlets:
            if f"{store.id}/{outlet.name}" in self.blocked:
                continue
            if isinstance(outlet, Infiltration):
                outlets.append(outlet)
            else:
                limit = min(outlet.limit_m3_per_s, self._room_m3_per_s(outlet.to))
                outlets.append(replace(outlet, limit_m3_per_s=limit))
        if top is not None:
            outlets.append(Weir(crest_m=top.spill_m, length_m=top.spill_length_m, name=_WELLS_UP))
        return tuple(outlets)

    def _room_m3_per_s(self, to: str) -> float:
        """Most that the pipes behind an outlet carry, down to the next store, inlet or end."""
        room = math.inf
        while isinstance(element := self.known[to], Pipe):
            room = 0.0 if to in self.blocked else min(room, element.capacity_m3_per_s)
            if room == 0:
                return 0.0
            to = element.to
        if isinstance(element, Outlet):
            room = 0.0 if to in self.blocked else min(room, element.limit_m3_per_s)
        return room

    def _note_store(
        self, store: Store, table: StorageTable, routed: Routed, top: Inlet | Store | None
    ) -> None:
        import numpy as np

        bottom_m = store.shape.bottom_m
        residual_m3 = table.stored_at_m3(bottom_m + RESIDUAL_M)
        wet = np.flatnonzero(routed.stored_m3 > residual_m3)
        emptied_s = 0.0
        if wet.size and wet[-1] == self.step_count - 1:
            rest_s = emptying_time_s(table, routed.end_m3, residual_m3)
            emptied_s = (self.step_count - self.rain_step_count) * self.storm.step_s + rest_s
        elif wet.size:
            emptied_s = max(0, int(wet[-1]) + 1 - self.rain_step_count) * self.storm.step_s
        highest_m = table.levels_m[-1] if top is None else top.spill_m
        self.stands[store.id] = Stand(
            level_m=routed.peak_level_m,
            depth_m=routed.peak_level_m - bottom_m,
            time_s=routed.peak_time_s,
            over=routed.peak_level_m > highest_m,
            emptied_s=emptied_s,
        )


def _up_to(limit_m3_per_s: float, flow: Floats) -> Floats:
    """A flow up to a limit; what exceeds it by rounding alone does not exceed it."""
    import numpy as np

    return np.where(flow <= limit_m3_per_s * (1 + RELATIVE_TOLERANCE), flow, limit_m3_per_s)


def _raised(store: Store, spill_m: float | None) -> StoreLevels:
    """The store with what fills above it, so that its table reaches over where it wells up."""
    shape = store.shape
    if spill_m is None or shape.levels_m[-1] >= spill_m + _HEADROOM_M:
        return shape
    return shape.then(spill_m + _HEADROOM_M - shape.levels_m[-1], store.above_m2)


def _depth_m(inlet: Inlet, flow_m3_per_s: float) -> float:
    """Depth over a grate that takes a flow, on the lines of its rating."""
    rating = inlet.rating
    for (low, high), (less, more) in zip(
        pairwise(rating.depths_m), pairwise(rating.flows_m3_per_s), strict=True
    ):
        if flow_m3_per_s <= more:
            rise = more - less
            return low + ((flow_m3_per_s - less) / rise * (high - low) if rise > 0 else 0.0)
    return rating.depths_m[-1]
