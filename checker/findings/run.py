"""Judges a rule set on a lot: every rule to a finding, in order, each with its reason."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.counting import Counted
from checker.algebra.explain import Speaker, Step
from checker.algebra.values import Judged, Missing, Truth
from checker.algebra.walk import nodes
from checker.core.records import replace
from checker.core.units import Amount
from checker.findings.model import STATUSES, Finding, ReadingVerdict, Status, Verdict
from checker.findings.sheet import Sheet

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date

    from checker.algebra.counting import Contribution
    from checker.core.units import System
    from checker.findings.sheet import Lot
    from checker.rulesets.rules import Band, Rule, RuleSet


class _Outcome(NamedTuple):
    status: Status
    truth: Truth
    band: Band | None = None
    because: str = ""


def judge(
    ruleset: RuleSet,
    lot: Callable[[], Lot],
    options: Mapping[str, str] | None = None,
    day: date | None = None,
    system: System | None = None,
) -> tuple[Verdict, Sheet]:
    """Judge every rule that is in force.

    Args:
        ruleset: The rules.
        lot: Gives the lot; called once, and once more per way an unclear clause can be read.
        options: How the office reads unclear clauses, by reading id.
        day: The day whose law counts; None for the newest.
        system: The units in which rules are said; the rule set's own when None.

    Returns:
        The findings in the order of the rules, and the sheet they were read from.
    """
    options = dict(options or {})
    sheet = Sheet(ruleset, lot(), options, day)
    speaker = Speaker(ruleset.words, system or ruleset.system)
    rules = [rule for rule in ruleset.rules if rule.is_in_force(day)]
    findings = [finding_of(rule, sheet, speaker) for rule in rules]
    used = {rule.id: _readings_used(rule, ruleset) for rule in rules}
    findings = _with_readings(findings, rules, used, sheet, lot)
    findings = [_settled(finding, options) for finding in findings]
    counts = Counter(finding.status for finding in findings)
    return Verdict(findings=tuple(findings), counts=dict(counts)), sheet


def finding_of(rule: Rule, sheet: Sheet, speaker: Speaker) -> Finding:
    """Judge one rule."""
    outcome = _outcome(rule, sheet)
    truth = outcome.truth
    part = governing(truth, outcome.status)
    finding = Finding(
        rule=rule.id,
        title=rule.title,
        status=outcome.status,
        says=speaker.sentence(rule.require),
        citation=(outcome.band.citation if outcome.band else None) or rule.citation,
        place=rule.place,
        parts=truth.parts,
        because=outcome.because,
        missing=truth.missing if outcome.status == "cannot tell" else (),
        documents=_documents(rule, outcome),
        band=outcome.band.says if outcome.band else "",
        caution=rule.caution,
        note=_note(rule, outcome),
        origin=rule.origin,
        remedy_kinds=rule.remedies,
    )
    if outcome.status == "cannot tell":
        finding = replace(finding, if_unfavourable=_unfavourable(truth))
    if part is None or outcome.status == "does not apply":
        return _verified(finding)
    measured, limit = part.worst
    margin_si = part.margin_si
    margin = None
    if margin_si is not None and limit is not None:
        margin = Amount(margin_si, limit.dimension, limit.unit)
    if measured is not None and limit is not None and not measured.unit:
        measured = replace(measured, unit=limit.unit)
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


def _verified(finding: Finding) -> Finding:
    """A verdict that rests on a text nobody has laid beside the file cannot be told."""
    source = finding.citation.source
    if not source.is_remembered or finding.status in {"does not apply", "cannot tell"}:
        return finding
    return replace(
        finding, status="cannot tell", because=source.ask, if_unfavourable=finding.status
    )


def _outcome(rule: Rule, sheet: Sheet) -> _Outcome:
    applies = evaluate.condition(rule.applies, sheet)
    if applies.holds is False:
        speaker = Speaker(sheet.ruleset.words, sheet.ruleset.system)
        return _Outcome(
            "does not apply", applies, None, f"asked only where {speaker.condition(rule.applies)}"
        )
    met = evaluate.condition(rule.require, sheet)
    if met.is_vacuous:
        return _Outcome("does not apply", met, None, "there is no such surface in the design")
    found = _climb(rule, met, sheet)
    if applies.holds is None and found.status not in {"passes"}:
        missing = tuple(dict.fromkeys(applies.missing + found.truth.missing))
        truth = replace(found.truth, missing=missing)
        return _Outcome("cannot tell", truth, found.band, _asks(missing))
    return found


def _climb(rule: Rule, met: Truth, sheet: Sheet) -> _Outcome:
    """Down the outcome ladder until a rung holds."""
    if met.holds:
        status: Status = "passes with conditions" if rule.documents else "passes"
        return _Outcome(status, met)
    if met.holds is None:
        return _Outcome("cannot tell", met, None, _asks(met.missing))
    last = met
    for band in rule.or_else:
        truth = evaluate.condition(band.require, sheet)
        last = truth if truth.parts else last
        if truth.holds:
            return _Outcome(band.outcome, last, band)
        if truth.holds is None:
            return _Outcome("cannot tell", last, band, _asks(truth.missing))
    return _Outcome("fails", last if rule.or_else else met, None, "; ".join(met.because))


def _asks(missing: tuple[Missing, ...]) -> str:
    return "; ".join(dict.fromkeys(item.ask for item in missing))


def _documents(rule: Rule, outcome: _Outcome) -> tuple[str, ...]:
    if outcome.band is not None:
        return (*rule.documents, *outcome.band.documents)
    return rule.documents if outcome.status == "passes with conditions" else ()


def _note(rule: Rule, outcome: _Outcome) -> str:
    """The rule's note; and, where a gap in the facts did not matter, that it did not."""
    unneeded = outcome.truth.missing if outcome.status in {"passes", "fails"} else ()
    said = (
        f"Not given, but the verdict is the same either way: {_asks(unneeded)}." if unneeded else ""
    )
    return " ".join(text for text in (rule.note, said) if text)


