"""The reference tables as text: every row, its units, and the document it is from."""

from __future__ import annotations

import textwrap
from typing import Final

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.files import library
from checker.files.sources import source
from checker.files.tables import table

_WIDTH: Final = 79


def _known() -> tuple[str, ...]:
    return tuple(sorted(library.listed(library.rules_folder() / "tables")))


def tables_text() -> str:
    """Every reference table with what it holds."""
    lines = ["Reference tables; 'soakline tables NAME' shows the rows of one:", ""]
    for name in _known():
        indent = " " * 27
        lines += textwrap.wrap(
            f"{name:26} {table(name).title}", _WIDTH, subsequent_indent=indent,
            break_on_hyphens=False,
        )  # fmt: skip
    return "\n".join(lines)


def table_text(name: str) -> str:
    """One reference table: title, each row with its units, note and source.

    Raises:
        BadInput: There is none of that name.
    """
    if name not in _known():
        problem = Problem(Place("soakline tables"), f"no '{name}'", did_you_mean(name, _known()))
        raise BadInput("there is no such table", [problem])
    found = table(name)
    lines = [*textwrap.wrap(found.title, _WIDTH), ""]
    for row in found.rows:
        parts = [_cell(key, value, found.columns.get(key)) for key, value in row.items()]
        lines += textwrap.wrap(
            "; ".join(parts), _WIDTH, initial_indent="- ", subsequent_indent="  ",
            break_on_hyphens=False,
        )  # fmt: skip
    document = source(found.source)
    lines.append("")
    if found.note:
        lines += textwrap.wrap(found.note, _WIDTH)
    said = f"Source: {document.document}, {document.edition}, {found.section}. "
    lines += textwrap.wrap(f"{said}Reading: {document.reading}.", _WIDTH)
    return "\n".join(lines)


def _cell(key: str, value: object, unit: object) -> str:
    words = key.replace("_", " ")
    if isinstance(value, bool):
        return f"{words}: {'yes' if value else 'no'}"
    if isinstance(value, int | float) and isinstance(unit, str):
        return f"{words}: {value:g} {'' if unit in {'number', 'text'} else unit}".rstrip()
    if isinstance(value, dict):
        return f"{words}: {', '.join(f'{name} {_plain(item)}' for name, item in value.items())}"
    return f"{words}: {_plain(value)}"


def _plain(value: object) -> str:
    if isinstance(value, list | tuple):
        return " to ".join(_plain(item) for item in value)
    return f"{value:g}" if isinstance(value, float) else str(value)
