"""A new site file that starts from a drawing: its layers, what each may be, and the lot.

Nothing is made up. Where no layer is the lot, none is written, and what may be it is offered.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Place, Problems, did_you_mean
from checker.core.records import Record
from checker.core.units import UNIT
from checker.files.plain import quoted
from checker.site.clean import Notes
from checker.site.drawing import SUFFIXES, load
from checker.site.drawn_layers import FEATURE_KINDS, OTHER_WORDS, REGION_KINDS, Drawing
from checker.site.layer_table import (
    IGNORE,
    LayerRow,
    Taking,
    area_text,
    is_one_piece,
    lot_offers,
    remark,
    rows_of,
)
from checker.site.layer_words import LOT, layer_words
from checker.site.lot import lot_lines
from checker.site.materials import MARK, UNKNOWN, material_named, materials
from checker.site.projection import bounds
from checker.site.shapes import Drawn

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from checker.site.model import BoundaryLine

FAR: Final = 5000
"""Numbers of a drawing above this are those of a grid of the country, not of a lot."""

MOST_LINES: Final = 40
"""A boundary of more lines than this is not listed line by line."""
_OPEN: Final = "what it may be counts differently here"
MOST_OFFERS: Final = 6
MOST_FIELDS: Final = 12

FEATURES: Final = """\

