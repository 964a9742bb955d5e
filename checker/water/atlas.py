"""Reads the text table of a rainfall atlas, as its server gives it, into a `DepthTable`.

The unit stands in the first line only. Rows are durations, columns return periods, or chances of
a year (1/10, 10 %), which are the return periods of the annual maximum series. Blocks that follow
(the bounds of the estimate) and the footer are left aside. Saves of a spreadsheet are read too,
with their own separators and empty cells, and the national intensity files of Canada (`canada`).
"""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.problems import Place, Problems, did_you_mean
from checker.core.units import FOOT_M, INCH_M
from checker.water.canada import is_canadian, read_canadian
from checker.water.rainfall import DepthTable

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

_HEADER: Final = re.compile(r"by duration for (ari|aep)", re.IGNORECASE)
_CHANCE: Final = re.compile(
    r"'?\s*(?:1\s*/\s*(?P<years>\d+(?:\.\d*)?)|(?P<percent>\d+(?:\.\d*)?)\s*%)"
)
_OUTSIDE: Final = "not within a project area"
COARSE_FRACTION: Final = 0.05
"""Rows whose last digit is more than this share of a value are left out: they were rounded away."""
_UNITS_M: Final = {
    "inches": INCH_M,
    "inch": INCH_M,
    "feet": FOOT_M,
    "millimeters": 0.001,
    "millimetres": 0.001,
    "mm": 0.001,
}
_SECONDS: Final = {"min": 60.0, "hr": 3600.0, "hour": 3600.0, "h": 3600.0, "day": 86400.0}
_DURATION: Final = re.compile(r"(?P<count>\d{1,4})\s*-?\s*(?P<unit>[a-z]+)", re.IGNORECASE)
_TITLE_UNIT: Final = re.compile(r"\((?P<unit>[a-z]+)(?P<rate>/hour|/hr)?\)", re.IGNORECASE)
_EMPTY: Final = re.compile(r":\s*(-|none|none none|)$", re.IGNORECASE)
_ROUNDING_RATIO: Final = 1.1
"""An intensity may rise with the duration by this much: digits of the table, no more."""
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
    if _is_answered(text, file, problems):
        return None
    if is_canadian(text):
        return read_canadian(lines, file, problems)
    header = next((i for i, line in enumerate(lines) if _HEADER.search(line)), None)
    unit = _unit(lines[:header], file, problems)
    if header is None:
        problems.add(
            Place(file, 1),
            "no line 'by duration for ARI (years):' in the rainfall table",
            "save the text table of the server unchanged",
        )
        return None
    years = _years(lines[header], file, header + 1, problems)
    rows = _rows(lines[header + 1 :], Place(file, header + 2), len(years), problems)
    title = _title(lines[:header])
    if "aep" in lines[header].lower():
        title += ", annual maximum series"
    rows, left_out = _fine(rows, unit, problems)
    _check_order(rows, problems)
    _check_rise(rows, problems, is_rate=unit is not None and unit[1])
    if len(problems.items) > before or unit is None:
        return None
    size_m, is_rate = unit
    return DepthTable(
        durations_s=tuple(seconds for _, seconds, _, _ in rows),
        return_periods_years=tuple(years),
        depths_m=tuple(
            tuple(value * size_m * (seconds / 3600 if is_rate else 1.0) for value in values)
            for _, seconds, values, _ in rows
        ),
        title=title + left_out,
    )


def _fine(
    rows: list[AtlasRow], unit: tuple[float, bool] | None, problems: Problems
) -> tuple[list[AtlasRow], str]:
    """The rows that rounding has not spoilt, and what the title says of the others."""
    if unit is None or not unit[1]:
        for place in (place for place, _, values, _ in rows if 0.0 in values):
            problems.add(place, "'0' is not a rain depth", "write a number above 0")
        return rows, ""
    fine = [row for row in rows if not row[3]]
    if len(fine) == len(rows):
        return rows, ""
    if len(fine) < 2 <= len(rows):
        says = "the intensities of this table are rounded to whole numbers"
        problems.add(rows[0][0], says, "download the depths, or in inches")
    return fine, f", rows from {fine_text(rows, fine)} left out: rounded to whole numbers"


