"""Runs the worked examples that rules and counting tables carry.

An example is judged as a drawn lot is: by the rules in force on its day, each way that an
unanswered clause can be read, and "cannot tell" where they differ.
"""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING, Any, Final

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.counting import Counted
from checker.algebra.values import Quantity
from checker.core.answers import yes_or_no
from checker.core.problems import BadInput, Problem, Problems, did_you_mean
from checker.core.records import Record
from checker.core.units import AREA, Amount
from checker.findings.answers import reached_from, readings_among
from checker.findings.checked import judged
from checker.findings.drawn_example import is_drawn, site_of_example
from checker.findings.expected import Mismatch, amount_differences, read_expected
from checker.findings.given import KEY, GivenLot
from checker.findings.model import STATUSES, Finding
from checker.findings.results import consequence_of
from checker.findings.run import judge
from checker.findings.sheet import RuleSheet

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import date

    from checker.core.units import System
    from checker.findings.sheet import LotSource
    from checker.rulesets.rules import Example, Result, RuleSet

_RULE_KEYS: Final = frozenset(
    {
        "status", "measured", "limit", "margin", "because", "documents", "if_unfavourable",
        "readings", "amounts",
    }
)  # fmt: skip
_RESULT_KEYS: Final = frozenset(
    {"owed", "amount", "least", "most", "because", "documents", "amounts"}
)
_COUNT_KEYS: Final = frozenset({"counted", "least", "most", "amounts"})
_MOST_WAYS: Final = 64
"""More ways to read a table's unclear clauses than this are not tried one by one."""


