"""What a drawing file holds: layers of pieces in metres, and what the site file says of each."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any, Final, Literal

from checker.core.records import Struct, field

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from checker.core.problems import Place
    from checker.site.arcs import VertexPath

GeometryKind = Literal["area", "line", "point"]

FEATURE_KINDS: Final = (
    "well", "septic-tank", "septic-field", "shoreline", "foundation", "tree", "utility", "wall",
    "stream", "neighbour-structure", "public-way", "slope-toe", "barrier", "fence", "overhead-line",
    "gas-line", "water-line", "sewer-line", "erosion-control", "other",
)  # fmt: skip
"""What a layer may hold besides surfaces; the same list as in the shape of the site file."""

REGION_KINDS: Final = ("easement",)
"""What a layer may hold that is part of the land itself."""

OTHER_WORDS: Final = frozenset({"lot", "ignore", *FEATURE_KINDS, *REGION_KINDS})
"""Everything that the table may say of a layer but a material."""

Where = tuple[str, "Mapping[str, Any]"]
"""A layer, and the values of fields that pick out of it."""

MAX_PIECES: Final = 50_000
MAX_VERTICES: Final = 500_000


class DrawnPiece(Struct, kw_only=True):
    """One thing on a layer.

    Attributes:
        kind: An area is meant as closed; a line may still close, or join others into a ring.
        rings: For an area its outer ring and more rings by even and odd, else one path; metres.
        name: How messages call it, e.g. "polyline 2F".
        place: The file, with line and column where it has them.
        pattern: The pattern of a hatch.
        is_flagged: False for a line that no flag calls closed.
        is_fill: A hatch, which fills what an outline may draw as well.
        facts: What a GIS or GeoJSON file says of it, by field.
    """

    kind: GeometryKind
    rings: list[VertexPath]
    name: str
    place: Place
    pattern: str = ""
    is_flagged: bool = True
    is_fill: bool = False
    facts: dict[str, str] = field(default_factory=dict)


class Layer(Struct, kw_only=True):
    """One layer of a drawing.

    Attributes:
        name: As in the file.
        pieces: What has geometry.
        counts: How many of each sort of thing it holds, those without geometry included.
        state: "off" or "frozen", else empty.
    """

    name: str
    pieces: list[DrawnPiece] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)
    state: str = ""

    def told(self) -> str:
        """What it holds, in words: `2 polylines, 1 text`."""
        return ", ".join(
            f"{count} {noun}{'s' if count != 1 else ''}"
            for noun, count in sorted(self.counts.items())
        )


class Drawing(Struct, kw_only=True):
    """The layers of a drawing file.

    Attributes:
        file: How messages name the file.
        layers: By name.
        unit: The unit of its numbers; "degrees" for longitude and latitude.
        table: What the site file says of each layer: a material, `lot`, `ignore` or a feature kind.
        likely: The layers whose meaning nobody has confirmed.
        used: The layers that a shape refers to, with who does.
        folds_case: Layer names differ by more than capitals.
        fields: The fields of a GIS file, one of which may name the layers.
    """

    file: str
    unit: str
    layers: dict[str, Layer] = field(default_factory=dict)
    table: dict[str, str] = field(default_factory=dict)
    likely: dict[str, None] = field(default_factory=dict)
    used: dict[str, str] = field(default_factory=dict)
    folds_case: bool = False
    fields: dict[str, None] = field(default_factory=dict)

    def layer(self, name: str) -> Layer:
        """The layer of a name, made when it is new."""
        return self.layers.setdefault(name, Layer(name=name))

    def find(self, name: str) -> Layer | None:
        """The layer that a site file names; None when there is none."""
        if name in self.layers or not self.folds_case:
            return self.layers.get(name)
        folded = {layer.casefold(): layer for layer in self.layers}
        known = folded.get(name.casefold())
        return self.layers[known] if known is not None else None

    def meaning(self, name: str) -> str | None:
        """What the table says of a layer; None when it says nothing."""
        layer = self.find(name)
        for key, meaning in self.table.items():
            if key == name or (layer is not None and self.find(key) is layer):
                return meaning
        return None

    def material_of(self, name: str) -> str | None:
        """The material that the table gives a layer; None when it gives none."""
        meaning = self.meaning(name)
        return None if meaning in OTHER_WORDS else meaning


def counted_from(pieces: Iterable[DrawnPiece], origin: Sequence[float], size_m: float) -> None:
    """Move pieces, in place, so that a point of their drawing becomes 0, 0.

    Args:
        pieces: In metres.
        origin: x and y of the point, in the unit of the drawing.
        size_m: That unit.
    """
    away_x, away_y = origin[0] * size_m, origin[1] * size_m
    for piece in pieces:
        piece.rings = [[(x - away_x, y - away_y, b) for x, y, b in ring] for ring in piece.rings]


def fact_text(value: object) -> str:
    """A value of a field as it is compared: 164, 164.0 and '164' are one."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return str(value).strip()


def has(piece: DrawnPiece, where: Mapping[str, object]) -> bool:
    """Whether a thing has the values that are asked for."""
    return all(piece.facts.get(key) == fact_text(value) for key, value in where.items())


def near_lot(
    pieces: list[tuple[str, DrawnPiece]], picks: Where | None
) -> list[tuple[str, DrawnPiece]]:
    """Only what lies in the box round the lot that is picked by a field; all, if it is not.

    Args:
        pieces: Everything with the layer that it is on.
        picks: The layer of the lot and the values that pick it.
    """
    lot = [piece for name, piece in pieces if picks and name == picks[0] and has(piece, picks[1])]
    if not lot:
        return pieces
    boxes = [box_of(piece) for piece in lot]
    low_x, low_y = min(box[0] for box in boxes), min(box[1] for box in boxes)
    high_x, high_y = max(box[2] for box in boxes), max(box[3] for box in boxes)
    return [item for item in pieces if overlap(box_of(item[1]), (low_x, low_y, high_x, high_y))]


PlanBox = tuple[float, float, float, float]


def box_of(piece: DrawnPiece) -> PlanBox:
    """The lowest and highest numbers of a piece."""
    xs = [vertex[0] for ring in piece.rings for vertex in ring]
    ys = [vertex[1] for ring in piece.rings for vertex in ring]
    return min(xs), min(ys), max(xs), max(ys)


def overlap(one: PlanBox, other: PlanBox) -> bool:
    """Whether two boxes touch."""
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]
