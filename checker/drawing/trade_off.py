"""The trade-off as a chart in SVG: the same bytes in every run, readable without colour."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import CheckerError
from checker.core.units import UNIT
from checker.drawing.plan import MARK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.core.units import System
    from checker.solve.tradeoff import ChartPoint, TradeOff

_MARKS: Final = ("o", "s", "^", "D", "v", "P")
_INCHES: Final = (9.0, 4.2)
_STYLE: Final[Any] = {
    "svg.hashsalt": "trade-off",
    "svg.fonttype": "none",
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 9.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
}


class NoCharts(CheckerError):
    """The library that draws charts is not installed."""


def trade_off_svg(trade: TradeOff, system: System) -> str:
    """Counted cover against permeable area and against cost, with the limit and the options.

    Args:
        trade: What is drawn.
        system: The units of the axes.

    Raises:
        NoCharts: matplotlib is not installed.
    """
    try:
        import matplotlib as mpl
        from matplotlib.backends.backend_svg import FigureCanvasSVG
        from matplotlib.figure import Figure
    except ImportError as error:
        raise NoCharts(
            "drawing the trade-off needs matplotlib: pip install 'soakline[charts]'"
        ) from error
    unit = "sq ft" if system == "us" else "m2"
    size_m2 = UNIT[unit].size_si
    with mpl.rc_context(_STYLE):
        figure = Figure(figsize=_INCHES, layout="constrained")
        FigureCanvasSVG(figure)
        left, right = figure.subplots(1, 2, sharey=True)
        _panel(left, trade, trade.by_permeable, size_m2, lambda point: point.permeable_m2 / size_m2)
        _panel(right, trade, trade.by_cost, size_m2, lambda point: point.cents / 100)
        if trade.by_permeable:
            right.plot(
                [point.cents / 100 for point in trade.by_permeable],
                [point.cover_m2 / size_m2 for point in trade.by_permeable],
                color="0.0", linestyle=":", label="by permeable paving alone",
            )  # fmt: skip
        left.set_xlabel(f"new permeable paving, {unit}")
        right.set_xlabel("cost beyond the design, $")
        left.set_ylabel(f"{trade.measure}, {unit}")
        handles, names = right.get_legend_handles_labels()
        figure.legend(handles, names, loc="outside lower center", ncols=3, frameon=False)
        written = io.StringIO()
        figure.savefig(written, format="svg", metadata={"Date": None, "Creator": None})
    return _described(written.getvalue(), trade, size_m2, unit)


def _panel(
    axes: Any,  # noqa: ANN401 - a library type that is loaded late
    trade: TradeOff,
    curve: Sequence[ChartPoint],
    size_m2: float,
    x_of: Any,  # noqa: ANN401 - a function of a point
) -> None:
    axes.axhline(trade.limit_m2 / size_m2, color="0.35", linestyle="--", label="limit")
    if curve:
        xs = [x_of(point) for point in curve]
        ys = [point.cover_m2 / size_m2 for point in curve]
        axes.plot(xs, ys, color="0.0", linewidth=1.5, label="least for each cover")
    designs = [trade.today, *trade.options]
    for number, point in enumerate(designs):
        axes.plot(
            [x_of(point)],
            [point.cover_m2 / size_m2],
            marker=_MARKS[number % len(_MARKS)],
            markersize=8,
            markerfacecolor="0.0" if number == 0 else "1.0",
            markeredgecolor="0.0",
            linestyle="none",
            label=point.title,
        )


def _described(svg: str, trade: TradeOff, size_m2: float, unit: str) -> str:
    """The drawing with a title and a description for those who cannot see it."""
    said = [
        f"{point.title}: {point.cover_m2 / size_m2:,.0f} {unit} counted, "
        f"{point.permeable_m2 / size_m2:,.0f} {unit} of new permeable paving, "
        f"{point.cents / 100:,.2f} dollars beyond the design"
        for point in (trade.today, *trade.options)
    ]
    text = f"The limit is {trade.limit_m2 / size_m2:,.0f} {unit}. {'. '.join(said)}."
    head = f"<title>Trade-off of {_plain(trade.measure)}</title><desc>{_plain(text)}</desc>"
    start = svg.index("<svg")
    end = svg.index(">", start) + 1
    tag = svg[start:end].replace("<svg", '<svg role="img"', 1)
    return f"{tag}{MARK}{head}{svg[end:]}"


def _plain(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
