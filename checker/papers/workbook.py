"""The coverage worksheet as .xlsx with live formulas and as .csv with one value per cell.

Every formula carries its result, so that a reader that does not calculate sees the same numbers.
Cells hold unrounded numbers; their formats round as the other documents do.
"""

from __future__ import annotations

import csv
import io
import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.rounding import rounded
from checker.core.showing import unit_for
from checker.core.units import AREA, Amount
from checker.findings.coverage import MOVES, sum_of_moves
from checker.findings.limits import limits_of
from checker.pages.archive import fixed_zip
from checker.pages.pdf_writer import need
from checker.pages.word_writer import EPOCH, LONGEST_PROPERTY
from checker.papers.worksheet import TRUTH
from checker.site.model import REST
from checker.words.amounts import capital, clean, inert
from checker.words.cautions import SHORT
from checker.words.letters import letter

if TYPE_CHECKING:
    from checker.findings.coverage import Coverage, MoveLine, Moves
    from checker.papers.job import Job
    from checker.words.coverage import WorksheetLine

HEADS: Final = (
    "Key", "Surface", "Material", "Group", "Stage", "Drawn", "Overlap and outside", "Used",
    "Factor today", "Factor after", "Existing", "Removed", "Replaced (was)", "Replaced (is)", "New",
    "Proposed", "Net change", "Counted as", "Clause and edition", "How measured", "Not verified",
    "Proposed at best",
)  # fmt: skip
_AREAS: Final = range(5, 8)
_COUNTED: Final = range(10, 17)
_BEST: Final = 21
"""What counts after the work where all that is open turns out well."""
_FIRST_ROW: Final = 5
_WIDTHS: Final = (5, 17, 19, 15, 9, 9, 10, 9, 7, 7, 9, 9, 10, 10, 9, 10, 9, 24, 28, 11, 24, 9)
_ENDS: Final = ("existing", "proposed")
_NO_NAME: Final = re.compile(r"[^\w .,-]|^[-.,\s]+")
"""What the name of a sheet may not have, or is better without."""

_LINE_HIGH: Final = 13.5
_HEAD_HIGH: Final = 42.0
_LONGEST_FOOTER: Final = 220
"""A footer holds 255 characters, the page numbers included."""


def workbook_bytes(job: Job) -> bytes:
    """The .xlsx file: one sheet per counted measure.

    Raises:
        MissingLibrary: XlsxWriter is not installed.
    """
    xlsxwriter = need("xlsxwriter", "XlsxWriter", "an .xlsx file")
    raw = io.BytesIO()
    book = xlsxwriter.Workbook(raw, {"in_memory": True, "strings_to_formulas": False})
    title = f"{job.title[: LONGEST_PROPERTY - 30]}: coverage worksheet"
    book.set_properties({"title": title, "created": EPOCH})
    for index, coverage in enumerate(item for item in job.coverages if not item.missing):
        name = " ".join(_NO_NAME.sub(" ", clean(coverage.table.title)).split())
        name = capital(name)[:20].strip() or "Coverage"
        _Sheet(job, coverage, book, book.add_worksheet(f"{index + 1} {name}"), xlsxwriter).write()
    if not any(not item.missing for item in job.coverages):
        book.add_worksheet("Coverage").write(0, 0, "Nothing can be counted yet.")
    book.close()
    return fixed_zip(raw.getvalue())


