"""The verdict as a table for a terminal: at most 80 columns, the verdict first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages.terminal_writer import INDENT, WIDTH, plainly, wrapped
from checker.words.amounts import NOT_KNOWN, NOTHING, clean
from checker.words.findings import finding_views
from checker.words.letters import Keys
from checker.words.results import result_views
from checker.words.statuses import headline, status_word

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.findings.checked import Checked
    from checker.site.model import Repair
    from checker.words.findings import FindingView

_HEADS: Final = ("Rule", "Verdict", "Measured", "Limit", "Room left")
_VERDICT: Final = 14
_LEAST_ROOM: Final = 16
_ORDERS: Final = {"at most": "max", "at least": "min", "less than": "under", "more than": "over"}
_MOST_DOUBTS: Final = 6


def verdict_table(checked: Checked) -> str:
    """The verdict of every rule: rule, verdict, measured, limit, room left.

    Rules that need attention come first and bring their reason along. What was mended or is in
    doubt in the drawing stands below, since every number hangs on it. Statuses are words and
    signs are plain, since a terminal may show anything beyond ASCII as a question mark.
    """
    views = finding_views(checked, Keys(checked.site))
    said = headline(checked.verdict)
    lines = [
        *wrapped(f"{status_word(checked.verdict.status).word.upper()}: {said}"),
        *wrapped(clean(checked.site.title)),
        *wrapped(f"{clean(checked.ruleset.title)}. {clean(checked.ruleset.verify)}"),
        *(("", *_table(views)) if views else ()),
        *_results(checked),
        *_doubts(checked.site.repairs),
    ]
    return plainly(lines)


def _table(views: tuple[FindingView, ...]) -> Iterator[str]:
    rows = [(v.title, v.status.word, v.measured, _limit(v), v.margin) for v in views]
    widths = [max(len(row[index]) for row in [_HEADS, *rows]) for index in range(5)]
    widths[1] = min(widths[1], _VERDICT)
    room = WIDTH - sum(widths[1:]) - 2 * 4
    if room < _LEAST_ROOM:
        yield from _listed(views)
        return
    widths[0] = min(widths[0], room)
    yield _line(_HEADS, widths)
    yield "  ".join("-" * width for width in widths)
    for view, row in zip(views, rows, strict=True):
        titles, words = wrapped(row[0], widths[0]), wrapped(row[1], widths[1])
        for index in range(max(len(titles), len(words))):
            cells = [*titles[index : index + 1], ""][0], [*words[index : index + 1], ""][0]
            yield _line((*cells, *(row[2:] if index == 0 else ("", "", ""))), widths)
        yield from _reasons(view)


def _results(checked: Checked) -> Iterator[str]:
    views = result_views(checked)
    if not views:
        return
    yield from ("", "What follows besides:")
    for view in views:
        yield from wrapped(f"- {view.title}: {view.answer}", WIDTH, INDENT)
        if view.why and view.answer != "not owed":
            yield from wrapped(view.why, WIDTH, INDENT * 2)


def _doubts(repairs: tuple[Repair, ...]) -> Iterator[str]:
    if not repairs:
        return
    yield from ("", "Mended or in doubt in the drawing:")
    for repair in repairs[:_MOST_DOUBTS]:
        yield from wrapped(f"- {clean(repair.place)}: {clean(repair.says)}", WIDTH, INDENT)
    if len(repairs) > _MOST_DOUBTS:
        more = len(repairs) - _MOST_DOUBTS
        yield from wrapped(f"- and {more} more, all in the report", WIDTH, INDENT)


def _limit(view: FindingView) -> str:
    order = "" if view.limit == NOT_KNOWN else _ORDERS.get(view.order, "")
    return f"{order} {view.limit}".strip()


def _line(cells: tuple[str, ...], widths: list[int]) -> str:
    shown = [cells[0].ljust(widths[0]), cells[1].ljust(widths[1])]
    shown += [cell.rjust(width) for cell, width in zip(cells[2:], widths[2:], strict=True)]
    return "  ".join(shown).rstrip()


def _listed(views: tuple[FindingView, ...]) -> Iterator[str]:
    """One rule below the other, where the numbers are too long to stand side by side."""
    for view in views:
        yield from wrapped(f"{view.status.word}: {view.title}")
        if view.order:
            text = f"measured {view.measured}, {view.order} {view.limit}, room left {view.margin}"
            yield from wrapped(text, WIDTH, INDENT)
        yield from _reasons(view)


def _reasons(view: FindingView) -> Iterator[str]:
    unsaid = view.status.word == "fails" and view.measured == NOTHING
    for text in (*view.asks, *view.because) or ((f"asked: {view.says}",) if unsaid else ()):
        yield from wrapped(f"- {text}", WIDTH, INDENT)
    if view.unfavourable is not None:
        text = f"- taking what is missing at its worst: {view.unfavourable.word}"
        yield from wrapped(text, WIDTH, INDENT)
    for text in view.documents:
        yield from wrapped(f"- hand in: {text}", WIDTH, INDENT)
