"""A drawing file that shapes refer to by layer: what it holds, and the table of its layers.

The readers (`dxf`, `geojson`, `gis`) turn a file into layers of pieces in metres; what a layer
means is said in the site file alone. Nothing is guessed: what is not said is told or asked.
"""

from __future__ import annotations

from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.core.records import Struct, field
from checker.core.units import LENGTH, UNIT
from checker.files.opening import Unopened
from checker.site.drawn_layers import OTHER_WORDS, Drawing, box_of, overlap
from checker.site.materials import UNKNOWN, material_named, materials, without_mark
from checker.site.model import Assumption, Repair
from checker.site.values import read_length_m

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.files.source import Document
    from checker.site.clean import Notes
    from checker.site.drawn_layers import Layer, Where
    from checker.site.model import Lot

MOST_TOLD: Final = 12
SUFFIXES: Final = {
    ".dxf": "dxf", ".geojson": "geojson", ".json": "geojson",
    ".gpkg": "gis", ".shp": "gis", ".zip": "gis",
}  # fmt: skip


def open_drawing(
    data: dict[str, Any],
    document: Document,
    path: Path,
    notes: Notes,
    *,
    lot_where: Where | None = None,
    fields: Sequence[str] = (),
) -> Drawing | None:
    """The drawing that a site file names.

    Args:
        data: The `drawing` part of the site file.
        document: The site file, for places.
        path: Where the site file lies; the drawing's path is taken from its folder.
        notes: Where problems and repairs go.
        lot_where: The layer of the lot and the values of fields that pick it out.
        fields: Every field by which a shape picks.

    Returns:
        None after a problem.
    """
    unit = _unit(data, document, notes)
    if "close_gaps" in data:
        place = document.place("drawing", "close_gaps")
        gap_m = read_length_m(data["close_gaps"], notes.unit, "'close_gaps'", place, notes.problems)
        notes.gap_m = gap_m if gap_m is not None else notes.gap_m
    name = data["file"]
    if "\0" in name or not name.strip():
        notes.problem(document.place("drawing", "file"), f"'{name!a}' is no name of a file")
        return None
    shown = (PurePosixPath(document.file).parent / PurePosixPath(name)).as_posix()
    options = data | {"unit": unit, "lot_where": lot_where, "fields": fields}
    try:
        drawing = load(path.parent / name, shown, options, notes)
    except Unopened as error:
        at = document.place("drawing", "file")
        notes.problems.items.extend(error.named_at(at).problems)
        return None
    except BadInput as error:
        notes.problems.items.extend(error.problems)
        return None
    if drawing is not None:
        _read_table(drawing, data.get("layers", {}), document, notes)
    return drawing


def load(path: Path, shown: str, options: dict[str, Any], notes: Notes) -> Drawing | None:
    """Read a drawing file by its ending.

    Args:
        path: The file.
        shown: How messages name it.
        options: `unit`, `coordinates`, `layer_by`, `origin` of the site file, those that are there,
            and `lot_where` and `fields`, see `open_drawing`.
        notes: Where problems and repairs go.

    Raises:
        BadInput: It cannot be read at all.
    """
    sort = SUFFIXES.get(path.suffix.lower())
    if sort == "dxf":
        from checker.site.dxf import read_dxf

        return read_dxf(path, shown, options, notes)
    if sort == "geojson":
        from checker.site.geojson import read_geojson

        return read_geojson(path, shown, options, notes)
    if sort == "gis":
        from checker.site.gis import read_gis

        return read_gis(path, shown, options, notes)
    do = "give a .dxf, .geojson, .gpkg or .shp file"
    if path.suffix.lower() == ".dwg":
        do = "save it as .dxf from the program that made it"
    raise BadInput(
        f"{shown} cannot be read",
        [Problem(Place(shown), f"'{path.suffix}' is no kind of drawing that can be read", do)],
    )


def _unit(data: dict[str, Any], document: Document, notes: Notes) -> str | None:
    if "unit" not in data:
        return None
    found = UNIT.get(data["unit"].strip().lower())
    if found is None or found.dimension != LENGTH:
        lengths = [unit.name for unit in UNIT.values() if unit.dimension == LENGTH]
        says = f"'unit' of the drawing is '{data['unit']}', which is no unit of length"
        notes.problem(document.place("drawing", "unit"), says, did_you_mean(data["unit"], lengths))
        return None
    return found.name


