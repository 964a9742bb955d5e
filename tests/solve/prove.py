"""The least change on random small lots beside an independent optimum, worked out from scratch.

Run it from the top of a checkout: `python -m tests.solve.prove 5000`. Each lot has a house and one
to three rectangles that may change, straight or turned, in feet or metres, with prices, modules and
least widths of its own now and then, and one of several rule structures. The oracle shares nothing
with the program: it knows widths and lengths of rectangles, lists every band in steps of the module
along every side, every pair of bands of two materials and every whole change, and weighs each set
of them by plain sums; for three rectangles, and for every fifth lot besides, scipy's solver chooses
among the same designs (`lines.py`). What the program finds must cost as much as the oracle's best,
to the cent; the file that it writes must read back, and its verdict and its counted area must be
those that were told.
"""

from __future__ import annotations

import itertools
import math
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from checker.files.source import read_text
from checker.findings.checked import judged
from checker.findings.lots import DrawnLot
from checker.site.model import Site
from checker.site.read import site_of
from checker.solve.measures import is_met
from checker.solve.search import least_change
from tests.solve.lines import best_by_scipy, lines_of
from tests.solve.made import FT_M, SQ_FT_M2, rules
from tests.solve.structures import HARD, NEW, STRUCTURES, TABLES, Areas, Holds, Numbers, numbers

BUILD = {
    "permeable-paving": 2400, "lawn": 200, "gravel": 400, "concrete-slab": 1400,
    "stone-slab": 3000, "asphalt": 800,
}  # fmt: skip
REMOVE = {"concrete-slab": 500, "stone-slab": 600, "asphalt": 300}
OUT = "taken out"
"""What becomes of a part of a pad that is taken out, or not built: it is lawn as all around."""

PAVED = {"concrete-slab", "stone-slab", "asphalt", "permeable-paving", "gravel"}
NAMES = (*HARD, *NEW)
PLACES = ((10.0, 60.0), (50.0, 60.0), (10.0, 80.0))
AIMED = ("least-cost", "least-area", "most-deck")
MOST_SETS = 3_000_000
"""More sets of designs than this are left to scipy's solver."""


class Pad(NamedTuple):
    """A rectangle that may change, in feet.

    `was` is what was there before, `along` the side of the lot that bands must follow, `yard` how
    far from its front edge the rear yard begins, `is_whole`: all of it changes or nothing.
    """

    name: str
    material: str
    size: tuple[float, float]
    become: list[str]
    stage: str
    was: str
    along: str
    yard: float
    is_whole: bool = False

    @property
    def area(self) -> float:
        return self.size[0] * self.size[1]


class Terms(NamedTuple):
    """How pads may be cut, in feet, and what that costs.

    `build` and `remove` are cents for a unit of area, of which `parts` are told: tenths of a square
    foot, or hundredths of a square metre; `size` is the unit in square feet.
    """

    module: float = 0.5
    least: float = 3.0
    build: dict[str, int] = BUILD
    remove: dict[str, int] = REMOVE
    parts: int = 10
    size: float = 1.0
    kind: str = ""
    counts_savings: bool = False

    @property
    def first(self) -> int:
        """The fewest modules of a band."""
        return math.ceil(self.least / self.module - 1e-9)

    def steps(self, depth: float) -> list[float]:
        """The widths of bands that leave enough of a depth."""
        last = int((depth - self.least) / self.module + 1e-9)
        return [k * self.module for k in range(self.first, last + 1)]


class Lot(NamedTuple):
    """A random lot in feet."""

    text: str
    surfaces: list[Pad]
    rules: str
    holds: Holds
    figures: Numbers
    terms: Terms
    costs: str

    @property
    def kind(self) -> str:
        return self.terms.kind


