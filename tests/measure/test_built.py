"""Where dry wells, stone, pipes and drains lie, by hand; and how pipes run."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checker.algebra.values import Missing, Quantity
from checker.core.units import LENGTH, UNIT, Amount
from checker.measure.drainage.built import WorkFacts, every_scope, works_of
from checker.measure.survey import Survey
from tests.measure.terrace import DATA, changed, survey

WELL = {
    "id": "well", "kind": "dry-well", "at": [20, 10], "bottom": 92, "depth": "4 ft",
    "porosity": "40 %", "chamber": "0 in", "pit": "4 ft", "cover": "1 ft",
}  # fmt: skip
FOOT_M = UNIT["ft"].size_si


def lot(found: Survey, name: str, unit: str) -> float:
    measured = found.measured(name)
    assert isinstance(measured, Amount), measured
    return measured.to(unit)


def with_well(**more: Any) -> Survey:
    well = {key: value for key, value in (WELL | more).items() if value is not None}
    ground = {"measured_rate": "1 in/h", "safety_factor": 2, "water_table_depth": "9 ft"}
    return survey(ways_out={"stores": [well]}, ground=ground, none_found=["well", "septic-tank"])


def of(found: Survey, name: str) -> WorkFacts:
    return next(WorkFacts(found, work) for work in works_of(found) if work.id == name)


def feet(facts: WorkFacts, name: str) -> float:
    value = facts.get(name)
    assert isinstance(value, Amount), value
    return value.to("ft")


def asks(facts: WorkFacts, name: str) -> str:
    value = facts.get(name)
    assert isinstance(value, Quantity), value
    lacks = value.missing[0]
    assert isinstance(lacks, Missing)
    return lacks.ask


def test_distances_from_the_outside_of_the_pit() -> None:
    """Its middle is 10 ft from the front line and 30 ft from the house, its pit 2 ft in radius.

    Down to high water: 9 ft less 1 ft of cover and 4 ft of pit, 4 ft.
    """
    well = of(with_well(), "well")
    assert well.get("work") == "dry-well"
    assert feet(well, "distance_to_lot_line") == pytest.approx(8.0, abs=1e-3)
    assert feet(well, "distance_to_dwelling") == pytest.approx(28.0, abs=1e-3)
    assert feet(well, "distance_to_pool") > 1000
    assert feet(well, "distance_to_well") > 1000
    assert feet(well, "water_table_depth") == pytest.approx(4.0)
    assert "septic-field" in asks(well, "distance_to_septic_field")
    assert well.get("within_lot") is True


def test_what_is_not_known_is_asked_for() -> None:
    nowhere = of(with_well(at=None), "well")
    assert "'at' of well" in asks(nowhere, "distance_to_pool")
    assert nowhere.get("within_lot") is None
    assert "'cover' of well" in asks(of(with_well(cover=None), "well"), "water_table_depth")
    assert "'pit' of well" in asks(of(with_well(pit=None), "well"), "distance_to_dwelling")
    assert works_of(survey(ways_out=None)) == ()


def test_beyond_the_line_is_no_distance_from_it() -> None:
    """A pit whose middle is 5 ft beyond the left line, and one that reaches 1 ft over it."""
    beyond, over = of(with_well(at=[-5, 10]), "well"), of(with_well(at=[1, 10]), "well")
    for well in (beyond, over):
        assert feet(well, "distance_to_lot_line") == 0
        assert well.get("within_lot") is False


@settings(max_examples=60, deadline=None)
@given(x=st.floats(-20, 80), y=st.floats(-20, 80), wide=st.floats(1, 12))
def test_distances_hold_anywhere(x: float, y: float, wide: float) -> None:
    """The lot is 0 to 60 ft, the house 10 to 50 by 40 to 60: a plain sum gives each distance."""
    well = of(with_well(at=[x, y], pit=f"{wide} ft"), "well")
    inside = min(x, 60 - x, y, 60 - y)
    to_house = math.hypot(max(10 - x, x - 50, 0), max(40 - y, y - 60, 0))
    line_ft = max(inside - wide / 2, 0) if inside > -wide / 2 else 0
    assert feet(well, "distance_to_lot_line") == pytest.approx(line_ft, abs=0.01)
    assert feet(well, "distance_to_dwelling") == pytest.approx(
        max(to_house - wide / 2, 0), abs=0.01
    )
    if abs(inside - wide / 2) > 0.01:
        assert well.get("within_lot") is (inside >= wide / 2)


def test_pipes_drains_and_ends_have_a_place() -> None:
    """A pipe 6 in wide along x = 30 to 2 ft from the front line; a pop-up at its end."""
    pipes = changed("pipes", "pipe", along=[[30, 20], [30, 2]])
    found = survey(ways_out={"pipes": pipes, "outlets": [
        {"id": "daylight", "kind": "daylight", "level": 98.2, "at": [30, 2]}]})  # fmt: skip
    kinds = {work.id: work.kind for work in works_of(found)}
    assert kinds == {"pipe": "pipe", "drain": "drain", "daylight": "outlet"}
    assert feet(of(found, "pipe"), "distance_to_lot_line") == pytest.approx(1.75, abs=1e-3)
    assert feet(of(found, "daylight"), "distance_to_lot_line") == pytest.approx(2.0, abs=0.01)


def test_rules_see_works_only_where_they_ask_for_them() -> None:
    """Selecting by stage alone is about surfaces; `work` finds the well too."""
    from checker.algebra import evaluate
    from checker.algebra import nodes as n

    found = with_well(at=[20, 1.5])
    found.bind(_Lot(found))  # type: ignore[arg-type]
    far = n.Compare(n.Named("distance_to_lot_line"), "at least", n.Fixed(Amount(FOOT_M, LENGTH)))
    surfaces = n.ForEach(n.Is("stage", ("proposed",)), far)
    works = n.ForEach(n.Is("work", ("dry-well",)), far)
    assert evaluate.condition(surfaces, found.lot).holds is True
    assert evaluate.condition(works, found.lot).holds is False


class _Lot:
    """As much of the scope of a lot as a selection needs."""

    def __init__(self, found: Survey) -> None:
        self.survey = found

    def surfaces(self) -> Any:
        return every_scope(self.survey)

    def fact(self, name: str) -> None:
        raise AssertionError(name)

    surface_id = ""
    day = None


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
