"""What a drawing leaves in doubt is reckoned on the safe side, and no rule on flows is judged."""

from __future__ import annotations

from typing import Any

import pytest

from checker.core.units import Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.doubts import doubts
from checker.measure.drainage.network import network_of
from checker.measure.drainage.sheds import sheds
from checker.measure.drainage.sizing import sizes
from checker.measure.survey import Survey
from tests.measure.terrace import DATA, survey

FOOT_M = 0.3048
OF_FLOWS = (
    "pipe_room", "grade_line_room", "drain_room", "independent_ways_out", "water_astray",
    "water_astray_one_blocked", "water_astray_two_blocked", "water_astray_rare", "floor_room",
    "floor_room_one_blocked", "floor_room_rare", "coping_room_one_blocked",
    "stores_emptying_time", "design_overflow", "added_edge_flow",
)  # fmt: skip


def asks(found: Survey, name: str) -> str:
    """What a measure asks for; empty where it answers."""
    return str(getattr(found.measured(name), "ask", ""))


def popping(lid: float, **more: Any) -> Survey:
    """The terrace with its pipe, which ends at 98.30, led to a pop-up with its lid at a level."""
    pop = {"id": "daylight", "kind": "pop-up", "at": [30, 5], "level": lid}
    return survey(ways_out={"outlets": [pop]}, **more)


def test_a_lid_below_its_pipe_is_reckoned_at_its_pipe() -> None:
    """The pipe ends at 98.30: a lid at 98.25 cannot stand on it; at 98.30 and above it can."""
    low = popping(98.25)
    assert network_of(low).outlets[0].level_m == pytest.approx(98.30 * FOOT_M)
    says = (
        "the lid of 'daylight' at 98.250 ft lies below the end of its pipe 'pipe' at 98.300 ft; "
        "correct 'level' of daylight, or lower its pipe"
    )
    assert doubts(low) == (says,)
    for name in OF_FLOWS:
        assert says in asks(low, name), name
    with pytest.raises(NotMeasured, match="correct 'level' of daylight"):
        sizes(low)
    # What does not hang on the flows is judged all the same.
    for name in ("undrained_area", "pipe_fall_share", "least_pipe_fall"):
        assert isinstance(low.measured(name), Amount), name
    for lid in (98.30, 98.40):
        assert doubts(popping(lid)) == ()
        assert not asks(popping(lid), "grade_line_room")


def test_a_lid_below_the_ground_opens_at_the_ground() -> None:
    """A foot beside it the ground will be at 98.90: the water must rise so far to leave.

    A tenth of a foot of grass over it still opens: ground at 98.49 over a lid at 98.40.
    """
    ground = [{"at": [30, 6], "level": 98.90, "what": "ground"}]
    low = popping(98.40, levels=ground)
    assert network_of(low).outlets[0].level_m == pytest.approx(98.90 * FOOT_M)
    assert "lies below the ground there, 98.900 ft" in asks(low, "water_astray")
    ground[0]["level"] = 98.49
    assert doubts(popping(98.40, levels=ground)) == ()


HALVES = [
    {"id": "west", "on": "terrace", "points": [[10, 20], [30, 20], [30, 40], [10, 40]],
     "level": 100, "at": [30, 40], "pitch": "1/4 in/ft", "toward": 180, "drains_to": "drain"},
    {"id": "east", "on": "terrace", "points": [[30, 20], [50, 20], [50, 40], [30, 40]],
     "level": 100, "at": [30, 40], "pitch": "1/4 in/ft", "toward": 180, "drains_to": "edge"},
]  # fmt: skip


def run_on(panels: list[dict[str, Any]], **attributes: Any) -> Survey:
    """A shed's roof, 10 ft wide, whose water runs onto the terrace beside it."""
    roof = {"id": "shed", "material": "roof",
            "shape": {"rectangle": {"corner": attributes.pop("corner"), "size": [10, 10]}},
            "attributes": {"drains_to": "terrace"} | attributes}  # fmt: skip
    return survey(surfaces=[*DATA["surfaces"], roof], panels=panels)


def way_of(found: Survey, surface: str) -> tuple[str, float]:
    (shed,) = (shed for shed in sheds(found) if shed.surface == surface)
    return shed.to, shed.area_m2 / FOOT_M**2


