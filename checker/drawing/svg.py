"""Scalable vector graphics as text: elements, numbers and paths. Everything is escaped."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages import colours
from checker.pages.markup import escape
from checker.words.cautions import SHORT

if TYPE_CHECKING:
    from collections.abc import Iterable

MARK: Final = "<!-- written by soakline -->"
"""Stands in every picture, so that the program knows its own files again."""

FONT: Final = "Helvetica, Arial, 'Liberation Sans', sans-serif"


_LINE_MM: Final = 4.0
"""Height of the line that every picture ends in."""


def number(value: float) -> str:
    """A coordinate in millimetres, to a hundredth, without needless zeros.

    Example:
        >>> number(12.0), number(-0.001), number(3.14159)
        ('12', '0', '3.14')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def tag(name: str, *inside: str, **attributes: str | float) -> str:
    """An element; underscores in attribute names stand for hyphens.

    Example:
        >>> tag("text", escape("A & B"), x=1.5, font_size=3)
        '<text x="1.5" font-size="3">A &amp; B</text>'
    """
    parts = [name]
    for key, value in attributes.items():
        known = _NAMES.get(key)
        if known is None:
            known = _NAMES[key] = key.rstrip("_").replace("_", "-")
        shown = escape(value) if isinstance(value, str) else number(value)
        parts.append(f'{known}="{shown}"')
    start = " ".join(parts)
    return f"<{start}>{''.join(inside)}</{name}>" if inside else f"<{start}/>"


_NAMES: Final[dict[str, str]] = {}
"""Attribute names as SVG writes them."""


def picture(
    size_mm: tuple[float, float],
    title: str,
    says: str,
    body: Iterable[str],
    *,
    name: str = "",
    defs: Iterable[str] = (),
    **more: str | float,
) -> str:
    """A whole picture, with its title and what it shows for those who cannot see it.

    A line below it says what no drawing is: drawings are passed on without their pages.

    Args:
        size_mm: Width and height on paper.
        title: Its title.
        says: What it shows, in a sentence; empty where the title says it.
        body: Its elements.
        name: Begins the ids of title and sentence; empty where a page may hold several of a kind.
        defs: Patterns and markers.
        more: Attributes of the whole.
    """
    width_mm, height_mm = size_mm[0], size_mm[1] + _LINE_MM
    parts = [("title", title), *([("desc", says)] if says else [])]
    ids = [f"{name}-{part}" for part, _ in parts] if name else []
    if ids:
        more = {"aria_labelledby": " ".join(ids), **more}
    named = [{"id": each} for each in ids] or [{} for _ in parts]
    return tag(
        "svg",
        MARK,
        *(tag(part, escape(text), **own) for (part, text), own in zip(parts, named, strict=True)),
        *([tag("defs", *made)] if (made := list(defs)) else []),
        tag("rect", x=0, y=0, width=width_mm, height=height_mm, fill=colours.PAPER),
        *body,
        tag("text", SHORT, x=1.5, y=height_mm - 1.3, font_size=2.1, fill=colours.QUIET),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width_mm)} {number(height_mm)}",
        width=f"{number(width_mm)}mm",
        height=f"{number(height_mm)}mm",
        role="img",
        **{**more, "font_family": more.get("font_family", FONT)},
    )


def words(  # noqa: PLR0913 - how a text stands, each by name
    text: str,
    at: tuple[float, float],
    size_mm: float,
    *,
    fill: str = colours.INK,
    edge_mm: float = 0.0,
    drop_fraction: float = 0.36,
    degrees: float = 0.0,
    is_bold: bool = False,
) -> str:
    """A text about a point.

    Args:
        text: The text, not yet escaped.
        at: Its middle.
        size_mm: Height of its face.
        fill: Its colour.
        edge_mm: Width of an edge in the colour of the paper, so that it reads over lines.
        drop_fraction: How far its foot lies below the middle, of its height.
        degrees: Turned clockwise about the middle.
        is_bold: In a bold face.
    """
    x, y = at
    more: dict[str, str | float] = {"font_weight": "bold"} if is_bold else {}
    more |= {"text_anchor": "middle", "fill": fill}
    if edge_mm:
        more |= {"stroke": colours.PAPER, "stroke_width": edge_mm, "paint_order": "stroke"}
    if abs(degrees) > 0.01:
        more["transform"] = f"rotate({degrees:.2f} {x:.2f} {y:.2f})"
    foot = y + size_mm * drop_fraction
    return tag("text", escape(text), x=x, y=foot, font_size=size_mm, **more)


def text_width_mm(text: str, size_mm: float) -> float:
    """About how wide a line of text is in a plain sans-serif face; on the wide side."""
    narrow = sum(1 for sign in text if sign in "il.,:;'|°\"ijtf1 ()")
    return size_mm * (0.36 * narrow + 0.62 * (len(text) - narrow))
