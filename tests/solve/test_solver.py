"""The solver: silent, clear when it is absent, and proven to the cent."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal

import numpy as np
import pytest

from checker.algebra.linear import Linear, Rows, total
from checker.solve import optimum, solver
from checker.solve.costs import Price
from checker.solve.model import ChangeModel
from checker.solve.quanta import in_quanta
from checker.solve.solver import NoSolver, SolverStopped, least
from checker.solve.table import table_of, terms_of
from tests.solve.made import SQ_FT_M2


def test_nothing_is_printed_by_a_search() -> None:
    # In a process of its own, since the library below Python writes past `sys.stdout`.
    code = (
        "from pathlib import Path; from checker import api\n"
        "site = api.load_site(Path('samples/least-change-yard/site.yaml'))\n"
        "api.least_change(api.check(site, api.load_ruleset_for(site)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == done.stderr == ""


def test_an_absent_solver_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "highspy", None)
    rows = Rows()
    area = rows.variable("area", 0.0, 10.0)
    with pytest.raises(NoSolver, match=r"pip install '\.\[least\]'"):
        least(table_of(rows), terms_of(area))


def test_the_solver_is_loaded_only_when_needed() -> None:
    code = (
        "import sys; from checker import api; import checker.solve.search\n"
        "print('highspy' in sys.modules, 'matplotlib' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]


def test_areas_have_bound_and_value_alike() -> None:
    # Least 3 a + 2 b with a + b >= 4, b <= 1: b = 1, a = 3, so 11.
    rows = Rows()
    a, b = rows.variable("a", 0.0, 10.0), rows.variable("b", 0.0, 1.0)
    rows.not_below(a.plus(b).plus(-4.0))
    found = least(table_of(rows), terms_of(total([(a, 3.0), (b, 2.0)])))
    assert found.objective == pytest.approx(11.0)
    assert found.bound == pytest.approx(11.0)
    assert found.values == pytest.approx((3.0, 1.0))


def test_switches_and_areas_together() -> None:
    # Opening costs 10 and lets up to 5 be used at 1 each; 3 is needed: 13.
    rows = Rows()
    switch, area = rows.switch("open"), rows.variable("area", 0.0, 5.0)
    rows.not_above(area.plus(switch, -5.0))
    rows.not_below(area.plus(-3.0))
    found = least(table_of(rows), terms_of(total([(switch, 10.0), (area, 1.0)])))
    assert found.objective == pytest.approx(13.0)
    assert found.bound == pytest.approx(13.0)


def test_a_search_without_an_answer_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solver, "_LIMIT_S", 0.0)
    rows = Rows()
    picks = [rows.switch(f"{i}") for i in range(40)]
    area = rows.variable("area", 0.0, 1.0)
    # Pairs of sums that no set of whole numbers meets at once.
    rows.between(10.5, total([(p, 1.0) for p in picks]).plus(area), 10.75)
    rows.between(3.1, total([(p, float(i % 7) + 0.3) for i, p in enumerate(picks)]), 77.3)
    with pytest.raises(SolverStopped, match="stopped without an answer"):
        least(table_of(rows), terms_of(Linear(0.0, {0: 1.0, 40: -0.5})))


def test_a_price_is_the_printed_area_times_the_printed_price() -> None:
    price = Price(cents=Decimal("2450"), unit="$/sq ft")
    # 213.333 sq ft is printed as 213.3; 213.3 x $24.50 = $5,225.85.
    assert price.of(213.333 * SQ_FT_M2) == 522585
    # 10.05 sq ft goes to 10.1, halves away from zero: 10.1 x 24.50 = 247.45.
    assert price.of(10.05 * SQ_FT_M2) == 24745
    metric = Price(cents=Decimal("19999"), unit="$/m2")
    # 12.344 m2 is printed as 12.34: 12.34 x 199.99 = 2,467.8766, so $2,467.88.
    assert metric.of(12.344) == 246788
    assert str(price) == "$24.50/sq ft"


def test_a_need_between_two_sums_is_raised_to_the_next() -> None:
    # Gains of 31.5, 36.75 and 40.5 are multiples of 0.75: 70.1 is reached by 70.5 at the earliest.
    gains = np.array([0.0, 31.5, 0.0, 36.75, 0.0, 40.5])
    assert in_quanta(gains, 3, 70.1) == pytest.approx(70.5, abs=1e-6)
    # Without a common measure the need stays as it is.
    assert in_quanta(np.array([0.0, 1.0, 0.0, 2**0.5]), 2, 2.1) == 2.1


@pytest.mark.parametrize(
    ("aim", "reached", "is_least"),
    [
        ("cost", 5.0, True), ("cost", 6.0, False), ("pieces", 5.0, True), ("pieces", 5.67, False),
        ("area", 4.0 + 2 / 3, True), ("area", 4.0 + 2 / 3 + 1e-6, False), ("area", 5.0, False),
    ],
)  # fmt: skip
def test_a_set_is_the_least_where_parts_of_cuttings_are_no_less(
    aim: optimum.Aim, reached: float, is_least: bool
) -> None:
    """2 for 3 and 3 for 5, 3 are needed: with parts 2 + 1/3 of 3, 3 + 5/3. No cent lies between
    that and 5, but areas do.
    """
    rows = Rows()
    small, large = rows.switch("small"), rows.switch("large")
    rows.not_above(total([(small, -2.0), (large, -3.0)]).plus(3.0))
    costs = terms_of(total([(small, 3.0), (large, 5.0)]))
    model = ChangeModel(table_of(rows), [costs], np.arange(2), [])
    assert optimum._is_least(model, 0, aim, reached) == is_least
    assert model.table.is_whole.all()
