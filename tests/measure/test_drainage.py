"""Measures of drainage on a small made-up terrace, each worked by hand beside it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pytest

from checker.core.problems import BadInput
from checker.core.units import Amount
from checker.measure.catalogue import SURFACE_MEASURES, NotMeasured, value_of
from checker.measure.drainage.cases import design_cases, design_flows, surface_levels_m
from checker.measure.drainage.network import network_of
from checker.measure.drainage.planes import planes
from checker.measure.drainage.rain import storm
from checker.measure.drainage.sheds import sheds
from tests.measure.terrace import DATA, changed, survey

if TYPE_CHECKING:
    from pathlib import Path

    from checker.measure.survey import Survey

FOOT2_M2 = 0.3048**2
GPM = 231 * 0.0254**3 / 60
GALLON_M3 = 231 * 0.0254**3


def lot(found: Survey, name: str, unit: str = "") -> float:
    value = found.measured(name)
    assert isinstance(value, Amount), value
    return value.to(unit) if unit else value.value_si


def lacks(found: Survey, name: str) -> str:
    return str(getattr(found.measured(name), "ask", ""))


def of_surface(found: Survey, name: str, surface: str, unit: str) -> float:
    value = value_of(SURFACE_MEASURES[name], found, found.site.surface(surface))
    assert isinstance(value, Amount)
    return value.to(unit)


def test_falls_of_a_panel_with_a_pitch() -> None:
    """20 ft at 1/4 in per ft from 100.00 at the house: 99.5833 at the far edge."""
    found = survey()
    assert of_surface(found, "pitch", "terrace", "in/ft") == pytest.approx(0.25)
    assert of_surface(found, "fall_from_dwelling", "terrace", "in/ft") == pytest.approx(0.25)
    assert of_surface(found, "low_point_distance", "terrace", "ft") == pytest.approx(0)
    plane = planes(found)["terrace"]
    assert not isinstance(plane, NotMeasured)
    assert plane.level_at_m((9.0, 20 * 0.3048)) / 0.3048 == pytest.approx(100 - 20 / 48)
    assert plane.toward_degrees == pytest.approx(180)
    # 99.5833 - 99.56 = 0.0233 ft = 0.28 in
    assert lot(found, "drain_drop_least", "in") == pytest.approx(0.28, abs=0.001)


def test_a_plane_is_fitted_to_spot_levels() -> None:
    """Three spots of a plane that falls 0.02 to the right, and one 0.1 ft above it."""
    levels = {"10,20": 100.0, "50,20": 99.2, "10,40": 100.0}
    found = survey(panels=[{"on": "terrace", "levels": levels}])
    assert of_surface(found, "pitch", "terrace", "%") == pytest.approx(2.0)
    assert of_surface(found, "level_misfit", "terrace", "in") == pytest.approx(0, abs=1e-9)
    plane = planes(found)["terrace"]
    assert not isinstance(plane, NotMeasured)
    assert plane.toward_degrees == pytest.approx(90)
    # A fourth spot 0.4 ft off a square of spots shares its error: 0.1 ft at each.
    levels |= {"50,40": 99.6}
    skew = survey(panels=[{"on": "terrace", "levels": levels}])
    assert of_surface(skew, "level_misfit", "terrace", "ft") == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("panel", "says"),
    [
        ({"on": "terrace"}, "give 'levels', or 'pitch' and 'toward', of the panel terrace"),
        ({"on": "terrace", "pitch": "2 %"}, "give 'toward' of the panel terrace"),
        (
            {"on": "terrace", "levels": {"10,20": 1, "20,20": 2, "30,20": 3}},
            "give spot levels of the panel terrace that lie on no single line",
        ),
        (
            {"on": "terrace", "points": [[0, 0], [5, 0], [5, 5]], "pitch": "2 %", "toward": 0},
            "draw the panel terrace on its surface terrace",
        ),
    ],
)
def test_a_panel_asks_for_what_it_lacks(panel: dict[str, Any], says: str) -> None:
    found = survey(panels=[panel])
    with pytest.raises(NotMeasured, match=says.replace("(", r"\(")):
        of_surface(found, "pitch", "terrace", "%")


def test_water_is_assigned_and_the_areas_add_up_to_the_lot() -> None:
    found = survey()
    every = {shed.surface: shed for shed in sheds(found)}
    assert every["terrace"].to == "drain"
    assert every["house"].to == "leader"
    assert every["rest-of-lot"].to == ""
    whole_m2 = sum(shed.area_m2 for shed in sheds(found))
    assert whole_m2 == pytest.approx(3600 * FOOT2_M2)
    assert lot(found, "undrained_area") == 0


def test_a_sealed_surface_without_a_way_is_named() -> None:
    found = survey(panels=[])
    shed = next(shed for shed in sheds(found) if shed.surface == "terrace")
    assert shed.to == ""
    assert shed.because == "say 'drains_to' of terrace, or give it a panel"
    assert lot(found, "undrained_area", "sq ft") == pytest.approx(800)


def test_what_the_file_says_goes_before_the_fall() -> None:
    found = survey(panels=[DATA["panels"][0] | {"drains_to": "edge"}])
    assert next(s for s in sheds(found) if s.surface == "terrace").to == "edge"
    surfaces = [DATA["surfaces"][0] | {"attributes": {"drains_to": "terrace"}}, DATA["surfaces"][1]]
    roof = survey(
        surfaces=surfaces,
        ways_out={
            "inlets": DATA["ways_out"]["inlets"][:1],
        },
    )
    shed = next(s for s in sheds(roof) if s.surface == "house")
    assert (shed.to, shed.because) == (
        "drain",
        "runs over terrace: the lowest drain or edge beside it",
    )


def test_roof_shares_and_what_they_leave() -> None:
    leaders = [
        DATA["ways_out"]["inlets"][0],
        DATA["ways_out"]["inlets"][1] | {"share": "60 %"},
    ]
    found = survey(ways_out={"inlets": leaders})
    parts = {s.to: s.area_m2 / FOOT2_M2 for s in sheds(found) if s.surface == "house"}
    assert parts == pytest.approx({"leader": 480, "": 320})
    assert lot(found, "undrained_area", "sq ft") == pytest.approx(320)


def test_a_panel_may_be_a_part_of_its_surface() -> None:
    half = {
        "on": "terrace",
        "id": "half",
        "points": [[10, 20], [30, 20], [30, 40], [10, 40]],
        "pitch": "2 %",
        "toward": 180,
    }
    found = survey(panels=[half])
    parts = {s.panel: s.area_m2 / FOOT2_M2 for s in sheds(found) if s.surface == "terrace"}
    assert parts == pytest.approx({"half": 400, "": 400})


def test_flows_of_the_design_storm_by_hand() -> None:
    """2 in/h on 800 sq ft each of roof and terrace: 0.010390 x 2 x 800 x 0.95 = 15.79 gal/min."""
    flows = design_flows(survey())
    assert flows.peak_m3_per_s("drain") / GPM == pytest.approx(15.79, abs=0.01)
    assert flows.peak_m3_per_s("pipe") / GPM == pytest.approx(31.58, abs=0.02)
    # 6 in at 1 %, n 0.010: 0.4632 / 0.010 x 0.5^(8/3) x 0.1 = 0.7295 cu ft/s = 327.4 gal/min.
    # With 0.2 in in the first 5 min, 2.4 in/h, 37.90 gal/min come.
    typed = {"fallen": {"0 min": "0 in", "5 min": "0.2 in", "30 min": "1 in"}}
    short = survey(storms={"design": typed})
    assert lot(short, "pipe_room", "%") == pytest.approx(100 * 327.4 / 37.90, rel=0.001)
    assert lot(survey(), "least_pipe_fall", "%") == pytest.approx(1.0)
    # 1 % over 1/8 in per ft, 1.0417 %.
    assert lot(survey(), "pipe_fall_share", "%") == pytest.approx(96.0)
    # 99.56 - 98.5 - 0.5 = 0.56 ft
    assert lot(survey(), "pipe_cover_least", "in") == pytest.approx(6.72)


def test_water_levels_and_rooms_by_hand() -> None:
    """With the drain blocked, all terrace water goes over 40 ft of edge at 99.58.

    15.79 gal/min are 0.000996 m3/s; (0.000996 / (1.66 x 12.192))^(2/3) = 0.00135 m = 0.0044 ft over
    the edge, and over the 1 in that stands on the drain at 99.56 before it goes on.
    """
    found = survey()
    case = next(c for c in design_cases(found).single if c.blocked == ("drain",))
    levels = surface_levels_m(found, case)
    assert levels["edge"] / 0.3048 == pytest.approx(99.5844, abs=0.0001)
    # A level is told with what the steps of the storm miss: never too low, and hardly higher.
    over_ft = levels["drain"] / 0.3048 - (99.56 + 1 / 12 + 0.00441)
    assert -0.00005 <= over_ft <= 0.0002
    # With the pipe blocked the roof's water comes up too: 31.58 gal/min stand 0.00214 m = 0.0070 ft
    # above: 99.56 + 0.0833 + 0.0070 = 99.6503.
    assert lot(found, "floor_room_one_blocked", "ft") == pytest.approx(100.5 - 99.6503, abs=0.0002)
    assert lot(found, "coping_room_one_blocked", "ft") == pytest.approx(100 - 99.6503, abs=0.0002)


def test_ways_out_and_astray_water() -> None:
    """Onto own land two ways and nothing astray; onto a neighbour one way, and astray when blocked.

    30 min of 15.79 gal/min is 473.6 gal, of both surfaces 947.2 gal. Below where it goes on,
    99.6433, a wedge stays on the paving: 0.06 ft deep at the edge, 0.06 x 48 = 2.88 ft wide and
    40 ft long, 3.46 cu ft, over the drain 0.54 sq ft x 0.0833 ft and in the box 0.323 sq ft x
    1.143 ft, in all 3.87 cu ft or 29.0 gal.
    """
    found = survey()
    assert lot(found, "independent_ways_out") == 2
    assert lot(found, "water_astray_one_blocked") == 0
    edges = changed("overflow_edges", "edge", onto="neighbour", existing_flow="5 gal/min")
    bad = survey(ways_out={"overflow_edges": edges})
    assert lot(bad, "independent_ways_out") == 1
    assert lot(bad, "water_astray_one_blocked", "gal") == pytest.approx(947.2 - 29.0, abs=1)
    assert lot(bad, "water_astray") == 0
    assert lot(bad, "added_edge_flow") == 0
    # 12 in/h bring 94.74 gal/min = 5.977 L/s to the drain, and as much to a leader that takes it.
    # Half clogged, 46 in of edge take 1.66 x 0.5842 m x d^1.5; 40 ft of low edge from 25.4 mm on
    # 1.66 x 12.192 m x (d - 25.4 mm)^1.5. At 27.25 mm: 4.362 + 1.610 L/s. For 30 min 1.610 L/s are
    # 766 gal; while the wedge fills, and as it falls after the rain, less and more go over.
    cloudburst = {"rare": {"depth": "6 in", "duration": "30 min", "shape": "uniform"}}
    deep = changed("inlets", "leader", spill_depth="3 in")
    flood = survey(ways_out={"overflow_edges": edges, "inlets": deep}, storms=cloudburst)
    assert lot(flood, "water_astray_rare", "gal") == pytest.approx(766, abs=25)
    direct = survey(
        panels=[DATA["panels"][0] | {"drains_to": "edge"}], ways_out={"overflow_edges": edges}
    )
    assert lot(direct, "added_edge_flow", "gal/min") == pytest.approx(15.79 - 5, abs=0.01)


def test_a_dry_well_empties_as_it_must() -> None:
    """The roof drains into a pit of stone of 12 ft across, 40 % voids, through its base alone.

    1 in x 800 sq ft x 0.95 = 63.33 cu ft on 113.10 x 0.4 = 45.24 sq ft of water: 1.40 ft deep. At
    half of 1 in/h it takes 1.40 x 12 x 0.4 / 0.5 = 13.44 h, of which half an hour while it rains.
    """
    ways = {
        "inlets": [
            changed("inlets", "drain")[0],
            changed("inlets", "leader", to="well", spills_to=None)[1],
        ],
        "stores": [
            {
                "id": "well",
                "kind": "dry-well",
                "bottom": 90,
                "depth": "6 ft",
                "chamber": "0 in",
                "pit": "12 ft",
                "porosity": "40 %",
                "soil": {"walls": "no"},
            }
        ],
    }
    found = survey(ways_out=ways)
    assert lot(found, "stores_emptying_time", "h") == pytest.approx(12.94, rel=0.005)
    assert lacks(survey(ways_out=ways, ground={"measured_rate": None}), "stores_emptying_time")


@pytest.mark.parametrize(
    ("changes", "measure", "ask"),
    [
        ({"ways_out": None}, "undrained_area", "give 'ways_out'"),
        (
            {"ways_out": {"inlets": changed("inlets", "drain", rim=None)}},
            "water_astray",
            "give 'rim' of drain",
        ),
        (
            {"ways_out": {"inlets": changed("inlets", "drain", grate=None)}},
            "water_astray",
            "give 'grate' of drain",
        ),
        (
            {"ways_out": {"inlets": changed("inlets", "drain", grate={"size": "99 in"})}},
            "water_astray",
            "'99 in' of drain is no grate of 'drainage-stock'",
        ),
        (
            {"ways_out": {"pipes": changed("pipes", "pipe", lower=None)}},
            "least_pipe_fall",
            "give 'lower' of pipe",
        ),
        (
            {"ways_out": {"pipes": changed("pipes", "pipe", material="glass")}},
            "water_astray",
            "'glass' of pipe is not one of",
        ),
        (
            {"ways_out": {"overflow_edges": changed("overflow_edges", "edge", crest=None)}},
            "water_astray",
            "give 'crest' of edge",
        ),
        ({"storms": None}, "water_astray", "give 'design' under 'storms'"),
        (
            {"storms": {"design": {"return_period": 10, "duration": "1 h"}}},
            "water_astray",
            "give 'table' under 'storms'",
        ),
        (
            {"storms": {"design": {"depth": "1 in", "shape": "uniform"}}},
            "water_astray",
            "give 'duration' of the design storm",
        ),
        (
            {"ways_out": {"lowest_floor": None}},
            "floor_room",
            "give 'lowest_floor' of 'ways_out'",
        ),
    ],
)
def test_what_is_missing_is_asked_for(changes: dict[str, Any], measure: str, ask: str) -> None:
    assert ask in lacks(survey(**changes), measure)


@pytest.mark.parametrize(
    ("ways", "says"),
    [
        (
            {"pipes": changed("pipes", "pipe", upper=98.0)},
            "the pipe 'pipe' runs uphill, from 98.000 ft to 98.300 ft",
        ),
        (
            {"pipes": changed("pipes", "pipe", to="nowhere")},
            "'pipe' leads to 'nowhere', which does not exist",
        ),
        (
            {"pipes": changed("pipes", "pipe", to="pipe")},
            "water goes round: pipe -> pipe",
        ),
        (
            {"outlets": changed("outlets", "daylight", level=98.4)},
            "'pipe' ends at 98.300 ft, below 'daylight'",
        ),
    ],
)
def test_an_impossible_network_is_an_error_with_its_place(ways: dict[str, Any], says: str) -> None:
    with pytest.raises(BadInput) as error:
        network_of(survey(ways_out=ways))
    text = str(error.value)
    assert says in text
    assert "terrace.yaml:" in text


def test_a_nested_storm_from_a_rain_table(tmp_path: Path) -> None:
    table = (
        "Point precipitation frequency estimates (inches)\nLocation name: Tern Court\n"
        "by duration for ARI (years):, 10\n5-min:, 0.6\n15-min:, 1.1\n60-min:, 2.0\n"
    )
    (tmp_path / "rain.csv").write_text(table, encoding="utf-8")
    from checker.core.records import replace

    found = survey(storms={"table": "rain.csv", "design": {"return_period": 10, "duration": "1 h"}})
    found.site = replace(found.site, file=tmp_path / "site.yaml")
    rain = storm(found, "design")
    assert rain.depth_m / 0.0254 == pytest.approx(2.0)
    assert max(rain.depths_m) * 5 / 0.0254 == pytest.approx(0.6)
    missing = survey(storms={"table": "no.csv", "design": {"return_period": 10, "duration": "1 h"}})
    with pytest.raises(BadInput, match=r"terrace\.yaml:160:12: no\.csv does not exist"):
        storm(missing, "design")


def test_a_store_that_never_empties_takes_for_ever() -> None:
    ways = {
        "inlets": [
            changed("inlets", "drain")[0],
            changed("inlets", "leader", to="tank", spills_to=None)[1],
        ],
        "stores": [
            {
                "id": "tank",
                "kind": "any-shape",
                "rows": [
                    {"level": 90, "stored": "0 cu ft"},
                    {"level": 96, "stored": "600 cu ft"},
                ],
            }
        ],
    }
    found = survey(ways_out=ways)
    assert lot(found, "stores_emptying_time", "day") == math.inf


SECTION: dict[str, Any] = {
    "terrace": {
        "kind": "permeable",
        "use": "pedestrian",
        "top": "100 ft",
        "courses": [
            {"course": "unit", "thickness": "2 in", "length": "9 in", "width": "6 in"},
            {"course": "joint", "stone": "89", "width": "3/8 in", "open_share": "0 %"},
            {"course": "bedding", "stone": "8", "thickness": "2 in", "porosity": "40 %"},
            {"course": "base", "stone": "57", "thickness": "10 in", "porosity": "40 %"},
            {"course": "subgrade"},
        ],
    }
}


def permeable(
    depth: str, *courses: dict[str, str], panels: Any = None, **more_of_section: Any
) -> Survey:
    """The terrace laid permeable, shedding to the edge, under even rain of half an hour."""
    surfaces = [DATA["surfaces"][0], DATA["surfaces"][1] | {
        "material": "permeable-paving", "section": "terrace",
        "attributes": {"purpose": "patio", "drains_to": "edge"},
    }]  # fmt: skip
    section = SECTION["terrace"]
    more = {
        "terrace": section
        | {"courses": [*section["courses"][:-1], *courses, section["courses"][-1]]}
        | more_of_section
    }
    storm = {"depth": depth, "duration": "30 min", "shape": "uniform"}
    return survey(surfaces=surfaces, sections=more, panels=panels, storms={"design": storm})


def test_permeable_paving_sheds_what_its_section_cannot_hold() -> None:
    """By hand: 12 in of stone and bedding at 40 % hold 4.8 in, and 0.5 in/h take 0.25 in in 30 min.

    Of 1 in, 0.75 in stand in the stone, 1.875 in deep, and nothing leaves. Of 8 in, 2.95 in go over
    the edge: 2.95 / 12 x 800 = 196.7 cu ft, 1,471 gal, and a skin of water stays on the joints.
    """
    little = permeable("1 in")
    assert lot(little, "design_overflow", "gal") == 0
    stand = design_flows(little).stands["stone below terrace"]
    assert stand.depth_m / 0.0254 == pytest.approx(1.875, abs=0.02)
    assert lot(permeable("8 in"), "design_overflow", "gal") == pytest.approx(1471, rel=0.02)


def test_over_a_liner_the_soil_takes_nothing() -> None:
    """1 in then stands 2.5 in deep for ever; 8 in shed 3.2 in, 213.3 cu ft or 1,596 gal."""
    liner = {"course": "liner"}
    little = permeable("1 in", liner)
    stand = design_flows(little).stands["stone below terrace"]
    assert stand.depth_m / 0.0254 == pytest.approx(2.5, abs=0.02)
    assert lot(little, "stores_emptying_time") == math.inf
    assert lot(permeable("8 in", liner), "design_overflow", "gal") == pytest.approx(1596, rel=0.02)
    beside = permeable("1 in", {"course": "liner", "covers": "one side"})
    assert lot(beside, "stores_emptying_time") < math.inf


def piped(found: Survey) -> float:
    """Gallons that left the stone by its pipe."""
    links = design_flows(found).links
    volumes_m3 = (link.volume_m3 for link in links if link.start == "stone below terrace")
    return math.fsum(volumes_m3) / (231 * 0.0254**3)


def test_a_lined_bed_drains_through_its_own_pipe_or_never() -> None:
    """1 in on 800 sq ft is 498.7 gal; a pipe on the liner lets all of it out.

    With its mouth 4 in up, 4 x 0.4 = 1.6 in stay for ever: the whole of 1 in, and of 2 in 797.9 gal
    stay and 199.5 leave.
    """
    liner = {"course": "liner"}
    low = {"diameter": "4.5 in", "above_subgrade": "0 in", "to": "pipe"}
    found = permeable("1 in", liner, pipe=low)
    assert piped(found) == pytest.approx(498.7, rel=0.01)
    assert lot(found, "stores_emptying_time", "h") < 24
    high = low | {"outlet_above_subgrade": "4 in"}
    found = permeable("2 in", liner, pipe=high)
    assert piped(found) == pytest.approx(199.5, rel=0.02)
    assert lot(found, "stores_emptying_time") == math.inf
    # Nobody says where it leads: no store is made of it, and nothing is told of one.
    assert not network_of(permeable("1 in", liner, pipe={"diameter": "4.5 in"})).stores


def test_a_sloped_base_holds_less() -> None:
    """40 ft along a fall of 2 % are 0.8 ft: of 12 in the mean is 12 - 9.6 / 2 = 7.2 in, x 0.4."""
    level = network_of(permeable("1 in")).stores[0].shape
    sloped = network_of(permeable("1 in", subgrade_slope="2 %")).stores[0].shape
    assert sloped.stored_m3[-1] / level.stored_m3[-1] == pytest.approx(7.2 / 12, rel=0.02)


def test_a_drain_on_a_slope_catches_what_crosses_it() -> None:
    """Half way down the fall a channel of 10 ft lies across 40 ft: 10 x 10 ft lie uphill of it.

    Of 800 sq ft 100 cross it, and 700 come down beside it to where it spills. At the foot of the
    fall, where the edge stands above its rim, it takes all.
    """
    channel = {
        "id": "drain", "kind": "channel-drain", "along": [[25, 30], [35, 30]], "rim": 99.78,
        "width": "4 in", "depth": "4 in", "fall": "1 %", "slot": "3/8 in",
        "to": "pipe", "spills_to": "edge",
    }  # fmt: skip
    leader = DATA["ways_out"]["inlets"][1]
    panels = [DATA["panels"][0] | {"drains_to": "drain"}]

    def areas(**more: Any) -> dict[str, float]:
        ways = {"inlets": [channel | more, leader]}
        found = [s for s in sheds(survey(ways_out=ways, panels=panels)) if s.surface == "terrace"]
        return {shed.to: shed.area_m2 / FOOT2_M2 for shed in found}

    assert areas() == pytest.approx({"drain": 100.0, "edge": 700.0})
    assert areas(spills_to="leader") == pytest.approx({"drain": 100.0, "leader": 700.0})
    assert areas(along=[[25, 20], [35, 20]], rim=99.56) == pytest.approx({"drain": 800.0})
    # A grate of 12 in, 11.5 in clear, half way down: 11.5 / 12 x 10 = 9.58 sq ft.
    grate = {"id": "drain", "kind": "area-drain", "at": [30, 30], "rim": 99.78,
             "grate": {"size": "12 in square"}, "to": "pipe", "spills_to": "edge"}  # fmt: skip
    ways = {"inlets": [grate, leader]}
    found = [s for s in sheds(survey(ways_out=ways, panels=panels)) if s.surface == "terrace"]
    assert {s.to: s.area_m2 / FOOT2_M2 for s in found} == pytest.approx(
        {"drain": 9.5833, "edge": 790.4167}, rel=1e-5
    )


def test_water_from_elsewhere_comes_too() -> None:
    """1 in on 1,000 sq ft at 40 % are 249.4 gal; 60 gal/min for 5 min are 300 gal."""
    calm = design_flows(survey()).rain_m3 / GALLON_M3
    uphill = {"id": "uphill", "kind": "off-site", "area": "1000 sq ft", "runoff": "40 %",
              "to": "drain"}  # fmt: skip
    pumped = {"id": "backwash", "kind": "pumped", "flow": "60 gal/min", "duration": "5 min",
              "to": "drain"}  # fmt: skip
    for inflow, gallons in ((uphill, 249.4), (pumped, 300.0)):
        found = survey(ways_out={"inflows": [inflow]})
        assert design_flows(found).rain_m3 / GALLON_M3 - calm == pytest.approx(gallons, rel=0.001)
    short = {key: value for key, value in pumped.items() if key != "flow"}
    assert "give 'flow' of backwash" in lacks(survey(ways_out={"inflows": [short]}), "water_astray")
    lost = pumped | {"to": "nowhere"}
    with pytest.raises(BadInput, match="nowhere"):
        network_of(survey(ways_out={"inflows": [lost]}))
    mixed = uphill | {"flow": "3 gal/min"}
    with pytest.raises(BadInput, match="'flow' of uphill has no meaning"):
        survey(ways_out={"inflows": [mixed]}).measured("water_astray")


def test_a_full_pool_sheds_its_rain() -> None:
    """A pool of 20 x 10 ft that drains to the drain: 200 sq ft at 1, 124.7 gal of 1 in."""
    pool: dict[str, Any] = {
        "id": "pool", "material": "pool-water", "stage": "proposed",
        "shape": {"rectangle": {"corner": [20, 2], "size": [20, 10]}},
    }  # fmt: skip
    dry = design_flows(survey(surfaces=[*DATA["surfaces"], pool])).rain_m3
    full = pool | {"attributes": {"drains_to": "drain"}}
    found = design_flows(survey(surfaces=[*DATA["surfaces"], full])).rain_m3
    assert (found - dry) / GALLON_M3 == pytest.approx(124.7, rel=0.001)


def test_a_basin_by_its_dimensions() -> None:
    """20 x 10 ft at its base, 3 : 1, 2 ft deep: 856 cu ft; upright 400; its brim is its rim."""
    store: dict[str, Any] = {
        "id": "basin", "kind": "basin", "bottom": 95, "depth": "2 ft", "length": "20 ft",
        "width": "10 ft", "side_slope": 3, "spills_to": "edge",
    }  # fmt: skip
    edges = [DATA["ways_out"]["overflow_edges"][0] | {"crest": 97.0}]
    inlets = [item | {"spills_to": None} for item in DATA["ways_out"]["inlets"]]
    inlets = [{key: value for key, value in item.items() if value is not None} for item in inlets]

    def made(**more: Any) -> Any:
        uphill = {"id": "uphill", "kind": "off-site", "area": "1000 sq ft", "runoff": "40 %",
                  "to": "basin"}  # fmt: skip
        ways = {"stores": [store | more], "overflow_edges": edges, "inlets": inlets,
                "inflows": [uphill]}  # fmt: skip
        return network_of(survey(ways_out=ways)).stores[0]

    assert made().shape.stored_m3[-1] / 0.3048**3 == pytest.approx(856)
    assert made().rim_m / 0.3048 == pytest.approx(97)
    assert made(side_slope=0).shape.stored_m3[-1] / 0.3048**3 == pytest.approx(400)


def test_pipes_can_be_opened() -> None:
    """60 ft straight and 80 ft after a right turn, no drain between: 140 ft and one sharp bend."""
    upper = {"id": "upper", "to": "lower", "diameter": "4 in", "slope": "1 %", "upper": 98,
             "along": [[0, 0], [60, 0]]}  # fmt: skip
    lower = upper | {"id": "lower", "to": "daylight", "upper": 97.4, "along": [[60, 0], [60, 80]]}
    inlets = changed("inlets", "drain", to="upper")[:1]

    def opened(*pipes: dict[str, Any], **more: Any) -> tuple[float, float]:
        ways = {"pipes": list(pipes), "inlets": inlets} | more
        found = survey(ways_out=ways)
        return lot(found, "pipe_without_cleanout", "ft"), lot(found, "bends_without_cleanout")

    assert opened(upper, lower) == pytest.approx((140, 1))
    at_bend = lower | {"cleanouts": [[60, 0]]}
    assert opened(upper, at_bend) == pytest.approx((80, 0))
    half_way = lower | {"cleanouts": [[60, 50]]}
    assert opened(upper, half_way) == pytest.approx((110, 1))
    # A bend within one line counts as well, and one of 45 degrees asks for none.
    bent = upper | {"to": "daylight", "along": [[0, 0], [60, 0], [60, 20]]}
    assert opened(bent) == pytest.approx((80, 1))
    slanted = upper | {"to": "daylight", "along": [[0, 0], [30, 0], [60, 30]]}
    assert opened(slanted)[1] == 0


def test_low_paving_lets_the_stone_below_it_overflow_early() -> None:
    """The far edge lies 5 in lower than the section's top: water leaves there, not at 100."""
    lower = [{"on": "terrace", "level": 100, "at": [30, 40], "pitch": "1/4 in/ft", "toward": 180,
              "drains_to": "edge"}]  # fmt: skip
    found = permeable("1 in")
    data = network_of(found).stores[0]
    assert data.rim_m is not None
    assert data.rim_m / 0.3048 == pytest.approx(100)
    low = permeable("1 in", panels=lower)
    rim_m = network_of(low).stores[0].rim_m
    assert rim_m is not None
    assert rim_m / 0.3048 == pytest.approx(100 - 20 / 48)


