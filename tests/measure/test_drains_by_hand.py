"""What stands over drains, what they take, and what crosses them, worked by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from checker.measure.drainage.network import network_of
from checker.measure.drainage.sheds import sheds
from checker.measure.drainage.sizing import sizes
from checker.measure.drainage.steps import steps
from tests.measure.terrace import DATA, changed, survey

FOOT_M, GALLON_M3 = 0.3048, 231 * 0.0254**3


@pytest.mark.parametrize("deep_in", [0.5, 1.0, 2.0, 3.0, 4.0])
def test_water_over_a_drain_is_a_wedge_on_the_paving(deep_in: float) -> None:
    """The paving falls at 1/4 in/ft to 99.5833 beside the drain at 99.56, 40 ft along the edge.

    e above its lowest line the water is 48 e wide: 40 x 48 x e^2 / 2 cu ft, with 0.05 m2 of grate
    and box over the whole depth. At 4 in it reaches 14.9 ft of the 20 up the paving.
    """
    inlet = next(item for item in network_of(survey()).inlets if item.id == "drain")
    deep_ft = deep_in / 12
    edge_ft = max(0.0, 99.56 + deep_ft - (100 - 20 / 48))
    expected_ft3 = 40 * 48 * edge_ft**2 / 2 + 0.05 / FOOT_M**2 * deep_ft
    pond = inlet.pond
    held_m3 = float(np.interp(deep_ft * FOOT_M, pond.depths_m, pond.stored_m3))
    assert held_m3 / FOOT_M**3 == pytest.approx(expected_ft3, rel=0.01, abs=0.06)


@pytest.mark.parametrize("toward", [45, 90, 270])
@pytest.mark.parametrize("deep_in", [2.0, 4.0])
def test_water_on_paving_that_falls_to_a_side_or_a_corner(toward: int, deep_in: float) -> None:
    """To a side 20 ft wide the wedge is 20 x 48 x e^2 / 2; into a corner, e sqrt(2) x 48 along

    each side, a pyramid: (48 sqrt(2) e)^2 / 2 x e / 3, as long as it stays on the 20 ft.
    """
    edge_ft = deep_in / 12
    if toward == 45:
        at, x, y = [50, 40], 50, 40
        reach_ft = 48 * math.sqrt(2) * edge_ft
        below_ft = max(0.0, edge_ft - 20 / (48 * math.sqrt(2)))
        expected_ft3 = (reach_ft**2 / 2 * edge_ft / 3) * (1 - (below_ft / edge_ft) ** 3)
    else:
        x = 50 if toward == 90 else 10
        at, y = [x, 30], 30
        expected_ft3 = 20 * 48 * edge_ft**2 / 2
    panel = DATA["panels"][0] | {"toward": toward, "at": at, "level": 99.5, "drains_to": "drain"}
    drain = changed("inlets", "drain", at=[x, y], rim=99.5)
    found = survey(panels=[panel], ways_out={"inlets": drain})
    pond = next(i for i in network_of(found).inlets if i.id == "drain").pond
    held_m3 = float(np.interp(edge_ft * FOOT_M, pond.depths_m, pond.stored_m3))
    grate_ft3 = 0.05 / FOOT_M**2 * edge_ft
    assert held_m3 / FOOT_M**3 == pytest.approx(expected_ft3 + grate_ft3, rel=0.02, abs=0.2)


def test_deeper_than_six_inches_a_grate_takes_no_more() -> None:
    """The ratings of openings end at 0.15 m; what stands deeper is no credit."""
    inlet = next(item for item in network_of(survey()).inlets if item.id == "drain")
    takes = inlet.rating.flow_m3_per_s
    assert takes(0.15) > takes(0.149)
    assert takes(0.5) == takes(0.15)


@pytest.mark.parametrize(("toward", "along_x"), [(90, True), (270, True), (180, False)])
def test_a_grate_on_a_slope_catches_its_own_width(toward: int, along_x: bool) -> None:
    """In the middle of 40 x 20 ft a grate of 11.5 in clear catches as wide a strip uphill of it.

    Where the paving falls to a side it is 20 ft long, toward the lawn 10 ft.
    """
    rim = 99.78 if toward == 180 else 99.5
    grate = {"id": "drain", "kind": "area-drain", "at": [30, 30], "rim": rim,
             "grate": {"size": "12 in square"}, "to": "pipe", "spills_to": "edge"}  # fmt: skip
    at = {90: [10, 30], 270: [50, 30], 180: [30, 40]}[toward]
    panels = [DATA["panels"][0] | {"drains_to": "drain", "toward": toward, "at": at}]
    ways = {"inlets": [grate, DATA["ways_out"]["inlets"][1]]}
    crossing, beside = (
        sum(s.area_m2 for s in sheds(survey(ways_out=ways, panels=panels))
            if s.surface == "terrace" and s.to == to) / FOOT_M**2
        for to in ("drain", "edge")
    )  # fmt: skip
    strip_ft2 = 11.5 / 12 * (20 if along_x else 10)
    assert crossing == pytest.approx(strip_ft2, rel=1e-4)
    assert beside == pytest.approx(800 - strip_ft2, rel=1e-5)


def test_a_channel_is_stocked_by_its_depth_as_well() -> None:
    """Level and full to 4 in at its head a channel carries no more than at its free end.

    There the depth is 4 in / sqrt(3) = 2.31 in, critical: sqrt(32.2 x 0.1925^3) x 0.333 ft = 0.160
    cu ft/s, 71.6 gal/min without any friction; 6 in wide and deep 197. 12 in/h on 800 sq ft at
    0.95 bring 94.8.
    """
    channel = {
        "id": "drain", "kind": "channel-drain", "along": [[10, 20], [50, 20]], "rim": 99.56,
        "width": "4 in", "depth": "4 in", "fall": "0 %", "slot": "3/8 in", "clogged": "0 %",
        "to": "pipe", "spills_to": "edge",
    }  # fmt: skip
    rain = {"design": {"depth": "1 in", "duration": "5 min", "shape": "uniform"}}
    ways = {"inlets": [channel]}
    drain = next(item for item in sizes(survey(ways_out=ways, storms=rain)) if item.id == "drain")
    assert drain.needed.startswith("94.")
    assert not drain.is_enough
    assert drain.stocked == "6 in wide"


def test_a_store_below_a_surface_is_where_that_is() -> None:
    from checker.measure.drainage.built import works_of

    bed: dict[str, Any] = {
        "id": "bed", "kind": "reservoir", "under": "terrace", "bottom": 97, "depth": "20 in",
        "porosity": "40 %",
    }  # fmt: skip
    ways = {"stores": [bed], "pipes": changed("pipes", "pipe", to="bed"), "outlets": []}
    work = next(item for item in works_of(survey(ways_out=ways)) if item.id == "bed")
    assert work.shape.area / FOOT_M**2 == pytest.approx(800)
    lost = ways | {"stores": [bed | {"under": "nowhere"}]}
    work = next(item for item in works_of(survey(ways_out=lost)) if item.id == "bed")
    assert work.lacks == "'under' of bed names 'nowhere', which is no surface"


def test_the_calculation_says_the_rate_of_the_soil() -> None:
    """1 in/h measured, a factor of 2: 0.5 in/h; where no rate is given, nothing is said of it."""
    well = {"id": "well", "kind": "dry-well", "at": [30, 8], "bottom": 92, "depth": "5 ft",
            "chamber": "2 ft", "pit": "4 ft", "porosity": "40 %"}  # fmt: skip
    ways = {"stores": [well], "pipes": changed("pipes", "pipe", to="well"), "outlets": []}
    found = [step for step in steps(survey(ways_out=ways), "us") if step.formula.startswith("f =")]
    assert [step.of for step in found] == ["well"]
    assert found[0].result.to("in/h") == pytest.approx(0.5)
