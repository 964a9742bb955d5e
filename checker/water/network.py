"""The drainage of a site as plain data: what drains where, and whether it can work at all.

Water falls on catchments, enters inlets or stores, runs through pipes, and leaves through soil,
outlets or over an edge. What an inlet does not take stands over it and goes on over the surface.
`faults` names what can not work, `paths` counts the ways out, `levels` sees it as nodes with a
level and links between them, `conveyance` carries a storm through.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

from checker.core.formula import OutOfRange
from checker.core.records import Record
from checker.water.pipes import pipe_flow_m3_per_s
from checker.water.stores import between
from checker.water.weirs import BROAD_SI

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from checker.water.outlets import StoreOutlet
    from checker.water.stores import StoreLevels

Onto = Literal["own land", "street", "neighbour", "house", "pool"]
"""What lies beyond an overflow edge."""

HARMED: tuple[Onto, ...] = ("house", "pool", "neighbour")
"""Where no water may go."""


OVER: Final = "/over"
BOX: Final = "/box"
SURFACE: Final = "/surface"


class Catchment(Record, kw_only=True):
    """A surface whose rain goes to one place.

    Attributes:
        id: Its name.
        area_m2: Plan area.
        runoff_fraction: Share of the rain that runs off.
        to: Id of the inlet, store, pipe or edge that it drains to.
        concentration_s: Time of concentration, 0 for none.
        pumped_m3_per_s: What is pumped there as well, from the hardest rain on.
        pumped_s: How long.
    """

    id: str
    area_m2: float
    runoff_fraction: float
    to: str
    concentration_s: float = 0.0
    pumped_m3_per_s: float = 0.0
    pumped_s: float = 0.0


class Rating(Record, kw_only=True):
    """What an opening takes at depths of water over it.

    Attributes:
        depths_m: From 0, rising.
        flows_m3_per_s: From 0, never falling.

    Raises:
        OutOfRange: The points do not rise from 0.
    """

    depths_m: tuple[float, ...]
    flows_m3_per_s: tuple[float, ...]

    def __post_init__(self) -> None:
        rises = all(a < b for a, b in pairwise(self.depths_m)) and all(
            a <= b for a, b in pairwise(self.flows_m3_per_s)
        )
        same_length = len(self.depths_m) == len(self.flows_m3_per_s) > 1
        if not (rises and same_length and self.depths_m[0] == 0 == self.flows_m3_per_s[0]):
            raise OutOfRange("Rating: depths and flows must rise from 0, one flow for each depth")

    def flow_m3_per_s(self, depth_m: float) -> float:
        """Flow at a depth; that of the deepest point beyond it."""
        return between(depth_m, self.depths_m, self.flows_m3_per_s)


class Pond(Record, kw_only=True):
    """What stands over a low place of the surface.

    Attributes:
        depths_m: Depth above its lowest point, rising from 0.
        stored_m3: Water below each depth, rising from 0.
    """

    depths_m: tuple[float, ...]
    stored_m3: tuple[float, ...]


SMALL_POND: Final = Pond(depths_m=(0.0, 1.0), stored_m3=(0.0, 0.05))
"""Where the lie of the paving is not known: a quarter of a square yard keeps next to nothing."""


class Inlet(Record, kw_only=True):
    """A drain in the surface: area drain, channel drain, or the top of a roof leader.

    Attributes:
        id: Its name.
        rim_m: Level of the grate.
        rating: What it takes at depths over the grate, clogging counted.
        to: Id of the pipe or store below; empty for none, which is a fault.
        spills_to: Id of where water goes over the surface; empty where it can only stand.
        spill_depth_m: Depth over the grate at which it begins to go there.
        spill_length_m: Length of the edge over which it goes.
        pond: What stands over the grate.
    """

    id: str
    rim_m: float
    rating: Rating
    to: str
    spills_to: str = ""
    spill_depth_m: float = 0.025
    spill_length_m: float = 1.0
    pond: Pond = SMALL_POND

    @property
    def capacity_m3_per_s(self) -> float:
        """What it takes before water goes on over the surface."""
        return self.rating.flow_m3_per_s(self.spill_depth_m)

    @property
    def spill_m(self) -> float:
        """Level at which water goes on over the surface."""
        return self.rim_m + self.spill_depth_m


class Pipe(Record, kw_only=True):
    """A round pipe that runs by gravity.

    Attributes:
        id: Its name.
        to: Id of the pipe, inlet, store or outlet at its lower end.
        diameter_m: Inside diameter.
        length_m: Its length.
        roughness_coefficient: Manning's n.
        upper_m: Invert at the upper end.
        lower_m: Invert at the lower end.
        bend_loss: Sum of the loss coefficients of its bends and fittings.
    """

    id: str
    to: str
    diameter_m: float
    length_m: float
    roughness_coefficient: float
    upper_m: float
    lower_m: float
    bend_loss: float = 0.0

    @property
    def slope_fraction(self) -> float:
        """Its fall, rise over run; negative when it runs uphill."""
        return (self.upper_m - self.lower_m) / self.length_m

    @property
    def capacity_m3_per_s(self) -> float:
        """Uniform flow when it is just full; 0 when it has no fall."""
        if self.slope_fraction <= 0:
            return 0.0
        return pipe_flow_m3_per_s(self.diameter_m, self.slope_fraction, self.roughness_coefficient)


class Store(Record, kw_only=True):
    """Water stored in stone or a chamber, with its outlets.

    Attributes:
        id: Its name.
        shape: Its volume by level, up to the open surface where it has one.
        outlets: Infiltration, orifices and weirs; where an outlet leads is its `to`.
        rim_m: Level of the open surface above it; None for a buried store without one.
        spills_to: Id of where water goes from the open surface.
        spill_length_m: Length of the edge over which it goes.
        surface_m3_per_s: Most that the open surface lets in.
        pond: What stands over the open surface.
    """

    id: str
    shape: StoreLevels
    outlets: tuple[StoreOutlet, ...]
    rim_m: float | None = None
    spills_to: str = ""
    spill_length_m: float = 1.0
    surface_m3_per_s: float = math.inf
    pond: Pond = SMALL_POND

    @property
    def spill_m(self) -> float:
        """Level at which water leaves the open surface; infinite without one."""
        return math.inf if self.rim_m is None else self.rim_m

    @property
    def top_m(self) -> float:
        """Where it is full: its open surface, or the top of a buried store."""
        return self.shape.levels_m[-1] if self.rim_m is None else self.rim_m


class Outlet(Record, kw_only=True):
    """A lawful end of a pipe: pop-up, daylight, sewer.

    Attributes:
        id: Its name.
        level_m: Level of the water that it leads into, or of the lid of a riser; None for a free
            fall from the end of the pipe.
        limit_m3_per_s: Most that it lets out.
        loss: Sum of the loss coefficients of its riser and lid.
        is_riser: Water rises in it above the end of the pipe, as in a pop-up emitter.
    """

    id: str
    level_m: float | None = None
    limit_m3_per_s: float = math.inf
    loss: float = 0.0
    is_riser: bool = False


class Edge(Record, kw_only=True):
    """An edge over which water may leave the paving.

    Attributes:
        id: Its name.
        crest_m: Level of its lowest part.
        length_m: Length over which water leaves.
        onto: What lies beyond.
        weir_coefficient_si: Of a broad weir.
    """

    id: str
    crest_m: float
    length_m: float
    onto: Onto
    weir_coefficient_si: float = BROAD_SI


Element = Catchment | Inlet | Pipe | Store | Outlet | Edge


class Network(Record, kw_only=True):
    """Everything that drains a site.

    Attributes:
        catchments: Where rain falls.
        inlets: Drains in the surface.
        pipes: Pipes and channels.
        stores: Dry wells, stone reservoirs.
        outlets: Lawful ends.
        edges: Overflow edges.
    """

    catchments: tuple[Catchment, ...] = ()
    inlets: tuple[Inlet, ...] = ()
    pipes: tuple[Pipe, ...] = ()
    stores: tuple[Store, ...] = ()
    outlets: tuple[Outlet, ...] = ()
    edges: tuple[Edge, ...] = ()

    def __iter__(self) -> Iterator[Element]:
        yield from self.catchments
        yield from self.inlets
        yield from self.pipes
        yield from self.stores
        yield from self.outlets
        yield from self.edges

    def by_id(self) -> dict[str, Element]:
        """Elements by id; the last of equal ones."""
        return {element.id: element for element in self}

    def blockable(self) -> tuple[str, ...]:
        """Everything that can silt up: inlets, pipes, outlets, and each way out of a store.

        The parts of a store are named `store/part`; `store/surface` is its open surface.
        """
        parts = [f"{store.id}/{outlet.name}" for store in self.stores for outlet in store.outlets]
        tops = [f"{store.id}{SURFACE}" for store in self.stores if store.rim_m is not None]
        whole = [element.id for element in self if isinstance(element, Inlet | Pipe | Outlet)]
        return (*whole, *parts, *tops)


def received_by(network: Network, target: str) -> str:
    """Id of the pipe, store or outlet that takes what leads to a target below ground.

    Into an inlet a pipe enters below the grate, where the inlet's own pipe or store begins.
    """
    known = network.by_id()
    seen: set[str] = set()
    while isinstance(element := known.get(target), Inlet) and target not in seen:
        seen.add(target)
        target = element.to
    return target


def below(element: Element) -> tuple[str, ...]:
    """Ids that water goes to from an element below ground or, from a catchment, first."""
    match element:
        case Catchment() | Inlet() | Pipe():
            return (element.to,) if element.to else ()
        case Store():
            return tuple(outlet.to for outlet in element.outlets if outlet.to)
        case Outlet() | Edge():
            return ()


def spills(element: Element) -> tuple[str, ...]:
    """Ids that water goes to over the surface when an element does not take it."""
    if isinstance(element, Inlet | Store) and element.spills_to:
        return (element.spills_to,)
    return ()


def low_places(network: Network) -> tuple[tuple[Inlet, ...], ...]:
    """Inlets that spill to one another, together, where nothing of them spills to another inlet.

    Whatever comes over the surface to inlets ends up at one of these low places.
    """
    known = {inlet.id: inlet for inlet in network.inlets}

    def downhill(name: str) -> list[str]:
        walked = [name]
        while (onward := known[walked[-1]].spills_to) in known and onward not in walked:
            walked.append(onward)
        return walked[walked.index(onward) :] if onward in known else walked[-1:]

    ends = {tuple(sorted(downhill(name))) for name in known}
    return tuple(tuple(known[name] for name in names) for names in sorted(ends))


def parts(network: Network) -> dict[str, list[str]]:
    """Where water goes from each part of each element, over the surface and below it.

    An inlet `d` is the surface over it, `d/over`, its grate, `d`, and the box below, `d/box`,
    where pipes may pass through. An open store `s` is `s/over`, `s/surface`, the store `s` and
    its outlets `s/name`. Whatever `Network.blockable` names is a part of its own. Ids that lead
    to nothing known lead nowhere.
    """
    known = network.by_id()
    tops = {inlet.id for inlet in network.inlets}
    tops |= {store.id for store in network.stores if store.rim_m is not None}

    def over(target: str) -> list[str]:
        return [f"{target}{OVER}" if target in tops else target] if target in known else []

    def under(target: str) -> list[str]:
        box = isinstance(known.get(target), Inlet)
        return [f"{target}{BOX}" if box else target] if target in known else []

    links: dict[str, list[str]] = {}
    for element in network:
        name = element.id
        match element:
            case Catchment():
                links[name] = over(element.to)
            case Inlet():
                links[f"{name}{OVER}"] = [name, *over(element.spills_to)]
                links[name] = [f"{name}{BOX}"]
                links[f"{name}{BOX}"] = under(element.to)
            case Pipe():
                links[name] = under(element.to)
            case Store():
                links |= {f"{name}/{outlet.name}": under(outlet.to) for outlet in element.outlets}
                links[name] = [f"{name}/{outlet.name}" for outlet in element.outlets]
            case Outlet() | Edge():
                links[name] = []
        if name in tops and isinstance(element, Store):
            links[f"{name}{OVER}"] = [f"{name}{SURFACE}", *over(element.spills_to)]
            links[f"{name}{SURFACE}"] = [name]
    return links


def topological(links: Mapping[str, Sequence[str]]) -> tuple[list[str], set[str]]:
    """Order in which every node comes before those it leads to, and the nodes that have none."""
    waiting = dict.fromkeys(links, 0)
    for targets in links.values():
        for target in targets:
            waiting[target] += 1
    ready = [node for node in links if waiting[node] == 0]
    order = []
    while ready:
        node = ready.pop()
        order.append(node)
        for target in links[node]:
            waiting[target] -= 1
            if waiting[target] == 0:
                ready.append(target)
    return order, set(links) - set(order)
