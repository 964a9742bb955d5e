"""The verdict of a plan in two parts: what counts at once, and what needs a storm to be followed.

Both are the call that the command line makes. The first leaves out the rules that ask the drainage
for a number, so that nobody waits for a storm while drawing.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from checker import api
from checker.algebra import nodes as n
from checker.algebra.walk import nodes
from checker.core.records import Record, replace
from checker.measure.catalogue import LOT_MEASURES, SURFACE_MEASURES
from checker.measure.words import built_in

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.findings.checked import Checked
    from checker.rulesets.rules import Rule, RuleSet
    from checker.site.model import Site

_SLOW_ROOM = "checker.measure.drainage."


def check_all(site: Site) -> Checked:
    """Every rule, as `soakline check` judges it.

    Raises:
        BadInput: The site does not fit its rule set, or there is no such rule set.
    """
    return api.check(site, api.load_ruleset_for(site))


class FastVerdict(Record):
    """What can be told at once.

    Attributes:
        checked: The rules that need no storm.
        late: Those that do.
    """

    checked: Checked
    late: tuple[Rule, ...]


def surveyed(site: Site) -> Checked:
    """A site with its measures and no rule judged, for papers that ask no verdict.

    Raises:
        BadInput: The site does not fit its rule set, or there is no such rule set.
    """
    return api.check(site, replace(api.load_ruleset_for(site), rules=()))


def check_fast(site: Site) -> FastVerdict:
    """The rules that need no storm.

    Raises:
        BadInput: The site does not fit its rule set, or there is no such rule set.
    """
    ruleset = api.load_ruleset_for(site)
    late = late_rules(ruleset, site)
    # What a search is to reach bears no verdict, and a tried material need not fit it.
    left_out = {"goal", *(_STORM_PARTS if late else ())}
    plain = replace(site, parts={k: v for k, v in site.parts.items() if k not in left_out})
    rules = tuple(rule for rule in ruleset.rules if rule.id not in late)
    checked = api.check(plain, replace(ruleset, rules=rules) if late else ruleset)
    return FastVerdict(checked, tuple(rule for rule in ruleset.rules if rule.id in late))


_STORM_PARTS = frozenset({"panels", "ways_out", "storms"})


def late_rules(ruleset: RuleSet, site: Site) -> frozenset[str]:
    """The rules that ask the drainage for a number, by themselves or through another rule."""
    if not _STORM_PARTS & set(site.parts):
        return frozenset()
    slow = _slow_names()
    named = {rule.id: _names(rule, ruleset) for rule in ruleset.rules}
    late = {rule for rule, names in named.items() if names & slow}
    while True:
        more = {rule for rule, names in named.items() if names & late} - late
        if not more:
            return frozenset(late)
        late |= more


@cache
def _slow_names() -> frozenset[str]:
    built_in()
    return frozenset(
        name
        for register in (LOT_MEASURES, SURFACE_MEASURES)
        for name, word in register.items()
        if getattr(word.work, "__module__", "").startswith(_SLOW_ROOM)
    )


def _names(rule: Rule, ruleset: RuleSet) -> frozenset[str]:
    found: set[str] = set()
    trees: list[object] = [rule.applies, rule.require]
    seen: set[str] = set()
    while trees:
        for node in nodes(trees.pop()):
            name = _name_of(node)
            if not name or name in seen:
                continue
            seen.add(name)
            found.add(name)
            trees += _behind(name, ruleset)
    return frozenset(found)


def _name_of(node: object) -> str:
    match node:
        case n.Named(name=name) | n.Is(name=name) | n.Dated(name=name):
            return name
        case n.Passes(rule=rule) | n.LimitOf(rule=rule):
            return rule
        case _:
            return ""


def _behind(name: str, ruleset: RuleSet) -> Iterable[object]:
    """What a name of the rule set is made from."""
    if name in ruleset.amounts:
        yield ruleset.amounts[name]
    if name in ruleset.counts:
        for row in ruleset.counts[name].rows:
            yield from (row.where, row.weight, *row.needs)
