"""The coverage worksheet: one line per surface, totals by group, and the limits below.

The report and the packet show the same tables. Where a factor is not proven a cell is a range;
rules compare its unfavourable end.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import unit_for
from checker.core.units import AREA
from checker.findings.coverage import MOVES
from checker.findings.coverage_lines import counted_in
from checker.findings.limits import limits_of
from checker.pages.blocks import (
    Block,
    Column,
    Section,
    Sign,
    Table,
    TableRow,
    caution,
    numbers,
    para,
    part,
    texts_of,
)
from checker.pages.paper import Paper
from checker.papers.names import DRAWN_ON
from checker.papers.ties import size_of
from checker.words.amounts import capital, clean
from checker.words.cautions import SHORT
from checker.words.coverage import MOVE_TITLES
from checker.words.limits import CONVERSION_FACTORS, TESTS
from checker.words.statuses import status_word

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from checker.findings.coverage import Coverage
    from checker.findings.model import Finding
    from checker.papers.job import Job
    from checker.words.brief import Brief
    from checker.words.coverage import WorksheetLine

TRUTH: Final = (
    "I have read this worksheet and declare that, to my knowledge, the areas in it are true and "
    "complete. I understand that wrong figures may mean that paving must be taken out again."
)


def worksheet(job: Job, number: str) -> Paper:
    """The worksheets with the statement that the owner signs."""
    statement = clean(job.submission.truth_statement) or TRUTH
    owner = Sign("Statement of the owner", statement, ("Name", "Signature", "Date"))
    return Paper(
        id="coverage-worksheet",
        number=number,
        title="Coverage worksheet",
        blocks=(para(DRAWN_ON, "fine"), *_worksheets(job), part("Truth statement", owner)),
        is_empty=not job.coverages,
    )


def coverage_section(brief: Brief) -> Section:
    """The worksheets as a part of the report."""
    return Section("coverage", "Coverage worksheet", tuple(_worksheets(brief)))


def _worksheets(brief: Brief) -> Iterator[Block]:
    """The worksheet of every counted measure of the place."""
    if not brief.coverages:
        yield para("The rule set of this place counts no areas.", "fine")
    limited = {c.name for c in brief.coverages if not c.missing and limits_of(c, brief.checked)}
    for coverage in brief.coverages:
        blocks: Iterable[Block] = [caution(f"Cannot be counted: {clean(coverage.missing)}.")]
        if not coverage.missing:
            sheet = _Worksheet(brief, coverage)
            is_part = limited and coverage.name not in limited
            blocks = sheet.part_of_another() if is_part else sheet.blocks()
        title = capital(clean(coverage.table.title))
        yield Section(f"coverage-{coverage.name}", title, tuple(blocks))
    if brief.coverages:
        yield para(f"Counted from the drawing. {SHORT}", "fine")


def bare(text: str, unit: str) -> str:
    """The text of a figure without its unit, for a column whose heading carries the unit."""
    return text.removesuffix(f" {unit}")


def _is_something(text: str) -> bool:
    """Whether a cell holds more than nothing or a dash."""
    return bool(text.strip("0.,–−+- "))


class _Worksheet:
    def __init__(self, brief: Brief, coverage: Coverage) -> None:
        self.brief = brief
        self.coverage = coverage
        self.at = f"cover.{coverage.name}"
        self.unit, _ = unit_for(AREA, brief.system)
        self.title = capital(clean(coverage.table.title))
        self.lines = brief.lines(coverage)
        self.has_change = "existing" in coverage.states
        self.moves = (*MOVES, "net") if self.has_change else ("proposed",)

    def blocks(self) -> Iterator[Block]:
        said = f"All areas in {self.unit}. Letters are those on the plan. "
        if clause := clean(self.coverage.table.clause):
            said += f"Counted by {clause}. "
        said += "Factor: the share of the area that counts. "
        if self.has_change:
            said += (
                "Proposed = existing − removed − replaced (was) + replaced (is) + new; what new "
                "work covers is removed, what a removal uncovers is new. "
            )
        yield para(f"{said}Totals are sums of unrounded areas.")
        yield self.areas()
        yield self.counted(self.lines)
        yield self.groups()
        yield self.clauses()
        yield part("Maximum, existing, proposed, increase, remaining", *self.limits())
        yield from self.not_verified()

    def part_of_another(self) -> Iterator[Block]:
        """What counts, of a count that no rule limits while another one has the worksheet."""
        said = "No rule limits this count by itself; other amounts of the place take it up."
        lines = [
            line for line in self.lines if any(map(_is_something, self.cells(line.at, self.moves)))
        ]
        if not lines:
            yield para(f"{said} Nothing here counts.")
            return
        yield para(f"{said} Only what counts is listed; areas and stages stand above.")
        yield self.counted(lines)

    def text(self, key: str, nothing: str = "–") -> str:
        figures = self.brief.figures
        return figures.span(key) if key in figures else nothing

    def cells(self, at: str, whats: Iterable[str]) -> Iterator[str]:
        return (bare(self.text(f"{at}.{what}"), self.unit) for what in whats)

    def measured(self, item: WorksheetLine) -> str:
        """How an area was measured; length and width of a rectangle stand beside those words."""
        surfaces = {surface.id: surface for surface in self.brief.checked.site.surfaces}
        surface = surfaces.get(item.line.of)
        if surface is None or "length x width" not in item.measured_by:
            return item.measured_by
        return f"{item.measured_by}: {size_of(self.brief, surface)}"

    def areas(self) -> Table:
        """How the area of each surface came about, and its factor."""
        states = ("today", "after") if self.has_change else ("",)
        used, factor = ("was_used", "used"), ("was_factor", "factor")
        whats = ("drawn", "taken", *used[-len(states) :])
        rows = tuple(
            (
                item.key,
                item.title,
                item.material,
                item.stage,
                *self.cells(item.at, whats),
                *(self.text(f"{item.at}.{which}") for which in factor[-len(states) :]),
                self.measured(item),
            )
            for item in self.lines
        )
        ends = ("existing", "proposed")[-len(states) :]
        sums = self.cells(self.at, (f"{end}_used" for end in ends))
        total = TableRow(("", "Total", "", "", "", "", *sums, *("" for _ in ends), ""), "total")
        heads = ("Drawn", "Overlap and outside", *(f"Used {state}".strip() for state in states))
        columns = (
            Column("Key", width=0.5),
            Column("Surface", width=1.5),
            Column("Material", width=1.6),
            Column("Stage", width=0.9),
            *numbers(*(f"{head}, {self.unit}" for head in heads)),
            *(Column(f"Factor {state}".strip(), is_number=True, width=0.9) for state in states),
            Column("How measured", width=1.2),
        )
        return Table(f"{self.title}: areas and factors", columns, (*rows, total), header=1)

    def counted_columns(self) -> Iterator[Column]:
        titles = MOVE_TITLES if self.has_change else {"proposed": "counted"}
        heads = (capital(titles[what]) for what in self.moves)
        return (Column(f"{head}, {self.unit}", is_number=True) for head in heads)

    def counted(self, lines: Sequence[WorksheetLine]) -> Table:
        """What each surface counts before and after, and how it moved."""
        rows = ((x.key, x.title, *self.cells(x.at, self.moves)) for x in lines)
        columns = (Column("Key", width=0.5), Column("Surface", width=1.6), *self.counted_columns())
        total = TableRow(("", "Total", *self.cells(f"{self.at}.total", self.moves)), "total")
        return Table(f"{self.title}: counted areas", columns, (*rows, total), header=1)

    def groups(self) -> Table:
        """Totals by group; what counts nothing, the lot and the share of it below."""
        rows = (
            (clean(name), *self.cells(f"{self.at}.{name}", self.moves))
            for name in self.coverage.groups
        )
        total = TableRow(("Total", *self.cells(f"{self.at}.total", self.moves)), "total")
        below = (
            (title, *(self.of_state(what, kind) for what in self.moves))
            for title, kind in (("Does not count", "free"), ("Share of the lot", "share"))
        )
        columns = (Column("Group", width=1.6), *self.counted_columns())
        return Table(f"{self.title}: totals by group", columns, (*rows, total, *below))

    def of_state(self, what: str, kind: str) -> str:
        return bare(self.text(f"{self.at}.{what}_{kind}", ""), self.unit)

    def clauses(self) -> Table:
        """Which row of the counting table decided, and its clause; exempt lines are named so."""
        own = clean(self.coverage.table.clause)
        rows = tuple(
            (
                item.key,
                item.title,
                item.group,
                item.row + ("; listed, counts nothing" if item.is_free else ""),
                item.clause or (own if item.line.of else "") or "no clause in the rule set",
            )
            for item in self.lines
        )
        columns = (
            Column("Key", width=0.4),
            Column("Surface", width=1.2),
            Column("Group", width=1.2),
            Column("Counted as", width=2.2),
            Column("Clause and edition", width=2.2),
        )
        return Table(f"{self.title}: why each line counts so", columns, rows, header=1)

    def limits(self) -> Iterator[Block]:
        checked = self.brief.checked
        areas = {limit.finding.rule for limit in limits_of(self.coverage, checked)}
        ours = [x for x in checked.verdict.findings if self.coverage.name in counted_in(x, checked)]
        shown = [x for x in checked.verdict.findings if x.rule in areas or x in ours]
        for finding in shown:
            yield self.limit(finding) if finding.rule in areas else self.compared(finding)
            if finding in ours:
                yield from self.to_rebuild(finding)
        if not shown:
            yield para("No rule of this place limits this measure.", "fine")

    def named(self, finding: Finding, test: str) -> str:
        status = status_word(finding.status)
        parts = (clean(finding.title), test, f"{status.sign} {status.word}")
        cited = clean(str(finding.citation))
        return "; ".join(part for part in (*parts, cited) if part)

    def limit(self, finding: Finding) -> Table:
        """A limit on an area, with the share of the land beside it."""
        at = f"limit.{self.coverage.name}.{finding.rule}"
        rows = tuple(
            (title, self.text(f"{at}.{what}"), self.text(f"{at}.{what}_share"))
            for title, what in (
                ("Maximum allowed", "maximum"),
                ("Existing", "existing"),
                ("Proposed", "proposed"),
                ("Increase", "increase"),
                ("Remaining", "remaining"),
            )
            if f"{at}.{what}" in self.brief.figures
        )
        columns = (*texts_of("What"), *numbers("Area", "Share of the land"))
        test = TESTS.get(finding.order, finding.order)
        return Table(self.named(finding, test), columns, rows)

    def compared(self, finding: Finding) -> Table:
        """A rule that compares what counts with something that is no area."""
        rows = tuple(
            (title, self.text(f"rule.{finding.rule}.{what}", "not told"))
            for title, what in (("Limit", "limit"), ("Measured", "measured"), ("Room", "margin"))
        )
        columns = (*texts_of("What"), *numbers("Value"))
        return Table(self.named(finding, finding.order), columns, rows)

    def to_rebuild(self, finding: Finding) -> Iterator[Table]:
        """What of a total that is over would have to be rebuilt, by the new factor."""
        keys = [f"rule.{finding.rule}.convert.{factor:.2f}" for factor in CONVERSION_FACTORS]
        figures = self.brief.figures
        if all(key in figures for key in keys):
            over = figures.text(f"rule.{finding.rule}.margin").lstrip("−")
            yield Table(
                f"{clean(finding.title)}: over by {over}; fully counted area to rebuild",
                numbers("When the new surface counts", "Area to rebuild, rounded up"),
                tuple(
                    (f"{factor:.2f}", figures.text(key))
                    for factor, key in zip(CONVERSION_FACTORS, keys, strict=True)
                ),
            )

    def not_verified(self) -> Iterator[Section]:
        asks = tuple((item.key, item.title, ask) for item in self.lines for ask in item.asks)
        if not asks:
            return
        table = Table(
            "Not verified: what would settle the factors taken at their unfavourable end",
            (Column("Key", width=0.4), Column("Surface"), Column("What to give", width=3)),
            asks,
            header=1,
        )
        said = (
            "Some factors are not proven. Rules compare the unfavourable end of each range; if all "
            f"of them prove out, the proposed total is {self.text(f'{self.at}.total.best')}."
        )
        yield part("Not verified", caution(said), table)
