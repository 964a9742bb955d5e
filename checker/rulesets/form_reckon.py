"""Numbers and pieces of a rule set that the answers of the form make."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from checker.core.units import read_amount

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.rulesets.form_answers import Cap, CapBySize, Need


def example(name: str, given: dict[str, Any], expect: dict[str, Any], note: str) -> dict[str, Any]:
    """A worked example as a file has it."""
    made = {"name": name, "source": "hand", "given": given, "expect": expect}
    return made | ({"note": note} if note else {})


def stepped(steps: Sequence[CapBySize], land: str) -> Any:  # noqa: ANN401 - plain data
    """The limit of a lot by its size, as a number of the rule language."""
    if len(steps) == 1 and not steps[0].up_to:
        return limited(steps[0].limit, land)
    tiers = []
    below: dict[str, str] = {}
    for step in steps:
        head = dict(below)
        if step.up_to:
            head["at_most" if step.is_included else "less_than"] = step.up_to
            below = {"more_than" if step.is_included else "at_least": step.up_to}
        tiers.append(head | {"value": limited(step.limit, land)})
    return {"by": "lot_area", "tiers": tiers}


def limited(limit: Cap, land: Any) -> Any:  # noqa: ANN401 - plain data
    """A limit as a number of the rule language, its share of this land."""
    if limit.share is None:
        return limit.area
    hundredths = limit.share * 100
    # So small a number could be meant as a share of 1; with its sign it cannot.
    is_small = 0 < hundredths < 1
    share = {"percent": percent(limit.share) if is_small else number(hundredths), "of": land}
    return {limit.takes: [share, limit.area]} if limit.takes else share


def number(value: Fraction) -> int | float:
    """A number as a file has it."""
    return int(value) if value.denominator == 1 else float(value)


def percent(share: Fraction) -> str:
    """A share as a file has it."""
    return f"{decimal(share * 100)} %"


def decimal(value: Fraction) -> str:
    """A number of a file, to the fifteen figures that a float keeps."""
    return f"{float(value):.15g}"


def readable(value: Fraction) -> str:
    """A number of a sentence, to a thousandth, without zeros that say nothing."""
    return f"{float(value):,.3f}".rstrip("0").rstrip(".")


def held(need: Need) -> Any:  # noqa: ANN401 - plain data
    """What just meets a condition."""
    if not need.order:
        return need.wanted
    if need.order in {"at_least", "at_most"}:
        return need.amount
    return _scaled(need.amount, 11 if need.order == "more_than" else 9)


def missed(need: Need) -> Any:  # noqa: ANN401 - plain data
    """What just misses it."""
    if not need.order:
        return not need.wanted
    if need.order in {"more_than", "less_than"}:
        return need.amount
    return _scaled(need.amount, 9 if need.order == "at_least" else 11)


def _scaled(amount: str, tenths: int) -> str:
    """An amount times so many tenths, in its own unit."""
    read = read_amount(amount)
    number = read.to(read.unit) if read.unit else read.value_si
    return f"{number * tenths / 10:.10g} {read.unit}".strip()


def conditions_said(needs: Sequence[Need]) -> str:
    """The conditions of a share, in the words of the answer."""
    return " and ".join(need.says for need in needs)
