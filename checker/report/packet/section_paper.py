"""The pavement section sheet: each section drawn to scale, with the schedule of its courses."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.measure.section.bed import beds
from checker.report.packet.blocks import Block, Column, Heading, Paper, Para, Picture, Table
from checker.report.section_drawing import WIDTH_MM, section_svg
from checker.report.section_words import course_lines, section_notes, small
from checker.report.wording import clean

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.measure.section.bed import Bed, Layer
    from checker.report.packet.job import Job

WHAT_TO_GIVE: Final = (
    "No section is drawn in the site file. Give one under 'sections' (courses from the top down, "
    "each with its thickness and stone size), and name it with 'section' at the surfaces that lie "
    "on it. For permeable paving add the pipe, the observation well and the edge."
)


def section_paper(job: Job, number: str) -> Paper:
    """The sheet; it says what to give where no section is drawn."""
    found = beds(job.checked.survey)
    blocks: list[Block] = []
    for bed in found.values():
        blocks += _section(job, bed)
    if not blocks:
        blocks = [Para(WHAT_TO_GIVE, "warning")]
    return Paper(
        id="pavement-section",
        number=number,
        title="Pavement section",
        blocks=tuple(blocks),
        is_empty=not found,
    )


def _section(job: Job, bed: Bed) -> list[Block]:
    system, section = job.checked.system, bed.section
    under = [
        job.keys.named(surface.id)
        for surface in job.checked.site.surfaces
        if surface.section == section.id
    ]
    title = clean(section.title)
    rows = tuple(_course(layer, system) for layer in bed.layers)
    says = f"{title} from the top down: " + "; ".join(", ".join(row) for row in rows)
    columns = (
        Column("Course", width=1.0),
        Column("Thickness", "right", 0.8),
        Column("What it is", width=3.0),
    )
    notes = tuple(map(clean, section_notes(bed, system)))
    return [
        Heading(title),
        Para(f"Under: {', '.join(under) or 'no surface'}."),
        Picture(
            name=f"section-{section.id}.svg",
            svg=section_svg(bed, system, [clean(name) for name in under]),
            caption=f"{title}, to the scale written on it",
            says=says,
            width_in=WIDTH_MM / 25.4,
        ),
        Table(f"{title}: courses from the top down", columns, rows),
        *(Para(note, "note") for note in notes),
    ]


def _course(layer: Layer, system: System) -> tuple[str, str, str]:
    course = layer.course
    thickness = small(course.thickness_m, system) if course.thickness_m is not None else "–"
    words = [clean(line) for line in course_lines(layer, system)]
    return clean(course.title), thickness, "; ".join(words[1:]) or "–"
