"""The levels of a network by a general solver of differential equations, for comparison.

It shares with the program the drawn network and the laws as they are written in `laws`, not their
tables, nodes, balance or steps: each flow is a plain formula of two levels, and scipy's LSODA
chooses its own steps and order.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from scipy.integrate import solve_ivp

from checker.water.network import Edge, Inlet, Outlet, Store
from checker.water.outlets import Infiltration, Orifice
from checker.water.storms import runoff_series_m3_per_s

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from checker.water.network import Network, Pipe
    from checker.water.storms import Storm

    Law = Callable[[float, float, bool], float]
    """Flow for the higher level, the lower one, and whether it goes the way that is drawn."""

G = 9.80665
BOX_M2 = 0.03
VENT_M2 = 0.01
FILM_M = 0.005
FALL_M = -1e9


def circle(diameter_m: float, depth_m: float) -> tuple[float, float]:
    """Wetted area and perimeter."""
    angle = 2 * math.acos(1 - 2 * min(1.0, depth_m / diameter_m))
    return diameter_m**2 / 8 * (angle - math.sin(angle)), diameter_m * angle / 2


def both_ways(one_way: Law, first_m: float, other_m: float) -> float:
    """Flow from the first level to the other; less than 0 the other way."""
    down = first_m >= other_m
    high_m, low_m = (first_m, other_m) if down else (other_m, first_m)
    return one_way(high_m, low_m, down) * (1 if down else -1)


def through_pipe(pipe: Pipe, end_loss: float) -> Law:
    """A pipe: friction and losses of the speed head, or its mouth, whichever passes less."""

    def conveyed(depth_m: float) -> float:
        area_m2, wet_m = circle(pipe.diameter_m, depth_m)
        friction = pipe.roughness_coefficient**2 * pipe.length_m / (area_m2 / wet_m) ** (4 / 3)
        losses = (1.5 + pipe.bend_loss + end_loss) / (2 * G)
        return float(area_m2 / math.sqrt(friction + losses))

    full = conveyed(pipe.diameter_m)

    def flow(high_m: float, low_m: float, down: bool) -> float:
        depth_m = min(high_m - pipe.upper_m, pipe.diameter_m)
        if depth_m <= 1e-9:
            return 0.0
        free_m = pipe.lower_m + depth_m if down else pipe.upper_m + depth_m / 2
        head_m = max(0.0, high_m - max(low_m, free_m))
        mouth_m = max(0.0, high_m - max(low_m, pipe.upper_m + depth_m / 2))
        area_m2, _ = circle(pipe.diameter_m, depth_m)
        return min(
            min(full, conveyed(depth_m)) * math.sqrt(head_m),
            0.6 * area_m2 * math.sqrt(2 * G * mouth_m),
        )

    return flow


def through_mouth(mouth: Orifice) -> Law:
    """A round opening."""

    def flow(high_m: float, low_m: float, _down: bool) -> float:
        depth_m = min(high_m - mouth.invert_m, mouth.diameter_m)
        if depth_m <= 1e-9:
            return 0.0
        area_m2, _ = circle(mouth.diameter_m, depth_m)
        head_m = max(0.0, high_m - max(low_m, mouth.invert_m + depth_m / 2))
        return mouth.discharge_coefficient * area_m2 * math.sqrt(2 * G * head_m)

    return flow


def over_edge(sill_m: float, length_m: float, coefficient: float) -> Law:
    """A broad edge."""

    def flow(high_m: float, low_m: float, _down: bool) -> float:
        depth_m = max(0.0, high_m - sill_m)
        return coefficient * length_m * depth_m * math.sqrt(high_m - max(low_m, high_m - depth_m))

    return flow


def through_grate(inlet: Inlet) -> Law:
    """A grate by its rating; drowned by what is left of its head."""
    most = inlet.rating.flows_m3_per_s[-1]

    def flow(high_m: float, low_m: float, _down: bool) -> float:
        depth_m = high_m - inlet.rim_m
        if depth_m <= 1e-9:
            return 0.0
        head_m = high_m - max(low_m, inlet.rim_m)
        rated = inlet.rating.flow_m3_per_s(depth_m)
        return min(most, rated * math.sqrt(head_m / min(depth_m, inlet.rating.depths_m[-1])))

    return flow


def through_joints(rim_m: float, most: float) -> Law:
    """The surface of a bed: all that it takes from a millimetre on."""

    def flow(high_m: float, low_m: float, _down: bool) -> float:
        depth_m = high_m - rim_m + FILM_M
        if depth_m <= 0:
            return 0.0
        head_m = high_m - max(low_m, rim_m - FILM_M)
        return min(most, most * min(1.0, depth_m / 0.001) * math.sqrt(head_m / 0.001))

    return flow


class Plain:
    """One storm through one network with some of it closed."""

    def __init__(self, network: Network, rain: Storm, closed: Collection[str] = ()) -> None:
        self.network, self.rain, self.closed = network, rain, set(closed)
        self.known = network.by_id()
        self.tables: dict[str, tuple[list[float], list[float]]] = {}
        self.ways: list[tuple[str, str, Law]] = []
        for inlet in network.inlets:
            self.pond(inlet.id, inlet.rim_m, inlet)
        for pipe in network.pipes:
            self.tables[pipe.id] = ([pipe.upper_m, pipe.upper_m + 1], [0.0, BOX_M2])
        for store in network.stores:
            self.store(store)
        for inlet in network.inlets:
            self.add(inlet.id, inlet.id, self.box(inlet.to), through_grate(inlet))
        for pipe in network.pipes:
            end = self.known[pipe.to]
            loss = end.loss if isinstance(end, Outlet) else 0.0
            self.add(pipe.id, pipe.id, self.box(pipe.to), through_pipe(pipe, loss))
        for top in (*network.inlets, *network.stores):
            if isinstance(top, Inlet | Store) and top.spills_to:
                self.spill(top)
        self.names = list(self.tables)

    def box(self, target: str) -> str:
        """What takes water below ground."""
        element = self.known[target]
        return self.box(element.to) if isinstance(element, Inlet) else target

    def top(self, target: str) -> str:
        """What takes water over the surface."""
        return f"{target} top" if f"{target} top" in self.tables else target

    def pond(self, name: str, rim_m: float, of: Inlet | Store) -> None:
        self.tables[name] = (
            [rim_m + depth for depth in of.pond.depths_m],
            list(of.pond.stored_m3),
        )

    def store(self, store: Store) -> None:
        levels, stored = list(store.shape.levels_m), list(store.shape.stored_m3)
        self.tables[store.id] = ([*levels, levels[-1] + 1], [*stored, stored[-1] + VENT_M2])
        if store.rim_m is not None:
            self.pond(f"{store.id} top", store.rim_m, store)
            levels, stored = self.tables[f"{store.id} top"]
            film = VENT_M2 * FILM_M
            self.tables[f"{store.id} top"] = (
                [levels[0] - FILM_M, *levels],
                [0.0, *(film + volume for volume in stored)],
            )
            most = min(store.surface_m3_per_s, 0.5)
            joints = through_joints(store.rim_m, most)
            self.add(f"{store.id}/surface", f"{store.id} top", store.id, joints)
        for outlet in store.outlets:
            if isinstance(outlet, Orifice):
                end = self.box(outlet.to)
                self.add(f"{store.id}/{outlet.name}", store.id, end, through_mouth(outlet))

    def spill(self, top: Inlet | Store) -> None:
        beyond = self.known[top.spills_to]
        sill_m, coefficient = top.spill_m, 1.66
        if isinstance(beyond, Edge):
            sill_m = max(sill_m, beyond.crest_m)
        elif isinstance(beyond, Inlet | Store) and beyond.rim_m is not None:
            sill_m = max(sill_m, beyond.rim_m)
        edge = over_edge(sill_m, top.spill_length_m, coefficient)
        self.add("", self.top(top.id), self.top(top.spills_to), edge)

    def add(self, name: str, start: str, end: str, law: Law) -> None:
        if name not in self.closed:
            self.ways.append((start, end, law))

    def level_m(self, name: str, volume_m3: float) -> float:
        levels, stored = self.tables[name]
        if volume_m3 >= stored[-1]:
            rise = (levels[-1] - levels[-2]) / (stored[-1] - stored[-2])
            return levels[-1] + (volume_m3 - stored[-1]) * rise
        return float(np.interp(volume_m3, stored, levels))

    def beyond_m(self, name: str) -> float:
        end = self.known[name]
        return end.level_m if isinstance(end, Outlet) and end.level_m is not None else FALL_M

    def rates(self, _t: float, volumes: np.ndarray, came: np.ndarray) -> np.ndarray:
        """How fast each volume changes, and what is gone grows."""
        place, gone = self.place, self.gone
        levels = {n: self.level_m(n, max(0.0, volumes[i])) for n, i in place.items()}
        change = came.copy()
        for start, end, law in self.ways:
            q = both_ways(law, levels[start], levels[end] if end in levels else self.beyond_m(end))
            change[place[start]] -= q if end in place else max(0.0, q)
            change[place[end] if end in place else gone[end]] += q if end in place else max(0.0, q)
        for store in self.network.stores:
            bottom_m, level_m = store.shape.bottom_m, levels[store.id]
            for soil in store.outlets:
                if isinstance(soil, Infiltration) and f"{store.id}/soil" not in self.closed:
                    q = soil.flow_m3_per_s(max(level_m, bottom_m + 0.001), store.shape)
                    q *= min(1.0, (level_m - bottom_m) / 0.001)
                    change[place[store.id]] -= q
                    change[gone["soil"]] += q
        return change

    def run(self, after_s: float) -> Plain:
        """Go through the storm; then levels and volumes by name stand in the attributes."""
        series = {
            c: runoff_series_m3_per_s(self.rain, c.area_m2, c.runoff_fraction, c.concentration_s)
            for c in self.network.catchments
        }
        self.place = place = {name: index for index, name in enumerate(self.names)}
        ends = sorted({end for _, end, _ in self.ways if end not in place} | {"soil"})
        self.gone = gone = {name: len(place) + index for index, name in enumerate(ends)}
        state = np.zeros(len(place) + len(ends))
        self.highest_m = {name: self.tables[name][0][0] for name in self.names}
        count = max(len(flow) for flow in series.values()) + int(after_s / self.rain.step_s)
        inflow = np.zeros((count, len(state)))
        for c, flow in series.items():
            target = self.top(c.to)
            if target in place:
                inflow[: len(flow), place[target]] += flow
        self.came_m3 = float(inflow.sum()) * self.rain.step_s

        start = 0
        while start < count:
            end = start + 1
            while end < count and (inflow[end] == inflow[start]).all():
                end += 1
            span_s = (end - start) * self.rain.step_s
            got = solve_ivp(
                self.rates, (0, span_s), state, method="LSODA", args=(inflow[start],),
                rtol=1e-6, atol=1e-8, max_step=60.0,
            )  # fmt: skip
            assert got.success, got.message
            state = got.y[:, -1]
            for name, index in place.items():
                top_m = self.level_m(name, max(0.0, float(got.y[index].max())))
                self.highest_m[name] = max(self.highest_m[name], top_m)
            start = end
        self.gone_m3 = {name: float(state[index]) for name, index in gone.items()}
        self.held_m3 = {name: float(state[index]) for name, index in place.items()}
        return self
