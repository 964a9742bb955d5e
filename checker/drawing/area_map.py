"""A small map of the drained areas: each part of the lot, and all that one drain takes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.drawing.labels import Box, Placer
from checker.drawing.scale import Frame, fitting_scale
from checker.drawing.spot_names import SpotNames
from checker.drawing.svg import picture, tag, text_width_mm, words
from checker.measure.drainage.sheds import sheds
from checker.pages import colours
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.labels import PaperPoint
    from checker.measure.drainage.sheds import Shed
    from checker.site.model import Shape
    from checker.words.brief import Brief

WIDTH_MM: Final = 86.0
_MOST_MM: Final = (78.0, 78.0)
"""Most width and height of the lot on paper."""

_EDGE_MM: Final = 4.0
_FOOT_MM: Final = 6.0
_NUMBER_MM: Final = 2.6
_FOOT_TEXT_MM: Final = 2.2
_ANCHOR_MM: Final = 0.8
_AROUND_M: Final = 0.05
"""The outline of what one drain takes lies so far inside, so that two beside each other show."""

_DASHES: Final = ("", "2.4 0.8", "0.8 0.6", "3.2 0.6 0.6 0.6")


def area_map_svg(brief: Brief, says: str) -> str:
    """The map as SVG; numbers are those of the table of areas.

    Args:
        brief: The site and its figures.
        says: What it shows, for people who cannot see it.
    """
    every = sheds(brief.survey)
    left, bottom, right, top = brief.checked.site.lot.boundary.bounds
    scale = fitting_scale(right - left, top - bottom, _MOST_MM, brief.system)
    size = 1000 / scale.ratio
    wide_mm, high_mm = (right - left) * size, (top - bottom) * size
    frame = Frame(scale, left, top, (WIDTH_MM - wide_mm) / 2, _EDGE_MM, wide_mm, high_mm)
    foot_mm = high_mm + 2 * _EDGE_MM
    placer = Placer(Box(0.5, 0.5, WIDTH_MM - 0.5, foot_mm - 0.5))
    takers = dict(_takers(every))
    shapes = (*(shed.shape for shed in every), *takers.values())
    placer.take_outlines(frame.on_paper(shape.boundary) for shape in shapes)
    names = SpotNames(placer)
    numbers = list(_numbers(every, frame, names))
    _name_takers(every, frame, names)
    body = (
        *_parts(every, frame),
        *_outlined(takers, frame),
        *numbers,
        *names.drawn(),
        tag("text", f"Scale {scale.text}", x=1.5, y=foot_mm + 1.5, font_size=_FOOT_TEXT_MM),
    )
    title = f"Drained areas of {clean(brief.checked.site.title)}"
    return picture((WIDTH_MM, foot_mm + _FOOT_MM / 2), title, says, body, name="area-map")


def _parts(every: tuple[Shed, ...], frame: Frame) -> Iterator[str]:
    """Thin outlines; what is led nowhere stays white."""
    for shed in every:
        fill = colours.EXISTING_FILL if shed.to else colours.PAPER
        yield tag("path", d=frame.path(shed.shape), fill=fill, stroke=colours.INK, stroke_width=0.2)


def _takers(every: tuple[Shed, ...]) -> Iterator[tuple[str, Shape]]:
    """All that goes one way, a little smaller, so that two beside each other show."""
    for index, name in enumerate(dict.fromkeys(shed.to for shed in every if shed.to)):
        whole = shapely.union_all([shed.shape for shed in every if shed.to == name])
        yield name, whole.buffer(-_AROUND_M * (1 + index % 3), join_style="mitre")


def _outlined(takers: dict[str, Shape], frame: Frame) -> Iterator[str]:
    """One outline round all that goes one way."""
    for index, shape in enumerate(takers.values()):
        dashes = {"stroke_dasharray": _DASHES[index % 4]} if index % 4 else {}
        yield tag(
            "path", d=frame.path(shape), fill="none", stroke=colours.PROPOSED, stroke_width=0.6,
            **dashes,
        )  # fmt: skip


def _numbers(every: tuple[Shed, ...], frame: Frame, names: SpotNames) -> Iterator[str]:
    """The number of each part within it, or beside it with a leader; leaders share their roofs."""
    here: dict[PaperPoint, tuple[Shape, list[int]]] = {}
    for index, shed in enumerate(every, start=1):
        part = max(shapely.get_parts(frame.on_paper(shed.shape)).tolist(), key=lambda p: p.area)
        here.setdefault(_middle(part), (part, []))[1].append(index)
    for middle, (part, numbers) in here.items():
        said = ", ".join(map(str, numbers))
        wide = text_width_mm(said, _NUMBER_MM)
        at = names.placer.seek(part, wide, _NUMBER_MM, middle)
        if at is None:
            names.add(said, middle, is_bold=True)
            continue
        names.placer.take_text(at, wide + 0.6, _NUMBER_MM + 0.4, 0.0)
        yield words(said, at, _NUMBER_MM, edge_mm=0.7, is_bold=True)


def _name_takers(every: tuple[Shed, ...], frame: Frame, names: SpotNames) -> None:
    """The name of each drain or edge once, by any part of what it takes, the largest first."""
    parts: dict[str, list[Shape]] = {}
    for shed in every:
        if shed.to:
            parts.setdefault(clean(shed.to), []).append(frame.on_paper(shed.shape))
    for to, shapes in parts.items():
        largest = sorted(shapes, key=lambda shape: -shape.area)
        names.add(to, *(_anchor(shape, names.placer) for shape in largest))


def _anchor(shape: Shape, placer: Placer) -> PaperPoint:
    """A point that a leader may start from: within an area beside its number, else at its edge."""
    middle = _middle(shape)
    found = placer.seek(shape, _ANCHOR_MM, _ANCHOR_MM, (middle[0], middle[1] + _NUMBER_MM))
    if found is not None:
        return found
    edge = shapely.get_parts(shape.boundary)[0].interpolate(0.5, normalized=True)
    return edge.x, edge.y


def _middle(shape: Shape) -> PaperPoint:
    """A point well inside the largest piece."""
    largest = max(shapely.get_parts(shape).tolist(), key=lambda part: part.area)
    point = shapely.maximum_inscribed_circle(largest, tolerance=0.1).coords[0]
    return round(point[0], 2), round(point[1], 2)
