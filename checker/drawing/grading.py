"""Grading on the plan: spot levels, the fall of each panel, drains, pipes, stores and edges."""

from __future__ import annotations

import math
from itertools import pairwise, product
from typing import TYPE_CHECKING, Final

from checker.core.units import LENGTH, RATIO, Amount
from checker.drawing.labels import Box
from checker.drawing.plan import LegendItem
from checker.drawing.svg import tag, text_width_mm, words
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import panels_of, ways_of
from checker.measure.drainage.network import inverts
from checker.measure.drainage.planes import planes
from checker.pages import colours
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.labels import Placer
    from checker.drawing.scale import Frame
    from checker.measure.drainage.planes import Plane
    from checker.measure.survey import Survey
    from checker.site.drainage import DrainPipe, Xy
    from checker.words.brief import Brief

    _Anchors = tuple[tuple[float, float], ...]
    _Line = tuple[tuple[float, float], tuple[float, float]]
    _Spot = tuple[tuple[float, float], _Line | None]

TEXT_MM: Final = 2.1
_ARROW_MM: Final = 9.0
_CROSS_MM: Final = 1.0
_FAR_MM: Final = (6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0, 31.0, 38.0, 46.0)
_TURNS_COUNT: Final = 24
_GAP_MM: Final = 0.3
_BOX_MM: Final = 1.8
"""Side of the mark of a drain or an outlet."""
_LEADER_MM: Final = 0.3
EDGE_DASHES: Final = "1 1"
PIPE_DASHES: Final = "3 0.8 0.6 0.8"


def has_grading(brief: Brief) -> bool:
    """Whether anything of this kind is drawn in the site file."""
    return any(brief.checked.site.parts.get(part) for part in ("panels", "ways_out"))


def grading(brief: Brief, frame: Frame, placer: Placer) -> tuple[list[str], list[str]]:
    """Everything that shows where water goes: lines, and the names that stand over them.

    Args:
        brief: What is read; its figures take the numbers in.
        frame: Scale and place on the paper.
        placer: What is taken already; names go where nothing stands.
    """
    parts = brief.checked.site.parts
    names = _Names(placer)
    lines: list[str] = []
    if parts.get("ways_out"):
        lines += _ways(brief, frame, names)
    if parts.get("panels"):
        lines += _panels(brief, frame, names)
    return lines, list(names.drawn())


