"""The verdict under every way to count, as a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.units import AREA
from checker.pages.blocks import Page, Section, Table, numbers, para, texts_of
from checker.pages.markdown_writer import markdown_of
from checker.pages.written import pages_of
from checker.words import changes as wording
from checker.words.amounts import capital, clean

if TYPE_CHECKING:
    from pathlib import Path

    from checker.core.units import Amount
    from checker.solve.sensitivity import Counting, Sensitivity


def sensitivity_text(table: Sensitivity) -> str:
    """The page as Markdown."""
    return markdown_of(sensitivity_page(table))


def sensitivity_pages(table: Sensitivity, templates: Path | None = None) -> dict[str, str]:
    """The pages by file name; `templates` holds a page.html or page.md of one's own."""
    return pages_of("sensitivity", sensitivity_page(table), templates)


def sensitivity_page(table: Sensitivity) -> Page:
    """The table, the weights of each way to count in its first columns."""
    titles = [clean(table.checked.ruleset.rule(rule).title) for rule in table.rules]
    columns = (
        *numbers(*(f"{axis} counts" for axis in table.axes)),
        *texts_of(*titles),
        *numbers("Least area to change"),
    )
    rows = tuple(_row(cell, table) for cell in table.cells)
    said = f"There is none: {table.because}."
    if table.passes_all is not None:
        what = capital(wording.instructions(table.passes_all, table.checked.system))
        said = f"{what}: {wording.cost(table.passes_all.cents)}."
    title = "The smallest change that passes in every row"
    return Page(
        title=clean(f"If it is counted otherwise: {table.checked.site.title}"),
        above=(Table("The verdict under every way to count", columns, rows),),
        sections=(Section("passes-all", title, (para(clean(said)),)),),
        below=(),
    )


def _row(cell: Counting, table: Sensitivity) -> tuple[str, ...]:
    system = table.checked.system
    least = "not possible"
    if cell.least_m2 is not None:
        least = wording.area(wording.up(cell.least_m2, system), system)
    return (
        *(f"{cell.weights[axis] * 100:g} %" for axis in table.axes),
        *(
            f"{cell.statuses.get(rule, 'does not apply')}{_room(cell.margins.get(rule), table)}"
            for rule in table.rules
        ),
        least,
    )


def _room(margin: Amount | None, table: Sensitivity) -> str:
    if margin is None or margin.dimension != AREA:
        return ""
    side = "over by" if margin.value_si < 0 else "room"
    return f", {side} {wording.area(abs(margin.value_si), table.checked.system)}"
