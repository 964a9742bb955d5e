"""Which surface lies over which: one is put over another, and no other overlap is turned round."""

from __future__ import annotations

import itertools
import random
from pathlib import Path
from typing import Any

import pytest
from shapely import box

from checker.board.changes import Refused, applied
from checker.board.overlying import overlaps_of, put_over
from checker.board.plan import Plan, plan_of
from checker.board.verdict import check_fast

HEAD = """\
format: site/1
title: Slabs over each other (invented)
place: alder-ferry
units: ft
lot: {boundary: {rectangle: {corner: [0, 0], size: [40, 40]}}}
"""
MATERIALS = ("concrete-slab", "stone-slab", "pool-water", "sand-set-pavers", "wood-deck", "roof")
STAGES = ("existing", "proposed", "removed")


def drawn(dice: random.Random, count: int) -> tuple[str, dict[str, Any]]:
    """Rectangles on a grid, which overlap by whole feet or not at all; some in an order."""
    lines, boxes = ["surfaces:"], {}
    for number in range(count):
        x, y, w, h = (dice.randrange(1, 20), dice.randrange(1, 20), dice.randrange(2, 16),
                      dice.randrange(2, 16))  # fmt: skip
        name = f"slab-{number}"
        boxes[name] = box(x, y, x + w, y + h)
        lines.append(
            f"  - {{id: {name}, material: {dice.choice(MATERIALS)}, stage: {dice.choice(STAGES)},"
            f" shape: {{rectangle: {{corner: [{x}, {y}], size: [{w}, {h}]}}}}}}"
        )
    if dice.random() < 0.5:
        some = dice.sample(sorted(boxes), dice.randrange(1, count))
        lines.append(f"order: [{', '.join(some)}]")
    return HEAD + "\n".join(lines) + "\n", boxes


def wins(plan: Plan) -> dict[tuple[str, str], bool]:
    """For each pair that overlaps, whether the first lies over the second."""
    return {
        (surface.id, other["id"]): other["is_over"]
        for surface in plan.site.surfaces
        for other in overlaps_of(plan.site, surface.id)
    }


@pytest.mark.parametrize("seed", range(40))
def test_one_is_put_over_another_and_what_is_not_between_stays(seed: int, tmp_path: Path) -> None:
    dice = random.Random(seed)
    text, boxes = drawn(dice, dice.randrange(3, 9))
    plan = plan_of(text, tmp_path / "site.yaml")
    before = wins(plan)
    for (one, other), is_over in before.items():
        # Each pair is told from both ends, and of rectangles that do overlap.
        assert before[other, one] is not is_over
        assert boxes[one].intersection(boxes[other]).area > 0
    pairs = [pair for pair, is_over in before.items() if not is_over]
    if not pairs:
        assert isinstance(put_over(plan, "slab-0", "slab-1"), Refused)
        return
    upper, lower = dice.choice(pairs)
    change = put_over(plan, upper, lower)
    assert not isinstance(change, Refused)
    data = applied(plan.data, change)
    assert isinstance(data, dict)
    order = f"order: [{', '.join(data['order'])}]\n"
    now = plan_of(text.split("order:")[0] + order, tmp_path / "site.yaml")
    after = wins(now)
    assert after[upper, lower]
    turned = {pair for pair in before if before[pair] is not after[pair]}
    # What lay over the one and under the other comes along, or it would lie between the two.
    moved = {upper} | {
        name for name in boxes if before.get((name, upper)) or _rests_on(name, upper, before)
    }
    for one, other in turned:
        assert {one, other} & moved, (one, other)
    for (one, other), is_over in before.items():
        # What lies on the one that rises is not run through by it.
        assert other != upper or one == lower or after[one, other] is is_over
    # The file's own reading of who is seen, by the pieces of the lot.
    for state in ("existing", "proposed"):
        _seen_as_told(now, state, after)


def _rests_on(name: str, base: str, over: dict[tuple[str, str], bool]) -> bool:
    """Whether one lies over another by way of others."""
    reached: set[str] = set()
    edge = {base}
    while edge:
        edge = {a for (a, b), is_over in over.items() if is_over and b in edge} - reached
        reached |= edge
    return name in reached


def _seen_as_told(plan: Plan, state: Any, over: dict[tuple[str, str], bool]) -> None:
    levels = {s.id: m.level for s in plan.site.surfaces if (m := s.material_in(state)) is not None}
    visible = check_fast(plan.site).checked.survey.partition(state).visible
    for one, other in itertools.permutations(levels, 2):
        if levels[one] == levels[other] and over.get((one, other)):
            seen = visible.get(other)
            hidden = next(s.shape for s in plan.site.surfaces if s.id == one)
            assert seen is None or seen.intersection(hidden).area < 1e-9


def test_what_does_not_overlap_is_refused(tmp_path: Path) -> None:
    text = HEAD + "surfaces:\n" + "".join(
        f"  - {{id: {name}, material: {material}, shape: {{rectangle: {{corner: [{x}, 1],"
        " size: [4, 4]}}}\n"
        for name, material, x in (("slab", "concrete-slab", 1), ("deck", "wood-deck", 3),
                                  ("pad", "concrete-slab", 9))
    )  # fmt: skip
    plan = plan_of(text, tmp_path / "site.yaml")
    # A slab apart, and what is not there.
    for lower in ("pad", "nothing"):
        found = put_over(plan, "slab", lower)
        assert isinstance(found, Refused)
        assert found.do
