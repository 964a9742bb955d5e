"""Lots drawn so that they would pass though their water cannot leave: each is named for what it is.

The terrace of `terrace.py`: 40 by 20 ft before the house, at 100.00 ft by the wall and 1/4 in/ft
down to 99.583 at a drain; a pipe to daylight at 98.2; an edge beside the drain at 99.58; the floor
at 100.5. The lot is 60 ft square.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from checker.core.problems import BadInput
from checker.measure.drainage.doubts import doubts
from tests.measure.terrace import DATA, changed, survey

if TYPE_CHECKING:
    from checker.measure.survey import Survey

FLOWS = ("water_astray", "independent_ways_out", "floor_room", "drain_room", "design_overflow")
LINES = [[0, 0], [60, 0], [60, 60], [0, 60]]
EDGE = DATA["ways_out"]["overflow_edges"][0]
LOW = [{"at": at, "level": 99} for at in LINES]
"""The lot round the terrace lies at 99.00, below all of it."""


def is_named(found: Survey, *words: str) -> None:
    """One doubt says these words, and nothing about flows is judged."""
    (told,) = doubts(found)
    for word in words:
        assert word in told
    for name in FLOWS:
        assert words[0] in str(getattr(found.measured(name), "ask", "")), name


def sided(**sides: list[int]) -> dict[str, Any]:
    return {"boundary": {"points": LINES}, "sides": sides}


def ended(kind: str, at: list[float], level: float = 98.2, **more: Any) -> Survey:
    """The pipe led to an end, and long enough to get there from the drain: at most 36.4 ft."""
    end = {"id": "daylight", "kind": kind, "at": at, "level": level}
    pipes = changed("pipes", "pipe", length="40 ft")
    return survey(ways_out={"outlets": [end], "pipes": pipes}, **more)


@pytest.mark.parametrize(
    ("kind", "at", "sides", "says"),
    [
        ("daylight", [30, 1], {}, ""),
        ("daylight", [-5, 10], {}, "opens on other land than the lot"),
        ("daylight", [0, 10], {}, "opens on other land than the lot"),
        ("pop-up", [-5, 10], {"front": [1], "side": [2, 4]}, "opens on other land than the lot"),
        # A ditch along the street, over the front line.
        ("daylight", [30, -2], {"front": [1], "side": [2, 4]}, ""),
        ("daylight", [30, -2], {"rear": [1]}, "opens on other land than the lot"),
        ("curb", [30, 0], {}, ""),
        ("curb", [30, 0], {"front": [1], "side": [2, 4]}, ""),
        ("curb", [0, 30], {"front": [1], "side": [2, 4]}, "is a curb at a 'side' line of the lot"),
        # At the corner it is at the front as well.
        ("curb", [0, 0.5], {"side": [2, 4], "front": [1]}, ""),
        ("sewer", [-5, 10], {}, ""),
    ],
)
def test_a_pipe_that_opens_on_the_neighbour(
    kind: str, at: list[float], sides: dict[str, list[int]], says: str
) -> None:
    found = ended(kind, at, 98.4, lot=sided(**sides) if sides else {"boundary": {"points": LINES}})
    if says:
        is_named(found, says)
    else:
        assert doubts(found) == ()


@pytest.mark.parametrize(
    ("spots", "level", "is_buried"),
    [
        ([], 98.2, False),
        ([([30, 10], 99.5)], 98.2, True),
        # Two feet beside it tells; its pipe of half a foot and a tenth of a foot of grass are open.
        ([([30, 12], 98.79)], 98.2, False),
        ([([30, 12], 98.81)], 98.2, True),
        # Nothing beside it: the ground lies straight between spots on all sides, 99.3 there.
        ([([0, 0], 99.3), ([60, 0], 99.3), ([30, 19.9], 99.3)], 98.2, True),
        ([([0, 0], 98.5), ([60, 0], 98.5), ([30, 19.9], 98.5)], 98.2, False),
    ],
)
def test_daylight_below_the_ground(
    spots: list[tuple[list[float], float]], level: float, is_buried: bool
) -> None:
    levels = [{"at": at, "level": spot, "what": "ground"} for at, spot in spots]
    found = ended("daylight", [30, 10], level, levels=levels)
    if is_buried:
        is_named(found, "opens below the ground there", "give a spot level")
    else:
        assert doubts(found) == ()


@pytest.mark.parametrize(
    ("crest", "depth", "is_high"),
    [
        (99.58, "1 in", False),
        # 100.00 is the highest of the paving; levels go by hundredths.
        (100.0, None, False),
        (100.01, None, False),
        (100.02, None, True),
        (100.6, None, True),
        # 8 in over the grate at 99.56 is 100.227.
        (99.58, "8 in", True),
        (99.58, "5 in", False),
    ],
)
def test_an_overflow_above_all_of_its_paving(
    crest: float, depth: str | None, is_high: bool
) -> None:
    found = survey(
        ways_out={
            "overflow_edges": [EDGE | {"crest": crest}],
            "inlets": changed("inlets", "drain", spill_depth=depth),
        }
    )
    if is_high:
        is_named(found, "above all the paving that sheds to it, 100.000 ft at most")
    else:
        assert doubts(found) == ()


@pytest.mark.parametrize(("floor", "ways"), [(100.5, 2), (99.59, 2), (99.58, 1), (99.0, 1)])
def test_an_overflow_as_high_as_the_floor_is_no_second_way(floor: float, ways: float) -> None:
    """The edge at 99.58: before water goes over it, it is in a house whose floor lies so low."""
    found = survey(ways_out={"lowest_floor": floor})
    assert getattr(found.measured("independent_ways_out"), "value_si", None) == ways


@pytest.mark.parametrize(
    ("side", "onto", "says"),
    [
        ("side", "street", "line 4 of the lot, a 'side' line, and its 'onto' is 'street'"),
        ("rear", "street", "line 4 of the lot, a 'rear' line, and its 'onto' is 'street'"),
        ("front", "street", ""),
        ("side", "neighbour", ""),
    ],
)
def test_a_street_where_the_file_says_there_is_none(side: str, onto: str, says: str) -> None:
    edge = EDGE | {"along": [[0, 10], [0, 30]], "onto": onto, "existing_flow": "0 gal/min"}
    found = survey(ways_out={"overflow_edges": [edge]}, lot=sided(**{side: [4]}), levels=LOW)
    if says:
        is_named(found, says)
    else:
        assert doubts(found) == ()


@pytest.mark.parametrize(("flow", "is_told"), [(74, True), (75, False), (10000, False)])
def test_more_before_than_all_the_rain_on_the_lot(flow: float, is_told: bool) -> None:
    """1 in in half an hour on 3,600 sq ft: 300 cu ft, 2,244 gal, 74.8 gal/min."""
    edge = EDGE | {"onto": "street", "existing_flow": f"{flow} gal/min"}
    found = survey(ways_out={"overflow_edges": [edge]}).measured("added_edge_flow")
    assert ("more than the hardest rain" in str(getattr(found, "ask", ""))) == (not is_told)


def welled(table: str, more: dict[str, Any]) -> Survey:
    """A dry well at the end of the pipe, 4 ft deep below 1 ft of ground."""
    well = {"id": "well", "kind": "dry-well", "at": [30, 8], "bottom": 93.5, "depth": "4 ft",
            "chamber": "2 ft", "pit": "4 ft", "porosity": "40 %", "cover": "1 ft"}  # fmt: skip
    well = {key: value for key, value in (well | more).items() if value is not None}
    ground = {"measured_rate": "1 in/h", "safety_factor": 2, "water_table_depth": table}
    ways = {"stores": [well], "pipes": changed("pipes", "pipe", to="well"), "outlets": []}
    return survey(ways_out=ways, ground=ground)


@pytest.mark.parametrize(
    ("table", "more", "is_wet"),
    [
        ("5.1 ft", {}, False),
        ("5 ft", {}, True),
        ("3 ft", {}, True),
        # Nobody says how much ground lies over it: its own depth alone is known.
        ("4.1 ft", {"cover": None}, False),
        ("4 ft", {"cover": None}, True),
        # No soil is counted on: a tank may stand in water.
        ("3 ft", {"soil": {"base": "no", "walls": "no"}}, False),
    ],
)
def test_a_store_in_groundwater(table: str, more: dict[str, Any], is_wet: bool) -> None:
    found = welled(table, more)
    if is_wet:
        is_named(found, "to seasonal high water at", "soil takes nothing")
    else:
        assert doubts(found) == ()


def test_a_channel_without_a_pipe_and_a_pipe_that_rises() -> None:
    """Both stop the check at their lines."""
    for ways, says in (
        ({"inlets": changed("inlets", "drain", to=None)}, "'drain' leads nowhere"),
        ({"pipes": changed("pipes", "pipe", upper=98.1)}, "runs uphill"),
    ):
        with pytest.raises(BadInput, match=says):
            survey(ways_out=ways).measured("water_astray")


def test_two_drains_into_one_pipe_are_one_way() -> None:
    """The second drain stands higher and spills to the first; both go down the one pipe."""
    drain, leader = changed("inlets", "drain", spills_to=None)
    second = drain | {"id": "second", "rim": 99.6, "at": [20, 21], "spills_to": "drain"}
    inlets = [drain, leader | {"spills_to": "second"}, second]
    found = survey(ways_out={"inlets": inlets, "overflow_edges": []})
    assert getattr(found.measured("independent_ways_out"), "value_si", None) == 1


FALLS = ("least_pipe_fall", "pipe_fall_share", "pipe_speed_least")
SHORT = [
    # From the drain at 30, 20 to 30, 1 it is 19 ft: 5 % and a foot less, 17.05 ft, are rounding.
    ([30, 1], "19 ft", False),
    ([30, 1], "17.1 ft", False),
    ([30, 1], "17 ft", True),
    ([30, 1], "1.9 ft", True),
    # 30 across and 15 down: 33.54 ft, of which 30.86 ft.
    ([0.01, 5], "31 ft", False),
    ([0.01, 5], "30.8 ft", True),
    # A pipe may wind.
    ([30, 1], "60 ft", False),
]


@pytest.mark.parametrize(("at", "long", "is_short"), SHORT)
@pytest.mark.parametrize("unit", ["ft", "m"])
def test_a_pipe_shorter_than_from_its_drain_to_its_end(
    at: list[float], long: str, is_short: bool, unit: str
) -> None:
    """In metres the same: the numbers of the file times 0.3048."""
    end = {"id": "daylight", "kind": "daylight", "at": at, "level": 98.2}
    ways = {"outlets": [end], "pipes": changed("pipes", "pipe", length=long)}
    found = survey(ways_out=ways) if unit == "ft" else metric(ways_out=ways)
    if is_short:
        is_named(found, "straight from drain to daylight; correct 'length' of pipe, or where")
        for name in FALLS:
            assert "correct 'length' of pipe" in str(getattr(found.measured(name), "ask", "")), name
    else:
        assert doubts(found) == ()
        assert all(hasattr(found.measured(name), "value_si") for name in FALLS)


def metric(**changes: Any) -> Survey:
    """The terrace in metres: its points and levels are so many feet times 0.3048."""

    def turned(value: Any, key: str = "") -> Any:
        if isinstance(value, dict):
            return {name: turned(item, name) for name, item in value.items()}
        if isinstance(value, list):
            return [turned(item, key) for item in value]
        if isinstance(value, int | float) and key not in {"toward", "safety_factor"}:
            return value * 0.3048
        if key == "length" and isinstance(value, str):
            return f"{float(value.removesuffix(' ft')) * 0.3048} m"
        return value

    parts = {key: turned(DATA[key]) for key in ("lot", "surfaces", "panels", "ways_out")}
    return survey(
        units="m", **parts | {key: parts[key] | turned(new) for key, new in changes.items()}
    )


def chained(first: str, second: str, at: list[float], **more: Any) -> Survey:
    """The drain by two pipes, one into the other, to an end."""
    pipe = DATA["ways_out"]["pipes"][0] | {"length": second}
    lead = pipe | {"id": "lead", "to": "pipe", "length": first, "upper": 98.9, "lower": 98.6} | more
    inlets = changed("inlets", "drain", to="lead")[:1]
    end = {"id": "daylight", "kind": "daylight", "at": at, "level": 98.2}
    return survey(ways_out={"inlets": inlets, "pipes": [lead, pipe], "outlets": [end]})


@pytest.mark.parametrize(
    ("found", "says"),
    [
        # Nobody says where they meet: 19 ft together, less 5 % and a foot.
        (chained("9 ft", "9 ft", [30, 1]), ""),
        (chained("8 ft", "9 ft", [30, 1]), "lead and pipe are together 17.000 ft long, less than"),
        # The first is drawn: the second is held to the way from it alone, 9 ft.
        (chained("10 ft", "8 ft", [30, 1], along=[[30, 20], [30, 10]]), ""),
        (
            chained("10 ft", "7.5 ft", [30, 1], along=[[30, 20], [30, 10]]),
            "pipe is 7.500 ft long, less than the 9.000 ft straight from lead to daylight",
        ),
        # Drawn, but only a foot of it.
        (
            survey(ways_out={
                "pipes": changed("pipes", "pipe", length=None, along=[[30, 20], [30, 19]]),
                "outlets": [{"id": "daylight", "kind": "daylight", "at": [30, 1], "level": 98.2}],
            }),
            "correct 'along' of pipe, or where drain or daylight lies",
        ),
    ],
)  # fmt: skip
def test_pipes_that_meet_and_a_pipe_drawn_too_short(found: Survey, says: str) -> None:
    if says:
        is_named(found, says)
    else:
        assert doubts(found) == ()


@pytest.mark.parametrize(("long", "is_short"), [("8.6 ft", False), ("8.4 ft", True)])
def test_a_pipe_to_a_well_ends_at_its_pit(long: str, is_short: bool) -> None:
    """12 ft to the middle of a pit 4 ft wide, 10 ft to its edge: 5 % and a foot less, 8.5 ft."""
    well = {"id": "well", "kind": "dry-well", "at": [30, 8], "bottom": 93.5, "depth": "4 ft",
            "chamber": "2 ft", "pit": "4 ft", "porosity": "40 %", "cover": "1 ft"}  # fmt: skip
    pipes = changed("pipes", "pipe", to="well", length=long)
    found = survey(ways_out={"stores": [well], "pipes": pipes, "outlets": []})
    if is_short:
        is_named(found, "less than the 10.000 ft straight from drain to well")
    else:
        assert doubts(found) == ()


@pytest.mark.parametrize(("place", "is_short"), [(None, False), ([30, 3], False), ([30, 30], True)])
def test_the_nearest_of_what_leads_into_a_pipe_counts(
    place: list[float] | None, is_short: bool
) -> None:
    """Two drains on one pipe of 12 ft to an end 19 ft from one: the other may lie by the way."""
    drain = changed("inlets", "drain", spills_to=None)[0]
    other = {key: value for key, value in drain.items() if key != "at"} | {"id": "other"}
    other |= {"at": place} if place is not None else {"kind": "roof-leader", "diameter": "4 in"}
    other.pop("grate" if place is None else "-", None)
    end = {"id": "daylight", "kind": "daylight", "at": [30, 1], "level": 98.2}
    ways = {"inlets": [drain, other], "outlets": [end],
            "pipes": changed("pipes", "pipe", length="12 ft")}  # fmt: skip
    assert any("straight from drain" in told for told in doubts(survey(ways_out=ways))) == is_short


POOL = {"id": "pool", "material": "pool-water", "stage": "proposed",
        "shape": {"rectangle": {"corner": [20, 5], "size": [20, 10]}}}  # fmt: skip


def beyond(*along: list[float], ground: list[dict[str, Any]] | None = None, **more: Any) -> Survey:
    """The terrace with its edge drawn elsewhere: what spills over the drain goes on at 99.643."""
    surfaces = [*DATA["surfaces"], POOL] if more.pop("pool", False) else DATA["surfaces"]
    edge = EDGE | {"along": list(along)} | more
    return survey(surfaces=surfaces, ways_out={"overflow_edges": [edge]}, levels=ground)


def ground(*levels: float) -> list[dict[str, Any]]:
    """Spot levels across the lot at 0, 10, 19 ft and at its rear line."""
    rows = zip((0, 10, 19.9, 60), (*levels, 99), strict=True)
    return [{"at": [x, y], "level": level} for y, level in rows for x in (0, 60)]


@pytest.mark.parametrize(
    ("found", "is_told"),
    [
        # The terrace ends at 20: 2 ft before it an edge is beside it.
        (beyond([10, 18], [50, 18]), False),
        (beyond([10, 17.9], [50, 17.9]), True),
        (beyond([20, 5], [40, 5]), True),
        # Flat ground at 99.00 leads to it. At 10 ft it lies at 99.60, below 99.56 + 1 in, 99.643.
        (beyond([20, 5], [40, 5], ground=ground(99, 99, 99)), False),
        (beyond([20, 5], [40, 5], ground=ground(99, 99.6, 99.5)), False),
        # A swell of 99.70 holds it back.
        (beyond([20, 5], [40, 5], ground=ground(99, 99.7, 99.5)), True),
        # West of it: the paving below 99.653 ends 23.4 ft up, from where ground at 99.00 leads on.
        (beyond([5, 15], [5, 25], ground=ground(99, 99, 99)), False),
        (beyond([5, 30], [5, 38], ground=ground(99, 99, 99)), False),
        # Straight between them lies the pool.
        (beyond([25, 3], [35, 3], ground=ground(99, 99, 99), pool=True), True),
        # What goes to a neighbour is harm, near or far.
        (beyond([20, 5], [40, 5], onto="neighbour", existing_flow="0 gal/min"), False),
    ],
)
def test_an_edge_that_the_spill_does_not_get_to(found: Survey, is_told: bool) -> None:
    if is_told:
        is_named(found, "nothing tells that water over drain gets to edge", "draw 'along' of edge")
    else:
        assert doubts(found) == ()


WALK = {"id": "walk", "material": "concrete-slab", "stage": "proposed",
        "shape": {"rectangle": {"corner": [50, 0], "size": [5, 40]}}}  # fmt: skip


@pytest.mark.parametrize(
    ("level", "pitch", "is_told"),
    [
        # Beside the terrace's low end the walk lies at 99.583 at 20, and falls to 0.
        (100.0, "1/4 in/ft", False),
        # At 1 % from 100.00 at 40 it lies at 99.800 at 20, and 99.62 at 2.
        (100.0, "1 %", True),
        (99.8, "1 %", False),
    ],
)
def test_a_spill_over_the_next_paving(level: float, pitch: str, is_told: bool) -> None:
    """The walk along the terrace leads to an edge at its end, 17 ft and more from the terrace."""
    panels = [
        DATA["panels"][0],
        {"on": "walk", "level": level, "at": [52, 40], "pitch": pitch, "toward": 180,
         "drains_to": "edge"},
    ]  # fmt: skip
    edge = EDGE | {"along": [[50, 0.7], [55, 0.7]]}
    found = survey(
        surfaces=[*DATA["surfaces"], WALK], panels=panels, ways_out={"overflow_edges": [edge]}
    )
    assert any("gets to edge" in told for told in doubts(found)) == is_told
