"""Random lots as people draw and write them, for the proof of what is written: `prove_files.py`.

Pads are rectangles, angles, triangles, rounded, round, walks, in two parts or with a hole; they lie
over each other, under a pool and its coping, in an order or without one, with falls or without, on
lots in feet, survey feet or metres, straight or turned. What is said of them, what may become of
them, the goal, the prices and the rules are random too.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import NamedTuple

from tests.solve.structures import HARD, TABLES, rule

NEW = ("permeable-paving", "lawn", "gravel", "wood-deck", "sand-set-pavers")
PRICED = (*HARD, *NEW, "roof", "pool-water", "pool-coping")
UNITS = {"ft": 1.0, "m": 0.3048, "us survey ft": 0.9999980}
FALLS = """\
  - id: falls
    title: Fall of paving
    cite: {source: code, section: "20"}
    require: {for_each: {nature: sealed, purpose: pool-deck}, require: {value: slope, at_most: 2 %}}
"""


class Block(NamedTuple):
    """An entry of the list of surfaces, as it is written; `name` is its id."""

    name: str
    text: str


class FileLot(NamedTuple):
    """A random lot.

    Attributes:
        head: The text before the surfaces.
        blocks: Their entries.
        tail: The text behind them.
        costs: The text of a table of costs; empty for the one that is invented.
        prices: By material: cents to build and to take out a unit of area.
        priced_by: That unit.
    """

    head: str
    blocks: list[Block]
    tail: str
    costs: str
    prices: dict[str, tuple[int, int]]
    priced_by: str

    @property
    def text(self) -> str:
        return self.head + "".join(block.text for block in self.blocks) + self.tail


INVENTED = {
    "concrete-slab": (1400, 500), "stone-slab": (3000, 600), "asphalt": (800, 300),
    "permeable-paving": (2400, 400), "lawn": (200, 100), "gravel": (400, 200),
    "wood-deck": (3200, 400), "sand-set-pavers": (1800, 300), "roof": (9000, 1200),
}  # fmt: skip


class Drawer:
    """Writes shapes of one lot in feet, turned and in the unit of the file."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.unit = rng.choice(["ft", "ft", "ft", "m", "us survey ft"])
        self.times = UNITS[self.unit]
        self.turn = rng.choice([0.0, 0.0, 0.0, 90.0, rng.uniform(1, 89)])
        self.digits = rng.choice([2, 3, 6]) if self.turn in {0.0, 90.0} else rng.choice([4, 9])

    def number(self, feet: float) -> float:
        return round(feet * self.times, self.digits)

    def point(self, x: float, y: float) -> str:
        radians = math.radians(self.turn)
        a = x * math.cos(radians) - y * math.sin(radians) + (400 if self.turn else 0)
        b = x * math.sin(radians) + y * math.cos(radians) + (400 if self.turn else 0)
        return f"[{self.number(a)!r}, {self.number(b)!r}]"

    def points(self, corners: list[tuple[float, float]], more: str = "") -> str:
        return "{points: [" + ", ".join(self.point(*c) for c in corners) + f"]{more}}}"

    def box(self, x: float, y: float, w: float, h: float, more: str = "") -> str:
        return self.points([(x, y), (x + w, y), (x + w, y + h), (x, y + h)], more)

    def rectangle(self, x: float, y: float, w: float, h: float) -> str:
        size = f"[{self.number(w)!r}, {self.number(h)!r}]"
        turned = f", turned: {self.turn!r}" if self.turn else ""
        return f"{{rectangle: {{corner: {self.point(x, y)}, size: {size}{turned}}}}}"

    def holed(self, x: float, y: float, w: float, h: float) -> str:
        hole = self.box(x + w * 0.35, y + h * 0.4, w * 0.3, h * 0.25)
        return self.box(x, y, w, h, f", holes: [{hole}]")

    def angle(self, x: float, y: float, w: float, h: float) -> str:
        a, b = w * 0.55, h * 0.45
        return self.points([(x, y), (x + w, y), (x + w, y + b), (x + a, y + b), (x + a, y + h),
                            (x, y + h)])  # fmt: skip

    def slanted(self, x: float, y: float, w: float, h: float) -> str:
        return self.points([(x, y), (x + w, y), (x + w * 0.8, y + h), (x + w * 0.15, y + h)])

    def triangle(self, x: float, y: float, w: float, h: float) -> str:
        return self.points([(x, y), (x + w, y), (x + w * 0.3, y + h)])

    def rounded(self, x: float, y: float, w: float, h: float) -> str:
        radius = self.number(min(w, h) * 0.4)
        r = min(w, h) * 0.4
        arc = f"{{at: {self.point(x + w, y + h - r)}, turn: left, radius: {radius!r}}}"
        rest = [self.point(*c) for c in ((x + w - r, y + h), (x, y + h))]
        corners = [self.point(x, y), self.point(x + w, y), arc, *rest]
        return "{points: [" + ", ".join(corners) + "]}"

    def circle(self, x: float, y: float, w: float, h: float) -> str:
        centre = self.point(x + w / 2, y + h / 2)
        return f"{{circle: {{centre: {centre}, diameter: {self.number(min(w, h))!r}}}}}"

    def strip(self, x: float, y: float, w: float, h: float) -> str:
        along = ", ".join(self.point(*p) for p in ((x, y + 2), (x + w, y + 2), (x + w, y + h)))
        return f"{{strip: {{along: [{along}], width: {self.number(4.0)!r}}}}}"

    def two(self, x: float, y: float, w: float, h: float) -> str:
        parts = self.box(x, y, w * 0.4, h), self.box(x + w * 0.6, y, w * 0.4, h)
        return f"{{parts: [{', '.join(parts)}]}}"

    def pad(self, x: float, y: float, w: float, h: float) -> str:
        kinds: list[Callable[[float, float, float, float], str]] = [
            self.box, self.rectangle, self.rectangle, self.rectangle, self.holed, self.angle,
            self.slanted, self.triangle, self.rounded, self.circle, self.strip, self.two,
        ]  # fmt: skip
        return self.rng.choice(kinds)(x, y, w, h)


