"""Every drawing of every sample: no text over another, none outside its frame."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker.papers.writing import reports_of
from tests.report.conftest import BRINE, SAMPLES, SITES, SORREL, check_file
from tests.report.measuring import outside, over_each_other, text_boxes

LOTS = [SITES / "linden" / "after.yaml", BRINE, SORREL, *sorted(SAMPLES.glob("*/site.yaml"))]

FRAME = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">{}</svg>'


@pytest.mark.parametrize("path", LOTS, ids=lambda p: p.parent.name if p.stem == "site" else p.stem)
def test_no_text_stands_over_another_or_beyond_its_frame(path: Path) -> None:
    drawings = {n: t for n, t in reports_of(check_file(path)).items() if n.endswith(".svg")}
    assert drawings
    assert [(name, pair) for name, text in drawings.items() for pair in over_each_other(text)] == []
    assert [(name, text) for name, svg in drawings.items() for text in outside(svg)] == []


def test_the_measure_sees_what_it_is_there_to_see() -> None:
    first = '<text x="10" y="10" font-size="4">Terrace</text>'
    two = f'{first}<text x="12" y="{{}}" font-size="4">Pool</text>'
    assert over_each_other(FRAME.format(two.format(11))) == [("Terrace", "Pool")]
    assert over_each_other(FRAME.format(two.format(16))) == []
    assert outside(FRAME.format('<text x="95" y="10" font-size="4">Terrace</text>')) == ["Terrace"]
    turned = 'font-size="4" transform="rotate(90 50 25)">Terrace of stone</text>'
    ((_, box),) = text_boxes(FRAME.format(f'<text x="50" y="25" {turned}'))
    left, top, right, bottom = box.bounds
    # Turned clockwise about its start it runs down: higher than wide.
    assert bottom - top > right - left
    assert bottom > 25
