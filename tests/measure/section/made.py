"""A made-up terrace with one section, and its measures by name."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from checker.algebra.values import Quantity
from checker.core.units import Amount
from checker.files.source import read_text
from checker.measure.catalogue import SURFACE_MEASURES, value_of
from checker.measure.survey import Survey
from checker.measure.words import built_in
from checker.site.read import site_of
from tests.measure.made_lots import lot_head, square_ft

TERRACE = """\
  - id: terrace
    material: permeable-paving
    stage: proposed
    section: terrace
    shape: {rectangle: {corner: [10, 10], size: [40, 24]}}
"""
HEAD = lot_head(square_ft()) + TERRACE

COURSES = {
    "unit": "{course: unit, thickness: 2-3/8 in, length: 9 in, width: 6 in}",
    "joint": '{course: joint, stone: "89", width: 3/8 in, open_share: 10 %}',
    "bedding": '{course: bedding, stone: "8", thickness: 2 in, porosity: 40 %}',
    "base": '{course: base, stone: "57", thickness: 12 in, porosity: 40 %}',
    "subgrade": "{course: subgrade, compacted: no}",
}
ORDER = (
    "unit", "joint", "bedding", "fabric", "choker", "base", "subbase", "bottom", "subgrade",
)  # fmt: skip


def make(
    courses: dict[str, str] | None = None, more: str = "", tail: str = "", beside: str = ""
) -> Survey:
    """A survey of the terrace: its courses, more of its section and file, more surfaces."""
    listed = "".join(f"      - {text}\n" for text in (courses or COURSES).values())
    text = (
        f"{HEAD}{beside}sections:\n  terrace:\n    kind: permeable\n    use: pedestrian\n"
        f"    courses:\n{listed}{more}{tail}"
    )
    return Survey(site_of(read_text(text, "lot.yaml"), Path("lot.yaml")), built_in(), {})


def changed(**courses: str | None) -> dict[str, str]:
    """The courses of the terrace with some changed, added or left out."""
    found = COURSES | courses
    return {name: text for name in ORDER if (text := found.get(name)) is not None}


def measured(name: str, survey: Survey) -> Any:
    """A measure of the terrace: a plain number in SI where it is one, a range as two."""
    found = value_of(SURFACE_MEASURES[name], survey, survey.site.surfaces[0])
    if isinstance(found, Amount):
        return found.value_si
    return found if not isinstance(found, Quantity) else (found.low_si, found.high_si)
