"""What else a site file says of a surface that changes: falls, drains, stores, outlines, names.

Levels are worked by hand beside each check.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from checker.core.records import replace
from checker.files.source import read_text
from checker.findings.checked import Checked, judged
from checker.measure.drainage.planes import Plane, planes
from checker.site.materials import materials
from checker.site.model import Shape, Site
from checker.site.read import site_of
from checker.solve.changes import Becomes, ways_of
from checker.solve.costs import costs_of
from checker.solve.goal import goal_of
from checker.solve.ground import OpenGround
from checker.solve.layout import Piece
from checker.solve.readback import DrawnChange, DrawnChanges
from checker.solve.scenarios import as_read
from checker.words.changes import instruction
from tests.solve.made import FT_M, cover_rules

HEAD = """\
format: site/1
title: Graded lot, made up for a test
place: made-up
units: ft
rest_of_lot: lawn
lot: {boundary: {points: [[0, 0], [100, 0], [100, 100], [0, 100]]}, sides: {front: [1], rear: [3]}}
"""
# 50 ft along the house and 20 ft deep, from y = 35 to 55.
PATIO = """\
  - id: patio
    material: concrete-slab
    shape: {rectangle: {corner: [5, 35], size: [50, 20]}}
    attributes: {purpose: patio%s}
    may_become: [permeable-paving, lawn]