def file_lot(seed: int) -> FileLot:
    """A random lot."""
    rng = random.Random(seed)
    draw = Drawer(rng)
    head = (
        f"format: site/1   # seed {seed}\ntitle: Random\nplace: rules.yaml\nunits: {draw.unit}\n"
        f"rest_of_lot: lawn\n# the lot\nlot:\n  boundary: {draw.box(0, 0, 100, 100)}\n"
        "  sides: {front: [1], rear: [3], side: [2, 4]}\nsurfaces:\n"
    )
    house = rng.choice([draw.rectangle, draw.box])(5, 5, rng.choice([32, 40, 60]), 25)
    blocks = [
        Block("house", f"  - {{id: house, material: roof, fixed: yes, shape: {house}, "
              "attributes: {purpose: dwelling}}   # as built\n")
    ]  # fmt: skip
    pads: list[str] = []
    count = rng.choice([1, 1, 2, 2, 3, 4])
    spots = rng.sample([(8, 40), (50, 40), (8, 70), (52, 72), (30, 55)], count)
    removable: list[str] = []
    for index, (x, y) in enumerate(spots):
        name = ["patio", "court", "walk", "terrace"][index]
        w, h = (round(rng.uniform(5, 44), 1), round(rng.uniform(3, 26), 1))
        if rng.random() < 0.1:
            w, h = round(rng.uniform(1, 4), 2), round(rng.uniform(1, 4), 2)
        pads.append(name)
        blocks.append(Block(name, _entry(rng, name, draw.pad(x, y, w, h), removable)))
    if rng.random() < 0.4:
        blocks += _pool(rng, draw)
    rng.shuffle(blocks)
    prices, unit, costs = _prices(rng)
    panels = _panels(seed, draw, dict(zip(pads, spots, strict=True)))
    tail = panels + _tail(rng, pads, removable, is_priced=bool(costs))
    return FileLot(head, blocks, tail, costs, prices, unit)


