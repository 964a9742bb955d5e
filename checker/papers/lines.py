"""The lines of a coverage worksheet with their words, as the documents of a packet list them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from checker.core.units import same
from checker.words.amounts import clean
from checker.words.coverage import row_text, surface_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.findings.coverage import Coverage, MoveLine
    from checker.papers.job import Job
    from checker.site.model import Surface


class Worded(NamedTuple):
    """A line of a worksheet; everything but the numbers is ready to print.

    Attributes:
        at: The beginning of the keys of its figures, e.g. "cover.impervious_area.3".
        line: Its numbers.
        key: The letter on the plan; empty for the rest of the lot and for exemptions.
        title: Its name.
        material: What it is made of, today and afterwards where that differs.
        group: The heading it is listed under.
        stage: existing, removed, proposed or replaced; empty for an exemption.
        row: The row of the counting table that decided.
        clause: Where that stands.
        measured_by: How it was measured.
        asks: What must be given to settle the factor.
        is_free: It counts nothing before or after: exempt or left out.
    """

    at: str
    line: MoveLine
    key: str
    title: str
    material: str
    group: str
    stage: str
    row: str
    clause: str
    measured_by: str
    asks: tuple[str, ...]
    is_free: bool


def worded(job: Job, coverage: Coverage) -> tuple[Worded, ...]:
    """The lines of a worksheet in its own order."""
    return tuple(_worded(job, coverage))


def _worded(job: Job, coverage: Coverage) -> Iterator[Worded]:
    rest = job.checked.site.rest_of_lot
    for index, line in enumerate(coverage.lines):
        surface, shown = job.keys.surface(line.of), line.shown
        material = _material(surface) if surface else (rest.title if rest else "not said")
        ends = (line.moves.existing, line.moves.proposed)
        yield Worded(
            at=f"cover.{coverage.name}.{index}",
            line=line,
            key=job.keys.letter(line.of),
            title=surface_name(job.keys, line.of, line.group),
            material=clean(material) if line.of else "",
            group=clean(line.group),
            stage=line.stage if line.of else "",
            row=row_text(shown),
            clause=clean(shown.clause),
            measured_by=clean(surface.measured_by if surface else "") or "drawn polygon",
            asks=tuple(map(clean, line.asks)),
            is_free=all(same(coverage.worst_m2(end), 0.0) for end in ends),
        )


def _material(surface: Surface) -> str:
    if surface.stage == "replaced" and surface.was.id != surface.material.id:
        return f"{surface.material.title}, today {surface.was.title.lower()}"
    return surface.material.title
