"""Two ways to the areas of a lot's parts give the same spots: a sweep, and overlays of shapes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import numpy as np
import pytest
import shapely

from checker import api
from checker.screen.areas import Unmeasured, measured
from checker.screen.lots import Lots, SurfaceClass, Town
from checker.screen.members import TownLayers
from checker.screen.outlines import Outlines
from checker.site.materials import materials
from tests.screen.towns import town


def spots(lots: Lots) -> dict[tuple[int, ...], float]:
    keys = np.concatenate(
        [lots.spot_lot[:, None], lots.spot_layers, lots.spot_marks[:, None]], axis=1
    )
    return dict(zip(map(tuple, keys.tolist()), lots.spot_area_m2.tolist(), strict=True))


@pytest.mark.parametrize("seed", range(12))
def test_a_sweep_and_overlays_give_the_same_areas(seed: int) -> None:
    pytest.importorskip("numba")
    rulesets = [api.load_ruleset(place) for place in ("tarn-end", "austin-texas")]
    found, layers, _ = town(seed, rulesets, 12)
    swept, laid = (spots(measured(found, layers, compiled_too=own)) for own in (True, False))
    lots_m2 = shapely.area(layers.lots.shapes) * layers.size_m**2
    for key in swept.keys() | laid.keys():
        assert abs(swept.get(key, 0.0) - laid.get(key, 0.0)) <= 1e-9 * lots_m2[key[0]] + 2e-7


@pytest.mark.parametrize("compiled", [True, False])
def test_areas_worked_by_hand(compiled: bool) -> None:
    """A 20 x 10 lot: a slab 10 x 10 half under a deck 10 x 4, a bed over the line.

    The slab is 0..10, the deck 5..15 x 0..4, the lawn bed 15..25 x 8..12 of which 5 x 2 is inside.
    Slab alone 100 - 20 = 80; slab under the deck 5 x 4 = 20; deck over nothing 5 x 4 = 20; bed
    5 x 2 = 10; the rest 200 - 130 = 70.
    """
    sorts = [
        SurfaceClass(material=materials()[name], attributes={})
        for name in ("concrete-slab", "wood-deck", "planting-bed")
    ]
    shapes = [shapely.box(0, 0, 10, 10), shapely.box(5, 0, 15, 4), shapely.box(15, 8, 25, 12)]
    layers = TownLayers(
        ids=np.array(["a"]),
        lots=Outlines(shapes=np.array([shapely.box(0, 0, 20, 10)], object)),
        surfaces=Outlines(shapes=np.array(shapes, object)),
        surface_class=np.arange(3),
        overlays=np.zeros(0, object),
        overlay_land=np.zeros(0, np.int64),
        size_m=1.0,
        given={},
    )
    lots = measured(Town(classes=sorts), layers, compiled_too=compiled)
    by_layers = {
        tuple(-1 if i < 0 else int(lots.surface_class[i]) for i in key): area
        for key, area in zip(lots.spot_layers.tolist(), lots.spot_area_m2.tolist(), strict=True)
    }
    assert by_layers == pytest.approx(
        {(0, -1, -1): 80, (0, 1, -1): 20, (-1, 1, -1): 20, (2, -1, -1): 10, (-1, -1, -1): 70}
    )


def _no_overlay(*_: object, **__: object) -> None:
    raise shapely.GEOSException("TopologyException: no outgoing dirEdge found")


BROKEN: Final[dict[str, tuple[str, Callable[..., Any]]]] = {
    "doubled": ("shapely.difference", lambda first, _: np.array(first)),
    "lost": ("shapely.difference", lambda first, _: np.full(len(first), shapely.Polygon())),
    "none of what is common": ("shapely.intersection", _no_overlay),
    "none of what is left": ("shapely.difference", _no_overlay),
}


@pytest.mark.parametrize("broken", BROKEN)
def test_ground_that_an_overlay_loses_or_doubles_is_noticed(
    monkeypatch: pytest.MonkeyPatch, broken: str
) -> None:
    """The slab of the first lot lies half under another; that of the second lies alone."""
    sorts = [
        SurfaceClass(material=materials()[name], attributes={})
        for name in ("concrete-slab", "asphalt")
    ]
    shapes = [shapely.box(1, 1, 5, 5), shapely.box(3, 1, 7, 5), shapely.box(31, 1, 35, 5)]
    layers = TownLayers(
        ids=np.array(["a", "b"]),
        lots=Outlines(
            shapes=np.array([shapely.box(0, 0, 20, 10), shapely.box(30, 0, 50, 10)], object)
        ),
        surfaces=Outlines(shapes=np.array(shapes, object)),
        surface_class=np.array([0, 1, 0]),
        overlays=np.zeros(0, object),
        overlay_land=np.zeros(0, np.int64),
        size_m=1.0,
        given={},
    )
    town = Town(classes=sorts)
    assert measured(town, layers, compiled_too=False).count == 2
    monkeypatch.setattr(*BROKEN[broken])
    with pytest.raises(Unmeasured) as caught:
        measured(town, layers, compiled_too=False)
    assert caught.value.rows.tolist() == [0]
    alone = measured(town, layers.without(caught.value.rows), compiled_too=False)
    assert alone.ids.tolist() == ["b"]


def test_more_outlines_than_a_state_has_bits_for() -> None:
    """Seventy slabs over one lot: too many for the sweep, which hands the lot on."""
    sorts = [SurfaceClass(material=materials()["concrete-slab"], attributes={})]
    shapes = [shapely.box(i, 0, i + 1.5, 5) for i in range(70)]
    layers = TownLayers(
        ids=np.array(["a"]),
        lots=Outlines(shapes=np.array([shapely.box(0, 0, 100, 10)], object)),
        surfaces=Outlines(shapes=np.array(shapes, object)),
        surface_class=np.zeros(70, np.intp),
        overlays=np.zeros(0, object),
        overlay_land=np.zeros(0, np.int64),
        size_m=1.0,
        given={},
    )
    lots = measured(Town(classes=sorts), layers)
    # 0 to 70.5, five deep.
    covered = lots.spot_layers[:, 0] >= 0
    assert lots.spot_area_m2[covered].sum() == pytest.approx(352.5)
    assert lots.spot_area_m2.sum() == pytest.approx(1000.0)


def test_rings_of_many_corners_do_not_hold_up_the_others() -> None:
    """A round lot of 100,000 corners under a surface just like it, beside a plain one.

    Held edge to edge these are 10,000 million pairs. A ring of n corners in a circle of radius r
    has the area n / 2 r^2 sin(2 pi / n), 5,026.548 m2 here; half of the box is covered.
    """
    turn = np.arange(100_000) * 2 * np.pi / 100_000
    ring = shapely.polygons(np.stack([50 + 40 * np.cos(turn), 50 + 40 * np.sin(turn)], -1))
    sorts = [SurfaceClass(material=materials()["concrete-slab"], attributes={})]
    layers = TownLayers(
        ids=np.array(["a", "b"]),
        lots=Outlines(shapes=np.array([ring, shapely.box(200, 0, 220, 10)], object)),
        surfaces=Outlines(shapes=np.array([ring, shapely.box(200, 0, 210, 10)], object)),
        surface_class=np.zeros(2, np.intp),
        overlays=np.zeros(0, object),
        overlay_land=np.zeros(0, np.int64),
        size_m=1.0,
        given={},
    )
    lots = measured(Town(classes=sorts), layers)
    covered = lots.spot_layers[:, 0] >= 0
    assert lots.by_lot(lots.spot_area_m2[covered], covered) == pytest.approx([5026.5482, 100.0])
    assert lots.by_lot(lots.spot_area_m2) == pytest.approx([5026.5482, 200.0])
