"""Dimensions on the plan: from new work to the lot lines and the house, and its own size."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.core.units import LENGTH, Amount
from checker.drawing.svg import tag, text_width_mm, words
from checker.measure.regions import dwelling_shape
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.labels import PaperPoint, Placer
    from checker.drawing.scale import Frame
    from checker.papers.job import Job
    from checker.site.model import Shape, Surface
    from checker.words.brief import Brief

TEXT_MM = 2.3
_HEAD_MM = 1.4
_SHORTEST_M = 0.3
"""A shorter dimension cannot be drawn; the table beside the plan has it."""


class Tie(Record):
    """Distances of one new surface, as texts; the key is its letter."""

    id: str
    key: str
    title: str
    size: str
    line: str
    house: str


def new_surfaces(job: Job) -> list[Surface]:
    """Surfaces that are built or rebuilt."""
    return [s for s in job.checked.site.surfaces if s.stage in {"proposed", "replaced"}]


def ties(job: Job) -> tuple[Tie, ...]:
    """Every new surface with its size, its distance to the lot line and to the house."""
    house = dwelling_shape(job.checked.site)
    found = []
    for surface in new_surfaces(job):
        at = f"distance.{surface.id}"
        text = "–"
        if house is not None:
            apart = Amount(float(surface.shape.distance(house)), LENGTH)
            text = job.figures.add(f"{at}.house", f"{surface.title} to the house", apart)
        found.append(
            Tie(
                id=surface.id,
                key=job.keys.letter(surface.id),
                title=job.keys.name(surface.id),
                size=size_of(job, surface),
                line=job.figures.text(f"{at}.line"),
                house=text,
            )
        )
    return tuple(found)


def size_of(job: Brief, surface: Surface) -> str:
    """Length and width of the smallest rectangle around it."""
    box: Shape = surface.shape.minimum_rotated_rectangle
    corners = list(box.exterior.coords) if box.geom_type == "Polygon" else []
    if len(corners) < 4:
        return "–"
    sides = sorted(math.dist(corners[i], corners[i + 1]) for i in (0, 1))
    texts = [
        job.figures.add(f"size.{surface.id}.{i}", f"{surface.title}, side", Amount(side, LENGTH))
        for i, side in enumerate(sides)
    ]
    return " x ".join(reversed(texts))


def drawn_ties(job: Job, frame: Frame, placer: Placer) -> Iterator[str]:
    """A dimension line from each new surface to the nearest point of the lot line.

    Args:
        job: What the documents read.
        frame: Scale and place on the paper.
        placer: What is taken already; texts that do not fit on their line keep clear of it.
    """
    import shapely

    boundary = job.checked.site.lot.edge
    for surface in new_surfaces(job):
        line = shapely.shortest_line(surface.shape, boundary)
        if line.length < _SHORTEST_M:
            continue
        text = job.figures.text(f"distance.{surface.id}.line")
        start, end = (frame.at(x, y) for x, y, *_ in line.coords)
        yield _dimension(start, end, text, placer)


def _dimension(start: PaperPoint, end: PaperPoint, text: str, placer: Placer) -> str:
    length = math.dist(start, end)
    along = math.atan2(end[1] - start[1], end[0] - start[0])
    degrees = (math.degrees(along) + 90) % 180 - 90
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    parts = [
        tag(
            "path",
            d=f"M{start[0]:.2f} {start[1]:.2f}L{end[0]:.2f} {end[1]:.2f}",
            stroke=colours.INK,
            stroke_width=0.2,
            fill="none",
        ),
        _head(start, along + math.pi),
        _head(end, along),
    ]
    width = text_width_mm(text, TEXT_MM)
    x, y = middle
    if length < width + 4 * _HEAD_MM:
        # Too short for its text, which then stands at its side, or past its end.
        free = (
            (at, turned)
            for at, turned in _beside(middle, end, along, width)
            if placer.has_room_for(at, width, TEXT_MM, turned)
        )
        (x, y), degrees = next(free, ((end[0], end[1]), degrees))
    placer.take_text((x, y), width, TEXT_MM, degrees)
    parts.append(words(text, (x, y), TEXT_MM, edge_mm=0.8, degrees=degrees))
    return "".join(parts)


def _beside(
    middle: PaperPoint, end: PaperPoint, along: float, width: float
) -> Iterator[tuple[PaperPoint, float]]:
    """Places at the side of a short dimension line, level and nearest first, with their angles."""
    across = along + math.pi / 2
    reach = abs(math.cos(across)) * width / 2 + abs(math.sin(across)) * TEXT_MM * 0.7 + 0.8
    for away in (reach, -reach, reach + 2.5, -reach - 2.5):
        yield (middle[0] + away * math.cos(across), middle[1] + away * math.sin(across)), 0.0
    past = abs(math.cos(along)) * width / 2 + abs(math.sin(along)) * TEXT_MM + 2.0
    for away in (past, past + 2.5, past + 5.0):
        yield (end[0] + away * math.cos(along), end[1] + away * math.sin(along)), 0.0


def _head(tip: tuple[float, float], along: float) -> str:
    """An arrow head; its tip touches what is measured to."""
    wings = (along + math.radians(162), along - math.radians(162))
    points = [
        tip,
        *((tip[0] + _HEAD_MM * math.cos(a), tip[1] + _HEAD_MM * math.sin(a)) for a in wings),
    ]
    path = "L".join(f"{x_mm:.2f} {y_mm:.2f}" for x_mm, y_mm in points)
    return tag("path", d=f"M{path}Z", fill=colours.INK)
