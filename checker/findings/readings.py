"""Unclear clauses: each rule judged under every way to read what it uses."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING, Final

from checker.core.records import replace
from checker.findings.answers import readings_of
from checker.findings.model import Finding, ReadingVerdict, Status, worst_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from checker.findings.sheet import RuleSheet
    from checker.rulesets.rules import Rule

MOST: Final = 256
"""So many ways to read several unanswered clauses at once are judged; no verdict beyond that."""


class Readings:
    """Judges under other readings.

    Args:
        sheet: The lot under the readings that are used.
        answered: How the office reads unclear clauses, where it has answered.
        judge: Judges a rule on a sheet.
    """

    def __init__(
        self,
        sheet: RuleSheet,
        answered: Mapping[str, str],
        judge: Callable[[Rule, RuleSheet], Finding],
    ) -> None:
        self._sheet = sheet
        self._answered = answered
        self._judge = judge
        self._sheets: dict[tuple[tuple[str, str], ...], RuleSheet] = {}

    def settled(self, findings: Sequence[Finding]) -> list[Finding]:
        """The findings with the verdicts under other readings; one that hangs on them is open."""
        ruleset = self._sheet.ruleset
        return [
            finding
            if finding.status == "not in force"
            else self._settled(finding, ruleset.rule(finding.rule))
            for finding in findings
        ]

    def _settled(self, finding: Finding, rule: Rule) -> Finding:
        used = sorted(readings_of(rule, self._sheet.ruleset))
        if not used:
            return finding
        known: dict[tuple[tuple[str, str], ...], Finding] = {}

        def under(options: Mapping[str, str]) -> Finding:
            key = tuple(sorted(options.items()))
            if key not in known:
                known[key] = self._judge(rule, self._under(key)) if key else finding
            return known[key]

        finding = replace(finding, readings=tuple(self._verdicts(used, under)))
        waiting = [reading for reading in used if reading not in self._answered]
        return self._told(finding, waiting, under)

    def _verdicts(
        self, used: Sequence[str], under: Callable[[Mapping[str, str]], Finding]
    ) -> Iterator[ReadingVerdict]:
        """Each option of each reading, the others as they are used."""
        for reading in used:
            choice = self._sheet.ruleset.readings[reading]
            for option, title in choice.options.items():
                is_chosen = option == self._sheet.option(reading)
                found = under({} if is_chosen else {reading: option})
                yield ReadingVerdict(
                    reading=reading,
                    option=option,
                    title=title,
                    question=choice.question,
                    status=found.status,
                    is_chosen=is_chosen,
                    margin=found.margin,
                )

    def _told(
        self,
        finding: Finding,
        waiting: Sequence[str],
        under: Callable[[Mapping[str, str]], Finding],
    ) -> Finding:
        """A verdict that hangs on an unanswered question cannot be told."""
        readings = self._sheet.ruleset.readings
        ways = 1
        for reading in waiting:
            ways *= len(readings[reading].options)
        if not waiting:
            return finding
        if ways > MOST:
            return self._open(finding, waiting, "fails")
        found = {
            chosen: under(
                {
                    reading: option
                    for reading, option in zip(waiting, chosen, strict=True)
                    if option != self._sheet.option(reading)
                }
            )
            for chosen in product(*(readings[reading].options for reading in waiting))
        }
        statuses = {item.status for item in found.values()}
        if len(statuses) == 1:
            return finding
        if statuses == {"passes", "does not apply"}:
            # Not asked, or asked and met: nothing stands in the way whatever the office answers.
            passed = next(item for item in found.values() if item.status == "passes")
            return replace(passed, readings=finding.readings)
        hanging = [reading for i, reading in enumerate(waiting) if _hangs(i, found)]
        worst = worst_of(item.if_unfavourable or item.status for item in found.values())
        return self._open(finding, hanging, worst)

    def _open(self, finding: Finding, hanging: Sequence[str], worst: Status) -> Finding:
        readings = self._sheet.ruleset.readings
        questions = (
            f"ask the office and give the answer under 'readings: {reading}': "
            f"{readings[reading].question}"
            for reading in hanging
        )
        return replace(
            finding,
            status="cannot tell",
            because="; ".join(questions),
            if_unfavourable=worst,
        )

    def _under(self, options: tuple[tuple[str, str], ...]) -> RuleSheet:
        if options not in self._sheets:
            self._sheets[options] = self._sheet.supposing({}, dict(options))
        return self._sheets[options]


def _hangs(index: int, found: Mapping[tuple[str, ...], Finding]) -> bool:
    """Whether one reading alone, the others read in some way, changes the verdict."""
    by_others: dict[tuple[str, ...], set[Status]] = {}
    for chosen, item in found.items():
        others = chosen[:index] + chosen[index + 1 :]
        by_others.setdefault(others, set()).add(item.status)
    return any(len(statuses) > 1 for statuses in by_others.values())
