"""Text that may stand in HTML and SVG."""

from __future__ import annotations

from typing import Final

_ESCAPES: Final = {
    ord("&"): "&amp;",
    ord("<"): "&lt;",
    ord(">"): "&gt;",
    ord('"'): "&quot;",
    ord("'"): "&#39;",
}


def escape(text: str) -> str:
    """A text that may stand between tags and in quotes, in HTML and in SVG."""
    return text.translate(_ESCAPES)