def _entry(rng: random.Random, name: str, shape: str, removable: list[str]) -> str:
    material = rng.choice(HARD)
    become = rng.sample(NEW, rng.choice([1, 1, 2, 2, 3]))
    stage = rng.choice(["existing", "existing", "existing", "proposed", "replaced"])
    keys = [f"material: {material}"]
    if rng.random() < 0.4:
        keys.append(f"title: {rng.choice(['The old ' + name, 'Slab, north', 'Größe'])!r}")
    if stage != "existing":
        keys.append(f"stage: {stage}")
    if stage == "replaced" and rng.random() < 0.8:
        keys.append(f"was: {rng.choice([m for m in (*HARD, 'lawn') if m != material])}")
    given = ["purpose: pool-deck", "use: pedestrian", "slope: 1.5 %", "roughness: 3"]
    said = rng.sample(given[:3], rng.choice([0, 0, 1, 2, 3]))
    if said:
        keys.append(f"attributes: {{{', '.join(said)}}}")
    keys.append(f"shape: {shape}")
    if rng.random() < 0.15:
        removable.append(name)
    keys.append(f"may_become: [{', '.join(become)}]")
    style = rng.choice(["flow", "block", "remarks"])
    if style == "flow":
        return f"  - {{id: {name}, {', '.join(keys)}}}   # the {name}\n"
    if style == "block":
        return f"  - id: {name}\n" + "".join(f"    {key}\n" for key in keys)
    rng.shuffle(keys)
    lines = "".join(f"    {key}   # remark {i} of {name}\n" for i, key in enumerate(keys))
    return f"  - id: {name}   # the {name}\n    # a remark inside of {name}\n{lines}"


def _pool(rng: random.Random, draw: Drawer) -> list[Block]:
    pool = draw.rectangle(20, 50, rng.choice([12, 20, 30]), rng.choice([8, 14]))
    found = [Block("pool", f"  - {{id: pool, material: pool-water, fixed: yes, shape: {pool}}}\n")]
    if rng.random() < 0.6:
        ring = f"{{ring: {{around: pool, width: {draw.number(1.0)!r}}}}}"
        found.append(
            Block("coping", f"  - id: coping\n    material: pool-coping\n    fixed: yes\n"
                  f"    shape: {ring}   # all round\n")
        )  # fmt: skip
    return found


def _panels(seed: int, draw: Drawer, spots: dict[str, tuple[int, int]]) -> str:
    """Falls of the pads of every fifth lot: a plane each, given near its corner."""
    rng = random.Random(f"panels {seed}")
    if rng.random() >= 0.2:
        return ""
    lines = "".join(
        f"  - {{on: {name}, level: {rng.choice(['100.0', '99.5'])}, "
        f"at: {draw.point(x + 0.5, y + 0.5)}, pitch: 1.5 %, "
        f"toward: {rng.choice([0, 90, 180, 270])}}}   # how {name} falls\n"
        for name, (x, y) in spots.items()
    )
    return f"panels:\n{lines}"


def _prices(rng: random.Random) -> tuple[dict[str, tuple[int, int]], str, str]:
    """Prices, the unit of area that they are for, and the table that says so."""
    if rng.random() < 0.5:
        return INVENTED, "sq ft", ""
    unit = rng.choice(["sq ft", "sq ft", "m2"])
    prices: dict[str, tuple[int, int]] = {}
    lines = "format: costs/1\ntitle: Made up\ninvented: yes\ncosts:\n"
    for name in PRICED:
        own = rng.choice([0, 200, 400, 400, 800, 1400, 2400, 1234, 3333])
        out = rng.choice([0, 0, 100, 500, 500, 617])
        prices[name] = own, out
        lines += f"  - {{material: {name}, building: $%.2f/{unit}, removal: $%.2f/{unit}}}\n" % (
            own / 100,
            out / 100,
        )
    return prices, unit, lines


