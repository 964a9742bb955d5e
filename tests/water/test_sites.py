"""Whole sites: levels beside a general solver, and what must come of each, reckoned by hand.

The sites are invented. Each showed once how a calculation of drainage can say what is not so.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.core.showing import show
from checker.core.units import RATIO, Amount
from checker.files.source import read_text
from checker.measure.drainage.cases import design_cases, design_flows
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import storm
from checker.measure.drainage.sizing import sizes
from checker.measure.survey import Survey
from checker.measure.words import built_in
from checker.site.read import site_of
from checker.water.conveyance import carry
from checker.water.network import low_places
from tests.water.plain import Plain

SITES = Path(__file__).parent / "sites"
GALLON_M3 = 231 * 0.0254**3
FOOT_M = 0.3048


def site(name: str, *changes: tuple[str, str]) -> Survey:
    """A site with some texts replaced."""
    path = SITES / f"{name}.yaml"
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return Survey(site_of(read_text(text, path.name), path), built_in(), {})


def lot(found: Survey, name: str, unit: str) -> float:
    value = found.measured(name)
    assert isinstance(value, Amount), value
    return value.to(unit)


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("two-drains", ()),
        ("two-drains", (("diameter: 4 in", "diameter: 2.5 in"),)),
        ("french-drain", ()),
        ("pool-channel", ()),
        ("bed-with-drain", ()),
        ("slow-joints", ()),
        ("one-low-place", ()),
        ("one-low-place", (("diameter: 4 in", "diameter: 3 in"),)),
        ("shared-pipe", ()),
        ("two-ponds", ()),
        ("low-pop-up", ()),
        ("clogged", ()),
    ],
)
def test_levels_agree_with_a_solver_of_differential_equations(
    name: str, changes: tuple[tuple[str, str], ...]
) -> None:
    survey = site(name, *changes)
    network, rain = network_of(survey), storm(survey, "design")
    theirs = Plain(network, rain).run(600.0)
    ours = carry(network, rain, after_s=600.0, to_rest=False)
    for node, level_m in theirs.highest_m.items():
        mine_m = ours.levels_m[node.replace(" top", "/pond")]
        assert mine_m == pytest.approx(level_m, abs=0.003), node
    soaked = math.fsum(link.volume_m3 for link in ours.links if link.how == "soaks away")
    for end, volume_m3 in theirs.gone_m3.items():
        mine_m3 = soaked if end == "soil" else ours.volume_m3(end)
        assert mine_m3 == pytest.approx(volume_m3, abs=0.004 * ours.rain_m3), end


def test_only_the_holes_above_the_stone_store() -> None:
    """5 in on 800 sq ft are 2,493.5 gal; the stone holds 800 x 10 / 12 x 0.4 = 1,994.8 gal.

    The 5.6 in of pavers and bedding over it hold nothing unless their holes are given: 498.7 gal
    go over the edge; with 5 % 0.28 in, 139.6 gal, less.
    """
    dry = design_flows(site("full-bed"))
    assert dry.volume_m3("edge") / GALLON_M3 == pytest.approx(498.7, abs=1)
    holes = site("full-bed", ("porosity: 40 %", "porosity: 40 %, cover_porosity: 5 %"))
    assert design_flows(holes).volume_m3("edge") / GALLON_M3 == pytest.approx(359.1, abs=1)
    assert not next(item for item in sizes(site("full-bed")) if item.id == "bed").is_enough


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("buried-well", "'plane' sheds into 'well', a buried store without an opening above"),
        ("onto-a-pipe", "'east' sheds into 'p2', a pipe without an opening above"),
    ],
)
def test_water_needs_an_opening(name: str, says: str) -> None:
    with pytest.raises(BadInput) as error:
        network_of(site(name))
    assert says in str(error.value)


def test_a_smaller_pipe_betters_no_emptying_time() -> None:
    """Below its low drain the bed of 800 sq ft holds 0.6 ft x 0.4, and soaks 0.01 in an hour.

    Base and walls: 800 + 120 x 0.6 / 2 sq ft on average over 192 cu ft: 192 / (836 x 0.01 / 12) =
    276 h, with either pipe; a calculation that lets backed-up water overwrite the level says 0.
    What the longest rain leaves above the drain comes on top, some hours as the drain runs dry.
    """
    for name in ("small-outlet", "wide-outlet"):
        assert 276 < lot(site(name), "stores_emptying_time", "h") < 276 * 1.05


def test_backed_up_water_fills_the_store_before_it_leaves() -> None:
    """The bed beside the door's drain is nearly empty: nothing goes over the edge to the house."""
    found = site("shared-pipe")
    assert lot(found, "water_astray", "gal") == 0
    flows = design_flows(found)
    assert any(link.how == "backs up" and link.end == "bed" for link in flows.links)


