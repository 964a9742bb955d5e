"""How big: the next stocked pipe, grate, dry well or stone that does, and the governing storm.

Sizes come from the table `drainage-stock`, which a user edits. Every storm
of `capacity` is tried. A size is for a licensed engineer to confirm.
"""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.records import Record, replace
from checker.core.showing import named_in, show, small_in
from checker.core.units import FLOW, FOOT_M, INCH_M, Amount, meets
from checker.files.tables import table
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.doubts import hold_to_what_is_sure
from checker.measure.drainage.drawn import need, ways_of
from checker.measure.drainage.inlets import rating_of
from checker.measure.drainage.network import inverts, network_of, roughness_coefficient
from checker.measure.drainage.reservoirs import shape_of, to_the_rim
from checker.measure.drainage.tried import (
    carried,
    hold_to_short_rain,
    storms_to_try,
    tried_flows,
)
from checker.site.drainage_sizes import line_length_m
from checker.water.network import Network, Store
from checker.water.outlets import storage_table
from checker.water.pipe_losses import can_pass_m3_per_s
from checker.water.pipes import full_pipe_diameter_m
from checker.water.routing import emptying_time_s, route
from checker.water.stores import RESIDUAL_M

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from checker.core.units import System
    from checker.measure.survey import Survey
    from checker.site.drainage import Drain, DrainPipe, Pit
    from checker.water.flows import Flows
    from checker.water.storms import Storm

LONGEST_EMPTYING_S: Final = 72 * 3600.0
"""A dry well that takes longer is not chosen; a place may ask for less."""

_MOST_GRATES_COUNT: Final = 12
_MOST_WELLS_COUNT: Final = 4
_DEEPEST_STONE_IN: Final = 48
_MOST_PROOFS_COUNT: Final = 8


class Sized(Record, kw_only=True):
    """What was found for one drain, pipe or dry well.

    Attributes:
        id: Of what was sized.
        kind: pipe, area-drain, channel-drain, dry-well, reservoir.
        drawn: What is drawn, in words.
        needed: What is needed, in words.
        stocked: The next stocked size; empty when none does.
        governing: The storm that asks most.
        is_enough: What is drawn does.
        because: What lacks, where nothing could be sized.
    """

    id: str
    kind: str
    drawn: str
    needed: str = ""
    stocked: str = ""
    governing: str = ""
    is_enough: bool = False
    because: str = ""


def stock(item: str) -> list[Mapping[str, object]]:
    """The stocked sizes of a kind of thing, in the order of the table."""
    return [row for row in table("drainage-stock").rows if row["item"] == item]


def sizes(survey: Survey, said_in: System | None = None) -> tuple[Sized, ...]:
    """Sizes for every drain, pipe, dry well and stone reservoir of a site.

    Args:
        survey: The site.
        said_in: The units to say them in; those of the file when None.

    Raises:
        NotMeasured: The network or the storms lack something.
        BadInput: The network cannot work, or the rain table cannot be read.
    """
    system = said_in or survey.site.own_system

    def work_out(_data: object, _document: object) -> tuple[Sized, ...]:
        network = network_of(survey)
        tried, flows = storms_to_try(survey), tried_flows(survey)
        ways = ways_of(survey)
        drains = [drain for drain in ways.drains if drain.kind != "roof-leader"]
        hold_to_what_is_sure(survey)
        try:
            hold_to_short_rain(survey)
        except NotMeasured as lacks:
            found = [Sized(id=p.id, kind="pipe", drawn="", because=str(lacks)) for p in ways.pipes]
            found += [Sized(id=d.id, kind=d.kind, drawn="", because=str(lacks)) for d in drains]
        else:
            found = [_pipe(pipe, network, tried, flows, system) for pipe in ways.pipes]
            found += [_drain(drain, survey, tried, flows, system) for drain in drains]
        found += [
            _pit(pit, survey, tried, flows, system)
            for pit in ways.pits
            if pit.kind in {"dry-well", "reservoir"}
        ]
        return tuple(found)

    return survey.part(f"sizes in {system}", work_out)


def _governing(tried: Sequence[Storm], flows: Sequence[Flows], name: str) -> tuple[float, str]:
    """Largest flow that comes to an element over all storms, and the first storm that asks it."""
    peaks = [each.asked_m3_per_s(name) for each in flows]
    peak = max(peaks)
    place = next(index for index, each in enumerate(peaks) if meets(each, peak, "at least"))
    return peak, tried[place].title if peak > 0 else "none"


