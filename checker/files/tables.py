"""Reference tables of `rules/tables`, by id; a place may lay its own beside its rule set."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.core.records import Record
from checker.files import library
from checker.files.shape import check_shape

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.files.source import Document


class ReferenceTable(Record):
    """A reference table.

    Attributes:
        id: Its name in files.
        title: What it holds.
        source: Key of the document it is from.
        section: Where in it.
        note: What the reader must know.
        columns: The unit of each column: a unit, text, number, "yes or no".
        rows: One mapping per row, numbers in the unit of their column.
        document: Its file.
    """

    id: str
    title: str
    source: str
    section: str
    note: str
    columns: Mapping[str, Any]
    rows: tuple[Mapping[str, Any], ...]
    document: Document


@cache
def table(name: str) -> ReferenceTable:
    """The table of the package with an id.

    Raises:
        BadInput: There is none, it cannot be read, or a row uses an unknown column.
    """
    known = library.listed(library.rules_folder() / "tables")
    if name not in known:
        raise BadInput(
            f"a reference table is missing: {name}",
            [Problem(Place("rules/tables/"), f"no '{name}'", did_you_mean(name, known))],
        )
    return table_of(library.library_document(known[name]))


def table_of(document: Document) -> ReferenceTable:
    """The table of a document that has been read.

    Raises:
        BadInput: It is no table, or a row uses an unknown column.
    """
    data = check_shape("table", document.data, document)
    problems = [
        Problem(
            document.key_place("rows", i, key),
            f"'{key}' is no column of this table",
            did_you_mean(key, data["columns"]),
        )
        for i, row in enumerate(data["rows"])
        for key in (row if isinstance(row, dict) else ())
        if key not in data["columns"]
    ]
    problems += [
        Problem(document.place("rows", i), "is no row", "write it as {column: value, ...}")
        for i, row in enumerate(data["rows"])
        if not isinstance(row, dict)
    ]
    if problems:
        raise BadInput(f"{document.file} cannot be used", problems)
    return ReferenceTable(
        id=data["id"],
        title=data["title"],
        source=data["source"],
        section=data.get("section", ""),
        note=data.get("note", ""),
        columns=data["columns"],
        rows=tuple(data["rows"]),
        document=document,
    )
