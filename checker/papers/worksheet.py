"""The coverage worksheet: one line per surface, totals by group, and the limit below."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import unit_for
from checker.core.units import AREA
from checker.findings.coverage import MOVES
from checker.findings.coverage_lines import counted_in
from checker.pages.blocks import Block, Column, Sign, Table, TableRow, caution, numbers, para, part
from checker.pages.paper import Paper
from checker.papers.gathering import (
    CONVERSION_FACTORS,
    MOVE_TITLES,
)
from checker.papers.lines import worded
from checker.words.amounts import capital, clean
from checker.words.statuses import status_word

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from checker.findings.coverage import Coverage
    from checker.findings.model import Finding
    from checker.papers.job import Job
    from checker.papers.lines import Worded

_ALL: Final = (*MOVES, "net")

TRUTH = (
    "I have read this worksheet and declare that, to my knowledge, the areas in it are true and "
    "complete. I understand that wrong figures may mean that paving must be taken out again."
)


def worksheet(job: Job, number: str) -> Paper:
    """The worksheet of every counted measure of the place."""
    blocks: list[Block] = []
    for coverage in job.coverages:
        inner: list[Block] = [caution(f"Cannot be counted: {clean(coverage.missing)}.")]
        if not coverage.missing:
            inner = _ledger_blocks(job, coverage)
        blocks.append(part(capital(clean(coverage.table.title)), *inner))
    if not job.coverages:
        blocks.append(para("The rule set of this place counts no areas.", "fine"))
    statement = clean(job.submission.truth_statement) or TRUTH
    owner = Sign("Statement of the owner", statement, ("Name", "Signature", "Date"))
    blocks.append(part("Truth statement", owner))
    return Paper(
        id="coverage-worksheet",
        number=number,
        title="Coverage worksheet",
        blocks=tuple(blocks),
        is_empty=not job.coverages,
    )


def _ledger_blocks(job: Job, coverage: Coverage) -> list[Block]:
    unit, _ = unit_for(AREA, job.checked.system)
    blocks: list[Block] = [
        para(
            f"All areas in {unit}. Letters are those on the site plan. Factor: the share of the "
            "area that counts. Proposed = existing − removed − converted from + converted to + "
            "new. Totals are sums of unrounded areas."
        ),
        areas_table(job, coverage),
        moves_table(job, coverage),
        groups_table(job, coverage),
        clauses_table(job, coverage),
        part("Maximum, existing, proposed, increase, remaining", *_limit_blocks(job, coverage)),
    ]
    asks = [(item, ask) for item in worded(job, coverage) for ask in item.asks]
    if asks:
        table = Table(
            "Not verified: what would settle the factors taken at their unfavourable end",
            (Column("Key", width=0.4), Column("Surface"), Column("What to give", width=3)),
            tuple((item.key, item.title, ask) for item, ask in asks),
        )
        least = job.figures.text(f"cover.{coverage.name}.least")
        said = (
            "Some factors are not proven. The worksheet counts them at their unfavourable end; if "
            f"all of them prove out, the proposed total is {least}."
        )
        blocks.append(part("Not verified", caution(said), table))
    return blocks


def bare(text: str, unit: str) -> str:
    """The text of a figure without its unit, for a column whose heading carries the unit."""
    return text.removesuffix(f" {unit}")


def _cells(job: Job, at: str, whats: Iterable[str]) -> Iterator[str]:
    unit, _ = unit_for(AREA, job.checked.system)
    return (bare(job.figures.text(f"{at}.{what}"), unit) for what in whats)


def _factor(job: Job, item: Worded, which: str) -> str:
    key = f"{item.at}.{which}"
    return job.figures.text(key) if key in job.figures else "–"


def areas_table(job: Job, coverage: Coverage) -> Table:
    """How the area of each surface came about, and its factor."""
    unit, _ = unit_for(AREA, job.checked.system)
    rows = tuple(
        (
            item.key,
            item.title,
            item.material,
            item.stage,
            *_cells(job, item.at, ("drawn", "taken", "used")),
            _factor(job, item, "was_factor"),
            _factor(job, item, "factor") + (" (not verified)" if item.asks else ""),
            item.measured_by,
        )
        for item in worded(job, coverage)
    )
    columns = (
        Column("Key", width=0.5),
        Column("Surface", width=1.5),
        Column("Material", width=1.6),
        Column("Stage", width=0.9),
        *numbers(f"Drawn, {unit}", f"Overlap and outside, {unit}", f"Used, {unit}"),
        Column("Factor today", is_number=True, width=0.8),
        Column("Factor after", is_number=True, width=1.0),
        Column("How measured", width=1.2),
    )
    return Table(f"{capital(coverage.table.title)}: areas and factors", columns, tuple(rows))


def _moves_columns(job: Job) -> Iterator[Column]:
    unit, _ = unit_for(AREA, job.checked.system)
    return (Column(f"{capital(MOVE_TITLES[what])}, {unit}", is_number=True) for what in _ALL)


def moves_table(job: Job, coverage: Coverage) -> Table:
    """What each surface counts before and after, and how it moved."""
    rows = ((x.key, x.title, *_cells(job, x.at, _ALL)) for x in worded(job, coverage))
    total = TableRow(("", "Total", *_cells(job, f"cover.{coverage.name}.total", _ALL)), "total")
    columns = (Column("Key", width=0.5), Column("Surface", width=1.6), *_moves_columns(job))
    return Table(f"{capital(coverage.table.title)}: counted areas", columns, (*rows, total))


def groups_table(job: Job, coverage: Coverage) -> Table:
    """Totals by group; what counts nothing is a group of its own below."""
    at = f"cover.{coverage.name}"
    rows = ((clean(x), *_cells(job, f"{at}.{x}", _ALL)) for x in coverage.groups)
    total = TableRow(("Total", *_cells(job, f"{at}.total", _ALL)), "total")
    columns = (Column("Group", width=1.6), *_moves_columns(job))
    return Table(f"{capital(coverage.table.title)}: totals by group", columns, (*rows, total))


def clauses_table(job: Job, coverage: Coverage) -> Table:
    """Which row of the counting table decided, and its clause; exempt lines are named so."""
    own = clean(coverage.table.clause)
    none = "no clause in the rule set"
    rows = tuple(
        (
            item.key,
            item.title,
            item.row + ("; listed, counts nothing" if item.is_free else ""),
            item.clause or (own if item.line.of else "") or none,
        )
        for item in worded(job, coverage)
    )
    columns = (
        Column("Key", width=0.4),
        Column("Surface", width=1.2),
        Column("Counted as", width=2.4),
        Column("Clause and edition", width=2.4),
    )
    return Table(f"{capital(coverage.table.title)}: why each line counts so", columns, rows)


def _limit_blocks(job: Job, coverage: Coverage) -> list[Block]:
    found = [
        finding
        for finding in job.checked.verdict.findings
        if coverage.name in counted_in(finding, job.checked)
    ]
    if not found:
        return [para("No rule of this place limits this measure.", "fine")]
    blocks: list[Block] = [_limit_table(job, coverage, found)]
    for finding in found:
        keys = [f"rule.{finding.rule}.convert.{factor:.2f}" for factor in CONVERSION_FACTORS]
        if all(key in job.figures for key in keys):
            over = job.figures.text(f"rule.{finding.rule}.margin").lstrip("−")
            blocks.append(
                Table(
                    f"{clean(finding.title)}: over by {over}; fully counted area to rebuild",
                    (*numbers("When the new surface counts", "Area to rebuild, rounded up"),),
                    tuple(
                        (f"{factor:.2f}", job.figures.text(key))
                        for factor, key in zip(CONVERSION_FACTORS, keys, strict=True)
                    ),
                )
            )
    return blocks


def _limit_table(job: Job, coverage: Coverage, findings: list[Finding]) -> Table:
    def text(key: str, nothing: str = "–") -> str:
        return job.figures.text(key) if key in job.figures else nothing

    total = f"cover.{coverage.name}.total"
    rows = []
    for finding in findings:
        rule, limit = f"rule.{finding.rule}", f"limit.{finding.rule}"
        if f"{limit}.maximum" in job.figures:
            most, existing, proposed, increase, left = (
                text(f"{limit}.maximum"),
                text(f"{limit}.existing", text(f"{total}.existing")),
                text(f"{limit}.proposed"),
                text(f"{limit}.increase", text(f"{total}.net")),
                text(f"{limit}.remaining"),
            )
            share = f"{text(f'{limit}.proposed_share')} of {text(f'{limit}.maximum_share')}"
        else:
            most, proposed = (text(f"{rule}.{x}", "not told") for x in ("limit", "measured"))
            existing, increase, left, share = "–", "–", text(f"{rule}.margin"), "–"
        rows.append(
            (
                clean(finding.title),
                most,
                existing,
                proposed,
                increase,
                left,
                share,
                finding.order or "–",
                status_word(finding.status),
                clean(str(finding.citation)),
            )
        )
    columns = (
        Column("Rule", width=1.4),
        *numbers("Maximum", "Existing", "Proposed", "Increase", "Remaining"),
        Column("Share of the land", is_number=True, width=1.1),
        Column("Test", width=0.8),
        Column("Verdict", width=1.1),
        Column("Clause", width=1.8),
    )
    return Table("Limits", columns, tuple(rows))