def random_lot(seed: int) -> Lot:
    rng, more = random.Random(seed), random.Random(f"more {seed}")
    is_metric = more.random() < 0.25
    house = rng.choice([800.0, 1000.0, 1500.0])
    kind = rng.choice(sorted(STRUCTURES))
    names = ["patio", "court", "walk"][: rng.choice([1, 1, 2, 2, 3])]
    depth = round(rng.uniform(24, 39), 1)
    degrees = rng.choice([0.0, 0.0, rng.uniform(1, 89)])
    turn = math.radians(degrees)

    def points(x: float, y: float, w: float, h: float) -> str:
        # Exact enough that 47.25 sq ft are that in the file too, and no 47.24999995: costs go by
        # tenths, and the program takes 5e-8 sq ft below half a tenth for half a tenth, no more.
        corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        times = FT_M if is_metric else 1.0
        at = [
            (round((a * math.cos(turn) - b * math.sin(turn) + 300) * times, 12),
             round((a * math.sin(turn) + b * math.cos(turn) + 300) * times, 12))
            for a, b in corners
        ]  # fmt: skip
        return "{points: [" + ", ".join(f"[{a!r}, {b!r}]" for a, b in at) + "]}"

    surfaces: list[Pad] = []
    lines: list[str] = []
    ways: list[str] = []
    for index, name in enumerate(names):
        w = rng.choice([6.0, 8.0, 10.5, 12.0, 15.25, 20.0, round(rng.uniform(4, 22), 1)])
        h = rng.choice([2.0, 5.0, 8.0, 9.5, 12.0, round(rng.uniform(4, 14), 2)])
        if is_metric:
            # Round in metres: 2.4 for 8 ft.
            w, h = round(w * 0.3, 2) / FT_M, round(h * 0.3, 2) / FT_M
        material = rng.choice(HARD)
        become = rng.sample(NEW, rng.choice([[1, 2, 3], [1, 2], [1, 1, 2]][len(names) - 1]))
        stage = rng.choice(["existing", "existing", "existing", "proposed", "replaced"])
        was = rng.choice([one for one in HARD if one != material]) if stage == "replaced" else ""
        along = rng.choice(["", "", "", "front", "rear"])
        yard = 100 - depth - PLACES[index][1]
        is_whole = not along and more.random() < 0.1
        is_removable = kind != "yard" and more.random() < 0.2
        ends = [*become, OUT] if is_removable else become
        surfaces.append(Pad(name, material, (w, h), ends, stage, was, along, yard, is_whole))
        added = f"    stage: {stage}\n" if stage != "existing" else ""
        added += f"    was: {was}   # what was there\n" if was else ""
        if along or is_whole:
            ways.append(f"{name}: {{{f'along: {along}' if along else 'change: whole'}}}")
        lines.append(
            f"  - id: {name}   # the {name}\n    # a remark inside\n    material: {material}\n"
            f"{added}"
            f"    shape: {points(*PLACES[index], w, h)}\n"
            f"    may_become: [{', '.join(become)}]\n"
        )
    reserve = rng.choice(["", "", "area", "share"]) if kind != "yard" else ""
    in_yard = sum(
        pad.size[0] * min(max(pad.size[1] - pad.yard, 0), pad.size[1]) for pad in surfaces
    )
    figures = numbers(rng, house, sum(pad.area for pad in surfaces), in_yard, reserve)
    hangs, is_told = more.random() < 0.25, more.random() < 0.5
    figures = figures._replace(is_untold=hangs and not is_told)
    text, holds = STRUCTURES[kind](figures)
    head = (
        "format: site/1\ntitle: Random\nplace: made-up\n"
        f"units: {'m' if is_metric else 'ft'}\nrest_of_lot: lawn\n"
        f"lot: {{boundary: {points(0, 0, 100, 100)}, "
        "sides: {front: [1], rear: [3], side: [2, 4]}}\nsurfaces:\n"
        f"  - {{id: house, material: roof, fixed: yes, shape: {points(5, 5, house / 25, 25)}}}\n"
    )
    find = rng.choice(["least cost", "least area", "most deck kept"])
    out = [pad.name for pad in surfaces if OUT in pad.become]
    asked, terms, costs = random_terms(rng, more, is_metric=is_metric)
    goal = (
        f"goal:\n  find: {find}\n"
        + (f"  surfaces: {{{', '.join(ways)}}}   # sides\n" if ways else "")
        + ("  as_built: {permeable-paving: {slope: 1 %}}\n" if hangs and is_told else "")
        + (f"  may_be_removed: [{', '.join(out)}]\n" if out else "")
        + reserve_text(figures, reserve)
        + asked
    )
    terms = terms._replace(kind=kind)
    tables = TABLES.replace("@F", str(figures.free)).replace("@D", str(depth))
    tables = tables.replace("@UNTOLD", ", slope: {at_most: 3 %}" if hangs else "")
    site = head + "".join(lines) + goal
    return Lot(site, surfaces, tables + text, holds, figures, terms, costs)


