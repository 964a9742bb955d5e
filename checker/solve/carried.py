"""What else a site file says of a surface, made right when the surface changes.

Panels go with their paving: a plane in space is the same before and after wherever paving stays,
and lawn has none. Names of a surface follow what lies there then. What would be a guess is taken
out, so that no rule passes on it, and told as a thing to settle.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.records import Record, replace
from checker.core.units import FOOT_M
from checker.measure.arrangement import SLIVER_M2, joined
from checker.measure.cuts import cut_off
from checker.site.model import REST

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from checker.measure.survey import Survey
    from checker.site.model import Shape, Site, Surface, Value
    from checker.solve.layout import Piece
    from checker.solve.redraw import Redrawn

_BESIDE_M: Final = 2 * FOOT_M
"""So near to a surface what drains onto it lies beside it, as where panels are looked for."""

BY_SIZE: Final = ("run_on", "unscreened_run_on", "width", "area")
"""Attributes that hold for a surface of one size alone."""


class Carried(Record, kw_only=True):
    """A changed site with all that names its surfaces made right.

    Attributes:
        site: The site after the changes.
        to_settle: What somebody has to say anew, in words.
    """

    site: Site
    to_settle: tuple[str, ...] = ()


def carried(survey: Survey, drawn: Redrawn, pieces: Sequence[Piece]) -> Carried:
    """Make all that names a changed surface right.

    Args:
        survey: The design before.
        drawn: Its surfaces after the changes.
        pieces: What changes.
    """
    return _Carrying(survey, drawn, pieces).all()


class _Carrying:
    def __init__(self, survey: Survey, drawn: Redrawn, pieces: Sequence[Piece]) -> None:
        self.survey = survey
        self.before = survey.site
        self.heirs = drawn.heirs
        self.surfaces = {surface.id: surface for surface in drawn.site.surfaces}
        self.site = drawn.site
        self.old = {name: self.before.surface(name) for name in drawn.heirs}
        self.bare = {
            name: _bare(self.old[name].shape, [self.surfaces[heir] for heir in self.standing(name)])
            for name in drawn.heirs
        }
        self.is_whole = {
            name: all(piece.is_all for piece in pieces if piece.surface_id == name)
            for name in drawn.heirs
        }
        self.to_settle: dict[str, None] = {}

    def all(self) -> Carried:
        parts = dict(self.before.parts)
        lies_on, by_leader = self.water(parts)
        for name in self.heirs:
            self.sizes(name)
            self.documents(name)
        for name, surface in list(self.surfaces.items()):
            if name in by_leader:
                own = dict(surface.attributes) | {"drains_to": by_leader[name]}
                self.surfaces[name] = replace(surface, attributes=own)
            else:
                self.surfaces[name] = self.led(surface, lies_on)
        found = tuple(self.surfaces[surface.id] for surface in self.site.surfaces)
        site = replace(self.site, surfaces=found, parts=parts)
        return Carried(site=site, to_settle=tuple(self.to_settle))

    def water(self, parts: dict[str, Any]) -> tuple[dict[str, str], dict[str, str]]:
        """Make the parts about water right: what panels lie on then, leaders of pieces of roofs."""
        if not {"panels", "ways_out"} & set(parts):
            return {}, {}
        from checker.measure.drainage.carried import CarriedWater

        water = CarriedWater(self.survey, self.heirs, self.surfaces)
        if "panels" in parts:
            parts["panels"] = water.panels(parts["panels"])
            if not parts["panels"]:
                del parts["panels"]
        if "ways_out" in parts:
            parts["ways_out"] = water.ways_out(parts["ways_out"])
        self.to_settle |= water.to_settle
        return water.lies_on, water.by_leader

    def standing(self, name: str) -> tuple[str, ...]:
        """What stands then where a surface was: what is taken out does not."""
        return tuple(own for own in self.heirs[name] if self.surfaces[own].stage != "removed")

    def title(self, name: str) -> str:
        """The title of a surface before the change, within a sentence."""
        title = self.before.surface(name).title
        return f"the {title[0].lower()}{title[1:]}"

    def now(self, surface: Surface) -> str:
        """The title of a surface after the change, within a sentence."""
        return f"the {surface.title[0].lower()}{surface.title[1:]}"

    def sizes(self, name: str) -> None:
        """Take out what was said of the surface as large as it was."""
        if self.is_whole[name]:
            return
        for heir in self.heirs[name]:
            surface = self.surfaces[heir]
            lost = [
                key
                for key in BY_SIZE
                if surface.attributes.get(key) == self.old[name].attributes.get(key) is not None
            ]
            if lost:
                self.surfaces[heir] = _without(surface, lost)
        lost = [key for key in BY_SIZE if key in self.old[name].attributes]
        if lost:
            keys = " and ".join(f"'{key}'" for key in lost)
            self.settle(f"give {keys} of {self.title(name)} and its pieces anew: its size changes")

    def documents(self, name: str) -> None:
        """A paper about a surface is about what it was."""
        for paper in self.before.on_file:
            if paper.of == name:
                self.settle(
                    f"the paper '{paper.document}' is about {self.title(name)} as it was: see "
                    "whether it holds for what comes, and hand in what is needed"
                )

    def led(self, surface: Surface, panels: Mapping[str, str]) -> Surface:
        """A surface whose water runs where something changes, or is treated there."""
        attributes = dict(surface.attributes)
        to, treated = attributes.get("drains_to"), attributes.get("treated_by")
        if isinstance(treated, str) and treated in self.heirs:
            del attributes["treated_by"]
            self.settle(
                f"say whether {self.title(treated)}, which changes, still treats the water of "
                f"{self.now(surface)}: 'treated_by'"
            )
        if isinstance(to, str) and to in self.heirs:
            attributes |= self.onward(surface, to, panels)
            onto = attributes.get("onto_panel")
            if isinstance(onto, str) and panels.get(onto) != attributes["drains_to"]:
                del attributes["onto_panel"]
        if attributes == surface.attributes:
            return surface
        return replace(surface, attributes=attributes)

    def onward(self, surface: Surface, to: str, panels: Mapping[str, str]) -> dict[str, Value]:
        """Where the water of a surface runs that drained onto one that changes."""
        onto = surface.attributes.get("onto_panel")
        if isinstance(onto, str) and onto in panels:
            return {"drains_to": panels[onto]}
        places: dict[str, Shape] = {heir: self.surfaces[heir].shape for heir in self.standing(to)}
        if not self.bare[to].is_empty:
            places[REST] = self.bare[to]
        near = [n for n, shape in places.items() if shape.distance(surface.shape) <= _BESIDE_M]
        if near != [to]:
            names = " and ".join(f"'{name}'" for name in near or places)
            self.settle(
                f"the water of {self.now(surface)} ran onto {self.title(to)} and runs onto {names} "
                "then: see that it is counted there, and keeps clear of house, pool and neighbours"
            )
        found = (near or list(places))[0]
        return {"drains_to": found}

    def settle(self, text: str) -> None:
        """Tell something, once."""
        self.to_settle[text] = None


def _without(surface: Surface, keys: Sequence[str]) -> Surface:
    kept = {key: value for key, value in surface.attributes.items() if key not in keys}
    return replace(surface, attributes=kept)


def _bare(shape: Shape, there: Sequence[Surface]) -> Shape:
    """The part of a surface where none of its heirs stands then."""
    if not there:
        return shape
    left = cut_off(shape, joined([heir.shape for heir in there]))
    return left if left.area > SLIVER_M2 else joined(())
