"""A line of pipes in profile: the pipes, the water in them and the rims over them, by level.

Along the foot runs the length of the pipes from the head of the line to its end, up the side the
level. The two scales differ, as on any profile.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.showing import show, unit_for
from checker.core.units import LENGTH, UNIT, Amount
from checker.drawing.charts import ROW_MM, LineStyle, words
from checker.drawing.svg import number, picture, tag
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


class _Scales(Record):
    """Where lengths and levels lie on paper."""

    long_m: float
    low_m: float
    high_m: float

    def at(self, along_m: float, level_m: float) -> tuple[float, float]:
        """A point on paper, millimetres."""
        across = _LEFT_MM + along_m / self.long_m * (_WIDTH_MM - _LEFT_MM - _RIGHT_MM)
        share = (level_m - self.low_m) / (self.high_m - self.low_m)
        return across, _HEIGHT_MM - _FOOT_MM - share * (_HEIGHT_MM - _FOOT_MM - _TOP_MM)

    def path(self, points: Sequence[tuple[float, float]], style: LineStyle) -> str:
        """A line through points of length and level."""
        placed = (self.at(*point) for point in points)
        return style.path("M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in placed))


def profile_svg(profile: PipeProfile, system: System) -> str:
    """The profile as SVG."""
    lines = profile.lines
    rims_m = [rim for rim in profile.rims_m if rim is not None]
    tops_m = [line.pipe.upper_m + line.pipe.diameter_m for line in lines]
    grounds_m = [level for along in profile.ground for _, level in along if level is not None]
    levels_m = [*rims_m, *grounds_m, *tops_m, *(line.upper_m for line in lines), lines[-1].lower_m]
    low_m, high_m = min(line.pipe.lower_m for line in lines), max(levels_m)
    room_m = max(0.05, 0.1 * (high_m - low_m))
    long_m = sum(line.pipe.length_m for line in lines)
    scales = _Scales(long_m, low_m - room_m, high_m + room_m)
    height_mm = _HEIGHT_MM + ROW_MM * len(_LEGEND)
    body = [
        *_sides(scales, system),
        *_ground(scales, profile),
        *_pipes(scales, lines),
        *_rims(scales, profile, system),
        *_legend(),
    ]
    return picture((_WIDTH_MM, height_mm), profile.name, profile.says, body)


def _sides(scales: _Scales, system: System) -> Iterator[str]:
    left, bottom = _LEFT_MM, _HEIGHT_MM - _FOOT_MM
    path = f"M{number(left)} {number(_TOP_MM)}V{number(bottom)}H{number(_WIDTH_MM - _RIGHT_MM)}"
    yield tag("path", d=path, fill="none", stroke=colours.LINE, stroke_width=0.3)
    unit, _ = unit_for(LENGTH, system)
    size_m = UNIT[unit].size_si
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        level_m = scales.low_m + share * (scales.high_m - scales.low_m)
        _, y = scales.at(0.0, level_m)
        yield words(f"{level_m / size_m:.2f}", left - 1.5, y + 0.9, "end")
        x, _ = scales.at(share * scales.long_m, scales.low_m)
        yield words(f"{share * scales.long_m / size_m:.0f}", x, bottom + 4.4, "middle")
    yield words(f"level, {unit}", left, _TOP_MM - 2.5, "start")
    yield words(f"along the pipes, {unit}", _WIDTH_MM - _RIGHT_MM, bottom + 8.4, "end")


def _pipes(scales: _Scales, lines: Sequence[GradeLine]) -> Iterator[str]:
    start_m, grade = 0.0, []
    for line in lines:
        pipe, end_m = line.pipe, start_m + line.pipe.length_m
        for over_m in (0.0, pipe.diameter_m):
            ends = [(start_m, pipe.upper_m + over_m), (end_m, pipe.lower_m + over_m)]
            yield scales.path(ends, _PIPE)
        grade += [(start_m, line.upper_m), (end_m, line.lower_m)]
        start_m = end_m
    yield scales.path(grade, _WATER)


def _rims(scales: _Scales, profile: PipeProfile, system: System) -> Iterator[str]:
    start_m, rims = 0.0, []
    for line, rim_m in zip(profile.lines, profile.rims_m, strict=True):
        if rim_m is not None:
            rims.append((start_m, rim_m))
            yield scales.path([(start_m, line.pipe.upper_m), (start_m, rim_m)], _PIPE)
            x, y = scales.at(start_m, rim_m)
            name = line.tops[0].id
            text = f"{name} {show(Amount(rim_m, LENGTH), system)}"
            yield _RIM.path(f"M{number(x)} {number(y)}h14")
            yield words(text, x + 1, y - 1.2, "start")
        start_m += line.pipe.length_m
    if len(rims) > 1:
        yield scales.path(rims, _RIM)


def _ground(scales: _Scales, profile: PipeProfile) -> Iterator[str]:
    """The ground in runs, broken where nothing tells it."""
    start_m, run = 0.0, list[tuple[float, float]]()
    for line, along in zip(profile.lines, profile.ground, strict=False):
        for share, level_m in along:
            if level_m is not None:
                run.append((start_m + share * line.pipe.length_m, level_m))
            elif run:
                yield scales.path(run, _GROUND)
                run = []
        if not along and run:
            yield scales.path(run, _GROUND)
            run = []
        start_m += line.pipe.length_m
    if run:
        yield scales.path(run, _GROUND)


def _legend() -> Iterator[str]:
    for index, (style, text) in enumerate(_LEGEND):
        y = _HEIGHT_MM + ROW_MM * index + 1.0
        yield style.path(f"M{number(_LEFT_MM)} {number(y)}h12")
        yield words(text, _LEFT_MM + 14, y + 0.9, "start")