def test_two_drains_share_one_low_place() -> None:
    """71 gal/min come; the first takes what it can, the second the rest, the house nothing."""
    for name in ("one-low-place", "two-ponds"):
        found = site(name)
        assert lot(found, "water_astray", "gal") == 0
        flows = design_flows(found)
        assert flows.passed_m3_per_s("pa") + flows.passed_m3_per_s("pb") == pytest.approx(
            flows.asked_m3_per_s("first"), rel=0.01
        )


def test_drains_of_one_low_place_are_judged_together() -> None:
    """1,000 sq ft at 0.95 under 0.6 in in 5 min, 7.2 in/h: 0.01039 x 7.2 x 950 = 71.1 gal/min.

    The first takes 3.0 x 4 ft x 0.5 x (0.5 / 12)^1.5 = 0.051 cu ft/s, 22.9 gal/min, less than
    comes. Two that spill to each other take the whole together; of two in a row the last must take
    what the first leaves.
    """
    both = site("two-ponds")
    takes = {inlet.id: inlet.capacity_m3_per_s for inlet in network_of(both).inlets}
    assert takes["first"] * 60 / GALLON_M3 == pytest.approx(22.9, rel=0.05)
    whole = (takes["first"] + takes["second"]) * 60 / GALLON_M3
    assert lot(both, "drain_room", "%") == pytest.approx(100 * whole / 71.07, rel=0.002)
    ends = [[inlet.id for inlet in group] for group in low_places(network_of(both))]
    assert ends == [["first", "second"]]

    row = site("one-low-place")
    ends = [[inlet.id for inlet in group] for group in low_places(network_of(row))]
    assert ends == [["second"]]
    assert lot(row, "drain_room", "%") > 100
    # 71.1 - 22.0 = 49.1 are left for a grate of 6 in under 0.25 in: 3.0 x 1 ft x 0.0208^1.5 = 4.0.
    small = ("rim: 99.50, grate: {size: 12 in square}", "rim: 99.50, grate: {size: 6 in square}")
    shallow = ("spill_depth: 3 in", "spill_depth: 0.25 in")
    low = ("crest: 99.70", "crest: 99.50")
    assert lot(site("one-low-place", small, shallow, low), "drain_room", "%") < 25


TABLE = (
    """design: {depth: 5 in, duration: 2 h, shape: uniform}
  rare: {depth: 9 in, duration: 2 h, shape: uniform}""",
    "table: rain.csv\n  design: {return_period: 10, duration: 1 h}",
)


def test_the_worst_storm_of_the_table_decides_what_overflows() -> None:
    """The bed holds 4 in and soaks nothing: of the hour's 2.0 in it keeps all, and of the 4.3 in

    of the day it sheds 0.3 in on 800 sq ft, 149.6 gal, though the hour is what was asked for.
    """
    found = site("full-bed", TABLE)
    assert design_flows(found).volume_m3("edge") == 0
    assert lot(found, "design_overflow", "gal") == pytest.approx(149.6, abs=1)
    assert lot(found, "stores_emptying_time", "h") == math.inf


def test_blocked_cases_never_see_an_even_day() -> None:
    """4.3 in spread over a day are 0.18 in/h; nested, its hardest 5 min still bring 7.2 in/h."""
    even = ("design: {return_period: 10, duration: 1 h}",
            "design: {return_period: 10, duration: 24 h, shape: uniform}")  # fmt: skip
    found = site("two-ponds", even)
    day = design_cases(found).open
    assert day.asked_m3_per_s("first") * 60 / GALLON_M3 == pytest.approx(71.07, rel=0.01)
    # 4.3 in on 950 sq ft are 340.4 cu ft.
    assert day.rain_m3 / FOOT_M**3 == pytest.approx(340.4, rel=0.001)


def test_what_is_not_there_has_no_share() -> None:
    found = site("full-bed")
    for name in ("pipe_room", "drain_room", "pipe_fall_share"):
        assert lot(found, name, "%") == math.inf
    assert show(Amount(math.inf, RATIO, "%"), "us") == "none found"


def test_a_ring_test_of_the_paving_limits_what_its_store_gets() -> None:
    """Clogged to 0.5 in/h on the mean of two places, a bed of stone gets 1 in of 5 in in 2 h.

    On 800 sq ft 4 in run over the edge: 1,995 gal; with 200 in/h the stone is what is full: 499.
    """
    section = """sections:
  bed:
    kind: permeable
    use: pedestrian
    courses:
      - {course: unit, title: pavers, thickness: 80 mm}
      - {course: base, stone: "57", thickness: 10 in, porosity: 40 %}
      - {course: subgrade}
    walk: {tests: [RATES]}
ways_out:"""
    named = ("attributes: {purpose: patio}", "section: bed, attributes: {purpose: patio}")
    for rates, gallons in (("0.2 in/h, 0.8 in/h", 1994.8), ("200 in/h", 498.7)):
        found = site("full-bed", named, ("ways_out:", section.replace("RATES", rates)))
        over = design_flows(found).volume_m3("edge") / GALLON_M3
        assert over == pytest.approx(gallons, rel=0.01), rates


