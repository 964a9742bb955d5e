"""The lot as drawing: geometry to SVG elements at a given scale. Page layout stands elsewhere.

Surfaces of the ground come first, then decks, then roofs, so that each shows over what lies
beneath it. What goes is cross-hatched, never over new work. Stages differ by line and hatch as
well as by colour, and each surface carries the letter of the tables.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, Literal

from checker.core.records import Record
from checker.drawing.hatches import CROSS, STYLES, hatch_defs, hatch_id, hatch_of, hatch_over
from checker.drawing.labels import Box, Placer
from checker.drawing.lettering import Letters
from checker.drawing.lot_lines import draw_lot_lines
from checker.drawing.marks import Marks
from checker.drawing.naming import Naming
from checker.drawing.side_lengths import draw_side_lengths
from checker.drawing.svg import tag
from checker.measure.arrangement import SLIVER_M2
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.words import Stage
    from checker.drawing.marks import FeatureLine
    from checker.drawing.scale import Frame
    from checker.findings.checked import Checked
    from checker.site.model import Material, Shape, Surface
    from checker.words.letters import Keys

Phase = Literal["work", "today", "demolition", "after"]
"""What a plan shows: all at once, the lot as it stands, what comes out of it, the lot as built."""

Texts = Literal["letters", "names", "work alone"]
"""What is written on a plan: letters; names and the lengths of new sides as well; these without
the yards, easements and other parts of the lot, which are then not drawn."""

MOST_BESIDE: Final = 10
"""On a small plan; the large one has every letter."""

SHOWN: Final[dict[Phase, frozenset[str]]] = {
    "work": frozenset({"existing", "removed", "proposed", "replaced"}),
    "today": frozenset({"existing", "removed", "replaced"}),
    "demolition": frozenset({"existing", "removed", "replaced"}),
    "after": frozenset({"existing", "proposed", "replaced"}),
}
"""Stages of the surfaces of each phase."""

LEVELS: Final = ("ground", "raised", "roof")
_NOT_PAVED: Final = frozenset({"open", "water"})


class LotDrawing(Record):
    """A drawn lot.

    Attributes:
        defs: Hatches, areas and the clipping frame.
        body: What is drawn, in order.
        stages: Stages that occur, for the legend.
        materials: Hatch, title and stage of each material that occurs, for the legend.
        hatches: Ids of the hatches that `defs` defines.
        has_regions: Regions are drawn.
        has_outside: Something is drawn beyond the lot line.
        numbered: Boundary lines that bear a number because their text does not fit.
        beyond: Naming of what lies too far away to be drawn.
        notes: Names of regions and features that found no room, by their numbers on the drawing.
        unnamed: Ids of the surfaces that stand with their letter alone, where names were asked for.
        lines: How each kind of feature is drawn, for the legend.
        placer: The places that letters and names take, for what is drawn over it.
    """

    defs: tuple[str, ...]
    body: tuple[str, ...]
    stages: tuple[str, ...]
    materials: tuple[tuple[str, str, str], ...]
    hatches: frozenset[str]
    has_regions: bool
    has_outside: bool
    numbered: tuple[int, ...]
    beyond: tuple[str, ...]
    notes: tuple[str, ...]
    unnamed: tuple[str, ...]
    lines: tuple[FeatureLine, ...]
    placer: Placer


def drawn_bounds(checked: Checked, spare: float = 0.25) -> tuple[float, float, float, float]:
    """What a plan shows: the lot, and what is drawn near it, metres.

    Args:
        checked: The site.
        spare: How far beyond the lot things are followed, as a share of its larger side.
    """
    site = checked.site
    left, bottom, right, top = site.lot.boundary.bounds
    reach_m = spare * max(right - left, top - bottom)
    limit = (left - reach_m, bottom - reach_m, right + reach_m, top + reach_m)
    near = [surface.shape.bounds for surface in site.surfaces]
    shapes: list[Shape] = [item.shape for item in site.features]
    near += [shape.bounds for shape in shapes if _touches(shape.bounds, limit)]
    boxes = [site.lot.boundary.bounds, *near]
    return (
        max(min(box[0] for box in boxes), limit[0]),
        max(min(box[1] for box in boxes), limit[1]),
        min(max(box[2] for box in boxes), limit[2]),
        min(max(box[3] for box in boxes), limit[3]),
    )


def _touches(box: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return box[0] <= other[2] and other[0] <= box[2] and box[1] <= other[3] and other[1] <= box[3]


def draw_lot(
    checked: Checked,
    keys: Keys,
    frame: Frame,
    phase: Phase = "work",
    prefix: str = "",
    texts: Texts = "letters",
) -> LotDrawing:
    """Draw the lot.

    Args:
        checked: The site, measured.
        keys: The letters of its surfaces.
        frame: Scale and place on the paper.
        phase: What to show.
        prefix: Set before every id, where several drawings share a page.
        texts: What is written on it.
    """
    return LotPen(checked, keys, frame, phase, prefix, texts).drawing()


class LotPen:
    """Draws a lot in two steps, so that what lies over it can take its place before the letters.

    Args:
        checked: The site, measured.
        keys: The letters of its surfaces.
        frame: Scale and place on the paper.
        phase: What to show.
        prefix: Set before every id, where several drawings share a page.
        texts: What is written on it.

    Attributes:
        placer: What is taken; it knows the outlines of the drawing from the start.
    """

    def __init__(
        self,
        checked: Checked,
        keys: Keys,
        frame: Frame,
        phase: Phase = "work",
        prefix: str = "",
        texts: Texts = "letters",
    ) -> None:
        self.checked = checked
        self.site = checked.site
        self.keys = keys
        self.frame = frame
        self.prefix = prefix
        self.phase = phase
        self.surfaces = [s for s in self.site.surfaces if s.stage in SHOWN[phase]]
        self.shows_work = "proposed" in SHOWN[phase]
        room = Box(
            frame.x_mm, frame.y_mm, frame.x_mm + frame.width_mm, frame.y_mm + frame.height_mm
        )
        self.placer = Placer(room)
        self.hatches: dict[str, str] = {}
        self.clips: list[str] = []
        self.materials: dict[tuple[str, str], str] = {}
        self.has_outside = False
        self.has_names, self.is_small = texts != "letters", texts == "work alone"
        self.shapes = {surface.id: self.shape_of(surface) for surface in self.surfaces}
        self.gone = {surface.id: self.what_goes(surface) for surface in self.surfaces}
        self.marks = Marks(checked, frame, self.placer, is_today=phase == "today")
        self.regions = list(self.marks.regions()) if texts != "work alone" else []
        self.placer.take_outlines(self.outlines())

    def drawing(self) -> LotDrawing:
        """The lot, with its letters and names where there is room."""
        shapes, gone, marks, has_names = self.shapes, self.gone, self.marks, self.has_names
        ground = [
            self._surface(surface, shapes[surface.id])
            for level in LEVELS
            for surface in self.surfaces
            if self.material_of(surface).level == level
            if surface.stage != "removed" or not self.shows_work
        ]
        going = list(self.going([shape for shape in gone.values() if shape is not None]))
        lines = draw_lot_lines(self.site.lot, self.frame, self.placer)
        features = list(marks.features())
        sizes = list(self.sizes()) if has_names else []
        own = [surface.shape for surface in self.surfaces]
        naming = Naming(self.frame, self.placer, own) if has_names else None
        most = MOST_BESIDE if self.is_small else math.inf
        lettering = Letters(self.keys, self.frame, self.placer, naming, most)
        letters = lettering.draw(self.surfaces, shapes, gone)
        names = [*lettering.names, *marks.region_names(), *marks.feature_names()]
        clip = f"{self.prefix}lot-frame"
        frame = self.frame
        edge = tag("rect", x=frame.x_mm, y=frame.y_mm, width=frame.width_mm, height=frame.height_mm)
        stages = {self.stage_of(surface) for surface in self.surfaces}
        if any(shape is not None for shape in gone.values()):
            stages.add("removed")
        return LotDrawing(
            defs=(*self.hatches.values(), *self.clips, tag("clipPath", edge, id=clip)),
            body=(
                tag("g", *ground, *going, *self.regions, lines.outline, clip_path=f"url(#{clip})"),
                *lines.labels,
                *features,
                *sizes,
                *letters,
                *names,
            ),
            stages=tuple(stage for stage in STYLES if stage in stages),
            materials=tuple(
                (hatch, title, stage) for (hatch, title), stage in self.materials.items()
            ),
            hatches=frozenset(self.hatches),
            has_regions=marks.has_regions,
            has_outside=self.has_outside,
            numbered=lines.numbered,
            beyond=tuple(marks.beyond),
            notes=tuple(marks.notes),
            unnamed=tuple(lettering.unnamed),
            lines=tuple(marks.lines.values()),
            placer=self.placer,
        )

    def outlines(self) -> Iterator[Shape]:
        """All lines of the drawing, on paper."""
        shapes = (*self.shapes.values(), *self.gone.values())
        lot = self.site.lot.boundary
        beyond = [s.shape for s in self.surfaces if not lot.covers(s.shape)]
        areas = [shape for shape in (*shapes, *beyond) if shape is not None and not shape.is_empty]
        for area in (lot, *areas, *self.marks.region_shapes):
            yield self.frame.on_paper(area.boundary)
        for item in self.site.features:
            shape = self.frame.on_paper(item.shape)
            yield shape.boundary if shape.area > 0 else shape

    # Surfaces

    def shape_of(self, surface: Surface) -> Shape:
        """What is seen of a surface within the lot."""
        state = "proposed" if self.shows_work and surface.stage != "removed" else "existing"
        visible = self.checked.survey.partition(state).visible  # type: ignore[arg-type]
        return visible.get(surface.id, surface.shape)

    def what_goes(self, surface: Surface) -> Shape | None:
        """What goes of an existing surface: all of it, or what the work is built over.

        On a demolition plan what is rebuilt comes out too.
        """
        if surface.stage == "proposed" or self.phase in {"today", "after"}:
            return None
        before = self.checked.survey.partition("existing").visible.get(surface.id)
        if before is None or before.is_empty:
            return None
        comes_out = surface.stage == "replaced" and self.phase == "demolition"
        if surface.stage == "removed" or comes_out:
            return before
        after = self.checked.survey.partition("proposed").visible.get(surface.id)
        if after is None or surface.was.nature in _NOT_PAVED:
            return None
        if abs(before.area - after.area) <= SLIVER_M2:
            return None
        lost = before.difference(after)
        return lost if lost.area > 0.01 else None

    def stage_of(self, surface: Surface) -> Stage:
        """The stage a surface is drawn in: before the work all of them stand."""
        return surface.stage if self.shows_work else "existing"

    def material_of(self, surface: Surface) -> Material:
        """What it is made of in the state drawn."""
        return surface.material if self.shows_work else surface.was

    def going(self, gone: list[Shape]) -> Iterator[str]:
        """What goes, cross-hatched where no new work stands; its outline goes on below that."""
        import shapely

        new = [s.shape for s in self.surfaces if s.stage in {"proposed", "replaced"}]
        work = shapely.union_all(new) if new and self.shows_work else None
        for shape in gone:
            bare = shape if work is None else shape.difference(work)
            if bare.area > 0.01:
                yield self.area(bare, "removed", CROSS)
            if bare.area < shape.area - 0.01:
                style = STYLES["removed"]
                yield tag(
                    "path",
                    d=self.frame.path(shape),
                    fill="none",
                    stroke=style.line,
                    stroke_width=0.2,
                    stroke_dasharray=style.dashes,
                )

    def sizes(self) -> Iterator[str]:
        """The lengths of the sides of new work."""
        if self.shows_work:
            for surface in self.surfaces:
                if surface.stage in {"proposed", "replaced"}:
                    others = [s.shape for s in self.surfaces if s is not surface]
                    yield from draw_side_lengths(
                        surface.shape, others, self.frame, self.placer, self.checked.system
                    )

    def _surface(self, surface: Surface, shape: Shape) -> str:
        lot = self.site.lot.boundary
        parts = [] if shape.is_empty else [self._filled(surface, shape)]
        if lot.covers(surface.shape):
            return "".join(parts)
        outside = surface.shape.difference(lot)
        if outside.area > 0.01:
            self.has_outside = True
            parts.append(
                tag(
                    "path",
                    d=self.frame.path(outside),
                    fill="none",
                    stroke=STYLES[self.stage_of(surface)].line,
                    stroke_width=0.35,
                    stroke_dasharray="0.4 0.9",
                )
            )
        return "".join(parts)

    def _filled(self, surface: Surface, shape: Shape) -> str:
        material, stage = self.material_of(surface), self.stage_of(surface)
        hatch = hatch_of(material.hatch, stage)
        if self.phase == "demolition" and material.nature != "water":
            hatch = ""  # what comes out stands out
        look = "water" if material.nature == "water" else stage
        self.materials.setdefault((hatch, clean(material.title)), look)
        # Decks and roofs let what lies beneath them show through.
        opacity = 1.0 if material.level == "ground" else 0.55
        return self.area(shape, stage, hatch, opacity, look)

    def area(
        self, shape: Shape, stage: str, hatch: str, opacity: float = 1.0, look: str = ""
    ) -> str:
        """An area with its fill, hatch and outline; the path itself is written once.

        `look` gives fill and hatch where they are not those of the stage.
        """
        style, fill = STYLES[stage], STYLES[look or stage]
        name = f"{self.prefix}area-{len(self.clips) + 1}"
        path = tag(
            "path",
            id=name,
            d=self.frame.path(shape),
            fill_rule="evenodd",
            clip_rule="evenodd",
            stroke_linejoin="round",
        )
        self.clips.append(tag("clipPath", path, id=f"{name}-clip"))
        parts: list[str] = []
        if fill.fill != "none":
            parts.append(tag("use", href=f"#{name}", fill=fill.fill, fill_opacity=opacity))
        if hatch:
            look = look or stage
            self.hatches.setdefault(hatch_id(hatch, look), hatch_defs(hatch, look, self.prefix))
            tiles = hatch_over(hatch, look, self.frame.box(shape.bounds), self.prefix)
            parts.append(tag("g", tiles, clip_path=f"url(#{name}-clip)"))
        line: dict[str, str | float] = {"stroke": style.line, "stroke_width": style.width_mm}
        if style.dashes:
            line["stroke_dasharray"] = style.dashes
        parts.append(tag("use", href=f"#{name}", fill="none", **line))
        return "".join(parts)
