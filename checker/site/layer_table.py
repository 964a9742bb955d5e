"""The table of a drawing's layers for a new site file: what each holds, and a guess of what it is.

Guesses come from the name of the layer alone, and are marked as guesses. A layer is taken in only
where its outlines are free of doubt; the others are left as remarks, with the doubt.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Place
from checker.core.records import Struct
from checker.core.showing import show
from checker.core.units import AREA, Amount
from checker.site.clean import Notes
from checker.site.drawn_layers import FEATURE_KINDS
from checker.site.layers import LayerUse, layer_area, layer_geometry

if TYPE_CHECKING:
    from checker.site.arcs import VertexPath
    from checker.site.drawn_layers import Drawing, Layer

HINTS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("pool-coping", ("coping",)),
    ("pool-water", ("pool", "water")),
    ("spa-water", ("spa", "tub")),
    ("roof-eave", ("eave", "overhang")),
    ("roof", ("house", "building", "bldg", "roof", "garage", "shed", "dwelling")),
    ("concrete-drive", ("drive", "driveway", "parking")),
    ("permeable-paving", ("permeable", "pervious")),
    ("sand-set-pavers", ("paver", "pavers")),
    ("wood-deck", ("deck",)),
    ("pergola-open", ("pergola", "arbor")),
    ("concrete-slab", ("walk", "sidewalk", "patio", "slab", "terrace", "concrete")),
    ("steps", ("steps", "stairs", "stoop")),
    ("retaining-wall", ("wall",)),
    ("equipment-pad", ("equipment", "pad", "equip")),
    ("gravel", ("gravel",)),
    ("lawn", ("lawn", "grass")),
    ("artificial-turf", ("turf",)),
    ("planting-bed", ("planting", "bed", "beds", "garden")),
    ("tree", ("tree", "trees")),
    ("well", ("well",)),
    ("septic-field", ("septic", "drainfield")),
    ("shoreline", ("shore", "shoreline")),
    ("lot", ("lot", "parcel", "boundary", "property", "prop")),
)
"""What a word in the name of a layer suggests; the first that fits. Common practice, no source."""
_TRIALS: Final[tuple[tuple[str, dict[str, Any]], ...]] = (
    ("", {}),
    (", nested: hole", {"nested": "hole"}),
    (", repair: linework", {"method": "linework"}),
)


class LayerRow(Struct, kw_only=True):
    """One layer.

    Attributes:
        layer: The layer.
        meaning: A material, `lot` or a kind of feature; empty without a guess.
        shape: The shape as the site file writes it.
        geometry: What it is; None where its outlines are in doubt.
        outline: Its outline, when it is one ring of lines and arcs.
        doubt: Why it cannot be taken in as it is.
        told: What the reading of it noted.
    """

    layer: Layer
    meaning: str = ""
    shape: str = ""
    geometry: Any = None
    outline: VertexPath | None = None
    doubt: str = ""
    told: tuple[str, ...] = ()


def quoted(text: str) -> str:
    """A text as YAML takes it, in a list too; JSON's quotes are YAML's as well."""
    is_plain = re.fullmatch(r"[A-Za-z0-9]([A-Za-z0-9 _./%-]*[A-Za-z0-9_./%-])?", text) is not None
    is_number = re.fullmatch(r"[0-9]+(\.[0-9]*)?([eE][-+]?[0-9]+)?", text) is not None
    if is_plain and not is_number and text.lower() not in {"true", "false", "null"}:
        return text
    escaped = json.dumps(text, ensure_ascii=False)
    return "".join(c if c.isprintable() else f"\\U{ord(c):08x}" for c in escaped)


def remark(text: str) -> str:
    """A text for a remark: one line that cannot end it."""
    return "".join(c if c.isprintable() else " " for c in text)[:300]


def guess(name: str) -> str:
    """What the name of a layer suggests; empty for nothing."""
    words = set(re.split(r"[^a-z]+", name.lower()))
    return next((meaning for meaning, hints in HINTS if words & set(hints)), "")


def rows_of(drawing: Drawing, notes: Notes) -> list[LayerRow]:
    """Every layer that holds anything, in order of name; one of them at most is the lot."""
    rows = [_row(layer, notes) for _, layer in sorted(drawing.layers.items()) if layer.counts]
    lots = [row for row in rows if row.meaning == "lot"]
    single = [row for row in lots if _is_one_piece(row)]
    keep = max(single, key=_area_m2, default=None)
    for row in lots:
        if row is not keep:
            row.meaning, row.doubt = "", row.doubt or "not one ring, or another layer is the lot"
    return rows


def _area_m2(row: LayerRow) -> float:
    return float(row.geometry.area) if row.geometry is not None else 0.0


def _is_one_piece(row: LayerRow) -> bool:
    from shapely import Polygon

    return isinstance(row.geometry, Polygon) and not len(row.geometry.interiors)


def _row(layer: Layer, notes: Notes) -> LayerRow:
    row = LayerRow(layer=layer, meaning=guess(layer.name))
    place = Place("drawing")
    if row.meaning in FEATURE_KINDS:
        own = Notes(unit=notes.unit)
        asked = LayerUse(owner=layer.name, place=place)
        row.shape = f"{{layer: {quoted(layer.name)}}}"
        row.geometry = layer_geometry(layer, own, asked) if layer.pieces else None
    else:
        _try_area(row, place, notes)
    if row.geometry is None:
        row.meaning = ""
    return row


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
    """What a layer holds: things by sort, and its area."""
    parts = [row.layer.told()]
    if row.geometry is not None and row.geometry.area > 0:
        parts.append(show(Amount(row.geometry.area, AREA), notes.system))
    if row.layer.state:
        parts.append(row.layer.state)
    return ", ".join(parts)
