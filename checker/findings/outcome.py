"""The verdict on one rule: down its ladder, and under every answer that is still open."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.algebra import evaluate
from checker.algebra.explain import Speaker
from checker.algebra.values import Truth, least_room
from checker.core.records import Record, replace
from checker.findings.answers import answers_to, is_question
from checker.findings.model import OPEN, Status, worst_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from checker.algebra.values import Judged, Missing
    from checker.findings.sheet import RuleSheet
    from checker.rulesets.rules import Band, Rule


class Outcome(Record):
    """How a rule came out.

    Attributes:
        status: The verdict.
        truth: The requirement that the verdict rests on: the rule's own, or that of a rung.
        band: The rung that gave the verdict.
        because: Why, beside the numbers.
        documents: What must be handed in with it.
        if_unfavourable: What it is when all that is missing turns out badly.
        first: The comparison of the rule's own requirement, where one of a rung decided.
    """

    status: Status
    truth: Truth
    band: Band | None = None
    because: str = ""
    documents: tuple[str, ...] = ()
    if_unfavourable: Status | None = None
    first: Judged | None = None

    @property
    def governing(self) -> Judged | None:
        """The comparison that decided it; None where facts did."""
        return None if self.status == "does not apply" else self.truth.governing


def outcome_of(rule: Rule, sheet: RuleSheet) -> Outcome:
    """Judge a rule; where something is missing, under every answer to the open questions.

    A verdict that is the same under all of them stands. Otherwise it cannot be told, and the
    worst that it can be is kept beside it.
    """
    found = _with_what_is_known(rule, sheet)
    if found.status not in OPEN:
        return found
    sheets = [
        sheet.supposing(answers)
        for answers in answers_to(_open_in(rule, found, sheet), rule, sheet.ruleset)
    ]
    tried = [_with_what_is_known(rule, other) for other in sheets]
    statuses = {outcome.status for outcome in tried}
    if tried and "cannot tell" not in statuses:
        alike = _alike(statuses, rule, sheet)
        if alike:
            return _either_way(alike, tried, found.truth.missing)
    if found.status == "unanswered":
        return found
    if tried:
        possible = [
            _at_worst(rule, other) if outcome.status == "cannot tell" else outcome.status
            for outcome, other in zip(tried, sheets, strict=True)
        ]
    else:
        possible = [_at_worst(rule, sheet)]
    return replace(found, if_unfavourable=worst_of(possible))


def _open_in(rule: Rule, found: Outcome, sheet: RuleSheet) -> tuple[Missing, ...]:
    """All that is open in a rule and on the rungs below it, which an answer may come down to."""
    rungs = (evaluate.condition(band.require, sheet).missing for band in rule.or_else)
    return tuple(dict.fromkeys((*found.truth.missing, *(m for rung in rungs for m in rung))))


def _with_what_is_known(rule: Rule, sheet: RuleSheet) -> Outcome:
    applies = evaluate.condition(rule.applies, sheet)
    if applies.holds is False:
        said = _speaker(sheet).condition(rule.applies)
        return Outcome("does not apply", applies, because=f"asked only where {said}")
    met = evaluate.condition(rule.require, sheet)
    if met.is_vacuous:
        return Outcome("does not apply", met, because="there is no such surface in the design")
    found = _climbed(rule, met, sheet)
    if applies.holds:
        return found
    missing = tuple(dict.fromkeys(applies.missing + found.truth.missing))
    truth = replace(found.truth, missing=missing)
    if found.status == "passes":
        return _asked_of_the_lot(replace(found, truth=truth), applies.missing, sheet)
    return Outcome("cannot tell", truth, found.band, _asks(missing), found.documents)


def _asked_of_the_lot(found: Outcome, missing: Sequence[Missing], sheet: RuleSheet) -> Outcome:
    """A rule that would pass, but whether it is asked hangs on a question about the lot."""
    questions = [item for item in missing if is_question(item, sheet.ruleset)]
    if not questions:
        return found
    return replace(
        found, status="unanswered", because=_asks(questions), if_unfavourable=found.status
    )


def _climbed(rule: Rule, met: Truth, sheet: RuleSheet) -> Outcome:
    """Down the outcome ladder until a rung holds."""
    if met.holds:
        status: Status = "passes with conditions" if rule.documents else "passes"
        return Outcome(status, met, documents=rule.documents)
    if met.holds is None:
        return Outcome("cannot tell", met, because=_asks(met.missing), documents=rule.documents)
    failed = [met]
    for band in rule.or_else:
        truth = evaluate.condition(band.require, sheet)
        documents = (*rule.documents, *band.documents)
        if truth.holds is None:
            # A rung that is left open hangs on its own numbers, not on what has failed above it.
            asks = _asks(truth.missing)
            return Outcome("cannot tell", truth, band, asks, documents, first=_above(met, truth))
        if truth.holds:
            bearing = truth if truth.decides else replace(_nearest(failed), missing=truth.missing)
            because = "" if truth.decides else _reasons(failed, sheet)
            first = _above(met, bearing)
            return Outcome(band.outcome, bearing, band, because, documents, first=first)
        failed.append(truth)
    nearest = _nearest(failed)
    return Outcome("fails", nearest, because=_reasons(failed, sheet), first=_above(met, nearest))


def _above(met: Truth, bearing: Truth) -> Judged | None:
    """The comparison of the first requirement, where the verdict rests on another one."""
    return None if bearing.governing is met.governing else met.governing


def _nearest(failed: Sequence[Truth]) -> Truth:
    """Of the requirements that are not met the one that a number alone reaches soonest."""
    found = evaluate.nearest(failed)
    chosen = found[0] if found and not found[0].because else failed[0]
    return replace(chosen, missing=tuple(dict.fromkeys(m for t in failed for m in t.missing)))


def _reasons(failed: Iterable[Truth], sheet: RuleSheet) -> str:
    """The conditions other than comparisons that stand in the way, as clauses."""
    speaker = _speaker(sheet)
    return "; ".join(
        dict.fromkeys(speaker.unmet(item) for truth in failed for item in truth.because)
    )


def _alike(statuses: set[Status], rule: Rule, sheet: RuleSheet) -> Status | None:
    """The one verdict under every answer; not being asked is as good as passing."""
    if len(statuses) == 1:
        return next(iter(statuses))
    if statuses <= {"passes", "does not apply", "unanswered"}:
        missing = evaluate.condition(rule.applies, sheet).missing
        asked = any(is_question(item, sheet.ruleset) for item in missing)
        return "unanswered" if asked or "unanswered" in statuses else "passes"
    return None


def _either_way(status: Status, tried: Sequence[Outcome], missing: tuple[Missing, ...]) -> Outcome:
    """The outcome with the least room of several that end alike, with all that any of them owes."""

    def room(outcome: Outcome) -> float:
        part = outcome.governing
        return float("inf") if part is None else part.room

    least = tried[least_room([room(outcome) for outcome in tried])]
    documents = tuple(dict.fromkeys(key for outcome in tried for key in outcome.documents))
    is_open = status == "unanswered"
    return replace(
        least,
        status=status,
        truth=replace(least.truth, missing=missing),
        because=_asks(missing) if is_open else least.because,
        documents=documents,
        if_unfavourable="passes" if is_open else None,
    )


def _at_worst(rule: Rule, sheet: RuleSheet) -> Status:
    """The verdict when every condition that is left open comes out badly."""
    if evaluate.condition(rule.applies, sheet).holds is False:
        return "does not apply"
    if evaluate.condition(rule.require, sheet).holds:
        return "passes with conditions" if rule.documents else "passes"
    for band in rule.or_else:
        if evaluate.condition(band.require, sheet).holds:
            return band.outcome
    return "fails"


def _asks(missing: Iterable[Missing]) -> str:
    return "; ".join(dict.fromkeys(item.ask for item in missing))


def _speaker(sheet: RuleSheet) -> Speaker:
    return sheet.ruleset.speaker()
