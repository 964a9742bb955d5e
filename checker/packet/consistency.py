"""Whether the numbers of a packet agree with each other and with the drawing."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from checker.algebra import nodes as n
from checker.algebra.counting import Counted
from checker.core.units import AREA, Amount, same
from checker.findings.coverage import MOVES
from checker.findings.coverage_lines import is_of_whole_lot
from checker.measure.arrangement import SLIVER_M2
from checker.packet.placed import beds_agree, placed_works
from checker.papers.checks import Check
from checker.words.amounts import clean, place_text, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.papers.job import Job


def consistency(job: Job) -> Iterator[Check]:
    """Every comparison, those that agree too."""
    yield _pieces(job)
    yield from _sums(job)
    yield from _same_numbers(job)
    yield from _recorded(job)
    yield from _easements(job)
    yield from placed_works(job)
    yield from beds_agree(job)
    yield from _drawing(job)
    yield from _survey_age(job)
    yield from _sheets(job)


def _sheets(job: Job) -> Iterator[Check]:
    for note in job.notes:
        yield _check("Sheets", agrees=False, says=note, is_must=False)


def _check(what: str, *, agrees: bool, says: str, is_must: bool = True) -> Check:
    return Check(what=what, state="there" if agrees else "missing", says=says, is_must=is_must)


def _area(job: Job, area_m2: float) -> str:
    return shown(Amount(area_m2, AREA), job.checked.system, job.figures.area_decimals)


def _pieces(job: Job) -> Check:
    """Every spot of the lot is counted once: the pieces add up to the lot."""
    partition = job.checked.survey.partition("proposed")
    sum_m2 = sum(piece.area_m2 for piece in partition.pieces)
    agrees = abs(sum_m2 - partition.lot_area_m2) <= max(SLIVER_M2 * len(partition.pieces), 1e-6)
    says = f"surfaces and the rest of the lot add up to {_area(job, sum_m2)}"
    return _check("Areas add up to the lot", agrees=agrees, says=says)


def _sums(job: Job) -> Iterator[Check]:
    for coverage in job.coverages:
        if coverage.missing:
            yield Check(
                what=f"Coverage worksheet: {clean(coverage.table.title)}",
                state="cannot tell",
                says=clean(coverage.missing),
                is_must=True,
            )
            continue
        existing, removed, was, will, new, proposed = (coverage.total_m2(what) for what in MOVES)
        agrees = same(existing - removed - was + will + new, proposed) or (
            abs(existing - removed - was + will + new - proposed) < SLIVER_M2
        )
        yield _check(
            f"Worksheet of {clean(coverage.table.title)} adds up",
            agrees=agrees,
            says=f"proposed {job.figures.text(f'cover.{coverage.name}.total.proposed')}",
        )


def _same_numbers(job: Job) -> Iterator[Check]:
    """The worksheet's total is the number that the rule was judged by."""
    for coverage in job.coverages:
        counted = job.checked.sheet.counted(n.Named(coverage.name))
        if coverage.missing or not isinstance(counted, Counted):
            continue
        for finding in job.checked.verdict.findings:
            if finding.measured is None or not is_of_whole_lot(finding, job.checked):
                continue
            if finding.parts[0].node.measured != n.Named(coverage.name):
                continue
            total_m2 = coverage.total_m2("proposed")
            yield _check(
                f"Worksheet and rule agree: {clean(finding.title)}",
                agrees=same(total_m2, finding.measured.value_si),
                says=f"{_area(job, total_m2)} in both",
            )


def _recorded(job: Job) -> Iterator[Check]:
    recorded_m2 = job.checked.site.lot.recorded_area_m2
    if recorded_m2 is None:
        yield _check(
            "Recorded lot area",
            agrees=False,
            says="give 'recorded_area' of the lot, so that it can be compared with the drawing",
            is_must=False,
        )
        return
    agrees = _area(job, recorded_m2) == job.figures.text("lot.area")
    says = f"drawn {job.figures.text('lot.area')}, recorded {job.figures.text('lot.recorded')}"
    yield _check("Drawn and recorded lot area agree", agrees=agrees, says=says, is_must=False)


def _easements(job: Job) -> Iterator[Check]:
    site = job.checked.site
    for region in site.regions:
        if region.kind not in {"easement", "right-of-way"}:
            continue
        over = [
            job.keys.named(surface.id)
            for surface in site.surfaces
            if surface.stage in {"proposed", "replaced"}
            and surface.shape.intersection(region.shape).area > SLIVER_M2
        ]
        says = f"over it: {', '.join(over)}" if over else "nothing new lies over it"
        yield _check(f"Work over {clean(region.title)}", agrees=not over, says=says, is_must=False)


def _drawing(job: Job) -> Iterator[Check]:
    site = job.checked.site
    outside = [
        job.keys.named(line.id)
        for line in job.checked.survey.partition("proposed").ledger
        if line.outside_m2 > SLIVER_M2
    ]
    if outside:
        yield _check(
            "Surfaces within the lot",
            agrees=False,
            says=f"partly outside the lot line, and cut there: {', '.join(outside)}",
            is_must=False,
        )
    if site.rest_of_lot is None:
        yield _check(
            "The whole lot is covered by surfaces",
            agrees=False,
            says="say what the rest is with 'rest_of_lot'",
            is_must=False,
        )
    for item in site.assumed:
        says = f"{clean(item.what)} is taken as {clean(item.taken_as)} ({place_text(item.place)})"
        yield _check("Confirmed by nobody", agrees=False, says=says)
    for layer in site.unread:
        says = f"{clean(layer.says)} ({place_text(layer.place)})"
        yield _check("Layers that were read", agrees=False, says=says)
    for repair in site.repairs:
        says = f"{clean(repair.says)} ({place_text(repair.place)})"
        yield _check("Drawing repaired or in doubt", agrees=False, says=says, is_must=False)


def _survey_age(job: Job) -> Iterator[Check]:
    most = job.submission.most_survey_age_years_count
    if most is None:
        return
    done, today = job.project.survey.day, job.stamp.day
    what = f"Survey not older than {most} year{'s' if most != 1 else ''}"
    if done is None or today is None:
        says = "give 'date' under 'project: survey', and the date of the set"
        yield Check(what=what, state="cannot tell", says=says, is_must=True)
        return
    # The last day it is good: the same day of the year, or the day before in a leap year's case.
    last = date(done.year + most, done.month, min(done.day, 28) if done.month == 2 else done.day)
    yield _check(what, agrees=today <= last, says=f"surveyed {done.isoformat()}")
