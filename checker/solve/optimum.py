"""The best of a program: what is least, what chooses among equals, and how it is cut then."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from checker.algebra.linear import Linear, Rows
from checker.core.records import replace
from checker.core.units import UNIT
from checker.solve.model import maker_of
from checker.solve.solver import Solution, SolverStopped, least
from checker.solve.table import terms_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.solve.model import ChangeModel
    from checker.solve.program import Program
    from checker.solve.table import SolverTable, SolverTerms

Aim = Literal["cost", "area", "lost deck", "pieces"]
"""What may be least. Of equals in all else the one in the fewest pieces is built."""

ENOUGH_M2: Final = 0.05 * UNIT["sq ft"].size_si
"""Among very many surfaces an area is proven to within this: half of the last digit shown."""

FEW: Final = 30
"""Up to so many surfaces an area is proven to the last digit there is."""

_MOST_AMONG_EQUALS: Final = 3_000
_MOST_OF_FEW: Final = 30_000
"""With more cuttings than this, of one to six surfaces, nothing more is tried among equals."""

_FEW_SURFACES: Final = 6

_NODES_AMONG_EQUALS: Final = 2_000
_FEWER_NODES: Final = 200
_WORK_AT_FIRST: Final = 8_000_000
_WORK_AMONG_EQUALS: Final = 1_500_000

_SLACK_FRACTION: Final = 1e-9
_HALF_A_CENT: Final = 0.5

_HAIR_FRACTION: Final = 1e-8
_NEARLY_ONE: Final = 0.99
"""Of a cent or a piece: what is counted in whole ones and less than one more is the least."""


def enough(program: Program, aim: Aim) -> float:
    """How near to the bound an aim must come to be called proven, in its own unit."""
    if aim in {"cost", "pieces"}:
        return 0.0
    return 0.0 if len(program.land.units) <= FEW else ENOUGH_M2


def unit_of(aim: Aim) -> float:
    """What an aim is counted in: whole cents, pieces; 0 for areas, counted in nothing."""
    return 1.0 if aim in {"cost", "pieces"} else 0.0


def solve(program: Program, aims: Sequence[Aim], without: frozenset[str] = frozenset()) -> Solution:
    """The best change: the first aim decides, the others choose among equals.

    Args:
        program: The variables and rows.
        aims: What is least.
        without: Rules whose rows are left out.

    Returns:
        The solution; its objective and bound are those of the first aim.

    Raises:
        NoSolver: HiGHS is not installed.
        SolverStopped: It gave up.
    """
    rows = Rows(program.rows.variables, [r for r in program.rows.rows if r.rule not in without])
    tried = _each_tried(program, rows, aims)
    if tried is not None:
        return tried
    is_few = len(program.land.units) <= _FEW_SURFACES
    # Among many surfaces fewer pieces are no simpler to build, and dear to look for.
    aims = (*aims, "pieces") if aims and is_few else aims
    model = maker_of(program).model(rows, aims)
    if not aims:
        return _with_cuttings(model, least(model.table, terms_of(Linear())))
    first = _first(program, model, aims[0])
    found: Solution = first
    left_open: list[Aim] = []
    most = _MOST_OF_FEW if is_few else _MOST_AMONG_EQUALS
    for index, (earlier, aim) in enumerate(pairwise(aims), 1):
        if found.status != "optimal" or (aim == "pieces" and _is_in_one(model, found)):
            break
        held = model.aims[index - 1]
        reached = held.value(found.values)
        slack = max(_SLACK_FRACTION * max(1.0, abs(reached)), enough(program, earlier))
        slack = _HALF_A_CENT if earlier == "cost" else slack
        if _without_any(model.table, held, reached):
            pass
        elif len(model.cuttings) > most or len(program.land.units) > FEW:
            left_open += aims[index:]
            break
        else:
            model.table.at_most(held, reached + slack)
        following = _best_of_equals(program, model, index, aim, found)
        if following is None:
            left_open.append(aim)
            continue
        if not following.is_closed:
            left_open.append(aim)
        found = following
    found = replace(
        found, objective=first.objective, bound=first.bound,
        left_open=tuple(aim for aim in left_open if aim != "pieces"),
    )  # fmt: skip
    return _with_cuttings(model, found)


def _first(program: Program, model: ChangeModel, aim: Aim) -> Solution:
    """What is least in the first aim; where some seconds of work give no answer, more is done."""
    asked = model.table, model.aims[0], unit_of(aim), enough(program, aim)
    try:
        return least(*asked, most_work=_share(program, _WORK_AT_FIRST))
    except SolverStopped:
        return least(*asked)


def _best_of_equals(
    program: Program, model: ChangeModel, index: int, aim: Aim, found: Solution
) -> Solution | None:
    """What is least in a further aim; None where the solver gave up."""
    units = len(program.land.units)
    reached = model.aims[index].value(found.values)
    nodes = _NODES_AMONG_EQUALS if units <= _FEW_SURFACES else _FEWER_NODES
    try:
        if units <= FEW and _is_least(model, index, aim, reached):
            return replace(found, objective=reached, bound=reached)
        following = least(
            model.table, model.aims[index], unit_of(aim), enough(program, aim),
            nodes, _share(program, _WORK_AMONG_EQUALS),
        )  # fmt: skip
    except SolverStopped:
        return None
    return following if following.status == "optimal" else None


def _share(program: Program, work: int) -> int:
    """How much of some work a search may take: less after each drawing that did not pass."""
    return work // (1 + len(program.forbidden))


def _is_least(model: ChangeModel, index: int, aim: Aim, reached: float) -> bool:
    """Whether nothing is less in a further aim, not even if cuttings could be taken in parts.

    The relaxed program takes milliseconds, and most sets are the least already; to look for another
    one that is as good took seconds.
    """
    table = replace(model.table, is_whole=np.zeros(len(model.table), dtype=bool))
    relaxed = least(table, model.aims[index])
    hair = _NEARLY_ONE * unit_of(aim) or _HAIR_FRACTION * max(1.0, abs(reached))
    return relaxed.status == "optimal" and reached <= relaxed.objective + hair


def _is_in_one(model: ChangeModel, found: Solution) -> bool:
    """Whether a change is one piece at most."""
    return model.aims[-1].value(found.values) < 1.5


def _each_tried(program: Program, rows: Rows, aims: Sequence[Aim]) -> Solution | None:
    """Of one surface that is cut in one way at a time every cutting is tried, without a solver.

    None where there is more to choose, or where the rows are more than sums of areas.
    """
    maker = maker_of(program)
    if len(program.land.units) != 1 or maker.cuttings.kind.any():
        return None
    meets = maker.meeting(rows)
    if meets is None:
        return None
    left = np.flatnonzero(meets)
    if not len(left):
        return Solution("infeasible")
    reached = 0.0
    for index, aim in enumerate((*aims, "pieces")):
        worth = np.append(maker.worth[aim], 0.0)[left]
        least_worth = float(worth.min())
        reached = reached if index else least_worth
        slack = _HALF_A_CENT if unit_of(aim) else _SLACK_FRACTION * max(1.0, abs(least_worth))
        left = left[worth <= least_worth + slack]
    cuttings = tuple(int(cutting) for cutting in left[:1] if cutting < len(maker.cuttings))
    return Solution("optimal", None, reached, reached, cuttings=cuttings)


def _without_any(table: SolverTable, held: SolverTerms, reached: float) -> bool:
    """Where an aim comes to nothing at all, rule out every cutting that adds to it.

    That says the same as a row, and leaves a program that is solved at any size.
    """
    if abs(reached) > _SLACK_FRACTION or held.constant or (held.times < 0).any():
        return False
    table.high[held.variables] = 0.0
    return True


def solve_rows(program: Program, rows: Rows, objective: Linear) -> Solution:
    """The least of an expression of the program's areas, whatever it costs.

    The values of the solution are those of the program's variables.
    """
    maker = maker_of(program)
    model = maker.model(rows, [objective])
    found = least(model.table, model.aims[0])
    if found.status != "optimal":
        return found
    return maker.in_areas(model, found, len(rows.variables))


def _with_cuttings(model: ChangeModel, found: Solution) -> Solution:
    if found.status != "optimal":
        return found
    chosen = model.cuttings[found.values[: len(model.cuttings)] > 0.5]
    return replace(found, cuttings=tuple(chosen.tolist()))
