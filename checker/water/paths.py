"""Independent ways out: how many things must silt up at once before water has no way left."""

from __future__ import annotations

from collections import defaultdict, deque
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.water.heights import unreached
from checker.water.network import BOX, HARMED, OVER, parts

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from checker.water.network import Network

    Node = tuple[str, str]
    Room = Mapping[Node, dict[Node, int]]

_MANY: Final = 1_000_000
_SINK: Final = ("", "sink")


class Ways(Record):
    """The ways out of one catchment.

    Attributes:
        catchment: Its id.
        paths: Ways that share nothing that can silt up, each as ids in the order of the flow.
        cut: The fewest things that together leave no way; an edge is named though it is open.
    """

    catchment: str
    paths: tuple[tuple[str, ...], ...]
    cut: tuple[str, ...]

    @property
    def count(self) -> int:
        """How many independent ways there are."""
        return len(self.paths)


def independent_ways(network: Network, catchment: str, unwanted: Collection[str] = HARMED) -> Ways:
    """Ways out of a catchment that share no inlet, pipe, outlet, edge or soil.

    The surface over an inlet can not silt up, only its grate; so an inlet with a way on over the
    surface offers two. A store itself can not, but its soil and each opening can. What water never
    gets to, such as a lid above the grate, is no way.

    Args:
        network: Without faults.
        catchment: Id of the catchment.
        unwanted: Edges onto these are no way out.
    """
    links = parts(network)
    shut = {edge.id for edge in network.edges if edge.onto in unwanted} | unreached(network)
    ends = {name for name, targets in links.items() if not targets} - shut
    links |= {name: [] for name in shut}
    free = {name for name in links if name.endswith((OVER, BOX))}
    free |= {store.id for store in network.stores}
    paths, cut = disjoint_paths(links, catchment, ends, free)
    named = (tuple(n for n in path[1:] if not n.endswith((OVER, BOX))) for path in paths)
    return Ways(catchment, tuple(named), cut)


def disjoint_paths(
    links: Mapping[str, Sequence[str]], start: str, ends: Collection[str], free: Collection[str]
) -> tuple[list[tuple[str, ...]], tuple[str, ...]]:
    """Paths from a node to any of the ends that share no node, and a smallest set that cuts all.

    Paths are added one by one, each along ways that may push an earlier one aside, until none is
    found; by Menger's theorem their number is that of the smallest cut.

    Args:
        links: Where each node leads.
        start: The node to leave.
        ends: Nodes that end a path; each ends one.
        free: Nodes that any number of paths may share; the start is one. No end may be free.

    Returns:
        The paths, each from the start to an end, and the nodes of the cut in sorted order.
    """
    room = _split(links, ends, {start, *free})
    source = (start, "in")
    while _SINK in (came := _reached(room, source)):
        way = [_SINK]
        while way[-1] != source:
            way.append(came[way[-1]])
        for b, a in pairwise(way):
            room[a][b] -= 1
            room[b][a] = room[b].get(a, 0) + 1
    cut = sorted(
        name for name, side in came if side == "in" and (name, "out") not in came and name != start
    )
    return _taken_apart(room, start, ends), tuple(cut)


def _split(
    links: Mapping[str, Sequence[str]], ends: Collection[str], free: Collection[str]
) -> defaultdict[Node, dict[Node, int]]:
    """Room for paths: every node is an entrance and an exit, with room for one path between."""
    room: defaultdict[Node, dict[Node, int]] = defaultdict(dict)
    for name in {*links, *ends, *(t for targets in links.values() for t in targets)}:
        room[name, "in"][name, "out"] = _MANY if name in free else 1
        for target in links.get(name, ()):
            room[name, "out"][target, "in"] = _MANY
        if name in ends:
            room[name, "out"][_SINK] = 1
    return room


def _reached(room: Room, source: Node) -> dict[Node, Node]:
    """Every node with room on the way to it, and the node before it."""
    came = {source: source}
    queue = deque([source])
    while queue:
        a = queue.popleft()
        for b in sorted(room[a]):
            if room[a][b] > 0 and b not in came:
                came[b] = a
                queue.append(b)
    return came


def _taken_apart(room: Room, start: str, ends: Collection[str]) -> list[tuple[str, ...]]:
    """The single paths, from the room that they took."""
    onward: dict[str, list[str]] = {}
    for (name, side), back in sorted(room.items()):
        for (before, other), count in back.items():
            if side == "in" and other == "out" and name != before:
                onward.setdefault(before, []).extend([name] * count)
    paths = []
    while onward.get(start):
        path = [start]
        while path[-1] not in ends:
            path.append(onward[path[-1]].pop())
        paths.append(tuple(path))
    return sorted(paths)
