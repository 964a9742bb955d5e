"""What offices ask for beside the calculation: areas drawn, other soil, formulas, distances."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest
import shapely

from checker.core.units import AREA, LENGTH, Amount
from checker.drawing.area_map import area_map_svg
from checker.drawing.lot import draw_lot
from checker.drawing.plan import REPORT, fitted_frame
from checker.findings.checked import Checked
from checker.measure.drainage.sheds import sheds
from checker.measure.drainage.varied import varied_flows
from checker.pages.blocks import Table, every
from checker.papers.drainage_steps import worked_formulas
from checker.papers.job import Job, make_job
from checker.papers.section import section_sheet
from checker.papers.sheets import site_sheets
from tests.packet.conftest import DAY, FILES

PARTS = (FILES / "water-parts.yaml").read_text("utf-8")


@pytest.fixture
def wet(changed: Callable[..., Checked]) -> Job:
    return make_job(changed(("project:\n", f"{PARTS}project:\n")), day=DAY)


def test_drained_areas_lie_where_they_are_drawn(wet: Job) -> None:
    """Their shapes cover the lot of 100 x 110 ft once; each area is its shape, or a share of it."""
    every_shed = sheds(wet.survey)
    whole = shapely.union_all([shed.shape for shed in every_shed])
    assert Amount(whole.area, AREA).to("sq ft") == pytest.approx(11000)
    parts = {shed.shape.wkb: shed.shape.area for shed in every_shed}
    assert math.fsum(parts.values()) == pytest.approx(whole.area)
    svg = area_map_svg(wet, "says")
    for index in range(1, len(every_shed) + 1):
        assert re.search(rf">(?:\d+, )*{index}(?:, \d+)*</text>", svg)
    for taker in {shed.to for shed in every_shed if shed.to}:
        assert taker in svg


def test_slower_soil_is_another_soil(wet: Job, changed: Callable[..., Checked]) -> None:
    """Half the rate, as a site file with half the measured rate has it."""
    as_given, half, fourth, more = varied_flows(wet.survey)
    slow_parts = PARTS.replace("measured_rate: 1 in/h", "measured_rate: 0.5 in/h")
    slow = make_job(changed(("project:\n", f"{slow_parts}project:\n"), name="slow.yaml"), day=DAY)
    other = varied_flows(slow.survey)[0]
    emptied = [case.flows.stands["dry-well"].emptied_s or 0.0 for case in (as_given, half, fourth)]
    assert half.flows.stands["dry-well"].emptied_s == other.flows.stands["dry-well"].emptied_s
    assert emptied == sorted(emptied)
    # 1.6 in and a quarter of it.
    assert Amount(more.rain.depth_m, LENGTH).to("in") == pytest.approx(2.0)


def test_a_formula_is_worked(wet: Job) -> None:
    """0.95 x 1.6 in/h x 1,600 sq ft = 202.67 cu ft/h; of 7.4805 gal, in 60 min: 25.27 gal/min."""
    (table,) = (b for b in every((worked_formulas(wet.checked),)) if isinstance(b, Table))
    rows = {row[2]: row for row in table.rows}
    assert "C = 0.950; i = 1.60 in/h; A = 1,600 sq ft" in str(rows["Q = C i A"][3])
    assert rows["Q = C i A"][4] == "25.3 gal/min"
    assert len(rows) == len(table.rows)


def test_distances_of_the_stone(orchard_job: Job) -> None:
    """The terrace begins 2 ft behind the house; its stone ends at the coping, 1 ft wide.

    The walk ends 12 ft west and 18 ft south of the pool: 21.63 ft.
    """
    paper = section_sheet(orchard_job, "5")
    table = next(
        b for b in every(paper.blocks) if isinstance(b, Table) and b.caption.startswith("Distance")
    )
    assert [tuple(row) for row in table.rows] == [
        ("D Side walk", "4.00 ft", "21.63 ft", "18.00 ft"),
        ("G Terrace", "2.00 ft", "1.00 ft", "10.00 ft"),
    ]


def test_what_the_work_brings_does_not_stand_today(orchard_job: Job) -> None:
    _, images = site_sheets(orchard_job)
    assert "Limit of disturbance" in images["S2-lot.svg"]
    assert "Limit of disturbance" not in images["S1-lot.svg"]


BARRIER = """
format: site/1
title: Barrier court
invented: yes
place: larkmoor
units: ft
rest_of_lot: lawn
lot: {boundary: {points: [[0, 0], [80, 0], [80, 115], [0, 115]]}}
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [4, 30], size: [72, 45]}},
     attributes: {purpose: dwelling}}
features:
  - {id: fence, kind: barrier, title: Barrier with a gate that closes itself,
     shape: {line: [[2, 20], [2, 113], [78, 113], [78, 20]]}}
"""


def test_a_name_stands_on_no_roof(plain: Callable[[str], Checked]) -> None:
    """The middle of the barrier's rectangle is the house, which its name would seem to name."""
    job = make_job(plain(BARRIER))
    frame = fitted_frame(job.checked, REPORT, 3)
    drawing = draw_lot(job.checked, job.keys, frame, "work", texts="names")
    body = " ".join(drawing.body)
    found = re.search(r'x="([\d.]+)" y="([\d.]+)"[^>]*>Barrier with a gate', body)
    if found is None:
        assert drawing.notes == ("Barrier with a gate that closes itself",)
        return
    place = shapely.Point(*frame.ground(*(float(each) for each in found.groups())))
    assert not job.checked.site.surfaces[0].shape.contains(place)
