"""Rules that hang on themselves through `limit_of` and `passes`, told before anything is judged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.algebra import nodes as n
from checker.algebra.walk import nodes

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from checker.algebra.tables import CountTable
    from checker.rulesets.rules import Rule

NodePart = tuple[str, bool]
"""A rule by its id, and whether all of it is asked or only its limit."""


class Circles:
    """Finds the rules of a set that hang on themselves.

    Args:
        rules: By id.
        amounts: Numbers that the set defines, by name.
        counts: Counting tables, by the measure they make.
    """

    def __init__(
        self,
        rules: Mapping[str, Rule],
        amounts: Mapping[str, n.Number],
        counts: Mapping[str, CountTable],
    ) -> None:
        self.rules = rules
        self.amounts = amounts
        self.counts = counts
        self._asked: dict[NodePart, tuple[NodePart, ...]] = {}

    def found(self) -> Iterator[tuple[Rule, tuple[str, ...]]]:
        """Each rule that hangs on itself, with the ids of the rules on the way round."""
        told: set[str] = set()
        for name, rule in self.rules.items():
            for is_whole in (True, False):
                way = self._way_back((name, is_whole))
                if way and not told.intersection(way):
                    told.update(way)
                    yield rule, way

    def _way_back(self, start: NodePart) -> tuple[str, ...]:
        """The shortest way from a rule back to it; empty when there is none."""
        came_from: dict[NodePart, NodePart] = {}
        queue = [start]
        for part in queue:
            for asked in self._asks(part):
                if asked == start:
                    way = [part]
                    while way[-1] != start:
                        way.append(came_from[way[-1]])
                    return tuple(dict.fromkeys(name for name, _ in reversed(way)))
                if asked not in came_from:
                    came_from[asked] = part
                    queue.append(asked)
        return ()

    def _asks(self, part: NodePart) -> tuple[NodePart, ...]:
        """The rules that a rule asks itself, through amounts and tables too."""
        if part not in self._asked:
            name, is_whole = part
            rule = self.rules.get(name)
            trees: list[object] = [] if rule is None else [rule.require]
            if rule is not None and is_whole:
                trees += [rule.applies, tuple(band.require for band in rule.or_else)]
            self._asked[part] = tuple(dict.fromkeys(self._named_in(trees)))
        return self._asked[part]

    def _named_in(self, trees: list[object]) -> Iterator[NodePart]:
        seen: set[str] = set()
        for tree in trees:  # grows while it is read
            for node in nodes(tree):
                if isinstance(node, n.LimitOf | n.Passes):
                    yield node.rule, isinstance(node, n.Passes)
                elif isinstance(node, n.Named) and node.name not in seen:
                    seen.add(node.name)
                    if node.name in self.amounts:
                        trees.append(self.amounts[node.name])
                    if node.name in self.counts:
                        table = self.counts[node.name]
                        trees += [tuple(table.rows), table.otherwise]
