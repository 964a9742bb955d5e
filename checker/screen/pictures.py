"""Pictures of a screening: where the lots are, and how much room is left."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.showing import show_number
from checker.drawing.charts import Axes, round_up, words
from checker.drawing.svg import number, picture, tag
from checker.pages import colours
from checker.screen.results import WORDS
from checker.screen.summary import BINS, CELLS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from checker.screen.run import Screening
    from checker.screen.summary import RuleCounts, VariantCounts

_WIDE_MM: Final = 170.0
GROUPS: Final = (
    ("fail", ("fails",)),
    ("cannot tell", ("cannot tell", "unanswered")),
    ("relief possible", ("relief possible",)),
    ("pass", ("passes", "passes with conditions", "does not apply", "not in force")),
    ("not screened or not judged", ("not screened", "not judged")),
)
"""What the map tells apart, from what needs attention first."""

_SIGNS: Final = (
    "M0 0H1V1H0Z",
    "M0.5 0L1 1H0Z",
    "M0.5 0L1 0.5L0.5 1L0 0.5Z",
    "M0.5 0A0.5 0.5 0 1 0 0.5 1A0.5 0.5 0 1 0 0.5 0Z",
    "M0 0.4H1V0.6H0Z",
)
_FILLS: Final = (
    colours.FAILS, colours.CANNOT_TELL, colours.RELIEF, colours.PASSES, colours.LINE,
)  # fmt: skip


def grouped(counts: Sequence[int]) -> list[int]:
    """Lots by what the map tells apart."""
    return [sum(counts[WORDS.index(word)] for word in own) for _, own in GROUPS]


def verdict_map(screening: Screening, variant: VariantCounts, says: str) -> str:
    """The town in cells, each with the sign of what needs attention first in it."""
    cells = {int(cell): grouped(counts) for cell, counts in variant.cells.items()}
    names = tuple(name for name, _ in GROUPS)
    return _town_map(screening, cells, names, ("Map of the town", says, "town"))


def change_map(screening: Screening, variant: VariantCounts, says: str, name: str) -> str:
    """The town in cells, each with the sign of what changes in it under another limit."""
    cells = {
        int(cell): [worse, 0, 0, better, same]
        for cell, (worse, better, same) in variant.changed_cells.items()
    }
    names = ("no longer pass", "", "", "now pass", "as before")
    return _town_map(screening, cells, names, ("Map of what changes", says, name))


def _town_map(
    screening: Screening,
    cells: Mapping[int, Sequence[int]],
    names: Sequence[str],
    told: tuple[str, str, str],
) -> str:
    """Cells with the sign of the first kind of lots in each, the larger, the more are of it.

    Args:
        screening: Whose bounds the map has.
        cells: Lots of each kind by cell.
        names: Of the kinds; a kind without one has no sign.
        told: The title, what is shown, and what begins the ids of both.
    """
    low_x, low_y, high_x, high_y = screening.bounds
    wide, deep = high_x - low_x, high_y - low_y
    side = max(wide, deep) / CELLS or 1.0
    columns, rows = min(int(wide / side) + 1, CELLS), min(int(deep / side) + 1, CELLS)
    cell = min(_WIDE_MM / columns, 200.0 / rows)
    body: list[str] = []
    for place, own in sorted(cells.items()):
        row, column = divmod(place, CELLS)
        kind = next(i for i, count in enumerate(own) if count)
        size = cell * (0.4 + 0.55 * own[kind] / sum(own))
        x = 4 + column * cell + (cell - size) / 2
        y = 4 + (rows - 1 - row) * cell + (cell - size) / 2
        body.append(_sign(kind, x, y, size))
    foot = 4 + rows * cell + 6
    x = 4.0
    for kind, name in enumerate(names):
        if name:
            body += [_sign(kind, x, foot - 2.6, 3.0), words(name, x + 4.5, foot, "start")]
            x += 12 + 1.6 * len(name)
    title, says, ids = told
    return picture((_WIDE_MM + 8, foot + 4), title, says, body, name=ids)


def _sign(kind: int, x: float, y: float, size: float) -> str:
    move = f"translate({number(x)} {number(y)}) scale({size:.3f})"
    return tag("path", d=_SIGNS[kind], transform=move, fill=_FILLS[kind])


def room_chart(rule: RuleCounts, title: str, says: str, name: str) -> str:
    """Lots by the room that is left, as a share of the limit."""
    most = round_up(max(rule.rooms))
    axes = Axes(left=22, top=8, right=172, bottom=58, x_most=len(rule.rooms), y_most=most)
    body = [*axes.across((0.5, 1.0)), axes.frame()]
    for place, count in enumerate(rule.rooms):
        if not count:
            continue
        left, top = axes.at(place + 0.08, count)
        right, foot = axes.at(place + 0.92, 0.0)
        is_over = place < BINS.index(0.0) + 1
        fill = colours.FAILS if is_over else colours.PASSES
        path = f"M{number(left)} {number(foot)}V{number(top)}H{number(right)}V{number(foot)}Z"
        hatch: dict[str, Any] = {"stroke": colours.INK, "stroke_width": 0.3 if is_over else 0.0}
        body.append(tag("path", d=path, fill=fill, **hatch))
    for place, end in enumerate(BINS):
        if place % 5 == 0:
            x, _ = axes.at(place + 1, 0.0)
            label = f"{round(end * 100):+d} %" if end else "0 %"
            body.append(words(label, x, axes.bottom + 4.4, "middle"))
    middle = axes.at(BINS.index(0.0) + 1, 0.0)[0]
    line = f"M{number(middle)} {number(axes.top)}V{number(axes.bottom)}"
    body.append(tag("path", d=line, stroke=colours.INK, stroke_width=0.4, stroke_dasharray="1.5 1"))
    body.append(words("over the limit", middle - 2, axes.top - 2, "end"))
    body.append(words("room left", middle + 2, axes.top - 2, "start"))
    return picture((180, 66), title, says, body, name=name)


def bin_name(place: int) -> str:
    """The room of a bar, in words."""
    if place == 0:
        return "over by more than 100 %"
    if place == len(BINS):
        return "more than 100 % left"
    low, high = (round(end * 100) for end in (BINS[place - 1], BINS[place]))
    if high <= 0:
        return f"over by {-high} to {-low} %"
    return f"{low} to {high} % left"


def counted(count: int) -> str:
    """A number of lots."""
    return show_number(count, 0)
