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


def yes_or_no(given: object) -> bool | None:
    """True or false from a boolean, `yes` or `no`; None when it is neither."""
    if isinstance(given, bool):
        return given
    return _ANSWERS.get(given.strip().lower()) if isinstance(given, str) else None
