"""The lot as drawing: geometry to SVG elements at a given scale. Page layout stands elsewhere.

Surfaces of the ground come first, then decks, then roofs, so that each shows over what lies
beneath it. What goes is cross-hatched over everything. Stages differ by line and hatch as well as
by colour, and each surface carries the letter of the tables.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, NamedTuple

from checker.measure.partition import SLIVER_M2
from checker.measure.regions import NoRegion
from checker.report import colours
from checker.report.hatches import CROSS, STYLES, hatch_defs, hatch_id, hatch_of, hatch_over
from checker.report.labels import Box, Placer
from checker.report.lettering import Letters
from checker.report.lot_lines import draw_lot_lines
from checker.report.svg import escape, tag, text_width_mm
from checker.report.wording import capital, clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.findings.checked import Checked
    from checker.report.keys import Keys
    from checker.report.scale import Frame
    from checker.site.model import Shape, Surface

LEVELS: Final = ("ground", "raised", "roof")
NAME_MM: Final = 2.5
"""Height of the letters of names."""

_NOT_PAVED: Final = frozenset({"open", "water"})


class Drawing(NamedTuple):
    """A drawn lot.

    Attributes:
        defs: Hatches, areas and the clipping frame.
        body: What is drawn, in order.
        stages: Stages that occur, for the legend.
        materials: Hatch, title and stage of each material that occurs, for the legend.
        hatches: Ids of the hatches that `defs` defines.
        has_regions: Regions are drawn.
        has_features: Features are drawn.
        has_outside: Something is drawn beyond the lot line.
        numbered: Boundary lines that bear a number because their text does not fit.
        beyond: Names of what lies too far away to be drawn.
    """

    defs: tuple[str, ...]
    body: tuple[str, ...]
    stages: tuple[str, ...]
    materials: tuple[tuple[str, str, str], ...]
    hatches: frozenset[str]
    has_regions: bool
    has_features: bool
    has_outside: bool
    numbered: tuple[int, ...]
    beyond: tuple[str, ...]


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
    stages: frozenset[str] = frozenset(STYLES),
    prefix: str = "",
) -> Drawing:
    """Draw the lot.

    Args:
        checked: The site, measured.
        keys: The letters of its surfaces.
        frame: Scale and place on the paper.
        stages: Stages to show; e.g. existing and removed alone for a plan of today.
        prefix: Set before every id, where several drawings share a page.
    """
    return _Pen(checked, keys, frame, stages, prefix).drawing()


class _Pen:
    def __init__(
        self, checked: Checked, keys: Keys, frame: Frame, stages: frozenset[str], prefix: str
    ) -> None:
        self.checked = checked
        self.site = checked.site
        self.keys = keys
        self.frame = frame
        self.prefix = prefix
        self.surfaces = [s for s in self.site.surfaces if s.stage in stages]
        self.shows_work = "proposed" in stages
        room = Box(
            frame.x_mm, frame.y_mm, frame.x_mm + frame.width_mm, frame.y_mm + frame.height_mm
        )
        self.placer = Placer(room)
        self.hatches: dict[str, str] = {}
        self.clips: list[str] = []
        self.materials: dict[tuple[str, str], str] = {}
        self.has_outside = False
        self.has_regions = False
        self.has_features = False
        self.beyond: list[str] = []
        self.region_names: list[str] = []
        self.to_name: list[tuple[str, tuple[float, float, float, float]]] = []

    def drawing(self) -> Drawing:
        shapes = {surface.id: self.shape_of(surface) for surface in self.surfaces}
        gone = {surface.id: self.gone(surface) for surface in self.surfaces}
        ground = [
            self.surface(surface, shapes[surface.id])
            for level in LEVELS
            for surface in self.surfaces
            if surface.material.level == level and surface.stage != "removed"
        ]
        going = [
            self.area(shape, "removed", CROSS)
            for surface in self.surfaces
            if (shape := gone[surface.id]) is not None
        ]
        lines = draw_lot_lines(self.site.lot, self.frame, self.placer)
        features = list(self.features())
        letters = Letters(self.keys, self.frame, self.placer).draw(self.surfaces, shapes, gone)
        regions = list(self.regions())
        names = [name for title, at in self.to_name for name in self.name_near(title, at)]
        clip = f"{self.prefix}drawing"
        frame = self.frame
        edge = tag("rect", x=frame.x_mm, y=frame.y_mm, width=frame.width_mm, height=frame.height_mm)
        stages = {surface.stage for surface in self.surfaces}
        if any(shape is not None for shape in gone.values()):
            stages.add("removed")
        return Drawing(
            defs=(*self.hatches.values(), *self.clips, tag("clipPath", edge, id=clip)),
            body=(
                tag("g", *ground, *going, *regions, lines.outline, clip_path=f"url(#{clip})"),
                *lines.labels,
                *features,
                *letters,
                *self.region_names,
                *names,
            ),
            stages=tuple(stage for stage in STYLES if stage in stages),
            materials=tuple(
                (hatch, title, stage) for (hatch, title), stage in self.materials.items()
            ),
            hatches=frozenset(self.hatches),
            has_regions=self.has_regions,
            has_features=self.has_features,
            has_outside=self.has_outside,
            numbered=lines.numbered,
            beyond=tuple(self.beyond),
        )

    # Surfaces

    def shape_of(self, surface: Surface) -> Shape:
        """What is seen of a surface within the lot."""
        state = "proposed" if self.shows_work and surface.stage != "removed" else "existing"
        visible = self.checked.survey.partition(state).visible  # type: ignore[arg-type]
        return visible.get(surface.id, surface.shape)

    def gone(self, surface: Surface) -> Shape | None:
        """What goes of an existing surface: all of it, or what the work is built over."""
        if surface.stage == "proposed" or not self.shows_work:
            return self.shape_of(surface) if surface.stage == "removed" else None
        before = self.checked.survey.partition("existing").visible.get(surface.id)
        if before is None or before.is_empty:
            return None
        if surface.stage == "removed":
            return before
        after = self.checked.survey.partition("proposed").visible.get(surface.id)
        if after is None or surface.was.nature in _NOT_PAVED:
            return None
        if abs(before.area - after.area) <= SLIVER_M2:
            return None
        lost = before.difference(after)
        return lost if lost.area > 0.01 else None

    def surface(self, surface: Surface, shape: Shape) -> str:
        outside = surface.shape.difference(self.site.lot.boundary)
        parts = [] if shape.is_empty else [self.filled(surface, shape)]
        if outside.area > 0.01:
            self.has_outside = True
            parts.append(
                tag(
                    "path",
                    d=self.frame.path(outside),
                    fill="none",
                    stroke=STYLES[surface.stage].line,
                    stroke_width=0.35,
                    stroke_dasharray="0.4 0.9",
                )
            )
        return "".join(parts)

    def filled(self, surface: Surface, shape: Shape) -> str:
        material = surface.material
        hatch = hatch_of(material.hatch, surface.stage)
        self.materials.setdefault((hatch, clean(material.title)), surface.stage)
        # Decks and roofs let what lies beneath them show through.
        opacity = 1.0 if material.level == "ground" else 0.55
        return self.area(shape, surface.stage, hatch, opacity)

    def area(self, shape: Shape, stage: str, hatch: str, opacity: float = 1.0) -> str:
        """An area with its fill, hatch and outline; the path itself is written once."""
        style = STYLES[stage]
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
        if style.fill != "none":
            parts.append(tag("use", href=f"#{name}", fill=style.fill, fill_opacity=opacity))
        if hatch:
            self.hatches.setdefault(hatch_id(hatch, stage), hatch_defs(hatch, stage, self.prefix))
            tiles = hatch_over(hatch, stage, self.box(shape), self.prefix)
            parts.append(tag("g", tiles, clip_path=f"url(#{name}-clip)"))
        line: dict[str, str | float] = {"stroke": style.line, "stroke_width": style.width_mm}
        if style.dashes:
            line["stroke_dasharray"] = style.dashes
        parts.append(tag("use", href=f"#{name}", fill="none", **line))
        return "".join(parts)

    def box(self, shape: Shape) -> tuple[float, float, float, float]:
        """The rectangle around a shape on paper, within the drawing."""
        left, bottom, right, top = shape.bounds
        (x_low, y_low), (x_high, y_high) = self.frame.at(left, top), self.frame.at(right, bottom)
        room = self.placer.room
        return (
            max(x_low, room.left),
            max(y_low, room.top),
            min(x_high, room.right),
            min(y_high, room.bottom),
        )

    # Regions and features

    def regions(self) -> Iterator[str]:
        named: list[tuple[str, Shape]] = [(r.title, r.shape) for r in self.site.regions]
        for name, rule in self.checked.ruleset.regions.items():
            try:
                named.append((rule.title, self.checked.survey.region(name)))
            except NoRegion:
                continue
        drawn: list[Shape] = []
        for title, shape in named:
            if shape.is_empty or any(shape.equals(other) for other in drawn):
                continue
            drawn.append(shape)
            self.has_regions = True
            yield tag(
                "path",
                d=self.frame.path(shape),
                fill="none",
                stroke=colours.REGION,
                stroke_width=0.3,
                stroke_dasharray="3 1.2",
            )
            self.region_names += self.name_in(capital(clean(title)), shape)

    def name_in(self, title: str, shape: Shape) -> Iterator[str]:
        """The name of a region along its lower or upper edge, where there is room."""
        import shapely

        left, bottom, right, top = shape.bounds
        width = text_width_mm(title, NAME_MM)
        low, high = self.frame.at(left, bottom), self.frame.at(right, top)
        tall = low[1] - high[1]
        for y in (low[1] - 2.2, high[1] + 2.2, *(high[1] + tall * i / 8 for i in range(1, 8))):
            for x in ((low[0] + high[0]) / 2, low[0] + width / 2 + 2, high[0] - width / 2 - 2):
                if not shape.contains(shapely.Point(self.frame.ground(x, y))):
                    continue
                if self.placer.has_room_for((x, y), width, NAME_MM, 0.0):
                    self.placer.take_text((x, y), width, NAME_MM + 0.6, 0.0)
                    yield name_text(title, (x, y), colours.REGION)
                    return

    def features(self) -> Iterator[str]:
        """Features within the drawing; those beyond it are named in `beyond`."""
        import shapely

        frame = self.frame
        size = frame.scale.ratio / 1000
        seen = shapely.box(
            frame.left_m,
            frame.top_m - frame.height_mm * size,
            frame.left_m + frame.width_mm * size,
            frame.top_m,
        )
        for item in self.site.features:
            parts = shapely.get_parts(shapely.intersection(item.shape, seen)).tolist()
            if not parts or parts[0].is_empty:
                self.beyond.append(clean(item.title))
                continue
            self.has_features = True
            self.to_name.append((clean(item.title), self.box(parts[0])))
            for part in parts:
                if part.geom_type == "Point":
                    yield self.point_mark(frame.at(part.x, part.y))
                    continue
                yield tag(
                    "path",
                    d=frame.path(part),
                    fill="none",
                    stroke=colours.INK,
                    stroke_width=0.4,
                    stroke_dasharray="0.6 0.6",
                )

    def point_mark(self, middle: tuple[float, float]) -> str:
        x, y = middle
        self.placer.take(Box(x - 1.4, y - 1.4, x + 1.4, y + 1.4))
        cross = f"M{x - 1.2:.2f} {y:.2f}h2.4M{x:.2f} {y - 1.2:.2f}v2.4"
        ring = tag(
            "circle", cx=x, cy=y, r=1.2, fill=colours.PAPER, stroke=colours.INK, stroke_width=0.3
        )
        return ring + tag("path", d=cross, stroke=colours.INK, stroke_width=0.25)

    def name_near(self, title: str, box: tuple[float, float, float, float]) -> Iterator[str]:
        """The name of a feature beside the rectangle around it, where there is room."""
        width = text_width_mm(title, NAME_MM)
        left, top, right, bottom = box
        x, y = (left + right) / 2, (top + bottom) / 2
        for at in (
            (right + width / 2 + 2, y), (left - width / 2 - 2, y), (x, top - 3.2),
            (x, bottom + 3.2), (x, y), (x, top - 6.5), (x, bottom + 6.5),
        ):  # fmt: skip
            if self.placer.has_room_for(at, width, NAME_MM, 0.0):
                self.placer.take_text(at, width, NAME_MM + 0.6, 0.0)
                yield name_text(title, at, colours.INK)
                return


def name_text(text: str, middle: tuple[float, float], colour: str) -> str:
    """A name with a white edge, so that it can be read over lines."""
    return tag(
        "text",
        escape(text),
        x=middle[0],
        y=middle[1] + NAME_MM * 0.35,
        font_size=NAME_MM,
        text_anchor="middle",
        fill=colour,
        stroke=colours.PAPER,
        stroke_width=0.8,
        paint_order="stroke",
    )


def azimuth_arrow(x: float, y: float, north_degrees: float, size: float) -> str:
    """A north arrow about a point; north is turned clockwise from up by so many degrees."""
    half = size / 2
    shaft = f"M0 {half:g}L0 {-half:g}"
    head = f"M0 {-half:g}L{-size * 0.16:g} {-half + size * 0.34:g}L0 {-half + size * 0.26:g}Z"
    other = f"M0 {-half:g}L{size * 0.16:g} {-half + size * 0.34:g}L0 {-half + size * 0.26:g}Z"
    turned = math.radians(north_degrees)
    away = half + 2.6
    letter = tag(
        "text",
        "N",
        x=x + away * math.sin(turned),
        y=y - away * math.cos(turned) + 1.2,
        font_size=3.4,
        font_weight="bold",
        text_anchor="middle",
        fill=colours.INK,
    )
    needle = tag(
        "g",
        tag("path", d=shaft, stroke=colours.INK, stroke_width=0.35),
        tag("path", d=head, fill=colours.INK, stroke=colours.INK, stroke_width=0.2),
        tag("path", d=other, fill=colours.PAPER, stroke=colours.INK, stroke_width=0.2),
        transform=f"translate({x:g} {y:g}) rotate({north_degrees:g})",
    )
    return needle + letter
