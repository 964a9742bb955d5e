"""What follows from a design and is no limit: figures, duties, fees, permits and forms owed."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING, Final

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.values import Missing, Quantity, Truth
from checker.core.records import replace
from checker.core.units import MONEY
from checker.findings.answers import reached_from, readings_among
from checker.findings.model import Consequence, ResultStatus

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from checker.algebra.explain import Speaker
    from checker.findings.sheet import RuleSheet
    from checker.rulesets.rules import Result, RuleSet

_MOST_WAYS: Final = 64
"""So many ways to read the unclear clauses of one result are tried; no more."""


def results_of(
    sheet: RuleSheet, answered: Mapping[str, str], speaker: Speaker
) -> tuple[Consequence, ...]:
    """Work out every result of a rule set that is in force.

    Args:
        sheet: The numbers of the lot.
        answered: The clauses that the office has answered.
        speaker: Says nodes in English.
    """
    return tuple(
        consequence_of(result, sheet, answered, speaker)
        for result in sheet.ruleset.results
        if result.is_in_force(sheet.day)
    )


def consequence_of(
    result: Result, sheet: RuleSheet, answered: Mapping[str, str], speaker: Speaker
) -> Consequence:
    """Work out one result, over all ways to read what nobody has answered."""
    readings = sheet.ruleset.readings
    used = readings_among(reached_from([result.when, result.amount], sheet.ruleset))
    still = sorted(used - answered.keys())
    ways = list(product(*(readings[name].options for name in still)))[:_MOST_WAYS]
    found = [
        _one(result, sheet.supposing({}, dict(zip(still, way, strict=True))), speaker)
        if still
        else _one(result, sheet, speaker)
        for way in ways
    ]
    first = found[0]
    if len({(item.status, item.amount) for item in found}) > 1:
        asks = tuple(Missing(name, "", _question(sheet.ruleset, name)) for name in still)
        amounts = [item.amount for item in found if item.amount is not None]
        first = replace(
            first,
            status="cannot tell",
            amount=_hull(amounts, asks) if amounts else None,
            missing=tuple(dict.fromkeys((*asks, *(m for item in found for m in item.missing)))),
            because="; ".join(item.ask for item in asks),
        )
    source = result.citation.source
    if source.is_remembered and first.status != "not owed":
        return replace(first, status="cannot tell", because=source.ask)
    return first


def _question(ruleset: RuleSet, name: str) -> str:
    answer = f"ask the office and give the answer under 'readings: {name}'"
    return f"{answer}: {ruleset.readings[name].question}"


def _hull(amounts: Sequence[Quantity], missing: tuple[Missing, ...]) -> Quantity:
    low, high = min(item.low_si for item in amounts), max(item.high_si for item in amounts)
    return replace(amounts[0], low_si=low, high_si=high, missing=missing)


def _one(result: Result, sheet: RuleSheet, speaker: Speaker) -> Consequence:
    truth = evaluate.condition(result.when, sheet)
    amount = None if result.amount is None else evaluate.number(result.amount, sheet)
    if amount is not None and amount.dimension == MONEY:
        amount = replace(amount, unit=sheet.ruleset.currency)
    status, missing = _status(result, truth, amount)
    because = "; ".join(dict.fromkeys(item.ask for item in missing))
    if status == "not owed":
        because = f"owed only where {speaker.condition(result.when)}"
    return Consequence(
        result=result.id,
        title=result.title,
        kind=result.kind,
        status=status,
        says=said_of(result, speaker),
        citation=result.citation,
        place=result.place,
        amount=None if status == "not owed" else amount,
        because=because,
        missing=missing,
        documents=result.documents if status == "owed" else (),
        trace=tuple(speaker.steps(result.amount, sheet)) if result.amount is not None else (),
        parts=truth.parts,
        note=result.note,
        origin=result.origin,
    )


def _status(
    result: Result, truth: Truth, amount: Quantity | None
) -> tuple[ResultStatus, tuple[Missing, ...]]:
    if truth.holds is False:
        return "not owed", ()
    if truth.holds is None:
        return "cannot tell", truth.missing
    if amount is not None and not amount.is_certain:
        return "cannot tell", amount.missing
    return ("shown" if result.kind == "figure" else "owed"), ()


def said_of(result: Result, speaker: Speaker) -> str:
    """A result in words: its own, or what its number and condition say."""
    if result.says:
        return result.says
    what = speaker.number(result.amount) if result.amount is not None else "owed"
    when = "" if result.when == n.always() else f", where {speaker.condition(result.when)}"
    return f"{what[:1].upper()}{what[1:]}{when}."
