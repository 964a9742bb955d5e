"""Reads the text table of a rainfall atlas, as its server gives it, into a `DepthTable`.

The unit stands in the first line only. Rows are durations, columns return periods. Blocks that
follow (the bounds of the estimate) and the footer are left aside.
"""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.problems import Place, Problems, did_you_mean
from checker.core.units import FOOT_M, INCH_M
from checker.water.rainfall import DepthTable

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

_HEADER: Final = "by duration for ari"
_UNITS_M: Final = {
    "inches": INCH_M,
    "inch": INCH_M,
    "feet": FOOT_M,
    "millimeters": 0.001,
    "millimetres": 0.001,
    "mm": 0.001,
}
_SECONDS: Final = {"min": 60.0, "hr": 3600.0, "hour": 3600.0, "day": 86400.0}
_DURATION: Final = re.compile(r"(?P<count>\d{1,4})\s*-?\s*(?P<unit>[a-z]+)", re.IGNORECASE)
_TITLE_UNIT: Final = re.compile(r"\((?P<unit>[a-z]+)(?P<rate>/hour|/hr)?\)", re.IGNORECASE)
_LONGEST_TEXT: Final = 1_000_000


def read_atlas(text: str, file: str, problems: Problems) -> DepthTable | None:
    """Read a precipitation-frequency text table.

    Args:
        text: The whole text, as the server sent it.
        file: Its name, for the places of problems.
        problems: Collects what is wrong, by line and column.

    Returns:
        The table of depths, also when the text holds intensities; None when `problems` grew.
    """
    before = len(problems.items)
    if len(text) > _LONGEST_TEXT:
        problems.add(Place(file), "the rainfall table is too long", "give one table of one point")
        return None
    lines = text.lstrip("\ufeff").splitlines()
    unit = _unit(lines, file, problems)
    header = next((i for i, line in enumerate(lines) if _HEADER in line.lower()), None)
    if header is None:
        problems.add(
            Place(file, 1),
            "no line 'by duration for ARI (years):' in the rainfall table",
            "save the text table of the server unchanged",
        )
        return None
    years = _years(lines[header], file, header + 1, problems)
    rows = _rows(lines[header + 1 :], Place(file, header + 2), len(years), problems)
    _check_order(rows, problems)
    if len(problems.items) > before or unit is None:
        return None
    size_m, is_rate = unit
    return DepthTable(
        durations_s=tuple(seconds for _, seconds, _ in rows),
        return_periods_years=tuple(years),
        depths_m=tuple(
            tuple(value * size_m * (seconds / 3600 if is_rate else 1.0) for value in values)
            for _, seconds, values in rows
        ),
        title=_title(lines[:header]),
    )


def _unit(lines: Sequence[str], file: str, problems: Problems) -> tuple[float, bool] | None:
    found = _TITLE_UNIT.search(lines[0]) if lines else None
    word = found["unit"].lower() if found else ""
    if found is None or word not in _UNITS_M:
        hint = did_you_mean(word, _UNITS_M) if word else "it ends like '(inches)' on the server"
        problems.add(Place(file, 1), "the first line does not say the unit of the table", hint)
        return None
    return _UNITS_M[word], bool(found["rate"])


def _title(lines: Iterable[str]) -> str:
    """The volume and the point, which the report shows as the source of the rain."""
    kept = [
        " ".join(line.split())
        for line in lines
        if re.match(r"\s*(NOAA Atlas|Latitude|Longitude)", line, re.IGNORECASE)
    ]
    return ", ".join(kept)


def _years(line: str, file: str, number: int, problems: Problems) -> list[float]:
    years: list[float] = []
    for cell, column in _cells(line)[1:]:
        value = _positive(cell)
        if value is None or (years and value <= years[-1]):
            problems.add(
                Place(file, number, column),
                f"'{cell}' is not a return period in rising order",
                "write years, e.g. 1, 2, 5, 10",
            )
        else:
            years.append(value)
    if len(_cells(line)) < 2:
        problems.add(Place(file, number), "the line of return periods is empty", "list the years")
    return years


AtlasRow = tuple[Place, float, list[float]]


def _rows(
    lines: Sequence[str], first: Place, wanted_count: int, problems: Problems
) -> list[AtlasRow]:
    rows: list[AtlasRow] = []
    for offset, line in enumerate(lines):
        if not line.strip():
            if rows:
                break
            continue
        place = Place(first.file, first.line + offset)
        (label, _), *cells = _cells(line)
        match = _DURATION.fullmatch(label.rstrip(": "))
        seconds = _SECONDS.get(match["unit"].lower().removesuffix("s")) if match else None
        if match is None or seconds is None or int(match["count"]) == 0:
            if rows and not cells:
                break
            problems.add(
                place, f"'{label[:40]}' is not a duration", "write it like 5-min, 1-hr, 2-day"
            )
            continue
        values = [_positive(cell) for cell, _ in cells]
        for (cell, column), value in zip(cells, values, strict=True):
            if value is None:
                problems.add(
                    Place(place.file, place.line, column),
                    f"'{cell[:40]}' is not a rain depth",
                    "write a number above 0",
                )
        if len(values) != wanted_count:
            problems.add(
                place,
                f"{len(values)} values where the header has {wanted_count} return periods",
                "complete the row",
            )
        kept = [value for value in values if value is not None]
        rows.append((place, int(match["count"]) * seconds, kept))
    if len(rows) < 2:
        problems.add(first, f"{len(rows)} durations in the table", "at least two are needed")
    return rows


def _check_order(rows: Sequence[AtlasRow], problems: Problems) -> None:
    for (_, shorter_s, _), (place, longer_s, _) in pairwise(rows):
        if longer_s <= shorter_s:
            problems.add(
                place,
                f"the duration of {longer_s / 60:g} min follows {shorter_s / 60:g} min",
                "sort the rows from the shortest to the longest, each once",
            )
    for place, _, values in rows:
        if any(later < earlier for earlier, later in pairwise(values)):
            problems.add(
                place,
                "a longer return period has less rain in this row",
                "compare the row with the server's table",
            )


def _cells(line: str) -> list[tuple[str, int]]:
    """The cells of a line and the column where each begins, counted from 1."""
    cells = []
    start = 0
    for cell in line.split(","):
        lead = len(cell) - len(cell.lstrip())
        cells.append((cell.strip(), start + lead + 1))
        start += len(cell) + 1
    return cells


def _positive(cell: str) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        return None
    return value if 0 < value < math.inf else None
