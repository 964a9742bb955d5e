"""The closing set: what was built held against what was approved, surface by surface."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.showing import unit_for
from checker.core.units import AREA, VOLUME, Amount, same
from checker.pages.blocks import (
    Block,
    Bullets,
    Column,
    Table,
    TableRow,
    caution,
    numbers,
    para,
    part,
)
from checker.pages.paper import Paper
from checker.papers.difference import LotChange, changes
from checker.papers.sequence import PHOTOS
from checker.papers.worksheet import bare
from checker.words.amounts import capital, clean

if TYPE_CHECKING:
    from checker.pages.blocks import TableCell
    from checker.papers.job import Job

PAPERS = (
    "Record drawing over the approved one: design grey, as built black, differences named",
    "Levels of drains, inverts and overflow edges as built",
    "Photographs of the list below",
    "Recorded upkeep agreement, where one is asked for",
    "Reasons and proof for every difference; a significant one needs a revised permit first",
)


def closing_set(job: Job, number: str) -> Paper:
    """The set; blank columns to fill in where no site file as built was given."""
    blocks: list[Block] = [
        para(
            "Offices ask for this soon after completion: ask for the period. Areas as built are "
            "for a licensed surveyor to certify.",
            "fine",
        ),
        part("Areas", *(_blank(job) if job.built is None else _compared(job, job.built))),
        part("Storage and levels", _storage(job)),
        part("Papers", Bullets(PAPERS)),
        part("Photographs", Bullets(PHOTOS, is_numbered=True)),
    ]
    return Paper(
        id="closing-set",
        number=number,
        title="As-built closing set",
        blocks=tuple(blocks),
        is_empty=job.built is None and not job.project.built,
    )


def _blank(job: Job) -> list[Block]:
    unit, _ = unit_for(AREA, job.checked.system)
    rows = []
    for coverage in job.coverages[:1]:
        for item in job.lines(coverage):
            if item.stage not in {"removed", ""}:
                used = bare(job.figures.text(f"{item.at}.used"), unit)
                rows.append((item.key, item.title, used, "", ""))
    if not rows:
        return [para("No areas are counted here: measure and list what was built.", "fine")]
    columns = (
        Column("Key", width=0.4),
        Column("Surface", width=1.6),
        *numbers(f"Approved, {unit}", f"As built, {unit}"),
        Column("Difference and reason", width=2),
    )
    said = "No site file as built was given: fill the last columns in by hand."
    return [para(said, "fine"), Table("Areas approved and as built", columns, tuple(rows))]


def _compared(job: Job, built: Job) -> list[Block]:
    found = changes(job, built, ("approved", "built"), job.figures)
    blocks: list[Block] = [
        difference_table("Approved and as built", found, ("Approved", "As built"))
    ]
    for coverage in job.coverages:
        other = next((item for item in built.coverages if item.name == coverage.name), None)
        if other is None or coverage.missing or other.missing:
            continue
        before, after = coverage.total_m2("proposed"), other.total_m2("proposed")
        at, title = f"built.{coverage.name}", clean(coverage.table.title)
        job.figures.add_pair(
            (f"{at}.approved", f"{title}, approved", Amount(before, AREA)),
            (f"{at}.built", f"{title}, as built", Amount(after, AREA)),
        )
        approved, as_built = (job.figures.text(f"{at}.{which}") for which in ("approved", "built"))
        blocks.append(para(f"{capital(title)}: approved {approved}, as built {as_built}."))
    for finding in built.checked.verdict.findings:
        says = f"{clean(finding.title)}, as built: {finding.status}."
        blocks.append(para(says) if finding.is_met else caution(says))
    return blocks


def difference_table(caption: str, found: tuple[LotChange, ...], heads: tuple[str, str]) -> Table:
    """Changes as a table."""
    rows = tuple((c.key, c.what, c.before, c.after, c.change) for c in found)
    columns = (
        Column("Key", width=0.4),
        Column("What", width=2),
        Column(heads[0], is_number=True, width=1.2),
        Column(heads[1], is_number=True, width=1.2),
        *numbers("Change"),
    )
    return Table(caption, columns, rows or (("", "No difference", "–", "–", "–"),))


def _storage(job: Job) -> Block:
    if not job.project.built:
        return para("List storage and levels under 'built' of the project.", "fine")
    rows: list[tuple[TableCell, ...]] = []
    for index, item in enumerate(job.project.built):
        job.figures.add_pair(
            (f"storage.{index}.approved", f"{item.what}, approved", item.approved),
            (f"storage.{index}.built", f"{item.what}, as built", item.built),
        )
        rows.append(
            (
                clean(item.what),
                job.figures.text(f"storage.{index}.approved"),
                job.figures.text(f"storage.{index}.built"),
            )
        )
    kinds = {(item.approved.dimension, item.built.dimension) for item in job.project.built}
    if kinds == {(VOLUME, VOLUME)}:
        first = job.project.built[0].approved.dimension
        sums = [
            Amount(sum(getattr(item, which).value_si for item in job.project.built), first)
            for which in ("approved", "built")
        ]
        texts = [
            job.figures.add(f"storage.sum.{which}", f"all, {which}", amount)
            for which, amount in zip(("approved", "built"), sums, strict=True)
        ]
        verdict = "same" if same(sums[0].value_si, sums[1].value_si) else "differs"
        rows.append(TableRow((f"All together ({verdict})", *texts), "total"))
    columns = (
        Column("Facility", width=2),
        *numbers("Approved", "As built"),
    )
    return Table("Storage and levels approved and as built", columns, tuple(rows))
