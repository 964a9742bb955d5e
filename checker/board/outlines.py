"""Geometry as the page draws it: outlines and lines of points, in the unit of the file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from shapely import get_coordinates

from checker.core.units import UNIT

if TYPE_CHECKING:
    from checker.site.model import Shape

Shown = dict[str, Any]
"""Plain data for the page."""

DIGITS: Final = 4
"""Of coordinates for the screen, in the file's unit."""


def rings_of(shape: Shape, unit: str) -> list[list[list[float]]]:
    """The outlines of an area, or the lines or point of something else, in a unit."""
    if shape.geom_type == "Polygon":
        return [line_of(ring, unit) for ring in (shape.exterior, *shape.interiors)]
    if hasattr(shape, "geoms"):
        return [ring for part in shape.geoms for ring in rings_of(part, unit)]
    return [line_of(shape, unit)]


def line_of(line: Shape, unit: str) -> list[list[float]]:
    """The points of a line, in a unit."""
    points: list[list[float]] = (get_coordinates(line) / UNIT[unit].size_si).round(DIGITS).tolist()
    return points
