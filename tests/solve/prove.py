"""The least change on random small lots beside an independent optimum, worked out from scratch.

Run it from the top of a checkout: `python -m tests.solve.prove 5000`. Each lot has a house and one
to three rectangles that may change, straight or turned, and one of several rule structures. The
oracle shares nothing with the program: it knows widths and lengths of rectangles, lists every band
in steps of the module along every side, every pair of bands of two materials and every whole
change, and weighs each set of them by plain sums; for three rectangles, and for every fifth lot
besides, scipy's solver chooses among the same designs (`lines.py`). What the program finds must
cost as much as the oracle's best, to the cent; the file that it writes must read back, and its
verdict and its counted area must be those that were told.
"""

from __future__ import annotations

import itertools
import math
import random
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from checker.files.source import read_text
from checker.findings.checked import judged
from checker.site.read import site_of
from checker.solve.search import is_met, least_change
from tests.solve.lines import best_by_scipy, lines_of
from tests.solve.made import SQ_FT_M2, rules
from tests.solve.structures import HARD, STRUCTURES, TABLES, Areas, Holds, Numbers, numbers

NEW = ("permeable-paving", "lawn", "gravel")
BUILD = {"permeable-paving": 24, "lawn": 2, "gravel": 4}
REMOVE = {"concrete-slab": 5, "stone-slab": 6, "asphalt": 3}
PAVED = {"concrete-slab", "stone-slab", "asphalt", "permeable-paving", "gravel"}
MODULE, LEAST = 0.5, 3.0
PLACES = ((10.0, 60.0), (50.0, 60.0), (10.0, 80.0))
AIMED = ("least-cost", "least-area", "most-deck")


class Lot(NamedTuple):
    """A random lot in feet: `surfaces` holds name, material, size and what it may become."""

    text: str
    surfaces: list[tuple[str, str, tuple[float, float], list[str]]]
    rules: str
    holds: Holds
    kind: str
    figures: Numbers


def random_lot(seed: int) -> Lot:
    rng = random.Random(seed)
    house = rng.choice([800.0, 1000.0, 1500.0])
    names = ["patio", "court", "walk"][: rng.choice([1, 1, 2, 2, 3])]
    surfaces, lines = [], []
    degrees = rng.choice([0.0, 0.0, rng.uniform(1, 89)])
    turn = math.radians(degrees)

    def points(x: float, y: float, w: float, h: float) -> str:
        # Exact enough that 47.25 sq ft are that in the file too, and no 47.24999995: costs go by
        # tenths, and the program takes 5e-8 sq ft below half a tenth for half a tenth, no more.
        corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        at = [
            (round(a * math.cos(turn) - b * math.sin(turn) + 300, 12),
             round(a * math.sin(turn) + b * math.cos(turn) + 300, 12))
            for a, b in corners
        ]  # fmt: skip
        return "{points: [" + ", ".join(f"[{a!r}, {b!r}]" for a, b in at) + "]}"

    for index, name in enumerate(names):
        w = rng.choice([6.0, 8.0, 10.5, 12.0, 15.25, 20.0, round(rng.uniform(4, 22), 1)])
        h = rng.choice([2.0, 5.0, 8.0, 9.5, 12.0, round(rng.uniform(4, 14), 2)])
        material = rng.choice(HARD)
        become = rng.sample(NEW, rng.choice([[1, 2, 3], [1, 2], [1, 1, 2]][len(names) - 1]))
        surfaces.append((name, material, (w, h), become))
        lines.append(
            f"  - id: {name}   # the {name}\n    # a remark inside\n    material: {material}\n"
            f"    shape: {points(*PLACES[index], w, h)}\n"
            f"    may_become: [{', '.join(become)}]\n"
        )
    start = dict.fromkeys((*HARD, *NEW), 0.0)
    for _, material, (w, h), _ in surfaces:
        start[material] += w * h
    paved = sum(start.values())
    kind = rng.choice(sorted(STRUCTURES))
    figures = numbers(rng, house, paved)
    text, holds = STRUCTURES[kind](figures)
    find = rng.choice(["least cost", "least area", "most deck kept"])
    head = (
        "format: site/1\ntitle: Random\nplace: made-up\nunits: ft\nrest_of_lot: lawn\n"
        f"lot: {{boundary: {points(0, 0, 100, 100)}}}\nsurfaces:\n"
        f"  - {{id: house, material: roof, fixed: yes, shape: {points(5, 5, house / 25, 25)}}}\n"
    )
    goal = f"goal:\n  find: {find}\n"
    tables = TABLES.replace("@F", str(figures.free))
    return Lot(head + "".join(lines) + goal, surfaces, tables + text, holds, kind, figures)