class _Names:
    """Names that wait until all lines are drawn, so that none covers another."""

    def __init__(self, placer: Placer) -> None:
        self.placer = placer
        self.waiting: list[tuple[str, _Anchors]] = []

    def add(self, text: str, *at: tuple[float, float]) -> None:
        """Set a name near a point, or one of several of what it names."""
        self.waiting.append((text, at))

    def pass_by(self, frame: Frame, points: tuple[Xy, ...]) -> None:
        """Let no name cross a line."""
        for a, b in pairwise([frame.at(*point) for point in points]):
            self.placer.take_line(a, b)

    def pass_round(self, middle: tuple[float, float], radius: float) -> None:
        """Let no name cross a ring."""
        x, y = middle
        turns = [math.tau * index / _TURNS_COUNT for index in range(_TURNS_COUNT + 1)]
        corners = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in turns]
        for a, b in pairwise(corners):
            self.placer.take_line(a, b)

    def drawn(self) -> Iterator[str]:
        """All names, each at the first free place round its point, farther off with a leader.

        A name for which there is no such place becomes a number, and is said in the notes.
        """
        notes: list[str] = []
        for name, at in self.waiting:
            text, spot = name, self.spot(name, at)
            if spot is None:
                notes.append(name)
                text = str(len(notes))
                spot = self.spot(text, at)
            middle, leader = spot or (at[0], None)
            self.placer.take_text(middle, text_width_mm(text, TEXT_MM), TEXT_MM + 0.3, 0.0)
            if leader is not None:
                self.placer.take_leader(leader)
                self.placer.take_line(*leader, _LEADER_MM)
                yield _leader(leader)
            yield _name(text, middle)
        if notes:
            yield from self.noted([f"{index} {text}" for index, text in enumerate(notes, 1)])

    def spot(self, text: str, anchors: _Anchors) -> _Spot | None:
        """Where the middle of a name goes, and its leader where it stands farther off."""
        width = text_width_mm(text, TEXT_MM)
        aside = width / 2 + 1.6
        steps = (
            *((0.0, -1.9), (0.0, 2.6), (aside, 0.4), (-aside, 0.4)),
            *((0.0, -4.2), (0.0, 5.0), (aside + 1.4, -3.0), (-aside - 1.4, 3.0)),
        )
        turns = [math.tau * index / _TURNS_COUNT for index in range(_TURNS_COUNT)]
        for is_free in (self.is_clear, self.is_free):
            for (x, y), (dx, dy) in product(anchors, steps):
                if is_free((x + dx, y + dy), width):
                    return (x + dx, y + dy), None
            for away, at, turn in product(_FAR_MM, anchors, turns):
                aside = away + width / 2 * abs(math.cos(turn))
                middle = (at[0] + aside * math.cos(turn), at[1] + away * math.sin(turn))
                leader = _to_name(at, middle, width)
                if is_free(middle, width) and self.placer.is_clear(leader):
                    return middle, leader
        return None

    def is_clear(self, middle: tuple[float, float], width: float) -> bool:
        """Whether a name fits here and crosses no line of the lot."""
        return self.is_free(middle, width) and self.placer.is_off_lines(middle, width, TEXT_MM)

    def is_free(self, middle: tuple[float, float], width: float) -> bool:
        """Whether a name fits here."""
        return self.placer.has_room_for(middle, width + _GAP_MM, TEXT_MM + _GAP_MM, 0.0)

    def noted(self, lines: list[str]) -> Iterator[str]:
        """Notes one below another, at the first free place from the foot of the drawing up."""
        room, row_mm = self.placer.room, TEXT_MM + 0.9
        wide = max(text_width_mm(line, TEXT_MM) for line in lines) + 1.0
        high = row_mm * len(lines) + 0.6
        places = (
            Box(room.left + x, room.bottom - y - high, room.left + x + wide, room.bottom - y)
            for y in range(1, max(2, int(room.bottom - room.top - high)), 3)
            for x in range(1, max(2, int(room.right - room.left - wide)), 3)
        )
        foot = Box(room.left, room.bottom - high, room.left + wide, room.bottom)
        box = next((place for place in places if self.placer.is_free(place)), foot)
        for index, line in enumerate(lines):
            middle = (box.left + wide / 2, box.top + 0.3 + row_mm * (index + 0.5))
            self.placer.take_text(middle, text_width_mm(line, TEXT_MM), TEXT_MM + 0.3, 0.0)
            yield _name(line, middle)


def lines_of(brief: Brief) -> tuple[tuple[Xy, ...], ...]:
    """The lines of edges, pipes and channels, which no name may cross."""
    if not brief.checked.site.parts.get("ways_out"):
        return ()
    ways = ways_of(brief.checked.survey)
    return tuple(item.points for group in (ways.edges, ways.pipes, ways.drains) for item in group)


def grading_legend(brief: Brief) -> list[LegendItem]:
    """What the lines mean."""
    parts = brief.checked.site.parts
    found = []
    if parts.get("ways_out"):
        found.append(LegendItem("Drain pipe", colours.PROPOSED, 0.45, PIPE_DASHES, is_line=True))
        found.append(LegendItem("Overflow edge", colours.REMOVED, 0.8, EDGE_DASHES, is_line=True))
        found.append(LegendItem("Drain, store or outlet, named", colours.INK, 0.5, is_line=True))
    if parts.get("panels"):
        found.append(
            LegendItem("Arrow: fall of the paving; +: level", colours.INK, 0.3, is_line=True)
        )
    return found


def _panels(brief: Brief, frame: Frame, names: _Names) -> Iterator[str]:
    seen: set[Xy] = set()
    for panel in panels_of(brief.checked.survey):
        for point, level_m in panel.levels:
            if point in seen:
                continue
            seen.add(point)
            key = f"level.{point[0]:.4f},{point[1]:.4f}"
            text = brief.figures.add(key, "spot level", Amount(level_m, LENGTH))
            yield _spot(frame.at(*point))
            names.add(text.removesuffix(" ft").removesuffix(" m"), frame.at(*point))
    for name, plane in planes(brief.checked.survey).items():
        if isinstance(plane, NotMeasured):
            continue
        for point in _ends(plane, seen):
            level = Amount(plane.level_at_m(point), LENGTH)
            key = f"level.{name}.{point[0]:.4f},{point[1]:.4f}"
            text = brief.figures.add(key, "level worked out", level)
            yield _spot(frame.at(*point))
            names.add(text.removesuffix(" ft").removesuffix(" m"), frame.at(*point))
        if plane.pitch_fraction > 0:
            pitch = Amount(plane.pitch_fraction, RATIO, "%")
            text = brief.figures.add(f"pitch.{name}", f"fall of {name}", pitch)
            middle = _arrow_place(plane, brief.survey, frame, names.placer)
            yield _arrow(plane, middle)
            names.add(text, middle)


