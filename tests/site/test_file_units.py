"""Messages say lengths in the unit of the file, and nothing is reckoned of a lot not chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from checker import api
from checker.core.formula import OutOfRange, lack_text
from checker.core.problems import BadInput
from checker.measure.drainage.network import network_of
from checker.water.pipes import pipe_flow_m3_per_s

if TYPE_CHECKING:
    from pathlib import Path

NO_LOT = """\
format: site/1
title: Nothing chosen
invented: yes
place: alder-ferry
units: {unit}
rest_of_lot: lawn
surfaces:
  - id: deck
    material: concrete-slab
    stage: proposed
    shape: {{rectangle: {{corner: [1, 1], size: [9, 9]}}}}
    may_become: [permeable-paving, lawn]
"""
UPHILL = """\
format: site/1
title: Uphill
invented: yes
place: alder-ferry
units: {unit}
rest_of_lot: lawn
lot:
  boundary: {{points: [[0, 0], [30, 0], [30, 30], [0, 30]]}}
surfaces:
  - {{id: deck, material: concrete-slab, shape: {{rectangle: {{corner: [1, 1], size: [9, 9]}}}}}}
panels:
  - {{on: deck, level: 100, at: [1, 1], pitch: 2 %, toward: 0}}
ways_out:
  inlets:
    - {{id: box, kind: area-drain, at: [5, 9], rim: 99.8, to: main,
       grate: {{width: 12 in, length: 12 in, open: 60 sq in}}}}
  pipes:
    - {{id: main, to: daylight, diameter: 6 in, material: smooth plastic pipe, length: 20 {unit},
       upper: 98.5, lower: 99.25}}
  outlets:
    - {{id: daylight, kind: daylight, at: [5, 29], level: 98}}
"""


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(("unit", "other"), [("ft", " m"), ("m", " ft")])
def test_a_pipe_that_runs_uphill_is_told_in_the_unit_of_the_file(
    tmp_path: Path, unit: str, other: str
) -> None:
    site = api.load_site(written(tmp_path, "site.yaml", UPHILL.format(unit=unit)))
    checked = api.check(site, api.load_ruleset_for(site))
    with pytest.raises(BadInput) as stopped:
        network_of(checked.survey)
    says = " ".join(problem.says for problem in stopped.value.problems)
    assert f"runs uphill, from 98.500 {unit} to 99.250 {unit}" in says
    assert f"{other} " not in f"{says} "


@pytest.mark.parametrize("unit", ["ft", "m"])
def test_an_arc_that_falls_short_is_told_in_the_unit_of_the_file(tmp_path: Path, unit: str) -> None:
    """Its ends lie 8 apart, in whatever the file is drawn: no radius below 4 reaches over."""
    round_one = "points: [{at: [1, 1], turn: left, radius: 3}, [9, 1], [9, 9]]"
    text = UPHILL.format(unit=unit).replace("rectangle: {corner: [1, 1], size: [9, 9]}", round_one)
    with pytest.raises(BadInput) as stopped:
        api.load_site(written(tmp_path, "site.yaml", text))
    assert [problem.do for problem in stopped.value.problems] == [f"give at least 4.000 {unit}"]


def test_a_range_is_told_in_feet_or_in_metres() -> None:
    """A pipe of no width: its range begins above 0, whatever the unit."""
    with pytest.raises(OutOfRange) as stopped:
        pipe_flow_m3_per_s(-0.3048, 0.01, 0.012)
    assert "diameter: -1.00 ft is outside more than 0.00 ft" in lack_text(stopped.value, "us")
    assert "diameter: -0.305 m is outside more than 0.000 m" in lack_text(stopped.value, "metric")


def test_nothing_is_searched_or_reckoned_without_a_lot(tmp_path: Path) -> None:
    site = api.load_site(written(tmp_path, "site.yaml", NO_LOT.format(unit="ft")))
    checked = api.check(site, api.load_ruleset_for(site))
    for search in (api.least_change, api.sensitivity):
        with pytest.raises(BadInput, match="choose the boundary of the lot under 'lot:'"):
            search(checked)
    found = api.compare_designs([checked, checked], ["A", "B"])
    assert {amount for _, amounts in found.counts for amount in amounts} == {None}
    assert found.cents == (None, None)
    text = api.comparison_text(found)
    assert "A has no lot" in text
    assert "sq ft" not in text
    assert "$" not in text
