"""The verdict on each rule for many lots: `findings.outcome` and `findings.readings` by columns."""

from __future__ import annotations

import math
from itertools import product
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from checker.core.records import Record
from checker.findings.answers import answers_to, is_question, readings_of
from checker.findings.model import STATUSES
from checker.findings.readings import MOST
from checker.screen.columns import NO, rows_unread, together, within
from checker.screen.compare import is_less
from checker.screen.reading import condition
from checker.screen.truths import NOTHING, Deciding, Truths, chosen, nearest

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from checker.algebra.values import Missing
    from checker.rulesets.rules import Rule
    from checker.screen.columns import Gaps
    from checker.screen.compare import Mask
    from checker.screen.sheet import TownSheet

NOT_SCREENED: Final = len(STATUSES)
"""The code of what this reading cannot judge on a lot; the others are places in `STATUSES`."""

_CODE: Final = {status: place for place, status in enumerate(STATUSES)}
_FAILS, _CANNOT, _UNANSWERED = (_CODE[s] for s in ("fails", "cannot tell", "unanswered"))
_PASSES, _SPARED, _ENDED = (_CODE[s] for s in ("passes", "does not apply", "not in force"))
_WITH_CONDITIONS: Final = _CODE["passes with conditions"]


class Outcomes(Record, eq=False):
    """How one rule came out on each lot.

    Attributes:
        status: Codes, shape (n,).
        missing: What is open.
        decides: The comparison that each verdict rests on.
    """

    status: Any
    missing: Gaps
    decides: Deciding

    def shown(self) -> Deciding:
        """The comparison that each finding shows: none where the rule does not apply."""
        return self.decides.among(np.asarray(self.status != _SPARED))


def outcomes_of(rule: Rule, sheet: TownSheet) -> Outcomes:
    """Judge a rule on every lot, under every way to read the clauses that nobody has answered."""
    if not sheet.ruleset.asks(rule, sheet.day):
        return Outcomes(np.full(sheet.count, _ENDED), {}, NOTHING)
    found = _finding(rule, sheet)
    waiting = sorted(readings_of(rule, sheet.ruleset) - sheet.ground.lots.town.readings.keys())
    if not waiting:
        return found
    readings = sheet.ruleset.readings
    if math.prod(len(readings[name].options) for name in waiting) > MOST:
        return Outcomes(_keeping(found, found.status, _CANNOT), found.missing, found.decides)
    ways = [
        found
        if all(option == sheet.option(name) for name, option in zip(waiting, picked, strict=True))
        else _finding(rule, sheet.supposing({}, dict(zip(waiting, picked, strict=True))))
        for picked in product(*(readings[name].options for name in waiting))
    ]
    return _told_by_readings(found, ways)


def _keeping(found: Outcomes, status: Any, other: int) -> Any:
    """Another status, but for what is not screened or has ended."""
    return np.where(np.isin(found.status, (NOT_SCREENED, _ENDED)), status, other)


def _told_by_readings(found: Outcomes, ways: Sequence[Outcomes]) -> Outcomes:
    """A verdict that hangs on an unanswered question cannot be told."""
    table = np.stack([way.status for way in ways])
    is_one = (table == table[0]).all(axis=0)
    is_spared = np.isin(table, (_PASSES, _SPARED)).all(axis=0) & ~is_one
    is_unread = (table == NOT_SCREENED).any(axis=0)
    status = np.where(is_one, found.status, np.where(is_spared, _PASSES, _CANNOT))
    decides = found.decides
    is_left = is_spared
    for way in ways:
        here = is_left & (way.status == _PASSES)
        decides = chosen(here, way.decides, decides)
        is_left = is_left & ~here
    return Outcomes(np.where(is_unread, NOT_SCREENED, status), found.missing, decides)


def _finding(rule: Rule, sheet: TownSheet) -> Outcomes:
    """Judge a rule; a verdict that rests on a text nobody has laid beside the file is none."""
    found = _under_answers(rule, sheet)
    if not rule.citation.source.is_remembered:
        return found
    stays = np.isin(found.status, (_SPARED, _CANNOT, _UNANSWERED, NOT_SCREENED))
    return Outcomes(np.where(stays, found.status, _CANNOT), found.missing, found.decides)


def _under_answers(rule: Rule, sheet: TownSheet) -> Outcomes:
    """Judge a rule; where something is missing, under every answer to the open questions."""
    found = _with_what_is_known(rule, sheet)
    is_open = np.isin(found.status, (_CANNOT, _UNANSWERED))
    if not is_open.any():
        return found
    gaps = [found.missing, *(condition(band.require, sheet).missing for band in rule.or_else)]
    asked = {
        item: np.broadcast_to(rows, sheet.count) & is_open
        for item, rows in together(*gaps).items()
        if is_question(item, sheet.ruleset)
    }
    asked = {item: rows for item, rows in asked.items() if rows.any()}
    for items, rows in _patterns(asked):
        answers = answers_to(items, rule, sheet.ruleset)
        if answers:
            tried = [_with_what_is_known(rule, sheet.supposing(own)) for own in answers]
            found = _either_way(rule, sheet, found, tried, rows)
    return found


def _patterns(asked: Mapping[Missing, Mask]) -> Iterable[tuple[list[Missing], Mask]]:
    """The lots on which the same questions are open, with those questions."""
    if not asked:
        return
    items = list(asked)
    table = np.stack([asked[item] for item in items])
    kinds, which = np.unique(table, axis=1, return_inverse=True)
    which = which.reshape(-1)
    for place in range(kinds.shape[1]):
        open_items = [item for item, is_in in zip(items, kinds[:, place], strict=True) if is_in]
        if open_items:
            yield open_items, which == place


