"""Answers as files give them: a day, yes or no."""

from __future__ import annotations

import re
from datetime import date
from typing import Final

_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}\Z")
_ANSWERS: Final = {"yes": True, "true": True, "no": False, "false": False}


def day_of(given: object) -> date | None:
    """A day written YYYY-MM-DD; None when it is not one.

    Example:
        >>> day_of("2024-02-29"), day_of("2023-02-29"), day_of("3/1/2024")
        (datetime.date(2024, 2, 29), None, None)
    """
    if not isinstance(given, str) or not _DAY.match(given):
        return None
    try:
        return date.fromisoformat(given)
    except ValueError:
        return None


def day_hint(given: object) -> str:
    """How to write a day that could not be read.

    Example:
        >>> day_hint("2024-5-1"), day_hint("2024-13-01"), day_hint(2024)
        ('write 2024-05-01', 'check the month and the day', 'write YYYY-MM-DD')
    """
    text = str(given).strip()
    if _DAY.match(text):
        return "check the month and the day"
    parts = text.split("-")
    if len(parts) == 3 and all(part.isdigit() for part in parts) and len(parts[0]) == 4:
        mended = f"{parts[0]}-{parts[1]:0>2}-{parts[2]:0>2}"
        if day_of(mended) is not None:
            return f"write {mended}"
    return "write YYYY-MM-DD"


def yes_or_no(given: object) -> bool | None:
    """True or false from a boolean, `yes` or `no`; None when it is neither."""
    if isinstance(given, bool):
        return given
    return _ANSWERS.get(given.strip().lower()) if isinstance(given, str) else None
