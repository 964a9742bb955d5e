"""What an office asks for with an application, in English, a sentence a demand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.algebra import nodes as n
from checker.rulesets.submission import ALL_SHEETS, LONGEST_NAME_COUNT, read_submission

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.explain import Speaker
    from checker.core.sources import Citation
    from checker.rulesets.rules import RuleSet
    from checker.rulesets.submission import Submission


def submission_sentences(ruleset: RuleSet, speaker: Speaker) -> Iterator[str]:
    """Everything a rule set says about handing in; nothing when it says nothing.

    Raises:
        BadInput: That part of the file is wrong.
    """
    asked = read_submission(ruleset)
    if not asked.is_given:
        return
    if asked.office:
        yield f"To be handed in at: {asked.office}."
    yield from _items(asked, speaker)
    yield from _triggers(asked, speaker)
    for seal in asked.seals:
        when = _when(seal.when, speaker)
        yield f"{seal.of} is signed and sealed by: {seal.who}{when}.{_cite(seal.citation)}"
    yield from _sheets(asked, speaker)
    yield from _files(asked)
    if (years := asked.most_survey_age_years_count) is not None:
        yield f"The survey may be {years} year{'' if years == 1 else 's'} old at most."
    if asked.counts_since is not None:
        yield f"Additions since {asked.counts_since.isoformat()} are summed."
    if asked.truth_statement:
        yield f"The owner signs: {asked.truth_statement}"


def _items(asked: Submission, speaker: Speaker) -> Iterator[str]:
    for item in asked.items:
        name = (item.item or item.document).replace("-", " ")
        title = f" ({item.title})" if item.title else ""
        must = "" if item.is_must else ", if it can be had"
        kind = "In the packet" if item.item else "Attached"
        note = f" {item.note}" if item.note else ""
        when = _when(item.when, speaker)
        yield f"{kind}: {name}{title}{when}{must}.{note}{_cite(item.citation)}"


def _triggers(asked: Submission, speaker: Speaker) -> Iterator[str]:
    for trigger in asked.triggers:
        needs = f"; needed for it: {', '.join(trigger.needs)}" if trigger.needs else ""
        note = f" {trigger.note}" if trigger.note else ""
        when = _when(trigger.when, speaker)
        yield f"Owed as well: {trigger.permit}{when}{needs}.{note}{_cite(trigger.citation)}"


def _sheets(asked: Submission, speaker: Speaker) -> Iterator[str]:
    if asked.sheets != ALL_SHEETS:
        yield f"Sheet sizes: {', '.join(asked.sheets)}."
    if asked.scales_ft_per_in:
        yield f"Scales: {', '.join(f'1 in = {feet} ft' for feet in asked.scales_ft_per_in)}."
    if asked.stamp is not None:
        yield f"A clear space {speaker.amount(asked.stamp)} wide for the approval stamp."


def _files(asked: Submission) -> Iterator[str]:
    if asked.one_file is not None:
        yield "One combined file." if asked.one_file else "One file for each document."
    if asked.most_megabytes_count is not None:
        yield f"A file may have {asked.most_megabytes_count} megabytes at most."
    if asked.longest_name_count != LONGEST_NAME_COUNT:
        yield f"A file name may have {asked.longest_name_count} characters at most."
    if asked.prefix:
        yield f"File names start with '{asked.prefix}'."


def _when(when: n.Condition, speaker: Speaker) -> str:
    return "" if when == n.always() else f", where {speaker.condition(when)}"


def _cite(citation: Citation | None) -> str:
    return f" [{citation.section}]" if citation else ""