class _Sheet:
    def __init__(self, job: Job, coverage: Coverage, book: Any, sheet: Any, library: Any) -> None:  # noqa: ANN401
        self.job = job
        self.coverage = coverage
        self.sheet = sheet
        self.library = library
        self.unit, _ = unit_for(AREA, job.checked.system)
        least, most = unit_for(AREA, job.checked.system)[1], job.figures.area_decimals or 0
        self.decimals = (least, max(least, most))
        base: dict[str, Any] = {"font_size": 10, "valign": "top", "border": 1}
        self.plain = book.add_format(base | {"text_wrap": True})
        self.head = book.add_format(base | {"bold": True, "text_wrap": True, "bg_color": "#E6E6E6"})
        self.kinds = {
            (is_signed, is_strong, places): book.add_format(
                base | {"num_format": _number_format(places, is_signed=is_signed)}
                | ({"bold": True} if is_strong else {})
            )
            for is_signed in (False, True)
            for is_strong in (False, True)
            for places in dict.fromkeys(self.decimals)
        }  # fmt: skip
        self.factor = book.add_format(base | {"num_format": "0.00##"})
        self.share = book.add_format(base | {"num_format": "0.00%"})
        self.title = book.add_format({"bold": True, "font_size": 14})
        self.bold = book.add_format({"bold": True})
        self.note = book.add_format({"italic": True, "text_wrap": False})

    def number(self, area_m2: float) -> float:
        # Traces of rounding would print as "-0".
        return round(Amount(area_m2, AREA).to(self.unit), 9)

    def format(self, number: float, *, is_signed: bool = False, is_strong: bool = False) -> Any:  # noqa: ANN401
        """How an area prints: whole where it is whole, else with the decimals of the worksheet."""
        least, most = self.decimals
        is_short = abs(number - round(number, least)) < 1e-9
        return self.kinds[is_signed, is_strong, least if is_short else most]

    def write(self) -> None:
        job, coverage, sheet = self.job, self.coverage, self.sheet
        sheet.write_string(0, 0, f"Coverage worksheet: {clean(coverage.table.title)}", self.title)
        sheet.write_string(1, 0, inert(job.title), self.bold)
        sheet.write_string(2, 0, f"All areas in {self.unit}. {job.stamp.line()}", self.note)
        said = "Not verified where the last column says so; counted at the unfavourable end. "
        said += SHORT
        sheet.write_string(3, 0, said, self.note)
        for column, (head, width) in enumerate(zip(HEADS, _WIDTHS, strict=True)):
            sheet.set_column(column, column, width)
            is_area = column in {*_AREAS, *_COUNTED, _BEST}
            sheet.write_string(4, column, f"{head}, {self.unit}" if is_area else head, self.head)
        sheet.set_row(4, _HEAD_HIGH)
        for index, item in enumerate(job.lines(coverage)):
            self.line(_FIRST_ROW + index, item)
            sheet.set_row(_FIRST_ROW + index, _LINE_HIGH * _most_lines(item))
        last = _FIRST_ROW + len(coverage.lines) - 1
        total = last + 1
        self.totals(total, "Total", _FIRST_ROW, last, "")
        row = total + 2
        sheet.write_string(row, 1, "Totals by group", self.bold)
        for index, group in enumerate(coverage.groups):
            self.totals(row + 1 + index, group, _FIRST_ROW, last, group)
        row += 2 + len(coverage.groups)
        row = self.limits(row + 1, total)
        self.truth(row + 1)
        self.layout(last)

    def line(self, row: int, item: WorksheetLine) -> None:
        sheet, at, line = self.sheet, row + 1, item.line
        texts = (item.key, item.title, item.material, item.group, item.stage)
        for column, text in enumerate(texts):
            sheet.write_string(row, column, inert(text), self.plain)
        used, taken = self.number(line.shown.used_m2), self.number(line.shown.taken_m2)
        if line.of == REST:
            # Nobody draws it: it is what the others leave.
            sheet.write_blank(row, 5, None, self.plain)
            sheet.write_blank(row, 6, None, self.plain)
            sheet.write_number(row, 7, used, self.format(used))
        else:
            sheet.write_number(row, 5, used + taken, self.format(used + taken))
            sheet.write_number(row, 6, taken, self.format(taken))
            sheet.write_formula(row, 7, f"=F{at}-G{at}", self.format(used), used)
        for column, count in ((8, line.was), (9, line.will)):
            factor = self.coverage.factor(count)
            if factor is None:
                sheet.write_blank(row, column, None, self.plain)
            else:
                sheet.write_number(row, column, factor, self.factor)
        self.moves(row, line)
        asks = "; ".join(item.asks)
        asked = f"not verified: {asks}" if asks else ""
        for column, text in enumerate((item.row, item.clause, item.measured_by, asked), 17):
            sheet.write_string(row, column, inert(text), self.plain)
        best = self.number(self.coverage.best_m2(line.moves.proposed))
        sheet.write_number(row, _BEST, best, self.format(best))

    def worst(self, moves: Moves) -> dict[str, float]:
        """The six areas at their unfavourable ends, and the net change."""
        found = {
            what: self.coverage.worst_m2(ends) for what, ends in zip(MOVES, moves, strict=True)
        }
        return found | {"net": found["proposed"] - found["existing"]}

    def moves(self, row: int, line: MoveLine) -> None:
        """Existing and what comes are area times factor where one area serves both."""
        sheet, at, values = self.sheet, row + 1, self.worst(line.moves)
        texts = dict.fromkeys(MOVES, "")
        one_area = line.shown.used_m2 > 0 and line.of
        if one_area and line.stage in {"proposed", "replaced"}:
            texts["new" if line.stage == "proposed" else "converted_to"] = f"=H{at}*J{at}"
        if one_area and line.stage == "removed":
            texts["existing"] = f"=H{at}*I{at}"
            texts["removed"] = f"=K{at}"
        if one_area and line.stage == "replaced":
            texts["converted_from"] = f"=K{at}"
        if one_area and line.stage == "existing" and values["removed"] == values["new"] == 0:
            texts["existing"] = f"=H{at}*I{at}"
        texts["proposed"] = f"=K{at}-L{at}-M{at}+N{at}+O{at}"
        texts["net"] = f"=P{at}-K{at}"
        for column, (what, value) in zip(_COUNTED, values.items(), strict=True):
            number = self.number(value)
            kind = self.format(number, is_signed=what == "net")
            if texts[what]:
                sheet.write_formula(row, column, texts[what], kind, number)
            else:
                sheet.write_number(row, column, number, kind)

    def totals(self, row: int, title: str, first: int, last: int, group: str) -> None:
        sheet = self.sheet
        sheet.write_string(row, 1, inert(clean(title)), self.head)
        if len(title) > _WIDTHS[1] - 2:
            sheet.set_row(row, 2 * _LINE_HIGH)
        sums = self.coverage.total
        if group:
            sums = sum_of_moves(line.moves for line in self.coverage.groups[group])
        values = self.worst(sums) | {"best": self.coverage.best_m2(sums.proposed)}
        for column, (what, value) in zip((*_COUNTED, _BEST), values.items(), strict=True):
            span = f"{letter(column)}{first + 1}:{letter(column)}{last + 1}"
            groups = f"$D${first + 1}:$D${last + 1}"
            formula = f"=SUMIF({groups},$B{row + 1},{span})" if group else f"=SUM({span})"
            number = self.number(value)
            kind = self.format(number, is_signed=what == "net", is_strong=True)
            sheet.write_formula(row, column, formula, kind, number)

    def limits(self, row: int, total: int) -> int:
        job, sheet = self.job, self.sheet
        lot = self.number(job.checked.site.lot.boundary.area)
        sheet.write_string(row, 1, "Lot area", self.head)
        sheet.write_number(row, 2, lot, self.format(lot))
        lot_cell = f"$C${row + 1}"
        for found in limits_of(self.coverage, job.checked):
            most = found.most.end(high=False)
            if most is None:
                continue
            finding = found.finding
            row += 2
            sheet.write_string(row, 1, inert(clean(finding.title)), self.bold)
            limit = self.number(most.value_si)
            existing, proposed = map(self.number, map(self.coverage.total_m2, _ENDS))
            cells = f"K{total + 1}", f"P{total + 1}"
            if not found.is_of_total:
                # A part of the total, or made from it: no sum of the columns above.
                ends = found.existing.end(high=True), found.proposed.end(high=True)
                if None in ends:
                    continue
                existing, proposed = (self.number(end.value_si) for end in ends if end)
                cells = repr(existing), repr(proposed)
            start = row + 2
            most_cell = f"{limit / lot!r}*{lot_cell}"
            lines = (
                ("Maximum", most_cell, limit),
                ("Existing", cells[0], existing),
                ("Proposed", cells[1], proposed),
                ("Increase", f"C{start + 2}-C{start + 1}", proposed - existing),
                ("Remaining", f"{most_cell}-C{start + 2}", limit - proposed),
            )
            for name, formula, value in lines:
                row += 1
                sheet.write_string(row, 1, name, self.head)
                kind = self.format(value, is_signed=name in {"Increase", "Remaining"})
                cell, share = (formula, value), (f"C{row + 1}/{lot_cell}", value / lot)
                if name in {"Maximum", "Remaining"}:
                    cell = _down(*cell, self.decimals[1])
                    share = _down(f"({formula})/{lot_cell}", value / lot, _SHARE_PLACES)
                sheet.write_formula(row, 2, f"={cell[0]}", kind, cell[1])
                sheet.write_formula(row, 3, f"={share[0]}", self.share, share[1])
            row += 1
            said = (
                f"Test: {finding.order}. Verdict: {finding.status}. {clean(str(finding.citation))}"
            )
            sheet.write_string(row, 1, inert(said), self.note)
        return row + 1

    def truth(self, row: int) -> None:
        statement = clean(self.job.submission.truth_statement) or TRUTH
        self.sheet.write_string(row, 1, inert(statement), self.note)
        for index, name in enumerate(("Name", "Signature", "Date"), 1):
            self.sheet.write_string(row + index, 1, name, self.head)
            self.sheet.write_blank(row + index, 2, None, self.plain)

    def layout(self, last: int) -> None:
        sheet = self.sheet
        sheet.freeze_panes(_FIRST_ROW, 2)
        sheet.repeat_rows(4)
        sheet.set_landscape()
        sheet.set_paper(3)
        sheet.fit_to_pages(1, 0)
        stamp = clean(self.job.stamp.line()).replace("&", "&&")[:_LONGEST_FOOTER]
        sheet.set_footer(f"&L&8{stamp}&R&8page &P of &N")
        sheet.ignore_errors({"formula_differs": f"A1:V{last + 40}"})


