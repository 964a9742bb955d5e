"""Splitting, joining and measuring off: areas and distances by hand or by another formula."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checker.board.changes import Group, Refused
from checker.board.cutting import distances, join, split
from checker.board.plan import Plan, changed, plan_of
from checker.core.units import UNIT

FOOT_M = UNIT["ft"].size_si

HEAD = """\
format: site/1
title: Cutting (invented)
place: alder-ferry
units: ft
lot:
  boundary: {points: [[0, 0], [80, 0], [80, 125], [0, 125]]}
  sides: {front: [1], rear: [3], side: [2, 4]}
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [16, 30], size: [48, 30]}}}
  # The court is to be cut.
"""


def plan_with(*entries: str) -> Plan:
    return plan_of(HEAD + "".join(f"  - {entry}\n" for entry in entries), Path("cut.yaml"))


def court(shape: str, more: str = "", name: str = "court") -> str:
    return f"{{id: {name}, material: concrete-slab, stage: proposed, shape: {shape}{more}}}"


BOX = "{rectangle: {corner: [10, 70], size: [40, 20]}}"


def made(plan: Plan, change: Group | Refused) -> Plan:
    assert isinstance(change, Group), change
    after = changed(plan, change)
    assert isinstance(after, Plan), after
    return after


def shape_of(plan: Plan, name: str) -> Any:
    return next(entry["shape"] for entry in plan.data["surfaces"] if entry["id"] == name)


def area_sq_ft(plan: Plan, name: str) -> float:
    found = next(surface for surface in plan.site.surfaces if surface.id == name)
    return float(found.shape.area / FOOT_M**2)


def test_a_rectangle_cut_square_is_two_rectangles() -> None:
    plan = plan_with(court(BOX, ", may_become: [lawn]"))
    after = made(plan, split(plan, "court", ((35, 60), (35, 100))))
    # 25 x 20 and 15 x 20.
    assert shape_of(after, "court") == {"rectangle": {"corner": [10, 70], "size": [25, 20]}}
    assert shape_of(after, "court-2") == {"rectangle": {"corner": [35, 70], "size": [15, 20]}}
    assert after.data["surfaces"][-1]["may_become"] == ["lawn"]
    assert "# The court is to be cut." in after.text


def test_a_slanting_cut_by_hand() -> None:
    plan = plan_with(court(BOX))
    after = made(plan, split(plan, "court", ((10, 70), (50, 90))))
    assert area_sq_ft(after, "court") == pytest.approx(400)
    assert area_sq_ft(after, "court-2") == pytest.approx(400)


def test_a_hole_is_kept() -> None:
    hole = "{rectangle: {corner: [10, 70], size: [40, 20]}, holes: [{rectangle: {corner: [12, 72], size: [4, 4]}}]}"  # noqa: E501
    plan = plan_with(court(hole))
    after = made(plan, split(plan, "court", ((30, 0), (30, 1))))
    assert {round(area_sq_ft(after, name)) for name in ("court", "court-2")} == {400, 384}


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (((0, 0), (0, 1)), "does not cross"),
        (((20, 75), (20, 75)), "one"),
        (((10, 70), (10, 90)), "does not cross"),
    ],
)
def test_what_is_no_cut_is_refused(line: Any, says: str) -> None:
    found = split(plan_with(court(BOX)), "court", line)
    assert isinstance(found, Refused) and says in found.says


@settings(max_examples=40, deadline=None)
@given(st.floats(0, math.pi), st.floats(-9, 9), st.floats(-4, 4))
def test_no_area_is_lost_or_made_and_joining_brings_it_back(
    angle: float, dx: float, dy: float
) -> None:
    plan = plan_with(court(BOX))
    start = (30 + dx, 80 + dy)
    line = (start, (start[0] + math.cos(angle), start[1] + math.sin(angle)))
    after = made(plan, split(plan, "court", line))
    parts = [area_sq_ft(after, name) for name in ("court", "court-2")]
    assert sum(parts) == pytest.approx(800, abs=0.02)
    back = join(after, ("court", "court-2"))
    if isinstance(back, Group):
        again = changed(after, back)
        assert isinstance(again, Plan)
        assert area_sq_ft(again, "court") == pytest.approx(800, abs=0.02)


def test_two_that_touch_are_joined_to_a_rectangle() -> None:
    plan = plan_with(
        court(BOX), court("{rectangle: {corner: [50, 70], size: [5, 20]}}", name="strip")
    )
    after = made(plan, join(plan, ("court", "strip")))
    assert shape_of(after, "court") == {"rectangle": {"corner": [10, 70], "size": [45, 20]}}
    assert [entry["id"] for entry in after.data["surfaces"]] == ["house", "court"]


@pytest.mark.parametrize(
    ("other", "says"),
    [
        (court("{rectangle: {corner: [52, 70], size: [5, 20]}}", name="strip"), "touch"),
        (court("{rectangle: {corner: [50, 90], size: [5, 20]}}", name="strip"), "touch"),
        (court(BOX, name="strip").replace("proposed", "existing"), "differ"),
    ],
)
def test_what_cannot_be_one_is_refused(other: str, says: str) -> None:
    found = join(plan_with(court(BOX), other), ("court", "strip"))
    assert isinstance(found, Refused) and says in found.says


def test_distances_to_lines_and_the_house() -> None:
    plan = plan_with(court(BOX))
    shape = plan.site.surfaces[-1].shape
    rows = distances(plan.site, shape, "court")
    told = {row["to"]: (row["value"], [round(x) for x in row["away"]]) for row in rows}
    # 70 up, 80 - 50, 125 - 90, 10 from the left; the house ends at 30 + 30.
    assert told == {
        "Line 1, front": (70, [0, 1]),
        "Line 2, side": (30, [-1, 0]),
        "Line 3, rear": (35, [0, -1]),
        "Line 4, side": (10, [1, 0]),
        "House": (10, [0, 1]),
    }


def test_what_lies_on_a_line_is_moved_square_off_it() -> None:
    plan = plan_with(court("{rectangle: {corner: [0, 70], size: [10, 20]}}"))
    rows = distances(plan.site, plan.site.surfaces[-1].shape, "court")
    row = next(row for row in rows if row["to"].startswith("Line 4"))
    assert row["value"] == 0
    assert row["away"] == pytest.approx([1, 0])