def reserve_text(figures: Numbers, reserve: str) -> str:
    """The reserve and the conditions of a goal."""
    text = f"  reserve: {figures.kept} sq ft\n" if reserve == "area" else ""
    text += f"  reserve: {100 * figures.share_kept:g} %\n" if reserve == "share" else ""
    return text + ("  conditions: avoided\n" if figures.avoids_conditions else "")


def random_terms(
    rng: random.Random, more: random.Random, *, is_metric: bool
) -> tuple[str, Terms, str]:
    """The end of a goal: savings, module, least width and prices; what they say; the prices."""
    counts_savings = rng.random() < 0.2
    text = "  savings: counted\n" if counts_savings else ""
    module, least = (0.15 / FT_M, 0.9 / FT_M) if is_metric else (0.5, 3.0)
    if more.random() < 0.2:
        module, least = more.choice([(0.25, 2.0), (1.0, 4.0), (1.0, 3.5), (0.5, 5.0)])
        text += f"  module: {module:g} ft\n  least_width: {least:g} ft\n"
    terms, costs = random_prices(more)
    text += "costs: costs.yaml\n" if costs else ""
    return text, terms._replace(module=module, least=least, counts_savings=counts_savings), costs


def random_prices(rng: random.Random) -> tuple[Terms, str]:
    """The invented prices, or others, some of them alike and some nothing, with their table."""
    if rng.random() < 0.6:
        return Terms(), ""
    is_metric = rng.random() < 0.3
    build = {name: rng.choice([0, 200, 400, 400, 800, 1400, 2400, 1234]) for name in NAMES}
    remove = {name: rng.choice([0, 0, 100, 500, 500, 617]) for name in HARD}
    unit = "m2" if is_metric else "sq ft"
    lines = "".join(
        f"  - {{material: {name}, building: ${build[name] / 100:.2f}/{unit}, "
        f"removal: ${remove.get(name, 0) / 100:.2f}/{unit}}}\n"
        for name in NAMES
    )
    terms = Terms(
        build=build, remove=remove,
        parts=100 if is_metric else 10, size=1 / SQ_FT_M2 if is_metric else 1.0,
    )  # fmt: skip
    return terms, f"format: costs/1\ntitle: Made up\ninvented: yes\ncosts:\n{lines}"


class Taken(NamedTuple):
    """What becomes of a part of a pad: material, square feet, those in the yard; a share of it."""

    material: str
    area: float
    in_yard: float
    is_share: bool = False


def designs(pad: Pad, terms: Terms) -> list[tuple[Any, ...]]:
    """Every way to build one pad: areas by material, cents, square feet changed, deck lost."""
    w, h = pad.size
    yard = min(max(pad.yard, 0.0), h)
    all_of_it = [(Taken(one, w * h, w * (h - yard)),) for one in pad.become]
    found: set[tuple[Taken, ...]] = {(), *all_of_it}
    sides = (pad.along,) if pad.along else ("front", "rear", "left", "right")
    for side in () if pad.is_whole else sides:
        found.update(bands(pad, side, terms))
    if terms.kind == "yard" and 0 < yard < h and not pad.is_whole:
        found.update(
            (*one, *other)
            for one, other in itertools.product(
                shares(pad, terms, is_yard=False), shares(pad, terms, is_yard=True)
            )
        )
    return [priced(pieces, pad, terms) for pieces in sorted(found)]