Pieces = tuple[tuple[str, float], ...]
"""What becomes of parts of a surface: material and square feet."""


def designs(surface: tuple[str, str, tuple[float, float], list[str]]) -> list[tuple[Any, ...]]:
    """Every way to build one surface: areas by material, cents, square feet changed, deck lost."""
    _, material, (w, h), become = surface
    found: set[Pieces] = {(), *(((one, w * h),) for one in become)}
    for length, depth in ((w, h), (h, w)):
        if length >= LEAST - 1e-9:
            found.update(along(length, depth, become))
    return [priced(pieces, material) for pieces in sorted(found)]


def along(length: float, depth: float, become: list[str]) -> Iterator[Pieces]:
    """Every band, and every pair of bands, along a side of a rectangle."""
    steps = [k * MODULE for k in range(6, int((depth - LEAST) / MODULE + 1e-9) + 1)]
    for one, width in itertools.product(become, steps):
        yield ((one, length * width),)
        for other in become:
            if other != one:
                ends = [end for end in steps if end - width >= LEAST - 1e-9]
                for end in (*ends, depth):
                    yield (one, length * width), (other, length * (end - width))


def priced(pieces: Pieces, material: str) -> tuple[Any, ...]:
    cents, lost = 0, 0.0
    for new, area in pieces:
        tenths = math.floor(round(area * 10, 6) + 0.5)
        cents += tenths * 10 * (BUILD[new] + REMOVE[material])
        lost += area if new not in PAVED else 0.0
    return dict(pieces), cents, sum(area for _, area in pieces), lost


def best_of(lot: Lot) -> dict[str, tuple[float, float, float]] | None:
    """The least cost, area and deck lost, each with what chooses among equals."""
    cost: Any = np.zeros(1)
    area: Any = np.zeros(1)
    lost: Any = np.zeros(1)
    areas: Areas = {name: np.zeros(1) for name in (*HARD, *NEW)}
    for surface in lot.surfaces:
        rows = designs(surface)

        def spread(old: Any, own: list[float]) -> Any:
            return (old[:, None] + np.array(own)[None, :]).ravel()

        w, h = surface[2]
        cost = spread(cost, [row[1] for row in rows])
        lost = spread(lost, [row[3] for row in rows])
        area = spread(area, [row[2] for row in rows])
        for name in areas:
            own = [
                row[0].get(name, 0.0) + (w * h - row[2] if name == surface[1] else 0.0)
                for row in rows
            ]
            areas[name] = spread(areas[name], own)
    fits = np.broadcast_to(lot.holds(areas), cost.shape)
    if not fits.any():
        return None
    orders = {
        "least-cost": (cost, area, lost), "least-area": (area, cost, lost),
        "most-deck": (lost, cost, area),
    }  # fmt: skip
    found = {}
    for key, aims in orders.items():
        kept = np.flatnonzero(fits)
        for aim in aims:
            kept = kept[aim[kept] <= aim[kept].min() + 1e-6]
        found[key] = (float(cost[kept[0]]), float(area[kept[0]]), float(lost[kept[0]]))
    return found


