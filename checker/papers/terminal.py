"""The answer for a terminal: one screen of 40 lines for any lot, or every rule with its reasons."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages.blocks import Bullets, Fold, Section, para
from checker.pages.terminal_writer import HEIGHT, terminal_of
from checker.papers.answer import assumptions, gauges, group_sections, next_steps, tallies
from checker.words.amounts import plural
from checker.words.cautions import SHORT
from checker.words.view import view_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.findings.checked import Checked
    from checker.pages.blocks import Block
    from checker.words.view import View

_LINES: Final = HEIGHT - 4
"""What is left for the answer beside the line of files and the next prompt."""

SEE_ALL: Final = "Every rule with its reasons: --all, or the report."


_CAUTION: Final = para(SHORT)


def answer_text(checked: Checked, *, is_whole: bool = False, view: View | None = None) -> str:
    """The answer: verdict, cover beside its limits, what to do next, the rules by subject.

    Signs are plain, since a terminal may show anything beyond ASCII as a question mark.

    Args:
        checked: The check.
        is_whole: All of it, however long.
        view: The texts of the check, where they are there already.
    """
    view = view or view_of(checked)
    if is_whole:
        return terminal_of((*_head(view), *_whole(view)), is_open=True)
    text = ""
    for blocks in _shorter(view):
        text = terminal_of((*_head(view), *blocks))
        if text.count("\n") < _LINES:
            return text
    return "\n".join(text.split("\n")[: _LINES - 1])


def _head(view: View) -> Iterator[Block]:
    yield para(f"{view.status.word.upper()}: {view.headline}")
    yield para(view.header.title)
    yield para(f"{view.header.place}. {view.header.verify} {view.header.checked}".rstrip())


def _shorter(view: View) -> Iterator[tuple[Block, ...]]:
    """The answer, each time with less of it set out."""
    bars = gauges(view.answer.bars)
    last = para(SEE_ALL)
    rules = group_sections(view.answer)
    for most in (len(view.answer.steps) + len(view.owed), 12):
        yield (*bars, *assumptions(view), next_steps(view, most), *rules, *_results(view), _CAUTION)
    counts = tallies(view.answer)
    # What to do outranks a bar: the further bars go before fewer than three steps stand.
    for shown, least in ((len(bars), 3), (2, 3), (1, 1)):
        for most in range(20, least - 1, -1):
            told = assumptions(view, 8)
            yield (
                *bars[:shown],
                *told,
                next_steps(view, most, min(most, 2)),
                counts,
                last,
                _CAUTION,
            )


def _whole(view: View) -> Iterator[Block]:
    yield from gauges(view.answer.bars)
    yield from assumptions(view, len(view.assumed))
    yield next_steps(view, len(view.answer.steps) + len(view.owed))
    yield from group_sections(view.answer)
    yield from _results(view)
    if view.repairs:
        yield Section(
            "drawing",
            "Mended or in doubt in the drawing",
            (Bullets(tuple(f"{pair.what}: {pair.text}" for pair in view.repairs)),),
        )
    yield Section("cautions", "Cautions", (Bullets(view.cautions),))


def _results(view: View) -> Iterator[Block]:
    if view.results:
        folds = (Fold("", item.title, (para(item.why),), line=item.answer) for item in view.results)
        title = f"Fees, permits and figures: {plural(len(view.results), 'thing')}"
        yield Section("results", title, tuple(folds))
