"""The search for the least change: ranked options, each drawn, judged again and proven or not."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.algebra.shares import weights
from checker.core.records import replace
from checker.core.units import AREA, MONEY, Amount
from checker.solve.conflict import beyond_mending, conflict_of, stuck_conflict
from checker.solve.costs import costs_of
from checker.solve.goal import goal_of
from checker.solve.ground import OpenGround
from checker.solve.measures import is_met
from checker.solve.optimum import enough, solve
from checker.solve.options import Conflict, Option, Options, Proof
from checker.solve.program import Program
from checker.solve.ranking import AIMS, NOT_MET, PLAIN, Asked, ranked, stood_in
from checker.solve.readback import DrawnChanges, short_of_reserve
from checker.solve.relaxed import least_of_any
from checker.solve.scenarios import (
    PERMEABLE,
    as_read,
    every_reading,
    readings_used,
    without_credit,
)
from checker.solve.solver import Solution

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from checker.findings.checked import Checked
    from checker.solve.goal import Goal
    from checker.solve.layout import Piece
    from checker.solve.optimum import Aim
    from checker.solve.readback import DrawnChange

_TRIES: Final = 12
"""So many drawings that do not pass are forbidden before the search gives up."""


def least_change(
    checked: Checked,
    goal: Goal | None = None,
    progress: Callable[[int, int, str], None] | None = None,
) -> Options:
    """The least that must change so that a design meets its rules.

    Args:
        checked: The design.
        goal: What must be reached; what the site file says when None.
        progress: Called with searches done, searches in all and what is looked for next.

    Returns:
        Options, the best first; where one cannot be had, the rules in conflict.

    Raises:
        BadInput: The goal, the costs or the site do not allow a search.
        NoSolver: HiGHS is not installed.
        SolverStopped: The search gave up.
    """
    checked.stop_without_lot()
    goal = goal or goal_of(checked.site, checked.ruleset)
    costs = costs_of(checked.site)
    base = as_read(checked)
    careful = without_credit(base, checked.sheet)
    readings = every_reading(checked) if readings_used(checked.ruleset) else ()
    ground = OpenGround(checked, goal, costs, [base, careful, *readings])
    program = Program(ground, [0])
    searched = [(program, asked) for asked in PLAIN]
    ways = [way for unit in ground.land.units for way in unit.ways]
    if any(way.material is not None and way.material.id in PERMEABLE for way in ways):
        asked = Asked("no-credit", "No credit for permeable paving", goal.find)
        searched.append((Program(ground, [0, 1]), asked))
    if readings:
        asked = Asked("every-reading", "Passes however unclear clauses are read", goal.find)
        searched.append((Program(ground, [0, *range(2, 2 + len(readings))]), asked))
    drawing = DrawnChanges(ground)
    options: list[Option] = []
    conflicts: list[Conflict] = []
    beyond: tuple[Conflict, ...] = ()
    for number, (own, asked) in enumerate(searched):
        if progress is not None:
            progress(number, len(searched), asked.title[0].lower() + asked.title[1:])
        found = stuck_conflict(own, asked.key, asked.title) or _solved(own, asked, drawing)
        if not number:
            beyond, is_worth_it = _left_beyond([p for p, _ in searched[len(PLAIN) - 1 :]], found)
            found = _solved(own, asked, drawing) if is_worth_it else found
        if isinstance(found, Conflict):
            conflicts.append(found)
            if own is program:
                break
        else:
            options.append(found)
    if progress is not None:
        progress(len(searched), len(searched), "done")
    return Options(
        checked=checked,
        goal=goal,
        costs=costs,
        options=ranked(stood_in(options, goal), goal),
        conflicts=tuple(conflicts),
        beyond=beyond,
        stuck=_stuck(program),
        unsaid=tuple(program.unsaid.items()),
        hints=_hints(program),
        program=program,
    )


def _left_beyond(
    programs: Sequence[Program], found: Option | Conflict
) -> tuple[tuple[Conflict, ...], bool]:
    """The rules that nothing mends, left out where a change can mend another one.

    Where nothing else fails there is nothing to look for; one such rule is the conflict then.
    """
    program = programs[0]
    if not isinstance(found, Conflict):
        return (), False
    beyond = beyond_mending(program, found)
    others = program.unmet & set(program.said) - {conflict.rules[0] for conflict in beyond}
    if not others and len(beyond) < 2:
        return (), False
    for each in programs:
        for conflict in beyond:
            each.leave_out_beyond(conflict.rules[0])
    return beyond, bool(others and beyond)


def _solved(program: Program, asked: Asked, drawing: DrawnChanges) -> Option | Conflict:
    """The best change as it is drawn and read back, or the rules in conflict.

    A rule that cannot be told today for want of facts does not stop the search: it is left out,
    and the facts that it lacks are asked for. A drawing that does not pass although its rows say
    so (some rules look at pieces, not at areas) is forbidden, and the next best is drawn.
    """
    untold = {f.rule for f in program.checked.verdict.findings if f.missing}
    first: Solution | None = None
    tries = _TRIES
    program.forbidden.clear()
    as_it_is = _as_it_is(program, asked, drawing)
    if as_it_is is not None:
        return as_it_is
    while True:
        solution = solve(program, AIMS[asked.find])
        if solution.status == "infeasible":
            if first is not None:
                return option_of(program, asked, first, drawing)
            conflict = conflict_of(program, asked.key, asked.title)
            if not untold & set(conflict.rules):
                return _on_edge(program, asked, drawing) or conflict
            for rule in untold & set(conflict.rules):
                program.leave_out_untold(rule)
            continue
        tries -= 1
        if not solution.cuttings or _fits(program, drawing.of(*_chosen(program, solution))):
            return option_of(program, asked, solution, drawing)
        first = first or solution
        if not tries:
            return option_of(program, asked, first, drawing)
        program.forbid(solution.cuttings)


def _as_it_is(program: Program, asked: Asked, drawing: DrawnChanges) -> Option | None:
    """The design itself where it meets what is asked: nothing is the least that can change."""
    if program.goal.counts_savings or not _fits(program, drawing.of((), ())):
        return None
    option = option_of(program, asked, Solution("optimal", None, 0.0, 0.0), drawing)
    return option if option.is_offered else None


def _on_edge(program: Program, asked: Asked, drawing: DrawnChanges) -> Option | Conflict | None:
    """The best change where nothing is left but to stand where a count or a limit jumps."""
    if program.up_close is None:
        return None
    found = _solved(program.up_close, asked, drawing)
    return replace(found, is_on_edge=True) if isinstance(found, Option) else found


def option_of(
    program: Program, asked: Asked, solution: Solution, drawing: DrawnChanges | None = None
) -> Option:
    """The option of a solution: its pieces are drawn, written, read back and judged."""
    chosen, pieces = _chosen(program, solution)
    drawn = (drawing or DrawnChanges(program.ground)).of(chosen, pieces)
    readings = program.scenarios[0].readings
    after = drawn.judged(program.scenarios[0].ruleset, readings)
    faults = drawn.faults or short_of_reserve(after, program)
    unmet, still_open = _unmet(after, program)
    fails_if = _failing(drawn, program)
    cents = [piece.cents for piece in pieces]
    spent = cents if program.goal.counts_savings else [max(each, 0) for each in cents]
    assumed = "; ".join(dict.fromkeys(s.title for s in program.scenarios if s.title))
    return Option(
        key=asked.key,
        title=asked.title,
        assumes=assumed if asked.key != "every-reading" else "",
        pieces=pieces,
        proof=_proof(
            program, AIMS[asked.find][0], solution, sum(spent), (unmet, (*fails_if, *faults))
        ),
        cents=sum(cents),
        changed_m2=math.fsum(piece.area_m2 for piece in pieces),
        lost_deck_m2=math.fsum(p.area_m2 for p in pieces if p.was_paved and not p.way.is_paved),
        permeable_m2=math.fsum(
            piece.area_m2
            for piece in pieces
            if piece.way.material is not None and piece.way.material.id in PERMEABLE
        ),
        after=after,
        text=drawn.text,
        unmet=unmet,
        still_open=still_open,
        fails_if=fails_if,
        faults=faults,
        to_settle=drawn.to_settle,
    )


def _chosen(program: Program, solution: Solution) -> tuple[tuple[int, ...], tuple[Piece, ...]]:
    """The cuttings of a solution and their pieces."""
    cuttings = program.ground.cuttings
    return solution.cuttings, tuple(
        piece for cut in solution.cuttings for piece in cuttings.pieces(cut)
    )


def _fits(program: Program, drawn: DrawnChange) -> bool:
    """Whether every rule that was said to the solver is met once a change is drawn.

    No other rule is judged for it: what water does takes far longer than to judge the cover.
    """
    if drawn.faults:
        return False
    base, only = program.scenarios[0], tuple(program.said)
    after = drawn.judged(base.ruleset, base.readings, only)
    is_met_so = not set(_unmet(after, program)[0]) & set(only)
    return is_met_so and not short_of_reserve(after, program) and not _failing(drawn, program)


def _unmet(after: Checked, program: Program) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The rules that are not met: those that a change is asked to meet, and the others.

    What could not be said to the solver is judged on the drawing; where it was open before, a
    change is not blamed for it.
    """
    asked = {rule.id for rule in program.rules}
    others = program.apart | (program.unmet & set(program.unsaid))
    conditions = program.goal.accepts_conditions
    open_ones = [
        finding.rule
        for finding in after.verdict.findings
        if finding.rule in asked and not is_met(finding, conditions=conditions)
    ]
    return (
        tuple(rule for rule in open_ones if rule not in others),
        tuple(rule for rule in open_ones if rule in others),
    )


