"""Which other permits, plans or persons the place's thresholds make necessary, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from checker.algebra import evaluate
from checker.core.records import Record
from checker.words.amounts import capital, clean, range_text

if TYPE_CHECKING:
    from checker.algebra import nodes as n
    from checker.papers.job import Job
    from checker.rulesets.submission import Trigger

Needed = Literal["needed", "not needed", "cannot tell"]


class Triggered(Record, kw_only=True):
    """One threshold, held against this project.

    Attributes:
        trigger: As the rule set says it.
        needed: What follows.
        says: The threshold in English.
        figure: This project's number; empty where it has none.
        asks: What must be given before it can be told.
    """

    trigger: Trigger
    needed: Needed
    says: str
    figure: str
    asks: tuple[str, ...] = ()

    @property
    def clause(self) -> str:
        """Where the threshold stands."""
        return str(self.trigger.citation) if self.trigger.citation else "no clause given"


def triggered(job: Job) -> tuple[Triggered, ...]:
    """Every threshold of the place, in its order."""
    return tuple(_one(job, trigger) for trigger in job.submission.triggers)


def holds(job: Job, condition: n.Condition) -> bool | None:
    """Whether a condition of the submission part holds; None when it cannot be told."""
    return evaluate.condition(condition, job.checked.sheet).holds


def _one(job: Job, trigger: Trigger) -> Triggered:
    checked = job.checked
    truth = evaluate.condition(trigger.when, checked.sheet)
    speaker = checked.ruleset.speaker(checked.system)
    decimals = job.figures.area_decimals
    numbers = [range_text(part.measured, checked.system, decimals) for part in truth.parts]
    figure = ""
    if numbers:
        key = f"trigger.{trigger.id}"
        figure = job.figures.add_text(key, trigger.permit, "; ".join(dict.fromkeys(numbers)))
    needed: Needed = "cannot tell"
    if truth.holds is not None:
        needed = "needed" if truth.holds else "not needed"
    return Triggered(
        trigger=trigger,
        needed=needed,
        says=clean(capital(speaker.condition(trigger.when))),
        figure=figure,
        asks=tuple(clean(item.ask) for item in truth.missing) if truth.holds is None else (),
    )
