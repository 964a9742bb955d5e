"""Rule structures for the proof: the text of each, and what it asks of plain sums of areas."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

Areas = dict[str, Any]
"""Square feet of each material that may change, over many sets of designs at once."""

Holds = Callable[[Areas], Any]

HARD = ("concrete-slab", "stone-slab", "asphalt")
NEW = ("permeable-paving", "lawn", "gravel")
LOT = 10_000

TABLES = """
regions:
  rear-yard: {title: rear yard, yard: rear, depth: @D ft}
counts:
  cover:
    title: counted cover
    otherwise: 1
    levels: heaviest
    rows:
      - {where: {material: permeable-paving@UNTOLD}, weight: 25 %}
      - {where: {material: gravel}, weight: 60 %}
      - {where: {nature: [open, water]}, weight: 0}
  porous:
    title: porous
    otherwise: 0
    levels: heaviest
    rows: [{where: {material: permeable-paving}, weight: 1}]
  green: {title: green, otherwise: 0, levels: top, rows: [{where: {nature: open}, weight: 1}]}
  hard:
    title: hard
    otherwise: 0
    levels: heaviest
    rows: [{where: {material: [concrete-slab, stone-slab, asphalt, roof]}, weight: 1}]
  freed:
    title: counted with a free amount
    otherwise: 0
    levels: heaviest
    rows:
      - {where: {material: [concrete-slab, stone-slab, asphalt]}, weight: 1, exempt_first: @F sq ft}
      - {where: {material: roof}, weight: 1}
  cliff:
    title: counted beyond a cap
    otherwise: 0
    levels: heaviest
    rows:
      - where: {material: [concrete-slab, stone-slab, asphalt]}
        weight: 1
        exempt_up_to: @F sq ft
        beyond: all
      - {where: {material: roof}, weight: 1}
