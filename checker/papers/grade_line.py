"""The grade line of the pipes: levels at both ends of each at its peak, and what it lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.units import FLOW
from checker.drawing.pipe_profile import PipeProfile, profile_svg
from checker.measure.drainage.cases import design_flows
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.grades import is_leader
from checker.measure.drainage.ground_over import ground_over
from checker.measure.drainage.network import network_of
from checker.pages.blocks import Column, Picture, Table, numbers, texts_of
from checker.water.pipe_losses import grade_lines, pipe_lines
from checker.words.amounts import NOTHING, clean

if TYPE_CHECKING:
    from checker.papers.drainage_tables import DrainageTables
    from checker.water.pipe_losses import GradeLine
    from checker.words.brief import Brief


def grade_line_table(tables: DrainageTables) -> Table:
    """The table; its numbers are figures of the tables of drainage."""
    network, flows = network_of(tables.survey), design_flows(tables.survey)
    rows = tuple(_row(tables, line) for line in grade_lines(network, flows))
    heads = ("Water at its end", "Lost at its end", "By friction", "In bends",
             "At its entrance", "Water at its upper end", "Rim over it",
             "Room below the rim")  # fmt: skip
    columns = (
        Column("Pipe", width=1.1),
        Column("Peak through it", is_number=True, width=1.25),
        *numbers(*heads),
        *texts_of("Runs"),
    )
    return Table("Grade line of the water in the pipes, in the design storm", columns, rows)


def _row(tables: DrainageTables, line: GradeLine) -> tuple[str, ...]:
    at = f"grade.{line.pipe.id}"
    rim_m = _lowest_rim_m(tables.brief, line)
    rim = room = NOTHING
    if rim_m is not None:
        rim = tables.level(f"{at}.rim", rim_m)
        room = tables.small(f"{at}.room", rim_m - line.upper_m)
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


def pipe_profiles(brief: Brief, *, below_rims: bool = False) -> tuple[Picture, ...]:
    """A drawing for every line of pipes that water runs through, from its head to its end.

    Args:
        brief: The site and its figures.
        below_rims: Leave out lines over which no rim stands: there is nothing to stay below.
    """
    network, flows = network_of(brief.survey), design_flows(brief.survey)
    by_pipe = {line.pipe.id: line for line in grade_lines(network, flows)}
    grounds = {pipe.id: ground_over(brief.survey, pipe) for pipe in ways_of(brief.survey).pipes}
    found: list[Picture] = []
    for names in pipe_lines(network):
        lines = [by_pipe[name] for name in names]
        if not any(line.flow_m3_per_s > 0 for line in lines):
            continue
        rims_m = [_lowest_rim_m(brief, line) for line in lines]
        has_rim = any(rim is not None for rim in rims_m)
        if below_rims and not has_rim:
            continue
        title = f"Profile of the pipes {clean(' → '.join(names))}"
        above = [line.pipe.id for line, rim in zip(lines, rims_m, strict=True)
                 if rim is not None and line.upper_m > rim]  # fmt: skip
        says = "No rim stands over the pipes."
        if has_rim:
            says = "The grade line stays below the rims over the pipes."
        if above:
            says = f"The grade line stands above the rim over {clean(', '.join(above))}."
        ground = [grounds.get(name, ()) for name in names]
        svg = profile_svg(PipeProfile(title, says, lines, rims_m, ground), brief.system)
        file = f"pipe-profile-{len(found) + 1}.svg"
        found.append(Picture(svg, file, says, f"{title}. {says}", title))
    return tuple(found)


def _lowest_rim_m(brief: Brief, line: GradeLine) -> float | None:
    rims_m = [top.rim_m for top in line.tops if not is_leader(brief.survey, top.id)]
    return min(rims_m, default=None)
