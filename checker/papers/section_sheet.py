"""The pavement section sheet: each section drawn to scale, with the schedule of its courses."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.drawing.section import WIDTH_MM, section_svg
from checker.measure.section.bed import beds
from checker.pages.blocks import (
    Block,
    Bullets,
    Column,
    Picture,
    Section,
    Table,
    caution,
    para,
    part,
)
from checker.pages.paper import Paper
from checker.words.amounts import clean
from checker.words.sections import course_lines, section_notes, small

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.measure.section.bed import Bed, BedCourse
    from checker.papers.job import Job

WHAT_TO_GIVE: Final = (
    "No section is drawn in the site file. Give one under 'sections' (courses from the top down, "
    "each with its thickness and stone size), and name it with 'section' at the surfaces that lie "
    "on it. For permeable paving add the pipe, the observation well and the edge."
)


def section_paper(job: Job, number: str) -> Paper:
    """The sheet; it says what to give where no section is drawn."""
    found = beds(job.checked.survey)
    blocks: tuple[Block, ...] = tuple(_section(job, bed) for bed in found.values())
    return Paper(
        id="pavement-section",
        number=number,
        title="Pavement section",
        blocks=blocks or (caution(WHAT_TO_GIVE),),
        is_empty=not found,
    )


def _section(job: Job, bed: Bed) -> Section:
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
        Column("Thickness", is_number=True, width=0.8),
        Column("What it is", width=3.0),
    )
    notes = tuple(map(clean, section_notes(bed, system)))
    return part(
        title,
        para(f"Under: {', '.join(under) or 'no surface'}."),
        Picture(
            svg=section_svg(bed, system, [clean(name) for name in under]),
            file=f"section-{section.id}.svg",
            caption=f"{title}, to the scale written on it",
            says=says,
            name=title,
            width_in=WIDTH_MM / 25.4,
        ),
        Table(f"{title}: courses from the top down", columns, rows),
        Bullets(notes),
    )


def _course(layer: BedCourse, system: System) -> tuple[str, str, str]:
    course = layer.course
    thickness = small(course.thickness_m, system) if course.thickness_m is not None else "–"
    words = [clean(line) for line in course_lines(layer, system)]
    return clean(course.title), thickness, "; ".join(words[1:]) or "–"
