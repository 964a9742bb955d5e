"""The verdict under every way to count, as a page: the rules on which it hangs, one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import ROOM_WAY
from checker.core.units import AREA
from checker.findings.model import STATUSES
from checker.pages.blocks import Page, Section, Table, caution, numbers, para, texts_of
from checker.pages.terminal_writer import terminal_of
from checker.pages.written import pages_of
from checker.solve.costs import costs_of
from checker.words import changes as wording
from checker.words.amounts import capital, clean, margin_text, plural

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from checker.pages.blocks import Block, Column
    from checker.solve.sensitivity import Counting, Sensitivity


def sensitivity_text(table: Sensitivity) -> str:
    """The page for a terminal."""
    page = sensitivity_page(table)
    return terminal_of((para(page.title), *page.above, *page.sections)).lstrip("\n")


def sensitivity_pages(table: Sensitivity, templates: Path | None = None) -> dict[str, str]:
    """The pages by file name; `templates` holds a page.html or page.md of one's own."""
    return pages_of("sensitivity", sensitivity_page(table), templates)


def sensitivity_page(table: Sensitivity) -> Page:
    """A table for each rule that hangs on how things are counted, and what would pass in all."""
    said = f"There is none: {table.because}."
    if table.passes_all is not None:
        what = capital(wording.instructions(table.passes_all, table.checked.system))
        made_up = " (invented prices)" if costs_of(table.checked.site).is_invented else ""
        said = f"{what}: {wording.cost(table.passes_all.cents)}{made_up}."
    title = "The smallest change that passes in every row"
    return Page(
        title=clean(f"If it is counted otherwise: {table.checked.site.title}"),
        above=tuple(_rules(table)),
        sections=(Section("passes-all", title, (para(clean(said)),)), caution(wording.CAUTION)),
        below=(),
    )


def _rules(table: Sensitivity) -> Iterator[Block]:
    alike: list[str] = []
    for rule in table.rules:
        said = [(_status(cell, rule), _room(cell, rule, table)) for cell in table.cells]
        if len(set(said)) == 1:
            alike.append(said[0][0])
            continue
        title = f"{clean(table.checked.ruleset.rule(rule).title)}, {_BY_SHARE}"
        yield _table(title, table, (*texts_of("Verdict"), *numbers("Room")), said)
    if alike:
        counted = ", ".join(f"{alike.count(word)} {word}" for word in STATUSES if word in alike)
        yield para(f"{plural(len(alike), 'more rule')} the same however it is counted: {counted}.")
    least = [(_least(cell, table),) for cell in table.cells]
    caption = f"Least area to change, so that all of these rules are met, {_BY_SHARE}"
    yield _table(caption, table, numbers("Area"), least)


def _table(
    title: str, table: Sensitivity, columns: tuple[Column, ...], said: Sequence[tuple[str, ...]]
) -> Table:
    """A row for each way to count that makes a difference to what is said."""
    axes = [axis for axis in table.axes if _matters(axis, table, said)]
    rows = {
        tuple(f"{cell.weights[axis] * 100:g} %" for axis in axes): row
        for cell, row in zip(table.cells, said, strict=True)
    }
    heads = numbers(*(_HEADS[axis] for axis in axes))
    return Table(title, (*heads, *columns), tuple((*key, *row) for key, row in rows.items()))


def _matters(axis: str, table: Sensitivity, said: Sequence[tuple[str, ...]]) -> bool:
    """Whether what is said changes with one axis while the others stay."""
    alike: dict[tuple[float, ...], set[tuple[str, ...]]] = {}
    for cell, row in zip(table.cells, said, strict=True):
        others = tuple(weight for name, weight in cell.weights.items() if name != axis)
        alike.setdefault(others, set()).add(row)
    return any(len(rows) > 1 for rows in alike.values())


_BY_SHARE: Final = "by the share of each that counts"
_HEADS: Final = {
    "pool water": "Pool water",
    "permeable paving": "Permeable",
    "deck of boards": "Deck",
}


def _status(cell: Counting, rule: str) -> str:
    return cell.statuses.get(rule, "does not apply")


def _least(cell: Counting, table: Sensitivity) -> str:
    if cell.least_m2 is None:
        return "not possible"
    if cell.least_m2 == 0:
        return "none"
    system = table.checked.system
    return wording.area(wording.up(cell.least_m2, system), system)


def _room(cell: Counting, rule: str, table: Sensitivity) -> str:
    """The room left; nothing where a distance or a time has no end."""
    margin, system = cell.margins.get(rule), table.checked.system
    if margin is None:
        return ""
    if margin.dimension != AREA:
        return margin_text(margin, system)
    text = wording.area(margin.value_si, system, ROOM_WAY)
    return f"over by {text.removeprefix('-')}" if margin.value_si < 0 else text
