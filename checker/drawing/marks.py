"""What a plan shows beside surfaces: regions, features, their names, and the north arrow."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.drawing.labels import Box, text_outline
from checker.drawing.svg import tag, text_width_mm, words
from checker.measure.regions import NoRegion
from checker.measure.works import PLANNED
from checker.pages import colours
from checker.words.amounts import capital, clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from shapely import STRtree

    from checker.drawing.labels import PaperPoint, Placer
    from checker.drawing.scale import Frame
    from checker.findings.checked import Checked
    from checker.site.model import Shape

NAME_MM: Final = 2.5
"""Height of the letters of names."""

SAME_M2: Final = 0.01
"""Two regions that differ by less are drawn and named once."""


class FeatureLine(Record):
    """How a kind of feature is drawn: its dashes and width in millimetres, and its name."""

    dashes: str
    width: float
    title: str


LINES: Final = {
    "barrier": FeatureLine("5 1 0.6 1 0.6 1", 0.5, "Barrier round the pool"),
    "fence": FeatureLine("5 1 0.6 1", 0.4, "Fence"),
    "wall": FeatureLine("", 0.8, "Wall"),
    "overhead-line": FeatureLine("6 1.2 0.4 1.2 0.4 1.2", 0.35, "Overhead line"),
    "gas-line": FeatureLine("4 0.9 0.4 0.9", 0.35, "Gas line"),
    "water-line": FeatureLine("3 1", 0.35, "Water line"),
    "sewer-line": FeatureLine("7 1.4", 0.45, "Sewer line"),
    "utility": FeatureLine("2.2 0.8", 0.35, "Utility line"),
    "erosion-control": FeatureLine("0.8 0.5", 0.9, "Erosion control"),
    "stream": FeatureLine("8 1 1 1", 0.4, "Stream or shore"),
    "shoreline": FeatureLine("8 1 1 1", 0.4, "Stream or shore"),
    "public-way": FeatureLine("10 1.5", 0.3, "Street"),
}
"""Each kind of line has its own dashes, so that none is told by its name alone."""

OTHER_LINE: Final = FeatureLine("0.6 0.6", 0.4, "Other feature")


class Marks:
    """Draws regions and features.

    Args:
        checked: The site, measured.
        frame: Scale and place on the paper.
        placer: What is taken already.
        is_today: The lot before any work, without what the work brings.
    """

    def __init__(
        self, checked: Checked, frame: Frame, placer: Placer, *, is_today: bool = False
    ) -> None:
        self.checked = checked
        self.hidden = PLANNED if is_today else frozenset[str]()
        self.site = checked.site
        self.frame = frame
        self.placer = placer
        self.has_regions = False
        self.beyond: list[str] = []
        self.notes: list[str] = []
        self.lines: dict[str, FeatureLine] = {}
        self._unnamed: list[tuple[str, Shape]] = []
        self._regions: list[tuple[str, Shape]] = []

    def regions(self) -> Iterator[str]:
        """Outlines of the regions of the site and of the rule set."""
        named: list[tuple[str, Shape]] = [
            (r.title, r.shape) for r in self.site.regions if r.id not in self.hidden
        ]
        for name, rule in self.checked.ruleset.regions.items():
            try:
                named.append((rule.title, self.checked.survey.region(name)))
            except NoRegion:
                continue
        for title, shape in named:
            if shape.is_empty or any(_is_same(shape, other) for other in self.region_shapes):
                continue
            self.has_regions = True
            self._regions.append((capital(clean(title)), shape))
            yield tag(
                "path",
                d=self.frame.path(shape),
                fill="none",
                stroke=colours.REGION,
                stroke_width=0.3,
                stroke_dasharray="3 1.2",
            )

    @property
    def region_shapes(self) -> list[Shape]:
        """The regions that are drawn, on the ground."""
        return [shape for _, shape in self._regions]

    def region_names(self) -> Iterator[str]:
        """The name of each region in it or beside it, on open ground; else a number on its line."""
        import shapely

        surfaces = [surface.shape for surface in self.site.surfaces]
        built = shapely.union_all(surfaces)
        tree = shapely.STRtree([self.frame.on_paper(shape) for shape in surfaces])
        for title, shape in self._regions:
            width = text_width_mm(title, NAME_MM)
            at = self.region_place(shape, built, tree, width)
            if at is not None:
                self.placer.take_text(at, width, NAME_MM + 0.6, 0.0)
                yield name_text(title, at, colours.REGION)
            else:
                yield self.note(title, self.frame.on_paper(shape.boundary), colours.REGION)

    def region_place(
        self, shape: Shape, built: Shape, tree: STRtree, width: float
    ) -> PaperPoint | None:
        """Where the name of a region goes: at the middle of its foot or head, else near there."""
        left, top, right, bottom = self.frame.on_paper(shape).bounds
        middle = (left + right) / 2
        bare = self.frame.on_paper(shape.difference(built))
        for near in ((middle, bottom - 2.2), (middle, top + 2.2)):
            if self.is_free(near, width) and bare.contains(
                text_outline(near, width, NAME_MM + 0.6, 0.0)
            ):
                return near
        if (at := self.placer.seek(bare, width, NAME_MM + 0.6, (middle, bottom - 2.2))) is not None:
            return at
        across = (middle, left + width / 2 + 2, right - width / 2 - 2)
        for x in across:
            for y in (bottom + 2.2, top - 2.2):
                box = text_outline((x, y), width, NAME_MM + 0.6, 0.0)
                if self.is_free((x, y), width) and not len(tree.query(box, predicate="intersects")):
                    return x, y
        return None

    def is_free(self, at: PaperPoint, width: float) -> bool:
        """Whether a name of a width fits about a point and crosses no line."""
        placer = self.placer
        return placer.has_room_for(at, width, NAME_MM, 0.0) and placer.is_off_lines(
            at, width, NAME_MM
        )

    def note(self, title: str, line: Shape, colour: str) -> str:
        """A number on a line in place of a name that finds no room; notes beside the plan say it.

        Args:
            title: The name.
            line: What it names, on paper.
            colour: Of the number and its frame.
        """
        self.notes.append(title)
        at = next(filter(self.is_free_for_number, _along(line)), None)
        leader = ""
        if at is None:
            x, y = next(_along(line))
            at = self.placer.beside((x, y), 1.8, -math.pi / 2) or (x, y)
            path = f"M{x:.2f} {y:.2f}L{at[0]:.2f} {at[1]:.2f}"
            leader = tag("path", d=path, stroke=colour, stroke_width=0.2)
        self.placer.take_text(at, 3.2, 3.2, 0.0)
        box = tag(
            "rect", x=at[0] - 1.6, y=at[1] - 1.6, width=3.2, height=3.2, fill=colours.PAPER,
            stroke=colour, stroke_width=0.3,
        )  # fmt: skip
        return leader + box + words(str(len(self.notes)), at, 2.2, fill=colour, is_bold=True)

    def is_free_for_number(self, at: PaperPoint) -> bool:
        """Whether the frame of a number fits about a point."""
        return self.placer.has_room_for(at, 3.2, 3.2, 0.0)

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
            if item.kind in self.hidden:
                continue
            parts = shapely.get_parts(shapely.intersection(item.shape, seen)).tolist()
            if not parts or parts[0].is_empty:
                self.beyond.append(clean(item.title))
                continue
            longest = max(parts, key=lambda part: part.length)
            self._unnamed.append((clean(item.title), self.frame.on_paper(longest)))
            for part in parts:
                if part.geom_type == "Point":
                    yield self.point_mark(frame.at(part.x, part.y))
                    continue
                style = LINES.get(item.kind, OTHER_LINE)
                self.lines[style.title] = style
                more = {"stroke_dasharray": style.dashes} if style.dashes else {}
                yield tag(
                    "path",
                    d=frame.path(part),
                    fill="none",
                    stroke=colours.INK,
                    stroke_width=style.width,
                    **more,
                )

    def feature_names(self) -> list[str]:
        """The names of the features, once everything that must keep its place has it."""
        import shapely

        standing = [s.shape for s in self.site.surfaces if s.stage != "removed"]
        tree = shapely.STRtree([self.frame.on_paper(shape) for shape in standing])
        return [self.name_near(title, shape, tree) for title, shape in self._unnamed]

    def point_mark(self, middle: PaperPoint) -> str:
        """A cross in a ring."""
        x, y = middle
        self.placer.take(Box(x - 1.4, y - 1.4, x + 1.4, y + 1.4))
        cross = f"M{x - 1.2:.2f} {y:.2f}h2.4M{x:.2f} {y - 1.2:.2f}v2.4"
        ring = tag(
            "circle", cx=x, cy=y, r=1.2, fill=colours.PAPER, stroke=colours.INK, stroke_width=0.3
        )
        return ring + tag("path", d=cross, stroke=colours.INK, stroke_width=0.25)

    def name_near(self, title: str, shape: Shape, tree: STRtree) -> str:
        """The name of a feature beside it, on no surface, which it would seem to name.

        Args:
            title: The name.
            shape: What it names, on paper.
            tree: The surfaces, on paper.
        """
        width = text_width_mm(title, NAME_MM)
        for at in (at for spot in _spots(shape) for at in _around(spot, width)):
            box = text_outline(at, width, NAME_MM + 0.6, 0.0)
            if self.is_free(at, width) and not len(tree.query(box, predicate="intersects")):
                self.placer.take_text(at, width, NAME_MM + 0.6, 0.0)
                return name_text(title, at, colours.INK)
        return self.note(title, shape.boundary if shape.area > 0 else shape, colours.INK)


def _spots(shape: Shape) -> list[tuple[PaperPoint, float, float]]:
    """Where names may stand by: places along a line, or the middle of the rest, half its size.

    Returns:
        Points on paper, each with the half width and half height of what lies there.
    """
    if shape.geom_type == "LineString":
        shares = (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92)
        along = [shape.interpolate(share, normalized=True) for share in shares]
        return [((point.x, point.y), 0.0, 0.0) for point in along]
    left, top, right, bottom = shape.bounds
    return [(((left + right) / 2, (top + bottom) / 2), (right - left) / 2, (bottom - top) / 2)]


def _around(spot: tuple[PaperPoint, float, float], width: float) -> Iterator[PaperPoint]:
    """Places beside, above and below something of a half width and height, nearest first."""
    (x, y), wide, high = spot
    aside = wide + width / 2 + 2
    yield from ((x + aside, y), (x - aside, y))
    for away in (high + 3.2, high + 6.5):
        yield from ((x, y - away), (x, y + away))


def _is_same(one: Shape, other: Shape) -> bool:
    """Whether two areas are one to a hand's breadth: what is cut out of the lot is noded anew."""
    return bool(one.symmetric_difference(other).area < SAME_M2)


def _along(line: Shape) -> Iterator[PaperPoint]:
    """Points on a line or at a point, from its middle out, three millimetres apart."""
    import shapely

    for part in shapely.get_parts(line).tolist():
        if part.length == 0:
            yield part.coords[0][:2]
            continue
        count = max(1, math.ceil(part.length / 3))
        for index in sorted(range(count + 1), key=lambda at: abs(2 * at - count)):
            point = part.interpolate(index / count, normalized=True)
            yield point.x, point.y


def name_text(text: str, middle: PaperPoint, colour: str) -> str:
    """A name with a white edge, so that it can be read over lines."""
    return words(text, middle, NAME_MM, fill=colour, edge_mm=0.8, drop_fraction=0.35)


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
