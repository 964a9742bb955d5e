"""What every search of a design starts from: its open land, how it counts, and how it may be cut.

It is worked out once for all ways in which the rules may be read; each program takes its share.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from checker.core.problems import Problems
from checker.core.records import replace
from checker.findings.lots import DrawnLot, regions_told_apart
from checker.findings.sheet import RuleSheet
from checker.measure.regions import NoRegion
from checker.rulesets.facts import read_facts
from checker.site.model import FiledDocument
from checker.solve.cuttings import Cuttings
from checker.solve.measures import met, tables_used
from checker.solve.parts import Land

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.findings.checked import Checked
    from checker.measure.survey import Survey
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Shape, Site
    from checker.solve.costs import Costs
    from checker.solve.goal import Goal
    from checker.solve.scenarios import Scenario


class OpenGround:
    """The open land of a design under several scenarios.

    Args:
        checked: The design as it is.
        goal: What must be reached.
        costs: What changes cost.
        scenarios: Every way in which the rules will be read.

    Attributes:
        rules: The rules that are asked for.
        conditions: What each of them asks, by its id.
        sheets: The scope of the lot under each scenario.
        bares: The drawing without the surfaces that may change, under each scenario.
        surveys: The drawing as it is, under each scenario.
        land: The open land.
        parts: Its parts; what they count stands under the number of the scenario.

    Raises:
        BadInput: The goal or the costs do not fit the site.
    """

    def __init__(
        self, checked: Checked, goal: Goal, costs: Costs, scenarios: Sequence[Scenario]
    ) -> None:
        self.checked = checked
        self.goal = goal
        self.costs = costs
        self.scenarios = tuple(scenarios)
        site = with_documents(checked.site, goal.to_be_on_file)
        self._facts = read_facts(checked.ruleset.facts, site.facts, site.document.place, Problems())
        first = self.lot_of(site)
        # Documents alone may differ: what the water does is known already.
        first.survey.take_parts(checked.survey)
        self.sheets = [
            RuleSheet(
                scenario.ruleset, first.again() if index else first, scenario.readings, checked.day
            )
            for index, scenario in enumerate(self.scenarios)
        ]
        cut = first.survey.cut_by(_regions(first, checked.ruleset))
        self.land = Land(site, goal, costs, cut.arrangement)
        fixed = replace(
            site, surfaces=tuple(s for s in site.surfaces if s.id not in self.land.numbers)
        )
        bare = self.lot_of(fixed)
        self.bares: list[Survey] = []
        for index, sheet in enumerate(self.sheets):
            own = bare.again() if index else bare
            own.bind(sheet)
            self.bares.append(own.survey)
        self.rules = [
            rule
            for rule in checked.ruleset.rules
            if rule.is_in_force(checked.day) and (not goal.rules or rule.id in goal.rules)
        ]
        self.conditions = {
            rule.id: met(rule, conditions=goal.accepts_conditions) for rule in self.rules
        }
        self.surveys = [s.lot.survey for s in self.sheets if isinstance(s.lot, DrawnLot)]
        used = [tables_used(self.conditions.values(), sheet) for sheet in self.sheets]
        self.parts = self.land.parts(
            self.surveys,
            [
                {named.name: sheet.ruleset.counts[named.name] for named in sorted(names, key=str)}
                for sheet, names in zip(self.sheets, used, strict=True)
            ],
        )

    def lot_of(self, site: Site) -> DrawnLot:
        """A site with changes drawn into it, to be measured."""
        return DrawnLot(site, self.scenarios[0].ruleset, self._facts)

    @cached_property
    def cuttings(self) -> Cuttings:
        """Every way in which the open surfaces may be built.

        Raises:
            BadInput: A surface has no such edge as the goal names.
        """
        titles = {name: region.title for name, region in self.checked.ruleset.regions.items()}
        return Cuttings(self.land, self.parts, titles)


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
