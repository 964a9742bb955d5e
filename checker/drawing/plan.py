"""The plan of a report as one SVG: the drawing, north, the bar scale and the legend."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.drawing.hatches import STYLES, hatch_defs, hatch_id, hatch_over
from checker.drawing.lot import draw_lot, drawn_bounds
from checker.drawing.marks import azimuth_arrow
from checker.drawing.scale import Frame, Scale, fitting_scale
from checker.drawing.svg import number, picture, tag, text_width_mm
from checker.pages import colours
from checker.pages.markup import escape
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.drawing.lot import LotDrawing, Phase
    from checker.findings.checked import Checked
    from checker.words.letters import Keys

MARGIN_MM: Final = 8.0
"""Room around the lot for the text of its lines and for letters beside it."""

FOOT_MM: Final = 16.0
ROW_MM: Final = 4.8
COLUMNS: Final = 3
TEXT_MM: Final = 2.5


class PaperRoom(Record):
    """The room that a plan may take, millimetres."""

    width_mm: float
    height_mm: float


REPORT: Final = PaperRoom(184.0, 220.0)
"""Fits US Letter and A4 upright with half-inch margins and a caption."""

NOTE_MM: Final = 3.6
"""From a line of notes to the next."""

_COLUMN_MM: Final = 44.0
"""The least width of a column of names below a plan."""

_SIGN_MM: Final = 6.0
"""From the number or letter of a name to the name."""

_MOST_LISTED: Final = 12
"""So many names of surfaces are listed below a plan; the key to the plan has them all."""

HALF: Final = PaperRoom(90.0, 104.0)
"""Two of them stand beside each other on the same paper."""


def plan_svg(checked: Checked, keys: Keys, says: str, paper: PaperRoom = REPORT) -> str:
    """The plan of the lot with the work, its legend and notes.

    Args:
        checked: The site, measured.
        keys: The letters of its surfaces.
        says: What it shows, for people who cannot see it.
        paper: The room for it.
    """
    frame = fitted_frame(checked, paper, _most_rows(checked))
    width_mm, height_mm = frame.width_mm, frame.height_mm
    drawing = draw_lot(checked, keys, frame, texts="names")
    foot = list(scale_foot(frame.scale, checked.site.north_degrees, height_mm))
    items = list(legend_of(drawing))
    rows = -(-len(items) // COLUMNS)
    places = [
        (width_mm / COLUMNS * (index // rows), height_mm + FOOT_MM + ROW_MM * (index % rows))
        for index in range(len(items))
    ]
    legend = [item.at(*place) for item, place in zip(items, places, strict=True)]
    total_mm = height_mm + FOOT_MM + ROW_MM * rows + 1
    listed, high_mm = _listed(drawing, keys, width_mm, total_mm)
    return picture(
        (width_mm, total_mm + high_mm),
        f"Plan of {clean(checked.site.title)}",
        says,
        (*drawing.body, *foot, *_notes(drawing, height_mm), *legend, *listed),
        name="lot-plan",
        defs=(*drawing.defs, *legend_defs(items, drawing)),
    )


def phase_svg(
    checked: Checked,
    keys: Keys,
    phase: Phase,
    title: str,
    paper: PaperRoom = HALF,
    name: str = "",
) -> str:
    """A smaller plan of one phase of the work, to stand beside another of the same scale.

    Args:
        checked: The site, measured.
        keys: The letters of its surfaces.
        phase: What it shows.
        title: What it is called, for people who cannot see it.
        paper: The room for it.
        name: Its name on a page that has two of one phase; empty for that of the phase.
    """
    name = name or phase
    frame = fitted_frame(checked, paper, 0)
    drawing = draw_lot(
        checked,
        keys,
        frame,
        phase,
        f"{name}-",
        "names" if phase == "demolition" else "work alone",
    )
    foot = scale_foot(frame.scale, checked.site.north_degrees, frame.height_mm)
    below_mm = frame.height_mm + FOOT_MM
    listed, high_mm = _listed(drawing, keys, frame.width_mm, below_mm)
    return picture(
        (frame.width_mm, below_mm + high_mm),
        f"{title}: {clean(checked.site.title)}",
        "",
        (*drawing.body, *foot, *listed),
        name=f"plan-{name}",
        defs=drawing.defs,
    )


def fitted_frame(checked: Checked, paper: PaperRoom, legend_rows: int) -> Frame:
    """The lot at the largest scale at which it and its legend fit, in the middle of the width."""
    left, bottom, right, top = drawn_bounds(checked)
    room = (
        paper.width_mm - 2 * MARGIN_MM,
        paper.height_mm - 2 * MARGIN_MM - FOOT_MM - ROW_MM * legend_rows,
    )
    scale = fitting_scale(right - left, top - bottom, room, checked.system)
    size = 1000 / scale.ratio
    return Frame(
        scale=scale,
        left_m=left - (paper.width_mm / size - (right - left)) / 2,
        top_m=top + MARGIN_MM / size,
        x_mm=0.0,
        y_mm=0.0,
        width_mm=paper.width_mm,
        height_mm=(top - bottom) * size + 2 * MARGIN_MM,
    )


def _most_rows(checked: Checked) -> int:
    """As many rows as the legend can need, to leave room for it."""
    hatches = {surface.material.hatch for surface in checked.site.surfaces}
    return -(-(len(hatches) + 8) // COLUMNS)


def scale_foot(scale: Scale, north_degrees: float, y: float) -> Iterator[str]:
    """North, the bar scale and the written scale, from a height on paper down."""
    yield azimuth_arrow(12.0, y + 9.0, north_degrees, 10.0)
    x, top = 34.0, y + 8.0
    length = scale.bar_m * 1000 / scale.ratio
    ends = (0.0, 0.25, 0.5, 1.0)
    for index in range(3):
        yield tag(
            "rect",
            x=x + length * ends[index],
            y=top,
            width=length * (ends[index + 1] - ends[index]),
            height=1.6,
            fill=colours.PAPER if index % 2 else colours.INK,
            stroke=colours.INK,
            stroke_width=0.25,
        )
    for share, label in zip(ends, scale.bar_labels, strict=True):
        yield _words(label, x + length * share, top - 1.2, anchor="middle")
    yield _words(f"Scale {scale.text} at full size", x, top + 5.6)


def _notes(drawing: LotDrawing, y: float) -> Iterator[str]:
    """What the drawing itself cannot show, in lines right of the bar scale."""
    said: list[str] = []
    if drawing.numbered:
        said.append("L and a number: see the table of lot lines.")
    if drawing.beyond:
        said.append("Too far away to be drawn:")
        said += _lines_of(list(drawing.beyond))
    for index, text in enumerate(said[:4]):
        yield _words(text, 118.0, y + 4.0 + NOTE_MM * index)


def _listed(drawing: LotDrawing, keys: Keys, width_mm: float, y: float) -> tuple[list[str], float]:
    """Names that found no place on the drawing, by number or letter, in columns, and their height.

    Args:
        drawing: The drawing.
        keys: The names.
        width_mm: Of the paper.
        y: Where the list begins.
    """
    names = [(str(index), text) for index, text in enumerate(drawing.notes, 1)]
    names += [(keys.letter(of), keys.name(of)) for of in drawing.unnamed[:_MOST_LISTED]]
    longest_mm = max((text_width_mm(name, TEXT_MM) for _, name in names), default=0.0)
    columns = max(1, int(width_mm // max(_COLUMN_MM, longest_mm + _SIGN_MM + 3.0)))
    room_mm = width_mm / columns
    rows = -(-len(names) // columns)
    parts: list[str] = []
    for index, (sign, name) in enumerate(names):
        x, row_y = 2.0 + room_mm * (index // rows), y + NOTE_MM * (index % rows + 0.7)
        parts.append(_words(sign, x, row_y))
        parts.append(_words(_cut(name, room_mm - _SIGN_MM - 3.0), x + _SIGN_MM, row_y))
    if drawing.unnamed[_MOST_LISTED:]:
        parts.append(
            _words("The key to the plan names the other letters.", 2.0, y + NOTE_MM * (rows + 0.7))
        )
        rows += 1
    return parts, NOTE_MM * rows


def _cut(text: str, room_mm: float) -> str:
    """A text as far as there is room for it."""
    if text_width_mm(text, TEXT_MM) <= room_mm:
        return text
    while text and text_width_mm(f"{text}…", TEXT_MM) > room_mm:
        text = text[:-1].rstrip()
    return f"{text}…"


def _words(text: str, x: float, y: float, anchor: str = "start") -> str:
    return tag(
        "text", escape(text), x=x, y=y, font_size=TEXT_MM, text_anchor=anchor, fill=colours.INK
    )


class LegendItem(Record):
    """One entry of the legend: a swatch of lines and hatch, and its words."""

    text: str
    line: str = ""
    width_mm: float = 0.0
    dashes: str = ""
    fill: str = "none"
    hatch: str = ""
    stage: str = "existing"
    is_line: bool = False

    def at(self, x: float, y: float) -> str:
        """The entry with its upper left corner at a point on paper."""
        return self.swatch(x + 1, y) + _words(self.text, x + 12, y + 2.9)

    def swatch(self, x: float, y: float) -> str:
        """Its lines and hatch without the words."""
        stroke: dict[str, str | float] = {}
        if self.line:
            stroke = {"stroke": self.line, "stroke_width": self.width_mm}
        dashes = {"stroke_dasharray": self.dashes} if self.dashes else {}
        if self.is_line:
            path = f"M{number(x)} {number(y + 2)}h9"
            return tag("path", d=path, fill="none", **stroke, **dashes)
        box: dict[str, str | float] = {"x": x, "y": y, "width": 9.0, "height": 4.0}
        parts = [tag("rect", fill=self.fill, **box)]
        if self.hatch:
            name = f"swatch-{number(x)}-{number(y)}"
            tiles = hatch_over(self.hatch, self.stage, (x, y, x + 9.0, y + 4.0))
            parts.append(tag("clipPath", tag("rect", **box), id=name))
            parts.append(tag("g", tiles, clip_path=f"url(#{name})"))
        if self.line:
            parts.append(tag("rect", fill="none", **box, **stroke, **dashes))
        return "".join(parts)


def legend_of(drawing: LotDrawing) -> Iterator[LegendItem]:
    """The entries that explain every line and hatch of a drawing."""
    yield LegendItem("Lot line", colours.INK, 0.7, "4 0.8 0.9 0.8 0.9 0.8", is_line=True)
    for stage in drawing.stages:
        style = STYLES[stage]
        hatch = "cross" if stage == "removed" else ""
        yield LegendItem(
            style.title, style.line, style.width_mm, style.dashes, style.fill, hatch, stage
        )
    if drawing.has_regions:
        yield LegendItem("Region or yard", colours.REGION, 0.3, "3 1.2", is_line=True)
    if drawing.has_outside:
        yield LegendItem("Drawn beyond the lot line", colours.INK, 0.35, "0.4 0.9", is_line=True)
    for line in drawing.lines:
        yield LegendItem(line.title, colours.INK, line.width, line.dashes, is_line=True)
    by_hatch: dict[str, list[str]] = {}
    stages: dict[str, str] = {}
    for hatch, title, stage in drawing.materials:
        if hatch:
            by_hatch.setdefault(hatch, []).append(title)
            stages.setdefault(hatch, stage)
    for hatch, titles in by_hatch.items():
        for text in _lines_of(titles):
            stage = stages[hatch]
            yield LegendItem(text, "", 0.0, "", STYLES[stage].fill, hatch, stage)


def legend_defs(items: Sequence[LegendItem], drawing: LotDrawing) -> Iterator[str]:
    """The hatches that the legend needs beside those of the drawing."""
    known = set(drawing.hatches)
    for item in items:
        name = hatch_id(item.hatch, item.stage)
        if item.hatch and name not in known:
            known.add(name)
            yield hatch_defs(item.hatch, item.stage)


def _lines_of(titles: list[str]) -> Iterator[str]:
    """Names joined as far as a column of the legend is wide."""
    room_mm = REPORT.width_mm / COLUMNS - 14
    line = ""
    for title in titles:
        joined = f"{line}, {title[:1].lower()}{title[1:]}" if line else title
        if line and text_width_mm(joined, TEXT_MM) > room_mm:
            yield line
            joined = title
        line = joined
    if line:
        yield _cut(line, room_mm)
