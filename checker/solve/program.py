"""The program of a search: how much of each part changes, and what each rule asks of that."""

from __future__ import annotations

from functools import cached_property, partial
from typing import TYPE_CHECKING, Any

import numpy as np

from checker.algebra import nodes as n
from checker.algebra.constrain import Reader, constrain
from checker.algebra.constrain_terms import NotLinear, Presence
from checker.algebra.dimensions import dimension_of
from checker.algebra.linear import Linear, Rows, total
from checker.core.problems import BadInput, Problem
from checker.core.records import Record
from checker.core.showing import show
from checker.core.units import AREA, LENGTH, RATIO, Amount, meets
from checker.measure.drainage.built import every_scope
from checker.solve.ground import OpenGround
from checker.solve.measures import Measures, is_met, is_true, looks_at_shape

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.core.units import Order
    from checker.findings.checked import Checked
    from checker.measure.survey import Survey
    from checker.rulesets.rules import Rule
    from checker.solve.costs import Costs
    from checker.solve.cuttings import Array
    from checker.solve.goal import Goal
    from checker.solve.parts import Part
    from checker.solve.scenarios import Scenario


class Stuck(Record, kw_only=True):
    """A rule that is not met and that no change of the open surfaces can move.

    Attributes:
        rule: Its id.
        scenario: How the rules are read; empty for as they are.
        says: Why, where the verdict does not say it.
    """

    rule: str
    scenario: str
    says: str = ""


