"""Flow over time as a chart: rain hangs from the top, flows are lines that differ by dashes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.showing import show_number
from checker.core.units import UNIT
from checker.drawing.plan import FONT, MARK
from checker.drawing.svg import number, tag
from checker.pages import colours
from checker.pages.markup import escape

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.core.units import System

WIDTH_MM: Final = 170.0
HEIGHT_MM: Final = 80.0
_LEFT_MM: Final = 16.0
_RIGHT_MM: Final = 16.0
_TOP_MM: Final = 6.0
_FOOT_MM: Final = 22.0
_RAIN_SHARE: Final = 0.28
_TEXT_MM: Final = 2.6
_STYLES: Final = (
    (colours.PROPOSED, ""),
    (colours.REMOVED, "3 1.2"),
    (colours.EXISTING, "0.6 1"),
    (colours.REGION, "5 1 0.8 1"),
)
_MOST_POINTS: Final = 400


class FlowCurve(NamedTuple):
    """One flow over time.

    Attributes:
        title: Its name in the legend.
        flow_m3_per_s: Mean of each step.
    """

    title: str
    flow_m3_per_s: Sequence[float]


class Chart(NamedTuple):
    """What a chart shows.

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


def hydrograph_svg(chart: Chart, system: System) -> str:
    """The chart as SVG."""
    flow_unit, rain_unit = ("gal/min", "in/h") if system == "us" else ("L/s", "mm/h")
    flow_size, rain_size = UNIT[flow_unit].size_si, UNIT[rain_unit].size_si
    count = max(1, min(int(chart.hours * 3600 / chart.step_s), _length(chart)))
    curves = [
        FlowCurve(curve.title, [flow / flow_size for flow in _padded(curve.flow_m3_per_s, count)])
        for curve in chart.curves[: len(_STYLES)]
    ]
    rain = [depth / chart.step_s / rain_size for depth in _padded(chart.rain_m, count)]
    highest = _round_up(max((max(c.flow_m3_per_s) for c in curves), default=0.0))
    wettest = _round_up(max(rain, default=0.0))
    hours = count * chart.step_s / 3600
    legend_mm = 5.0 * len(curves)
    body = [
        *_frame(highest, wettest, hours, (flow_unit, rain_unit)),
        _rain(rain, wettest),
        *(
            _line(curve.flow_m3_per_s, highest, *_STYLES[index])
            for index, curve in enumerate(curves)
        ),
        *_legend(curves),
    ]
    return tag(
        "svg",
        MARK,
        tag("title", escape(chart.name)),
        tag("desc", escape(chart.says)),
        tag("rect", width=WIDTH_MM, height=HEIGHT_MM + legend_mm, fill=colours.PAPER),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(WIDTH_MM)} {number(HEIGHT_MM + legend_mm)}",
        width=f"{number(WIDTH_MM)}mm",
        height=f"{number(HEIGHT_MM + legend_mm)}mm",
        role="img",
        font_family=FONT,
    )


def _length(chart: Chart) -> int:
    return max([len(chart.rain_m), *(len(curve.flow_m3_per_s) for curve in chart.curves)])


def _padded(values: Sequence[float], count: int) -> list[float]:
    kept = [float(value) for value in values[:count]]
    return kept + [0.0] * (count - len(kept))


def _round_up(value: float) -> float:
    """A round number not below a value, 1 for none."""
    if value <= 0:
        return 1.0
    size = 1.0
    while size * 10 <= value:
        size *= 10
    while size > value:
        size /= 10
    return next(
        size * times for times in (1, 1.5, 2, 3, 5, 10) if size * times >= value * (1 - 1e-9)
    )


def _area() -> tuple[float, float, float, float]:
    return _LEFT_MM, _TOP_MM, WIDTH_MM - _RIGHT_MM, HEIGHT_MM - _FOOT_MM


def _frame(highest: float, wettest: float, hours: float, units: tuple[str, str]) -> Iterator[str]:
    left, top, right, bottom = _area()
    yield tag(
        "path",
        d=f"M{number(left)} {number(top)}V{number(bottom)}H{number(right)}V{number(top)}",
        fill="none",
        stroke=colours.LINE,
        stroke_width=0.3,
    )
    for share in (0.0, 0.5, 1.0):
        y = bottom - share * (bottom - top) * (1 - _RAIN_SHARE)
        yield _words(_plain(highest * share), left - 1.5, y + 0.9, "end")
        yield tag(
            "path",
            d=f"M{number(left)} {number(y)}H{number(right)}",
            stroke=colours.RULE,
            stroke_width=0.2,
        )
        rain_y = top + share * (bottom - top) * _RAIN_SHARE
        yield _words(_plain(wettest * share), right + 1.5, rain_y + 0.9, "start")
    yield _words(units[0], left, top - 1.8, "start")
    yield _words(f"rain, {units[1]}", right, top - 1.8, "end")
    step = next(s for s in (0.25, 0.5, 1, 2, 4, 6, 12, 24, 48, 1e9) if hours / s <= 8)
    at = 0.0
    while at <= hours + 1e-9:
        x = left + at / hours * (right - left)
        yield tag(
            "path",
            d=f"M{number(x)} {number(bottom)}v1.2",
            stroke=colours.LINE,
            stroke_width=0.3,
        )
        yield _words(f"{_plain(at)} h", x, bottom + 4.4, "middle")
        at += step


def _plain(value: float) -> str:
    text = show_number(value, 2)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _rain(rain: Sequence[float], wettest: float) -> str:
    left, top, right, bottom = _area()
    reach = (bottom - top) * _RAIN_SHARE
    width = (right - left) / len(rain)
    parts = [f"M{number(left)} {number(top)}"]
    last = None
    for index, value in enumerate(rain):
        if value != last:
            x, y = left + index * width, top + value / wettest * reach
            parts.append(f"H{x:.3f}V{y:.3f}")
            last = value
    parts.append(f"H{number(right)}V{number(top)}Z")
    return tag("path", d="".join(parts), fill=colours.PROPOSED_FILL, stroke=colours.LINE,
               stroke_width=0.15)  # fmt: skip


def _line(flow: Sequence[float], highest: float, colour: str, dashes: str) -> str:
    left, top, right, bottom = _area()
    reach = (bottom - top) * (1 - _RAIN_SHARE)
    stride = max(1, len(flow) // _MOST_POINTS)
    points = [max(flow[i : i + stride]) for i in range(0, len(flow), stride)]
    width = (right - left) / max(1, len(points) - 1)
    path = "L".join(
        f"{left + index * width:.2f} {bottom - value / highest * reach:.2f}"
        for index, value in enumerate(points)
    )
    extra = {"stroke_dasharray": dashes} if dashes else {}
    return tag("path", d=f"M{path}", fill="none", stroke=colour, stroke_width=0.5, **extra)


def _legend(curves: Sequence[FlowCurve]) -> Iterator[str]:
    left = _LEFT_MM
    for index, curve in enumerate(curves):
        y = HEIGHT_MM - _FOOT_MM + 11.0 + 5.0 * index
        colour, dashes = _STYLES[index]
        extra = {"stroke_dasharray": dashes} if dashes else {}
        yield tag(
            "path", d=f"M{number(left)} {number(y)}h12", stroke=colour, stroke_width=0.5, **extra
        )
        yield _words(curve.title, left + 14, y + 0.9, "start")


def _words(text: str, x: float, y: float, anchor: str) -> str:
    return tag(
        "text", escape(text), x=x, y=y, font_size=_TEXT_MM, text_anchor=anchor, fill=colours.INK
    )
