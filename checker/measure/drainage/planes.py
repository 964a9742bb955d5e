"""Planes of paving: how much they fall, where to, and whether their low point is drained."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import shapely

from checker.core.records import Record, replace
from checker.core.units import FOOT_M
from checker.measure.catalogue import NONE_NEAR_M, NotMeasured
from checker.measure.drainage.drawn import panels_of, ways_of
from checker.measure.regions import dwelling_shape
from checker.site.aims import degrees_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.measure.survey import Survey
    from checker.site.drainage import Panel, Xy
    from checker.site.model import Shape, Surface

BESIDE_M: Final = 2 * FOOT_M
"""A drain or edge this near a panel can take its water."""

_SAME_LEVEL_M: Final = 0.001


class Plane(Record, kw_only=True):
    """A panel with its plane.

    Attributes:
        panel: As drawn.
        shape: Its area, metres.
        rise_x: Rise for each metre to the right.
        rise_y: Rise for each metre up.
        level_m: Level at the origin of the drawing; None when only the fall is known.
        misfit_m: Farthest that a spot level lies from the plane.
    """

    panel: Panel
    shape: Shape
    rise_x: float
    rise_y: float
    level_m: float | None
    misfit_m: float = 0.0

    @property
    def pitch_fraction(self) -> float:
        """Its fall along the steepest line."""
        return math.hypot(self.rise_x, self.rise_y)

    @property
    def toward_degrees(self) -> float:
        """Where it falls, clockwise from the top of the drawing."""
        return math.degrees(math.atan2(-self.rise_x, -self.rise_y)) % 360

    def rise_m(self, point: Xy) -> float:
        """Height of a point above the plane's own level at the origin."""
        return self.rise_x * point[0] + self.rise_y * point[1]

    def level_at_m(self, point: Xy) -> float:
        """Level at a point.

        Raises:
            NotMeasured: Only the fall of the panel is known.
        """
        if self.level_m is None:
            raise NotMeasured(f"give a level of the panel {self.panel.id}")
        return self.level_m + self.rise_m(point)

    @property
    def lowest(self) -> tuple[Xy, ...]:
        """The corners that lie lowest, more than one along a level edge."""
        corners = [(x, y) for x, y, *_ in _corners(self.shape)]
        low_m = min(self.rise_m(corner) for corner in corners)
        return tuple(c for c in corners if self.rise_m(c) <= low_m + _SAME_LEVEL_M)

    def nearest(self, point: Xy) -> Xy:
        """The point of the panel nearest to another."""
        line = shapely.shortest_line(self.shape, shapely.Point(point))
        x, y = shapely.get_coordinates(line)[0]
        return (float(x), float(y))

    def fall_from_fraction(self, other: Shape) -> float:
        """Fall along the line from another shape to the middle of the panel; below 0 toward it."""
        start, end = shapely.get_coordinates(shapely.shortest_line(other, self.shape.centroid))
        away_x, away_y = float(end[0] - start[0]), float(end[1] - start[1])
        length_m = math.hypot(away_x, away_y)
        if length_m == 0:
            return 0.0
        return -(self.rise_x * away_x + self.rise_y * away_y) / length_m


def _corners(shape: Shape) -> Iterable[tuple[float, ...]]:
    return (tuple(point) for point in shapely.get_coordinates(shape))


def plane_of(panel: Panel, whole: Shape) -> Plane:
    """The plane of a panel: fitted to its spot levels, or as its pitch says.

    Args:
        panel: As drawn.
        whole: The surface it is a part of.

    Raises:
        NotMeasured: The file says neither levels nor a pitch, or the spots lie on one line.
    """
    shape = whole
    if panel.outline:
        shape = shapely.make_valid(shapely.Polygon(panel.outline)).intersection(whole)
        if shape.is_empty:
            raise NotMeasured(f"draw the panel {panel.id} on its surface {panel.on}")
    if panel.levels:
        return _fitted(panel, shape)
    if panel.pitch_fraction is None:
        raise NotMeasured(f"give 'levels', or 'pitch' and 'toward', of the panel {panel.id}")
    if panel.toward_degrees is None and panel.pitch_fraction > 0:
        raise NotMeasured(f"give 'toward' of the panel {panel.id}")
    angle = math.radians(panel.toward_degrees or 0.0)
    rise_x = -panel.pitch_fraction * math.sin(angle)
    rise_y = -panel.pitch_fraction * math.cos(angle)
    level_m = panel.level_m
    if level_m is not None:
        x, y = panel.at or (shape.centroid.x, shape.centroid.y)
        level_m -= rise_x * x + rise_y * y
    return Plane(panel=panel, shape=shape, rise_x=rise_x, rise_y=rise_y, level_m=level_m)


def _fitted(panel: Panel, shape: Shape) -> Plane:
    import numpy as np

    points = np.array([point for point, _ in panel.levels])
    levels = np.array([level for _, level in panel.levels])
    middle = points.mean(axis=0)
    spread = points - middle
    (rise_x, rise_y), _, rank, _ = np.linalg.lstsq(spread, levels - levels.mean(), rcond=1e-9)
    if rank < 2:
        raise NotMeasured(f"give spot levels of the panel {panel.id} that lie on no single line")
    misfit = np.abs(levels - levels.mean() - spread @ np.array([rise_x, rise_y])).max()
    level_m = float(levels.mean() - middle @ np.array([rise_x, rise_y]))
    return Plane(
        panel=panel,
        shape=shape,
        rise_x=float(rise_x),
        rise_y=float(rise_y),
        level_m=level_m,
        misfit_m=float(misfit),
    )


