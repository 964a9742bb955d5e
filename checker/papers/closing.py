"""The closing set: what was built held against what was approved, surface by surface."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from checker.core.formula import OutOfRange
from checker.core.problems import BadInput
from checker.core.showing import unit_for
from checker.core.units import AREA, RATIO, VOLUME, Amount, same
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.network import network_of
from checker.measure.drainage.reservoirs import shape_of
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
    from collections.abc import Iterator, Sequence

    from checker.pages.blocks import TableCell
    from checker.papers.job import Job
    from checker.site.project import BuiltStorage

_MEASURED = "Project, built"

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
        part("Storage and levels", *_levels_built(job)),
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
    """What differs or fails; what was built as approved has no line."""
    found = tuple(
        change
        for change in changes(job, built, ("approved", "built"), job.figures)
        if not change.what.startswith(_MEASURED)  # it has a table of its own below
    )
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
        apart = job.figures.add(f"{at}.apart", f"{title}, difference", Amount(after - before, AREA),
                                signed=True)  # fmt: skip
        shares = [
            job.figures.add(f"{at}.{which}_share", f"{title}, {which}, of the lot", share)
            for which, share in (
                ("approved", Amount(before / job.checked.site.lot.boundary.area, RATIO, "%")),
                ("built", Amount(after / built.checked.site.lot.boundary.area, RATIO, "%")),
            )
        ]
        blocks.append(
            para(
                f"{capital(title)}: approved {approved}, as built {as_built}, difference {apart}; "
                f"{shares[0]} of the lot approved, {shares[1]} as built."
            )
        )
    unmet = [f for f in built.checked.verdict.findings if not f.is_met]
    if not unmet:
        blocks.append(para("As built every rule that applies is met."))
    by_status: dict[str, list[str]] = {}
    for finding in unmet:
        by_status.setdefault(finding.status, []).append(clean(finding.title))
    blocks += [
        caution(f"As built, {status}: {'; '.join(titles)}.") for status, titles in by_status.items()
    ]
    return blocks


def _stores(job: Job, built: Job) -> Iterator[Block]:
    """Volumes of the stores as approved and as built, worked out from both site files."""
    volumes = [_volumes_m3(each) for each in (job, built)]
    ends = {
        name: [each.get(name, 0.0) for each in volumes]
        for name in dict.fromkeys([*volumes[0], *volumes[1]])
    }
    rows: list[tuple[TableCell, ...]] = [
        (clean(name), *_apart(job, f"store.{name}", both)) for name, both in ends.items()
    ]
    if rows:
        sums = _apart(job, "store.all", [sum(v.values()) for v in volumes])
        rows.append(TableRow(("All together", *sums), "total"))
        columns = (Column("Store", width=2), *numbers("Approved", "As built", "Difference"))
        title = "Water that the storage holds; sums are of unrounded volumes"
        yield Table(title, columns, tuple(rows))


def _apart(job: Job, at: str, ends_m3: list[float]) -> tuple[str, str, str]:
    before, after = (Amount(end, VOLUME) for end in ends_m3)
    key = f"built.{at}"
    job.figures.add_pair(
        (f"{key}.approved", f"{at}, approved", before), (f"{key}.built", f"{at}, as built", after)
    )
    apart = Amount(after.value_si - before.value_si, VOLUME)
    change = job.figures.add(f"{key}.apart", f"{at}, difference", apart, signed=True)
    return job.figures.text(f"{key}.approved"), job.figures.text(f"{key}.built"), change


def _volumes_m3(job: Job) -> dict[str, float]:
    """What each store holds, up to its rim as the calculation has it; else up to its top."""
    if "ways_out" not in job.checked.site.parts:
        return {}
    found = {}
    for pit in ways_of(job.survey).pits:
        with contextlib.suppress(NotMeasured, OutOfRange):
            found[pit.id] = max(shape_of(pit, job.survey).stored_m3)
    with contextlib.suppress(NotMeasured, OutOfRange, BadInput):
        stores = network_of(job.survey).stores
        found |= {store.id: max(store.shape.stored_m3) for store in stores}
    return found


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


def _levels_built(job: Job) -> Iterator[Block]:
    """From the site file as built; what was typed besides stands below it."""
    found = list(_stores(job, job.built)) if job.built is not None else []
    yield from found
    listed = (job.built or job).project.built or job.project.built
    if listed:
        yield _storage(job, listed)
    elif not found:
        yield para("Give the site file as built, or list levels under 'built'.", "fine")


def _storage(job: Job, listed: Sequence[BuiltStorage]) -> Table:
    rows: list[tuple[TableCell, ...]] = []
    for index, item in enumerate(listed):
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
    kinds = {(item.approved.dimension, item.built.dimension) for item in listed}
    if kinds == {(VOLUME, VOLUME)}:
        first = listed[0].approved.dimension
        sums = [
            Amount(sum(getattr(item, which).value_si for item in listed), first)
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
