"""The order of a whole job, every amount worked by hand; US customary lots in feet."""

from __future__ import annotations

import io
import math
from pathlib import Path

import pytest
import shapely

from checker import api
from checker.core.units import Amount
from checker.files.source import read_text
from checker.findings.checked import Checked, judged
from checker.measure.drainage.drawn import ways_of
from checker.measure.section.takeoff import TakeOff, TakeOffItem
from checker.measure.whole_job import joints_m, whole_job
from checker.site.read import site_of

FOOT = 0.3048
SITES = Path(__file__).parents[1] / "report" / "sites"

SLAB = """\
format: site/1
title: A slab for an old patio
place: alder-ferry
units: ft
facts: {zone: R-2}
rest_of_lot: lawn
lot: {boundary: {points: [[0, 0], [100, 0], [100, 100], [0, 100]]}}
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [10, 10], size: [30, 30]}}}
  - id: old
    material: concrete-slab
    stage: removed
    shape: {rectangle: {corner: [10, 50], size: [30, 20]}}
  - {id: walk, material: asphalt, shape: {rectangle: {corner: [40, 50], size: [10, 12]}}}
  - id: new
    material: concrete-slab
    stage: proposed
    shape: {rectangle: {corner: [20, 50], size: [30, 12]}}
"""


def check(text: str, folder: Path) -> Checked:
    path = folder / "site.yaml"
    path.write_text(text, encoding="utf-8")
    site = api.load_site(path, path.name)
    return api.check(site, api.load_ruleset("alder-ferry"))


@pytest.fixture
def slab(tmp_path: Path) -> TakeOff:
    return whole_job(check(SLAB, tmp_path).survey)


def line(taken: TakeOff, surface: str, title: str) -> TakeOffItem:
    return next(i for i in taken.items if (i.surface, i.title) == (surface, title))


def spans(item: TakeOffItem, unit: str) -> list[float]:
    ends = (item.needed.least, item.needed.usual, item.needed.most)
    return [Amount(end, item.dimension).to(unit) for end in ends]


def test_what_is_broken_out_and_hauled_off(slab: TakeOff) -> None:
    # 30 x 20 = 600 sq ft of old slab, 4, 4 and 6 in thick: 200, 200 and 300 cu ft; broken up it
    # swells by 40, 50 and 60 %: 280, 300, 480 cu ft = 10.370, 11.111, 17.778 cu yd.
    assert spans(line(slab, "old", "Break out: concrete slab"), "sq ft") == pytest.approx([600] * 3)
    debris = line(slab, "old", "Haul-off of broken paving")
    assert debris.in_place.to("cu ft") == pytest.approx(200)
    assert spans(debris, "cu yd") == pytest.approx([280 / 27, 300 / 27, 480 / 27])
    # New work lies on 10 x 12 = 120 sq ft of the asphalt walk: 3 in of it are 30 cu ft.
    assert spans(line(slab, "walk", "Break out: asphalt"), "sq ft") == pytest.approx([120] * 3)
    assert line(slab, "walk", "Haul-off of broken paving").in_place.to("cu ft") == pytest.approx(30)


def test_a_new_slab_with_base_forms_and_joints(slab: TakeOff) -> None:
    # 30 x 12 = 360 sq ft. Concrete 4, 4 and 5 in: 120, 120, 150 cu ft, with 5, 8 and 10 %: 126,
    # 129.6, 165 cu ft.
    assert spans(line(slab, "new", "Concrete"), "cu ft") == pytest.approx([126, 129.6, 165])
    # Forms all round: 2 x 42 = 84 ft.
    assert spans(line(slab, "new", "Edge forms of the slab"), "ft") == pytest.approx([84] * 3)
    # Joints 10 ft apart: 3 fields along 30 ft and 2 across 12: 2 x 12 + 1 x 30 = 54 ft. At 12 ft:
    # 3 by 1: 24 ft. At 8 ft: 4 by 2: 3 x 12 + 30 = 66 ft.
    assert spans(line(slab, "new", "Control joints"), "ft") == pytest.approx([24, 54, 66])
    # Base of 4 in: 120 cu ft = 3.39802 m3, x 0.78 x 2650 x 1.20 = 8,428.5 kg = 9.291 ton.
    usual = 120 * FOOT**3 * 0.78 * 2650 * 1.20 / 907.18474
    assert spans(line(slab, "new", "Base of the slab, dense stone"), "ton")[1] == pytest.approx(
        usual
    )
    assert usual == pytest.approx(9.29, abs=0.01)
    # Digging for 8 in: 240 cu ft, swelling by 20, 25 and 30 %.
    assert spans(line(slab, "new", "Excavation"), "cu ft") == pytest.approx([288, 300, 312])


