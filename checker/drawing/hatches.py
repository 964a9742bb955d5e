"""Hatches by material and line styles by stage, so that a plan can be read without colour.

A hatch is laid as copies of a tile, cut to its surface by a clipping path. SVG has patterns for
this, but browsers print those as pictures, and offices ask for drawings made of lines.
"""

from __future__ import annotations

import math
from typing import Final

from checker.core.records import Record
from checker.drawing.svg import number, tag
from checker.pages import colours


class Style(Record):
    """How the outline and hatch of a stage are drawn; widths in millimetres."""

    title: str
    line: str
    width_mm: float
    dashes: str
    fill: str
    hatch: str


STYLES: Final = {
    "existing": Style(
        "Existing", colours.EXISTING, 0.3, "1.6 0.9",
        colours.EXISTING_FILL, colours.EXISTING_HATCH,
    ),
    "removed": Style(
        "Removed", colours.REMOVED, 0.3, "2.4 0.8 0.4 0.8",
        "none", colours.REMOVED,
    ),
    "proposed": Style(
        "Proposed", colours.PROPOSED, 0.6, "", colours.PROPOSED_FILL, colours.PROPOSED_HATCH
    ),
    "replaced": Style(
        "Replaced", colours.PROPOSED, 0.6, "4 1",
        colours.PROPOSED_FILL, colours.PROPOSED_HATCH,
    ),
    "water": Style("Water", colours.WATER, 0.3, "", colours.WATER_FILL, colours.WATER),
}  # fmt: skip
"""Outline, fill and hatch colour of each stage, and of water, whose fill is its own in all."""

_BLOCK: Final = 8
"""A block is so many tiles wide and high."""

CROSS: Final = "cross"
"""The hatch of what goes, whatever it is made of."""

_PEBBLE: Final = "a0.4 0.4 0 1 0 0.8 0a0.4 0.4 0 1 0-0.8 0"
_TUFT: Final = "l-0.4-0.9m0.4 0.9v-1.1m0 1.1l0.4-0.9"

_TILES: Final[dict[str, tuple[float, float, str, float]]] = {
    "roof": (2.6, 2.6, "M0 2.6L2.6 0", 0.14),
    "slats": (1.8, 4, "M0.9 0V4", 0.2),
    "boards": (8, 1.3, "M0 0.65H8M3 0.65V1.3M7 0V0.65", 0.14),
    "stone": (
        9, 6,
        "M0 0H9M0 3H9M2.2 0L2 3M5.6 0L5.9 3M8.3 0L8.1 3M0.9 3L1.2 6M4.1 3L3.9 6M7 3L7.3 6", 0.14,
    ),
    "water": (6, 3, "M0.3 0.8q0.7-0.7 1.4 0t1.4 0M3.3 2.3q0.7-0.7 1.4 0t1.2 0", 0.16),
    "solid": (0.8, 0.8, "M0 0.4H0.8", 0.4),
    "slab": (
        7, 7,
        "M1 1.2h0.01M4.6 0.8h0.01M2.8 3.4h0.01M6 4.2h0.01M1.2 5.8h0.01M4.3 6l0.5-0.8 0.5 0.8z",
        0.34,
    ),
    "pavers": (4, 2.4, "M0 0H4M0 1.2H4M1 0V1.2M3 1.2V2.4", 0.14),
    "permeable": (4, 4, "M0 0H4M0 2H4M1 0V2M3 2V4M2 1h0.01M0 3h0.01M4 3h0.01", 0.14),
    "gravel": (
        4, 4,
        f"M0.5 0.9{_PEBBLE}M2.4 2.7{_PEBBLE}",
        0.16,
    ),
    "turf": (3, 3, "M0.6 1.2V0.4M1.1 1.2V0.4M2.1 2.7V1.9M2.6 2.7V1.9", 0.14),
    "green": (6, 6, f"M1 1.8{_TUFT}M4 4.8{_TUFT}", 0.14),
    CROSS: (3.4, 3.4, "M0 3.4L3.4 0M0 0L3.4 3.4", 0.18),
}  # fmt: skip
"""Width and height of a tile, its path and the width of its line, all in millimetres."""


def hatch_id(hatch: str, stage: str, prefix: str = "") -> str:
    """The id of a hatch in the colour of a stage."""
    return f"{prefix}hatch-{hatch}-{stage}"


def is_drawn(hatch: str) -> bool:
    """Whether a material has a hatch at all."""
    return hatch in _TILES


def hatch_defs(hatch: str, stage: str, prefix: str = "") -> str:
    """The definitions of a hatch in the colour of a stage: a tile, and a block of tiles."""
    width_mm, height_mm, path, line_mm = _TILES[hatch]
    name = hatch_id(hatch, stage, prefix)
    tile = tag(
        "path",
        id=f"{name}-tile",
        d=path,
        fill="none",
        stroke=STYLES[stage].hatch,
        stroke_width=line_mm,
        stroke_linecap="round",
    )
    row = [f'<use href="#{name}-tile" x="{number(width_mm * i)}"/>' for i in range(_BLOCK)]
    rows = [f'<use href="#{name}-row" y="{number(height_mm * i)}"/>' for i in range(_BLOCK)]
    return tile + tag("g", *row, id=f"{name}-row") + tag("g", *rows, id=name)


def hatch_over(hatch: str, stage: str, box: tuple[float, ...], prefix: str = "") -> str:
    """Blocks of a hatch that cover a rectangle on paper; left, top, right, bottom in mm.

    The blocks stand on one grid for the whole drawing, so that a hatch runs on from one surface
    to the next.
    """
    width_mm, height_mm = _TILES[hatch][0] * _BLOCK, _TILES[hatch][1] * _BLOCK
    columns = range(math.floor(box[0] / width_mm), math.ceil(box[2] / width_mm))
    rows = range(math.floor(box[1] / height_mm), math.ceil(box[3] / height_mm))
    name = hatch_id(hatch, stage, prefix)
    return "".join(
        f'<use href="#{name}" x="{number(width_mm * column)}" y="{number(height_mm * row)}"/>'
        for row in rows
        for column in columns
    )


def hatch_of(material_hatch: str, stage: str) -> str:
    """The hatch that a surface is drawn with; empty for none."""
    if stage == "removed":
        return CROSS
    return material_hatch if is_drawn(material_hatch) else ""