def bands(pad: Pad, side: str, terms: Terms) -> Iterator[tuple[Taken, ...]]:
    """Every band, and every pair of bands, along a side of a rectangle."""
    w, h = pad.size
    yard = min(max(pad.yard, 0.0), h)
    length, depth = (w, h) if side in {"front", "rear"} else (h, w)
    if length < terms.least - 1e-9:
        return

    def in_yard(width: float) -> float:
        """What a band of a width has in the yard."""
        if side == "front":
            return w * max(width - yard, 0.0)
        return w * min(width, h - yard) if side == "rear" else width * (h - yard)

    steps = terms.steps(depth)
    for one, width in itertools.product(pad.become, steps):
        first = Taken(one, length * width, in_yard(width))
        yield (first,)
        for other in pad.become:
            if other != one:
                ends = [end for end in steps if end - width >= terms.least - 1e-9]
                for end in (*ends, depth):
                    more = length * (end - width), in_yard(end) - in_yard(width)
                    yield first, Taken(other, *more)


def shares(pad: Pad, terms: Terms, *, is_yard: bool) -> list[tuple[Taken, ...]]:
    """What may become of the part of a pad in the yard, or outside of it, by itself."""
    w, h = pad.size
    parts = pad.yard, h - pad.yard
    own, least = parts[is_yard], terms.least
    # Where the whole pad is narrow no part of it is too narrow to stay.
    wide = [min(w, part) >= least - 1e-6 or min(w, h) < least - 1e-6 for part in parts]
    found: list[tuple[Taken, ...]] = [()]
    if not all(wide):
        return found
    taken = [w * own]
    ends = {"front": not is_yard, "rear": is_yard, "left": True, "right": True}
    for side in (pad.along,) if pad.along else ends:
        length, depth = (w, own) if side in {"front", "rear"} else (own, w)
        if ends[side] and length >= least - 1e-9:
            taken += [length * width for width in terms.steps(depth)]
    found += [
        (Taken(one, area, area if is_yard else 0.0, is_share=True),)
        for one in pad.become
        for area in sorted(set(taken))
    ]
    return found


def priced(pieces: tuple[Taken, ...], pad: Pad, terms: Terms) -> tuple[Any, ...]:
    """A design as areas by material, cents, square feet changed and deck lost."""
    cents, lost, changed, changed_in_yard = 0, 0.0, 0.0, 0.0
    areas = dict.fromkeys((*NAMES, *(f"{name} in yard" for name in NAMES)), 0.0)
    for new, area, in_yard, is_share in pieces:
        own = cents_of(new, area, pad, terms, is_share=is_share)
        cents += own if terms.counts_savings else max(own, 0)
        lost += area if new not in PAVED else 0.0
        changed += area
        changed_in_yard += in_yard
        becomes = "lawn" if new == OUT else new
        areas[becomes] += area
        areas[f"{becomes} in yard"] += in_yard
    w, h = pad.size
    areas[pad.material] += w * h - changed
    areas[f"{pad.material} in yard"] += w * min(max(h - pad.yard, 0.0), h) - changed_in_yard
    return areas, cents, changed, lost