def prove(seed: int) -> str:
    """Empty when the program and the oracle agree on a lot; else what is wrong."""
    lot = random_lot(seed)
    ruleset = rules(lot.rules.removeprefix("\n"))
    document = read_text(lot.text, "lot.yaml")
    options = least_change(judged(site_of(document, Path("lot.yaml")), ruleset))
    solved = by_scipy(lot) if len(lot.surfaces) > 2 or seed % 5 == 0 else None
    best = best_of(lot) if len(lot.surfaces) < 3 else solved
    if best is not None and solved is not None and unlike(best, solved):
        return f"two oracles differ: {best} and {solved}"
    if best is None:
        # A rule that nothing moves is told apart, and is no rule that the options answer for.
        is_wrong = options.options and not options.stuck
        return f"{len(options.options)} options where there is none" if is_wrong else ""
    if not options.options:
        return f"no option, but the oracle has {best}: {options.conflicts}"
    for place, (key, (cents, area, lost)) in enumerate(best.items()):
        option = options.option(key)
        told = option.cents, option.changed_m2 / SQ_FT_M2, option.lost_deck_m2 / SQ_FT_M2
        if not option.is_met or not option.proof.is_proven:
            return f"{key} is not met or not proven: {option.unmet}{option.faults}{option.proof}"
        off = [abs(one - other) for one, other in zip(told, (cents, area, lost), strict=True)]
        # Of three surfaces only what is aimed at is known, not what chooses among equals.
        if len(lot.surfaces) > 2:
            off = [off[place]]
        if max(off) > 1e-4:
            return f"{key}: told {told}, the oracle has {(cents, area, lost)}"
        wrong = read_wrongly(lot, options.option(key), ruleset)
        if wrong:
            return f"{key}: {wrong}"
    return ""


def by_scipy(lot: Lot) -> dict[str, tuple[float, float, float]] | None:
    """The least of each aim by itself, by scipy's solver."""
    starts = [(material, w * h) for _, material, (w, h), _ in lot.surfaces]
    found = best_by_scipy(
        [designs(surface) for surface in lot.surfaces], starts, lines_of(lot.kind, lot.figures)
    )
    return dict.fromkeys(AIMED, found) if found is not None else None


def unlike(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether two oracles differ in what is aimed at."""
    return any(abs(one[key][place] - other[key][place]) > 1e-4 for place, key in enumerate(AIMED))


def read_wrongly(lot: Lot, option: Any, ruleset: Any) -> str:
    """What the written file says otherwise than it was told."""
    if option.pieces and ("# a remark inside" not in option.text):
        return "a remark is lost"
    site = site_of(read_text(option.text, "lot.yaml"), Path("lot.yaml"))
    after = judged(site, ruleset)
    if not all(is_met(finding) for finding in after.verdict.findings):
        return "the file that was written fails"
    areas: Areas = dict.fromkeys((*HARD, *NEW), 0.0)
    for surface in site.surfaces:
        if surface.id != "house":
            areas[surface.material.id] += surface.shape.area / SQ_FT_M2
    total = sum(w * h for _, _, (w, h), _ in lot.surfaces)
    if abs(sum(areas.values()) - total) > 1e-5:
        return f"the surfaces of the file cover {sum(areas.values())} of {total} sq ft"
    # What is drawn is cut in tenths, halves and hundredths of feet: beyond the fifth decimal there
    # is only the rounding of the corners, and a sum exactly at its limit would miss it by that.
    if not lot.holds({name: round(own, 5) for name, own in areas.items()}):
        return "the areas of the file do not meet the rule"
    was = {s.was.id for s in site.surfaces if s.stage == "replaced"}
    return "" if was <= set(HARD) else f"what was there before is lost: {was}"


def main() -> None:
    """Prove as many lots as are asked for, and print the counts."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    kinds: dict[str, int] = {}
    wrong, start_s = 0, time.monotonic()
    for seed in range(first, first + count):
        kinds[random_lot(seed).kind] = kinds.get(random_lot(seed).kind, 0) + 1
        try:
            says = prove(seed)
        except Exception as error:
            says = f"{type(error).__name__}: {error}"
        if says:
            wrong += 1
            print(f"seed {seed} ({random_lot(seed).kind}): {says}", flush=True)  # noqa: T201
        done = seed - first + 1
        if done % 100 == 0:
            each_s = (time.monotonic() - start_s) / done
            left = f"about {each_s * (count - done) / 60:.0f} min left"
            print(f"{done} of {count} lots, {wrong} wrong, {left}", flush=True)  # noqa: T201
    print(f"{count} lots, {wrong} wrong; {dict(sorted(kinds.items()))}")  # noqa: T201


if __name__ == "__main__":
    main()
