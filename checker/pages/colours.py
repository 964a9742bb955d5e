"""The colours of pages and plans, as pairs whose contrast a test works out.

The contrast wanted is that of WCAG 2.1: 4.5 to 1 for text (1.4.3), 3 to 1 for the parts of a
drawing that are needed to understand it (1.4.11). Nothing is told by colour alone: stages differ
by line and hatch, statuses by sign and word.
"""

from __future__ import annotations

from typing import Final

PAPER: Final = "#ffffff"
INK: Final = "#1c1d1f"
QUIET: Final = "#54585c"
LINE: Final = "#80858a"
RULE: Final = "#d3d6d9"
"""Between the rows of tables: an ornament, the rows stand apart without it."""
SHADE: Final = "#f3f4f5"
LINK: Final = "#0b4f8a"

EXISTING: Final = "#55595d"
EXISTING_HATCH: Final = "#7d8287"
EXISTING_FILL: Final = "#f1f1f0"
PROPOSED: Final = "#0a3f70"
PROPOSED_HATCH: Final = "#2f76ad"
PROPOSED_FILL: Final = "#e8f1f8"
WATER: Final = "#15638f"
WATER_FILL: Final = "#a9d9ee"
REMOVED: Final = "#a23608"
REGION: Final = "#6b3d98"

FAILS: Final = "#9c1c12"
CANNOT_TELL: Final = "#7a4a00"
RELIEF: Final = "#6b3d98"
CONDITIONS: Final = "#0b4f8a"
PASSES: Final = "#1d6132"
NOT_ASKED: Final = QUIET

STATUS: Final = {
    "fails": FAILS,
    "cannot-tell": CANNOT_TELL,
    "unanswered": CANNOT_TELL,
    "relief-possible": RELIEF,
    "passes-with-conditions": CONDITIONS,
    "passes": PASSES,
    "does-not-apply": NOT_ASKED,
    "not-in-force": NOT_ASKED,
}

TEXT_PAIRS: Final = (
    (INK, PAPER), (INK, SHADE), (QUIET, PAPER), (QUIET, SHADE), (LINK, PAPER), (LINK, SHADE),
    *((colour, PAPER) for colour in STATUS.values()),
    *((colour, SHADE) for colour in STATUS.values()),
    (REGION, PAPER), (REMOVED, PAPER), (EXISTING, PAPER), (PROPOSED, PAPER),
)  # fmt: skip
"""Text colours with the grounds they stand on."""

GRAPHIC_PAIRS: Final = (
    (LINE, PAPER), (EXISTING, EXISTING_FILL), (EXISTING_HATCH, EXISTING_FILL),
    (PROPOSED, PROPOSED_FILL), (PROPOSED_HATCH, PROPOSED_FILL), (REMOVED, PAPER),
    (REMOVED, PROPOSED_FILL), (REMOVED, EXISTING_FILL), (REGION, PAPER), (INK, PROPOSED_FILL),
    (REGION, EXISTING_FILL), (REGION, PROPOSED_FILL), (WATER, WATER_FILL), (INK, WATER_FILL),
    (EXISTING, WATER_FILL), (PROPOSED, WATER_FILL), (REMOVED, WATER_FILL),
)  # fmt: skip
"""Line and hatch colours with the fills they stand on."""
