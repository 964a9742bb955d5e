"""Dimensions on the plan: from new work to the lot lines and the house, and its own size."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.core.units import LENGTH, Amount
from checker.drawing.named_lines import NamedLine
from checker.drawing.svg import tag
from checker.measure.regions import dwelling_shape
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator

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


def drawn_ties(job: Job, frame: Frame) -> Iterator[NamedLine]:
    """A dimension line from each new surface to the nearest point of the lot line.

    Args:
        job: What the documents read.
        frame: Scale and place on the paper.
    """
    import shapely

    boundary = job.checked.site.lot.edge
    for surface in new_surfaces(job):
        line = shapely.shortest_line(surface.shape, boundary)
        if line.length < _SHORTEST_M:
            continue
        start, end = (frame.at(x, y) for x, y, *_ in line.coords)
        along = math.atan2(end[1] - start[1], end[0] - start[0])
        yield NamedLine(
            line=shapely.LineString([start, end]),
            text=job.figures.text(f"distance.{surface.id}.line"),
            size_mm=TEXT_MM,
            ends=_head(start, along + math.pi) + _head(end, along),
        )


def _head(tip: tuple[float, float], along: float) -> str:
    """An arrow head; its tip touches what is measured to."""
    wings = (along + math.radians(162), along - math.radians(162))
    points = [
        tip,
        *((tip[0] + _HEAD_MM * math.cos(a), tip[1] + _HEAD_MM * math.sin(a)) for a in wings),
    ]
    path = "L".join(f"{x_mm:.2f} {y_mm:.2f}" for x_mm, y_mm in points)
    return tag("path", d=f"M{path}Z", fill=colours.INK)
