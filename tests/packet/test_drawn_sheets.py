"""Every sheet and figure of a packet: no text over another, over a line, or beyond its frame.

Measured on the samples, on the lot that says everything, and on the fullest one; the sheets also
as printed, with their panels, tables and title blocks.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest
import shapely

from checker.packet.papers import Papers, make_papers
from checker.pages.blocks import Picture, every
from checker.pages.pdf_writer import pdf_bytes
from checker.papers.job import make_job
from tests.packet.conftest import DAY, FILES, judged
from tests.report.measuring import bare_over_hatches, outside, over_each_other, over_lines

pypdfium2 = pytest.importorskip("pypdfium2")

SAMPLES = Path(__file__).parents[2] / "samples"
LOTS = [
    FILES / "teal-cross.yaml",
    FILES / "orchard.yaml",
    *(SAMPLES / name / "site.yaml" for name in (
        "osier-after", "osier-before", "tern-court", "wren-terrace", "fernhollow-after",
        "geojson-lot", "dxf-lot", "gis-lot",
    )),
]  # fmt: skip
NAMES = [path.parent.name if path.stem == "site" else path.stem for path in LOTS]


@lru_cache
def made(path: Path) -> Papers:
    return make_papers(make_job(judged(path), day=DAY), lambda _step: None)


def drawings(papers: Papers) -> dict[str, str]:
    found = dict(papers.images)
    for paper in papers.papers:
        pictures = (block for block in every(paper.blocks) if isinstance(block, Picture))
        found |= {
            f"{paper.id}: {picture.name}, {picture.file}": picture.svg for picture in pictures
        }
    return found


@pytest.mark.parametrize("path", LOTS, ids=NAMES)
def test_texts_of_drawings_stand_clear(path: Path) -> None:
    found = drawings(made(path))
    assert len(found) > 4
    told = {
        name: (over_each_other(svg), over_lines(svg), outside(svg), bare_over_hatches(svg))
        for name, svg in found.items()
    }
    assert {name: bad for name, bad in told.items() if any(bad)} == {}


@pytest.mark.parametrize("path", LOTS, ids=NAMES)
def test_texts_of_printed_sheets_stand_clear(path: Path) -> None:
    papers = made(path)
    document = pypdfium2.PdfDocument(pdf_bytes("set", "lot", "", papers.sheets, papers.images))
    assert len(document) == len(papers.sheets)
    for page, sheet in zip(document, papers.sheets, strict=True):
        high = page.get_height()
        texts = page.get_textpage()
        boxes = []
        for index in range(texts.count_rects()):
            left, bottom, right, top = texts.get_rect(index)
            said = texts.get_text_bounded(left, bottom, right, top).strip()
            boxes.append((said, shapely.box(left, high - top, right, high - bottom)))
        border = sheet.frame
        left, top = 72 * border.x, 72 * border.y
        frame = shapely.box(left, top, left + 72 * border.w, top + 72 * border.h)
        assert [said for said, box in boxes if said and not frame.buffer(1).contains(box)] == []
        tree = shapely.STRtree([box.buffer(-0.6) for _, box in boxes])
        pairs = tree.query([box.buffer(-0.6) for _, box in boxes], predicate="intersects").T
        crossed = [(boxes[a][0], boxes[b][0]) for a, b in pairs.tolist() if a < b]
        # The letters of a slanted text come one by one.
        assert [pair for pair in crossed if pair[0] != pair[1]] == [], sheet.number
