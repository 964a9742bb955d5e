"""The first page as blocks, in one order for every format: verdict, cover, next steps, plan.

Below it stand the rules by subject: what waits is set out, what passes is a line that opens, what
is not asked is folded into a count.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages.blocks import (
    Bullets,
    Column,
    Columns,
    Fold,
    Gauge,
    Section,
    SectionLink,
    Strong,
    Table,
    Text,
    para,
    texts_of,
)
from checker.papers.findings import finding_blocks
from checker.words.amounts import plural

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.pages.blocks import Block, Inline, Picture
    from checker.words.answer import Bar, FirstPage, SubjectRules
    from checker.words.findings import FindingView
    from checker.words.results import ResultView
    from checker.words.view import View

MOST_BARS: Final = 2
MOST_STEPS: Final = 8
"""So many stand on the first page; the rest are folded below them."""

MOST_ASSUMED: Final = 24
MOST_DOUBTS: Final = 3
NOTHING_TO_DO: Final = "Nothing fails and nothing is open. Hand the design in as it is."


def verdict_text(view: View) -> Text:
    """The verdict in a sentence."""
    return Text((view.status, ": ", view.headline), f"verdict {view.status.key}")


def answer_blocks(view: View, plan: Picture) -> tuple[Block, ...]:
    """Cover, next steps and the plan, beside each other where there is room."""
    bars = gauges(view.answer.bars[:MOST_BARS])
    left: tuple[Block, ...] = (*bars, *assumptions(view), next_steps(view))
    return (Columns((left, (Section("plan", "Plan", (plan,)),))),)


def gauges(bars: Sequence[Bar]) -> tuple[Gauge, ...]:
    """A bar for each limit on what counts."""
    return tuple(
        Gauge(
            title=bar.title,
            status=bar.status,
            says=bar.says,
            room=bar.room,
            more=tuple(text for text in (bar.areas, bar.today) if text),
            low=bar.low,
            high=bar.high,
            limit=bar.limit,
            was=bar.was,
            is_floor=bar.is_floor,
        )
        for bar in bars
    )


def assumptions(view: View, most: int = MOST_ASSUMED) -> tuple[Block, ...]:
    """What was taken as likely and nobody has confirmed, each with its line; nothing if none."""
    if not view.assumed:
        return ()
    files = [pair.what.rpartition(":") for pair in view.assumed]
    is_one = len({file for file, _, _ in files}) == 1
    told = [
        f"{pair.text} ({f'line {line}' if is_one and line else pair.what})"
        for pair, (_, _, line) in zip(view.assumed, files, strict=True)
    ]
    more = f"; and {len(told) - most} more" if len(told) > most else ""
    where = f" in {files[0][0] or files[0][2]}" if is_one else ""
    says = (
        f"Taken, and not confirmed by anybody: {'; '.join(told[:most])}{more}. Change one on its "
        f"line{where}, or take the '?' away there."
    )
    return (Text((says,), "step"),)


def next_steps(view: View, most: int = MOST_STEPS, doubts: int = MOST_DOUBTS) -> Section:
    """What fails or cannot be told and what to do about it, the worst first; what is owed."""
    asked = (Text((SectionLink("In the drawing", "drawing"), f": {pair.what}: ", Strong(pair.text)),
                  "step") for pair in view.unread)  # fmt: skip
    told = [*asked, *_steps(view), *map(_owed, view.owed)]
    lines: list[Block] = list(told[:most])
    if told[most:]:
        more = f"And {plural(len(told) - most, 'thing')} more"
        lines.append(Fold("more-steps", more, tuple(told[most:])))
    lines += _doubts(view, doubts)
    return Section("next", "What to do next", tuple(lines) or (para(_nothing(view)),))


def _doubts(view: View, most: int) -> Iterator[Text]:
    """What was mended or is in doubt in the drawing, since every number hangs on it."""
    told = view.repairs[:most]
    for pair in told:
        yield Text(
            (SectionLink("In the drawing", "drawing"), f": {pair.what}: {pair.text}."), "step"
        )
    if left := len(view.repairs) - len(told):
        more = f"And {plural(left, 'place')} more mended or in doubt in the drawing"
        yield Text((SectionLink(more, "drawing"), "."), "step")


def _nothing(view: View) -> str:
    if view.assumed:
        return "Nothing fails and nothing is open but what is to be confirmed."
    return NOTHING_TO_DO if view.findings else "Nothing is asked of this lot."


def _owed(item: ResultView) -> Text:
    said = f"{item.title}: {item.answer}."
    return Text((f"{said} ", Strong(item.do)) if item.do else (said,), "step")


def _steps(view: View) -> Iterator[Text]:
    """A line for each thing to do: rules that wait for the same answer are told together."""
    barred = {bar.rule: bar.room for bar in view.answer.bars}
    alike: dict[tuple[str, str], list[FindingView]] = {}
    for step in view.answer.steps:
        waits_for = step.do if step.asks or step.questions else step.id
        alike.setdefault((step.status.word, waits_for), []).append(step)
    for first, *others in alike.values():
        runs: list[Inline] = [first.status, ": ", SectionLink(first.title, f"rule-{first.id}")]
        line = barred.get(first.id, first.line)
        if others:
            runs.append(f" and {plural(len(others), 'other rule')}")
        elif line and not first.is_met:
            runs.append(f": {line}")
        yield Text((*runs, ". ", Strong(first.do)), "step")


def group_sections(answer: FirstPage) -> tuple[Section, ...]:
    """All rules, by subject."""
    return tuple(
        Section(
            f"about-{group.subject}",
            f"Rules: {group.title[0].lower()}{group.title[1:]}",
            (para(group.tally, "fine"), *_rules(group)),
        )
        for group in answer.groups
    )


def _rules(group: SubjectRules) -> Iterator[Block]:
    for view in group.open:
        yield _fold(view, is_open=True)
    for view in group.met:
        yield _fold(view, is_open=False)
    if group.silent:
        yield Fold(
            f"silent-{group.subject}",
            f"{plural(len(group.silent), 'rule')} not asked here",
            (_silent(group),),
        )


def _fold(view: FindingView, *, is_open: bool) -> Fold:
    return Fold(
        f"rule-{view.id}",
        view.title,
        finding_blocks(view),
        view.status,
        view.line,
        view.citation,
        is_open=is_open,
        is_short=True,
    )


def _silent(group: SubjectRules) -> Table:
    rows = tuple(
        (view.title, view.status, " ".join(view.because) or view.says, view.citation)
        for view in group.silent
    )
    columns = (*texts_of("Rule", "Verdict"), Column("Why", width=2.0), Column("Clause", width=1.6))
    return Table(f"{group.title}: rules that are not asked here", columns, rows)


def tallies(answer: FirstPage) -> Bullets:
    """A line for each subject: how many rules have which verdict."""
    return Bullets(tuple(f"{group.title}: {group.tally}" for group in answer.groups))
