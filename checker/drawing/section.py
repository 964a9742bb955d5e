"""A pavement section to scale as SVG: courses with names, thicknesses and levels, sheets, pipe."""

from __future__ import annotations

import string
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.showing import show
from checker.core.units import LENGTH, Amount, System
from checker.drawing.section_hatches import SHEETS, hatch_id, pattern, sheet_of, tile_of
from checker.drawing.svg import number, picture, tag
from checker.pages import colours
from checker.pages.markup import escape
from checker.words.amounts import small
from checker.words.sections import course_lines, section_notes, wrapped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.measure.section.bed import Bed, BedCourse

WIDTH_MM: Final = 180.0
CUT_LEFT_MM: Final = 43.0
CUT_WIDTH_MM: Final = 70.0
LABEL_MM: Final = 121.0
TOP_MM: Final = 22.0
TEXT_MM: Final = 2.7
LINE_MM: Final = 3.6
GROUND_MM: Final = 14.0
DEEPEST_MM: Final = 105.0
FINEST_MM: Final = 1.0
"""Units that are shorter on paper are not drawn one by one."""

STRIP_MM: Final = 7.0
"""Courses that stay visible to the right of the observation well."""

US_SCALES: Final = (
    (4, "3 in = 1 ft (1:4)"),
    (8, "1-1/2 in = 1 ft (1:8)"),
    (12, "1 in = 1 ft (1:12)"),
    (16, "3/4 in = 1 ft (1:16)"),
    (24, "1/2 in = 1 ft (1:24)"),
    (48, "1/4 in = 1 ft (1:48)"),
)
METRIC_SCALES: Final = ((5, "1:5"), (10, "1:10"), (20, "1:20"), (50, "1:50"))


class _Row(Record, kw_only=True):
    """A course or sheet on paper: its span from the top, millimetres, and its words."""

    layer: BedCourse
    top: float
    bottom: float
    letter: str
    words: tuple[str, ...]


