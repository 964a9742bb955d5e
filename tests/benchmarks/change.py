"""The least change of a whole lot, from the drawing to the file that is read back.

Run it from the top of a checkout: `python -m tests.benchmarks.change`; with the path of another
checkout behind it, that one is timed too, in turn with this one. The lots are made up: 100 and
1,000 rectangles of three materials, each of which may become permeable paving or lawn in bands of
half feet along any side, under one limit. What is printed is processor time, each round in a
process of its own, the best of some rounds, and the ratio to `python -c pass`.

No other program is known that also draws, writes and reads back. So the search alone, the cheapest
change and its bound, is set beside a plain model of the same job for `scipy.optimize.milp`, written
here by length times width without any code of ours: a switch for each surface, material, side and
width. It may take some times its time before it looks at the clock; where it proves nothing then,
the ratio is a bound.
"""

from __future__ import annotations

import json
import math
import os
import random
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path
from typing import Any

COUNTS = (100, 1000)
ROUNDS = 3
PATIENCE_S = 10.0
MODULE_FT, LEAST_FT, PITCH_FT = 0.5, 3.0, 30.0
FROM = {"concrete-slab": 5, "stone-slab": 6, "asphalt": 3}
"""Dollars a square foot to take out."""
TO = {"permeable-paving": (24, 0.25), "lawn": (2, 0.0)}
"""Dollars a square foot to build, and the share that counts."""
KEPT_FRACTION = 0.8

Pad = tuple[str, float, float]
"""Material, width and depth in feet."""


def pads(count: int) -> list[Pad]:
    """The surfaces of a lot."""
    dice = random.Random(5)
    found = []
    for _ in range(count):
        wide, deep = (round(dice.uniform(8, 24) * 2) / 2 for _ in range(2))
        found.append((dice.choice(list(FROM)), wide, deep))
    return found


def texts(own: list[Pad]) -> tuple[str, str]:
    """The site file and the rules."""
    from tests.solve.made import COUNTS as TABLES
    from tests.solve.made import SITE_HEAD

    side = math.ceil(math.sqrt(len(own)))
    lines = [
        f"  - {{id: p{k}, material: {material}, may_become: [{', '.join(TO)}], shape: {{rectangle: "
        f"{{corner: [{k % side * PITCH_FT + 2}, {k // side * PITCH_FT + 2}], "
        f"size: [{wide}, {deep}]}}}}}}\n"
        for k, (material, wide, deep) in enumerate(own)
    ]
    far = side * PITCH_FT + 10
    head = SITE_HEAD.replace("100", str(far))
    rules = (
        f"{TABLES % 0.25}rules:\n  - id: cover-limit\n    title: Counted cover\n"
        "    cite: {source: code, section: '1'}\n"
        f"    require: {{measure: cover, at_most: {limit_sq_ft(own)} sq ft}}\n"
    )
    return f"{head}surfaces:\n{''.join(lines)}", rules


def limit_sq_ft(own: list[Pad]) -> int:
    return int(sum(wide * deep for _, wide, deep in own) * KEPT_FRACTION)


def once(count: int) -> dict[str, float]:
    """Processor seconds of each stage of one search, and what it found."""
    import gc

    from checker.files.source import read_text
    from checker.findings.checked import judged
    from checker.site.read import site_of
    from checker.solve.costs import costs_of
    from checker.solve.goal import goal_of
    from checker.solve.optimum import solve
    from checker.solve.program import program_of
    from checker.solve.scenarios import as_read
    from checker.solve.search import least_change
    from tests.solve.made import rules

    gc.set_threshold(100_000, 10, 10)  # as the command line sets it
    text, limit = texts(pads(count))
    times_s = [time.process_time()]

    def lap() -> None:
        times_s.append(time.process_time())

    checked = judged(site_of(read_text(text, "lot.yaml"), Path("lot.yaml")), rules(limit))
    lap()
    options = least_change(checked)
    lap()
    goal = goal_of(checked.site, checked.ruleset)
    program = program_of(checked, goal, costs_of(checked.site), [as_read(checked)])
    lap()
    found = solve(program, ("cost",))
    lap()
    read_s, whole_s, build_s, solve_s = (b - a for a, b in pairwise(times_s))
    assert options.option("least-cost").is_met
    return {
        "read": read_s, "search": whole_s, "program": build_s, "cheapest": solve_s,
        "cents": found.objective, "bound": found.bound,
    }  # fmt: skip


