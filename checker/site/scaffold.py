"""A new site file to start from: commented, and complete enough to check at once."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Place, Problem, did_you_mean
from checker.core.records import Record
from checker.core.showing import system_of
from checker.core.units import LENGTH, UNIT
from checker.files.editor_line import schema_line
from checker.files.plain import quoted
from checker.site.drawing_start import FEATURES, drawing_body
from checker.site.layer_table import remark
from checker.site.snippets import (
    as_remarks,
    asked_snippets,
    snippet_parts,
    snippet_surfaces,
    surface_leads,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence


class NewSite(Record, kw_only=True):
    """A site file to start from.

    Attributes:
        text: The file, as YAML.
        told: What a person should know at once, a line each.
        asks: Layers of the drawing that nothing is known of, each with what it holds.
    """

    text: str
    told: tuple[str, ...] = ()
    asks: tuple[tuple[str, str], ...] = ()


def new_site(  # noqa: PLR0913 - what a person may choose, each by name
    title: str,
    place: str,
    units: str,
    drawing: Path | None = None,
    *,
    folder: Path | None = None,
    facts: Mapping[str, str] | None = None,
    given: Mapping[str, str] | None = None,
    documents: Collection[str] = (),
    parts: Collection[str] = (),
    heaviest: Callable[[Sequence[str]], str] | None = None,
    layers: Mapping[str, str] | None = None,
) -> NewSite:
    """A new site file.

    Args:
        title: The name of the project.
        place: Id or path of the rule set.
        units: The unit of coordinates, e.g. ft or m.
        drawing: A DXF, GeoJSON, GeoPackage or Shapefile to refer to.
        folder: Where the site file will lie; the drawing's own folder when None.
        facts: What the rule set asks for, name to question; written as remarks to fill in.
        given: Answers to them, by name.
        documents: Those that the rule set wants on file; written as remarks, too.
        parts: What else to start with, of `snippets.SNIPPETS`; beside a drawing they are remarks,
            since nothing that is made up is judged with a real lot.

        heaviest: Of several materials the one that counts most in the place.
        layers: What layers of the drawing are, by name.

    Returns:
        YAML text that `read_site` reads without a problem, and what to tell.

    Raises:
        BadInput: The unit is none, a part is unknown, or the drawing cannot be read.
    """
    unit = _unit_name(units)
    wanted = asked_snippets(parts)
    head = _head(title, place, unit, facts or {}, given or {})
    on_file = "".join(_DOCUMENT.format(quoted(name)) for name in documents or _ANY_DOCUMENT)
    if drawing is None:
        tail = FEATURES + _TAIL.format(regions=_REGIONS, documents=on_file)
        return NewSite(text=head + _plain_body(unit, wanted) + tail)
    file = drawing.name
    if folder is not None:
        file = Path(os.path.relpath(drawing, folder)).as_posix()
    found = drawing_body(drawing, file, unit, heaviest, layers)
    body = found.text
    regions = "" if "\nregions:\n" in body else _REGIONS
    if wanted:
        metre, at = _round_metre(unit)
        made_up = snippet_surfaces(wanted, at) + snippet_parts(wanted, unit, metre, at)
        body += f"\n{_TAKE_UP}{as_remarks(made_up)}"
    text = head + body + _TAIL.format(regions=regions, documents=on_file)
    return NewSite(text=text, told=found.told, asks=found.asks)


def empty_site(title: str, place: str, units: str) -> str:
    """A site file on which nothing is drawn: no rule can be told of it until a lot is there.

    Args:
        title: The name of the project.
        place: Id or path of the rule set.
        units: The unit of coordinates, e.g. ft or m.

    Raises:
        BadInput: The unit is none.
    """
    head = _head(title, place, _unit_name(units), {}, {})
    return f"{head}surfaces: []\n"


def _unit_name(units: str) -> str:
    found = UNIT.get(units.strip().lower())
    if found is None or found.dimension != LENGTH:
        lengths = [unit.name for unit in UNIT.values() if unit.dimension == LENGTH]
        says = f"'{units}' is no unit of length"
        problem = Problem(Place("units"), says, did_you_mean(units, lengths))
        raise BadInput("a site file cannot be started", [problem])
    return found.name


def _head(
    title: str, place: str, unit: str, facts: Mapping[str, str], given: Mapping[str, str]
) -> str:
    rows = [
        f"  {name}: {quoted(given[name])}    # {remark(ask)}\n"
        if name in given
        else f"#   {name}: ...    # {remark(ask)}\n"
        for name, ask in facts.items()
    ]
    asked = "".join(["# What the rule set asks for; take the # away from what you know.\n",
                     "facts:\n" if given else "# facts:\n", *rows]) if rows else ""  # fmt: skip
    return f"""\
{schema_line("site")}\
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


