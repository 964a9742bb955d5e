"""Hands rows to HiGHS and says what came back: values, bound, and whether it is proven.

HiGHS comes with the extra `least`; it is loaded when the first program is solved, and prints
nothing.
"""

from __future__ import annotations

import math
from itertools import count
from typing import TYPE_CHECKING, Any, Final, Literal

import numpy as np

from checker.core.problems import CheckerError
from checker.core.records import Record, replace
from checker.solve.choices import least_choice
from checker.solve.every_set import best_of_every
from checker.solve.table import SolverTable

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.solve.cuttings import Array
    from checker.solve.table import SolverTerms

TOLERANCE: Final = 1e-9
"""How far a row may be passed: far below the share within which two amounts are the same."""

_WHOLE_TOLERANCE: Final = 1e-6
"""How far a switch may be off a whole number while the solver works; it is rounded afterwards."""

_ROW_FRACTION: Final = 1e-8
_LIMIT_S: Final = 600.0
"""A last stop for what nobody foresaw: the branches below run out long before."""

MOST_NODES: Final = 40_000
"""A search that is stopped stops at the same branch on every machine, however busy it is."""

_MANY: Final = 1_000
"""With more switches than this the solver's own preparation takes longer than all the rest."""

MOST_WORK: Final = 60_000_000
"""Times the solver asks whether it should stop, times the numbers in the rows: a minute or so.

Branches say nothing of the work at the first of them, which has no end in some small programs; the
clock says something else on every machine.
"""

_FEW_NODES: Final = 40
_NODE_WORK: Final = 6_000_000
"""Branches times the numbers in the rows: what a large program may take, some seconds."""


class NoSolver(CheckerError):
    """The solver is not installed."""


class SolverStopped(CheckerError):
    """The solver gave up before it had an answer."""


class Solution(Record):
    """What the solver found.

    Attributes:
        status: "optimal", "infeasible", or "unbounded" for a program without an end.
        values: The value of each variable, shape (n,); None when there is none.
        objective: What was minimised.
        bound: Nothing less is possible; equal to the objective when it is proven least.
        left_open: The further aims that may not be least among equals of the first.
        cuttings: The cuttings that are chosen, where there are any to choose from.
    """

    status: Literal["optimal", "infeasible", "unbounded"]
    values: Array = None
    objective: float = math.nan
    bound: float = math.nan
    left_open: tuple[str, ...] = ()
    cuttings: tuple[int, ...] = ()

    @property
    def is_closed(self) -> bool:
        """Whether nothing better is left to be found."""
        return abs(self.objective - self.bound) <= 1e-6 * max(1.0, abs(self.objective))


def least(
    table: SolverTable,
    objective: SolverTerms,
    unit: float = 1.0,
    enough: float = 0.0,
    most_nodes: int = MOST_NODES,
    most_work: int = MOST_WORK,
) -> Solution:
    """The least value of an expression that the rows allow, with gap zero.

    Args:
        table: Variables and rows.
        objective: What is minimised.
        unit: What the objective is counted in where switches alone decide: a cent; 0 for nothing.
        enough: The search may stop when nothing better by more than this is left.
        most_nodes: The search stops at so many branches.
        most_work: The search stops after so much work; see `MOST_WORK`.

    Returns:
        The least value and the bound; they differ only where the search stopped in time.

    Raises:
        NoSolver: HiGHS is not installed.
        SolverStopped: It neither found an answer nor showed that there is none in time.
    """
    if any(not len(row.terms.times) and (row.low > 0 or row.high < 0) for row in table.rows):
        return Solution("infeasible")
    step = _step(table, objective, unit) if unit else 0.0
    chosen = least_choice(table, objective, step, enough)
    if chosen is not None:
        on = np.zeros(len(table))
        on[list(chosen.keys)] = 1.0
        return Solution("optimal", on, chosen.cost, chosen.bound)
    is_large = _free_switches(table) > _MANY
    best = _every_tried(table, objective) if is_large else None
    if best is not None:
        return best
    how = _How(_WHOLE_TOLERANCE, enough, most_nodes, most_work)
    try:
        found = _run(table, objective, how)
    except SolverStopped:
        best = _every_tried(table, objective)
        if best is None:
            raise
        return best
    if found.status == "optimal" and found.objective - found.bound > max(enough, TOLERANCE):
        best = None if is_large or found.is_closed else _every_tried(table, objective)
        if best is not None:
            return best
    if found.status == "optimal" and not _holds(table, found.values):
        # A switch that was a hair off one let a row pass that does not hold with the switch on.
        found = _run(table, objective, replace(how, whole_tolerance=TOLERANCE))
    if found.status == "optimal" and step:
        whole = math.ceil((found.bound - objective.constant) / step - 1e-6) * step
        return Solution("optimal", found.values, found.objective, whole + objective.constant)
    return found


