"""Grading on the plan: spot levels, the fall of each panel, drains, pipes, stores and edges."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.units import LENGTH, RATIO, Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import panels_of, ways_of
from checker.measure.drainage.planes import planes
from checker.report import colours
from checker.report.plan import LegendItem
from checker.report.svg import escape, tag
from checker.report.wording import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.drainage.planes import Plane
    from checker.report.packet.job import Job
    from checker.report.scale import Frame
    from checker.site.drainage import Xy

TEXT_MM: Final = 2.1
_ARROW_MM: Final = 9.0
_CROSS_MM: Final = 1.0
EDGE_DASHES: Final = "1 1"
PIPE_DASHES: Final = "3 0.8 0.6 0.8"


def has_grading(job: Job) -> bool:
    """Whether anything of this kind is drawn in the site file."""
    return any(job.checked.site.parts.get(part) for part in ("panels", "ways_out"))


def grading(job: Job, frame: Frame) -> Iterator[str]:
    """Everything that shows where water goes, as SVG elements."""
    parts = job.checked.site.parts
    if parts.get("ways_out"):
        yield from _ways(job, frame)
    if parts.get("panels"):
        yield from _panels(job, frame)


def grading_legend(job: Job) -> list[LegendItem]:
    """What the lines mean."""
    parts = job.checked.site.parts
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


def _panels(job: Job, frame: Frame) -> Iterator[str]:
    seen: set[Xy] = set()
    for panel in panels_of(job.checked.survey):
        for point, level_m in panel.levels:
            if point in seen:
                continue
            seen.add(point)
            key = f"level.{point[0]:.4f},{point[1]:.4f}"
            text = job.figures.add(key, "spot level", Amount(level_m, LENGTH))
            yield _spot(frame.at(*point), text)
    for name, plane in planes(job.checked.survey).items():
        if not isinstance(plane, NotMeasured) and plane.pitch_fraction > 0:
            pitch = Amount(plane.pitch_fraction, RATIO, "%")
            text = job.figures.add(f"pitch.{name}", f"fall of {name}", pitch)
            yield _arrow(plane, frame, text)


def _spot(at: tuple[float, float], text: str) -> str:
    x, y = at
    cross = (
        f"M{x - _CROSS_MM:.2f} {y:.2f}h{2 * _CROSS_MM}M{x:.2f} {y - _CROSS_MM:.2f}v{2 * _CROSS_MM}"
    )
    mark = tag("path", d=cross, stroke=colours.INK, stroke_width=0.25, fill="none")
    return mark + _name(text.removesuffix(" ft").removesuffix(" m"), (x + 1.3, y - 0.9))


def _arrow(plane: Plane, frame: Frame, text: str) -> str:
    centre = plane.shape.representative_point()
    x, y = frame.at(centre.x, centre.y)
    along = math.radians(plane.toward_degrees)
    dx, dy = math.sin(along), -math.cos(along)
    start = (x - dx * _ARROW_MM / 2, y - dy * _ARROW_MM / 2)
    end = (x + dx * _ARROW_MM / 2, y + dy * _ARROW_MM / 2)
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
    shaft = tag("path", d=line, stroke=colours.INK, stroke_width=0.4, fill="none")
    return halo + shaft + _name(text, (x + 1.6 * abs(dy) + 1.2, y + 3.0 * abs(dx)))


def _ways(job: Job, frame: Frame) -> Iterator[str]:
    ways = ways_of(job.checked.survey)
    for edge in ways.edges:
        yield _line(frame, edge.points, colours.REMOVED, 0.8, EDGE_DASHES)
        yield _name(clean(edge.id), _middle(frame, edge.points, -1.6))
    for pipe in ways.pipes:
        if pipe.points:
            yield _line(frame, pipe.points, colours.PROPOSED, 0.45, PIPE_DASHES)
            yield _name(clean(pipe.id), _middle(frame, pipe.points, 1.8))
    for drain in ways.drains:
        if len(drain.points) > 1:
            yield _line(frame, drain.points, colours.INK, 0.9, "")
            yield _name(clean(drain.id), _middle(frame, drain.points, 2.6))
    for pit in ways.pits:
        if pit.at is not None:
            radius = frame.length_mm((pit.pit_m or pit.chamber_m or 0.0) / 2) or 1.5
            yield _ring(frame.at(*pit.at), max(radius, 1.0), clean(pit.id))
    points = [(end.id, end.at) for end in ways.outfalls if end.at is not None]
    points += [(drain.id, drain.points[0]) for drain in ways.drains if len(drain.points) == 1]
    for name, at in points:
        yield _box(frame.at(*at), clean(name))


def _middle(frame: Frame, points: tuple[Xy, ...], lift_mm: float) -> tuple[float, float]:
    first, last = frame.at(*points[0]), frame.at(*points[-1])
    return (first[0] + last[0]) / 2, (first[1] + last[1]) / 2 + lift_mm


def _line(frame: Frame, points: tuple[Xy, ...], colour: str, width_mm: float, dashes: str) -> str:
    path = "L".join(f"{x:.2f} {y:.2f}" for x, y in (frame.at(*point) for point in points))
    extra = {"stroke_dasharray": dashes} if dashes else {}
    return tag("path", d=f"M{path}", stroke=colour, stroke_width=width_mm, fill="none", **extra)


def _box(at: tuple[float, float], name: str) -> str:
    x, y = at
    box = tag(
        "rect", x=x - 0.9, y=y - 0.9, width=1.8, height=1.8, fill=colours.PAPER,
        stroke=colours.INK, stroke_width=0.4,
    )  # fmt: skip
    return box + _name(name, (x + 1.6, y + 0.8))


def _ring(at: tuple[float, float], radius: float, name: str) -> str:
    x, y = at
    ring = tag(
        "circle", cx=x, cy=y, r=radius, fill="none", stroke=colours.INK, stroke_width=0.4,
        stroke_dasharray="1.2 0.6",
    )  # fmt: skip
    return ring + _name(name, (x - radius, y - radius - 0.8))


def _name(text: str, at: tuple[float, float]) -> str:
    return tag(
        "text",
        escape(text),
        x=at[0],
        y=at[1],
        font_size=TEXT_MM,
        fill=colours.INK,
        stroke=colours.PAPER,
        stroke_width=0.7,
        paint_order="stroke",
    )
