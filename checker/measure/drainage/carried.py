"""Panels, drains, stores and edges made right when the surface that they belong to changes."""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Any, Final

import shapely

from checker.core.records import replace
from checker.core.units import FOOT_M, UNIT
from checker.measure.arrangement import SLIVER_M2
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import panels_of, ways_of
from checker.measure.drainage.planes import BESIDE_M, line_of, planes, taker_of
from checker.site.write import number_data

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.measure.drainage.planes import Plane
    from checker.measure.survey import Survey
    from checker.site.drainage import Panel, WaysOut, Xy
    from checker.site.model import Shape, Site, Surface

_INSIDE_M: Final = FOOT_M / 12
"""What stands less than an inch within a piece stands at its edge."""


def is_paved(surface: Surface) -> bool:
    """Whether a surface is there after the work and has a fall that is built."""
    return surface.stage != "removed" and surface.material.nature in {"sealed", "porous"}


def is_as_today(surface: Surface, before: Site) -> bool:
    """Whether it stays as it is today where something new was to be built.

    The falls and levels of the file are those of what was to be built.
    """
    old = before.surface_named(surface.id)
    return surface.stage == "existing" and (old is None or old.stage != "existing")


class CarriedWater:
    """What the parts `panels` and `ways_out` say once surfaces have changed.

    Args:
        survey: The design before.
        heirs: What lies then where each changed surface was, by its id.
        surfaces: Every surface after the changes, by id.

    Attributes:
        lies_on: For each panel of a changed surface, the surface that it lies on then; those
            that are no more are left out.
        by_leader: The leader of a piece of a roof, by the id of the piece.
        to_settle: What somebody has to say anew, in words.
    """

    def __init__(
        self,
        survey: Survey,
        heirs: Mapping[str, tuple[str, ...]],
        surfaces: Mapping[str, Surface],
    ) -> None:
        self.survey = survey
        self.heirs = heirs
        self.surfaces = surfaces
        self.visible = survey.partition("proposed").visible
        self.lies_on: dict[str, str] = {}
        self.by_leader: dict[str, str] = {}
        self.to_settle: dict[str, None] = {}
        self.paved = {
            name: [
                own
                for own in own_heirs
                if is_paved(surfaces[own]) and not is_as_today(surfaces[own], survey.site)
            ]
            for name, own_heirs in heirs.items()
        }
        """What is paved then of each changed surface."""
        self.unpaved = {name: self.without_paving(name) for name in heirs}
        """Where each changed surface is paved no more."""

    def whole(self, name: str) -> Shape:
        """A surface as it is seen before the change."""
        return self.visible.get(name) or self.survey.site.surface(name).shape

    def without_paving(self, name: str) -> Shape:
        """Where a surface was paved and is not any more."""
        before = self.survey.site.surface(name)
        if not is_paved(before):
            return shapely.Polygon()
        found: Shape = before.shape
        for own in self.paved[name]:
            found = found.difference(self.surfaces[own].shape.buffer(_INSIDE_M / 100))
        return found

    def takers(self) -> list[tuple[str, tuple[Xy, ...]]]:
        """What panels are drained by, as `measure.drainage.sheds` looks for it."""
        ways = self.ways()
        if ways is None:
            return []
        drains = [(d.id, d.points) for d in ways.drains if d.kind != "roof-leader"]
        return [*drains, *((edge.id, edge.points) for edge in ways.edges)]

    def ways(self) -> WaysOut | None:
        """What takes water; None where the file draws nothing."""
        try:
            return ways_of(self.survey)
        except NotMeasured:
            return None

    def panels(self, entries: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """The entries of `panels`: one for each piece of paving that a panel reaches."""
        names = {panel.id for panel in panels_of(self.survey)}
        for name in dict.fromkeys(panel.on for panel in panels_of(self.survey)):
            if any(is_as_today(self.surfaces[own], self.survey.site) for own in self.there(name)):
                self.settle(
                    f"what stays of {self.title(name)} as it is today has the levels of today, not "
                    "those of the new paving: give a panel on it"
                )
        found: list[dict[str, Any]] = []
        for entry, panel in zip(entries, panels_of(self.survey), strict=True):
            if panel.on not in self.heirs:
                found.append(entry)
                continue
            for number, own in enumerate(self.reached(panel)):
                new = deepcopy(entry)
                if number:
                    name = _free(f"{panel.id}{own.removeprefix(panel.on)}", names)
                    names.add(name)
                    new = {"id": name} | new | {"id": name}
                else:
                    self.lies_on[panel.id] = own
                    if own != panel.on:
                        new["id"] = panel.id
                new["on"] = own
                self.hold(new, panel, own)
                found.append(new)
        return found

    def reached(self, panel: Panel) -> list[str]:
        """The paving that lies then where a panel was, what keeps its name first."""
        part = self.whole(panel.on)
        if panel.outline:
            part = part.intersection(shapely.make_valid(shapely.Polygon(panel.outline)))
        paved = self.paved[panel.on]
        if part.area <= SLIVER_M2:
            return paved[:1]
        return [
            own
            for own in paved
            if part.intersection(self.surfaces[own].shape.buffer(-_INSIDE_M)).area > SLIVER_M2
        ]

    def hold(self, entry: dict[str, Any], panel: Panel, own: str) -> None:
        """Keep the plane of a panel where it is, and its water on its way."""
        plane = planes(self.survey)[panel.id]
        if isinstance(plane, NotMeasured):
            return
        if panel.level_m is not None and panel.at is None:
            size_m = UNIT[self.survey.site.unit].size_si
            middle = plane.shape.centroid
            entry["at"] = [number_data(middle.x / size_m), number_data(middle.y / size_m)]
        takers = self.takers()
        part = replace(plane, shape=plane.shape.intersection(self.surfaces[own].shape))
        if panel.drains_to:
            self.hold_to(entry, plane, part, takers)
            return
        to = taker_of(plane, takers)
        if not to or taker_of(part, takers) == to:
            return
        points = dict(takers)[to]
        if self.is_reached_over_paving(panel, plane, points):
            entry["drains_to"] = to
        else:
            self.tell_way(panel, to)

    def hold_to(
        self,
        entry: dict[str, Any],
        plane: Plane,
        part: Plane,
        takers: list[tuple[str, tuple[Xy, ...]]],
    ) -> None:
        """Keep the drain that a panel names, unless lawn comes between them."""
        panel = plane.panel
        points = dict(takers).get(panel.drains_to, ())
        if not points or part.shape.distance(line_of(points)) <= BESIDE_M:
            return
        if plane.shape.distance(line_of(points)) > BESIDE_M:
            return
        if not self.is_reached_over_paving(panel, plane, points):
            del entry["drains_to"]
            self.tell_way(panel, panel.drains_to)

    def is_reached_over_paving(self, panel: Panel, plane: Plane, points: tuple[Xy, ...]) -> bool:
        """Whether what takes the water of a panel still lies beside paving of it."""
        line = line_of(points)
        return any(
            plane.shape.intersection(self.surfaces[own].shape).distance(line) <= BESIDE_M
            for own in self.paved[panel.on]
        )

    def tell_way(self, panel: Panel, to: str) -> None:
        """Tell that the way of a panel's water is open."""
        self.settle(
            f"the panel {panel.id} drained to {to}, and what lies between is paved no more: say "
            "where its water goes"
        )

    def ways_out(self, data: dict[str, Any]) -> dict[str, Any]:
        """The part `ways_out`: no level of paving that goes, no name of what is no more."""
        ways = self.ways()
        if ways is None:
            return data
        found = deepcopy(data)
        entries = {
            entry["id"]: entry
            for group in found.values()
            if isinstance(group, list)
            for entry in group
        }
        for name in self.heirs:
            self.levels(ways, entries, name)
            self.leaders(ways, entries, name)
            self.stores(ways, entries, name)
        return found

    def levels(self, ways: WaysOut, entries: dict[str, dict[str, Any]], name: str) -> None:
        """Take out the levels of paving that is no more, and tell what stands in what changes."""
        bare = self.unpaved[name]
        for drain in ways.drains:
            if drain.kind != "roof-leader" and _stands_in(drain.points, bare):
                self.lose(entries[drain.id], "rim", name)
        for edge in ways.edges:
            if self.bounds(edge.points, bare):
                self.lose(entries[edge.id], "crest", name)
        changed = [self.surfaces[own].shape for own in self.paved[name] if self.is_new(own)]
        places = [(d.id, d.points) for d in ways.drains if d.kind != "roof-leader"]
        places += [(pipe.id, (point,)) for pipe in ways.pipes for point in pipe.cleanouts]
        for own, points in places:
            if any(_stands_in(points, shape) for shape in changed):
                self.settle(
                    f"{own} stands in the part of {self.title(name)} that is paved anew: it is "
                    "built in again, at its level"
                )
        every = [*changed, bare]
        for pit in ways.pits:
            if pit.at is not None and any(_stands_in((pit.at,), shape) for shape in every):
                self.settle(
                    f"{pit.id} lies below the part of {self.title(name)} that changes: see what "
                    "covers it then"
                )

    def lose(self, entry: dict[str, Any], key: str, name: str) -> None:
        """Take the level of paving out that goes."""
        was = entry.pop(key, None)
        text = f", {was} before" if was is not None else ""
        self.settle(
            f"{entry['id']} was in the paving of {self.title(name)} that goes: give its place and "
            f"its '{key}' anew{text}"
        )

    def leaders(self, ways: WaysOut, entries: dict[str, dict[str, Any]], name: str) -> None:
        """Leaders drain what stands then where their roof was."""
        own = [drain for drain in ways.drains if drain.of == name]
        there = self.standing(name)
        if not own or there == (name,):
            return
        names = " and ".join(drain.id for drain in own)
        if not there:
            self.settle(f"{names} drained {self.title(name)}, which goes: take it out, or say 'of'")
            return
        if name not in there:
            for drain in own:
                entries[drain.id]["of"] = there[0]
        if len(own) == 1 and own[0].share_fraction in {None, 1.0}:
            self.by_leader |= dict.fromkeys(there[1:], own[0].id)
        else:
            self.settle(f"say how much of each piece of {self.title(name)} {names} drain")

    def stores(self, ways: WaysOut, entries: dict[str, dict[str, Any]], name: str) -> None:
        """Stores lie below what stands then where their paving was."""
        there = self.standing(name)
        for pit in ways.pits:
            if pit.under != name or pit.id not in entries:
                continue
            if there and name not in there:
                entries[pit.id]["under"] = there[0]
            what = "which goes" if not there else "of which a part changes"
            if there == (name,):
                what = "which changes"
            self.settle(f"{pit.id} lies below {self.title(name)}, {what}: give its size anew")

    def there(self, name: str) -> tuple[str, ...]:
        """What lies then where a surface was, when it changes."""
        return self.heirs.get(name, ())

    def standing(self, name: str) -> tuple[str, ...]:
        """What stands then where a surface was."""
        return tuple(own for own in self.heirs[name] if self.surfaces[own].stage != "removed")

    def is_new(self, name: str) -> bool:
        """Whether a surface is paved anew by the change."""
        before = self.survey.site.surface_named(name)
        return before is None or before.material != self.surfaces[name].material

    def bounds(self, points: tuple[Xy, ...], bare: Shape) -> bool:
        """Whether an edge is one of paving that goes, and of no other that stays."""
        if bare.is_empty or not points:
            return False
        line = line_of(points)
        if line.intersection(bare.buffer(_INSIDE_M)).length < line.length / 2:
            return False
        return not any(
            is_paved(surface) and surface.shape.buffer(_INSIDE_M).intersection(line).length > FOOT_M
            for surface in self.surfaces.values()
        )

    def title(self, name: str) -> str:
        """The title of a surface before the change, within a sentence."""
        title = self.survey.site.surface(name).title
        return f"the {title[0].lower()}{title[1:]}"

    def settle(self, text: str) -> None:
        """Tell something, once."""
        self.to_settle[text] = None


def _stands_in(points: tuple[Xy, ...], shape: Shape) -> bool:
    """Whether something stands within a piece, not at its edge."""
    return bool(points) and bool(line_of(points).intersects(shape.buffer(-_INSIDE_M)))


def _free(name: str, taken: set[str]) -> str:
    found, number = name, 2
    while found in taken:
        found, number = f"{name}-{number}", number + 1
    return found
