"""The documents behind formulas and reference tables, from `rules/sources`, by key."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.core.sources import Source
from checker.files import library
from checker.files.shape import check_shape

if TYPE_CHECKING:
    from collections.abc import Mapping


@cache
def sources() -> Mapping[str, Source]:
    """Every document by its key.

    Raises:
        BadInput: A list cannot be read, or two documents have one key.
    """
    found: dict[str, Source] = {}
    problems: list[Problem] = []
    for path in library.listed(library.rules_folder() / "sources").values():
        document = library.library_document(path)
        data = check_shape("sources", document.data, document)
        for index, item in enumerate(data["sources"]):
            if item["key"] in found:
                place = document.place("sources", index, "key")
                problems.append(Problem(place, f"the key '{item['key']}' is there twice"))
            found[item["key"]] = Source(**item)
    if problems:
        raise BadInput("the lists of sources cannot be used", problems)
    return found


def source(key: str) -> Source:
    """The document with a key.

    Raises:
        BadInput: There is none.
    """
    known = sources()
    if key not in known:
        problem = Problem(Place("rules/sources/"), f"no '{key}'", did_you_mean(key, known))
        raise BadInput("a source is missing", [problem])
    return known[key]