def text_of(raw: bytes) -> str:
    """The text of a table in any of the ways in which spreadsheets and servers save it."""
    if raw[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        return raw.decode("utf-16", "replace")
    if raw[1:2] == b"\0":
        return raw.decode("utf-16-le", "replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace")


def fine_text(rows: Sequence[AtlasRow], fine: Sequence[AtlasRow]) -> str:
    """The first duration that was left out, as the table writes it."""
    kept = {seconds for _, seconds, _, _ in fine}
    first_s = next(seconds for _, seconds, _, _ in rows if seconds not in kept)
    return f"{first_s / 3600:g} h"


def _is_answered(text: str, file: str, problems: Problems) -> bool:
    """What a server sends instead of a table, said with what to do."""
    start = text[:2000].lower()
    if _OUTSIDE in text.lower():
        problems.add(
            Place(file, 1),
            "the rain server has no table for this point: it is not within a project area",
            "ask for a point in an area that the atlas covers, or type the storm under 'storms'",
        )
        return True
    if "<html" in start or "<!doctype" in start:
        do = "download the table itself, as text (csv)"
        problems.add(Place(file, 1), "is a web page, not a rain table", do)
        return True
    return False


def _unit(lines: Sequence[str], file: str, problems: Problems) -> tuple[float, bool] | None:
    matches = [found for line in lines for found in _TITLE_UNIT.finditer(line)]
    known = [found for found in matches if found["unit"].lower() in _UNITS_M]
    found = next(iter([*known, *matches]), None)
    word = found["unit"].lower() if found else ""
    if found is None or word not in _UNITS_M:
        hint = did_you_mean(word, _UNITS_M) if word else "it ends like '(inches)' on the server"
        problems.add(Place(file, 1), "the first line does not say the unit of the table", hint)
        return None
    return _UNITS_M[word], bool(found["rate"])


def _title(lines: Iterable[str]) -> str:
    """Where the table is from, for the report: volume and point, else area and place.

    Empty where the text leaves all of them out.
    """
    said = [" ".join(line.rstrip(" ,;\t").split()) for line in lines]
    said = [line for line in said if not _EMPTY.search(line)]
    for names in ("NOAA Atlas|Latitude|Longitude", "Project area|Location name"):
        if kept := [line for line in said if re.match(names, line, re.IGNORECASE)]:
            return ", ".join(kept)
    return ""


def _years(line: str, file: str, number: int, problems: Problems) -> list[float]:
    years: list[float] = []
    for cell, column in _cells(line)[1:]:
        chance = _CHANCE.fullmatch(cell)
        value = _positive(cell)
        if chance is not None:
            value = float(chance["years"] or 100 / float(chance["percent"]))
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


AtlasRow = tuple[Place, float, list[float], bool]
"""Where it stands, its duration in seconds, its values, and whether rounding spoils it."""


def _rows(
    lines: Sequence[str], first: Place, wanted_count: int, problems: Problems
) -> list[AtlasRow]:
    rows: list[AtlasRow] = []
    for offset, line in enumerate(lines):
        if not line.strip(" ,;\t"):
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
            if value is None and _number(cell) != 0.0:
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
        kept = [_number(cell) or 0.0 for cell, _ in cells]
        rows.append((place, int(match["count"]) * seconds, kept, _is_coarse(cells)))
    if len(rows) < 2:
        problems.add(first, f"{len(rows)} durations in the table", "at least two are needed")
    return rows


def _check_order(rows: Sequence[AtlasRow], problems: Problems) -> None:
    for (_, shorter_s, _, _), (place, longer_s, _, _) in pairwise(rows):
        if longer_s <= shorter_s:
            problems.add(
                place,
                f"the duration of {longer_s / 60:g} min follows {shorter_s / 60:g} min",
                "sort the rows from the shortest to the longest, each once",
            )
    for place, _, values, _ in rows:
        if any(later < earlier for earlier, later in pairwise(values)):
            problems.add(
                place,
                "a longer return period has less rain in this row",
                "compare the row with the server's table",
            )


def _check_rise(rows: Sequence[AtlasRow], problems: Problems, *, is_rate: bool) -> None:
    """Over a longer time more rain falls, and less hard; rounding aside."""
    for (_, shorter_s, before, _), (place, longer_s, values, _) in pairwise(rows):
        longer = max(1.0, longer_s / shorter_s)
        least, most = (1 / longer, 1.0) if is_rate else (1.0, longer)
        ratios = [b / a for a, b in zip(before, values, strict=False) if a > 0]
        if any(ratio < least / _ROUNDING_RATIO for ratio in ratios):
            says = "a longer duration has less rain than the row above"
        elif any(ratio > most * _ROUNDING_RATIO for ratio in ratios):
            says = "it rains harder over this duration than over the shorter one above"
        else:
            continue
        problems.add(place, says, "compare the row with the server's table")


def _cells(line: str) -> list[tuple[str, int]]:
    """The cells of a line and the column where each begins, counted from 1."""
    cells = []
    start = 0
    sign = ";" if ";" in line else "\t" if "\t" in line else ","
    for cell in line.split(sign):
        lead = len(cell) - len(cell.lstrip())
        text = cell.strip().strip('"').strip()
        if sign != "," and re.fullmatch(r"\d+,\d+", text):
            text = text.replace(",", ".")
        cells.append((text, start + lead + 1))
        start += len(cell) + 1
    while len(cells) > 1 and not cells[-1][0]:
        cells.pop()
    return cells


def _is_coarse(cells: Sequence[tuple[str, int]]) -> bool:
    """A row of whole numbers, of which the least is too small to be rounded so."""
    numbers = [_number(cell) for cell, _ in cells]
    if any("." in cell for cell, _ in cells) or None in numbers:
        return False
    return COARSE_FRACTION * min((n for n in numbers if n is not None), default=1.0) < 0.5


def _number(cell: str) -> float | None:
    try:
        return float(cell)
    except ValueError:
        return None


def _positive(cell: str) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        return None
    return value if 0 < value < math.inf else None