"""
HOUSE = """\
  - {id: house, material: roof, shape: {rectangle: {corner: [5, 5], size: [50, 30]}}, \
attributes: {purpose: dwelling%s}}
"""
GOAL = "goal: {may_be_removed: [patio]}\n"
RULES = cover_rules("3200 sq ft")


def box_of(edges: tuple[float, float, float, float]) -> shapely.Polygon:
    """A box in metres of its edges in feet."""
    low_x, low_y, high_x, high_y = edges
    return shapely.box(low_x * FT_M, low_y * FT_M, high_x * FT_M, high_y * FT_M)


Cut = tuple[str, tuple[float, float, float, float] | None, str | None]
"""A surface, the box of it that changes in feet (None for all of it), and what it becomes."""


def lot(surfaces: str, more: str = "", head: str = HEAD) -> Checked:
    text = f"{head}surfaces:\n{surfaces}{more}"
    return judged(site_of(read_text(text, "lot.yaml"), Path("lot.yaml")), RULES)


def change(checked: Checked, *cuts: Cut) -> DrawnChange:
    """The lot with changes drawn into it, written and read back."""
    site = checked.site
    goal = goal_of(site, checked.ruleset)
    costs = costs_of(site)
    # What it costs is not the question here: everything has the price of a slab.
    prices = dict.fromkeys(materials(), costs.building["concrete-slab"])
    costs = replace(costs, building=prices, removal=prices)
    ground = OpenGround(checked, goal, costs, [as_read(checked)])
    pieces = [_piece(way_to(ground, name, becomes), box) for name, box, becomes in cuts]
    return DrawnChanges(ground).of((1,), pieces)


def way_to(ground: OpenGround, name: str, becomes: str | None) -> Becomes:
    surface = ground.checked.site.surface(name)
    ways = ways_of(surface, ground.checked.site, ground.goal, ground.costs)
    return next(
        way for way in ways if not way.is_kept and (way.material and way.material.id) == becomes
    )


def _piece(way: Becomes, box: tuple[float, float, float, float] | None) -> Piece:
    shape: Shape = way.surface.shape
    if box is not None:
        shape = shape.intersection(box_of(box))
    return Piece(way=way, shape=shape, area_m2=shape.area, built_m2=shape.area, is_all=box is None)


def data_of(drawn: DrawnChange) -> dict[str, Any]:
    assert drawn.faults == ()
    found: dict[str, Any] = read_text(drawn.text, "after.yaml").data
    return found


def entry(data: dict[str, Any], name: str, group: str = "surfaces") -> dict[str, Any]:
    found: dict[str, Any] = next(item for item in data[group] if item["id"] == name)
    return found


def levels_ft(site: Site, x_ft: float, y_ft: float) -> list[float]:
    """The levels of every panel over a point, feet."""
    point = (x_ft * FT_M, y_ft * FT_M)
    found = [
        plane
        for plane in planes(judged(site, RULES).survey).values()
        if isinstance(plane, Plane) and plane.shape.buffer(1e-6).covers(shapely.Point(point))
    ]
    return [round(plane.level_at_m(point) / FT_M, 6) for plane in found]


EVEN = "panels:\n  - {on: patio, level: 100.00, pitch: 2 %, toward: 0}  # from the house\n"


def test_the_plane_of_a_patio_is_that_of_both_its_pieces() -> None:
    # The level holds at the middle of the patio, 30, 45: 10 ft down from there to its edge at
    # y = 55 are 0.2 ft, 10 ft up to the house the same.
    checked = lot(HOUSE % "" + PATIO % "", EVEN + GOAL)
    drawn = change(checked, ("patio", (48, 35, 55, 55), "permeable-paving"))
    data = data_of(drawn)
    assert data["panels"] == [
        {"on": "patio", "level": 100.0, "pitch": "2 %", "toward": 0, "at": [30, 45]},
        {
            "id": "patio-permeable-paving", "on": "patio-permeable-paving", "level": 100.0,
            "pitch": "2 %", "toward": 0, "at": [30, 45],
        },
    ]  # fmt: skip
    assert "# from the house" in drawn.text
    for site in (checked.site, drawn.site):
        assert levels_ft(site, 10, 55) == [99.8]
        assert levels_ft(site, 50, 55) == [99.8]
        assert levels_ft(site, 50, 35) == [100.2]
    assert drawn.to_settle == ()


def test_lawn_has_no_fall_and_what_is_left_keeps_its_own() -> None:
    checked = lot(HOUSE % "" + PATIO % "", EVEN + GOAL)
    drawn = change(checked, ("patio", (48, 35, 55, 55), "lawn"))
    assert [panel["on"] for panel in data_of(drawn)["panels"]] == ["patio"]
    assert levels_ft(drawn.site, 10, 55) == [99.8]
    assert levels_ft(drawn.site, 50, 55) == []
    # As a whole: nothing is left that has a fall.
    assert "panels" not in data_of(change(checked, ("patio", None, "lawn")))
    assert "panels" not in data_of(change(checked, ("patio", None, None)))


def test_a_surface_that_is_paved_anew_as_a_whole_keeps_its_fall() -> None:
    checked = lot(HOUSE % "" + PATIO % "", EVEN + GOAL)
    drawn = change(checked, ("patio", None, "permeable-paving"))
    (panel,) = data_of(drawn)["panels"]
    assert panel["on"] == "patio"
    assert levels_ft(drawn.site, 20, 55) == [99.8]


TWO = """\
panels:
  # A valley at y = 45 between the two.
  - {id: by-house, on: patio, points: [[5, 35], [55, 35], [55, 45], [5, 45]], \
levels: {"5,35": 100.0, "55,35": 100.0, "5,45": 99.8}}
  - {id: by-lawn, on: patio, points: [[5, 45], [55, 45], [55, 55], [5, 55]], \
level: 100.0, at: [30, 55], pitch: 1/4 in/ft, toward: 180}
"""


def test_each_panel_goes_where_its_paving_goes() -> None:
    checked = lot(HOUSE % "" + PATIO % "", TWO + GOAL)
    # The band by the lawn takes all of its panel: that keeps its name.
    drawn = change(checked, ("patio", (5, 45, 55, 55), "permeable-paving"))
    data = data_of(drawn)
    assert [(p["id"], p["on"]) for p in data["panels"]] == [
        ("by-house", "patio"), ("by-lawn", "patio-permeable-paving"),
    ]  # fmt: skip
    # A band 15 ft deep takes 5 ft of the other one too.
    drawn = change(checked, ("patio", (5, 40, 55, 55), "permeable-paving"))
    data = data_of(drawn)
    assert [(p["id"], p["on"]) for p in data["panels"]] == [
        ("by-house", "patio"),
        ("by-house-permeable-paving", "patio-permeable-paving"),
        ("by-lawn", "patio-permeable-paving"),
    ]
    assert "# A valley at y = 45 between the two." in drawn.text
    # 5 of 10 ft down the one: 99.9; 4 ft of the other at 1/4 in: 100 - 1/12 = 99.916667.
    assert levels_ft(drawn.site, 30, 40) == [99.9, 99.9]
    assert levels_ft(drawn.site, 30, 42) == [99.86]
    assert levels_ft(drawn.site, 30, 51) == [99.916667]


WAYS = """\
ways_out:
  inlets:
    - {id: leader, kind: roof-leader, of: house, at: [55, 35], diameter: 4 in, to: pipe}
    - {id: grate, kind: area-drain, at: [50, 45], rim: 99.80, grate: {size: "12"}, to: pipe, \
spills_to: lawn-edge}
  pipes:
    - {id: pipe, to: curb, diameter: 6 in, length: 30 ft, upper: 98, lower: 97.8, \
cleanouts: [[52, 50]]}
  stores:
    - {id: well, kind: dry-well, at: [52, 40], bottom: 90, depth: 4 ft, chamber: 3 ft, pit: 5 ft, \
porosity: 40 %}
    - {id: bed, kind: reservoir, under: patio, bottom: 98, depth: 1 ft, porosity: 40 %}
  outlets: [{id: curb, kind: curb, at: [52, 0], level: 97}]
  overflow_edges:
    - {id: lawn-edge, along: [[5, 55], [55, 55]], crest: 99.80, onto: own land}