def test_a_channel_beside_the_pool_has_no_room_when_its_pipe_is_blocked() -> None:
    """Its edge onto the pool, 99.60, lies below the coping, 99.65: what is over it is lost."""
    found = site("pool-channel")
    assert lot(found, "water_astray_one_blocked", "gal") > 1300
    assert lot(found, "coping_room_one_blocked", "in") < 0


def test_a_leader_takes_no_more_than_its_mouth_lets_in() -> None:
    """4 in under 1 in of water: the weir 3.0 x 1.047 ft x 0.0833^1.5 = 0.0756 cu ft/s, 33.9."""
    leader = "- {id: l, kind: roof-leader, of: house, at: [20, 30], diameter: 4 in, to: p1}"
    found = site("two-drains", ("  inlets:\n", f"  inlets:\n    {leader}\n"))
    inlet = next(item for item in network_of(found).inlets if item.id == "l")
    assert inlet.capacity_m3_per_s / GALLON_M3 * 60 == pytest.approx(33.9, abs=0.2)


def test_a_pop_up_at_grade_works_against_its_riser() -> None:
    """The lid at 99.40 leaves 0.2 ft to the grates at 99.60: far less than the full 111 gal/min."""
    found = site("pop-up-at-grade")
    assert lot(found, "grade_line_room", "in") < 0
    assert lot(found, "pipe_room", "%") < 100
    assert lot(site("low-pop-up"), "pipe_room", "%") == pytest.approx(100 * 111.0 / 56.85, rel=0.01)


def test_a_rate_of_the_surface_needs_a_surface() -> None:
    trench = ("length: 40 ft, width: 18 in, ", "length: 40 ft, ")
    lacks = site("french-drain", trench).measured("stores_emptying_time")
    assert "give 'under' of french" in str(getattr(lacks, "ask", ""))
    # 60 sq ft x 20 in/h x 0.01039 = 12.5 gal/min.
    store = network_of(site("french-drain")).stores[0]
    assert store.surface_m3_per_s / GALLON_M3 * 60 == pytest.approx(12.47, abs=0.02)


def test_a_design_that_keeps_all_its_water_is_judged() -> None:
    """No pipe, no drain in the paving, nothing over an edge: nothing of it is unknown."""
    found = site("full-bed", ("measured_rate: 0 in/h", "measured_rate: 2 in/h"),
                 ("depth: 5 in", "depth: 1 in"))  # fmt: skip
    for name, unit in (
        ("pipe_fall_share", "%"), ("pipe_cover_least", "in"), ("drain_drop_least", "in"),
        ("floor_room", "in"), ("grade_line_room", "in"), ("independent_ways_out", ""),
    ):  # fmt: skip
        assert lot(found, name, unit) > 0, name
    assert lot(found, "design_overflow", "gal") == 0


@pytest.mark.parametrize("name", ["two-drains", "pool-channel", "dry-well", "one-low-place"])
def test_feet_and_metres_say_the_same(name: str) -> None:
    feet, metres = site(name), site(f"{name}-metric")
    for measure in ("water_astray", "design_overflow", "stores_emptying_time", "pipe_room",
                    "drain_room", "grade_line_room"):  # fmt: skip
        one, other = feet.measured(measure), metres.measured(measure)
        assert isinstance(one, Amount)
        assert isinstance(other, Amount)
        assert other.value_si == pytest.approx(one.value_si, rel=1e-4, abs=1e-4), measure


BED_SECTION = """sections:
  bed:
    kind: permeable
    use: pedestrian
    courses:
      - {course: unit, title: pavers, thickness: 3 in}
      - {course: bedding, stone: "8", thickness: 2 in, porosity: 40 %}
      - {course: base, stone: "57", thickness: 10 in, porosity: 40 %}
      - {course: subgrade}
ways_out:"""
IN_SECTION = (
    ("attributes: {purpose: patio}", "section: bed, attributes: {purpose: patio}"),
    ("ways_out:", BED_SECTION),
)