rules:
"""


class Numbers(NamedTuple):
    """Random figures in square feet, off any step, so that no design stands on one by chance.

    `is_untold`: the share that permeable paving counts hangs on its slope, which nobody tells, so
    that it may be all or a quarter.
    """

    house: float
    paved: float
    limit: float
    more: float
    free: float
    yard: float = 0.0
    kept: float = 0.0
    share_kept: float = 0.0
    avoids_conditions: bool = False
    is_untold: bool = False

    def most(self, limit: float) -> float:
        """What an upper limit leaves when the reserve is kept."""
        return limit * (1 - self.share_kept) - self.kept

    def least(self, limit: float) -> float:
        """What a lower limit asks for when the reserve is kept."""
        return limit * (1 + self.share_kept) + self.kept

    def cover(self, a: Areas) -> Any:
        """What counts at most: the house, what is hard, and shares of the rest."""
        share = 1.0 if self.is_untold else 0.25
        return self.house + hard(a) + share * a["permeable-paving"] + 0.6 * a["gravel"]

    def cover_at_least(self, a: Areas) -> Any:
        """What counts in any case."""
        return self.house + hard(a) + 0.25 * a["permeable-paving"] + 0.6 * a["gravel"]


def hard(areas: Areas) -> Any:
    """What of the surfaces is hard."""
    return sum(areas[name] for name in HARD)


def numbers(
    rng: random.Random, house: float, paved: float, in_yard: float = 0.0, reserve: str = ""
) -> Numbers:
    """Figures for one lot; `reserve` is the reserve: "area", "share" or none."""
    limit = round(house + paved * rng.uniform(0.15, 1.05), 3) + 0.00037
    more = round(paved * rng.uniform(0.1, 0.8), 3) + 0.00041
    free = round(paved * rng.uniform(0.2, 0.9), 3) + 0.00053
    yard = round(in_yard * rng.uniform(0.1, 1.05), 3) + 0.00061
    kept = round(paved * rng.uniform(0.01, 0.045), 2) if reserve == "area" else 0.0
    share = rng.choice([0.5, 1, 2]) / 100 if reserve == "share" else 0.0
    return Numbers(house, paved, limit, more, free, yard, kept, share, rng.random() < 0.3)


def rule(number: int, require: str, more: str = "") -> str:
    return (
        f"  - id: r{number}\n    title: Rule {number}\n"
        f'    cite: {{source: code, section: "{number}"}}\n    require: {require}\n{more}'
    )


def at_most(limit: float, measure: str = "cover") -> str:
    return f"{{measure: {measure}, at_most: {limit} sq ft}}"


def area(n: Numbers) -> tuple[str, Holds]:
    return rule(1, at_most(n.limit)), lambda a: n.cover(a) <= n.most(n.limit)


def share(n: Numbers) -> tuple[str, Holds]:
    percent = round(n.limit / 100, 4)
    text = rule(1, f"{{measure: cover, at_most: {{percent: {percent:.4f}, of: lot_area}}}}")
    return text, lambda a: n.cover(a) <= n.most(percent * 100)


def ratio(n: Numbers) -> tuple[str, Holds]:
    percent = round(n.limit / 100, 4)
    text = rule(1, f"{{value: {{ratio: [cover, lot_area]}}, at_most: {percent:.4f} %}}")
    return text, lambda a: n.cover(a) <= n.most(percent * 100)


def porous(n: Numbers) -> tuple[str, Holds]:
    text = rule(1, at_most(n.limit)) + rule(2, at_most(n.more, "porous"))
    return (
        text,
        lambda a: (n.cover(a) <= n.most(n.limit)) & (a["permeable-paving"] <= n.most(n.more)),
    )


def green(n: Numbers) -> tuple[str, Holds]:
    rest = LOT - n.house - n.paved
    text = rule(1, f"{{measure: green, at_least: {rest + n.more} sq ft}}")
    return text, lambda a: a["lawn"] >= n.least(rest + n.more) - rest


def upper(n: Numbers) -> tuple[str, Holds]:
    rest = LOT - n.house - n.paved
    text = rule(1, at_most(n.limit)) + rule(2, at_most(rest + n.more, "green"))
    return (
        text,
        lambda a: (n.cover(a) <= n.most(n.limit)) & (a["lawn"] <= n.most(rest + n.more) - rest),
    )


def first(n: Numbers) -> tuple[str, Holds]:
    text = rule(1, at_most(n.limit, "freed"))
    return text, lambda a: n.house + np.maximum(hard(a) - n.free, 0) <= n.most(n.limit)


def cliff(n: Numbers) -> tuple[str, Holds]:
    # A change keeps a tenth of a square foot from the cap.
    text = rule(1, at_most(n.limit, "cliff"))
    most = n.most(n.limit)
    return (
        text,
        lambda a: ((hard(a) <= n.free - 0.1) & (n.house <= most)) | (n.house + hard(a) <= most),
    )


def ladder(n: Numbers) -> tuple[str, Holds]:
    # A plain limit, a more lenient one with a paper, and a third for those with porous paving.
    rungs = (
        "    or_else:\n      - outcome: passes with conditions\n"
        f"        require: {at_most(n.limit)}\n        documents: [plan]\n"
        "      - outcome: passes with conditions\n"
        f"        require: {{all: [{at_most(n.limit + n.more / 4)}, "
        f"{{measure: porous, at_least: {n.more / 2} sq ft}}]}}\n        documents: [plan]\n"
    )

    def holds(a: Areas) -> Any:
        # A reserve is room to the limit of the rung on which a design stands.
        plain = n.limit - n.more / 2
        found = n.cover(a) <= n.most(plain)
        if n.avoids_conditions:
            return found
        found |= (n.cover_at_least(a) > plain) & (n.cover(a) <= n.most(n.limit))
        third = (n.cover_at_least(a) > n.limit) & (n.cover(a) <= n.most(n.limit + n.more / 4))
        return found | (third & (a["permeable-paving"] >= n.least(n.more / 2)))

    return rule(1, at_most(n.limit - n.more / 2), rungs), holds


def either(n: Numbers) -> tuple[str, Holds]:
    text = rule(1, f"{{any: [{at_most(n.limit)}, {{measure: porous, at_least: {n.more} sq ft}}]}}")
    return (
        text,
        lambda a: (n.cover(a) <= n.most(n.limit)) | (a["permeable-paving"] >= n.least(n.more)),
    )


def both(n: Numbers) -> tuple[str, Holds]:
    low = n.limit - max(n.paved * 0.12, 10.0)
    text = rule(1, at_most(n.limit)) + rule(2, f"{{measure: cover, at_least: {low} sq ft}}")
    return (
        text,
        lambda a: (n.cover(a) <= n.most(n.limit)) & (n.cover_at_least(a) >= n.least(low)),
    )


def tiers(n: Numbers) -> tuple[str, Holds]:
    # More hard ground lowers the limit.
    edge, lower = n.house + n.more, n.limit - n.more / 3
    cases = (
        f"{{when: {at_most(edge, 'hard')}, value: {n.limit} sq ft}}, "
        f"{{when: {{measure: hard, more_than: {edge} sq ft}}, value: {lower} sq ft}}"
    )
    text = rule(1, f"{{measure: cover, at_most: {{choose: [{cases}]}}}}")

    def holds(a: Areas) -> Any:
        # A change keeps a tenth of a square foot from where the limit jumps, on either side.
        over = n.house + hard(a) - edge
        below = (over <= -0.1) & (n.cover(a) <= n.most(n.limit))
        return below | ((over >= 0.1) & (n.cover(a) <= n.most(lower)))

    return text, holds


def brackets(n: Numbers) -> tuple[str, Holds]:
    # A graduated amount of what is hard: a fifth of the first part, half of the rest.
    edge = n.house + n.more
    most = round(0.2 * edge + 0.5 * max(n.limit - edge, 0), 3)
    rows = f"[{{percent: 20, up_to: {edge} sq ft}}, {{percent: 50}}]"
    text = rule(1, f"{{value: {{brackets: {rows}, of: hard}}, at_most: {most} sq ft}}")

    def graduated(a: Areas) -> Any:
        whole = n.house + hard(a)
        return 0.2 * np.minimum(whole, edge) + 0.5 * np.maximum(whole - edge, 0)

    return text, lambda a: graduated(a) <= n.most(most)


def yard(n: Numbers) -> tuple[str, Holds]:
    text = rule(1, at_most(n.limit)) + rule(
        2, f"{{measure: cover, in: rear-yard, at_most: {n.yard} sq ft}}"
    )

    def holds(a: Areas) -> Any:
        inside = {name: a[f"{name} in yard"] for name in (*HARD, *NEW)}
        return (n.cover(a) <= n.most(n.limit)) & (n.cover(inside) - n.house <= n.most(n.yard))

    return text, holds


STRUCTURES: dict[str, Callable[[Numbers], tuple[str, Holds]]] = {
    "area": area, "share": share, "ratio": ratio, "porous": porous, "green": green,
    "upper": upper, "first": first, "cliff": cliff, "ladder": ladder, "either": either,
    "both": both, "tiers": tiers, "brackets": brackets, "yard": yard,
}  # fmt: skip
