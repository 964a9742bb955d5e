"""What the verdict is when unclear clauses are read otherwise, and the change that passes all."""

from __future__ import annotations

from collections import Counter
from itertools import product
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.units import Amount
from checker.findings.run import judge
from checker.site.model import POOL_WATER
from checker.solve.costs import costs_of
from checker.solve.goal import goal_of
from checker.solve.measures import is_met
from checker.solve.optimum import solve
from checker.solve.program import Program, program_of
from checker.solve.ranking import AIMS, Asked
from checker.solve.scenarios import DECKS, PERMEABLE, as_read, counted_as
from checker.solve.search import option_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from checker.findings.checked import Checked
    from checker.findings.model import Status
    from checker.solve.goal import Goal
    from checker.solve.options import Option
    from checker.solve.scenarios import Scenario

WEIGHTS: Final = (0.0, 0.5, 1.0)

AXES: Final = (
    ("pool water", tuple(sorted(POOL_WATER))),
    ("permeable paving", PERMEABLE),
    ("deck of boards", DECKS),
)
"""What codes count most differently, with the materials that it is about."""


class Counting(Record, kw_only=True):
    """One way to count, and what comes of it.

    Attributes:
        weights: The share that counts, by axis.
        statuses: The verdict of each rule that counts cover.
        margins: The room left under each of them; negative when not met.
        least_m2: The least area that must change then; None when nothing is enough.
    """

    weights: Mapping[str, float]
    statuses: Mapping[str, Status]
    margins: Mapping[str, Amount]
    least_m2: float | None


class Sensitivity(Record, kw_only=True):
    """The table of all ways to count.

    Attributes:
        checked: The design.
        axes: The axes that the design has something of.
        rules: Ids of the rules that the table is about.
        cells: One for each combination.
        passes_all: The smallest change that passes in every cell; None when there is none.
        because: Why there is none.
    """

    checked: Checked
    axes: tuple[str, ...]
    rules: tuple[str, ...]
    cells: tuple[Counting, ...]
    passes_all: Option | None
    because: str = ""


def sensitivity(
    checked: Checked,
    goal: Goal | None = None,
    progress: Callable[[int, int, str], None] | None = None,
) -> Sensitivity:
    """Judge a design under every way to count pool water, permeable paving and decks.

    Args:
        checked: The design.
        goal: What may change; what the site file says when None.
        progress: Called with ways done, ways in all and what comes next.

    Raises:
        BadInput: The goal or the costs do not allow a search.
        NoSolver: HiGHS is not installed.
    """
    checked.stop_without_lot()
    goal = goal or goal_of(checked.site, checked.ruleset)
    costs = costs_of(checked.site)
    present = _present(checked, goal)
    axes = [(name, materials) for name, materials in AXES if present & set(materials)]
    base = as_read(checked)
    scenarios: list[tuple[dict[str, float], Scenario]] = []
    for weights in product(WEIGHTS, repeat=len(axes)):
        scenario = base
        for (name, materials), weight in zip(axes, weights, strict=True):
            title = f"{name} counts {weight * 100:g} %"
            scenario = counted_as(scenario, checked.sheet, materials, weight, title)
        names = [name for name, _ in axes]
        scenarios.append((dict(zip(names, weights, strict=True)), scenario))
    if progress is not None:
        progress(0, len(scenarios), "every way to count at once")
    every = program_of(checked, goal, costs, [scenario for _, scenario in scenarios])
    rules = tuple(every.said)
    cells: list[Counting] = []
    for index, (shares, scenario) in enumerate(scenarios):
        if progress is not None:
            progress(index, len(scenarios), scenario.title)
        cells.append(_cell(every, index, shares, rules))
    if progress is not None:
        progress(len(scenarios), len(scenarios), "done")
    solution = solve(every, AIMS["least area"])
    option, because = None, "no change that is allowed passes in every one of these"
    stuck = Counter(item.rule for item in every.stuck)
    if solution.status == "optimal" and all(n == len(scenarios) for n in stuck.values()):
        title = "Passes however it is counted"
        option = option_of(every, Asked("every-reading", title, "least area"), solution)
        because = ""
    return Sensitivity(
        checked=checked,
        axes=tuple(name for name, _ in axes),
        rules=rules,
        cells=tuple(cells),
        passes_all=option,
        because=because,
    )


def _present(checked: Checked, goal: Goal) -> set[str]:
    """The materials that are there after the work or that something may become."""
    found: set[str] = set()
    for surface in checked.site.surfaces:
        if surface.stage == "removed":
            continue
        found.add(surface.material.id)
        if goal.is_open(surface):
            found |= {material.id for material in surface.may_become}
    return found


def _cell(
    every: Program, number: int, weights: Mapping[str, float], rules: tuple[str, ...]
) -> Counting:
    """The verdicts under one scenario, from what all of them share.

    Args:
        every: The program of all scenarios.
        number: Which of them.
        weights: What it counts at which share.
        rules: Ids of the rules to judge.
    """
    checked, goal, scenario = every.checked, every.goal, every.scenarios[number]
    lot = checked.sheet.lot.again()
    readings = dict(scenario.readings)
    verdict, _ = judge(scenario.ruleset, lot, readings, checked.day, checked.system, rules)
    findings = verdict.findings
    least_m2: float | None = 0.0
    if not all(is_met(finding, conditions=goal.accepts_conditions) for finding in findings):
        solution = solve(Program(every.ground, (number,)), ("area",))
        least_m2 = solution.objective if solution.status == "optimal" else None
    return Counting(
        weights=weights,
        statuses={finding.rule: finding.status for finding in findings},
        margins={
            finding.rule: finding.margin for finding in findings if finding.margin is not None
        },
        least_m2=least_m2,
    )
