"""Operation and upkeep plan: who, what, when, a log to fill in, and what may not be changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.measure.drainage.drawn import ways_of
from checker.pages.blocks import Bullets, Column, Sign, Table, caution, para, part, texts_of
from checker.pages.paper import Paper
from checker.papers.job import NOT_GIVEN
from checker.papers.names import NUMBERS
from checker.papers.upkeep_calendar import calendar
from checker.words.amounts import clean
from checker.words.cautions import SHORT

if TYPE_CHECKING:
    from checker.papers.job import Job

_LOG_ROWS: Final = 4
_POROUS: Final = ("permeable-paving", "porous-concrete", "grid-paving")


def facilities(job: Job) -> tuple[tuple[str, str, str], ...]:
    """Everything that needs upkeep: letter and name, what it is, how large."""
    found = []
    for surface in job.checked.site.surfaces:
        if surface.stage == "removed" or surface.material.id not in _POROUS:
            continue
        size = used_text(job, surface.id)
        found.append((job.keys.named(surface.id), clean(surface.material.title), size))
    if "ways_out" in job.checked.site.parts:
        ways = ways_of(job.checked.survey)
        named = [(item.id, str(item.kind)) for item in ways.drains]
        named += [(item.id, str(item.kind)) for item in ways.pits]
        named += [(item.id, str(item.kind)) for item in ways.outfalls]
        named += [(item.id, "pipe") for item in ways.pipes]
        named += [(item.id, "overflow edge") for item in ways.edges]
        where = f"document {NUMBERS['details']}"
        kinds: dict[str, list[str]] = {}
        for name, kind in named:
            kinds.setdefault(kind.replace("-", " "), []).append(clean(name))
        found += [(", ".join(names), kind, where) for kind, names in kinds.items()]
    return tuple(found)


def used_text(job: Job, surface_id: str) -> str:
    """The area of a surface as the first worksheet uses it."""
    for coverage in job.coverages:
        for index, line in enumerate(coverage.lines):
            if line.of == surface_id:
                return job.figures.text(f"cover.{coverage.name}.{index}.used")
    return NOT_GIVEN


def upkeep_plan(job: Job, number: str) -> Paper:
    """The plan."""
    person = job.project.people.get("upkeep_by") or job.project.people.get("owner")
    who = "; ".join(map(clean, person.lines())) if person else NOT_GIVEN
    found = facilities(job)
    blocks = (
        para(f"Responsible: {who}. Letters are those on the site plan."),
        part(
            "What is kept up",
            Table(
                "Facilities",
                (
                    Column("Facility", width=2.4),
                    *texts_of("What it is"),
                    Column("Size", is_number=True),
                ),
                found or (("none drawn", "–", "–"),),
            ),
            para(
                "Pipes, channel drains, cleanouts and observation wells belong to the plan, also "
                "where they are not listed above."
            ),
        ),
        part(
            "Calendar",
            calendar(),
            para(
                "Evidence says how far the published text behind a line was read. The maker of the "
                "paving may ask for more.",
                "fine",
            ),
        ),
        part(
            "Log",
            Table(
                "Log of upkeep, to be filled in by hand and continued on copies",
                (
                    Column("Date"),
                    Column("Facility", width=1.4),
                    Column("Done and seen", width=2.4),
                    *texts_of("By", "Next due"),
                ),
                tuple(("", "", "", "", "") for _ in range(_LOG_ROWS)),
            ),
        ),
        part(
            "Not to be done without approval",
            Bullets(
                (
                    "No sealing of joints or surface; no joint material other than the section's.",
                    "No sand or grit in winter; no storage of soil, mulch or snow mixed with sand.",
                    "No paving over, no removal and no change of drains, stone or overflow.",
                    "No new water led onto the paving.",
                )
            ),
            caution(
                "Opening a drain, a pit or the paving beside a pool, a wall or a footing can bring "
                "them down: ask an engineer first, have buried lines located, and leave bonding "
                f"and suction covers to licensed people. {SHORT}"
            ),
        ),
        Sign(
            "Statement of the landowner",
            "The facilities listed here belong to the land. I will keep them up as this plan says "
            "and will not change or remove them without approval.",
            ("Name", "Signature", "Date"),
        ),
    )
    return Paper(
        id="upkeep-plan",
        number=number,
        title="Operation and upkeep plan",
        blocks=blocks,
        is_empty=not found,
    )
