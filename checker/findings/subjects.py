"""What each rule is about, by the names that it asks for: cover, pavement, water or papers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.walk import changed, nodes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.words import Subject
    from checker.rulesets.rules import Rule, RuleSet

SUBJECTS: Final[tuple[Subject, ...]] = ("cover", "section", "drainage", "papers")
"""In the order in which every page tells them."""

_NOTHING: Final = n.AllOf(())


def subject_of(rule: Rule, ruleset: RuleSet) -> Subject:
    """What a rule is about.

    A counted area is always cover; else water goes before pavement, and pavement before the rest.
    A rule that asks for documents and facts alone is about papers.
    """
    asked = tuple(_asked(rule.require))
    names = [node.name for node in asked if isinstance(node, n.Named | n.Is | n.Dated)]
    if any(name in ruleset.counts for name in names):
        return "cover"
    words = [word for name in names if (word := ruleset.words.word(name)) is not None]
    found = {word.subject for word in words}
    for subject in ("drainage", "section"):
        if subject in found:
            return subject
    is_drawn = any(isinstance(node, n.Compare) for node in asked) or any(
        name not in ruleset.facts for name in names
    )
    return "cover" if is_drawn else "papers"


def _asked(condition: n.Condition) -> Iterator[object]:
    """All nodes of what must hold, without what selects the surfaces that it must hold for."""

    def without(node: object) -> n.ForEach | None:
        if isinstance(node, n.ForEach) and node.where != _NOTHING:
            return n.ForEach(_NOTHING, changed(node.require, without))
        return None

    yield from nodes(changed(condition, without))