def _failing(drawn: DrawnChange, program: Program) -> tuple[str, ...]:
    found: list[str] = []
    for scenario in program.scenarios[1:]:
        again = drawn.judged(scenario.ruleset, scenario.readings, tuple(program.said))
        if set(_unmet(again, program)[0]) & set(program.said):
            found.append(scenario.title)
    return tuple(found)


def _proof(
    program: Program,
    aim: Aim,
    solution: Solution,
    spent_cents: int,
    open_rules: tuple[tuple[str, ...], tuple[str, ...]],
) -> Proof:
    unmet, failing = open_rules
    is_closed = solution.is_closed or (
        abs(solution.objective - solution.bound) <= enough(program, aim)
    )
    objective = solution.objective if aim != "cost" else min(solution.objective, spent_cents)
    coarse = program.coarseness if solution.cuttings else ()
    below = least_of_any(program, aim) if coarse else solution.bound
    if coarse and objective - below <= max(enough(program, aim), 1e-6):
        coarse = ()
    reasons = [*coarse, *program.inexact.values()] if solution.cuttings else []
    if not is_closed:
        reasons.append("the search stopped before nothing better was ruled out")
    if set(unmet) & (set(program.said) | set(program.unsaid)) or failing:
        reasons.append(NOT_MET)
    dimension, scale = (MONEY, 0.01) if aim == "cost" else (AREA, 1.0)
    bound_si = min(objective, below) if math.isfinite(below) else 0.0
    if is_closed and not coarse:
        bound_si = objective
    return Proof(
        found=Amount(objective * scale, dimension),
        bound=Amount(bound_si * scale, dimension),
        is_proven=not reasons,
        because="; ".join(reasons),
        left_open=solution.left_open,
    )