def _every_tried(table: SolverTable, objective: SolverTerms) -> Solution | None:
    """The best of every set; None where there are too many, or none."""
    keys = best_of_every(table, objective, TOLERANCE)
    if keys is None:
        return None
    values = np.zeros(len(table))
    values[list(keys)] = 1.0
    reached = objective.value(values)
    return Solution("optimal", values, reached, reached)


def _free_switches(table: SolverTable) -> int:
    return int((table.is_whole & (table.high > table.low)).sum())


class _How(Record):
    """How a run goes: see `least`."""

    whole_tolerance: float
    enough: float
    most_nodes: int
    most_work: int


def _step(table: SolverTable, objective: SolverTerms, unit: float) -> float:
    """What every value of the objective is a multiple of; 0 when areas have a part in it."""
    if not len(objective.times) or not table.is_whole[objective.variables].all():
        return 0.0
    counts = objective.times / unit
    whole = np.round(counts)
    if (np.abs(counts - whole) > _WHOLE_TOLERANCE).any():
        return 0.0
    return unit * int(np.gcd.reduce(whole.astype(np.int64)))


def _run(table: SolverTable, objective: SolverTerms, how: _How) -> Solution:
    """One run; whole numbers are rounded, and what is not whole is worked out anew beside them."""
    found = _solve(table, objective, how)
    mixed = table.is_whole.any() and not table.is_whole.all()
    if found.status != "optimal" or not mixed:
        return found
    fixed = SolverTable(
        np.where(table.is_whole, found.values, table.low),
        np.where(table.is_whole, found.values, table.high),
        np.zeros(len(table), dtype=bool),
        table.rows,
    )
    beside = _solve(fixed, objective, how)
    if beside.status != "optimal":
        # With its switches whole it does not hold: they were a hair off, and that hair, times what
        # a switch sets free, is more than a strict limit keeps.
        exact = replace(how, whole_tolerance=TOLERANCE)
        return found if how == exact else _run(table, objective, exact)
    return Solution("optimal", beside.values, beside.objective, found.bound)


def _holds(table: SolverTable, values: Array) -> bool:
    for row in table.rows:
        reached = row.terms.value(values)
        ends = [abs(end) for end in (row.low, row.high) if math.isfinite(end)]
        slack = _ROW_FRACTION * max([1.0, *ends])
        if not row.low - slack <= reached <= row.high + slack:
            return False
    return True