"""


def test_what_stands_in_paving_that_goes_has_no_level_any_more() -> None:
    checked = lot(HOUSE % "" + PATIO % "", EVEN + WAYS + GOAL)
    drawn = change(checked, ("patio", (45, 35, 55, 55), "lawn"))
    ways = data_of(drawn)["ways_out"]
    assert "rim" not in entry(ways, "grate", "inlets")
    # 40 of its 50 ft are an edge of paving still.
    assert entry(ways, "lawn-edge", "overflow_edges")["crest"] == 99.8
    said = " / ".join(drawn.to_settle)
    assert "grate was in the paving of the patio that goes" in said
    assert "99.8 before" in said
    assert "well lies below the part of the patio that changes" in said
    assert "bed lies below the patio, of which a part changes" in said
    # The edge goes with the band along it.
    drawn = change(checked, ("patio", (5, 50, 55, 55), "lawn"))
    ways = data_of(drawn)["ways_out"]
    assert "crest" not in entry(ways, "lawn-edge", "overflow_edges")
    assert "rim" in entry(ways, "grate", "inlets")
    assert any("drained to lawn-edge, and what lies between" in text for text in drawn.to_settle)


def test_paving_between_a_panel_and_its_drain_leads_there_still() -> None:
    ways = WAYS.replace("    - {id: grate", "    #- {id: grate").replace(
        "spills_to: lawn-edge}", ""
    )
    ways = "\n".join(line for line in ways.splitlines() if "#- {id: grate" not in line) + "\n"
    checked = lot(HOUSE % "" + PATIO % "", EVEN + ways + GOAL)
    drawn = change(checked, ("patio", (5, 50, 55, 55), "permeable-paving"))
    panels = data_of(drawn)["panels"]
    # The edge lies 5 ft from what is left: the file says so now. By the band it is found.
    assert [(p["on"], p.get("drains_to")) for p in panels] == [
        ("patio", "lawn-edge"), ("patio-permeable-paving", None),
    ]  # fmt: skip


def test_a_store_and_a_leader_of_what_is_no_more_are_told() -> None:
    surfaces = HOUSE % "" + (PATIO % "").replace(
        "    material", "    stage: proposed\n    material"
    )
    goal = "goal: {may_be_removed: [patio, house]}\n"
    checked = lot(surfaces, EVEN + WAYS + goal)
    drawn = change(checked, ("patio", None, None), ("house", None, None))
    data = data_of(drawn)
    assert [s["id"] for s in data["surfaces"]] == ["house"]
    assert "panels" not in data
    said = " / ".join(drawn.to_settle)
    assert "bed lies below the patio, which goes" in said
    assert "leader drained the house, which goes" in said


def test_a_piece_of_a_roof_is_drained_by_its_only_leader() -> None:
    house = (HOUSE % "").replace("material: roof,", "material: roof, may_become: [green-roof],")
    checked = lot(house + PATIO % "", EVEN + WAYS)
    drawn = change(checked, ("house", (5, 5, 25, 35), "green-roof"))
    assert entry(data_of(drawn), "house-green-roof")["attributes"]["drains_to"] == "leader"


LEADS = """\
  - {id: step, material: steps, shape: {rectangle: {corner: [56, 50], size: [4, 4]}}, \
attributes: {drains_to: patio%s}}
"""


@pytest.mark.parametrize(
    ("box", "becomes", "to"),
    [
        # The step is 1 ft from the side of the patio at x = 55.
        ((45, 35, 55, 55), "permeable-paving", "patio-permeable-paving"),
        ((45, 35, 55, 55), "lawn", "patio-lawn"),
        ((45, 35, 55, 55), None, "rest-of-lot"),
        ((5, 35, 15, 55), "lawn", "patio"),
        (None, "lawn", "patio"),
        (None, None, "rest-of-lot"),
    ],
)
def test_what_drained_onto_a_surface_drains_onto_what_lies_there_then(
    box: tuple[float, float, float, float] | None, becomes: str | None, to: str
) -> None:
    checked = lot(HOUSE % "" + PATIO % "" + LEADS % "", EVEN + GOAL)
    drawn = change(checked, ("patio", box, becomes))
    assert entry(data_of(drawn), "step")["attributes"]["drains_to"] == to
    assert any("the water of the step" in text for text in drawn.to_settle) == (to != "patio")


def test_a_panel_that_is_named_is_followed() -> None:
    onto = LEADS % ", onto_panel: by-lawn"
    checked = lot(HOUSE % "" + PATIO % "" + onto, TWO + GOAL)
    drawn = change(checked, ("patio", (5, 45, 55, 55), "permeable-paving"))
    given = entry(data_of(drawn), "step")["attributes"]
    assert given == {"drains_to": "patio-permeable-paving", "onto_panel": "by-lawn"}
    drawn = change(checked, ("patio", (5, 45, 55, 55), "lawn"))
    assert entry(data_of(drawn), "step")["attributes"] == {"drains_to": "patio-lawn"}


def test_sizes_and_papers_of_a_surface_that_is_cut_are_asked_for_anew() -> None:
    surfaces = HOUSE % ", treated_by: patio" + PATIO % ", run_on: 0.5, width: 20 ft"
    papers = "on_file: [{document: test-report, of: patio}]\n"
    checked = lot(surfaces, EVEN + papers + GOAL)
    drawn = change(checked, ("patio", (45, 35, 55, 55), "permeable-paving"))
    data = data_of(drawn)
    for name in ("patio", "patio-permeable-paving"):
        assert entry(data, name)["attributes"] == {"purpose": "patio"}
    assert "treated_by" not in entry(data, "house")["attributes"]
    said = " / ".join(drawn.to_settle)
    for words in ("'run_on' and 'width' of the patio", "'test-report' is about", "'treated_by'"):
        assert words in said


def test_outlines_that_hang_on_a_surface_stay_where_they_are() -> None:
    surfaces = (
        HOUSE % ""
        + PATIO % ""
        + "  - {id: edging, material: gravel, shape: {parts: [{ring: {around: patio, width: "
        "1 ft}}]}}\n"
    )
    hanging = """\
