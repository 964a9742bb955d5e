"""The reference tables of the section: they load, cite known sources, mark what was not read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from checker.core.units import UNIT
from checker.courses.gradation import SieveLimits
from checker.courses.tables import BadTable, bands, cell_si, fabric_limits, laps, sieve_name
from checker.files.source import read_document

RULES = Path(__file__).parents[2] / "rules"
NAMES = [
    "allowances", "deck-slopes", "fabric-classes", "fabric-laps", "fabric-limits-agency",
    "fabric-limits-toronto", "infiltration-setbacks", "order-sizes", "section-limits",
    "section-water-limits", "separation-below", "sieves", "soil-rates-colorado",
    "soil-rates-minnesota", "soil-rates-texture", "standard-sections", "stone-densities",
    "stone-quality", "stone-sizes", "upkeep-calendar", "wet-friction", "work-cautions",
]  # fmt: skip
SOURCES = {
    source["key"]: source
    for source in read_document(RULES / "sources" / "section.yaml").data["sources"]
}
KINDS = {"text", "number", "yes or no", "passing"}
MARKS = {"from memory", "second-hand", "common practice, no source", "invented"}


def table(name: str) -> dict[str, Any]:
    return dict(read_document(RULES / "tables" / f"{name}.yaml").data)


@pytest.mark.parametrize("name", NAMES)
def test_columns_and_sources(name: str) -> None:
    data = table(name)
    assert data["id"] == name
    assert data["source"] in SOURCES
    for unit in data["columns"].values():
        assert unit in KINDS or unit in UNIT, unit
    for row in data["rows"]:
        assert set(row) <= set(data["columns"]), row
        assert row.get("source", data["source"]) in SOURCES, row


@pytest.mark.parametrize("name", NAMES)
def test_the_mark_of_a_row_agrees_with_its_source(name: str) -> None:
    for row in table(name)["rows"]:
        if "source" not in row:
            continue
        reading = SOURCES[row["source"]]["reading"]
        if reading in {"from memory", "second-hand", "invented"}:
            assert any(mark in row["evidence"] for mark in MARKS), row


def test_a_cell_without_a_unit_that_is_known() -> None:
    with pytest.raises(BadTable, match="no unit that is known"):
        cell_si({"depth": 3}, "depth", {"depth": "furlong"})


def test_a_cell_that_is_no_number() -> None:
    with pytest.raises(BadTable, match="'deep' in column 'depth' is not a number"):
        cell_si({"depth": "deep"}, "depth", {"depth": "in"})


def test_a_column_that_nobody_declared() -> None:
    with pytest.raises(BadTable, match="no unit that is known"):
        cell_si({"depth": 3}, "depth", {})


@pytest.mark.parametrize("cell", ["many", "60-25", "101", "10-", -5, True])
def test_shares_that_are_none(cell: object) -> None:
    with pytest.raises(BadTable):
        bands([{"size": "57", "1 in": cell, "No. 4": "0-10"}], {"1 in": 0.025, "No. 4": 0.00475})


def test_a_size_that_stands_twice() -> None:
    with pytest.raises(BadTable, match="stands twice"):
        bands([{"size": "8"}, {"size": "8"}], {})


def test_a_word_for_yes_or_no() -> None:
    row = {"fines_above": 0, "fines_to": 15, "above_included": "maybe", "opening_at_most": 0.43}
    columns = {"fines_above": "%", "fines_to": "%", "opening_at_most": "mm"}
    with pytest.raises(BadTable, match="neither yes nor no"):
        fabric_limits([row], columns)


def test_a_row_that_lacks_its_limit() -> None:
    with pytest.raises(BadTable, match="lacks 'opening_at_most'"):
        fabric_limits([{"fines_above": 0, "fines_to": 15}], {"fines_above": "%", "fines_to": "%"})


def test_shares_are_read_from_per_cent() -> None:
    """25-60 is a quarter up to six tenths, and 5 alone is both ends of itself."""
    row = {"size": "57", "1 in": 100, "No. 4": "25-60", "No. 8": 5}
    openings_m = {"1 in": 0.025, "No. 4": 0.00475, "No. 8": 0.00236}
    assert bands([row], openings_m)["57"].limits == (
        SieveLimits(0.025, 1.0, 1.0),
        SieveLimits(0.00475, 0.25, 0.6),
        SieveLimits(0.00236, 0.05, 0.05),
    )


def test_what_a_row_leaves_out() -> None:
    """No lap is sewn and any fabric may be woven unless the row says so; ends are left out."""
    columns = {"bearing_ratio_above": "number", "lap_least": "in", "lap_most": "in"}
    (lap,) = laps([{"bearing_ratio_above": 3, "lap_least": 12, "lap_most": 18}], columns)
    assert lap.sewn is False
    row = {"fines_above": 0, "fines_to": 15, "opening_at_most": 0.43}
    columns = {"fines_above": "%", "fines_to": "%", "opening_at_most": "mm"}
    (limits,) = fabric_limits([row], columns)
    assert (limits.above_included, limits.to_included) == (False, False)
    assert limits.woven_allowed is True
    assert limits.permittivity_at_least_per_s is None


def test_a_sieve_without_a_name_is_called_by_its_opening() -> None:
    openings_m = {"1 in": 0.025, "No. 4": 0.00475}
    assert sieve_name(0.00475, openings_m) == "No. 4"
    assert sieve_name(0.0063, openings_m) == "6.3 mm"
