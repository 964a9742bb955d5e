"""The verdict under every way to count, as a Markdown table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.markdown import escape, table_lines
from checker.core.units import AREA
from checker.words import changes as wording

if TYPE_CHECKING:
    from checker.solve.sensitivity import Sensitivity


def markdown_of(table: Sensitivity) -> str:
    """The table as Markdown, the weights of each way to count in its first columns."""
    system = table.checked.system
    titles = [escape(table.checked.ruleset.rule(rule).title) for rule in table.rules]
    heads = [*(f"{axis} counts" for axis in table.axes), *titles, "Least area to change"]
    rows = []
    for cell in table.cells:
        texts = [f"{cell.weights[axis] * 100:g} %" for axis in table.axes]
        for rule in table.rules:
            margin = cell.margins.get(rule)
            room = ""
            if margin is not None and margin.dimension == AREA:
                side = "over by" if margin.value_si < 0 else "room"
                room = f", {side} {wording.area(abs(margin.value_si), system)}"
            texts.append(f"{cell.statuses.get(rule, 'does not apply')}{room}")
        texts.append(
            "not possible"
            if cell.least_m2 is None
            else wording.area(wording.up(cell.least_m2, system), system)
        )
        rows.append(texts)
    title = escape(f"If it is counted otherwise: {table.checked.site.title}")
    lines = [f"# {title}", "", *table_lines(heads, rows)]
    lines += ["", "## The smallest change that passes in every row", ""]
    if table.passes_all is None:
        lines.append(f"There is none: {table.because}.")
    else:
        said = wording.capital(wording.instructions(table.passes_all, system))
        lines.append(f"{escape(said)}: {wording.cost(table.passes_all.cents)}.")
    return "\n".join([*lines, ""])
