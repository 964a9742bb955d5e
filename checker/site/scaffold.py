"""A new site file to start from: commented, and complete enough to check at once."""

from __future__ import annotations

import math
import os
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.core.units import LENGTH, UNIT
from checker.site.clean import Notes
from checker.site.drawing import load
from checker.site.drawn_layers import FEATURE_KINDS, Drawing
from checker.site.layer_table import LayerRow, area_text, quoted, remark, rows_of
from checker.site.lot import boundary_lines

if TYPE_CHECKING:
    from collections.abc import Mapping

MOST_LINES: Final = 40
"""A boundary of more lines than this is not listed line by line."""


def new_site(
    title: str,
    place: str,
    units: str,
    drawing: Path | None = None,
    *,
    folder: Path | None = None,
    facts: Mapping[str, str] | None = None,
) -> str:
    """The text of a new site file.

    Args:
        title: The name of the project.
        place: Id or path of the rule set.
        units: The unit of coordinates, e.g. ft or m.
        drawing: A DXF, GeoJSON, GeoPackage or Shapefile to refer to.
        folder: Where the site file will lie; the drawing's own folder when None.
        facts: What the rule set asks for, name to question; written as remarks to fill in.

    Returns:
        YAML text that `read_site` reads without a problem.

    Raises:
        BadInput: The unit is none, or the drawing cannot be read.
    """
    unit = _unit_name(units)
    head = _head(title, place, unit, facts or {})
    if drawing is None:
        return head + _plain_body(unit) + _FEATURES + _TAIL
    notes = Notes(unit=unit)
    found, said = _load(drawing, unit, notes)
    file = drawing.name
    if folder is not None:
        file = Path(os.path.relpath(drawing, folder)).as_posix()
    return head + _drawing_body(found, said, file, notes) + _TAIL


def _unit_name(units: str) -> str:
    found = UNIT.get(units.strip().lower())
    if found is None or found.dimension != LENGTH:
        lengths = [unit.name for unit in UNIT.values() if unit.dimension == LENGTH]
        says = f"'{units}' is no unit of length"
        problem = Problem(Place("units"), says, did_you_mean(units, lengths))
        raise BadInput("a site file cannot be started", [problem])
    return found.name


def _head(title: str, place: str, unit: str, facts: Mapping[str, str]) -> str:
    rows = [f"#   {name}: ...    # {remark(ask)}\n" for name, ask in facts.items()]
    asked = "".join(["# What the rule set asks for; take the # away from what you know.\n",
                     "# facts:\n", *rows]) if rows else ""  # fmt: skip
    return f"""\
# A lot and everything on it. Lines that start with # are remarks; the program passes over them.
format: site/1
title: {quoted(title)}
# The rule set that the lot is under: its id, or the path of a file.
place: {quoted(place)}
# The unit of bare numbers below: ft, m, us survey ft, in, mm. Another unit may be written: 12 in.
units: {unit}
# The law in force on a day, as YYYY-MM-DD; without it the newest is used.
# date: 2026-01-31
{asked}
"""


