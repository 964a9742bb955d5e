"""GeoPackage and Shapefile drawings, an optional extra."""

from __future__ import annotations

import os
import tempfile
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Place, did_you_mean
from checker.core.units import UNIT
from checker.files.opening import unreadable
from checker.site.drawn_layers import (
    MAX_PIECES,
    MAX_VERTICES,
    Drawing,
    DrawnPiece,
    GeometryKind,
    fact_text,
    near_lot,
)
from checker.site.gis_files import FORMATS, gis_library, set_apart
from checker.site.projection import (
    FileFrame,
    bounds,
    frame_of_crs,
    is_globe,
    may_be_degrees,
    no_degrees,
    to_plan,
)

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from checker.site.arcs import VertexPath as LinePath
    from checker.site.clean import Notes

MAX_ROWS: Final = 5_000_000
_KINDS: Final[dict[str, GeometryKind]] = {"Polygon": "area", "LineString": "line", "Point": "point"}


def read_gis(path: Path, shown: str, options: dict[str, Any], notes: Notes) -> Drawing | None:
    """The layers of a GeoPackage or Shapefile, plain or zipped.

    The layers are the file's own; with `layer_by` they are the values of that field.

    Args:
        path: The file.
        shown: How messages name it.
        options: `unit`, `coordinates`, `layer_by`, `origin` of the site file, those that are there.
        notes: Where problems and repairs go.

    Returns:
        None after a problem.

    Raises:
        BadInput: It cannot be read, or a library is missing.
    """
    pyogrio = gis_library(shown)
    drawing = Drawing(file=shown, unit="m")
    found: list[tuple[str, DrawnPiece]] = []
    references: set[str] = set()
    with tempfile.TemporaryDirectory(prefix="soakline-") as folder:
        copy = set_apart(path, shown, Path(folder))
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                layers = pyogrio.list_layers(copy)
                with_shapes = [str(layer[0]) for layer in layers if layer[1] is not None]
                options = options | {"box": _box_of_lot(pyogrio, copy, options, with_shapes)}
                for layer in layers:
                    if layer[1] is None:
                        drawing.layer(str(layer[0])).counts["row without geometry"] += 1
                        continue
                    name = str(layer[0])
                    found += _features(pyogrio, copy, name, options, drawing, references)
        except BadInput:
            raise
        except Exception as error:  # a third-party parser on a file of unknown origin
            told = str(error).replace(f"{folder}{os.sep}", "")
            reason = " ".join(told.partition(". ")[0].split())[:160].rstrip(".")
            do = "for a Shapefile keep its .shx, .dbf and .prj beside it"
            raise unreadable(shown, f"cannot be read: {reason}", do) from error
    found = near_lot(found, options.get("lot_where"))
    pieces = [piece for _, piece in found]
    frame = _frame(pieces, references, options, shown, notes)
    if frame is None or not to_plan(pieces, frame, options.get("origin"), shown, notes):
        return None
    drawing.unit = frame.unit
    for layer_name, piece in found:
        drawing.layer(layer_name).pieces.append(piece)
    says = "a GIS file is seldom a survey"
    notes.repair(Place(shown), f"{says}; compare the lot with its deed or plat")
    return drawing


def _features(
    pyogrio: Any,  # noqa: ANN401 - the module
    copy: Path,
    layer: str,
    options: dict[str, Any],
    drawing: Drawing,
    references: set[str],
) -> list[tuple[str, DrawnPiece]]:
    from shapely import from_wkb

    info = pyogrio.read_info(copy, layer=layer, force_feature_count=True)
    if info["driver"] != FORMATS[copy.suffix]:
        says = f"is read as '{info['driver']}', not as {FORMATS[copy.suffix]}"
        raise unreadable(drawing.file, says, "export it again from the GIS program")
    box = options.get("box")
    if info["features"] > MAX_PIECES and box is None:
        says = f"the layer '{layer}' holds more than {MAX_PIECES:,} things"
        raise unreadable(drawing.file, says, "keep only the lot and what lies on it")
    by = options.get("layer_by")
    if by is None:
        # It is there, too, when nothing of it lies near the lot.
        drawing.layer(layer)
    drawing.fields |= dict.fromkeys(str(name) for name in info["fields"])
    if by is not None and by not in info["fields"]:
        says = f"the layer '{layer}' has no field '{by}'"
        raise unreadable(drawing.file, says, did_you_mean(by, [str(f) for f in info["fields"]]))
    asked = options.get("fields", ())
    columns = [f for f in info["fields"] if f == by or f in asked]
    meta, _, shapes, values = pyogrio.raw.read(
        copy, layer=layer, columns=columns, force_2d=True, bbox=box, max_features=MAX_PIECES + 1
    )
    if len(shapes) > MAX_PIECES:
        says = f"the layer '{layer}' holds more than {MAX_PIECES:,} things round the lot"
        raise unreadable(drawing.file, says, "keep only the lot and what lies on it")
    references.add(str(meta["crs"] or ""))
    table = dict(zip([str(f) for f in meta["fields"]], values, strict=True))
    names = [str(value) for value in table[by]] if by else [layer] * len(shapes)
    found: list[tuple[str, DrawnPiece]] = []
    for row, (key, shape) in enumerate(zip(names, from_wkb(shapes), strict=True)):
        target = drawing.layer(key)
        facts = {f: fact_text(_plain(column[row])) for f, column in table.items()}
        if shape is None:
            target.counts["row without geometry"] += 1
            continue
        for piece in _pieces(shape, drawing.file, layer, facts):
            word = {"area": "polygon", "line": "line", "point": "point"}[piece.kind]
            target.counts[word] += 1
            found.append((key, piece))
    if sum(len(ring) for _, piece in found for ring in piece.rings) > MAX_VERTICES:
        says = f"the layer '{layer}' holds more than {MAX_VERTICES:,} points"
        raise unreadable(drawing.file, says, "keep only the lot and what lies on it")
    return found


