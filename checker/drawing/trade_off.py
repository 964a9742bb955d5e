"""The trade-off as a chart: counted cover against permeable area and against cost."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.showing import show, unit_for
from checker.core.units import AREA, UNIT, Amount
from checker.drawing.charts import (
    ROW_MM,
    Axes,
    LineStyle,
    mark,
    round_up,
    words,
)
from checker.drawing.svg import number, picture
from checker.pages import colours
from checker.words.amounts import capital, clean
from checker.words.changes import money

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from checker.core.units import System
    from checker.solve.trade_off import ChartPoint, TradeOff

_SIZE_MM: Final = (190.0, 86.0)
_PANELS_MM: Final = ((20.0, 92.0), (108.0, 180.0))
_TOP_MM: Final = 8.0
_BOTTOM_MM: Final = 66.0
_LEGEND_COLUMNS: Final = 3
_ROWS: Final = 4
_ROOM: Final = 1.5
"""The axis is so many times as long as what lies between the designs and the limit."""

_LEAST: Final = LineStyle(colours.INK)
_LIMIT: Final = LineStyle(colours.QUIET, "3 1.2")
_PERMEABLE: Final = LineStyle(colours.INK, "0.6 1")


def trade_off_svg(trade: TradeOff, system: System) -> str:
    """Counted cover against permeable area and against cost, with the limit and the options.

    Args:
        trade: What is drawn.
        system: The units of the axes.
    """
    unit, _ = unit_for(AREA, system)
    size_m2 = UNIT[unit].size_si
    body: list[str] = []

    def permeable(point: ChartPoint) -> float:
        return point.permeable_m2 / size_m2

    def cost(point: ChartPoint) -> float:
        return point.cents / 100

    def covers(point: ChartPoint) -> float:
        return point.cover_m2 / size_m2

    designs = (trade.today, *trade.options)
    limit = trade.limit_m2 / size_m2
    low, high, step_y = _window([limit, *map(covers, designs)])

    def panel(
        ends: tuple[float, float],
        x_of: Callable[[ChartPoint], float],
        titles: tuple[str, str],
        curves: Sequence[tuple[Sequence[ChartPoint], LineStyle]],
    ) -> Axes:
        lines = [
            (list(_down_to(low, [(x_of(p), covers(p)) for p in curve])), style)
            for curve, style in curves
        ]
        reached = [x for line, _ in lines for x, _ in line]
        x_low, x_high, step_x = _ends([0.0, *map(x_of, designs)], reached)
        axes = Axes(
            left=ends[0], top=_TOP_MM, right=ends[1], bottom=_BOTTOM_MM,
            x_most=x_high, y_most=high, x_least=x_low, y_least=low,
        )  # fmt: skip
        rows = round((high - low) / step_y)
        body.extend((axes.frame(), *axes.across([row / rows for row in range(rows + 1)])))
        body.extend(axes.along(step_x))
        body.append(words(titles[0], ends[0], _TOP_MM - 2.5, "start"))
        body.append(words(titles[1], sum(ends) / 2, _BOTTOM_MM + 9.0, "middle"))
        body.append(axes.line([(x_low, limit), (x_high, limit)], _LIMIT))
        for line, style in lines:
            if len(line) > 1:
                body.append(axes.line(_up_to(x_high, line), style))
        return axes

    cover = f"{clean(trade.measure)}, {unit}"
    plain, alone = (trade.by_cost, _LEAST), (trade.by_permeable, _PERMEABLE)
    left = panel(
        _PANELS_MM[0], permeable, (cover, f"new permeable paving, {unit}"),
        [(trade.by_permeable, _LEAST)],
    )  # fmt: skip
    right = panel(_PANELS_MM[1], cost, (cover, "cost beyond the design, $"), [plain, alone])
    for order, point in enumerate(designs):
        body.append(left.mark(permeable(point), covers(point), order))
        body.append(right.mark(cost(point), covers(point), order))
    entries = list(_legend(trade, designs))
    for index, (drawn, title) in enumerate(entries):
        x = _PANELS_MM[0][0] + 56.0 * (index % _LEGEND_COLUMNS)
        y = _BOTTOM_MM + 16.0 + ROW_MM * (index // _LEGEND_COLUMNS)
        body.append(drawn.path(f"M{number(x)} {number(y)}h9") if isinstance(drawn, LineStyle)
                    else mark(x + 4.5, y, drawn))  # fmt: skip
        body.append(words(title, x + 11.0, y + 0.9, "start"))
    height_mm = _SIZE_MM[1] + ROW_MM * (-(-len(entries) // _LEGEND_COLUMNS) - 1)
    title = f"Trade-off of {clean(trade.measure)}"
    return picture((_SIZE_MM[0], height_mm), title, _says(trade, system), body)


def _window(covers: list[float]) -> tuple[float, float, float]:
    """The ends of the upright axis and its step: about the designs and the limit."""
    span = max(max(covers) - min(covers), 0.02 * max(covers), 1.0)
    step = round_up(span * _ROOM / _ROWS)
    low = max(0.0, math.floor((min(covers) - 0.4 * span) / step) * step)
    high = math.ceil((max(covers) + 0.1 * span) / step) * step
    return low, high, step


def _ends(designs: list[float], reached: list[float]) -> tuple[float, float, float]:
    """The ends of the axis along the foot and its step; curves end where designs are crowded."""
    least, most = min(designs), max(designs)
    span = max(most - least, 1e-9)
    furthest = max([most, *reached])
    most = min(furthest, most + 2 * span) if most > least else furthest
    step = round_up(max(most - least, 1.0) / _ROWS)
    return math.floor(least / step) * step, max(1, math.ceil(most / step - 1e-9)) * step, step


def _down_to(low: float, points: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """A falling curve as far as it lies above a cover."""
    yield from points[:1]
    for (x0, y0), (x1, y1) in pairwise(points):
        if y1 >= low:
            yield x1, y1
            continue
        if y0 > low:
            yield x0 + (x1 - x0) * (y0 - low) / (y0 - y1), low
        return


def _up_to(most: float, points: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """A rising curve as far as it lies left of an end."""
    yield from points[:1]
    for (x0, y0), (x1, y1) in pairwise(points):
        if x1 <= most:
            yield x1, y1
            continue
        if x0 < most:
            yield most, y0 + (y1 - y0) * (most - x0) / (x1 - x0)
        return


def _legend(
    trade: TradeOff, designs: tuple[ChartPoint, ...]
) -> Iterator[tuple[LineStyle | int, str]]:
    yield _LIMIT, "limit"
    if trade.by_cost or trade.by_permeable:
        yield _LEAST, "least for each cover"
    if trade.by_permeable:
        yield _PERMEABLE, "by permeable paving alone"
    for order, point in enumerate(designs):
        yield order, clean(point.title)


def _says(trade: TradeOff, system: System) -> str:
    def area(area_m2: float) -> str:
        return show(Amount(area_m2, AREA), system)

    said = [
        f"{capital(clean(point.title))}: {area(point.cover_m2)} counted, "
        f"{area(point.permeable_m2)} of new permeable paving, "
        f"{money(round(point.cents))} beyond the design"
        for point in (trade.today, *trade.options)
    ]
    return f"The limit is {area(trade.limit_m2)}. {'. '.join(said)}."