def planes(survey: Survey) -> dict[str, Plane | NotMeasured]:
    """The planes of all panels, by id; what lacks for one stands in its place."""

    def work_out(_data: object, _document: object) -> dict[str, Plane | NotMeasured]:
        visible = survey.partition("proposed").visible
        found: dict[str, Plane | NotMeasured] = {}
        for panel in panels_of(survey):
            try:
                shape = visible.get(panel.on) or survey.site.surface(panel.on).shape
                found[panel.id] = plane_of(_aimed(panel, shape, survey), shape)
            except NotMeasured as lacks:
                found[panel.id] = lacks
        return found

    return survey.part("planes", work_out)


def _aimed(panel: Panel, shape: Shape, survey: Survey) -> Panel:
    """A panel whose fall is said in words, with the direction that they mean for its surface."""
    if not panel.toward:
        return panel
    degrees = degrees_of(panel.toward, shape, survey.site)
    if degrees is None:
        raise NotMeasured(f"give 'toward' of the panel {panel.id} in degrees")
    return replace(panel, toward_degrees=degrees)


def planes_on(survey: Survey, surface: Surface) -> list[Plane]:
    """The planes of one surface.

    Raises:
        NotMeasured: It has no panel, or one of them lacks levels.
    """
    found = []
    for panel in panels_of(survey):
        if panel.on != surface.id:
            continue
        plane = planes(survey)[panel.id]
        if isinstance(plane, NotMeasured):
            raise plane
        found.append(plane)
    if not found:
        raise NotMeasured(f"give a panel on {surface.id} under 'panels'")
    return found


def pitch_fraction(survey: Survey, surface: Surface) -> float:
    """Least fall of the panels of a surface."""
    return min(plane.pitch_fraction for plane in planes_on(survey, surface))


def steepest_fraction(survey: Survey, surface: Surface) -> float:
    """Greatest fall of the panels of a surface."""
    return max(plane.pitch_fraction for plane in planes_on(survey, surface))


def misfit_m(survey: Survey, surface: Surface) -> float:
    """Farthest that a spot level lies from the plane of its panel."""
    return max(plane.misfit_m for plane in planes_on(survey, surface))


def fall_from_dwelling_fraction(survey: Survey, surface: Surface) -> float:
    """Fall of the panels next to the dwelling away from it; below 0 where one falls toward it."""
    dwelling = dwelling_shape(survey.site)
    if dwelling is None:
        raise NotMeasured(
            "say which surface is the dwelling: 'attributes: {purpose: dwelling}' of a roof"
        )
    return _fall_from_fraction(dwelling, planes_on(survey, surface))


def _fall_from_fraction(other: Shape, found: list[Plane]) -> float:
    """Least fall away from a shape, of the panels next to it; others may have a drain between."""
    nearest_m = min(plane.shape.distance(other) for plane in found)
    beside = [plane for plane in found if plane.shape.distance(other) <= nearest_m + BESIDE_M]
    return min(plane.fall_from_fraction(other) for plane in beside)


def pool_shape(survey: Survey) -> Shape | None:
    """The water of pools and spas; None without any."""
    shapes = [item.shape for item in survey.site.pools]
    return shapely.union_all(shapes) if shapes else None


def fall_from_pool_fraction(survey: Survey, surface: Surface) -> float:
    """Fall of the panels next to the pool away from it; the pitch where there is no pool."""
    pool = pool_shape(survey)
    if pool is None:
        return pitch_fraction(survey, surface)
    return _fall_from_fraction(pool, planes_on(survey, surface))


def low_point_distance_m(survey: Survey, surface: Surface) -> float:
    """From the lowest corner of its panels to the nearest drain or overflow edge."""
    ways = ways_of(survey)
    takers = [line_of(edge.points) for edge in ways.edges]
    takers += [line_of(d.points) for d in ways.drains if d.points and d.kind != "roof-leader"]
    if not takers:
        return NONE_NEAR_M
    every = shapely.union_all(takers)
    return max(
        min(every.distance(shapely.Point(corner)) for corner in plane.lowest)
        for plane in planes_on(survey, surface)
    )


def line_of(points: tuple[Xy, ...]) -> Shape:
    """A point or a line."""
    return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])


def taker_of(plane: Plane, takers: Iterable[tuple[str, tuple[Xy, ...]]]) -> str:
    """The drain or edge beside a panel that lies lowest on its plane; empty without one.

    Args:
        plane: The panel.
        takers: Ids with their points; of several that lie alike the first is taken.
    """
    found = []
    for name, points in takers:
        if points and plane.shape.distance(line_of(points)) <= BESIDE_M:
            # The plane ends at its edge: what reaches past it counts where it comes nearest.
            found.append((min(plane.rise_m(plane.nearest(point)) for point in points), name))
    lowest_m = min((rise_m for rise_m, _ in found), default=0.0)
    return next((name for rise_m, name in found if rise_m <= lowest_m + _SAME_LEVEL_M), "")