def _pipe(
    pipe: DrainPipe,
    network: Network,
    tried: Sequence[Storm],
    flows: Sequence[Flows],
    system: System,
) -> Sized:
    try:
        slope, roughness = inverts(pipe).slope_fraction, roughness_coefficient(pipe)
        diameter_m = need(pipe.diameter_m, "diameter", pipe.id)
    except NotMeasured as lacks:
        return Sized(id=pipe.id, kind="pipe", drawn="", because=str(lacks))
    peak, governing = _governing(tried, flows, pipe.id)
    drawn = small_in(diameter_m, system)
    if peak == 0:
        return Sized(
            id=pipe.id, kind="pipe", drawn=drawn, governing=governing, is_enough=True,
            because="no storm brings water to it",
        )  # fmt: skip
    routed = next(item for item in network.pipes if item.id == pipe.id)

    def is_enough(inside_m: float) -> bool:
        """Whether a pipe of a size passes what comes in every storm, below the rims over it."""
        other = replace(routed, diameter_m=inside_m)
        return all(
            meets(can_pass_m3_per_s(network, each, other), each.asked_m3_per_s(pipe.id), "at least")
            for each in flows
        )

    needed_m = full_pipe_diameter_m(peak, slope, roughness)
    stocked = next(
        (str(row["size"]) for row in stock("pipe") if is_enough(_number(row, "inside") * INCH_M)),
        "",
    )
    return Sized(
        id=pipe.id,
        kind="pipe",
        drawn=drawn,
        needed=f"{_inside(needed_m, system)} inside",
        stocked=named_in(stocked, system),
        governing=named_in(governing, system),
        is_enough=is_enough(diameter_m),
    )


def _inside(diameter_m: float, system: System) -> str:
    """What a pipe must measure inside: a hundredth of an inch, or a millimetre."""
    is_metric = system == "metric"
    return small_in(diameter_m, system) if is_metric else f"{diameter_m / INCH_M:.2f} in"


def _number(row: Mapping[str, object], key: str) -> float:
    value = row.get(key, 0.0)
    return float(value) if isinstance(value, int | float) else 0.0


def _drain(
    drain: Drain,
    survey: Survey,
    tried: Sequence[Storm],
    flows: Sequence[Flows],
    system: System,
) -> Sized:
    inlet = next(inlet for inlet in network_of(survey).inlets if inlet.id == drain.id)
    peak, governing = _governing(tried, flows, drain.id)

    def takes(other: Drain) -> float:
        rating = rating_of(other, ways_of(survey).clogged_fraction)
        return rating.flow_m3_per_s(inlet.spill_depth_m)

    return Sized(
        id=drain.id,
        kind=drain.kind,
        drawn=_opening(drain, system),
        needed=show(Amount(peak, FLOW), system),
        stocked=named_in(
            (_channel if drain.kind == "channel-drain" else _grates)(drain, peak, takes), system
        ),
        governing=named_in(governing, system),
        is_enough=meets(inlet.capacity_m3_per_s, peak, "at least"),
    )


def _opening(drain: Drain, system: System) -> str:
    if drain.width_m is not None and drain.depth_m is not None:
        return f"{small_in(drain.width_m, system)} wide, {small_in(drain.depth_m, system)} deep"
    size = drain.grate.size if drain.grate else ""
    return f"{named_in(size, system) or 'as measured'} grate"


def _grates(drain: Drain, peak_m3_per_s: float, takes: Callable[[Drain], float]) -> str:
    """The smallest grate that takes a flow, or as many as it takes of the largest."""
    if drain.grate is None:
        return ""
    size, flow = "", 0.0
    for row in stock("grate"):
        size = str(row["size"])
        flow = takes(replace(drain, grate=replace(drain.grate, size=size)))
        if meets(flow, peak_m3_per_s, "at least"):
            return f"1 of {size}"
    counts = range(2, _MOST_GRATES_COUNT + 1)
    count = next((n for n in counts if meets(n * flow, peak_m3_per_s, "at least")), 0)
    return f"{count} of {size}" if count else ""


def _channel(drain: Drain, peak_m3_per_s: float, takes: Callable[[Drain], float]) -> str:
    """The smallest channel of the same length, fall and slot that takes a flow."""
    long_m = line_length_m(drain.points)
    for row in stock("channel"):
        other = replace(
            drain,
            width_m=_number(row, "width") * INCH_M,
            depth_m=_number(row, "depth") * INCH_M,
            open_m2=_number(row, "open") * INCH_M / _number(row, "length") * long_m,
        )
        if meets(takes(other), peak_m3_per_s, "at least"):
            return str(row["size"])
    return ""


