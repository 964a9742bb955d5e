"""Drawing scales and the frame that takes metres on the ground to millimetres on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.showing import show_number
from checker.core.units import FOOT_M, INCH_M
from checker.drawing.labels import Box
from checker.drawing.svg import number

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.site.model import Shape

FEET_PER_INCH: Final = (10, 20, 30, 40, 50, 60, 100, 200, 300, 400, 500, 600, 1000)
"""Engineer's scales: one inch on paper is so many feet. Common practice, no source."""

METRIC: Final = (50, 100, 200, 250, 300, 400, 500, 1000, 1250, 2000, 2500, 5000, 10000)
"""One to so many. Common practice, no source."""


class Scale(Record):
    """A drawing scale.

    Attributes:
        ratio: Lengths on the ground over lengths on paper.
        text: As written on the plan.
        bar_m: Length of the bar scale on the ground.
        bar_labels: Its labels at nothing, a quarter, half and all of its length.
    """

    ratio: float
    text: str
    bar_m: float
    bar_labels: tuple[str, str, str, str]


def us_scale(feet_per_inch: float) -> Scale:
    """One inch is so many feet; the bar is two inches long."""
    feet = show_number(feet_per_inch, 0)
    labels = [show_number(2 * feet_per_inch * share, 1) for share in (0.0, 0.25, 0.5, 1.0)]
    plain = [label.removesuffix(".0") for label in labels]
    return Scale(
        ratio=feet_per_inch * FOOT_M / INCH_M,
        text=f"1 in = {feet} ft (1:{show_number(feet_per_inch * 12, 0)})",
        bar_m=2 * feet_per_inch * FOOT_M,
        bar_labels=(plain[0], plain[1], plain[2], f"{plain[3]} ft"),
    )


def metric_scale(ratio: float) -> Scale:
    """One to so many; the bar is the round length nearest above four centimetres."""
    wanted_m = 0.04 * ratio
    step = 10.0 ** (len(str(int(wanted_m))) - 1)
    bar_m = next(step * times for times in (1, 2, 4, 5, 10, 20) if step * times >= wanted_m)
    labels = [show_number(bar_m * share, 2) for share in (0.0, 0.25, 0.5, 1.0)]
    plain = [label.rstrip("0").rstrip(".") for label in labels]
    return Scale(
        ratio=ratio,
        text=f"1:{show_number(ratio, 0)}",
        bar_m=bar_m,
        bar_labels=(plain[0] or "0", plain[1], plain[2], f"{plain[3]} m"),
    )


def fitting_scale(
    width_m: float, height_m: float, room_mm: tuple[float, float], system: System
) -> Scale:
    """The largest usual scale at which a lot fits.

    Args:
        width_m: Width on the ground.
        height_m: Height on the ground.
        room_mm: Width and height of the room on paper.
        system: Engineer's scales in feet per inch, or metric ones.
    """
    needed = max(width_m * 1000 / room_mm[0], height_m * 1000 / room_mm[1])
    steps = FEET_PER_INCH if system == "us" else METRIC
    make = us_scale if system == "us" else metric_scale
    for times in (1, 10, 100, 1000):
        for step in steps:
            scale = make(step * times)
            if scale.ratio >= needed * (1 - 1e-9):
                return scale
    return make(steps[-1] * 10_000)


class Frame(Record):
    """Where the ground lies on the paper.

    Attributes:
        scale: The drawing scale.
        left_m: The x on the ground of the left edge of the drawing.
        top_m: The y on the ground of its upper edge.
        x_mm: The left edge on paper.
        y_mm: The upper edge on paper.
        width_mm: Width of the drawing on paper.
        height_mm: Height of the drawing on paper.
    """

    scale: Scale
    left_m: float
    top_m: float
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        """A point of the ground on paper, millimetres from the upper left."""
        size = 1000 / self.scale.ratio
        return self.x_mm + (x_m - self.left_m) * size, self.y_mm + (self.top_m - y_m) * size

    def ground(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """A point of the paper on the ground, metres."""
        size = self.scale.ratio / 1000
        return self.left_m + (x_mm - self.x_mm) * size, self.top_m - (y_mm - self.y_mm) * size

    def on_paper(self, shape: Shape) -> Shape:
        """A shape of the ground on paper."""
        import shapely

        size = 1000 / self.scale.ratio
        shift = (self.x_mm - self.left_m * size, self.y_mm + self.top_m * size)
        return shapely.transform(shape, lambda xy: xy * (size, -size) + shift)

    def length_mm(self, length_m: float) -> float:
        """A length of the ground on paper."""
        return length_m * 1000 / self.scale.ratio

    def box(self, bounds: tuple[float, ...]) -> Box:
        """The part of a rectangle of the ground that lies within the drawing, on paper.

        Args:
            bounds: Least x and y, greatest x and y, metres.
        """
        left, top = self.at(bounds[0], bounds[3])
        right, bottom = self.at(bounds[2], bounds[1])
        return Box(
            max(left, self.x_mm),
            max(top, self.y_mm),
            min(right, self.x_mm + self.width_mm),
            min(bottom, self.y_mm + self.height_mm),
        )

    def path(self, shape: Shape) -> str:
        """The path of a line, a polygon or several of them, for an SVG `d` attribute."""
        import shapely

        parts: list[str] = []
        for part in shapely.get_parts(shape).tolist():
            if part.is_empty:
                continue
            if part.geom_type == "Polygon":
                parts += [
                    self._run(ring.coords, close=True) for ring in (part.exterior, *part.interiors)
                ]
            elif part.geom_type in {"LineString", "LinearRing"}:
                parts.append(self._run(part.coords, close=part.is_closed))
        return "".join(parts)

    def _run(self, points: object, *, close: bool) -> str:
        found: list[str] = []
        for x_m, y_m, *_ in points:  # type: ignore[attr-defined]
            x_mm, y_mm = self.at(x_m, y_m)
            point = f"{number(x_mm)} {number(y_mm)}"
            if not found or found[-1] != point:
                found.append(point)
        if close and len(found) > 1 and found[0] == found[-1]:
            found.pop()
        return f"M{'L'.join(found)}{'Z' if close else ''}"