def _either_way(
    rule: Rule, sheet: TownSheet, found: Outcomes, tried: Sequence[Outcomes], rows: Mask
) -> Outcomes:
    """The one verdict under every answer, on the lots where there is one."""
    table = np.stack([way.status for way in tried])
    is_told = rows & ~np.isin(table, (_CANNOT, NOT_SCREENED)).any(axis=0)
    is_one = (table == table[0]).all(axis=0)
    is_spared = np.isin(table, (_PASSES, _SPARED, _UNANSWERED)).all(axis=0)
    applies = condition(rule.applies, sheet)
    asks: Any = NO
    for item, own in applies.missing.items():
        if is_question(item, sheet.ruleset):
            asks = asks | own
    asks = asks | (table == _UNANSWERED).any(axis=0)
    alike = np.where(is_one, table[0], np.where(asks, _UNANSWERED, _PASSES))
    is_alike = is_told & (is_one | is_spared)
    # The outcome with the least room of several that end alike; the first of equals.
    best = tried[0].decides
    room = _room(tried[0])
    for way in tried[1:]:
        own = _room(way)
        here = is_less(own, room)
        best, room = chosen(here, way.decides, best), np.where(here, own, room)
    return Outcomes(
        np.where(is_alike, alike, found.status),
        found.missing,
        chosen(np.asarray(is_alike), best, found.decides),
    )


def _room(outcomes: Outcomes) -> Any:
    shown = outcomes.shown()
    return np.where(shown.has, shown.room, math.inf)


def _with_what_is_known(rule: Rule, sheet: TownSheet) -> Outcomes:
    applies = condition(rule.applies, sheet)
    if np.all(applies.holds == 0) and not rows_unread(applies.missing).any():
        return Outcomes(np.full(sheet.count, _SPARED), applies.missing, applies.decides)
    met = condition(rule.require, sheet)
    status, missing, decides, unread = _climbed(rule, met, sheet)
    is_asked, is_open = np.asarray(applies.holds == 1), np.asarray(applies.holds == -1)
    if is_open.any():
        questions: Any = NO
        for item, own in applies.missing.items():
            if is_question(item, sheet.ruleset):
                questions = questions | own
        would_pass = np.where(questions, _UNANSWERED, _PASSES)
        waits = np.where(status == _PASSES, would_pass, _CANNOT)
        status = np.where(is_open, waits, status)
        missing = together(missing, within(applies.missing, is_open))
    is_vacuous = np.asarray(met.is_vacuous & (applies.holds != 0))
    status = np.where(is_vacuous, _SPARED, status)
    decides = chosen(is_vacuous, met.decides, decides)
    not_asked = np.asarray(applies.holds == 0)
    status = np.where(not_asked, _SPARED, status)
    missing = together(within(missing, ~not_asked), within(applies.missing, ~is_asked))
    decides = chosen(not_asked, applies.decides, decides)
    unread = (unread & ~not_asked) | rows_unread(applies.missing)
    status = np.where(unread, NOT_SCREENED, status)
    return Outcomes(np.broadcast_to(status, sheet.count), missing, decides)


def _climbed(rule: Rule, met: Truths, sheet: TownSheet) -> tuple[Any, Gaps, Deciding, Any]:
    """Down the outcome ladder until a rung holds: status, what is open, comparison, unread."""
    passes = _WITH_CONDITIONS if rule.documents else _PASSES
    status = np.where(met.holds == 1, passes, np.where(met.holds == -1, _CANNOT, -1))
    missing, decides, unread = met.missing, met.decides, rows_unread(met.missing)
    failed = [met]
    bearing: list[Any] = [np.asarray(met.holds == 0)]
    is_left = np.asarray(met.holds == 0)
    for band in rule.or_else:
        if not is_left.any():
            break
        truth = condition(band.require, sheet)
        unread = unread | (rows_unread(truth.missing) & is_left)
        is_open, is_met = is_left & (truth.holds == -1), is_left & (truth.holds == 1)
        status = np.where(is_open, _CANNOT, np.where(is_met, _CODE[band.outcome], status))
        own = chosen(np.asarray(truth.decides.has), truth.decides, _nearest(failed, bearing))
        decides = chosen(
            np.asarray(is_met), own, chosen(np.asarray(is_open), truth.decides, decides)
        )
        # A rung that is left open hangs on its own numbers, not on what has failed above it.
        missing = together(within(missing, ~np.asarray(is_open)), within(truth.missing, is_left))
        is_left = is_left & (truth.holds == 0)
        failed.append(truth)
        bearing.append(np.asarray(is_left))
    if is_left.any():
        status = np.where(is_left, _FAILS, status)
        decides = chosen(np.asarray(is_left), _nearest(failed, bearing), decides)
    return status, missing, decides, unread


def _nearest(failed: Sequence[Truths], bearing: Sequence[Any]) -> Deciding:
    """Of the requirements that are not met the one that a number alone reaches soonest."""
    best = nearest(failed, bearing)
    is_plain: Any = NO
    for truth, rows in zip(failed, bearing, strict=True):
        is_plain = is_plain | (truth.decides.has & rows & ~np.asarray(truth.because))
    return chosen(np.asarray(is_plain), best, failed[0].decides)
