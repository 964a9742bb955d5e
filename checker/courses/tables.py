"""Reference tables, handed in as plain rows, made into bands, fabric limits and the like.

The rows are those of a `table/1` file: one mapping per row, numbers in the unit that the table
gives for the column. No file is read here.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import CheckerError
from checker.core.units import UNIT
from checker.courses.fabrics import FabricLimits, LapRow
from checker.courses.gradation import SieveBand, SieveLimits
from checker.courses.takeoff import Span

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    Row = Mapping[str, Any]

_PASSING: Final = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(?:[-–]\s*(\d+(?:\.\d+)?))?\s*%?\s*\Z")


class BadTable(CheckerError):
    """A row of a reference table cannot be used."""


def cell_si(row: Row, column: str, columns: Mapping[str, Any]) -> float | None:
    """A number of a row in SI, by the unit of its column; None where the cell is empty.

    Raises:
        BadTable: The cell is no number, or the column has no known unit.
    """
    value = row.get(column)
    if value is None:
        return None
    written = str(columns.get(column, "no unit"))
    unit = UNIT.get("" if written == "number" else written)
    if unit is None:
        raise BadTable(f"column '{column}' has no unit that is known")
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadTable(f"'{value}' in column '{column}' is not a number")
    return float(value) * unit.size_si


def _needed_si(row: Row, column: str, columns: Mapping[str, Any]) -> float:
    value_si = cell_si(row, column, columns)
    if value_si is None:
        raise BadTable(f"a row lacks '{column}'")
    return value_si


def sieve_openings_m(rows: Iterable[Row], columns: Mapping[str, Any]) -> dict[str, float]:
    """The opening of each sieve by its name, metres."""
    return {str(row["sieve"]): _needed_si(row, "opening", columns) for row in rows}


def sieve_name(opening_m: float, openings_m: Mapping[str, float]) -> str:
    """What a sieve is called, or its opening in mm where it has no name in the table."""
    for name, known_m in openings_m.items():
        if abs(known_m - opening_m) < 1e-7:
            return name
    return f"{opening_m * 1000:g} mm"


def bands(rows: Iterable[Row], openings_m: Mapping[str, float]) -> dict[str, SieveBand]:
    """The stone sizes of a table by name.

    Args:
        rows: One per size; a cell under a sieve is `100` or `25-60`, per cent passing by mass.
        openings_m: The sieves by name, as `sieve_openings_m` gives them.

    Raises:
        BadTable: A size without a name, twice, or with a cell that is no share.
    """
    found: dict[str, SieveBand] = {}
    for row in rows:
        size = str(row.get("size", ""))
        if not size or size in found:
            raise BadTable(f"the size '{size}' is missing or stands twice")
        limits = [
            SieveLimits(openings_m[key], *_passing(size, key, cell))
            for key, cell in row.items()
            if key in openings_m and cell is not None
        ]
        limits.sort(key=lambda one: one.opening_m, reverse=True)
        found[size] = SieveBand(size, tuple(limits), str(row.get("evidence", "read")))
    return found


def _passing(size: str, sieve: str, cell: object) -> tuple[float, float]:
    match = _PASSING.match(str(cell))
    if match is None:
        raise BadTable(f"size {size}: '{cell}' under {sieve} is not a share like 25-60")
    low = float(match[1]) / 100
    high = float(match[2]) / 100 if match[2] else low
    if not 0 <= low <= high <= 1:
        raise BadTable(f"size {size}: '{cell}' under {sieve} does not run from low to high")
    return low, high


def fabric_limits(rows: Iterable[Row], columns: Mapping[str, Any]) -> tuple[FabricLimits, ...]:
    """The rows of a table of fabric limits."""
    return tuple(
        FabricLimits(
            fines_above_fraction=_needed_si(row, "fines_above", columns),
            fines_to_fraction=_needed_si(row, "fines_to", columns),
            above_included=_yes(row.get("above_included"), other=False),
            to_included=_yes(row.get("to_included"), other=False),
            opening_at_most_m=_needed_si(row, "opening_at_most", columns),
            permittivity_at_least_per_s=cell_si(row, "permittivity_at_least", columns),
            woven_allowed=_yes(row.get("woven_allowed"), other=True),
            open_area_at_least_fraction=cell_si(row, "open_area_at_least", columns),
        )
        for row in rows
    )


def laps(rows: Iterable[Row], columns: Mapping[str, Any]) -> tuple[LapRow, ...]:
    """The rows of a table of side laps."""
    return tuple(
        LapRow(
            bearing_ratio_above=_needed_si(row, "bearing_ratio_above", columns),
            lap_least_m=_needed_si(row, "lap_least", columns),
            lap_most_m=_needed_si(row, "lap_most", columns),
            sewn=_yes(row.get("sewn"), other=False),
        )
        for row in rows
    )


def allowances(rows: Iterable[Row], columns: Mapping[str, Any]) -> dict[str, Span]:
    """Shares to add, by item."""
    return {
        str(row["item"]): Span(
            _needed_si(row, "least", columns),
            _needed_si(row, "usual", columns),
            _needed_si(row, "most", columns),
        )
        for row in rows
    }


def _yes(value: object, *, other: bool) -> bool:
    if value is None:
        return other
    if value in {True, "yes"}:
        return True
    if value in {False, "no"}:
        return False
    raise BadTable(f"'{value}' is neither yes nor no")
