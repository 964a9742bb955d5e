"""The search for the least change at size: our program beside scipy's solver on the same rows.

Run it from the top of a checkout: `python tests/benchmarks/solve.py`. A made-up lot has 200 or
1,000 open surfaces that may each become one of four materials, all of it or nothing (switches), or
in bands (bands); what counts less costs more, so that no material is better in every way. Seconds
depend on the machine; the ratios to `python -c pass` and to `scipy.optimize.milp` in the same run
hardly. Where scipy proves nothing within its time, the ratio is a bound.
"""

from __future__ import annotations

import math
import random
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from checker.core.records import replace
from checker.files.source import read_text
from checker.findings.checked import judged
from checker.measure.words import built_in
from checker.rulesets.read import read_ruleset
from checker.site.read import site_of
from checker.solve.costs import read_costs
from checker.solve.goal import Way, goal_of
from checker.solve.model import maker_of
from checker.solve.program import Program, program_of
from checker.solve.scenarios import as_read
from checker.solve.solver import least
from checker.solve.table import SolverTable, SolverTerms

COLUMNS = 40
PATIENCE_S = 10.0
FROM = ("stone-slab", "concrete-slab", "asphalt")
TO = ("sand-set-pavers", "grid-paving", "permeable-paving", "rain-garden")

RULES = """
format: ruleset/1
id: made-up
title: Made up for a benchmark
kind: invented
in_force: {since: 2024-01-01}
sources: [{key: code, document: Made up, edition: "1", reading: invented}]
counts:
  cover:
    title: counted cover
    otherwise: 1
    rows:
      - {where: {material: sand-set-pavers}, weight: 80 %}
      - {where: {material: grid-paving}, weight: 55 %}
      - {where: {material: permeable-paving}, weight: 30 %}
      - {where: {nature: open}, weight: 0}
rules:
  - id: cover-limit
    title: Counted cover
    cite: {source: code, section: "1"}
    require: {measure: cover, at_most: {percent: 35, of: lot_area}}
"""

COSTS = """
format: costs/1
title: Made up for a benchmark
invented: yes
costs:
  - {material: stone-slab, building: $30/sq ft, removal: $6.15/sq ft}
  - {material: concrete-slab, building: $14/sq ft, removal: $5.35/sq ft}
  - {material: asphalt, building: $8/sq ft, removal: $3.05/sq ft}
  - {material: sand-set-pavers, building: $4.05/sq ft, removal: $3/sq ft}
  - {material: grid-paving, building: $13.95/sq ft, removal: $3/sq ft}
  - {material: permeable-paving, building: $25.55/sq ft, removal: $4/sq ft}
  - {material: rain-garden, building: $41.85/sq ft, removal: $3/sq ft}
  - {material: lawn, building: $2/sq ft, removal: $1/sq ft}
"""


def program(count: int, *, whole: bool) -> Program:
    """The program of a lot whose open surfaces lie side by side, with switches or with bands."""
    rng = random.Random(7)
    depth = -(-count // COLUMNS) * 12
    lines = [
        "format: site/1", "title: Made up for a benchmark", "place: made-up", "units: ft",
        "rest_of_lot: lawn",
        f"lot: {{boundary: {{points: [[0, 0], [480, 0], [480, {depth}], [0, {depth}]]}}}}",
        "surfaces:",
    ]  # fmt: skip
    for index in range(count):
        x, y = index % COLUMNS * 12, index // COLUMNS * 12
        size = [round(rng.uniform(7, 11.5), 2), round(rng.uniform(7, 11.5), 2)]
        lines.append(
            f"  - {{id: s{index}, material: {rng.choice(FROM)}, may_become: [{', '.join(TO)}], "
            f"shape: {{rectangle: {{corner: [{x}, {y}], size: {size}}}}}}}"
        )
    site = site_of(read_text("\n".join(lines), "benchmark.yaml"), Path("benchmark.yaml"))
    rules = read_ruleset(read_text(RULES, "rules.yaml"), lambda _: read_text("", ""), built_in())
    checked = judged(site, rules)
    goal = goal_of(site, rules)
    if whole:
        ways = {surface.id: Way(change="whole") for surface in site.surfaces}
        goal = replace(goal, ways=ways)
    costs = read_costs(read_text(COSTS, "costs.yaml"))
    return program_of(checked, goal, costs, [as_read(checked)])


def by_scipy(table: SolverTable, aim: SolverTerms) -> tuple[float, bool]:
    """The same rows handed to scipy: what it found, and whether it proved it."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    count, own = len(table), [row.terms for row in table.rows]
    matrix = csr_array(
        (
            np.concatenate([terms.times for terms in own]),
            np.concatenate([terms.variables for terms in own]),
            np.cumsum([0, *(len(terms.times) for terms in own)]),
        ),
        shape=(len(own), count),
    )
    found = milp(
        aim.dense(count),
        integrality=table.is_whole.astype(int),
        bounds=Bounds(table.low, table.high),
        constraints=LinearConstraint(
            matrix, [row.low for row in table.rows], [row.high for row in table.rows]
        ),
        options={"mip_rel_gap": 0.0, "time_limit": PATIENCE_S},
    )
    reached = math.inf if found.fun is None else float(found.fun) + aim.constant
    return reached, bool(found.status == 0)


def best_s(work: Any, rounds: int) -> tuple[float, Any]:
    """The best time of several rounds, and what came back."""
    times_s: list[float] = []
    result: Any = None
    for _ in range(rounds):
        start_s = time.perf_counter()
        result = work()
        times_s.append(time.perf_counter() - start_s)
    return min(times_s), result


def main() -> None:
    """Print the ratios."""
    base_s, _ = best_s(lambda: subprocess.run([sys.executable, "-c", "pass"], check=False), 15)
    print(f"python -c pass {base_s * 1000:.1f} ms")
    heads = ("build", "solve", "scipy", "to scipy", "to pass")
    print(f"{'program':26}" + "".join(f"{head:>10}" for head in heads))
    for count in (200, 1000):
        for whole in (True, False):
            build_s, made = best_s(lambda c=count, w=whole: program(c, whole=w), 1)
            model = maker_of(made).model(made.rows, ["cost"])
            table, aim = model.table, model.aims[0]
            solve_s, found = best_s(lambda t=table, a=aim: least(t, a), 3)
            scipy_s, (other, is_proven) = best_s(lambda t=table, a=aim: by_scipy(t, a), 1)
            # A gap of a cent in a thousand dollars at most, and never more than what scipy finds.
            assert abs(found.objective - found.bound) <= 1e-5 * found.objective, found.objective
            assert found.objective <= other + 0.5, (found.objective, other)
            assert not is_proven or abs(found.objective - other) <= 0.5
            name = f"{count} surfaces, {'switches' if whole else 'bands'}"
            print(
                f"{name:26}{build_s:9.3f}s{solve_s:9.3f}s{scipy_s:9.3f}s"
                f"{solve_s / scipy_s:9.2f}x{solve_s / base_s:9.1f}x"
                f"{'' if is_proven else '   scipy: not proven'}"
            )


if __name__ == "__main__":
    main()
