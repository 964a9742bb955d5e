"""Construction sequence with hold points, and the list of photographs.

The order is that of common practice; hold points for permeable paving come from manuals and are
marked "from memory" where nobody laid them beside a text.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.pages.blocks import Bullets, Column, Table, caution, para, part
from checker.pages.paper import Paper
from checker.site.model import POOL_WATER

if TYPE_CHECKING:
    from checker.papers.job import Job
    from checker.site.model import Site


class WorkStep(Record):
    """One step: what is done, who looks, what is measured, what must not be covered before."""

    what: str
    who: str
    measured: str
    hold: str
    for_what: str = "always"


STEPS: Final = (
    WorkStep(
        "Approvals posted, utilities marked before any digging", "Contractor", "marks in place", ""
    ),
    WorkStep("Erosion control and tree fence", "Contractor", "as on the plan", ""),
    WorkStep(
        "Stake-out of lot lines, setbacks and the new work",
        "Office or surveyor",
        "distances to lot lines as on the plan",
        "Do not dig before it is seen.",
    ),
    WorkStep(
        "Strip; keep traffic off the ground that will soak",
        "Contractor",
        "fence round it stands",
        "",
        "permeable",
    ),
    WorkStep(
        "Pool: digging, steel, suction outlets, bonding",
        "Office, licensed electrician and pool builder",
        "by their own codes",
        "Do not cover steel or bonding before they are seen.",
        "pool",
    ),
    WorkStep(
        "Trench of drains; pipes laid and tested",
        "Office or engineer",
        "invert levels and falls as on the plan; how far off they may be: by the engineer",
        "Do not backfill before it is seen.",
        "drains",
    ),
    WorkStep(
        "Subgrade of permeable paving (from memory)",
        "Engineer or soil tester",
        "level, how far off: by the engineer; no smeared or driven-over ground; soaking rate",
        "Do not place stone before it is seen.",
        "permeable",
    ),
    WorkStep(
        "Fabric, stone, perforated pipe, observation well (from memory)",
        "Engineer",
        "thickness and clean stone by delivery tickets",
        "Do not pave before it is seen.",
        "permeable",
    ),
    WorkStep(
        "Paving, only once ground uphill is stable (from memory)",
        "Contractor",
        "falls away from house and pool, joints filled; how flat: as its guide or the office says",
        "",
    ),
    WorkStep(
        "Run water to every drain; look at the overflow path",
        "Contractor and owner",
        "water arrives; overflow leaves where the plan says",
        "",
    ),
    WorkStep(
        "Restore ground; take controls away once it has grown", "Contractor", "no bare soil", ""
    ),
    WorkStep(
        "Final survey: levels, areas as built, photographs",
        "Licensed surveyor",
        "areas against the coverage worksheet",
        "",
    ),
    WorkStep(
        "Pool barrier and final inspection",
        "Office",
        "by their own code",
        "Do not fill before.",
        "pool",
    ),
)

PHOTOS: Final = (
    "Lot before work, from each corner",
    "Erosion control and tree fence",
    "Subgrade with a rule or level on it",
    "Each course of stone with a rule beside it",
    "Fabric laps, pipe and observation well before cover",
    "Pipes in the open trench",
    "Drain grates and overflow edge with level readings",
    "Finished paving, with the fall shown",
    "Restored ground",
)


def steps_for(site: Site) -> tuple[WorkStep, ...]:
    """The steps that the work on a site has."""
    coming = {item.material.id for item in site.surfaces if item.stage in {"proposed", "replaced"}}
    has = {"always"}
    if coming & {"permeable-paving", "porous-concrete", "grid-paving"}:
        has.add("permeable")
    if any(item.material.id in POOL_WATER for item in site.surfaces):
        has.add("pool")
    if site.parts.get("ways_out"):
        has.add("drains")
    return tuple(step for step in STEPS if step.for_what in has)


def sequence(job: Job, number: str) -> Paper:
    """The sequence."""
    rows = tuple(
        (str(index), step.what, step.who, step.measured, step.hold or "–", "")
        for index, step in enumerate(steps_for(job.checked.site), 1)
    )
    columns = (
        Column("Step", is_number=True, width=0.5),
        Column("What", width=2.2),
        Column("Who looks", width=1.4),
        Column("What is measured", width=1.8),
        Column("Hold point", width=1.6),
        Column("Signed, date", width=1.2),
    )
    start, end = (
        day.isoformat() if day else "not given"
        for day in (job.project.start, job.project.stabilised)
    )
    blocks = (
        para(f"Start of work: {start}. Final stabilisation: {end}."),
        caution(
            "The office's own inspection list comes first; ask for it. Call the utility marking "
            "service before any digging. Trenches, bonding, suction outlets and barriers follow "
            "their own codes and are for licensed people."
        ),
        Table("Steps and hold points", columns, rows),
        part("Photographs to take", Bullets(PHOTOS, is_numbered=True)),
    )
    return Paper(
        id="sequence", number=number, title="Construction sequence and inspections", blocks=blocks
    )
