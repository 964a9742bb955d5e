"""A line of pipes in profile: the pipes, the water in them and the rims over them, by level.

Along the foot runs the length of the pipes from the head of the line to its end, up the side the
level. The two scales differ, as on any profile.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.showing import show, unit_for
from checker.core.units import LENGTH, UNIT, Amount
from checker.drawing.charts import ROW_MM, Axes, LineStyle, even_step, words
from checker.drawing.svg import number, picture
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.core.units import System
    from checker.water.pipe_losses import GradeLine

_WIDTH_MM: Final = 170.0
_HEIGHT_MM: Final = 80.0
_LEFT_MM: Final = 22.0
_RIGHT_MM: Final = 8.0
_TOP_MM: Final = 9.0
_FOOT_MM: Final = 12.0
_LEVELS_COUNT: Final = 6
_LENGTHS_COUNT: Final = 8
"""About so many steps of level and of length."""

_PIPE: Final = LineStyle(colours.LINE, "", 0.4)
_WATER: Final = LineStyle(colours.PROPOSED, "", 0.7)
_RIM: Final = LineStyle(colours.EXISTING, "2 1", 0.4)
_GROUND: Final = LineStyle(colours.INK, "0.5 0.9", 0.5)
_LEGEND: Final = (
    (_PIPE, "invert and crown of the pipes"),
    (_WATER, "grade line at the peak of the design storm"),
    (_RIM, "rims over the pipes"),
    (_GROUND, "ground and paving over the pipes, where levels tell it"),
)


class PipeProfile(Record):
    """What a profile shows.

    Attributes:
        name: Its title.
        says: What it shows, in a sentence.
        lines: The grade lines of its pipes, from the head to the end.
        rims_m: The lowest rim over the upper end of each pipe; None without one.
        ground: Of each pipe, shares of its length with the ground there; None where not known.
    """

    name: str
    says: str
    lines: Sequence[GradeLine]
    rims_m: Sequence[float | None]
    ground: Sequence[Sequence[tuple[float, float | None]]] = ()


def profile_svg(profile: PipeProfile, system: System) -> str:
    """The profile as SVG."""
    lines = profile.lines
    rims_m = [rim for rim in profile.rims_m if rim is not None]
    tops_m = [line.pipe.upper_m + line.pipe.diameter_m for line in lines]
    grounds_m = [level for along in profile.ground for _, level in along if level is not None]
    levels_m = [*rims_m, *grounds_m, *tops_m, *(line.upper_m for line in lines), lines[-1].lower_m]
    low_m = min(line.pipe.lower_m for line in lines)
    unit, _ = unit_for(LENGTH, system)
    drawn = _Drawn(_axes(lines, low_m, max(levels_m), UNIT[unit].size_si), UNIT[unit].size_si)
    drawn_of = {_RIM: rims_m, _GROUND: grounds_m}
    shown = [item for item in _LEGEND if drawn_of.get(item[0], True)]
    height_mm = _HEIGHT_MM + ROW_MM * len(shown)
    body = [
        *_sides(drawn, unit),
        *_ground(drawn, profile),
        *_pipes(drawn, lines),
        *_rims(drawn, profile, system),
        *_legend(shown),
    ]
    return picture((_WIDTH_MM, height_mm), profile.name, profile.says, body)


class _Drawn(Record):
    """A chart in the page's unit, for lengths and levels in metres."""

    axes: Axes
    unit_m: float

    def at(self, along_m: float, level_m: float) -> tuple[float, float]:
        """A point on paper, millimetres."""
        return self.axes.at(along_m / self.unit_m, level_m / self.unit_m)

    def path(self, points: Sequence[tuple[float, float]], style: LineStyle) -> str:
        """A line through points of length and level."""
        return self.axes.line(((x / self.unit_m, y / self.unit_m) for x, y in points), style)


def _axes(lines: Sequence[GradeLine], low_m: float, high_m: float, unit_m: float) -> Axes:
    """Axes in the page's unit; levels from one even step to another, with room over the highest."""
    low, high = low_m / unit_m, high_m / unit_m
    step = even_step(high - low, _LEVELS_COUNT)
    return Axes(
        left=_LEFT_MM,
        top=_TOP_MM,
        right=_WIDTH_MM - _RIGHT_MM,
        bottom=_HEIGHT_MM - _FOOT_MM,
        x_most=sum(line.pipe.length_m for line in lines) / unit_m,
        y_least=math.floor(low / step) * step,
        y_most=math.ceil(high / step + 0.5) * step,
    )


def _sides(drawn: _Drawn, unit: str) -> Iterator[str]:
    axes = drawn.axes
    yield axes.frame()
    yield from axes.up(even_step(axes.y_most - axes.y_least, _LEVELS_COUNT + 2))
    yield from axes.along(even_step(axes.x_most, _LENGTHS_COUNT))
    yield words(f"level, {unit}", axes.left, axes.top - 2.5, "start")
    yield words(f"along the pipes, {unit}", axes.right, axes.bottom + 8.4, "end")


def _pipes(drawn: _Drawn, lines: Sequence[GradeLine]) -> Iterator[str]:
    start_m, grade = 0.0, []
    for line in lines:
        pipe, end_m = line.pipe, start_m + line.pipe.length_m
        for over_m in (0.0, pipe.diameter_m):
            ends = [(start_m, pipe.upper_m + over_m), (end_m, pipe.lower_m + over_m)]
            yield drawn.path(ends, _PIPE)
        grade += [(start_m, line.upper_m), (end_m, line.lower_m)]
        start_m = end_m
    yield drawn.path(grade, _WATER)


def _rims(drawn: _Drawn, profile: PipeProfile, system: System) -> Iterator[str]:
    start_m, rims = 0.0, []
    for line, rim_m in zip(profile.lines, profile.rims_m, strict=True):
        if rim_m is not None:
            rims.append((start_m, rim_m))
            yield drawn.path([(start_m, line.pipe.upper_m), (start_m, rim_m)], _PIPE)
            x, y = drawn.at(start_m, rim_m)
            name = line.tops[0].id
            text = f"{name} {show(Amount(rim_m, LENGTH), system)}"
            yield _RIM.path(f"M{number(x)} {number(y)}h14")
            yield words(text, x + 1, y - 1.2, "start")
        start_m += line.pipe.length_m
    if len(rims) > 1:
        yield drawn.path(rims, _RIM)


def _ground(drawn: _Drawn, profile: PipeProfile) -> Iterator[str]:
    """The ground in runs, broken where nothing tells it."""
    start_m, run = 0.0, list[tuple[float, float]]()
    for line, along in zip(profile.lines, profile.ground, strict=False):
        for share, level_m in along:
            if level_m is not None:
                run.append((start_m + share * line.pipe.length_m, level_m))
            elif run:
                yield drawn.path(run, _GROUND)
                run = []
        if not along and run:
            yield drawn.path(run, _GROUND)
            run = []
        start_m += line.pipe.length_m
    if run:
        yield drawn.path(run, _GROUND)


def _legend(shown: Sequence[tuple[LineStyle, str]]) -> Iterator[str]:
    for index, (style, text) in enumerate(shown):
        y = _HEIGHT_MM + ROW_MM * index + 1.0
        yield style.path(f"M{number(_LEFT_MM)} {number(y)}h12")
        yield words(text, _LEFT_MM + 14, y + 0.9, "start")
