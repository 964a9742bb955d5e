"""Grading on the plan: spot levels, the fall of each panel, drains, pipes, stores and edges."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import shapely

from checker.core.units import LENGTH, RATIO, Amount
from checker.drawing.labels import Box
from checker.drawing.plan import LegendItem
from checker.drawing.spot_names import SpotNames, level_cross
from checker.drawing.svg import tag
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import panels_of, ways_of
from checker.measure.drainage.network import inverts
from checker.measure.drainage.planes import planes
from checker.pages import colours
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.labels import PaperPoint, Placer
    from checker.drawing.scale import Frame
    from checker.measure.drainage.planes import Plane
    from checker.measure.survey import Survey
    from checker.site.drainage import DrainPipe, Xy
    from checker.words.brief import Brief


_ARROWS_MM: Final = (9.0, 6.0, 4.5)
"""Lengths of the arrow of a fall: the longest that finds room."""
_ARROW_WIDE_MM: Final = 2.8
_BOX_MM: Final = 1.8
"""Side of the mark of a drain or an outlet."""
EDGE_DASHES: Final = "1 1"
PIPE_DASHES: Final = "3 0.8 0.6 0.8"


class Grading:
    """Everything that shows where water goes.

    Lines and levels keep their place and are drawn first, so that no letter or name of a surface
    crosses them; arrows and their own names go where the surfaces leave room.

    Args:
        brief: What is read; its figures take the numbers in.
        frame: Scale and place on the paper.
        names: Takes the names.

    Attributes:
        lines: Drains, pipes, stores, edges and the crosses of levels.
    """

    def __init__(self, brief: Brief, frame: Frame, names: SpotNames) -> None:
        self.brief = brief
        self.frame = frame
        self.names = names
        parts = brief.checked.site.parts
        self.lines: list[str] = []
        self.planes: dict[str, Plane] = {}
        if parts.get("ways_out"):
            self.lines += _ways(brief, frame, self.names)
        if parts.get("panels"):
            for name, plane in planes(brief.survey).items():
                if not isinstance(plane, NotMeasured):
                    self.planes[name] = plane
            self.lines += self._levels()

    def arrows(self) -> Iterator[str]:
        """The fall of each panel, once letters and names of surfaces have their places."""
        for name, plane in self.planes.items():
            if plane.pitch_fraction > 0:
                pitch = Amount(plane.pitch_fraction, RATIO, "%")
                text = self.brief.figures.add(f"pitch.{name}", f"fall of {name}", pitch)
                placer = self.names.placer
                middle, long_mm = _arrow_place(plane, self.brief.survey, self.frame, placer)
                yield _arrow(plane, middle, long_mm)
                self.names.add(text, middle)

    def _levels(self) -> Iterator[str]:
        """A cross at each level that is given or worked out."""
        seen: set[Xy] = set()
        for panel in panels_of(self.brief.survey):
            for point, level_m in panel.levels:
                if point not in seen:
                    seen.add(point)
                    yield self._level("", "spot level", point, level_m)
        for name, plane in self.planes.items():
            for point in _ends(plane, seen):
                level_m = plane.level_at_m(point)
                yield self._level(f"{name}.", "level worked out", point, level_m)

    def _level(self, of: str, title: str, point: Xy, level_m: float) -> str:
        key = f"level.{of}{point[0]:.4f},{point[1]:.4f}"
        text = self.brief.figures.add(key, title, Amount(level_m, LENGTH))
        at = self.frame.at(*point)
        self.names.add(text.removesuffix(" ft").removesuffix(" m"), at)
        return level_cross(at, self.names.placer)


def grading_legend(brief: Brief) -> list[LegendItem]:
    """What the lines mean."""
    parts = brief.checked.site.parts
    found = []
    if parts.get("ways_out"):
        found.append(LegendItem("Drain pipe", colours.PROPOSED, 0.45, PIPE_DASHES, is_line=True))
        found.append(LegendItem("Overflow edge", colours.REMOVED, 0.8, EDGE_DASHES, is_line=True))
        found.append(LegendItem("Drain, store or outlet, named", colours.INK, 0.5, is_line=True))
    if parts.get("panels"):
        found.append(
            LegendItem("Arrow: fall of the paving; +: level", colours.INK, 0.3, is_line=True)
        )
    return found


def _ends(plane: Plane, seen: set[Xy]) -> list[Xy]:
    """The lowest corners of a panel, and where its level is given; none that is drawn already."""
    if plane.level_m is None or plane.panel.levels:
        return []
    given = () if plane.panel.at is None else (plane.panel.at,)
    found = [point for point in (*given, *plane.lowest) if point not in seen]
    seen.update(found)
    return found


def _arrow_place(
    plane: Plane, survey: Survey, frame: Frame, placer: Placer
) -> tuple[PaperPoint, float]:
    """Where the arrow of a panel goes: on its paving as seen, along its middle, clear of letters.

    What lies under a roof is left out, so that no arrow stands in a building.

    Returns:
        The middle of the arrow, and its length, shorter where the paving is full.
    """
    visible = survey.partition("proposed").visible
    shape = plane.shape
    for surface in survey.site.surfaces:
        if surface.material.level == "roof" and surface.id in visible:
            shape = shape.difference(visible[surface.id])
    if shape.is_empty:
        shape = plane.shape
    along = math.radians(plane.toward_degrees)
    across = (math.cos(along), -math.sin(along))
    centre = shape.representative_point()
    left, bottom, right, top = shape.bounds
    reach_m = abs(across[0]) * (right - left) + abs(across[1]) * (top - bottom)
    seen = frame.on_paper(shape)
    for long_mm in _ARROWS_MM:
        wide = abs(math.sin(along)) * long_mm + abs(math.cos(along)) * _ARROW_WIDE_MM
        high = abs(math.cos(along)) * long_mm + abs(math.sin(along)) * _ARROW_WIDE_MM
        for share in (0.25, -0.25, 0.38, -0.38, 0.12, -0.12, 0.0):
            x_m, y_m = (
                middle + way * reach_m * share
                for middle, way in zip((centre.x, centre.y), across, strict=True)
            )
            x, y = frame.at(x_m, y_m)
            box = Box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
            if seen.contains(shapely.box(*box)) and placer.is_free(box):
                break
        else:
            found = placer.seek(seen, wide, high, frame.at(centre.x, centre.y))
            if found is None:
                continue
            x, y = found
        # As of a text, so that no leader crosses it.
        placer.take_text((x, y), wide, high, 0.0)
        return (x, y), long_mm
    return frame.at(centre.x, centre.y), _ARROWS_MM[-1]


def _arrow(plane: Plane, middle: PaperPoint, long_mm: float) -> str:
    (x, y), half = middle, long_mm / 2
    along = math.radians(plane.toward_degrees)
    dx, dy = math.sin(along), -math.cos(along)
    start = (x - dx * half, y - dy * half)
    end = (x + dx * half, y + dy * half)
    wings = [
        (end[0] - 2 * (dx * math.cos(a) - dy * math.sin(a)),
         end[1] - 2 * (dx * math.sin(a) + dy * math.cos(a)))
        for a in (0.4, -0.4)
    ]  # fmt: skip
    line = (
        f"M{start[0]:.2f} {start[1]:.2f}L{end[0]:.2f} {end[1]:.2f}"
        f"M{wings[0][0]:.2f} {wings[0][1]:.2f}L{end[0]:.2f} {end[1]:.2f}"
        f"L{wings[1][0]:.2f} {wings[1][1]:.2f}"
    )
    halo = tag("path", d=line, stroke=colours.PAPER, stroke_width=1.3, fill="none")
    return halo + tag("path", d=line, stroke=colours.INK, stroke_width=0.4, fill="none")


def _ways(brief: Brief, frame: Frame, names: SpotNames) -> Iterator[str]:
    ways = ways_of(brief.checked.survey)
    for edge in ways.edges:
        yield _line(frame, edge.points, colours.REMOVED, 0.8, EDGE_DASHES)
        names.pass_by(_on_paper(frame, edge.points))
        names.add(clean(edge.id), _middle(frame, edge.points))
    for pipe in ways.pipes:
        if pipe.points:
            yield _line(frame, pipe.points, colours.PROPOSED, 0.45, PIPE_DASHES)
            names.pass_by(_on_paper(frame, pipe.points))
            names.add(_of_pipe(brief, pipe), *_along(frame, pipe.points))
    for drain in ways.drains:
        if len(drain.points) > 1:
            yield _line(frame, drain.points, colours.INK, 0.9, "")
            names.pass_by(_on_paper(frame, drain.points))
            names.add(_with_level(brief, drain.id, drain.rim_m), _middle(frame, drain.points))
    for pit in ways.pits:
        if pit.at is not None:
            radius = frame.length_mm((pit.pit_m or pit.chamber_m or 0.0) / 2)
            yield _ring(frame.at(*pit.at), max(radius, 1.0))
            names.pass_round(frame.at(*pit.at), max(radius, 1.0))
            names.add(clean(pit.id), frame.at(*pit.at))
    points = [(end.id, end.level_m, end.at) for end in ways.outfalls if end.at is not None]
    points += [
        (drain.id, drain.rim_m, drain.points[0]) for drain in ways.drains if len(drain.points) == 1
    ]
    for name, level_m, at in points:
        yield _box(frame.at(*at))
        names.pass_round(frame.at(*at), _BOX_MM / 2)
        names.add(_with_level(brief, name, level_m), frame.at(*at))


def _with_level(brief: Brief, name: str, level_m: float | None) -> str:
    """The name of a drain or outlet with its rim or level."""
    if level_m is None:
        return clean(name)
    level = brief.figures.add(f"plan.{name}.level", f"level of {name}", Amount(level_m, LENGTH))
    return f"{clean(name)} {level}"


def _of_pipe(brief: Brief, pipe: DrainPipe) -> str:
    """The name of a pipe with its size, fall and inverts, as far as they are known."""
    found = [clean(pipe.id)]
    if pipe.diameter_m is not None:
        size = Amount(pipe.diameter_m, LENGTH)
        found.append(brief.figures.add_size(f"plan.{pipe.id}.size", f"size of {pipe.id}", size))
    try:
        lies = inverts(pipe)
    except NotMeasured:
        return " ".join(found)
    fall = Amount(lies.slope_fraction, RATIO, "%")
    found.append(brief.figures.add(f"plan.{pipe.id}.fall", f"fall of {pipe.id}", fall))
    ends = [
        brief.figures.add(f"plan.{pipe.id}.{key}", f"invert of {pipe.id}", Amount(at_m, LENGTH))
        for key, at_m in (("upper", lies.upper_m), ("lower", lies.lower_m))
        if at_m is not None
    ]
    if len(ends) == 2:
        found.append(f"inv. {ends[0]} to {ends[1]}")
    return " ".join(found)


def _on_paper(frame: Frame, points: tuple[Xy, ...]) -> list[PaperPoint]:
    return [frame.at(*point) for point in points]


def _middle(frame: Frame, points: tuple[Xy, ...]) -> PaperPoint:
    first, last = frame.at(*points[0]), frame.at(*points[-1])
    return (first[0] + last[0]) / 2, (first[1] + last[1]) / 2


def _along(frame: Frame, points: tuple[Xy, ...]) -> tuple[PaperPoint, ...]:
    """The middle of a line, and the middles of its halves."""
    line = shapely.LineString([frame.at(*point) for point in points])
    middles = [line.interpolate(share, normalized=True) for share in (0.5, 0.3, 0.7)]
    return tuple((point.x, point.y) for point in middles)


def _line(frame: Frame, points: tuple[Xy, ...], colour: str, width_mm: float, dashes: str) -> str:
    path = "L".join(f"{x:.2f} {y:.2f}" for x, y in (frame.at(*point) for point in points))
    extra = {"stroke_dasharray": dashes} if dashes else {}
    return tag("path", d=f"M{path}", stroke=colour, stroke_width=width_mm, fill="none", **extra)


def _box(at: PaperPoint) -> str:
    x, y = at
    return tag(
        "rect", x=x - _BOX_MM / 2, y=y - _BOX_MM / 2, width=_BOX_MM, height=_BOX_MM,
        fill=colours.PAPER, stroke=colours.INK, stroke_width=0.4,
    )  # fmt: skip


def _ring(at: PaperPoint, radius: float) -> str:
    return tag(
        "circle", cx=at[0], cy=at[1], r=radius, fill="none", stroke=colours.INK, stroke_width=0.4,
        stroke_dasharray="1.2 0.6",
    )  # fmt: skip