def _pit(
    pit: Pit,
    survey: Survey,
    tried: Sequence[Storm],
    flows: Sequence[Flows],
    system: System,
) -> Sized:
    """The smallest store that neither overflows nor stays wet too long in any storm tried.

    Its top stays where it is drawn, so that pipes and overflow keep their levels. Candidates are
    first routed by themselves under all that comes to the store, which is quick; the first that
    does is then proved in the whole network.
    """
    network = network_of(survey)
    try:
        depth_m = need(pit.depth_m, "depth", pit.id)
        top_m = need(pit.bottom_m, "bottom", pit.id) + depth_m
    except NotMeasured as lacks:
        return Sized(id=pit.id, kind=pit.kind, drawn="", because=str(lacks))
    store = next(store for store in network.stores if store.id == pit.id)
    depths_m = [each.stands[store.id].depth_m for each in flows]
    governing = tried[depths_m.index(max(depths_m))].title
    stocked, proofs_left = "", _MOST_PROOFS_COUNT
    for name, count, other in _candidates(pit, top_m, system):
        try:
            is_open = pit.rim_m is not None
            shape = (to_the_rim if is_open else shape_of)(other, survey).times(count)
            bigger = replace(store, shape=shape)
            does = _does_alone(bigger, flows)
        except OutOfRange:
            continue
        if does:
            proofs_left -= 1
            if _does(bigger, _with(network, bigger, tried)):
                stocked = name
                break
        if proofs_left == 0:
            break
    return Sized(
        id=pit.id,
        kind=pit.kind,
        drawn=_words(pit, depth_m, system),
        needed="no overflow in any storm tried, empty within 72 h",
        stocked=named_in(stocked, system),
        governing=named_in(governing, system),
        is_enough=_does(store, flows),
    )


def _words(pit: Pit, depth_m: float, system: System) -> str:
    if pit.kind == "dry-well" and pit.chamber_m is not None and pit.pit_m is not None:
        is_metric = system == "metric"
        deep = f"{depth_m:.3g} m" if is_metric else f"{depth_m / FOOT_M:.3g} ft"
        chamber, pit_size = (small_in(size_m, system) for size_m in (pit.chamber_m, pit.pit_m))
        return f"{chamber} in a pit of {pit_size}, {deep} deep"
    return f"{small_in(depth_m, system)} of stone"


def _candidates(pit: Pit, top_m: float, system: System) -> Iterator[tuple[str, int, Pit]]:
    """Stores to try, from the smallest: whole inches of stone, or one dry well, then several."""
    if pit.kind == "reservoir":
        for inches in range(3, _DEEPEST_STONE_IN + 1):
            depth_m = inches * INCH_M
            yield (
                f"{small_in(depth_m, system)} of stone",
                1,
                replace(pit, depth_m=depth_m, bottom_m=top_m - depth_m),
            )
        return
    for count, row in product(range(1, _MOST_WELLS_COUNT + 1), stock("dry well")):
        depth_m = _number(row, "depth") * INCH_M
        other = replace(
            pit,
            depth_m=depth_m,
            bottom_m=top_m - depth_m,
            chamber_m=_number(row, "chamber") * INCH_M,
            pit_m=_number(row, "pit") * INCH_M,
            stone_below_m=min(pit.stone_below_m or 0.0, depth_m / 4),
        )
        yield str(row["size"]) if count == 1 else f"{count} of {row['size']}", count, other


def _with(network: Network, store: Store, tried: Sequence[Storm]) -> tuple[Flows, ...]:
    """All storms through a network with one store changed."""
    stores = tuple(store if item.id == store.id else item for item in network.stores)
    changed = replace(network, stores=stores)
    return carried(changed, tried)


def _does(store: Store, flows: Sequence[Flows]) -> bool:
    """Whether a store is never over its top and empties in time; a drain below it may run."""
    return all(
        not stand.over and _in_time(stand.emptied_s)
        for stand in (each.stands[store.id] for each in flows)
    )


def _in_time(emptied_s: float | None) -> bool:
    """Whether a store is empty in time; one that never is, is not."""
    return emptied_s is not None and meets(emptied_s, LONGEST_EMPTYING_S, "at most")


def _does_alone(store: Store, flows: Sequence[Flows]) -> bool:
    """The same of the store by itself, under all that comes to it in each storm."""
    table = storage_table(store.shape, store.outlets)
    residual_m3 = table.stored_at_m3(store.shape.bottom_m + RESIDUAL_M)
    for each in flows:
        routed = route(table, each.asked[store.id], each.step_s)
        if routed.peak_level_m > store.top_m:
            return False
        rest_m3 = max(routed.end_m3, residual_m3)
        if not _in_time(emptying_time_s(table, rest_m3, residual_m3)):
            return False
    return True
