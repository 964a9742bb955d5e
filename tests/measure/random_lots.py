"""Random lots for the laws of areas: turned, moved, crossing, with edges that almost coincide.

Every lot is held against a union worked out in another way; tests/benchmarks/areas.py runs many.
"""

from __future__ import annotations

import math
import random
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import shapely
from shapely import affinity

from checker.core.problems import Place
from checker.files.source import read_text
from checker.measure.partition import Partition, partition
from checker.site.materials import materials
from checker.site.model import Lot, Site, Surface

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.site.model import Shape

FOOT_M: Final = 0.3048
KINDS: Final = ("roof", "concrete-drive", "concrete-slab", "stone-slab", "roof-eave", "gravel",
                "wood-deck", "lawn", "pool-water")  # fmt: skip
HERE: Final = Place("random.yaml", 1, 1)
_DOCUMENT: Final = read_text("format: site/1\n", "random.yaml")


def lot_of(lot: Shape, surfaces: Sequence[tuple[str, Shape]]) -> Site:
    """A site with surfaces of given materials, without the detour over a file."""
    found = materials()
    return Site(
        title="random",
        place_id="nowhere",
        lot=Lot(boundary=lot, lines=(), place=HERE),
        surfaces=tuple(
            Surface(
                id=f"s{i}", title="", material=found[name], was=found[name], stage="existing",
                shape=shape, attributes={}, place=HERE,
            )
            for i, (name, shape) in enumerate(surfaces)
        ),
        document=_DOCUMENT,
        file=Path("random.yaml"),
        unit="ft",
        rest_of_lot=found["lawn"],
    )  # fmt: skip


def _boxes(rng: random.Random, width: float, depth: float) -> Iterator[Shape]:
    """Boxes of which many share an edge, a part of one, or a corner with the one before."""
    last: tuple[float, float, float, float] | None = None
    for _ in range(rng.randint(2, 12)):
        w, d = rng.uniform(1, 45), rng.uniform(1, 45)
        x, y = rng.uniform(-10, width), rng.uniform(-10, depth)
        how = rng.random()
        if last is not None and how < 0.5:
            px, py, pw, pd = last
            gap = rng.choice([0.0, 0.0, 1e-9, -1e-9, 1e-12, 3e-7, -2e-6, 1e-3])
            x, y = rng.choice(
                [
                    (px + pw + gap, py),  # beside it
                    (px, py + pd + gap),
                    (px + pw + gap, py + pd + gap),  # at its corner
                    (px, py + gap),  # almost over it
                ]
            )
            if rng.random() < 0.5:
                w, d = pw, pd
        elif how < 0.6:
            x = rng.choice([0.0, 1e-10, -1e-10, width - w])  # along the lot line
        last = (x, y, w, d)
        if rng.random() < 0.1:
            yield shapely.Point(x, y).buffer(w / 2, quad_segs=8)
        elif rng.random() < 0.1:
            yield shapely.box(x, y, x + w, y + d).difference(
                shapely.box(x + w / 4, y + d / 4, x + w / 2, y + d / 2)
            )
        elif rng.random() < 0.1:
            yield affinity.rotate(shapely.box(x, y, x + w, y + d), rng.uniform(-0.01, 0.01))
        else:
            yield shapely.box(x, y, x + w, y + d)


def random_site(seed: int) -> Site:
    """A lot in feet, turned by any angle and moved far from the origin, its surfaces with it."""
    rng = random.Random(seed)
    width, depth = rng.uniform(30, 120), rng.uniform(60, 160)
    angle, far = rng.uniform(0, 360), rng.choice([0, 0, 1e3, 1e4, 2e6])
    moved = rng.uniform(-far, far), rng.uniform(-far, far)

    def placed(shape: Shape) -> Shape:
        turned: Any = affinity.rotate(shape, angle, origin=(0, 0))
        there = affinity.translate(turned, *moved)
        return affinity.scale(there, FOOT_M, FOOT_M, origin=(0, 0))

    lot = placed(shapely.box(0, 0, width, depth))
    drawn = [(rng.choice(KINDS), placed(shape)) for shape in _boxes(rng, width, depth)]
    return lot_of(lot, [(name, shape) for name, shape in drawn if shape.intersects(lot)])