def cents_of(new: str, area: float, pad: Pad, terms: Terms, *, is_share: bool) -> int:
    """What a piece costs beyond the design: the work with it less the work without it."""
    steps = round(area / terms.size * terms.parts, 6)
    nearest = math.floor(steps + 0.5)
    up, down = (math.ceil(steps), math.floor(steps)) if is_share else (nearest, nearest)

    def of(steps: int, price: int) -> int:
        return math.floor(steps * price / terms.parts + 0.5)

    build = of(up, terms.build["lawn" if new == OUT else new])
    if pad.stage == "existing":
        return build + of(up, terms.remove[pad.material])
    spared = of(down, terms.build[pad.material])
    if pad.stage == "proposed" and new == OUT:
        return -spared
    if pad.stage == "replaced" and new == pad.was:
        return -spared - of(down, terms.remove[pad.was])
    return build - spared


def best_of(lot: Lot) -> dict[str, tuple[float, float, float]] | None:
    """The least cost, area and deck lost, each with what chooses among equals."""
    cost: Any = np.zeros(1)
    area: Any = np.zeros(1)
    lost: Any = np.zeros(1)
    keys = [*NAMES, *(f"{name} in yard" for name in NAMES)] if lot.kind == "yard" else NAMES
    areas: Areas = {name: np.zeros(1) for name in keys}
    for rows in designs_of(lot):

        def spread(old: Any, own: list[float]) -> Any:
            return (old[:, None] + np.array(own)[None, :]).ravel()

        cost = spread(cost, [row[1] for row in rows])
        lost = spread(lost, [row[3] for row in rows])
        area = spread(area, [row[2] for row in rows])
        for name in areas:
            areas[name] = spread(areas[name], [row[0][name] for row in rows])
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


def designs_of(lot: Lot) -> list[list[tuple[Any, ...]]]:
    """Every way to build each pad of a lot."""
    return [designs(pad, lot.terms) for pad in lot.surfaces]


def prove(seed: int) -> str:
    """Empty when the program and the oracle agree on a lot; else what is wrong."""
    lot = random_lot(seed)
    ruleset = rules(lot.rules.removeprefix("\n"))
    document = read_text(lot.text, "lot.yaml")
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "costs.yaml").write_text(lot.costs, encoding="utf-8")
        site = site_of(document, Path(folder) / "lot.yaml")
        options = least_change(judged(site, ruleset))
    is_large = math.prod(len(rows) for rows in designs_of(lot)) > MOST_SETS
    solved = by_scipy(lot) if is_large or seed % 5 == 0 else None
    best = solved if is_large else best_of(lot)
    if best is not None and solved is not None and unlike(best, solved):
        return f"two oracles differ: {best} and {solved}"
    if best is None:
        # Rules that nothing moves or mends are told apart; where they fail, no option says that it
        # meets the rules. Where only their reserve is not kept, the rules are met.
        met = [option.key for option in options.options if option.is_met]
        is_wrong = (met and options.failing_apart) or (options.options and not options.apart)
        return f"{len(options.options)} options where there is none" if is_wrong else ""
    if not options.options:
        return f"no option, but the oracle has {best}: {options.conflicts}"
    for place, (key, (cents, area, lost)) in enumerate(best.items()):
        option = options.option(key)
        each = [p.cents if lot.terms.counts_savings else max(p.cents, 0) for p in option.pieces]
        told = sum(each), option.changed_m2 / SQ_FT_M2, option.lost_deck_m2 / SQ_FT_M2
        if not option.is_met or not option.proof.is_proven:
            return f"{key} is not met or not proven: {option.unmet}{option.faults}{option.proof}"
        off = [abs(one - other) for one, other in zip(told, (cents, area, lost), strict=True)]
        # A share of a surface is told at its printed area and searched for at that rounded up.
        shares = sum(bool(piece.within) for piece in option.pieces)
        step = max(*lot.terms.build.values(), *lot.terms.remove.values()) / lot.terms.parts
        off[0] = max(off[0] - 2 * step * shares, 0.0) if told[0] <= cents else off[0]
        # Of what scipy solves only what is aimed at is known, not what chooses among equals.
        if is_large:
            off = [off[place]]
        if max(off) > 1e-4:
            return f"{key}: told {told}, the oracle has {(cents, area, lost)}"
        wrong = read_wrongly(lot, options.option(key), ruleset)
        if wrong:
            return f"{key}: {wrong}"
    return ""


