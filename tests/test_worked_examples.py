"""Every worked example of every rule set, and what each rule owes its reader in examples.

The expected values are printed in the source that the example cites or worked by hand; none is
this program's own output.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

import pytest

from checker import api
from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.walk import nodes
from checker.core.problems import BadInput, Problems
from checker.findings.examples import Tried, examples_of, try_example
from checker.findings.given import GivenLot
from checker.findings.sheet import RuleSheet

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.rulesets.rules import Example, Rule, RuleSet

FILES: Final = (*api.models(), *api.places())

EXEMPT: Final[dict[tuple[str, str, str], str]] = {
    ("section-water", "from-lot-line", "fails"): "a recommendation: it asks, and refuses nothing",
    ("walking-surface", "pool-edge", "fails"): "it flags work to be checked, and refuses nothing",
}
"""(rule set, rule, what it lacks) to the reason why it cannot have it."""


@cache
def ruleset(name: str) -> RuleSet:
    return api.load_ruleset(name)


def _loads(name: str) -> bool:
    try:
        return bool(ruleset(name).title)
    except BadInput:
        return False  # reported by `test_file_can_be_read`, not by a failed collection


NAMES: Final = tuple(name for name in FILES if _loads(name))
PUBLISHED: Final = tuple(name for name in NAMES if ruleset(name).kind == "published")


@pytest.mark.parametrize("name", FILES)
def test_file_can_be_read(name: str) -> None:
    found = ruleset(name)
    assert found.id == name
    assert found.kind == "model" if name in api.models() else found.kind != "model"


@cache
def tried(name: str, of: str) -> tuple[Tried, ...]:
    return tuple(
        try_example(ruleset(name), owner, example)
        for owner, example in examples_of(ruleset(name))
        if owner == of
    )


def cases() -> Iterator[object]:
    for name in NAMES:
        for of, example in examples_of(ruleset(name)):
            yield pytest.param(name, of, example, id=f"{name}::{of}::{example.name}")


@pytest.mark.parametrize(("name", "of", "example"), list(cases()))
def test_example_holds(name: str, of: str, example: object) -> None:
    found = next(item for item in tried(name, of) if item.example is example)
    assert found.holds, f"{found.example.place}\n" + "\n".join(
        f"  {item.what}: expected {item.expected}, found {item.found}" for item in found.differences
    )


def rules() -> Iterator[object]:
    for name in NAMES:
        for rule in ruleset(name).rules:
            if not rule.origin:
                yield pytest.param(name, rule, id=f"{name}::{rule.id}")


def exempt(name: str, rule: Rule, what: str) -> bool:
    return (name, rule.id, what) in EXEMPT


def is_at_its_limit(name: str, rule: Rule, example: Example) -> bool:
    """Whether some comparison of the rule itself meets its limit exactly in an example."""
    lot = GivenLot(example, ruleset(name), Problems())
    sheet = RuleSheet(ruleset(name), lot, lot.options, lot.day)
    parts = evaluate.condition(rule.require, sheet).parts
    return any(part.margin_si == 0 for part in parts)


@pytest.mark.parametrize(("name", "rule"), list(rules()))
def test_rule_has_the_examples_it_owes(name: str, rule: Rule) -> None:
    statuses = {item.finding.status for item in tried(name, rule.id) if item.finding}
    if rule.citation.source.is_remembered:
        assert statuses <= {"cannot tell", "does not apply"}
        return
    passing = {"passes"} if not rule.documents else {"passes", "passes with conditions"}
    assert statuses & passing or exempt(name, rule, "passes")
    last_rung = next((b.outcome for b in rule.or_else if b.require == n.always()), "fails")
    assert last_rung in statuses or exempt(name, rule, "fails")
    if rule.applies != n.always():
        assert "does not apply" in statuses or exempt(name, rule, "does not apply")
    if any(isinstance(node, n.Compare) for node in nodes(rule.require)):
        assert exempt(name, rule, "at the limit") or any(
            is_at_its_limit(name, rule, example) for example in rule.examples
        )


def tables() -> Iterator[object]:
    for name in NAMES:
        own = ruleset(name).document.data.get("counts", {})
        for table in own:
            yield pytest.param(name, table, id=f"{name}::{table}")


@pytest.mark.parametrize(("name", "table"), list(tables()))
def test_table_has_examples(name: str, table: str) -> None:
    assert ruleset(name).count_examples[table] or (name, table, "examples") in EXEMPT


@pytest.mark.parametrize("name", PUBLISHED)
def test_published_law_says_how_far_it_was_read(name: str) -> None:
    found = ruleset(name)
    assert found.verify
    assert found.left_out
    assert all(source.reading != "invented" for source in found.sources.values())
    assert all(source.edition for source in found.sources.values())


@pytest.mark.parametrize("name", tuple(api.places()))
def test_hand_worked_numbers_show_their_arithmetic(name: str) -> None:
    """A limit, measure or margin that is not plainly one of the given numbers has a note."""
    for of, example in examples_of(ruleset(name)):
        if example.is_printed or example.document is not ruleset(name).document:
            continue
        given = {str(value) for value in example.given.values()} | {
            str(surface.get("area")) for surface in example.given.get("surfaces", ())
        }
        numbers = [
            str(value)
            for key, value in example.expect.items()
            if key in {"measured", "limit", "margin", "counted", "least", "most"}
            and not str(value).startswith("0 ")
        ]
        worked = [number for number in numbers if number not in given]
        assert not worked or example.note, f"{of}: {example.name}: say how {worked} came about"


def test_every_exemption_is_needed() -> None:
    known = {(name, rule.id) for name in NAMES for rule in ruleset(name).rules}
    known |= {(name, table) for name in NAMES for table in ruleset(name).counts}
    assert all((name, of) in known and reason for (name, of, _), reason in EXEMPT.items())
