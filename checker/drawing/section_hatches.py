"""How the courses of a section are told apart without colour: hatches of stone, lines of sheets."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.drawing.svg import tag
from checker.pages import colours

if TYPE_CHECKING:
    from checker.measure.section.bed import BedCourse


class Tile(Record):
    """A hatch: size of its tile, its path, line width and fill behind it; millimetres."""

    width: float
    height: float
    path: str
    line: float
    fill: str


class FabricLine(Record):
    """How a sheet between courses is drawn: width and dashes in millimetres, and a name."""

    width: float
    dashes: str
    title: str


TILES: Final[dict[str, Tile]] = {
    "unit": Tile(6, 6, "M1 1.4h0.01M3.6 0.9h0.01M5 3h0.01M1.9 4.3h0.01M4 5.3h0.01", 0.3, "#e4e5e6"),
    "fine": Tile(
        3, 3,
        "M0.3 0.5l0.6-0.3 0.5 0.4-0.3 0.6-0.6 0zM1.8 0.3l0.7 0.1 0.1 0.6-0.6 0.2-0.4-0.4z"
        "M0.9 1.9l0.6-0.2 0.3 0.6-0.5 0.5-0.6-0.3zM2.2 1.7l0.6 0.2-0.1 0.7-0.6 0z",
        0.13, colours.PAPER,
    ),
    "medium": Tile(
        6, 6,
        "M0.4 1.1l1.2-0.8 1.2 0.7-0.2 1.3-1.3 0.5-0.9-0.6z"
        "M3.6 0.5l1.4-0.1 0.7 1-0.6 1.2-1.4-0.3zM0.3 4l1-1 1.3 0.4 0.2 1.3-1.2 0.9-1.1-0.5z"
        "M3.3 3.3l1.2-0.3 1.2 0.8-0.3 1.4-1.4 0.3-0.9-1z",
        0.16, colours.PAPER,
    ),
    "coarse": Tile(
        11, 11,
        "M0.6 1.6l2.3-1.2 2.3 0.8 0.2 2.3-1.9 1.5-2.4-0.8z"
        "M6.4 0.8l2.7 0 1.3 1.9-1.1 2.2-2.5 0.2-1.2-2z"
        "M0.7 7.4l1.8-1.9 2.5 0.6 0.3 2.5-1.9 1.9-2.3-0.8z"
        "M6.1 6.3l2.1-0.8 2.3 1.3-0.2 2.6-2.4 1.1-2-1.5z",
        0.2, colours.PAPER,
    ),
    "sand": Tile(
        2.4, 2.4, "M0.5 0.5h0.01M1.6 0.3h0.01M1.1 1.2h0.01M2.1 1.4h0.01M0.4 1.9h0.01M1.5 2.1h0.01",
        0.26, colours.PAPER,
    ),
    "dense": Tile(
        6, 6,
        "M0.4 1.1l1.2-0.8 1.2 0.7-0.2 1.3-1.3 0.5-0.9-0.6zM3.3 3.3l1.2-0.3 1.2 0.8-0.3 1.4-1.4 0.3z"
        "M4 1h0.01M5.2 1.8h0.01M3.4 2h0.01M1 4h0.01M2.2 4.8h0.01M0.7 5.3h0.01M2 3.6h0.01",
        0.2, "#f0f0f0",
    ),
    "soil": Tile(8, 8, "M0 3l3-3M1.4 4.4l4.4-4.4M3 5.6l2.6-2.6M5 8l3-3", 0.16, colours.PAPER),
}  # fmt: skip
"""Hatches by name; the stone grows with its size."""

SHEETS: Final[dict[str, FabricLine]] = {
    "woven": FabricLine(0.7, "4 1.1", "woven fabric"),
    "nonwoven": FabricLine(0.9, "1.1 0.9", "nonwoven fabric"),
    "fabric": FabricLine(0.8, "2.4 1", "fabric"),
    "grid": FabricLine(0.5, "3 0.8 0.7 0.8", "grid"),
    "liner": FabricLine(1.0, "", "liner"),
}
"""Lines of the sheets between courses, by kind or weave."""


def tile_of(layer: BedCourse) -> str:
    """The hatch of a course, by what it is and how coarse its stone is."""
    kind, stone = layer.course.kind, layer.course.stone
    if kind in {"unit", "subgrade"}:
        return {"unit": "unit", "subgrade": "soil"}[kind]
    if stone == "dense-base":
        return "dense"
    if stone == "concrete-sand":
        return "sand"
    middle_m = layer.span.mid.d50_m if layer.span is not None else None
    if middle_m is None:
        return "medium"
    if middle_m < 0.0085:
        return "fine"
    return "medium" if middle_m < 0.022 else "coarse"


def sheet_of(layer: BedCourse) -> str:
    """The line of a sheet, by its weave or kind."""
    weave = layer.course.sheet.weave if layer.course.sheet else ""
    return weave if weave in SHEETS else layer.course.kind


def hatch_id(name: str, of: str) -> str:
    """The id of a hatch in the drawing of a section; a page may hold several drawings."""
    return f"course-{of}-{name}"


def pattern(name: str, of: str) -> str:
    """The pattern element of a hatch in the drawing of a section."""
    tile = TILES[name]
    return tag(
        "pattern",
        tag("rect", width=tile.width, height=tile.height, fill=tile.fill),
        tag(
            "path",
            d=tile.path,
            fill="none",
            stroke=colours.QUIET,
            stroke_width=tile.line,
            stroke_linecap="round",
            stroke_linejoin="round",
        ),
        id=hatch_id(name, of),
        width=tile.width,
        height=tile.height,
        patternUnits="userSpaceOnUse",
    )
