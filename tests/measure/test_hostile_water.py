"""Networks that nobody should draw: a right answer with its balance closed, or a clear refusal."""

from __future__ import annotations

import math
from typing import Any

import pytest

from checker.core.problems import BadInput
from checker.core.units import Amount
from checker.measure.drainage.cases import design_flows
from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import storm
from checker.measure.drainage.tried import tried_flows
from checker.measure.survey import Survey
from tests.measure.terrace import DATA, changed, survey
from tests.water.plain import Plain

FOOT_M = 0.3048
DRAIN, LEADER = DATA["ways_out"]["inlets"]
BED = {"kind": "reservoir", "length": "20 ft", "width": "10 ft", "depth": "2 ft",
       "porosity": "40 %", "rim": 99.4}  # fmt: skip
ONE = BED | {"id": "one", "bottom": 97, "spills_to": "two"}
TWO = BED | {"id": "two", "bottom": 96.5, "spills_to": "one"}
PUMP = {"id": "pump", "kind": "pumped", "to": "drain", "flow": "50 gal/min", "duration": "30 min"}


def slab(name: str, corner: list[int], to: str) -> dict[str, Any]:
    return {"id": name, "material": "concrete-slab", "attributes": {"drains_to": to},
            "shape": {"rectangle": {"corner": corner, "size": [5, 5]}}}  # fmt: skip


def stores(*found: dict[str, Any], depth: str = "6 in") -> Survey:
    """The terrace whose drain spills to the first of some stores, in rain of half an hour."""
    return survey(
        ways_out={"inlets": [DRAIN | {"spills_to": "one"}, LEADER], "stores": list(found)},
        storms={"design": {"depth": depth, "duration": "30 min", "shape": "uniform"}},
    )


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (
            {"surfaces": [*DATA["surfaces"], slab("a", [0, 0], "b"), slab("b", [5, 0], "a")]},
            ":73:18: water goes round: a -> b -> a; say of one of them where its water leaves",
        ),
        (
            {"surfaces": [*DATA["surfaces"], slab("a", [0, 0], "a")]},
            "water goes round: a -> a; say of one of them where its water leaves",
        ),
        (
            {"ways_out": {"inlets": changed("inlets", "drain", to="drain")}},
            ":84:4: water goes round: drain -> drain",
        ),
        (
            {"ways_out": {"inlets": changed("inlets", "drain", spills_to="drain")}},
            ":84:4: 'drain' spills to itself",
        ),
        (
            {"ways_out": {"pipes": changed("pipes", "pipe", to="drain")}},
            "water goes round: drain -> pipe -> drain",
        ),
        ({"ways_out": {"inflows": [PUMP | {"to": "pipe"}]}}, "a pipe without an opening above"),
        ({"ways_out": {"inflows": [PUMP | {"to": "lake"}]}}, "leads to 'lake', which does not"),
        (
            {"ways_out": {"inflows": [PUMP | {"duration": "8 day"}]}},
            "'duration' of pump is '8 day', more than there can be",
        ),
    ],
)
def test_what_cannot_run_is_refused_at_its_place(changes: dict[str, Any], says: str) -> None:
    with pytest.raises(BadInput) as told:
        network_of(survey(**changes))
    assert says in str(told.value)


def outlet(to: str) -> dict[str, Any]:
    return {"id": "o", "kind": "pipe", "invert": 97.2, "diameter": "4 in", "to": to}


@pytest.mark.parametrize(
    ("found", "says"),
    [
        ((ONE | {"spills_to": "one"}, TWO), "'one' spills to itself"),
        (
            (ONE | {"outlets": [outlet("two")]}, TWO | {"outlets": [outlet("one")]}),
            "water goes round: one -> two -> one",
        ),
        ((ONE | {"outlets": [outlet("one")]}, TWO), "water goes round: one -> one"),
        (
            (ONE | {"rim": 96}, TWO),
            "the open top of 'one' at 96.000 ft lies no higher than its bottom at 97.000 ft",
        ),
    ],
)
def test_stores_that_cannot_work_are_refused(found: tuple[dict[str, Any], ...], says: str) -> None:
    with pytest.raises(BadInput) as told:
        network_of(stores(*found))
    assert says in str(told.value)


@pytest.mark.parametrize(
    ("found", "depth"),
    [
        ((ONE, TWO), "6 in"),
        # Both are full, each spills to the other and nothing leads on: one sheet of water.
        ((ONE, TWO), "14 in"),
        ((ONE, TWO | {"spills_to": "drain"}), "6 in"),
        ((ONE | {"outlets": [outlet("two")]}, TWO | {"spills_to": "edge"}), "12 in"),
    ],
)
def test_stores_that_spill_into_each_other(found: tuple[dict[str, Any], ...], depth: str) -> None:
    """What came in soaked, left or stands; full on both sides it is one sheet of water.

    A general solver swings for ever where two full stores spill to each other, so it stands beside
    the first alone.
    """
    site = stores(*found, depth=depth)
    network, flows = network_of(site), design_flows(site)
    if found == (ONE, TWO) and depth == "6 in":
        theirs = Plain(network, storm(site, "design")).run(600.0)
        for node, level_m in theirs.highest_m.items():
            mine_m = flows.levels_m[node.replace(" top", "/pond")]
            assert mine_m == pytest.approx(level_m, abs=0.004), node
    if depth == "14 in":
        levels = {flows.stands[name].level_m for name in ("one", "two")}
        assert max(levels) - min(levels) < 0.001
    ends = [end.id for end in network.outlets] + [edge.id for edge in network.edges]
    left_m3 = math.fsum(flows.volume_m3(end) for end in ends)
    soaked_m3 = math.fsum(link.volume_m3 for link in flows.links if link.how == "soaks away")
    stands_m3 = flows.rain_m3 - left_m3 - soaked_m3
    # After three days the stores have run dry: 0.8 ft of water at 0.5 in/h is gone in a day.
    assert stands_m3 == pytest.approx(0, abs=0.002 * flows.rain_m3)


