"""Laws of water that hold for any numbers: more rain, more runoff; nothing lost; no magic."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.core.records import replace
from checker.core.units import same
from checker.water.blockages import blockages
from checker.water.channels import Channel, channel_flow_m3_per_s, channel_normal_depth_m
from checker.water.conveyance import carry, carry_cases, carry_storms
from checker.water.flows import Flows
from checker.water.ground import mean_usable_depth_m
from checker.water.network import Network
from checker.water.openings import Grate, grate_depth_m, grate_flow_m3_per_s
from checker.water.outlets import Infiltration, Orifice, StoreOutlet, Weir, storage_table
from checker.water.pipes import pipe_flow_m3_per_s, pipe_normal_depth_m
from checker.water.routing import emptying_time_s, route
from checker.water.runoff import Cover, mixed_runoff_depth_m, runoff_depth_m
from checker.water.stepping import _Walk
from checker.water.stores import StorageTable, dry_well, stone_bed
from checker.water.storms import Storm, runoff_series_m3_per_s
from tests.laws.sizes import tried
from tests.water.networks import TERRACE

if TYPE_CHECKING:
    from collections.abc import Iterator

RAIN = st.floats(0.0, 0.5)
NUMBER = st.floats(30.0, 100.0)
STEPS = st.lists(st.floats(0.0, 0.02), min_size=1, max_size=40)
ROOM = 1 + 1e-9


@st.composite
def tables(draw: st.DrawFn) -> StorageTable:
    """Any table: rising levels and volumes, outflows that never fall."""
    count = draw(st.integers(2, 6))
    rises = st.floats(0.01, 5.0)
    levels = np.cumsum([draw(rises) for _ in range(count)])
    stored = np.cumsum([0.0, *(draw(rises) for _ in range(count - 1))])
    outlets = draw(st.integers(0, 3))
    flows = [
        np.cumsum([draw(st.sampled_from([0.0, 0.0, 0.001, 0.01])) for _ in range(count)])
        for _ in range(outlets)
    ]
    return StorageTable(
        levels_m=tuple(levels.tolist()),
        stored_m3=tuple(stored.tolist()),
        outlets=tuple(f"outlet {i}" for i in range(outlets)),
        flows_m3_per_s=tuple(tuple(flow.tolist()) for flow in flows),
    )


@st.composite
def stores(draw: st.DrawFn) -> StorageTable:
    """A stone bed or a dry well with soil, a drain and an edge."""
    depth_m = draw(st.floats(0.2, 2.0))
    if draw(st.booleans()):
        shape = stone_bed(
            0.0, depth_m, draw(st.floats(1, 20)), 3.0, 0.4, draw(st.sampled_from([0.0, 0.01, 0.1]))
        )
    else:
        shape = dry_well(0.0, depth_m, 0.6, draw(st.floats(0.7, 3.0)), 0.4)
    rate = draw(st.sampled_from([0.0, 1e-7, 3e-6, 1e-4]))
    return storage_table(
        shape.then(0.2, 2.0),
        (
            Infiltration(rate_m_per_s=rate, counts_base=draw(st.booleans())),
            Orifice(invert_m=draw(st.floats(0.0, depth_m)), diameter_m=0.05),
            Weir(crest_m=depth_m, length_m=1.0),
        ),
    )


@given(RAIN, RAIN, NUMBER)
def test_more_rain_never_gives_less_runoff(first: float, second: float, number: float) -> None:
    low, high = sorted((first, second))
    assert runoff_depth_m(low, number) <= runoff_depth_m(high, number) * ROOM
    assert runoff_depth_m(high, number) <= high * ROOM


@given(RAIN, NUMBER, NUMBER)
def test_a_higher_curve_number_never_gives_less_runoff(
    rain: float, first: float, second: float
) -> None:
    low, high = sorted((first, second))
    assert runoff_depth_m(rain, low) <= runoff_depth_m(rain, high) + 1e-12


@given(RAIN, st.lists(st.tuples(st.floats(1, 500), NUMBER), min_size=1, max_size=5))
def test_both_weightings_agree_on_one_cover(rain: float, parts: list[tuple[float, float]]) -> None:
    alike = [Cover(area, parts[0][1]) for area, _ in parts]
    assert mixed_runoff_depth_m(rain, alike, weighting="runoff") == pytest.approx(
        mixed_runoff_depth_m(rain, alike, rounding="none"), abs=1e-9
    )


@given(STEPS, st.sampled_from([0.0, 100.0, 300.0, 750.0]))
def test_delay_keeps_the_volume_and_never_raises_the_peak(
    depths: list[float], delay_s: float
) -> None:
    storm = Storm(step_s=300.0, depths_m=tuple(depths))
    flow = runoff_series_m3_per_s(storm, 100.0, 0.9, delay_s)
    assert sum(flow) * 300 == pytest.approx(90 * storm.depth_m, abs=1e-9)
    assert max(flow) <= max(depths) * 90 / 300 * ROOM + 1e-15
    assert min(flow) >= 0


@given(st.one_of(tables(), stores()), STEPS, st.sampled_from([1.0, 60.0, 3600.0]))
def test_water_in_is_water_out_and_stored(
    table: StorageTable, inflow: list[float], step_s: float
) -> None:
    for every_step in (True, False):
        routed = route(table, inflow, step_s, every_step=every_step)
        assert abs(routed.balance_fraction) < 1e-9
        assert all(volume >= -1e-12 for volume in routed.outflow_m3.values())
        assert routed.end_m3 >= table.stored_m3[0]
        assert routed.peak_m3 >= routed.end_m3 * (1 - 1e-12)


@given(st.one_of(tables(), stores()), STEPS, st.floats(0.0, 0.01))
def test_more_inflow_never_stands_lower(
    table: StorageTable, inflow: list[float], more: float
) -> None:
    less = route(table, inflow, 300.0)
    plus = route(table, [q + more for q in inflow], 300.0)
    assert (plus.stored_m3 >= less.stored_m3 - 1e-9 * (1 + less.stored_m3)).all()


@given(st.one_of(tables(), stores()), STEPS)
def test_steps_cut_in_three_change_nothing(table: StorageTable, inflow: list[float]) -> None:
    whole = route(table, inflow, 300.0)
    thirds = route(table, np.repeat(inflow, 3), 100.0)
    assert thirds.stored_m3[2::3] == pytest.approx(whole.stored_m3, rel=1e-7, abs=1e-9)


@given(stores(), st.floats(0.05, 1.0), st.floats(0.0, 1.0))
def test_emptying_takes_the_sum_of_its_parts(
    table: StorageTable, start: float, middle: float
) -> None:
    top = table.stored_m3[0] + start * (table.stored_m3[-1] - table.stored_m3[0])
    floor = table.stored_m3[1]
    if top <= floor:
        return
    between = floor + middle * (top - floor)
    whole = emptying_time_s(table, top, floor)
    parts = emptying_time_s(table, top, between) + emptying_time_s(table, between, floor)
    assert parts == pytest.approx(whole, rel=1e-9)


@given(stores(), st.floats(0.05, 1.0), st.floats(10.0, 3e5))
def test_emptying_time_is_what_routing_takes(
    table: StorageTable, start: float, step_s: float
) -> None:
    top = table.stored_m3[0] + start * (table.stored_m3[-1] - table.stored_m3[0])
    end, half = (route(table, [0.0], s, start_m3=top).end_m3 for s in (step_s, step_s / 2))
    if half - end > 1e-6 * top and end > 1e-6 * top:
        # It is still on its way, neither empty nor at rest below its lowest outlet.
        assert emptying_time_s(table, top, end) == pytest.approx(step_s, rel=1e-6)


@given(st.floats(0.02, 3.0), st.floats(0.5, 30.0), st.floats(0.0, 0.2), st.floats(0.0, 0.2))
def test_a_steeper_base_never_stores_more(
    depth_m: float, length_m: float, first: float, second: float
) -> None:
    low, high = sorted((first, second))
    steep = mean_usable_depth_m(depth_m, length_m, high)
    assert steep <= mean_usable_depth_m(depth_m, length_m, low) * ROOM <= depth_m * ROOM**2


@given(st.floats(0.05, 0.5), st.floats(0.002, 0.1), st.floats(0.01, 1.0))
def test_depth_and_flow_of_a_pipe_are_each_other_turned_round(
    diameter_m: float, slope: float, share: float
) -> None:
    flow = share * pipe_flow_m3_per_s(diameter_m, slope, 0.012)
    depth_m = pipe_normal_depth_m(flow, diameter_m, slope, 0.012)
    back = pipe_flow_m3_per_s(diameter_m, slope, 0.012, depth_m / diameter_m)
    assert back == pytest.approx(flow, rel=1e-9)


@given(st.floats(0.0, 1.0), st.floats(0.0, 5.0), st.floats(0.001, 0.1), st.floats(1e-5, 0.1))
def test_depth_and_flow_of_a_channel_are_each_other_turned_round(
    bottom_m: float, side_run: float, slope: float, flow: float
) -> None:
    channel = Channel(bottom_m + (0.05 if side_run < 0.1 else 0.0), side_run)
    depth_m = channel_normal_depth_m(channel, flow, slope, 0.013)
    assert channel_flow_m3_per_s(channel, depth_m, slope, 0.013) == pytest.approx(flow, rel=1e-9)


@given(st.floats(0.2, 3.0), st.floats(0.005, 0.2), st.floats(0.0, 0.02))
def test_a_clogged_grate_never_stands_lower(edge_m: float, open_m2: float, flow: float) -> None:
    clean = Grate(
        perimeter_m=edge_m, open_m2=open_m2, open_edge_fraction=1.0, open_area_fraction=1.0
    )
    clogged = Grate(perimeter_m=edge_m, open_m2=open_m2)
    assert grate_depth_m(clogged, flow) >= grate_depth_m(clean, flow) / ROOM
    depth_m = grate_depth_m(clogged, flow)
    assert grate_flow_m3_per_s(clogged, depth_m) == pytest.approx(flow, rel=1e-6, abs=1e-12)


STORMS = st.builds(
    Storm, step_s=st.just(300.0), depths_m=st.lists(st.floats(0.0, 0.02), max_size=12).map(tuple)
)


TWELVE = st.lists(STORMS, min_size=12, max_size=12)
"""Storms of one example go through a network together, for three times the time of one."""

FEW = tried(15)
"""Each example carries a storm through a network in several cases."""

BATCHES = tried(5)
"""Each example carries twelve storms through a network twice: 60 in all."""


def carried(network: Network, storms: list[Storm]) -> tuple[Flows, ...]:
    """Storms through an open network, followed for two hours."""
    return carry_storms(network, storms, after_s=7200)


BLOCKED = st.sets(st.sampled_from(TERRACE.blockable()), max_size=4)


@FEW
@given(STORMS, st.lists(BLOCKED, min_size=4, max_size=4))
def test_no_water_is_lost_in_a_network(storm: Storm, cases: list[set[str]]) -> None:
    for flows, blocked in zip(carry_cases(TERRACE, storm, cases, after_s=7200), cases, strict=True):
        assert abs(flows.balance_fraction) < 1e-9
        for link in flows.links:
            assert link.flow_m3_per_s.min() >= -1e-15
            assert not (link.start in blocked and link.how == "passes on" and not link.through)


def to_the_end(network: Network, flows: Flows) -> float:
    """Water that ends where the drains were meant to bring it: soil and outlets."""
    over = sum(flows.volume_m3(edge.id) for edge in network.edges)
    return flows.rain_m3 - over - flows.standing_m3


SINGLE = replace(
    TERRACE,
    catchments=TERRACE.catchments[1:2],
    inlets=(replace(TERRACE.inlets[1], spills_to="south-edge"),),
    pipes=(TERRACE.pipes[1], TERRACE.pipes[4]),
    stores=TERRACE.stores[1:],
)


@FEW
@given(STORMS, st.sampled_from(SINGLE.blockable()))
def test_blocking_a_single_line_never_helps(storm: Storm, blocked: str) -> None:
    """One drain, one pipe, one well: with anything blocked no more gets to its end."""
    closed, opened = carry_cases(SINGLE, storm, [(blocked,), ()], after_s=86400)
    assert to_the_end(SINGLE, closed) <= to_the_end(SINGLE, opened) + 1e-9


@FEW
@given(STORMS, st.sampled_from(TERRACE.blockable()))
def test_blocking_never_lowers_the_water_where_it_is_blocked(storm: Storm, blocked: str) -> None:
    """What is upstream of nothing that changed stays as it is: the roof's leader takes its rain."""
    with_it, without = carry_cases(TERRACE, storm, [(blocked,), ()], after_s=7200)
    drain = blocked if blocked in {inlet.id for inlet in TERRACE.inlets} else ""
    if drain and drain in without.stands:
        assert with_it.stands[drain].level_m >= without.stands[drain].level_m - 1e-9


