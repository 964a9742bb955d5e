"""Flow over time as a chart: rain hangs from the top, flows are lines that differ by dashes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.showing import unit_for
from checker.core.units import FLOW, SPEED, UNIT
from checker.drawing.charts import (
    ROW_MM,
    Axes,
    LineStyle,
    round_up,
    short,
    words,
)
from checker.drawing.svg import number, picture, tag
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.core.units import System

_WIDTH_MM: Final = 170.0
_HEIGHT_MM: Final = 80.0
_SIDE_MM: Final = 16.0
_TOP_MM: Final = 6.0
_FOOT_MM: Final = 22.0
_RAIN_SHARE: Final = 0.28
_STYLES: Final = (
    LineStyle(colours.PROPOSED),
    LineStyle(colours.REMOVED, "3 1.2"),
    LineStyle(colours.EXISTING, "0.6 1"),
    LineStyle(colours.REGION, "5 1 0.8 1"),
)
_MOST_POINTS: Final = 400


class FlowCurve(Record):
    """One flow over time: its name in the legend, and the mean of each step."""

    title: str
    flow_m3_per_s: Sequence[float]


class Hydrograph(Record):
    """What the chart shows.

    Attributes:
        name: Its title, also for people who cannot see it.
        says: What it shows, in a sentence.
        step_s: Length of a step.
        rain_m: Depth of rain in each step.
        curves: Flows; as many as there are styles of line are drawn.
        hours: How much of the time is shown.
    """

    name: str
    says: str
    step_s: float
    rain_m: Sequence[float]
    curves: Sequence[FlowCurve]
    hours: float


def hydrograph_svg(chart: Hydrograph, system: System) -> str:
    """The chart as SVG."""
    (flow_unit, _), (rain_unit, _) = unit_for(FLOW, system), unit_for(SPEED, system)
    flow_size, rain_size = UNIT[flow_unit].size_si, UNIT[rain_unit].size_si
    longest = max([len(chart.rain_m), *(len(curve.flow_m3_per_s) for curve in chart.curves)])
    count = max(1, min(int(chart.hours * 3600 / chart.step_s), longest))
    shown = chart.curves[: len(_STYLES)]
    flows = [[q / flow_size for q in _padded(curve.flow_m3_per_s, count)] for curve in shown]
    rain = [depth / chart.step_s / rain_size for depth in _padded(chart.rain_m, count)]
    wettest, hours = round_up(max(rain)), count * chart.step_s / 3600
    reach = (_HEIGHT_MM - _FOOT_MM - _TOP_MM) * _RAIN_SHARE
    right, bottom = _WIDTH_MM - _SIDE_MM, _HEIGHT_MM - _FOOT_MM
    axes = Axes(
        left=_SIDE_MM,
        top=_TOP_MM + reach,
        right=right,
        bottom=bottom,
        x_most=hours,
        y_most=round_up(max(map(max, flows), default=0.0)),
    )
    step = next(s for s in (0.25, 0.5, 1, 2, 4, 6, 12, 24, 48, 1e9) if hours / s <= 8)
    frame = f"M{number(_SIDE_MM)} {_TOP_MM}V{number(bottom)}H{number(right)}V{_TOP_MM}"
    body = [
        LineStyle(colours.LINE, width_mm=0.3).path(frame),
        *axes.across((0.0, 0.5, 1.0)),
        *axes.along(step, " h"),
        words(flow_unit, _SIDE_MM, _TOP_MM - 1.8, "start"),
        words(f"rain, {rain_unit}", right, _TOP_MM - 1.8, "end"),
        *(
            words(short(wettest * share), right + 1.5, _TOP_MM + share * reach + 0.9, "start")
            for share in (0.0, 0.5, 1.0)
        ),
        _rain(rain, wettest, reach),
        *(
            axes.line(_thinned(flow, hours), style)
            for flow, style in zip(flows, _STYLES, strict=False)
        ),
        *_legend(shown),
    ]
    height_mm = _HEIGHT_MM + ROW_MM * len(shown)
    return picture((_WIDTH_MM, height_mm), chart.name, chart.says, body)


def _padded(values: Sequence[float], count: int) -> list[float]:
    kept = [float(value) for value in values[:count]]
    return kept + [0.0] * (count - len(kept))


def _thinned(flow: Sequence[float], hours: float) -> list[tuple[float, float]]:
    """The highest of each few steps, over time."""
    stride = max(1, len(flow) // _MOST_POINTS)
    tops = [max(flow[i : i + stride]) for i in range(0, len(flow), stride)]
    return [(index * hours / max(1, len(tops) - 1), top) for index, top in enumerate(tops)]


def _rain(rain: Sequence[float], wettest: float, reach: float) -> str:
    right = _WIDTH_MM - _SIDE_MM
    width = (right - _SIDE_MM) / len(rain)
    parts, last = [f"M{number(_SIDE_MM)} {number(_TOP_MM)}"], -1.0
    for index, value in enumerate(rain):
        if value != last:
            parts.append(f"H{_SIDE_MM + index * width:.3f}V{_TOP_MM + value / wettest * reach:.3f}")
            last = value
    parts.append(f"H{number(right)}V{number(_TOP_MM)}Z")
    return tag("path", d="".join(parts), fill=colours.PROPOSED_FILL, stroke=colours.LINE,
               stroke_width=0.15)  # fmt: skip


def _legend(curves: Sequence[FlowCurve]) -> Iterator[str]:
    for index, curve in enumerate(curves):
        y = _HEIGHT_MM - _FOOT_MM + 11.0 + ROW_MM * index
        yield _STYLES[index].path(f"M{number(_SIDE_MM)} {number(y)}h12")
        yield words(curve.title, _SIDE_MM + 14, y + 0.9, "start")