def _plain_body(unit: str) -> str:
    """A made-up lot, in round numbers of the unit, to be replaced."""
    # A metre is taken as 3 ft, 40 in or 1,000 mm, so that all numbers are round.
    metre = {"m": 1, "cm": 100, "mm": 1000, "in": 40, "yd": 1}.get(unit, 3)
    if UNIT[unit].size_si > UNIT["yd"].size_si * 1.2:
        metre = 1

    def at(*metres: float) -> str:
        return "[" + ", ".join(f"{number * metre:g}" for number in metres) + "]"

    return f"""\
# Everything drawn below is made up. Put in your own lot, then your own surfaces.
invented: yes

lot:
  boundary:
    # The corners in order; the last one joins the first. A third number makes an arc (its bulge).
    # A deed may be typed instead of points, one course an entry:
    #   courses: ["N 26°10'00\\" E 285.10'", "curve left R 25' L 39.27' tangent", ...]
    points: [{at(0, 0)}, {at(24, 0)}, {at(24, 38)}, {at(0, 38)}]
  # Which lines of the boundary, counted from 1, are the front, the rear, the sides.
  sides: {{front: [1], rear: [3], side: [2, 4]}}
  # What the deed or plat says; it is compared with the drawing.
  # recorded_area: 10,000 sq ft

# The material of all land that no surface covers.
rest_of_lot: lawn

surfaces:
  # stage: existing, removed, proposed or replaced; existing when not said.
  # A circle: {{circle: {{centre: {at(10, 9)}, diameter: 8 ft}}}}. 'points' may have 'holes'.
  - id: house
    material: roof
    shape: {{rectangle: {{corner: {at(5, 20)}, size: {at(14, 9)}}}}}
    attributes: {{purpose: dwelling}}
  - id: pool
    material: pool-water
    shape: {{rectangle: {{corner: {at(7, 7)}, size: {at(8, 4)}}}}}
  - id: coping
    material: pool-coping
    shape: {{ring: {{around: pool, width: 12 in}}}}
  - id: deck
    title: Pool deck
    material: concrete-slab
    stage: proposed
    shape: {{points: [{at(4, 4)}, {at(18, 4)}, {at(18, 14)}, {at(4, 14)}]}}
    attributes: {{purpose: pool-deck, use: pedestrian}}
    # What a search for the least change may turn it into.
    may_become: [permeable-paving, lawn]
  - id: walk
    material: concrete-slab
    shape: {{strip: {{along: [{at(18, 12)}, {at(21, 12)}, {at(21, 20)}], width: 3 ft}}}}
"""


_FEATURES = """\

# What rules may measure to.
# features:
#   - {id: well, kind: well, shape: {at: [10, 120]}}
"""


_TAIL = """\

# Kinds of feature or region that were looked for and are not there.
# none_found: [well, septic-field]
# Parts of the land: overlays, easements, slope classes.
# regions:
#   - {id: drainage-easement, kind: easement, shape: {rectangle: {corner: [0, 0], size: [80, 10]}}}
# Documents that exist.
# on_file:
#   - {document: soil-report, date: 2026-01-31}
"""


def _load(
    path: Path, unit: str, notes: Notes, first_trial: list[tuple[str, Any]] | None = None
) -> tuple[Drawing, list[str]]:
    """A drawing, and what had to be said of its unit or coordinates so that it could be read."""
    trials: tuple[list[tuple[str, Any]], ...] = (
        first_trial or [],
        [("unit", unit)],
        [("coordinates", "plan"), ("unit", unit)],
    )
    first: BadInput | None = None
    for said in trials:
        own = Notes(unit=unit)
        try:
            found = load(path, path.name, dict(said), own)
            own.problems.stop_if_any(f"{path.name} cannot be read")
        except BadInput as error:
            first = first or error
            continue
        assert found is not None
        if "layer" in found.fields and ("layer_by", "layer") not in said:
            # One table of everything, whose rows name their class: take the classes apart.
            return _load(path, unit, notes, [*said, ("layer_by", "layer")])
        notes.repairs.extend(own.repairs)
        return found, [f"  {key}: {value}" for key, value in said]
    assert first is not None
    raise first


def _drawing_body(drawing: Drawing, said: list[str], file: str, notes: Notes) -> str:
    rows = rows_of(drawing, notes)
    lines = ["drawing:", f"  file: {quoted(file)}"]
    if said:
        lines.append("  # The file does not say this by itself; it was taken as likely. Check it.")
        lines += said
    lines += [f"  # {remark(repair.says)}" for repair in notes.repairs]
    lines += _table(rows, notes)
    lines += ["", *_lot(rows, notes), "", "# The material of all land that no surface covers.",
              "rest_of_lot: lawn", "", *_surfaces(rows), *_features(rows)]  # fmt: skip
    return "\n".join(lines) + "\n"


