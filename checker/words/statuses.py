"""Statuses and the overall verdict in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from checker.findings.model import STATUSES
from checker.pages.blocks import Chip
from checker.words.amounts import SIGNS, plural

if TYPE_CHECKING:
    from checker.findings.model import Status, Verdict


class Pair(NamedTuple):
    """Something with its text."""

    what: str
    text: str


REMEDY_WORDS: Final = {
    "swap-to-permeable": "turn paving into permeable paving where the rules credit it",
    "remove-paving": "take up paving and return it to soil",
    "add-treatment": "lead the runoff to a treatment facility of sufficient size",
    "move-surface": "move the surface",
    "shrink-surface": "make the surface smaller",
}
"""Kinds of change that rule sets name, in words; others are said as they are written."""

_HEADLINES: Final[dict[Status, str]] = {
    "fails": "The design does not meet {}.",
    "cannot tell": "{} cannot be judged yet: something is missing.",
    "unanswered": "Whether {} are asked of this lot hangs on a question without an answer.",
    "relief possible": "The design needs relief from the authority for {}.",
    "passes with conditions": "The design meets the rules, {} with conditions.",
    "passes": "The design meets every rule of this set that applies to it.",
    "does not apply": "No rule of this set applies to the design.",
    "not in force": "No rule of this set is law on the day that counts: nothing was judged.",
}


def status_word(status: Status) -> Chip:
    """A status with its sign."""
    return Chip(SIGNS[status], status, status.replace(" ", "-"))


def verdict_word(verdict: Verdict) -> Chip:
    """The overall verdict with its sign; of a set without a rule, that it sets no limit."""
    if not verdict.findings:
        return Chip(SIGNS["does not apply"], "no limit set", "does-not-apply")
    return status_word(verdict.status)


def headline(verdict: Verdict) -> str:
    """The overall verdict as a sentence, of any status."""
    said = _without_rules(verdict) if not verdict.findings else _with_rules(verdict)
    if not verdict.assumed_count:
        return said
    return (
        f"{said} It stands on {plural(verdict.assumed_count, 'thing')} that nobody has confirmed."
    )


def _with_rules(verdict: Verdict) -> str:
    total = plural(len(verdict.findings), "rule")
    said = [verdict.status]
    if verdict.status == "passes with conditions" and not verdict.counts.get(verdict.status):
        said = ["passes"]
    if verdict.status in {"fails", "cannot tell"}:
        waiting: tuple[Status, ...] = ("cannot tell", "unanswered")
        said += [status for status in waiting if verdict.counts.get(status) and status not in said]
    return " ".join(
        _HEADLINES[status].format(f"{verdict.counts.get(status, 0)} of {total}") for status in said
    )


def _without_rules(verdict: Verdict) -> str:
    if not verdict.results:
        return "This set asks nothing of any lot."
    counts = {
        word: sum(1 for item in verdict.results if item.status == word)
        for word in ("owed", "shown", "cannot tell", "not owed")
    }
    said = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    return f"This set has figures, duties, fees and permits only: {said}."


def tally(verdict: Verdict) -> tuple[tuple[Chip, str], ...]:
    """How many findings have each status, the worst first."""
    return tuple(
        (status_word(status), str(verdict.counts[status]))
        for status in STATUSES
        if verdict.counts.get(status)
    )
