"""Every drawing of every sample: no text over another or over a line, none outside its frame."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest

from checker.papers.writing import reports_of
from tests.report.conftest import BRINE, SAMPLES, SITES, SORREL, check_file
from tests.report.measuring import (
    bare_over_hatches,
    outside,
    over_each_other,
    over_lines,
    text_boxes,
)

LOTS = [SITES / "linden" / "after.yaml", BRINE, SORREL, *sorted(SAMPLES.glob("*/site.yaml"))]

FRAME = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">{}</svg>'


@lru_cache
def drawings_of(path: Path) -> dict[str, str]:
    return {n: t for n, t in reports_of(check_file(path)).items() if n.endswith(".svg")}


@pytest.mark.parametrize("path", LOTS, ids=lambda p: p.parent.name if p.stem == "site" else p.stem)
def test_no_text_stands_over_another_or_beyond_its_frame(path: Path) -> None:
    drawings = drawings_of(path)
    assert drawings
    assert [(name, pair) for name, text in drawings.items() for pair in over_each_other(text)] == []
    assert [(name, text) for name, svg in drawings.items() for text in outside(svg)] == []


CROWDED = {
    ("plan-before.svg", "N 35\u00b000'00\" W 30.000 m"),
    ("plan-demolition.svg", "N 35\u00b000'00\" W 30.000 m"),
    ("plan-demolition.svg", "Z"),
}
"""Of a lot of 28 small things on half a page: leaders that have no other way."""


@pytest.mark.parametrize("path", LOTS, ids=lambda p: p.parent.name if p.stem == "site" else p.stem)
def test_no_line_crosses_a_text(path: Path) -> None:
    drawings = drawings_of(path)
    crossed_in = {(name, text) for name, svg in drawings.items() for text in over_lines(svg)}
    assert crossed_in <= (CROWDED if path == BRINE else set())


def test_the_measure_sees_what_it_is_there_to_see() -> None:
    first = '<text x="10" y="10" font-size="4">Terrace</text>'
    two = f'{first}<text x="12" y="{{}}" font-size="4">Pool</text>'
    assert over_each_other(FRAME.format(two.format(11))) == [("Terrace", "Pool")]
    assert over_each_other(FRAME.format(two.format(16))) == []
    assert outside(FRAME.format('<text x="95" y="10" font-size="4">Terrace</text>')) == ["Terrace"]
    ring = '<circle cx="17" cy="9" r="11" fill="#fff" stroke="#000"/>'
    line = '<path d="M0 9L40 9" stroke="#000" stroke-width="0.3" fill="none"/>'
    assert over_lines(FRAME.format(line + first)) == ["Terrace"]
    assert over_lines(FRAME.format(first + line)) == ["Terrace"]
    assert over_lines(FRAME.format(line + ring + first)) == []
    assert over_lines(FRAME.format(line.replace("9", "20") + first)) == []
    area = '<path d="M0 0L90 0L90 40L0 40Z"/>'
    hatch = f'<clipPath id="a-clip">{area}</clipPath><g clip-path="url(#a-clip)">'
    hatch += '<use href="#hatch-x"/></g>'
    assert bare_over_hatches(FRAME.format(hatch + first)) == ["Terrace"]
    assert bare_over_hatches(FRAME.format(hatch + ring + first)) == []
    edged = first.replace("<text", '<text paint-order="stroke"')
    assert bare_over_hatches(FRAME.format(hatch + edged)) == []
    turned = 'font-size="4" transform="rotate(90 50 25)">Terrace of stone</text>'
    ((_, box),) = text_boxes(FRAME.format(f'<text x="50" y="25" {turned}'))
    left, top, right, bottom = box.bounds
    # Turned clockwise about its start it runs down: higher than wide.
    assert bottom - top > right - left
    assert bottom > 25
