"""Whose water goes where: every drained surface by its panels, leaders and what the file says.

Rain falls on the highest surface that holds it: a roof before what lies under it; boards with gaps
and open ground let it through. What is assigned to no drain stays on the list, so that the areas
add up.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.core.records import Record, replace
from checker.measure.arrangement import SLIVER_M2
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import panels_of, ways_of
from checker.measure.drainage.gathering import concentration_s
from checker.measure.drainage.on_grade import caught, is_on_grade
from checker.measure.drainage.planes import BESIDE_M, planes, taker_of
from checker.measure.drainage.typed_shares import share_taken
from checker.site.model import REST

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.partition import LotPiece, PlacedSurface
    from checker.measure.survey import Survey
    from checker.site.drainage import Panel, WaysOut
    from checker.site.model import Shape, Surface

SEALED_RUNOFF: Final = 0.95
"""Upper end for roofs, asphalt and concrete (HEC-22, table 3-1, in rules/tables)."""

OPEN_RUNOFF: Final = 0.35
"""Upper end for lawns (HEC-22, table 3-1), where a file leads open ground to a drain."""


class Shed(Record, kw_only=True):
    """A part of a surface whose water goes one way.

    Attributes:
        surface: Its id.
        panel: Its panel; empty without one.
        area_m2: Plan area on which rain falls.
        runoff_fraction: Runoff coefficient.
        to: Where its water goes; empty when nobody says.
        because: How that was found, or what is missing.
        nature: Of its material.
        concentration_s: Time of concentration, 0 for none.
        below: What lets the rain through to open ground from above; empty under the sky.
        doubt: Why its way is one of several, and what to say; empty where it is sure.
        shape: Where it lies; leaders that share a roof have all of it.
    """

    surface: str
    panel: str
    area_m2: float
    runoff_fraction: float
    to: str
    because: str
    nature: str
    concentration_s: float = 0.0
    below: str = ""
    shape: Shape
    doubt: str = ""


def sheds(survey: Survey) -> tuple[Shed, ...]:
    """Every part of the lot with where its water goes; their areas add up to the lot."""

    def work_out(_data: object, _document: object) -> tuple[Shed, ...]:
        return _Assigning(survey).all()

    return survey.part("sheds", work_out)


def catching(piece: LotPiece) -> PlacedSurface:
    """The surface of a piece that the rain falls on."""
    for layer in reversed(piece.layers):
        if layer.material is None or layer.material.nature in {"sealed", "water"}:
            return layer
    return piece.layers[0]


class _Assigning:
    """One walk over the pieces of the lot."""

    def __init__(self, survey: Survey) -> None:
        self.survey = survey
        self.ways: WaysOut = ways_of(survey)
        self.panels: dict[str, list[Panel]] = {}
        for panel in panels_of(survey):
            self.panels.setdefault(panel.on, []).append(panel)
        groups = (self.ways.drains, self.ways.pipes, self.ways.pits, self.ways.edges)
        self.takers = {item.id for group in groups for item in group}
        self.under = {pit.under: pit.id for pit in self.ways.pits if pit.under}
        self.doubts: dict[str, str] = {}

    def all(self) -> tuple[Shed, ...]:
        caught: dict[tuple[str, str], tuple[PlacedSurface, list[Shape]]] = {}
        for piece in self.survey.partition("proposed").pieces:
            layer, top = catching(piece), piece.layers[-1]
            is_open = layer.material is not None and layer.material.nature == "open"
            below = top.id if is_open and top is not layer else ""
            caught.setdefault((layer.id, below), (layer, []))[1].append(piece.shape)
        found: list[Shed] = []
        for (_, below), (layer, shapes) in caught.items():
            own = self.parts(layer, shapely.union_all(shapes))
            found += [replace(shed, below=below) for shed in own] if below else own
        return tuple(found)

    def parts(self, layer: PlacedSurface, shape: Shape) -> list[Shed]:
        nature = layer.material.nature if layer.material is not None else "open"
        surface = layer.surface
        if surface is None:
            return [self.shed(REST, shape, ("", "soaks where it falls"), nature)]
        if surface.id in self.under and nature == "porous":
            way = (self.under[surface.id], "the store lies below it")
            return [self.shed(surface.id, shape, way, nature)]
        leaders = [drain for drain in self.ways.drains if drain.of == surface.id]
        if leaders:
            return self.by_leaders(surface, shape, nature)
        if surface.id in self.panels:
            return self.by_panels(surface, shape, nature)
        to, because = self.said(surface, {surface.id})
        if not to and nature == "water":
            because = "stays in the pool"
        elif not to and nature == "open":
            because = "soaks where it falls"
        shed = self.shed(surface.id, shape, (to, because), nature)
        return [replace(shed, doubt=self.doubts.get(surface.id, ""))]

    def said(self, surface: Surface, seen: set[str]) -> tuple[str, str]:
        """Where the file says that a surface drains to, through other surfaces if need be."""
        to = surface.attributes.get("drains_to")
        if not isinstance(to, str):
            return "", f"say 'drains_to' of {surface.id}, or give it a panel"
        if to in self.takers:
            return to, "as its 'drains_to' says"
        others = {item.id: item for item in self.survey.site.surfaces}
        if to not in others:
            return "", f"'drains_to' of {surface.id} names '{to}', which takes no water"
        if to in seen:
            return "", f"'drains_to' of {surface.id} goes round"
        if to in self.under:
            return self.under[to], f"runs onto {to}, and into the store below it"
        if to in self.panels:
            onward, because = self.over_panels(surface, to)
            return onward, f"runs over {to}: {because}"
        leaders = [drain.id for drain in self.ways.drains if drain.of == to]
        if leaders:
            if len(leaders) > 1:
                self.doubts[surface.id] = (
                    f"{surface.id} drains onto {to}, which has the leaders {', '.join(leaders)}; "
                    f"give {surface.id} a leader, or 'drains_to' with the name of one"
                )
            return leaders[0], f"runs over {to}: by its leader"
        onward, because = self.said(others[to], seen | {to})
        if not onward and others[to].material.nature in {"open", "porous"}:
            return "", f"runs onto {to} and soaks in"
        return onward, f"runs over {to}: {because}"

    def over_panels(self, surface: Surface, onto: str) -> tuple[str, str]:
        """Where the panels that a surface runs onto lead its water.

        Those beside it, or the one that it names. Where they lead to several places, which one
        takes it is in doubt: it is reckoned with the first.
        """
        panels, named = self.panels[onto], surface.attributes.get("onto_panel")
        if named is not None:
            some = [panel for panel in panels if panel.id == named]
            if not some:
                return "", f"'onto_panel' of {surface.id} names '{named}', no panel of {onto}"
            panels = some
        elif len(panels) > 1:
            shapes = self.survey.partition("proposed").visible
            own = shapes.get(surface.id, surface.shape)
            beside = [p for p in panels if self.extent(p).distance(own) <= BESIDE_M]
            panels = beside or panels
        ways = dict.fromkeys(
            way for panel in panels for _, way in self.on_grade(panel, self.extent(panel))
        )
        (to, because), *others = ways
        if any(other != to for other, _ in others):
            names = ", ".join(dict.fromkeys(name or "no drain" for name, _ in ways))
            self.doubts[surface.id] = (
                f"{surface.id} drains onto {onto}, whose panels beside it lead to {names}; give "
                f"'onto_panel' of {surface.id}, a panel with one way"
            )
        return to, because

    def extent(self, panel: Panel) -> Shape:
        """The part of its surface that a panel covers."""
        whole = self.survey.partition("proposed").visible[panel.on]
        if not panel.outline:
            return whole
        return whole.intersection(shapely.make_valid(shapely.Polygon(panel.outline)))

    def by_leaders(self, surface: Surface, shape: Shape, nature: str) -> list[Shed]:
        leaders = [drain for drain in self.ways.drains if drain.of == surface.id]
        left = max(0.0, 1.0 - sum(drain.share_fraction or 0.0 for drain in leaders))
        silent_count = sum(drain.share_fraction is None for drain in leaders)
        found = []
        for drain in leaders:
            share = drain.share_fraction
            part = left / silent_count if share is None else share
            way = (drain.id, "by its leader")
            found.append(self.shed(surface.id, shape, way, nature, share_fraction=part))
        if not silent_count and left > 1e-9:
            says = f"the leaders of {surface.id} leave {left:.0%} of it without one"
            found.append(self.shed(surface.id, shape, ("", says), nature, share_fraction=left))
        return found

    def by_panels(self, surface: Surface, shape: Shape, nature: str) -> list[Shed]:
        found: list[Shed] = []
        left = shape
        for panel in self.panels[surface.id]:
            part = left
            if panel.outline:
                part = left.intersection(shapely.make_valid(shapely.Polygon(panel.outline)))
            left = left.difference(part)
            if part.area > SLIVER_M2:
                for piece, way in self.on_grade(panel, part):
                    found.append(self.shed(surface.id, piece, way, nature, panel))
        if left.area > SLIVER_M2:
            says = f"a part of {surface.id} lies on no panel"
            found.append(self.shed(surface.id, left, ("", says), nature))
        return found

    def on_grade(self, panel: Panel, part: Shape) -> Iterator[tuple[Shape, tuple[str, str]]]:
        """A panel, cut in two where it falls on beyond its drain: what crosses it, and the rest."""
        to, because = self.of_panel(panel)
        plane = planes(self.survey)[panel.id]
        drain = next((item for item in self.ways.drains if item.id == to), None)
        if drain is None or isinstance(plane, NotMeasured) or not is_on_grade(drain, plane):
            yield part, (to, because)
            return
        crossing = caught(drain, plane, part)
        beside = part.difference(crossing)
        if crossing.area > SLIVER_M2:
            yield crossing, (to, f"crosses {to} on the slope")
        if beside.area > SLIVER_M2:
            onward = drain.spills_to if drain.spills_to in self.takers else ""
            ask = "" if onward else f": give 'spills_to' of {to}"
            yield beside, (onward, f"comes down beside {to}{ask}")

    def of_panel(self, panel: Panel) -> tuple[str, str]:
        """Where a panel's water goes."""
        if panel.drains_to:
            if panel.drains_to in self.takers:
                return panel.drains_to, "as its 'drains_to' says"
            return "", f"'drains_to' of the panel {panel.id} names nothing that takes water"
        plane = planes(self.survey)[panel.id]
        if isinstance(plane, NotMeasured):
            return "", str(plane)
        drains = [(d.id, d.points) for d in self.ways.drains if d.kind != "roof-leader"]
        to = taker_of(plane, [*drains, *((edge.id, edge.points) for edge in self.ways.edges)])
        if to:
            return to, "the lowest drain or edge beside it"
        return "", f"no drain or edge lies beside the panel {panel.id}: say 'drains_to'"

    def shed(
        self,
        surface: str,
        shape: Shape,
        way: tuple[str, str],
        nature: str,
        panel: Panel | None = None,
        *,
        share_fraction: float = 1.0,
    ) -> Shed:
        to, because = way
        runoff, instead = (None, "") if panel is None else share_taken(self.survey, panel, nature)
        because += f"; {instead}" if instead else ""
        if runoff is None:
            runoff = {"open": OPEN_RUNOFF, "sealed": SEALED_RUNOFF}.get(nature, 1.0)
        return Shed(
            surface=surface,
            panel=panel.id if panel is not None else "",
            area_m2=shape.area * share_fraction,
            shape=shape,
            runoff_fraction=runoff,
            to=to,
            because=because,
            nature=nature,
            concentration_s=0.0 if panel is None else concentration_s(self.survey, panel),
        )