def test_a_reservoir_lies_where_the_section_over_it_ends() -> None:
    """15 in of section below an open surface at 99.90: 98.65; 10 in of stone, 5 in above it."""
    given = ("bottom: 98.60, depth: 10 in, porosity: 40 %, ", "")
    found = site("full-bed", *IN_SECTION, given)
    (store,) = network_of(found).stores
    assert [level / FOOT_M for level in store.shape.levels_m] == pytest.approx(
        [98.65, 98.65 + 10 / 12, 99.90]
    )
    assert ways_of(found).pits[0].bottom_is_of_section
    # 800 sq ft x 10 in x 40 %; the bedding over it holds 800 x 2 / 12 x 0.4 more.
    assert store.shape.stored_m3[1] / FOOT_M**3 == pytest.approx(266.67, abs=0.01)
    assert store.shape.stored_m3[2] / FOOT_M**3 == pytest.approx(266.67 + 53.33, abs=0.01)
    no_level = site("full-bed", *IN_SECTION, given, ("rim: 99.90, spills_to: edge, ", ""))
    assert "give 'bottom' of bed" in str(getattr(no_level.measured("design_overflow"), "ask", ""))


@pytest.mark.parametrize(
    ("name", "change", "says"),
    [
        (
            "full-bed",
            ("measured_rate: 0 in/h", "measured_rate: 1e9 in/h"),
            "more than there can be",
        ),
        ("full-bed", ("porosity: 40 %", "porosity: 40 %, cover_porosity: 100 %"), "0 to 50 %"),
        (
            "full-bed",
            ("design: {depth: 5 in", "design: {depth: 0 in"),
            "'depth' of the design storm",
        ),
    ],
)
def test_numbers_that_no_site_has_are_refused(
    name: str, change: tuple[str, str], says: str
) -> None:
    """Each of them made every finding of the site pass."""
    with pytest.raises(BadInput, match="cannot be used") as told:
        design_flows(site(name, change))
    assert says in str(told.value)


def test_a_bed_is_no_larger_than_what_it_lies_below() -> None:
    """400 by 100 ft below a terrace of 800 sq ft, 920 with a foot all round: 43.5 times."""
    wide = site("full-bed", ("depth: 10 in", "length: 400 ft, width: 100 ft, depth: 10 in"))
    assert "bed is 43.5 times as large as 'terrace'" in str(
        getattr(wide.measured("design_overflow"), "ask", "")
    )
    fits = site("full-bed", ("depth: 10 in", "length: 40 ft, width: 20 ft, depth: 10 in"))
    assert lot(fits, "design_overflow", "gal") == pytest.approx(498.7, abs=1)


def test_nobody_types_dry_paving() -> None:
    """A slab never sheds less than 70 % (HEC-22, table 3-1); 0 % made every drain pass."""
    typed = site("two-drains", ("pitch:", "runoff: 0 %, pitch:"))
    least = site("two-drains", ("pitch:", "runoff: 70 %, pitch:"))
    usual = site("two-drains")
    one, other, most = (lot(found, "drain_room", "%") for found in (typed, least, usual))
    assert one == pytest.approx(other, rel=1e-9)
    assert one == pytest.approx(most * 0.95 / 0.70, rel=0.01)


SMALL_PIPES = (
    ("upper: 98.40, slope: 1 %", "upper: 98.40, slope: 2.1 %"),
    ("upper: 98.15, slope: 1 %", "upper: 97.9, slope: 2.1 %"),
    ("diameter: 4 in", "diameter: 2 in"),
    ("level: 97.50", "level: 96.0"),
)


def test_an_even_day_betters_no_small_pipe() -> None:
    """71.1 gal/min come; 2 in at 2.1 % carry 0.463 / 0.009 x (1/6)^(8/3) x 0.021^0.5 = 0.0628.

    That is 28.2 gal/min, 40 % of what comes. As 4.3 in spread over a day, 1.8 gal/min, every pipe
    would do: the storm that is tried decides, not the one that is typed.
    """
    even = ("design: {return_period: 10, duration: 1 h}",
            "design: {return_period: 10, duration: 24 h, shape: uniform}")  # fmt: skip
    for change in ((), (even,)):
        found = site("two-drains", *SMALL_PIPES, *change)
        assert lot(found, "pipe_room", "%") < 40
        assert lot(found, "grade_line_room", "in") < 0
        small = {item.id for item in sizes(found) if item.kind == "pipe" and not item.is_enough}
        assert "p2" in small


def test_a_pop_up_without_a_level_is_asked_for_it() -> None:
    found = site("pop-up-at-grade", ("kind: pop-up, at: [78, 110], level: 99.40", "kind: pop-up"))
    for name in ("pipe_room", "water_astray", "design_overflow"):
        assert "give 'level' of pop" in str(getattr(found.measured(name), "ask", "")), name


def test_a_pipe_that_leads_into_a_smaller_one_is_counted() -> None:
    wide = ("id: p1, to: in-b, diameter: 4 in", "id: p1, to: in-b, diameter: 6 in")
    assert lot(site("two-drains"), "pipes_that_narrow", "") == 0
    assert lot(site("two-drains", wide), "pipes_that_narrow", "") == 1
