"""What stands beside the lot on a sheet: legend, tables, notes and the title block."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

from checker.core.showing import unit_for
from checker.core.units import AREA, Amount
from checker.drawing.grading import grading_legend
from checker.drawing.ground_levels import levels_say
from checker.drawing.layout import MM_PER_IN
from checker.drawing.plan import ROW_MM, LegendItem, legend_defs, legend_of
from checker.drawing.setbacks import DASHES, setbacks
from checker.drawing.svg import number, tag
from checker.pages import colours
from checker.pages.blocks import Column, Table, numbers
from checker.pages.sheet import SIZE_NAMES, Image, Placed, Sheet, SheetLine, SheetText
from checker.papers.drainage import has_calculation
from checker.papers.job import NOT_GIVEN
from checker.papers.names import NUMBERS
from checker.papers.ties import ties
from checker.papers.worksheet import bare
from checker.words.amounts import clean

if TYPE_CHECKING:
    from checker.drawing.layout import Fit
    from checker.drawing.lot import LotDrawing
    from checker.papers.job import Job
    from checker.site.model import State

FONT: Final = "Libertinus Serif"
APPROVED: Final[dict[str, str | float]] = {
    "stroke": colours.REMOVED,
    "stroke_width": 0.4,
    "stroke_dasharray": "2.4 1.2",
}
"""The line of what was approved, over what was built."""

_TABLE_ROW_IN: Final = 0.125


_NOTE_SIZES: Final = (7.0, 6.2, 5.5)
"""Sizes of the notes, in points: the largest at which all of them fit."""

_LINE_IN: Final = 0.13
"""Height of a line of notes of the largest size."""


class Beside:
    """Fills the panel and the title block of a sheet.

    Args:
        job: What the documents read.
        found: The layout and the scale.
        stages: Stages that the sheet shows.
        count: Sheets in all.
    """

    def __init__(self, *, job: Job, found: Fit, stages: frozenset[str], count: int) -> None:
        self.job = job
        self.fit = found
        self.layout = found.layout
        self.count = count
        self.shows_work = "proposed" in stages
        self.is_record = False

    def fill(self, sheet: Sheet, images: dict[str, str], drawing: LotDrawing) -> None:
        """Lay everything on the sheet."""
        self._panel(sheet, images, drawing)
        self._title_block(sheet)

    def _panel(self, sheet: Sheet, images: dict[str, str], drawing: LotDrawing) -> None:
        panel = self.layout.panel
        x, y, width = panel.x + 0.1, panel.y + 0.1, panel.w - 0.2
        bottom = panel.y + panel.h - 0.1
        sheet.texts.append(SheetText(x, y, width, "Legend", 9.0, bold=True))
        y = self._legend(sheet, images, drawing, y + 0.2)
        tables: list[tuple[str, str, Table]] = [
            ("Areas", NUMBERS["coverage-worksheet"], self._areas())
        ]
        if self.shows_work and ties(self.job):
            tables.append(("Dimensions of new work", NUMBERS["narrative"], self._dimensions()))
        if drawing.numbered:
            tables.append(("Lot lines", NUMBERS["narrative"], self._lot_lines(drawing)))
        notes = (*self._notes(), *_named_by_number(drawing.notes))
        size = next(
            (size for size in _NOTE_SIZES if y + _high(notes, width, size) + 0.2 <= bottom),
            _NOTE_SIZES[-1],
        )
        room = bottom - y - _high(notes, width, size)
        for title, where, table in tables:
            fits = int((room - 0.55) / _TABLE_ROW_IN)
            if fits < 2:
                sheet.texts.append(SheetText(x, y, width, f"{title}: see document {where}.", 7.0))
                y, room = y + 0.18, room - 0.18
                continue
            sheet.texts.append(SheetText(x, y, width, title, 9.0, bold=True))
            shown = table
            if len(table.rows) > fits:
                left = len(table.rows) - fits + 1
                blank = [""] * (len(table.columns) - 2)
                more = ("", f"{left} more: document {where}", *blank)
                shown = Table(table.caption, table.columns, (*table.rows[: fits - 1], more))
            sheet.tables.append(Placed(x, y + 0.19, width, shown, 6.8))
            high = 0.19 + _TABLE_ROW_IN * (len(shown.rows) + 2) + 0.1
            y, room = y + high, room - high
        for note in notes:
            sheet.texts.append(SheetText(x, y, width, note, size))
            y += _high((note,), width, size)

    def _legend(self, sheet: Sheet, images: dict[str, str], drawing: LotDrawing, y: float) -> float:
        items = list(legend_of(drawing))
        if self.shows_work:
            items += grading_legend(self.job)
            if setbacks(self.job):
                items.append(
                    LegendItem("Setback asked for", colours.QUIET, 0.3, DASHES, is_line=True)
                )
        if self.is_record:
            words = "Outline as approved"
            items.append(LegendItem(words, colours.REMOVED, 0.4, "2.4 1.2", is_line=True))
        width_mm = (self.layout.panel.w - 0.2) * MM_PER_IN
        high_mm = ROW_MM * len(items) + 1
        file = f"{sheet.number}-legend.svg"
        drawn = [item.at(0.0, ROW_MM * index) for index, item in enumerate(items)]
        defs = tag("defs", *drawing.defs, *legend_defs(items, drawing))
        images[file] = svg(width_mm, high_mm, defs, *drawn)
        says = "Legend: " + "; ".join(item.text for item in items)
        high_in = high_mm / MM_PER_IN
        sheet.images.append(
            Image(self.layout.panel.x + 0.1, y, self.layout.panel.w - 0.2, high_in, file, says)
        )
        return y + high_in + 0.1

    def _areas(self) -> Table:
        unit, _ = unit_for(AREA, self.job.checked.system)
        job = self.job
        what, head = ("proposed", "Proposed") if self.shows_work else ("existing", "Existing")
        here = "used" if self.shows_work else "was_used"
        rows = []
        coverage = next((item for item in job.coverages if not item.missing), None)
        if coverage is None:
            return self._areas_seen()
        for item in job.lines(coverage):
            if item.stage == "proposed" and not self.shows_work:
                continue
            if f"{item.at}.{here}" not in job.figures:
                continue  # a part that is there in the other state alone
            used, counted = (bare(job.figures.text(f"{item.at}.{w}"), unit) for w in (here, what))
            rows.append((item.key, item.title, used, counted))
        at = f"cover.{coverage.name}"
        total = bare(job.figures.text(f"{at}.total.{what}"), unit)
        whole = f"{at}.{what}_used"
        lot = bare(job.figures.text(whole), unit) if whole in job.figures else ""
        rows.append(("", f"Total {clean(coverage.table.title)}", lot, total))
        columns = (
            Column("Key", width=0.5),
            Column("Surface", width=2.0),
            *numbers(f"Used, {unit}"),
            Column(f"{head}, {unit}", is_number=True, width=1.15),
        )
        return Table("Areas", columns, tuple(rows))

    def _areas_seen(self) -> Table:
        """Areas as they are seen from above, where the place counts none."""
        unit, _ = unit_for(AREA, self.job.checked.system)
        state: State = "proposed" if self.shows_work else "existing"
        rows = []
        for line in self.job.checked.survey.partition(state).ledger:
            key, name = f"seen.{state}.{line.id}", self.job.keys.name(line.id)
            text = self.job.figures.add(key, f"{name}, as seen", Amount(line.visible_m2, AREA))
            rows.append((self.job.keys.letter(line.id), name, bare(text, unit)))
        columns = (
            Column("Key", width=0.5),
            Column("Surface", width=2.0),
            *numbers(f"As seen, {unit}"),
        )
        return Table("Areas", columns, tuple(rows))

    def _dimensions(self) -> Table:
        rows = tuple((tie.key, tie.size, tie.line, tie.house) for tie in ties(self.job))
        columns = (
            Column("Key", width=0.5),
            Column("Size", is_number=True, width=2.2),
            Column("To lot line", is_number=True, width=1.2),
            Column("To house", is_number=True, width=1.2),
        )
        return Table("Dimensions", columns, rows)

    def _lot_lines(self, drawing: LotDrawing) -> Table:
        lines = {line.number: line for line in self.job.checked.site.lot.lines}
        rows = tuple(
            (f"L{n}", clean(lines[n].label), clean(lines[n].side) or "–") for n in drawing.numbered
        )
        columns = (
            Column("Line", width=0.5),
            Column("Bearing and distance", width=2.5),
            Column("Side"),
        )
        return Table("Lot lines", columns, rows)

    def _notes(self) -> tuple[str, ...]:
        site, project = self.job.checked.site, self.job.project
        survey = project.survey
        based = "; ".join(
            f"{name}: {clean(text)}"
            for name, text in (
                ("Basis of bearings", survey.bearings),
                ("datum", survey.datum),
                ("benchmark", survey.benchmark),
            )
            if text
        )
        said = [
            f"{based}." if based else "Basis of bearings, datum, benchmark: not given.",
            *(f"{name}: {clean(text)}" for name, text in self._said() if text),
        ]
        none = ", ".join(kind.replace("-", " ") for kind in sorted(site.none_found))
        return (
            *said,
            "Not verified: drawn from the site file; not a survey, not sealed.",
            "Call the utility marking service before any digging.",
            f"Looked for, none found: {none}." if none else "What was looked for: not given.",
            f"Areas and limits: document {NUMBERS['coverage-worksheet']}, Coverage worksheet.",
            self._water(),
            "All documents are of the revision and date of this sheet. Distances are shortest.",
            *(("Invented lot, for demonstration.",) if site.is_invented else ()),
        )

    def _water(self) -> str:
        if not has_calculation(self.job.checked):
            return "Water: no drainage calculation is in this packet."
        return f"Water: document {NUMBERS['drainage-calculations']}, Drainage calculations."

    def _said(self) -> tuple[tuple[str, str], ...]:
        """What the project says that belongs on a sheet."""
        project = self.job.project
        grading = levels_say(self.job, is_proposed=self.shows_work)
        found = [
            ("Vicinity", project.texts.get("vicinity", "")),
            ("Grading", project.texts.get("grading", "") or grading),
        ]
        if self.shows_work:
            found.append(("Erosion controls", "; ".join(project.erosion)))
            for name, key in (("Trees", "trees"), ("Pool water and backwash", "")):
                text = (
                    project.texts.get(key, "") if key else project.data["pool"].get("backwash", "")
                )
                found.append((name, text))
            street = project.data["data"].get("street_damage", "")
            found.append(("Street and right-of-way", street or "who restores damage is not given"))
        return tuple(found)

    def _title_block(self, sheet: Sheet) -> None:
        job, layout = self.job, self.layout
        x, y = layout.panel.x + 0.08, layout.band.y + 0.06
        width = layout.panel.w - 0.16
        people, day = job.project.people, job.stamp.day
        preparer = people.get("preparer")
        owner = people.get("owner")
        licence = f", {clean(preparer.licence)}" if preparer and preparer.licence else ""
        rows = (
            (
                "Project",
                " · ".join(filter(None, (job.title, clean(job.project.texts.get("id", ""))))),
            ),
            ("Address", job.given("address")),
            ("Parcel", "; ".join(filter(None, (job.given("parcel"), job.legal)))),
            ("Owner", clean(owner.name) if owner else NOT_GIVEN),
            ("Preparer", clean(preparer.name) + licence if preparer else NOT_GIVEN),
            ("Scale, size", f"{self.fit.scale.text}, {SIZE_NAMES[layout.size]}"),
            ("Revision, date", f"{job.project.revision}, {day.isoformat() if day else NOT_GIVEN}"),
            ("Sheet", f"{sheet.number} {sheet.title}, {sheet.number[1:]} of {self.count}"),
        )
        small = layout.size == "letter"
        size, step = (6.2, 0.113) if small else (7.2, 0.155)
        if layout.size == "arch-d":
            size, step = 10.0, 0.24
        for index, (name, value) in enumerate(rows):
            at = y + step * index
            sheet.texts.append(SheetText(x, at, width * 0.27, name, size))
            room = width * 0.73
            sheet.texts.append(SheetText(x + width * 0.27, at, room, _cut(value, room, size), size,
                                    bold=index in {0, 7}))  # fmt: skip
        foot_y = y + step * len(rows) + 0.03
        sheet.lines.append(
            SheetLine(layout.panel.x, foot_y, layout.panel.x + layout.panel.w, foot_y, 0.4)
        )
        footer = f"{job.stamp.rules}; {job.stamp.program}; input {job.stamp.inputs}"
        sheet.texts.append(SheetText(x, foot_y + 0.03, width, footer, size - 1.2))
        revisions = "; ".join(
            f"{r.revision} {r.day.isoformat() if r.day else ''} {clean(r.says)}".strip()
            for r in job.project.revisions[-2:]
        )
        text = f"Revisions: {revisions}" if revisions else "Revisions: first issue"
        sheet.texts.append(
            SheetText(
                x, foot_y + 0.03 + step * 1.55, width, _cut(text, width, size - 1.0), size - 1.0
            )
        )


def _named_by_number(names: tuple[str, ...]) -> tuple[str, ...]:
    """Names that found no room on the plan, by the numbers that stand for them."""
    listed = "; ".join(f"{number} {name}" for number, name in enumerate(names, 1))
    return (f"Numbers on the plan: {listed}.",) if listed else ()


def svg(width_mm: float, height_mm: float, *inside: str) -> str:
    """A picture of a size in millimetres."""
    return tag(
        "svg",
        *inside,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width_mm)} {number(height_mm)}",
        width=f"{number(width_mm)}mm",
        height=f"{number(height_mm)}mm",
        font_family=FONT,
    )


def _line_count(width_in: float, size: float) -> int:
    """About how many characters fit on a line: on the low side for this face."""
    return max(10, int(width_in * 72 / (size * 0.47)))


def _wrapped(text: str, width_in: float, size: float) -> list[str]:
    return textwrap.wrap(text, _line_count(width_in, size)) or [""]


def _high(notes: tuple[str, ...], width_in: float, size: float) -> float:
    """The height of notes below each other, in inches."""
    lines = sum(len(_wrapped(note, width_in, size)) for note in notes)
    return _LINE_IN * size / _NOTE_SIZES[0] * lines + 0.03 * len(notes)


def _cut(text: str, width_in: float, size: float) -> str:
    most = _line_count(width_in, size)
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"
