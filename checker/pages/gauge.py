"""A bar that shows an amount beside its limit: as SVG, and as a line of signs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages import colours

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.pages.blocks import Gauge

LENGTH: Final = 1000.0
HEIGHT: Final = 40.0
BLOCKS: Final = ("█", "▒", "░", "|")
"""What counts, what is open within a range, what is left, and the limit, where signs may be any."""

_BAR: Final = (6.0, 34.0)
"""Upper and lower edge of the bar; ticks stand over its whole height and beyond it."""


def gauge_svg(gauge: Gauge) -> str:
    """The bar alone: filled as far as counts, a tick at the limit, a thin one at what was.

    What lies beyond the limit is solid in the colour of the verdict and striped, so that it is
    seen without colours too; what is open within a range is striped thinly.
    """
    ink = colours.STATUS.get(gauge.status.key, colours.INK)
    top, bottom = _BAR
    low, high, limit = (LENGTH * part for part in (gauge.low, gauge.high, gauge.limit))
    parts = [_box(0, LENGTH, colours.SHADE)]
    within = low if gauge.is_floor else min(low, limit)
    parts.append(_box(0, within, ink, 0.72))
    if high > low:
        parts += [_box(low, high, colours.PAPER), *_stripes(low, high, ink, 14.0, 3.0)]
    if not gauge.is_floor and low > limit:
        parts += [_box(limit, low, ink), *_stripes(limit, low, colours.PAPER, 16.0, 4.0)]
    parts.append(
        f'<rect x="0" y="{top:g}" width="{LENGTH:g}" height="{bottom - top:g}" fill="none" '
        f'stroke="{colours.LINE}" stroke-width="1.5"/>'
    )
    if gauge.was is not None:
        at = LENGTH * gauge.was
        parts.append(
            f'<path d="M{at:.1f} {top:g}V{bottom:g}" stroke="{colours.INK}" stroke-width="3" '
            'stroke-dasharray="5 4"/>'
        )
    parts.append(f'<path d="M{limit:.1f} 0V{HEIGHT:g}" stroke="{colours.INK}" stroke-width="6"/>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {LENGTH:g} {HEIGHT:g}" '
        f'preserveAspectRatio="none" aria-hidden="true" focusable="false">{"".join(parts)}</svg>'
    )


def _box(start: float, end: float, fill: str, opacity: float = 1.0) -> str:
    top, bottom = _BAR
    shown = "" if opacity == 1 else f' fill-opacity="{opacity:g}"'
    return (
        f'<rect x="{start:.1f}" y="{top:g}" width="{max(end - start, 0):.1f}" '
        f'height="{bottom - top:g}" fill="{fill}"{shown}/>'
    )


def _stripes(start: float, end: float, ink: str, apart: float, width: float) -> list[str]:
    top, bottom = _BAR
    path = ""
    at = start + apart / 2
    while at < end:
        path += f"M{at:.1f} {bottom:g}V{top:g}"
        at += apart
    return [f'<path d="{path}" stroke="{ink}" stroke-width="{width:g}"/>'] if path else []


def gauge_line(gauge: Gauge, length: int = 56, signs: Sequence[str] = ("#", "=", "-", "|")) -> str:
    """The bar as a line of signs: what counts, what is open, what is left, and the limit."""
    filled, open_, left, limit = signs
    at = min(length - 1, round(gauge.limit * length))
    low, high = round(gauge.low * length), round(gauge.high * length)
    if gauge.low < gauge.limit:  # rounding never carries an amount over its limit, or back
        low = min(low, at)
    if gauge.high > gauge.limit:
        high = max(high, at + 1)
    if gauge.low > gauge.limit:
        low = max(low, at + 1)
    line = [filled if i < low else open_ if i < high else left for i in range(length)]
    line.insert(at, limit)
    return f"[{''.join(line)}]"
