"""What charts have in common: axes, lines, marks and legends, in millimetres on paper.

Lines differ by dashes and points by shape, so that nothing is told by colour alone.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.showing import show_number
from checker.drawing.svg import number, tag
from checker.pages import colours
from checker.pages.markup import escape

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

TEXT_MM: Final = 2.6
ROW_MM: Final = 5.0
_MARKS: Final = (
    "M-1.3 0a1.3 1.3 0 1 0 2.6 0a1.3 1.3 0 1 0 -2.6 0Z",
    "M-1.2 -1.2H1.2V1.2H-1.2Z",
    "M0 -1.5L1.5 1.2H-1.5Z",
    "M0 -1.6L1.6 0L0 1.6L-1.6 0Z",
    "M0 1.5L1.5 -1.2H-1.5Z",
    "M-1.3 -0.5H-0.5V-1.3H0.5V-0.5H1.3V0.5H0.5V1.3H-0.5V0.5H-1.3Z",
)


class LineStyle(Record):
    """How a line is drawn."""

    colour: str
    dashes: str = ""
    width_mm: float = 0.5

    def path(self, path: str) -> str:
        """A path in this style."""
        extra = {"stroke_dasharray": self.dashes} if self.dashes else {}
        return tag(
            "path", d=path, fill="none", stroke=self.colour, stroke_width=self.width_mm, **extra
        )


class Axes(Record, kw_only=True):
    """The room of a chart on paper, millimetres, and the ends of its axes."""

    left: float
    top: float
    right: float
    bottom: float
    x_most: float
    y_most: float
    x_least: float = 0.0
    y_least: float = 0.0

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point lies on paper."""
        return (
            self.left
            + (x - self.x_least) / (self.x_most - self.x_least) * (self.right - self.left),
            self.bottom
            - (y - self.y_least) / (self.y_most - self.y_least) * (self.bottom - self.top),
        )

    def line(self, points: Iterable[tuple[float, float]], style: LineStyle) -> str:
        """A line through points."""
        path = "L".join(f"{x:.2f} {y:.2f}" for x, y in (self.at(*point) for point in points))
        return style.path(f"M{path}")

    def mark(self, x: float, y: float, order: int) -> str:
        """A point; the first of a row of marks is filled."""
        return mark(*self.at(x, y), order)

    def frame(self) -> str:
        """The axes themselves."""
        path = f"M{number(self.left)} {number(self.top)}V{number(self.bottom)}H{number(self.right)}"
        return tag("path", d=path, fill="none", stroke=colours.LINE, stroke_width=0.3)

    def across(self, shares: Sequence[float], *, has_numbers: bool = True) -> Iterator[str]:
        """Lines across at shares of the height, with their numbers at the left."""
        for share in shares:
            y = self.bottom - share * (self.bottom - self.top)
            path = f"M{number(self.left)} {number(y)}H{number(self.right)}"
            yield tag("path", d=path, stroke=colours.RULE, stroke_width=0.2)
            if has_numbers:
                value = self.y_least + share * (self.y_most - self.y_least)
                yield words(short(value), self.left - 1.5, y + 0.9, "end")

    def along(self, step: float, unit: str = "") -> Iterator[str]:
        """Ticks with numbers along the foot."""
        first = math.ceil(self.x_least / step - 1e-9)
        for count in range(first, math.floor(self.x_most / step + 1e-9) + 1):
            x, _ = self.at(count * step, self.y_least)
            path = f"M{number(x)} {number(self.bottom)}v1.2"
            yield tag("path", d=path, stroke=colours.LINE, stroke_width=0.3)
            yield words(f"{short(count * step)}{unit}", x, self.bottom + 4.4, "middle")

    def up(self, step: float) -> Iterator[str]:
        """Ticks with numbers up the side, all with the decimals of the step."""
        decimals = max(0, -math.floor(math.log10(step) + 1e-9))
        first = math.ceil(self.y_least / step - 1e-9)
        for count in range(first, math.floor(self.y_most / step + 1e-9) + 1):
            _, y = self.at(self.x_least, count * step)
            path = f"M{number(self.left)} {number(y)}h-1.2"
            yield tag("path", d=path, stroke=colours.LINE, stroke_width=0.3)
            yield words(f"{count * step:.{decimals}f}", self.left - 2.2, y + 0.9, "end")


def mark(x: float, y: float, order: int) -> str:
    """A mark at a place on paper; they differ by shape, and the first is filled."""
    fill = colours.INK if order == 0 else colours.PAPER
    return tag(
        "path",
        d=_MARKS[order % len(_MARKS)],
        transform=f"translate({number(x)} {number(y)})",
        fill=fill,
        stroke=colours.INK,
        stroke_width=0.35,
    )


def words(text: str, x: float, y: float, anchor: str) -> str:
    """A text on the chart."""
    return tag(
        "text", escape(text), x=x, y=y, font_size=TEXT_MM, text_anchor=anchor, fill=colours.INK
    )


def short(value: float) -> str:
    """A number without needless digits."""
    text = show_number(value, 2)
    return text.rstrip("0").rstrip(".") if "." in text else text


def round_up(value: float) -> float:
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


def even_step(span: float, count: int) -> float:
    """The least of 1, 2, 5, 10, 20 ... and their tenths that goes at most so often into a span."""
    size = 10.0 ** math.floor(math.log10(span / count))
    return next(
        size * times for times in (1, 2, 5, 10) if size * times * count >= span * (1 - 1e-9)
    )