def _solve(table: SolverTable, objective: SolverTerms, how: _How) -> Solution:
    highspy = _highspy()
    # The class itself prints a banner when it is made; the engine below it does not.
    solver = highspy.Highs.__bases__[0]()
    for option, value in (
        ("output_flag", False),
        ("log_to_console", False),
        ("threads", 1),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", how.enough),
        ("mip_max_nodes", min(how.most_nodes, _affordable(table))),
        ("primal_feasibility_tolerance", TOLERANCE),
        ("mip_feasibility_tolerance", how.whole_tolerance),
        ("random_seed", 0),
        ("presolve", "off" if _free_switches(table) > _MANY else "choose"),
        ("time_limit", _LIMIT_S),
    ):
        solver.setOptionValue(option, value)
    _stop_in_time(highspy, solver, how.most_work // max(1, _size(table)))
    solver.passModel(_model(highspy, table, objective))
    solver.run()
    if solver.getModelStatus() == highspy.HighsModelStatus.kSolveError:
        # Rows that contradict each other by a hair upset its presolve; without it they do not.
        solver.setOptionValue("presolve", "off")
        solver.run()
    return _answer(highspy, solver, table, objective)


def _affordable(table: SolverTable) -> int:
    """How many branches a program of this size may take."""
    return max(_FEW_NODES, _NODE_WORK // max(1, _size(table)))


def _size(table: SolverTable) -> int:
    """How many numbers stand in the rows."""
    return sum(len(row.terms.times) for row in table.rows)


def _stop_in_time(highspy: Any, solver: Any, most: int) -> None:  # noqa: ANN401 - as above
    """Stop where the solver has asked so many times; it asks at the same points of every run."""
    asked = count(1)

    def answer(_kind: int, _says: str, _state: object, reply: Any, _data: object) -> None:  # noqa: ANN401
        if next(asked) > most:
            reply.user_interrupt = True

    solver.setCallback(answer, None)
    solver.startCallback(highspy.cb.HighsCallbackType.kCallbackMipInterrupt)


def _highspy() -> Any:  # noqa: ANN401 - the library ships no types
    try:
        import highspy
    except ImportError as error:
        raise NoSolver(
            "searching for the least change needs the solver HiGHS: pip install '.[least]'"
        ) from error
    return highspy


def _model(highspy: Any, table: SolverTable, objective: SolverTerms) -> Any:  # noqa: ANN401 - as above
    kept = [row for row in table.rows if len(row.terms.times)]
    none = np.zeros(0)
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(table), len(kept)
    model.col_cost_ = objective.dense(len(table))
    model.col_lower_, model.col_upper_ = table.low, table.high
    model.row_lower_ = np.array([row.low for row in kept], dtype=float)
    model.row_upper_ = np.array([row.high for row in kept], dtype=float)
    matrix = model.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kRowwise
    matrix.start_ = np.cumsum([0, *(len(row.terms.times) for row in kept)]).astype(np.int32)
    matrix.index_ = np.concatenate([none, *(row.terms.variables for row in kept)]).astype(np.int32)
    matrix.value_ = np.concatenate([none, *(row.terms.times for row in kept)])
    if table.is_whole.any():
        kinds = highspy.HighsVarType
        model.integrality_ = [
            kinds.kInteger if is_whole else kinds.kContinuous for is_whole in table.is_whole
        ]
    return model


def _answer(highspy: Any, solver: Any, table: SolverTable, objective: SolverTerms) -> Solution:  # noqa: ANN401
    status = solver.getModelStatus()
    kinds = highspy.HighsModelStatus
    if status in {kinds.kInfeasible, kinds.kUnboundedOrInfeasible}:
        return Solution("infeasible")
    if status == kinds.kUnbounded:
        return Solution("unbounded")
    info = solver.getInfo()
    is_found = info.primal_solution_status == int(highspy.SolutionStatus.kSolutionStatusFeasible)
    if status not in {kinds.kOptimal, kinds.kModelEmpty} and not is_found:
        raise SolverStopped(
            f"the search stopped without an answer ({solver.modelStatusToString(status)}): open "
            "fewer surfaces, or let them change in part"
        )
    found = np.array(solver.getSolution().col_value, dtype=float)
    values = np.where(
        table.is_whole, np.round(found), np.minimum(np.maximum(found, table.low), table.high)
    )
    bound = info.mip_dual_bound if table.is_whole.any() else info.objective_function_value
    return Solution("optimal", values, objective.value(values), bound + objective.constant)


def as_mapping(values: Array) -> Mapping[int, float]:
    """The values by the number of their variable."""
    return dict(enumerate(values.tolist()))
