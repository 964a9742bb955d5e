"""The verdict under every way to count, as a page: the rules on which it hangs, one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.units import AREA
from checker.pages.blocks import Page, Section, Table, caution, numbers, para, texts_of
from checker.pages.terminal_writer import terminal_of
from checker.pages.written import pages_of
from checker.solve.costs import costs_of
from checker.words import changes as wording
from checker.words.amounts import capital, clean, margin_text

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from checker.pages.blocks import Block
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
    axes = numbers(*(f"{axis} counts" for axis in table.axes))
    alike: list[str] = []
    for rule in table.rules:
        title = clean(table.checked.ruleset.rule(rule).title)
        said = [(_status(cell, rule), _room(cell, rule, table)) for cell in table.cells]
        if len(set(said)) == 1:
            alike.append(f"{title} ({said[0][0]})")
            continue
        columns = (*axes, *texts_of("Verdict"), *numbers("Room"))
        rows = tuple(
            (*_weights(cell, table), *row) for cell, row in zip(table.cells, said, strict=True)
        )
        yield Table(title, columns, rows)
    if alike:
        yield para(f"The same however it is counted: {'; '.join(alike)}.")
    least = tuple((*_weights(cell, table), _least(cell, table)) for cell in table.cells)
    caption = "Least area to change, so that all of these rules are met"
    yield Table(caption, (*axes, *numbers("Area")), least)


def _weights(cell: Counting, table: Sensitivity) -> tuple[str, ...]:
    return tuple(f"{cell.weights[axis] * 100:g} %" for axis in table.axes)


def _status(cell: Counting, rule: str) -> str:
    return cell.statuses.get(rule, "does not apply")


def _least(cell: Counting, table: Sensitivity) -> str:
    if cell.least_m2 is None:
        return "not possible"
    system = table.checked.system
    return wording.area(wording.up(cell.least_m2, system), system)


def _room(cell: Counting, rule: str, table: Sensitivity) -> str:
    """The room left; nothing where a distance or a time has no end."""
    margin, system = cell.margins.get(rule), table.checked.system
    if margin is None:
        return ""
    if margin.dimension != AREA:
        return margin_text(margin, system)
    side = "over by" if margin.value_si < 0 else "room"
    return f"{side} {wording.area(abs(margin.value_si), system)}"
