"""A detail to scale as SVG: pieces in metres, levels beside them, numbered notes below.

What details are made of stands in `drain_details` and `edge_details`; here it is put on paper, at
the largest usual scale.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.units import LENGTH, Amount
from checker.drawing.section import METRIC_SCALES, US_SCALES
from checker.drawing.section_hatches import hatch_id, pattern
from checker.drawing.svg import number, picture, tag, text_width_mm
from checker.pages import colours
from checker.pages.markup import escape
from checker.words.sections import per_cent, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.units import System
    from checker.words.brief import Brief

WIDTH_MM: Final = 88.0
_ROOM_MM: Final = (52.0, 58.0)
_LEFT_MM: Final = 30.0
_TOP_MM: Final = 14.0
_TEXT_MM: Final = 2.4
_LINE_MM: Final = 3.2
_RING_MM: Final = 1.8
_NOTE_CHARACTERS: Final = 58
_TITLE_CHARACTERS: Final = 42
_TITLE_LINE_MM: Final = 4.2
_FAR_SCALES: Final[dict[System, tuple[tuple[int, str], ...]]] = {
    "us": ((96, "1/8 in = 1 ft (1:96)"), (192, "1/16 in = 1 ft (1:192)")),
    "metric": ((100, "1:100"), (200, "1:200")),
}

FILLS: Final = {
    "concrete": "unit",
    "stone": "coarse",
    "bedding": "fine",
    "ground": "soil",
}
"""Hatches of what is cut; a void and a pipe have none."""


class DetailPiece(Record, kw_only=True):
    """One outline of a detail.

    Attributes:
        points: Corners, metres across and above; closed where it is an area.
        what: A key of `FILLS`, or void, pipe, line, water, hidden.
    """

    points: tuple[tuple[float, float], ...]
    what: str


class Detail(Record, kw_only=True):
    """A detail before it is put on paper.

    Attributes:
        id: Its name in file names.
        title: What it shows.
        pieces: From the back to the front.
        levels: Heights in metres with their texts, set beside the drawing.
        notes: A point and what it is; numbered in this order.
        says: What no point stands for: sizes, flows, what is not given.
    """

    id: str
    title: str
    pieces: tuple[DetailPiece, ...]
    levels: tuple[tuple[float, str], ...] = ()
    notes: tuple[tuple[tuple[float, float], str], ...] = ()
    says: tuple[str, ...] = ()


def box(left: float, bottom: float, right: float, top: float, what: str) -> DetailPiece:
    """A rectangle of a detail, metres."""
    points = ((left, bottom), (right, bottom), (right, top), (left, top))
    return DetailPiece(points=points, what=what)


def line(*points: tuple[float, float], what: str = "line") -> DetailPiece:
    """An open line of a detail, metres."""
    return DetailPiece(points=points, what=what)


class DetailTexts:
    """The words of numbers, each once in the register."""

    def __init__(self, brief: Brief) -> None:
        self.brief = brief

    def level(self, key: str, name: str, level_m: float) -> tuple[float, str]:
        """A level in metres with the words that stand beside it."""
        text = self.brief.figures.add(f"detail.{key}", f"{name}, {key}", Amount(level_m, LENGTH))
        return level_m, f"{name} {text}"

    def small(self, key: str, length_m: float | None) -> str:
        """A small length, or that it is not given."""
        if length_m is None:
            return "not given"
        amount = Amount(length_m, LENGTH)
        return self.brief.figures.add_size(f"detail.{key}", key.replace(".", " "), amount)

    @staticmethod
    def share(fraction: float | None) -> str:
        """A share in per cent, or that it is not given."""
        return "not given" if fraction is None else per_cent(fraction)


class _Paper:
    def __init__(self, detail: Detail, system: System) -> None:
        self.detail = detail
        self.title = wrapped([detail.title], _TITLE_CHARACTERS)
        self.top_mm = _TOP_MM + _TITLE_LINE_MM * (len(self.title) - 1)
        points = [point for piece in detail.pieces for point in piece.points]
        self.left = min(x for x, _ in points)
        self.top = max(z for _, z in points)
        wide_m = max(x for x, _ in points) - self.left
        self.high_m = self.top - min(z for _, z in points)
        scales = (*(US_SCALES if system == "us" else METRIC_SCALES), *_FAR_SCALES[system])
        self.ratio, self.scale = next(
            (
                item
                for item in scales
                if wide_m * 1000 / item[0] <= _ROOM_MM[0]
                and self.high_m * 1000 / item[0] <= _ROOM_MM[1]
            ),
            scales[-1],
        )

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        size = 1000 / self.ratio
        return _LEFT_MM + (point[0] - self.left) * size, self.top_mm + (self.top - point[1]) * size

    def svg(self) -> str:
        detail = self.detail
        lines = [f"{n}  {text}" for n, (_, text) in enumerate(detail.notes, 1)]
        words = [*wrapped([*lines, *detail.says], _NOTE_CHARACTERS)]
        foot = self.top_mm + self.high_m * 1000 / self.ratio + 6
        height = foot + 4 + _LINE_MM * len(words) + 3
        used = dict.fromkeys(FILLS[p.what] for p in detail.pieces if p.what in FILLS)
        body = [
            *(
                tag(
                    "text",
                    escape(text),
                    x=3,
                    y=5.5 + _TITLE_LINE_MM * index,
                    font_size=3.4,
                    font_weight="bold",
                )
                for index, text in enumerate(self.title)
            ),
            tag(
                "text", escape(f"Scale {self.scale}"), x=3, y=self.top_mm - 4.5, fill=colours.QUIET
            ),
            *(self.piece(piece) for piece in detail.pieces),
            *self.levels(),
            *self.rings(),
            *(
                tag("text", escape(text), x=3, y=foot + 4 + _LINE_MM * index)
                for index, text in enumerate(words)
            ),
        ]
        return picture(
            (WIDTH_MM, height),
            f"Detail: {detail.title}, {self.scale}",
            "",
            body,
            defs=(pattern(name, detail.id) for name in used),
            font_family="sans-serif",
            font_size=_TEXT_MM,
            fill=colours.INK,
        )

    def piece(self, piece: DetailPiece) -> str:
        places = [self.at(point) for point in piece.points]
        path = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in places)
        style: dict[str, str | float] = {"stroke": colours.INK, "stroke_width": 0.3}
        if piece.what in {"line", "hidden", "fabric", "water"}:
            style |= {"fill": "none"}
            dashes = {"hidden": "1.6 1", "fabric": "2.4 1", "water": "4 1 0.8 1"}
            if piece.what in dashes:
                style["stroke_dasharray"] = dashes[piece.what]
            style["stroke_width"] = 0.6 if piece.what == "fabric" else 0.35
            return tag("path", d=path, **style)
        fill = colours.PAPER
        if piece.what in FILLS:
            fill = f"url(#{hatch_id(FILLS[piece.what], self.detail.id)})"
        if piece.what == "ground":
            style["stroke"] = "none"
        return tag("path", d=f"{path}Z", fill=fill, **style)

    def levels(self) -> Iterator[str]:
        """Level marks to the left, none over another."""
        free = self.top_mm - 3.0
        for height, text in sorted(self.detail.levels, reverse=True):
            y = self.at((self.left, height))[1]
            place = max(y, free)
            free = place + _LINE_MM
            yield tag(
                "path",
                d=f"M{number(_LEFT_MM - 1)} {number(y)}L{number(_LEFT_MM - 4)} {number(place)}"
                f"H{number(_LEFT_MM - 6)}",
                fill="none",
                stroke=colours.QUIET,
                stroke_width=0.2,
            )
            yield tag(
                "text", escape(text), x=_LEFT_MM - 6.5, y=place + 0.8, text_anchor="end",
                font_size=min(_TEXT_MM, _TEXT_MM * 22 / max(text_width_mm(text, _TEXT_MM), 22)),
            )  # fmt: skip

    def rings(self) -> Iterator[str]:
        """Numbers of the notes on their points, moved aside where they would touch."""
        standing: list[tuple[float, float]] = []
        for index, (point, _) in enumerate(self.detail.notes, 1):
            x, y = self.at(point)
            while any(math.dist((x, y), other) < 2 * _RING_MM + 0.4 for other in standing):
                x += _RING_MM
            standing.append((x, y))
            yield tag(
                "circle", cx=x, cy=y, r=_RING_MM, fill=colours.PAPER, stroke=colours.INK,
                stroke_width=0.2,
            )  # fmt: skip
            yield tag("text", str(index), x=x, y=y + 0.85, text_anchor="middle", font_size=2.3)


def detail_svg(detail: Detail, system: System) -> str:
    """The detail as a picture of a fixed width and the height that it needs."""
    return _Paper(detail, system).svg()
