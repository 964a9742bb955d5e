"""The area to convert, against cases that are worked by hand from public records."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from checker.core.units import AREA, UNIT, Amount
from checker.files.source import read_document
from checker.findings.conversion import area_to_convert_m2
from checker.pages.markdown_writer import markdown_of
from checker.papers.change import change_page
from checker.solve.conversion import conversion_rows, whole_units_up_m2
from checker.solve.search import least_change
from tests.solve.made import SQ_FT_M2, checked, cover_rules

DATA: dict[str, Any] = read_document(
    Path(__file__).resolve().parents[1] / "published" / "change-cases.yaml"
).data
CASES: list[dict[str, Any]] = DATA["convert_to_comply"]
IDS = [f"counts {case['c']}" for case in CASES]

# House and patio together 3,410 sq ft, as in the record: 65 x 34 = 2,210 and 40 x 30 = 1,200.
SURFACES = """\
  - {id: house, material: roof, fixed: yes, shape: {rectangle: {corner: [5, 5], size: [65, 34]}}}
  - id: patio
    material: concrete-slab
    shape: {rectangle: {corner: [10, 50], size: [40, 30]}}
    may_become: [permeable-paving]
"""


def test_the_record_is_over_by_what_the_cases_start_from() -> None:
    record = DATA["city_record_2019"]
    assert record["drawn"] - record["allowed"] == record["over"] == 160


@pytest.mark.parametrize("case", CASES, ids=IDS)
def test_the_formula(case: dict[str, Any]) -> None:
    found = area_to_convert_m2(case["over"] * SQ_FT_M2, case["c"])
    if case["x"] is None:
        assert found is None
    else:
        assert found is not None
        up = Amount(whole_units_up_m2(found, "us"), AREA).to("sq ft")
        assert round(up, 6) == case["x"]


@pytest.mark.parametrize("case", CASES, ids=IDS)
def test_the_search(case: dict[str, Any]) -> None:
    lot = checked(SURFACES, cover_rules("3250 sq ft", str(case["c"])))
    options = least_change(lot)
    if case["x"] is None:
        assert not options.options
        assert options.conflicts[0].rules == ("cover-limit",)
        return
    option = options.option("least-area")
    assert option.proof.is_proven
    # Bands go in steps of 6 in, along the side of 40 ft in 20 sq ft, along that of 30 ft in 15.
    exact = 160 / (1 - case["c"])
    steps = min(math.ceil(exact / step - 1e-9) * step for step in (15, 20))
    assert Amount(option.proof.found.value_si, AREA).to("sq ft") == pytest.approx(steps)
    assert steps >= exact


def test_the_table_of_shares() -> None:
    options = least_change(checked(SURFACES, cover_rules("3250 sq ft")))
    rows = dict(conversion_rows(options))
    for case in CASES:
        if case["c"] not in rows:
            continue
        wanted_m2 = rows[case["c"]]
        if case["x"] is None:
            assert wanted_m2 is None
        else:
            assert wanted_m2 is not None
            assert Amount(wanted_m2, AREA).to("sq ft") == pytest.approx(case["x"])


def test_the_table_of_shares_is_on_the_page() -> None:
    # 160 sq ft over: 160 / 0.75 is 213.3, in whole square feet 214; all of it counts: never.
    page = markdown_of(change_page(least_change(checked(SURFACES, cover_rules("3250 sq ft")))))
    rows = [" ".join(line.replace("|", " ").split()) for line in page.splitlines()]
    assert "25 % 214.0 sq ft" in rows
    assert "75 % 640.0 sq ft" in rows
    assert "100 % not possible by converting" in rows


def test_no_more_is_converted_than_may_be() -> None:
    # 160 sq ft over: at 75 % that is 640 of paving, and the patio here is 20 x 30 = 600.
    small = SURFACES.replace("[40, 30]", "[20, 30]").replace("[65, 34]", "[65, 43.2307692307692]")
    rows = dict(conversion_rows(least_change(checked(small, cover_rules("3250 sq ft")))))
    assert rows[0.75] is None
    half_m2 = rows[0.5]
    assert half_m2 is not None
    assert Amount(half_m2, AREA).to("sq ft") == pytest.approx(320)
    # Where nothing may become permeable there is nothing to tell.
    none = small.replace("permeable-paving", "lawn")
    assert conversion_rows(least_change(checked(none, cover_rules("3250 sq ft")))) == []


def test_nothing_over_needs_nothing() -> None:
    assert area_to_convert_m2(0.0, 1.0) == 0.0
    assert area_to_convert_m2(0.0, 0.5) == 0.0


def test_metric_areas_go_up_to_tenths() -> None:
    # 10.01 m2 up to the next tenth is 10.1 m2; 10.1 m2 stays.
    assert whole_units_up_m2(10.01, "metric") == pytest.approx(10.1 * UNIT["m2"].size_si)
    assert whole_units_up_m2(10.1, "metric") == pytest.approx(10.1)