def test_ground_that_is_bare_afterwards_is_restored(slab: TakeOff) -> None:
    # Of the 600 sq ft of old slab 20 x 12 = 240 lie under the new one: 360 are bare. Topsoil of 4,
    # 6 and 6 in: 120, 180 and 180 cu ft.
    assert spans(line(slab, "restored ground", "Seed or sod"), "sq ft") == pytest.approx([360] * 3)
    assert spans(line(slab, "restored ground", "Topsoil"), "cu ft") == pytest.approx(
        [120, 180, 180]
    )
    asks = {gap.title: gap.ask for gap in slab.gaps}
    assert "limit of disturbance" in asks["Ground beside the work"]


def test_inside_a_limit_of_disturbance_all_bare_ground_is(tmp_path: Path) -> None:
    # The limit is 50 x 30 = 1,500 sq ft over [5, 45] to [55, 75]; in it lie the new slab, 360, and
    # nothing else that stays: the walk lies under the slab for 120, all of it.
    text = SLAB + (
        "regions:\n  - {id: limit-of-disturbance, kind: other, title: Limit of disturbance, "
        "shape: {rectangle: {corner: [5, 45], size: [50, 30]}}}\n"
    )
    taken = whole_job(check(text, tmp_path).survey)
    assert spans(line(taken, "restored ground", "Seed or sod"), "sq ft")[1] == pytest.approx(1140)
    assert not [gap for gap in taken.gaps if gap.title == "Ground beside the work"]


def test_joints_of_a_shape_that_fills_its_rectangle_in_part() -> None:
    # An L of 20 x 20 less 10 x 10 fills 3/4: joints at 10 ft would be 20 + 20 = 40, so 30 ft.
    corners = [(0, 0), (20, 0), (20, 10), (10, 10), (10, 20), (0, 20)]
    l_shape = shapely.Polygon([(x * FOOT, y * FOOT) for x, y in corners])
    assert joints_m(l_shape, 10 * FOOT) / FOOT == pytest.approx(30)
    square = shapely.box(0, 0, 10 * FOOT, 10 * FOOT)
    assert joints_m(square, 10 * FOOT) == 0  # exactly one field


@pytest.fixture(scope="module")
def linden() -> TakeOff:
    path = SITES / "linden" / "after.yaml"
    site = api.load_site(path, path.name)
    return whole_job(api.check(site, api.load_ruleset_for(site)).survey)


def test_drains_pipes_and_a_dry_well(linden: TakeOff) -> None:
    drainage = [item for item in linden.items if item.surface == "drainage"]
    lengths = [item for item in drainage if item.ordered == "storm-pipe"]
    # With 5, 10 and 10 % for cuts and joints.
    for item in lengths:
        least, usual, most = (end / item.in_place.value_si for end in (
            item.needed.least, item.needed.usual, item.needed.most))  # fmt: skip
        assert (least, usual, most) == pytest.approx((1.05, 1.10, 1.10))
    fittings = [item for item in drainage if item.title == "Pipe fittings"]
    assert len(fittings) == len(lengths)


