"""Reads the national intensity-duration-frequency files of Canada into a `DepthTable`.

Their table 2a gives depths in millimetres, rows by duration, columns by return period, parted by
blanks; the last column counts the years of record.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from checker.core.problems import Place
from checker.water.rainfall import DepthTable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.core.problems import Problems

_NAME: Final = re.compile(r"Rainfall Intensity-Duration-Frequency Data", re.IGNORECASE)
_TABLE: Final = re.compile(r"Table\s*2a\b", re.IGNORECASE)
_HEAD: Final = re.compile(r"^\s*Duration\b", re.IGNORECASE)
_ROW: Final = re.compile(r"^\s*(?P<count>\d+)\s*(?P<unit>min|h)\b(?P<values>[\s\d.]+)$")
_SECONDS: Final = {"min": 60.0, "h": 3600.0}


def is_canadian(text: str) -> bool:
    """Whether a text is such a file."""
    return _NAME.search(text[:5000]) is not None


def read_canadian(lines: Sequence[str], file: str, problems: Problems) -> DepthTable | None:
    """The depths of table 2a.

    Args:
        lines: The whole file.
        file: Its name, for the places of problems.
        problems: Collects what is wrong.

    Returns:
        None when `problems` grew.
    """
    start = next((i for i, line in enumerate(lines) if _TABLE.search(line)), None)
    head = next((i for i in range(start or 0, len(lines)) if _HEAD.search(lines[i])), None)
    if start is None or head is None:
        do = "save the file with its table 2a, the return period rainfall amounts"
        problems.add(Place(file), "has no table 2a of rainfall depths", do)
        return None
    years = [float(n) for n in re.findall(r"(?<![\w#])\d+(?!\w)", lines[head])]
    rows: list[tuple[float, tuple[float, ...]]] = []
    for index in range(head + 1, len(lines)):
        if re.search(r"Table\s*2b\b", lines[index], re.IGNORECASE):
            break
        match = _ROW.match(lines[index])
        if match is None:
            continue
        values = [float(n) / 1000 for n in match["values"].split()]
        # The number of years of record stands behind the depths.
        if len(values) == len(years) + 1:
            values.pop()
        if len(values) != len(years) or min(values) <= 0:
            says = f"{len(values)} depths where the header has {len(years)} return periods"
            problems.add(Place(file, index + 1), says, "compare the row with the original")
            return None
        rows.append((int(match["count"]) * _SECONDS[match["unit"]], tuple(values)))
    if len(rows) < 2:
        problems.add(Place(file, head + 1), f"{len(rows)} durations in table 2a", "two are needed")
        return None
    return DepthTable(
        durations_s=tuple(seconds for seconds, _ in rows),
        return_periods_years=tuple(years),
        depths_m=tuple(values for _, values in rows),
        title="Short duration rainfall intensity-duration-frequency data, table 2a",
    )