def test_water_runs_on_over_the_panel_beside_it() -> None:
    """West of the terrace lies its west half, which goes to the drain; east of it the other."""
    for corner, way in (([0, 25], "drain"), ([50, 25], "edge")):
        found = run_on(HALVES, corner=corner)
        to, area_ft2 = way_of(found, "shed")
        assert (to, round(area_ft2, 6)) == (way, 100)
        assert doubts(found) == ()


def test_where_panels_lead_apart_the_one_that_takes_run_on_is_asked_for() -> None:
    """South of both halves at once: 100 sq ft more or less over a drain that takes 400."""
    both = run_on(HALVES, corner=[25, 10])
    says = (
        "shed drains onto terrace, whose panels beside it lead to drain, edge; give 'onto_panel' "
        "of shed, a panel with one way"
    )
    assert doubts(both) == (says,)
    assert says in asks(both, "drain_room")
    for panel, way in (("west", "drain"), ("east", "edge")):
        named = run_on(HALVES, corner=[25, 10], onto_panel=panel)
        assert way_of(named, "shed")[0] == way
        assert doubts(named) == ()
    wrong = run_on(HALVES, corner=[25, 10], onto_panel="north")
    assert way_of(wrong, "shed")[0] == ""
    alike = run_on([HALVES[0], HALVES[1] | {"drains_to": "drain"}], corner=[25, 10])
    assert way_of(alike, "shed")[0] == "drain"
    assert doubts(alike) == ()


def test_an_upper_roof_drains_by_the_leader_of_the_lower_one() -> None:
    """100 sq ft more at the only leader; of two, which one takes them is asked for."""
    roof = {"id": "dormer", "material": "roof", "attributes": {"drains_to": "house"},
            "shape": {"rectangle": {"corner": [0, 40], "size": [10, 10]}}}  # fmt: skip
    surfaces = [*DATA["surfaces"], roof]
    one = survey(surfaces=surfaces)
    assert way_of(one, "dormer") == ("leader", pytest.approx(100))  # type: ignore[comparison-overlap]
    assert doubts(one) == ()
    inlets = DATA["ways_out"]["inlets"]
    two = survey(surfaces=surfaces, ways_out={"inlets": [*inlets, inlets[1] | {"id": "other"}]})
    assert "which has the leaders leader, other" in doubts(two)[0]


def porous(stone: str, share: str, **ground: Any) -> Survey:
    """The terrace on permeable paving whose section does not say its level, with a typed share."""
    section = {
        "kind": "permeable", "use": "pedestrian", "subgrade_slope": "0 %",
        "courses": [
            {"course": "unit", "thickness": "2 in"},
            {"course": "base", "stone": "57", "thickness": stone, "porosity": "40 %"},
            {"course": "subgrade"},
        ],
    }  # fmt: skip
    terrace = DATA["surfaces"][1] | {"material": "permeable-paving", "section": "terrace"}
    panel = DATA["panels"][0] | {"runoff": share}
    return survey(
        surfaces=[DATA["surfaces"][0], terrace],
        panels=[panel],
        sections={"terrace": section},
        ground={"measured_rate": "0 in/h"} | ground,
    )


@pytest.mark.parametrize(
    ("stone", "ground", "counted"),
    [
        # The rare storm brings 3 in, and 7.5 in of stone at 40 % hold just that.
        ("7.5 in", {}, 0.05),
        ("7.4 in", {}, 1.0),
        ("2 in", {}, 1.0),
        # Rain as typed may fall at once: what soaks away meanwhile is not counted on.
        ("7.4 in", {"measured_rate": "2 in/h"}, 1.0),
    ],
)
def test_permeable_paving_sheds_as_typed_only_where_its_stone_holds_the_storm(
    stone: str, ground: dict[str, Any], counted: float
) -> None:
    found = porous(stone, "5 %", **ground)
    (shed,) = (shed for shed in sheds(found) if shed.surface == "terrace")
    assert shed.runoff_fraction == pytest.approx(counted)
    assert ("give 'top' of terrace" in shed.because) == (counted == 1.0)


def test_permeable_paving_without_a_section_sheds_all() -> None:
    terrace = DATA["surfaces"][1] | {"material": "permeable-paving"}
    panel = DATA["panels"][0] | {"runoff": "5 %"}
    found = survey(surfaces=[DATA["surfaces"][0], terrace], panels=[panel])
    (shed,) = (shed for shed in sheds(found) if shed.surface == "terrace")
    assert shed.runoff_fraction == 1.0
    assert "nothing says what its stone holds" in shed.because


