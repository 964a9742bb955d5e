"""Lines of the setbacks that rules ask for, inside the lot lines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.core.units import LENGTH, Amount
from checker.drawing.marks import NAME_MM, name_text
from checker.drawing.svg import tag, text_width_mm
from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.drawing.labels import Placer
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


def setback_lines(brief: Brief, frame: Frame, placer: Placer) -> Iterator[str]:
    """Each setback as a dashed line with its depth."""
    lot = brief.checked.site.lot
    for side, depth_m in sorted(setbacks(brief)):
        line = _line(lot.boundary, lot.side(side) if side else None, depth_m)
        if line is None or line.is_empty:
            continue
        yield tag(
            "path", d=frame.path(line), fill="none", stroke=colours.QUIET, stroke_width=0.3,
            stroke_dasharray=DASHES,
        )  # fmt: skip
        key, title = f"setback.{side or 'lot'}.{depth_m:.4f}", "setback asked for"
        text = brief.figures.add(key, title, Amount(depth_m, LENGTH))
        said = f"{side} setback {text}".strip()
        width = text_width_mm(said, NAME_MM)
        for share in (0.5, 0.2, 0.35, 0.65, 0.8, 0.05, 0.95):
            point = line.interpolate(share, normalized=True)
            at = frame.at(point.x, point.y)
            if placer.has_room_for(at, width, NAME_MM, 0.0):
                placer.take_text(at, width, NAME_MM, 0.0)
                yield name_text(said, at, colours.QUIET)
                break


def _line(boundary: Shape, side: Shape | None, depth_m: float) -> Shape | None:
    """The line at a depth from all lot lines, or from those of one side."""
    if side is None:
        inner = boundary.buffer(-depth_m, join_style="mitre")
        return inner.boundary
    return side.buffer(depth_m, cap_style="flat").boundary.intersection(boundary.buffer(-0.01))
