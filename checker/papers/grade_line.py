"""The grade line of the pipes: levels at both ends of each at its peak, and what it lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.units import FLOW
from checker.measure.drainage.cases import design_flows
from checker.measure.drainage.grades import is_leader
from checker.measure.drainage.network import network_of
from checker.pages.blocks import Column, Table, numbers, texts_of
from checker.water.gradeline import grade_lines
from checker.words.amounts import NOTHING, clean

if TYPE_CHECKING:
    from checker.papers.drainage_tables import DrainageTables
    from checker.water.gradeline import GradeLine


def grade_line_table(tables: DrainageTables) -> Table:
    """The table; its numbers are figures of the tables of drainage."""
    network, flows = network_of(tables.survey), design_flows(tables.survey)
    rows = tuple(_row(tables, line) for line in grade_lines(network, flows))
    heads = ("Peak through it", "Water at its end", "Lost at its end", "By friction", "In bends",
             "At its entrance", "Water at its upper end", "Rim over it",
             "Room below the rim")  # fmt: skip
    columns = (Column("Pipe", width=1.1), *numbers(*heads), *texts_of("Runs"))
    return Table("Grade line of the water in the pipes, in the design storm", columns, rows)


def _row(tables: DrainageTables, line: GradeLine) -> tuple[str, ...]:
    at = f"grade.{line.pipe.id}"
    rims_m = [top.rim_m for top in line.tops if not is_leader(tables.survey, top.id)]
    rim = room = NOTHING
    if rims_m:
        rim = tables.level(f"{at}.rim", min(rims_m))
        room = tables.small(f"{at}.room", min(rims_m) - line.upper_m)
    falls = line.tailwater_m is None
    return (
        clean(line.pipe.id),
        tables.figure(f"{at}.peak", line.flow_m3_per_s, FLOW),
        "free fall" if falls else tables.level(f"{at}.tail", line.tailwater_m),
        tables.small(f"{at}.exit", line.exit_m),
        tables.small(f"{at}.friction", line.friction_m),
        tables.small(f"{at}.bends", line.bends_m),
        tables.small(f"{at}.entrance", line.entrance_m),
        tables.level(f"{at}.upper", line.upper_m),
        rim,
        room,
        "full" if line.is_full else "partly full",
    )
