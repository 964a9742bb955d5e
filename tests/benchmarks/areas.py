"""Areas: how fast the arrangement is beside overlaying shapes in pairs, and a long run of lots.

    python tests/benchmarks/areas.py            # times side by side, with ratios
    python tests/benchmarks/areas.py lots 20000 # random lots against an independent union

The pairwise way is what an overlay by hand would do: each surface less every one above it, the rest
less all of them. It stands here as the thing to compare with; its areas are not to be relied on.
"""

from __future__ import annotations

import math
import random
import sys
import time
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

import shapely
from shapely import affinity

sys.path.insert(0, str(Path(__file__).parents[2]))

from checker.core.problems import BadInput
from checker.measure.arrangement import SLIVER_M2
from checker.measure.partition import PlacedSurface as Placed
from checker.measure.partition import partition, rank
from checker.site.crossings import TooManyCrossings
from checker.site.offsets import strip
from tests.measure.random_lots import FOOT_M, error_share, lot_of, random_site

if TYPE_CHECKING:
    from checker.site.model import Shape, Site

TIMES: Final = 5
WRONG: Final = 1e-7
"""An area that is off by more than this share of the lot is wrong."""


def in_pairs(site: Site) -> float:
    """The pieces of a lot by one overlay after another; gives the sum of their areas."""
    lot = site.lot.boundary
    pieces: list[Shape] = []
    for level in ("ground", "raised", "roof"):
        seen = list(_seen(site, level))
        if level == "ground":
            rest = lot.difference(shapely.union_all(seen)) if seen else lot
            pieces = [rest, *(shape for shape in seen if not shape.is_empty)]
            continue
        for shape in seen:
            shapely.prepare(shape)
            split: list[Shape] = []
            for piece in pieces:
                if shape.intersects(piece):
                    split += [piece.difference(shape), piece.intersection(shape)]
                else:
                    split.append(piece)
            pieces = [piece for piece in split if piece.area > SLIVER_M2]
    return sum(float(piece.area) for piece in pieces)


def _seen(site: Site, level: str) -> Iterator[Shape]:
    """What is seen of each surface of a level: it less every one that outranks it."""
    here = [
        (i, Placed(s, s.material, s.id))
        for i, s in enumerate(site.surfaces)
        if s.material.level == level
    ]
    here.sort(key=lambda item: rank(item[1], site.order, item[0]))
    shapes = [p.surface.shape.intersection(site.lot.boundary) for _, p in here if p.surface]
    tree = shapely.STRtree(shapes)
    for index, whole in enumerate(shapes):
        left = whole
        for other in sorted(tree.query(whole, predicate="intersects")):
            if other < index:
                left = left.difference(shapes[other])
        yield left


def boxes(count: int, least_m: float, most_m: float, seed: int = 1) -> Site:
    """Boxes at all angles over a lot of 80 x 125 ft."""
    rng = random.Random(seed)
    drawn: list[tuple[str, Shape]] = []
    for _ in range(count):
        w, d = rng.uniform(least_m, most_m), rng.uniform(least_m, most_m)
        x, y = rng.uniform(0, 80 * FOOT_M - w), rng.uniform(0, 125 * FOOT_M - d)
        shape = affinity.rotate(shapely.box(x, y, x + w, y + d), rng.uniform(0, 360))
        drawn.append((rng.choice(["roof", "concrete-slab", "gravel", "wood-deck"]), shape))
    return lot_of(shapely.box(0, 0, 80 * FOOT_M, 125 * FOOT_M), drawn)


def roofs(count: int) -> Site:
    """Roofs that all lie over each other, each a little turned."""
    shapes = [
        affinity.rotate(shapely.box(3 + i / 60, 6 + i / 60, 12 + i / 60, 15 + i / 60), 0.3 * i)
        for i in range(count)
    ]
    lot = shapely.box(0, 0, 80 * FOOT_M, 125 * FOOT_M)
    return lot_of(lot, [("roof", shape) for shape in shapes])