# What rules may measure to.
# features:
#   - {id: well, kind: well, shape: {at: [10, 120]}}
"""


class DrawingBody(Record, kw_only=True):
    """What of a site file a drawing gives.

    Attributes:
        text: That part of the file.
        told: What a person should be told at once.
        asks: The layers that nothing is known of, each with what it holds.
    """

    text: str
    told: tuple[str, ...]
    asks: tuple[tuple[str, str], ...]


def drawing_body(
    path: Path,
    file: str,
    unit: str,
    heaviest: Callable[[Sequence[str]], str] | None = None,
    said_layers: Mapping[str, str] | None = None,
) -> DrawingBody:
    """What of a site file a drawing gives.

    Args:
        path: The drawing.
        file: How the site file names it.
        unit: The unit of the site file.
        heaviest: Of several materials the one that counts most in the place.
        said_layers: What a person says of layers, by name.

    Raises:
        BadInput: The drawing, or a table of words beside it, cannot be read; or what is said is
            of no layer or means nothing.
    """
    notes = Notes(unit=unit)
    drawing, said, origin = _load(path, unit, notes)
    given = _said_of(said_layers or {}, drawing, path.name)
    taking = Taking(words=layer_words(path.parent), heaviest=heaviest, said=given)
    rows = rows_of(drawing, notes, taking)
    lines = ["drawing:", f"  file: {quoted(file)}"]
    if said:
        lines.append("  # The file does not say this by itself; it was taken as likely. Check it.")
        lines += said
    if origin:
        lines.append(
            "  # This place of the drawing is [0, 0] below, so that what is typed is short."
        )
        lines.append(f"  origin: [{origin[0]}, {origin[1]}]")
    lines += [f"  # {remark(repair.says)}" for repair in notes.repairs]
    lines += _table(rows, notes)
    lines += ["", *_lot(rows, drawing, notes), "",
              "# The material of all land no surface covers; take the ? away once it is looked at.",
              "rest_of_lot: lawn?", "", *_surfaces(rows), *_features(rows),
              *_regions(rows)]  # fmt: skip
    asks = tuple(
        (row.layer.name, area_text(row, notes)) for row in rows if row.meaning == UNKNOWN.id
    )
    return DrawingBody(text="\n".join(lines) + "\n", told=tuple(_told(rows, said)), asks=asks)


def _said_of(said: Mapping[str, str], drawing: Drawing, file: str) -> dict[str, str]:
    """What a person says of layers, by the names that the drawing has."""
    problems = Problems()
    found: dict[str, str] = {}
    for name, meaning in said.items():
        place = Place(f"layer {name}")
        layer = drawing.find(name)
        if layer is None:
            says = f"the drawing {file} has no layer '{name}'"
            problems.add(place, says, did_you_mean(name, drawing.layers))
        elif meaning not in OTHER_WORDS and material_named(meaning) is None:
            says = f"'{meaning}' is no material, no kind of feature, and not lot or ignore"
            known = [*materials(), *sorted(OTHER_WORDS)]
            problems.add(place, says, did_you_mean(meaning, known))
        else:
            found[layer.name] = meaning
    problems.stop_if_any(f"{file} cannot be used")
    return found


def _load(path: Path, unit: str, notes: Notes) -> tuple[Drawing, list[str], tuple[int, ...]]:
    """A drawing, what had to be said so that it could be read, and where it is counted from.

    Nothing of the last where it is counted from its own zero.

    Degrees are never taken for a length: a plan is tried only where the numbers cannot be degrees.
    """
    said: list[tuple[str, Any]] = []
    origin: tuple[int, ...] = ()
    for _ in range(5):
        own = Notes(unit=unit)
        try:
            found = load(path, path.name, dict(said) | ({"origin": origin} if origin else {}), own)
            own.problems.stop_if_any(f"{path.name} cannot be read")
        except BadInput as error:
            added = _likely(error, said, unit)
            if not added:
                raise
            said = added
            continue
        assert found is not None
        is_gis = SUFFIXES[path.suffix.lower()] == "gis"
        if is_gis and "layer" in found.fields and ("layer_by", "layer") not in said:
            # One table of everything, whose rows name their class: take the classes apart.
            said = [*said, ("layer_by", "layer")]
            continue
        if not origin and (origin := _far_corner(found, unit)):
            continue
        notes.repairs.extend(own.repairs)
        return found, [f"  {key}: {value}" for key, value in said], origin
    raise AssertionError("each turn of the loop says one thing more")


def _far_corner(drawing: Drawing, unit: str) -> tuple[int, ...]:
    """The lower left corner of a drawing that lies far from its zero, in whole units."""
    size_m = UNIT[drawing.unit if drawing.unit in UNIT else unit].size_si
    pieces = [piece for layer in drawing.layers.values() for piece in layer.pieces]
    areas = [piece for piece in pieces if piece.kind == "area"] or pieces
    low = [math.floor(low_m / size_m) for low_m in bounds(areas)[:2]]
    return tuple(low) if max(map(abs, low)) > FAR else ()


def _likely(error: BadInput, said: list[tuple[str, Any]], unit: str) -> list[tuple[str, Any]]:
    """What the complaint asks to be said; empty for none of it, or where it was said already."""
    text = " ".join(str(problem) for problem in error.problems)
    keys = dict(said)
    if "does not say its unit" in text and "unit" not in keys:
        return [*said, ("unit", unit)]
    asks_degrees = "coordinates: longitude-latitude" in text
    if asks_degrees and "coordinates" not in keys:
        return [*said, ("coordinates", "longitude-latitude")]
    if "coordinates: plan" in text and "coordinates" not in keys and "remove" not in text:
        return [*said, ("coordinates", "plan"), ("unit", unit)]
    return []


def _told(rows: list[LayerRow], said: list[str]) -> list[str]:
    """What `new` says on the terminal: what it took, and above all what it did not find."""
    lines = [f"Taken as likely, check it: {item.strip()}" for item in said]
    lot = next((row for row in rows if row.meaning == LOT), None)
    if lot is None:
        offers = lot_offers(rows)
        lines.append("No lot was found in the drawing. Until a boundary is chosen, every rule says "
                     "'cannot tell'.")  # fmt: skip
        lines += [f"  may be the lot: {row.layer.name} ({says})" for row, says in offers[:3]]
    else:
        lines.append(f"Lot: {lot.layer.name}{'' if lot.is_said else ' (taken from its name)'}")
    taken = [row for row in rows if _is_likely(row)]
    noun = "layer was" if len(rows) == 1 else "layers were"
    lines.append(f"{len(taken)} of {len(rows)} {noun} taken by their names and marked '?'; correct "
                 "the table in the file.")  # fmt: skip
    left = [row.layer.name or "(no name)" for row in rows if row.meaning == UNKNOWN.id]
    if left:
        more = f" and {len(left) - 8} more" if len(left) > 8 else ""
        lines.append(f"Say what these layers are: {', '.join(left[:8])}{more}")
    return lines


def _is_likely(row: LayerRow) -> bool:
    """Whether a layer is taken for something that a person should confirm."""
    if row.is_said or row.meaning in {"", UNKNOWN.id}:
        return False
    return row.meaning != IGNORE or any(piece.kind == "area" for piece in row.layer.pieces)


def _table(rows: list[LayerRow], notes: Notes) -> list[str]:
    lines = [
        "  # What each layer is: a material, lot, easement, ignore, or a kind of feature. A '?' is",
        "  # behind what was taken from its name: correct it, or take the ? away. Say what layers",
        "  # are that are 'unknown': until then what hangs on them cannot be told.",
    ]
    entries = []
    for row in rows:
        name = quoted(row.layer.name)
        holds = remark(area_text(row, notes))
        because = remark(row.guess.because)
        if not row.meaning:
            doubt = f"; {remark(row.doubt)}" if row.doubt else ""
            entries.append(f"    # {name}: ...    # {holds}{doubt}; may be the lot")
            continue
        why = f"{because}; " if because and not row.is_said else ""
        if row.meaning == UNKNOWN.id and row.guess.meaning in materials():
            why += "which is not clear; " if row.geometry is None else f"{_OPEN}; "
        doubt = f"; {remark(row.doubt)}" if row.doubt and row.meaning == UNKNOWN.id else ""
        mark = MARK if _is_likely(row) else ""
        entries.append(f"    {name}: {row.meaning}{mark}    # {why}{holds}{doubt}")
    has_entry = any(not entry.lstrip().startswith("#") for entry in entries)
    empty = "  layers: {}    # write 'layers:' alone once an entry below counts"
    return [*lines, "  layers:" if has_entry else empty, *entries]


def _lot(rows: list[LayerRow], drawing: Drawing, notes: Notes) -> list[str]:
    lot = next((row for row in rows if row.meaning == LOT), None)
    if lot is None:
        return _no_lot(rows, drawing)
    lines = ["lot:", f"  boundary: {lot.shape}"]
    drawn = Drawn(lot.geometry, lot.outline)
    parts = lot_lines(drawn, notes, 0.0)
    numbered = [
        f"  #   {part.number}: from {_corner(part, notes.unit)} {remark(part.label)}"
        for part in parts[:MOST_LINES]
    ]
    return [*lines, *_SIDES, *numbered, *_RECORDED]


def _corner(part: BoundaryLine, unit: str) -> str:
    """Where a line begins, in the unit of the file."""
    x, y = (round(at_m / UNIT[unit].size_si, 2) for at_m in part.line.coords[0][:2])
    return f"[{x:.10g}, {y:.10g}]"


_SIDES: Final = (
    "  # Which lines are the front, the rear, the sides: by number, by compass (south-west), or",
    "  # 'nearest' and the id of a street under 'features'; 'rest' is every other line.",
    "  # sides: {front: [1], rear: [3], side: rest}",
)
_RECORDED: Final = (
    "  # What the deed or plat says; it is compared with the drawing.",
    "  # recorded_area: 10,000 sq ft",
)


def _no_lot(rows: list[LayerRow], drawing: Drawing) -> list[str]:
    """The lot as remarks: what may be it, to be taken up by a person."""
    offers = lot_offers(rows)[:MOST_OFFERS]
    lines = [
        "# No layer was taken as the lot, so every rule says 'cannot tell'. Take the # away from",
        "# 'lot:' and from one boundary; another one may be points, courses of a deed, a layer.",
        "# lot:",
    ]
    # The field that names the class of a row picks no one row out of its class.
    fields = [name for name in drawing.fields if name and name != "layer"][:MOST_FIELDS]
    for row, says in offers:
        if is_one_piece(row):
            lines.append(f"#   boundary: {row.shape}    # {remark(says)}")
        elif fields:
            name, field = quoted(row.layer.name), quoted(fields[0])
            shape = f"{{layer: {name}, where: {{{field}: ...}}}}"
            lines.append(f"#   boundary: {shape}    # {remark(says)}; one of them by a field")
    if fields:
        lines.append(f"# Fields: {remark(', '.join(fields))}")
    if not offers:
        lines.append("#   boundary: {points: [[0, 0], [80, 0], [80, 125], [0, 125]]}")
    return [*lines, *(f"#{line[1:]}" for line in (*_SIDES, *_RECORDED))]


def _surfaces(rows: list[LayerRow]) -> list[str]:
    chosen = [r for r in rows if material_named(r.meaning) is not None and r.geometry is not None]
    if not chosen:
        return ["surfaces: []"]
    lines = [
        "surfaces:",
        "  # The material is in the table above. stage: existing, removed, proposed or replaced.",
    ]
    taken: set[str] = set()
    for row in chosen:
        lines += [f"  # {remark(says)}" for says in row.told]
        stage = row.guess.stage or "existing"
        guess = "    # stage guessed from the name" if row.guess.stage else ""
        entry = f"id: {_id(row, taken)}, stage: {stage}, shape: {row.shape}"
        material = material_named(row.meaning)
        if row.guess.purpose and material is not None and not material.purpose:
            entry += f", attributes: {{purpose: {row.guess.purpose}}}"
        lines.append(f"  - {{{entry}}}{guess}")
    return lines


def _features(rows: list[LayerRow]) -> list[str]:
    chosen = [row for row in rows if row.meaning in FEATURE_KINDS]
    taken: set[str] = set()
    if not chosen:
        return [FEATURES.rstrip("\n")]
    return ["", "features:"] + [
        f"  - {{id: {_id(row, taken)}, kind: {row.meaning}, shape: {row.shape}}}" for row in chosen
    ]


def _regions(rows: list[LayerRow]) -> list[str]:
    """Parts of the land: an easement as it is drawn."""
    chosen = [row for row in rows if row.meaning in REGION_KINDS]
    taken: set[str] = set()
    if not chosen:
        return []
    return ["", "regions:"] + [
        f"  - {{id: {_id(row, taken)}, kind: {row.meaning}, shape: {row.shape}}}" for row in chosen
    ]


def _id(row: LayerRow, taken: set[str]) -> str:
    words = re.findall(r"[a-z0-9]+", row.layer.name.lower())
    name = "-".join(words)
    if not name or not name[0].isalpha() or quoted(name) != name:
        name = f"layer-{name}".rstrip("-")
    number = 2
    unique = name
    while unique in taken:
        unique, number = f"{name}-{number}", number + 1
    taken.add(unique)
    return unique