@BATCHES
@given(TWELVE)
def test_rain_of_two_storms_never_stands_lower_than_that_of_one(storms: list[Storm]) -> None:
    doubled = [replace(s, depths_m=tuple(2 * depth for depth in s.depths_m)) for s in storms]
    found = carried(SINGLE, [*storms, *doubled])
    for one, two in zip(found[:12], found[12:], strict=True):
        for name, stand in one.stands.items():
            level_m = two.stands[name].level_m
            assert level_m >= stand.level_m - 1e-9 or same(level_m, stand.level_m)


@FEW
@given(STORMS.filter(lambda storm: len(storm.depths_m) < 8))
def test_the_worst_two_are_no_better_than_the_worst_one(storm: Storm) -> None:
    found = blockages(SINGLE, storm, after_s=3600)
    ends = [flows.volume_m3("south-edge") + flows.standing_m3 for flows in found.single]
    if found.worst_pair is not None:
        pair = found.worst_pair
        assert pair.volume_m3("south-edge") + pair.standing_m3 >= max(ends) - 1e-9


LITTLE_M = 0.002
"""Two runs take their own steps: levels of either are known to within this."""


TOLD_M = 0.009
"""A level is told with what its steps missed, which is known to within this beside an explicit
balance: `tests/water/test_explicit.py`."""


