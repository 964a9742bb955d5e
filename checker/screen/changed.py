"""The lots that comply under one variant and not under another, and by how much."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.core.records import Struct
from checker.screen.results import WORDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.screen.outcomes import Outcomes
    from checker.screen.results import JudgedLots

MOST_CHANGED: Final = 100
MET_WORDS: Final = ("passes", "passes with conditions", "does not apply", "not in force")
MET: Final = tuple(map(WORDS.index, MET_WORDS))


class RuleOnLot(Struct):
    """What a rule comes to on one lot: SI, with the powers of the dimension."""

    measured: float
    limit: float
    margin: float
    powers: list[int]


class ChangedLot(Struct):
    """A lot that complies under the first variant and not here, or the other way round.

    Attributes:
        beyond: How far it lies beyond the limit where it does not comply, as a share of that limit;
            negative where no number tells.
        lot: Its id.
        before: Its verdict under the first variant.
        here: Its verdict under this one.
        rule: The title of the rule that it hangs on.
        was: What that rule comes to under the first variant; None where no number tells.
        now: The same here.
    """

    beyond: float
    lot: str
    before: str
    here: str
    rule: str
    was: RuleOnLot | None
    now: RuleOnLot | None


def farthest(lots: list[ChangedLot]) -> list[ChangedLot]:
    """The lots that lie farthest beyond their limit first, by name where they are equal."""
    return sorted(lots, key=lambda own: (-own.beyond, own.lot))[:MOST_CHANGED]


def changed_lots(
    first: JudgedLots, here: JudgedLots, worst: tuple[Any, Any], rows: Any
) -> list[ChangedLot]:
    """The lots whose compliance changes, those farthest beyond their limit first.

    Args:
        first: The verdicts of the first variant.
        here: Those of another one, on the same lots.
        worst: The worst status of each lot under either.
        rows: The lots that change.
    """
    before, after = worst
    is_met_here = np.isin(after[rows], MET)
    found: dict[int, ChangedLot] = {}
    # What no longer passes hangs on a rule of this variant, what now passes on one of the first.
    for failing, other, own in (
        (here, first, rows[~is_met_here]),
        (first, here, rows[is_met_here]),
    ):
        beyond, which = _decisive(failing, other, own)
        kept = own[_first_of(beyond)]
        at = {int(row): place for place, row in enumerate(own)}
        for row in kept.tolist():
            rule = failing.ruleset.rules[int(which[at[row]])]
            was, now = (_shown(judged, rule.id, row) for judged in (first, here))
            found[row] = ChangedLot(
                float(beyond[at[row]]), str(first.lots.ids[row]), WORDS[before[row]],
                WORDS[after[row]], rule.title, was, now,
            )  # fmt: skip
    return farthest(list(found.values()))


def _first_of(beyond: Any) -> Any:
    """The places of the farthest, with all that lie as far as the last of them."""
    order = np.argsort(-beyond, kind="stable")
    if len(order) <= MOST_CHANGED:
        return order
    return np.flatnonzero(beyond >= beyond[order[MOST_CHANGED - 1]])


def _decisive(failing: JudgedLots, other: JudgedLots, rows: Any) -> tuple[Any, Any]:
    """The rule on which each lot fails here and not under the other, and how far beyond it lies."""
    names = [rule.id for rule in other.ruleset.rules]
    beyond, which = np.full(len(rows), -np.inf), np.zeros(len(rows), np.int64)
    is_told = np.zeros(len(rows), np.bool_)
    for place, (rule, outcome) in enumerate(
        zip(failing.ruleset.rules, failing.outcomes, strict=True)
    ):
        is_open = ~np.isin(outcome.status[rows], MET)
        if rule.id in names:
            is_open &= np.isin(other.outcomes[names.index(rule.id)].status[rows], MET)
        shown, count = outcome.shown(), failing.lots.count
        has, room = (np.broadcast_to(part, count)[rows] for part in (shown.has, shown.room))
        far = np.where(has & np.isfinite(room) & (room <= 0), -room, -1.0)
        here = is_open & (~is_told | (far > beyond))
        beyond, which = np.where(here, far, beyond), np.where(here, place, which)
        is_told |= is_open
    return np.where(is_told, beyond, -1.0), which


def _shown(judged: JudgedLots, rule: str, row: int) -> RuleOnLot | None:
    """What a rule comes to on a lot; None where it is not among the rules or no number tells."""
    names: Sequence[str] = [own.id for own in judged.ruleset.rules]
    if rule not in names:
        return None
    outcome: Outcomes = judged.outcomes[names.index(rule)]
    shown, count = outcome.shown(), judged.lots.count
    has, measured, limit, margin, part = (
        np.broadcast_to(values, count)[row]
        for values in (shown.has, shown.measured, shown.limit, shown.margin, shown.part)
    )
    if not has or not np.isfinite([measured, limit, margin]).all():
        return None
    own = judged.comparisons[int(part)].dimension
    powers = [own.length, own.time, own.mass, own.money]
    return RuleOnLot(float(measured), float(limit), float(margin), powers)