class Tried(Record, kw_only=True):
    """One example, run.

    Attributes:
        of: The rule or counting table it belongs to.
        example: The example.
        differences: Empty when it holds.
        finding: What came out, for an example of a rule.
        problems: Why it could not be run; empty where it was.
    """

    of: str
    example: Example
    differences: tuple[Mismatch, ...] = ()
    finding: Finding | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether everything expected came out."""
        return not self.differences and not self.problems


def examples_of(ruleset: RuleSet) -> Iterator[tuple[str, Example]]:
    """Every example of a rule set with the rule or table it belongs to."""
    for name, examples in ruleset.count_examples.items():
        for example in examples:
            yield name, example
    for rule in ruleset.rules:
        for example in rule.examples:
            yield rule.id, example
    for result in ruleset.results:
        for example in result.examples:
            yield result.id, example


def try_examples(ruleset: RuleSet) -> tuple[Tried, ...]:
    """Run every example of a rule set; one that cannot be read says so and hides no other."""
    return tuple(try_example(ruleset, of, example) for of, example in examples_of(ruleset))


def try_example(ruleset: RuleSet, of: str, example: Example) -> Tried:
    """Run one example.

    Args:
        ruleset: The rules it belongs to.
        of: Id of its rule, or name of its counting table.
        example: The example.
    """
    try:
        run = _Run(ruleset, of, example)
        finding = None
        if of in ruleset.counts:
            differences = [*_count_differences(run)]
        elif run.result is not None:
            differences = [*_result_differences(run, run.result)]
        else:
            finding = run.finding()
            differences = [*_rule_differences(example, finding, ruleset.system)]
        differences += _named_differences(run)
        run.problems.stop_if_any("an example cannot be read")
        _check_printed(example)
    except BadInput as bad:
        return Tried(of=of, example=example, problems=bad.problems)
    return Tried(of=of, example=example, differences=tuple(differences), finding=finding)


class _Run:
    """One example with where its numbers come from: what it gives, or the site it draws."""

    def __init__(self, ruleset: RuleSet, of: str, example: Example) -> None:
        self.ruleset, self.of, self.example = ruleset, of, example
        self.problems = Problems()
        self.result = next((item for item in ruleset.results if item.id == of), None)
        keys = _RULE_KEYS if self.result is None else _RESULT_KEYS
        _check_expected(example, _COUNT_KEYS if of in ruleset.counts else keys, self.problems)
        self.lot: LotSource
        self.options: dict[str, str] = {}
        self.day: date | None = None
        if is_drawn(example):
            self._draw()
        else:
            given = GivenLot(example, ruleset, self.problems)
            self.lot, self.options, self.day = given, given.options, given.day
            if self.day is not None and (why := ruleset.why_not_law(self.day)):
                place = example.document.place(*example.path, "given", "date")
                self.problems.add(place, why, "give a day on which the set is in force")
        self.problems.stop_if_any("an example cannot be read")

    def _draw(self) -> None:
        site = site_of_example(self.example, self.ruleset)
        is_rule = self.of not in self.ruleset.counts and self.result is None
        checked = judged(site, self.ruleset, only=(self.of,) if is_rule else ())
        self.lot, self.options, self.day = checked.sheet.lot, dict(site.readings), site.as_of

    def sheet(self, options: dict[str, str] | None = None) -> RuleSheet:
        """Every number, by the answers given and those chosen."""
        return RuleSheet(self.ruleset, self.lot.again(), self.options | (options or {}), self.day)

    def finding(self) -> Finding:
        """The rule judged, alone."""
        lot = self.lot.again()
        verdict, _ = judge(self.ruleset, lot, self.options, self.day, only=(self.of,))
        return verdict.findings[0]

    def counted(self) -> Quantity | str:
        """The counted total over all ways to read what nobody has answered; or what is missing."""
        table = self.ruleset.counts[self.of]
        trees = [tuple(table.rows), table.otherwise]
        unclear = readings_among(reached_from(trees, self.ruleset))
        still = sorted(unclear - self.options.keys())
        ways = list(product(*(self.ruleset.readings[name].options for name in still)))
        totals: list[Quantity] = []
        for way in ways[:_MOST_WAYS]:
            found = self.sheet(dict(zip(still, way, strict=True))).counted(n.Named(self.of))
            if not isinstance(found, Counted):
                return found.ask
            totals.append(found.total)
        return Quantity(
            min(total.low_si for total in totals), max(total.high_si for total in totals), AREA
        )


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
        elif key == "owed" and _yes(value) not in {"yes", "no", "cannot tell"}:
            wrong(key, f"'{value}' is no answer", "write yes, no or cannot tell")
        elif key == "because" and not (isinstance(value, str) or _is_names(value)):
            wrong(key, "'because' is a name or a list of names", "write it as [one, another]")
        elif key == "documents" and not _is_names(value):
            wrong(key, "'documents' is a list of names", "write it as [one, another]")
        elif key in {"readings", "amounts"} and not isinstance(value, dict):
            wrong(key, f"'{key}' is not a group of keys", "give names with what must come out")


def _check_printed(example: Example) -> None:
    """What an office printed wrong stands beside what is right, and differs from it."""
    problems = Problems()
    for key, printed in example.printed_as.items():
        place = example.document.place(*example.path, "printed_as", key)
        if key not in example.expect:
            hint = did_you_mean(key, example.expect)
            problems.add(place, f"'{key}' is not expected here", hint)
        elif str(printed) == str(example.expect[key]):
            says = f"'{key}' was printed as it is expected"
            problems.add(place, says, "remove it: 'printed_as' is for what an office got wrong")
    problems.stop_if_any("an example cannot be read")


def _is_names(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(item, str) for item in value)


def _count_differences(run: _Run) -> Iterator[Mismatch]:
    total = run.counted()
    if isinstance(total, str):
        yield Mismatch("counted", str(run.example.expect), total)
        return
    found = {
        "counted": evaluate.as_amount(total),
        "least": total.end(high=False),
        "most": total.end(high=True),
    }
    for key in ("counted", "least", "most"):
        if key in run.example.expect:
            yield from _amount(run.example, (key,), found[key], run.ruleset.system)


def _result_differences(run: _Run, result: Result) -> Iterator[Mismatch]:
    ruleset, expect = run.ruleset, run.example.expect
    if not result.is_in_force(run.day):
        yield Mismatch("owed", str(expect), "not in force")
        return
    speaker = ruleset.speaker()
    found = consequence_of(result, run.sheet(), run.options, speaker)
    owed = {"owed": "yes", "shown": "yes", "not owed": "no"}.get(found.status, found.status)
    if "owed" in expect and _yes(expect["owed"]) != owed:
        why = f" ({found.because})" if found.because else ""
        yield Mismatch("owed", _yes(expect["owed"]), f"{owed}{why}")
    amount = found.amount
    came = {
        "amount": evaluate.as_amount(amount) if amount is not None else None,
        "least": amount.end(high=False) if amount is not None else None,
        "most": amount.end(high=True) if amount is not None else None,
    }
    for key, value in came.items():
        if key in expect:
            yield from _amount(run.example, (key,), value, ruleset.system)
    if "documents" in expect and set(expect["documents"]) != set(found.documents):
        yield Mismatch("documents", str(expect["documents"]), str(list(found.documents)))
    yield from _unsaid(expect, {missing.name for missing in found.missing}, found.because)


def _unsaid(expect: Mapping[str, Any], names: set[str], because: str) -> Iterator[Mismatch]:
    """Names that are expected among the reasons and are not there."""
    wanted = expect.get("because", [])
    for name in wanted if isinstance(wanted, list) else [wanted]:
        if name not in names and str(name) not in because:
            yield Mismatch("because", str(name), ", ".join(sorted(names)) or because)


def _yes(value: object) -> str:
    answer = yes_or_no(value)
    return str(value) if answer is None else "yes" if answer else "no"


def _named_differences(run: _Run) -> Iterator[Mismatch]:
    """Amounts, counted measures and measures that are expected by name."""
    expect = run.example.expect.get("amounts", {})
    if not expect:
        return
    sheet, ruleset = run.sheet(), run.ruleset
    for name in expect:
        match = KEY.match(str(name))
        word = ruleset.words.lot.get(match["name"]) if match else None
        region = (match["region"] or "") if match else ""
        if match is None or word is None or word.kind != "amount":
            place = run.example.document.place(*run.example.path, "expect", "amounts", name)
            known = [key for key, item in ruleset.words.lot.items() if item.kind == "amount"]
            run.problems.add(place, f"'{name}' is no amount", did_you_mean(name, known))
            continue
        state = "existing" if match["state"] == "existing" else ""
        found = sheet.number(n.Named(match["name"], state, region))
        yield from _amount(
            run.example, ("amounts", name), evaluate.as_amount(found), ruleset.system
        )


def _amount(
    example: Example, at: tuple[str, ...], found: Amount | None, system: System
) -> Iterator[Mismatch]:
    value: Any = example.expect
    for key in at:
        value = value[key]
    expected = read_expected(value, example, at)
    if expected is not None:
        yield from amount_differences(at[-1], expected, found, system)


def _rule_differences(example: Example, finding: Finding, system: System) -> Iterator[Mismatch]:
    expect: dict[str, Any] = dict(example.expect)
    status = expect.get("status")
    if status is not None and status != finding.status:
        why = f" ({finding.because})" if finding.because else ""
        yield Mismatch("status", str(status), f"{finding.status}{why}")
    worst = expect.get("if_unfavourable")
    if worst is not None and worst != finding.if_unfavourable:
        yield Mismatch("if_unfavourable", str(worst), str(finding.if_unfavourable))
    for key in ("measured", "limit", "margin"):
        if key in expect:
            yield from _amount(example, (key,), getattr(finding, key), system)
    if "documents" in expect and set(expect["documents"]) != set(finding.documents):
        yield Mismatch("documents", str(expect["documents"]), str(list(finding.documents)))
    yield from _reasons(expect, finding)


def _reasons(expect: dict[str, Any], finding: Finding) -> Iterator[Mismatch]:
    names = {missing.name for missing in finding.missing} | {
        f"{missing.name} of {missing.of}" for missing in finding.missing if missing.of
    }
    yield from _unsaid(expect, names, finding.because)
    for reading, options in expect.get("readings", {}).items():
        came = {item.option: item.status for item in finding.readings if item.reading == reading}
        if dict(options) != came:
            yield Mismatch(f"readings of {reading}", str(dict(options)), str(came or "none"))