_SHARE_PLACES: Final = 4
"""Of a share, whose format shows per cent with two decimals."""


def _down(formula: str, value: float, places: int) -> tuple[str, float]:
    """A formula and its value rounded as limits and room are.

    The last digits of the reckoning do not count.
    """
    said = f"INT(ROUND(({formula})*{10**places},6))/{10**places}"
    return said, rounded(value, 10.0**-places, "down")


def _number_format(places: int, *, is_signed: bool) -> str:
    shape = "#,##0" + (f".{'0' * places}" if places else "")
    return f"+{shape};-{shape};0" if is_signed else shape


def _most_lines(item: WorksheetLine) -> int:
    """How many lines of text the fullest cell of a row needs."""
    said = "; ".join(item.asks)
    asks = f"not verified: {said}" if said else ""
    texts = {1: item.title, 2: item.material, 3: item.group, 17: item.row, 18: item.clause}
    texts |= {19: item.measured_by, 20: asks}
    return max(-(-len(text) // (_WIDTHS[i] - 2)) or 1 for i, text in texts.items())


def csv_text(job: Job) -> str:
    """The worksheet as CSV: one header row, units in the heads, no thousands commas."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    unit, _ = unit_for(AREA, job.checked.system)
    heads = [
        f"{head} ({unit})" if i in {*_AREAS, *_COUNTED, _BEST} else head
        for i, head in enumerate(HEADS)
    ]
    # What it is not stands in the head of a column without values: rows stay rows of surfaces.
    writer.writerow(["Measure", *heads, SHORT])
    for coverage in job.coverages:
        for item in job.lines(coverage):
            writer.writerow([*_csv_row(job, coverage, item), ""])
        if not coverage.missing:
            sums = [_bare(job, f"cover.{coverage.name}.total.{what}") for what in (*MOVES, "net")]
            writer.writerow(
                [
                    inert(clean(coverage.table.title)),
                    "",
                    "Total",
                    *[""] * 8,
                    *sums,
                    *[""] * 4,
                    _bare(job, f"cover.{coverage.name}.total.best"),
                    "",
                ]
            )
    return out.getvalue()


def _bare(job: Job, key: str) -> str:
    """A number of the register as one value; empty where it has none."""
    if key not in job.figures:
        return ""
    return job.figures.text(key).split(" ")[0].replace(",", "").replace("−", "-").lstrip("+")


def _csv_row(job: Job, coverage: Coverage, item: WorksheetLine) -> list[str]:
    factors = [
        job.figures.text(f"{item.at}.{which}") if f"{item.at}.{which}" in job.figures else ""
        for which in ("was_factor", "factor")
    ]
    texts = (item.key, item.title, item.material, item.group, item.stage)
    said = (item.row, item.clause, item.measured_by, "; ".join(item.asks))
    return [
        inert(clean(coverage.table.title)),
        *map(inert, texts),
        *(_bare(job, f"{item.at}.{what}") for what in ("drawn", "taken", "used")),
        *factors,
        *(_bare(job, f"{item.at}.{what}") for what in (*MOVES, "net")),
        *map(inert, said),
        _bare(job, f"{item.at}.best"),
    ]
