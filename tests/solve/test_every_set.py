"""Every set tried, beside the general solver; and a search that stops tells it."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from checker.algebra.linear import Linear, Rows, total
from checker.solve.every_set import best_of_every
from checker.solve.solver import MOST_WORK, Solution, least
from checker.solve.table import SolverTable, SolverTerms, table_of, terms_of


def table(seed: int) -> tuple[SolverTable, SolverTerms]:
    """Up to three groups of switches, some in two of them, and one or two that stand alone."""
    random = np.random.default_rng(seed)
    rows = Rows()
    count = int(random.integers(4, 14))
    switches = [rows.variable("on", 0.0, 1.0, is_whole=True) for _ in range(count)]
    groups = int(random.integers(1, 4))
    alone = int(random.integers(0, 3))
    member = random.random((groups, count - alone)) < 0.4
    member[random.integers(0, groups, count - alone), np.arange(count - alone)] = True
    for own in member:
        if own.any():
            rows.not_above(total((switches[k], 1.0) for k in np.flatnonzero(own)).plus(-1.0))
    for _ in range(int(random.integers(1, 4))):
        times = random.integers(-9, 10, count).tolist()
        rows.not_above(
            total(zip(switches, map(float, times), strict=True)).plus(float(random.integers(-6, 6)))
        )
    costs = random.integers(-3, 30, count).tolist()
    found = table_of(rows)
    found.high[random.random(count) < 0.1] = 0.0
    return found, terms_of(total(zip(switches, map(float, costs), strict=True)))


def by_hand(program: SolverTable, objective: SolverTerms) -> float:
    """The least of all switches on or off, in a plain loop."""
    least = math.inf
    for on in itertools.product((0.0, 1.0), repeat=len(program)):
        values = np.array(on)
        if (values > program.high).any():
            continue
        sums = [row.terms.value(values) for row in program.rows]
        if all(r.low - 1e-9 <= s <= r.high + 1e-9 for r, s in zip(program.rows, sums, strict=True)):
            least = min(least, objective.value(values))
    return least


@pytest.mark.parametrize("seed", range(150))
def test_the_best_of_every_set_is_that_of_a_plain_loop(seed: int) -> None:
    program, objective = table(seed)
    wanted = by_hand(program, objective)
    keys = best_of_every(program, objective, 1e-9)
    if keys is None:
        assert wanted == math.inf
        return
    values = np.zeros(len(program))
    values[list(keys)] = 1.0
    assert objective.value(values) == pytest.approx(wanted)
    for row in program.rows:
        assert row.low - 1e-9 <= row.terms.value(values) <= row.high + 1e-9


def test_areas_beside_the_switches_are_left_to_the_solver() -> None:
    rows = Rows()
    on, area = rows.variable("on", 0.0, 1.0, is_whole=True), rows.variable("area", 0.0, 2.0)
    rows.not_above(on.plus(area).plus(-1.0))
    assert best_of_every(table_of(rows), terms_of(on), 1e-9) is None
    assert best_of_every(table_of(Rows()), terms_of(Linear()), 1e-9) is None


def _stopped(most_work: int) -> tuple[SolverTable, Solution]:
    """Forty switches and an area that must come near to a need by sums of odd sizes."""
    random = np.random.default_rng(3)
    rows = Rows()
    switches = [rows.variable("on", 0.0, 1.0, is_whole=True) for _ in range(40)]
    area = rows.variable("area", 0.0, 0.001)
    for need in (180.0, 190.0, 200.0):
        sizes = random.uniform(5, 20, 40).tolist()
        rows.not_below(total(zip(switches, sizes, strict=True)).plus(area).plus(-need))
    costs = random.uniform(5, 20, 40).tolist()
    program = table_of(rows)
    objective = terms_of(total(zip(switches, costs, strict=True)))
    return program, least(program, objective, 0.0, most_work=most_work)


def test_a_search_that_stops_tells_its_bound_and_keeps_the_rows() -> None:
    program, short = _stopped(40 * 123)
    _, whole = _stopped(MOST_WORK)
    again = _stopped(40 * 123)[1]
    assert whole.is_closed
    assert not short.is_closed
    assert short.bound < whole.objective + 1e-6 <= short.objective + 2e-6
    assert (short.values == again.values).all()
    assert short.bound == again.bound
    for row in program.rows:
        assert row.low - 1e-8 <= row.terms.value(short.values) <= row.high + 1e-8
