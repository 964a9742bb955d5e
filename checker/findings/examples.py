"""Runs the worked examples that rules and counting tables carry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.counting import Counted
from checker.algebra.explain import Speaker
from checker.core.problems import BadInput, Problems, did_you_mean
from checker.core.records import Record
from checker.core.showing import show
from checker.core.units import Amount, UnreadableAmount, read_amount, same
from checker.findings.given import GivenLot
from checker.findings.model import STATUSES
from checker.findings.run import finding_of
from checker.findings.sheet import RuleSheet

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.units import System
    from checker.findings.model import Finding
    from checker.rulesets.rules import Example, RuleSet

_RULE_KEYS: Final = frozenset(
    {"status", "measured", "limit", "margin", "because", "documents", "if_unfavourable"}
)
_COUNT_KEYS: Final = frozenset({"counted", "least", "most"})


class Mismatch(Record):
    """Something that an example expects and that did not come out."""

    what: str
    expected: str
    found: str

    def __str__(self) -> str:
        return f"{self.what}: expected {self.expected}, found {self.found}"


class Tried(Record, kw_only=True):
    """One example, run.

    Attributes:
        of: The rule or counting table it belongs to.
        example: The example.
        differences: Empty when it holds.
        finding: What came out, for an example of a rule.
    """

    of: str
    example: Example
    differences: tuple[Mismatch, ...]
    finding: Finding | None = None

    @property
    def holds(self) -> bool:
        """Whether everything expected came out."""
        return not self.differences


def examples_of(ruleset: RuleSet) -> Iterator[tuple[str, Example]]:
    """Every example of a rule set with the rule or table it belongs to."""
    for name, examples in ruleset.count_examples.items():
        for example in examples:
            yield name, example
    for rule in ruleset.rules:
        for example in rule.examples:
            yield rule.id, example


def try_examples(ruleset: RuleSet) -> tuple[Tried, ...]:
    """Run every example of a rule set.

    Raises:
        BadInput: An example cannot be read.
    """
    return tuple(try_example(ruleset, of, example) for of, example in examples_of(ruleset))


def try_example(ruleset: RuleSet, of: str, example: Example) -> Tried:
    """Run one example.

    Args:
        ruleset: The rules it belongs to.
        of: Id of its rule, or name of its counting table.
        example: The example.

    Raises:
        BadInput: It names something unknown or gives something unreadable.
    """
    problems = Problems()
    lot = GivenLot(example, ruleset, problems)
    sheet = RuleSheet(ruleset, lot, lot.options, lot.day)
    _check_expected(example, _COUNT_KEYS if of in ruleset.counts else _RULE_KEYS, problems)
    problems.stop_if_any(f"the example '{example.name}' of {of} cannot be read")
    finding = None
    if of in ruleset.counts:
        differences = tuple(_count_differences(ruleset, of, example, sheet))
    else:
        finding = finding_of(ruleset.rule(of), sheet, Speaker(ruleset.words, ruleset.system))
        differences = tuple(_rule_differences(example, finding, ruleset.system))
    problems.stop_if_any(f"the example '{example.name}' of {of} cannot be read")
    return Tried(of=of, example=example, differences=differences, finding=finding)


def _check_expected(example: Example, allowed: frozenset[str], problems: Problems) -> None:
    def wrong(key: str, says: str, do: str) -> None:
        problems.add(example.document.place(*example.path, "expect", key), says, do)

    if not example.expect:
        wrong("", "the example expects nothing", did_you_mean("", allowed))
    for key, value in example.expect.items():
        if key not in allowed:
            wrong(key, f"'{key}' cannot be expected here", did_you_mean(key, allowed))
        elif key in {"status", "if_unfavourable"} and value not in STATUSES:
            wrong(key, f"'{value}' is no status", did_you_mean(value, STATUSES))
        elif key == "because" and not (isinstance(value, str) or _is_names(value)):
            wrong(key, "'because' is a name or a list of names", "write it as [one, another]")
        elif key == "documents" and not _is_names(value):
            wrong(key, "'documents' is a list of names", "write it as [one, another]")


def _is_names(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(item, str) for item in value)


def _expected(example: Example, key: str) -> Amount:
    try:
        return read_amount(example.expect[key])
    except UnreadableAmount as error:
        problems = Problems()
        problems.add(example.document.place(*example.path, "expect", key), str(error))
        raise BadInput("an example cannot be read", problems.items) from error


def _count_differences(
    ruleset: RuleSet, of: str, example: Example, sheet: RuleSheet
) -> Iterator[Mismatch]:
    counted = sheet.counted(n.Named(of))
    if not isinstance(counted, Counted):
        yield Mismatch("counted", str(example.expect), counted.ask)
        return
    total = counted.total
    found: dict[str, Amount | None] = {
        "counted": evaluate.as_amount(total),
        "least": total.end(high=False),
        "most": total.end(high=True),
    }
    for key in example.expect:
        yield from _amount_difference(key, _expected(example, key), found[key], ruleset.system)


def _rule_differences(example: Example, finding: Finding, system: System) -> Iterator[Mismatch]:
    expect: dict[str, Any] = dict(example.expect)
    status = expect.get("status")
    if status is not None and status != finding.status:
        why = f" ({finding.because})" if finding.because else ""
        yield Mismatch("status", str(status), f"{finding.status}{why}")
    worst = expect.get("if_unfavourable")
    if worst is not None and worst != finding.if_unfavourable:
        yield Mismatch("if_unfavourable", str(worst), str(finding.if_unfavourable))
    for key, found in (
        ("measured", finding.measured),
        ("limit", finding.limit),
        ("margin", finding.margin),
    ):
        if key in expect:
            yield from _amount_difference(key, _expected(example, key), found, system)
    if "because" in expect:
        wanted = expect["because"]
        names = {missing.name for missing in finding.missing} | {
            f"{missing.name} of {missing.of}" for missing in finding.missing if missing.of
        }
        missing_names = wanted if isinstance(wanted, list) else [wanted]
        for name in missing_names:
            if name not in names and str(name) not in finding.because:
                yield Mismatch("because", str(name), ", ".join(sorted(names)) or finding.because)
    if "documents" in expect and set(expect["documents"]) != set(finding.documents):
        yield Mismatch("documents", str(expect["documents"]), str(list(finding.documents)))


def _amount_difference(
    what: str, expected: Amount, found: Amount | None, system: System
) -> Iterator[Mismatch]:
    if found is None:
        yield Mismatch(what, show(expected, system), "nothing certain")
        return
    alike = expected.dimension == found.dimension
    tiny = abs(expected.value_si - found.value_si) < 1e-9
    if not alike or not (same(expected.value_si, found.value_si) or tiny):
        shown = Amount(found.value_si, found.dimension, expected.unit if alike else found.unit)
        yield Mismatch(what, _plain(expected, system), _plain(shown, system))


def _plain(amount: Amount, system: System) -> str:
    """All digits, since a difference may lie far behind the point."""
    if amount.unit:
        return f"{amount.to(amount.unit):,.10g} {amount.unit}"
    return show(amount, system, decimals=6)