def no_lower(less: Flows, more: Flows, within_m: float) -> None:
    """No level of the one lies below that of the other."""
    for name, level_m in less.levels_m.items():
        assert more.levels_m[name] >= level_m - within_m, name


def as_stepped(network: Network, storms: list[Storm]) -> tuple[Flows, ...]:
    """The same with levels as the steps end, without what these missed."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(_Walk, "whole", lambda self, level, *_: (level, self.owed_m3))
        return carried(network, storms)


def none_lower(
    less: tuple[Network, list[Storm]], more: tuple[Network, list[Storm]]
) -> Iterator[tuple[Flows, Flows]]:
    """The flows of each storm in two ways, of which the second has no lower level."""
    for one, two in zip(as_stepped(*less), as_stepped(*more), strict=True):
        no_lower(one, two, LITTLE_M)
    for one, two in zip(carried(*less), carried(*more), strict=True):
        no_lower(one, two, TOLD_M)
        yield one, two


def narrowed(network: Network, share: float) -> Network:
    """The network with its last pipe, the one to the outlet, narrower."""
    *others, last = network.pipes
    return replace(network, pipes=(*others, replace(last, diameter_m=last.diameter_m * share)))


def shrunk(network: Network, share: float) -> Network:
    """The network with less room in every store, the soil below them as before."""
    stores = tuple(
        replace(
            store,
            shape=replace(
                store.shape, stored_m3=tuple(share * stored for stored in store.shape.stored_m3)
            ),
        )
        for store in network.stores
    )
    return replace(network, stores=stores)


@BATCHES
@given(TWELVE, st.floats(1.0, 3.0))
def test_more_rain_never_lowers_a_level_or_an_overflow(storms: list[Storm], times: float) -> None:
    more = [replace(s, depths_m=tuple(times * depth for depth in s.depths_m)) for s in storms]
    for one, two in none_lower((TERRACE, storms), (TERRACE, more)):
        room_m3 = 0.01 * two.rain_m3
        assert two.volume_m3("south-edge") >= one.volume_m3("south-edge") - room_m3


@BATCHES
@given(TWELVE, st.floats(0.3, 1.0))
def test_a_narrower_outlet_pipe_never_lowers_a_level(storms: list[Storm], share: float) -> None:
    for wide, narrow in none_lower((TERRACE, storms), (narrowed(TERRACE, share), storms)):
        assert narrow.volume_m3("pop-up") <= wide.volume_m3("pop-up") + 0.01 * wide.rain_m3


@BATCHES
@given(TWELVE, st.floats(0.3, 1.0))
def test_less_storage_never_lowers_a_level(storms: list[Storm], share: float) -> None:
    for roomy, tight in none_lower((TERRACE, storms), (shrunk(TERRACE, share), storms)):
        assert tight.rain_m3 == pytest.approx(roomy.rain_m3)


def shifted(network: Network, by_m: float) -> Network:
    """The network with all its levels counted from elsewhere."""

    def moved(item: object, *names: str) -> Any:
        given = {name: getattr(item, name) for name in names}
        return replace(item, **{n: v + by_m for n, v in given.items() if v is not None})  # type: ignore[type-var]

    def outlet(item: StoreOutlet) -> StoreOutlet:
        if isinstance(item, Orifice):
            return replace(item, invert_m=item.invert_m + by_m)
        return replace(item, crest_m=item.crest_m + by_m) if isinstance(item, Weir) else item

    stores = [
        replace(
            moved(store, "rim_m"),
            shape=replace(store.shape, levels_m=tuple(z + by_m for z in store.shape.levels_m)),
            outlets=tuple(outlet(item) for item in store.outlets),
        )
        for store in network.stores
    ]
    return replace(
        network,
        inlets=tuple(moved(item, "rim_m") for item in network.inlets),
        pipes=tuple(moved(item, "upper_m", "lower_m") for item in network.pipes),
        stores=tuple(stores),
        outlets=tuple(moved(item, "level_m") for item in network.outlets),
        edges=tuple(moved(item, "crest_m") for item in network.edges),
    )


@FEW
@given(STORMS, st.sampled_from([-100.0, 30.48, 2000.0]))
def test_a_shifted_datum_shifts_levels_and_nothing_else(storm: Storm, by_m: float) -> None:
    here = carry(TERRACE, storm, after_s=7200, to_rest=False)
    there = carry(shifted(TERRACE, by_m), storm, after_s=7200, to_rest=False)
    for name, level_m in here.levels_m.items():
        assert there.levels_m[name] - by_m == pytest.approx(level_m, abs=1e-6)
    for end in ("south-edge", "pop-up"):
        assert there.volume_m3(end) == pytest.approx(here.volume_m3(end), rel=1e-6, abs=1e-8)


@BATCHES
@given(TWELVE, st.sets(st.sampled_from(TERRACE.blockable()), max_size=3))
def test_no_depth_is_negative_and_steps_agree_with_finer_ones(
    storms: list[Storm], blocked: set[str]
) -> None:
    flows = carry(TERRACE, storms[0], blocked, after_s=7200, to_rest=False)
    halves = [
        Storm(step_s=150.0, depths_m=tuple(depth / 2 for depth in s.depths_m for _ in range(2)))
        for s in storms
    ]
    finer = carry(TERRACE, halves[0], blocked, after_s=7200, to_rest=False)
    pairs = [(flows, finer), *zip(carried(TERRACE, storms), carried(TERRACE, halves), strict=True)]
    for coarse, fine in pairs:
        assert all(stand.depth_m >= 0 for stand in coarse.stands.values())
        for name, level_m in coarse.levels_m.items():
            assert fine.levels_m[name] == pytest.approx(level_m, abs=0.01), name
