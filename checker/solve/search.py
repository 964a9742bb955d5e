"""The search for the least change: ranked options, each drawn, judged again and proven or not."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.algebra.shares import weights
from checker.core.records import Record, replace
from checker.core.units import AREA, MONEY, Amount
from checker.findings.model import MET
from checker.solve.conflict import conflict_of
from checker.solve.costs import costs_of
from checker.solve.goal import goal_of
from checker.solve.ground import OpenGround
from checker.solve.optimum import enough, solve
from checker.solve.options import Conflict, Option, Options, Proof
from checker.solve.program import Program
from checker.solve.readback import DrawnChanges, short_of_reserve
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
    from checker.findings.model import Finding
    from checker.solve.goal import Find, Goal
    from checker.solve.optimum import Aim
    from checker.solve.options import Key
    from checker.solve.readback import DrawnChange

AIMS: Final[dict[Find, tuple[Aim, ...]]] = {
    "least cost": ("cost", "area", "lost deck"),
    "least area": ("area", "cost", "lost deck"),
    "most deck kept": ("lost deck", "cost", "area"),
}
"""What is least, and what chooses among equals."""

_TRIES: Final = 12
"""So many drawings that do not pass are forbidden before the search gives up."""

_NOT_MET: Final = "the drawn change does not meet every rule"
_OTHERS_NOT_MET: Final = "what seemed better did not meet every rule once it was drawn"


class Asked(Record):
    """An option to look for: its key, its name on pages and what is best in it."""

    key: Key
    title: str
    find: Find


_PLAIN: Final = (
    Asked("least-cost", "Least cost", "least cost"),
    Asked("least-area", "Least area changed", "least area"),
    Asked("most-deck", "Most deck kept", "most deck kept"),
)


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
    searched = [(program, asked) for asked in _PLAIN]
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
    for number, (own, asked) in enumerate(searched):
        if progress is not None:
            progress(number, len(searched), asked.title[0].lower() + asked.title[1:])
        found = _solved(own, asked, drawing)
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
        options=_ranked(_met(options, goal), goal),
        conflicts=tuple(conflicts),
        stuck=_stuck(program),
        unsaid=tuple(program.unsaid.items()),
        hints=_hints(program),
        program=program,
    )


def _solved(program: Program, asked: Asked, drawing: DrawnChanges) -> Option | Conflict:
    """The best change as it is drawn and read back, or the rules in conflict.

    A rule that cannot be told today for want of facts does not stop the search: it is left out,
    and the facts that it lacks are asked for. A drawing that does not pass although its rows say
    so (some rules look at pieces, not at areas) is forbidden, and the next best is drawn.
    """
    untold = {f.rule for f in program.checked.verdict.findings if f.missing}
    first: Option | None = None
    tries = _TRIES
    program.forbidden.clear()
    if not program.goal.counts_savings:
        # What is met as it stands is not searched: nothing is the least that can change.
        as_it_is = option_of(program, asked, Solution("optimal", (), 0.0, 0.0), drawing)
        if as_it_is.is_met:
            return as_it_is
    while True:
        solution = solve(program, AIMS[asked.find])
        if solution.status == "infeasible":
            if first is not None:
                return first
            conflict = conflict_of(program, asked.key, asked.title)
            if not untold & set(conflict.rules):
                return _on_edge(program, asked, drawing) or conflict
            for rule in untold & set(conflict.rules):
                program.leave_out(rule)
            continue
        option = option_of(program, asked, solution, drawing)
        tries -= 1
        if _fits(program, option) or not option.pieces:
            return option
        first = first or option
        if not tries:
            return first
        program.forbid(solution.cuttings)


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
    chosen = solution.cuttings
    pieces = tuple(piece for cut in chosen for piece in program.ground.cuttings.pieces(cut))
    drawn = (drawing or DrawnChanges(program.ground)).of(chosen, pieces)
    readings = program.scenarios[0].readings
    after = drawn.judged(program.scenarios[0].ruleset, readings)
    faults = drawn.faults or short_of_reserve(after, program)
    unmet, fails_if = _unmet(after, program), _failing(drawn, program)
    spent = [p.cents if program.goal.counts_savings else max(p.cents, 0) for p in pieces]
    assumed = "; ".join(dict.fromkeys(s.title for s in program.scenarios if s.title))
    return Option(
        key=asked.key,
        title=asked.title,
        assumes=assumed if asked.key != "every-reading" else "",
        pieces=pieces,
        proof=_proof(
            program, AIMS[asked.find][0], solution, sum(spent), (unmet, (*fails_if, *faults))
        ),
        cents=sum(piece.cents for piece in pieces),
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
        fails_if=fails_if,
        faults=faults,
    )


def _fits(program: Program, option: Option) -> bool:
    """Whether every rule that was said to the solver is met once a change is drawn."""
    return not (set(option.unmet) & set(program.said) or option.fails_if or option.faults)


def _unmet(after: Checked, program: Program) -> tuple[str, ...]:
    """The rules that the search answers for and that are not met."""
    asked = {rule.id for rule in program.rules} - {item.rule for item in program.stuck}
    return tuple(
        finding.rule
        for finding in after.verdict.findings
        if finding.rule in asked and not is_met(finding, conditions=program.goal.accepts_conditions)
    )


def _failing(drawn: DrawnChange, program: Program) -> tuple[str, ...]:
    found: list[str] = []
    for scenario in program.scenarios[1:]:
        again = drawn.judged(scenario.ruleset, scenario.readings)
        if set(_unmet(again, program)) & set(program.said):
            found.append(scenario.title)
    return tuple(found)


def is_met(finding: Finding, *, conditions: bool = True) -> bool:
    """Whether nothing in a rule stands in the way, were its text verified."""
    status = finding.status
    if status == "cannot tell" and finding.citation.source.is_remembered:
        status = finding.if_unfavourable or status
    return status in (MET if conditions else MET - {"passes with conditions"})


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
    reasons = [*program.coarseness, *program.inexact] if solution.cuttings else []
    if not is_closed:
        reasons.append("the search stopped before nothing better was ruled out")
    if set(unmet) & (set(program.said) | set(program.unsaid)) or failing:
        reasons.append(_NOT_MET)
    dimension, scale = (MONEY, 0.01) if aim == "cost" else (AREA, 1.0)
    bound_si = min(objective, solution.bound) if math.isfinite(solution.bound) else 0.0
    if is_closed:
        bound_si = objective
    return Proof(
        found=Amount(objective * scale, dimension),
        bound=Amount(bound_si * scale, dimension),
        is_proven=not reasons,
        because="; ".join(reasons),
        left_open=solution.left_open,
    )


def find_of(key: Key, goal: Goal) -> Find:
    """What an option was searched by."""
    return next((asked.find for asked in _PLAIN if asked.key == key), goal.find)


def _worth(option: Option, find: Find, goal: Goal) -> tuple[float, ...]:
    """What an option comes to, by each aim of a search."""
    values: dict[Aim, float] = {
        "cost": option.cents if goal.counts_savings else max(option.cents, 0),
        "area": option.changed_m2,
        "lost deck": option.lost_deck_m2,
    }
    return tuple(round(values[aim], 4) for aim in AIMS[find])


def _met(options: Sequence[Option], goal: Goal) -> list[Option]:
    """The options; where a search gave up, the best that another one found to meet the rules.

    What meets the rules without credit, or however they are read, meets them as they are.
    """
    met = [option for option in options if option.is_met]
    plain = {asked.key for asked in _PLAIN}
    return [
        _instead(option, met, goal) if met and not option.is_met and option.key in plain else option
        for option in options
    ]


def _instead(option: Option, met: Sequence[Option], goal: Goal) -> Option:
    find = find_of(option.key, goal)
    best = min(met, key=lambda other: _worth(other, find, goal))
    reached, unit = _worth(best, find, goal)[0], option.proof.bound
    found = Amount(reached / 100 if unit.dimension == MONEY else reached, unit.dimension)
    because = option.proof.because.replace(_NOT_MET, _OTHERS_NOT_MET)
    proof = replace(option.proof, found=found, is_proven=False, because=because)
    return replace(best, key=option.key, title=option.title, assumes=option.assumes, proof=proof)


def _ranked(options: Sequence[Option], goal: Goal) -> tuple[Option, ...]:
    def merit(option: Option) -> tuple[object, ...]:
        ranks = _worth(option, goal.find, goal)
        is_careful = option.key not in {asked.key for asked in _PLAIN}
        is_other = find_of(option.key, goal) != goal.find
        return (not option.is_met, is_careful, *ranks, is_other, option.key)

    ranked = sorted(options, key=merit)
    found: list[Option] = []
    for option in ranked:
        what = _what(option)
        same = next((other.key for other in found if _what(other) == what), "")
        found.append(replace(option, same_as=same))
    return tuple(found)


def _what(option: Option) -> tuple[object, ...]:
    return tuple(
        (p.surface_id, p.way.says, round(p.area_m2, 4), p.bays, p.along) for p in option.pieces
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
    for (number, index), spot in program.land.scopes(survey).items():
        way = program.land.units[number].ways[index]
        if way.is_kept or way.material is None:
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
