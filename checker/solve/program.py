"""The program of a search: a variable for each change, rows for each rule, and objectives."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

from checker.algebra.constrain import constrain
from checker.algebra.constrain_terms import NotLinear, Presence
from checker.algebra.linear import Linear, Rows, total
from checker.core.problems import Problems
from checker.core.records import record
from checker.core.units import AREA, RATIO
from checker.findings.lots import DrawnLot, regions_told_apart
from checker.findings.sheet import Sheet
from checker.measure.regions import NoRegion
from checker.rulesets.facts import read_facts
from checker.site.model import OnFile
from checker.solve.measures import Measures, is_true, looks_at_shape, met, tables_used
from checker.solve.parts import Land
from checker.solve.solver import Solution, as_mapping, least

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from checker.algebra import nodes as n
    from checker.findings.checked import Checked
    from checker.measure.survey import Survey
    from checker.rulesets.rules import Rule, RuleSet
    from checker.site.model import Shape, Site
    from checker.solve.changes import Becomes
    from checker.solve.costs import Costs
    from checker.solve.goal import Goal
    from checker.solve.parts import Part, Unit
    from checker.solve.scenarios import Scenario

Aim = Literal["cost", "area", "lost deck"]

FEW: Final = 300
"""Up to so many switches a second objective is worked out among equals of the first."""

_SLACK_FRACTION: Final = 1e-9


@record(kw_only=True)
class Stuck:
    """A rule that is not met and that no change of the open surfaces can move.

    Attributes:
        rule: Its id.
        scenario: How the rules are read; empty for as they are.
    """

    rule: str
    scenario: str


@record(kw_only=True)
class Change:
    """A unit, or some of it, that becomes something else.

    Attributes:
        unit: The surface or bay.
        way: What it becomes.
        area_m2: How much of it, where it is seen.
        parts: The parts of the land and how much of each, m2.
    """

    unit: Unit
    way: Becomes
    area_m2: float
    parts: tuple[tuple[Part, float], ...]

    @property
    def is_all(self) -> bool:
        """Whether all of each part it touches changes."""
        return all(area_m2 >= part.area_m2 * (1 - 1e-9) for part, area_m2 in self.parts)


class Program:
    """The rows of one or more scenarios over the same changes.

    Args:
        checked: The design as it is.
        goal: What must be reached.
        costs: What changes cost.
        scenarios: How the rules are read; the design must meet them in each.

    Raises:
        BadInput: The goal or the costs do not fit the site.
    """

    def __init__(
        self, checked: Checked, goal: Goal, costs: Costs, scenarios: Sequence[Scenario]
    ) -> None:
        self.checked = checked
        self.goal = goal
        self.scenarios = tuple(scenarios)
        self.rows = Rows()
        self.unsaid: dict[str, str] = {}
        self.stuck: dict[Stuck, None] = {}
        self.said: dict[str, None] = {}
        self.inexact: dict[str, None] = {}
        site = _with_documents(checked.site, goal.to_be_on_file)
        facts = read_facts(checked.ruleset.facts, site.facts, site.document.place, Problems())
        first = DrawnLot(site, self.scenarios[0].ruleset, facts)
        sheets = [Sheet(s.ruleset, first, s.readings, checked.day) for s in self.scenarios[:1]]
        self.land = Land(site, goal, costs, _regions(first, checked.ruleset))
        open_ids = {unit.id for unit in self.land.units}
        fixed = replace(
            site, surfaces=tuple(item for item in site.surfaces if item.id not in open_ids)
        )
        self.rules = [
            rule
            for rule in checked.ruleset.rules
            if rule.is_in_force(checked.day) and (not goal.rules or rule.id in goal.rules)
        ]
        conditions = {rule.id: met(rule, conditions=goal.accepts_conditions) for rule in self.rules}
        sheets += [
            Sheet(s.ruleset, first.again(), s.readings, checked.day) for s in self.scenarios[1:]
        ]
        bares: list[DrawnLot] = []
        for sheet, scenario in zip(sheets, self.scenarios, strict=True):
            bare = bares[0].again() if bares else DrawnLot(fixed, scenario.ruleset, facts)
            bare.bind(sheet)
            bares.append(bare)
        used = [tables_used(conditions.values(), sheet) for sheet in sheets]
        surveys = [sheet.lot.survey for sheet in sheets if isinstance(sheet.lot, DrawnLot)]
        self.parts = self.land.parts(
            surveys,
            [
                {named.name: sheet.ruleset.counts[named.name] for named in sorted(names, key=str)}
                for sheet, names in zip(sheets, used, strict=True)
            ],
        )
        self._parts_of: dict[int, list[int]] = {
            number: [] for number in range(len(self.land.units))
        }
        for index, part in enumerate(self.parts):
            for number in part.units:
                self._parts_of[number].append(index)
        self.switches: dict[tuple[int, int], Linear] = {}
        self.amounts = self._variables()
        self.measures = [
            Measures(index, sheet, bare.survey, self.parts, self.amounts, self._presences(survey))
            for index, (sheet, bare, survey) in enumerate(zip(sheets, bares, surveys, strict=True))
        ]
        for measures, scenario in zip(self.measures, self.scenarios, strict=True):
            for rule in self.rules:
                self._ask(rule, conditions[rule.id], measures, scenario)

    def _variables(self) -> list[dict[int, Linear]]:
        """For each part, how much of it changes by each combination but the first."""
        rows = self.rows
        for number, unit in enumerate(self.land.units):
            if unit.is_whole:
                own = [rows.switch(f"{unit.id} {way}") for way in range(1, len(unit.ways))]
                self.switches |= {(number, way): s for way, s in enumerate(own, 1)}
                rows.between(0.0, total([(switch, 1.0) for switch in own]), 1.0)
        amounts: list[dict[int, Linear]] = []
        for part in self.parts:
            if len(part.units) == 1 and (part.units[0], 1) in self.switches:
                number = part.units[0]
                amounts.append(
                    {
                        way: self.switches[number, way].scaled(part.area_m2)
                        for way in range(1, len(part.combos))
                    }
                )
                continue
            own_amounts = {
                combo: rows.variable("area", 0.0, part.area_m2)
                for combo in range(1, len(part.combos))
            }
            rows.between(0.0, total([(a, 1.0) for a in own_amounts.values()]), part.area_m2)
            for place, number in enumerate(part.units):
                for way in range(1, len(self.land.units[number].ways)):
                    if (number, way) in self.switches:
                        taken = [
                            (amount, 1.0)
                            for combo, amount in own_amounts.items()
                            if part.combos[combo][place] == way
                        ]
                        switch = self.switches[number, way]
                        rows.between(0.0, total([*taken, (switch, -part.area_m2)]), 0.0)
            amounts.append(own_amounts)
        return amounts

    def _presences(self, survey: Survey) -> list[Presence]:
        open_ids = {unit.id for unit in self.land.units}
        found = [
            Presence(scope, Linear(1.0))
            for scope in survey.surfaces()
            if scope.surface_id not in open_ids
        ]
        for (number, way), spot in self.land.scopes(survey).items():
            unit = self.land.units[number]
            amount = self.amount(number, way)
            if unit.ways[way].remade is not None and amount != Linear():
                scope = next(layer for layer in spot.layers if layer.surface_id == unit.id)
                found.append(Presence(scope, amount))
        return found

    def _over(self, number: int) -> Iterator[tuple[Part, dict[int, Linear], int]]:
        """The parts of a unit, how they change, and the place of the unit among theirs."""
        for index in self._parts_of[number]:
            part = self.parts[index]
            yield part, self.amounts[index], part.units.index(number)

    def amount(self, number: int, way: int) -> Linear:
        """How much of a unit, where it is seen, goes one way."""
        found: list[tuple[Linear, float]] = []
        for part, amounts, place in self._over(number):
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
        from checker.algebra.constrain import Reader

        reader = Reader(Rows(), measures, measures.sheet)
        if not reader.varies(condition):
            if not is_true(condition, measures.sheet):
                self.stuck[Stuck(rule=rule.id, scenario=scenario.title)] = None
            return
        before = len(self.rows.rows)
        try:
            constrain(
                self.rows, condition, measures, measures.sheet,
                rule=rule.id, reserve=self._reserve,
            )  # fmt: skip
        except NotLinear as why:
            self.unsaid[rule.id] = str(why)
            return
        self.said[rule.id] = None
        if len(self.rows.rows) > before and looks_at_shape((condition, self._tables(measures))):
            self.inexact[f"'{rule.title}' looks at the size or place of each piece"] = None

    def _tables(self, measures: Measures) -> tuple[object, ...]:
        return tuple(table.rows for table in measures.sheet.ruleset.counts.values())

    def _reserve(self, node: n.Compare, limit: Linear) -> Linear | float:
        reserve = self.goal.reserve
        if reserve is None:
            return 0.0
        if reserve.dimension == RATIO:
            return limit.scaled(reserve.value_si)
        words = self.checked.ruleset.words
        from checker.algebra.dimensions import dimension_of

        return reserve.value_si if dimension_of(node.limit, words) == AREA else 0.0

    def objective(self, aim: Aim) -> Linear:
        """What is minimised: cents beyond the design, square metres changed or deck lost."""
        found: list[tuple[Linear, float]] = []
        for number, unit in enumerate(self.land.units):
            for index, way in enumerate(unit.ways):
                if way.is_kept:
                    continue
                if (number, index) in self.switches:
                    area_m2 = self.area_m2(number, index)
                    times = self._price(aim, unit, way, area_m2, way.cents(area_m2))
                    found.append((self.switches[number, index], times))
                else:
                    changed = self._changed(number, index)
                    found.append((changed, self._price(aim, unit, way, 1.0, way.cents_per_m2)))
        return total(found)

    def _price(self, aim: Aim, unit: Unit, way: Becomes, area_m2: float, cents: float) -> float:
        if aim == "area":
            return area_m2
        if aim == "lost deck":
            return area_m2 if unit.ways[0].is_paved and not way.is_paved else 0.0
        return cents if self.goal.counts_savings else max(cents, 0.0)

    def area_m2(self, number: int, way: int) -> float:
        """The land of a unit that is seen as it is or once it has changed."""
        return self._changed_parts(number, way, {})[0]

    def _changed(self, number: int, way: int) -> Linear:
        found: list[tuple[Linear, float]] = []
        for part, amounts, place in self._over(number):
            found += [
                (amount, 1.0)
                for combo, amount in amounts.items()
                if part.combos[combo][place] == way
                and (part.seen[combo][place] or part.seen[0][place])
            ]
        return total(found)

    def _changed_parts(
        self, number: int, way: int, values: Mapping[int, float]
    ) -> tuple[float, tuple[tuple[Part, float], ...]]:
        """How much of a unit changes one way, and where; all of it when no values are given."""
        found: list[tuple[Part, float]] = []
        for part, amounts, place in self._over(number):
            area_m2 = 0.0
            for combo, ways in enumerate(part.combos):
                if ways[place] != way or not (part.seen[combo][place] or part.seen[0][place]):
                    continue
                area_m2 += amounts[combo].value(values) if values else part.area_m2
                if not values:
                    break
            if area_m2 > 1e-9:
                found.append((part, min(area_m2, part.area_m2)))
        return sum(area_m2 for _, area_m2 in found), tuple(found)

    def solve(self, aims: Sequence[Aim], without: frozenset[str] = frozenset()) -> Solution:
        """The best change: the first aim decides, the others choose among equals.

        Args:
            aims: What is least.
            without: Rules whose rows are left out.

        Returns:
            The solution; its objective and bound are those of the first aim.

        Raises:
            NoSolver: HiGHS is not installed.
            SolverStopped: It gave up.
        """
        rows = Rows(self.rows.variables, [r for r in self.rows.rows if r.rule not in without])
        first = least(rows, self.objective(aims[0]))
        found = first
        if len(self.switches) > FEW:
            aims = aims[:1]
        for earlier, aim in pairwise(aims):
            if found.status != "optimal":
                break
            held = self.objective(earlier)
            reached = held.value(as_mapping(found.values))
            slack = _SLACK_FRACTION * max(1.0, abs(reached))
            rows.between(-float("inf"), held, reached + slack)
            following = least(rows, self.objective(aim))
            if following.status != "optimal":
                break
            found = following
        return Solution(found.status, found.values, first.objective, first.bound)

    def changes(self, solution: Solution) -> tuple[Change, ...]:
        """What changes in a solution."""
        values = as_mapping(solution.values)
        found: list[Change] = []
        for number, unit in enumerate(self.land.units):
            for index, way in enumerate(unit.ways):
                if way.is_kept:
                    continue
                area_m2, parts = self._changed_parts(number, index, values)
                if area_m2 > 1e-6:
                    found.append(Change(unit=unit, way=way, area_m2=area_m2, parts=parts))
        return tuple(found)


def _with_documents(site: Site, documents: Sequence[str]) -> Site:
    return replace(site, on_file=(*site.on_file, *(OnFile(document=name) for name in documents)))


def _regions(lot: DrawnLot, ruleset: RuleSet) -> dict[str, Shape]:
    """The regions that rules measure in or tell surfaces apart by, as far as they can be made."""
    from checker.algebra import nodes
    from checker.algebra.walk import nodes as all_nodes

    trees = [(rule.require, rule.applies, rule.or_else) for rule in ruleset.rules]
    names = regions_told_apart(ruleset) | {
        node.region
        for tree in (*trees, tuple(ruleset.amounts.values()))
        for node in all_nodes(tree)
        if isinstance(node, nodes.Named) and node.region
    }
    found: dict[str, Shape] = {}
    for name in sorted(names):
        try:
            found[name] = lot.survey.region(name)
        except NoRegion:
            continue
    return found
