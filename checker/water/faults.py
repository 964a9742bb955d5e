"""What makes a drainage network impossible: loops, orphans, water that would run uphill."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from checker.core.records import Record, Struct, field
from checker.water.network import (
    Catchment,
    Edge,
    Inlet,
    Outlet,
    Pipe,
    Store,
    below,
    spills,
    topological,
)
from checker.water.outlets import Infiltration

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from checker.water.network import Element, Network
    from checker.water.outlets import StoreOutlet

FaultKind = Literal["double", "unknown", "closed", "loop", "orphan", "uphill", "level"]


class Fault(Record):
    """Why a network cannot work.

    Attributes:
        element: Id of the element at fault, the first of a loop.
        kind: What kind of fault.
        says: What is wrong.
        do: What to do about it.
    """

    element: str
    kind: FaultKind
    says: str
    do: str


def _in_metres(length_m: float) -> str:
    return f"{length_m:g} m"


class _Faults(Struct, kw_only=True):
    length: Callable[[float], str]
    items: list[Fault] = field(default_factory=list)

    def add(self, element: str, kind: FaultKind, says: str, do: str) -> None:
        self.items.append(Fault(element, kind, says, do))


def faults(network: Network, length: Callable[[float], str] = _in_metres) -> tuple[Fault, ...]:
    """Everything that makes a network impossible: each named, none hidden by another.

    Looks for double and unknown ids, loops, drains that lead nowhere or get no water, pipes and
    surface flows that run uphill, and ends below what receives them. Levels that are None are
    passed over: a missing level is for the caller to ask for.
    """
    found = _Faults(length=length)
    seen: set[str] = set()
    for element in network:
        if element.id in seen:
            found.add(
                element.id, "double", f"'{element.id}' is there twice", "give each its own id"
            )
        seen.add(element.id)
    known = network.by_id()
    _check_links(known, found)
    _check_tops(known, found)
    _check_loops(known, found)
    _check_levels(network, known, found)
    return tuple(found.items)


def _check_links(known: Mapping[str, Element], found: _Faults) -> None:
    reached = {t for element in known.values() for t in (*below(element), *spills(element))}
    for element in known.values():
        for target in (*below(element), *spills(element)):
            if target not in known:
                says = f"'{element.id}' leads to '{target}', which does not exist"
                found.add(element.id, "unknown", says, "write the id of what it leads to")
            elif isinstance(known[target], Catchment):
                says = (
                    f"'{element.id}' leads to '{target}', which is a surface that only sheds water"
                )
                found.add(element.id, "unknown", says, "lead to an inlet, pipe, store or outlet")
        if element.id in spills(element):
            says = f"'{element.id}' spills to itself"
            do = "say where its water goes over the surface, or leave 'spills_to' out"
            found.add(element.id, "loop", says, do)
        for name in _dead_ends(element):
            found.add(element.id, "orphan", f"'{name}' leads nowhere", "say what it drains to")
        if isinstance(element, Inlet | Pipe | Store) and element.id not in reached:
            says = f"no water comes to '{element.id}'"
            found.add(element.id, "orphan", says, "lead a surface or a pipe to it, or leave it out")


def _check_tops(known: Mapping[str, Element], found: _Faults) -> None:
    """Water over the surface needs an opening to go into: a pipe or a buried store has none."""
    for element in known.values():
        surface = (element.to,) if isinstance(element, Catchment) else spills(element)
        for target in surface:
            lower = known.get(target)
            buried = isinstance(lower, Store) and lower.rim_m is None
            if isinstance(lower, Pipe | Outlet) or buried:
                noun = "a pipe" if isinstance(lower, Pipe) else "an outlet"
                noun = "a buried store" if buried else noun
                says = f"'{element.id}' sheds into '{target}', {noun} without an opening above"
                do = "lead it to a drain"
                do += f", or give '{target}' the 'rim' of its open top" if buried else " over it"
                found.add(element.id, "closed", says, do)


def _dead_ends(element: Element) -> list[str]:
    """What should lead on and does not; soil is an end of its own."""
    match element:
        case Catchment() | Inlet() | Pipe():
            return [] if element.to else [element.id]
        case Store():
            return [
                f"{element.id}/{outlet.name}"
                for outlet in element.outlets
                if not outlet.to and not isinstance(outlet, Infiltration)
            ]
        case Outlet() | Edge():
            return []


def _check_loops(known: Mapping[str, Element], found: _Faults) -> None:
    links = {element.id: [t for t in below(element) if t in known] for element in known.values()}
    _, left = topological(links)
    while left:
        loop = _loop_in(links, left)
        says = f"water goes round: {' -> '.join([*loop, loop[0]])}"
        found.add(loop[0], "loop", says, "let one of them lead somewhere else")
        left = left - set(loop)
        links = {node: [t for t in links[node] if t in left] for node in left}
        _, left = topological(links)


def _loop_in(links: Mapping[str, Sequence[str]], left: set[str]) -> list[str]:
    """A loop among nodes that have no order; it begins with the first id in the alphabet."""
    before: dict[str, str] = {}
    for node in sorted(left):
        for target in links[node]:
            if target in left:
                before.setdefault(target, node)
    node = min(left)
    walked: list[str] = []
    while node not in walked:
        walked.append(node)
        node = before[node]
    loop = walked[walked.index(node) :][::-1]
    first = loop.index(min(loop))
    return loop[first:] + loop[:first]


def _check_levels(network: Network, known: Mapping[str, Element], found: _Faults) -> None:
    for pipe in network.pipes:
        _check_pipe(pipe, found)
    for element in known.values():
        for target in below(element):
            if target in known:
                _check_step(element, known[target], found)
        if isinstance(element, Store):
            _check_rim(element, found)
            for outlet in element.outlets:
                _check_opening(element, outlet, known.get(outlet.to), found)
        for target in spills(element):
            if target in known and isinstance(element, Inlet | Store):
                _check_spill(element, known[target], found)


def _check_pipe(pipe: Pipe, found: _Faults) -> None:
    if pipe.upper_m <= pipe.lower_m:
        upper, lower = found.length(pipe.upper_m), found.length(pipe.lower_m)
        word = "is level" if pipe.upper_m == pipe.lower_m else "runs uphill"
        says = f"the pipe '{pipe.id}' {word}, from {upper} to {lower}"
        found.add(pipe.id, "uphill", says, "lower its end or raise its start")


def _check_rim(store: Store, found: _Faults) -> None:
    if store.rim_m is not None and store.rim_m <= store.shape.bottom_m:
        says = (
            f"the open top of '{store.id}' at {found.length(store.rim_m)} lies no higher than its "
            f"bottom at {found.length(store.shape.bottom_m)}"
        )
        found.add(store.id, "level", says, "correct 'rim' or 'bottom'")


def _end_m(element: Element) -> float | None:
    """Level at which an element hands water on below ground."""
    match element:
        case Inlet():
            return element.rim_m
        case Pipe():
            return element.lower_m
        case Catchment() | Store() | Outlet() | Edge():
            return None


def _start_m(element: Element) -> float | None:
    """Level at which an element takes water below ground; None where water may rise into it."""
    match element:
        case Pipe():
            return element.upper_m
        case Outlet():
            return None if element.is_riser else element.level_m
        case Store():
            return element.shape.bottom_m
        case Catchment() | Inlet() | Edge():
            return None


def _check_step(upper: Element, lower: Element, found: _Faults) -> None:
    end_m, start_m = _end_m(upper), _start_m(lower)
    if end_m is not None and start_m is not None and end_m < start_m:
        says = (
            f"'{upper.id}' ends at {found.length(end_m)}, below '{lower.id}' that should take its "
            f"water at {found.length(start_m)}"
        )
        found.add(upper.id, "level", says, "raise the one or lower the other")


def _check_opening(
    store: Store, outlet: StoreOutlet, lower: Element | None, found: _Faults
) -> None:
    """A mouth or edge of a store lies no lower than what takes its water: it is no siphon."""
    if lower is None or isinstance(outlet, Infiltration):
        return
    start_m, sill_m = _start_m(lower), outlet.bends_m[0]
    if start_m is not None and sill_m < start_m:
        says = (
            f"the outlet '{outlet.name}' of '{store.id}' lies at {found.length(sill_m)}, below "
            f"'{lower.id}' that should take its water at {found.length(start_m)}"
        )
        found.add(store.id, "level", says, "raise the one or lower the other")


def _check_spill(upper: Inlet | Store, lower: Element, found: _Faults) -> None:
    level_m = -math.inf
    if isinstance(lower, Edge):
        level_m = lower.crest_m
    elif isinstance(lower, Inlet | Store) and lower.rim_m is not None:
        level_m = lower.rim_m
    if isinstance(upper, Inlet) and upper.spill_m < level_m:
        says = (
            f"water at '{upper.id}' goes on at {found.length(upper.spill_m)}, too low to reach "
            f"'{lower.id}' at {found.length(level_m)}"
        )
        found.add(upper.id, "uphill", says, "name the lower way, or check both levels")
