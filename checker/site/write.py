"""A site back to the text of a site file: the user's own text with the changed surfaces replaced.

What was not changed keeps its words, remarks and order. The law: reading what was written gives the
changed site.
"""

from __future__ import annotations

import re
from copy import deepcopy
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput
from checker.core.units import UNIT, Amount
from checker.files.source import read_text, spans
from checker.site.layer_table import quoted

if TYPE_CHECKING:
    from collections.abc import Iterable

    from shapely import MultiPolygon, Polygon
    from shapely.geometry.polygon import LinearRing

    from checker.site.model import Site, Surface, Value

WIDTH: Final = 100
DECIMALS: Final = 10
"""Of coordinates in the file's unit; finer than the grid on which corners are put when read."""


def site_text(site: Site) -> str:
    """A site as it was read, as a complete site file in a clean layout without remarks."""
    return plain_text(site.document.data)


def changed_text(text: str, before: Site, after: Site) -> str:
    """The text of a site file after a change of its surfaces.

    Args:
        text: The site file as the user wrote it.
        before: What was read from it.
        after: The same site with surfaces changed, added or left out.

    Returns:
        The text with only the changed surfaces rewritten; a clean text where that cannot be done.
    """
    data = changed_data(before, after)
    edited = _edited(text, before.document.data, data)
    try:
        if read_text(edited, "edited").data == data:
            return edited
    except BadInput:
        pass
    return plain_text(data)


def changed_data(before: Site, after: Site) -> dict[str, Any]:
    """The plain data of a site file after a change of its surfaces; see `changed_text`."""
    data: dict[str, Any] = deepcopy(before.document.data)
    old = {surface.id: surface for surface in before.surfaces}
    new = {surface.id: surface for surface in after.surfaces}
    moved = {
        name for name, surface in old.items()
        if name not in new or not surface.shape.equals_exact(new[name].shape, 1e-9)
    }  # fmt: skip
    entries = []
    for entry in data["surfaces"]:
        surface = new.get(entry["id"])
        found = None
        if surface is not None:
            found = entry_of(surface, after.unit, entry, old[surface.id])
            if entry["shape"].get("ring", {}).get("around") in moved and surface.id not in moved:
                # The ring would move along with what it lies round.
                found["shape"] = shape_data(surface.shape, after.unit)
            entries.append(found)
        if "layer" in entry["shape"]:
            _follow_layer(data, entry, found, surface)
    entries += [entry_of(new[name], after.unit) for name in new if name not in old]
    data["surfaces"] = entries
    if after.order != before.order or "order" in data:
        data["order"] = [name for name in after.order if name in new]
    return data


def _follow_layer(
    data: dict[str, Any],
    before: dict[str, Any],
    now: dict[str, Any] | None,
    surface: Surface | None,
) -> None:
    """Keep the table of layers true when a surface leaves its layer, or is of another material."""
    table: dict[str, str] = data.get("drawing", {}).get("layers", {})
    layer = before["shape"]["layer"]
    fold = str.casefold if data["drawing"]["file"].lower().endswith(".dxf") else str
    keys = [key for key in table if fold(key) == fold(layer)]
    if now is not None and surface is not None and now["shape"] == before["shape"]:
        if "material" in now and keys:
            table[keys[0]] = surface.material.id
            if "material" not in before:
                del now["material"]
        return
    if now is not None and surface is not None:
        now["material"] = surface.material.id
    others = [e for e in data["surfaces"] if e is not before and "layer" in e["shape"]]
    if keys and not any(fold(e["shape"]["layer"]) == fold(layer) for e in others):
        table[keys[0]] = "ignore"


