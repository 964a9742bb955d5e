"""A small map of the drained areas: each part of the lot, and all that one drain takes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.drawing.scale import Frame, fitting_scale
from checker.drawing.svg import picture, tag, words
from checker.measure.drainage.sheds import sheds
from checker.pages import colours
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.drainage.sheds import Shed
    from checker.site.model import Shape
    from checker.words.brief import Brief

WIDTH_MM: Final = 86.0
_MOST_MM: Final = (78.0, 78.0)
"""Most width and height of the lot on paper."""

_EDGE_MM: Final = 4.0
_FOOT_MM: Final = 6.0
_NUMBER_MM: Final = 2.6
_NAME_MM: Final = 2.2
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
    body = (
        *_parts(every, frame),
        *_takers(every, frame),
        *_numbers(every, frame),
        tag("text", f"Scale {scale.text}", x=1.5, y=foot_mm + 1.5, font_size=_NAME_MM),
    )
    title = f"Drained areas of {clean(brief.checked.site.title)}"
    return picture((WIDTH_MM, foot_mm + _FOOT_MM / 2), title, says, body, name="area-map")


def _parts(every: tuple[Shed, ...], frame: Frame) -> Iterator[str]:
    """Thin outlines; what is led nowhere stays white."""
    for shed in every:
        fill = colours.EXISTING_FILL if shed.to else colours.PAPER
        yield tag("path", d=frame.path(shed.shape), fill=fill, stroke=colours.INK, stroke_width=0.2)


def _takers(every: tuple[Shed, ...], frame: Frame) -> Iterator[str]:
    """One outline round all that goes one way, with its name."""
    for index, name in enumerate(dict.fromkeys(shed.to for shed in every if shed.to)):
        whole = shapely.union_all([shed.shape for shed in every if shed.to == name])
        inside = whole.buffer(-_AROUND_M * (1 + index % 3), join_style="mitre")
        dashes = {"stroke_dasharray": _DASHES[index % 4]} if index % 4 else {}
        yield tag(
            "path", d=frame.path(inside), fill="none", stroke=colours.PROPOSED, stroke_width=0.6,
            **dashes,
        )  # fmt: skip


def _numbers(every: tuple[Shed, ...], frame: Frame) -> Iterator[str]:
    """The number of each part, and below it the name of what takes its water."""
    here: dict[tuple[float, float], list[tuple[int, str]]] = {}
    for index, shed in enumerate(every, start=1):
        here.setdefault(_middle(shed.shape), []).append((index, clean(shed.to)))
    for place, found in here.items():
        x, y = frame.at(*place)
        said = ", ".join(str(index) for index, _ in found)
        yield words(said, (x, y - 1.0), _NUMBER_MM, edge_mm=0.7, is_bold=True)
        names = ", ".join(dict.fromkeys(name for _, name in found if name))
        if names:
            yield words(names, (x, y + 1.8), _NAME_MM, edge_mm=0.7)


def _middle(shape: Shape) -> tuple[float, float]:
    """A point well inside the largest piece."""
    largest = max(shapely.get_parts(shape).tolist(), key=lambda part: part.area)
    point = shapely.maximum_inscribed_circle(largest, tolerance=0.05).coords[0]
    return round(point[0], 2), round(point[1], 2)
