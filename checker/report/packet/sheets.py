"""The site plan sheets: existing conditions, and the plan with the work, at a true scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import unit_for
from checker.core.units import AREA, Amount
from checker.report.draw import Drawing, draw_lot, drawn_bounds
from checker.report.packet.blocks import Column, Table
from checker.report.packet.grading import grading, grading_legend, has_grading
from checker.report.packet.job import NOT_GIVEN
from checker.report.packet.layout import MM_PER_IN, STAMP_IN, Fit, Layout, fit
from checker.report.packet.sheet import SIZE_NAMES, Image, Line, Placed, Rect, Sheet, Text
from checker.report.packet.ties import drawn_ties, ties
from checker.report.packet.worksheet import bare
from checker.report.plan import ROW_MM, legend_defs, legend_of, scale_foot
from checker.report.scale import Frame
from checker.report.svg import number, tag
from checker.report.wording import clean

if TYPE_CHECKING:
    from checker.report.packet.job import Job
    from checker.site.model import State

FONT: Final = "Libertinus Serif"
TODAY: Final = frozenset({"existing", "removed", "replaced"})
ALL: Final = frozenset({"existing", "removed", "proposed", "replaced"})
_TABLE_ROW_IN: Final = 0.125


def site_sheets(job: Job) -> tuple[list[Sheet], dict[str, str]]:
    """The sheets, and their drawings as SVG by file name."""
    left, bottom, right, top = drawn_bounds(job.checked)
    sizes = (job.sheet_size,) if job.sheet_size else job.submission.sheets
    stamp_in = job.submission.stamp.to("in") if job.submission.stamp else STAMP_IN
    found, is_accepted = fit(
        (right - left, top - bottom),
        sizes,
        job.submission.scales_ft_per_in,
        job.checked.system,
        stamp_in,
    )
    if not is_accepted:
        job.notes.append(f"the lot fits on {found.layout.size} only at {found.scale.text}")
    if found.layout.stamp is None:
        job.notes.append(f"a {found.layout.size} sheet has no room for a clear space of 6 in")
    has_work = any(surface.stage != "existing" for surface in job.checked.site.surfaces)
    plans = [("S1", "Existing conditions", TODAY)]
    plans.append(("S2", "Site plan with the work" if has_work else "Site plan", ALL))
    images: dict[str, str] = {}
    sheets = [
        _Page(job, found, sheet_number, title, stages, len(plans)).sheet(images)
        for sheet_number, title, stages in plans
    ]
    return sheets, images


class _Page:
    def __init__(
        self,
        job: Job,
        found: Fit,
        sheet_number: str,
        title: str,
        stages: frozenset[str],
        count: int,
    ) -> None:
        self.job = job
        self.fit = found
        self.layout: Layout = found.layout
        self.number = sheet_number
        self.title = title
        self.stages = stages
        self.count = count
        self.shows_work = "proposed" in stages

    def sheet(self, images: dict[str, str]) -> Sheet:
        layout = self.layout
        made = Sheet(
            id=f"{self.number}-{self.title.lower().replace(' ', '-')}",
            number=self.number,
            title=self.title,
            size=layout.size,  # type: ignore[arg-type]
            is_upright=layout.is_upright,
            frame=layout.frame,
            title_width=layout.drawing.w - 0.3,
            scale_text=self.fit.scale.text,
            scale_ratio=self.fit.scale.ratio,
        )
        drawing = self.draw(made, images)
        self.foot(made, images)
        self.panel(made, images, drawing)
        self.title_block(made)
        return made

    # The lot

    def frame(self) -> Frame:
        left, bottom, right, top = drawn_bounds(self.job.checked)
        box, size = self.layout.drawing, 1000 / self.fit.scale.ratio
        width_mm, height_mm = box.w * MM_PER_IN, box.h * MM_PER_IN
        return Frame(
            scale=self.fit.scale,
            left_m=left - (width_mm / size - (right - left)) / 2,
            top_m=top + (height_mm / size - (top - bottom)) / 2,
            x_mm=0.0,
            y_mm=0.0,
            width_mm=width_mm,
            height_mm=height_mm,
        )

    def draw(self, sheet: Sheet, images: dict[str, str]) -> Drawing:
        frame, box = self.frame(), self.layout.drawing
        job = self.job
        drawing = draw_lot(job.checked, job.keys, frame, self.stages)
        over = list(drawn_ties(job, frame)) if self.shows_work else []
        lines: list[str] = []
        if self.shows_work and has_grading(job):
            lines, names = grading(job, frame, drawing.placer)
            over += names
        file = f"{sheet.number}-lot.svg"
        images[file] = _svg(
            frame.width_mm,
            frame.height_mm,
            tag("defs", *drawing.defs),
            # Letters stand over the lines of drains, so the lines come right after the surfaces.
            *drawing.body[:1],
            *lines,
            *drawing.body[1:],
            *over,
        )
        sheet.images.append(Image(box.x, box.y, box.w, box.h, file, self.says(drawing)))
        return drawing

    def says(self, drawing: Drawing) -> str:
        """The long description of the plan for people who do not see it."""
        job = self.job
        listed = []
        for surface in job.checked.site.surfaces:
            if surface.stage not in self.stages:
                continue
            near = job.figures.text(f"distance.{surface.id}.line")
            listed.append(
                f"{job.keys.named(surface.id)}, {clean(surface.material.title).lower()}, "
                f"{surface.stage}, {near} from the nearest lot line"
            )
        north = job.checked.site.north_degrees
        turned = "up" if north == 0 else f"{north:g} degrees clockwise from up"
        beyond = (
            f" Too far away to be drawn: {', '.join(drawing.beyond)}." if drawing.beyond else ""
        )
        return (
            f"{self.title} of {job.title} at {self.fit.scale.text}. North is {turned}. "
            f"The lot has {job.figures.text('lot.area')}. Shown: {'; '.join(listed)}.{beyond}"
        )

    # Below the lot

    def foot(self, sheet: Sheet, images: dict[str, str]) -> None:
        """North, the bar and the written scale, the test line and the clear space."""
        layout, job = self.layout, self.job
        stamp = layout.stamp
        x = layout.band.x + (stamp.w if stamp else 0.0)
        width_in = layout.band.w - layout.panel.w - (stamp.w if stamp else 0.0)
        file = f"{sheet.number}-scale.svg"
        wide, high = width_in * MM_PER_IN, 18.0
        parts = list(scale_foot(self.fit.scale, job.checked.site.north_degrees, 0.0))
        images[file] = _svg(wide, high, *parts)
        says = f"North arrow and bar scale, {self.fit.scale.text}"
        sheet.images.append(Image(x, layout.band.y + 0.05, width_in, high / MM_PER_IN, file, says))
        is_us = job.checked.system == "us"
        long_in = 2.0 if is_us else 50 / MM_PER_IN
        words = "This line is 2 inches long" if is_us else "This line is 50 mm long"
        y = layout.band.y + layout.band.h - 0.42
        start = x + 0.2
        sheet.lines.append(Line(start, y, start + long_in, y, 1.0))
        for end in (start, start + long_in):
            sheet.lines.append(Line(end, y - 0.05, end, y + 0.05, 0.7))
        sheet.texts.append(
            Text(start, y + 0.08, width_in - 0.3, f"{words} at full size: measure it.", 7.5)
        )
        if stamp:
            sheet.rects.append(Rect(stamp.x, stamp.y, stamp.w, stamp.h, dash=True))
            said = f"Clear space for the approval stamp, {stamp.w:g} in wide"
            sheet.texts.append(Text(stamp.x + 0.1, stamp.y + 0.08, stamp.w - 0.2, said, 7.0))
        line_y = layout.band.y
        sheet.lines.append(Line(layout.frame.x, line_y, layout.frame.x + layout.frame.w, line_y))
        sheet.lines.append(Line(layout.panel.x, layout.frame.y, layout.panel.x,
                                layout.frame.y + layout.frame.h))  # fmt: skip

    # Beside the lot

    def panel(self, sheet: Sheet, images: dict[str, str], drawing: Drawing) -> None:
        panel = self.layout.panel
        x, y, width = panel.x + 0.1, panel.y + 0.1, panel.w - 0.2
        bottom = panel.y + panel.h - 0.1
        sheet.texts.append(Text(x, y, width, "Legend", 9.0, bold=True))
        y = self.legend(sheet, images, drawing, y + 0.2)
        tables: list[tuple[str, str, Table]] = [("Areas", "3", self.areas())]
        if self.shows_work and ties(self.job):
            tables.append(("Dimensions of new work", "4", self.dimensions()))
        if drawing.numbered:
            tables.append(("Lot lines", "4", self.lot_lines(drawing)))
        notes = self.notes()
        room = bottom - y - sum(0.13 * len(_wrapped(note, width, 7.0)) + 0.03 for note in notes)
        for title, where, table in tables:
            fits = int((room - 0.55) / _TABLE_ROW_IN)
            if fits < 2:
                sheet.texts.append(Text(x, y, width, f"{title}: see document {where}.", 7.0))
                y, room = y + 0.18, room - 0.18
                continue
            sheet.texts.append(Text(x, y, width, title, 9.0, bold=True))
            shown = table
            if len(table.rows) > fits:
                left = len(table.rows) - fits + 1
                more = (f"{left} more: document {where}", *[""] * (len(table.columns) - 1))
                shown = Table(table.caption, table.columns, (*table.rows[: fits - 1], more))
            sheet.tables.append(Placed(x, y + 0.19, width, shown, 6.8))
            high = 0.19 + _TABLE_ROW_IN * (len(shown.rows) + 2) + 0.1
            y, room = y + high, room - high
        for note in notes:
            sheet.texts.append(Text(x, y, width, note, 7.0))
            y += 0.13 * len(_wrapped(note, width, 7.0)) + 0.03

    def legend(self, sheet: Sheet, images: dict[str, str], drawing: Drawing, y: float) -> float:
        items = list(legend_of(drawing))
        if self.shows_work:
            items += grading_legend(self.job)
        width_mm = (self.layout.panel.w - 0.2) * MM_PER_IN
        high_mm = ROW_MM * len(items) + 1
        file = f"{sheet.number}-legend.svg"
        drawn = [item.at(0.0, ROW_MM * index) for index, item in enumerate(items)]
        defs = tag("defs", *drawing.defs, *legend_defs(items, drawing))
        images[file] = _svg(width_mm, high_mm, defs, *drawn)
        says = "Legend: " + "; ".join(item.text for item in items)
        high_in = high_mm / MM_PER_IN
        sheet.images.append(
            Image(self.layout.panel.x + 0.1, y, self.layout.panel.w - 0.2, high_in, file, says)
        )
        return y + high_in + 0.1

    def areas(self) -> Table:
        unit, _ = unit_for(AREA, self.job.checked.system)
        job = self.job
        what, head = ("proposed", "Proposed") if self.shows_work else ("existing", "Existing")
        rows = []
        ledger = next((item for item in job.ledgers if not item.missing), None)
        if ledger is None:
            return self.areas_seen()
        for index, line in enumerate(ledger.lines):
            hidden = {"proposed"} if not self.shows_work else set()
            if line.stage in hidden:
                continue
            at = f"cover.{ledger.name}.{index}"
            used, counted = (bare(job.figures.text(f"{at}.{w}"), unit) for w in ("used", what))
            rows.append((line.key, clean(line.title), used, counted))
        total = bare(job.figures.text(f"cover.{ledger.name}.total.{what}"), unit)
        rows.append(("", f"Total {clean(ledger.title)}", "", total))
        columns = (
            Column("Key", width=0.5),
            Column("Surface", width=2.0),
            Column(f"Used, {unit}", "right"),
            Column(f"{head}, {unit}", "right", 1.15),
        )
        return Table("Areas", columns, tuple(rows))

    def areas_seen(self) -> Table:
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
            Column(f"As seen, {unit}", "right"),
        )
        return Table("Areas", columns, tuple(rows))

    def dimensions(self) -> Table:
        rows = tuple((tie.key, tie.size, tie.line, tie.house) for tie in ties(self.job))
        columns = (
            Column("Key", width=0.5),
            Column("Size", "right", 2.2),
            Column("To lot line", "right", 1.2),
            Column("To house", "right", 1.2),
        )
        return Table("Dimensions", columns, rows)

    def lot_lines(self, drawing: Drawing) -> Table:
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

    def notes(self) -> tuple[str, ...]:
        site = self.job.checked.site
        none = ", ".join(kind.replace("-", " ") for kind in sorted(site.none_found))
        return (
            "Not verified: drawn from the site file; not a survey, not sealed.",
            "Call the utility marking service before any digging.",
            f"Looked for, none found: {none}." if none else "What was looked for: not given.",
            "Areas and limits: document 3. Distances are to the nearest point.",
            "Invented lot, for demonstration." if site.is_invented else "",
        )[: 5 if site.is_invented else 4]

    def title_block(self, sheet: Sheet) -> None:
        job, layout = self.job, self.layout
        x, y = layout.panel.x + 0.08, layout.band.y + 0.06
        width = layout.panel.w - 0.16
        people, day = job.project.people, job.stamp.day
        preparer = people.get("preparer")
        owner = people.get("owner")
        licence = f", {clean(preparer.licence)}" if preparer and preparer.licence else ""
        rows = (
            ("Project", job.title),
            ("Address", job.given("address")),
            ("Parcel", job.given("parcel")),
            ("Owner", clean(owner.name) if owner else NOT_GIVEN),
            ("Preparer", clean(preparer.name) + licence if preparer else NOT_GIVEN),
            ("Scale, size", f"{self.fit.scale.text}, {SIZE_NAMES[layout.size]}"),
            ("Revision, date", f"{job.project.revision}, {day.isoformat() if day else NOT_GIVEN}"),
            ("Sheet", f"{self.number} {self.title}, {self.number[1:]} of {self.count}"),
        )
        small = layout.size == "letter"
        size, step = (6.2, 0.113) if small else (7.2, 0.155)
        if layout.size == "arch-d":
            size, step = 10.0, 0.24
        for index, (name, value) in enumerate(rows):
            at = y + step * index
            sheet.texts.append(Text(x, at, width * 0.27, name, size))
            room = width * 0.73
            sheet.texts.append(Text(x + width * 0.27, at, room, _cut(value, room, size), size,
                                    bold=index in {0, 7}))  # fmt: skip
        foot_y = y + step * len(rows) + 0.03
        sheet.lines.append(
            Line(layout.panel.x, foot_y, layout.panel.x + layout.panel.w, foot_y, 0.4)
        )
        footer = f"{job.stamp.rules}; {job.stamp.program}; input {job.stamp.inputs}"
        sheet.texts.append(Text(x, foot_y + 0.03, width, footer, size - 1.2))
        revisions = "; ".join(
            f"{r.revision} {r.day.isoformat() if r.day else ''} {clean(r.says)}".strip()
            for r in job.project.revisions[-2:]
        )
        text = f"Revisions: {revisions}" if revisions else "Revisions: first issue"
        sheet.texts.append(
            Text(x, foot_y + 0.03 + step * 1.55, width, _cut(text, width, size - 1.0), size - 1.0)
        )


def _svg(width_mm: float, height_mm: float, *inside: str) -> str:
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
    import textwrap

    return textwrap.wrap(text, _line_count(width_in, size)) or [""]


def _cut(text: str, width_in: float, size: float) -> str:
    most = _line_count(width_in, size)
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"