def entry_of(
    surface: Surface, unit: str, entry: dict[str, Any] | None = None, old: Surface | None = None
) -> dict[str, Any]:
    """A surface as an entry of a site file.

    Args:
        surface: The surface.
        unit: The unit of coordinates in the file.
        entry: Its entry so far; what did not change is kept as it stands there.
        old: The surface that the entry was read as.
    """
    found: dict[str, Any] = deepcopy(entry) if entry is not None else {"id": surface.id}
    fields: dict[str, tuple[Any, Any]] = {
        "title": (surface.title, old and old.title),
        "material": (surface.material.id, old and old.material.id),
        "was": (surface.was.id, old and old.was.id),
        "stage": (surface.stage, old and old.stage),
        "section": (surface.section, old.section if old else ""),
        "may_become": (
            [m.id for m in surface.may_become],
            [m.id for m in old.may_become] if old else [],
        ),
        "fixed": (surface.is_fixed, old.is_fixed if old else False),
        "measured_by": (surface.measured_by, old.measured_by if old else ""),
    }
    for key, (now, before) in fields.items():
        if now != before:
            found[key] = now
    if surface.stage != "replaced":
        found.pop("was", None)
    if old is None or not surface.shape.equals_exact(old.shape, 1e-9):
        found["shape"] = shape_data(surface.shape, unit)
    _attributes(surface, old, found)
    return {key: value for key, value in found.items() if value not in ("", [], {})}


def _attributes(surface: Surface, old: Surface | None, found: dict[str, Any]) -> None:
    before = old.attributes if old is not None else {}
    given = found.setdefault("attributes", {})
    for name in [name for name in given if name not in surface.attributes]:
        del given[name]
    for name, value in surface.attributes.items():
        if name not in given or before.get(name) != value:
            given[name] = value_text(value)


def value_text(value: Value) -> str | bool:
    """An attribute as a site file gives it."""
    if isinstance(value, bool):
        return value
    if isinstance(value, Amount):
        unit = value.unit
        if not unit and value.dimension.name != "number or share":
            unit = next(
                u.name for u in UNIT.values() if u.dimension == value.dimension and u.size_si == 1
            )
        return f"{_number(value.value_si / UNIT[unit].size_si)!r} {unit}".strip()
    return str(value)


def shape_data(shape: Polygon | MultiPolygon, unit: str) -> dict[str, Any]:
    """An area as points with holes, or as several such parts, in a unit."""
    from shapely import Polygon

    if not isinstance(shape, Polygon):
        return {"parts": [shape_data(part, unit) for part in shape.geoms]}
    data: dict[str, Any] = {"points": _points(shape.exterior, unit)}
    if len(shape.interiors):
        data["holes"] = [{"points": _points(ring, unit)} for ring in shape.interiors]
    return data


def _points(ring: LinearRing, unit: str) -> list[list[float | int]]:
    size_m = UNIT[unit].size_si
    return [[_number(x / size_m), _number(y / size_m)] for x, y in list(ring.coords)[:-1]]


def _number(number: float) -> float | int:
    near = round(number, DECIMALS)
    return int(near) if near == int(near) and abs(near) < 1e15 else near


def plain_text(data: dict[str, Any]) -> str:
    """Plain data as YAML: short values on one line, long ones indented below their key.

    Reading the text gives the same data.
    """
    return "".join(_block(data, 0)) or "{}\n"