def by_scipy(lot: Lot) -> dict[str, tuple[float, float, float]] | None:
    """The least of each aim by itself, by scipy's solver."""
    found = best_by_scipy(designs_of(lot), lines_of(lot.kind, lot.figures))
    return dict.fromkeys(AIMED, found) if found is not None else None


def unlike(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether two oracles differ in what is aimed at."""
    return any(abs(one[key][place] - other[key][place]) > 1e-4 for place, key in enumerate(AIMED))


def read_wrongly(lot: Lot, option: Any, ruleset: Any) -> str:
    """What the written file says otherwise than it was told."""
    lost = [
        line for line in lot.text.splitlines() if "#" in line and remark(line) not in option.text
    ]
    if lost:
        return f"a remark is lost: {lost[0]}"
    site = site_of(read_text(option.text, "lot.yaml"), Path("lot.yaml"))
    after = judged(site, ruleset)
    if not all(is_met(f, conditions=not lot.figures.avoids_conditions) for f in
               after.verdict.findings):  # fmt: skip
        return "the file that was written fails"
    areas: Areas = dict.fromkeys((*NAMES, *(f"{name} in yard" for name in NAMES)), 0.0)
    drawn = after.sheet.lot
    assert isinstance(drawn, DrawnLot)
    in_yard = drawn.survey.region("rear-yard") if lot.kind == "yard" else None
    for surface in site.surfaces:
        if surface.id != "house" and surface.stage != "removed":
            areas[surface.material.id] += surface.shape.area / SQ_FT_M2
            if in_yard is not None:
                own = surface.shape.intersection(in_yard).area / SQ_FT_M2
                areas[f"{surface.material.id} in yard"] += own
    total, reached = sum(pad.area for pad in lot.surfaces), sum(areas[name] for name in NAMES)
    out = math.fsum(p.area_m2 for p in option.pieces if p.way.material is None) / SQ_FT_M2
    areas["lawn"] += out
    if abs(reached + out - total) > 1e-5:
        return f"the surfaces of the file cover {reached} of {total} sq ft"
    # What is drawn is cut in tenths, halves and hundredths of feet: beyond the fifth decimal there
    # is only the rounding of the corners, and a sum exactly at its limit would miss it by that.
    if not lot.holds({name: round(own, 5) for name, own in areas.items()}):
        return "the areas of the file do not meet the rule"
    least = lot.terms.least
    return next((says for pad in lot.surfaces if (says := built_wrongly(pad, site, least))), "")


def remark(line: str) -> str:
    """The remark of a line, without what stands before it."""
    return line[line.index("#") :]


def built_wrongly(pad: Pad, site: Site, least: float) -> str:
    """What of a pad is not as it was before, or too narrow to be built."""
    for surface in site.surfaces:
        if surface.id.split("-")[0] != pad.name:
            continue
        changed = surface.material.id != pad.material
        stage = "replaced" if changed and pad.stage == "existing" else pad.stage
        was = {"existing": surface.material.id, "proposed": surface.material.id,
               "replaced": pad.was or pad.material}[stage]  # fmt: skip
        is_out = surface.stage == "removed" and OUT in pad.become
        if (surface.stage, surface.was.id) != (stage, was) and not is_out:
            return f"{surface.id} is {surface.stage}, was {surface.was.id}"
        # Morphological opening by the least width, with square corners, gives back what is wide.
        half = (least - 0.05) / 2 * FT_M
        opened = surface.shape.buffer(-half, join_style="mitre").buffer(half, join_style="mitre")
        if min(pad.size) >= least and surface.shape.difference(opened).area > 1e-4 * SQ_FT_M2:
            return f"{surface.id} is narrower than it may be: {surface.shape.wkt}"
    return ""


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
