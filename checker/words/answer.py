"""The answer in short: verdict, cover beside its limit, what to do next, what passes by subject."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.units import AREA, RATIO
from checker.findings.limits import limits_of
from checker.findings.model import OPEN, STATUSES
from checker.findings.subjects import SUBJECTS
from checker.words.amounts import STRICT, clean, room_text
from checker.words.findings import FindingView
from checker.words.statuses import status_word

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.algebra.values import Quantity
    from checker.core.words import Subject
    from checker.findings.limits import Limit
    from checker.findings.model import Finding
    from checker.pages.blocks import Chip
    from checker.words.brief import Brief

TITLES: Final[dict[Subject, str]] = {
    "cover": "Cover and place on the lot",
    "section": "Pavement section",
    "drainage": "Drainage",
    "papers": "Papers",
}
_ROOM_BEYOND: Final = 1.12
"""How much longer than what stands in it a bar is drawn, so that its end can be seen."""

_SILENT: Final = frozenset({"does not apply", "not in force"})


class Bar(Record, kw_only=True):
    """What counts beside its limit.

    Attributes:
        rule: Id of the rule.
        title: Its name.
        status: Its verdict.
        says: What counts and what is allowed, as shares where both can be told as such.
        room: How much is left or over.
        areas: The same as areas, where the first line says shares; empty otherwise.
        today: What counts today; empty where it is the same lot.
        low, high, limit, was: Shares of the length of the bar, 0 to 1; `was` is None without
            a state before.
        is_floor: The limit is a least.
    """

    rule: str
    title: str
    status: Chip
    says: str
    room: str
    areas: str = ""
    today: str = ""
    low: float
    high: float
    limit: float
    was: float | None = None
    is_floor: bool = False


_OF_SEVERAL: Final = {
    "passes": "pass",
    "passes with conditions": "pass with conditions",
    "fails": "fail",
    "does not apply": "do not apply",
}
"""What several rules do, by the word for one."""


class SubjectRules(Record):
    """The rules of one subject: what waits, what is met, what is not asked."""

    subject: Subject
    title: str
    open: tuple[FindingView, ...]
    met: tuple[FindingView, ...]
    silent: tuple[FindingView, ...]

    @property
    def tally(self) -> str:
        """How many rules have each status, the worst first."""
        words = [view.status.word for view in (*self.open, *self.met, *self.silent)]
        counts = ((words.count(word), word) for word in STATUSES if word in words)
        return ", ".join(f"{n} {_OF_SEVERAL.get(w, w) if n > 1 else w}" for n, w in counts)


class FirstPage(Record):
    """What the first page says, in its order.

    Attributes:
        bars: Cover beside its limits, the one on the whole lot first.
        steps: Findings that something is to be done about, the worst first.
        groups: All findings by subject.
    """

    bars: tuple[Bar, ...]
    steps: tuple[FindingView, ...]
    groups: tuple[SubjectRules, ...]


def answer_of(brief: Brief, views: Sequence[FindingView]) -> FirstPage:
    """The answer of a check.

    Args:
        brief: The check.
        views: Its findings, the worst first.
    """
    ordered = sorted(
        views,
        key=lambda v: (list[str](STATUSES).index(v.status.word), SUBJECTS.index(v.subject)),
    )
    steps = tuple(view for view in ordered if view.do)
    groups = (_group(subject, views) for subject in SUBJECTS)
    return FirstPage(
        tuple(_bars(brief)), steps, tuple(group for group in groups if group is not None)
    )


def _group(subject: Subject, views: Sequence[FindingView]) -> SubjectRules | None:
    ours = [view for view in views if view.subject == subject]
    if not ours:
        return None
    silent = tuple(view for view in ours if view.status.word in _SILENT)
    met = tuple(view for view in ours if view.is_met and view not in silent)
    return SubjectRules(
        subject, TITLES[subject], tuple(v for v in ours if not v.is_met), met, silent
    )


def _bars(brief: Brief) -> Iterator[Bar]:
    found = [
        (limit, coverage.name)
        for coverage in brief.coverages
        for limit in limits_of(coverage, brief.checked)
        if limit.finding.status not in _SILENT
    ]
    found.sort(key=lambda item: (not item[0].is_of_total, STATUSES.index(item[0].finding.status)))
    told: set[str] = set()
    for limit, name in found:
        if limit.finding.rule not in told and _is_bounded(limit):
            told.add(limit.finding.rule)
            yield _bar_of_limit(limit, f"limit.{name}.{limit.finding.rule}", brief)
    if not told:
        yield from _bars_of_rules(brief)


def _is_bounded(limit: Limit) -> bool:
    ends = (limit.most.low_si, limit.proposed.low_si, limit.proposed.high_si)
    return all(map(math.isfinite, ends))


def _bar_of_limit(limit: Limit, at: str, brief: Brief) -> Bar:
    figures = brief.figures
    texts = {what: figures.span(f"{at}.{what}") for what in ("proposed", "maximum", "existing")}
    shares = {what: figures.span(f"{at}.{what}_share") for what in ("proposed", "maximum")}
    whole = max(limit.most.low_si, limit.proposed.high_si, _end(limit.existing)) * _ROOM_BEYOND
    today = ""
    if texts["existing"] != texts["proposed"]:
        today = f"today {figures.span(f'{at}.existing_share')}, {texts['existing']}"
    left = figures.text(f"{at}.remaining") if f"{at}.remaining" in figures else ""
    whole = whole or 1.0
    return Bar(
        rule=limit.finding.rule,
        title=clean(limit.finding.title),
        status=status_word(limit.finding.status),
        says=f"{shares['proposed']} of {shares['maximum']}",
        room=_room(left, limit.remaining_m2, limit.finding),
        areas=f"{texts['proposed']} of {texts['maximum']}",
        today=today,
        low=limit.proposed.low_si / whole,
        high=limit.proposed.high_si / whole,
        limit=limit.most.low_si / whole,
        was=_end(limit.existing) / whole if today else None,
    )


def _end(value: Quantity) -> float:
    return value.high_si if math.isfinite(value.high_si) else 0.0


def _room(left: str, left_si: float | None, finding: Finding) -> str:
    """How much is left: "272 sq ft left", "136.5 sq ft over", or why nobody can say."""
    if left_si is None or not left:
        return "room left not known"
    if left_si == 0:
        allows = "does not allow" if finding.order in STRICT else "allows"
        return f"exactly at the limit, which this rule {allows}"
    worst = " at worst" if finding.status in OPEN and finding.missing else ""
    if left_si < 0:
        return f"{left.removeprefix('−')} over{worst}"
    return f"{room_text(left, finding.order)} left{worst}"


def _bars_of_rules(brief: Brief) -> Iterator[Bar]:
    """Bars of rules on areas and shares of the lot, where no counted total is limited."""
    for finding in brief.checked.verdict.findings:
        part = finding.decides
        if part is None or part.of or finding.margin is None or finding.status in _SILENT:
            continue
        limit = part.limit
        numbers = (part.measured.low_si, part.measured.high_si, limit.low_si)
        is_area = limit.dimension == AREA or (limit.dimension == RATIO and limit.unit == "%")
        is_told = is_area and f"rule.{finding.rule}.margin" in brief.figures
        if is_told and all(map(math.isfinite, numbers)) and brief.subject(finding.rule) == "cover":
            yield _bar_of_rule(finding, numbers, brief)


def _bar_of_rule(finding: Finding, numbers: tuple[float, float, float], brief: Brief) -> Bar:
    assert finding.margin is not None
    low, high, limit = numbers
    at, figures = f"rule.{finding.rule}", brief.figures
    whole = max(high, limit) * _ROOM_BEYOND or 1.0
    left, si = figures.text(f"{at}.margin"), finding.margin.value_si
    wants_more = finding.order in {"at least", "more than"}
    if wants_more and si:
        amount = left.removeprefix("+").removeprefix("−")
        room = f"{amount} {'short' if si < 0 else 'more than asked'}"
    else:
        room = _room(left, si, finding)
    return Bar(
        rule=finding.rule,
        title=clean(finding.title),
        status=status_word(finding.status),
        says=f"{figures.span(f'{at}.measured')}, {finding.order} {figures.span(f'{at}.limit')}",
        room=room,
        low=low / whole,
        high=high / whole,
        limit=limit / whole,
        is_floor=wants_more,
    )