def covered_m2(site: Site, kinds: Sequence[str]) -> float:
    """What some materials cover of a lot, by another way: bands between all corners' heights.

    Every outline is cut into horizontal bands at every corner and crossing; within a band edges are
    straight and do not cross, so that the lengths at its middle, merged as intervals of one line,
    times its height are the area. Nothing of it overlays two areas.
    """
    shapes = [s.shape for s in site.surfaces if s.material.id in kinds]
    lot = site.lot.boundary
    if not shapes:
        return 0.0
    x0, y0 = shapely.get_coordinates(lot)[0]
    edges = [(0, *edge) for edge in _edges(lot, x0, y0)]
    edges += [(i, *edge) for i, shape in enumerate(shapes, 1) for edge in _edges(shape, x0, y0)]
    heights = {y for _, a, b in edges for y in (a[1], b[1])}
    heights |= set(_crossings([(a, b) for _, a, b in edges]))
    levels = sorted(heights)
    total = 0.0
    for low, high in pairwise(levels):
        if high - low > 1e-13:
            total += (high - low) * _length(edges, (low + high) / 2)
    return total


_Edge = tuple[tuple[float, float], tuple[float, float]]


def _edges(shape: Shape, x0: float, y0: float) -> Iterator[_Edge]:
    for part in shapely.get_parts(shape):
        for ring in (part.exterior, *part.interiors):
            points = [(x - x0, y - y0) for x, y in ring.coords]
            yield from pairwise(points)


def _crossings(edges: Sequence[_Edge]) -> Iterator[float]:
    for i, ((ax, ay), (bx, by)) in enumerate(edges):
        for (cx, cy), (dx, dy) in edges[:i]:
            down = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
            if down:
                t = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / down
                u = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / down
                if 0 <= t <= 1 and 0 <= u <= 1:
                    yield ay + t * (by - ay)


def _length(
    edges: Sequence[tuple[int, tuple[float, float], tuple[float, float]]], y: float
) -> float:
    """How much of a horizontal line lies in the lot, outline 0, and in any other outline."""
    at: list[tuple[float, int]] = []
    for owner, (ax, ay), (bx, by) in edges:
        if (ay > y) != (by > y):
            at.append((ax + (y - ay) / (by - ay) * (bx - ax), owner))
    at.sort()
    inside: set[int] = set()
    found, before = 0.0, 0.0
    for x, owner in at:
        if 0 in inside and len(inside) > 1:
            found += x - before
        inside ^= {owner}
        before = x
    return found


def partitioned_m2(found: Partition, kinds: Sequence[str]) -> float:
    """What some materials cover, by the pieces."""
    return math.fsum(
        piece.area_m2
        for piece in found.pieces
        if any(layer.material is not None and layer.surface and layer.material.id in kinds
               for layer in piece.layers)
    )  # fmt: skip


ROOFS: Final = ("roof", "roof-eave")
"""Surfaces of one level: what they cover together does not hang on who displaces whom."""


def error_share(site: Site) -> float:
    """The largest error of a partition, as a share of the lot."""
    found = partition(site, "existing")
    lot_m2 = site.lot.boundary.area
    errors = [
        sum(piece.area_m2 for piece in found.pieces) - lot_m2,
        partitioned_m2(found, ROOFS) - covered_m2(site, ROOFS),
    ]
    for line in found.ledger:
        errors.append(line.outside_m2 + line.displaced_m2 + line.visible_m2 - line.drawn_m2)
        seen_m2 = sum(
            p.area_m2 for p in found.pieces if line.id in {layer.id for layer in p.layers}
        )
        errors.append(seen_m2 - line.visible_m2)
    return max(abs(error) for error in errors) / lot_m2