def dug(*stores: dict[str, Any]) -> Survey:
    """The terrace with stores beside it; its lot is 60 ft square, its house 40 by 20 at the top."""
    usual: dict[str, Any] = {"bottom": 93.6, "depth": "5 ft", "porosity": "40 %"}
    if stores[0]["kind"] == "any-shape":
        usual = {}
    led = [
        {"id": f"uphill-{place}", "kind": "off-site", "area": "100 sq ft", "runoff": "40 %",
         "to": store["id"]}
        for place, store in enumerate(stores)
    ]  # fmt: skip
    open_top = {"rim": 99.6, "spills_to": "edge"}
    edges = [DATA["ways_out"]["overflow_edges"][0] | {"crest": 99.6}]
    inlets = [
        {key: value for key, value in item.items() if key != "spills_to"}
        for item in DATA["ways_out"]["inlets"]
    ]
    ways = {"stores": [usual | open_top | store for store in stores], "inflows": led,
            "overflow_edges": edges, "inlets": inlets}  # fmt: skip
    return survey(ways_out=ways)


WELL = {"id": "well", "kind": "dry-well", "chamber": "2 ft", "pit": "8 ft"}
BASIN = {"id": "basin", "kind": "basin", "length": "20 ft", "width": "10 ft", "side_slope": 2}


@pytest.mark.parametrize(
    ("store", "fits"),
    [
        # Its middle 4 ft from the lot line: it just fits; nearer it does not.
        (WELL | {"at": [4, 10]}, True),
        (WELL | {"at": [3.9, 10]}, False),
        (WELL | {"at": [30, 50]}, False),
        (WELL | {"at": [30, 35.9]}, True),
        (WELL | {"at": [30, 36.1]}, False),
        # Without a place: 40 ft are left below the house.
        (WELL | {"pit": "39.9 ft"}, True),
        (WELL | {"pit": "40.2 ft"}, False),
        # 20 x 10 ft and 2 : 1 to 5 ft: 40 x 30 ft at the brim, a circle of 30 ft lies in it.
        (BASIN | {"at": [30, 20]}, True),
        (BASIN | {"at": [30, 14]}, False),
        (BASIN | {"length": "60 ft", "side_slope": 0, "width": "30 ft"}, True),
        (BASIN | {"length": "85 ft", "side_slope": 0, "width": "10 ft"}, False),
        # A circle of 39 ft lies below the house and 84.5 ft across the lot, but of 2,925 sq ft
        # only 2,800 are free; of 70 x 39 ft, 2,730.
        (BASIN | {"length": "75 ft", "side_slope": 0, "width": "39 ft"}, False),
        (BASIN | {"length": "70 ft", "side_slope": 0, "width": "39 ft"}, True),
        # 30 x 30 ft in the corner: turned along the lot lines it just lies there.
        (BASIN | {"length": "30 ft", "width": "30 ft", "side_slope": 0, "at": [15, 15]}, True),
        # 60 x 60 - 40 x 20 = 2,800 sq ft are not built on.
        ({"id": "any", "kind": "any-shape", "rows": [
            {"level": 90, "stored": "0 gal", "base": "2801 sq ft", "walls": "0 sq ft"},
            {"level": 95, "stored": "900 gal", "base": "2801 sq ft", "walls": "9 sq ft"},
        ]}, False),
    ],
)  # fmt: skip
def test_a_pit_lies_on_the_lot(store: dict[str, Any], *, fits: bool) -> None:
    found = dug(store)
    assert bool(doubts(found)) != fits, doubts(found)
    assert bool(asks(found, "design_overflow")) != fits
    if not fits:
        assert f"{store['id']}" in asks(found, "stores_emptying_time")
        assert "correct" in asks(found, "stores_emptying_time")


def test_two_pits_do_not_lie_in_each_other() -> None:
    """Pits of 8 ft, 8 ft apart, touch; 7 ft apart they are one hole counted twice."""
    other = WELL | {"id": "other"}
    apart = dug(WELL | {"at": [10, 10]}, other | {"at": [18, 10]})
    assert doubts(apart) == ()
    near = dug(WELL | {"at": [10, 10]}, other | {"at": [17, 10]})
    assert doubts(near) == ("well and other lie in each other; correct 'at' of one of them",)
