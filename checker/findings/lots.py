"""A surveyed drawing as the lot that a sheet reads from."""

from __future__ import annotations

from copy import copy
from typing import TYPE_CHECKING

from checker.algebra import nodes as n
from checker.algebra.tables import Spot
from checker.algebra.values import Missing, Quantity
from checker.core.units import Amount
from checker.measure.catalogue import LOT_MEASURES
from checker.measure.regions import NoRegion
from checker.measure.survey import Survey

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from checker.algebra.values import Context
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site


class DrawnLot:
    """A surveyed drawing.

    Args:
        site: The lot as drawn.
        ruleset: The rules whose regions it is cut by.
        facts: The site's facts, read by the rule set's kinds.
    """

    def __init__(
        self, site: Site, ruleset: RuleSet, facts: Mapping[str, str | bool | date | Amount]
    ) -> None:
        self.survey = Survey(
            site, ruleset.words, ruleset.regions, sorted(regions_told_apart(ruleset))
        )
        self._facts = facts
        self._on_file = {
            key
            for item in site.on_file
            for key in ((f"{item.document} of {item.of}",) if item.of else (item.document,))
        }

    def again(self) -> DrawnLot:
        """The same lot for another scope; see `Survey.again`."""
        other = copy(self)
        other.survey = self.survey.again()
        return other

    def bind(self, lot: Context) -> None:
        """Take the scope of the lot."""
        self.survey.bind(lot)

    def number(self, named: n.Named) -> Quantity | None:
        """A built-in measure; None for names that the rule set defines."""
        return self.survey.number(named) if named.name in LOT_MEASURES else None

    def fact(self, name: str) -> str | bool | date | Amount | None:
        """A fact of the site file, or a measure that is a text or a truth."""
        if name in LOT_MEASURES:
            found = self.survey.measured(name)
            return found if isinstance(found, str | bool) else None
        return self._facts.get(name)

    def spots(self, state: str, region: str) -> Sequence[Spot] | Missing:
        """The spots of a state, cut to a region when one is named."""
        which = "existing" if state == "existing" else "proposed"
        try:
            if region:
                return self.survey.spots_within(which, region)  # type: ignore[arg-type]
            return self.survey.spots(which)  # type: ignore[arg-type]
        except NoRegion as lacks:
            return Missing(region, "", str(lacks))

    def surfaces(self) -> Iterable[Context]:
        """The scope of each surface, and of what is built for water where that is drawn."""
        if "ways_out" not in self.survey.site.parts:
            return self.survey.surfaces()
        from checker.measure.drainage.built import every_scope

        return every_scope(self.survey)

    def is_on_file(self, document: str) -> bool:
        """Whether a document exists."""
        return document in self._on_file


def regions_told_apart(ruleset: RuleSet) -> set[str]:
    """The regions that any `inside:` test of a rule set names."""
    from checker.algebra.walk import nodes

    trees: list[object] = [rule.require for rule in ruleset.rules]
    trees += [rule.applies for rule in ruleset.rules]
    trees += [tuple(table.rows) for table in ruleset.counts.values()]
    return {
        str(value)
        for tree in trees
        for node in nodes(tree)
        if isinstance(node, n.Is) and node.name == "inside"
        for value in node.values
        if value in ruleset.regions
    }
