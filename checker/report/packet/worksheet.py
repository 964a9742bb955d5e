"""The coverage worksheet: one line per surface, totals by group, and the limit below."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.showing import unit_for
from checker.core.units import AREA
from checker.report.blocks import Block, Column, Row, Sign, Table, caution, para, part
from checker.report.packet.coverage import MOVES, counted_in
from checker.report.packet.gathering import (
    CONVERSION_FACTORS,
    MOVE_TITLES,
    is_of_whole_lot,
)
from checker.report.packet.paper import Paper
from checker.report.wording import SIGNS, capital, clean

if TYPE_CHECKING:
    from checker.findings.model import Finding
    from checker.report.packet.coverage import Ledger, Line
    from checker.report.packet.job import Job

TRUTH = (
    "I have read this worksheet and declare that, to my knowledge, the areas in it are true and "
    "complete. I understand that wrong figures may mean that paving must be taken out again."
)


def worksheet(job: Job, number: str) -> Paper:
    """The worksheet of every counted measure of the place."""
    blocks: list[Block] = []
    for ledger in job.ledgers:
        inner: list[Block] = [caution(f"Cannot be counted: {clean(ledger.missing)}.")]
        if not ledger.missing:
            inner = _ledger_blocks(job, ledger)
        blocks.append(part(capital(clean(ledger.title)), *inner))
    if not job.ledgers:
        blocks.append(para("The rule set of this place counts no areas.", "fine"))
    statement = clean(job.submission.truth_statement) or TRUTH
    owner = Sign("Statement of the owner", statement, ("Name", "Signature", "Date"))
    blocks.append(part("Truth statement", owner))
    return Paper(
        id="coverage-worksheet",
        number=number,
        title="Coverage worksheet",
        blocks=tuple(blocks),
        is_empty=not job.ledgers,
    )


def _ledger_blocks(job: Job, ledger: Ledger) -> list[Block]:
    unit, _ = unit_for(AREA, job.checked.system)
    blocks: list[Block] = [
        para(
            f"All areas in {unit}. Letters are those on the site plan. Factor: the share of the "
            "area that counts. Proposed = existing − removed − converted from + converted to + "
            "new. Totals are sums of unrounded areas."
        ),
        areas_table(job, ledger),
        moves_table(job, ledger),
        groups_table(job, ledger),
        clauses_table(job, ledger),
        part("Maximum, existing, proposed, increase, remaining", *_limit_blocks(job, ledger)),
    ]
    asks = [(line, ask) for line in ledger.lines for ask in line.asks]
    if asks:
        table = Table(
            "Not verified: what would settle the factors taken at their unfavourable end",
            (Column("Key", width=0.4), Column("Surface"), Column("What to give", width=3)),
            tuple((line.key, clean(line.title), clean(ask)) for line, ask in asks),
        )
        least = job.figures.text(f"cover.{ledger.name}.least")
        said = (
            "Some factors are not proven. The worksheet counts them at their unfavourable end; if "
            f"all of them prove out, the proposed total is {least}."
        )
        blocks.append(part("Not verified", caution(said), table))
    return blocks


def bare(text: str, unit: str) -> str:
    """The text of a figure without its unit, for a column whose heading carries the unit."""
    return text.removesuffix(f" {unit}")


def _cell(job: Job, ledger: Ledger, where: int | str, what: str) -> str:
    unit, _ = unit_for(AREA, job.checked.system)
    return bare(job.figures.text(f"cover.{ledger.name}.{where}.{what}"), unit)


def _factor(job: Job, ledger: Ledger, index: int, which: str) -> str:
    key = f"cover.{ledger.name}.{index}.{which}"
    return job.figures.text(key) if key in job.figures else "–"


def areas_table(job: Job, ledger: Ledger) -> Table:
    """How the area of each surface came about, and its factor."""
    unit, _ = unit_for(AREA, job.checked.system)
    rows = []
    for index, line in enumerate(ledger.lines):
        was, will = (_factor(job, ledger, index, which) for which in ("was_factor", "factor"))
        rows.append(
            (
                line.key,
                clean(line.title),
                clean(line.material),
                line.stage if line.id else "",
                _cell(job, ledger, index, "drawn"),
                _cell(job, ledger, index, "taken"),
                _cell(job, ledger, index, "used"),
                was,
                f"{will} ({'not verified'})" if line.asks else will,
                clean(line.measured_by) or "drawn polygon",
            )
        )
    columns = (
        Column("Key", width=0.5),
        Column("Surface", width=1.5),
        Column("Material", width=1.6),
        Column("Stage", width=0.9),
        Column(f"Drawn, {unit}", is_number=True),
        Column(f"Overlap and outside, {unit}", is_number=True),
        Column(f"Used, {unit}", is_number=True),
        Column("Factor today", is_number=True, width=0.8),
        Column("Factor after", is_number=True, width=1.0),
        Column("How measured", width=1.2),
    )
    return Table(f"{capital(ledger.title)}: areas and factors", columns, tuple(rows))


def moves_table(job: Job, ledger: Ledger) -> Table:
    """What each surface counts before and after, and how it moved."""
    unit, _ = unit_for(AREA, job.checked.system)
    whats = (*MOVES, "net")
    rows = [
        (line.key, clean(line.title), *(_cell(job, ledger, index, what) for what in whats))
        for index, line in enumerate(ledger.lines)
    ]
    total = Row(("", "Total", *(_cell(job, ledger, "total", what) for what in whats)), "total")
    columns = (
        Column("Key", width=0.5),
        Column("Surface", width=1.6),
        *(Column(f"{capital(MOVE_TITLES[what])}, {unit}", is_number=True) for what in whats),
    )
    return Table(f"{capital(ledger.title)}: counted areas", columns, (*rows, total))


def groups_table(job: Job, ledger: Ledger) -> Table:
    """Totals by group; what counts nothing is a group of its own below."""
    unit, _ = unit_for(AREA, job.checked.system)
    whats = (*MOVES, "net")
    rows = [
        (group, *(_cell(job, ledger, group, what) for what in whats)) for group in ledger.groups()
    ]
    total = Row(("Total", *(_cell(job, ledger, "total", what) for what in whats)), "total")
    columns = (
        Column("Group", width=1.6),
        *(Column(f"{capital(MOVE_TITLES[what])}, {unit}", is_number=True) for what in whats),
    )
    return Table(f"{capital(ledger.title)}: totals by group", columns, (*rows, total))


def clauses_table(job: Job, ledger: Ledger) -> Table:
    """Which row of the counting table decided, and its clause; exempt lines are named so."""
    rows = tuple(
        (
            line.key,
            clean(line.title),
            clean(line.row) + ("; listed, counts nothing" if line.is_free else ""),
            clean(line.clause) or _no_clause(job, ledger, line),
        )
        for line in ledger.lines
    )
    columns = (
        Column("Key", width=0.4),
        Column("Surface", width=1.2),
        Column("Counted as", width=2.4),
        Column("Clause and edition", width=2.4),
    )
    return Table(f"{capital(ledger.title)}: why each line counts so", columns, rows)


def _no_clause(job: Job, ledger: Ledger, line: Line) -> str:
    table = job.checked.ruleset.counts[ledger.name]
    return clean(table.clause) if table.clause and line.id else "no clause in the rule set"


def _limit_blocks(job: Job, ledger: Ledger) -> list[Block]:
    found = [
        finding
        for finding in job.checked.verdict.findings
        if ledger.name in counted_in(finding, job.checked)
    ]
    if not found:
        return [para("No rule of this place limits this measure.", "fine")]
    blocks: list[Block] = [_limit_table(job, ledger, found)]
    for finding in found:
        keys = [f"rule.{finding.rule}.convert.{factor:.2f}" for factor in CONVERSION_FACTORS]
        if all(key in job.figures for key in keys):
            over = job.figures.text(f"rule.{finding.rule}.margin").lstrip("−")
            blocks.append(
                Table(
                    f"{clean(finding.title)}: over by {over}; fully counted area to rebuild",
                    (
                        Column("When the new surface counts", is_number=True),
                        Column("Area to rebuild, rounded up", is_number=True),
                    ),
                    tuple(
                        (f"{factor:.2f}", job.figures.text(key))
                        for factor, key in zip(CONVERSION_FACTORS, keys, strict=True)
                    ),
                )
            )
    return blocks


def _limit_table(job: Job, ledger: Ledger, findings: list[Finding]) -> Table:
    figures = job.figures
    rows = []
    for finding in findings:
        at = f"rule.{finding.rule}"
        has = f"{at}.measured" in figures
        whole = is_of_whole_lot(finding, job.checked)
        share = ""
        if f"{at}.limit_share" in figures:
            share = f"{figures.text(f'{at}.measured_share')} of {figures.text(f'{at}.limit_share')}"
        rows.append(
            (
                clean(finding.title),
                figures.text(f"{at}.limit") if has else "not told",
                figures.text(f"cover.{ledger.name}.total.existing") if whole else "–",
                figures.text(f"{at}.measured") if has else "not told",
                figures.text(f"cover.{ledger.name}.total.net") if whole else "–",
                figures.text(f"{at}.margin") if f"{at}.margin" in figures else "–",
                share or "–",
                finding.order or "–",
                f"{SIGNS[finding.status]} {finding.status}",
                clean(str(finding.citation)),
            )
        )
    columns = (
        Column("Rule", width=1.4),
        Column("Maximum", is_number=True),
        Column("Existing", is_number=True),
        Column("Proposed", is_number=True),
        Column("Increase", is_number=True),
        Column("Remaining", is_number=True),
        Column("Share of the lot", is_number=True, width=1.1),
        Column("Test", width=0.8),
        Column("Verdict", width=1.1),
        Column("Clause", width=1.8),
    )
    return Table("Limits", columns, tuple(rows))
