"""Contours through given levels, by hand and beside another library."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checker.core.units import FOOT_M
from checker.measure.contours import (
    INTERVALS_M,
    MOST_LINES,
    contours,
    ground_levels,
    level_between_m,
)
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.ground_over import ground_over
from checker.site.drainage import SpotLevel
from tests.measure.terrace import changed, survey


def spot(x: float, y: float, level: float, what: str = "ground", *, new: bool = False) -> SpotLevel:
    return SpotLevel(at=(x, y), level_m=level, what=what, is_proposed=new)


def test_a_plane_has_straight_contours() -> None:
    """A square of 10 m that rises 1 m to the right, lines each 0.1 m: at x = 1, 2 ... 9.

    1 m / 14 lines is 0.071, so the interval is 0.1 m; the sides at 0 and 10 m: the upper is told.
    """
    square = [spot(0, 0, 100), spot(0, 10, 100), spot(10, 0, 101), spot(10, 10, 101)]
    found = contours(square, "metric")
    assert [round(item.level_m, 6) for item in found] == [
        pytest.approx(100 + at / 10) for at in range(1, 11)
    ]
    for at, item in enumerate(found, 1):
        left, bottom, right, top = item.line.bounds
        assert (left, right) == (pytest.approx(at), pytest.approx(at))
        assert (bottom, top) == (pytest.approx(0), pytest.approx(10))


def test_too_few_or_level_ground_has_none() -> None:
    assert contours([spot(0, 0, 1), spot(1, 0, 2)], "us") == ()
    assert contours([spot(0, 0, 1), spot(1, 0, 1), spot(0, 1, 1)], "us") == ()


def test_new_levels_stand_for_old_ones() -> None:
    """A sill is no ground; a proposed level takes the place of the one measured there."""
    levels = [spot(0, 0, 1), spot(5, 0, 2), spot(0, 0, 3, new=True), spot(9, 9, 50, "sill")]
    assert [item.level_m for item in ground_levels(levels, is_proposed=False)] == [1, 2]
    assert [item.level_m for item in ground_levels(levels, is_proposed=True)] == [2, 3]


heights = st.lists(
    st.tuples(st.integers(0, 40), st.integers(0, 40), st.floats(95, 105)),
    min_size=4, max_size=14, unique_by=lambda item: item[:2],
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(points=heights)
def test_contours_lie_on_the_surface_of_another_library(
    points: list[tuple[int, int, float]],
) -> None:
    """Every point of a contour has its level by linear interpolation over triangles (scipy)."""
    interpolate = pytest.importorskip("scipy.interpolate")
    spatial = pytest.importorskip("scipy.spatial")
    levels = [spot(x, y, level) for x, y, level in points]
    found = contours(levels, "us")
    assert len(found) <= max(MOST_LINES + 2, 10 / (10 * FOOT_M) + 2)
    step_m = INTERVALS_M["us"]
    assert all(any(abs(i.level_m / s - round(i.level_m / s)) < 1e-6 for s in step_m) for i in found)
    try:
        mesh = spatial.Delaunay([(x, y) for x, y, _ in points])
    except spatial.QhullError:
        return
    # Four levels on one circle have two triangulations: hold only what is not on such a choice.
    surface = interpolate.LinearNDInterpolator(mesh, [level for *_, level in points])
    lows, highs = min(p[2] for p in points), max(p[2] for p in points)
    for item in found:
        assert lows - 1e-6 <= item.level_m <= highs + 1e-6
        corners = [c for part in getattr(item.line, "geoms", [item.line]) for c in part.coords]
        off = [abs(float(surface(*corner[:2])) - item.level_m) for corner in corners]
        sound = [value for value in off if not math.isnan(value)]
        if len(sound) == len(off) and not _has_choice(mesh):
            assert max(sound, default=0.0) < 1e-6


def _has_choice(mesh: object) -> bool:
    """Whether four points on a grid lie on one circle, so that triangles can be cut two ways."""
    return bool(len(mesh.coplanar)) or _on_circles(mesh)  # type: ignore[attr-defined]


def _on_circles(mesh: object) -> bool:
    import numpy as np

    points, simplices = mesh.points, mesh.simplices  # type: ignore[attr-defined]
    for index, near in enumerate(mesh.neighbors):  # type: ignore[attr-defined]
        a, b, c = points[simplices[index]]
        for other in near:
            if other < 0:
                continue
            (d,) = [p for p in simplices[other] if p not in simplices[index]]
            rows = [
                [*(p - points[d]), float(np.dot(p - points[d], p - points[d]))] for p in (a, b, c)
            ]
            if abs(np.linalg.det(np.array(rows))) < 1e-6:
                return True
    return False


def test_ground_between_spots_is_straight() -> None:
    """A square that rises 1 m in 10 to the right: a quarter across it is 0.25 m up."""
    square = [spot(0, 0, 100), spot(0, 10, 100), spot(10, 0, 101), spot(10, 10, 101)]
    for x, y in ((2.5, 5.0), (2.5, 0.0), (2.5, 9.0)):
        assert level_between_m(square, (x, y)) == pytest.approx(100.25)
    assert level_between_m(square, (10.0, 10.0)) == pytest.approx(101)
    assert level_between_m(square, (10.1, 5.0)) is None
    assert level_between_m(square[:2], (0.0, 5.0)) is None


def test_ground_over_a_pipe() -> None:
    """From the house, 100.00, 20 ft down the terrace at 1/4 in per ft to 99.583, then 10 ft of lawn

    on which nothing is told; with spots round it at 99.00 it lies at 99.00.
    """
    pipes = changed("pipes", "pipe", along=[[30, 40], [30, 10]])
    bare = survey(ways_out={"pipes": pipes})
    found = ground_over(bare, ways_of(bare).pipes[0])
    shares = [share for share, level_m in found if level_m is not None]
    assert min(shares) == 0
    assert max(shares) == pytest.approx(2 / 3)
    levels = {round(share, 6): level_m for share, level_m in found}
    assert levels[0.0] == pytest.approx(100 * FOOT_M)
    assert levels[round(2 / 3, 6)] == pytest.approx((100 - 20 / 48) * FOOT_M)
    assert levels[1.0] is None
    spots = [{"at": at, "level": 99.0, "what": "ground"} for at in ([0, 0], [60, 0], [30, 18])]
    lawn = survey(ways_out={"pipes": pipes}, levels=spots)
    assert ground_over(lawn, ways_of(lawn).pipes[0])[-1][1] == pytest.approx(99 * FOOT_M)