def _table(rows: list[LayerRow], notes: Notes) -> list[str]:
    lines = [
        "  # What each layer is: a material, lot, ignore, or a kind of feature. Each entry is",
        "  # guessed from the layer's name: correct it. Fill in those that start with # as well.",
    ]
    entries = []
    for row in rows:
        name = quoted(row.layer.name)
        holds = remark(area_text(row, notes))
        if row.meaning:
            entries.append(f"    {name}: {row.meaning}    # guess; {holds}")
        elif row.doubt or row.geometry is not None:
            doubt = f"; {remark(row.doubt)}" if row.doubt else ""
            entries.append(f"    # {name}: ...    # {holds}{doubt}")
        else:
            entries.append(f"    {name}: ignore    # {holds}, no outline")
    has_entry = any(not entry.lstrip().startswith("#") for entry in entries)
    empty = "  layers: {}    # write 'layers:' alone once an entry below counts"
    return [*lines, "  layers:" if has_entry else empty, *entries]


def _lot(rows: list[LayerRow], notes: Notes) -> list[str]:
    lines = ["lot:"]
    lot = next((row for row in rows if row.meaning == "lot"), None)
    numbered: list[str] = []
    if lot is not None:
        lines.append(f"  boundary: {lot.shape}")
        outline = lot.outline or []
        parts = boundary_lines(outline, {}, notes, 0.0, None) if outline else ()
        numbered = [f"  #   {part.number}: {remark(part.label)}" for part in parts[:MOST_LINES]]
    else:
        lines += [
            "  # No layer looks like the lot, so this is a rectangle round everything. Replace it.",
            f"  boundary: {{points: [{_around(rows, notes)}]}}",
        ]
    return [
        *lines,
        "  # Which lines of the boundary, counted from 1, are the front, the rear, the sides.",
        *numbered,
        "  # sides: {front: [1], rear: [3], side: [2, 4]}",
        "  # What the deed or plat says; it is compared with the drawing.",
        "  # recorded_area: 10,000 sq ft",
    ]


def _around(rows: list[LayerRow], notes: Notes) -> str:
    """The corners of a rectangle round all areas, in the unit of the file."""
    from shapely import GeometryCollection

    shapes = [row.geometry for row in rows if row.geometry is not None]
    bounds_m = GeometryCollection(shapes).bounds if shapes else (0.0, 0.0, 24.0, 38.0)
    size_m = UNIT[notes.unit].size_si
    low = [math.floor(number_m / size_m) for number_m in bounds_m[:2]]
    high = [math.ceil(number_m / size_m) + 1 for number_m in bounds_m[2:]]
    corners = [low, [high[0], low[1]], high, [low[0], high[1]]]
    return ", ".join(f"[{x}, {y}]" for x, y in corners)


def _surfaces(rows: list[LayerRow]) -> list[str]:
    chosen = [r for r in rows if r.meaning and r.meaning not in {"lot", *FEATURE_KINDS}]
    if not chosen:
        return ["surfaces: []"]
    lines = [
        "surfaces:",
        "  # The material is in the table above. stage: existing, removed, proposed or replaced.",
    ]
    taken: set[str] = set()
    for row in chosen:
        lines += [f"  # {remark(says)}" for says in row.told]
        lines.append(f"  - {{id: {_id(row, taken)}, stage: existing, shape: {row.shape}}}")
    return lines


def _features(rows: list[LayerRow]) -> list[str]:
    chosen = [row for row in rows if row.meaning in FEATURE_KINDS]
    taken: set[str] = set()
    if not chosen:
        return [_FEATURES.rstrip("\n")]
    return ["", "features:"] + [
        f"  - {{id: {_id(row, taken)}, kind: {row.meaning}, shape: {row.shape}}}" for row in chosen
    ]


def _id(row: LayerRow, taken: set[str]) -> str:
    words = re.findall(r"[a-z0-9]+", row.layer.name.lower())
    name = "-".join(words)
    if not name or not name[0].isalpha():
        name = f"layer-{name}".rstrip("-")
    number = 2
    unique = name
    while unique in taken:
        unique, number = f"{name}-{number}", number + 1
    taken.add(unique)
    return unique
