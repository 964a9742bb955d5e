"""The verdict as a table for a terminal: at most 80 columns, the verdict first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import NO_BREAK, held_together
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

WIDTH: Final = 80
_HEADS: Final = ("Rule", "Verdict", "Measured", "Limit", "Room left")
_PLAIN: Final = {ord("−"): "-", ord("–"): "-"}
_VERDICT: Final = 14
_LEAST_ROOM: Final = 16
_ORDERS: Final = {"at most": "max", "at least": "min", "less than": "under", "more than": "over"}
_INDENT: Final = "    "
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
        *_wrapped(f"{status_word(checked.verdict.status).word.upper()}: {said}"),
        *_wrapped(clean(checked.site.title)),
        *_wrapped(f"{clean(checked.ruleset.title)}. {clean(checked.ruleset.verify)}"),
        *(("", *_table(views)) if views else ()),
        *_results(checked),
        *_doubts(checked.site.repairs),
    ]
    return "\n".join(lines).translate(_PLAIN)


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
        titles, words = _wrapped(row[0], widths[0]), _wrapped(row[1], widths[1])
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
        yield from _wrapped(f"- {view.title}: {view.answer}", WIDTH, _INDENT)
        if view.why and view.answer != "not owed":
            yield from _wrapped(view.why, WIDTH, _INDENT * 2)


def _doubts(repairs: tuple[Repair, ...]) -> Iterator[str]:
    if not repairs:
        return
    yield from ("", "Mended or in doubt in the drawing:")
    for repair in repairs[:_MOST_DOUBTS]:
        yield from _wrapped(f"- {clean(repair.place)}: {clean(repair.says)}", WIDTH, _INDENT)
    if len(repairs) > _MOST_DOUBTS:
        more = len(repairs) - _MOST_DOUBTS
        yield from _wrapped(f"- and {more} more, all in the report", WIDTH, _INDENT)


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
        yield from _wrapped(f"{view.status.word}: {view.title}")
        if view.order:
            text = f"measured {view.measured}, {view.order} {view.limit}, room left {view.margin}"
            yield from _wrapped(text, WIDTH, _INDENT)
        yield from _reasons(view)


def _reasons(view: FindingView) -> Iterator[str]:
    unsaid = view.status.word == "fails" and view.measured == NOTHING
    for text in (*view.asks, *view.because) or ((f"asked: {view.says}",) if unsaid else ()):
        yield from _wrapped(f"- {text}", WIDTH, _INDENT)
    if view.unfavourable is not None:
        text = f"- taking what is missing at its worst: {view.unfavourable.word}"
        yield from _wrapped(text, WIDTH, _INDENT)
    for text in view.documents:
        yield from _wrapped(f"- hand in: {text}", WIDTH, _INDENT)


def _wrapped(text: str, width: int = WIDTH, indent: str = "") -> list[str]:
    """A text broken between words, or inside a word that is longer than a line."""
    lines: list[str] = []
    line = indent
    for word in held_together(" ".join(text.split())).split(" "):
        rest = word.replace(NO_BREAK, " ")
        while rest:
            gap = "" if not line.strip() else " "
            if len(line) + len(gap) + len(rest) <= width:
                line, rest = f"{line}{gap}{rest}", ""
            elif line.strip():
                lines.append(line)
                line = indent + ("  " if indent else "")
            else:
                cut = width - len(line)
                lines.append(line + rest[:cut])
                line, rest = indent + ("  " if indent else ""), rest[cut:]
    return [*lines, line] if line.strip() or not lines else lines
