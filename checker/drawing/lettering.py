"""Letters and names of the surfaces on a plan: inside if there is room, else with a leader."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.drawing.hatches import STYLES
from checker.drawing.labels import Box, PaperPoint
from checker.drawing.naming import LetteredName
from checker.drawing.svg import tag, words
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from checker.drawing.labels import Placer
    from checker.drawing.naming import Naming
    from checker.drawing.scale import Frame
    from checker.site.model import Shape, Surface
    from checker.words.letters import Keys

LETTER_MM: Final = 3.0
RADIUS_MM: Final = 2.3
_FINE_M: Final = 0.1
"""How exactly the middle of a surface is sought, metres."""


_ROOM_MM: Final = 0.4
"""Kept free round a ring."""


class Letters:
    """Sets the letters of a drawing, and the names beside them where it bears names.

    Args:
        keys: The letters and names.
        frame: Scale and place on the paper.
        placer: What is taken already.
        naming: Finds the places of names; None for a drawing without them.
        most_beside: With more letters than that to stand beside their surfaces none of them does,
            since their leaders would hide the drawing.

    Attributes:
        names: The names that found a place, drawn.
        unnamed: Ids of the surfaces whose name found none.
    """

    def __init__(
        self,
        keys: Keys,
        frame: Frame,
        placer: Placer,
        naming: Naming | None = None,
        most_beside: float = math.inf,
    ) -> None:
        self.keys = keys
        self.frame = frame
        self.placer = placer
        self.naming = naming
        self.most_beside = most_beside
        self.names: list[str] = []
        self.unnamed: list[str] = []
        self._rings: dict[str, PaperPoint] = {}

    def draw(
        self,
        surfaces: Sequence[Surface],
        shapes: Mapping[str, Shape],
        gone: Mapping[str, Shape | None],
    ) -> list[str]:
        """All letters, those with room first.

        Args:
            surfaces: Those of the drawing.
            shapes: What is seen of each.
            gone: What goes of each.
        """
        inside: list[str] = []
        narrow: list[tuple[Surface, PaperPoint]] = []
        bare: list[Surface] = []
        for surface in surfaces:
            shape, is_own = self.own_part(surface, surfaces, shapes, gone)
            if shape.is_empty:
                continue
            middle, room_mm = self.middle(shape)
            if is_own and (spot := self.spot(surface, shape, middle)) is not None:
                inside.append(self.letter(surface, self._take(surface, spot.ring)))
                self._name(spot)
                continue
            bare.append(surface)
            at = self.ring_place(surface, shape, middle, room_mm) if is_own else None
            if at is None:
                narrow.append((surface, middle))
            else:
                inside.append(self.letter(surface, self._take(surface, at)))
        if len(narrow) > self.most_beside:
            small = {surface.id for surface, _ in narrow}
            bare = [surface for surface in bare if surface.id not in small]
            narrow = []
        for _, middle in narrow:
            self.placer.take(_around(middle, 0.6))
        beside = [self.beside(surface, middle) for surface, middle in narrow]
        if self.naming is not None:
            self._name_beside(bare, self.naming)
        return inside + beside

    def spot(self, surface: Surface, shape: Shape, middle: PaperPoint) -> LetteredName | None:
        """Where letter and name go within a surface; None where they do not fit."""
        if self.naming is None:
            return None
        own, radius = self.frame.on_paper(shape), self.radius(surface) + _ROOM_MM
        return self.naming.within(self.keys.name(surface.id), own, middle, radius)

    def ring_place(
        self, surface: Surface, shape: Shape, middle: PaperPoint, room_mm: float
    ) -> PaperPoint | None:
        """Where a letter alone goes within a surface; None where it does not fit."""
        radius = self.radius(surface)
        if room_mm >= radius * 0.85 and self.placer.is_free(_around(middle, radius)):
            return middle
        return self.placer.seek(self.frame.on_paper(shape), 2 * radius, 2 * radius, middle)

    def _take(self, surface: Surface, middle: PaperPoint) -> PaperPoint:
        wide = 2 * (self.radius(surface) + _ROOM_MM)
        self.placer.take_text(middle, wide, wide, 0.0)  # as of a text: no leader crosses it
        self._rings[surface.id] = middle
        return middle

    def _name(self, spot: LetteredName) -> None:
        self.placer.take_text(spot.middle, spot.name.wide, spot.name.high, 0.0)
        self.names.append(spot.name.at(spot.middle))

    def _name_beside(self, surfaces: Sequence[Surface], naming: Naming) -> None:
        """Names on open ground beside their letters, once all letters have their place."""
        for surface in surfaces:
            radius, middle = self.radius(surface), self._rings[surface.id]
            found = naming.beside(self.keys.name(surface.id), middle, radius)
            if found is None:
                self.unnamed.append(surface.id)
            else:
                self._name(LetteredName(ring=middle, middle=found[1], name=found[0]))

    def own_part(
        self,
        surface: Surface,
        surfaces: Sequence[Surface],
        shapes: Mapping[str, Shape],
        gone: Mapping[str, Shape | None],
    ) -> tuple[Shape, bool]:
        """The part of a surface that nothing else is drawn over, and whether there is one."""
        going = gone[surface.id]
        removed = surface.stage == "removed" and going is not None
        shape = going if removed else shapes[surface.id]
        if shape is None or shape.is_empty:
            return surface.shape, False
        order = ("ground", "raised", "roof")
        level = order.index(surface.material.level)
        over = [
            shapes[other.id]
            for other in surfaces
            if other.stage != "removed" and order.index(other.material.level) > level
        ]
        if removed:
            over += [shapes[other.id] for other in surfaces if other.stage == "proposed"]
        else:
            over += [part for part in gone.values() if part is not None]
        left = shape
        for other in over:
            if other.intersects(left):
                left = left.difference(other)
        is_own = left.area >= 0.05 * shape.area
        return (left, True) if is_own else (shape, False)

    def middle(self, shape: Shape) -> tuple[PaperPoint, float]:
        """A point well inside, on paper, and how far it is from the edge there.

        The centre of gravity where that is nearly as far from the edge as any point, since it
        looks better; the point farthest from the edge otherwise.
        """
        import shapely

        largest = max(shapely.get_parts(shape).tolist(), key=lambda part: part.area)
        centre = largest.centroid
        room_m = largest.boundary.distance(centre) if largest.contains(centre) else 0.0
        left, bottom, right, top = largest.bounds
        # No circle inside is larger than half the narrow side, so there is no need to look for it.
        if room_m <= 0.8 * min(right - left, top - bottom) / 2:
            spoke = shapely.maximum_inscribed_circle(largest, tolerance=_FINE_M)
            if room_m <= 0.8 * spoke.length:
                return self.frame.at(*spoke.coords[0][:2]), self.frame.length_mm(spoke.length)
        return self.frame.at(centre.x, centre.y), self.frame.length_mm(room_m)

    def radius(self, surface: Surface) -> float:
        """Of the ring, millimetres; wider for two letters."""
        return RADIUS_MM + 0.9 * (len(self.keys.letter(surface.id)) - 1)

    def beside(self, surface: Surface, anchor: PaperPoint) -> str:
        """A letter beside its surface with a leader; on it when the drawing is full."""
        room = self.placer.room
        toward = math.atan2(
            anchor[1] - (room.top + room.bottom) / 2, anchor[0] - (room.left + room.right) / 2
        )
        found = self.placer.beside(anchor, self.radius(surface), toward)
        self._rings[surface.id] = found or anchor
        if found is None:
            return self.letter(surface, anchor)
        line = tag(
            "path",
            d=f"M{anchor[0]:.2f} {anchor[1]:.2f}L{found[0]:.2f} {found[1]:.2f}",
            stroke=colours.INK,
            stroke_width=0.25,
        )
        dot = tag("circle", cx=anchor[0], cy=anchor[1], r=0.5, fill=colours.INK)
        return line + dot + self.letter(surface, found)

    def letter(self, surface: Surface, middle: PaperPoint) -> str:
        """A letter in a ring; the ring has the line of its stage."""
        style = STYLES[surface.stage]
        ring = tag(
            "circle",
            cx=middle[0],
            cy=middle[1],
            r=self.radius(surface),
            fill=colours.PAPER,
            stroke=style.line,
            stroke_width=min(style.width_mm, 0.45),
        )
        text = words(self.keys.letter(surface.id), middle, LETTER_MM, is_bold=True)
        return ring + text


def _around(middle: PaperPoint, radius: float) -> Box:
    x, y = middle
    return Box(x - radius, y - radius, x + radius, y + radius)
