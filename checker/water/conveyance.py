"""Carries a storm through a network: how high water stands, and which way it goes.

The storm is a series of spans of even inflow; `stepping` works out the levels of all nodes in each,
for many cases at once. Here the inflows are made, and what came of them is told element by element.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.water.flows import Flows, Link, Stand
from checker.water.levels import POND, long_pumped_m3, pond_of, system_of
from checker.water.network import Edge, Pipe, received_by, topological
from checker.water.stepping import step_through
from checker.water.stores import RESIDUAL_M
from checker.water.storms import runoff_series_m3_per_s
from checker.water.weirs import broad_weir_head_m

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from checker.water.flows import Floats, How
    from checker.water.levels import LevelSystem, WaterWay
    from checker.water.network import Catchment, Network, Store
    from checker.water.stepping import Stepped
    from checker.water.storms import Storm

_DROP_M3: Final = 1e-9
"""Less than this went through a link by rounding alone."""

_FORWARD: Final[dict[str, How]] = {
    "grate": "passes on",
    "pipe": "passes on",
    "opening": "passes on",
    "spill": "spills",
}
_BACK: Final[dict[str, How]] = {
    "grate": "wells up",
    "pipe": "backs up",
    "opening": "backs up",
    "spill": "spills",
}


def carry(
    network: Network,
    storm: Storm,
    blocked: Collection[str] = (),
    *,
    after_s: float = 86400.0,
    to_rest: bool = True,
) -> Flows:
    """Carry a storm through a network, with some of it blocked.

    Args:
        network: Without faults.
        storm: The rain; its step is the step of the result, one to five minutes suit a lot.
        blocked: Ids from `Network.blockable` that pass nothing.
        after_s: Time after the rain whose flows are still told.
        to_rest: Follow the stores until they are empty, or never will be.

    Raises:
        NoSolution: The levels could not be worked out.
        OutOfRange: An element has impossible levels or numbers.
    """
    return carry_cases(network, storm, [blocked], after_s=after_s, to_rest=to_rest)[0]


def carry_cases(
    network: Network,
    storm: Storm,
    cases: Iterable[Collection[str]],
    *,
    after_s: float = 86400.0,
    to_rest: bool = False,
) -> tuple[Flows, ...]:
    """Carry a storm through a network once for each set of things blocked, all at once.

    Args, raises: as `carry`.
    """
    run = _Run(network, [storm], [frozenset(case) for case in cases], after_s)
    return run.go(to_rest=to_rest)


def carry_storms(
    network: Network, storms: Sequence[Storm], *, after_s: float = 86400.0, to_rest: bool = False
) -> tuple[Flows, ...]:
    """Carry several storms of the same step through an open network, all at once.

    Args, raises: as `carry`.
    """
    return _Run(network, storms, [frozenset() for _ in storms], after_s).go(to_rest=to_rest)


class _Run:
    """Storms through one network: one storm in several cases, or a storm for each case."""

    def __init__(
        self,
        network: Network,
        storms: Sequence[Storm],
        cases: list[frozenset[str]],
        after_s: float,
    ) -> None:
        import numpy as np

        self.network, self.storms, self.cases = network, storms, cases
        self.step_s = storms[0].step_s
        self.known = network.by_id()
        self.system: LevelSystem = system_of(network)
        self.place = {node.id: index for index, node in enumerate(self.system.nodes)}
        longest_s = max(
            (max(c.concentration_s, c.pumped_s) for c in network.catchments), default=0.0
        )
        rain_count = max(len(storm.depths_m) for storm in storms)
        self.count = rain_count + math.ceil((longest_s + after_s) / self.step_s) + 1
        self.shed = {catchment.id: self.series(catchment) for catchment in network.catchments}
        self.rain_m3 = np.zeros(len(storms)) + sum(
            flow.sum(axis=0) * self.step_s for flow in self.shed.values()
        )
        self.inflow = np.zeros((self.count, len(storms), len(self.system.nodes)))
        for catchment in network.catchments:
            if not isinstance(self.known[catchment.to], Edge):
                node = self.place[pond_of(network, catchment.to)]
                self.inflow[:, :, node] += self.shed[catchment.id]

    def series(self, catchment: Catchment) -> Floats:
        """What runs off a catchment in each step of each storm, shape (n, storms)."""
        import numpy as np

        found = np.zeros((self.count, len(self.storms)))
        for index, storm in enumerate(self.storms):
            flow = runoff_series_m3_per_s(
                storm, catchment.area_m2, catchment.runoff_fraction, catchment.concentration_s
            )
            found[: len(flow), index] = flow
            if catchment.pumped_s == 0:
                continue
            hardest = max(range(len(storm.depths_m)), key=storm.depths_m.__getitem__, default=0)
            steps = np.arange(self.count) - hardest
            share = np.clip(catchment.pumped_s / self.step_s - steps, 0.0, 1.0) * (steps >= 0)
            found[:, index] += catchment.pumped_m3_per_s * share
        return found

    def storm_of(self, case: int) -> int:
        """Place of the storm of a case."""
        return case if len(self.storms) > 1 else 0

    def go(self, *, to_rest: bool) -> tuple[Flows, ...]:
        """Step through the storms, and lay the flows of each way on their steps."""
        import numpy as np

        turns = np.flatnonzero((np.diff(self.inflow, axis=0) != 0).any(axis=(1, 2))) + 1
        first = np.concatenate([[0], turns])
        spans_s = np.diff([*first, self.count]) * self.step_s
        inflow, pumped_m3 = self.inflow[first], long_pumped_m3(self.network)
        self.stepped: Stepped = step_through(
            self.system, self.cases, spans_s.tolist(), inflow, pumped_m3, to_rest=to_rest
        )
        self.forward = self.laid(np.maximum(self.stepped.flows_m3, 0.0))
        self.back = self.laid(np.maximum(-self.stepped.flows_m3, 0.0))
        self.soil = self.laid(self.stepped.soil_m3)
        self.asked = self.asked_flows()
        return tuple(self.told(case) for case in range(len(self.cases)))

    def laid(self, volumes_m3: Floats) -> Floats:
        """Mean flow of each step of the storm from volumes of the steps taken, (n, B, ...)."""
        import numpy as np

        edges_s = np.arange(self.count + 1) * self.step_s
        ends_s = np.concatenate([[0.0], self.stepped.ends_s])
        sums = np.concatenate([np.zeros_like(volumes_m3[:1]), np.cumsum(volumes_m3, axis=0)])
        row = np.clip(np.searchsorted(ends_s, edges_s, side="right") - 1, 0, len(ends_s) - 2)
        part = (edges_s - ends_s[row]) / (ends_s[row + 1] - ends_s[row])
        part = np.minimum(part, 1.0)[:, None, None]
        at = sums[row] + part * (sums[row + 1] - sums[row])
        found: Floats = np.diff(at, axis=0) / self.step_s
        return found

    def asked_flows(self) -> dict[str, Floats]:
        """What comes to each inlet, pipe and store if all below takes it, shape (n, B).

        The flow that a pipe gets is no measure of what it should carry: what it cannot take stands
        before it. So runoff is led on as far as each drain takes it, whatever stands below.
        """
        import numpy as np

        zero = np.zeros((self.count, len(self.cases)))
        opened = {
            name: np.array([name not in case for case in self.cases], float) for name in self.known
        }
        found = self.asked_over(zero)
        into: dict[str, list[Floats]] = {}
        for inlet in self.network.inlets:
            taken = np.minimum(found[inlet.id], inlet.capacity_m3_per_s) * opened[inlet.id]
            into.setdefault(received_by(self.network, inlet.to), []).append(taken)
        for index, way in enumerate(self.system.ways):
            if way.kind == "opening":
                into.setdefault(way.end, []).append(self.forward[:, :, index])
        for pipe in self.pipes_in_order():
            found[pipe.id] = sum(into.get(pipe.id, []), zero)
            end = received_by(self.network, pipe.to)
            into.setdefault(end, []).append(found[pipe.id] * opened[pipe.id])
        for store in self.network.stores:
            rain = [self.shed[c.id] for c in self.network.catchments if c.to == store.id]
            found[store.id] = sum((*rain, *into.get(store.id, ())), zero)
        return found

    def asked_over(self, zero: Floats) -> dict[str, Floats]:
        """What comes to each inlet over the surface: runoff, and what other ponds spill to it."""
        found = {}
        for inlet in self.network.inlets:
            rain = [self.shed[c.id] for c in self.network.catchments if c.to == inlet.id]
            found[inlet.id] = sum(rain, zero)
        for index, way in enumerate(self.system.ways):
            if way.kind == "spill":
                for name, flow in ((way.end, self.forward), (way.start, self.back)):
                    if name in found:
                        found[name] = found[name] + flow[:, :, index]
        return found

    def pipes_in_order(self) -> list[Pipe]:
        """Pipes, each before the one that it leads to."""
        links = {pipe.id: [received_by(self.network, pipe.to)] for pipe in self.network.pipes}
        links = {name: [t for t in to if t in links] for name, to in links.items()}
        order, _ = topological(links)
        return [pipe for name in order if isinstance(pipe := self.known[name], Pipe)]

    def told(self, case: int) -> Flows:
        """What happened in one case."""
        rain_m3 = float(self.rain_m3[self.storm_of(case)])
        links = [*self.shed_links(case), *self.way_links(case), *self.soil_links(case)]
        pooled = self.pooled(case)
        links += [
            self.link(name, "", "stands", volume_m3=volume) for name, volume in pooled.items()
        ]
        over = {edge.id for edge in self.network.edges}
        stored = float(self.stepped.stored_m3[case].sum())
        gone = [
            float(self.stepped.flows_m3[:, case, index].sum())
            for index, way in enumerate(self.system.ways)
            if way.fixed_m is not None
        ]
        gone += [link.volume_m3 for link in links if link.how == "drains" and link.end in over]
        gone.append(float(self.stepped.soil_m3[:, case].sum()))
        missing = rain_m3 - math.fsum(gone) - stored
        return Flows(
            step_s=self.step_s,
            step_count=self.count,
            blocked=tuple(sorted(self.cases[case])),
            links=tuple(links),
            stands=self.stands(case, links),
            levels_m={
                name: float(self.stepped.highest_m[case, index])
                for name, index in self.place.items()
            },
            asked={name: flow[:, case] for name, flow in self.asked.items()},
            rain_m3=rain_m3,
            stored_m3=stored - math.fsum(pooled.values()),
            balance_fraction=missing / rain_m3 if rain_m3 > 0 else missing,
        )

    def link(
        self,
        start: str,
        end: str,
        how: How,
        flow: Floats | None = None,
        through: str = "",
        volume_m3: float | None = None,
    ) -> Link:
        """A link from its flow, or from its volume alone."""
        import numpy as np

        series = np.zeros(self.count) if flow is None else flow
        volume = float(series.sum()) * self.step_s if volume_m3 is None else volume_m3
        return Link(
            start=start,
            through=through,
            end=end,
            how=how,
            volume_m3=volume,
            peak_m3_per_s=float(series.max()),
            flow_m3_per_s=series,
        )

    def shed_links(self, case: int) -> Iterable[Link]:
        """What ran off the catchments."""
        for catchment in self.network.catchments:
            flow = self.shed[catchment.id][:, self.storm_of(case)]
            if flow.any():
                yield self.link(catchment.id, catchment.to, "drains", flow)

    def way_links(self, case: int) -> Iterable[Link]:
        """What went through each way, and what came back."""
        for index, way in enumerate(self.system.ways):
            if way.kind == "surface":
                continue
            through = way.name if way.kind == "opening" else self.boxed(way)
            start, end = (name.removesuffix(POND) for name in (way.start, way.end))
            ends = ((start, end, _FORWARD[way.kind], self.forward),
                    (end, start, _BACK[way.kind], self.back))  # fmt: skip
            for one, other, how, flow in ends:
                series = flow[:, case, index]
                if float(series.sum()) * self.step_s > _DROP_M3:
                    yield self.link(one, other, how, series, through)

    def boxed(self, way: WaterWay) -> str:
        """The inlet whose box a pipe runs through."""
        pipe = self.known.get(way.start)
        through = way.kind == "pipe" and isinstance(pipe, Pipe) and pipe.to != way.end
        return pipe.to if through and isinstance(pipe, Pipe) else ""

    def soil_links(self, case: int) -> Iterable[Link]:
        """What soaked away."""
        for store in self.network.stores:
            series = self.soil[:, case, self.place[store.id]]
            if float(series.sum()) * self.step_s > _DROP_M3:
                yield self.link(store.id, "", "soaks away", series, f"{store.id}/soil")

    def pooled(self, case: int) -> dict[str, float]:
        """Water left at the end in ponds from which no low edge leads away."""
        nexts: dict[str, list[str]] = {}
        for way in self.system.ways:
            if way.kind == "spill":
                nexts.setdefault(way.start, []).append("" if way.fixed_m is not None else way.end)
        found = {}
        tops = [inlet.id for inlet in self.network.inlets]
        tops += [store.id for store in self.network.stores if store.rim_m is not None]
        for top in tops:
            name = pond_of(self.network, top)
            seen, todo = {name}, [name]
            while todo:
                fresh = set(nexts.get(todo.pop(), ())) - seen
                seen |= fresh
                todo += fresh
            index = self.place[name]
            bottom_m = self.system.nodes[index].levels_m[0]
            deep = self.stepped.levels_m[-1, case, index] - bottom_m > RESIDUAL_M
            if "" not in seen and deep:
                found[top] = float(self.stepped.stored_m3[case, index])
        return found

    def stands(self, case: int, links: Sequence[Link]) -> Mapping[str, Stand]:
        """Highest water at inlets, in stores and over edges."""
        import numpy as np

        found = {}
        for inlet in self.network.inlets:
            stand = self.stand(case, inlet.id, inlet.rim_m, inlet.spill_m)
            if stand.depth_m > 0:
                found[inlet.id] = stand
        for store in self.network.stores:
            found[store.id] = self.store_stand(case, store)
        for edge in self.network.edges:
            over = (link.flow_m3_per_s for link in links if link.end == edge.id)
            flow = sum(over, np.zeros(self.count))
            peak = float(flow.max())
            if peak > 0:
                head_m = broad_weir_head_m(edge.length_m, peak, edge.weir_coefficient_si)
                found[edge.id] = Stand(
                    level_m=edge.crest_m + head_m,
                    depth_m=head_m,
                    time_s=(int(flow.argmax()) + 1) * self.step_s,
                    over=True,
                )
        return found

    def stand(self, case: int, name: str, bottom_m: float, top_m: float) -> Stand:
        """Highest water at a node."""
        index = self.place[name]
        level_m = float(self.stepped.highest_m[case, index])
        return Stand(
            level_m=level_m,
            depth_m=max(0.0, level_m - bottom_m),
            time_s=float(self.stepped.highest_s[case, index]),
            over=level_m > top_m + 1e-9,
        )

    def store_stand(self, case: int, store: Store) -> Stand:
        """Highest water in a store, or over it, and when it is empty."""
        bottom_m = store.shape.bottom_m
        found = self.stand(case, store.id, bottom_m, store.top_m)
        if store.rim_m is not None:
            over = self.stand(case, f"{store.id}{POND}", bottom_m, store.top_m)
            if over.depth_m > found.depth_m and over.level_m > store.rim_m + 1e-6:
                found = over
        dry_s = float(self.stepped.dry_s[case, self.place[store.id]])
        rain_s = self.storms[self.storm_of(case)].duration_s
        emptied_s = None if math.isnan(dry_s) else max(0.0, dry_s - rain_s)
        return Stand(
            level_m=found.level_m,
            depth_m=found.depth_m,
            time_s=found.time_s,
            over=found.over,
            emptied_s=emptied_s,
        )
