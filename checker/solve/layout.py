"""A piece of a surface as it can be built: where it lies, and how it is called."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.measure.arrangement import joined

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.site.model import Shape, Site
    from checker.solve.changes import Becomes

_SAME_M: Final = 1e-6

_WINDS: Final = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip


class Piece(Record, kw_only=True):
    """A piece of a surface that becomes something else, as it can be built.

    Attributes:
        way: What it becomes.
        shape: Its geometry, metres.
        area_m2: Its area.
        built_m2: As much of it as is built anew; over the rest what lies below comes to light.
        is_all: The whole surface changes.
        width_m: The width of a band; None for a whole surface or bays.
        along: The edge of a band, as words.
        edge_m: The length of that edge; None without one.
        bays: The numbers of the bays; empty for a band or a whole surface.
        is_beyond: It lies beyond another piece, seen from the edge.
        is_rest: It is all that another piece leaves of the surface.
        within: The part of the surface that it is cut from, as words; empty for all of it.
    """

    way: Becomes
    shape: Shape
    area_m2: float
    built_m2: float
    is_all: bool = False
    width_m: float | None = None
    along: str = ""
    edge_m: float | None = None
    bays: tuple[int, ...] = ()
    is_beyond: bool = False
    is_rest: bool = False
    within: str = ""

    @property
    def surface_id(self) -> str:
        """The surface that it is a piece of."""
        return self.way.surface.id

    @property
    def was_paved(self) -> bool:
        """Whether it is deck, walk or drive in the design."""
        return self.way.surface.material.nature in {"sealed", "porous"}

    @property
    def cents(self) -> int:
        """What it costs beyond the design, in whole cents; below zero when it saves."""
        return self.way.cents(self.area_m2, self.built_m2)


def union(shapes: Iterable[Shape]) -> Shape:
    """Several shapes as one."""
    given = list(shapes)
    return given[0] if len(given) == 1 else joined(given)


def facing(site: Site, land: Shape, line: Shape) -> str:
    """The side of some land that an edge lies on, by the compass."""
    first, last = line.interpolate(0.0), line.interpolate(1.0, normalized=True)
    middle, centre = line.interpolate(0.5, normalized=True), land.centroid
    out = middle.x - centre.x, middle.y - centre.y
    across = first.y - last.y, last.x - first.x
    if across[0] * out[0] + across[1] * out[1] < 0:
        across = -across[0], -across[1]
    x, y = across if math.hypot(*across) > _SAME_M else out
    turn = round((math.degrees(math.atan2(x, y)) - site.north_degrees) / 45) % 8
    return f"its {_WINDS[turn]} side"