def _ends(plane: Plane, seen: set[Xy]) -> list[Xy]:
    """The lowest corners of a panel, and where its level is given; none that is drawn already."""
    if plane.level_m is None or plane.panel.levels:
        return []
    given = () if plane.panel.at is None else (plane.panel.at,)
    found = [point for point in (*given, *plane.lowest) if point not in seen]
    seen.update(found)
    return found


def _spot(at: tuple[float, float]) -> str:
    x, y = at
    wide = 2 * _CROSS_MM
    cross = f"M{x - _CROSS_MM:.2f} {y:.2f}h{wide}M{x:.2f} {y - _CROSS_MM:.2f}v{wide}"
    return tag("path", d=cross, stroke=colours.INK, stroke_width=0.25, fill="none")


def _arrow_place(plane: Plane, survey: Survey, frame: Frame, placer: Placer) -> tuple[float, float]:
    """Where the arrow of a panel goes: on its paving as seen, along its middle, clear of letters.

    What lies under a roof is left out, so that no arrow stands in a building.
    """
    import shapely

    visible = survey.partition("proposed").visible
    shape = plane.shape
    for surface in survey.site.surfaces:
        if surface.material.level == "roof" and surface.id in visible:
            shape = shape.difference(visible[surface.id])
    if shape.is_empty:
        shape = plane.shape
    along = math.radians(plane.toward_degrees)
    across = (math.cos(along), -math.sin(along))
    centre = shape.representative_point()
    left, bottom, right, top = shape.bounds
    reach_m = abs(across[0]) * (right - left) + abs(across[1]) * (top - bottom)
    half = _ARROW_MM / 2
    for share in (0.25, -0.25, 0.38, -0.38, 0.12, -0.12, 0.0):
        x_m, y_m = centre.x + across[0] * reach_m * share, centre.y + across[1] * reach_m * share
        x, y = frame.at(x_m, y_m)
        box = Box(x - half, y - half, x + half, y + half)
        if shape.contains(shapely.Point(x_m, y_m)) and placer.is_free(box):
            # As of a text, so that no leader crosses it.
            placer.take_text((x, y), 3.0, _ARROW_MM, 0.0)
            return x, y
    return frame.at(centre.x, centre.y)


def _arrow(plane: Plane, middle: tuple[float, float]) -> str:
    x, y = middle
    along = math.radians(plane.toward_degrees)
    dx, dy = math.sin(along), -math.cos(along)
    start = (x - dx * _ARROW_MM / 2, y - dy * _ARROW_MM / 2)
    end = (x + dx * _ARROW_MM / 2, y + dy * _ARROW_MM / 2)
    wings = [
        (end[0] - 2 * (dx * math.cos(a) - dy * math.sin(a)),
         end[1] - 2 * (dx * math.sin(a) + dy * math.cos(a)))
        for a in (0.4, -0.4)
    ]  # fmt: skip
    line = (
        f"M{start[0]:.2f} {start[1]:.2f}L{end[0]:.2f} {end[1]:.2f}"
        f"M{wings[0][0]:.2f} {wings[0][1]:.2f}L{end[0]:.2f} {end[1]:.2f}"
        f"L{wings[1][0]:.2f} {wings[1][1]:.2f}"
    )
    halo = tag("path", d=line, stroke=colours.PAPER, stroke_width=1.3, fill="none")
    return halo + tag("path", d=line, stroke=colours.INK, stroke_width=0.4, fill="none")


def _ways(brief: Brief, frame: Frame, names: _Names) -> Iterator[str]:
    ways = ways_of(brief.checked.survey)
    for edge in ways.edges:
        yield _line(frame, edge.points, colours.REMOVED, 0.8, EDGE_DASHES)
        names.pass_by(frame, edge.points)
        names.add(clean(edge.id), _middle(frame, edge.points))
    for pipe in ways.pipes:
        if pipe.points:
            yield _line(frame, pipe.points, colours.PROPOSED, 0.45, PIPE_DASHES)
            names.pass_by(frame, pipe.points)
            names.add(_of_pipe(brief, pipe), *_along(frame, pipe.points))
    for drain in ways.drains:
        if len(drain.points) > 1:
            yield _line(frame, drain.points, colours.INK, 0.9, "")
            names.pass_by(frame, drain.points)
            names.add(_with_level(brief, drain.id, drain.rim_m), _middle(frame, drain.points))
    for pit in ways.pits:
        if pit.at is not None:
            radius = frame.length_mm((pit.pit_m or pit.chamber_m or 0.0) / 2)
            yield _ring(frame.at(*pit.at), max(radius, 1.0))
            names.pass_round(frame.at(*pit.at), max(radius, 1.0))
            names.add(clean(pit.id), frame.at(*pit.at))
    points = [(end.id, end.level_m, end.at) for end in ways.outfalls if end.at is not None]
    points += [
        (drain.id, drain.rim_m, drain.points[0]) for drain in ways.drains if len(drain.points) == 1
    ]
    for name, level_m, at in points:
        yield _box(frame.at(*at))
        names.pass_round(frame.at(*at), _BOX_MM / 2)
        names.add(_with_level(brief, name, level_m), frame.at(*at))


