"""The plan of the drainage: falls, levels, drains and pipes, and where water stands when blocked.

Each blocked case has a number, the same as in the table of cases; the numbers stand on the plan
where the water of the case stands highest on the surface.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.drawing.grading import Grading, grading_legend
from checker.drawing.labels import Box
from checker.drawing.lot import LotPen
from checker.drawing.plan import (
    COLUMNS,
    FOOT_MM,
    REPORT,
    ROW_MM,
    LegendItem,
    fitted_frame,
    scale_foot,
)
from checker.drawing.scale import Frame
from checker.drawing.spot_names import SpotNames
from checker.drawing.svg import picture, tag, text_width_mm
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.cases import design_cases, surface_levels_m
from checker.measure.drainage.drawn import ways_of
from checker.pages import colours
from checker.pages.markup import escape
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.labels import Placer
    from checker.measure.survey import Survey
    from checker.site.drainage import Xy
    from checker.words.brief import Brief

_TEXT_MM: Final = 2.4
_PREFIX: Final = "drainage-"
_BADGE: Final = LegendItem("In a ring: cases whose water stands there", colours.REMOVED, 0.45)


def places(survey: Survey) -> dict[str, Xy]:
    """Where each drain, edge and open store lies on the drawing."""
    ways = ways_of(survey)
    found: dict[str, Xy] = {}
    lines = [(drain.id, drain.points) for drain in ways.drains if drain.points]
    lines += [(edge.id, edge.points) for edge in ways.edges]
    for name, points in lines:
        first, last = points[0], points[-1]
        found[name] = ((first[0] + last[0]) / 2, (first[1] + last[1]) / 2)
    visible = survey.partition("proposed").visible
    for pit in ways.pits:
        if pit.at is not None:
            found[pit.id] = pit.at
        elif pit.under in visible:
            middle = visible[pit.under].representative_point()
            found[pit.id] = (middle.x, middle.y)
    return found


def standing(survey: Survey) -> dict[str, list[int]]:
    """Numbers of the blocked cases by where their water stands highest, 1 for the first blocked.

    Cases whose water stands as high as with nothing blocked are left out.
    """
    cases = design_cases(survey)
    calm = surface_levels_m(survey, cases.open)
    found: dict[str, list[int]] = {}
    for index, flows in enumerate(cases.cases[1:], start=1):
        levels = surface_levels_m(survey, flows)
        risen = {
            name: level for name, level in levels.items() if level > calm.get(name, 0.0) + 1e-6
        }
        if risen:
            found.setdefault(max(risen, key=lambda name: risen[name]), []).append(index)
    return found


def drainage_plan_svg(brief: Brief, says: str) -> str:
    """The plan as SVG.

    Args:
        brief: The site, its letters and its figures.
        says: What it shows, for people who cannot see it.
    """
    checked = brief.checked
    frame = fitted_frame(checked, REPORT, 3)
    width_mm, height_mm = frame.width_mm, frame.height_mm
    pen = LotPen(checked, brief.keys, frame, prefix=_PREFIX)
    names = SpotNames(pen.placer)
    graded = Grading(brief, frame, names)
    lines = [*graded.lines, *graded.arrows()]
    drawing = pen.drawing()
    items = [*grading_legend(brief), _BADGE]
    legend = [
        item.at(
            width_mm / COLUMNS * (index % COLUMNS),
            height_mm + FOOT_MM + ROW_MM * (index // COLUMNS),
        )
        for index, item in enumerate(items)
    ]
    total_mm = height_mm + FOOT_MM + ROW_MM * -(-len(items) // COLUMNS) + 1
    return picture(
        (width_mm, total_mm),
        f"Drainage plan of {clean(checked.site.title)}",
        says,
        (
            *drawing.body[:1],
            *lines,
            *drawing.body[1:],
            *names.drawn(),
            *_cases(checked.survey, frame, drawing.placer),
            *scale_foot(frame.scale, checked.site.north_degrees, height_mm),
            *legend,
        ),
        name="plan-drainage",
        defs=drawing.defs,
    )


def _cases(survey: Survey, frame: Frame, placer: Placer) -> Iterator[str]:
    try:
        where = standing(survey)
    except NotMeasured:
        return
    known = places(survey)
    for name, cases in where.items():
        if name not in known:
            continue
        x, y = frame.at(*known[name])
        text = ", ".join(str(case) for case in cases)
        wide, high = text_width_mm(text, _TEXT_MM) + 2.4, _TEXT_MM + 1.6
        boxes = [
            Box(x + dx - wide / 2, y + dy - high / 2, x + dx + wide / 2, y + dy + high / 2)
            for dy in (4.0, -4.5, 8.0, -8.0, 12.0, -12.0, 16.0, -16.0)
            for dx in (0.0, -12.0, 12.0, -24.0, 24.0)
        ]
        box = next((box for box in boxes if placer.is_free(box)), boxes[0])
        placer.take(box)
        yield tag(
            "rect",
            x=box.left,
            y=box.top,
            width=wide,
            height=high,
            rx=1.4,
            fill=colours.PAPER,
            stroke=colours.REMOVED,
            stroke_width=0.45,
        )
        yield tag(
            "text",
            escape(text),
            x=box.left + wide / 2,
            y=box.top + 0.7 + _TEXT_MM * 0.9,
            font_size=_TEXT_MM,
            text_anchor="middle",
            fill=colours.INK,
        )
