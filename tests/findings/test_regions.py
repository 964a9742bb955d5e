"""Regions on a drawing: touching against clipping, bands, and land beside the lot. By hand."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from checker import api
from checker.algebra import nodes as n
from checker.core.units import same
from checker.files.source import read_text
from checker.findings.lots import DrawnLot
from checker.findings.sheet import RuleSheet
from checker.site.read import site_of

FOOT_M2: Final = 0.3048**2

# A lot of 100 x 400 ft with the lake along its lower side. The drive is 10 ft wide and runs on for
# 12 ft to the street; the wellhead area covers the upper right corner, 20 x 20 ft.
LOT: Final = """\
format: site/1
title: Made up for a test
place: tarn-end
units: ft
rest_of_lot: lawn
lot: {boundary: {points: [[0, 0], [100, 0], [100, 400], [0, 400]]}, sides: {rear: [1], front: [3]}}
features:
  - {id: shore, kind: shoreline, shape: {line: [[-500, 0], [600, 0]]}}
regions:
  - {id: wellhead, kind: overlay, shape: {rectangle: {corner: [80, 380], size: [200, 200]}}}
  - {id: boulevard, kind: right-of-way, shape: {rectangle: {corner: [0, 400], size: [100, 12]}}}
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [20, 200], size: [60, 50]}}}
  - {id: drive, material: asphalt, shape: {rectangle: {corner: [85, 250], size: [10, 162]}}}
  - {id: dock-walk, material: wood-deck, shape: {rectangle: {corner: [48, 60], size: [4, 40]}}}
"""

AREAS: Final = {
    # lot_area of each region
    ("lot_area", "band-1"): 7_500,  # 100 x 75
    ("lot_area", "band-2"): 17_500,  # 100 x 175
    ("lot_area", "band-3"): 15_000,  # 100 x 150
    ("lot_area", "wellhead-lots"): 40_000,  # the whole lot, since a corner is touched
    ("lot_area", "wellhead-part"): 400,  # 20 x 20
    ("lot_area", "boulevard"): 1_200,  # 100 x 12, none of it in the lot
    # hard_cover in each region
    ("hard_cover", "band-1"): 60,  # the walk from 60 to 75: 4 x 15
    ("hard_cover", "band-2"): 3_100,  # the walk from 75 to 100: 4 x 25; the house 60 x 50
    ("hard_cover", "band-3"): 1_500,  # the drive from 250 to 400: 10 x 150
    ("hard_cover", "wellhead-lots"): 4_660,  # 160 + 3,000 + 1,500
    ("hard_cover", "wellhead-part"): 200,  # the drive from 380 to 400: 10 x 20
    ("hard_cover", "boulevard"): 120,  # the drive beyond the lot line: 10 x 12
    ("hard_cover", ""): 4_660,
}


def sheet(text: str) -> RuleSheet:
    ruleset = api.load_ruleset("tarn-end")
    return RuleSheet(
        ruleset, DrawnLot(site_of(read_text(text, "x.yaml"), Path("x.yaml")), ruleset, {})
    )


@pytest.mark.parametrize(("name", "region"), list(AREAS))
def test_area_of_a_region(name: str, region: str) -> None:
    found = sheet(LOT).number(n.Named(name, "", region))
    assert found.is_certain
    assert same(found.low_si / FOOT_M2, AREAS[name, region])


def test_a_lot_that_touches_nothing_is_not_switched() -> None:
    away = LOT.replace(
        "corner: [80, 380], size: [200, 200]", "corner: [100, 380], size: [200, 200]"
    )
    assert sheet(away).number(n.Named("lot_area", "", "wellhead-lots")).low_si == 0


def test_a_region_nobody_drew_is_asked_for() -> None:
    text = LOT.replace("id: wellhead,", "id: other-overlay,")
    found = sheet(text).number(n.Named("lot_area", "", "wellhead-part"))
    assert not found.is_certain
    assert found.missing[0].ask == (
        "draw the region 'wellhead' under 'regions', or list it under 'none_found'"
    )


def test_bands_do_not_pool() -> None:
    site = site_of(read_text(LOT, "x.yaml"), Path("x.yaml"))
    checked = api.check(site, api.load_ruleset("tarn-end"))
    bands = next(item for item in checked.verdict.findings if item.rule == "bands")
    # 3,100 of 4,375 and 1,500 of 4,500 are far below, and 60 of nothing still fails.
    assert bands.status == "fails"
    assert bands.limit is not None
    assert bands.limit.value_si == 0
