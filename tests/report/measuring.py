"""Measures drawings and printed pages: where each text stands, how full each page is."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from itertools import combinations

import shapely
from shapely import affinity

from checker.drawing.svg import text_width_mm

SVG = "{http://www.w3.org/2000/svg}"
_FACE = 0.72
"""Height of capitals over the size of a face; Helvetica and its kin, common practice, no source."""

_NARROW = 0.86
"""`text_width_mm` is on the wide side; a box this much narrower is inked for certain."""


def text_boxes(svg: str) -> list[tuple[str, shapely.Polygon]]:
    """Each text of a drawing with the box that its letters fill, in the units of the drawing."""
    return list(_boxes(ET.fromstring(svg), None, []))


def _boxes(
    node: ET.Element, size: float | None, turns: list[str]
) -> Iterator[tuple[str, shapely.Polygon]]:
    size = float(node.get("font-size", size or 0) or 0) or size
    turns = [*turns, node.get("transform", "")]
    for child in node:
        if child.tag in {f"{SVG}defs", f"{SVG}clipPath"}:
            continue
        if child.tag == f"{SVG}text":
            text = "".join(child.itertext()).strip()
            if text:
                yield text, _box(child, text, size, [*turns, child.get("transform", "")])
        else:
            yield from _boxes(child, size, turns)


def _box(node: ET.Element, text: str, size: float | None, turns: list[str]) -> shapely.Polygon:
    high = float(node.get("font-size", size or 3.0))
    wide = text_width_mm(text, high) * _NARROW
    x, y = float(node.get("x", 0)), float(node.get("y", 0))
    left = {"middle": x - wide / 2, "end": x - wide}.get(node.get("text-anchor", "start"), x)
    box = shapely.box(left, y - high * _FACE, left + wide, y)
    for turn in reversed(turns):
        for name, given in reversed(re.findall(r"(rotate|translate)\(([^)]*)\)", turn)):
            numbers = [float(part) for part in re.split(r"[ ,]+", given.strip())]
            if name == "translate":
                box = affinity.translate(box, *numbers)
            else:
                origin = (numbers[1], numbers[2]) if len(numbers) == 3 else (0.0, 0.0)
                box = affinity.rotate(box, numbers[0], origin=origin)
    return box


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
