"""One page for the client: whether it may be built, before and after, the figure, what it costs."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.showing import show_number
from checker.core.units import FOOT_M
from checker.pages.blocks import Bullets, Columns, Page, Strong, Text, caution, para, part
from checker.papers.answer import gauges
from checker.papers.phases import today_of
from checker.papers.report import INVENTED
from checker.words.amounts import plural, room_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.units import System
    from checker.findings.limits import Limit
    from checker.pages.blocks import Block, Picture
    from checker.words.view import View

FOOTER: Final = "Prepared by a program from the drawing; no permit, no survey, no offer"

ANSWERS: Final = {
    "fails": "Fails: this design does not meet rules of the town.",
    "cannot tell": "Cannot tell: facts are missing before anyone can say.",
    "unanswered": "Unanswered: a question about the lot is open.",
    "relief possible": "Relief possible: the office may grant an exception.",
    "passes with conditions": "Passes with conditions: the rules are met once the papers are in.",
    "passes": "Passes: this design meets every rule that was checked.",
    "does not apply": "Does not apply: no rule that was checked asks anything of this design.",
    "not in force": "Not in force: no rule was law on the day that counts; nothing was judged.",
    "no limit set": "No limit set: nothing was checked.",
}
_MOST: Final = 4
"""So many things left to do are named; the report has them all."""

_CAUTION: Final = (
    "This is a check of a drawing, no permit and no survey. The office decides. Have buried "
    "utilities located before any digging; work beside a pool, its bonding and its barrier are "
    "for licensed people."
)


def client_page(view: View, phases: tuple[Picture, ...], costs: tuple[str, ...] = ()) -> Page:
    """The page.

    Args:
        view: The texts of the check.
        phases: The lot before and after, see `phases_of`; empty where no work is drawn.
        costs: What the work costs, in sentences; what to do to learn it when empty.
    """
    return Page(view.header.title, (), tuple(_blocks(view, phases, costs)), ())


def _blocks(view: View, phases: tuple[Picture, ...], costs: tuple[str, ...]) -> Iterator[Block]:
    status = view.status
    yield Text((f"{status.sign} ", Strong(ANSWERS[status.word])), f"banner {status.key}")
    yield from gauges(view.answer.bars[:1])
    if said := cover_words(view):
        yield para(said)
    pictures = phases[:2] or (today_of(view.brief.checked, view.brief.keys),)
    yield Columns(tuple((picture,) for picture in pictures))
    yield part("What it costs", *map(para, costs or (_NO_PRICES,)))
    yield part("What is left to do", *_left(view))
    yield caution(_CAUTION)
    if view.header.is_invented:
        yield para(INVENTED, "fine")


_NO_PRICES: Final = (
    "No prices were given. With your own prices in the table of order sizes this page says what "
    "the material and the hours come to."
)


def _left(view: View) -> Iterator[Block]:
    steps = view.answer.steps
    named = [f"{step.do.rstrip('.')} (for: {step.title})." for step in steps[:_MOST]]
    if len(steps) > _MOST:
        named.append(f"And {plural(len(steps) - _MOST, 'thing')} more, all in the report.")
    yield Bullets(tuple(named) or ("Nothing: hand the drawing in.",))


def cover_words(view: View) -> str:
    """The first limit on cover in a client's words: allowed, today, afterwards, and the rest."""
    from checker.findings.limits import limits_of

    bars = view.answer.bars
    if not bars:
        return ""
    brief = view.brief
    found = next(
        (
            (limit, coverage.name)
            for coverage in brief.coverages
            for limit in limits_of(coverage, brief.checked)
            if limit.finding.rule == bars[0].rule
        ),
        None,
    )
    if found is None:
        return ""
    limit, name = found
    at = f"limit.{name}.{limit.finding.rule}"

    def share(what: str) -> str:
        return brief.figures.span(f"{at}.{what}_share")

    land = "your lot" if limit.is_of_total else "that part of your lot"
    left = f"{at}.remaining"
    room = brief.figures.text(left) if left in brief.figures else ""
    today = f"Today they cover {share('existing')}; with" if bars[0].today else "With"
    return (
        f"Paving, roofs and what else the town counts may cover {share('maximum')} of {land}. "
        f"{today} this design they cover {share('proposed')}. {_rest(limit, room, brief.system)}"
    )


def _rest(limit: Limit, room: str, system: System) -> str:
    """What is left, as every page prints it, and how much that is for somebody who looks at it."""
    left_m2 = limit.remaining_m2
    if left_m2 is None:
        return "How much is left cannot be told yet."
    if left_m2 == 0:
        return "That is exactly the limit."
    unit, size = ("ft", FOOT_M) if system == "us" else ("m", 1.0)
    side, is_left = math.sqrt(abs(left_m2)) / size, left_m2 > 0
    square = show_number(side, 0 if side >= 10 else 1, "down" if is_left else "up")
    same = f"about a square of {square} by {square} {unit}"
    much = room_text(room, limit.part.order) if is_left else room.removeprefix("−")
    return f"That is {much} {'to spare' if is_left else 'too much'}, {same}."