def test_new_paving_makes_a_barrier_lower() -> None:
    """48 in over 99.5 ft; beside it the paving falls from 100: at 2 ft off the house 100 - 2/48.

    The highest paving within 3 ft of the fence along x = 50 is 100.00: 48 - 6 = 42 in.
    """
    pool: dict[str, Any] = {
        "id": "pool", "material": "pool-water", "stage": "proposed",
        "shape": {"rectangle": {"corner": [20, 2], "size": [20, 10]}},
    }  # fmt: skip
    fence: dict[str, Any] = {
        "id": "fence", "kind": "barrier", "shape": {"line": [[50, 0], [50, 60]]},
        "height": "48 in", "ground": 99.5,
    }  # fmt: skip
    surfaces = [*DATA["surfaces"], pool]

    def height(*features: dict[str, Any], **more: Any) -> Survey:
        return survey(**{"surfaces": surfaces, "features": list(features)} | more)

    assert lot(height(fence), "barrier_height", "in") == pytest.approx(42)
    away = fence | {"id": "other", "shape": {"line": [[58, 0], [58, 60]]}}
    assert lot(height(away), "barrier_height", "in") == pytest.approx(48)
    assert lot(height(fence, away), "barrier_height", "in") == pytest.approx(42)
    assert "give 'ground' of fence" in lacks(
        height({k: v for k, v in fence.items() if k != "ground"}), "barrier_height"
    )
    assert "draw each barrier" in lacks(height(), "barrier_height")
    assert lot(height(none_found=["barrier"]), "barrier_height") == 0
    assert lot(survey(), "barrier_height") == math.inf