def _read_table(drawing: Drawing, table: dict[str, str], document: Document, notes: Notes) -> None:
    for name, given in table.items():
        meaning, is_likely = without_mark(given)
        layer = drawing.find(name)
        if layer is None:
            says = f"the drawing {drawing.file} has no layer '{name}'"
            place = document.key_place("drawing", "layers", name)
            notes.problem(place, says, did_you_mean(name, drawing.layers))
        if meaning not in OTHER_WORDS and material_named(meaning) is None:
            says = (
                f"'{meaning}' is no material, no kind of feature, and not lot, easement or ignore"
            )
            place = document.place("drawing", "layers", name)
            notes.problem(place, says, did_you_mean(meaning, [*materials(), *sorted(OTHER_WORDS)]))
        drawing.table[name] = meaning
        if is_likely:
            drawing.likely[name] = None


class LayersTold(Struct):
    """What the drawing leaves open: see `Site.assumed` and `Site.unread`."""

    assumed: list[Assumption] = field(default_factory=list)
    unread: list[Repair] = field(default_factory=list)


def check_layers_used(
    drawing: Drawing, document: Document, lot: Lot | None, notes: Notes
) -> LayersTold:
    """Hold the table of layers against the shapes that refer to layers; call it last.

    A layer that the table gives a meaning must be used, or its area would be missing. What lies on
    the lot and is not counted is told, and where nobody has said so it is an assumption.
    """
    told = LayersTold()
    for name, meaning in drawing.table.items():
        layer = drawing.find(name)
        if layer is None:
            continue
        user = drawing.used.get(layer.name)
        place = document.key_place("drawing", "layers", name)
        if meaning == "ignore" and user is not None:
            notes.problem(place, f"the layer '{name}' is to be ignored, but {user} refers to it")
        elif meaning == UNKNOWN.id and user is None:
            if _kinds_on(layer, lot):
                says = f"say what the layer '{name}' is ({layer.told()}), or 'ignore'"
                told.unread.append(Repair(place=place, says=says))
        elif meaning != "ignore" and user is None:
            what = "the lot boundary" if meaning == "lot" else f"'{meaning}'"
            notes.problem(
                place,
                f"the layer '{name}' is said to be {what}, but no shape refers to it",
                f"add one with 'shape: {{layer: {name}}}', or say 'ignore'",
            )
        elif meaning == "lot" and user != "the lot boundary":
            notes.problem(
                place, f"the layer '{name}' is said to be the lot, but {user} refers to it"
            )
        elif meaning == "ignore" and name not in drawing.likely and "area" in _kinds_on(layer, lot):
            says = f"the layer '{name}' ({layer.told()}) lies on the lot and is ignored"
            notes.repair(place, says)
        if name in drawing.likely and (meaning != "ignore" or "area" in _kinds_on(layer, lot)):
            told.assumed.append(_assumed(name, meaning, place))
    _tell_unused(drawing, document, lot, told, notes)
    return told


def _assumed(name: str, meaning: str, place: Place) -> Assumption:
    found = material_named(meaning)
    title = found.title if found is not None else meaning.replace("-", " ")
    taken_as = {"lot": "the lot", "ignore": "no surface"}.get(meaning, title.lower())
    return Assumption(place=place, what=f"layer {name}", taken_as=taken_as)


def _kinds_on(layer: Layer, lot: Lot | None) -> set[str]:
    """The kinds of things, points aside, that a layer has in the box round the lot."""
    pieces = [piece for piece in layer.pieces if piece.kind != "point"]
    if lot is not None:
        box = lot.boundary.bounds
        pieces = [piece for piece in pieces if overlap(box_of(piece), box)]
    return {piece.kind for piece in pieces}


def _tell_unused(
    drawing: Drawing, document: Document, lot: Lot | None, told: LayersTold, notes: Notes
) -> None:
    """Tell what the site file says nothing of."""
    place = document.place("drawing")
    unused = [
        layer
        for layer in drawing.layers.values()
        if layer.name not in drawing.used
        and drawing.meaning(layer.name) is None
        and any(piece.kind != "point" for piece in layer.pieces)
    ]
    told.assumed += [
        Assumption(place=place, what=f"layer {layer.name}", taken_as="no surface")
        for layer in unused
        if "area" in _kinds_on(layer, lot)
    ]
    if len(unused) > MOST_TOLD:
        names = ", ".join(layer.name for layer in unused[:MOST_TOLD])
        says = f"{len(unused)} layers are not used: {names} and {len(unused) - MOST_TOLD} more"
        notes.repair(place, f"{says}; nothing on them is counted")
        return
    for layer in unused:
        says = f"the layer '{layer.name}' ({layer.told()}) is not used"
        notes.repair(place, f"{says}; nothing on it is counted")
