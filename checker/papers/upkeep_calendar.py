"""The calendar of upkeep: what to look at, when, the sign of trouble and what to do."""

from __future__ import annotations

from typing import Final

from checker.files.tables import table
from checker.pages.blocks import Column, Table

MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def months(text: str) -> str:
    """Names of months from their numbers.

    Example:
        >>> months("4 7")
        'April, July'
    """
    numbers = [int(part) for part in str(text).split() if part.isdigit()]
    return ", ".join(MONTHS[number - 1] for number in numbers if 1 <= number <= 12)


def calendar() -> Table:
    """The calendar as a table."""
    rows = (
        (
            row["task"],
            months(row.get("months", "")) or str(row.get("after", "")),
            row["sign"],
            row["act"],
            row["evidence"],
        )
        for row in table("upkeep-calendar").rows
    )
    columns = (
        Column("Task", width=1.5),
        Column("When", width=1.3),
        Column("Sign of trouble", width=1.5),
        Column("What to do", width=2.0),
        Column("Evidence", width=0.7),
    )
    return Table("Calendar of upkeep", columns, tuple(rows))
