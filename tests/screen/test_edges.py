"""Which overlays run over which lots, held to the geometry library on random shapes."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
import shapely

from checker.screen import edges
from checker.screen.outlines import Outlines
from tests.screen.towns import shape


@pytest.mark.parametrize("seed", range(20))
def test_edges_and_insides_are_those_of_the_library(seed: int) -> None:
    pytest.importorskip("numba")
    random = Random(seed)
    far = random.choice([0.0, 2_000_000.0])
    lots = np.array(
        [shape(random, far + random.uniform(0, 400), random.uniform(0, 400), 1.0)
         for _ in range(60)], object,
    )  # fmt: skip
    overlays = [
        shape(random, far + random.uniform(-100, 300), random.uniform(-100, 300), 12.0)
        for _ in range(12)
    ]
    # A ring of many corners, one with a hole, and one that ends where lots begin.
    overlays.append(shapely.Point(far + 200, 200).buffer(150, quad_segs=300))
    overlays.append(overlays[-1].difference(shapely.Point(far + 200, 200).buffer(60)))
    low_x, low_y, high_x, high_y = lots[0].bounds
    overlays.append(shapely.box(low_x - 50, low_y, low_x, high_y))
    overlays.append(shapely.box(low_x, low_y, high_x, high_y))
    drawn = Outlines(shapes=np.array(overlays, object))
    boxes = Outlines(shapes=lots).boxes
    lot, overlay, inside, of = edges.overlays_over(boxes, drawn.rings, drawn.boxes)
    crossed, within = set(zip(lot, overlay, strict=True)), set(zip(inside, of, strict=True))
    assert len(crossed) == len(lot)
    assert not crossed & within
    for row, own in enumerate(lots):
        box = shapely.box(*boxes[row])
        for place, other in enumerate(overlays):
            pair, common = (row, place), own.intersection(other).area
            if pair in crossed:
                assert other.boundary.distance(box) <= 1e-6
            elif pair in within:
                assert common == pytest.approx(own.area, rel=1e-9)
            else:
                assert common <= 1e-9 * own.area
    assert crossed
    assert within
