"""Outlines that touch, share edges, repeat corners or are all but lines: areas held to shapely.

Corners lie on a coarse grid, so that nearly every pair of edges meets in a corner, along an edge or
not at all; some outlines are a hair wide or a hair off. Integrals, and the sweep alone, must find
what the geometry library finds by plain overlays.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from checker.core.records import replace
from checker.measure.arrangement import SLIVER_M2
from checker.screen import integrals
from checker.screen.areas import measured
from checker.screen.lots import Lots, OverlayLand, SurfaceClass, Town
from checker.screen.members import TownLayers
from checker.screen.outlines import Outlines
from checker.site.materials import materials

pytest.importorskip("numba")

MOST = 6
HAIRS = (0.0, 1e-9, 1e-6, 1e-3)

points = st.tuples(st.integers(0, 8), st.integers(0, 8))


@st.composite
def outlines(draw: st.DrawFn) -> Any:
    """A valid area on the grid, or a hair off it."""
    corners = draw(st.lists(points, min_size=3, max_size=6, unique=True))
    kind = draw(st.integers(0, 5))
    hull: Any = shapely.MultiPoint(corners).convex_hull
    box: Any = shapely.box(*hull.bounds)
    found = box if kind == 0 or hull.area == 0 else hull
    if kind == 1:  # as drawn, where that is an area
        drawn = shapely.Polygon(corners)
        found = drawn if drawn.is_valid and drawn.area else found
    if kind == 2:  # corners along the edges
        found = shapely.segmentize(found, 1.0)
    if kind == 3 and found.area:  # a corner twice
        ring = list(found.exterior.coords)
        found = shapely.Polygon([ring[0], *ring])
    if kind == 4 and found.area > 4:  # a hole that touches the edge in a point
        middle = shapely.affinity.scale(found, 0.5, 0.5, origin=found.exterior.coords[0])
        found = found.difference(middle) if draw(st.booleans()) else found
    if kind == 5 or found.area == 0:  # a hair wide
        x, y = corners[0]
        found = shapely.box(x, y, x + draw(st.sampled_from(HAIRS[1:])), y + 5)
    hair = draw(st.sampled_from(HAIRS))
    moved = shapely.transform(found, lambda own: own + hair)
    return moved if moved.is_valid and moved.geom_type == "Polygon" else shapely.box(1, 1, 3, 3)


def told(lots: Lots) -> Any:
    """What is seen of each surface, and the bare land in the overlay and beside it, m2."""
    seen = np.zeros(MOST + 2)
    top, is_in = lots.spot_layers[:, 0], lots.spot_marks & 1
    place = np.where(top >= 0, lots.surface_place[top] if len(lots.surface_place) else 0, MOST)
    place = np.where((top < 0) & (is_in == 1), MOST + 1, place)
    np.add.at(seen, place, lots.spot_area_m2)
    return seen


@given(
    lot=outlines(), surfaces=st.lists(outlines(), max_size=MOST), overlay=outlines(),
    far=st.sampled_from([0.0, 600_000.0]), only_swept=st.booleans(),
)  # fmt: skip
@settings(deadline=None)
def test_areas_of_degenerate_outlines_are_those_of_plain_overlays(
    lot: Any, surfaces: list[Any], overlay: Any, far: float, only_swept: bool
) -> None:
    if lot.area < 1:
        lot = shapely.box(0, 0, 8, 8)

    def moved(shapes: list[Any]) -> Any:
        found = [shapely.transform(own, lambda points: points + far) for own in shapes]
        # What is a hair wide may be none far from the origin.
        kept = [own if own.is_valid and own.area else shapely.box(far, far, far + 1, far + 1)
                for own in found]  # fmt: skip
        return np.array(kept, object)

    drawn, own_lot, own_overlay = moved(surfaces), moved([lot]), moved([overlay])
    slab = materials()["concrete-slab"]
    sorts = [
        SurfaceClass(material=replace(slab, precedence=10 - place), attributes={})
        for place in range(MOST)
    ]
    layers = TownLayers(
        ids=np.array(["a"]), lots=Outlines(shapes=own_lot), surfaces=Outlines(shapes=drawn),
        surface_class=np.arange(len(drawn)), overlays=own_overlay,
        overlay_land=np.ones(1, np.int64), size_m=1.0, given={},
    )  # fmt: skip
    town = Town(classes=sorts, lands=(OverlayLand("id", "zone"),), unit="m")
    with pytest.MonkeyPatch.context() as patch:
        if only_swept:
            patch.setattr(integrals, "compiled", lambda: in_doubt)
        found = told(measured(town, layers))
    near = [shapely.transform(own, lambda points: points - far)
            for own in (*own_lot, *own_overlay, *drawn)]  # fmt: skip
    try:
        expected = plainly(near[0], near[1], near[2:])
    except shapely.GEOSException:  # the library itself finds no overlay
        reject()
    assert found == pytest.approx(expected, rel=0, abs=1e-9 * lot.area + 8 * SLIVER_M2)


def plainly(lot: Any, overlay: Any, surfaces: list[Any]) -> Any:
    """The same as `told` by overlays of one shape after the other."""
    found, above = np.zeros(MOST + 2), shapely.Polygon()
    for place, own in enumerate(surfaces):
        here = shapely.intersection(own, lot)
        found[place] = shapely.area(shapely.difference(here, above))
        above = shapely.union(above, here)
    bare = shapely.difference(lot, above)
    found[MOST + 1] = shapely.area(shapely.intersection(bare, overlay))
    found[MOST] = shapely.area(shapely.difference(bare, overlay))
    return found


def in_doubt(*columns: Any) -> None:
    """Integrals that are in doubt about every lot."""
    columns[-2][:] = integrals.DOUBT