def flow(value: Any) -> str:  # noqa: ANN401 - plain data
    """A value on one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{quoted(str(k))}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    return quoted(value)


def _block(value: Any, indent: int) -> Iterable[str]:  # noqa: ANN401 - plain data
    pad = " " * indent
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _entry(f"{pad}{quoted(str(key))}:", item, indent + 2)
    else:
        for item in value:
            if isinstance(item, dict | list) and item and len(pad) + len(flow(item)) + 2 > WIDTH:
                lines = list(_block(item, indent + 2))
                yield f"{pad}- {lines[0].lstrip()}"
                yield from lines[1:]
            else:
                yield f"{pad}- {flow(item)}\n"


def _entry(head: str, item: Any, indent: int) -> Iterable[str]:  # noqa: ANN401 - plain data
    one_line = f"{head} {flow(item)}"
    if isinstance(item, dict | list) and item and len(one_line) > WIDTH:
        yield f"{head}\n"
        yield from _block(item, indent)
    else:
        yield f"{one_line}\n"


def _edited(text: str, old: dict[str, Any], new: dict[str, Any]) -> str:
    """The text with the entries of changed surfaces replaced, from the last one to the first."""
    where = spans(text)
    kept = {entry["id"]: entry for entry in new["surfaces"]}
    known = {entry["id"] for entry in old["surfaces"]}
    added = [entry for entry in new["surfaces"] if entry["id"] not in known]
    edits: list[tuple[int, int, str]] = []
    for index, entry in enumerate(old["surfaces"]):
        now = kept.get(entry["id"])
        if now == entry:
            continue
        start, end = where[("surfaces", index)]
        if now is None:
            edits.append(_without(text, start, end))
        else:
            edits += _changes(text, where, index, entry, now)
    if added:
        edits.append(_appended(text, where, len(old["surfaces"]), added))
    if old.get("order") != new.get("order"):
        if "order" in old:
            edits.append(_replaced(text, *where[("order",)], new["order"]))
        else:
            gap = "" if text.endswith("\n") else "\n"
            edits.append((len(text), len(text), f"{gap}order: {flow(new['order'])}\n"))
    for layer, meaning in new.get("drawing", {}).get("layers", {}).items():
        if old["drawing"]["layers"].get(layer) != meaning:
            edits.append(_replaced(text, *where[("drawing", "layers", layer)], meaning))
    for start, end, replacement in sorted(edits, reverse=True):
        text = text[:start] + replacement + text[end:]
    return text


def _trimmed(text: str, start: int, end: int) -> int:
    """The end of a value without the blank lines and remarks that follow it."""
    lines = text[start:end].splitlines(keepends=True)
    while len(lines) > 1 and (not lines[-1].strip() or lines[-1].lstrip().startswith("#")):
        lines.pop()
    return start + len("".join(lines).rstrip())


def _without(text: str, start: int, end: int) -> tuple[int, int, str]:
    """Take out the lines of an entry, its dash included."""
    line = text.rfind("\n", 0, start) + 1
    last = _trimmed(text, start, end)
    following = text.find("\n", last)
    return line, (following + 1 if following >= 0 else len(text)), ""


def _changes(
    text: str,
    where: dict[tuple[str | int, ...], tuple[int, int]],
    index: int,
    entry: dict[str, Any],
    now: dict[str, Any],
) -> list[tuple[int, int, str]]:
    """Replace the values that changed; an entry that gains or loses keys is written anew."""
    at = ("surfaces", index)
    if list(entry) == list(now):
        found = []
        for key, value in entry.items():
            if value != now[key]:
                found.append(_replaced(text, *where[(*at, key)], now[key]))
        return found
    start, end = where[at]
    return [(start, _trimmed(text, start, end), flow(now))]


def _replaced(text: str, start: int, end: int, value: Any) -> tuple[int, int, str]:  # noqa: ANN401 - plain data
    """Put a value on the line of its key, also where the old one began on the next line."""
    last = _trimmed(text, start, end)
    before = text[:start].rstrip()
    if before.endswith(":"):
        return len(before), last, f" {flow(value)}"
    return start, last, flow(value)


def _appended(
    text: str,
    where: dict[tuple[str | int, ...], tuple[int, int]],
    count: int,
    added: list[dict[str, Any]],
) -> tuple[int, int, str]:
    if not count:
        start, end = where[("surfaces",)]
        return start, _trimmed(text, start, end), flow(added)
    start, end = where[("surfaces", count - 1)]
    last = _trimmed(text, start, end)
    dash = re.search(r"(?:^|\n)( *)-\s+$", text[:start])
    pad = dash[1] if dash else "  "
    return last, last, "".join(f"\n{pad}- {flow(entry)}" for entry in added)
