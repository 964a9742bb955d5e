"""Judges a rule set on a lot: every rule to a finding, in order, each with its reason."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from checker.algebra import nodes as n
from checker.algebra.counting import Counted
from checker.algebra.explain import Speaker, Step
from checker.algebra.walk import nodes
from checker.core.records import replace
from checker.core.units import Amount
from checker.findings.model import OPEN, Finding, Verdict
from checker.findings.outcome import outcome_of
from checker.findings.readings import Readings
from checker.findings.sheet import RuleSheet

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from checker.algebra.counting import Contribution
    from checker.algebra.values import Judged
    from checker.core.units import System
    from checker.findings.outcome import Outcome
    from checker.findings.sheet import LotSource
    from checker.rulesets.rules import Rule, RuleSet


def judge(
    ruleset: RuleSet,
    lot: LotSource,
    options: Mapping[str, str] | None = None,
    day: date | None = None,
    system: System | None = None,
    only: Sequence[str] = (),
) -> tuple[Verdict, RuleSheet]:
    """Judge every rule that is in force, and list those that are not.

    Args:
        ruleset: The rules.
        lot: Where the numbers come from.
        options: How the office reads unclear clauses, by reading id.
        day: The day whose law counts; None for the newest.
        system: The units in which rules are said; the rule set's own when None.
        only: Judge these rules alone; all when empty.

    Returns:
        The findings in the order of the rules, and the sheet they were read from.
    """
    options = dict(options or {})
    sheet = RuleSheet(ruleset, lot, options, day)
    speaker = ruleset.speaker(system)
    findings = [
        finding_of(rule, sheet, speaker)
        if ruleset.asks(rule, day)
        else _out_of_force(rule, ruleset, day, speaker)
        for rule in (map(ruleset.rule, only) if only else ruleset.rules)
    ]
    under = Readings(sheet, options, lambda rule, other: finding_of(rule, other, speaker))
    findings = under.settled(findings)
    counts = Counter(finding.status for finding in findings)
    return Verdict(findings=tuple(findings), counts=dict(counts)), sheet


def untold(verdict: Verdict, because: str) -> Verdict:
    """The findings with nothing told: for a lot that nobody has drawn."""
    findings = tuple(
        Finding(
            rule=found.rule, title=found.title, status="cannot tell", says=found.says,
            citation=found.citation, place=found.place, because=because, caution=found.caution,
            origin=found.origin,
        )
        for found in verdict.findings
    )  # fmt: skip
    return Verdict(findings=findings, counts={"cannot tell": len(findings)})


def doubted(verdict: Verdict, because: str) -> Verdict:
    """The findings with nothing met: for a drawing that may hold more than could be read."""
    findings = tuple(
        replace(found, status="cannot tell", because=because) if found.is_met else found
        for found in verdict.findings
    )
    counts = Counter(finding.status for finding in findings)
    return replace(verdict, findings=findings, counts=dict(counts))


def finding_of(rule: Rule, sheet: RuleSheet, speaker: Speaker) -> Finding:
    """Judge one rule."""
    outcome = outcome_of(rule, sheet)
    part = outcome.governing
    finding = Finding(
        rule=rule.id,
        title=rule.title,
        status=outcome.status,
        says=speaker.sentence(rule.require),
        citation=(outcome.band.citation if outcome.band else None) or rule.citation,
        place=rule.place,
        parts=outcome.truth.parts,
        decides=part,
        first=outcome.first if part is not None else None,
        because=outcome.because,
        if_unfavourable=outcome.if_unfavourable,
        missing=outcome.truth.missing if outcome.status in OPEN else (),
        documents=outcome.documents,
        band=outcome.band.says if outcome.band else "",
        caution=rule.caution,
        note=_note(rule, outcome),
        origin=rule.origin,
        remedy_kinds=rule.remedies,
    )
    if part is None:
        return _verified(finding)
    measured, limit = part.worst
    margin = None
    if part.margin_si is not None and limit is not None:
        margin = Amount(part.margin_si, limit.dimension, limit.unit)
    return _verified(
        replace(
            finding,
            measured=measured,
            limit=limit,
            margin=margin,
            order=part.order,
            trace=_trace(part, sheet, speaker),
            contributions=_contributions(part, sheet),
        )
    )


def _out_of_force(rule: Rule, ruleset: RuleSet, day: date | None, speaker: Speaker) -> Finding:
    """A rule that is no law on the day that counts, with the days on which it was."""
    since, until = rule.since or ruleset.since, rule.until or ruleset.until
    if day is not None and day < since:
        when = f"it begins on {since.isoformat()}, after {day.isoformat()}"
    else:
        when = f"it ended on {until.isoformat()}" if until else "it has ended"
    return Finding(
        rule=rule.id,
        title=rule.title,
        status="not in force",
        says=speaker.sentence(rule.require),
        citation=rule.citation,
        place=rule.place,
        because=f"{when}; give the day whose law counts as 'date', or name the rules of that day",
        caution=rule.caution,
        note=rule.note,
        origin=rule.origin,
    )


def _verified(finding: Finding) -> Finding:
    """A verdict that rests on a text nobody has laid beside the file cannot be told."""
    source = finding.citation.source
    if not source.is_remembered or finding.status in {"does not apply", *OPEN}:
        return finding
    return replace(
        finding, status="cannot tell", because=source.ask, if_unfavourable=finding.status
    )


def _note(rule: Rule, outcome: Outcome) -> str:
    """The rule's note; and, where a gap in the facts did not matter, that it did not."""
    unneeded = outcome.truth.missing if outcome.status not in OPEN else ()
    asks = "; ".join(dict.fromkeys(item.ask for item in unneeded))
    said = f"Not given, but the verdict is the same either way: {asks}." if unneeded else ""
    return " ".join(text for text in (rule.note, said) if text)


def _trace(part: Judged, sheet: RuleSheet, speaker: Speaker) -> tuple[Step, ...]:
    context = sheet
    if part.of:
        scopes = {scope.surface_id: scope for scope in sheet.surfaces()}
        found = scopes.get(part.of)
        if found is None:
            return ()
        return (*speaker.steps(part.node.measured, found), *speaker.steps(part.node.limit, found))
    steps = (*speaker.steps(part.node.measured, context), *speaker.steps(part.node.limit, context))
    return tuple({step.what: step for step in steps}.values())


def _contributions(part: Judged, sheet: RuleSheet) -> tuple[Contribution, ...]:
    found: list[Contribution] = []
    seen: set[n.Named] = set()
    queue: list[object] = [part.node.measured]
    while queue:
        for node in nodes(queue.pop()):
            if not isinstance(node, n.Named) or node in seen:
                continue
            seen.add(node)
            if node.name in sheet.ruleset.counts and sheet.lot.number(node) is None:
                counted = sheet.counted(node)
                if isinstance(counted, Counted):
                    found += counted.contributions
            elif node.name in sheet.ruleset.amounts:
                queue.append(sheet.ruleset.amounts[node.name])
    return tuple(found)
