"""Where dry wells lie and how their pipes run, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from checker.core.units import Amount
from checker.measure.survey import Survey
from tests.measure.terrace import DATA, changed, survey

WELL = {
    "id": "well", "kind": "dry-well", "at": [20, 10], "bottom": 92, "depth": "4 ft",
    "porosity": "40 %", "chamber": "0 in", "pit": "4 ft", "cover": "1 ft",
}  # fmt: skip


def lot(found: Survey, name: str, unit: str) -> float:
    measured = found.measured(name)
    assert isinstance(measured, Amount), measured
    return measured.to(unit)


def with_well(**more: Any) -> Survey:
    well = {key: value for key, value in (WELL | more).items() if value is not None}
    ground = {"measured_rate": "1 in/h", "safety_factor": 2, "water_table_depth": "9 ft"}
    return survey(ways_out={"stores": [well]}, ground=ground, none_found=["well", "septic-tank"])


def test_distances_from_the_outside_of_the_pit() -> None:
    """Its middle is 10 ft from the front line and 30 ft from the house, its pit 2 ft in radius.

    Down to high water: 9 ft less 1 ft of cover and 4 ft of pit, 4 ft.
    """
    found = with_well()
    assert lot(found, "dry_wells", "") == 1
    assert lot(found, "dry_well_to_lot_line", "ft") == pytest.approx(8.0, abs=1e-3)
    assert lot(found, "dry_well_to_dwelling", "ft") == pytest.approx(28.0, abs=1e-3)
    assert lot(found, "dry_well_to_pool", "ft") > 1000
    assert lot(found, "dry_well_to_well", "ft") > 1000
    assert lot(found, "dry_well_above_water", "ft") == pytest.approx(4.0)
    assert "septic-field" in str(getattr(found.measured("dry_well_to_septic"), "ask", ""))


def test_what_is_not_known_is_asked_for() -> None:
    assert "'at' of well" in str(
        getattr(with_well(at=None).measured("dry_well_to_pool"), "ask", "")
    )
    lacks = with_well(cover=None).measured("dry_well_above_water")
    assert "'cover' of well" in str(getattr(lacks, "ask", ""))
    assert lot(survey(ways_out=None), "dry_wells", "") == 0


def test_pipes_that_narrow_and_how_fast_they_run() -> None:
    """6 in at 1 %, n 0.010, full: 0.7295 cu ft/s (0.4632 / 0.010 x 0.5^(8/3) x 0.1) over 0.19635
    sq ft is 3.715 ft/s.
    """
    found = survey()
    assert lot(found, "pipe_speed_least", "ft/s") == pytest.approx(3.715, abs=0.005)
    assert lot(found, "pipes_that_narrow", "") == 0
    upper = DATA["ways_out"]["pipes"][0] | {
        "id": "upper", "to": "pipe", "diameter": "8 in", "upper": 98.9, "lower": 98.6,
    }  # fmt: skip
    pipes = [*DATA["ways_out"]["pipes"], upper]
    narrow = survey(ways_out={"pipes": pipes})
    assert lot(narrow, "pipes_that_narrow", "") == 1
    boxed = survey(ways_out={"pipes": [pipes[0], upper | {"to": "drain"}]})
    assert lot(boxed, "pipes_that_narrow", "") == 1
    wide = survey(ways_out={"pipes": [*changed("pipes", "pipe", diameter="8 in"), upper]})
    assert lot(wide, "pipes_that_narrow", "") == 0