def round_lot(vertices_count: int) -> Site:
    """A wavy lot of many corners with 20 surfaces."""
    angles = [2 * math.pi * i / vertices_count for i in range(vertices_count)]
    points = [
        (12 + (20 + math.sin(50 * a)) * math.cos(a), 19 + (20 + math.sin(50 * a)) * math.sin(a))
        for a in angles
    ]
    inner = boxes(20, 2.0, 8.0)
    return lot_of(shapely.Polygon(points), [(s.material.id, s.shape) for s in inner.surfaces])


def best_s(work: Callable[[], object], times: int = TIMES) -> float:
    """The shortest of a few runs."""
    found = math.inf
    for _ in range(times):
        started = time.perf_counter()
        work()
        found = min(found, time.perf_counter() - started)
    return found


def compare(title: str, site: Site, times: int = TIMES) -> None:
    """Print the time of the arrangement and of overlays in pairs, and their ratio."""
    try:
        own_s = best_s(lambda: partition(site, "existing"), times)
    except BadInput as refused:
        started = time.perf_counter()
        with suppress(BadInput):
            partition(site, "existing")
        own_s = time.perf_counter() - started
        print(f"{title:34} refused after {own_s:.2f} s: {refused.problems[0].says[:80]}")
        return
    pair_s = best_s(lambda: in_pairs(site), times)
    print(
        f"{title:34} arrangement {own_s * 1e3:9.1f} ms   in pairs {pair_s * 1e3:9.1f} ms   "
        f"ratio {own_s / pair_s:6.2f}"
    )


def long_strip(points_count: int, *, is_tangle: bool) -> None:
    """Print what a strip of many points costs."""
    rng = random.Random(4)
    if is_tangle:
        path = [(rng.uniform(0, 24), rng.uniform(0, 38), 0.0) for _ in range(points_count)]
    else:
        turns = [40 * math.pi * i / points_count for i in range(points_count)]
        path = [((2 + t / 6) * math.cos(t), (2 + t / 6) * math.sin(t), 0.0) for t in turns]
    tracemalloc.start()
    started = time.perf_counter()
    try:
        strip(path, 0.6, "middle")
        says = "read"
    except TooManyCrossings as refused:
        says = f"refused: {refused}"
    seconds, peak = time.perf_counter() - started, tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    kind = "tangled strip" if is_tangle else "strip"
    print(f"{kind} of {points_count:,} points: {seconds:.2f} s, {peak / 1e6:.0f} MB, {says}")


def many(count: int) -> None:
    """Hold random lots against an independent union and print what was found."""
    started = time.perf_counter()
    worst, wrong, silent = 0.0, 0, 0
    for seed in range(count):
        try:
            error = error_share(random_site(seed))
        except Exception as fault:  # whatever it is, it is counted
            silent += 1
            print(f"lot {seed}: {type(fault).__name__}: {fault}")
            continue
        worst = max(worst, error)
        if error > WRONG:
            wrong += 1
            print(f"lot {seed}: wrong by {error:.2e} of the lot")
    print(
        f"{count:,} lots in {time.perf_counter() - started:,.0f} s: {wrong} wrong by more than "
        f"{WRONG:g} of the lot, {silent} without a verdict; the largest error is {worst:.1e}"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["lots"]:
        many(int(sys.argv[2]) if len(sys.argv) > 2 else 20_000)
    else:
        compare("20 surfaces", boxes(20, 2.0, 8.0), 50)
        compare("300 surfaces", boxes(300, 0.5, 3.0))
        compare("2,000 surfaces, each over a few", boxes(2000, 0.3, 1.2), 1)
        compare("2,000 surfaces, each over many", boxes(2000, 1.0, 4.0), 1)
        compare("100 roofs over each other", roofs(100), 1)
        compare("300 roofs over each other", roofs(300), 1)
        compare("a lot of 100,000 corners", round_lot(100_000), 1)
        long_strip(10_000, is_tangle=False)
        long_strip(10_000, is_tangle=True)