def _round_metre(unit: str) -> tuple[int, Callable[..., str]]:
    """A metre in round numbers of a unit, 3 ft, 40 in or 1,000 mm, and how points are written."""
    metre = {"m": 1, "cm": 100, "mm": 1000, "in": 40, "yd": 1}.get(unit, 3)
    if UNIT[unit].size_si > UNIT["yd"].size_si * 1.2:
        metre = 1

    def at(*metres: float) -> str:
        return "[" + ", ".join(f"{number * metre:g}" for number in metres) + "]"

    return metre, at


def _plain_body(unit: str, parts: Collection[str]) -> str:
    """A made-up lot, in round numbers of the unit, to be replaced."""
    metre, at = _round_metre(unit)
    leads = surface_leads(parts)
    is_metric = system_of(unit) == "metric"
    coping, walk, round_, bend = _METRIC if is_metric else _CUSTOMARY
    return f"""\
# Everything drawn below is made up. Put in your own lot, then your own surfaces.
invented: yes

lot:
  boundary:
    # The corners in order; the last one joins the first. An arc to the next corner is a corner
    # like {{at: [0, 0], turn: left, radius: {bend}}}.
    # A deed may be typed instead of points, one course an entry:
    #   courses: ["N 26°10'00\\" E 285.10'", "curve left R 25' L 39.27' tangent", ...]
    points: [{at(0, 0)}, {at(24, 0)}, {at(24, 44)}, {at(0, 44)}]
  # Which lines of the boundary, counted from 1, are the front, the rear, the sides.
  sides: {{front: [3], rear: [1], side: [2, 4]}}
  # What the deed or plat says; it is compared with the drawing.
  # recorded_area: {"1,056 m2" if is_metric else "9,504 sq ft"}

# The material of all land that no surface covers.
rest_of_lot: lawn

surfaces:
  # stage: existing, removed, proposed or replaced; existing when not said.
  # A circle: {{circle: {{centre: {at(10, 9)}, diameter: {round_}}}}}. 'points' may have 'holes'.
  - id: house
    material: roof
    shape: {{rectangle: {{corner: {at(5, 20)}, size: {at(14, 9)}}}}}
    attributes: {{purpose: dwelling{leads["house"]}}}
  - id: pool
    material: pool-water
    shape: {{rectangle: {{corner: {at(7, 5.5)}, size: {at(8, 4)}}}}}
  - id: coping
    material: pool-coping
    shape: {{ring: {{around: pool, width: {coping}}}}}{leads["coping"]}
  - id: deck
    title: Pool deck
    material: concrete-slab
    stage: proposed
    shape: {{points: [{at(4, 9)}, {at(18, 9)}, {at(18, 14)}, {at(4, 14)}]}}
    attributes: {{purpose: pool-deck, use: pedestrian{leads["deck"]}}}
    # What a search for the least change may turn it into.
    may_become: [permeable-paving, lawn]
  - id: walk
    material: concrete-slab
    shape: {{strip: {{along: [{at(18, 12)}, {at(21, 12)}, {at(21, 20)}], width: {walk}}}}}\
{leads["walk"]}
{snippet_surfaces(parts, at)}{snippet_parts(parts, unit, metre, at)}"""


_CUSTOMARY: Final = ("12 in", "3 ft", "8 ft", "20 ft")
_METRIC: Final = ("300 mm", "0.9 m", "2.4 m", "6 m")
"""Widths of a coping and a walk, the diameter of a circle, the radius of an arc."""

_TAKE_UP: Final = """\
# Parts that were asked for, with made-up measures: put in your own, then take the # away. An entry
# that begins with '-' goes under 'surfaces'; 'on: deck' and 'of: house' name surfaces of this file.
"""
_REGIONS: Final = """\
# Parts of the land: overlays, easements, slope classes.
# regions:
#   - {id: drainage-easement, kind: easement, shape: {rectangle: {corner: [0, 0], size: [80, 10]}}}
"""
_TAIL: Final = """\

# Kinds of feature or region that were looked for and are not there.
# none_found: [septic-field, septic-tank]
{regions}# Documents that exist: take the # away from those that are there, and put in their dates.
# on_file:
{documents}"""
_DOCUMENT: Final = "#   - {{document: {}, date: 2026-01-31}}\n"
_ANY_DOCUMENT: Final = ("soil-report",)
