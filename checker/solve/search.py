"""The search for the least change: ranked options, each drawn, judged again and proven or not."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, NamedTuple

from checker.algebra.shares import weights
from checker.core.records import replace
from checker.core.units import AREA, MONEY, Amount
from checker.findings.checked import judged
from checker.findings.model import MET
from checker.solve.conflict import conflict_of
from checker.solve.costs import costs_of
from checker.solve.goal import goal_of
from checker.solve.layout import lay_out
from checker.solve.optimum import changes, solve
from checker.solve.options import Conflict, Option, Options, Proof
from checker.solve.program import Program, with_documents
from checker.solve.redraw import redrawn
from checker.solve.scenarios import (
    PERMEABLE,
    as_read,
    every_reading,
    readings_used,
    without_credit,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.findings.checked import Checked
    from checker.findings.model import Finding
    from checker.solve.goal import Find, Goal
    from checker.solve.layout import Piece
    from checker.solve.optimum import Aim, Change
    from checker.solve.options import Key
    from checker.solve.solver import Solution

AIMS: Final[dict[Find, tuple[Aim, ...]]] = {
    "least cost": ("cost", "area", "lost deck"),
    "least area": ("area", "cost", "lost deck"),
    "most deck kept": ("lost deck", "cost", "area"),
}
"""What is least, and what chooses among equals."""

_WIDER_COUNT: Final = 3
_WORTH: Final = 0.8


class Asked(NamedTuple):
    """An option to look for: its key, its name on pages and what is best in it."""

    key: Key
    title: str
    find: Find


_PLAIN: Final = (
    Asked("least-cost", "Least cost", "least cost"),
    Asked("least-area", "Least area changed", "least area"),
    Asked("most-deck", "Most deck kept", "most deck kept"),
)


def least_change(checked: Checked, goal: Goal | None = None) -> Options:
    """The least that must change so that a design meets its rules.

    Args:
        checked: The design.
        goal: What must be reached; what the site file says when None.

    Returns:
        Options, the best first; where one cannot be had, the rules in conflict.

    Raises:
        BadInput: The goal, the costs or the site do not allow a search.
        NoSolver: HiGHS is not installed.
        SolverStopped: The search gave up.
    """
    goal = goal or goal_of(checked.site, checked.ruleset)
    costs = costs_of(checked.site)
    base = as_read(checked)
    program = Program(checked, goal, costs, [base])
    searched = [(program, asked) for asked in _PLAIN]
    ways = [way for unit in program.land.units for way in unit.ways]
    if any(way.material is not None and way.material.id in PERMEABLE for way in ways):
        careful = without_credit(base, checked.sheet)
        asked = Asked("no-credit", "No credit for permeable paving", goal.find)
        searched.append((Program(checked, goal, costs, [base, careful]), asked))
    if readings_used(checked.ruleset):
        asked = Asked("every-reading", "Passes however unclear clauses are read", goal.find)
        searched.append((Program(checked, goal, costs, [base, *every_reading(checked)]), asked))
    options: list[Option] = []
    conflicts: list[Conflict] = []
    for own, asked in searched:
        found = _solved(own, asked)
        if isinstance(found, Conflict):
            conflicts.append(found)
            if own is program:
                break
        else:
            options.append(option_of(own, asked, found))
    return Options(
        checked=checked,
        goal=goal,
        costs=costs,
        options=_ranked(options, goal),
        conflicts=tuple(conflicts),
        stuck=_stuck(program),
        unsaid=tuple(program.unsaid.items()),
        hints=_hints(program),
    )


def _solved(program: Program, asked: Asked) -> Solution | Conflict:
    """The best change, or the rules in conflict.

    A rule that cannot be told today for want of facts does not stop the search: it is left out,
    and the facts that it lacks are asked for.
    """
    untold = {f.rule for f in program.checked.verdict.findings if f.missing}
    while True:
        solution = solve(program, AIMS[asked.find])
        if solution.status != "infeasible":
            return solution
        conflict = conflict_of(program, asked.key, asked.title)
        if not untold & set(conflict.rules):
            return conflict
        for rule in untold & set(conflict.rules):
            program.leave_out(rule)


def option_of(program: Program, asked: Asked, solution: Solution) -> Option:
    """The option as it can be built, the best of the ways to draw it.

    One band through all that counts alike comes first, then bands that are kept apart by the
    regions they lie in; widths are rounded up, and more where that is not enough. Where a rule
    bounds the change from above as well, the widths are left as they come.
    """
    found = changes(program, solution)
    widths = range(_WIDER_COUNT)
    together = _fitted(program, asked, solution, found, widths, apart=False)
    if not any(piece.width_m for piece in together.pieces):
        return together
    apart = _fitted(program, asked, solution, found, widths, apart=True)
    fitting = [option for option in (together, apart) if _fits(program, option)]
    if len(fitting) == 2:
        # A band that stops at a line nobody sees must be worth it.
        return apart if apart.changed_m2 < _WORTH * together.changed_m2 else together
    if fitting:
        return fitting[0]
    for is_apart in (False, True):
        exact = _fitted(program, asked, solution, found, [None], apart=is_apart)
        if _fits(program, exact):
            return exact
    return together


def _fitted(
    program: Program,
    asked: Asked,
    solution: Solution,
    found: Sequence[Change],
    widths: Sequence[int | None],
    *,
    apart: bool,
) -> Option:
    """The option with the first of some widths at which every rule is met, else with the last."""
    checked, goal = program.checked, program.goal
    option: Option | None = None
    for wider_count in widths:
        pieces = lay_out(program, found, wider_count, apart=apart)
        site = with_documents(redrawn(checked.site, pieces), goal.to_be_on_file)
        after = judged(site, checked.ruleset, program.scenarios[0].readings)
        option = _drawn(program, asked, solution, pieces, after)
        if _fits(program, option) or all(piece.width_m is None for piece in pieces):
            break
    assert option is not None
    return option


def _fits(program: Program, option: Option) -> bool:
    """Whether every rule that was said to the solver is met once a change is drawn."""
    return not set(option.unmet) & set(program.said) and not option.fails_if


def _unmet(after: Checked, program: Program) -> tuple[str, ...]:
    asked = {rule.id for rule in program.rules}
    return tuple(
        finding.rule
        for finding in after.verdict.findings
        if finding.rule in asked and not is_met(finding, conditions=program.goal.accepts_conditions)
    )


def _failing(after: Checked, program: Program) -> tuple[str, ...]:
    found: list[str] = []
    for scenario in program.scenarios[1:]:
        again = judged(after.site, scenario.ruleset, scenario.readings)
        if set(_unmet(again, program)) & set(program.said):
            found.append(scenario.title)
    return tuple(found)


def is_met(finding: Finding, *, conditions: bool = True) -> bool:
    """Whether nothing in a rule stands in the way, were its text verified."""
    status = finding.status
    if status == "cannot tell" and finding.citation.source.is_remembered:
        status = finding.if_unfavourable or status
    return status in (MET if conditions else MET - {"passes with conditions"})


def _drawn(
    program: Program,
    asked: Asked,
    solution: Solution,
    pieces: Sequence[Piece],
    after: Checked,
) -> Option:
    unmet, fails_if = _unmet(after, program), _failing(after, program)
    assumed = "; ".join(dict.fromkeys(s.title for s in program.scenarios if s.title))
    return Option(
        key=asked.key,
        title=asked.title,
        assumes=assumed if asked.key != "every-reading" else "",
        pieces=tuple(pieces),
        proof=_proof(program, AIMS[asked.find][0], solution, unmet, fails_if),
        cents=sum(piece.cents for piece in pieces),
        changed_m2=sum(piece.area_m2 for piece in pieces),
        lost_deck_m2=sum(p.area_m2 for p in pieces if p.was_paved and not p.way.is_paved),
        permeable_m2=sum(
            piece.area_m2
            for piece in pieces
            if piece.way.material is not None and piece.way.material.id in PERMEABLE
        ),
        after=after,
        unmet=unmet,
        fails_if=fails_if,
    )


def _proof(
    program: Program,
    aim: Aim,
    solution: Solution,
    unmet: tuple[str, ...],
    fails_if: tuple[str, ...],
) -> Proof:
    gap = abs(solution.objective - solution.bound)
    is_closed = gap <= 1e-6 * max(1.0, abs(solution.objective))
    reasons = list(program.inexact)
    if not is_closed:
        reasons.append("the search stopped before nothing better was ruled out")
    if set(unmet) & (set(program.said) | set(program.unsaid)) or fails_if:
        reasons.append("the drawn change does not meet every rule")
    dimension, scale = (MONEY, 0.01) if aim == "cost" else (AREA, 1.0)
    found_si = max(solution.objective, solution.bound) * scale
    bound_si = min(solution.objective, solution.bound) * scale
    if (
        aim == "cost"
        and is_closed
        and len(program.switches) == sum(len(unit.ways) - 1 for unit in program.land.units)
    ):
        # Every price is a whole number of cents, so the sum is one.
        found_si = bound_si = round(solution.objective) / 100
    return Proof(
        found=Amount(found_si, dimension),
        bound=Amount(bound_si if math.isfinite(bound_si) else 0.0, dimension),
        is_proven=not reasons,
        because="; ".join(reasons),
    )


def find_of(key: Key, goal: Goal) -> Find:
    """What an option was searched by."""
    return next((asked.find for asked in _PLAIN if asked.key == key), goal.find)


def _ranked(options: Sequence[Option], goal: Goal) -> tuple[Option, ...]:
    def merit(option: Option) -> tuple[object, ...]:
        spent = option.cents if goal.counts_savings else max(option.cents, 0)
        values: dict[Aim, float] = {
            "cost": spent, "area": option.changed_m2, "lost deck": option.lost_deck_m2,
        }  # fmt: skip
        ranks = tuple(round(values[aim], 4) for aim in AIMS[goal.find])
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
        (item.rule, findings[item.rule].because or findings[item.rule].says)
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
    survey = program.surveys[0]
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