def test_each_bend_is_a_fitting_and_each_grate_is_told_by_its_size() -> None:
    """A pipe of four points has two bends and two ends; of three area drains two are of a size."""
    path = SITES / "linden" / "after.yaml"
    text = path.read_text(encoding="utf-8")
    text = text.replace("[[18, 77.5], [10, 105]]", "[[18, 77.5], [14, 80], [12, 90], [10, 105]]")
    grate = "kind: area-drain, rim: 99.8, to: main, spills_to: west-edge"
    drains = (
        f"    - {{id: d1, at: [14, 78], {grate}, grate: {{size: 9 x 9 in, open: 40 sq in}}}}\n"
        f"    - {{id: d2, at: [13, 80], {grate}, grate: {{size: 9 x 9 in, open: 40 sq in}}}}\n"
        f"    - {{id: d3, at: [12, 82], {grate}}}\n"
    )
    text = text.replace("  pipes:\n", f"{drains}  pipes:\n", 1)
    site = site_of(read_text(text, path.name), path)
    taken = whole_job(judged(site, api.load_ruleset_for(site)).survey)
    own = [item for item in taken.items if item.surface == "drainage"]
    assert [i.needed.usual for i in own if i.title == "Pipe fittings"] == [4, 2, 2]
    grates = {i.title: i.needed.usual for i in own if i.title.startswith("Area drain")}
    assert grates == {"Area drain, 9 x 9 in": 2, "Area drain, size not given": 1}
    (channel,) = (i for i in own if i.ordered == "channel")
    # From x = 66 to 18 along one line: 48 ft.
    assert channel.in_place.to("ft") == pytest.approx(48)


def test_stone_round_a_dry_well(linden: TakeOff) -> None:

    path = SITES / "linden" / "after.yaml"
    site = api.load_site(path, path.name)
    survey = api.check(site, api.load_ruleset_for(site)).survey
    pit = next(pit for pit in ways_of(survey).pits if pit.kind == "dry-well")
    assert pit.pit_m and pit.chamber_m and pit.depth_m
    # The pit less the chamber, over the depth, and the stone below the whole pit.
    ring = math.pi / 4 * (pit.pit_m**2 - pit.chamber_m**2) * pit.depth_m
    below = math.pi / 4 * pit.pit_m**2 * (pit.stone_below_m or 0.0)
    assert line(linden, "drainage", "Stone round dry wells").in_place.value_si == pytest.approx(
        ring + below
    )


def test_nothing_is_lost_between_lines_and_order(linden: TakeOff) -> None:
    # A second way to the sums: add the lines up by title and kind.
    from checker.files.tables import table
    from checker.measure.section.orders import orders

    ordered = orders(linden.items, table("order-sizes"))
    for order in ordered:
        own = [item.needed.usual for item in linden.items if item.key == order.key]
        assert order.needed.usual == pytest.approx(sum(own))
    assert {order.key for order in ordered} == {item.key for item in linden.items}


def test_text_csv_and_workbook_say_the_same(tmp_path: Path) -> None:
    openpyxl = pytest.importorskip("openpyxl")
    pytest.importorskip("xlsxwriter")
    checked = check(SLAB, tmp_path)
    text, csv = api.take_off(checked, None, "metric")
    assert "m3" in text
    assert "sq ft" not in text
    book = openpyxl.load_workbook(io.BytesIO(api.take_off_workbook(checked, None, "metric")))
    assert book.sheetnames == ["By area", "To order"]
    concrete = next(r for r in book["To order"].iter_rows(values_only=True) if r[2] == "Concrete")
    # 129.6 cu ft are 3.67 m3, sold by the half: 8 of them.
    assert concrete[6] == pytest.approx(3.67)
    assert concrete[9] == 8
    assert "total,,Concrete,,,3.57,3.67,4.67,m3,8,half cubic metre of 0.5 m3" in csv
    cells = [c for sheet in book for row in sheet.iter_rows(values_only=True) for c in row if c]
    assert any("Caution" in str(cell) for cell in cells)
    assert not [c for c in cells if str(c).startswith("=") and "SUM" not in str(c)]
    assert api.take_off_workbook(checked) == api.take_off_workbook(checked)
