"""Plans before, after and of what comes out: dimensions as drawn, no hatch over new work."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence

import pytest
import shapely

from checker.core.showing import show
from checker.core.units import LENGTH, Amount
from checker.drawing.lot import draw_lot, drawn_bounds
from checker.drawing.plan import phase_svg, plan_svg
from checker.drawing.scale import Frame, us_scale
from checker.drawing.side_lengths import sides_of
from checker.findings.checked import Checked
from checker.papers.phases import phases_of
from checker.papers.writing import reports_of
from checker.words.letters import Keys
from tests.report.conftest import SITES, check_file

SVG = "{http://www.w3.org/2000/svg}"
FOOT = 0.3048


@pytest.fixture(scope="module")
def linden() -> Checked:
    return check_file(SITES / "linden" / "after.yaml")


def lengths(points: Sequence[tuple[float, float]]) -> list[str]:
    shape = shapely.Polygon([(x * FOOT, y * FOOT) for x, y in points])
    return [
        show(Amount(shapely.LineString(alike[0]).length, LENGTH), "us") for alike in sides_of(shape)
    ]


def test_an_l_has_six_sides_and_a_rectangle_two() -> None:
    # 48 by 21 ft with 28 by 10 cut from a corner: 20, 21, 48, 11, 28, 10.
    l_shape = [(18, 72), (46, 72), (46, 62), (66, 62), (66, 83), (18, 83)]
    assert sorted(lengths(l_shape)) == [
        "10.00 ft",
        "11.00 ft",
        "20.00 ft",
        "21.00 ft",
        "28.00 ft",
        "48.00 ft",
    ]
    assert lengths([(0, 0), (12.5, 0), (12.5, 30), (0, 30)]) == ["12.50 ft", "30.00 ft"]


def test_a_point_on_a_straight_side_is_no_corner() -> None:
    assert lengths([(0, 0), (5, 0), (12, 0), (12, 30), (0, 30)]) == ["12.00 ft", "30.00 ft"]


def test_a_curve_has_no_sides() -> None:
    assert sides_of(shapely.Point(0, 0).buffer(5)) == []


def test_the_l_of_the_lot_is_dimensioned_as_drawn(linden: Checked) -> None:
    root = ET.fromstring(plan_svg(linden, Keys(linden.site), ""))
    texts = [e.text for e in root.iter(f"{SVG}text")]
    assert {
        "10.00 ft",
        "11.00 ft",
        "20.00 ft",
        "21.00 ft",
        "28.00 ft",
        "48.00 ft",
        "56.00 ft",
    } <= set(texts)
    assert "Deck by the house" in texts


def test_what_goes_is_never_hatched_over_new_work(linden: Checked) -> None:
    left, _, _, top = drawn_bounds(linden)
    frame = Frame(us_scale(20), left, top, 0.0, 0.0, 150.0, 180.0)
    drawing = draw_lot(linden, Keys(linden.site), frame)
    body = "".join(drawing.body)
    # The areas that are cross-hatched, by the clip of their tiles.
    clips = re.findall(r'<g clip-path="url\(#(area-\d+)-clip\)"><use href="#hatch-cross', body)
    assert clips
    new = shapely.union_all(
        [s.shape for s in linden.site.surfaces if s.stage in {"proposed", "replaced"}]
    )
    defs = "".join(drawing.defs)
    for name in clips:
        path = re.search(rf'<path id="{name}" d="([^"]+)"', defs)
        assert path is not None
        for ring in path[1].split("Z")[:-1]:
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", ring)]
            points = [frame.ground(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
            assert shapely.Polygon(points).buffer(-0.05).intersection(new).area == 0


def test_before_has_nothing_new_and_after_nothing_that_goes(linden: Checked) -> None:
    keys = Keys(linden.site)
    before = phase_svg(linden, keys, "today", "Before")
    after = phase_svg(linden, keys, "after", "After")
    assert ">I<" not in before
    assert ">G<" in before
    assert ">G<" not in after
    assert ">I<" in after
    assert "hatch-cross" not in before + after
    assert "hatch-cross" in phase_svg(linden, keys, "demolition", "Demolition")


def test_the_report_holds_them_once_each(linden: Checked) -> None:
    files = [picture.file for picture in phases_of(linden, Keys(linden.site))]
    assert files == ["plan-before.svg", "plan-after.svg", "plan-demolition.svg"]
    texts = reports_of(linden)
    assert set(files) <= set(texts)
    ids = re.findall(r' id="([^"]+)"', texts["report.html"])
    assert len(ids) == len(set(ids))


def test_names_stand_in_their_surface_or_on_open_ground(linden: Checked) -> None:
    root = ET.fromstring(plan_svg(linden, Keys(linden.site), ""))
    texts = [e.text for e in root.iter(f"{SVG}text")]
    assert {"House", "Drive", "Pool", "Walk"} <= set(texts)