features:
  - {id: tree, kind: tree, shape: {at: [3, 4], measured_from: {wall_of: patio, wall: 1}}}
  - {id: gas, kind: gas-line, shape: {line: [[0, 9], [4, 9]], measured_from: {wall_of: patio, \
wall: 1}}}
regions:
  - {id: zone, kind: other, shape: {ring: {around: patio, width: 3 ft}}}
"""
    checked = lot(surfaces, hanging + GOAL)
    drawn = change(checked, ("patio", (5, 35, 15, 55), "lawn"))
    assert drawn.faults == ()
    for before, after in zip(
        (*checked.site.features, *checked.site.regions, checked.site.surface("edging")),
        (*drawn.site.features, *drawn.site.regions, drawn.site.surface("edging")),
        strict=True,
    ):
        assert before.shape.equals_exact(after.shape, 1e-7, normalize=True)  # type: ignore[attr-defined]


def test_a_goal_names_no_edge_of_what_is_no_more() -> None:
    surfaces = HOUSE % "" + (PATIO % "").replace(
        "    material", "    stage: proposed\n    material"
    )
    surfaces += (PATIO % "").replace("patio\n", "walk\n").replace("[5, 35]", "[5, 60]")
    goal = "goal: {may_be_removed: [patio], surfaces: {walk: {change: band, along: patio}}}\n"
    data = data_of(change(lot(surfaces, goal), ("patio", None, None)))
    assert data["goal"] == {"surfaces": {"walk": {"change": "band"}}}


@st.composite
def graded(draw: st.DrawFn) -> tuple[str, str, tuple[float, float, float, float], str | None]:
    """A patio of random panels, turned at random, with a random box that becomes something."""
    turned = draw(st.sampled_from([0.0, 0.0, 17.0, 45.0]))
    wide, deep = draw(st.integers(12, 40)), draw(st.integers(8, 25))
    corner = draw(st.integers(30, 45)), draw(st.integers(20, 35))
    surfaces = (
        "  - {id: patio, material: concrete-slab, may_become: [permeable-paving, lawn], "
        f"shape: {{rectangle: {{corner: [{corner[0]}, {corner[1]}], size: [{wide}, {deep}], "
        f"turned: {turned}}}}}}}\n"
    )
    split = draw(st.integers(corner[1] - 5, corner[1] + 20))
    outlines = [
        "",
        f", points: [[-10, -10], [90, -10], [90, {split}], [-10, {split}]]",
        f", points: [[-10, {split}], [90, {split}], [90, 90], [-10, 90]]",
    ]
    panels = []
    for number, outline in enumerate(outlines[:1] if draw(st.booleans()) else outlines[1:]):
        level = draw(st.integers(9900, 10100)) / 100
        kind = draw(st.sampled_from(["middle", "at", "spots"]))
        name = f"id: p{number}, " if draw(st.booleans()) or outline else ""
        fall = f"pitch: {draw(st.integers(0, 50)) / 10} %, toward: {draw(st.integers(0, 359))}"
        if kind == "spots":
            spots = {(0, 0): level, (40, 3): level - 1.25, (7, 50): level + 0.5}
            given_levels = ", ".join(f'"{x},{y}": {z}' for (x, y), z in spots.items())
            says = f"levels: {{{given_levels}}}"
        elif kind == "at":
            says = f"level: {level}, at: [{draw(st.integers(0, 90))}, 50], {fall}"
        else:
            says = f"level: {level}, {fall}"
        panels.append(f"  - {{{name}on: patio{outline}, {says}}}\n")
    low_x, low_y = draw(st.integers(15, 60)), draw(st.integers(15, 50))
    box = (low_x, low_y, low_x + draw(st.integers(3, 60)), low_y + draw(st.integers(3, 40)))
    becomes = draw(st.sampled_from(["permeable-paving", "lawn", None]))
    return surfaces, "panels:\n" + "".join(panels), box, becomes


@given(graded(), st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=8, max_size=8))
def test_levels_are_the_same_wherever_paving_stays(
    case: tuple[str, str, tuple[float, float, float, float], str | None],
    spots: list[tuple[float, float]],
) -> None:
    surfaces, panels, box, becomes = case
    checked = lot(surfaces, panels + GOAL)
    patio = checked.site.surface("patio").shape
    band = box_of(box)
    cut, left = patio.intersection(band), patio.difference(band)
    assume(cut.area > 1.0 and left.area > 1.0 and left.geom_type == "Polygon")
    drawn = change(checked, ("patio", box, becomes))
    assert drawn.faults == ()
    low_x, low_y, high_x, high_y = patio.bounds
    for across, up in spots:
        point = shapely.Point(low_x + across * (high_x - low_x), low_y + up * (high_y - low_y))
        if not patio.buffer(-0.01).covers(point) or cut.boundary.distance(point) < 0.01:
            continue
        x_ft, y_ft = point.x / FT_M, point.y / FT_M
        stays = becomes == "permeable-paving" or not cut.covers(point)
        assert levels_ft(drawn.site, x_ft, y_ft) == (
            levels_ft(checked.site, x_ft, y_ft) if stays else []
        )


def test_what_stays_as_it_is_today_has_not_the_fall_of_what_was_to_be_built() -> None:
    new = "    stage: replaced\n    was: asphalt\n    material"
    patio = (PATIO % "").replace("    material", new).replace("[permeable", "[asphalt, permeable")
    checked = lot(HOUSE % "" + patio, EVEN + GOAL)
    drawn = change(checked, ("patio", (45, 35, 55, 55), "asphalt"))
    data = data_of(drawn)
    assert entry(data, "patio-asphalt")["stage"] == "existing"
    assert [panel["on"] for panel in data["panels"]] == ["patio"]
    assert any("has the levels of today" in text for text in drawn.to_settle)
    piece = _piece(way_to(OpenGround(checked, goal_of(checked.site, RULES), costs_of(checked.site),
        [as_read(checked)]), "patio", "asphalt"), None)  # fmt: skip
    assert instruction(piece, "us") == (
        "leave all 1,000.0 sq ft of the patio as it is today, asphalt"
    )
