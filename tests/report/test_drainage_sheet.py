"""The drainage sheet: sizes, falls, inverts, rims and levels are on it, and no name on another."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest
import shapely

from checker import api
from checker.drawing.labels import Box, Placer
from checker.drawing.scale import Frame, metric_scale
from checker.measure.drainage.planes import Plane, planes
from checker.papers.drainage import drainage_drawings
from checker.words.brief import brief_of

SAMPLES = [
    path
    for path in sorted(Path("samples").glob("*/site.yaml"))
    if "\nways_out:" in path.read_text(encoding="utf-8")
]
SITES = [Path("samples/tern-court/site.yaml"), *sorted(Path("tests/water/sites").glob("*.yaml"))]
NAMES = {"site", "two-drains", "two-drains-metric", "pool-channel", "pop-up-at-grade"}
DRAWN = [path for path in SITES if "one-low-place" in path.stem or path.stem in NAMES]
DRAWN = [*SAMPLES, *(path for path in DRAWN if path not in SAMPLES)]


def plan(path: Path) -> str:
    site = api.load_site(path)
    checked = api.check(site, api.load_ruleset_for(site))
    return drainage_drawings(brief_of(checked))["drainage-plan.svg"]


def leaders(drawing: str) -> list[shapely.LineString]:
    """The thin lines from what is named to names that stand farther off."""
    ends = re.findall(
        r'd="M([-\d.]+) ([-\d.]+)L([-\d.]+) ([-\d.]+)"[^>]*stroke-width="0.15"', drawing
    )
    lines = [tuple(map(float, end)) for end in ends]
    return [shapely.LineString([(a, b), (c, d)]) for a, b, c, d in lines]


@pytest.mark.parametrize("path", DRAWN, ids=lambda path: path.parent.name + "-" + path.stem)
def test_no_name_covers_another_or_crosses_a_pipe(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    texts: list[Box] = []
    lines: list[Box] = []
    take_text, take = Placer.take_text, Placer.take

    def noting_text(
        placer: Placer, middle: tuple[float, float], width: float, height: float, degrees: float
    ) -> None:
        if abs(degrees) < 1e-6 and 2 < height < 5:  # lot lines are lower, arrows higher
            x, y = middle
            texts.append(Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2))
        take_text(placer, middle, width, height, degrees)

    def noting(placer: Placer, box: Box) -> None:
        if abs(box.right - box.left - 0.5) < 1e-9 and abs(box.bottom - box.top - 0.5) < 1e-9:
            lines.append(box)
        take(placer, box)

    monkeypatch.setattr(Placer, "take_text", noting_text)
    monkeypatch.setattr(Placer, "take", noting)
    thin = leaders(plan(path))
    assert len(texts) > 5
    assert lines
    # A leader ends at the letters of its own name, a little within its box.
    shrunk = [shapely.box(*text).buffer(-0.2) for text in texts]
    assert [a for a, b in combinations(thin, 2) if a.crosses(b)] == []
    assert [line for line in thin if any(line.crosses(box) for box in shrunk)] == []
    assert [pair for pair in combinations(texts, 2) if pair[0].meets(pair[1])] == []
    assert [text for text in texts if any(text.meets(line) for line in lines)] == []


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.parent.name)
def test_no_name_crosses_a_line_of_the_lot(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither paving, pool, building, yard nor lot line runs through the name of a drain."""
    import checker.drawing.spot_names as drawn
    from checker.drawing.svg import text_width_mm

    placers: list[Placer] = []
    crossing: list[str] = []
    wait, name = drawn.SpotNames.__init__, drawn._name

    def noting(names: drawn.SpotNames, placer: Placer) -> None:
        placers.append(placer)
        wait(names, placer)

    def naming(text: str, middle: tuple[float, float], *, is_bold: bool = False) -> str:
        if not placers[-1].is_off_lines(middle, text_width_mm(text, drawn.TEXT_MM), drawn.TEXT_MM):
            crossing.append(text)
        return name(text, middle, is_bold=is_bold)

    monkeypatch.setattr(drawn.SpotNames, "__init__", noting)
    monkeypatch.setattr(drawn, "_name", naming)
    plan(path)
    assert placers
    assert crossing == []


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

    # One millimetre a metre.
    paper = Frame(metric_scale(1000), 0.0, 0.0, 0.0, 0.0, 1e3, 1e3)
    placer = Placer(Box(-1e3, -1e3, 1e3, 1e3))
    (x, y), _ = drawn._arrow_place(plane, found, paper, placer)
    assert plane.shape.contains(shapely.Point(x, -y))
    assert not roof.buffer(-1e-9).intersects(shapely.Point(x, -y))


def test_a_name_without_a_free_place_is_a_note() -> None:
    """Ten long names at one point of a small paper: what finds no place is told at its foot."""
    from checker.drawing.spot_names import SpotNames

    placer = Placer(Box(0, 0, 90, 45))
    names = SpotNames(placer)
    for index in range(10):
        names.add(f"a rather long name of the drain number {index}", (45, 22))
    drawn = list(names.drawn())
    texts = [found[1] for item in drawn if (found := re.search(r">([^<>]+)</text>", item))]
    numbers = [text for text in texts if re.fullmatch("[a-z]", text)]
    notes = [text for text in texts if re.match("[a-z] a rather", text)]
    assert numbers
    assert len(notes) == len(numbers)
    whole = [text for text in texts if text.startswith("a rather")]
    assert len(whole) + len(notes) == 10