def test_a_pump_adds_what_it_pumps() -> None:
    """50 gal/min for half an hour are 1,500 gal, 5.678 m3; pumping on adds no more to the peak."""
    dry, wet = survey(), survey(ways_out={"inflows": [PUMP]})
    more_m3 = design_flows(wet).rain_m3 - design_flows(dry).rain_m3
    assert more_m3 == pytest.approx(1500 * 231 * 0.0254**3)
    over = wet.measured("design_overflow")
    assert isinstance(over, Amount)
    assert over.value_si > 0
    days = survey(ways_out={"inflows": [PUMP | {"duration": "3 day"}]})
    longer = days.measured("design_overflow")
    assert isinstance(longer, Amount)
    assert longer.value_si >= over.value_si * 0.97


PORCH = {
    "id": "porch",
    "material": "roof",
    "shape": {"rectangle": {"corner": [10, 30], "size": [40, 10]}},
}
BELOW = {"id": "bed", "kind": "reservoir", "under": "terrace", "bottom": 98, "depth": "1 ft",
         "porosity": "40 %", "rim": 99.5, "spills_to": "edge"}  # fmt: skip


def roofed(to: str, **more: Any) -> Survey:
    """The terrace laid permeable over stone, half of it below the roof of a porch."""
    porch = PORCH | {"attributes": {"drains_to": to}}
    terrace = DATA["surfaces"][1] | {"material": "permeable-paving"} | more.pop("terrace", {})
    return survey(
        surfaces=[DATA["surfaces"][0], terrace, porch],
        ways_out={"stores": [BELOW], "inlets": [LEADER | {"spills_to": "edge"}]},
        **more,
    )


def test_a_bed_partly_below_a_roof_gets_what_falls_on_it() -> None:
    """The open half, 400 sq ft, gets 1 in, 0.944 m3; the porch adds 0.95 of as much where it drains

    onto the terrace. The stone lies below all of it: 800 sq ft x 1 ft x 0.4 = 320 cu ft.
    """
    away, onto = roofed("edge"), roofed("terrace")
    for found, water_m3 in ((away, 0.9439), (onto, 0.9439 * 1.95)):
        came = design_flows(found).asked_m3_per_s("bed") * 1800
        assert came == pytest.approx(water_m3, rel=0.01)
        stored = network_of(found).stores[0].shape.stored_m3
        assert stored[1] / FOOT_M**3 == pytest.approx(320)


def test_a_liner_at_one_side_closes_the_walls() -> None:
    """Nobody says how much of the walls stays open: none of them soaks, all of the base does."""
    courses = [
        {"course": "unit", "thickness": "2 in"},
        {"course": "base", "stone": "57", "thickness": "12 in", "porosity": "40 %"},
        {"course": "subgrade"},
    ]
    liner = {"course": "liner", "covers": "one side"}
    takes = []
    for found in (courses, [*courses[:2], liner, courses[2]]):
        section = {"kind": "permeable", "use": "pedestrian", "courses": found}
        site = roofed("edge", terrace={"section": "bed"}, sections={"bed": section})
        (store,) = network_of(site).stores
        takes.append(store.outlets[0].flow_m3_per_s(98.5 * FOOT_M, store.shape))
    # 800 sq ft at 0.5 in/h; with walls of half a foot by 120 ft round it 860 sq ft.
    rate_m_per_s = 0.5 * 0.0254 / 3600
    assert takes == pytest.approx([860 * FOOT_M**2 * rate_m_per_s, 800 * FOOT_M**2 * rate_m_per_s])


def test_water_that_runs_straight_over_an_edge_needs_no_drain() -> None:
    """The roof's 800 sq ft at 0.95 under 1 in: 63.3 cu ft over the edge; none stands."""
    house = DATA["surfaces"][0] | {"attributes": {"purpose": "dwelling", "drains_to": "edge"}}
    found = survey(
        surfaces=[house], panels=None, ways_out={"inlets": [], "pipes": [], "outlets": []}
    )
    (flows,) = tried_flows(found)
    assert flows.volume_m3("edge") / FOOT_M**3 == pytest.approx(63.33, abs=0.01)
    assert abs(flows.balance_fraction) < 1e-12
    for name in ("water_astray", "water_astray_one_blocked", "design_overflow"):
        value = found.measured(name)
        assert isinstance(value, Amount)
        assert value.value_si == 0, name
