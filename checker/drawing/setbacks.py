"""Lines of the setbacks that rules ask for, inside the lot lines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.algebra import nodes as n
from checker.core.units import LENGTH, Amount
from checker.drawing.marks import NAME_MM
from checker.drawing.named_lines import NamedLine
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.scale import Frame
    from checker.site.model import Shape
    from checker.words.brief import Brief

DASHES: Final = "1.6 0.8"
_SIDES: Final = {
    "distance_to_lot_line": "",
    "distance_to_front_line": "front",
    "distance_to_rear_line": "rear",
    "distance_to_side_line": "side",
}


def setbacks(brief: Brief) -> dict[tuple[str, float], None]:
    """Side (empty for every one) and depth in metres of each setback that a finding asks for."""
    found: dict[tuple[str, float], None] = {}
    for finding in brief.checked.verdict.findings:
        for part in finding.parts:
            measured, limit = part.node.measured, part.limit
            if not isinstance(measured, n.Named) or measured.name not in _SIDES:
                continue
            if (
                part.node.order in {"at least", "more than"}
                and limit.is_certain
                and limit.low_si > 0
            ):
                found[_SIDES[measured.name], limit.low_si] = None
    return found


def setback_lines(brief: Brief, frame: Frame) -> Iterator[NamedLine]:
    """Each setback as a dashed line with its depth."""
    lot = brief.checked.site.lot
    for side, depth_m in sorted(setbacks(brief)):
        line = _line(lot.boundary, lot.side(side) if side else None, depth_m)
        if line is None or line.is_empty:
            continue
        yield NamedLine(
            line=frame.on_paper(shapely.line_merge(line)),
            text=setback_text(brief, side, depth_m),
            size_mm=NAME_MM,
            stroke=colours.QUIET,
            width_mm=0.3,
            dashes=DASHES,
        )


def setback_text(brief: Brief, side: str, depth_m: float) -> str:
    """A setback in words: its side and depth."""
    key, title = f"setback.{side or 'lot'}.{depth_m:.4f}", "setback asked for"
    text = brief.figures.add(key, title, Amount(depth_m, LENGTH))
    return f"{side} setback {text}".strip()


def _line(boundary: Shape, side: Shape | None, depth_m: float) -> Shape | None:
    """The line at a depth from all lot lines, or from those of one side."""
    if side is None:
        inner = boundary.buffer(-depth_m, join_style="mitre")
        return inner.boundary
    return side.buffer(depth_m, cap_style="flat").boundary.intersection(boundary.buffer(-0.01))
