"""The program of a search: a variable for each change, rows for each rule, and objectives."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from checker.algebra.constrain import constrain
from checker.algebra.constrain_terms import NotLinear, Presence
from checker.algebra.dimensions import dimension_of
from checker.algebra.linear import Linear, Rows, total
from checker.core.problems import BadInput, Problem, Problems
from checker.core.records import Record, replace
from checker.core.showing import show
from checker.core.units import AREA, RATIO, Amount
from checker.findings.lots import DrawnLot, regions_told_apart
from checker.findings.sheet import RuleSheet
from checker.measure.regions import NoRegion
from checker.rulesets.facts import read_facts
from checker.site.model import FiledDocument
from checker.solve.measures import Measures, is_true, looks_at_shape, met, tables_used
from checker.solve.parts import Land

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.algebra import nodes as n
    from checker.core.units import Order
    from checker.findings.checked import Checked
    from checker.measure.survey import Survey
    from checker.rulesets.rules import Rule, RuleSet
    from checker.site.model import Shape, Site
    from checker.solve.costs import Costs
    from checker.solve.goal import Goal
    from checker.solve.parts import Part
    from checker.solve.scenarios import Scenario


class Stuck(Record, kw_only=True):
    """A rule that is not met and that no change of the open surfaces can move.

    Attributes:
        rule: Its id.
        scenario: How the rules are read; empty for as they are.
    """

    rule: str
    scenario: str


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
        site = with_documents(checked.site, goal.to_be_on_file)
        facts = read_facts(checked.ruleset.facts, site.facts, site.document.place, Problems())
        first = DrawnLot(site, self.scenarios[0].ruleset, facts)
        sheets = [RuleSheet(s.ruleset, first, s.readings, checked.day) for s in self.scenarios[:1]]
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
            RuleSheet(s.ruleset, first.again(), s.readings, checked.day) for s in self.scenarios[1:]
        ]
        bares: list[DrawnLot] = []
        for sheet, scenario in zip(sheets, self.scenarios, strict=True):
            bare = bares[0].again() if bares else DrawnLot(fixed, scenario.ruleset, facts)
            bare.bind(sheet)
            bares.append(bare)
        used = [tables_used(conditions.values(), sheet) for sheet in sheets]
        self.surveys = [sheet.lot.survey for sheet in sheets if isinstance(sheet.lot, DrawnLot)]
        self.parts = self.land.parts(
            self.surveys,
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
            Measures(
                index,
                sheet,
                bare.survey,
                self.parts,
                self.amounts,
                partial(self._presences, survey),
            )
            for index, (sheet, bare, survey) in enumerate(
                zip(sheets, bares, self.surveys, strict=True)
            )
        ]
        for measures, scenario in zip(self.measures, self.scenarios, strict=True):
            for rule in self.rules:
                self._ask(rule, conditions[rule.id], measures, scenario)

    def _variables(self) -> list[dict[int, Linear]]:
        """For each part, how much of it changes by each combination but the first."""
        rows = self.rows
        alike: dict[object, Linear] = {}
        for number, unit in enumerate(self.land.units):
            if unit.is_whole:
                own = [rows.switch(f"{unit.id} {way}") for way in range(1, len(unit.ways))]
                self.switches |= {(number, way): s for way, s in enumerate(own, 1)}
                chosen = total([(switch, 1.0) for switch in own])
                rows.not_above(chosen.plus(-1.0))
                kind = self._kind(number)
                order = total([(switch, float(way)) for way, switch in enumerate(own, 1)])
                if unit.bay and kind in alike:
                    # Of bays that count alike the one nearer to the edge goes first: no better
                    # change is lost, and those that change adjoin.
                    rows.not_above(order.plus(alike[kind], -1.0))
                alike[kind] = order
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
            rows.not_above(total([(a, 1.0) for a in own_amounts.values()]).plus(-part.area_m2))
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

    def _kind(self, number: int) -> object:
        """What makes two bays of a surface alike: their parts count alike and are as large."""
        parts = [self.parts[index] for index in self._parts_of[number]]
        return self.land.units[number].id, tuple(
            (round(p.area_m2, 6), p.inside, p.seen, tuple(p.counts.items())) for p in parts
        )

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
                rule=rule.id, reserve=self.reserve,
            )  # fmt: skip
        except NotLinear as why:
            self.unsaid[rule.id] = str(why)
            return
        self.said[rule.id] = None
        if len(self.rows.rows) > before and looks_at_shape((condition, self._tables(measures))):
            self.inexact[f"'{rule.title}' looks at the size or place of each piece"] = None

    def _tables(self, measures: Measures) -> tuple[object, ...]:
        return tuple(table.rows for table in measures.sheet.ruleset.counts.values())

    def leave_out(self, rule: str) -> None:
        """Search on without a rule that cannot be met, and report it as stuck."""
        self.rows.rows = [row for row in self.rows.rows if row.rule != rule]
        self.said.pop(rule, None)
        self.stuck[Stuck(rule=rule, scenario="")] = None

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


def with_documents(site: Site, documents: Sequence[str]) -> Site:
    """The site as if documents were on file."""
    return replace(
        site, on_file=(*site.on_file, *(FiledDocument(document=name) for name in documents))
    )


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
