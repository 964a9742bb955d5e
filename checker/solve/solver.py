"""Hands rows to HiGHS and says what came back: values, bound, and whether it is proven.

HiGHS comes with the extra `least`; it is loaded when the first program is solved, and prints
nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

from checker.core.problems import CheckerError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.algebra.linear import Linear, Rows

TOLERANCE: Final = 1e-9
"""How far a row may be passed: far below the share within which two amounts are the same."""

_LIMIT_S: Final = 60.0


class NoSolver(CheckerError):
    """The solver is not installed."""


class SolverStopped(CheckerError):
    """The solver gave up before it had an answer."""


@dataclass(frozen=True, slots=True)
class Solution:
    """What the solver found.

    Attributes:
        status: "optimal", "infeasible", or "unbounded" for a program without an end.
        values: The value of each variable, by number; empty when there is none.
        objective: What was minimised.
        bound: Nothing less is possible; equal to the objective when it is proven least.
    """

    status: Literal["optimal", "infeasible", "unbounded"]
    values: tuple[float, ...] = ()
    objective: float = math.nan
    bound: float = math.nan


def least(rows: Rows, objective: Linear) -> Solution:
    """The least value of an expression that the rows allow, with gap zero.

    Args:
        rows: Variables and rows.
        objective: What is minimised.

    Raises:
        NoSolver: HiGHS is not installed.
        SolverStopped: It neither found an answer nor showed that there is none within a minute.
    """
    if any(not row.terms and (row.low > 0 or row.high < 0) for row in rows.rows):
        return Solution("infeasible")
    highspy = _highspy()
    # The class itself prints a banner when it is made; the engine below it does not.
    solver = highspy.Highs.__bases__[0]()
    for option, value in (
        ("output_flag", False),
        ("log_to_console", False),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.0),
        ("primal_feasibility_tolerance", TOLERANCE),
        ("dual_feasibility_tolerance", TOLERANCE),
        ("mip_feasibility_tolerance", TOLERANCE),
        ("random_seed", 0),
        ("time_limit", _LIMIT_S),
    ):
        solver.setOptionValue(option, value)
    solver.passModel(_model(highspy, rows, objective))
    solver.run()
    return _answer(highspy, solver, rows, objective)


def _highspy() -> Any:  # noqa: ANN401 - the library ships no types
    try:
        import highspy
    except ImportError as error:
        raise NoSolver(
            "searching for the least change needs the solver HiGHS: pip install 'soakline[least]'"
        ) from error
    return highspy


def _model(highspy: Any, rows: Rows, objective: Linear) -> Any:  # noqa: ANN401 - as above
    import numpy as np

    kept = [row for row in rows.rows if row.terms]
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(rows.variables), len(kept)
    costs = np.zeros(len(rows.variables))
    for key, times in objective.terms.items():
        costs[key] = times
    model.col_cost_ = costs
    model.col_lower_ = np.array([item.low for item in rows.variables], dtype=float)
    model.col_upper_ = np.array([item.high for item in rows.variables], dtype=float)
    model.row_lower_ = np.array([row.low for row in kept], dtype=float)
    model.row_upper_ = np.array([row.high for row in kept], dtype=float)
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = np.cumsum([0, *(len(row.terms) for row in kept)]).astype(np.int32)
    model.a_matrix_.index_ = np.array([k for row in kept for k in row.terms], dtype=np.int32)
    model.a_matrix_.value_ = np.array([c for row in kept for c in row.terms.values()], dtype=float)
    if any(item.is_whole for item in rows.variables):
        kinds = highspy.HighsVarType
        model.integrality_ = [
            kinds.kInteger if item.is_whole else kinds.kContinuous for item in rows.variables
        ]
    return model


def _answer(highspy: Any, solver: Any, rows: Rows, objective: Linear) -> Solution:  # noqa: ANN401
    status = solver.getModelStatus()
    kinds = highspy.HighsModelStatus
    if status in {kinds.kInfeasible, kinds.kUnboundedOrInfeasible}:
        return Solution("infeasible")
    if status == kinds.kUnbounded:
        return Solution("unbounded")
    if status not in {kinds.kOptimal, kinds.kModelEmpty}:
        raise SolverStopped(
            f"the search stopped without an answer ({solver.modelStatusToString(status)}): open "
            "fewer surfaces, or let them change in part"
        )
    found = solver.getSolution().col_value
    values = tuple(
        float(round(value)) if item.is_whole else min(max(value, item.low), item.high)
        for value, item in zip(found, rows.variables, strict=True)
    )
    is_whole = any(item.is_whole for item in rows.variables)
    info = solver.getInfo()
    bound = info.mip_dual_bound if is_whole else info.objective_function_value
    reached = objective.value(as_mapping(values)) if values else objective.constant
    return Solution("optimal", values, reached, bound + objective.constant)


def as_mapping(values: tuple[float, ...]) -> Mapping[int, float]:
    """The values by the number of their variable."""
    return dict(enumerate(values))