def _stuck(program: Program) -> tuple[tuple[str, str], ...]:
    findings = {finding.rule: finding for finding in program.checked.verdict.findings}
    return tuple(
        (item.rule, item.says or findings[item.rule].because or findings[item.rule].says)
        for item in program.stuck
        if not item.scenario or item.scenario == program.scenarios[0].title
    )


def _hints(program: Program) -> tuple[str, ...]:
    """What would make a change smaller if it were known: facts of the lot, and of new paving."""
    measures = program.measures[0]
    tables = measures.sheet.ruleset.counts.values()
    found: dict[str, None] = {}
    for finding in program.checked.verdict.findings:
        if finding.missing and finding.rule in program.said:
            asks = "; ".join(dict.fromkeys(item.ask for item in finding.missing))
            found[
                f"'{finding.title}' is taken at its worst as long as it cannot be told: {asks}"
            ] = None
    survey = program.ground.surveys[0]
    for way, spot in program.land.new_looks(survey, tables):
        if way.material is None:
            continue
        missing = {
            item.name
            for table in tables
            for of, _, _, weight in weights(table, spot)
            if of == way.surface.id and weight.low_si < weight.high_si
            for item in weight.missing
        }
        if missing:
            names = ", ".join(f"'{name}'" for name in sorted(missing))
            found[
                f"new {way.material.title.lower()} counts in full as long as {names} is not given: "
                f"give it under 'goal: as_built: {way.material.id}' if it will be so"
            ] = None
    return tuple(found)
