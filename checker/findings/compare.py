"""Two versions of a rule set compared rule by rule, and a site judged under both."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Literal

from checker.core.records import Record, replace
from checker.findings.checked import judged
from checker.rulesets.english import English
from checker.rulesets.handing_in import submission_sentences

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from checker.findings.model import Finding
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site

ChangeKind = Literal["added", "removed", "changed"]
Parts = dict[str, tuple[str, tuple[str, ...]]]
"""Name to title and sentences."""


class RuleChange(Record):
    """One part that differs between two rule sets.

    Attributes:
        group: What kind of part: "rule", "counting table", "amount", "fact", "region", "reading",
            and "part" for what is to be handed in.
        name: Its id or name.
        title: Its name on pages.
        kind: Whether it came, went or changed.
        before: What the older one says, in English, a sentence an entry; empty where it came.
        after: What the newer one says; empty where it went.
    """

    group: str
    name: str
    title: str
    kind: ChangeKind
    before: tuple[str, ...]
    after: tuple[str, ...]


class Rescored(Record):
    """One rule judged on one site under two rule sets.

    Attributes:
        rule: Its id.
        title: Its name on pages.
        before: The finding under the older set; None where it has no such rule.
        after: The finding under the newer set; None where it has no such rule.
    """

    rule: str
    title: str
    before: Finding | None
    after: Finding | None

    @property
    def differs(self) -> bool:
        """Whether the verdict or any of its numbers differs."""
        if self.before is None or self.after is None:
            return True
        return any(
            getattr(self.before, key) != getattr(self.after, key)
            for key in ("status", "measured", "limit", "margin", "documents")
        )


def compare(old: RuleSet, new: RuleSet) -> tuple[RuleChange, ...]:
    """What differs between two rule sets, in what they ask; examples and sources are left out."""
    return tuple(
        change
        for group, parts in _GROUPS.items()
        for change in _differences(group, parts(old), parts(new))
    )


def _rules(ruleset: RuleSet) -> Parts:
    said = English(ruleset)
    return {
        rule.id: (rule.title, (rule.title + ".", *said.rule_lines(rule))) for rule in ruleset.rules
    }


def _results(ruleset: RuleSet) -> Parts:
    said = English(ruleset)
    return {
        result.id: (result.title, (result.title + ".", *said.result_lines(result)))
        for result in ruleset.results
    }


def _attributes(ruleset: RuleSet) -> Parts:
    said = English(ruleset)
    return {name: (word.title, (said.fact(word),)) for name, word in ruleset.attributes.items()}


def _tables(ruleset: RuleSet) -> Parts:
    said = English(ruleset)
    return {
        name: (
            table.title,
            (*(said.row(row) for row in table.rows), said.rest(table), f"levels: {table.levels}"),
        )
        for name, table in ruleset.counts.items()
    }


def _amounts(ruleset: RuleSet) -> Parts:
    said = English(ruleset).speaker
    return {name: (said.name(name), (said.number(node),)) for name, node in ruleset.amounts.items()}


def _facts(ruleset: RuleSet) -> Parts:
    said = English(ruleset)
    return {name: (word.title, (said.fact(word),)) for name, word in ruleset.facts.items()}


def _regions(ruleset: RuleSet) -> Parts:
    said = English(ruleset)
    return {
        name: (region.title, (said.region(region),)) for name, region in ruleset.regions.items()
    }


def _readings(ruleset: RuleSet) -> Parts:
    return {
        name: (
            name,
            (
                choice.question,
                *(f"{key}: {title}" for key, title in choice.options.items()),
                f"used until the office has answered: {choice.default}",
            ),
        )
        for name, choice in ruleset.readings.items()
    }


def _submission(ruleset: RuleSet) -> Parts:
    said = tuple(submission_sentences(ruleset, English(ruleset).speaker))
    return {"submission": ("what is to be handed in", said)} if said else {}


_GROUPS: Mapping[str, Callable[[RuleSet], Parts]] = {
    "rule": _rules,
    "result": _results,
    "counting table": _tables,
    "amount": _amounts,
    "region": _regions,
    "fact": _facts,
    "attribute": _attributes,
    "reading": _readings,
    "part": _submission,
}


def _differences(group: str, old: Parts, new: Parts) -> Iterator[RuleChange]:
    for name in dict.fromkeys((*old, *new)):
        before, after = old.get(name), new.get(name)
        if before == after:
            continue
        kind: ChangeKind = "added" if before is None else "removed" if after is None else "changed"
        title = (after or before or ("", ()))[0]
        yield RuleChange(
            group=group,
            name=name,
            title=title,
            kind=kind,
            before=before[1] if before else (),
            after=after[1] if after else (),
        )


def _dated(site: Site, ruleset: RuleSet) -> Site:
    """The site on its own day where the text is law of it, else on the last day of the text."""
    if site.as_of is not None and ruleset.is_in_force(site.as_of):
        return site
    last = ruleset.until - timedelta(days=1) if ruleset.until else None
    return replace(site, as_of=last)


def rescored(site: Site, old: RuleSet, new: RuleSet) -> tuple[Rescored, ...]:
    """Judge a site under two rule sets, rule by rule; its day counts where the text is law of it.

    Raises:
        BadInput: The site does not fit one of them.
    """
    before, after = (
        {item.rule: item for item in judged(_dated(site, text), text).verdict.findings}
        for text in (old, new)
    )
    return tuple(
        Rescored(
            rule=name,
            title=(after.get(name) or before[name]).title,
            before=before.get(name),
            after=after.get(name),
        )
        for name in dict.fromkeys((*before, *after))
    )