class _Drawing:
    """One section on paper."""

    def __init__(self, bed: Bed, system: System, under: Sequence[str]) -> None:
        self.bed = bed
        self.system = system
        self.under = under
        depth_m = sum(
            layer.course.thickness_m or 0.0
            for layer in bed.layers
            if layer.course.kind == "unit" or layer in bed.stones
        )
        scales = US_SCALES if system == "us" else METRIC_SCALES
        self.ratio, self.scale = next(
            (item for item in scales if depth_m * 1000 / item[0] <= DEEPEST_MM), scales[-1]
        )
        self.rows = self._rows()
        self.bottom = max((row.bottom for row in self.rows), default=TOP_MM)
        self.labels = self._label_tops()

    def mm(self, length_m: float) -> float:
        return length_m * 1000 / self.ratio

    def _hatch(self, row: _Row) -> str:
        return hatch_id(tile_of(row.layer), self.bed.section.id)

    def _rows(self) -> list[_Row]:
        found: list[_Row] = []
        letters = iter(string.ascii_uppercase + string.ascii_lowercase)
        at_mm = TOP_MM
        for layer in self.bed.layers:
            kind = layer.course.kind
            height_mm = 0.0
            if kind == "unit" or layer in self.bed.stones:
                height_mm = self.mm(layer.course.thickness_m or 0.0)
            elif kind == "subgrade":
                height_mm = GROUND_MM
            top_mm = at_mm
            if kind == "joint" and found:
                top_mm, height_mm = found[-1].top, found[-1].bottom - found[-1].top
            found.append(
                _Row(
                    layer=layer,
                    top=top_mm,
                    bottom=top_mm + height_mm,
                    letter=next(letters, "*"),
                    words=course_lines(layer, self.system),
                )
            )
            at_mm = max(at_mm, top_mm + height_mm)
        return found

    def _label_tops(self) -> list[float]:
        """Where each label starts: beside its course, but never over the one before."""
        tops: list[float] = []
        free_mm = TOP_MM - 2
        for row in self.rows:
            height_mm = LINE_MM * len(row.words) + 1.4
            middle_mm = (row.top + row.bottom) / 2 - height_mm / 2
            top_mm = max(middle_mm, free_mm)
            tops.append(top_mm)
            free_mm = top_mm + height_mm
        return tops

    def svg(self) -> str:
        label_end = max(
            (
                top + LINE_MM * len(row.words)
                for top, row in zip(self.labels, self.rows, strict=True)
            ),
            default=TOP_MM,
        )
        foot_mm = max(self.bottom, label_end) + 10
        notes = tuple(wrapped(section_notes(self.bed, self.system), 108))
        height_mm = foot_mm + 5 + LINE_MM * (len(notes) + len(self._sheets()))
        hatches = dict.fromkeys(tile_of(row.layer) for row in self.rows if row.bottom > row.top)
        title = f"Section: {self.bed.section.title}"
        return picture(
            (WIDTH_MM, height_mm),
            f"{title}, {self.scale}",
            "",
            (
                self._heading(title),
                *(self._course(row) for row in self.rows if row.layer.course.kind != "joint"),
                *(self._joints(row) for row in self.rows if row.layer.course.kind == "joint"),
                *(self._sheet(row) for row in self.rows if row.layer.course.sheet is not None),
                self._pipe(),
                self._well(),
                *self._levels(),
                *(self._label(row, top) for row, top in zip(self.rows, self.labels, strict=True)),
                self._foot(foot_mm, notes),
            ),
            defs=(pattern(name, self.bed.section.id) for name in hatches),
            font_family="sans-serif",
            font_size=TEXT_MM,
        )

    def _text(self, x_mm: float, y_mm: float, words: str, **more: str | float) -> str:
        return tag("text", escape(words), x=x_mm, y=y_mm, fill=colours.INK, **more)

    def _line(self, x1: float, y1: float, x2: float, y2: float, **more: str | float) -> str:
        style: dict[str, str | float] = {"stroke": colours.INK, "stroke_width": 0.2, **more}
        return tag("line", x1=x1, y1=y1, x2=x2, y2=y2, **style)

    def _heading(self, title: str) -> str:
        kind = {"permeable": "lets water through", "conventional": "sheds water"}
        use = {"pedestrian": "people", "vehicle": "vehicles"}[self.bed.section.use]
        words = f"{kind[self.bed.section.kind].capitalize()}; for {use}"
        if self.under:
            words += f"; under {', '.join(self.under)}"
        return self._text(4, 7, title, font_size=4, font_weight="bold") + self._text(4, 12, words)

    def _course(self, row: _Row) -> str:
        if row.bottom <= row.top:
            return ""
        is_ground = row.layer.course.kind == "subgrade"
        box = tag(
            "rect",
            x=CUT_LEFT_MM,
            y=row.top,
            width=CUT_WIDTH_MM,
            height=row.bottom - row.top,
            fill=f"url(#{self._hatch(row)})",
            stroke="none" if is_ground else colours.INK,
            stroke_width=0.3,
        )
        if is_ground:
            box += self._line(
                CUT_LEFT_MM - 4, row.top, CUT_LEFT_MM + CUT_WIDTH_MM + 4, row.top, stroke_width=0.3
            )
        return box

    def _joints(self, row: _Row) -> str:
        """Joints through the units, to scale where their size is known."""
        unit = self.bed.section.first("unit")
        joint = row.layer.course
        if unit is None or row.bottom <= row.top:
            return ""
        wide_mm = self.mm(joint.width_m or 0.006)
        pitch_mm = self.mm(unit.length_m or 0.2) + wide_mm
        found = ""
        if pitch_mm < FINEST_MM:
            return found
        x_mm = self._joint_mm() - wide_mm / 2
        while x_mm > CUT_LEFT_MM:
            found += tag(
                "rect",
                x=x_mm,
                y=row.top,
                width=wide_mm,
                height=row.bottom - row.top,
                fill=f"url(#{self._hatch(row)})",
                stroke=colours.INK,
                stroke_width=0.15,
            )
            x_mm -= pitch_mm
        return found

    @staticmethod
    def _joint_mm() -> float:
        """The middle of the joint that the label points at, right of the well."""
        return CUT_LEFT_MM + CUT_WIDTH_MM - STRIP_MM / 2

    def _sheet(self, row: _Row) -> str:
        return self._sheet_line(row.layer, CUT_LEFT_MM, CUT_LEFT_MM + CUT_WIDTH_MM, row.top - 0.7)

    def _sheet_line(self, layer: BedCourse, left_mm: float, right_mm: float, y_mm: float) -> str:
        style = SHEETS[sheet_of(layer)]
        dashes = {"stroke_dasharray": style.dashes} if style.dashes else {}
        return self._line(left_mm, y_mm, right_mm, y_mm, stroke_width=style.width, **dashes)

    def _subgrade_mm(self) -> float:
        return next(
            (row.top for row in self.rows if row.layer.course.kind == "subgrade"), self.bottom
        )

    def _pipe(self) -> str:
        pipe = self.bed.section.pipe
        if pipe is None or pipe.above_subgrade_m is None:
            return ""
        radius_mm = self.mm(pipe.diameter_m) / 2
        x_mm = CUT_LEFT_MM + CUT_WIDTH_MM * 0.27
        y_mm = self._subgrade_mm() - self.mm(pipe.above_subgrade_m) - radius_mm
        found = tag(
            "circle", cx=x_mm, cy=y_mm, r=radius_mm, fill=colours.PAPER, stroke=colours.INK,
            stroke_width=0.6,
        )  # fmt: skip
        if pipe.holes_m or pipe.slots_m:
            turn = 1 if pipe.holes_down is not False else -1
            found += "".join(
                tag("circle", cx=x_mm + side * radius_mm * 0.6, cy=y_mm + turn * radius_mm * 0.8,
                    r=max(0.45, self.mm((pipe.holes_m or pipe.slots_m or 0) / 2)),
                    fill=colours.INK)
                for side in (-1, 1)
            )  # fmt: skip
        if pipe.outlet_above_subgrade_m:
            level_mm = self._subgrade_mm() - self.mm(pipe.outlet_above_subgrade_m)
            right_mm = CUT_LEFT_MM + CUT_WIDTH_MM
            found += self._line(
                CUT_LEFT_MM, level_mm, right_mm, level_mm,
                stroke=colours.LINK, stroke_width=0.35, stroke_dasharray="2 1",
            ) + tag(
                "path", fill=colours.LINK,
                d=f"M{number(CUT_LEFT_MM + 3)} {number(level_mm)}l-1.6-2.6h3.2z",
            )  # fmt: skip
        return found

    def _well(self) -> str:
        if not self.bed.section.well_count:
            return ""
        wide_mm = min(self.mm(self.bed.section.well_diameter_m or 0.1), CUT_WIDTH_MM / 3)
        x_mm = CUT_LEFT_MM + CUT_WIDTH_MM - STRIP_MM - wide_mm
        tall_mm = self._subgrade_mm() - TOP_MM
        return tag(
            "rect",
            x=x_mm,
            y=TOP_MM,
            width=wide_mm,
            height=tall_mm,
            fill=colours.PAPER,
            stroke=colours.INK,
            stroke_width=0.4,
        ) + tag("rect", x=x_mm - 0.8, y=TOP_MM, width=wide_mm + 1.6, height=1.2, fill=colours.INK)

    def _levels(self) -> list[str]:
        """Thickness of each course, and the level or depth of each boundary."""
        found: list[str] = []
        solid = [row for row in self.rows if row.bottom > row.top]
        solid = [row for row in solid if row.layer.course.kind not in {"joint", "subgrade"}]
        edges_mm = [TOP_MM, *(row.bottom for row in solid)]
        for edge_mm in edges_mm:
            down_m = (edge_mm - TOP_MM) * self.ratio / 1000
            top_m = self.bed.section.top_m
            if top_m is None:
                words = small(down_m, self.system)
            else:
                words = show(Amount(top_m - down_m, LENGTH), self.system)
            found.append(self._line(CUT_LEFT_MM - 22, edge_mm, CUT_LEFT_MM - 1, edge_mm))
            found.append(self._text(CUT_LEFT_MM - 23, edge_mm + 0.9, words, text_anchor="end"))
        for row in solid:
            middle_mm = (row.top + row.bottom) / 2
            x_mm = CUT_LEFT_MM - 4
            words = small(row.layer.course.thickness_m or 0.0, self.system)
            found.append(self._line(x_mm, row.top, x_mm, row.bottom))
            found += [
                self._line(x_mm - 0.8, y + 0.8, x_mm + 0.8, y - 0.8) for y in (row.top, row.bottom)
            ]
            found.append(self._text(x_mm - 1.5, middle_mm + 0.9, words, text_anchor="end"))
        head = "Level" if self.bed.section.top_m is not None else "Depth"
        found.append(self._text(4, TOP_MM - 3.5, head, fill_opacity=0.8))
        return found

    def _label(self, row: _Row, top_mm: float) -> str:
        right_mm = CUT_LEFT_MM + CUT_WIDTH_MM
        middle_mm = (row.top + row.bottom) / 2
        from_mm = right_mm
        if row.layer.course.kind == "joint":
            from_mm = self._joint_mm()
        y_mm = top_mm + LINE_MM / 2 + 1
        words = "".join(
            self._text(
                LABEL_MM + 6, top_mm + LINE_MM * (i + 1), line,
                font_weight="bold" if i == 0 else "normal",
            )
            for i, line in enumerate(row.words)
        )  # fmt: skip
        return (
            tag("polyline", points=f"{number(from_mm)},{number(middle_mm)} "
                f"{number(LABEL_MM - 3)},{number(y_mm)} {number(LABEL_MM)},{number(y_mm)}",
                fill="none", stroke=colours.QUIET, stroke_width=0.2)
            + tag("circle", cx=LABEL_MM + 2.4, cy=y_mm, r=2.1, fill=colours.PAPER,
                  stroke=colours.INK, stroke_width=0.25)
            + self._text(LABEL_MM + 2.4, y_mm + 0.95, row.letter, text_anchor="middle")
            + words
        )  # fmt: skip

    def _sheets(self) -> list[BedCourse]:
        """One layer for each kind of line in the drawing."""
        found: dict[str, BedCourse] = {}
        for row in self.rows:
            if row.layer.course.sheet is not None:
                found.setdefault(sheet_of(row.layer), row.layer)
        return list(found.values())

    def _bar(self, x_mm: float, y_mm: float) -> str:
        bar_mm = self.mm(0.3048 if self.system == "us" else 0.25)
        style = {"y": y_mm - 1.6, "width": bar_mm / 2, "height": 1.6}
        return (
            tag("rect", x=x_mm, fill=colours.INK, **style)
            + tag(
                "rect",
                x=x_mm + bar_mm / 2,
                fill=colours.PAPER,
                stroke=colours.INK,
                stroke_width=0.2,
                **style,
            )
            + self._text(x_mm + bar_mm + 1.5, y_mm, "1 ft" if self.system == "us" else "25 cm")
        )

    def _foot(self, top_mm: float, notes: Sequence[str]) -> str:
        found = self._text(4, top_mm, f"Scale {self.scale}", font_weight="bold")
        found += self._bar(62, top_mm)
        y_mm = top_mm + 6
        for layer in self._sheets():
            found += self._sheet_line(layer, 4, 18, y_mm - 0.9)
            found += self._text(20, y_mm, SHEETS[sheet_of(layer)].title)
            y_mm += LINE_MM
        for note in notes:
            found += self._text(4, y_mm, note)
            y_mm += LINE_MM
        return found


def section_svg(bed: Bed, system: System, under: Sequence[str] = ()) -> str:
    """One section to scale, a picture that stands alone.

    Args:
        bed: The section with what its stone means.
        system: Units of its labels; chooses the scale too.
        under: Titles of the surfaces it lies under.
    """
    return _Drawing(bed, system, under).svg()