def _with_level(brief: Brief, name: str, level_m: float | None) -> str:
    """The name of a drain or outlet with its rim or level."""
    if level_m is None:
        return clean(name)
    level = brief.figures.add(f"plan.{name}.level", f"level of {name}", Amount(level_m, LENGTH))
    return f"{clean(name)} {level}"


def _of_pipe(brief: Brief, pipe: DrainPipe) -> str:
    """The name of a pipe with its size, fall and inverts, as far as they are known."""
    found = [clean(pipe.id)]
    if pipe.diameter_m is not None:
        size = Amount(pipe.diameter_m, LENGTH)
        found.append(brief.figures.add_size(f"plan.{pipe.id}.size", f"size of {pipe.id}", size))
    try:
        lies = inverts(pipe)
    except NotMeasured:
        return " ".join(found)
    fall = Amount(lies.slope_fraction, RATIO, "%")
    found.append(brief.figures.add(f"plan.{pipe.id}.fall", f"fall of {pipe.id}", fall))
    ends = [
        brief.figures.add(f"plan.{pipe.id}.{key}", f"invert of {pipe.id}", Amount(at_m, LENGTH))
        for key, at_m in (("upper", lies.upper_m), ("lower", lies.lower_m))
        if at_m is not None
    ]
    if len(ends) == 2:
        found.append(f"inv. {ends[0]} to {ends[1]}")
    return " ".join(found)


def _to_name(start: tuple[float, float], middle: tuple[float, float], width: float) -> _Line:
    """A line from what is named to the nearer end of its name."""
    (x, y), (to_x, to_y) = start, middle
    end_x = min(max(x, to_x - width / 2), to_x + width / 2)
    end_y = to_y - math.copysign(TEXT_MM / 2, to_y - y) if end_x == x else to_y
    return start, (end_x, end_y)


def _leader(line: _Line) -> str:
    (x, y), (end_x, end_y) = line
    path = f"M{x:.2f} {y:.2f}L{end_x:.2f} {end_y:.2f}"
    return tag("path", d=path, stroke=colours.INK, stroke_width=0.15, fill="none")


def _middle(frame: Frame, points: tuple[Xy, ...]) -> tuple[float, float]:
    first, last = frame.at(*points[0]), frame.at(*points[-1])
    return (first[0] + last[0]) / 2, (first[1] + last[1]) / 2


def _along(frame: Frame, points: tuple[Xy, ...]) -> _Anchors:
    """The middle of a line, and the middles of its halves."""
    import shapely

    line = shapely.LineString([frame.at(*point) for point in points])
    middles = [line.interpolate(share, normalized=True) for share in (0.5, 0.3, 0.7)]
    return tuple((point.x, point.y) for point in middles)


def _line(frame: Frame, points: tuple[Xy, ...], colour: str, width_mm: float, dashes: str) -> str:
    path = "L".join(f"{x:.2f} {y:.2f}" for x, y in (frame.at(*point) for point in points))
    extra = {"stroke_dasharray": dashes} if dashes else {}
    return tag("path", d=f"M{path}", stroke=colour, stroke_width=width_mm, fill="none", **extra)


def _box(at: tuple[float, float]) -> str:
    x, y = at
    return tag(
        "rect", x=x - _BOX_MM / 2, y=y - _BOX_MM / 2, width=_BOX_MM, height=_BOX_MM,
        fill=colours.PAPER, stroke=colours.INK, stroke_width=0.4,
    )  # fmt: skip


def _ring(at: tuple[float, float], radius: float) -> str:
    return tag(
        "circle", cx=at[0], cy=at[1], r=radius, fill="none", stroke=colours.INK, stroke_width=0.4,
        stroke_dasharray="1.2 0.6",
    )  # fmt: skip


def _name(text: str, middle: tuple[float, float]) -> str:
    return words(text, middle, TEXT_MM, edge_mm=0.7)