def _unfavourable(truth: Truth) -> Status | None:
    """The verdict when every missing fact is taken at its worst; None when it has no number."""
    lot_parts = [part for part in truth.parts if part.holds is None]
    if not lot_parts or any(part.margin_si is None for part in lot_parts):
        return None
    return "fails"


def governing(truth: Truth, status: Status) -> Judged | None:
    """The comparison that decided: the one with the least room for its limit."""
    wanted = {"passes": True, "cannot tell": None}.get(status, False)
    pool = [part for part in truth.parts if part.holds is wanted] or list(truth.parts)

    def room(part: Judged) -> float:
        _, limit = part.worst
        if part.margin_si is None or limit is None:
            return float("inf")
        return part.margin_si / (abs(limit.value_si) or 1.0)

    return min(pool, key=room) if pool else None


def _trace(part: Judged, sheet: Sheet, speaker: Speaker) -> tuple[Step, ...]:
    context = sheet
    if part.of:
        scopes = {scope.surface_id: scope for scope in sheet.surfaces()}
        found = scopes.get(part.of)
        if found is None:
            return ()
        return (*speaker.steps(part.node.measured, found), *speaker.steps(part.node.limit, found))
    steps = (*speaker.steps(part.node.measured, context), *speaker.steps(part.node.limit, context))
    return tuple({step.what: step for step in steps}.values())


def _contributions(part: Judged, sheet: Sheet) -> tuple[Contribution, ...]:
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


def _readings_used(rule: Rule, ruleset: RuleSet) -> set[str]:
    """The unclear clauses that can matter to a rule, through tables and amounts too."""
    used: set[str] = set()
    seen: set[str] = set()
    queue: list[object] = [rule.require, rule.applies, tuple(band.require for band in rule.or_else)]
    while queue:
        for node in nodes(queue.pop()):
            if isinstance(node, n.ByReading | n.ReadingCondition):
                used.add(node.reading)
            elif isinstance(node, n.LimitOf | n.Passes) and node.rule not in seen:
                seen.add(node.rule)
                queue.append(ruleset.rule(node.rule).require)
            elif isinstance(node, n.Named) and node.name not in seen:
                seen.add(node.name)
                if node.name in ruleset.amounts:
                    queue.append(ruleset.amounts[node.name])
                if node.name in ruleset.counts:
                    table = ruleset.counts[node.name]
                    queue.append(tuple(table.rows))
                    queue.append(table.otherwise)
    return used


def _with_readings(
    findings: list[Finding],
    rules: list[Rule],
    used: dict[str, set[str]],
    sheet: Sheet,
    lot: Callable[[], Lot],
) -> list[Finding]:
    """Judge again with each other option of each reading that a rule uses."""
    ruleset = sheet.ruleset
    verdicts: dict[str, list[ReadingVerdict]] = {finding.rule: [] for finding in findings}
    chosen = {reading: sheet.option(reading) for reading in ruleset.readings}
    by_rule = {finding.rule: finding for finding in findings}
    speaker = Speaker(ruleset.words, ruleset.system)
    for reading in sorted(set().union(*used.values()) if used else set()):
        choice = ruleset.readings[reading]
        for option, title in choice.options.items():
            is_chosen = option == chosen[reading]
            other = (
                sheet if is_chosen else Sheet(ruleset, lot(), chosen | {reading: option}, sheet.day)
            )
            for rule in rules:
                if reading not in used[rule.id]:
                    continue
                found = by_rule[rule.id] if is_chosen else finding_of(rule, other, speaker)
                verdicts[rule.id].append(
                    ReadingVerdict(
                        reading=reading,
                        option=option,
                        title=title,
                        question=choice.question,
                        status=found.status,
                        is_chosen=is_chosen,
                        margin=found.margin,
                    )
                )
    return [replace(finding, readings=tuple(verdicts[finding.rule])) for finding in findings]


def _settled(finding: Finding, answered: Mapping[str, str]) -> Finding:
    """A verdict that hangs on an unanswered question cannot be told."""
    open_ones = [item for item in finding.readings if item.reading not in answered]
    hanging = [
        item
        for item in open_ones
        if any(other.status != item.status for other in open_ones if other.reading == item.reading)
    ]
    if not hanging:
        return finding
    questions = dict.fromkeys(
        f"ask the office and give the answer under 'readings: {item.reading}': {item.question}"
        for item in hanging
    )
    possible = {item.status for item in hanging} | {finding.if_unfavourable or finding.status}
    worst = next(status for status in STATUSES if status in possible)
    return replace(
        finding, status="cannot tell", because="; ".join(questions), if_unfavourable=worst
    )
