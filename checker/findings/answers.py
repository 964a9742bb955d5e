"""Every answer that the questions still open may get, and all that a verdict can hang on."""

from __future__ import annotations

from datetime import timedelta
from itertools import product
from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.walk import nodes

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from datetime import date

    from checker.algebra.values import Missing
    from checker.core.words import Word
    from checker.rulesets.rules import Rule, RuleSet

    Answer = str | bool | date

MOST: Final = 256
"""So many sets of answers are tried; beyond that every open condition is taken at its worst."""

_DAY: Final = timedelta(days=1)


def reached(rule: Rule, ruleset: RuleSet) -> Iterator[object]:
    """Every node that the verdict of a rule can hang on, through tables, amounts and rules too."""
    bands = tuple(band.require for band in rule.or_else)
    return reached_from([rule.require, rule.applies, bands], ruleset)


def reached_from(trees: Iterable[object], ruleset: RuleSet) -> Iterator[object]:
    """Every node that some nodes can hang on, through tables, amounts and rules too."""
    seen: set[str] = set()
    queue: list[object] = list(trees)
    while queue:
        for node in nodes(queue.pop()):
            yield node
            if isinstance(node, n.LimitOf | n.Passes) and node.rule not in seen:
                seen.add(node.rule)
                other = ruleset.rule(node.rule)
                bands = tuple(band.require for band in other.or_else)
                queue += [other.require, other.applies, bands]
            elif isinstance(node, n.Named) and node.name not in seen:
                seen.add(node.name)
                if node.name in ruleset.amounts:
                    queue.append(ruleset.amounts[node.name])
                if node.name in ruleset.counts:
                    table = ruleset.counts[node.name]
                    queue += [tuple(table.rows), table.otherwise]


def readings_of(rule: Rule, ruleset: RuleSet) -> set[str]:
    """The unclear clauses that can matter to a rule."""
    return readings_among(reached(rule, ruleset))


def readings_among(found: Iterable[object]) -> set[str]:
    """The unclear clauses that some nodes name."""
    return {node.reading for node in found if isinstance(node, n.ByReading | n.ReadingCondition)}


def is_question(missing: Missing, ruleset: RuleSet) -> bool:
    """Whether it is a question about the lot with an answer in words: yes or no, a text, a day."""
    word = ruleset.words.lot.get(missing.name)
    return not missing.of and word is not None and word.kind != "amount"


def answers_to(
    missing: Iterable[Missing], rule: Rule, ruleset: RuleSet
) -> list[Mapping[str, Answer]]:
    """One set of answers for each way in which the open questions can come out.

    Answers that no condition tells apart are tried once. Empty when there is no such question, or
    when there are too many ways.
    """
    words = {
        item.name: ruleset.words.lot[item.name] for item in missing if is_question(item, ruleset)
    }
    if not words:
        return []
    told = list(reached(rule, ruleset))
    possible = [_answers(word, told) for word in words.values()]
    count = 1
    for answers in possible:
        count *= len(answers)
    if count > MOST:
        return []
    return [dict(zip(words, chosen, strict=True)) for chosen in product(*possible)]


def _answers(word: Word, told: Iterable[object]) -> list[Answer]:
    """The answers to one question that some condition tells from the others."""
    if word.kind == "yes or no":
        return [True, False]
    if word.kind == "date":
        days = {node.day for node in told if isinstance(node, n.Dated) and node.name == word.name}
        return [*sorted({day + step * _DAY for day in days for step in (-1, 0, 1)})]
    named = {
        str(value)
        for node in told
        if isinstance(node, n.Is) and node.name == word.name
        for value in node.values
    }
    others = [choice for choice in word.choices if choice not in named]
    if not word.choices:
        others = ["another answer than " + ", ".join(sorted(named))]
    allowed = [value for value in sorted(named) if not word.choices or value in word.choices]
    return [*allowed, *others[:1]]
