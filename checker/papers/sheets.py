"""The site plan sheets at a true scale: existing conditions, demolition, the plan with the work."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from checker.core.records import replace
from checker.core.units import LENGTH, Amount
from checker.drawing.clouds import clouds
from checker.drawing.grading import Grading
from checker.drawing.ground_levels import ground_drawn
from checker.drawing.layout import MM_PER_IN, STAMP_IN, Fit, Layout, fit
from checker.drawing.lot import SHOWN, LotDrawing, LotPen, drawn_bounds
from checker.drawing.named_lines import NamedLines
from checker.drawing.plan import scale_foot
from checker.drawing.scale import Frame
from checker.drawing.setbacks import setback_lines
from checker.drawing.side_lengths import sides_of
from checker.drawing.spot_names import SpotNames
from checker.drawing.svg import tag
from checker.pages.sheet import Image, Rect, Sheet, SheetLine, SheetText
from checker.papers.difference import changed_ground
from checker.papers.names import paper_id
from checker.papers.sheet_panel import APPROVED, Beside, svg
from checker.papers.ties import drawn_ties, new_surfaces
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.lot import Phase
    from checker.papers.job import Job
    from checker.site.model import Shape


def site_sheets(job: Job) -> tuple[list[Sheet], dict[str, str]]:
    """The sheets, and their drawings as SVG by file name."""
    _add_sides(job)
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
        says = f"a {found.layout.size} sheet has no room for a clear space of {stamp_in:g} in"
        job.notes.append(says)
    stages = {surface.stage for surface in job.checked.site.surfaces}
    plans: list[tuple[Job, str, Phase]] = [(job, "Existing conditions", "today")]
    title = "Site plan" if stages <= {"existing"} else "Site plan with the work"
    plans.append((job, title, "work"))
    if stages & {"removed", "replaced"}:
        plans.append((job, "Demolition", "demolition"))
    if job.built is not None:
        record = replace(job.built, project=job.project, stamp=job.stamp)
        plans.append((record, "Record drawing: as built over approved", "work"))
    images: dict[str, str] = {}
    sheets = [
        _Page(shown, found, (f"S{index}", title), phase, len(plans), job).sheet(images)
        for index, (shown, title, phase) in enumerate(plans, 1)
    ]
    return sheets, images


def _add_sides(job: Job) -> None:
    """Take in the lengths that stand at the sides of new work."""
    for surface in new_surfaces(job):
        for index, alike in enumerate(sides_of(surface.shape)):
            title = f"{surface.title}, side {index + 1} of its outline"
            length = Amount(math.dist(*alike[0]), LENGTH)
            job.figures.add(f"side.{surface.id}.{index}", title, length)


class _Page:
    def __init__(
        self,
        job: Job,
        found: Fit,
        named: tuple[str, str],
        phase: Phase,
        count: int,
        approved: Job,
    ) -> None:
        self.job = job
        self.fit = found
        self.layout: Layout = found.layout
        self.number, self.title = named
        self.approved = approved
        self.phase = phase
        self.stages = SHOWN[phase]
        self.count = count
        self.shows_work = "proposed" in self.stages

    def sheet(self, images: dict[str, str]) -> Sheet:
        layout = self.layout
        made = Sheet(
            id=f"{self.number}-{paper_id(self.title)}",
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
        beside = Beside(job=self.job, found=self.fit, stages=self.stages, count=self.count)
        beside.is_record = self.job is not self.approved
        beside.fill(made, images, drawing)
        return made

    # The lot

    def frame(self) -> Frame:
        left, bottom, right, top = drawn_bounds(self.approved.checked)
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

    def draw(self, sheet: Sheet, images: dict[str, str]) -> LotDrawing:
        frame, box = self.frame(), self.layout.drawing
        job = self.job
        pen = LotPen(job.checked, job.keys, frame, self.phase, texts="names")
        names = SpotNames(pen.placer)
        named, lines = NamedLines(names), list[str]()
        graded = Grading(job, frame, names) if self.shows_work else None
        if graded is not None:
            lines += graded.lines
            for line in (*drawn_ties(job, frame), *setback_lines(job, frame)):
                named.add(line)
        lines += ground_drawn(job, frame, named, names, shows_work=self.shows_work)
        lines += named.drawn()
        if graded is not None:
            lines += graded.arrows()
        drawing = pen.drawing()
        over = list(names.drawn())
        if job is not self.approved:
            lines += self.approved_outlines(frame)
        over += clouds(self.changed(), job.project.revision, frame)
        file = f"{sheet.number}-lot.svg"
        images[file] = svg(
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

    def changed(self) -> tuple[Shape, ...]:
        """The ground of what changed since the revision before; of the plan with the work alone."""
        job = self.job
        if job is not self.approved or job.previous is None or not self.shows_work:
            return ()
        return changed_ground(job.previous, job)

    def approved_outlines(self, frame: Frame) -> Iterator[str]:
        """Outlines of the approved work, over what was built."""
        for surface in self.approved.checked.site.surfaces:
            if surface.stage in {"proposed", "replaced"}:
                path = frame.path(surface.shape)
                yield tag("path", d=path, fill="none", **APPROVED)

    def says(self, drawing: LotDrawing) -> str:
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
        clouded = ""
        if self.changed():
            clouded = f" Clouds of revision {clean(job.project.revision)} stand round what changed."
        return (
            f"{self.title} of {job.title} at {self.fit.scale.text}. North is {turned}. The lot has "
            f"{job.figures.text('lot.area')}. Shown: {'; '.join(listed)}.{beyond}{clouded}"
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
        images[file] = svg(wide, high, *parts)
        says = f"North arrow and bar scale, {self.fit.scale.text}"
        sheet.images.append(Image(x, layout.band.y + 0.05, width_in, high / MM_PER_IN, file, says))
        is_us = job.checked.system == "us"
        long_in = 2.0 if is_us else 50 / MM_PER_IN
        words = "This line is 2 inches long" if is_us else "This line is 50 mm long"
        y = layout.band.y + layout.band.h - 0.42
        start = x + 0.2
        sheet.lines.append(SheetLine(start, y, start + long_in, y, 1.0))
        for end in (start, start + long_in):
            sheet.lines.append(SheetLine(end, y - 0.05, end, y + 0.05, 0.7))
        sheet.texts.append(
            SheetText(start, y + 0.08, width_in - 0.3, f"{words} at full size: measure it.", 7.5)
        )
        if stamp:
            sheet.rects.append(Rect(stamp.x, stamp.y, stamp.w, stamp.h, dash=True))
            said = f"Clear space for the approval stamp, {stamp.w:g} in wide"
            sheet.texts.append(SheetText(stamp.x + 0.1, stamp.y + 0.08, stamp.w - 0.2, said, 7.0))
        line_y = layout.band.y
        sheet.lines.append(
            SheetLine(layout.frame.x, line_y, layout.frame.x + layout.frame.w, line_y)
        )
        sheet.lines.append(SheetLine(layout.panel.x, layout.frame.y, layout.panel.x,
                                layout.frame.y + layout.frame.h))  # fmt: skip