def _tail(rng: random.Random, pads: list[str], removable: list[str], *, is_priced: bool) -> str:
    tail = ""
    if len(pads) > 1 and rng.random() < 0.4:
        tail += f"order: [{', '.join(rng.sample(pads, len(pads)))}]   # what lies on top\n"
    if is_priced:
        tail += "costs: costs.yaml\n"
    goal = f"goal:\n  find: {rng.choice(['least cost', 'least area', 'most deck kept'])}\n"
    if removable:
        goal += f"  may_be_removed: [{', '.join(removable)}]\n"
    ways = []
    for name in pads:
        ways += [
            f"    {name}: {way}\n"
            for way in rng.choices(
                [
                    "",
                    "{along: front}",
                    "{along: lawn}",
                    "{along: house}",
                    "{change: whole}",
                    "{change: bays, bay: [5 ft, 48 in]}",
                ],
                [9, 2, 1, 1, 2, 1],
            )
            if way
        ]
    goal += f"  surfaces:   # how\n{''.join(ways)}" if ways else ""
    goal += rng.choice(["", "", "", "  reserve: 5 sq ft\n", "  reserve: 1 %\n"])
    goal += rng.choice(["", "", "", "  savings: counted\n"])
    goal += rng.choice(["", "", "", "  least_width: 5 ft\n  module: 1 ft\n", "  module: 4 in\n"])
    if rng.random() < 0.3:
        goal += "  as_built:\n    permeable-paving: {slope: 1 %, purpose: patio}\n"
    return tail + goal + rng.choice(["", "# the end\n", "none_found: [well]\n"])


def file_rules(seed: int, cover: float, hard: float, green: float) -> str:
    """Random rules about a lot of which so many square feet count today.

    Args:
        seed: Of the lot.
        cover: What counts as cover, sq ft.
        hard: What is hard, roofs with it.
        green: What is open.
    """
    rng = random.Random(f"rules {seed}")
    tables = (
        TABLES.replace("@UNTOLD", "").replace("@F", str(round(hard * 0.2, 3))).replace("@D", "38")
    )
    limit = round(cover * rng.uniform(0.7, 1.02), 3)
    small = round(hard * rng.uniform(0.6, 1.02), 3)
    ways = [
        f"{{measure: cover, at_most: {limit} sq ft}}",
        f"{{measure: cover, at_most: {{percent: {limit / 100:.3f}, of: lot_area}}}}",
        f"{{measure: hard, at_most: {small} sq ft}}",
        f"{{measure: green, at_least: {round(green * rng.uniform(0.99, 1.1), 3)} sq ft}}",
        f"{{measure: freed, at_most: {small} sq ft}}",
        f"{{measure: cliff, at_most: {small} sq ft}}",
        f"{{measure: cover, in: rear-yard, at_most: {round(cover * 0.25, 3)} sq ft}}",
        f"{{measure: porous, at_most: {round(cover * 0.1, 3)} sq ft}}",
        (
            f"{{any: [{{measure: cover, at_most: {limit} sq ft}}, "
            f"{{measure: porous, at_least: {round(cover * 0.1, 3)} sq ft}}]}}"
        ),
        (
            f"{{measure: hard, at_most: {{by: hard, tiers: [{{at_most: {small} sq ft, "
            f"value: {hard + 1} sq ft}}, {{more_than: {small} sq ft, value: {limit} sq ft}}]}}}}"
        ),
    ]
    picked = rng.sample(ways, rng.choice([1, 1, 2, 3]))
    text = "".join(rule(number, way) for number, way in enumerate(picked, 1))
    return tables.removeprefix("\n") + text + (FALLS if rng.random() < 0.2 else "")
