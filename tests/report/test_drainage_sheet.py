"""The drainage sheet: sizes, falls, inverts, rims and levels are on it, and no name on another."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest

from checker import api
from checker.drawing.labels import Box, Placer
from checker.measure.drainage.planes import Plane, planes
from checker.papers.drainage import drainage_drawings
from checker.words.brief import brief_of

SITES = [
    Path("samples/tern-court/site.yaml"),
    *sorted(Path("tests/water/sites").glob("*.yaml")),
]
NAMES = {"site", "two-drains", "two-drains-metric", "pool-channel", "pop-up-at-grade"}
DRAWN = [path for path in SITES if "one-low-place" in path.stem or path.stem in NAMES]


def plan(path: Path) -> str:
    site = api.load_site(path)
    checked = api.check(site, api.load_ruleset_for(site))
    return drainage_drawings(brief_of(checked))["drainage-plan.svg"]


@pytest.mark.parametrize("path", DRAWN, ids=lambda path: path.stem)
def test_no_name_covers_another_or_crosses_a_pipe(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    texts: list[Box] = []
    lines: list[Box] = []
    take_text, take = Placer.take_text, Placer.take

    def noting_text(
        placer: Placer, middle: tuple[float, float], width: float, height: float, degrees: float
    ) -> None:
        if abs(degrees) < 1e-6 and height > 2:  # lot lines are lower
            x, y = middle
            texts.append(Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2))
        take_text(placer, middle, width, height, degrees)

    def noting(placer: Placer, box: Box) -> None:
        if abs(box.right - box.left - 0.5) < 1e-9 and abs(box.bottom - box.top - 0.5) < 1e-9:
            lines.append(box)
        take(placer, box)

    monkeypatch.setattr(Placer, "take_text", noting_text)
    monkeypatch.setattr(Placer, "take", noting)
    plan(path)
    assert len(texts) > 5
    assert lines
    assert [pair for pair in combinations(texts, 2) if pair[0].meets(pair[1])] == []
    assert [text for text in texts if any(text.meets(line) for line in lines)] == []


def test_what_a_reviewer_reads_off_the_sheet() -> None:
    """Of the sample: the main is 6 in at 0.40 / 32 = 1.25 % from 98.60 to 98.20, the channel's rim
    99.80, the terrace 100.00 by the house and, 8 ft on at 1/4 in per ft, 99.83.
    """
    texts = re.findall(r">([^<>]+)</text>", plan(SITES[0]))
    assert "main 6 in 1.25 % inv. 98.60 ft to 98.20 ft" in texts
    assert "channel 99.80 ft" in texts
    assert "curb 98.20 ft" in texts
    assert {"100.00", "99.83"} <= set(texts)


def test_no_arrow_stands_in_a_building() -> None:
    """A panel that reaches under a roof: its arrow stays on what is seen of the paving."""
    import checker.drawing.grading as drawn
    from tests.measure.terrace import DATA, survey

    porch = {
        "id": "porch", "material": "roof", "stage": "proposed",
        "shape": {"rectangle": {"corner": [10, 24], "size": [40, 16]}},
    }  # fmt: skip
    found = survey(surfaces=[*DATA["surfaces"], porch])
    plane = next(item for item in planes(found).values() if isinstance(item, Plane))
    roof = found.partition("proposed").visible["porch"]
    assert roof.contains(plane.shape.representative_point())

    class Paper:
        """A frame of one millimetre a metre."""

        @staticmethod
        def at(x_m: float, y_m: float) -> tuple[float, float]:
            return x_m, -y_m

    placer = Placer(Box(-1e3, -1e3, 1e3, 1e3))
    x, y = drawn._arrow_place(plane, found, Paper(), placer)  # type: ignore[arg-type]
    import shapely

    assert plane.shape.contains(shapely.Point(x, -y))
    assert not roof.buffer(-1e-9).intersects(shapely.Point(x, -y))
