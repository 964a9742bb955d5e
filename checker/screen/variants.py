"""Rule sets, and rule sets with another limit: what a town is judged under, side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.algebra import nodes as n
from checker.algebra.dimensions import dimension_of
from checker.algebra.walk import changed, nodes
from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.core.records import Record, replace
from checker.core.units import RATIO, Amount, UnreadableAmount, read_amount
from checker.findings import shelf

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from checker.algebra.vocabulary import Vocabulary
    from checker.rulesets.rules import RuleSet


class Variant(Record):
    """One way to judge a town.

    Attributes:
        key: Begins the names of its columns; empty where there is one variant alone.
        title: Its name on pages.
        place_id: The rule set: an id or a path.
        rule: The rule whose limit is another; empty for none.
        limit: That limit, as written.
    """

    key: str
    title: str
    place_id: str
    rule: str = ""
    limit: str = ""

    def ruleset(self, beside: Path | None = None) -> RuleSet:
        """Its rules.

        Raises:
            BadInput: There is no such rule set, or the limit cannot be exchanged.
        """
        found = shelf.load_ruleset(self.place_id, beside)
        return with_limit(found, self.rule, self.limit) if self.rule else found


def variants_of(places: Sequence[str], limits: Sequence[str], beside: Path) -> tuple[Variant, ...]:
    """The variants that rule sets and ranges of limits make.

    Args:
        places: Rule sets by id or path; the first is held against the others.
        limits: Ranges, each `RULE=LIMIT,LIMIT,...`, of the first rule set.
        beside: The town file, from whose folder paths are taken.

    Raises:
        BadInput: A rule set or rule is unknown, or a limit cannot be exchanged.
    """
    found = [Variant("", shelf.load_ruleset(place, beside).title, place) for place in places]
    for written in limits:
        rule, _, values = written.partition("=")
        if not values:
            says = f"'{written}' is no range of limits"
            raise _wrong(says, "write RULE=LIMIT,LIMIT such as cover=40%,45%")
        for value in values.split(","):
            limit = value.strip()
            found.append(Variant("", f"{rule} at {limit}", places[0], rule, limit))
    if len(found) == 1:
        return tuple(found)
    return tuple(replace(variant, key=_key(variant, place)) for place, variant in enumerate(found))


def _key(variant: Variant, place: int) -> str:
    plain = "".join(c if c.isalnum() or c in "-.%" else "-" for c in variant.limit)
    stem = variant.place_id.replace("\\", "/").rpartition("/")[2].removesuffix(".yaml")
    return f"{place + 1}:{variant.rule}={plain}" if variant.rule else f"{place + 1}:{stem}"


def with_limit(ruleset: RuleSet, rule_id: str, written: str) -> RuleSet:
    """A rule set in which one rule has another limit: another amount, or another share.

    Raises:
        BadInput: There is no such rule, or its limit is neither.
    """
    known = [rule.id for rule in ruleset.rules]
    if rule_id not in known:
        raise _wrong(
            f"there is no rule '{rule_id}' in {ruleset.title}", did_you_mean(rule_id, known)
        )
    try:
        limit = read_amount(written)
    except UnreadableAmount as error:
        raise _wrong(str(error), "write it like 40% or 2,500 sq ft") from error
    rule = ruleset.rule(rule_id)
    target = _compared(rule.require)
    if target is None:
        raise _wrong(f"the rule '{rule_id}' compares nothing with a limit", "name another rule")
    other = _exchanged(target.limit, limit, ruleset.words)
    if other is None:
        says = f"the limit of '{rule_id}' is no plain amount or share that {written} could replace"
        raise _wrong(says, "change it in a copy of the rule set, and screen under both")
    instead = n.Compare(target.measured, target.order, other)
    require = changed(rule.require, lambda node: instead if node is target else None)
    rules = tuple(
        replace(own, require=require) if own.id == rule_id else own for own in ruleset.rules
    )
    return replace(ruleset, rules=rules)


def _wrong(says: str, do: str) -> BadInput:
    return BadInput("cannot be screened", [Problem(Place("--limit"), says, do)])


def _compared(node: n.Condition) -> n.Compare | None:
    return next((own for own in nodes(node) if isinstance(own, n.Compare)), None)


def _exchanged(limit: n.Number, other: Amount, words: Vocabulary) -> n.Number | None:
    """A limit with another amount in its place, whatever cases it had; or another share."""
    if dimension_of(limit, words) == other.dimension:
        return n.Fixed(other)
    if isinstance(limit, n.Share) and other.dimension == RATIO:
        return n.Share(other.value_si, limit.of)
    return None
