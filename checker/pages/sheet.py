"""A drawing sheet before any file format: boxes, lines, texts and images at inches on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from checker.core.records import Record, Struct, field

if TYPE_CHECKING:
    from checker.pages.blocks import Table

Size = Literal["letter", "tabloid", "arch-d"]

PAPER_IN: Final[dict[str, tuple[float, float]]] = {
    "letter": (11.0, 8.5),
    "tabloid": (17.0, 11.0),
    "arch-d": (36.0, 24.0),
}
"""Width and height of each size laid on its side, inches."""

SIZE_NAMES: Final = {"letter": "8.5 x 11 in", "tabloid": "11 x 17 in", "arch-d": "24 x 36 in"}


class SheetBox(Record):
    """A rectangle in inches from the top left corner of the sheet."""

    x: float
    y: float
    w: float
    h: float


class SheetLine(Record):
    """A straight line; its width is in points."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.7


class Rect(Record):
    """A filled or empty rectangle."""

    x: float
    y: float
    w: float
    h: float
    fill: str = ""
    dash: bool = False


class SheetText(Record):
    """A text in a box of a given width; its size is in points."""

    x: float
    y: float
    w: float
    text: str
    size: float = 8.0
    bold: bool = False
    align: Literal["left", "center", "right"] = "left"


class Image(Record):
    """A drawing placed at a size in inches, with its long description."""

    x: float
    y: float
    w: float
    h: float
    file: str
    says: str


class Placed(Record):
    """A small table at a place."""

    x: float
    y: float
    w: float
    table: Table
    size: float = 7.0


class Sheet(Struct, kw_only=True):
    """One drawing sheet.

    Attributes:
        id: Its name in file names.
        number: Its number, never used again, e.g. "S1".
        title: What it shows.
        size: Paper.
        is_upright: The long side runs up.
        frame: The border.
        title_width: Room for the heading, inches.
        scale_text: As written on the sheet.
        scale_ratio: Lengths on the ground over lengths on paper.
    """

    id: str
    number: str
    title: str
    size: Size
    frame: SheetBox
    title_width: float
    is_upright: bool = False
    scale_text: str = ""
    scale_ratio: float = 0.0
    images: list[Image] = field(default_factory=list)
    lines: list[SheetLine] = field(default_factory=list)
    rects: list[Rect] = field(default_factory=list)
    texts: list[SheetText] = field(default_factory=list)
    tables: list[Placed] = field(default_factory=list)