def by_scipy(count: int) -> dict[str, float]:
    """The cheapest change by a plain model."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    own = pads(count)
    start_s = time.process_time()
    group, costs, gains = [], [], []
    for k, (material, wide, deep) in enumerate(own):
        for price, share in TO.values():
            cents = 100 * (price + FROM[material])
            areas = [wide * deep]
            for length, depth in ((wide, deep), (deep, wide)):
                steps = int((depth - LEAST_FT) / MODULE_FT + 1e-9)
                first = round(LEAST_FT / MODULE_FT)
                areas += [length * step * MODULE_FT for step in range(first, steps + 1)]
            for area in areas:
                group.append(k)
                costs.append(round(cents * area))
                gains.append(area * (1 - share))
    need = sum(wide * deep for _, wide, deep in own) - limit_sq_ft(own)
    switches = np.arange(len(group))
    one_each = csr_array((np.ones(len(group)), (np.array(group), switches)))
    found = milp(
        np.array(costs),
        integrality=np.ones(len(group)),
        bounds=Bounds(0, 1),
        constraints=[
            LinearConstraint(one_each, -np.inf, 1),
            LinearConstraint(np.array(gains)[None, :], need, np.inf),
        ],
        options={"mip_rel_gap": 0.0, "time_limit": PATIENCE_S},
    )
    bound = -math.inf if found.mip_dual_bound is None else float(found.mip_dual_bound)
    return {
        "cheapest": time.process_time() - start_s,
        "cents": math.inf if found.fun is None else float(found.fun),
        "bound": bound,
    }


def timed(checkout: Path, what: str, count: int) -> dict[str, Any]:
    """One round in a process of its own, on the code of a checkout."""
    run = subprocess.run(
        [sys.executable, __file__, what, str(count)],
        cwd=checkout, env=os.environ | {"PYTHONPATH": str(checkout)},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    found: dict[str, Any] = json.loads(run.stdout)
    return found


def pass_s() -> float:
    """The processor time of `python -c pass`."""
    before = os.times()
    subprocess.run([sys.executable, "-c", "pass"], check=True)
    after = os.times()
    return after.children_user + after.children_system - before[2] - before[3]


def main() -> None:
    """Print the times and the ratios."""
    here = Path.cwd()
    paths = [here, *(Path(path).resolve() for path in sys.argv[1:2])]
    checkouts = dict(zip(("this", "other"), paths, strict=False))
    base_s = min(pass_s() for _ in range(15))
    print(f"python -c pass: {base_s * 1000:.0f} ms")
    stages = ("read", "search", "program", "cheapest")
    print(f"{'lot':18}" + "".join(f"{stage:>11}" for stage in stages) + f"{'search/pass':>13}")
    for count in COUNTS:
        rounds: dict[str, list[dict[str, Any]]] = {name: [] for name in checkouts}
        for _ in range(ROUNDS):
            for name, checkout in checkouts.items():
                rounds[name].append(timed(checkout, "once", count))
        best = {
            name: {stage: min(own[stage] for own in each) for stage in stages}
            for name, each in rounds.items()
        }
        for name, own in best.items():
            times = "".join(f"{own[stage]:10.3f}s" for stage in stages)
            print(f"{f'{count}, {name}':18}{times}{own['search'] / base_s:12.0f}x")
        if "other" in best:
            ratios = (best["other"][stage] / best["this"][stage] for stage in stages)
            print(f"{'  other/this':18}" + "".join(f"{ratio:10.2f}x" for ratio in ratios))
        peer, own = timed(here, "scipy", count), rounds["this"][0]
        assert peer["bound"] <= own["cents"] + 0.5
        assert own["bound"] <= peer["cents"] + 0.5
        ours_s = best["this"]["program"] + best["this"]["cheapest"]
        gaps = (each["cents"] - each["bound"] for each in (peer, own))
        print(
            f"  scipy on a plain model: {peer['cheapest']:.2f} s, {peer['cheapest'] / ours_s:.1f} "
            "times program and cheapest; gaps {:.0f} and {:.0f} cents".format(*gaps)
        )


if __name__ == "__main__":
    if sys.argv[1:2] == ["once"]:
        print(json.dumps(once(int(sys.argv[2]))))
    elif sys.argv[1:2] == ["scipy"]:
        print(json.dumps(by_scipy(int(sys.argv[2]))))
    else:
        main()
