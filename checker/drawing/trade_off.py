"""The trade-off as a chart: counted cover against permeable area and against cost."""

from __future__ import annotations

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
    from collections.abc import Callable, Iterator

    from checker.core.units import System
    from checker.solve.tradeoff import ChartPoint, TradeOff

_SIZE_MM: Final = (190.0, 86.0)
_PANELS_MM: Final = ((20.0, 92.0), (108.0, 180.0))
_TOP_MM: Final = 8.0
_BOTTOM_MM: Final = 66.0
_LEGEND_COLUMNS: Final = 3

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
    every = (*designs, *trade.by_permeable, *trade.by_cost)
    highest = round_up(max(trade.limit_m2 / size_m2, *map(covers, every)))

    def panel(
        ends: tuple[float, float], x_of: Callable[[ChartPoint], float], titles: tuple[str, str]
    ) -> Axes:
        axes = Axes(
            left=ends[0],
            top=_TOP_MM,
            right=ends[1],
            bottom=_BOTTOM_MM,
            x_most=round_up(max(map(x_of, every))),
            y_most=highest,
        )
        body.extend((axes.frame(), *axes.across((0.0, 0.25, 0.5, 0.75, 1.0))))
        body.extend(axes.along(axes.x_most / 4))
        body.append(words(titles[0], ends[0], _TOP_MM - 2.5, "start"))
        body.append(words(titles[1], sum(ends) / 2, _BOTTOM_MM + 9.0, "middle"))
        limit = trade.limit_m2 / size_m2
        body.append(axes.line([(0.0, limit), (axes.x_most, limit)], _LIMIT))
        return axes

    cover = f"{clean(trade.measure)}, {unit}"
    left = panel(_PANELS_MM[0], permeable, (cover, f"new permeable paving, {unit}"))
    right = panel(_PANELS_MM[1], cost, (cover, "cost beyond the design, $"))
    for axes, curve, x_of, style in (
        (left, trade.by_permeable, permeable, _LEAST),
        (right, trade.by_permeable, cost, _PERMEABLE),
        (right, trade.by_cost, cost, _LEAST),
    ):
        if curve:
            body.append(axes.line([(x_of(point), covers(point)) for point in curve], style))
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
