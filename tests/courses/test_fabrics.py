"""Geotextile limits: which row, both tables kept apart, and the retention coefficient."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from checker.core.formula import OutOfRange
from checker.courses.fabrics import (
    FabricLimits,
    lap_for,
    limits_for,
    opening_limit_m,
    retention_coefficient,
    soil_opening_ratio,
)
from checker.courses.tables import fabric_limits, laps
from checker.files.source import read_document

TABLES = Path(__file__).parents[2] / "rules" / "tables"


def table(name: str) -> dict[str, Any]:
    return dict(read_document(TABLES / f"{name}.yaml").data)


def limits(name: str, fines_percent: float) -> FabricLimits:
    data = table(name)
    found = limits_for(fines_percent / 100, fabric_limits(data["rows"], data["columns"]))
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("fines_percent", "opening_mm", "permittivity_per_s"),
    # UFGS 02373: under 15 % 0.43 and 0.5, 15 to 50 % 0.25 and 0.2, over 50 % 0.22 and 0.1.
    [(0, 0.43, 0.5), (14.9, 0.43, 0.5), (15, 0.25, 0.2), (50, 0.25, 0.2), (50.1, 0.22, 0.1)],
)
def test_rows_of_the_federal_guide(
    fines_percent: float, opening_mm: float, permittivity_per_s: float
) -> None:
    found = limits("fabric-limits-agency", fines_percent)
    assert found.opening_at_most_m * 1000 == pytest.approx(opening_mm)
    assert found.permittivity_at_least_per_s == permittivity_per_s


@pytest.mark.parametrize(
    ("fines_percent", "opening_mm", "permittivity_per_s", "woven"),
    # Toronto-area guide; the permittivity for up to 5 % fines could not be read.
    [
        (5, 0.6, None, True),
        (15, 0.6, 0.5, True),
        (50, 0.6, 0.2, True),
        (85, 0.3, 0.1, True),
        (86, 0.3, 0.1, False),
    ],
)
def test_rows_of_the_toronto_guide(
    fines_percent: float, opening_mm: float, permittivity_per_s: float | None, *, woven: bool
) -> None:
    found = limits("fabric-limits-toronto", fines_percent)
    assert found.opening_at_most_m * 1000 == pytest.approx(opening_mm)
    assert found.permittivity_at_least_per_s == permittivity_per_s
    assert found.woven_allowed is woven


def test_the_two_tables_contradict_each_other() -> None:
    agency, toronto = (limits(f"fabric-limits-{name}", 30) for name in ("agency", "toronto"))
    assert (agency.opening_at_most_m, toronto.opening_at_most_m) == pytest.approx((0.25e-3, 0.6e-3))


@pytest.mark.parametrize("name", ["fabric-limits-agency", "fabric-limits-toronto"])
def test_every_share_of_fines_has_one_row(name: str) -> None:
    data = table(name)
    rows = fabric_limits(data["rows"], data["columns"])
    for tenths in range(1001):
        assert sum(row.covers(tenths / 1000) for row in rows) == 1, tenths


@pytest.mark.parametrize(
    ("uniformity", "expected"),
    # From memory of the guideline: 1 up to 2, half to 4, 8 over it to 8, then 1.
    [(1, 1), (2, 1), (3, 1.5), (4, 2), (5, 1.6), (8, 1), (12, 1)],
)
def test_coefficient_from_memory(uniformity: float, expected: float) -> None:
    assert retention_coefficient(uniformity, 0.2, woven=True) == pytest.approx(expected)


def test_coefficient_of_silt_depends_on_the_weave() -> None:
    assert retention_coefficient(3.0, 0.6, woven=True) == 1.0
    assert retention_coefficient(3.0, 0.6, woven=False) == 1.8


def test_the_opening_is_capped_over_half_fines() -> None:
    # By hand: 1.8 x 0.3 = 0.54 mm, capped at 0.3.
    assert opening_limit_m(0.3e-3, 1.8, 0.6) == pytest.approx(0.3e-3)
    assert opening_limit_m(0.3e-3, 1.8, 0.5) == pytest.approx(0.54e-3)


def test_the_granular_rule_keeps_to_granular_soil() -> None:
    with pytest.raises(OutOfRange):
        soil_opening_ratio(0.1e-3, 0.2e-3, 0.6)


@pytest.mark.parametrize(
    ("bearing_ratio", "least_in", "sewn"), [(5, 12, False), (3, 24, False), (0.4, 36, True)]
)
def test_laps_from_memory(bearing_ratio: float, least_in: float, *, sewn: bool) -> None:
    data = table("fabric-laps")
    row = lap_for(bearing_ratio, laps(data["rows"], data["columns"]))
    assert row is not None
    assert row.lap_least_m / 0.0254 == pytest.approx(least_in)
    assert row.sewn is sewn


def test_no_lap_for_a_soil_that_bears_nothing() -> None:
    data = table("fabric-laps")
    assert lap_for(0.0, laps(data["rows"], data["columns"])) is None
