"""The table of a drawing's layers for a new site file: what each holds, and a guess of what it is.

Guesses come from the name of the layer alone, and are marked as guesses. A layer is taken in only
where its outlines are free of doubt; the others are left as remarks, with the doubt.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Place
from checker.core.records import Record, Struct, field
from checker.core.showing import show
from checker.core.units import AREA, Amount
from checker.files.plain import quoted
from checker.site.arcs import signed_area_m2
from checker.site.clean import Notes
from checker.site.drawn_layers import FEATURE_KINDS
from checker.site.layer_words import LOT, NONE, Guess
from checker.site.layers import LayerUse, layer_area, layer_geometry
from checker.site.materials import UNKNOWN

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from checker.site.arcs import VertexPath
    from checker.site.drawn_layers import Drawing, Layer
    from checker.site.layer_words import LayerWords

IGNORE: Final = "ignore"

_TRIALS: Final[tuple[tuple[str, dict[str, Any]], ...]] = (
    ("", {}),
    (", nested: hole", {"nested": "hole"}),
    (", repair: overlap-open", {"method": "overlap-open"}),
)


class LayerRow(Struct, kw_only=True):
    """One layer.

    Attributes:
        layer: The layer.
        guess: What its name suggests.
        meaning: A material, `lot`, `ignore` or a kind of feature; `unknown` where the name says
            nothing or the outlines are in doubt; empty for what may be the lot.
        is_said: A person said so.
        shape: The shape as the site file writes it.
        geometry: What it is; None where its outlines are in doubt.
        outline: Its outline, when it is one ring of lines and arcs.
        outlines_m2: The sum of its closed outlines as drawn.
        hatches_m2: The sum of its hatches as drawn, without their islands.
        doubt: Why it cannot be taken in as it is.
        told: What the reading of it noted.
    """

    layer: Layer
    guess: Guess
    meaning: str = ""
    is_said: bool = False
    outlines_m2: float = 0.0
    hatches_m2: float = 0.0
    shape: str = ""
    geometry: Any = None
    outline: VertexPath | None = None
    doubt: str = ""
    told: tuple[str, ...] = ()


def remark(text: str) -> str:
    """A text for a remark: one line that cannot end it."""
    return "".join(c if c.isprintable() else " " for c in text)[:300]


class Taking(Record, kw_only=True):
    """How layers are taken for what they are.

    Attributes:
        words: What words in names suggest.
        heaviest: Of several materials the one that counts most; the first when None.
        said: What a person says of layers, by name: over all that a name suggests.
    """

    words: LayerWords
    heaviest: Callable[[Sequence[str]], str] | None = None
    said: Mapping[str, str] = field(default_factory=dict)


def rows_of(drawing: Drawing, notes: Notes, taking: Taking) -> list[LayerRow]:
    """Every layer that holds anything, in order of name; one of them at most is the lot."""
    rows = [
        _row(layer, notes, taking) for _, layer in sorted(drawing.layers.items()) if layer.counts
    ]
    lots = [row for row in rows if row.meaning == LOT]
    keep = max(
        (row for row in lots if is_one_piece(row)),
        key=lambda row: (row.is_said, _area_m2(row)),
        default=None,
    )
    for row in lots:
        if row is not keep:
            row.meaning = ""
            row.doubt = row.doubt or f"{outlines_text(row)}, or another layer is the lot"
    if keep is None:
        # What is offered as the lot is no surface until another one is chosen.
        for row, _ in lot_offers(rows):
            row.meaning = "" if row.meaning == UNKNOWN.id else row.meaning
    return rows


def lot_offers(rows: list[LayerRow]) -> list[tuple[LayerRow, str]]:
    """Layers that may hold the lot, the likeliest first, each with what speaks for it.

    A ring that holds most of what else is drawn is likely, and so is a layer whose name says so.
    """
    from shapely import Polygon

    drawn = [row for row in rows if row.geometry is not None]
    found = []
    for row in drawn:
        if row.geometry.area <= 0:
            continue
        others = [other for other in drawn if other is not row]
        filled = row.geometry
        if isinstance(filled, Polygon):
            filled = Polygon(filled.exterior)
        inside = sum(bool(filled.buffer(0.01).covers(other.geometry)) for other in others)
        says = outlines_text(row)
        if others:
            says += f", {inside} of {len(others)} other layers lie in it"
        if row.guess.meaning == LOT or (is_one_piece(row) and 2 * inside >= len(others)):
            found.append((row.guess.meaning == LOT, inside, _area_m2(row), row, says))
    found.sort(key=lambda item: item[:3], reverse=True)
    return [(row, says) for *_, row, says in found]


def outlines_text(row: LayerRow) -> str:
    """How many separate areas a layer holds."""
    from shapely import get_num_geometries

    if row.geometry is None:
        return "no clear outline"
    if outlines := _side_by_side(row):
        return f"{outlines} areas side by side"
    count = int(get_num_geometries(row.geometry))
    return "one ring" if count == 1 else f"{count} areas"


def _side_by_side(row: LayerRow) -> int:
    """How many outlines make up what is one area together, as lots of a county do; 0 for one."""
    outlines = sum(piece.kind == "area" and not piece.is_fill for piece in row.layer.pieces)
    holes = len(getattr(row.geometry, "interiors", ()))
    return outlines if row.geometry is not None and outlines - holes > 1 else 0


def _area_m2(row: LayerRow) -> float:
    return float(row.geometry.area) if row.geometry is not None else 0.0


def is_one_piece(row: LayerRow) -> bool:
    """Whether a layer is a single area, drawn as one."""
    from shapely import Polygon

    return isinstance(row.geometry, Polygon) and not _side_by_side(row)


def _row(layer: Layer, notes: Notes, taking: Taking) -> LayerRow:
    found = taking.words.guess(layer.name)
    row = LayerRow(layer=layer, guess=found, meaning=_meaning(found, taking))
    if layer.name in taking.said:
        row.meaning, row.is_said = taking.said[layer.name], True
    place = Place("drawing")
    for piece in layer.pieces:
        if piece.kind == "area":
            areas = sorted((abs(signed_area_m2(ring)) for ring in piece.rings), reverse=True)
            area_m2 = areas[0] - sum(areas[1:]) if areas else 0.0
            row.hatches_m2 += area_m2 if piece.is_fill else 0.0
            row.outlines_m2 += 0.0 if piece.is_fill else area_m2
    if row.meaning in FEATURE_KINDS:
        own = Notes(unit=notes.unit)
        asked = LayerUse(owner=layer.name, place=place)
        row.shape = f"{{layer: {quoted(layer.name)}}}"
        row.geometry = layer_geometry(layer, own, asked) if layer.pieces else None
    else:
        _try_area(row, place, notes)
    is_area = any(piece.kind == "area" for piece in layer.pieces)
    if is_area and row.meaning in FEATURE_KINDS and not found.is_plain and not row.is_said:
        row.meaning = UNKNOWN.id
        _try_area(row, place, notes)
    if not any(piece.kind != "point" for piece in layer.pieces):
        row.meaning = row.meaning if row.geometry is not None else IGNORE
    elif row.geometry is None and row.meaning not in {IGNORE, LOT}:
        # Lines on it may well be the edge of something.
        row.meaning = UNKNOWN.id
    return row


def _meaning(found: Guess, taking: Taking) -> str:
    """What a name is taken for: where it leaves the material open, what counts most."""
    if found.meaning == NONE:
        return IGNORE if found.is_plain else UNKNOWN.id
    if found.may_be and taking.heaviest is not None:
        return taking.heaviest((found.meaning, *found.may_be))
    return found.meaning or UNKNOWN.id


def _try_area(row: LayerRow, place: Place, notes: Notes) -> None:
    if not any(piece.kind != "point" for piece in row.layer.pieces):
        return
    for key, how in _TRIALS:
        own = Notes(unit=notes.unit, gap_m=notes.gap_m)
        found = layer_area(row.layer, own, LayerUse(owner=row.layer.name, place=place, **how))
        if found is not None:
            row.shape = f"{{layer: {quoted(row.layer.name)}{key}}}"
            row.geometry, row.outline = found
            told = ["an outline inside another one was taken as a hole"] if "hole" in key else []
            row.told = (*told, *(repair.says for repair in own.repairs))
            row.doubt = ""
            return
        if not row.doubt:
            row.doubt = "; ".join(problem.says for problem in own.problems.items[:2])


def area_text(row: LayerRow, notes: Notes) -> str:
    """What a layer holds: things by sort, its area, and what is drawn where that differs."""
    parts = [row.layer.told()]
    if row.geometry is not None and row.geometry.area > 0:
        area = show(Amount(row.geometry.area, AREA), notes.system)
        drawn = [
            f"{noun} {text}"
            for noun, area_m2 in (("outlines", row.outlines_m2), ("hatches", row.hatches_m2))
            if area_m2 and (text := show(Amount(area_m2, AREA), notes.system)) != area
        ]
        parts.append(f"{' and '.join(drawn)} taken as {area}" if drawn else area)
    if row.layer.state:
        parts.append(row.layer.state)
    return ", ".join(parts)