def _plain(value: Any) -> object:  # noqa: ANN401 - numpy's own scalar
    return value.item() if hasattr(value, "item") else value


def _box_of_lot(
    pyogrio: Any,  # noqa: ANN401 - the module
    copy: Path,
    options: dict[str, Any],
    layers: list[str],
) -> tuple[float, float, float, float] | None:
    """The box round the lot that is picked by a field, so that a county's layers stay unread.

    None when the lot is not picked so, or nothing has the value: then everything is read.
    """
    from shapely import from_wkb, total_bounds

    picks = options.get("lot_where")
    if picks is None or options.get("layer_by") is not None or picks[0] not in layers:
        return None
    layer, where = picks
    fields = pyogrio.read_info(copy, layer=layer)["fields"]
    if any(key not in fields for key in where):
        return None
    meta, numbers, _, values = pyogrio.raw.read(
        copy, layer=layer, columns=list(where), read_geometry=False, return_fids=True,
        max_features=MAX_ROWS,
    )  # fmt: skip
    table = dict(zip([str(f) for f in meta["fields"]], values, strict=True))
    fits = [
        int(number)
        for row, number in enumerate(numbers)
        if all(fact_text(_plain(table[k][row])) == fact_text(v) for k, v in where.items())
    ]
    if not fits or len(fits) > MAX_PIECES:
        return None
    shapes = from_wkb(pyogrio.raw.read(copy, layer=layer, columns=[], fids=fits)[2])
    low_x, low_y, high_x, high_y = (float(number) for number in total_bounds(shapes))
    return low_x, low_y, high_x, high_y


def _pieces(shape: BaseGeometry, shown: str, layer: str, facts: dict[str, str]) -> list[DrawnPiece]:
    from shapely import get_parts, get_rings

    parts: list[Any] = [shape]
    while any(part.geom_type not in _KINDS for part in parts):
        parts = [piece for part in parts for piece in get_parts(part)]
    found = []
    for part in parts:
        if part.is_empty:
            continue
        kind = _KINDS[part.geom_type]
        lines = get_rings(part) if kind == "area" else [part]
        rings: list[LinePath] = [[(x, y, 0.0) for x, y in line.coords] for line in lines]
        name = f"{'polygon' if kind == 'area' else kind} of '{layer}'"
        flagged = kind == "area"
        piece = DrawnPiece(
            kind=kind, rings=rings, name=name, place=Place(shown), is_flagged=flagged, facts=facts
        )
        found.append(piece)
    return found


def _frame(
    pieces: list[DrawnPiece],
    references: set[str],
    options: dict[str, Any],
    shown: str,
    notes: Notes,
) -> FileFrame | None:
    """What the numbers are, by the file's own reference or the site file; None after a problem."""
    place = Place(shown)
    low_x, low_y, high_x, high_y = bounds(pieces)
    named = sorted(reference for reference in references if reference)
    if len(named) > 1:
        says = (
            f"its layers have different coordinate references: {', '.join(n[:40] for n in named)}"
        )
        notes.problem(place, says, "project them to one")
        return None
    if options.get("coordinates") == "plan":
        if named and is_globe(named[0], shown):
            do = "remove 'coordinates: plan' from the site file; degrees are put on a plan"
            notes.problem(place, "its coordinate reference says degrees, not a plan", do)
            return None
        unit = options.get("unit")
        if unit is None:
            notes.problem(
                place, "its plan coordinates have no unit", "say 'unit:' under 'drawing:'"
            )
            return None
        return FileFrame(unit=unit, size_m=UNIT[unit].size_si)
    if named:
        if is_globe(named[0], shown) and not may_be_degrees(low_x, low_y, high_x, high_y):
            notes.problem(place, *no_degrees(low_x, low_y, high_x, high_y))
            return None
        return frame_of_crs(named[0], shown, ((low_x + high_x) / 2, (low_y + high_y) / 2))
    if options.get("coordinates") == "longitude-latitude":
        return FileFrame(unit="degrees", crs="OGC:CRS84")
    is_degrees = may_be_degrees(low_x, low_y, high_x, high_y)
    likely = "longitude-latitude" if is_degrees else "plan"
    notes.problem(
        place,
        "it names no coordinate reference (a Shapefile keeps it in its .prj file)",
        f"say 'coordinates: {likely}'{' and unit:' if likely == 'plan' else ''} under 'drawing:', "
        "if that is what its numbers are",
    )
    return None
