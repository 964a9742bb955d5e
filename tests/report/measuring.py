"""Measures drawings and printed pages: where each text stands, how full each page is."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from itertools import combinations
from typing import Any, Literal, NamedTuple

import shapely
from shapely import affinity

from checker.drawing.svg import text_width_mm

SVG = "{http://www.w3.org/2000/svg}"
_FACE = 0.72
"""Height of capitals over the size of a face; Helvetica and its kin, common practice, no source."""

_NARROW = 0.86
"""`text_width_mm` is on the wide side; a box this much narrower is inked for certain."""


class Drawn(NamedTuple):
    """One thing of a drawing, in the order in which it is painted."""

    kind: Literal["text", "line", "cover"]
    shape: Any
    text: str = ""


def drawn(svg: str) -> list[Drawn]:
    """What a drawing paints, in its units: texts by their boxes, lines, and what covers them."""
    root = ET.fromstring(svg)
    named = {node.get("id", ""): node for node in root.iter() if node.get("id")}
    return list(_painted(root, {}, [], named))


def text_boxes(svg: str) -> list[tuple[str, shapely.Polygon]]:
    """Each text of a drawing with the box that its letters fill, in the units of the drawing."""
    return [(item.text, item.shape) for item in drawn(svg) if item.kind == "text"]


def _painted(
    node: ET.Element, given: dict[str, str], turns: list[str], named: dict[str, ET.Element]
) -> Iterator[Drawn]:
    given = {**given, **{key: value for key, value in node.attrib.items() if key in _INHERITED}}
    turns = [*turns, node.get("transform", "")]
    for child in node:
        if child.tag in {f"{SVG}defs", f"{SVG}clipPath", f"{SVG}pattern"}:
            continue
        own = {**given, **child.attrib}
        moved = [*turns, child.get("transform", "")]
        if child.tag == f"{SVG}text":
            if text := "".join(child.itertext()).strip():
                yield Drawn("text", _box(own, text, moved), text)
        elif child.tag == f"{SVG}g":
            yield from _painted(child, given, turns, named)
        else:
            yield from _line_or_cover(child, own, moved, named)


_INHERITED = {"font-size", "stroke", "stroke-width", "fill"}


def _line_or_cover(
    node: ET.Element, own: dict[str, str], turns: list[str], named: dict[str, ET.Element]
) -> Iterator[Drawn]:
    if node.tag == f"{SVG}use":
        name = node.get("href", "").removeprefix("#")
        if "hatch-" in name or name not in named:
            return  # hatches lie below names, which have an edge of paper
        node = named[name]
    shape = _shape(node)
    if shape is None:
        return
    shape = _turned(shape, turns)
    filled = own.get("fill", "#000") != "none" and own.get("fill-opacity", "1") == "1"
    if filled and shape.geom_type == "Polygon":
        yield Drawn("cover", shape)
    if own.get("stroke", "none") != "none":
        yield Drawn("line", shape.boundary if shape.geom_type == "Polygon" else shape)


def _shape(node: ET.Element) -> Any:
    """The geometry of an element: areas where it is closed; curves by their ends and middles."""
    kind = node.tag.removeprefix(SVG)
    at = {key: float(value) for key, value in node.attrib.items() if key in _PLACES}
    if kind == "rect":
        x, y = at.get("x", 0.0), at.get("y", 0.0)
        return shapely.box(x, y, x + at["width"], y + at["height"])
    if kind == "circle":
        return shapely.Point(at["cx"], at["cy"]).buffer(at["r"])
    if kind == "line":
        return shapely.LineString([(at["x1"], at["y1"]), (at["x2"], at["y2"])])
    if kind in {"polyline", "polygon"}:
        numbers = [float(n) for n in re.findall(r"-?[\d.]+", node.get("points", ""))]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        return shapely.Polygon(points) if kind == "polygon" else shapely.LineString(points)
    return _of_path(node.get("d", "")) if kind == "path" else None


_PLACES = {"x", "y", "width", "height", "cx", "cy", "r", "x1", "y1", "x2", "y2"}


def _of_path(d: str) -> Any:
    runs: list[list[tuple[float, float]]] = []
    closed = False
    x = y = 0.0
    for command, given in re.findall(r"([A-Za-z])([^A-Za-z]*)", d):
        numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", given)]
        size = {"h": 1, "v": 1, "z": 0, "q": 4, "t": 2, "c": 6, "a": 7}.get(command.lower(), 2)
        if command in "zZ":
            closed = True
            if runs and runs[-1]:
                runs[-1].append(runs[-1][0])
                x, y = runs[-1][0]
            continue
        for index in range(0, len(numbers), size):
            part = numbers[index : index + size]
            base_x, base_y = (x, y) if command.islower() else (0.0, 0.0)
            if command in "hH":
                x = base_x + part[0]
            elif command in "vV":
                y = base_y + part[0]
            else:
                x, y = base_x + part[-2], base_y + part[-1]
            if command in "mM" and index == 0:
                runs.append([])
            runs[-1].append((x, y))
    kept = [run for run in runs if len(run) > 1]
    if not kept:
        return None
    if closed and len(kept) == 1 and len(kept[0]) > 3:
        return shapely.Polygon(kept[0])
    return shapely.MultiLineString(kept)


def _box(own: dict[str, str], text: str, turns: list[str]) -> shapely.Polygon:
    high = float(own.get("font-size", 3.0))
    wide = text_width_mm(text, high) * _NARROW
    x, y = float(own.get("x", 0)), float(own.get("y", 0))
    left = {"middle": x - wide / 2, "end": x - wide}.get(own.get("text-anchor", "start"), x)
    box: shapely.Polygon = _turned(shapely.box(left, y - high * _FACE, left + wide, y), turns)
    return box


def _turned(shape: Any, turns: list[str]) -> Any:
    for turn in reversed(turns):
        for name, given in reversed(re.findall(r"(rotate|translate)\(([^)]*)\)", turn)):
            numbers = [float(part) for part in re.split(r"[ ,]+", given.strip())]
            if name == "translate":
                shape = affinity.translate(shape, *numbers)
            else:
                origin = (numbers[1], numbers[2]) if len(numbers) == 3 else (0.0, 0.0)
                shape = affinity.rotate(shape, numbers[0], origin=origin)
    return shape


def over_lines(svg: str) -> list[str]:
    """Texts that a line of the drawing crosses, but for lines that something covers below them.

    Hatches are left out: a name has an edge of paper.
    """
    items = drawn(svg)
    found = []
    for at, item in enumerate(items):
        if item.kind != "text":
            continue
        box = item.shape.buffer(-0.1)
        covers = [k for k, other in enumerate(items[:at]) if _hides(other, box)]
        below = max(covers, default=0)
        if any(
            other.kind == "line" and other.shape.intersects(box)
            for other in [*items[below:at], *items[at + 1 :]]
        ):
            found.append(item.text)
    return found


def _hides(other: Drawn, box: shapely.Polygon) -> bool:
    return other.kind == "cover" and bool(other.shape.covers(box))


def bare_over_hatches(svg: str) -> list[str]:
    """Texts over a hatch that have neither an edge of paper nor anything that covers it."""
    root = ET.fromstring(svg)
    named = {node.get("id", ""): node for node in root.iter() if node.get("id")}
    hatched = []
    for node in root.iter(f"{SVG}g"):
        name = node.get("clip-path", "")[5:-1]
        clip = named.get(name) if name.endswith("-clip") else None
        inside = [child for child in node.iter(f"{SVG}use") if "hatch-" in child.get("href", "")]
        if clip is not None and inside and len(list(clip)) == 1:
            shape = _shape(clip[0])
            if shape is not None and shape.geom_type == "Polygon":
                hatched.append(shape)
    items = drawn(svg)
    edged = {
        "".join(node.itertext()).strip()
        for node in root.iter(f"{SVG}text")
        if node.get("paint-order") == "stroke"
    }
    return [
        item.text
        for at, item in enumerate(items)
        if item.kind == "text"
        and item.text not in edged
        and any(shape.intersects(item.shape) for shape in hatched)
        and not any(_hides(other, item.shape.buffer(-0.1)) for other in items[:at])
    ]


def over_each_other(svg: str, share: float = 0.06) -> list[tuple[str, str]]:
    """Pairs of texts of which one covers more than a share of the smaller one."""
    found = []
    for (one, a), (other, b) in combinations(text_boxes(svg), 2):
        if a.intersects(b) and a.intersection(b).area > share * min(a.area, b.area):
            found.append((one, other))
    return found


def outside(svg: str) -> list[str]:
    """Texts that reach beyond the frame of their drawing."""
    left, top, wide, high = map(float, ET.fromstring(svg).attrib["viewBox"].split())
    frame = shapely.box(left, top, left + wide, top + high)
    return [text for text, box in text_boxes(svg) if not frame.buffer(0.3).contains(box)]


def fullness(pdf: bytes) -> list[float]:
    """How far down each page of a PDF is inked, of the room between its margins, 0 to 1."""
    import pypdfium2

    found = []
    for page in pypdfium2.PdfDocument(pdf):
        picture = page.render(scale=0.5, grayscale=True).to_pil()
        wide, high = picture.size
        dots_in = high / (page.get_height() / 72)
        top, bottom = int(0.7 * dots_in), int(high - 0.85 * dots_in)
        pixels = picture.load()
        rows = (
            y for y in range(bottom - 1, top, -1) if any(pixels[x, y] < 200 for x in range(wide))
        )
        found.append((next(rows, top) - top) / (bottom - top))
    return found


def first_pages(pdf: bytes) -> set[int]:
    """The pages, from 0, on which a document of a PDF begins, by its bookmarks."""
    import io

    from pypdf import PdfReader

    reader = PdfReader(io.BytesIO(pdf))
    tops = [item for item in reader.outline if not isinstance(item, list)]
    return {reader.get_destination_page_number(item) or 0 for item in tops}


def nearly_empty(pdf: bytes, least: float = 0.2) -> list[int]:
    """Pages, from 1, that are less full than this and not the last of their document."""
    full, firsts = fullness(pdf), first_pages(pdf)
    return [
        number + 1
        for number, share in enumerate(full)
        if share < least and number + 1 < len(full) and number + 1 not in firsts
    ]