class Program:
    """The rows of one or more scenarios over the same changes.

    The variables are areas: how much of each part goes each way. `checker.solve.model` puts the
    cuttings in their place, so that only what can be built is chosen from.

    Args:
        ground: The open land.
        numbers: Which of its scenarios the design must meet.
        keeps_off: A change keeps a step from where a count or a limit jumps.

    Attributes:
        rows: The variables and the rows of the rules.
        amounts: For each part, how much of it goes by each combination of ways but the first.
        said: The rules that have rows.
        unsaid: The rules that cannot be said in rows, and why.
        stuck: The rules that are not met and that nothing moves.
        beyond: The rules that no change mends and that were left out for it.
        inexact: By rule, why the rows may ask for more or less than a drawing needs.
        forbidden: Sets of cuttings that were drawn together and did not pass.
        kept: What is worked out once for a program.
    """

    def __init__(
        self, ground: OpenGround, numbers: Sequence[int] = (0,), *, keeps_off: bool = True
    ) -> None:
        self._numbers = tuple(numbers)
        self._left_out: list[str] = []
        self.ground = ground
        self.checked = ground.checked
        self.goal = ground.goal
        self.land = ground.land
        self.parts = ground.parts
        self.rules = ground.rules
        self.scenarios = tuple(ground.scenarios[number] for number in numbers)
        self.rows = Rows()
        self.unsaid: dict[str, str] = {}
        self.stuck: dict[Stuck, None] = {}
        self.beyond: dict[str, None] = {}
        self.said: dict[str, None] = {}
        self.inexact: dict[str, str] = {}
        self.forbidden: list[Array] = []
        self.kept: dict[str, Any] = {}
        self._parts_of: list[list[int]] = [[] for _ in self.land.units]
        for index, part in enumerate(self.parts):
            for number in part.units:
                self._parts_of[number].append(index)
        self.alone: dict[tuple[int, int], int] = {}
        self.amounts = [self._amounts(index, part) for index, part in enumerate(self.parts)]
        self.measures = [
            Measures(
                number,
                ground.sheets[number],
                ground.bares[number],
                self.parts,
                self.amounts,
                partial(self._presences, ground.surveys[number]),
            )
            for number in numbers
        ]
        for measures, scenario in zip(self.measures, self.scenarios, strict=True):
            measures.keeps_off = keeps_off
            for rule in self.rules:
                self._ask(rule, ground.conditions[rule.id], measures, scenario)

    def _amounts(self, index: int, part: Part) -> dict[int, Linear]:
        """How much of a part goes by each combination but the first."""
        found: dict[int, Linear] = {}
        for combo, ways in enumerate(part.combos):
            if combo:
                if len(part.units) == 1:
                    self.alone[index, ways[0]] = len(self.rows.variables)
                found[combo] = self.rows.variable("area", 0.0, part.area_m2)
        return found

    def _presences(self, survey: Survey) -> list[Presence]:
        found = [
            Presence(scope, Linear(1.0))
            for scope in every_scope(survey)
            if scope.surface_id not in self.land.numbers
        ]
        for (number, way), spot in self.land.scopes(survey).items():
            unit = self.land.units[number]
            amount = self.amount(number, way)
            if unit.ways[way].remade is not None and amount != Linear():
                scope = next(layer for layer in spot.layers if layer.surface_id == unit.id)
                found.append(Presence(scope, amount))
        return found

    def over(self, number: int) -> Iterator[tuple[Part, dict[int, Linear], int]]:
        """The parts of a unit, how they change, and the place of the unit among theirs."""
        for index in self._parts_of[number]:
            part = self.parts[index]
            yield part, self.amounts[index], part.units.index(number)

    def amount(self, number: int, way: int) -> Linear:
        """How much of a unit, where it is seen, goes one way."""
        found: list[tuple[Linear, float]] = []
        for part, amounts, place in self.over(number):
            for combo, ways in enumerate(part.combos):
                if ways[place] != way or not part.seen[combo][place]:
                    continue
                if combo:
                    found.append((amounts[combo], 1.0))
                else:
                    found.append((Linear(part.area_m2), 1.0))
                    found += [(amount, -1.0) for amount in amounts.values()]
        return total(found)

    def _ask(
        self, rule: Rule, condition: n.Condition, measures: Measures, scenario: Scenario
    ) -> None:
        reader = Reader(Rows(), measures, measures.sheet, self.reserve)
        if not reader.varies(condition):
            if not is_true(condition, measures.sheet):
                self.stuck[Stuck(rule=rule.id, scenario=scenario.title)] = None
            elif self.goal.reserve is not None and not keeps_reserve(reader, condition):
                kept = show(self.goal.reserve, self.checked.system)
                says = f"it is met, but the reserve of {kept} is not kept"
                self.stuck[Stuck(rule=rule.id, scenario=scenario.title, says=says)] = None
            return
        before = len(self.rows.rows)
        try:
            constrain(
                self.rows, condition, measures, measures.sheet,
                rule=rule.id, reserve=self.reserve,
            )  # fmt: skip
        except NotLinear as why:
            self.unsaid[rule.id] = str(why)
            return
        self.said[rule.id] = None
        if len(self.rows.rows) > before and looks_at_shape((condition, self._tables(measures))):
            self.inexact[rule.id] = f"'{rule.title}' looks at the size or place of each piece"

    @property
    def coarseness(self) -> tuple[str, ...]:
        """Why not every way to build was tried; empty when all were."""
        cuttings = self.ground.cuttings
        found = tuple(cuttings.left_out)
        if cuttings.coarse_m:
            width = show(Amount(cuttings.coarse_m, LENGTH), self.checked.system)
            found = (f"widths were tried in steps of {width}, since there are so many", *found)
        return found

    def _tables(self, measures: Measures) -> tuple[object, ...]:
        used = {name for number, name in self.parts[0].counts} if self.parts else set()
        tables = measures.sheet.ruleset.counts
        return tuple(tables[name].rows for name in sorted(used) if name in tables)

    @cached_property
    def up_close(self) -> Program | None:
        """The same where a change may stand on a jump; None where no row keeps off one."""
        if not any(measures.kept_off for measures in self.measures):
            return None
        found = Program(self.ground, self._numbers, keeps_off=False)
        for rule in self._left_out:
            found.leave_out(rule)
        found.beyond, found.stuck = self.beyond, self.stuck
        return found

    def leave_out(self, rule: str) -> None:
        """Search on without a rule."""
        self.rows.rows = [row for row in self.rows.rows if row.rule != rule]
        self.said.pop(rule, None)
        self.inexact.pop(rule, None)
        self._left_out.append(rule)
        if "up_close" in self.__dict__ and self.up_close is not None:
            self.up_close.leave_out(rule)

    def leave_out_untold(self, rule: str) -> None:
        """Search on without a rule that lacks facts, and report it as stuck."""
        self.leave_out(rule)
        self.stuck[Stuck(rule=rule, scenario="")] = None

    def leave_out_beyond(self, rule: str) -> None:
        """Search on without a rule that no change mends."""
        self.leave_out(rule)
        self.beyond[rule] = None

    @cached_property
    def unmet(self) -> frozenset[str]:
        """The rules that the design does not meet as it is."""
        conditions = self.goal.accepts_conditions
        findings = self.checked.verdict.findings
        return frozenset(f.rule for f in findings if not is_met(f, conditions=conditions))

    @property
    def apart(self) -> frozenset[str]:
        """The rules that a change is not asked to meet."""
        return frozenset({item.rule for item in self.stuck} | set(self.beyond))

    def forbid(self, cuttings: Sequence[int]) -> None:
        """Never again choose these cuttings together and nothing else."""
        self.forbidden.append(np.array(cuttings, dtype=np.int64))

    def reserve(self, measured: n.Number, order: Order, limit: Linear) -> Linear | float:
        """The room to keep at a limit, as the goal asks.

        Raises:
            BadInput: The limit is not larger than that.
        """
        reserve = self.goal.reserve
        if reserve is None:
            return 0.0
        if reserve.dimension == RATIO:
            return limit.scaled(reserve.value_si)
        if dimension_of(measured, self.checked.ruleset.words) != AREA:
            return 0.0
        is_upper = order in {"at most", "less than"}
        if is_upper and limit.is_constant and reserve.value_si >= limit.constant:
            system, document = self.checked.system, self.checked.site.document
            says = (
                f"the reserve, {show(reserve, system)}, leaves nothing of the limit of "
                f"{show(Amount(limit.constant, AREA), system)}"
            )
            raise BadInput(
                f"{document.file} cannot be searched for a change",
                [Problem(document.place("goal", "reserve"), says, "make it smaller")],
            )
        return reserve.value_si


def program_of(
    checked: Checked, goal: Goal, costs: Costs, scenarios: Sequence[Scenario]
) -> Program:
    """The program of one or more scenarios by themselves."""
    return Program(OpenGround(checked, goal, costs, scenarios), range(len(scenarios)))


def keeps_reserve(reader: Reader, node: n.Condition) -> bool:
    """Whether a rule that is met keeps the reserve at each plain limit by which it is met."""
    if isinstance(node, n.AllOf):
        return all(keeps_reserve(reader, part) for part in node.parts)
    if isinstance(node, n.AnyOf):
        return any(
            is_true(part, reader.context) and keeps_reserve(reader, part) for part in node.parts
        )
    if not isinstance(node, n.Compare) or node.order == "equal to" or reader.reserve is None:
        return True
    is_upper = node.order in {"at most", "less than"}
    sides = reader.sides(node, "over" if is_upper else "under", None)
    if sides is None or not sides[0].is_constant:
        return True
    measured, _ = reader.cleared(node.measured)
    kept = reader.reserve(measured, node.order, sides[1])
    room = -sides[0].constant if is_upper else sides[0].constant
    wanted = kept if isinstance(kept, float) else kept.constant
    return meets(room, wanted, "at least", size=abs(sides[1].constant))
