"""A plain explicit balance of a drawn network: each second in fiftieths, volumes moved by hand.

It shares with the program the drawn network, and nothing of how it is worked out: no Jacobian, no
Newton, no changing steps, no tables of conveyance. In each fiftieth of a second every opening lets
through what its two levels let through, never more than there is or than would level them, and the
water is moved. The laws stand here as they do in handbooks: Manning with losses of the speed head,
the orifice 0.6 A sqrt(2 g h), the broad weir 1.66 L h^1.5.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numba
import numpy as np

from checker.water.network import Edge, Inlet, Outlet, Store
from checker.water.outlets import Infiltration, Orifice, Weir

if TYPE_CHECKING:
    from collections.abc import Collection

    from checker.water.network import Network
    from checker.water.storms import Storm

G = 9.80665
BOX_M2, VENT_M2, FILM_M = 0.03, 0.01, 0.005
AWAY_M = -1e9
SUBSTEP_S = 0.02
PIPE, MOUTH, EDGE, GRATE, JOINTS = range(5)


@numba.njit(cache=False)
def section(diameter: float, depth: float) -> tuple[float, float]:
    """Wetted area and hydraulic radius of a round pipe."""
    share = min(1.0, depth / diameter)
    angle = 2 * math.acos(1 - 2 * share)
    area = diameter**2 / 8 * (angle - math.sin(angle))
    return area, area / (diameter * angle / 2)


@numba.njit(cache=False)
def between(x: float, xs: np.ndarray, ys: np.ndarray, count: int) -> float:
    """On the straight lines between points, on the last line beyond them."""
    row = 0
    while row < count - 2 and x >= xs[row + 1]:
        row += 1
    return float(ys[row] + (x - xs[row]) * (ys[row + 1] - ys[row]) / (xs[row + 1] - xs[row]))


@numba.njit(cache=False)
def through(kind: int, p: np.ndarray, high: float, low: float, down: bool) -> float:
    """Flow from the higher level to the lower one.

    Args:
        kind: Of the opening.
        p: Sill, size, and what else its law asks.
        high: Level on the higher side.
        low: Level on the lower side.
        down: It runs the way that is drawn.
    """
    depth = high - p[0]
    if depth <= 1e-9 or high <= low:
        return 0.0
    if kind == PIPE:
        # p: upper invert, diameter, lower invert, length, n, losses, limit
        wet = min(depth, p[1])
        free = p[2] + wet if down else p[0] + wet / 2
        head = max(0.0, high - max(low, free))
        area, radius = section(p[1], wet)
        partly = area / math.sqrt(p[4] ** 2 * p[3] / radius ** (4 / 3) + p[5] / (2 * G))
        mouth = 0.6 * area * math.sqrt(2 * G * max(0.0, high - max(low, p[0] + wet / 2)))
        # All but full it would carry more than full, until a wave closes it.
        area, radius = section(p[1], p[1])
        full = area / math.sqrt(p[4] ** 2 * p[3] / radius ** (4 / 3) + p[5] / (2 * G))
        return float(min(min(partly, full) * math.sqrt(head), mouth, p[6]))
    if kind == MOUTH:  # p: invert, diameter, coefficient, limit
        wet = min(depth, p[1])
        area, _ = section(p[1], wet)
        head = max(0.0, high - max(low, p[0] + wet / 2))
        return float(min(p[2] * area * math.sqrt(2 * G * head), p[3]))
    if kind == EDGE:  # p: crest, length, coefficient, limit
        return float(min(p[2] * p[1] * depth * math.sqrt(high - max(low, p[0])), p[3]))
    # p: rim, most
    head = high - max(low, p[0])
    return float(min(p[1], p[1] * min(1.0, depth / 0.001) * math.sqrt(head / 0.001)))


@numba.njit(cache=False)
def grated(p: np.ndarray, depths: np.ndarray, flows: np.ndarray, high: float, low: float) -> float:
    """A grate by its rating: what it takes at its depth, less as it is drowned from below."""
    depth = high - p[0]
    count = len(depths)
    if depth <= 1e-9 or high <= low:
        return 0.0
    deepest = min(depth, depths[count - 1])
    rated = between(deepest, depths, flows, count)
    return float(min(flows[count - 1], rated * math.sqrt((high - max(low, p[0])) / deepest)))


@numba.njit(cache=False)
def walk(
    levels: np.ndarray, stored: np.ndarray, soils: np.ndarray, counts: np.ndarray,
    starts: np.ndarray, ends: np.ndarray, kinds: np.ndarray, ps: np.ndarray,
    fixed: np.ndarray, depths: np.ndarray, rated: np.ndarray,
    inflow: np.ndarray, step_s: float, substep_s: float,
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:  # fmt: skip
    """Volumes at the end, highest levels, what went through each way, and into the soil."""
    nodes, ways = len(counts), len(kinds)
    volume, top = np.zeros(nodes), levels[:, 0].copy()
    level, passed, soaked = levels[:, 0].copy(), np.zeros(ways), np.zeros(nodes)
    each = round(step_s / substep_s)
    for step in range(len(inflow)):
        for _ in range(each):
            for i in range(nodes):
                level[i] = between(volume[i], stored[i], levels[i], counts[i])
                top[i] = max(top[i], level[i])
                volume[i] += inflow[step, i] * substep_s
            for w in range(ways):
                a, b = starts[w], ends[w]
                la = level[a]
                lb = level[b] if b >= 0 else fixed[w]
                down = la >= lb
                if not down and b < 0:
                    continue
                high, low = (la, lb) if down else (lb, la)
                if kinds[w] == GRATE:
                    q = grated(ps[w], depths[w], rated[w], high, low)
                else:
                    q = through(kinds[w], ps[w], high, low, down)
                source = a if down else b
                q = min(q * substep_s, max(0.0, volume[source]))
                if b >= 0:
                    # No more than would level the two, by their areas there.
                    other = b if down else a
                    area_s = _area(level[source], levels[source], stored[source], counts[source])
                    area_o = _area(level[other], levels[other], stored[other], counts[other])
                    q = min(q, 0.5 * (high - low) * area_s * area_o / (area_s + area_o))
                    volume[other] += q
                volume[source] -= q
                passed[w] += q if down else -q
            for i in range(nodes):
                wet = level[i] - levels[i, 0]
                if wet > 0:
                    rate = between(max(wet, 0.001) + levels[i, 0], levels[i], soils[i], counts[i])
                    q = min(rate * min(1.0, wet / 0.001) * substep_s, max(0.0, volume[i]))
                    volume[i] -= q
                    soaked[i] += q
    return volume, top, passed, soaked


@numba.njit(cache=False)
def _area(x: float, xs: np.ndarray, ys: np.ndarray, count: int) -> float:
    row = 0
    while row < count - 2 and x >= xs[row + 1]:
        row += 1
    return float((ys[row + 1] - ys[row]) / (xs[row + 1] - xs[row]))


class Explicit:
    """One storm through one network, some of it blocked.

    Attributes:
        highest_m: Highest level of each node: inlet, pipe, store, `store/pond`.
        gone_m3: What went to each outlet and edge, and into the soil.
        held_m3: What is left in each node.
        came_m3: What ran off to inlets and stores.
    """

    def __init__(self, network: Network, blocked: Collection[str] = ()) -> None:
        self.network, self.blocked = network, set(blocked)
        self.known = network.by_id()
        self.rows: list[tuple[str, list[float], list[float], list[float]]] = []
        self.ways: list[tuple[str, str, int, list[float], Inlet | None]] = []
        for inlet in network.inlets:
            self.pond(inlet.id, inlet.rim_m, inlet.pond.depths_m, inlet.pond.stored_m3)
            self.way(inlet.id, inlet.id, self.box(inlet.to), GRATE, [inlet.rim_m], inlet)
        for pipe in network.pipes:
            self.row(pipe.id, [pipe.upper_m, pipe.upper_m + 1], [0.0, BOX_M2])
            end = self.known[pipe.to]
            loss = 1.5 + pipe.bend_loss + (end.loss if isinstance(end, Outlet) else 0.0)
            limit = end.limit_m3_per_s if isinstance(end, Outlet) else math.inf
            law = [pipe.upper_m, pipe.diameter_m, pipe.lower_m, pipe.length_m]
            law += [pipe.roughness_coefficient, loss, limit]
            self.way(pipe.id, pipe.id, self.box(pipe.to), PIPE, law)
        for store in network.stores:
            self.store(store)
        tops: list[Inlet | Store] = [*network.inlets, *network.stores]
        for top in tops:
            if top.spills_to:
                self.spill(top)

    def box(self, target: str) -> str:
        """What takes water below ground."""
        element = self.known[target]
        return self.box(element.to) if isinstance(element, Inlet) else target

    def top(self, target: str) -> str:
        """What takes water over the surface."""
        names = [row[0] for row in self.rows]
        return f"{target}/pond" if f"{target}/pond" in names else target

    def row(
        self, name: str, levels: list[float], stored: list[float], soil: list[float] | None = None
    ) -> None:
        self.rows.append((name, levels, stored, soil or [0.0] * len(levels)))

    def pond(
        self, name: str, rim_m: float, depths_m: tuple[float, ...], stored_m3: tuple[float, ...]
    ) -> None:
        self.row(name, [rim_m + depth for depth in depths_m], list(stored_m3))

    def way(
        self, name: str, start: str, end: str, kind: int, law: list[float], of: Inlet | None = None
    ) -> None:
        is_shut = end in self.blocked and isinstance(self.known[end], Outlet)
        if name not in self.blocked and not is_shut:
            self.ways.append((start, end, kind, law, of))

    def store(self, store: Store) -> None:
        shape = store.shape
        levels, stored = list(shape.levels_m), list(shape.stored_m3)
        soil = [0.0] * len(levels)
        for way in store.outlets:
            if isinstance(way, Infiltration) and f"{store.id}/soil" not in self.blocked:
                base, walls = float(way.counts_base), float(way.counts_walls)
                for place in range(len(levels)):
                    wet_m2 = base * shape.base_m2[place] + walls * shape.walls_m2[place]
                    soil[place] += way.rate_m_per_s * wet_m2
        self.row(
            store.id, [*levels, levels[-1] + 1], [*stored, stored[-1] + VENT_M2], [*soil, soil[-1]]
        )
        for way in store.outlets:
            name = f"{store.id}/{way.name}"
            if isinstance(way, Orifice):
                law = [way.invert_m, way.diameter_m, way.discharge_coefficient, way.limit_m3_per_s]
                self.way(name, store.id, self.box(way.to), MOUTH, law)
            elif isinstance(way, Weir):
                law = [way.crest_m, way.length_m, way.weir_coefficient_si, way.limit_m3_per_s]
                self.way(name, store.id, self.box(way.to), EDGE, law)
        if store.rim_m is not None:
            film = FILM_M * VENT_M2
            self.row(
                f"{store.id}/pond",
                [store.rim_m - FILM_M, *(store.rim_m + d for d in store.pond.depths_m)],
                [0.0, *(film + volume for volume in store.pond.stored_m3)],
            )
            most = min(store.surface_m3_per_s, 0.5)
            law = [store.rim_m - FILM_M, most]
            self.way(f"{store.id}/surface", f"{store.id}/pond", store.id, JOINTS, law)

    def spill(self, top: Inlet | Store) -> None:
        beyond, sill_m = self.known[top.spills_to], top.spill_m
        if isinstance(beyond, Edge):
            sill_m = max(sill_m, beyond.crest_m)
        elif isinstance(beyond, Inlet | Store) and beyond.rim_m is not None:
            sill_m = max(sill_m, beyond.rim_m)
        law = [sill_m, max(0.01, top.spill_length_m), 1.66, math.inf]
        self.way("", self.top(top.id), self.top(top.spills_to), EDGE, law)

    def run(self, rain: Storm, after_s: float, substep_s: float = SUBSTEP_S) -> Explicit:
        """Go through a storm whose runoff comes without delay."""
        place = {row[0]: index for index, row in enumerate(self.rows)}
        wide = max(len(row[1]) for row in self.rows)
        levels, stored, soils = (np.zeros((len(place), wide)) for _ in range(3))
        counts = np.array([len(row[1]) for row in self.rows])
        for index, (_, level, volume, soil) in enumerate(self.rows):
            levels[index, : len(level)], stored[index, : len(level)] = level, volume
            soils[index, : len(level)] = soil
        many = max((len(way[4].rating.depths_m) for way in self.ways if way[4]), default=2)
        ps, fixed = np.zeros((len(self.ways), 7)), np.full(len(self.ways), AWAY_M)
        depths, rated = np.zeros((len(self.ways), many)), np.zeros((len(self.ways), many))
        for index, (_, end, _, law, inlet) in enumerate(self.ways):
            ps[index, : len(law)] = law
            last = self.known.get(end)
            if isinstance(last, Outlet) and last.level_m is not None:
                fixed[index] = last.level_m
            if inlet is not None:
                depths[index], rated[index] = inlet.rating.depths_m, inlet.rating.flows_m3_per_s
        steps = len(rain.depths_m) + int(after_s / rain.step_s) + 1  # as `carry` ends
        inflow = np.zeros((steps, len(place)))
        self.gone_m3 = dict.fromkeys([way[1] for way in self.ways if way[1] not in place], 0.0)
        for shed in self.network.catchments:
            flow = np.array(rain.depths_m) * shed.area_m2 * shed.runoff_fraction / rain.step_s
            inflow[: len(flow), place[self.top(shed.to)]] += flow
        held, top, passed, soaked = walk(
            levels, stored, soils, counts,
            np.array([place[way[0]] for way in self.ways]),
            np.array([place.get(way[1], -1) for way in self.ways]),
            np.array([way[2] for way in self.ways]), ps, fixed, depths, rated,
            inflow, rain.step_s, substep_s,
        )  # fmt: skip
        self.came_m3 = float(inflow.sum()) * rain.step_s
        self.highest_m = {name: float(top[index]) for name, index in place.items()}
        self.held_m3 = {name: float(held[index]) for name, index in place.items()}
        for way, volume_m3 in zip(self.ways, passed, strict=True):
            if way[1] not in place:
                self.gone_m3[way[1]] += float(volume_m3)
        self.gone_m3["soil"] = float(soaked.sum())
        return self
