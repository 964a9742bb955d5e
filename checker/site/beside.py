"""The site file beside a drawing: where it lies, and whether what is there is made of it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from checker.core.problems import BadInput, Place, Problem
from checker.files.library import is_path
from checker.files.source import read_document

DRAWINGS: Final = frozenset({".dxf", ".geojson", ".gpkg", ".shp", ".zip", ".dwg"})
"""The endings of drawings; a site file may end in .json as well."""


def is_drawing(path: Path) -> bool:
    """Whether a file is a drawing by its ending."""
    return path.suffix.lower() in DRAWINGS


def file_beside(drawing: Path, place: str, *, is_said: bool) -> tuple[Path, bool]:
    """The site file of a drawing, and whether it is there.

    Args:
        drawing: The drawing.
        place: The rule set that a person names; empty for none.
        is_said: A person says what layers or facts are, for a new file.

    Raises:
        BadInput: It is there and made of something else, or is to be said anew; or it is not there
            and no rule set is named.
    """
    path = drawing.with_suffix(".yaml")
    shown = path.as_posix()
    if not os.path.lexists(path):
        if place:
            return path, False
        says = "under which rules the lot is to be judged is not said"
        do = "give --place and an id, such as --place alder-ferry; 'soakline rules list' lists all"
        raise BadInput(
            f"{drawing.as_posix()} cannot be judged", [Problem(Place("place"), says, do)]
        )
    document = read_document(path, shown)
    named = document.data.get("drawing") if isinstance(document.data, dict) else None
    file = named.get("file") if isinstance(named, dict) else None
    says, do = "", ""
    if not isinstance(file, str) or (path.parent / file).resolve() != drawing.resolve():
        says = f"a file is there that is not made of {drawing.name}"
        do = f"move it away, or begin another one: soakline new OTHER.yaml --drawing {drawing.name}"
    elif is_said:
        says = "the site file is there already, and nothing in it is changed"
        do = "say there what layers and facts are, or move it away to begin anew"
    if do:
        raise BadInput(f"{shown} cannot be used", [Problem(Place(shown), says, do)])
    return path, True


def place_from(place: str, folder: Path) -> str:
    """A rule set as a site file of a folder names it: a path is taken from there."""
    return Path(os.path.relpath(place, folder)).as_posix() if is_path(place) else place
